"""Boats that other books judge: petrol boats by US law, metric boats, a small passenger vessel."""

from __future__ import annotations

from typing import Any

from kit import fit_alternator, fit_engine, fit_generator, fit_heater, fit_inlet, fit_isolated_shore, fit_starter
from yard import Yard

from engine.installation.model import Installation

__all__ = [
    "metric_alongside",
    "metric_sloop",
    "passenger_launch",
    "passenger_with_generator",
    "petrol_boat",
    "petrol_cruiser",
]

PROTECTED: dict[str, Any] = {"ignition_protected": True}
AWAY = "the holder does not fit on the switch's stud"


def _petrol(length_m: float, name: str) -> Yard:
    """Engine, starter, alternator on a fuse at the battery, all ignition-protected."""
    y = Yard("us-33cfr183", engine_fuel="petrol", length_m=length_m, name=name)
    y.agm("G1", 1, 100, label="battery")
    y.switch("Q1", 300, **PROTECTED)
    fit_engine(y, fuel="petrol", **PROTECTED)
    fit_starter(y, "M2", **PROTECTED)
    fit_alternator(y, "G2", 60, **PROTECTED)
    both = {"battery box": 0.4, "engine space": 1.2}
    y.pos("W1", "G1.pos", "Q1.in", "2/0 AWG", 0.4, "battery box", exempt="cranking")
    y.pos("W2", "Q1.out", "M2.in", "2/0 AWG", 1.6, both, exempt="cranking")
    y.neg("W3", "G1.neg", "M1.block", "2/0 AWG", 1.6, both, exempt="cranking")
    y.fuse("F1", 80, "terminal-stud", label="alternator", **PROTECTED)
    y.pos("W4", "G1.pos", "F1.in", "4 AWG", 0.15, "battery box")
    y.pos("W5", "F1.out", "G2.pos", "4 AWG", 1.6, both)
    return y


def petrol_boat() -> Installation:
    """A petrol launch by 33 CFR 183: all that sparks in the engine space ignition-protected, fuses at the source."""
    y = _petrol(6.5, "Turnstone")
    y.fuse("F2", 60, "terminal-stud", label="helm panel", **PROTECTED)
    y.bus("X1", 100, place="helm", label="helm panel")
    y.pos("W6", "Q1.out", "F2.in", "6 AWG", 0.15, "battery box", away_reason=AWAY)
    y.pos("W7", "F2.out", "X1.bar", "6 AWG", 3.0, {"battery box": 0.5, "helm": 2.5})
    y.neg("W8", "G1.neg", "X1.bar", "6 AWG", 3.2, {"battery box": 0.5, "helm": 2.7})
    y.dc_breaker("F4", 10, "helm", label="blower")
    y.pair("W41", "X1.bar", "F4.in", "12 AWG", 0.15, "helm", sheath="enclosed", away_reason="breakers on a bar")
    y.motor("M4", "bilge blower", 4, place="engine space", **PROTECTED)
    y.pair("W42", "F4.out", "M4.in", "12 AWG", 4.0, {"helm": 2.0, "engine space": 2.0})
    y.dc_breaker("F5", 10, "helm", label="navigation lights")
    y.pair("W51", "X1.bar", "F5.in", "12 AWG", 0.15, "helm", sheath="enclosed", away_reason="breakers on a bar")
    y.load("E5", "navigation lights", 15, place="bow")
    y.pair("W52", "F5.out", "E5.in", "14 AWG", 4.0, {"helm": 1.0, "bow": 3.0})
    y.fuse("F6", 10, "class T", label="bilge pump", **PROTECTED)
    y.pos("W61", "G1.pos", "F6.in", "14 AWG", 0.15, "battery box")
    y.motor("M6", "bilge pump", 3, place="petrol engine space", **PROTECTED)
    y.pos("W62", "F6.out", "M6.in", "14 AWG", 2.0, {"battery box": 0.5, "petrol engine space": 1.5})
    y.neg("W63", "G1.neg", "M6.neg", "14 AWG", 2.0, {"battery box": 0.5, "petrol engine space": 1.5})
    y.state("Under way", {"M4": 0.5, "E5": 4, "M6": 0.2}, running=("G2",))
    return y.done()


def petrol_cruiser() -> Installation:
    """A petrol cruiser with shore power: AC gear kept behind a bulkhead, the heater in the engine space protected."""
    y = _petrol(9.5, "Phalarope")
    panel = fit_isolated_shore(y)
    y.earth("W99", f"{panel}.bar", "M1.block", "8 AWG", 2.0, "engine space")
    heater = fit_heater(y)
    y.set(heater, **PROTECTED)
    y.state("Alongside", {heater: 2}, running=("X5",))
    return y.done()


