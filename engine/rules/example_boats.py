"""Boats of the energy rules' examples: a bank, its charger, a load with hours."""

from __future__ import annotations

from typing import Any

import msgspec

from engine.builder import Builder
from engine.edits.edit import Put, apply
from engine.installation import ConditionDuty
from engine.installation.model import Installation
from engine.rules.example_parts import ac_cable, boat, cable

__all__ = ["anchored", "finished", "set_condition"]


def set_condition(b: Builder, name: str, hours: dict[str, float] | None = None, **facts: Any) -> None:
    """A condition with hours of loads (by designation) and other facts; `running` names designations."""
    item = b.condition(name, **facts.pop("positions", {}))
    record = b.installation.get("conditions", item)
    ids = {r.designation: i for i, r in b.installation.snapshot().equipment.items()}
    duties = tuple(ConditionDuty(equipment=ids[d], hours_a_day=h) for d, h in (hours or {}).items())
    running = tuple(ids[d] for d in facts.pop("running", ()))
    apply(
        b.installation,
        Put("conditions", item, msgspec.structs.replace(record, duties=duties, running=running, **facts)),
    )


def anchored(watts: float = 60, bank_ah: float | None = 200, **bank: Any) -> Builder:
    """An AGM bank behind a fuse, one load on it."""
    b = boat()
    known: dict[str, Any] = {"unit_v": 12.0, "chemistry": "AGM", "usable_percent": 50.0, "rated_hours_h": 20.0}
    b.add("battery_bank", "G1", unit_ah=bank_ah, **(known | bank))
    b.add("fuse", "F1", rating_a=100)
    b.add("load", "E1", dc_v=12, power_w=watts)
    cable(b, "W1", "G1.pos", "F1.in", "4 AWG", 6)
    cable(b, "W2", "F1.out", "E1.in", "4 AWG", 60)
    return b


def finished(b: Builder, charger_a: float = 50, limits: bool = True, **charger: Any) -> Installation:
    """With a charger on shore, straight on the bank's fuse."""
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, frequency_hz=50)
    known: dict[str, Any] = {"dc_v": 12, "ac_v": 230, "charge_a": charger_a, "charge_v": 14.4}
    if limits:
        known |= {"self_limiting": True, "efficiency": 0.9, "power_factor": 0.95}
    b.add("charger", "T1", **(known | charger))
    ac_cable(b, "W8", "G9.out", "T1.ac", "12 AWG", 100)
    cable(b, "W9", "T1.dc", "F1.out", "4 AWG", 40)
    return b.installation
