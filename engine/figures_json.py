"""Flows, faults, energy and sizes as plain objects for JSON. Machine words stay English whatever the language.

Ids, storage units, nothing rounded; what is not known is null, what has no end ("never") is the text "inf".
"""

from __future__ import annotations

import math
from typing import Any

import msgspec

from engine.circuit.energy.results import Energy
from engine.circuit.faults.results import Faults
from engine.circuit.flow.results import Flow, Start
from engine.circuit.switching.results import FailureTable, FedBy, Isolation, Order
from engine.installation.model import Snapshot
from engine.sizing.results import Answer

__all__ = [
    "energy_object",
    "failures_object",
    "faults_object",
    "flow_object",
    "isolation_object",
    "order_object",
    "size_object",
]


def flow_object(flow: Flow, starts: tuple[Start, ...] = ()) -> dict[str, Any]:
    """A flow: `condition` is its name, `nodes` by designation, `runs` with amps, drop and loss."""
    return {
        "condition": flow.name,
        "condition_id": flow.condition,
        "charge": flow.charge,
        "converged": flow.converged,
        "sources_w": flow.sources_w,
        "loads_w": flow.loads_w,
        "losses_w": flow.losses_w,
        "nodes": [_plain(node) for node in flow.nodes],
        "runs": [_plain(run) for run in flow.runs],
        "devices": [_plain(device) for device in flow.devices],
        "loads": [_plain(load) for load in flow.loads],
        "sources": [_plain(source) for source in flow.sources],
        "buses": [_plain(bus) for bus in flow.buses],
        "starts": [_plain(start) for start in starts],
        "not_solved": [{"id": item, "why": why} for item, why in flow.not_solved],
        "assumed": list(flow.assumed),
    }


def faults_object(faults: Faults, condition: str = "") -> dict[str, Any]:
    """Prospective currents at devices and buses, and at the far ends of what devices protect.

    `condition`: the name of the one whose positions hold; null for every permitted state.
    """
    return {
        "condition": condition or None,
        "devices": [_plain(device) for device in faults.devices],
        "buses": [_plain(bus) for bus in faults.buses],
        "far_ends": [_plain(end) for end in faults.far_ends],
        "assumed": list(faults.assumed),
    }


def failures_object(table: FailureTable) -> dict[str, Any]:
    """What feeds each essential load, and what each failure leaves of it; ids of equipment."""
    failures = []
    for j, failure in enumerate(table.failures):
        failures.append(
            {
                "kind": failure.kind,
                "item": failure.item,
                "missing": list(failure.missing),
                "supposed": failure.taken,
                "loads": [
                    {"dark": row[j].is_dark, "unchanged": row[j].unchanged, **_fed_object(row[j].fed)}
                    for row in table.cells
                ],
            }
        )
    return {
        "loads": [
            {**_fed_object(fed), "own_circuit": list(own)} for fed, own in zip(table.normal, table.own, strict=True)
        ],
        "failures": failures,
        "essential_not_recorded": list(table.not_recorded),
    }


def order_object(order: Order, snapshot: Snapshot) -> dict[str, Any]:
    """An order of switching; ids of conditions and equipment, designations and markings beside them in the steps."""
    steps = []
    for step in order.steps:
        record = snapshot.equipment[step.item]
        steps.append(
            {
                "do": step.kind,
                "item": step.item,
                "designation": record.designation,
                "marking": record.marking,
                "from": step.before,
                "to": step.after,
                "why": step.why,
                "see": list(step.see),
            }
        )
    return {
        "from": order.start,
        "to": order.stop,
        "found": order.found,
        "not_decided": order.undecided,
        "reason": order.reason,
        "steps": steps,
        "kept": list(order.kept),
        "dark": list(order.dark),
        "missing": list(order.missing),
        "supposed": list(order.taken),
    }


def isolation_object(told: Isolation, snapshot: Snapshot) -> dict[str, Any]:
    """How something is made dead; ids, designations and markings beside them in the steps."""
    steps = []
    for step in told.steps:
        record = snapshot.equipment[step.item]
        steps.append(
            {
                "do": step.kind,
                "item": step.item,
                "designation": record.designation,
                "marking": record.marking,
                "position": step.position,
                "cuts_off": list(step.sources),
                "why": step.why,
            }
        )
    return {
        "item": told.item,
        "designation": snapshot.name(told.item),
        "sources": list(told.sources),
        "steps": steps,
        "locks": [{"item": lock.item, "can_be_locked": lock.can} for lock in told.locks],
        "prove": [{"item": at.item, "terminal": at.terminal, "conductors": list(at.conductors)} for at in told.prove],
        "remains": list(told.remains),
        "not_decided": list(told.undecided),
        "missing": list(told.missing),
        "notes": list(told.notes),
        "state": dict(told.state),
    }


def _fed_object(fed: FedBy) -> dict[str, Any]:
    return {
        "load": fed.item,
        "ways": [
            {
                "source": way.source,
                "line": way.line,
                "positions": [{"item": item, "any_of": list(every)} for item, every in way.positions],
                "by_itself": list(way.automatic),
                "through": list(way.through),
                "stands_alone": way.stands_alone,
                "assumed_return": way.assumed_return,
            }
            for way in fed.ways
        ],
        "not_decided": list(fed.undecided),
    }


def energy_object(energy: Energy) -> dict[str, Any]:
    """Consumers and banks of a condition."""
    return {
        "condition": energy.name,
        "condition_id": energy.condition,
        "loads": [_plain(load) for load in energy.loads],
        "banks": [_plain(bank) for bank in energy.banks],
        "assumed": list(energy.assumed),
    }


def size_object(answer: Answer) -> dict[str, Any]:
    """What to fit, and every reason."""
    made: dict[str, Any] = _plain(answer)
    return made


def _plain(value: Any) -> Any:
    """Structs as objects, tuples as lists, what is no JSON number as text."""
    if isinstance(value, msgspec.Struct):
        return {name: _plain(getattr(value, name)) for name in value.__struct_fields__}
    if isinstance(value, (tuple, list)):
        return [_plain(one) for one in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return value
