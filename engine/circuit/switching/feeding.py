"""From which sources a load can be fed, and in which switch positions, with something failed or nothing.

The conductors are walked backwards, from the load to whatever gives energy: along runs, through contacts, against a
converter from its output to its input. A source ends the way. The way back, by negative or neutral, is asked for in the
same manner and must hold in the same state; where it is not drawn the whole way it is taken as there
(`Way.assumed_return`).

A state counts only where the interlocks allow it and no two AC sources that must not meet can meet in it
(`engine.circuit.switching.forbidden`). Positions of what a controller moves may be any; `Way.automatic` tells them.
Protective devices are closed: a person can close them. A DC-DC converter that runs while its input is charging brings
nothing from a battery.

A condition found on the way carries, above the bits of the switch positions, one bit for each device and converter it
rests on. So one search from a place tells for every failure which ways stand; it is repeated only where a failure takes
all that were kept and there may be more.
"""

from __future__ import annotations

import functools
import operator
from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.circuit.paths import BUDGET, search
from engine.circuit.states import States, TooManyStates, states_of
from engine.circuit.switching.forbidden import Forbidden
from engine.circuit.switching.results import Failure, FedBy, Way
from engine.circuit.switching.sides import Side, Sides
from engine.circuit.switching.sources import RETURNS, Supply, Through, supplies
from engine.circuit.switching.traced import Traced
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot

__all__ = ["Feeding", "Supply", "Through", "supplies"]

KEPT = 12  # smallest sets of positions kept for each source
MANY = 200  # looked at where those are all ruled out
NOTHING_FAILED = Failure("none", "")
BACK = 2  # which of the sides are the returns
_Told = tuple[Way, int]  # a way, and the state it names as a cube
_Full = tuple[tuple[tuple[str, str], ...], int]  # a full state, and the same as a cube
_Places = tuple[tuple[int, int], ...]  # (side, place of its net)


class _Lists(NamedTuple):
    """Conditions by number of the source, smallest first; sources of which there may be more than those."""

    cubes: dict[int, tuple[int, ...]]
    cut_short: frozenset[int]


class _Without(NamedTuple):
    """A failure in bits: what a way must not rest on, positions that are left; sources that give nothing."""

    needs: int
    given: int
    quiet: frozenset[str]


class _Usual(NamedTuple):
    """What feeds something with nothing failed: bits of all it may rest on, its sources, the states told, as cubes."""

    fed: FedBy
    rests_on: int
    sources: frozenset[str]
    states: tuple[int, ...]

    def is_hit(self, without: _Without) -> bool:
        """Whether a failure may change that."""
        if self.rests_on & without.needs or self.sources & without.quiet or without.quiet & set(self.fed.undecided):
            return True
        return any(without.given & ~state for state in self.states)


