"""Less usual gear, correctly fitted: bonding, impressed current, balancers, adapters, shared neutrals, three phases."""

from __future__ import annotations

from typing import Any

from kit import (
    fit_converter,
    fit_engine,
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
    "balanced_bank",
    "bidirectional_converter",
    "bonding_system",
    "fuse_holders_and_posts",
    "impressed_current",
    "lpg_locker",
    "parallel_inverters",
    "residual_in_steps",
    "shared_neutral",
    "surge_protection",
    "three_phase",
    "water_turbine",
    "windlass_contactor",
]


def _house(y: Yard, **bank: Any) -> None:
    """An AGM bank, class T main fuse, switch, a bus for both poles."""
    y.agm("G1", **({"units": 2, "unit_ah": 100, "label": "house bank"} | bank))
    y.fuse("F1", 200, "class T", label="house main")
    y.switch("Q1", 300, label="house")
    y.bus("X1", 300, label="main bus, positive and negative")
    y.pos("W1", "G1.pos", "F1.in", "2/0 AWG", 0.15, "battery box")
    y.pos("W2", "F1.out", "Q1.in", "2/0 AWG", 0.3, "battery box")
    y.pos("W3", "Q1.out", "X1.bar", "2/0 AWG", 1.2, {"battery box": 0.3, "saloon": 0.9})
    y.neg("W4", "G1.neg", "X1.bar", "2/0 AWG", 1.4, {"battery box": 0.4, "saloon": 1.0})


def _branch(y: Yard, n: int, amps: float, size: str = "12 AWG", place: str = "saloon") -> None:
    y.dc_breaker(f"F{n}", amps, place, label=f"circuit {n}")
    y.pair(f"W{n}1", "X1.bar", f"F{n}.in", size, 0.15, place, sheath="enclosed")


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


def bonding_system() -> Installation:
    """Underwater fittings, tank and engine on one bonding conductor with an anode; no current runs in it."""
    y = Yard()
    _house(y)
    fit_engine(y)
    y.neg("W5", "G1.neg", "M1.block", "2/0 AWG", 1.8, {"battery box": 0.4, "engine space": 1.4})
    y.bus("X8", 100, "bonding", "bilge", label="bonding bus")
    for n, what, wet in ((1, "seacock", True), (2, "fuel tank", False), (3, "rudder stock", True)):
        y.add("bonding_point", f"X1{n}", place="bilge", bonds=what, under_water=wet, lightning=False, label=what)
        y.bonding(f"W1{n}", "X8.bar", f"X1{n}.at", "8 AWG", 2.0)
    y.add("anode", "F9", place="bilge", metal="zinc", mass_kg=2)
    y.bonding("W15", "X8.bar", "F9.at", "8 AWG", 1.0)
    y.bonding("W16", "X8.bar", "M1.block", "8 AWG", 1.5, "engine space")
    return y.done()


def impressed_current() -> Installation:
    """Impressed-current protection of a steel hull, on a breaker of its own, its return apart from its anode."""
    y = Yard(hull="steel", use="workboat", length_m=20)
    _house(y)
    _branch(y, 4, 10)
    y.add("impressed_current", "T4", dc_v=12, power_w=48, output_a=6, reference_v=-0.85, place="engine space")
    y.pair("W42", "F4.out", "T4.in", "12 AWG", 4.0, {"saloon": 2.0, "engine space": 2.0})
    y.add("anode", "F9", place="engine space", metal="iron", mass_kg=1, label="inert anode")
    y.bonding("W43", "T4.anode", "F9.at", "8 AWG", 2.0, "engine space")
    y.add("earth_point", "X9", form="hull", place="engine space", label="hull earth")
    y.neg("W44", "X1.bar", "X9.at", "2/0 AWG", 2.0, {"saloon": 1.0, "engine space": 1.0})
    return y.done()