def _metric_bank(y: Yard) -> None:
    y.agm("G1", 2, 100, label="house bank")
    y.fuse("F1", 160, "NH", label="house main")
    y.switch("Q1", 300, label="house", poles=("+", "-"))
    y.bus("X1", 300, label="main bus, positive and negative")
    y.pair("W1", "G1.pos", "F1.in", "50 mm2", 0.15, "battery box", bundle=1, colour="red + black")
    y.pair("W2", "F1.out", "Q1.in", "50 mm2", 0.3, "battery box", bundle=1, colour="red + black")
    y.pair("W3", "Q1.out", "X1.bar", "50 mm2", 1.2, {"battery box": 0.3, "saloon": 0.9}, bundle=1)


def metric_sloop() -> Installation:
    """A metric sloop by ISO 13297: two-pole battery switch, panel, pump before the switch, ratings within ampacity."""
    y = Yard("metric", flag="NL", name="Kittiwake")
    _metric_bank(y)
    for n, service, amps, watts, size, metres, where in (
        (4, "navigation lights", 10, 25, "4 mm2", 6.0, "bow"),
        (5, "communication", 10, 60, "6 mm2", 4.0, "helm"),
        (6, "lighting", 16, 60, "4 mm2", 5.0, "saloon"),
    ):
        y.dc_breaker(f"F{n}", amps, label=service, enclosure=y.enclosure("DC panel"), position=str(n))
        y.pair(f"W{n}1", "X1.bar", f"F{n}.in", "6 mm2", 0.15, "saloon", sheath="enclosed")
        y.load(f"E{n}", service, watts, place=where)
        y.pair(f"W{n}2", f"F{n}.out", f"E{n}.in", size, metres, {"saloon": 1.0, where: metres - 1.0})
    y.fuse("F2", 10, "NH", label="bilge pump")
    y.motor("M1", "bilge pump", 4.0)
    y.pair("W5", "G1.pos", "F2.in", "4 mm2", 0.15, "battery box")
    y.pair("W6", "F2.out", "M1.in", "4 mm2", 3.0, {"battery box": 0.5, "bilge": 2.5})
    y.state("Under way", {"E4": 10, "E5": 24, "E6": 3, "M1": 0.5}, required_hours=8)
    y.state("Unattended", {"M1": 0.5}, positions={"Q1": "open"})
    return y.done()


def metric_alongside() -> Installation:
    """A metric yacht alongside at 230 V: 16 A inlet, residual-current main within half a metre, two-pole C breakers."""
    y = Yard("metric", flag="NL", name="Kittiwake")
    fit_inlet(y, amps=16, ac_v=230, frequency_hz=50, polarised=False, supply_fault_a=1500, connector="IEC 60309")
    y.residual("Q5", 16, label="shore main", curve="C")
    y.add("galvanic_isolator", "R5", place="lazarette", rating_a=16, fail_safe=True, monitored=True, fault_a=3000)
    y.bus("X6", 50, "line", label="AC panel bus", enclosure=y.enclosure("AC panel"))
    y.ac("W50", "X5.out", "Q5.in", "4 mm2", 0.4, "lazarette", earth=False, colour="brown + blue")
    y.ac("W51", "Q5.out", "X6.bar", "4 mm2", 3.0, earth=False, colour="brown + blue")
    y.earth("W52", "X5.out", "R5.in", "6 mm2", 0.4, "lazarette", colour="green/yellow")
    y.earth("W53", "R5.out", "X6.bar", "6 mm2", 3.0, colour="green/yellow")
    y.add("earth_point", "X9", form="ground plate", place="bilge", label="ground plate")
    y.earth("W99", "X6.bar", "X9.at", "6 mm2", 2.0, colour="green/yellow")
    for n, watts, size in ((7, 1200, "2.5 mm2"), (8, 800, "1.5 mm2")):
        y.ac_breaker(f"F{n}", 10, label=f"circuit {n}", enclosure=y.enclosure("AC panel"), curve="C")
        y.ac(f"W{n}1", "X6.bar", f"F{n}.in", "2.5 mm2", 0.15, sheath="enclosed")
        y.ac_load(f"E{n}", watts, 230, service="heating", label=f"heater {n}")
        y.ac(f"W{n}2", f"F{n}.out", f"E{n}.in", size, 5.0)
    y.ac_breaker("F10", 10, label="sockets", enclosure=y.enclosure("AC panel"), curve="C")
    y.ac("W101", "X6.bar", "F10.in", "2.5 mm2", 0.15, sheath="enclosed")
    facts: dict[str, Any] = {"rating_a": 16, "ac_v": 230, "earth_contact": True, "polarised": False}
    y.add("socket_outlet", "X10", place="galley", label="galley socket", expected_w=300, power_factor=1.0, **facts)
    y.ac("W102", "F10.out", "X10.in", "2.5 mm2", 5.0)
    y.state("Alongside", {"E7": 2, "X10": 2}, running=("X5",))
    return y.done()


