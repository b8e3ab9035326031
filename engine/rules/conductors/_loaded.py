"""What the rules of loaded conductors share: boats of their examples, the worst of several conditions."""

from __future__ import annotations

from typing import Any

from engine.builder import Builder
from engine.installation.model import Installation
from engine.rules.energy._boats import set_condition
from engine.rules.protection._examples import boat, cable

__all__ = ["fed", "shared_neutral"]


def fed(
    amps: float,
    size: str,
    inches: float = 120,
    *,
    fuse_a: float = 30,
    hours: float | None = 5.0,
    cable_facts: dict[str, Any] | None = None,
    **load: Any,
) -> Installation:
    """A 12 V bank of no resistance to speak of, a fuse, one load of constant current at the end of a pair."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=200.0, chemistry="AGM", internal_resistance_ohm=0.0001)
    b.add("fuse", "F1", rating_a=fuse_a)
    b.add("load", "E1", dc_v=12, current_a=amps, **load)
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "E1.in", size, inches, function="dc pair", **(cable_facts or {}))
    if hours is not None:
        set_condition(b, "At anchor", {"E1": hours})
    return b.installation


def shared_neutral(amps: float, in_phase: bool) -> Builder:
    """Two circuits of 120 V on one neutral: legs in opposition, or both from one line as over a shore adapter."""
    b = boat(book="trade-na")
    phases = "L1" if in_phase else "L1 L2"
    b.add("shore_supply", "G1", ac_v=120, phases=phases, breaker_a=50, frequency_hz=60, fault_a=5000)
    b.add("load", "E1", ac_v=120, current_a=amps, phases="L1", power_factor=1.0)
    b.add("load", "E2", ac_v=120, current_a=amps, phases="L2", power_factor=1.0)
    b.add("bus_bar", "X1")
    known: dict[str, Any] = {"function": "ac", "sheath": "sheathed", "bundle": 2}
    if in_phase:
        b.add("shore_adapter", "X9", feeds_both_legs=True)
        cable(b, "W9", "G1.out", "X9.in", "6 AWG", 12, **known)
        cable(b, "W1", "X9.out", "X1.bar", "12 AWG", 120, phases="L1 L2", **known)
    else:
        cable(b, "W1", "G1.out", "X1.bar", "12 AWG", 120, phases="L1 L2", **known)
    cable(b, "W2", "X1.bar", "E1.in", "8 AWG", 120, **known)
    cable(b, "W3", "X1.bar", "E2.in", "8 AWG", 120, phases="L2", **known)
    return b
