"""Where shore power comes aboard, and what it reaches before anything separates it."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from engine.circuit.ways import Step
from engine.equipment.base import LIVE
from engine.equipment.behaviour import Ashore
from engine.study import Study

__all__ = ["Inlet", "ac_nodes", "inlets", "is_live_step", "uses"]


class Inlet(NamedTuple):
    """Where the shore's conductors come aboard: the boat's inlet, or the supply where no inlet is drawn."""

    item: str
    told: Ashore
    live: tuple[int, ...]
    neutral: int | None
    earth: int | None


def inlets(study: Study) -> tuple[Inlet, ...]:
    """Every inlet that something is connected to, and every supply that no inlet stands for."""
    circuit, ways = study.circuit, study.ways
    every: dict[str, Inlet] = {}
    for item in circuit.joined:
        told = study.snapshot.equipment[item].ashore()
        if told is None:
            continue
        live = tuple(n for c in LIVE if (n := circuit.node(item, told.terminal, c)) is not None)
        if live:
            node = circuit.node
            every[item] = Inlet(item, told, live, node(item, told.terminal, "N"), node(item, told.terminal, "PE"))
    pins = {n: i for i in every if every[i].told.inlet for c in LIVE if (n := circuit.node(i, "shore", c)) is not None}
    found = []
    for one in every.values():
        if not one.told.inlet and pins:
            reached = ways.reach(one.live, lambda step: step.to not in pins and is_live_step(study, step))
            ends = {step.to for node in reached for step in ways.steps[node]}
            if ends & pins.keys():
                continue
        found.append(one)
    return tuple(found)


def is_live_step(study: Study, step: Step) -> bool:
    """Whether it joins live conductors of AC."""
    name = study.ways.conductor
    return name(step.start) in LIVE[1:] and name(step.to) in LIVE[1:]


def ac_nodes(study: Study, item: str, terminal: str) -> tuple[int, ...]:
    """Live AC conductors that arrive at a terminal."""
    return tuple(n for c in LIVE[1:] if (n := study.circuit.node(item, terminal, c)) is not None)


def uses(study: Study, node: int, is_use: Callable[[str], bool] | None = None) -> str:
    """The equipment of a node where it takes power there, `""` where it only passes it on."""
    equipment, terminal, _conductor = study.circuit.nodes[node]
    record = study.snapshot.equipment[equipment]
    takes = any(draw.terminal == terminal for draw in record.draws()) or any(
        conversion.source == terminal for conversion in record.conversions()
    )
    if not takes or (is_use is not None and not is_use(equipment)):
        return ""
    return equipment
