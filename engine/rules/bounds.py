"""The most that devices and sources let into a run or through a switch, whatever draws.

Where a load's size is not recorded, what flows is a least value only; but no more flows for long than the devices let
through, and where that is little enough nothing needs to be known of the load.
"""

from __future__ import annotations

import math
import weakref

from engine.circuit.onward import onward
from engine.study import Study

__all__ = ["into_run", "through_equipment", "weighty", "wires_of"]

SMALL = ("standby_w",)  # what a converter takes for itself decides nothing
FACTORS = (*SMALL, "efficiency", "charger_efficiency", "power_factor")  # nor do these, of what is lost on a long way

_WIRES: weakref.WeakKeyDictionary[Study, dict[str, dict[str, int]]] = weakref.WeakKeyDictionary()


def weighty(missing: tuple[str, ...], *, factors: bool = True) -> tuple[str, ...]:
    """The fields that can decide; without efficiencies and power factors where not `factors`."""
    light = SMALL if factors else FACTORS
    return tuple(field for field in missing if field.rpartition(".")[2] not in light)


def into_run(study: Study, run: str) -> float:
    """Amperes in its most loaded conductor; without limit for a negative by itself, which returns what others bring.

    The lesser of what can come in at one end (the feed cut) and what the devices behind the other end let on.
    """
    here = wires_of(study, run)
    lines = [
        _along(study, edge)
        for number in here.values()
        if (edge := study.coverage.mirror.edge_of_wire.get(number)) is not None
    ]
    if not lines:
        return math.inf
    return sum(lines) if "N" in here else max(lines)  # a neutral returns what all lines bring: in phase they add


def wires_of(study: Study, run: str) -> dict[str, int]:
    """Numbers of the wires of a run, by their conductors."""
    wires = _WIRES.get(study)
    if wires is None:
        wires = _WIRES[study] = {}
        for number, wire in enumerate(study.circuit.wires):
            wires.setdefault(wire.run, {})[wire.conductor] = number
    return wires.get(run, {})


def _along(study: Study, edge: int) -> float:
    mirror, cuts = study.coverage.mirror, study.coverage.cuts
    if mirror.is_loop(edge):
        return math.inf
    most = 0.0
    for start, end in ((mirror.u[edge], mirror.v[edge]), (mirror.v[edge], mirror.u[edge])):
        amps = cuts.cut(edge, start)
        if amps > most:
            behind = onward(study.coverage, (end,), edge)
            most = max(most, amps if behind is None or behind.missing else min(amps, behind.amps))
    return most


def through_equipment(study: Study, item: str) -> float:
    """Amperes that can pass equipment from one of its terminals to another; without limit where a negative may."""
    at: dict[str, float] = {}
    for run, record in study.snapshot.runs.items():
        for end in (record.from_end, record.to_end):
            if end.equipment == item and record.function not in ("earth", "bonding", "signal"):
                at[end.terminal] = at.get(end.terminal, 0.0) + into_run(study, run)
    most = sorted(at.values(), reverse=True)
    return most[1] if len(most) > 1 else math.inf
