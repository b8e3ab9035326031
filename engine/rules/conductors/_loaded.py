"""What the rules of loaded conductors share: boats of their examples, the worst of several conditions."""

from __future__ import annotations

from typing import Any

from engine.builder import Builder
from engine.installation.model import Installation
from engine.rules.example_boats import set_condition
from engine.rules.example_parts import boat, cable

__all__ = ["beside", "charging", "fed", "feeder", "no_hours", "shared_neutral", "switched_off"]

BANK: dict[str, Any] = {"unit_v": 12.0, "unit_ah": 200.0, "chemistry": "AGM", "internal_resistance_ohm": 0.0001}


def fed(
    amps: float | None,
    size: str,
    inches: float = 120,
    *,
    fuse_a: float = 30,
    hours: float | None = 5.0,
    cable_facts: dict[str, Any] | None = None,
    bank: dict[str, Any] | None = None,
    **load: Any,
) -> Installation:
    """A 12 V bank of no resistance to speak of, a fuse, one load of constant current at the end of a pair."""
    b = boat()
    b.add("battery_bank", "G1", **{**BANK, **(bank or {})})
    b.add("fuse", "F1", rating_a=fuse_a)
    b.add("load", "E1", dc_v=12, current_a=amps, **load)
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "E1.in", size, inches, function="dc pair", **(cable_facts or {}))
    if hours is not None:
        set_condition(b, "At anchor", {"E1": hours})
    return b.installation


def charging(lead: str, branch: str, inches: float = 60) -> Installation:
    """An alternator that charges over a long lead, and a navigation light on the battery it charges."""
    b = boat()
    b.add("battery_bank", "G1", **BANK)
    b.add("alternator", "G2", dc_v=12, rating_a=40, self_limiting=True, charge_v=14.4)
    b.add("fuse", "F1", rating_a=60)
    b.add("load", "E1", dc_v=12, current_a=5.0, service="navigation lights")
    cable(b, "W1", "G1.pos", "F1.in", "6 AWG", 6, function="dc pair")
    cable(b, "W2", "G2.pos", "G1.pos", lead, 240, function="dc pair")
    cable(b, "W4", "F1.out", "E1.in", branch, inches, function="dc pair")
    set_condition(b, "Under way", {"E1": 5.0}, running=("G2",))
    return b.installation


def beside(lead: str, branch: str) -> Installation:
    """An alternator whose long lead ends at the bus, battery and light at the same bus by cables of their own."""
    b = boat()
    b.add("battery_bank", "G1", **BANK)
    b.add("alternator", "G2", dc_v=12, rating_a=40, self_limiting=True, charge_v=14.4)
    b.add("fuse", "F1", rating_a=60)
    b.add("bus_bar", "X1", rating_a=100, purpose="pair")
    b.add("load", "E1", dc_v=12, current_a=5.0, service="navigation lights")
    cable(b, "W1", "G1.pos", "F1.in", "6 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "X1.bar", "6 AWG", 12, function="dc pair")
    cable(b, "W3", "G2.pos", "X1.bar", lead, 240, function="dc pair")
    cable(b, "W4", "X1.bar", "E1.in", branch, 60, function="dc pair")
    set_condition(b, "Under way", {"E1": 5.0}, running=("G2",))
    return b.installation


def feeder(size: str, inches: float) -> Installation:
    """A panel whose feeder is recorded as essential, a lamp of 10 A on it."""
    b = boat()
    b.add("battery_bank", "G1", **BANK)
    b.add("fuse", "F1", rating_a=30)
    b.add("bus_bar", "X1", rating_a=100, purpose="pair")
    b.add("load", "E1", dc_v=12, current_a=10.0, service="lighting")
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "X1.bar", size, inches, function="dc pair", drop_class="essential")
    cable(b, "W3", "X1.bar", "E1.in", "10 AWG", 24, function="dc pair")
    set_condition(b, "At anchor", {"E1": 5.0})
    return b.installation


def no_hours() -> Installation:
    """A navigation light of 1 A and a heater of 20 A on one thin feeder; when they draw is not recorded."""
    b = boat()
    b.add("battery_bank", "G1", **BANK)
    b.add("fuse", "F1", rating_a=30)
    b.add("bus_bar", "X1", rating_a=100, purpose="pair")
    b.add("load", "E1", dc_v=12, current_a=1.0, drop_class="essential")
    b.add("load", "E2", dc_v=12, current_a=20.0, drop_class="other")
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "X1.bar", "10 AWG", 120, function="dc pair")
    cable(b, "W3", "X1.bar", "E1.in", "14 AWG", 60, function="dc pair")
    cable(b, "W4", "X1.bar", "E2.in", "10 AWG", 24, function="dc pair")
    return b.installation


def switched_off() -> Installation:
    """A lamp with hours in a condition in which its switch stands open."""
    b = boat()
    b.add("battery_bank", "G1", **BANK)
    b.add("fuse", "F1", rating_a=30)
    b.add("battery_switch", "Q1", in_position="open")
    b.add("load", "E1", dc_v=12, current_a=2.0, service="lighting")
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "Q1.in", "12 AWG", 24, function="dc pair")
    cable(b, "W3", "Q1.out", "E1.in", "12 AWG", 60, function="dc pair")
    set_condition(b, "At anchor", {"E1": 5.0})
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
