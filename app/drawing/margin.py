"""Notes set into the margin of a sheet or the columns of a page of notes, and flags at what they speak of. In mm."""

from __future__ import annotations

from typing import NamedTuple

from app.drawing.notes import HEADING_GAP, PITCH, TALL, Note, NoteLine, height, wrapped
from app.drawing.squares.sign import half_of, square_sign
from engine.geometry import choose_places
from engine.picture import Box, Ink, Primitive, Text, circle, line

__all__ = ["RADIUS", "Set", "column_height", "flags", "note_sign", "set_notes"]

RADIUS = 2.7  # of a note's circle
_INDENT = 8.0  # from the circle's left to the type
_UNDER_HEADING = 0.8  # between a heading and what it heads
_PART = 6  # lines of a note that is parted, in its first column at least
_FAR = (1.2, 3.0, 5.0, 7.5, 10.0, 13.0, 17.0, 22.0)  # how far a flag may stand off


class Set(NamedTuple):
    """What came of setting notes: strokes and type, what did not fit, where the last one ends."""

    primitives: list[Primitive]
    rest: list[Note]
    bottom: float
    boxes: dict[int, Box]  # number of a note -> where it stands


def set_notes(notes: list[Note], box: Box) -> Set:
    """Notes from the top of a column as far as they fit; a note longer than the column is parted."""
    made: list[Primitive] = []
    boxes: dict[int, Box] = {}
    width = box.right - box.left - _INDENT
    y = box.top
    rest = list(notes)
    whole = int((box.bottom - box.top) / PITCH + 1e-6)  # lines of an empty column
    while rest:
        note = rest[0]
        indent = _INDENT if note.number else 0.0
        lines = wrapped(note, width + _INDENT - indent)
        room = int((box.bottom - y) / PITCH + 1e-6)
        if len(lines) <= room and (y == box.top or _follows(rest, y, box, whole)):
            made.extend(_lines(lines, box.left + indent, y, note, box.left))
            if note.number:
                boxes[note.number] = Box(box.left, y, box.right, y + len(lines) * PITCH)
            y += len(lines) * PITCH + (_UNDER_HEADING if note.kind == "heading" else HEADING_GAP)
            rest.pop(0)
            continue
        if len(lines) > whole and (room >= _PART or y == box.top) and room > 0:
            made.extend(_lines(lines[:room], box.left + indent, y, note, box.left))
            if note.number:
                boxes[note.number] = Box(box.left, y, box.right, y + room * PITCH)
            rest[0] = Note(tuple(lines[room:]), 0, note.at, note.kind, link=note.link)
        break
    return Set(made, rest, y, boxes)


def _follows(notes: list[Note], y: float, box: Box, whole: int) -> bool:
    """Whether under a heading, or several, there is room for what they head: none stands alone at a column's foot."""
    width = box.right - box.left - _INDENT
    for note in notes:
        count = len(wrapped(note, width + (0.0 if note.number else _INDENT)))
        room = int((box.bottom - y) / PITCH + 1e-6)
        if note.kind != "heading":
            return count <= room or (count > whole and room >= _PART)
        if count > room:
            return False
        y += count * PITCH + _UNDER_HEADING
    return True


def _lines(lines: list[NoteLine], x: float, top: float, note: Note, left: float) -> list[Primitive]:
    made: list[Primitive] = []
    number = note.number
    owner = f"note:{number}" if number else ""
    if number:  # the number of a note leads to its flag, or to where all of the note stands
        link = note.link or (f"flag:{number}" if note.flagged else "")
        made.extend(_sign(note, left + RADIUS, top + PITCH / 2 + 0.4, owner, link))
    for n, each in enumerate(lines):
        if each.text:
            y = top + TALL + 0.4 + n * PITCH
            made.append(Text(x, y, each.text, TALL, bold=each.bold, ink=each.ink, owner=owner, link=note.link))
    return made


def note_sign(number: int, x: float, y: float) -> list[Primitive]:
    """The number of a note in its circle, centred on (x, y)."""
    return _numbered(number, x, y, "", "")


