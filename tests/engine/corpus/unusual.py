"""Less usual gear, correctly fitted: bonding, impressed current, balancers, gas, posts."""

from __future__ import annotations

from typing import Any

from kit import (
    fit_converter,
    fit_engine,
)
from yard import Yard

from engine.installation.model import Installation

__all__ = [
    "balanced_bank",
    "bidirectional_converter",
    "bonding_system",
    "fuse_holders_and_posts",
    "impressed_current",
    "lpg_locker",
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
    y.switch("Q3", 50, label="radio battery switch")
    y.pos("W10", "F3.out", "Q3.in", "10 AWG", 0.15, "battery box")
    y.load("A1", "communication", 60, place="helm", minimum_v=9)
    y.pos("W8", "Q3.out", "A1.in", "10 AWG", 3.0, {"battery box": 0.5, "helm": 2.5})
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
    y.switch("Q1", 300)
    y.pos("W4", "F1.out", "Q1.in", "1/0 AWG", 0.2, "battery box")
    y.pos("W2", "Q1.out", "X1.at", "1/0 AWG", 0.3, "battery box")
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
