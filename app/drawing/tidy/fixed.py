"""What stays where it is on a sheet that is tidied, and what is set on it straight. In grid steps."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import pairwise
from typing import NamedTuple

from app.drawing.added.remarks import remark_box, remarks_on
from app.drawing.area import Area
from app.drawing.blocks import Block
from app.drawing.labels import Sight, label_sheet
from app.drawing.looks import STEP
from app.drawing.pieces import Join
from app.drawing.placed import Piece, Point, Scene, paper
from app.drawing.room import Room
from app.drawing.routes import arrow_box
from app.drawing.tidy.columns import Columns
from engine.picture import Box

__all__ = ["Anchored", "Fixed", "anchored", "what_stays"]

_CLEAR = 1.0  # steps kept to what stays


class Fixed(NamedTuple):
    """Symbols that stay, the room that is taken, the lines that runs may cross."""

    symbols: dict[str, Piece]
    boxes: list[Box]
    lines: list[tuple[Point, ...]]

    @property
    def taken(self) -> list[Box]:
        """All of it as boxes."""
        return [*self.boxes, *(box for line in self.lines for box in _boxes(line))]


class Anchored(NamedTuple):
    """A branch set straight on what stays: its block, and where that is joined on."""

    block: Block
    at: Point


def what_stays(scene: Scene, sheet: str, wanted: Collection[str]) -> Fixed:
    """Of a sheet all that is not wanted: symbols with their labels, runs between them, remarks."""
    made = paper(scene.snapshot.sheets[sheet].size)
    sight = Sight(sheet, made.size, made.border.left, made.border.top, made.drawing_box.grown(2.5))
    symbols = {p.id: p for p in scene.on(sheet) if p.id not in wanted}
    boxes = [_steps(sight, remark_box(sight, remark)) for remark in remarks_on(scene.snapshot, sheet).values()]
    lines: list[tuple[Point, ...]] = []
    if not symbols:
        return Fixed({}, boxes, [])
    moved = {p.equipment for p in scene.on(sheet) if p.id in wanted}
    room: list[Box] = [sight.box(p.box) for p in scene.on(sheet)]
    for part in scene.parts_on(sheet):
        points = [sight.at(p) for p in part.points]
        room.extend(Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])).grown(0.35)
                    for a, b in pairwise(points))  # fmt: skip
        if part.near in wanted or part.far in wanted:
            moved.add(part.run)
            continue
        lines.append(part.points)
        if part.kind != "whole":
            boxes.append(arrow_box(part.points[-1], part.side))
    boxes.extend(p.box for p in symbols.values())
    labelled = label_sheet(scene, sight, room)
    boxes.extend(_steps(sight, box) for box, owner in labelled.boxes if owner not in moved)
    return Fixed(symbols, boxes, lines)


def _steps(sight: Sight, b: Box) -> Box:
    return Box(
        (b.left - sight.left) / STEP,
        (b.top - sight.top) / STEP,
        (b.right - sight.left) / STEP,
        (b.bottom - sight.top) / STEP,
    )


def _boxes(line: tuple[Point, ...]) -> Iterator[Box]:
    for (ax, ay), (bx, by) in pairwise(line):
        yield Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))


def anchored(
    towers: Columns, fixed: Fixed, room: Room, area: Area, join: Join, wish: Piece, above: str
) -> Anchored | None:
    """The branch that `join` leads to, straight on the symbol `above` that stays, near where it stands; or `None`."""
    symbol = fixed.symbols[above]
    if symbol.is_bar:
        (ax, ay), (bx, by) = symbol.ends()
        if ay != by:
            return None
        up = wish.placement.y <= ay
        ends = [(x, ay) for x in sorted(range(ax + 1, bx), key=lambda x: (abs(x - wish.placement.x), x))]
        sides = (-1, 1) if up else (1, -1)
    else:
        port = symbol.port(join.here)
        if port.side not in ("top", "bottom"):
            return None
        ends = [(port.x, port.y)]
        sides = (-1, -1) if port.side == "top" else (1, 1)
    for forward in dict.fromkeys(sides):
        block = towers.branch(join, forward)
        towers.settle(block, forward)
        boxes = [r.box for r in block.rooms]
        lines = [box for track in block.tracks for box in _boxes(track.points)]
        if block.entry is not None:  # its first step lies on what it is joined on
            entry = list(block.entry.points)
            entry[0] = (entry[0][0], entry[0][1] + forward)
            lines.extend(_boxes(tuple(entry)))
        for x, y in ends:
            moved = [Box(b.left + x, b.top + y, b.right + x, b.bottom + y) for b in (*boxes, *lines)]
            if all(_inside(b, area) and room.is_free(b) for b in moved):
                return Anchored(block, (x, y))
    return None


def _inside(b: Box, area: Area) -> bool:
    return (
        b.left >= area.left
        and b.top >= area.top
        and b.right <= area.left + area.width
        and b.bottom <= area.top + area.height
    )