def _sign(note: Note, x: float, y: float, owner: str, link: str) -> list[Primitive]:
    """The number of a finding in its circle, of a deficiency in its square."""
    if note.number < 0:
        return square_sign(-note.number, x, y, settled=note.settled, owner=owner, link=link)
    return _numbered(note.number, x, y, owner, link)


def _reach(number: int) -> float:
    """From the middle of a sign to its rim."""
    return half_of(-number) if number < 0 else RADIUS if number < 100 else RADIUS + 0.8


def _numbered(number: int, x: float, y: float, owner: str, link: str) -> list[Primitive]:
    """A number in a circle; type shrinks never, a long number widens nothing: the circle grows."""
    radius = RADIUS if number < 100 else RADIUS + 0.8
    text = Text(x, y + TALL / 2, str(number), TALL, "middle", bold=True, ink="red", owner=owner, link=link)
    return [circle(x, y, radius, 0.35, "red", fill="white", owner=owner), text]


def flags(
    notes: list[Note], places: dict[str, list[Box]], taken: list[Box], bounds: Box
) -> tuple[list[Primitive], list[int]]:
    """A numbered sign with a short leader at what every note speaks of; numbers that found no place."""
    wanted: list[tuple[Note, list[tuple[Box, tuple[float, float], tuple[float, float]]]]] = []
    for note in notes:
        if not note.number:
            continue
        radius = _reach(note.number)
        here = [i for i in note.at if i in places]
        for ids in [[i] for i in here] if note.every else [here]:
            stands = [stand for i in ids for stand in _stands(places[i], radius)]
            if stands:
                wanted.append((note, stands))
    chosen = choose_places([[box for box, _c, _e in stands] for _n, stands in wanted], taken, bounds)
    made: list[Primitive] = []
    lost: list[int] = []
    for (note, stands), at_stand in zip(wanted, chosen, strict=True):
        number = note.number
        if at_stand is None:
            lost.append(number)
            continue
        _box, centre, end = stands[at_stand]
        dx, dy = (end[0] > centre[0]) - (end[0] < centre[0]), (end[1] > centre[1]) - (end[1] < centre[1])
        rim = _reach(number)
        owner = f"flag:{number}"
        ink: Ink = "grey" if note.settled else "red"
        made.append(line(centre[0] + dx * rim, centre[1] + dy * rim, *end, 0.25, ink, owner=owner))
        made.extend(_sign(note, *centre, owner, f"note:{number}"))
    flagged = {note.number for note, _s in wanted}
    lost.extend(note.number for note in notes if note.number and note.number not in flagged)
    return made, sorted(lost)


def _stands(at: list[Box], radius: float) -> list[tuple[Box, tuple[float, float], tuple[float, float]]]:
    """Where a circle may stand: its room with the leader, its centre, the leader's end; the nearest first."""
    made = []
    for far in _FAR:
        for b in at:
            mid_x, mid_y = (b.left + b.right) / 2, (b.top + b.bottom) / 2
            ys = dict.fromkeys((mid_y, b.top + 1.0, b.bottom - 1.0)) if b.bottom - b.top > 3 else {mid_y: None}
            xs = dict.fromkeys((mid_x, b.left + 1.0, b.right - 1.0)) if b.right - b.left > 3 else {mid_x: None}
            r = radius + 0.3
            for y in ys:
                x = b.right + far + radius
                made.append((Box(b.right + 0.1, y - r, x + r, y + r), (x, y), (b.right, y)))
                x = b.left - far - radius
                made.append((Box(x - r, y - r, b.left - 0.1, y + r), (x, y), (b.left, y)))
            for x in xs:
                y = b.top - far - radius
                made.append((Box(x - r, y - r, x + r, b.top - 0.1), (x, y), (x, b.top)))
                y = b.bottom + far + radius
                made.append((Box(x - r, b.bottom + 0.1, x + r, y + r), (x, y), (x, b.bottom)))
    return made


def column_height(notes: list[Note], width: float) -> float:
    """Room that notes take in one column, gaps included."""
    return sum(height(note, width) + HEADING_GAP for note in notes)
