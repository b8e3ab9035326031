"""Larger AC systems: pre-charge, a bypass round the inverter, three sources."""

from __future__ import annotations

from typing import Any

from kit import (
    fit_generator,
    fit_ground,
    fit_heater,
    fit_inverter,
    fit_isolated_shore,
    fit_socket,
)
from yard import Yard

from engine.installation.model import Installation

__all__ = [
    "bypass_round_inverter",
    "pre_charged_inverter",
    "three_sources",
]

TOLD: dict[str, Any] = {"obeys_stop": True, "profile": "lithium", "float_v": 13.5}


def pre_charged_inverter() -> Installation:
    """A large inverter behind a contactor with pre-charge round it, worked from the helm, class T fuse at the bank."""
    y = Yard()
    y.lithium("G1", 2, 200, label="house bank")
    y.fuse("F1", 300, "class T", label="inverter main")
    y.switch("Q1", 400, label="inverter disconnect")
    rated: dict[str, Any] = {"place": "battery box", "poles": ("+",), "rated_dc_v": 60, "covered": True}
    y.add(
        "contactor",
        "K1",
        continuous_a=400,
        five_minute_a=500,
        cranking_a=1000,
        breaks_load=True,
        control_v=12,
        control_a=1,
        hold_a=0.2,
        on_loss="opens",
        manual_override=False,
        position_reported=True,
        polarised=False,
        in_position="closed",
        label="inverter contactor",
        **rated,
    )
    y.fuse("F2", 10, "class T", label="pre-charge")
    y.add(
        "pre_charge",
        "R1",
        resistance_ohm=10,
        resistor_w=50,
        charge_s=3,
        automatic=True,
        bridges=y.ref("K1"),
        in_position="open",
        label="pre-charge",
        **rated,
    )
    fit_inverter(y, "inverter", "T1", needs_pre_charge=True)
    y.pos("W1", "G1.pos", "F1.in", "4/0 AWG", 0.15, "battery box")
    y.pos("W2", "F1.out", "Q1.in", "4/0 AWG", 0.3, "battery box")
    y.pos("W3", "Q1.out", "K1.in", "4/0 AWG", 0.3, "battery box")
    y.pos("W4", "K1.out", "T1.dc", "4/0 AWG", 1.0, {"battery box": 0.3, "lazarette": 0.7})
    y.neg("W5", "G1.neg", "T1.neg", "4/0 AWG", 1.3, {"battery box": 0.5, "lazarette": 0.8})
    y.pos("W6", "Q1.out", "F2.in", "14 AWG", 0.15, "battery box")
    y.pos("W7", "F2.out", "R1.in", "14 AWG", 0.2, "battery box")
    y.pos("W8", "R1.out", "K1.out", "14 AWG", 0.15, "battery box")
    y.residual("Q6", 20, label="inverter output", form="in a panel")
    y.bus("X6", 30, "line", label="inverter panel bus", enclosure=y.enclosure("AC panel"))
    y.ac("W50", "T1.ac_out", "Q6.in", "12 AWG", 0.8, "lazarette")
    y.ac("W51", "Q6.out", "X6.bar", "12 AWG", 3.0)
    fit_ground(y)
    y.neg("W98", "G1.neg", "X9.at", "1/0 AWG", 1.5, {"battery box": 0.5, "bilge": 1.0})
    y.earth("W97", "T1.earth", "X9.at", "4/0 AWG", 1.5, "bilge")
    y.state("At anchor", {fit_socket(y, 8, "saloon"): 1}, running=("T1",), required_hours=24)
    return y.done()


def _passing(y: Yard, start: str) -> None:
    """An inverter/charger behind the shore panel, its bank, its earth."""
    fit_inverter(
        y,
        "inverter_charger",
        "T1",
        power_va=2000,
        input_limit_a=30,
        supports_input=False,
        transfer_ms=20,
        charge_a=80,
        charge_v=14.4,
        float_v=13.6,
        profile="three-stage",
        temperature_sensed=True,
        self_limiting=True,
        obeys_stop=True,
        charger_efficiency=0.88,
        through_a=30,
    )
    y.agm("G1", 4, 110, label="house bank")
    y.fuse("F1", 300, "class T", label="inverter main")
    y.switch("Q1", 350, label="inverter disconnect")
    y.pos("W1", "G1.pos", "F1.in", "4/0 AWG", 0.15, "battery box")
    y.pos("W2", "F1.out", "Q1.in", "4/0 AWG", 0.3, "battery box")
    y.pos("W3", "Q1.out", "T1.dc", "4/0 AWG", 1.2, {"battery box": 0.5, "lazarette": 0.7})
    y.neg("W4", "G1.neg", "T1.neg", "4/0 AWG", 1.3, {"battery box": 0.5, "lazarette": 0.8})
    y.neg("W98", "G1.neg", "X9.at", "1/0 AWG", 1.5, {"battery box": 0.5, "bilge": 1.0})
    y.earth("W96", "T1.earth", "X9.at", "4/0 AWG", 1.5, "bilge")
    y.ac_breaker("F10", 30, label="inverter/charger", enclosure=y.panel_of(start.split(".")[0]))
    y.ac("W54", start, "F10.in", "10 AWG", 0.15, sheath="enclosed")
    y.ac("W55", "F10.out", "T1.ac_in", "10 AWG", 3.0)


