"""Units set on a sheet: in rows where they fit in rows, else where there is room, spread over what is free."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from app.drawing.area import Area
from app.drawing.blocks import Item, Room, Track
from app.drawing.tidy.plans import Unit
from engine.geometry import Ground
from engine.picture import Box

__all__ = ["Laid", "set_apart", "set_in_rows"]

BETWEEN = 4  # steps between units
_AWAY = 16  # steps that units are drawn apart at most, where there is more room than they need
_EDGE = 1  # steps kept to the edge of the drawing area


class Laid(NamedTuple):
    """Symbols, runs and the room they take, in grid steps from the frame's corner."""

    items: list[Item]
    tracks: list[Track]
    rooms: list[Room]


class _Sized(NamedTuple):
    """A unit with its extent about its root, whole steps."""

    unit: Unit
    left: int
    right: int
    above: int  # of the root's row
    below: int

    @property
    def wide(self) -> int:
        """Steps across."""
        return self.left + self.right


def _sized(unit: Unit) -> _Sized:
    box = unit.block.box
    root = next((i for i in unit.block.items if i.piece == unit.root), unit.block.items[0])
    return _Sized(
        unit,
        math.ceil(root.x - box.left),
        math.ceil(box.right - root.x),
        math.ceil(root.y - box.top),
        math.ceil(box.bottom - root.y),
    )


def _at(unit: Unit, x: int, y: int) -> tuple[Unit, int, int]:
    """The move that brings a unit's root to (x, y)."""
    root = next((i for i in unit.block.items if i.piece == unit.root), unit.block.items[0])
    return unit, x - root.x, y - root.y


def _gathered(moves: Sequence[tuple[Unit, int, int]]) -> Laid:
    laid = Laid([], [], [])
    for unit, dx, dy in moves:
        laid.items.extend(i._replace(x=i.x + dx, y=i.y + dy) for i in unit.block.items)
        laid.tracks.extend(t.moved(dx, dy) for t in unit.block.tracks)
        for box, owner, kind in unit.block.rooms:
            laid.rooms.append(Room(Box(box.left + dx, box.top + dy, box.right + dx, box.bottom + dy), owner, kind))
    return laid


def set_in_rows(units: Sequence[Unit], area: Area, *, main_below: bool) -> Laid | None:
    """Units side by side with their buses level, rows over each other, the room left shared out; `None`: no room."""
    wide, high = area.width - 2 * _EDGE, area.height - 2 * _EDGE
    rows: list[list[_Sized]] = []
    for each in map(_sized, units):
        if each.wide > wide:
            return None
        row = next((r for r in rows if _across(r) + BETWEEN + each.wide <= wide and _suits(r, each)), None)
        if row is None:
            rows.append([each])
        else:
            row.append(each)
    if main_below:
        rows.reverse()
    tall = [(max(e.above for e in row), max(e.below for e in row)) for row in rows]
    spare = high - sum(a + b for a, b in tall) - BETWEEN * (len(rows) - 1)
    if spare < 0:
        return None
    share = min(_AWAY, spare // (len(rows) + 1))
    y = area.top + _EDGE + (spare - share * (len(rows) - 1)) // 2
    moves: list[tuple[Unit, int, int]] = []
    for row, (above, below) in zip(rows, tall, strict=True):
        free = wide - _across(row)
        between = min(_AWAY, free // (len(row) + 1))
        x = area.left + _EDGE + (free - between * (len(row) - 1)) // 2
        for each in row:
            moves.append(_at(each.unit, x + each.left, y + above))
            x += each.wide + BETWEEN + between
        y += above + below + BETWEEN + share
    return _gathered(moves)


def _across(row: Sequence[_Sized]) -> int:
    return sum(e.wide for e in row) + BETWEEN * (len(row) - 1)


def _suits(row: Sequence[_Sized], each: _Sized) -> bool:
    """Whether a unit beside others makes their row hardly higher than the highest of all alone."""
    above, below = max(e.above for e in row), max(e.below for e in row)
    return max(above, each.above) + max(below, each.below) <= 1.25 * max(above + below, each.above + each.below)


def set_apart(
    units: Sequence[Unit],
    area: Area,
    taken: Sequence[Box] = (),
    near: dict[str, tuple[int, int]] | None = None,
) -> Laid | None:
    """Every unit where there is room; `near` its own place where it has one.

    All are moved to the middle together where nothing else is taken.
    """
    ground = Ground(area.width, area.height)
    for box in taken:
        ground.take(_moved(box, -area.left, -area.top))
    moves: list[tuple[Unit, int, int]] = []
    for unit in units:
        if unit.is_set:
            for room in (*(r.box for r in unit.block.rooms), *_lines(unit)):
                ground.take(_moved(room, -area.left, -area.top).grown(BETWEEN - 1))
            moves.append((unit, 0, 0))
            continue
        box = unit.block.box
        left, top = math.floor(box.left), math.floor(box.top)
        wish = None
        if near is not None and unit.root in near:
            root = next(i for i in unit.block.items if i.piece == unit.root)
            x, y = near[unit.root]
            wish = x - area.left - root.x + left, y - area.top - root.y + top
        found = ground.room(math.ceil(box.right) - left, math.ceil(box.bottom) - top, wish)
        if found is None:
            return None
        dx, dy = found[0] - left, found[1] - top
        for room in (*(r.box for r in unit.block.rooms), *_lines(unit)):
            ground.take(_moved(room, dx, dy).grown(BETWEEN - 1))
        moves.append((unit, dx + area.left, dy + area.top))
    if not taken and moves:
        wide = max(u.block.box.right + dx for u, dx, _dy in moves) - area.left
        high = max(u.block.box.bottom + dy for u, _dx, dy in moves) - area.top
        right, down = max(0, int(area.width - wide) // 2), max(0, int(area.height - high) // 2)
        moves = [(u, dx + right, dy + down) for u, dx, dy in moves]
    return _gathered(moves)


def _moved(b: Box, dx: int, dy: int) -> Box:
    return Box(b.left + dx, b.top + dy, b.right + dx, b.bottom + dy)


def _lines(unit: Unit) -> list[Box]:
    return [
        Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
        for track in unit.block.tracks
        for (ax, ay), (bx, by) in pairwise(track.points)
    ]
