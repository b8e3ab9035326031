"""A run over corners that a person set: they stay where they are, the two end stretches follow what they lead to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from engine.geometry import squared, turns

__all__ = ["line_over"]

Point = tuple[int, int]
WAY = {"top": (0, -1), "right": (1, 0), "bottom": (0, 1), "left": (-1, 0)}
_CLEAR = (2, 1, 3)  # steps straight out of a terminal before a corner
_INWARD, _BACK, _ASIDE, _CORNER = 100, 50, 6, 4  # what is bad of an end stretch, in steps of way


def line_over(
    begin: Point, leaves: Sequence[str], bends: Sequence[Point], end: Point, arrives: Sequence[str]
) -> tuple[Point, ...]:
    """The line from terminal to terminal over the corners, every stretch level or upright.

    `leaves`, `arrives`: the sides by which it may leave what it begins and ends at, "top", "left", ...; none: any.
    """
    first = _first(begin, leaves, bends, end, () if bends else arrives)
    if not bends:
        return turns(first)
    last = _first(end, arrives, bends[::-1], begin, ())
    middle = squared(bends)
    return turns((*first[:-1], *middle, *reversed(last[:-1])))


def _first(
    tip: Point, leaves: Sequence[str], bends: Sequence[Point], far: Point, arrives: Sequence[str]
) -> list[Point]:
    """From a terminal to the first corner, where there is none to the other end: the plainest that leaves outward.

    A corner that was set level with a terminal, or straight above or below it, is led to as it was set.
    """
    goal = bends[0] if bends else far
    onward = _way(goal, bends[1]) if len(bends) > 1 else (0, 0)
    return list(min(_shapes(tip, leaves, goal), key=lambda line: (_cost(line, leaves, onward, arrives), line)))


def _shapes(tip: Point, leaves: Sequence[str], goal: Point) -> Iterator[tuple[Point, ...]]:
    (x, y), (gx, gy) = tip, goal
    if x == gx or y == gy:
        yield tip, goal
    yield tip, (x, gy), goal
    yield tip, (gx, y), goal
    for side in leaves:
        dx, dy = WAY[side]
        for long in _CLEAR:
            out = x + dx * long, y + dy * long
            yield tip, out, (gx, out[1]), goal
            yield tip, out, (out[0], gy), goal


def _cost(line: Sequence[Point], leaves: Sequence[str], onward: Point, arrives: Sequence[str]) -> int:
    line = turns(line)
    if len(line) < 2:
        return 0
    cost = _CORNER * (len(line) - 2) + sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in pairwise(line))
    cost += _against(_way(line[0], line[1]), leaves) + _against(_way(line[-1], line[-2]), arrives)
    into = _way(line[-2], line[-1])
    if onward != (0, 0) and into == (-onward[0], -onward[1]):
        cost += _BACK  # it would lie on the stretch that follows
    ways = [_way(a, b) for a, b in pairwise(line)]
    return cost + _BACK * sum(a == (-b[0], -b[1]) for a, b in pairwise(ways))


def _against(way: Point, sides: Sequence[str]) -> int:
    """What is bad of leaving a terminal that way: through its symbol, along its edge."""
    out = [WAY[side] for side in sides]
    if not out or way in out:
        return 0
    return _INWARD if len(out) > 1 or way == (-out[0][0], -out[0][1]) else _ASIDE


def _way(a: Point, b: Point) -> Point:
    return (b[0] > a[0]) - (b[0] < a[0]), (b[1] > a[1]) - (b[1] < a[1])
