"""From which sources a load can be fed, and in which switch positions, with something failed or nothing.

The conductors are walked backwards, from the load to whatever gives energy: along runs, through contacts, against a
converter from its output to its input. A source ends the way. The way back, by negative or neutral, is asked for in the
same manner and must hold in the same state; where it is not drawn the whole way it is taken as there
(`Way.assumed_return`).

A state counts only where the interlocks allow it and no two AC sources that must not meet can meet in it
(`engine.circuit.switching.forbidden`). Positions of what a controller moves may be any; `Way.automatic` tells them.
Protective devices are closed: a person can close them. A DC-DC converter that runs while its input is charging brings
nothing from a battery.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.circuit.paths import BUDGET, Net, search
from engine.circuit.states import States, TooManyStates, states_of
from engine.circuit.switching.forbidden import Forbidden
from engine.circuit.switching.results import Failure, FedBy, Way
from engine.circuit.switching.traced import Traced
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot

__all__ = ["Feeding", "Supply", "Through", "supplies"]

RETURNS = ("-", "N")
ENOUGH = 6  # smallest sets of positions tried for each source
MANY = 200  # tried where the smallest are all ruled out
NOTHING_FAILED = Failure("none", "")


class Supply(NamedTuple):
    """Something that gives energy by itself: its live conductors, and those of its return."""

    equipment: str
    line: str
    live: tuple[int, ...]
    back: tuple[int, ...]
    positions: frozenset[str] | None
    battery: bool
    stands_alone: bool


class Through(NamedTuple):
    """Energy through a converter, from `inputs` to `outputs`; so too the way back."""

    equipment: str
    positions: frozenset[str] | None
    outputs: tuple[int, ...]
    inputs: tuple[int, ...]
    back_outputs: tuple[int, ...]
    back_inputs: tuple[int, ...]
    follows_charging: bool  # it brings nothing from a battery


class _Nets(NamedTuple):
    """The conductors with something failed."""

    live: Net
    back: Net
    given: int
    gone: frozenset[int]  # nodes
    from_batteries: Net | None  # `live` without converters that bring nothing from a battery; `None`: there are none


class _Sets(NamedTuple):
    """Sets of positions by number of the source; sources of which there may be more sets than those."""

    cubes: dict[int, tuple[int, ...]]
    cut_short: frozenset[int]


class _Known(NamedTuple):
    """A way and all equipment it rests on."""

    way: Way
    rests_on: frozenset[str]


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
        self._nets: dict[Failure, _Nets] = {}
        self._sets: dict[tuple[Failure, bool, int, int], _Sets] = {}
        self._known: dict[tuple[Failure, str], tuple[tuple[_Known, ...], tuple[str, ...]]] = {}
        self._states: dict[int, dict[str, str] | None] = {}

    def fed(self, item: str, failure: Failure | None = None) -> FedBy:
        """Every source that can feed something, with `failure`."""
        known, undecided = self._ways(item, failure or NOTHING_FAILED)
        return FedBy(item, tuple(each.way for each in known), undecided)

    def rests_on(self, item: str) -> frozenset[str]:
        """All equipment that the ways told by `fed` rest on, with nothing failed."""
        known, _undecided = self._ways(item, NOTHING_FAILED)
        return frozenset().union(*(each.rests_on for each in known))

    # -- what is asked for ------------------------------------------------------------------------------------------
    def _ways(self, item: str, failure: Failure) -> tuple[tuple[_Known, ...], tuple[str, ...]]:
        key = failure, item
        if key not in self._known:
            self._known[key] = self._search(item, failure)
        return self._known[key]

    def _search(self, item: str, failure: Failure) -> tuple[tuple[_Known, ...], tuple[str, ...]]:
        if item in failure.gone:
            return (), ()
        wanted = dict(enumerate(self.supplies))
        kept: dict[int, _Known] = {}
        if failure is not NOTHING_FAILED:
            before, undecided_before = self._ways(item, NOTHING_FAILED)
            stand = [each for each in before if not self._hit(each, failure)]
            names = {(each.way.source, each.way.line) for each in before} | {(s, "") for s in undecided_before}
            sources = {name for name, _line in names}
            # with something failed nothing feeds it that did not before
            wanted = {n: s for n, s in wanted.items() if s.equipment in sources and s.equipment not in _quiet(failure)}
            for number, supply in list(wanted.items()):
                for each in stand:
                    if (each.way.source, each.way.line) == (supply.equipment, supply.line):
                        kept[number] = each
                        del wanted[number]
                        break
        undecided: list[str] = []
        if wanted:
            found = self._found(item, failure, wanted, undecided)
            kept.update(found)
        order = sorted(kept.items(), key=lambda pair: (len(pair[1].way.positions), pair[0]))
        return tuple(each for _number, each in order), tuple(dict.fromkeys(undecided))

    def _hit(self, known: _Known, failure: Failure) -> bool:
        """Whether a failure touches what a way rests on."""
        if known.rests_on & failure.gone or known.way.source in _quiet(failure):
            return True
        if any(item in known.rests_on for item, _terminal in failure.shut):
            return True
        stands = dict(known.way.state)
        return any(stands.get(item) not in positions for item, positions in failure.held)

    def _found(self, item: str, failure: Failure, wanted: dict[int, Supply], undecided: list[str]) -> dict[int, _Known]:
        live, _back = self._points(item)
        if not live or any(node in self._nets_of(failure).gone for node in live):
            return {}
        made: dict[int, _Known] = {}
        for number, supply in wanted.items():
            known: _Known | None = None
            is_whole = False
            for enough in (ENOUGH, MANY):  # more of the sets only where the smallest are all ruled out
                known, is_whole = self._tried(item, failure, number, supply, enough)
                if known is not None or is_whole:
                    break
            if known is not None:
                made[number] = known
            elif not is_whole:
                undecided.append(supply.equipment)
        return made

    def _tried(
        self, item: str, failure: Failure, number: int, supply: Supply, enough: int
    ) -> tuple[_Known | None, bool]:
        """The way of one source among the smallest sets of positions; whether those were all there are."""
        live, back = self._points(item)
        given = self._nets_of(failure).given
        choices: list[tuple[int, ...]] = []
        is_whole, assumed = True, False
        for node in live:
            sets = self._cubes(failure, True, node, enough)
            choices.append(sets.cubes.get(number, ()))
            is_whole &= number not in sets.cut_short
        for node in back:
            sets = self._cubes(failure, False, node, enough)
            if number in sets.cubes or self._is_drawn_back(node, number):
                choices.append(sets.cubes.get(number, ()))
                is_whole &= number not in sets.cut_short
            else:
                assumed = True
        if not all(choices):
            return None, is_whole
        joined = self._both(choices, given)
        known, decided = self._first(item, supply, joined[:enough], given, assumed)
        return known, is_whole and decided and len(joined) <= enough

    def _first(
        self, item: str, supply: Supply, cubes: Sequence[int], given: int, assumed: bool
    ) -> tuple[_Known | None, bool]:
        """The way of the smallest set of positions that a permitted state has; whether every one was decided."""
        decided = True
        for cube in cubes:
            try:
                state = self._state(cube | given)
            except TooManyStates:
                decided = False
                continue
            if state is not None:
                return self._told(item, supply, cube, state, assumed), True
        return None, decided

    def _state(self, cube: int) -> dict[str, str] | None:
        if cube not in self._states:
            self._states[cube] = self.forbidden.permitted(cube)
        return self._states[cube]

    def _told(self, item: str, supply: Supply, cube: int, state: dict[str, str], assumed: bool) -> _Known:
        states = self.states
        live, back = self._points(item)
        way = self._traced.way(supply.live, live, state, LIVE, supply.equipment)
        home = self._traced.way(supply.back, back, state, RETURNS, supply.equipment) if back and supply.back else ()
        through = tuple(dict.fromkeys((*way, item)))
        positions = states.positions(cube)
        told = Way(
            source=supply.equipment,
            line=supply.line,
            positions=positions,
            automatic=tuple(e for e, _every in positions if states.is_automatic(e)),
            state=tuple(sorted(state.items())),
            through=through,
            assumed_return=assumed,
            stands_alone=supply.stands_alone,
        )
        return _Known(told, frozenset((*through, *home)))

    # -- the nets ---------------------------------------------------------------------------------------------------
    def _points(self, item: str) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """Live conductors a load is fed by, and those of its return. Of a run or bus: its live conductors."""
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

    def _nets_of(self, failure: Failure) -> _Nets:
        if failure not in self._nets:
            nodes = self.circuit.nodes
            gone = frozenset(
                number
                for number, node in enumerate(nodes)
                if node.equipment in failure.gone or (node.equipment, node.terminal) in failure.shut
            )
            given = 0
            for item, positions in failure.held:
                if item in self.states.number:
                    given |= self.states.guard(item, positions) or 0
            follows = any(each.follows_charging for each in self.through)
            self._nets[failure] = _Nets(
                self._net(LIVE, gone, self.through),
                self._net(RETURNS, gone, self.through),
                given,
                gone,
                self._net(LIVE, gone, [t for t in self.through if not t.follows_charging]) if follows else None,
            )
        return self._nets[failure]

    def _net(self, conductors: tuple[str, ...], gone: frozenset[int], through: Iterable[Through]) -> Net:
        net = Net(self.circuit, self.states, conductors, both_ways=False, without=gone, backwards=True)
        for each in through:
            is_live = conductors is LIVE
            outputs = each.outputs if is_live else each.back_outputs
            for output in outputs:
                for node in each.inputs if is_live else each.back_inputs:
                    if output not in gone and node not in gone:
                        net.lead(output, node, each.equipment, each.positions)
        return net

    def _cubes(self, failure: Failure, is_live: bool, node: int, enough: int) -> _Sets:
        nets = self._nets_of(failure)
        net = nets.live if is_live else nets.back
        key = failure, is_live, net.at(node), enough
        if key not in self._sets:
            quiet = _quiet(failure)
            some = [n for n, s in enumerate(self.supplies) if s.equipment not in quiet]
            if is_live and nets.from_batteries is not None:
                others = self._asked(net, node, nets, [n for n in some if not self.supplies[n].battery], True, enough)
                banks = [n for n in some if self.supplies[n].battery]
                more = self._asked(nets.from_batteries, node, nets, banks, True, enough)
                self._sets[key] = _Sets(others.cubes | more.cubes, others.cut_short | more.cut_short)
            else:
                self._sets[key] = self._asked(net, node, nets, some, is_live, enough)
        return self._sets[key]

    def _asked(self, net: Net, node: int, nets: _Nets, numbers: list[int], is_live: bool, enough: int) -> _Sets:
        owner: dict[int, int] = {}
        for number in numbers:
            supply = self.supplies[number]
            for point in supply.live if is_live else supply.back:
                if point not in nets.gone:
                    owner[net.terminal(point, supply.equipment, supply.positions)] = number
        found = search(net, net.at(node), owner, enough=enough, budget=self.budget, given=nets.given)
        cubes: dict[int, tuple[int, ...]] = {}
        for target, some in found.cubes.items():
            cubes[owner[target]] = (*cubes.get(owner[target], ()), *some)
        return _Sets(cubes, frozenset(owner[t] for t in found.undecided | found.truncated))

    def _is_drawn_back(self, node: int, number: int) -> bool:
        """Whether the way back to a source is drawn, everything closed and whole."""
        return number in self._cubes(NOTHING_FAILED, False, node, ENOUGH).cubes

    def _both(self, choices: Sequence[tuple[int, ...]], given: int) -> list[int]:
        """Conjunctions of one set of each, smallest first."""
        states = self.states
        made = [0]
        for some in choices:
            joined = {a | b for a in made for b in some}
            possible = [cube for cube in joined if states.closed(cube | given) is not None]
            made = sorted(possible, key=lambda c: (len(states.touched(c)), c.bit_count(), c))[: MANY + 1]
        return made


def _quiet(failure: Failure) -> frozenset[str]:
    return failure.gone | failure.silent


def supplies(snapshot: Snapshot, circuit: Circuit) -> tuple[tuple[Supply, ...], tuple[Through, ...]]:
    """What gives energy by itself, and what passes it on as a converter.

    A converter of which no input is drawn counts as giving by itself.
    """
    of_item: dict[str, list[int]] = {}
    for number, feed in enumerate(circuit.feeds):
        of_item.setdefault(feed.equipment, []).append(number)
    by_itself: dict[tuple[str, str, frozenset[str] | None], list[int]] = {}
    through: list[Through] = []
    for item, numbers in of_item.items():
        record = snapshot.equipment[item]
        conversions = record.conversions()
        joined = circuit.joined.get(item, frozenset())
        fed = any(c.source in joined for c in conversions)
        converter = record.converter()
        for number in numbers:
            feed = circuit.feeds[number]
            source = feed.source
            into = [c for c in conversions if c.target == source.terminal]
            if not (into and fed):
                by_itself.setdefault((item, source.line, source.positions), []).append(number)
                continue
            if source.in_step:
                continue
            for conversion in into:
                positions = _together(source.positions, conversion.positions)
                inputs = tuple(n for c in LIVE if (n := circuit.node(item, conversion.source, c)) is not None)
                if inputs and positions != frozenset():
                    through.append(
                        Through(
                            item,
                            positions,
                            (feed.node,),
                            inputs,
                            _back(circuit, item, conversion.target),
                            _back(circuit, item, conversion.source),
                            converter is not None and converter.runs_when == "input is charging",
                        )
                    )
    made = []
    for (item, line, positions), numbers in by_itself.items():
        first = circuit.feeds[numbers[0]].source
        is_machine = first.rotating and (first.system == "dc" or line == "stator")
        made.append(
            Supply(
                item,
                line,
                tuple(circuit.feeds[n].node for n in numbers),
                tuple(
                    dict.fromkeys(b for n in numbers for b in _back(circuit, item, circuit.feeds[n].source.terminal))
                ),
                positions,
                first.battery,
                not (is_machine or first.adapts or snapshot.equipment[item].harvest() is not None),
            )
        )
    return tuple(made), tuple(through)


def _back(circuit: Circuit, item: str, terminal: str) -> tuple[int, ...]:
    """The return of a terminal: its own, else any negative of the same equipment."""
    own = [n for c in RETURNS if (n := circuit.node(item, terminal, c)) is not None]
    if own:
        return tuple(own)
    if circuit.node(item, terminal, "+") is None:
        return ()
    return tuple(n for t in sorted(circuit.joined[item]) if (n := circuit.node(item, t, "-")) is not None)


def _together(one: frozenset[str] | None, other: frozenset[str] | None) -> frozenset[str] | None:
    if one is None or other is None:
        return other if one is None else one
    return one & other