def balanced_bank() -> Installation:
    """A 24 V bank whose midpoint feeds a 12 V radio, with a balancer that keeps the halves alike."""
    y = Yard()
    _house(
        y,
        units=1,
        unit_ah=150,
        series=2,
        charge_v=29.2,
        lowest_charge_v=28.2,
        float_v=27.2,
        cut_off_v=21.6,
        midpoint_used=True,
    )
    y.add(
        "battery_balancer",
        "T1",
        place="battery box",
        dc_v=24,
        method="active",
        balance_a=60,
        alarm=True,
        battery=y.ref("G1"),
        efficiency=0.95,
        standby_w=0.5,
    )
    y.fuse("F2", 80, "class T", label="balancer")
    y.fuse("F3", 15, "terminal-stud", label="radio")
    y.pair("W5", "G1.pos", "F2.in", "4 AWG", 0.15, "battery box")
    y.pair("W6", "F2.out", "T1.pos", "4 AWG", 0.6, "battery box")
    y.pos("W7", "T1.mid", "F3.in", "12 AWG", 0.15, "battery box")
    y.load("A1", "communication", 60, place="helm", minimum_v=9)
    y.pos("W8", "F3.out", "A1.in", "10 AWG", 3.0, {"battery box": 0.5, "helm": 2.5})
    y.neg("W9", "T1.neg", "A1.neg", "10 AWG", 3.0, {"battery box": 0.5, "helm": 2.5})
    y.state("Under way", {"A1": 10}, required_hours=8)
    return y.done()


def bidirectional_converter() -> Installation:
    """A converter that works both ways between a 12 V and a 24 V bank: limited both ways, a fuse at each bank."""
    y = Yard()
    y.agm("G1", 2, 100, label="12 V bank")
    y.agm("G2", 1, 100, series=2, charge_v=29.2, lowest_charge_v=28.2, float_v=27.2, cut_off_v=21.6, label="24 V bank")
    fit_converter(
        y,
        "T1",
        15,
        in_v=12,
        out_v=24,
        input_a=35,
        power_w=400,
        bidirectional=True,
        reverse_a=30,
        charges_battery=True,
        charge_v=28.8,
        float_v=27.2,
        profile="three-stage",
        isolated=False,
        minimum_v=10.5,
        highest_v=32,
        runs_when="commanded",
        obeys_stop=True,
    )
    for n, bank, end, amps, size in ((1, "G1", "T1.in", 50, "6 AWG"), (2, "G2", "T1.out", 30, "8 AWG")):
        y.fuse(f"F{n}", amps, "class T", label=f"converter {n}")
        y.pair(f"W{n}1", f"{bank}.pos", f"F{n}.in", size, 0.15, "battery box")
        y.pair(f"W{n}2", f"F{n}.out", end, size, 1.5, {"battery box": 0.5, "saloon": 1.0})
    return y.done()


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
    """Two inverters built to run in parallel, each with its fuse and disconnect, one neutral bond between them."""
    y = Yard()
    y.lithium("G1", 4, 200, label="house bank")
    y.bus("X1", 800, label="inverter bus", place="battery box")
    y.fuse("F9", 600, "class T", label="bank main")
    for name, start, end, metres in (("W1", "G1.pos", "F9.in", 0.2), ("W2", "F9.out", "X1.bar", 0.4)):
        y.pos(name, start, end, "4/0 AWG", metres, "battery box", parallel=2)
    y.neg("W3", "G1.neg", "X1.bar", "4/0 AWG", 0.5, "battery box", parallel=2)
    y.bus("X5", 60, "line", label="inverter panel bus", enclosure=y.enclosure("AC panel"))
    y.bus("X4", 60, "line", place="lazarette", label="joining bus", enclosure=y.enclosure("AC box", "lazarette"))
    y.residual("Q3", 40, label="inverters main", form="in a panel")
    y.ac("W7", "X4.bar", "Q3.in", "8 AWG", 0.3, "lazarette")
    y.ac("W8", "Q3.out", "X5.bar", "8 AWG", 3.0)
    fit_ground(y, "X5")
    for n in (1, 2):
        fit_inverter(y, "inverter", f"T{n}", bonds_neutral=n == 1, label=f"inverter {n}")
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


def water_turbine() -> Installation:
    """A towed generator with a dump load, on a fuse at the bank; what the bus feeds loses nothing by its long lead."""
    y = Yard()
    _house(y)
    y.add(
        "wind_hydro",
        "G3",
        place="lazarette",
        driven_by="water",
        dc_v=12,
        power_w=240,
        rating_a=20,
        self_limiting=True,
        charge_v=14.4,
        open_circuit_v=40,
        obeys_stop=False,
        needs_battery=False,
        dump_load=True,
        dump_w=300,
        dump_a=25,
        brake=False,
        rated_dc_v=60,
        label="towed generator",
    )
    y.fuse("F2", 25, "class T", "saloon", label="towed generator")
    y.pair("W5", "X1.bar", "F2.in", "10 AWG", 0.15)
    y.pair("W6", "F2.out", "G3.pos", "8 AWG", 4.0, {"saloon": 1.0, "lazarette": 3.0})
    _branch(y, 4, 10)
    y.load("E4", "navigation electronics", 60, place="helm")
    y.pair("W42", "F4.out", "E4.in", "8 AWG", 4.0, {"saloon": 2.0, "helm": 2.0})
    y.state("Under way", {"E4": 24}, running=("G3",))
    return y.done()


