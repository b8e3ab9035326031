"""What fills a bank: chargers, sun, wind, converters, relays and selectors between banks."""

from __future__ import annotations

from typing import Any

from kit import fit_array, fit_controller, fit_converter
from yard import Yard

from engine.installation.model import Installation

__all__ = [
    "charging_relay",
    "dc_dc_to_lithium",
    "fridge_on_converter",
    "lithium_bank",
    "selector_switch",
    "self_limited_both_ends",
    "six_volt_bank",
    "solar_one_string",
    "solar_two_strings",
    "tapless_converter",
    "wind_generator",
]


def _bank(y: Yard, main_a: float = 200, size: str = "2/0 AWG", **bank: Any) -> None:
    """An AGM bank behind a class T fuse and a switch, a bus for both poles."""
    y.agm("G1", 2, 100, label="house bank", **bank)
    _mains(y, main_a, size)


def _mains(y: Yard, main_a: float = 200, size: str = "2/0 AWG", volts: float = 48) -> None:
    y.fuse("F1", main_a, "class T", label="house main")
    y.switch("Q1", 300, label="house", rated_dc_v=volts)
    y.bus("X1", 300, label="main bus, positive and negative")
    y.pos("W1", "G1.pos", "F1.in", size, 0.15, "battery box")
    y.pos("W2", "F1.out", "Q1.in", size, 0.3, "battery box")
    y.pos("W3", "Q1.out", "X1.bar", size, 1.2, {"battery box": 0.3, "saloon": 0.9})
    y.neg("W4", "G1.neg", "X1.bar", size, 1.4, {"battery box": 0.4, "saloon": 1.0})


def _lights(y: Yard, n: int = 40, volts: float = 12) -> str:
    y.dc_breaker(f"F{n}", 15, label="lights")
    y.pair(f"W{n}1", "X1.bar", f"F{n}.in", "12 AWG", 0.15, "saloon", sheath="enclosed")
    y.load(f"E{n}", "lighting", 60, volts)
    y.pair(f"W{n}2", f"F{n}.out", f"E{n}.in", "12 AWG", 5.0)
    return f"E{n}"


def self_limited_both_ends() -> Installation:
    """A lead between two sources that limit themselves below what it carries, each with the fuse its maker asks for.

    Shore charger and solar controller meet on a small bus, and the one lead on to the bank has a fuse at the bank.
    """
    y = Yard()
    _bank(y)
    y.fuse("F2", 60, "terminal-stud", "saloon", label="charging")
    y.pair("W5", "X1.bar", "F2.in", "6 AWG", 0.15, "saloon", sheath="enclosed")
    y.bus("X3", 100, label="charging bus", place="lazarette")
    y.pair("W6", "F2.out", "X3.bar", "6 AWG", 2.0, {"saloon": 1.0, "lazarette": 1.0})
    fit_controller(y, "T1", 20, place="lazarette")
    fit_array(y, "G3")
    y.pair("W7", "T1.dc", "X3.bar", "6 AWG", 0.6, "lazarette")
    y.pair("W8", "G3.pos", "T1.pv", "10 AWG", 3.0, {"deck": 2.0, "lazarette": 1.0})
    fit_converter(y, "T2", 20, place="lazarette", charges_battery=True, charge_v=14.4, profile="three-stage")
    y.agm("G2", 1, 100, label="start battery")
    y.fuse("F3", 30, "class T", label="converter input")
    y.pair("W9", "G2.pos", "F3.in", "8 AWG", 0.15, "battery box")
    y.pair("W10", "F3.out", "T2.in", "8 AWG", 1.5, {"battery box": 0.5, "lazarette": 1.0})
    y.pair("W11", "T2.out", "X3.bar", "6 AWG", 0.6, "lazarette")
    y.state("At anchor", {_lights(y): 5}, running=("G3",), peak_sun_h=4)
    return y.done()


