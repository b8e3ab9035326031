"""Orthogonal routes on a grid of whole steps, x right, y down."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from engine.picture import Box

__all__ = ["EAST", "NORTH", "SOUTH", "WEST", "Found", "Pin", "Point", "Roads", "turns"]

Point = tuple[int, int]
NORTH, EAST, SOUTH, WEST = range(4)
_STEP = ((0, -1), (1, 0), (0, 1), (-1, 0))


class Pin(NamedTuple):
    """A grid point where a route may begin or end, and the direction it leaves the thing it belongs to."""

    x: int
    y: int
    out: int  # NORTH, EAST, SOUTH or WEST


class Found(NamedTuple):
    """A route from the first to the last point, corners between."""

    points: tuple[Point, ...]
    bends: int
    crossings: int
    length: int


def turns(points: Sequence[Point]) -> tuple[Point, ...]:
    """The points without those that change nothing: repeats, and points on a straight stretch."""
    kept: list[Point] = []
    for p in points:
        if kept and kept[-1] == p:
            continue
        if len(kept) > 1:
            (ax, ay), (bx, by) = kept[-2], kept[-1]
            on_line = (ax == bx == p[0] and (by - ay) * (p[1] - by) > 0) or (
                ay == by == p[1] and (bx - ax) * (p[0] - bx) > 0
            )
            if on_line:
                kept[-1] = p
                continue
        kept.append(p)
    return tuple(kept)


_BEND, _CROSS = 4, 6  # what a bend and a crossing cost, in steps of way
_FEW = 500  # states looked at from the goals backward
_CLOSED, _ACROSS, _DOWN = 4, 1, 2  # a grid point: nothing passes; a line passes across it; one passes down it


class Roads:
    """A sheet's grid, what stands on it and what runs over it; finds further orthogonal routes.

    A route keeps out of boxes, never runs along another, and crosses one only straight and at a right angle.
    """

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width + 1, height + 1
        self._at = bytearray(self.width * self.height)

    def _index(self, x: int, y: int) -> int | None:
        return y * self.width + x if 0 <= x < self.width and 0 <= y < self.height else None

    def close(self, box: Box) -> None:
        """No route through the inside of `box` (in steps)."""
        for y in range(max(0, _above(box.top)), min(self.height, _below(box.bottom) + 1)):
            for x in range(max(0, _above(box.left)), min(self.width, _below(box.right) + 1)):
                self._at[y * self.width + x] |= _CLOSED

    def run(self, points: Sequence[Point]) -> None:
        """A line that runs here: others may cross its straight stretches."""
        for n, (a, b) in enumerate(itertools.pairwise(points)):
            if a[1] == b[1]:
                for x in range(min(a[0], b[0]), max(a[0], b[0]) + 1):
                    self._mark(x, a[1], _ACROSS)
            else:
                for y in range(min(a[1], b[1]), max(a[1], b[1]) + 1):
                    self._mark(a[0], y, _DOWN)
            if n:
                self._mark(*a, _CLOSED)
        for end in (points[0], points[-1]):
            self._mark(*end, _CLOSED)

    def _mark(self, x: int, y: int, what: int) -> None:
        at = self._index(x, y)
        if at is not None:
            self._at[at] |= what

    def free(self, points: Sequence[Point]) -> bool:
        """Whether a line through `points` touches nothing but its own two ends, crossings at right angles allowed."""
        inner = points[0], points[-1]
        for a, b in itertools.pairwise(points):
            across = a[1] == b[1]
            for x in range(min(a[0], b[0]), max(a[0], b[0]) + 1):
                for y in range(min(a[1], b[1]), max(a[1], b[1]) + 1):
                    at = self._index(x, y)
                    if at is None:
                        return False
                    if (x, y) in inner:
                        continue
                    here = self._at[at]
                    if here and ((x, y) in points or here != (_DOWN if across else _ACROSS)):
                        return False
        return True

    def crossed(self, a: Point, b: Point) -> int | None:
        """How many lines a level or upright stretch crosses between two points, they not counted; `None`: not free."""
        if a[1] == b[1]:
            first, last, step, allowed = a[1] * self.width + min(a[0], b[0]), abs(a[0] - b[0]), 1, b"\0\2"
        else:
            first, last, step, allowed = min(a[1], b[1]) * self.width + a[0], abs(a[1] - b[1]), self.width, b"\0\1"
        cells = self._at[first + step : first + last * step : step]
        return None if cells.strip(allowed) else len(cells) - cells.count(0)

    def vacant(self, point: Point) -> bool:
        """Whether nothing is or passes there, so that a line may bend."""
        at = self._index(*point)
        return at is not None and not self._at[at]

    def find(
        self,
        starts: Iterable[Pin],
        goals: Iterable[Pin],
        *,
        most: int = 400,
        reach: Box | None = None,
        steps: int | None = None,
    ) -> Found | None:
        """The cheapest route from any of `starts` to any of `goals`, `None` when there is none within the cost `most`.

        It leaves a start outward and arrives at a goal inward. `reach` bounds the search, `steps` its work. Cost: a
        step 1, a bend 4, a crossing 6; ties go to the first in the order of the grid, so that every run finds the same
        route.
        """
        # what stands beyond the grid is not led anywhere
        begin = sorted({p for p in starts if self._index(p.x, p.y) is not None})
        ends = sorted(set(goals))
        if not begin or not ends:
            return None
        left, top, right, bottom = (0, 0, self.width - 1, self.height - 1)
        if reach is not None:
            left, top = max(left, int(reach.left)), max(top, int(reach.top))
            right, bottom = min(right, int(reach.right)), min(bottom, int(reach.bottom))
        goal = {(p.x, p.y, (p.out + 2) % 4) for p in ends}
        spots = {(x, y) for x, y, _d in goal}
        gl, gr = min(x for x, _y in spots), max(x for x, _y in spots)
        gt, gb = min(y for _x, y in spots), max(y for _x, y in spots)

        def left_to_go(x: int, y: int) -> int:
            return max(gl - x, 0, x - gr) + max(gt - y, 0, y - gb)

        if self._walled_in(goal, {(p.x, p.y, p.out) for p in begin}, (left, top, right, bottom)):
            return None
        best: dict[tuple[int, int, int], int] = {}
        came: dict[tuple[int, int, int], tuple[int, int, int] | None] = {}
        heap: list[tuple[int, int, tuple[int, int, int], tuple[int, int, int] | None]] = []
        for p in begin:
            heapq.heappush(heap, (left_to_go(p.x, p.y), 0, (p.x, p.y, p.out), None))
        grid, wide = self._at, self.width
        while heap:
            _guess, cost, state, before = heapq.heappop(heap)
            if state in best:
                continue
            best[state] = cost
            came[state] = before
            if steps is not None and len(best) > steps:
                return None
            if state in goal and before is not None:
                return self._told(came, state)
            x, y, d = state
            first = before is None
            for turn in (0, 1, 3):
                if turn and first:
                    continue  # straight out of a terminal
                nd = (d + turn) % 4
                here = grid[y * wide + x]
                if turn and not first and here:
                    continue  # no bend on another line
                nx, ny = x + _STEP[nd][0], y + _STEP[nd][1]
                if not (left <= nx <= right and top <= ny <= bottom):
                    continue
                there = grid[ny * wide + nx]
                more = cost + 1 + (_BEND if turn else 0)
                if there and (nx, ny) not in spots:
                    if there & _CLOSED or there != (_DOWN if nd in (EAST, WEST) else _ACROSS):
                        continue
                    more += _CROSS
                elif (nx, ny) in spots and (nx, ny, nd) not in goal:
                    continue
                after = (nx, ny, nd)
                guess = more + left_to_go(nx, ny)
                if guess <= most and after not in best:
                    heapq.heappush(heap, (guess, more, after, state))
        return None

    def _walled_in(
        self, goal: set[tuple[int, int, int]], starts: set[tuple[int, int, int]], reach: tuple[int, int, int, int]
    ) -> bool:
        """Whether a few steps back from the goals show that nothing leads there, before all the sheet is searched."""
        spots = {(x, y) for x, y, _d in goal}
        seen = set(goal)
        todo = list(goal)
        left, top, right, bottom = reach
        for nx, ny, nd in todo:
            x, y = nx - _STEP[nd][0], ny - _STEP[nd][1]
            if (x, y, nd) in starts:
                return False
            if not (left <= x <= right and top <= y <= bottom):
                continue
            here = self._at[y * self.width + x]
            for turn in (0, 1, 3):
                before = (x, y, (nd - turn) % 4)
                if before in seen or (turn and here):
                    continue
                if here and (x, y) not in spots:
                    if here & _CLOSED or here != (_DOWN if before[2] in (EAST, WEST) else _ACROSS):
                        continue
                elif (x, y) in spots and before not in goal:
                    continue
                seen.add(before)
                todo.append(before)
            if len(seen) > _FEW:
                return False
        return True

    def _told(
        self, came: dict[tuple[int, int, int], tuple[int, int, int] | None], state: tuple[int, int, int]
    ) -> Found:
        way: list[Point] = []
        at: tuple[int, int, int] | None = state
        while at is not None:
            way.append(at[:2])
            at = came[at]
        way.reverse()
        points = turns(way)
        crossings = sum(1 for x, y in way[1:-1] if self._at[y * self.width + x])
        return Found(points, max(0, len(points) - 2), crossings, len(way) - 1)


def _above(value: float) -> int:
    """The first whole number above `value`."""
    return int(np.floor(value + 1e-9)) + 1


def _below(value: float) -> int:
    """The last whole number below `value`."""
    return int(np.ceil(value - 1e-9)) - 1
