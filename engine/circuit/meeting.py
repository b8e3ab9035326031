"""Which AC sources can be joined, and by which switch positions.

Every AC source is a class of its own: two generators, two inlets, two inverter bridges have no common phase, so they
may meet only where both are recorded as built to run in parallel with each other. Every live conductor of a source is a
potential: L1 of one source on L2 of the same source is a conflict as well.

A source stands beside the terminal it feeds, joined to it while its own guard holds (a bridge only in *invert*). An
inverter/charger that passes shore power to its output therefore joins nothing. A bridge that supports what is passed
(`Source.in_step`) follows it and meets it by design; whatever else meets it meets what is passed as well.

The same search, on the positive conductors of two nominal voltages, serves `voltage-mismatch`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from engine.circuit.expand import Circuit, Feed
from engine.circuit.paths import BUDGET, Net, search, walk
from engine.circuit.states import States, TooManyStates, states_of
from engine.installation.model import Snapshot

__all__ = [
    "AC_LIVE",
    "DC_LIVE",
    "Conflict",
    "Meeting",
    "Party",
    "Point",
    "allows_nothing",
    "forbidden_pairs",
    "joins",
    "meet",
    "run_in_parallel",
]

AC_LIVE = ("L1", "L2", "L3")
DC_LIVE = ("+",)
FEW = 20  # of the smallest sets are looked at for needless conditions
MANY = 100  # cubes asked for where there are more than the first few


class Party(NamedTuple):
    """A source: equipment, and which of its sources where it has several."""

    equipment: str
    line: str


class Point(NamedTuple):
    """A circuit node, joined to what is asked about while `equipment` stands in one of `positions`."""

    node: int
    equipment: str
    positions: frozenset[str] | None = None


class Conflict(NamedTuple):
    """Two points that some permitted state joins, and the smallest set of positions that does it.

    `positions` lists (equipment, positions any of which do); empty: joined in every state. `automatic` are those of
    them that a controller moves. `protection` are protective devices on the way, taken as closed. `state` is one full
    permitted state in which they meet, `way` the equipment on a shortest way between them in it.
    """

    positions: tuple[tuple[str, tuple[str, ...]], ...]
    automatic: tuple[str, ...]
    protection: tuple[tuple[str, str], ...]
    state: tuple[tuple[str, str], ...]
    way: tuple[str, ...]
    one: Party = Party("", "")
    other: Party = Party("", "")
    conductors: tuple[str, str] = ("", "")

    def witness(self) -> tuple[tuple[str, str], ...]:
        """One position for every device that matters, protective devices on the way included."""
        chosen = dict(self.state)
        return tuple((e, chosen[e]) for e, _every in self.positions) + self.protection


class Meeting(NamedTuple):
    """Every pair of AC sources that can meet, and every pair about which the search could not tell.

    `locked`: the interlocks allow no state at all, so nothing could be decided. `supposed` are pairs that meet only
    through a contact of which it is not recorded whether it is there, with (equipment, field) that would tell.
    """

    sources: tuple[Party, ...]
    conflicts: tuple[Conflict, ...]
    undecided: tuple[tuple[Party, Party], ...]
    locked: bool = False
    supposed: tuple[tuple[Party, Party, tuple[tuple[str, str], ...]], ...] = ()


def meet(snapshot: Snapshot, circuit: Circuit, budget: int = BUDGET) -> Meeting:
    """Every forbidden meeting of AC sources, one conflict a pair, pairs in id order."""
    feeds = _ac_feeds(circuit)
    parties = [Party(f.equipment, f.source.line) for f in feeds]
    sources = tuple(dict.fromkeys(parties))
    points, forbidden = forbidden_pairs(snapshot, circuit)
    states = states_of(snapshot, circuit)
    found, undecided = joins(snapshot, circuit, points, forbidden, AC_LIVE, states, budget=budget)
    best: dict[tuple[Party, Party], Conflict] = {}
    for (i, j), conflict in found.items():
        pair = parties[i], parties[j]
        conductors = circuit.nodes[feeds[i].node].conductor, circuit.nodes[feeds[j].node].conductor
        old = best.get(pair)
        if old is None or len(conflict.positions) < len(old.positions):
            best[pair] = conflict._replace(one=pair[0], other=pair[1], conductors=conductors)
    open_pairs = dict.fromkeys((parties[i], parties[j]) for i, j in undecided)
    left = [(i, j) for i, j in forbidden if (parties[i], parties[j]) not in best and (i, j) not in undecided]
    supposed = _supposed(snapshot, circuit, points, left, states)
    return Meeting(
        sources=sources,
        conflicts=tuple(best.values()),
        undecided=tuple(pair for pair in open_pairs if pair not in best),
        locked=bool(undecided) and allows_nothing(states),
        supposed=tuple((*pair, fields) for pair, fields in _first(parties, supposed).items() if pair not in open_pairs),
    )


def forbidden_pairs(snapshot: Snapshot, circuit: Circuit) -> tuple[list[Point], list[tuple[int, int]]]:
    """Live conductors of AC sources, and the pairs of them (indices, first < second) that must never be joined."""
    feeds = _ac_feeds(circuit)
    points = [Point(f.node, f.equipment, f.source.positions) for f in feeds]
    pairs = [
        (i, j) for j in range(len(feeds)) for i in range(j) if not _may_meet(snapshot, circuit, feeds[i], feeds[j])
    ]
    return points, pairs


def _ac_feeds(circuit: Circuit) -> list[Feed]:
    return [
        f
        for f in circuit.feeds
        if f.source.system == "ac" and circuit.nodes[f.node].conductor in AC_LIVE and not f.source.in_step
    ]


def _supposed(
    snapshot: Snapshot, circuit: Circuit, points: Sequence[Point], pairs: list[tuple[int, int]], states: States
) -> dict[tuple[int, int], tuple[tuple[str, str], ...]]:
    """Pairs of points, otherwise apart, that meet through contacts that the record leaves open."""
    fields = {x.equipment: x.supposed for x in circuit.links if x.supposed and x.conductor in AC_LIVE}
    if not fields:
        return {}
    found, _undecided = joins(snapshot, circuit, points, pairs, AC_LIVE, states, supposed=True)
    return {
        pair: tuple((item, fields[item]) for item in conflict.way if item in fields) for pair, conflict in found.items()
    }


def _first(
    parties: Sequence[Party], supposed: dict[tuple[int, int], tuple[tuple[str, str], ...]]
) -> dict[tuple[Party, Party], tuple[tuple[str, str], ...]]:
    made: dict[tuple[Party, Party], tuple[tuple[str, str], ...]] = {}
    for (i, j), fields in supposed.items():
        made.setdefault((parties[i], parties[j]), fields)
    return made


def _may_meet(snapshot: Snapshot, circuit: Circuit, one: Feed, other: Feed) -> bool:
    same_conductor = circuit.nodes[one.node].conductor == circuit.nodes[other.node].conductor
    if (one.equipment, one.source.line) == (other.equipment, other.source.line):
        return same_conductor
    return same_conductor and run_in_parallel(snapshot, one.equipment, other.equipment)


def run_in_parallel(snapshot: Snapshot, one: str, other: str) -> bool:
    """Whether both of two sources are recorded as built to run in parallel with each other."""
    return other in _parallel(snapshot, one) and one in _parallel(snapshot, other)


def _parallel(snapshot: Snapshot, equipment: str) -> tuple[str, ...]:
    """What a source is recorded as built to run in parallel with; nothing where its kind has no such field."""
    return tuple(getattr(snapshot.equipment[equipment], "parallel_with", ()))


def joins(
    snapshot: Snapshot,
    circuit: Circuit,
    points: Sequence[Point],
    pairs: Iterable[tuple[int, int]],
    conductors: tuple[str, ...],
    states: States | None = None,
    supposed: bool = False,
    budget: int = BUDGET,
) -> tuple[dict[tuple[int, int], Conflict], list[tuple[int, int]]]:
    """For each pair of points (indices, first < second) the smallest condition that joins them, where one exists.

    Closing is taken as the bad event: what merely protects is closed. A diode is taken as conducting both ways: what
    must not be joined must not be joined through a diode either. Pairs in neither result are proved apart; interlocks
    that allow no state at all prove nothing.
    """
    wanted: dict[int, set[int]] = {}
    for i, j in pairs:
        wanted.setdefault(i, set()).add(j)
    if not wanted:
        return {}, []
    states = states or states_of(snapshot, circuit)
    if allows_nothing(states):
        return {}, sorted((i, j) for i in wanted for j in wanted[i])
    net = Net(circuit, states, conductors, supposed=supposed)
    terminals = [net.terminal(p.node, p.equipment, p.positions) for p in points]
    number = {terminal: i for i, terminal in enumerate(terminals)}
    found: dict[tuple[int, int], Conflict] = {}
    undecided: list[tuple[int, int]] = []
    for i in sorted(wanted):
        result = search(net, terminals[i], [terminals[j] for j in sorted(wanted[i])], budget=budget)
        for target, cubes in result.cubes.items():
            j = number[target]
            if target in result.truncated:
                # devices without off and interlocks: whether a condition is needless shows only on more of the cubes
                cubes = search(net, terminals[i], [target], MANY, budget).cubes.get(target, cubes)
            conflict = _conflict(circuit, states, points[i], points[j], cubes, conductors, supposed)
            if conflict is None:
                undecided.append((i, j))
            else:
                found[i, j] = conflict
        undecided.extend((i, number[t]) for t in sorted(result.undecided))
    return dict(sorted(found.items())), sorted(undecided)


def allows_nothing(states: States) -> bool:
    """Whether the interlocks rule out every state, so that no search can prove anything."""
    try:
        return not states.allows(0)
    except TooManyStates:
        return False


def _conflict(
    circuit: Circuit,
    states: States,
    one: Point,
    other: Point,
    cubes: tuple[int, ...],
    conductors: tuple[str, ...],
    supposed: bool,
) -> Conflict | None:
    primes = states.consensus(cubes)
    widened = states.weakest(states.widened(cube, primes) for cube in primes[:FEW])
    best = widened[0]
    try:
        state = states.completion(best)
    except TooManyStates:
        return None
    if state is None:  # the cubes were found possible one by one
        return None
    way = walk(circuit, one.node, other.node, state, conductors, supposed=supposed) or []
    speaks_of = {states.devices[i].equipment for i in states.touched(best)}
    protection = {
        link.equipment: min(link.positions)
        for link in way
        if link.positions is not None and link.equipment not in states.number
    }
    return Conflict(
        positions=states.positions(best),
        automatic=tuple(e for e in sorted(speaks_of) if states.is_automatic(e)),
        protection=tuple(sorted(protection.items())),
        state=tuple(sorted(state.items())),
        way=tuple(dict.fromkeys(link.equipment for link in way)),
    )
