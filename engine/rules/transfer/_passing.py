"""What a switch joins for a moment on its way from one position to another, when it makes before it breaks."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.circuit.states import Device, Lock, States, states_of
from engine.study import Study

__all__ = ["BETWEEN", "Passing", "passings", "while_passing"]

BETWEEN = "between"


class Passing(NamedTuple):
    """A switch on its way, the contacts of both positions closed. `sure`: it is recorded as making before it breaks."""

    item: str
    start: str
    stop: str
    sure: bool


def passings(study: Study) -> Iterator[Passing]:
    """Every way of every switch on which contacts of two positions can be closed that no position closes together.

    One recorded as making before it breaks passes so between any two of its positions, off or not: what is recorded
    counts. Of one that records nothing, only positions that are neighbours are asked about.
    """
    for item, record in study.snapshot.equipment.items():
        makes_first = record.parts().makes_first
        if record.ROLE != "switch" or makes_first is False or "makes_before_breaks" not in record.__struct_fields__:
            continue
        closed = {
            p: {n for n, c in enumerate(record.contacts()) if c.positions is not None and p in c.positions}
            for p in record.positions()
        }
        neighbours = {frozenset(pair) for pair in record.moves()}
        names = record.positions()
        for at, start in enumerate(names):
            for stop in names[at + 1 :]:
                if makes_first is None and frozenset((start, stop)) not in neighbours:
                    continue
                both = closed[start] | closed[stop]
                if not any(both <= some for some in closed.values()):
                    yield Passing(item, start, stop, bool(makes_first))


def while_passing(study: Study, passing: Passing) -> tuple[Circuit, States]:
    """The circuit and its switches while one of them is on its way: it stands in `BETWEEN`, where an interlock that
    counts either of the two positions counts it."""
    ends = {passing.start, passing.stop}
    circuit = copy.copy(study.circuit)
    circuit.links = []
    for link in study.circuit.links:
        if link.equipment != passing.item or link.positions is None:
            circuit.links.append(link)
        elif link.positions & ends:
            circuit.links.append(link._replace(positions=frozenset({BETWEEN})))
    devices = [
        Device(device.equipment, (BETWEEN,), device.automatic) if device.equipment == passing.item else device
        for device in states_of(study.snapshot, study.circuit).devices
    ]
    locks = []
    for lock in study.snapshot.interlocks.values():
        held = []
        for one in lock.held:
            positions = frozenset(one.positions)
            if one.equipment == passing.item:
                positions = frozenset({BETWEEN}) if positions & ends else frozenset()
            if positions:
                held.append((one.equipment, positions))
        locks.append(Lock(lock.at_most, tuple(held)))
    return circuit, States(devices, locks)
