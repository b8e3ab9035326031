"""Strokes, areas and words cut at the edge of an upright box, so that what is left stands on any surface by itself.

Curves that cross the edge become short strokes (a sixteenth of a curve each: within 0.1 mm at the size of symbols).
Words are left whole: those that do not lie inside the box with all of their letters are left out.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator

from engine.picture import Box, Path, Primitive, Segment, Text, path_box, text_box

__all__ = ["CLEAR", "clipped", "reach"]

_PIECES = 16  # of a curve
CLEAR = 1.0  # mm between words and the edge
_Point = tuple[float, float]


def reach(primitive: Primitive) -> Box:
    """The box a primitive covers."""
    return text_box(primitive) if isinstance(primitive, Text) else path_box(primitive)


def clipped(primitives: Iterable[tuple[Primitive, Box]], window: Box) -> Iterator[Primitive]:
    """What of the primitives, each given with the box it covers, lies inside the window."""
    within = window.grown(-CLEAR)
    for primitive, box in primitives:
        if _holds(within if isinstance(primitive, Text) else window, box):
            yield primitive
        elif isinstance(primitive, Path) and _touch(window, box):
            yield from _cut(primitive, window)


def _holds(window: Box, box: Box) -> bool:
    inside = window.left <= box.left and box.right <= window.right
    return inside and window.top <= box.top and box.bottom <= window.bottom


def _touch(window: Box, box: Box) -> bool:
    across = box.left <= window.right and window.left <= box.right
    return across and box.top <= window.bottom and window.top <= box.bottom


def _cut(path: Path, window: Box) -> Iterator[Path]:
    lines = list(_lines(path))
    if path.fill is not None:
        areas: list[Segment] = []
        for points in lines:
            corners = _area(points, window)
            if len(corners) > 2:
                areas.extend((*_joined(corners), ("Z",)))
        if areas:
            yield path._replace(segments=tuple(areas), width=0.0)
    if path.width > 0:
        strokes = [s for points in lines for s in _strokes(points, window)]
        if strokes:
            yield path._replace(segments=tuple(strokes), fill=None)


def _lines(path: Path) -> Iterator[list[_Point]]:
    """The points each part of a path runs through."""
    points: list[_Point] = []
    for segment in path.segments:
        letter, *at = segment
        if letter == "M":
            if len(points) > 1:
                yield points
            points = [(at[0], at[1])]
        elif letter == "L":
            points.append((at[0], at[1]))
        elif letter == "C":
            points.extend(_curve(points[-1], at))
        elif points:
            points.append(points[0])
    if len(points) > 1:
        yield points


def _curve(start: _Point, at: list[float]) -> Iterator[_Point]:
    x1, y1, x2, y2, x3, y3 = at
    for n in range(1, _PIECES + 1):
        t = n / _PIECES
        u = 1 - t
        a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        yield a * start[0] + b * x1 + c * x2 + d * x3, a * start[1] + b * y1 + c * y2 + d * y3


def _strokes(points: list[_Point], window: Box) -> Iterator[Segment]:
    """What of a line lies inside: Liang and Barsky's clipping (1984; from memory)."""
    last: _Point | None = None
    for a, b in itertools.pairwise(points):
        part = _part(a, b, window)
        if part is None:
            last = None
            continue
        start, end = part
        if start != last:
            yield ("M", *start)
        yield ("L", *end)
        last = end if end == b else None


def _part(a: _Point, b: _Point, window: Box) -> tuple[_Point, _Point] | None:
    dx, dy = b[0] - a[0], b[1] - a[1]
    low, high = 0.0, 1.0
    for step, room in (
        (-dx, a[0] - window.left),
        (dx, window.right - a[0]),
        (-dy, a[1] - window.top),
        (dy, window.bottom - a[1]),
    ):
        if step == 0:
            if room < 0:
                return None
        elif step < 0:
            low = max(low, room / step)
        else:
            high = min(high, room / step)
    if low > high:
        return None
    start = a if low == 0.0 else (a[0] + low * dx, a[1] + low * dy)
    return start, b if high == 1.0 else (a[0] + high * dx, a[1] + high * dy)


def _area(points: list[_Point], window: Box) -> list[_Point]:
    """What of an area lies inside: Sutherland and Hodgman's clipping (1974; from memory), one edge after the other."""
    made = points
    for axis, edge, sign in ((0, window.left, 1), (0, window.right, -1), (1, window.top, 1), (1, window.bottom, -1)):
        before, made = made, []
        for a, b in zip(before, [*before[1:], *before[:1]], strict=True):
            a_in, b_in = sign * (a[axis] - edge) >= 0, sign * (b[axis] - edge) >= 0
            if a_in != b_in:
                t = (edge - a[axis]) / (b[axis] - a[axis])
                made.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))
            if b_in:
                made.append(b)
    return made


def _joined(points: list[_Point]) -> Iterator[Segment]:
    for n, (x, y) in enumerate(points):
        yield ("L" if n else "M", x, y)
