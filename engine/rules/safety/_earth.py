"""Protective conductors as they are joined: what meets what, without anything that may open."""

from __future__ import annotations

from collections.abc import Iterable

from engine.circuit.ways import Step
from engine.study import Study

__all__ = ["ac_equipment", "earth_nodes", "is_earth_step", "is_return_step", "unbroken"]


def is_earth_step(study: Study, step: Step) -> bool:
    """Whether it joins protective conductors, and nothing in it may open."""
    name = study.ways.conductor
    if name(step.start) != "PE" or name(step.to) != "PE":
        return False
    if step.link < 0:
        return True
    link = study.circuit.links[step.link]
    return link.positions is None and not link.supposed


def is_return_step(study: Study, step: Step) -> bool:
    """As an earth's, or a negative's, or where negative and earth are one."""
    name = study.ways.conductor
    if name(step.start) not in ("PE", "-") or name(step.to) not in ("PE", "-"):
        return False
    return step.link < 0 or not study.circuit.links[step.link].supposed


def earth_nodes(study: Study, item: str, terminals: Iterable[str]) -> tuple[int, ...]:
    """Its protective conductors, where runs bring them."""
    return tuple(n for t in terminals if (n := study.circuit.node(item, t, "PE")) is not None)


def unbroken(study: Study) -> dict[int, int]:
    """Protective conductors by number of the net that they make with others, nothing in it that may open."""
    nets: dict[int, int] = {}
    for node, (_equipment, _terminal, conductor) in enumerate(study.circuit.nodes):
        if conductor == "PE" and node not in nets:
            number = len(nets)
            nets.update(dict.fromkeys(study.ways.reach([node], lambda step: is_earth_step(study, step)), number))
    return nets


def ac_equipment(study: Study) -> tuple[str, ...]:
    """Equipment at which a live AC conductor arrives."""
    circuit = study.circuit
    joined = circuit.joined
    live = {
        item
        for item, terminal, conductor in circuit.nodes
        if conductor in ("L1", "L2", "L3") and terminal in joined.get(item, ())
    }
    return tuple(item for item in joined if item in live)
