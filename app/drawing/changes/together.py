"""Several runs of a sheet led anew at once, so that none is in another's way more than need be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from app.drawing.changes.plain_ways import plain_way
from app.drawing.changes.ways import Ways
from app.drawing.placed import Piece, Point
from engine.geometry import Pin, Roads
from engine.installation import Run

__all__ = ["lead_together"]

_LOST = 10_000  # what a run costs that finds no way
_ROUNDS, _FEW, _MOST = 2, 8, 24  # how often a few runs look for a better way; so many do it once, where asked for
_FAIL_FIRST = 2  # how often all are led again with those first that found no way

Pins = tuple[Sequence[Pin], Sequence[Pin]]
Line = tuple[Point, ...]


def lead_together(
    ways: Ways,
    runs: Iterable[str],
    *,
    wishes: Mapping[str, Pins] | None = None,
    now: Mapping[str, Line] | None = None,
    thorough: bool = False,
) -> set[str]:
    """Find runs a way and keep it; those that find none lose their record and are told.

    `wishes`: where a run may begin and end; `now`: ways they go now, kept where none is better.
    `thorough`: it was asked for, and may take longer.
    """
    done = _Together(ways, wishes or {}, now or {})
    every = list(dict.fromkeys(runs))
    order = done.ordered(every)
    may_try = len(every) <= (_MOST if thorough else _FEW)
    best = done.led(order)
    for _again in range(_FAIL_FIRST if may_try else 0):
        lost = [item for item in order if item not in best]
        if not lost or len(lost) == len(order):
            break
        order = [*lost, *(item for item in order if item in best)]
        other = done.led(order)
        if len(other) <= len(best):
            break
        best = other
    if may_try:
        best = done.better(best)
    done.start()
    for item in every:
        ways.keep(item, best.get(item))
    return {item for item in every if item not in best}


class _Together:
    """Tries: each starts from the grid without the runs that are led."""

    def __init__(self, ways: Ways, wishes: Mapping[str, Pins], now: Mapping[str, Line]) -> None:
        self.ways, self.wishes, self.now = ways, wishes, now
        self.empty: Roads = ways.grid.copy()
        self.alone: dict[str, int] = {}  # what the plain way of a run costs where no other is led

    def start(self, but: Mapping[str, Line] | None = None) -> None:
        """From the beginning, with these runs led."""
        ways = self.ways
        ways.grid = self.empty.copy()
        for item in list(ways.led):
            ways.drop(item)
        for item, line in (but or {}).items():
            ways.take(item, line, self.pair(item))

    def pair(self, item: str) -> tuple[Piece, Piece]:
        """The two symbols of a run that has both here."""
        run: Run = self.ways.draft.get("runs", item)
        found = self.ways.ends(run)
        assert found is not None
        return found

    def ordered(self, items: Sequence[str]) -> list[str]:
        """Those first that have a plain cheap way of their own: what goes straight is not pushed aside by others."""
        costs = self.alone
        for item in items:
            run: Run = self.ways.draft.get("runs", item)
            if self.ways.ends(run) is None:
                costs[item] = _LOST
                continue
            starts, stops = self.pins(item)
            plain = plain_way(self.empty, self.ways.area, starts, stops)
            costs[item] = _LOST if plain is None else plain.cost
            if item in self.now and self.fits(item, self.empty):
                costs[item] = min(costs[item], self.cost(self.now[item], self.empty))
        return sorted(items, key=lambda item: costs[item])

    def pins(self, item: str) -> Pins:
        """Where a run may begin and end."""
        return self.ways.ends_of(item, *self.wishes.get(item, ((), ())))

    def cost(self, line: Line, grid: Roads) -> int:
        """What a way costs in a grid."""
        was, self.ways.grid = self.ways.grid, grid
        cost = self.ways.cost(line)
        self.ways.grid = was
        return cost

    def fits(self, item: str, grid: Roads) -> bool:
        """Whether the way a run goes now is free in a grid, begins and ends where it should."""
        line = self.now[item]
        starts, stops = self.wishes.get(item, ((), ()))
        if any(told and end not in {(p.x, p.y) for p in told} for told, end in ((starts, line[0]), (stops, line[-1]))):
            return False
        rest = self.ways.apart(item, line)  # on the line of another run of the same terminal it may lie
        return all(grid.vacant(p) for p in rest[1:-1]) and all(
            grid.crossed(a, b) is not None for a, b in pairwise(rest)
        )

    def seek(self, item: str) -> Line | None:
        """The best way of a run as things are; that which it goes now where none is better."""
        found = self.ways.seek(item, *self.wishes.get(item, ((), ())))
        if item in self.now and self.fits(item, self.ways.grid):
            now = self.now[item]
            if found is None or self.ways.cost(now) <= self.ways.cost(found):
                return now
        return found

    def led(self, order: Iterable[str]) -> dict[str, Line]:
        """All of them, one after the other; those that find no way are left out."""
        self.start()
        made: dict[str, Line] = {}
        for item in order:
            found = self.seek(item)
            if found is not None:
                self.ways.take(item, found, self.pair(item))
                made[item] = found
        return made

    def better(self, led: dict[str, Line]) -> dict[str, Line]:
        """Each looks again whether there is a better way, all others being led."""
        for _round in range(_ROUNDS if len(led) <= _FEW else 1):
            changed = False
            for item in list(led):
                self.start({other: line for other, line in led.items() if other != item})
                cost = self.ways.cost(led[item])
                if cost <= self.alone[item]:
                    continue  # the others are not in its way
                found = self.seek(item)
                if found is not None and self.ways.cost(found) < cost:
                    led[item] = found
                    changed = True
            if not changed:
                break
        return led
