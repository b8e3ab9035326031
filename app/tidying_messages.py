"""What the window asks to be tidied, and what the study process answers. Plain values, no Qt."""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias

import msgspec

__all__ = ["TidyAnswer", "TidyQuestion", "TidyRequest", "TidySoFar", "TidyTold"]


class TidyQuestion(NamedTuple):
    """A sheet, and the symbols on it that are chosen; none: all of it. `unplaced`: what is on no sheet onto sheets."""

    sheet: str
    placements: tuple[str, ...] = ()
    unplaced: bool = False


class TidyRequest(msgspec.Struct, frozen=True, tag="tidy"):
    """Lay out a sheet, or what is chosen on it, anew; takes the place of an earlier one."""

    number: int
    question: TidyQuestion


class TidySoFar(msgspec.Struct, frozen=True, tag="tidy so far"):
    """It is being worked out: so many parts of so many are done."""

    at: int
    done: int
    of: int


class TidyTold(msgspec.Struct, frozen=True, tag="tidied"):
    """The edit (`engine.files.edit_form.plain_edit`), and what it comes to; without one, `words` say why."""

    at: int
    question: TidyQuestion
    edit: dict[str, Any] | None = None
    words: str = ""


TidyAnswer: TypeAlias = TidySoFar | TidyTold
