"""What the study process tells of a drawing: findings, pictures of sheets, what is live. Plain values, no Qt."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from engine.picture import Box, Primitive

if TYPE_CHECKING:
    from engine.check import CheckResult

__all__ = ["Judgement", "LiveParts", "SheetPicture"]


class Judgement(NamedTuple):
    """What a check found, and where its notes stand."""

    at: int  # number of the drawing's state it is true for
    result: CheckResult
    numbers: dict[str, int]  # `Finding.key` -> number in the note's circle, over the whole set
    homes: dict[str, str]  # `Finding.key` -> id of the sheet whose margin tells it, "" where there is no sheet


class SheetPicture(NamedTuple):
    """A sheet's display list, by owner.

    An owner is the id of the equipment or run that is shown, `note:N` for a finding's note in the margin, `flag:N` for
    its circle at the thing, "" for the frame, the title block and all else. Within an owner the order is that of
    painting; "" is painted first, flags last.
    """

    sheet: str
    at: int
    width: float  # mm
    height: float
    of: dict[str, tuple[Primitive, ...]]
    note_boxes: dict[int, Box] = {}  # where each note stands in the margin, mm: for pointing at it


class LiveParts(NamedTuple):
    """What is live in the chosen condition: fed by a source that may give voltage, whatever its protection."""

    at: int
    condition: str  # id, "" as drawn
    live: frozenset[str]  # equipment and run ids of which some conductor is live
    doubtful: frozenset[str] = frozenset()  # those that may be: what feeds them is not recorded
