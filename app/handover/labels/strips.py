"""Legend strips of panels that are kept: every row at true size, old marking struck above the new. In mm.

A strip has one field for each position, as wide as the panel's positions are apart. The drawing does not record that
distance: where it is not given, 18 mm is taken, the width of one module of DIN 43880 (from memory, not confirmed), and
told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from app.handover.labels.fitting import fit, set_rows
from app.handover.labels.label import tidied
from app.handover.labels.making import Way, enclosures, ways
from app.handover.labels.wanted import LabelsWanted
from engine.installation import Enclosure, Snapshot
from engine.naming import natural
from engine.picture import Box, Primitive, Text, line, text_width
from engine.units import number
from engine.words import _

__all__ = [
    "MARKS",
    "MODULE",
    "DrawnPiece",
    "Field",
    "Piece",
    "Strip",
    "draw_piece",
    "is_kept",
    "pieces",
    "strips",
    "told_pitch",
]

MODULE = 18.0
MARKS = 6.0  # room around a strip for its cut marks
_NUMBER, _OLD, _NEW = 1.8, 1.8, 3.5  # heights of a capital at most; the first two are captions
_HEAD = 3.0  # band of the position number, and of each line of the old marking
_MOST = 400  # fields of a panel that is laid out by rows and columns
_PAD = 0.6


class Field(NamedTuple):
    """One position of a strip."""

    position: str
    new: str
    old: str


class Strip(NamedTuple):
    """One row of a panel. `row` counts from 1."""

    enclosure: str
    row: int
    rows: int
    fields: tuple[Field, ...]


class Piece(NamedTuple):
    """As much of a strip as a page holds."""

    strip: Strip
    fields: tuple[Field, ...]
    number: int
    of: int  # pieces the strip is in


def is_kept(snapshot: Snapshot, item: str) -> bool:
    """Whether something in a panel was there before the work."""
    inside = [record for record in snapshot.equipment.values() if record.enclosure == item]
    return any(
        record.position and (record.status in ("existing", "to remove") or record.old_marking) for record in inside
    )


def strips(snapshot: Snapshot) -> Iterator[Strip]:
    """A strip for every row of every kept panel that something is or was written at."""
    for item, enclosure in enclosures(snapshot):
        found = ways(snapshot, item)
        if not is_kept(snapshot, item) or not any(way.new or way.old for way in found):
            continue
        rows = _laid_out(enclosure, found)
        for n, row in enumerate(rows, 1):
            yield Strip(enclosure.name, n, len(rows), tuple(row))


def _laid_out(enclosure: Enclosure, found: Sequence[Way]) -> list[list[Field]]:
    """Fields by row: by rows and columns as recorded where positions are numbered, else all in one row."""
    fields = {way.position: Field(way.position, way.new, way.old) for way in found}
    columns, rows = enclosure.columns or 0, enclosure.rows or 1
    numbers = [int(position) for position in fields if position.isascii() and position.isdecimal()]
    if not columns or len(numbers) < len(fields) or not all(1 <= n <= _MOST for n in numbers):
        return [[fields[position] for position in sorted(fields, key=natural)]]
    last = max(*numbers, min(columns * rows, _MOST)) if numbers else 0
    by_number = {int(position): field for position, field in fields.items()}
    every = [by_number.get(n, Field(str(n), "", "")) for n in range(1, last + 1)]
    return [every[start : start + columns] for start in range(0, len(every), columns)]


def pieces(strip: Strip, pitch: float, room: float) -> list[Piece]:
    """A strip in pieces that are no longer than the room, cut between positions, about equally long."""
    most = max(int((room - 2 * MARKS + 1e-6) // pitch), 1)
    count = -(-len(strip.fields) // most)
    each = -(-len(strip.fields) // count)
    parts = [strip.fields[start : start + each] for start in range(0, len(strip.fields), each)]
    return [Piece(strip, part, n, len(parts)) for n, part in enumerate(parts, 1)]


class DrawnPiece(NamedTuple):
    """`short`: fields whose text does not fit; `small`: those whose new marking is lower than 2.5 mm."""

    primitives: list[Primitive]
    short: list[Field]
    small: list[Field]


def draw_piece(piece: Piece, x: float, y: float, pitch: float, height: float) -> DrawnPiece:
    """A piece with its upper left cut corner at (x, y)."""
    made: list[Primitive] = []
    short: list[Field] = []
    small: list[Field] = []
    right, foot = x + pitch * len(piece.fields), y + height
    for across in (x, right):  # cut marks stand clear of what is cut out
        made.append(line(across, y - MARKS, across, y - 1.5, 0.18))
        made.append(line(across, foot + 1.5, across, foot + MARKS, 0.18))
    for down in (y, foot):
        made.append(line(x - MARKS, down, x - 1.5, down, 0.18))
        made.append(line(right + 1.5, down, right + MARKS, down, 0.18))
    for n, field in enumerate(piece.fields):
        left = x + n * pitch
        if n:
            made.append(line(left, y, left, foot, 0.18, "light"))
        drawn, whole, tall = _field(field, Box(left, y, left + pitch, foot))
        made.extend(drawn)
        if not whole:
            short.append(field)
        elif not tall:
            small.append(field)
    return DrawnPiece(made, short, small)


def _field(field: Field, box: Box) -> tuple[list[Primitive], bool, bool]:
    """What is drawn, whether all of it fits, whether the new marking is 2.5 mm high."""
    wide = box.right - box.left - 2 * _PAD
    made: list[Primitive] = []
    place = fit((field.position,), wide, _HEAD, _NUMBER, bold=False)
    made.extend(set_rows(place, box._replace(bottom=box.top + _HEAD)))
    top = box.top + _HEAD
    whole = place.whole
    if field.old:
        old = fit(tidied((field.old,)), wide, min(3 * _HEAD, (box.bottom - box.top) / 2), _OLD, bold=False)
        whole = whole and old.whole
        room = Box(box.left, top + 0.5, box.right, top + old.high + 0.9)
        for row in set_rows(old, room):
            made.append(row)
            if isinstance(row, Text):
                half = text_width(row.text, row.height, row.bold) / 2 + 0.6
                made.append(line(row.x - half, row.y - row.height / 2, row.x + half, row.y - row.height / 2, 0.18))
        top = room.bottom
    body = Box(box.left + _PAD, top + 0.5, box.right - _PAD, box.bottom - 0.8)
    new = fit(tidied((field.new,)), wide, body.bottom - body.top, _NEW, bold=False)
    made.extend(set_rows(new, body))
    return made, whole and new.whole, not field.new or new.least >= 2.5


def told_pitch(wanted: LabelsWanted) -> str:
    """What the distance of positions rests on, in a sentence."""
    if wanted.pitch_mm is None:
        return _(
            "Positions are taken to be {pitch} mm apart, one module: the drawing does not record it. Measure the panel."
        ).format(pitch="18")
    return _("Positions are {pitch} mm apart, as asked for.").format(pitch=number(wanted.pitch_mm, 4))
