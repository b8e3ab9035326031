"""Less usual AC, correctly fitted: adapters, shared neutrals, inverters in parallel, three phases."""

from __future__ import annotations

from typing import Any

from kit import (
    fit_ground,
    fit_heater,
    fit_inlet,
    fit_inverter,
    fit_isolated_shore,
    fit_socket,
)
from yard import Yard

from engine.installation.model import Installation

__all__ = [
    "adapter_both_legs",
    "parallel_inverters",
    "residual_in_steps",
    "shared_neutral",
    "surge_protection",
    "three_phase",
]


def _main_50(y: Yard) -> None:
    """A 50 A inlet of 120/240 V with its main, isolator and panel."""
    fit_inlet(y, amps=50, phases="L1 L2", supply_fault_a=4500, connector="four-pin, locking")
    y.residual("Q5", 50, ("L1", "L2", "N"), label="shore main", untripped=("N",))
    y.add("galvanic_isolator", "R5", place="lazarette", rating_a=60, fail_safe=True, monitored=True, fault_a=4500)
    y.bus("X6", 100, "line", label="AC panel bus", enclosure=y.enclosure("AC panel"))
    colours = "black + red + white"
    y.ac("W50", "X5.out", "Q5.in", "6 AWG", 1.2, "lazarette", phases="L1 L2", earth=False, colour=colours)
    y.ac("W51", "Q5.out", "X6.bar", "6 AWG", 3.0, phases="L1 L2", earth=False, colour=colours)
    y.earth("W52", "X5.out", "R5.in", "6 AWG", 1.2, "lazarette")
    y.earth("W53", "R5.out", "X6.bar", "6 AWG", 3.0)
    fit_ground(y)


def adapter_both_legs() -> Installation:
    """A 50 A boat on a 30 A pedestal: the adapter feeds both legs in phase, and 30 A ashore guard the neutral."""
    y = Yard(length_m=16)
    y.add(
        "shore_supply",
        "G9",
        place="deck",
        ac_v=120,
        frequency_hz=60,
        breaker_a=30,
        breaker_poles=1,
        fault_a=3000,
        residual_ma=30,
        residual_ms=100,
        residual_type="A",
        polarised=True,
        neutral_earthed=True,
        connector="three-pin, locking",
    )
    y.add(
        "shore_adapter",
        "X4",
        place="deck",
        rating_a=30,
        from_form="three-pin, locking",
        to_form="four-pin, locking",
        feeds_both_legs=True,
        passes_earth=True,
    )
    _main_50(y)
    y.ac("W48", "G9.out", "X4.in", "10 AWG", 15.0, "deck")
    two: dict[str, Any] = {"phases": "L1 L2"}
    y.ac("W49", "X4.out", "X5.shore", "6 AWG", 0.5, "deck", **two)
    y.state("Alongside", {fit_heater(y): 2, fit_socket(y, 8, "saloon"): 2}, running=("G9",))
    return y.done()


def shared_neutral() -> Installation:
    """Two 120 V circuits that share a neutral on one two-pole breaker, their lives from opposite lines."""
    y = Yard(length_m=16)
    _main_50(y)
    y.ac_breaker("F7", 15, ("L1", "L2"), label="galley, two circuits", enclosure=y.enclosure("AC panel"))
    two: dict[str, Any] = {"phases": "L1 L2"}
    y.ac("W71", "X6.bar", "F7.in", "12 AWG", 0.15, sheath="enclosed", **two)
    y.bus("X7", 30, "line", place="galley", label="galley junction box", enclosure=y.enclosure("galley box", "galley"))
    y.ac("W72", "F7.out", "X7.bar", "12 AWG", 4.0, {"saloon": 2.0, "galley": 2.0}, **two)
    y.ac_load("E1", 1000, place="galley", service="cooking", label="kettle")
    y.ac_load("E2", 1000, place="galley", service="cooking", label="oven", phases="L2")
    y.ac("W73", "X7.bar", "E1.in", "12 AWG", 0.8, "galley")
    y.ac("W74", "X7.bar", "E2.in", "12 AWG", 0.8, "galley", phases="L2", colour="red + white + green", bundle=2)
    y.add("polarity_indicator", "P1", impedance_ohm=27000, shows_by="light", label="polarity reversed")
    y.ac("W60", "X6.bar", "P1.sense", "8 AWG", 0.3, sheath="enclosed")
    y.state("Alongside", {"E1": 0.3, "E2": 0.5}, running=("X5",))
    return y.done()


