"""Ways of the plainest shapes, at once: at most four corners, three where the two ends lie crosswise.

Most runs need no more. They are tried by whole stretches, not by grid points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from engine.geometry import Pin, Roads
from engine.geometry.roads import BEND, CROSS
from engine.picture import Box

__all__ = ["FEW_CROSSINGS", "Plain", "plain_way", "way_cost"]

Point = tuple[int, int]
_STEP = ((0, -1), (1, 0), (0, 1), (-1, 0))
_FAR = 24  # grid steps a way goes on beyond what it needs, to turn
_PINS = 12  # places along a bus that are tried, the nearest first
_TURNS = 10  # places before an end where the way may turn that are tried
FEW_CROSSINGS = 2  # a way that crosses more is not so plain: a better one is sought


class Plain(NamedTuple):
    """A free way and what it costs."""

    points: tuple[Point, ...]
    cost: int
    crossings: int


def plain_way(roads: Roads, area: Box, starts: Sequence[Pin], stops: Sequence[Pin]) -> Plain | None:
    """The cheapest way of the plain shapes from one of `starts` to one of `stops`, `None` where none is free."""
    if not starts or not stops:  # a bus that lies off the sheet has no place for an end
        return None
    best: Plain | None = None
    near = _nearest(starts, stops)
    pairs = [(start, stop) for start in near for stop in _nearest(stops, [start])]
    for least, start, stop in sorted((_least(*pair), *pair) for pair in pairs):
        if best is not None and least >= best.cost:
            break
        best = _simplest(roads, area, start, stop, best)
        if best is None or best.crossings > FEW_CROSSINGS:
            best = _round_about(roads, area, start, stop, best)
    return best


def _least(start: Pin, stop: Pin) -> int:
    """What a way between two pins costs at least."""
    dx, dy = stop.x - start.x, stop.y - start.y
    far = abs(dx) + abs(dy)
    level = start.out % 2
    if level == stop.out % 2:
        straight = (dy if level else dx) == 0
        return far if straight else far + 2 * BEND
    return far + BEND


def _simplest(roads: Roads, area: Box, start: Pin, stop: Pin, best: Plain | None) -> Plain | None:
    """The best of the given and what is found between two pins with at most three corners."""
    for length, points in _shapes(roads, area, start, stop):
        cost = length + BEND * (len(points) - 2)
        if best is not None and cost >= best.cost:
            if len(points) > 3:
                return best  # those that follow are no shorter
            continue
        crossings = _free(roads, points)
        if crossings is None:
            continue
        cost += CROSS * crossings
        if best is not None and cost >= best.cost:
            continue
        cost += sum(roads.burden(a, b) for a, b in pairwise(points))
        if best is None or cost < best.cost:
            best = Plain(points, cost, crossings)
    return best


def way_cost(roads: Roads, points: Sequence[Point]) -> int:
    """What a free way costs, as `Roads.find` counts."""
    cost = BEND * (len(points) - 2)
    for a, b in pairwise(points):
        cost += abs(a[0] - b[0]) + abs(a[1] - b[1]) + CROSS * (roads.crossed(a, b) or 0) + roads.burden(a, b)
    return cost


def _nearest(pins: Sequence[Pin], to: Sequence[Pin]) -> list[Pin]:
    if len(pins) <= _PINS:
        return sorted(pins)
    return sorted(pins, key=lambda p: (min(abs(p.x - q.x) + abs(p.y - q.y) for q in to), p))[:_PINS]


def _free(roads: Roads, points: tuple[Point, ...]) -> int | None:
    """Lines crossed, `None` where something is in the way."""
    if not all(roads.vacant(p) for p in points[1:-1]):
        return None
    count = 0
    for a, b in pairwise(points):
        crossed = roads.crossed(a, b)
        if crossed is None:
            return None
        count += crossed
    return count


def _shapes(roads: Roads, area: Box, start: Pin, stop: Pin) -> Iterator[tuple[int, tuple[Point, ...]]]:
    """Ways that leave both pins outward, with their lengths: the plainer first, of those with most corners the shorter.

    Of ways that are as long the one that turns half-way comes first, and what turns beside it stands evenly about it.
    """
    s, g = (start.x, start.y), (stop.x, stop.y)
    axis, across = start.out % 2, stop.out % 2  # 1: level, 0: upright
    k = 0 if axis else 1  # the coordinate along the start
    along, aside = abs(s[k] - g[k]), abs(s[1 - k] - g[1 - k])
    if axis == across:
        if not aside:
            if _ahead(start, g[k], k) and _ahead(stop, s[k], k):
                yield along, (s, g)
            return
        far, back = roads.straight(start, along + _FAR), roads.straight(stop, along + _FAR)
        for more, value in _range(area, k, s[k], g[k]) if far and back else ():
            if (
                _ahead(start, value, k)
                and _ahead(stop, value, k)
                and abs(value - s[k]) <= far
                and abs(value - g[k]) <= back
                and roads.vacant(_at(s, k, value))
            ):
                yield along + aside + more, (s, _at(s, k, value), _at(g, k, value), g)
        return
    if _ahead(start, g[k], k) and _ahead(stop, s[1 - k], 1 - k):
        yield along + aside, (s, _at(s, k, g[k]), g)
    far, back = roads.straight(start, along + _FAR), roads.straight(stop, aside + _FAR)
    if not far or not back:
        return
    ones = [
        (more, one)
        for more, one in _range(area, k, s[k], g[k])
        if one != g[k] and abs(one - s[k]) <= far and _ahead(start, one, k) and roads.vacant(_at(s, k, one))
    ]
    others = [
        (more, other)
        for more, other in _range(area, 1 - k, s[1 - k], g[1 - k])
        if other != s[1 - k]
        and abs(other - g[1 - k]) <= back
        and _ahead(stop, other, 1 - k)
        and roads.vacant(_at(g, 1 - k, other))
    ]
    if not ones or not others:
        return
    for more in range(0, _FAR + 1, 2):
        for first in range(0, more + 1, 2):
            for one in (value for extra, value in ones if extra == first):
                for other in (value for extra, value in others if extra == more - first):
                    corner, last = _at(s, k, one), _at(g, 1 - k, other)
                    yield along + aside + more, (s, corner, _at(corner, 1 - k, other), last, g)


def _at(point: Point, k: int, value: int) -> Point:
    return (value, point[1]) if k == 0 else (point[0], value)


def _ahead(pin: Pin, value: int, k: int) -> bool:
    """Whether a coordinate lies before a pin, on the side it leaves by."""
    return (value - (pin.x, pin.y)[k]) * _STEP[pin.out][k] > 0


def _range(area: Box, k: int, a: int, b: int) -> list[tuple[int, int]]:
    """Coordinates between two and some way beyond, inside the drawing area, with the detour each is: least first, of
    those between from the middle outward.
    """
    low = int(area.left if k == 0 else area.top)
    high = int(area.right if k == 0 else area.bottom)
    way, middle = abs(a - b), (a + b) // 2
    every = range(max(low, min(a, b) - _FAR), min(high, max(a, b) + _FAR) + 1)
    found = sorted((abs(value - a) + abs(value - b) - way, abs(value - middle), value) for value in every)
    return [(more, value) for more, _off, value in found]


def _round_about(roads: Roads, area: Box, start: Pin, stop: Pin, best: Plain | None) -> Plain | None:
    """A way with four corners between two ends that lie alike: out, aside, along, back, in."""
    if start.out % 2 != stop.out % 2:
        return best
    k = 0 if start.out % 2 else 1
    j = 1 - k
    s, g = (start.x, start.y), (stop.x, stop.y)
    firsts, lasts = _turning(roads, area, start, k), _turning(roads, area, stop, k)
    if not firsts or not lasts:
        return best
    for _more, c in _range(area, j, s[j], g[j]):
        aside = abs(c - s[j]) + abs(c - g[j]) + 4 * BEND
        if best is not None and aside + abs(s[k] - g[k]) >= best.cost:
            break
        if c in (s[j], g[j]):
            continue
        ones = _reached(roads, s, firsts, k, c)
        others = _reached(roads, g, lasts, k, c)
        for a, more_a, far_a in ones:
            for b, more_b, far_b in others:
                cost = aside + far_a + abs(a - b) + far_b
                if a == b or (best is not None and cost >= best.cost):
                    continue
                first, last = _at(_at(s, k, a), j, c), _at(_at(g, k, b), j, c)
                crossed = roads.crossed(first, last)
                if crossed is None:
                    continue
                cost += CROSS * crossed
                if best is not None and cost >= best.cost:
                    continue
                cost += roads.burden(first, last)
                if best is None or cost < best.cost:
                    points = (s, _at(s, k, a), first, last, _at(g, k, b), g)
                    best = Plain(points, cost, more_a + more_b + crossed)
    return best


def _turning(roads: Roads, area: Box, pin: Pin, k: int) -> list[tuple[int, int, int]]:
    """Coordinates before a pin where a way may turn, the nearest first; lines crossed until there, what it costs."""
    at = (pin.x, pin.y)
    step = _STEP[pin.out][k]
    low = int(area.left if k == 0 else area.top)
    high = int(area.right if k == 0 else area.bottom)
    made: list[tuple[int, int, int]] = []
    for n in range(1, _FAR + 1):
        value = at[k] + step * n
        if not low <= value <= high or len(made) == _TURNS:
            break
        there = _at(at, k, value)
        crossed = roads.crossed(at, there)
        if crossed is None:
            break
        if roads.vacant(there):
            made.append((value, crossed, n + CROSS * crossed + roads.burden(at, there)))
    return made


def _reached(
    roads: Roads, at: Point, turning: list[tuple[int, int, int]], k: int, c: int
) -> list[tuple[int, int, int]]:
    """Those turning places from which a column (or row) is reached; lines crossed until there, what it costs more."""
    made: list[tuple[int, int, int]] = []
    for value, before, cost in turning:
        corner = _at(at, k, value)
        there = _at(corner, 1 - k, c)
        if roads.vacant(there):
            crossed = roads.crossed(corner, there)
            if crossed is not None:
                made.append((value, before + crossed, cost + CROSS * crossed + roads.burden(corner, there)))
    return made
