"""Where the device that protects a conductor stands: distances along unprotected conductors, and what ends them.

An *arc* is a conductor seen from an end at which it is fed with more than it may carry. It is allowed where it is short
and every way on from its far end meets a device small enough. Distances add up through unprotected runs, buses and
switches, and begin anew behind a protective device; where unprotected runs meet, the shorter counts. A cranking
circuit's conductors are not judged and pass no distance on; nor does a conductor that is too long already: it is the
one to mend, and what follows is judged as if it were.

A conductor begins at a supply point: at a source, behind a protective device, or where a covered conductor brings
enough to overload it. A *spot* is what switches and buses join without length: points of the mirror drawn together
over contacts.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterable
from typing import Literal, NamedTuple, TypeAlias

from engine.circuit.distances import Distances, Supply, supply_of
from engine.circuit.spots import Spots
from engine.installation.records import Run

__all__ = ["Arc", "Ending", "Facts", "Placed", "Placement", "Reason"]


# why the way on is not allowed, worst first; "far": all that is wrong is the distance; "": nothing is
Key: TypeAlias = tuple[int, int]
Reason: TypeAlias = Literal["load", "source", "nothing", "too large", "far", ""]


class Arc(NamedTuple):
    """A conductor from the end at which it is fed too much."""

    edge: int
    tail: int
    head: int

    @property
    def key(self) -> Key:
        """What tells it apart: an edge and the point it is entered at."""
        return self.edge, self.tail


class Ending(NamedTuple):
    """A device (an edge) or a self-limited source (a feed) that a way on meets."""

    edge: int
    feed: int
    distance_m: float
    sheathed: bool
    through: tuple[int, ...]  # covered conductors passed after the arc's far end


class Placed(NamedTuple):
    """How an arc is placed. `path` are the conductors from the supply to the arc, itself the last.

    `is_suited`: a device is met somewhere on and none is too large. `is_bare`: on some way on, none stands before a
    consumer or another source.
    """

    reason: Reason
    is_suited: bool
    is_bare: bool
    distance_m: float
    allowed_m: float
    supply: Supply
    origin: str  # the equipment at the supply end of the path
    path: tuple[int, ...]
    endings: tuple[Ending, ...]
    too_large: int  # the device that is, -1 for none
    reached: str  # the equipment that stands there with nothing before it


class _Label(NamedTuple):
    distance: float
    supply: Supply
    sheathed: bool
    before: int  # arc before this one, -1 at the supply


class Facts(NamedTuple):
    """What placement asks about conductors and devices; unknown values already supposed the one way or the other.

    `supply_feeds` and `supply_amps` are supposed the opposite way: a source that is not sure to overload a conductor
    is no supply point to measure from at the worst, and is one at the best.
    """

    run_of: Callable[[int], Run]
    length_m: Callable[[Run], float]
    sheathed: Callable[[Run], bool]
    amps: Callable[[int], float]  # what a sum may give a conductor
    single: Callable[[int], float]  # what one device may be rated
    supply_feeds: list[float]
    supply_amps: Callable[[int], float]
    edges: list[float]
    feeds: list[float]
    cut: Callable[[int, int], float]
    passes_on: Callable[[int], bool]  # an exempt conductor: its own way on is not judged


class Placement:
    """All arcs of one network under one supposition about what is not known.

    `sure` are the arcs that fail however the unknown turns out. At its best what may be an arc is an ending that asks
    nothing; at its worst it may as well be covered and lead on. `mended` are arcs sure to be too long.
    """

    def __init__(
        self,
        layout: Spots,
        arcs: Iterable[Arc],
        sure: frozenset[Key],
        limits: Distances,
        facts: Facts,
        best: Placement | None = None,
    ) -> None:
        self.layout = layout
        self.mirror = layout.mirror
        self.spot = layout.spot
        self.limits = limits
        self.facts = facts
        self._is_best = best is None
        self._sure = sure
        self.arcs = list(arcs)
        self.mended: set[Key] = set() if best is None else best.mended
        self._is_arc = {arc.key: i for i, arc in enumerate(self.arcs)}
        self._leaving: dict[int, list[int]] = {}
        self._entering: dict[int, list[int]] = {}
        for i, arc in enumerate(self.arcs):
            self._leaving.setdefault(self.spot[arc.tail], []).append(i)
            self._entering.setdefault(self.spot[arc.head], []).append(i)
        self._labels: dict[int, _Label] = {}
        self._measure()
        self._ends = [self._explore(i) for i in range(len(self.arcs))]
        self._worst, self._any, self._bare = self._reach()
        self._placed: dict[Key, Placed] = {}

    def placed(self, arc: Arc) -> Placed:
        """How one of the arcs is placed."""
        found = self._placed.get(arc.key)
        if found is None:
            found = self._placed[arc.key] = self._place(self._is_arc[arc.key])
        return found

    def _place(self, i: int) -> Placed:
        arc = self.arcs[i]
        ends, label, path = self._ends[i], self._labels[i], self._path(i)
        may = self.facts.single(arc.edge)
        worst, at = self._worst[i]
        reason: Reason = ""
        far = (label.distance, self.limits.allowed(label.supply, label.sheathed))
        too_large = -1
        if ends.reached and not ends.is_source:
            reason = "load"
        elif ends.reached:
            reason = "source"
        elif not self._any[i]:
            reason = "nothing"
        elif _above(worst, may):
            reason, too_large = "too large", at
        elif _above(*far):
            reason = "far"
        else:
            for ending in ends.endings:
                allowed = self._allowed(label, ending)
                if _above(ending.distance_m, allowed):
                    reason, far = "far", (ending.distance_m, allowed)
                    break
        return Placed(
            reason=reason,
            is_suited=worst >= 0 and not _above(worst, may),
            is_bare=self._bare[i],
            distance_m=far[0],
            allowed_m=far[1],
            supply=label.supply,
            origin=self._equipment(path[0], tail=True),
            path=tuple(self.arcs[j].edge for j in path),
            endings=ends.endings,
            too_large=too_large,
            reached=ends.reached,
        )

    def _allowed(self, label: _Label, ending: Ending) -> float:
        # the lead of a self-limited source has the distance of any other supply point
        supply = "" if label.supply == "battery" and ending.feed >= 0 else label.supply
        return self.limits.allowed(supply, label.sheathed and ending.sheathed)

    def _path(self, i: int) -> list[int]:
        """Arcs from the supply to one."""
        path = []
        while i >= 0:
            path.append(i)
            i = self._labels[i].before
        return path[::-1]

    def _equipment(self, i: int, tail: bool) -> str:
        """The equipment at the fed end of an arc, or at its far end."""
        arc, circuit = self.arcs[i], self.mirror.circuit
        wire = circuit.wires[self.mirror.wire[arc.edge]]
        at_a = (self.mirror.of_node[wire.a] == arc.tail) == tail
        return circuit.nodes[wire.a if at_a else wire.b].equipment

    # -- distances --------------------------------------------------------------------------------------------------
    def _measure(self) -> None:
        """Shortest way along unprotected conductors from a supply to the far end of every arc."""
        starts: dict[int, Supply] = {}
        for i, arc in enumerate(self.arcs):
            supply = self._supply(arc)
            if supply is not None or not self._enter(arc):
                starts[i] = supply or self._other(i)
        while starts:
            self._spread(starts)
            # what only conductors lead to that are too long already begins anew behind them
            starts = {i: self._other(i) for i in self._unlabelled() if self._behind_long(i)}
        # rings that no supply stands in: from where a covered conductor brings enough, else each its own length
        self._spread({i: self._other(i) for i in self._unlabelled() if self._fed_beside(self.arcs[i])})
        self._spread({i: self._other(i) for i in self._unlabelled()})

    def _unlabelled(self) -> list[int]:
        return [i for i in range(len(self.arcs)) if i not in self._labels]

    def _other(self, i: int) -> Supply:
        """What a way is measured from that begins at no source."""
        return "ac" if self.facts.run_of(self.arcs[i].edge).function == "ac" else ""

    def _enter(self, arc: Arc) -> list[int]:
        """Arcs that lead to the tail of one: those that are sure, and where there are none, at the worst, all."""
        entering = [j for j in self._entering.get(self.spot[arc.tail], ()) if self.arcs[j].edge != arc.edge]
        sure = [j for j in entering if self.arcs[j].key in self._sure]
        return sure if sure or self._is_best else entering

    def _behind_long(self, i: int) -> bool:
        return any(j in self._labels and self._is_long(j) for j in self._enter(self.arcs[i]))

    def _is_long(self, i: int) -> bool:
        """Whether an arc is too long itself; at the worst, only if it is so at the best too."""
        if not self._is_best:
            return self.arcs[i].key in self.mended
        label = self._labels[i]
        return _above(label.distance, self.limits.allowed(label.supply, label.sheathed))

    def _spread(self, starts: dict[int, Supply]) -> None:
        row: list[tuple[float, bool, int, _Label]] = []

        def add(i: int, before: _Label | None, at: int = -1, supply: Supply = "") -> None:
            run = self.facts.run_of(self.arcs[i].edge)
            own, covered = self.facts.length_m(run), self.facts.sheathed(run)
            label = _Label(own, supply, covered, -1)
            if before is not None:
                label = _Label(before.distance + own, before.supply, before.sheathed and covered, at)
            heapq.heappush(row, (label.distance, label.supply != "battery", i, label))

        for i, supply in starts.items():
            add(i, None, supply=supply)
        while row:
            _distance, _not, i, label = heapq.heappop(row)
            if i in self._labels:
                continue
            self._labels[i] = label
            arc = self.arcs[i]
            if self._is_long(i):
                self.mended.add(arc.key)
                continue
            ends_here = self.facts.run_of(arc.edge).exempt == "cranking"
            for j in self._leaving.get(self.spot[arc.head], ()):
                if j in self._labels or j in starts or self.arcs[j].edge == arc.edge:
                    continue
                if self._is_best or i in self._enter(self.arcs[j]):
                    add(j, None if ends_here else label, i, self._other(j))

    def _supply(self, arc: Arc) -> Supply | None:
        """What kind of source that can overload the conductor stands at its tail, a battery first; `None`: none."""
        found: Supply | None = None
        for point in self.layout.around(arc.tail):
            for feed in self.mirror.feeds_at[point]:
                if _above(self.facts.supply_feeds[feed], self.facts.supply_amps(arc.edge)):
                    found = supply_of(self.mirror.feeds[feed].source)
                    if found == "battery":
                        return found
        return found

    def _fed_beside(self, arc: Arc) -> bool:
        """Whether a device or a covered conductor at its tail brings enough alone to overload the conductor."""
        spot, amps = self.spot[arc.tail], self.facts.amps(arc.edge)
        for point in self.layout.at(spot):
            for edge in self.mirror.adjacency[point]:
                far = self.mirror.other(edge, point)
                if edge == arc.edge or self.spot[far] == spot or (edge, far) in self._is_arc:
                    continue
                if self.mirror.one_way[edge] and self.mirror.u[edge] == point:
                    continue
                if _above(min(self.facts.edges[edge], self.facts.cut(edge, far)), amps):
                    return True
        return False

    # -- the way on -------------------------------------------------------------------------------------------------
    def _explore(self, i: int) -> _Ends:
        """Everything the current of an arc can go on to, unprotected conductors left to their own judgement."""
        arc, label = self.arcs[i], self._labels[i]
        found = _Ends()
        start = self.spot[arc.head]
        row: list[tuple[float, int, bool, tuple[int, ...]]] = [(label.distance, start, True, ())]
        seen: set[int] = set()
        while row:
            distance, spot, sheathed, through = heapq.heappop(row)
            if spot in seen:
                continue
            seen.add(spot)
            for point in self.layout.at(spot):
                self._sources(found, point, arc, distance, sheathed, through)
                for edge in self.mirror.adjacency[point]:
                    far = self.mirror.other(edge, point)
                    if edge == arc.edge or edge in through or self.spot[far] == spot:
                        continue
                    if self.mirror.one_way[edge] and self.mirror.u[edge] != point:
                        continue
                    if self.mirror.protection[edge] is not None:
                        found.devices.append(Ending(edge, -1, distance, sheathed, through))
                        continue
                    if self.mirror.wire[edge] < 0:
                        heapq.heappush(row, (distance, self.spot[far], sheathed, through))
                        continue
                    other = self._is_arc.get((edge, point))
                    if other is not None and self._is_best and (edge, point) not in self._sure:
                        found.is_open = True
                        continue
                    if other is not None and not through:
                        self._next(found, other)
                        if (edge, point) in self._sure:
                            continue
                    if self.facts.cut(edge, point) > 0:
                        run = self.facts.run_of(edge)
                        on = (
                            distance + self.facts.length_m(run),
                            self.spot[far],
                            sheathed and self.facts.sheathed(run),
                            (*through, edge),
                        )
                        heapq.heappush(row, on)
        found.endings = (*found.devices, *found.limited)
        return found

    def _next(self, found: _Ends, other: int) -> None:
        if self.facts.passes_on(self.arcs[other].edge):
            found.reach(self._equipment(other, tail=False), False)
        else:
            found.arcs.append(other)

    def _sources(
        self, found: _Ends, point: int, arc: Arc, distance: float, sheathed: bool, through: tuple[int, ...]
    ) -> None:
        limited = self.limits.limited_source_may_end_run
        for feed in self.mirror.feeds_at[point]:
            source = self.mirror.feeds[feed]
            if self.facts.feeds[feed] < math.inf and limited:
                found.limited.append(Ending(-1, feed, distance, sheathed, through))
            else:
                found.reach(source.equipment, True)
        consumer = self.layout.consumer(point)
        if consumer:
            found.reach(consumer, False)

    def _reach(self) -> tuple[list[tuple[float, int]], list[bool], list[bool]]:
        """Over all further arcs: the largest device met, whether anything is met, whether anything without a device."""
        worst: list[tuple[float, int]] = []
        before: dict[int, list[int]] = {}
        for i, ends in enumerate(self._ends):
            worst.append(max(((self.facts.edges[e.edge], e.edge) for e in ends.devices), default=(-1.0, -1)))
            for other in ends.arcs:
                before.setdefault(other, []).append(i)
        anything = [bool(ends.endings) or bool(ends.reached) or ends.is_open for ends in self._ends]
        bare = [bool(ends.reached) for ends in self._ends]
        row = list(range(len(self.arcs)))
        while row:
            i = row.pop()
            for j in before.get(i, ()):
                now = (max(worst[i], worst[j]), anything[i] or anything[j], bare[i] or bare[j])
                if now != (worst[j], anything[j], bare[j]):
                    worst[j], anything[j], bare[j] = now
                    row.append(j)
        return worst, anything, bare


class _Ends:
    """What an arc leads to, as it is being found."""

    def __init__(self) -> None:
        self.devices: list[Ending] = []
        self.limited: list[Ending] = []
        self.arcs: list[int] = []
        self.endings: tuple[Ending, ...] = ()
        self.reached = ""
        self.is_source = False
        self.is_open = False  # leads on to what may be covered or not

    def reach(self, equipment: str, is_source: bool) -> None:
        """Equipment with nothing before it; a consumer weighs more than a source."""
        if not self.reached or (self.is_source and not is_source):
            self.reached, self.is_source = equipment, is_source


def _above(value: float, limit: float) -> bool:
    return value > limit + 1e-9 * max(1.0, abs(limit)) if limit < math.inf else False
