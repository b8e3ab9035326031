"""Several banks, several charging sources: isolators, commanded lithium, 48 V, an emergency supply."""

from __future__ import annotations

from typing import Any

from kit import (
    fit_alternator,
    fit_array,
    fit_controller,
    fit_converter,
    fit_engine,
    fit_ground,
    fit_isolated_shore,
)
from yard import Yard

from engine.installation.model import Installation

__all__ = [
    "commanded_lithium",
    "diode_isolator",
    "emergency_supply",
    "forty_eight_volts",
    "memory_bus",
    "rectified_alternator",
    "three_output_charger",
]

TOLD: dict[str, Any] = {"obeys_stop": True, "profile": "lithium", "float_v": 13.5}


def diode_isolator() -> Installation:
    """One alternator to two banks over a diode isolator, a fuse at each bank, nothing comes back."""
    y = Yard()
    y.agm("G1", 2, 100, label="house bank")
    y.agm("G3", 1, 100, label="start battery")
    fit_engine(y)
    fit_alternator(y, "G2", 90)
    y.add(
        "diode_isolator",
        "R1",
        place="engine space",
        dc_v=12,
        rating_a=120,
        output_a=120,
        drop_v=0.1,
        low_drop=True,
        rated_dc_v=32,
        label="diode isolator",
    )
    both = {"battery box": 0.4, "engine space": 1.2}
    y.pos("W1", "G2.pos", "R1.in", "2 AWG", 0.8, "engine space")
    for n, bank, out in ((1, "G1", "out1"), (2, "G3", "out2")):
        y.fuse(f"F{n}", 125, "class T", label=f"charging {n}")
        y.pos(f"W{n}1", f"{bank}.pos", f"F{n}.in", "2 AWG", 0.15, "battery box")
        y.pos(f"W{n}2", f"F{n}.out", f"R1.{out}", "2 AWG", 1.6, both)
        y.neg(f"W{n}3", f"{bank}.neg", "M1.block", "2 AWG", 1.6, both)
    return y.done()


def emergency_supply() -> Installation:
    """Navigation electronics on a changeover between lithium house bank and lead start battery: the two never meet."""
    y = Yard()
    y.lithium("G1", 2, 100, label="house bank", short_circuit_a=3000)
    y.agm("G3", 1, 130, label="start battery", charge_v=14.8)
    fit_engine(y)
    fit_alternator(y, "G2", 90, charge_v=14.7)
    both = {"battery box": 0.4, "engine space": 1.2}
    y.fuse("F4", 125, "class T", label="alternator")
    y.pos("W1", "G3.pos", "F4.in", "2 AWG", 0.15, "battery box")
    y.pos("W2", "F4.out", "G2.pos", "2 AWG", 1.6, both)
    y.neg("W3", "G3.neg", "M1.block", "2 AWG", 1.6, both)
    y.neg("W4", "G1.neg", "G3.neg", "2 AWG", 0.5, "battery box")
    y.add(
        "changeover",
        "Q7",
        place="helm",
        poles=("+",),
        has_off=True,
        continuous_a=60,
        through_a=60,
        breaks_load=True,
        makes_before_breaks=False,
        automatic=False,
        rated_dc_v=32,
        in_position="1",
        label="house - off - start battery",
    )
    for n, bank, end in ((1, "G1", "one"), (2, "G3", "two")):
        y.fuse(f"F{n}", 40, "class T", label=f"electronics {n}")
        y.pos(f"W1{n}", f"{bank}.pos", f"F{n}.in", "8 AWG", 0.15, "battery box")
        y.pos(f"W2{n}", f"F{n}.out", f"Q7.{end}", "8 AWG", 3.0, {"battery box": 0.5, "helm": 2.5})
    y.load("A1", "navigation electronics", 90, place="helm")
    y.fuse("F3", 15, "terminal-stud", "helm", label="electronics")
    y.pos("W5", "Q7.common", "F3.in", "8 AWG", 0.15, "helm")
    y.pos("W6", "F3.out", "A1.in", "10 AWG", 0.5, "helm")
    y.neg("W7", "G1.neg", "A1.neg", "8 AWG", 3.5, {"battery box": 0.5, "helm": 3.0})
    y.state("Under way", {"A1": 24}, required_hours=12, running=("G2",))
    y.state("House bank failed", {"A1": 24}, running=("G2",), positions={"Q7": "2"})
    return y.done()