def solar_one_string() -> Installation:
    """One string of two modules to a tracking controller, a fuse at the battery's end, its isolator in the panel."""
    y = Yard()
    _bank(y)
    fit_array(y, "G3", series=2)
    fit_controller(y, "T1", 30)
    y.pair("W5", "G3.pos", "T1.pv", "10 AWG", 6.0, {"deck": 4.0, "saloon": 2.0})
    y.dc_breaker("F2", 40, label="solar")
    y.pair("W6", "T1.dc", "F2.out", "8 AWG", 0.6)
    y.pair("W7", "F2.in", "X1.bar", "8 AWG", 0.15, sheath="enclosed")
    y.state("At anchor", {_lights(y): 5}, running=("G3",), peak_sun_h=4, required_hours=24)
    return y.done()


def solar_two_strings() -> Installation:
    """Three strings in parallel, each with the fuse the modules' maker names, to a controller that takes their sum."""
    y = Yard()
    _bank(y)
    fit_array(y, "G3", strings=3, series=2, string_fuse_a=15)
    fit_controller(y, "T1", 50, largest_input_a=40)
    y.fuse("F3", 40, "NH", "deck", label="array", rated_dc_v=440)
    y.pair("W5", "G3.pos", "F3.in", "8 AWG", 0.5, "deck")
    y.pair("W8", "F3.out", "T1.pv", "8 AWG", 5.0, {"deck": 3.0, "saloon": 2.0})
    y.fuse("F2", 70, "terminal-stud", "saloon", label="solar")
    y.pair("W6", "T1.dc", "F2.out", "4 AWG", 0.6)
    y.pair("W7", "F2.in", "X1.bar", "4 AWG", 0.15)
    y.state("At anchor", {_lights(y): 5}, running=("G3",), peak_sun_h=4)
    return y.done()


def dc_dc_to_lithium() -> Installation:
    """A lead start battery charges a lithium bank through a converter that holds its current, fused at both ends."""
    y = Yard()
    y.agm("G2", 1, 100, label="start battery")
    y.lithium("G1", 2, 100, label="house bank", short_circuit_a=3000)
    _mains(y)
    fit_converter(
        y,
        "T1",
        30,
        charges_battery=True,
        charge_v=14.4,
        float_v=13.5,
        profile="lithium",
        obeys_stop=True,
        runs_when="engine runs",
    )
    y.fuse("F2", 50, "class T", label="converter input")
    y.pair("W5", "G2.pos", "F2.in", "6 AWG", 0.15, "battery box")
    y.pair("W6", "F2.out", "T1.in", "6 AWG", 1.5, {"battery box": 0.5, "saloon": 1.0})
    y.fuse("F3", 40, "class T", "saloon", label="converter output")
    y.pair("W7", "T1.out", "F3.out", "6 AWG", 0.4)
    y.pair("W8", "F3.in", "X1.bar", "6 AWG", 0.15)
    y.state("Under way", {_lights(y): 5}, required_hours=12)
    return y.done()


def lithium_bank() -> Installation:
    """Three LFP units, a fuse in each, a BMS that warns, tells charger and solar to stop, and only then opens."""
    y = Yard()
    y.lithium("G1", 3, 100, label="house bank", bms="one for the bank", bms_charge_limit_a=None)
    y.set("G1", bms_discharge_limit_a=None)
    _mains(y, 300, "4/0 AWG")
    fit_array(y, "G3", series=2)
    fit_controller(y, "T1", 30, obeys_stop=True, profile="lithium", float_v=13.5)
    y.pair("W5", "G3.pos", "T1.pv", "10 AWG", 6.0, {"deck": 4.0, "saloon": 2.0})
    y.dc_breaker("F2", 40, label="solar", breaking=y.breaking(10000, 80))
    y.pair("W6", "T1.dc", "F2.out", "8 AWG", 0.6)
    y.pair("W7", "F2.in", "X1.bar", "8 AWG", 0.15, sheath="enclosed")
    fit_converter(y, "T2", 50, charges_battery=True, charge_v=14.4, profile="lithium", obeys_stop=True, float_v=13.5)
    y.set("T2", runs_when="engine runs")
    y.agm("G2", 1, 130, label="start battery")
    y.fuse("F3", 80, "class T", label="converter input")
    y.pair("W8", "G2.pos", "F3.in", "4 AWG", 0.15, "battery box")
    y.pair("W9", "F3.out", "T2.in", "4 AWG", 1.5, {"battery box": 0.5, "saloon": 1.0})
    y.fuse("F4", 70, "class T", "saloon", label="converter output")
    y.pair("W10", "T2.out", "F4.out", "4 AWG", 0.4)
    y.pair("W11", "F4.in", "X1.bar", "4 AWG", 0.15)
    y.add(
        "battery_management",
        "K1",
        place="battery box",
        batteries=(y.ref("G1"),),
        stops=(y.ref("T1"), y.ref("T2")),
        charge_limit_a=150,
        discharge_limit_a=300,
        cell_high_v=3.65,
        cell_low_v=2.8,
        lowest_charge_c=2,
        alarm_before_shutdown=True,
        stops_sources_first=True,
        link="wired contact",
        on_link_loss="opens",
        standby_w=2,
    )
    _small_lights(y)
    y.state("At anchor", {"E40": 5}, running=("G3",), peak_sun_h=4, required_hours=24)
    return y.done()


