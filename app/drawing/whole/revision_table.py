"""The table of revisions on the first sheet: right above the title block, the newest first. In mm, y down.

ISO 7200:2004 (from memory, not confirmed) has the revision index in the title block; the table of what each stands for
above it is common practice, no source.
"""

from __future__ import annotations

from typing import NamedTuple

from app.drawing.notes import PITCH, TALL
from engine.edits.issuing import in_order
from engine.installation import Snapshot
from engine.installation.records import Revision
from engine.picture import Box, Primitive, Text, cut_text, line, rectangle, wrap_text
from engine.words import _

__all__ = ["Table", "revision_table"]

_PAD = 1.5
_INDEX = 12.0  # width of the column of indexes
_MOST_LINES = 4  # of what changed in one row
_SHARE = 0.4  # of the box, at most


class Table(NamedTuple):
    """What was drawn, and where it begins."""

    primitives: list[Primitive]
    top: float


def revision_table(snapshot: Snapshot, box: Box) -> Table:
    """Revisions at the foot of `box`; nothing where none is recorded. Those without room are named in its last row."""
    every = [record for _item, record in reversed(in_order(snapshot))]
    wide = box.right - box.left
    if not every or wide < 3 * _INDEX:
        return Table([], box.bottom)
    room = (box.bottom - box.top) * _SHARE
    rows = [_row(record, wide) for record in every]
    kept: list[list[str]] = []
    tall = _high(1)  # its head
    for n, row in enumerate(rows):
        left_out = _high(1) if n + 1 < len(rows) else 0.0
        if kept and tall + _high(len(row)) + left_out > room:
            break
        kept.append(row)
        tall += _high(len(row))
    earlier = every[len(kept) :]
    if earlier:
        tall += _high(1)
    top = box.bottom - tall
    made: list[Primitive] = [rectangle(box.left, top, box.right, box.bottom, width=0.35)]
    y = _texts(made, box, top, _("Rev."), [cut_text(_("Day, by whom, what changed"), wide - _INDEX - 2 * _PAD, TALL)])
    for record, row in zip(every, kept, strict=False):
        made.append(line(box.left, y, box.right, y, 0.25))
        y = _texts(made, box, y, record.index, row)
    made.append(line(box.left + _INDEX, top, box.left + _INDEX, y, 0.25))
    if earlier:
        names = ", ".join(record.index or "?" for record in earlier)
        told = cut_text(_("Earlier revisions: {names}").format(names=names), wide - 2 * _PAD, TALL)
        made.append(line(box.left, y, box.right, y, 0.25))
        made.append(Text(box.left + _PAD, y + _PAD + TALL - 0.3, told, TALL))
    return Table(made, top)


def _high(lines: int) -> float:
    return (lines - 1) * PITCH + TALL + 2 * _PAD - 0.4


def _texts(made: list[Primitive], box: Box, top: float, index: str, lines: list[str]) -> float:
    """One row; where the next begins."""
    first = top + _PAD + TALL - 0.3
    made.append(Text(box.left + _PAD, first, cut_text(index, _INDEX - 2 * _PAD, TALL, bold=True), TALL, bold=True))
    made.extend(Text(box.left + _INDEX + _PAD, first + n * PITCH, text, TALL) for n, text in enumerate(lines))
    return top + _high(len(lines))


def _row(record: Revision, wide: float) -> list[str]:
    """Day and by whom, then what changed; a text that is longer than its lines ends in "…"."""
    room = wide - _INDEX - 2 * _PAD
    how = [record.date, record.by] if record.issued else [_("in hand, not issued"), record.date, record.by]
    head = ", ".join(part for part in how if part) or _("issued, without day and name")
    lines = [cut_text(" ".join(head.split()), room, TALL)]
    text = " ".join(record.text.split())
    if text:
        told = list(wrap_text(text, room, TALL))
        if len(told) > _MOST_LINES:
            told = [*told[: _MOST_LINES - 1], cut_text(told[_MOST_LINES - 1] + "…", room, TALL)]
        lines += told
    return lines