def memory_bus() -> Installation:
    """What must never be off hangs before the battery switch, each on its own fuse: pump, gas alarm, radio memory."""
    y = Yard()
    y.agm("G1", 2, 100, label="house bank")
    y.fuse("F1", 200, "class T", label="house main")
    y.switch("Q1", 300, label="house")
    y.bus("X1", 300, label="main bus")
    y.pair("W1", "G1.pos", "F1.in", "2/0 AWG", 0.15, "battery box", bundle=1)
    y.pair("W2", "F1.out", "Q1.in", "2/0 AWG", 0.3, "battery box", bundle=1)
    y.pair("W3", "Q1.out", "X1.bar", "2/0 AWG", 1.2, {"battery box": 0.3, "saloon": 0.9}, bundle=1)
    y.bus("X2", 100, label="always-on bus", place="battery box")
    y.fuse("F2", 40, "class T", label="always-on bus")
    y.pair("W4", "F1.out", "F2.in", "8 AWG", 0.15, "battery box")
    y.pair("W5", "F2.out", "X2.bar", "8 AWG", 0.6, "battery box")
    for n, service, watts, where in ((5, "gas detector", 5, "galley"), (6, "memory supply", 2, "helm")):
        y.fuse(f"F{n}", 3, "terminal-stud", label=service)
        y.pair(f"W{n}1", "X2.bar", f"F{n}.in", "14 AWG", 0.15, "battery box")
        y.load(f"E{n}", service, watts, place=where, essential=True)
        y.pair(f"W{n}2", f"F{n}.out", f"E{n}.in", "14 AWG", 3.0, {"battery box": 0.5, where: 2.5})
    y.fuse("F7", 15, "terminal-stud", label="bilge pump")
    y.motor("M1", "bilge pump", 5.0)
    y.pair("W71", "X2.bar", "F7.in", "12 AWG", 0.15, "battery box")
    y.pair("W72", "F7.out", "M1.in", "12 AWG", 3.0, {"battery box": 0.5, "bilge": 2.5})
    y.state("Unattended", {"E5": 24, "E6": 24, "M1": 0.5}, positions={"Q1": "open"}, required_hours=72)
    return y.done()


def _lithium_house(y: Yard, units: int, main_a: float, size: str) -> None:
    y.lithium("G1", units, 200, label="house bank", bms="one for the bank", bms_charge_limit_a=None)
    y.set("G1", bms_discharge_limit_a=None)
    y.fuse("F1", main_a, "class T", label="house main")
    y.switch("Q1", 400, label="house")
    y.bus("X1", 600, label="main bus")
    y.pos("W1", "G1.pos", "F1.in", size, 0.15, "battery box")
    y.pos("W2", "F1.out", "Q1.in", size, 0.3, "battery box")
    y.pos("W3", "Q1.out", "X1.bar", size, 1.0, {"battery box": 0.3, "saloon": 0.7})
    y.neg("W4", "G1.neg", "X1.bar", size, 1.2, {"battery box": 0.4, "saloon": 0.8})


def _management(y: Yard, sources: tuple[str, ...], charge_a: float, discharge_a: float, commands: bool = False) -> None:
    ids = tuple(y.ref(name) for name in sources)
    y.add(
        "battery_management",
        "K1",
        place="battery box",
        batteries=(y.ref("G1"),),
        stops=ids,
        commands=ids if commands else (),
        charge_limit_a=charge_a,
        discharge_limit_a=discharge_a,
        cell_high_v=3.65,
        cell_low_v=2.8,
        lowest_charge_c=2,
        alarm_before_shutdown=True,
        stops_sources_first=True,
        link="data bus" if commands else "wired contact",
        on_link_loss="opens",
        standby_w=2,
    )