def parallel_inverters() -> Installation:
    """Two inverters built to run in parallel, each with its fuse and disconnect, one neutral bond where they join.

    Either output may be open and the other run alone: a bond in one of the two would be lost to the other.
    """
    y = Yard()
    y.lithium("G1", 4, 200, label="house bank")
    y.bus("X1", 800, label="inverter bus", place="battery box")
    y.fuse("F9", 600, "class T", label="bank main")
    for name, start, end, metres in (("W1", "G1.pos", "F9.in", 0.2), ("W2", "F9.out", "X1.bar", 0.4)):
        y.pos(name, start, end, "4/0 AWG", metres, "battery box", parallel=2)
    y.neg("W3", "G1.neg", "X1.bar", "4/0 AWG", 0.5, "battery box", parallel=2)
    y.bus("X5", 60, "line", label="inverter panel bus", enclosure=y.enclosure("AC panel", several_sources_sign=True))
    y.bus(
        "X4",
        60,
        "line",
        place="lazarette",
        label="joining bus",
        bonds_neutral=True,
        enclosure=y.enclosure("AC box", "lazarette", several_sources_sign=True),
    )
    y.residual("Q3", 40, label="inverters main", form="in a panel")
    y.ac("W7", "X4.bar", "Q3.in", "8 AWG", 0.3, "lazarette")
    y.ac("W8", "Q3.out", "X5.bar", "8 AWG", 3.0)
    fit_ground(y, "X5")
    for n in (1, 2):
        fit_inverter(y, "inverter", f"T{n}", bonds_neutral=False, label=f"inverter {n}")
        y.fuse(f"F{n}", 300, "class T", label=f"inverter {n}")
        y.switch(f"Q{n}", 350, label=f"inverter {n} disconnect")
        y.pair(f"W1{n}", "X1.bar", f"F{n}.in", "4/0 AWG", 0.15, "battery box", bundle=1)
        y.pair(f"W2{n}", f"F{n}.out", f"Q{n}.in", "4/0 AWG", 0.3, "battery box", bundle=1)
        y.pair(f"W3{n}", f"Q{n}.out", f"T{n}.dc", "4/0 AWG", 1.0, {"battery box": 0.3, "lazarette": 0.7}, bundle=1)
        y.ac_breaker(f"Q1{n}", 20, place="lazarette", label=f"inverter {n} output")
        y.ac(f"W4{n}", f"T{n}.ac_out", f"Q1{n}.in", "12 AWG", 0.8, "lazarette")
        y.ac(f"W5{n}", f"Q1{n}.out", "X4.bar", "12 AWG", 0.6, "lazarette")
        y.earth(f"W6{n}", f"T{n}.earth", "X9.at", "4/0 AWG", 1.5, "bilge")
    y.set("T1", parallel_with=(y.ref("T2"),))
    y.set("T2", parallel_with=(y.ref("T1"),))
    y.neg("W98", "G1.neg", "X9.at", "3/0 AWG", 1.5, {"battery box": 0.5, "bilge": 1.0})
    y.ac_load("E1", 1500, service="cooking", label="hob")
    y.ac_breaker("F7", 20, label="hob", enclosure=y.enclosure("AC panel"))
    y.ac("W71", "X5.bar", "F7.in", "10 AWG", 0.15, sheath="enclosed")
    y.ac("W72", "F7.out", "E1.in", "12 AWG", 4.0)
    y.state("At anchor", {"E1": 1}, running=("T1", "T2"), required_hours=24)
    return y.done()


def residual_in_steps() -> Installation:
    """A 30 mA main feeds a box in the laundry that has a 5 mA device of its own for its socket."""
    y = Yard()
    panel = fit_isolated_shore(y)
    fit_ground(y, panel)
    y.residual("Q8", 15, label="head and laundry", place="saloon", residual_ma=5, residual_ms=25, form="in a panel")
    y.ac("W81", f"{panel}.bar", "Q8.in", "12 AWG", 0.15, sheath="enclosed")
    y.bus("X8", 30, "line", place="head", label="laundry box", enclosure=y.enclosure("laundry box", "head"))
    y.ac("W82", "Q8.out", "X8.bar", "12 AWG", 4.0, {"saloon": 2.0, "head": 2.0})
    socket: dict[str, Any] = {"rating_a": 15, "ac_v": 120, "earth_contact": True, "polarised": True}
    y.add("socket_outlet", "X80", place="head", label="laundry socket", expected_w=600, power_factor=1.0, **socket)
    y.ac("W83", "X8.bar", "X80.in", "12 AWG", 0.6, "head")
    y.state("Alongside", {"X80": 1}, running=("X5",))
    return y.done()