def lpg_locker() -> Installation:
    """A gas valve in its locker and a gas detector in the bilge: the valve is ignition-protected."""
    y = Yard()
    y.place("gas locker", "LPG", 40)
    _house(y)
    _branch(y, 4, 5, "14 AWG", "galley")
    y.load("A4", "gas detector", 4, place="galley", essential=True)
    y.pair("W42", "F4.out", "A4.in", "14 AWG", 1.0, "galley")
    _branch(y, 5, 5, "14 AWG", "galley")
    y.load("E5", "other", 10, place="gas locker", essential=False, ignition_protected=True, label="gas valve")
    y.pair("W52", "F5.out", "E5.in", "14 AWG", 4.0, {"galley": 3.0, "gas locker": 1.0})
    y.state("At anchor", {"A4": 24, "E5": 2}, required_hours=24)
    return y.done()


def windlass_contactor() -> Installation:
    """A windlass with a contactor in the bow, breaker at the bank, its control on a small fuse of its own."""
    y = Yard()
    _house(y)
    y.fuse("F2", 150, "class T", label="windlass")
    y.add(
        "contactor",
        "K2",
        place="bow",
        poles=("+",),
        continuous_a=150,
        five_minute_a=250,
        cranking_a=500,
        breaks_load=True,
        control_v=12,
        control_a=2,
        hold_a=1,
        on_loss="opens",
        manual_override=False,
        position_reported=False,
        polarised=False,
        rated_dc_v=48,
        covered=True,
        in_position="open",
        label="windlass contactor",
    )
    y.motor("M2", "windlass", 85, place="bow", starting_a=180, starting_s=0.5, stalled_a=320, stalled_s=20)
    y.pos("W5", "Q1.out", "F2.in", "2/0 AWG", 0.15, "battery box")
    y.pos("W6", "F2.out", "K2.in", "2/0 AWG", 7.0, {"battery box": 2.0, "bow": 5.0})
    y.pos("W7", "K2.out", "M2.in", "2/0 AWG", 0.4, "bow")
    y.neg("W8", "X1.bar", "M2.neg", "2/0 AWG", 7.0, {"saloon": 2.0, "bow": 5.0})
    _branch(y, 4, 5, "14 AWG")
    y.pos("W42", "F4.out", "K2.coil", "14 AWG", 6.0, {"saloon": 2.0, "bow": 4.0})
    y.state("Anchoring", {"M2": 0.1}, positions={"K2": "closed"})
    return y.done()


def fuse_holders_and_posts() -> Installation:
    """A main power post fed by one fuse, two holders with links from it, each cable with its lug on the post."""
    y = Yard()
    y.agm("G1", 2, 100, label="house bank")
    y.fuse("F1", 150, "class T", label="house main")
    y.add("terminal", "X1", place="battery box", rating_a=250, stud_size="M10", most_terminals=4, covered=True)
    y.add("terminal", "X2", place="battery box", rating_a=250, stud_size="M10", most_terminals=4, covered=True)
    y.pos("W1", "G1.pos", "F1.in", "1/0 AWG", 0.15, "battery box")
    y.pos("W2", "F1.out", "X1.at", "1/0 AWG", 0.3, "battery box")
    y.neg("W3", "G1.neg", "X2.at", "1/0 AWG", 0.4, "battery box")
    for n, service, amps, watts, where in ((4, "lighting", 15, 60, "saloon"), (5, "navigation lights", 10, 25, "bow")):
        y.add(
            "fuse_holder",
            f"F{n}",
            place="battery box",
            link_a=amps,
            link_class="class T",
            through_a=30,
            rated_dc_v=160,
            breaking=y.breaking(20000, 125),
            covered=True,
            label=service,
        )
        y.load(f"E{n}", service, watts, place=where)
        y.pos(f"W{n}1", "X1.at", f"F{n}.in", "10 AWG", 0.1, "battery box")
        y.pos(f"W{n}2", f"F{n}.out", f"E{n}.in", "10 AWG", 5.0, {"battery box": 1.0, where: 4.0})
        y.neg(f"W{n}3", "X2.at", f"E{n}.neg", "10 AWG", 5.2, {"battery box": 1.2, where: 4.0})
    y.state("Under way", {"E4": 4, "E5": 10}, required_hours=10)
    return y.done()
