"""Orthogonal routes on a grid of whole steps, x right, y down."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from engine.picture import Box

__all__ = [
    "BEND",
    "BESIDE",
    "CROSS",
    "EAST",
    "NORTH",
    "SOUTH",
    "WEST",
    "Found",
    "Pin",
    "Point",
    "Roads",
    "squared",
    "turns",
]

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


def squared(points: Sequence[Point]) -> list[Point]:
    """The points with a corner put in wherever two are neither level nor upright."""
    made: list[Point] = []
    for p in points:
        if made and p[0] != made[-1][0] and p[1] != made[-1][1]:
            made.append((made[-1][0], p[1]))
        made.append(p)
    return made


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


BEND, CROSS = 4, 6  # what a bend and a crossing cost, in steps of way
BESIDE, SHADE = 1, 2  # what a step costs more beside another line, over a label
_FEW = 500  # states looked at from the goals backward
_CLOSED, _ACROSS, _DOWN = 4, 1, 2  # a grid point: nothing passes; a line passes across it; one passes down it
_SHADED = 4  # of what is near a grid point: a label; `_ACROSS`, `_DOWN`: a line that passes so one step aside
_OR = {what: bytes(value | what for value in range(256)) for what in (_ACROSS, _DOWN, _CLOSED)}
# what a step costs more for what is near, down a column and along a row
_MORE = tuple(
    bytes((BESIDE if near & beside else 0) + (SHADE if near & _SHADED else 0) for near in range(256))
    for beside in (_DOWN, _ACROSS)
)


class Roads:
    """A sheet's grid, what stands on it and what runs over it; finds further orthogonal routes.

    A route keeps out of boxes, never runs along another, and crosses one only straight and at a right angle. It rather
    keeps a step of room to what runs beside it, so that several lie evenly spaced, and off labels.
    """

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width + 1, height + 1
        self._at = bytearray(self.width * self.height)
        self._near = bytearray(self.width * self.height)

    def copy(self) -> Roads:
        """The same grid, to be marked apart."""
        made = Roads(self.width - 1, self.height - 1)
        made._at, made._near = self._at[:], self._near[:]
        return made

    def _index(self, x: int, y: int) -> int | None:
        return y * self.width + x if 0 <= x < self.width and 0 <= y < self.height else None

    def _fill(self, cells: bytearray, box: Box, what: int) -> None:
        left, right = max(0, _above(box.left)), min(self.width, _below(box.right) + 1)
        for y in range(max(0, _above(box.top)), min(self.height, _below(box.bottom) + 1)):
            first, last = y * self.width + left, y * self.width + right
            cells[first:last] = cells[first:last].translate(_OR[what])

    def close(self, box: Box) -> None:
        """No route through the inside of `box` (in steps)."""
        self._fill(self._at, box, _CLOSED)

    def shade(self, box: Box) -> None:
        """A label stands in `box` (in steps): routes rather go elsewhere."""
        self._fill(self._near, box, _SHADED)

    def run(self, points: Sequence[Point]) -> None:
        """A line that runs here: others may cross its straight stretches."""
        for n, (a, b) in enumerate(itertools.pairwise(points)):
            if a[1] == b[1]:
                left, right = max(0, min(a[0], b[0])), min(self.width - 1, max(a[0], b[0]))
                for y, cells in ((a[1], self._at), (a[1] - 1, self._near), (a[1] + 1, self._near)):
                    if 0 <= y < self.height and left <= right:
                        first, last = y * self.width + left, y * self.width + right + 1
                        cells[first:last] = cells[first:last].translate(_OR[_ACROSS])
            else:
                top, bottom = max(0, min(a[1], b[1])), min(self.height - 1, max(a[1], b[1]))
                for x, cells in ((a[0], self._at), (a[0] - 1, self._near), (a[0] + 1, self._near)):
                    if 0 <= x < self.width and top <= bottom:
                        part = slice(top * self.width + x, bottom * self.width + x + 1, self.width)
                        cells[part] = cells[part].translate(_OR[_DOWN])
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

    def straight(self, pin: Pin, most: int) -> int:
        """How many steps a line may go straight out of a pin, at most so many, before something is in its way."""
        if self._index(pin.x, pin.y) is None:
            return 0
        at, lead = pin.y * self.width + pin.x, (-self.width, 1, self.width, -1)[pin.out]
        room = (pin.y, self.width - 1 - pin.x, self.height - 1 - pin.y, pin.x)[pin.out]
        passes = _DOWN if pin.out % 2 else _ACROSS
        for step in range(1, min(most, room) + 1):
            here = self._at[at + lead * step]
            if here and here != passes:
                return step - 1
        return min(most, room)

    def burden(self, a: Point, b: Point) -> int:
        """What a level or upright stretch costs beyond its length for lines that run beside it and labels under it."""
        if a[1] == b[1]:
            first, last, step, more = a[1] * self.width + min(a[0], b[0]), abs(a[0] - b[0]), 1, _MORE[1]
        else:
            first, last, step, more = min(a[1], b[1]) * self.width + a[0], abs(a[1] - b[1]), self.width, _MORE[0]
        cells = self._near[first : first + last * step + 1 : step]
        return sum(cells.translate(more)) if any(cells) else 0

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
        step 1, a bend 4, a crossing 6; a step beside another line 1 more, over a label 2. Ties go to the first in the
        order of the grid, so that every run finds the same route.
        """
        # what stands beyond the grid is not led anywhere
        begin = sorted({p for p in starts if self._index(p.x, p.y) is not None})
        ends = sorted({p for p in goals if self._index(p.x, p.y) is not None})
        if not begin or not ends:
            return None
        left, top, right, bottom = (0, 0, self.width - 1, self.height - 1)
        if reach is not None:
            left, top = max(left, int(reach.left)), max(top, int(reach.top))
            right, bottom = min(right, int(reach.right)), min(bottom, int(reach.bottom))
        inward = {(p.x, p.y, (p.out + 2) % 4) for p in ends}
        if self._walled_in(inward, {(p.x, p.y, p.out) for p in begin}, (left, top, right, bottom)):
            return None
        return self._search(begin, ends, (left, top, right, bottom), most, steps)

    def _search(
        self,
        begin: Sequence[Pin],
        ends: Sequence[Pin],
        reach: tuple[int, int, int, int],
        most: int,
        steps: int | None,
    ) -> Found | None:
        """A* over grid points and directions, each state one whole number: point * 4 + direction."""
        wide, grid, near = self.width, self._at, self._near
        left, top, right, bottom = reach
        low, high = top * wide, (bottom + 1) * wide  # of points inside, rows only
        goal = {(p.y * wide + p.x) * 4 + (p.out + 2) % 4 for p in ends}
        spots = {state >> 2 for state in goal}
        gl, gr = min(p.x for p in ends), max(p.x for p in ends)
        gt, gb = min(p.y for p in ends), max(p.y for p in ends)

        def left_to_go(x: int, y: int, d: int) -> int:
            east, south = gl - x if x < gl else min(gr - x, 0), gt - y if y < gt else min(gb - y, 0)
            ahead, aside = (east, south) if d % 2 else (south, east)
            if d in (NORTH, WEST):
                ahead = -ahead
            bends = 2 if ahead < 0 else 1 if aside else 0  # at least so many from here
            return abs(ahead) + abs(aside) + BEND * bends

        came: dict[int, int] = {}  # settled states and the state before each
        heap = [(left_to_go(p.x, p.y, p.out), 0, (p.y * wide + p.x) * 4 + p.out, -1) for p in begin]
        heapq.heapify(heap)
        leads = (-wide, 1, wide, -1)
        while heap:
            _guess, cost, state, before = heapq.heappop(heap)
            if state in came:
                continue
            came[state] = before
            if steps is not None and len(came) > steps:
                return None
            if state in goal and before >= 0:
                return self._told(came, state)
            at, d = state >> 2, state & 3
            # straight out of a terminal, and no bend on another line
            for turn in (0,) if before < 0 or grid[at] else (0, 1, 3):
                nd = (d + turn) & 3
                there = at + leads[nd]
                y, x = divmod(there, wide)
                if not low <= there < high or not left <= x <= right or (nd & 1 and y != at // wide):
                    continue
                after = there * 4 + nd
                if after in came:
                    continue
                more = cost + 1 + (BEND if turn else 0)
                what = grid[there]
                if there in spots:
                    if after not in goal:
                        continue
                elif what:
                    if what != (_DOWN if nd & 1 else _ACROSS):
                        continue
                    more += CROSS
                if near[there]:
                    more += _MORE[nd & 1][near[there]]
                guess = more + left_to_go(x, y, nd)
                if guess <= most:
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

    def _told(self, came: dict[int, int], state: int) -> Found:
        way: list[int] = []
        while state >= 0:
            way.append(state >> 2)
            state = came[state]
        way.reverse()
        points = turns([(at % self.width, at // self.width) for at in way])
        crossings = sum(1 for at in way[1:-1] if self._at[at])
        return Found(points, max(0, len(points) - 2), crossings, len(way) - 1)


def _above(value: float) -> int:
    """The first whole number above `value`."""
    return int(np.floor(value + 1e-9)) + 1


def _below(value: float) -> int:
    """The last whole number below `value`."""
    return int(np.ceil(value - 1e-9)) - 1