def surge_protection() -> Installation:
    """Surge protection behind the shore main, on its own fuses no larger than its maker allows."""
    y = Yard()
    panel = fit_isolated_shore(y)
    fit_ground(y, panel)
    y.ac_breaker("F8", 20, label="surge protection")
    y.ac("W81", f"{panel}.bar", "F8.in", "12 AWG", 0.15, sheath="enclosed")
    y.add(
        "surge_protection",
        "F9",
        surge_type="2",
        continuous_v=150,
        clamp_v=600,
        surge_a=20000,
        failure_shows=True,
        largest_device_a=32,
        rated_ac_v=250,
    )
    y.ac("W82", "F8.out", "F9.line", "12 AWG", 0.3, sheath="enclosed")
    y.state("Alongside", {fit_heater(y): 2}, running=("X5",))
    return y.done()


def three_phase() -> Installation:
    """A metric workboat with a 32 A three-phase inlet, four-pole main, a three-phase motor and single-phase sockets."""
    y = Yard("metric", use="workboat", length_m=22, flag="NL")
    three: dict[str, Any] = {"phases": "L1 L2 L3", "colour": "brown + black + grey + blue"}
    fit_inlet(y, amps=32, ac_v=230, frequency_hz=50, phases="L1 L2 L3", supply_fault_a=3000, connector="IEC 60309")
    y.residual("Q5", 32, ("L1", "L2", "L3", "N"), label="shore main", curve="C", rated_ac_v=440)
    y.set("Q5", breaking=y.breaking(6000, 440, "AC"))
    y.add("galvanic_isolator", "R5", place="lazarette", rating_a=32, fail_safe=True, monitored=True, fault_a=5000)
    y.bus("X6", 80, "line", label="AC panel bus", enclosure=y.enclosure("AC panel"), rated_ac_v=440)
    y.ac("W50", "X5.out", "Q5.in", "10 mm2", 0.4, "lazarette", earth=False, **three)
    y.ac("W51", "Q5.out", "X6.bar", "10 mm2", 3.0, earth=False, **three)
    y.earth("W52", "X5.out", "R5.in", "10 mm2", 0.4, "lazarette", colour="green/yellow")
    y.earth("W53", "R5.out", "X6.bar", "10 mm2", 3.0, colour="green/yellow")
    y.add("earth_point", "X9", form="ground plate", place="bilge", label="ground plate")
    y.earth("W99", "X6.bar", "X9.at", "10 mm2", 2.0, colour="green/yellow")
    y.ac_breaker("F7", 16, ("L1", "L2", "L3"), label="compressor", curve="D", rated_ac_v=440)
    y.set("F7", breaking=y.breaking(6000, 440, "AC"))
    cores: dict[str, Any] = {"phases": "L1 L2 L3", "neutral": False, "colour": "brown + black + grey + green/yellow"}
    y.ac("W71", "X6.bar", "F7.in", "6 mm2", 0.15, sheath="enclosed", bundle=3, **cores)
    y.add(
        "motor",
        "M7",
        place="engine space",
        service="pump",
        ac_v=400,
        phases="L1 L2 L3",
        frequency_hz=50,
        uses_neutral=False,
        running_a=6,
        power_w=3000,
        power_factor=0.82,
        efficiency=0.85,
        starting_a=36,
        starting_s=1.5,
        starting_power_factor=0.4,
        stalled_a=36,
        stalled_s=10,
        thermal_protection=True,
        exposed_metal=True,
        essential=False,
        leakage="AC",
        label="compressor",
    )
    y.ac("W72", "F7.out", "M7.in", "4 mm2", 6.0, {"saloon": 3.0, "engine space": 3.0}, bundle=3, **cores)
    y.ac_breaker("F8", 10, label="sockets", curve="C")
    y.ac("W81", "X6.bar", "F8.in", "6 mm2", 0.15, sheath="enclosed")
    socket: dict[str, Any] = {"rating_a": 16, "ac_v": 230, "earth_contact": True, "polarised": False}
    y.add("socket_outlet", "X80", label="saloon socket", expected_w=500, power_factor=1.0, **socket)
    y.ac("W82", "F8.out", "X80.in", "2.5 mm2", 5.0)
    y.state("Alongside", {"M7": 1, "X80": 2}, running=("X5",))
    return y.done()