def bypass_round_inverter() -> Installation:
    """A bypass that takes the inverter/charger out on both sides: a changeover of line and neutral with off."""
    y = Yard(length_m=13)
    panel = fit_isolated_shore(y)
    fit_ground(y, panel)
    _passing(y, f"{panel}.bar")
    switch: dict[str, Any] = {"has_off": True, "continuous_a": 40, "through_a": 40, "breaks_load": True}
    y.add(
        "changeover",
        "Q7",
        poles=("L1", "N"),
        makes_before_breaks=False,
        automatic=False,
        rated_ac_v=250,
        in_position="1",
        label="inverter - off - bypass",
        **switch,
    )
    y.ac_breaker("F11", 30, label="bypass", enclosure=y.enclosure("AC panel"), in_position="closed")
    y.ac("W56", "T1.ac_out", "Q7.one", "10 AWG", 3.0)
    y.ac("W57", f"{panel}.bar", "F11.in", "10 AWG", 0.15, sheath="enclosed")
    y.ac("W58", "F11.out", "Q7.two", "10 AWG", 0.5, sheath="enclosed")
    y.residual("Q6", 30, label="inverter panel main", place="saloon", form="in a panel")
    y.bus(
        "X7", 50, "line", label="inverter panel bus", enclosure=y.enclosure("inverter panel", several_sources_sign=True)
    )
    y.ac("W59", "Q7.common", "Q6.in", "10 AWG", 0.3, sheath="enclosed")
    y.ac("W60", "Q6.out", "X7.bar", "10 AWG", 0.3, sheath="enclosed")
    outlet = fit_socket(y, 8, "saloon", "X7")
    y.state("Alongside", {outlet: 1}, running=("X5",))
    y.state("At anchor", {outlet: 1}, running=("T1",), required_hours=24)
    y.state("Inverter failed", {outlet: 1}, running=("X5",), positions={"Q7": "2"})
    return y.done()


def three_sources() -> Installation:
    """Shore or generator by a changeover with off, then the inverter/charger: three sources, never two at once."""
    y = Yard(length_m=15)
    panel = fit_isolated_shore(y)
    fit_ground(y, panel)
    fit_generator(y)
    y.add(
        "changeover",
        "Q7",
        poles=("L1", "N"),
        has_off=True,
        continuous_a=40,
        through_a=40,
        breaks_load=True,
        makes_before_breaks=False,
        automatic=False,
        rated_ac_v=250,
        in_position="1",
        label="shore - off - generator",
    )
    y.ac("W61", f"{panel}.bar", "Q7.one", "10 AWG", 0.5, sheath="enclosed")
    y.ac("W62", "G7.out", "Q7.two", "10 AWG", 4.0, {"engine space": 2.0, "saloon": 2.0})
    y.earth("W95", "G7.earth", "X9.at", "8 AWG", 2.0, "engine space")
    y.bus("X7", 50, "line", label="ship's panel bus", enclosure=y.enclosure("ship's panel", several_sources_sign=True))
    y.ac("W63", "Q7.common", "X7.bar", "10 AWG", 0.3, sheath="enclosed")
    heater = fit_heater(y, 7, "X7")
    _passing(y, "X7.bar")
    y.residual("Q6", 30, label="inverter panel main", place="saloon", form="in a panel")
    y.bus(
        "X8", 50, "line", label="inverter panel bus", enclosure=y.enclosure("inverter panel", several_sources_sign=True)
    )
    y.ac("W64", "T1.ac_out", "Q6.in", "10 AWG", 3.0)
    y.ac("W65", "Q6.out", "X8.bar", "10 AWG", 0.3, sheath="enclosed")
    outlet = fit_socket(y, 11, "saloon", "X8")
    y.state("Alongside", {outlet: 1, heater: 2}, running=("X5",))
    y.state("At anchor", {outlet: 1, heater: 1}, running=("G7",), positions={"Q7": "2"})
    y.state("Night", {outlet: 1}, running=("T1",), positions={"Q7": "0"}, required_hours=12)
    return y.done()
