"""Neutrals of AC sources and the bonds they have: where they are, which of them meet in one state of the switches."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from engine.circuit.ways import Step
from engine.naming import natural

if TYPE_CHECKING:
    from engine.study import Study

__all__ = ["Bond", "Neutral", "bonded_in", "bonds", "is_through", "neutrals"]


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


def bonded_in(study: Study, neutral: Neutral, positions: Mapping[str, str]) -> tuple[str, ...]:
    """Equipment at which a source's neutral is bonded to earth while everything stands in `positions`, by designation.

    What has positions and is not named there counts as open.
    """
    ways, circuit = study.ways, study.circuit

    def closed(item: str, some: frozenset[str] | None) -> bool:
        return some is None or positions.get(item) in some

    def passes(step: Step) -> bool:
        if ways.conductor(step.start) != "N" or ways.conductor(step.to) != "N":
            return False
        if step.link < 0:
            return True
        link = circuit.links[step.link]
        return not link.supposed and closed(link.equipment, link.positions)

    reached = ways.reach([neutral.node], passes)
    found = {bond.item for bond in bonds(study) if bond.node in reached and closed(bond.item, bond.positions)}
    return tuple(sorted(found, key=lambda item: natural(study.name(item))))
