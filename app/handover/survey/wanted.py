"""What may be asked of a survey report."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["SurveyWanted"]


class SurveyWanted(NamedTuple):
    """`survey`: its id, name or date, "" the newest. `photographs`: folders they are kept in."""

    survey: str = ""
    follow_up: bool = False  # what has become of the deficiencies of the survey it follows
    photographs: tuple[str, ...] = ()
