"""The worst permitted switch state of a feed cut: branch and bound over positions and interlocks.

All contacts closed is the worst there can be, and often impossible. The search takes the flow that proves too much
current, asks whether the contacts it uses may be closed together (`States.completion`, interlocks included), and if not
splits the positions in two at the first contact that cannot join the others. A branch whose flow is small enough is
dropped, so the answer is exact: a witness, or the proof that no permitted state does it. A search that runs out of
steps says so (`Undecided`); it never counts as safe.

A multiple (150 %) that a book allows for one device is asked here too: the flow must exceed what a sum may give *and*
no single device small enough may stand in the way, which is a second flow that counts such devices once each.
"""

from __future__ import annotations

import copy
import math
from collections import deque
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from engine.circuit.blocks import Structure
from engine.circuit.feedcut import FeedCuts
from engine.circuit.mirror import Guard
from engine.circuit.states import States, TooManyStates

__all__ = ["EXACT", "Refinery", "Supplied", "Undecided", "Witness", "is_above"]

EXACT = 1e-9  # relative: sums of ratings are not exact in binary
STEPS = 400  # flows of one search
UNGUARDED = (0, 0)


class Undecided(Exception):
    """The search was stopped before it could tell."""


class Witness(NamedTuple):
    """Switch positions in which it is so, of the switches that matter; `cube` is the whole state."""

    positions: tuple[tuple[str, str], ...]
    cube: int


class Supplied(NamedTuple):
    """What lets a current through: the protective devices and the limited sources of the cut nearest to the end.

    Pairs of equipment and amperes. Where nothing limits it, `sources` names a source that nothing stands before.
    """

    amps: float
    devices: tuple[tuple[str, float], ...]
    sources: tuple[tuple[str, float], ...]


class _Flow(NamedTuple):
    amps: float
    guards: tuple[int, ...]  # cubes of the contacts it uses, sorted
    edges: dict[int, float]  # what every edge carries, from u to v
    feeds: dict[int, float]  # what every feed gives


def is_above(value: float, limit: float) -> bool:
    """Whether a current exceeds a limit by more than arithmetic does."""
    return value > limit + EXACT * max(1.0, abs(limit)) if limit < math.inf else False


