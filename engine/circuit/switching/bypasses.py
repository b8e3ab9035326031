"""Ways round a converter: how its loads are fed without it, and whether it can be taken out on both sides meanwhile.

A *bypass* of a unit (an inverter/charger, a transformer: what takes alternating current in and gives it out) is a set
of positions by which a source that can feed its input feeds a load of its output side through switches alone. A load is
of the output side where the unit's output reaches it, and that source does not go round the unit to it, as drawn or in
some operating condition; where no position recorded tells, in some permitted state.

The unit is *out* where neither its input nor its output is joined to any source. Its own relay is not relied on, and
what a controller moves may stand anywhere. Breakers count as able to open, fuses do not.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.circuit.flow.operating import positions_in
from engine.circuit.meeting import AC_LIVE
from engine.circuit.paths import BUDGET, Net, search
from engine.circuit.states import Lock, States, TooManyStates, states_of
from engine.circuit.switching.forbidden import Forbidden
from engine.circuit.switching.results import Positions
from engine.equipment.base import Equipment
from engine.installation.model import Snapshot

__all__ = ["Bypass", "bypasses"]

ENOUGH = 6  # smallest sets of positions tried for a load
EVERY = 40  # sets by which a side is live, kept for the quick no
TRIES = 50  # states looked at before it is given up


class Bypass(NamedTuple):
    """One way round a unit.

    `positions`: what makes it, without what stands so on the way to or from the unit too, and without breakers that
    merely protect. `witness`: one position for everything on it. `out`: a permitted state in which the unit is out on
    both sides and the load is fed, of all that is on ways between sources and units; `None`: there is none, and `live`
    are the terminals that stay live. `undecided`: the search was stopped before it could tell.
    """

    unit: str
    source: str
    load: str
    positions: Positions
    automatic: tuple[str, ...]
    witness: tuple[tuple[str, str], ...]
    out: tuple[tuple[str, str], ...] | None
    live: tuple[str, ...] = ()
    undecided: bool = False


class _Sides(NamedTuple):
    """Terminals of a unit for alternating current."""

    unit: str
    inputs: tuple[str, ...]
    outputs: tuple[str, ...]


def bypasses(snapshot: Snapshot, circuit: Circuit, budget: int = BUDGET) -> tuple[Bypass, ...]:
    """Every way round every unit, one for each source and set of switches, units in id order.

    `budget`: labels a search may take.
    """
    units = [sides for item, record in snapshot.equipment.items() if (sides := _sides(circuit, item, record))]
    if not units:
        return ()
    states = _states(snapshot, circuit, units)
    forbidden: Forbidden | None = None
    made: list[Bypass] = []
    for sides in units:
        round_it = _Round(snapshot, circuit, states, sides, budget)
        found = list(round_it.ways())
        if found:
            forbidden = forbidden or Forbidden(snapshot, circuit, states, budget)
            made += round_it.told(found, forbidden)
    return tuple(made)


def _sides(circuit: Circuit, item: str, record: Equipment) -> _Sides | None:
    if record.ROLE != "converter":
        return None
    joined = circuit.joined.get(item, frozenset())
    outputs = {s.terminal for s in record.sources(joined) if s.system == "ac"} & joined
    into = {c.source for c in record.conversions() if c.target in outputs}
    into |= {c.a for c in record.contacts() if c.b in outputs and c.positions is not None}
    inputs = {t for t in (into & joined) - outputs if _live(circuit, item, (t,))}
    if not inputs or not outputs:
        return None
    return _Sides(item, tuple(sorted(inputs)), tuple(sorted(outputs)))


def _live(circuit: Circuit, item: str, terminals: Iterable[str]) -> list[int]:
    """Live conductors of alternating current at some terminals."""
    return [n for t in terminals for c in AC_LIVE if (n := circuit.node(item, t, c)) is not None]


def _states(snapshot: Snapshot, circuit: Circuit, units: Iterable[_Sides]) -> States:
    """Devices on ways between sources and units, breakers too, and whatever interlocks hold.

    What leads to loads alone counts as closed: it neither makes a bypass nor parts a unit from a source.
    """
    nodes = circuit.nodes
    roots = list(range(len(nodes)))

    def root(node: int) -> int:
        while roots[node] != node:
            roots[node] = roots[roots[node]]
            node = roots[node]
        return node

    live = [node.conductor in AC_LIVE for node in nodes]
    for wire in circuit.wires:
        if live[wire.a] and live[wire.b]:
            roots[root(wire.a)] = root(wire.b)
    moved = []
    for link in circuit.links:
        if live[link.a] and live[link.b]:
            if link.positions is None:
                roots[root(link.a)] = root(link.b)
            else:
                moved.append(link)
    kept = {root(feed.node) for feed in circuit.feeds if live[feed.node]}
    for sides in units:
        kept.update(root(node) for node in _live(circuit, sides.unit, (*sides.inputs, *sides.outputs)))
    near: dict[int, set[int]] = {}
    for link in moved:
        a, b = root(link.a), root(link.b)
        if a != b:
            near.setdefault(a, set()).add(b)
            near.setdefault(b, set()).add(a)
    todo = [node for node, others in near.items() if node not in kept and len(others) < 2]
    while todo:
        node = todo.pop()
        for other in near.pop(node, ()):
            near[other].discard(node)
            if other not in kept and len(near[other]) < 2:
                todo.append(other)
    wanted = {x.equipment for x in moved if root(x.b) in near.get(root(x.a), ())}
    wanted |= {held.equipment for lock in snapshot.interlocks.values() for held in lock.held}
    every = states_of(snapshot, circuit, protection_opens=True)
    locks = [
        Lock(lock.at_most, tuple((h.equipment, frozenset(h.positions)) for h in lock.held))
        for lock in snapshot.interlocks.values()
    ]
    return States([device for device in every.devices if device.equipment in wanted], locks)


class _Way(NamedTuple):
    source: str
    load: str
    cube: int
    own: int  # the part of the cube that is the bypass itself


class _Round:
    """The circuit without what one unit, or any other converter, joins."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit, states: States, sides: _Sides, budget: int) -> None:
        self.snapshot, self.states, self.sides, self.budget = snapshot, states, sides, budget
        self.circuit = copy.copy(circuit)
        self.circuit.links = [x for x in circuit.links if snapshot.equipment[x.equipment].ROLE != "converter"]
        self.net = Net(self.circuit, states, AC_LIVE)
        self.sources: dict[int, str] = {
            self.net.terminal(feed.node, feed.equipment, feed.source.positions): feed.equipment
            for feed in circuit.feeds
            if feed.equipment != sides.unit and circuit.nodes[feed.node].conductor in AC_LIVE
        }
        self.hands = sum(states.field[i] for i, device in enumerate(states.devices) if not device.automatic)
        self._bad: dict[str, list[int]] = {}

    # -- ways round ---------------------------------------------------------------------------------------------------
    def ways(self) -> Iterator[_Way]:
        """Smallest sets of positions by which a source of the input feeds a load of the output round the unit."""
        inputs, outputs = self._nodes(self.sides.inputs), self._nodes(self.sides.outputs)
        into: dict[int, list[int]] = {}
        for node in inputs:
            found = search(self.net, node, self.sources, enough=ENOUGH, budget=self.budget)
            for start in found.cubes.keys() | found.undecided:
                into.setdefault(start, []).extend(found.cubes.get(start, ()))
        own = [t for t in self.sources if t in into]
        if not own:
            return
        behind: dict[int, str] = {}
        within = frozenset().union(*(self.net.reachable(node) for node in outputs))
        for item, record in self.snapshot.equipment.items():
            if record.use() is not None and record.status != "spare":
                for node in _live(self.circuit, item, self.circuit.joined.get(item, ())):
                    if self.net.at(node) in within:
                        behind.setdefault(self.net.at(node), item)
        sets = {start: search(self.net, start, behind, enough=ENOUGH, budget=self.budget).cubes for start in own}
        if not any(sets.values()):
            return
        onward: dict[int, list[int]] = {}
        for output in outputs:
            for node, cubes in search(self.net, output, behind, enough=ENOUGH, budget=self.budget).cubes.items():
                onward.setdefault(node, []).extend(cubes)
        served = self._served(outputs, behind, own) or self._may_be_served(onward, sets)
        told: set[tuple[str, int]] = set()
        for start in own:
            for node, cubes in sets[start].items():
                for cube in cubes if (start, node) in served else ():
                    part = self._own(cube, onward.get(node, []), into[start])
                    if part and (self.sources[start], part) not in told:
                        told.add((self.sources[start], part))
                        yield _Way(self.sources[start], behind[node], cube, part)

    def _nodes(self, terminals: Iterable[str]) -> set[int]:
        return {self.net.at(node) for node in _live(self.circuit, self.sides.unit, terminals)}

    def _served(self, outputs: set[int], behind: Mapping[int, str], own: list[int]) -> set[tuple[int, int]]:
        """(source, load) where, as recorded somewhere, the unit alone reaches the load."""
        made: set[tuple[int, int]] = set()
        for condition in ("", *self.snapshot.conditions):
            positions = positions_in(self.snapshot, condition)
            by_unit = self._standing(outputs, positions)
            for start in own:
                round_it = self._standing([start], positions)
                made.update((start, node) for node in behind if node in by_unit and node not in round_it)
        return made

    def _standing(self, starts: Iterable[int], positions: Mapping[str, str]) -> set[int]:
        """Nodes joined to some others with every device in a given position."""
        cube = self.states.of_positions(positions.items())
        seen = set(starts)
        todo = list(seen)
        for node in todo:
            for arc in self.net.arcs.get(node, ()):
                # an arc is open where its device stands in a position that its guard rules out
                if arc.to not in seen and (arc.device < 0 or arc.guard & ~cube == 0):
                    seen.add(arc.to)
                    todo.append(arc.to)
        return seen

    def _may_be_served(
        self, onward: Mapping[int, list[int]], sets: Mapping[int, Mapping[int, tuple[int, ...]]]
    ) -> set[tuple[int, int]]:
        """The same, in some permitted state."""
        made: set[tuple[int, int]] = set()
        for node, cubes in onward.items():
            for start, of_start in sets.items():
                ways = [self._switched(cube) for cube in of_start.get(node, ())]
                if ways and any(self._outside(ways, cube) for cube in cubes):
                    made.add((start, node))
        return made

    def _outside(self, ways: list[int], cube: int) -> bool:
        try:
            return self.states.outside(ways, cube) is not None
        except TooManyStates:
            return True

    def _switched(self, cube: int) -> int:
        """The part of a set of positions that speaks of what is operated, not of what merely protects."""
        devices = self.states.devices
        some = sum(
            self.states.field[i] for i in self.states.touched(cube) if self.circuit.switchable(devices[i].equipment)
        )
        return cube & some if some else cube

    def _own(self, cube: int, *others: list[int]) -> int:
        """The same, without devices that stand so on every way from the source to the unit, or from it to the load."""
        part = self._switched(cube)
        for device in self.states.touched(part):
            field = self.states.field[device]
            if any(other and all(c & field == part & field for c in other) for other in others):
                part &= ~field
        return part

    # -- out on both sides --------------------------------------------------------------------------------------------
    def told(self, ways: Iterable[_Way], forbidden: Forbidden) -> Iterator[Bypass]:
        """Each way with a state in which the unit is out, or what of it stays live.

        Of ways that are others with more switches thrown only the smallest is told.
        """
        states = self.states
        smallest: dict[str, list[int]] = {}
        for way in sorted(ways, key=lambda w: (len(states.touched(w.own)), len(states.touched(w.cube)))):
            done = smallest.setdefault(way.source, [])
            if any(own & ~way.own == 0 for own in done):
                continue
            try:
                if forbidden.permitted(way.cube) is None:
                    continue  # only with sources joined
                done.append(way.own)
                out = self._out(way.cube, (*self.sides.inputs, *self.sides.outputs), forbidden)
                live: tuple[str, ...] = ()
                if out is None:
                    every = (*self.sides.inputs, *self.sides.outputs)
                    live = tuple(t for t in every if self._out(way.cube, (t,), forbidden) is None) or every
                yield self._made(way, out, live)
            except TooManyStates:
                yield self._made(way, None, ())._replace(undecided=True)

    def _made(self, way: _Way, out: Mapping[str, str] | None, live: tuple[str, ...]) -> Bypass:
        states = self.states
        positions = states.positions(way.own)
        return Bypass(
            unit=self.sides.unit,
            source=way.source,
            load=way.load,
            positions=positions,
            automatic=tuple(item for item, _every in positions if states.is_automatic(item)),
            witness=tuple((item, every[0]) for item, every in states.positions(way.cube)),
            out=None if out is None else tuple(sorted(out.items())),
            live=live,
        )

    def _out(self, cube: int, terminals: tuple[str, ...], forbidden: Forbidden) -> dict[str, str] | None:
        """A permitted state within `cube` in which none of the terminals is live."""
        bad = [b for terminal in terminals for b in self._live_sets(terminal)]
        for attempt in range(TRIES):
            # most often the state with everything else open will do
            state = None if attempt else self._plain(cube, bad, forbidden)
            if state is None:
                state = forbidden.permitted(cube, bad)
            if state is None:
                return None
            hands = self.states.of_positions(state.items()) & self.hands
            if not any(self._is_live(terminal, hands) for terminal in terminals):
                return state
            bad.append(hands)
        raise TooManyStates

    def _plain(self, cube: int, bad: Iterable[int], forbidden: Forbidden) -> dict[str, str] | None:
        """The first permitted state within `cube`, where it is none of the bad ones."""
        state = self.states.completion(cube)
        if state is None:
            return None
        hands = self.states.of_positions(state.items()) & self.hands
        return None if any(b & ~hands == 0 for b in bad) or forbidden.met(hands) is not None else state

    def _live_sets(self, terminal: str) -> list[int]:
        """Hand-moved positions by which a terminal is live, what a controller moves standing as it likes."""
        if terminal not in self._bad:
            cubes: list[int] = []
            for node in self._nodes((terminal,)):
                for some in search(self.net, node, self.sources, enough=EVERY, budget=self.budget).cubes.values():
                    cubes += [cube & self.hands for cube in some]
            self._bad[terminal] = self.states.weakest(cubes)
        return self._bad[terminal]

    def _is_live(self, terminal: str, hands: int) -> bool:
        for node in self._nodes((terminal,)):
            found = search(self.net, node, self.sources, enough=1, budget=self.budget, given=hands)
            if found.cubes or found.undecided:
                return True
        return False
