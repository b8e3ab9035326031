"""Feed cuts: the largest current that can flow into a point, or into an end of a conductor with the conductor removed.

That is the minimum cut between all sources and the end; a protective device cuts at its rating, a self-limited source
at its limit, wires, switches and buses nowhere. It is an upper bound of the sustained current.

With every cut goes the rating of the best *single* device that separates the end from all sources, because a book's
multiple (150 %) is for one device and not for a sum.

Along the tree of blocks a message says what a block delivers into a point; inside a block a maximum flow does, on the
block with its unlimited joints drawn together. Linear, but for the flows in blocks that are no bridge.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.circuit.blocks import Structure
from engine.circuit.maxflow import FlowNetwork
from engine.circuit.mirror import Ratings

__all__ = ["NOTHING", "Cut", "FeedCuts"]


class Cut(NamedTuple):
    """Amperes, and the rating of the best single device all of it passes (infinite where there is none)."""

    amps: float
    single: float


NOTHING = Cut(0.0, math.inf)
NO_BLOCK = -(10**9)  # sources are numbered down from -1, blocks up from 0


class _Joined(NamedTuple):
    """A block with points joined by unlimited edges drawn together."""

    group: dict[int, int]
    network: FlowNetwork
    is_one: bool  # nothing in the block limits anything


class _Open(NamedTuple):
    """A block point by point, to remove an edge from."""

    place: dict[int, int]
    network: FlowNetwork
    number: dict[int, int]  # edge -> edge of the network


class FeedCuts:
    """The cuts of one mirror under one set of ratings."""

    def __init__(self, made: Structure, rated: Ratings) -> None:
        self.structure = made
        self.mirror = made.mirror
        self.ratings = rated
        self.feeds = list(rated.feeds)  # secondaries lowered to what their primary gets
        self._at: list[list[tuple[int, float, float]]] = [[] for _ in range(made.mirror.size)]
        self._open: dict[int, _Open] = {}
        self._known: dict[int, Cut] = {}
        self._own_device: dict[int, float] = {}
        blocks: list[list[int]] = [[] for _ in made.members]
        for block, component in enumerate(made.component):
            blocks[component].append(block)
        for component in self._in_order():
            self._solve(component, blocks[component])

    # -- order of components: a transformer's primary before its secondary -------------------------------------------
    def _in_order(self) -> list[int]:
        members = self.structure.members
        if not self.mirror.derived:
            return list(range(len(members)))
        needs: dict[int, set[int]] = {}
        of = self.structure.component_of
        for feed, (_ratio, primary) in self.mirror.derived.items():
            mine = of[self.mirror.of_node[self.mirror.feeds[feed].node]]
            for point in primary:
                root = self.structure.root_of(point)
                if of[root] >= 0 and of[root] != mine:
                    needs.setdefault(mine, set()).add(of[root])
        order: list[int] = []
        left = list(range(len(members)))
        done: set[int] = set()
        while left:
            ready = [c for c in left if needs.get(c, set()) <= done]
            # transformers that feed each other in a ring: the first of them keeps its record's own limit
            ready = ready or left[:1]
            order += ready
            done.update(ready)
            left = [c for c in left if c not in done]
        self._solved: set[int] = set()
        return order

    def _lower(self, feed: int) -> None:
        """A secondary gives what its primary gets, times the ratio."""
        ratio, primary = self.mirror.derived[feed]
        of = self.structure.component_of
        mine = of[self.mirror.of_node[self.mirror.feeds[feed].node]]
        given = NOTHING
        for point in primary:
            root = self.structure.root_of(point)
            if of[root] == mine or (of[root] >= 0 and of[root] not in self._solved):
                return
            cut = self.total(point)
            if cut.amps > given.amps:
                given = cut
        if given.amps * ratio < self.feeds[feed]:
            self.feeds[feed] = given.amps * ratio
        if given.single < math.inf:
            self._own_device[feed] = given.single * ratio

    # -- messages ---------------------------------------------------------------------------------------------------
    def _solve(self, component: int, blocks: list[int]) -> None:
        mirror, at = self.mirror, self._at
        for point in self.structure.members[component]:
            for feed in mirror.feeds_at[point]:
                if feed in mirror.derived:
                    self._lower(feed)
                amount = self.feeds[feed]
                if amount > 0:
                    at[point].append((-1 - feed, amount, self.device_of(feed)))
        edges_of, tops, points_of = self.structure.blocks, self.structure.top, self.structure.points
        for block in blocks:
            edges, top = edges_of[block], tops[block]
            if len(edges) == 1:
                self._across(block, edges[0], mirror.other(edges[0], top), top)
            else:
                self._within(block, (top,))
        for block in reversed(blocks):
            edges, top = edges_of[block], tops[block]
            if len(edges) == 1:
                self._across(block, edges[0], top, mirror.other(edges[0], top))
            else:
                self._within(block, points_of[block][1:])
        if mirror.derived:
            self._solved.add(component)

    def _without(self, point: int, block: int) -> Cut:
        """What comes into a point by all but one block."""
        amps, single, several = 0.0, math.inf, 0
        for source, amount, device in self._at[point]:
            if source != block:
                amps += amount
                several += 1
                single = device
        return Cut(amps, single if several == 1 else math.inf) if several else NOTHING

    def _across(self, block: int, edge: int, start: int, end: int) -> None:
        if not self._at[start] or (self.mirror.one_way[edge] and self.mirror.u[edge] != start):
            return
        amps, single = self._without(start, block)
        rating = self.ratings.edges[edge]
        amps = min(amps, rating)
        if amps > 0:
            self._at[end].append((block, amps, min(single, rating)))

    def _within(self, block: int, targets: tuple[int, ...] | list[int]) -> None:
        """What a block of several edges delivers into each of `targets`."""
        supplies: dict[int, Cut] = {}
        for point in self.structure.points[block]:
            if self._at[point]:
                cut = self._without(point, block)
                if cut.amps > 0:
                    supplies[point] = cut
        if not supplies:
            return
        joined = self._join(block)
        into: dict[int, float] = {}
        for target in targets:
            mine = joined.group[target]
            others = [(joined.group[p], c.amps) for p, c in supplies.items() if joined.group[p] != mine]
            if mine not in into:
                into[mine] = joined.network.into(mine, others) if others and not joined.is_one else 0.0
            amps = into[mine]
            givers = [c for p, c in supplies.items() if p != target]
            amps += sum(c.amps for p, c in supplies.items() if p != target and joined.group[p] == mine)
            if amps > 0:
                self._at[target].append((block, amps, givers[0].single if len(givers) == 1 else math.inf))

    def _join(self, block: int) -> _Joined:
        mirror, limits = self.mirror, self.ratings.edges
        parent = {point: point for point in self.structure.points[block]}

        def root(point: int) -> int:
            while parent[point] != point:
                point = parent[point]
            return point

        limiting = []
        for edge in self.structure.blocks[block]:
            if limits[edge] == math.inf and not mirror.one_way[edge]:
                parent[root(mirror.u[edge])] = root(mirror.v[edge])
            else:
                limiting.append(edge)
        numbers: dict[int, int] = {}
        group = {point: numbers.setdefault(root(point), len(numbers)) for point in parent}
        network = FlowNetwork(len(numbers))
        for edge in limiting:
            a, b = group[mirror.u[edge]], group[mirror.v[edge]]
            if a != b:
                network.edge(a, b, limits[edge], 0.0 if mirror.one_way[edge] else limits[edge])
        return _Joined(group, network, len(numbers) == 1)

    def device_of(self, feed: int) -> float:
        """The rating of the device that all a feed gives passes, inside it or before its transformer."""
        return min(self.ratings.devices[feed], self._own_device.get(feed, math.inf))

    # -- answers ----------------------------------------------------------------------------------------------------
    def total(self, point: int) -> Cut:
        """All that can flow into a point."""
        known = self._known.get(point)
        if known is None:
            hangs_on = self.structure.hangs_on[point]
            if hangs_on < 0:
                known = self._without(point, NO_BLOCK)
            else:
                known = self._along(hangs_on, self.mirror.other(hangs_on, point))
            self._known[point] = known
        return known

    def outside(self, point: int) -> Cut:
        """All that comes to a point from elsewhere, its own sources left out."""
        if self.structure.hangs_on[point] >= 0:
            return self.total(point)
        from_blocks = [(amount, device) for source, amount, device in self._at[point] if source >= 0]
        if not from_blocks:
            return NOTHING
        single = from_blocks[0][1] if len(from_blocks) == 1 else math.inf
        return Cut(sum(amount for amount, _device in from_blocks), single)

    def _along(self, edge: int, start: int) -> Cut:
        """What comes through a stripped edge from the side of the core."""
        if self.mirror.one_way[edge] and self.mirror.u[edge] != start:
            return NOTHING
        # down the tree from the core, without recursion
        way = [edge]
        point = start
        while self.structure.hangs_on[point] >= 0 and point not in self._known:
            way.append(self.structure.hangs_on[point])
            point = self.mirror.other(way[-1], point)
        cut = self._known[point] if point in self._known else self.total(point)
        for hung in reversed(way):
            if self.mirror.one_way[hung] and self.mirror.u[hung] != point:
                cut = NOTHING
            elif cut.amps > 0:
                rating = self.ratings.edges[hung]
                cut = Cut(min(cut.amps, rating), min(cut.single, rating)) if rating > 0 else NOTHING
            point = self.mirror.other(hung, point)
            self._known[point] = cut
        return cut

    def cut(self, edge: int, point: int, enough: float = math.inf) -> float:
        """What can flow into the end at `point` of an edge, the edge removed. May stop above `enough`."""
        made = self.structure
        block = made.block_of[edge]
        if block < 0:
            # a stripped edge feeds nothing from its outer side; both ends of a loop are one point
            outer = made.hangs_on[point] == edge
            return 0.0 if outer else self.total(point).amps
        outside = self._without(point, block)
        if len(made.blocks[block]) == 1:
            return outside.amps
        all_in = self.total(point).amps
        if all_in <= 0 or outside.amps == math.inf:
            return outside.amps
        view = self._opened(block)
        supplies = [
            (view.place[p], self._without(p, block).amps) for p in made.points[block] if p != point and self._at[p]
        ]
        return outside.amps + view.network.into(view.place[point], supplies, view.number[edge], enough - outside.amps)

    def single(self, edge: int, point: int) -> float:
        """The best single device between the end at `point` of an edge and all sources, the edge removed."""
        made = self.structure
        block = made.block_of[edge]
        if block < 0:
            return math.inf if made.hangs_on[point] == edge else self.total(point).single
        outside = self._without(point, block)
        if len(made.blocks[block]) == 1:
            return outside.single
        givers = {p: c for p in made.points[block] if p != point and (c := self._without(p, block)).amps > 0}
        if outside.amps > 0:
            return math.inf if self.cut(edge, point) > outside.amps else outside.single
        best = next(iter(givers.values())).single if len(givers) == 1 else math.inf
        for device in made.blocks[block]:
            rating = self.ratings.edges[device]
            if device != edge and rating < best and not self._reaches(block, point, givers, (edge, device)):
                best = rating
        return best

    def _reaches(self, block: int, start: int, givers: dict[int, Cut], removed: tuple[int, ...]) -> bool:
        mirror, limits = self.mirror, self.ratings.edges
        seen = {start}
        row = [start]
        for point in row:
            for edge in mirror.adjacency[point]:
                if self.structure.block_of[edge] != block or edge in removed or limits[edge] <= 0:
                    continue
                far = mirror.other(edge, point)
                # against the flow: a diode must conduct from far to here
                if far in seen or (mirror.one_way[edge] and mirror.u[edge] != far):
                    continue
                if far in givers:
                    return True
                seen.add(far)
                row.append(far)
        return False

    def _opened(self, block: int) -> _Open:
        view = self._open.get(block)
        if view is None:
            mirror, limits = self.mirror, self.ratings.edges
            place = {point: i for i, point in enumerate(self.structure.points[block])}
            network = FlowNetwork(len(place))
            number = {}
            for edge in self.structure.blocks[block]:
                back = 0.0 if mirror.one_way[edge] else limits[edge]
                number[edge] = network.edge(place[mirror.u[edge]], place[mirror.v[edge]], limits[edge], back)
            view = self._open[block] = _Open(place, network, number)
        return view