class Refinery:
    """Feed cuts of one network by switch state. `limits` per edge and `feeds` per feed as in `FeedCuts`."""

    def __init__(
        self,
        made: Structure,
        limits: Sequence[float],
        feeds: Sequence[float],
        devices: Sequence[float],
        states: States,
        drawn: Iterable[tuple[str, str]],
    ) -> None:
        self.structure = made
        self.mirror = made.mirror
        self.limits: Sequence[float] = limits
        self.feeds, self.devices = feeds, devices
        self.states = states
        self.drawn = states.of_positions(drawn)
        self._edge_guard = [self._cube(g) for g in made.mirror.guard]
        self._feed_guard = [self._cube(g) for g in made.mirror.feed_guard]
        self._near = made.towards_sources
        self._is_drawn_permitted: bool | None = None
        self._allows_nothing: bool | None = None

    def _cube(self, guard: Guard | None) -> tuple[int, int] | None:
        """The cube of a guard and the field of its device; `(0, 0)` for none, `None` for what can never be."""
        if guard is None:
            return UNGUARDED
        cube = self.states.guard(guard.equipment, guard.positions)
        return None if cube is None else (cube, self.states.field[self.states.number[guard.equipment]])

    @classmethod
    def of(cls, cuts: FeedCuts, states: States, drawn: Iterable[tuple[str, str]]) -> Refinery:
        """The search on the network and the ratings of `cuts`."""
        devices = [cuts.device_of(feed) for feed in range(len(cuts.feeds))]
        return cls(cuts.structure, cuts.ratings.edges, cuts.feeds, devices, states, drawn)

    def supposing(self, limits: dict[int, float], feeds: dict[int, float] | None = None) -> Refinery:
        """The same search with other limits for some edges and other amounts for some feeds."""
        other = copy.copy(self)
        other.limits = [limits.get(edge, limit) for edge, limit in enumerate(self.limits)]
        if feeds:
            other.feeds = [feeds.get(feed, amount) for feed, amount in enumerate(self.feeds)]
        return other

    def closing(self, edge: int) -> int:
        """The cube in which an edge conducts; no condition for -1 and for what always does."""
        guard = self._edge_guard[edge] if edge >= 0 else None
        return guard[0] if guard else 0

    # -- questions --------------------------------------------------------------------------------------------------
    def drawn_flow(self, edge: int, point: int) -> float:
        """What can flow into the end of an edge with every switch as drawn."""
        return self._into(point, edge, self.drawn, math.inf).amps

    def is_drawn_permitted(self) -> bool:
        """Whether the interlocks allow the state as drawn. Raises `Undecided`."""
        if self._is_drawn_permitted is None:
            try:
                self._is_drawn_permitted = self.states.allows(self.drawn)
            except TooManyStates:
                raise Undecided from None
        return self._is_drawn_permitted

    def exceeds_as_drawn(self, edge: int, point: int, amps: float, single: float) -> bool:
        """Whether the end is fed too much with every switch as drawn."""
        return self._too_much(edge, point, self.drawn, amps, single) is not None

    def exceeds_always(self, edge: int, point: int, amps: float, single: float) -> bool:
        """Whether the end is fed too much with every switch contact open, and so whatever the switches do."""
        nothing = sum(self.states.field)  # no position left to any device
        return self._too_much(edge, point, nothing, amps, single) is not None

    def allows_nothing(self) -> bool:
        """Whether the interlocks allow no state at all; not where that cannot be told."""
        try:
            return self._nothing()
        except TooManyStates:
            return False

    def _nothing(self) -> bool:
        if self._allows_nothing is None:
            self._allows_nothing = not self.states.allows(0)
        return self._allows_nothing

    def exceeds(self, edge: int, point: int, amps: float, single: float, within: int = 0) -> Witness | None:
        """A permitted state in which more than `amps` flows into the end and no device of at most `single` is alone.

        `None`: there is none. Raises `Undecided`, also where the interlocks allow no state at all.
        """
        steps = STEPS
        left = [within]
        try:
            if self._nothing():
                raise Undecided
            while left:
                steps -= 1
                if steps < 0:
                    raise Undecided
                cube = self.states.closed(left.pop())
                if cube is None:
                    continue
                found = self._too_much(edge, point, cube, amps, single)
                if found is None:
                    continue
                together = cube
                for guard in found.guards:
                    together |= guard
                if self.states.is_possible(together) and self.states.allows(together):
                    return self._witness(together, found)
                left.extend(self._branches(cube, found.guards))
        except TooManyStates:
            raise Undecided from None
        return None

    def _branches(self, cube: int, guards: Iterable[int]) -> list[int]:
        """Every state within `cube`, but for those in which the first contacts that conflict are all closed."""
        made = []
        for guard in guards:
            if guard & ~cube == 0:
                continue
            field = self._field(guard)
            made.append(cube | (field & ~guard))
            cube |= guard
            if not self.states.is_possible(cube) or not self.states.allows(cube):
                break
        return made[::-1]

    def _field(self, guard: int) -> int:
        return next(field for field in self.states.field if guard & field)

    def _witness(self, cube: int, found: _Flow) -> Witness:
        """A permitted state, as near to the drawn one as may be, told by the devices the flow passes."""
        touched = [i for i, field in enumerate(self.states.field) if any(guard & field for guard in found.guards)]
        for i in touched:
            nearer = cube | (self.drawn & self.states.field[i])
            if self.states.is_possible(nearer) and self.states.allows(nearer):
                cube = nearer
        state = self.states.completion(cube) or {}
        names = [self.states.devices[i].equipment for i in touched]
        return Witness(tuple((name, state[name]) for name in names), self.states.of_positions(state.items()))

    def supplied(self, edge: int, point: int, cube: int) -> Supplied:
        """What feeds the end of an edge within `cube`, and what limits it."""
        flow = self._into(point, edge, cube, math.inf)
        mirror = self.mirror
        if flow.amps == math.inf:
            feed = next(iter(flow.feeds))
            return Supplied(flow.amps, (), ((mirror.feeds[feed].equipment, math.inf),))
        near = {point}
        row = [point]
        devices: dict[str, float] = {}
        sources: dict[str, float] = {}
        limiting: list[int] = []
        for here in row:
            for number, far in self._near(here):
                if number == edge or far in near or not self._open(self._edge_guard[number], cube):
                    continue
                if self._rest(number, far, None, flow.edges) > EXACT:
                    near.add(far)
                    row.append(far)
                elif abs(flow.edges.get(number, 0.0)) > EXACT:
                    limiting.append(number)
            for feed in mirror.feeds_at[here]:
                given = flow.feeds.get(feed, 0.0)
                if given > EXACT:
                    equipment = mirror.feeds[feed].equipment
                    into = sources if is_above(self.devices[feed], self.feeds[feed]) else devices
                    into[equipment] = into.get(equipment, 0.0) + given
        for number in limiting:
            if mirror.u[number] not in near or mirror.v[number] not in near:
                equipment = mirror.circuit.links[mirror.link[number]].equipment
                devices[equipment] = devices.get(equipment, 0.0) + self.limits[number]
        order = {item: number for number, item in enumerate(mirror.circuit.snapshot.equipment)}
        return Supplied(
            flow.amps,
            tuple(sorted(devices.items(), key=lambda pair: order[pair[0]])),
            tuple(sorted(sources.items(), key=lambda pair: order[pair[0]])),
        )

    # -- flows ------------------------------------------------------------------------------------------------------
    def _too_much(self, edge: int, point: int, cube: int, amps: float, single: float) -> _Flow | None:
        flow = self._into(point, edge, cube, single)
        if not is_above(flow.amps, amps):
            return None
        if not is_above(flow.amps, single):
            ways = self._into(point, edge, cube, 1.0, single)
            if not is_above(ways.amps, 1.0):
                return None
            return flow._replace(guards=tuple(sorted({*flow.guards, *ways.guards})))
        return flow

    def _into(self, target: int, without: int, cube: int, enough: float, count: float | None = None) -> _Flow:
        """Shortest augmenting paths from the target outwards; contacts closed as drawn are nearer than others.

        With `count`, devices rated at most that are counted, once each, instead of amperes.
        """
        carried: dict[int, float] = {}  # edge -> from u to v
        given: dict[int, float] = {}
        total = 0.0
        while True:
            came = self._search(target, without, cube, count, carried, given)
            if came is None:
                break
            way, feed, amount = came
            if amount == math.inf:
                # one unlimited way proves enough by itself
                ways, gives = dict(way), {feed: 1.0}
                return _Flow(amount, self._used(ways, gives), ways, gives)
            for edge, direction in way:
                carried[edge] = carried.get(edge, 0.0) + direction * amount
            given[feed] = given.get(feed, 0.0) + amount
            total += amount
            if is_above(total, enough):
                break
        return _Flow(total, self._used(carried, given), carried, given)

    def _open(self, guard: tuple[int, int] | None, cube: int) -> bool:
        """Whether a contact may be closed within a cube."""
        if guard is None:
            return False
        excluded, field = guard
        return not field or (cube | excluded) & field != field

    def _supply(self, feed: int, count: float | None) -> float:
        amount = self.feeds[feed]
        if count is None or amount <= 0:
            return amount
        return math.inf if is_above(self.devices[feed], count) else 1.0

    def _limit(self, edge: int, count: float | None) -> float:
        limit = self.limits[edge]
        if count is None or limit <= 0:
            return limit
        return math.inf if is_above(limit, count) else 1.0

    def _search(
        self,
        target: int,
        without: int,
        cube: int,
        count: float | None,
        carried: dict[int, float],
        given: dict[int, float],
    ) -> tuple[list[tuple[int, float]], int, float] | None:
        """The nearest feed with something left: edges with their direction (1: u to v), the feed, the amount."""
        feeds_at, near, guards = self.mirror.feeds_at, self._near, self._edge_guard
        came: dict[int, tuple[int, int]] = {}  # point -> edge it was reached by, point before
        nearest: dict[int, int] = {target: 0}
        done: set[int] = set()
        row: deque[tuple[int, int]] = deque([(0, target)])
        best: tuple[int, int, int] | None = None  # contacts moved, feed, point
        while row:
            steps, point = row.popleft()
            if point in done:
                continue
            done.add(point)
            if best is not None and steps >= best[0]:
                break
            for feed in feeds_at[point]:
                guard = self._feed_guard[feed]
                if self._open(guard, cube) and self._supply(feed, count) - given.get(feed, 0.0) > EXACT:
                    at = steps + self._is_moved(guard)
                    if best is None or at < best[0]:
                        best = (at, feed, point)
            for edge, far in near(point):
                if far in done or edge == without:
                    continue
                at = steps
                guard = guards[edge]
                if guard is not UNGUARDED:
                    if not self._open(guard, cube):
                        continue
                    at += self._is_moved(guard)
                if at < nearest.get(far, 1 << 30) and self._rest(edge, far, count, carried) > EXACT:
                    nearest[far] = at
                    came[far] = (edge, point)
                    if at == steps:
                        row.appendleft((at, far))
                    else:
                        row.append((at, far))
        if best is None:
            return None
        _steps, feed, point = best
        way: list[tuple[int, float]] = []
        amount = self._supply(feed, count) - given.get(feed, 0.0)
        while point != target:
            edge, before = came[point]
            amount = min(amount, self._rest(edge, point, count, carried))
            way.append((edge, 1.0 if self.mirror.u[edge] == point else -1.0))
            point = before
        return way, feed, amount

    def _is_moved(self, guard: tuple[int, int] | None) -> int:
        """1 for a contact that is not closed as drawn."""
        return 1 if guard is not None and guard[0] & ~self.drawn else 0

    def _rest(self, edge: int, start: int, count: float | None, carried: dict[int, float]) -> float:
        """What an edge can still take from `start` on."""
        limit = self._limit(edge, count)
        if self.mirror.u[edge] == start:
            return limit - carried.get(edge, 0.0)
        return (0.0 if self.mirror.one_way[edge] else limit) + carried.get(edge, 0.0)

    def _used(self, carried: dict[int, float], given: dict[int, float]) -> tuple[int, ...]:
        used = [self._edge_guard[edge] for edge, amount in carried.items() if abs(amount) > EXACT]
        used += [self._feed_guard[feed] for feed, amount in given.items() if amount > EXACT]
        return tuple(sorted({guard[0] for guard in used if guard is not None and guard[0]}))
