"""The paper a drawing set is asked on: the sheets as they are drawn, on it where they fit; never drawn anew unasked."""

from __future__ import annotations

from typing import NamedTuple

from app.drawing.whole.on_paper import not_fitting, on_paper
from engine.installation import Snapshot
from engine.words import ngettext

__all__ = ["Asked", "asked_paper", "first_of"]

_MOST = 2  # sheets that one sentence names


class Asked(NamedTuple):
    """What is to be printed: the drawing, the paper it is to be laid out for (`None`: as it is), what does not fit."""

    snapshot: Snapshot
    size: str | None
    lacking: tuple[str, ...] = ()


def asked_paper(snapshot: Snapshot, size: str | None, lay_out: bool = False) -> Asked:
    """`lay_out`: draw it anew for that paper. What does not fit keeps its own paper and is named."""
    if size is None or lay_out or not snapshot.sheets or all(s.size == size for s in snapshot.sheets.values()):
        return Asked(snapshot, size)
    lacking = not_fitting(snapshot, size)
    return Asked(snapshot, None, tuple(lacking)) if lacking else Asked(on_paper(snapshot, size), None)


def first_of(lacking: tuple[str, ...]) -> str:
    """The first of them in one sentence, the others counted."""
    told = "; ".join(lacking[:_MOST])
    more = len(lacking) - _MOST
    if more <= 0:
        return told
    words = ngettext("{what}; and so on {n} more sheet", "{what}; and so on {n} more sheets", more)
    return words.format(what=told, n=more)