def _small_lights(y: Yard) -> None:
    y.dc_breaker("F40", 15, label="lights", breaking=y.breaking(10000, 80))
    y.pair("W401", "X1.bar", "F40.in", "12 AWG", 0.15, sheath="enclosed")
    y.load("E40", "lighting", 60)
    y.pair("W402", "F40.out", "E40.in", "12 AWG", 5.0)


def selector_switch() -> Installation:
    """Two banks of one kind on a 1-2-both selector that makes before it breaks, a fuse at each bank."""
    y = Yard()
    for n in (1, 2):
        y.agm(f"G{n}", 1, 100, label=f"battery {n}")
        y.fuse(f"F{n}", 150, "class T", label=f"battery {n}")
        y.pos(f"W{n}1", f"G{n}.pos", f"F{n}.in", "2/0 AWG", 0.15, "battery box")
    y.add(
        "selector",
        "Q1",
        place="battery box",
        poles=("+",),
        continuous_a=350,
        five_minute_a=500,
        cranking_a=900,
        rated_dc_v=32,
        breaks_load=True,
        makes_before_breaks=True,
        field_contact=True,
        covered=True,
        in_position="1",
    )
    y.bus("X1", 350)
    y.pos("W12", "F1.out", "Q1.one", "2/0 AWG", 0.4, "battery box")
    y.pos("W22", "F2.out", "Q1.two", "2/0 AWG", 0.4, "battery box")
    y.pos("W3", "Q1.common", "X1.bar", "2/0 AWG", 1.2, {"battery box": 0.3, "saloon": 0.9})
    y.neg("W4", "G1.neg", "X1.bar", "2/0 AWG", 1.4, {"battery box": 0.4, "saloon": 1.0})
    y.neg("W5", "G2.neg", "G1.neg", "2/0 AWG", 0.4, "battery box")
    y.state("At anchor", {_lights(y): 5}, required_hours=8)
    return y.done()


def charging_relay() -> Installation:
    """A charging relay between start and house battery, fused at both banks for its cable."""
    y = Yard()
    y.agm("G2", 1, 100, label="start battery")
    _bank(y)
    y.fuse("F2", 100, "class T", label="charging relay, start side")
    y.fuse("F3", 100, "class T", label="charging relay, house side")
    y.add(
        "charging_relay",
        "K1",
        place="battery box",
        poles=("+",),
        dc_v=12,
        continuous_a=140,
        five_minute_a=200,
        cranking_a=400,
        rated_dc_v=32,
        senses="both sides",
        closes_above_v=13.6,
        opens_below_v=12.8,
        opens_on_start=True,
        limits_current=False,
        on_loss="opens",
        manual_override=False,
        covered=True,
        in_position="open",
    )
    y.pos("W5", "G2.pos", "F2.in", "2 AWG", 0.15, "battery box")
    y.pos("W6", "F2.out", "K1.a", "2 AWG", 0.5, "battery box")
    y.pos("W7", "K1.b", "F3.out", "2 AWG", 0.5, "battery box")
    y.pos("W8", "F3.in", "G1.pos", "2 AWG", 0.15, "battery box")
    y.neg("W9", "G2.neg", "G1.neg", "2 AWG", 0.5, "battery box")
    y.state("At anchor", {_lights(y): 5}, required_hours=12)
    return y.done()


