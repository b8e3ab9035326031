"""How a rule says that it could not judge something, and which fields would tell."""

from __future__ import annotations

from engine.findings import NotJudged, Word
from engine.study import Study

__all__ = ["left_open"]


def left_open(
    study: Study, rule: str, would_be: Word, *ids: str, missing: tuple[str, ...], why: str, detail: str = ""
) -> NotJudged:
    """`missing` as "F3.rating_a"; `why` a phrase. The things named are told by their designations."""
    return NotJudged(
        rule=rule,
        would_be=would_be,
        designations=tuple(study.name(item) for item in ids),
        ids=ids,
        missing=missing,
        why=why,
        detail=detail,
    )
