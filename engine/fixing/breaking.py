"""A device that breaks more: of the next usual capacity at the volts of the fault."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.circuit.faults.results import DeviceFault
from engine.equipment.base import Breaking
from engine.findings import Finding
from engine.fixes import Fix
from engine.fixing.pieces import fitted
from engine.fixing.trial import first_sound
from engine.study import Study
from engine.units import number, show
from engine.words import _

__all__ = ["able"]

# capacities that devices are sold with, A: common practice, no source
USUAL_A = (1000, 1500, 2000, 2500, 3000, 5000, 6000, 10_000, 15_000, 20_000, 25_000, 36_000, 50_000, 100_000, 200_000)
HIGH = ("class T", "class J", "NH")  # classes that break tens of kiloamperes: common practice, no source


def able(study: Study, finding: Finding, faults: list[DeviceFault]) -> Iterator[Fix]:
    """The device with the least usual capacity that its rule is content with."""
    item = finding.ids[0]
    record = study.snapshot.equipment[item]
    fault = next((one for one in faults if one.volts), None)
    if fault is None or fault.volts is None or record.trip() is None:
        return
    kind: Any = "DC" if fault.system == "dc" else "AC"
    mine = max((b.amps for b in record.breaking if b.kind == kind and b.volts >= fault.volts * 0.999), default=0.0)
    volts = max((b.volts for b in record.breaking if b.kind == kind), default=0.0)
    volts = max(volts, fault.volts)
    fields: dict[str, Any] = {}
    text = _("fit {device} as one that breaks {amps} at {volts} V {kind}")
    if getattr(record, "fuse_class", "") and getattr(record, "fuse_class", "") not in HIGH:
        fields["fuse_class"] = ""
        text = _("fit {device} as one that breaks {amps} at {volts} V {kind}, its class to be chosen")
    others = tuple(b for b in record.breaking if b.kind != kind)
    made = [
        fitted(
            text.format(device=study.name(item), amps=show(amps, "A", digits=6), volts=number(volts, 4), kind=kind),
            study,
            item,
            breaking=(*others, Breaking(float(amps), volts, kind)),
            **fields,
        )
        for amps in USUAL_A
        if amps > mine
    ]
    yield from first_sound(study, finding, made)
