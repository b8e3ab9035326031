"""Neutrals of AC sources and the bonds they have: what the rules of neutrals share."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from engine.circuit.meeting import AC_LIVE, Conflict, Point
from engine.circuit.paths import Net, search, walk
from engine.circuit.states import States, TooManyStates, states_of
from engine.study import Study

__all__ = ["Bond", "Neutral", "bonds", "is_through", "joined_apart", "neutrals", "told_of_neutrals"]

MANY = 100  # smallest sets of positions in which two sources meet


class Neutral(NamedTuple):
    """An AC source with a neutral drawn: its live conductors and the neutral, at the terminal it feeds."""

    item: str
    line: str
    terminal: str
    live: tuple[int, ...]
    node: int
    positions: frozenset[str] | None


class Bond(NamedTuple):
    """A neutral joined to protective earth, in some positions of its equipment or always."""

    item: str
    node: int
    positions: frozenset[str] | None


def neutrals(study: Study) -> list[Neutral]:
    """Every AC source that has a neutral of its own, in the order of the drawing.

    One whose neutral is that of what feeds it (one winding, not two) has none of its own; a bridge that follows what it
    supports neither.
    """
    circuit = study.circuit
    live: dict[tuple[str, str], list[int]] = {}
    made: dict[tuple[str, str], Neutral] = {}
    for feed in circuit.feeds:
        source, item = feed.source, feed.equipment
        if source.system != "ac" or source.in_step:
            continue
        node = circuit.node(item, source.terminal, "N")
        if node is None or is_through(study, item, source.terminal):
            continue
        key = item, source.line
        live.setdefault(key, []).append(feed.node)
        made.setdefault(key, Neutral(item, source.line, source.terminal, (), node, source.positions))
    return [one._replace(live=tuple(live[key])) for key, one in made.items()]


def is_through(study: Study, item: str, terminal: str) -> bool:
    """Whether the neutral of a converter's output is that of its input."""
    circuit = study.circuit
    inputs = {c.source for c in study.snapshot.equipment[item].conversions() if c.target == terminal}
    nodes = {n for t in inputs if (n := circuit.node(item, t, "N")) is not None}
    here = circuit.node(item, terminal, "N")
    return any(
        link.positions is None and link.equipment == item and {link.a, link.b} & nodes and here in (link.a, link.b)
        for link in circuit.links
        if link.conductor == "N"
    )


def bonds(study: Study) -> list[Bond]:
    """Links between a neutral and the protective earth, in order."""
    nodes, made = study.circuit.nodes, []
    for link in study.circuit.links:
        told = study.snapshot.equipment[link.equipment].ashore()
        if told is not None and study.circuit.joined[link.equipment] - {told.terminal}:
            continue  # the supply is drawn: the bond recorded at the inlet is the supply's own
        if {nodes[link.a].conductor, nodes[link.b].conductor} == {"N", "PE"} and not link.supposed:
            made.append(Bond(link.equipment, link.a if nodes[link.a].conductor == "N" else link.b, link.positions))
    return made


def told_of_neutrals(study: Study) -> set[frozenset[str]]:
    """Pairs of sources of which `neutral-not-switched` says that their neutrals stay joined."""
    return {frozenset(remark.ids[:2]) for remark in study.outcome("neutral-not-switched").remarks}


def joined_apart(
    study: Study, here: Point, there: Point, one: Iterable[Neutral], other: Iterable[Neutral]
) -> Conflict | None:
    """The smallest condition under which two neutrals meet in some state in which the live conductors stay apart.

    Sources whose live conductors meet too are told of by `sources-meet`; where this cannot be told, so they are.
    """
    circuit = study.circuit
    states = states_of(study.snapshot, circuit)
    lives, neutral = Net(circuit, states, AC_LIVE), Net(circuit, states, ("N",))
    starts = [lives.terminal(n, s.item, s.positions) for s in one for n in s.live]
    targets = [lives.terminal(n, s.item, s.positions) for s in other for n in s.live]
    meet: list[int] = []
    for start in starts:
        found = search(lives, start, targets, MANY)
        if found.undecided or found.truncated:
            return None
        meet += [cube for some in found.cubes.values() for cube in some]
    start, target = neutral.terminal(*here), neutral.terminal(*there)
    try:
        for cube in search(neutral, start, [target], MANY).cubes.get(target, ()):
            state = states.outside(meet, cube)
            if state is not None:
                return _told(study, states, here, there, cube, state)
    except TooManyStates:
        pass
    return None


def _told(study: Study, states: States, here: Point, there: Point, cube: int, state: dict[str, str]) -> Conflict:
    way = walk(study.circuit, here.node, there.node, state, ("N",)) or []
    positions = states.positions(cube)
    protection = {x.equipment: min(x.positions) for x in way if x.positions and x.equipment not in states.number}
    return Conflict(
        positions=positions,
        automatic=tuple(sorted(item for item, _every in positions if states.is_automatic(item))),
        protection=tuple(sorted(protection.items())),
        state=tuple(sorted(state.items())),
        way=tuple(dict.fromkeys(x.equipment for x in way)),
    )