def commanded_lithium() -> Installation:
    """Charger, sun and alternator together exceed the bank's limit, and the management sets the current of each."""
    y = Yard()
    _lithium_house(y, 2, 300, "4/0 AWG")
    y.set("Q1", field_contact=True)
    fit_engine(y)
    fit_alternator(y, "G4", 120, regulator="external", obeys_stop=True, isolated_return=True, field_a=6)
    y.add(
        "alternator_regulator",
        "K2",
        place="engine space",
        alternators=(y.ref("G4"),),
        dc_v=12,
        profile="lithium",
        charge_v=14.4,
        float_v=13.5,
        limit_a=90,
        obeys_stop=True,
        on_sense_loss="opens",
        temperature_sensed=True,
        alternator_temperature_sensed=True,
        field_a=6,
    )
    y.signal("W20", "K2.field", "G4.field", 0.5, "engine space")
    y.fuse("F4", 150, "class T", "saloon", label="alternator")
    y.pair("W21", "X1.bar", "F4.in", "1/0 AWG", 0.15, bundle=1)
    y.pair("W22", "F4.out", "G4.pos", "1/0 AWG", 3.0, {"saloon": 1.0, "engine space": 2.0}, bundle=1)
    fit_array(y, "G3", series=2, strings=2)
    fit_controller(y, "T1", 50, largest_input_a=40, **TOLD)
    y.pair("W5", "G3.pos", "T1.pv", "8 AWG", 6.0, {"deck": 4.0, "saloon": 2.0})
    y.fuse("F2", 70, "class T", "saloon", label="solar")
    y.pair("W6", "T1.dc", "F2.out", "4 AWG", 0.6)
    y.pair("W7", "F2.in", "X1.bar", "4 AWG", 0.15)
    fit_converter(y, "T2", 80, charges_battery=True, charge_v=14.4, runs_when="engine runs", **TOLD)
    y.agm("G2", 1, 130, label="start battery")
    y.fuse("F5", 150, "class T", label="converter input")
    y.pair("W8", "G2.pos", "F5.in", "1 AWG", 0.15, "battery box")
    y.pair("W9", "F5.out", "T2.in", "1 AWG", 1.5, {"battery box": 0.5, "saloon": 1.0})
    y.fuse("F6", 100, "class T", "saloon", label="converter output")
    y.pair("W10", "T2.out", "F6.out", "2 AWG", 0.4)
    y.pair("W11", "F6.in", "X1.bar", "2 AWG", 0.15)
    _management(y, ("T1", "T2", "G4"), 200, 400, commands=True)
    y.dc_breaker("F40", 15, label="lights", breaking=y.breaking(10000, 80))
    y.pair("W401", "X1.bar", "F40.in", "12 AWG", 0.15, sheath="enclosed")
    y.load("E40", "lighting", 60)
    y.pair("W402", "F40.out", "E40.in", "12 AWG", 5.0)
    y.state("At anchor", {"E40": 5}, running=("G3",), peak_sun_h=4, required_hours=24)
    y.state("Under way", {"E40": 5}, running=("G4", "G3"), peak_sun_h=4)
    return y.done()


def rectified_alternator() -> Installation:
    """A large alternator whose rectifier stands apart, with a surge device, to a bank over a fuse at the bank."""
    y = Yard()
    y.agm("G1", 4, 110, label="house bank")
    fit_engine(y)
    fit_alternator(y, "G2", 180, output="three-phase AC", isolated_return=True, regulator="external", field_a=8)
    y.add(
        "rectifier",
        "T1",
        place="lazarette",
        dc_v=12,
        rating_a=200,
        phases="L1 L2 L3",
        self_limiting=True,
        charge_v=14.4,
        clamps_surge=True,
        cooling="fan",
        efficiency=0.95,
        label="rectifier",
    )
    y.ac(
        "W1",
        "G2.pos",
        "T1.ac",
        "2/0 AWG",
        2.0,
        {"engine space": 1.0, "lazarette": 1.0},
        phases="L1 L2 L3",
        neutral=False,
        earth=False,
        bundle=3,
        colour="black + red + orange",
    )
    y.fuse("F1", 250, "class T", label="alternator")
    y.pair("W2", "G1.pos", "F1.in", "4/0 AWG", 0.15, "battery box", bundle=1)
    y.pair("W3", "F1.out", "T1.pos", "4/0 AWG", 1.5, {"battery box": 0.5, "lazarette": 1.0}, bundle=1)
    return y.done()


