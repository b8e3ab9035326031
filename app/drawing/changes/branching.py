"""Where a run may branch off the line of another one that already leaves its terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from app.drawing.placed import Piece, Point
from engine.geometry import Pin, Roads

__all__ = ["branches", "ways_at"]

_REACH = 24  # grid steps along such a line that are tried
_STEP = ((0, -1), (1, 0), (0, 1), (-1, 0))


def branches(roads: Roads, piece: Piece, lines: Iterable[tuple[Point, ...]]) -> dict[Pin, tuple[Point, ...]]:
    """Pins on lines that leave one terminal of a symbol, each with the way from the terminal to it.

    One may leave the line aside where nothing else is, and straight on where it turns; never where three meet already:
    a fourth joins a little further on, so that no dot could be taken for two lines that cross.
    """
    found: dict[Pin, tuple[Point, ...]] = {}
    if piece.is_bar:
        return found
    every = list(lines)
    corners: dict[Point, set[int]] = {}
    for line in every:
        for point in {p for other in every for p in other[1:-1]}:
            corners.setdefault(point, set()).update(ways_at(point, line))
    for line in every:
        for pin, way in _along(roads, line):
            met = corners.get((pin.x, pin.y), set())
            if pin.out in met or len(met) > 2:
                continue
            if pin not in found or len(way) < len(found[pin]):
                found[pin] = way
    return found


def ways_at(point: Point, line: Sequence[Point]) -> Iterator[int]:
    """The directions in which a line goes on from a point, where it passes there."""
    x, y = point
    for a, b in pairwise(line):
        if min(a[0], b[0]) <= x <= max(a[0], b[0]) and min(a[1], b[1]) <= y <= max(a[1], b[1]):
            yield from (_way(point, end) for end in (a, b) if end != point)


def _along(roads: Roads, line: tuple[Point, ...]) -> Iterable[tuple[Pin, tuple[Point, ...]]]:
    gone = 0
    for n, (a, b) in enumerate(pairwise(line)):
        way = _way(a, b)
        dx, dy = _STEP[way]
        for step in range(1, abs(b[0] - a[0]) + abs(b[1] - a[1])):
            gone += 1
            at = (a[0] + dx * step, a[1] + dy * step)
            if gone > _REACH:
                return
            # a third line that crosses here would seem to be joined too
            if roads.crossed((at[0] - dy, at[1] - dx), (at[0] + dy, at[1] + dx)) == 1:
                for out in ((way + 1) % 4, (way + 3) % 4):
                    yield Pin(*at, out), (*line[: n + 1], at)
        gone += 1
        if n + 2 < len(line):
            for out in (way, (_way(b, line[n + 2]) + 2) % 4):
                yield Pin(*b, out), line[: n + 2]


def _way(a: Point, b: Point) -> int:
    return _STEP.index(((b[0] > a[0]) - (b[0] < a[0]), (b[1] > a[1]) - (b[1] < a[1])))