class Feeding:
    """The answers for one circuit, worked out as they are asked for. `budget`: labels a search may take.

    `passes`: which converters count, all where it is not given.
    """

    def __init__(
        self,
        snapshot: Snapshot,
        circuit: Circuit,
        budget: int = BUDGET,
        passes: Callable[[Through], bool] | None = None,
    ) -> None:
        self.snapshot, self.circuit, self.budget = snapshot, circuit, budget
        self.states: States = states_of(snapshot, circuit)
        self.forbidden = Forbidden(snapshot, circuit, self.states, budget)
        self.supplies, through = supplies(snapshot, circuit)
        self.through = tuple(each for each in through if passes is None or passes(each))
        self._traced = Traced(circuit, self.through)
        self._base = max((field.bit_length() for field in self.states.field), default=0)
        banks = {n for n, s in enumerate(self.supplies) if s.battery}
        follows = any(each.follows_charging for each in self.through)
        everything = set(range(len(self.supplies)))
        made = Sides(snapshot, circuit, self.states, self._base, self.through)
        self._bits = made.bits
        # live conductors, those of banks apart where a converter brings nothing from them; last the returns
        steady = [each for each in self.through if not each.follows_charging]
        self._sides = (
            made.side(LIVE, self.through, self.supplies, everything - banks if follows else everything),
            made.side(LIVE, steady, self.supplies, banks if follows else set()),
            made.side(RETURNS, self.through, self.supplies, everything),
        )
        self._mask = (1 << self._base) - 1
        self._seats: dict[tuple[int, int], tuple[int, int | None]] = {}
        self._ways: dict[tuple[_Places, int, int, _Without], tuple[_Told | None, bool]] = {}
        self._lists: dict[tuple[int, int, int, _Without | None, int], _Lists] = {}
        self._states: dict[int, _Full | None] = {}
        self._told: dict[tuple[int, int, bool, int], _Told] = {}
        self._from_place: dict[tuple[tuple[tuple[int, _Places], ...], _Without], tuple[FedBy, list[int]]] = {}
        self._usuals: dict[str, _Usual] = {}
        self._placings: dict[tuple[tuple[int, ...], tuple[int, ...], int], tuple[int | None, _Places]] = {}
        self._nodes: dict[str, tuple[tuple[int, ...], tuple[int, ...]]] = {}
        self._failed: dict[Failure, _Without] = {}
        self._joined: dict[tuple[_Places, int, int], tuple[list[int], bool, bool]] = {}

    # -- what is asked for ------------------------------------------------------------------------------------------
    def fed(self, item: str, failure: Failure | None = None, *, traced: bool = True) -> FedBy:
        """Every source that can feed something, with `failure`. `traced`: `Way.through` is told."""
        if failure is not None and item in failure.gone:
            return FedBy(item, ())
        usual = self._usual(item)
        without = self._without(failure or NOTHING_FAILED)
        found = usual.fed if not usual.is_hit(without) else self._searched_for(item, without)[0]
        if not traced:
            return found
        live, _back = self._points(item)
        return found._replace(ways=tuple(self._with_through(way, live) for way in found.ways))

    def _usual(self, item: str) -> _Usual:
        """What feeds it with nothing failed, and what that rests on."""
        if item not in self._usuals:
            fed, states = self._searched_for(item, self._without(NOTHING_FAILED))
            rests_on = 0
            live, back = self._points(item)
            for number in range(len(self.supplies) if live else 0):
                before, places = self._placed(live, back, number)
                if before is not None:
                    cubes = self._conditions(places, before & self._mask, number)[0]
                    rests_on |= functools.reduce(operator.or_, cubes, before)
            self._usuals[item] = _Usual(fed, rests_on, frozenset(fed.sources), tuple(states))
        return self._usuals[item]

    def _searched_for(self, item: str, without: _Without) -> tuple[FedBy, list[int]]:
        """With a failure; loads that hang on one place are asked about once."""
        live, back = self._points(item)
        placed = [self._placed(live, back, number) for number in range(len(self.supplies) if live else 0)]
        if any(before is None or before & without.needs for before, _places in placed):
            return self._searched_from(item, without)
        key = tuple(((before or 0) & self._mask, places) for before, places in placed), without
        if key not in self._from_place:
            self._from_place[key] = self._searched_from(item, without)
        fed, states = self._from_place[key]
        return (fed if fed.item == item else fed._replace(item=item)), states

    def _searched_from(self, item: str, without: _Without) -> tuple[FedBy, list[int]]:
        live, back = self._points(item)
        ways: list[tuple[int, int, Way]] = []
        states: list[int] = []
        undecided: list[str] = []
        for number, supply in enumerate(self.supplies if live else ()):
            if supply.equipment in without.quiet:
                continue
            found, is_whole = self._way(live, back, number, without)
            if found is not None:
                ways.append((len(found[0].positions), number, found[0]))
                states.append(found[1])
            elif not is_whole:
                undecided.append(supply.equipment)
        ways.sort(key=lambda each: each[:2])
        return FedBy(item, tuple(way for _size, _number, way in ways), tuple(dict.fromkeys(undecided))), states

    def rests_on(self, item: str) -> frozenset[str]:
        """Equipment that some way of feeding it rests on, itself and the sources included."""
        live, back = self._points(item)
        found, rested = {item}, 0
        for number, supply in enumerate(self.supplies if live else ()):
            before, places = self._placed(live, back, number)
            cubes = [] if before is None else self._conditions(places, before & self._mask, number)[0]
            if cubes:
                found.add(supply.equipment)
                rested |= functools.reduce(operator.or_, cubes, before or 0)
        return (self._items(rested) | found) if len(found) > 1 else frozenset()

    def always_needs(self, item: str) -> frozenset[str]:
        """Equipment that every way of feeding it rests on, by sources that stand alone."""
        live, back = self._points(item)
        common = -1
        for number, supply in enumerate(self.supplies if live else ()):
            if supply.stands_alone:
                before, places = self._placed(live, back, number)
                if before is not None:
                    for cube in self._conditions(places, before & self._mask, number)[0]:
                        common &= cube | before
        return frozenset() if common == -1 else self._items(common)

    # -- one source -------------------------------------------------------------------------------------------------
    def _way(
        self, live: tuple[int, ...], back: tuple[int, ...], number: int, without: _Without
    ) -> tuple[_Told | None, bool]:
        """The way of the smallest set of positions that a permitted state has; whether the search could tell."""
        before, places = self._placed(live, back, number)
        if before is None or before & without.needs:
            return None, True
        key = places, before & self._mask, number, without
        if key not in self._ways:
            self._ways[key] = self._searched(*key)
        return self._ways[key]

    def _searched(self, places: _Places, before: int, number: int, without: _Without) -> tuple[_Told | None, bool]:
        cubes, is_whole, assumed = self._conditions(places, before, number)
        way, decided = self._first(cubes, number, without, assumed)
        if way is not None or (is_whole and decided):
            return way, True
        for enough in (1, MANY):
            cubes, is_whole, assumed = self._conditions(places, before, number, without, enough)
            way, decided = self._first(cubes, number, without, assumed)
            if way is not None or (is_whole and decided):
                return way, True
        return None, False

    def _first(self, cubes: Sequence[int], number: int, without: _Without, assumed: bool) -> tuple[_Told | None, bool]:
        decided = True
        for cube in cubes:
            if cube & without.needs:
                continue
            positions = cube & self._mask
            try:
                state = self._state(positions, without)
            except TooManyStates:
                decided = False
                continue
            if state is not None:
                key = positions, number, assumed, state[1]
                if key not in self._told:
                    self._told[key] = self._way_of(positions, number, assumed, state[0]), state[1]
                return self._told[key], True
        return None, decided

    def _way_of(self, positions: int, number: int, assumed: bool, state: tuple[tuple[str, str], ...]) -> Way:
        states, supply = self.states, self.supplies[number]
        told = states.positions(positions)
        return Way(
            source=supply.equipment,
            line=supply.line,
            positions=told,
            automatic=tuple(e for e, _every in told if states.is_automatic(e)),
            state=state,
            through=(),
            assumed_return=assumed,
            stands_alone=supply.stands_alone,
        )

    def _state(self, cube: int, without: _Without) -> _Full | None:
        """A full permitted state within a cube, and within what a failure leaves."""
        if without.given:
            usual = self._permitted(cube)
            if usual is None or without.given & ~usual[1] == 0:
                return usual
        return self._permitted(cube | without.given)

    def _permitted(self, cube: int) -> _Full | None:
        if cube not in self._states:
            state = None if self.states.closed(cube) is None else self.forbidden.permitted(cube)
            full = None if state is None else (tuple(sorted(state.items())), self.states.of_positions(state.items()))
            self._states[cube] = full
        return self._states[cube]

    def _conditions(
        self, places: _Places, before: int, number: int, without: _Without | None = None, enough: int = KEPT
    ) -> tuple[list[int], bool, bool]:
        """Conditions, smallest first; whether those are all; whether the way back is taken as there.

        `before`: positions that hold anyway, on what leads from the load to the places.
        """
        key = places, before, number
        if without is None and key in self._joined:
            return self._joined[key]
        states = self.states
        made, is_whole, assumed = [before], True, False
        for which, seat in places:
            lists = self._asked(which, seat, number, without, enough)
            cubes, whole = lists.cubes.get(number, ()), number not in lists.cut_short
            if not cubes and which == BACK:
                usual = lists if without is None else self._asked(which, seat, number, None, KEPT)
                if number not in usual.cubes:
                    assumed = True
                    is_whole &= number not in usual.cut_short
                    continue
            is_whole &= whole
            joined = {a | b for a in made for b in cubes}
            possible = [cube for cube in joined if states.closed(cube) is not None]
            made = sorted(possible, key=lambda c: (len(states.touched(c)), c.bit_count(), c))
            if len(made) > MANY:
                made, is_whole = made[:MANY], False
        if without is None:
            self._joined[key] = made, is_whole, assumed
        return made, is_whole, assumed

    # -- searches ---------------------------------------------------------------------------------------------------
    def _placed(self, live: tuple[int, ...], back: tuple[int, ...], number: int) -> tuple[int | None, _Places]:
        """Where the ways from some nodes to a source part, and the condition of coming there; `None`: never."""
        key = live, back, number
        if key not in self._placings:
            self._placings[key] = self._place(*key)
        return self._placings[key]

    def _place(self, live: tuple[int, ...], back: tuple[int, ...], number: int) -> tuple[int | None, _Places]:
        which = 0 if number in self._sides[0].numbers else 1
        guard, places = 0, []
        for side, nodes in ((which, live), (BACK, back)):
            for node in nodes:
                seat, more = self._seat(side, node)
                if more is None:
                    return None, ()
                guard |= more
                places.append((side, seat))
        return (guard if self.states.is_possible(guard) else None), tuple(places)

    def _asked(self, which: int, seat: int, number: int, without: _Without | None, enough: int) -> _Lists:
        """Conditions between a place and every source, or with a failure one."""
        side = self._sides[which]
        key = which, seat, -1 if without is None else number, without, enough
        if key not in self._lists:
            ends = {end: n for end, n in side.ends.items() if without is None or n == number}
            avoid = [] if self.forbidden.always else list(self.forbidden.cubes)
            given = 0
            if without is not None:
                given = without.given
                avoid += [1 << bit for bit in _bits(without.needs)]
            found = search(side.net, seat, ends, enough, self.budget, given, avoid)
            cubes: dict[int, list[int]] = {}
            for end, some in found.cubes.items():
                cubes.setdefault(ends[end], []).extend(some)
            open_ends = frozenset(ends[end] for end in found.undecided | found.truncated)
            self._lists[key] = _Lists({n: tuple(some) for n, some in cubes.items()}, open_ends)
        return self._lists[key]

    def _seat(self, which: int, node: int) -> tuple[int, int | None]:
        """Where the ways from a node part for the first time, and the condition of coming there; `None`: never."""
        key = which, node
        if key not in self._seats:
            self._seats[key] = self._led(self._sides[which], node)
        return self._seats[key]

    def _led(self, side: Side, node: int) -> tuple[int, int | None]:
        net = side.net
        here, before, guard = net.at(node), -1, 0
        while True:
            arcs = [arc for arc in net.arcs.get(here, ()) if arc.to != before]
            if len(arcs) != 1 or arcs[0].to in side.ends:
                return here, guard
            guard |= arcs[0].guard
            if not self.states.is_possible(guard):
                return here, None
            here, before = arcs[0].to, here

    # -- failures and places ----------------------------------------------------------------------------------------
    def _items(self, cube: int) -> frozenset[str]:
        return frozenset(item for (item, _terminal), bit in self._bits.items() if cube & bit)

    def _without(self, failure: Failure) -> _Without:
        if failure not in self._failed:
            needs = 0
            for key, bit in self._bits.items():
                if key[0] in failure.gone or key in failure.shut:
                    needs |= bit
            given = 0
            for item, positions in failure.held:
                if item in self.states.number:
                    given |= self.states.guard(item, positions) or 0
                elif item in self.snapshot.equipment and "closed" not in positions:
                    needs |= self._bits.get((item, ""), 0)  # a breaker that is held open
            self._failed[failure] = _Without(needs, given, failure.gone | failure.silent)
        return self._failed[failure]

    def _points(self, item: str) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """Live conductors a load is fed by, and those of its return. Of a run or bus: its live conductors."""
        if item not in self._nodes:
            self._nodes[item] = self._points_of(item)
        return self._nodes[item]

    def _points_of(self, item: str) -> tuple[tuple[int, ...], tuple[int, ...]]:
        circuit, record = self.circuit, self.snapshot.equipment.get(item)
        if record is None:
            return (), ()
        terminals = dict.fromkeys(draw.terminal for draw in record.draws())
        if record.use() is None and record.conversions():
            # what it is fed at, not what it gives
            gives = {c.target for c in record.conversions()}
            terminals = dict.fromkeys(c.source for c in record.conversions() if c.source not in gives) or terminals
        names = terminals or dict.fromkeys(sorted(circuit.joined.get(item, ())))
        live = [n for t in names for c in LIVE if (n := circuit.node(item, t, c)) is not None]
        back = [n for t in names for c in RETURNS if (n := circuit.node(item, t, c)) is not None]
        if not back and live and "+" in {circuit.nodes[n].conductor for n in live}:
            back = [n for t in sorted(circuit.joined[item]) if (n := circuit.node(item, t, "-")) is not None][:1]
        return tuple(live), tuple(back)

    def _with_through(self, way: Way, live: tuple[int, ...]) -> Way:
        supply = next(s for s in self.supplies if (s.equipment, s.line) == (way.source, way.line))
        passed = self._traced.way(supply.live, live, dict(way.state), LIVE, supply.equipment)
        return way._replace(through=passed)


def _bits(cube: int) -> Iterable[int]:
    while cube:
        low = cube & -cube
        yield low.bit_length() - 1
        cube ^= low