def three_output_charger() -> Installation:
    """One charger with an output for each of three banks, a fuse at every battery."""
    y = Yard()
    panel = fit_isolated_shore(y)
    fit_ground(y, panel)
    y.ac_breaker("F7", 15, label="charger", enclosure=y.enclosure("AC panel"))
    y.ac("W71", f"{panel}.bar", "F7.in", "14 AWG", 0.15, sheath="enclosed")
    y.add(
        "charger",
        "T1",
        place="lazarette",
        dc_v=12,
        charge_a=40,
        output_a=40,
        self_limiting=True,
        charge_v=14.4,
        float_v=13.6,
        profile="three-stage",
        temperature_sensed=True,
        obeys_stop=False,
        needs_battery=False,
        ac_v=120,
        frequency_hz=60,
        lowest_ac_v=90,
        highest_ac_v=135,
        input_a=7,
        power_factor=0.98,
        efficiency=0.9,
        standby_w=2,
        exposed_metal=True,
        label="battery charger",
    )
    y.ac("W72", "F7.out", "T1.ac", "14 AWG", 4.0, "lazarette")
    y.earth("W76", "T1.earth", "X9.at", "8 AWG", 3.0, "lazarette")
    for n, output in ((1, "dc"), (2, "dc2"), (3, "dc3")):
        y.agm(f"G{n}", 1, 100, label=f"battery {n}")
        y.fuse(f"F{n}", 60, "class T", label=f"charger to battery {n}")
        y.pos(f"W{n}1", f"G{n}.pos", f"F{n}.in", "6 AWG", 0.15, "battery box")
        y.pos(f"W{n}2", f"F{n}.out", f"T1.{output}", "6 AWG", 1.5, {"battery box": 0.5, "lazarette": 1.0})
    y.neg("W14", "G1.neg", "G2.neg", "2 AWG", 0.4, "battery box")
    y.neg("W24", "G2.neg", "G3.neg", "2 AWG", 0.4, "battery box")
    y.neg("W34", "G3.neg", "T1.neg", "6 AWG", 1.5, {"battery box": 0.5, "lazarette": 1.0})
    y.neg("W42", "G1.neg", "X9.at", "2 AWG", 1.5, {"battery box": 0.5, "bilge": 1.0})
    y.state("Alongside", {}, running=("X5",), required_recharge_h=24)
    return y.done()


def forty_eight_volts() -> Installation:
    """A 48 V lithium bank, 12 V by a converter or from an emergency battery, devices rated for charging volts."""
    y = Yard()
    y.lithium(
        "G1",
        2,
        100,
        label="48 V bank",
        unit_v=51.2,
        cells_per_unit=16,
        charge_v=57.6,
        lowest_charge_v=55.2,
        float_v=54,
        cut_off_v=48,
        short_circuit_a=2500,
        internal_resistance_ohm=0.02,
    )
    y.fuse("F1", 150, "class T", label="48 V main")
    y.switch("Q1", 300, label="48 V", rated_dc_v=80)
    y.bus("X1", 300, label="48 V bus", rated_dc_v=80)
    y.pair("W1", "G1.pos", "F1.in", "1/0 AWG", 0.15, "battery box", bundle=1)
    y.pair("W2", "F1.out", "Q1.in", "1/0 AWG", 0.3, "battery box", bundle=1)
    y.pair("W3", "Q1.out", "X1.bar", "1/0 AWG", 1.2, {"battery box": 0.3, "saloon": 0.9}, bundle=1)
    fit_converter(y, "T1", 70, in_v=48, out_v=12, input_a=22, minimum_v=40, highest_v=62, charges_battery=False)
    y.dc_breaker("F2", 30, label="12 V converter", breaking=y.breaking(10000, 80))
    y.pair("W4", "X1.bar", "F2.in", "8 AWG", 0.15, sheath="enclosed")
    y.pair("W5", "F2.out", "T1.in", "8 AWG", 1.0)
    y.bus("X2", 100, label="12 V bus")
    # a lithium bank may shut itself off: what keeps the boat seen and steered has a second supply
    y.add(
        "changeover",
        "S1",
        place="saloon",
        label="12 V supply",
        poles=("+",),
        continuous_a=150,
        rated_dc_v=48,
        breaks_load=True,
        makes_before_breaks=False,
        automatic=False,
        covered=True,
    )
    y.pair("W6", "T1.out", "S1.one", "4 AWG", 0.6)
    y.pair("W7", "S1.common", "X2.bar", "4 AWG", 0.2)
    y.agm("G2", unit_ah=80, label="emergency battery")
    y.fuse("F6", 80, "class T", label="emergency main")
    y.pair("W61", "G2.pos", "F6.in", "4 AWG", 0.15, "battery box", bundle=1)
    y.pair("W62", "F6.out", "S1.two", "4 AWG", 1.2, {"battery box": 0.3, "saloon": 0.9}, bundle=1)
    for n, service, watts, where in ((4, "navigation lights", 25, "bow"), (5, "navigation electronics", 60, "helm")):
        y.dc_breaker(f"F{n}", 10, label=service)
        y.pair(f"W{n}1", "X2.bar", f"F{n}.in", "10 AWG", 0.15, sheath="enclosed")
        y.load(f"E{n}", service, watts, place=where)
        y.pair(f"W{n}2", f"F{n}.out", f"E{n}.in", "8 AWG", 6.0, {"saloon": 1.0, where: 5.0})
    y.state("Under way", {"E4": 10, "E5": 24}, required_hours=24)
    return y.done()