def passenger_launch() -> Installation:
    """A small passenger vessel by 46 CFR 183: 14 AWG and more, devices within ampacity, engine start over the block."""
    y = Yard("us-46cfr", use="small passenger", length_m=15, name="Oystercatcher")
    y.agm("G1", 1, 130, label="start battery")
    y.switch("Q1", 300, label="start")
    fit_engine(y)
    fit_starter(y, "M2")
    fit_alternator(y, "G2", 60)
    both = {"battery box": 0.4, "engine space": 1.2}
    y.pos("W1", "G1.pos", "Q1.in", "4/0 AWG", 0.4, "battery box", exempt="cranking")
    y.pos("W2", "Q1.out", "M2.in", "4/0 AWG", 1.6, both, exempt="cranking")
    y.neg("W3", "G1.neg", "M1.block", "4/0 AWG", 1.6, both, exempt="cranking")
    y.fuse("F1", 80, "class T", label="alternator")
    y.pos("W4", "G1.pos", "F1.in", "2 AWG", 0.15, "battery box")
    y.pos("W5", "F1.out", "G2.pos", "2 AWG", 1.6, both)
    y.agm("G3", 2, 100, label="house bank")
    y.fuse("F3", 100, "class T", label="house main")
    y.switch("Q3", 300, label="house")
    y.bus("X1", 200, label="main bus, positive and negative")
    y.pos("W6", "G3.pos", "F3.in", "1/0 AWG", 0.15, "battery box")
    y.pos("W7", "F3.out", "Q3.in", "1/0 AWG", 0.3, "battery box")
    y.pos("W8", "Q3.out", "X1.bar", "1/0 AWG", 1.2, {"battery box": 0.3, "saloon": 0.9})
    y.neg("W9", "G3.neg", "X1.bar", "1/0 AWG", 1.4, {"battery box": 0.4, "saloon": 1.0})
    for n, service, watts, where in ((4, "navigation lights", 25, "bow"), (5, "lighting", 60, "saloon")):
        y.dc_breaker(f"F{n}", 10, label=service, enclosure=y.enclosure("DC panel"), position=str(n))
        y.pair(f"W{n}1", "X1.bar", f"F{n}.in", "10 AWG", 0.15, "saloon", sheath="enclosed")
        y.load(f"E{n}", service, watts, place=where)
        y.pair(f"W{n}2", f"F{n}.out", f"E{n}.in", "10 AWG", 6.0, {"saloon": 1.0, where: 5.0})
    y.state("Under way", {"E4": 10, "E5": 10}, running=("G2",), required_hours=10)
    return y.done()


def passenger_with_generator() -> Installation:
    """A small passenger vessel's generator panel: breaker at 115 % of the machine at most, earth by the hull's bus."""

    y = Yard("us-46cfr", use="small passenger", length_m=18, hull="aluminium", name="Oystercatcher")
    fit_generator(y, breaker_a=None, power_va=6000, rating_a=50, short_circuit_a=150)
    y.residual("F6", 50, label="generator main", place="engine space", form="in a panel")
    y.bus("X6", 100, "line", label="AC panel bus", enclosure=y.enclosure("AC panel"))
    y.ac("W52", "G7.out", "F6.in", "4 AWG", 0.8, "engine space")
    y.ac("W53", "F6.out", "X6.bar", "4 AWG", 3.0, {"engine space": 1.0, "saloon": 2.0})
    y.add("earth_point", "X9", form="hull", place="engine space", label="hull earth")
    y.earth("W99", "X6.bar", "X9.at", "4 AWG", 2.0)
    y.earth("W98", "G7.earth", "X9.at", "4 AWG", 1.0, "engine space")
    y.ac_breaker("F7", 20, label="water heater", enclosure=y.enclosure("AC panel"))
    y.ac("W71", "X6.bar", "F7.in", "10 AWG", 0.15, sheath="enclosed")
    y.ac_load("E7", 1200, place="engine space", service="heating", label="water heater")
    y.ac("W72", "F7.out", "E7.in", "10 AWG", 4.0, {"saloon": 2.0, "engine space": 2.0})
    y.state("Under way", {"E7": 2}, running=("G7",))
    return y.done()