def six_volt_bank() -> Installation:
    """Six flooded 6 V units, two in series and three strings in parallel, a fuse in every string."""
    y = Yard()
    y.flooded(
        "G1",
        3,
        220,
        label="house bank",
        unit_v=6,
        cells_per_unit=3,
        series=2,
        short_circuit_a=3000,
        internal_resistance_ohm=0.002,
        charge_v=7.4 * 2,
        lowest_charge_v=14.2,
        float_v=13.4,
        cut_off_v=10.8,
        unit_protected=True,
        unit_device_a=250,
    )
    _mains(y)
    y.state("At anchor", {_lights(y): 5}, required_hours=48)
    return y.done()


def wind_generator() -> Installation:
    """A wind generator that limits itself, with stop switch, dump load and a fuse at the bank."""
    y = Yard()
    _bank(y)
    y.add(
        "wind_hydro",
        "G3",
        place="deck",
        driven_by="wind",
        dc_v=12,
        power_w=300,
        rating_a=25,
        self_limiting=True,
        charge_v=14.4,
        open_circuit_v=28,
        obeys_stop=True,
        needs_battery=True,
        dump_load=True,
        dump_w=400,
        dump_a=30,
        brake=True,
        label="wind generator",
    )
    y.fuse("F2", 35, "terminal-stud", "saloon", label="wind generator")
    y.pair("W5", "X1.bar", "F2.in", "8 AWG", 0.15)
    y.pair("W6", "F2.out", "G3.pos", "8 AWG", 6.0, {"saloon": 2.0, "deck": 4.0})
    y.state("At anchor", {_lights(y): 5}, running=("G3",), required_hours=24)
    return y.done()


def fridge_on_converter() -> Installation:
    """A 12 V fridge on a 24 V boat: a converter with fuses before and behind it."""
    y = Yard()
    y.agm(
        "G1",
        1,
        200,
        label="house bank",
        series=2,
        charge_v=29.2,
        lowest_charge_v=28.2,
        float_v=27.2,
        cut_off_v=21.6,
    )
    _mains(y, 200)
    y.dc_breaker("F2", 20, label="12 V converter")
    y.pair("W5", "X1.bar", "F2.in", "10 AWG", 0.15, sheath="enclosed")
    fit_converter(y, "T1", 20, in_v=24, out_v=12, input_a=14, minimum_v=20, highest_v=32, charges_battery=False)
    y.pair("W6", "F2.out", "T1.in", "10 AWG", 1.0)
    y.fuse("F3", 15, "terminal-stud", "galley", label="fridge")
    y.pair("W7", "T1.out", "F3.in", "12 AWG", 0.3, "galley")
    y.motor("M1", "refrigeration", 5, place="galley")
    y.pair("W8", "F3.out", "M1.in", "12 AWG", 2.0, "galley")
    y.state("At anchor", {"M1": 12}, required_hours=24)
    return y.done()


def tapless_converter() -> Installation:
    """A 24 V bank of two 12 V units with a balancer, and its 12 V radio fed through a converter from the whole bank."""
    y = Yard()
    y.agm(
        "G1",
        1,
        150,
        label="house bank",
        series=2,
        charge_v=29.2,
        lowest_charge_v=28.2,
        float_v=27.2,
        cut_off_v=21.6,
    )
    _mains(y, 200)
    y.dc_breaker("F2", 15, label="radio converter")
    y.pair("W5", "X1.bar", "F2.in", "12 AWG", 0.15, sheath="enclosed")
    fit_converter(y, "T1", 15, in_v=24, out_v=12, input_a=10, minimum_v=18, highest_v=32, charges_battery=False)
    y.pair("W6", "F2.out", "T1.in", "12 AWG", 1.0)
    y.load("A1", "communication", 60, place="helm")
    y.pair("W7", "T1.out", "A1.in", "12 AWG", 1.0, "helm")
    y.state("Under way", {"A1": 24}, required_hours=12)
    return y.done()
