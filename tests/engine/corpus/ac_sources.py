"""Inverters, generators and what chooses between them and the shore."""

from __future__ import annotations

from kit import fit_generator, fit_ground, fit_heater, fit_inlet, fit_inverter, fit_isolated_shore, fit_socket
from yard import Yard

from engine.installation.model import Installation

__all__ = [
    "changeover_with_off",
    "generator_and_shore",
    "generator_two_pole",
    "inverter_charger",
    "inverter_with_disconnect",
    "off_grid_workboat",
    "water_heater_on_engine_boat",
]


def _inverter_bank(y: Yard) -> None:
    """Four AGM units with a fuse each, class T main, the inverter's own disconnect, 4/0 there and back."""
    y.agm("G1", 4, 110, label="house bank")
    y.fuse("F1", 300, "class T", label="inverter main")
    y.switch("Q1", 350, label="inverter disconnect")
    where = {"battery box": 0.5, "lazarette": 0.7}
    y.pos("W1", "G1.pos", "F1.in", "4/0 AWG", 0.15, "battery box")
    y.pos("W2", "F1.out", "Q1.in", "4/0 AWG", 0.3, "battery box")
    y.pos("W3", "Q1.out", "T1.dc", "4/0 AWG", 1.2, where)
    y.neg("W4", "G1.neg", "T1.neg", "4/0 AWG", 1.3, {"battery box": 0.5, "lazarette": 0.8})


def _dc_ground(y: Yard) -> None:
    """The DC system's one joint with earth, beside the AC earth's."""
    y.neg("W98", "G1.neg", "X9.at", "1/0 AWG", 1.5, {"battery box": 0.5, "bilge": 1.0})


def inverter_with_disconnect() -> Installation:
    """A 2 kW inverter with a fuse and a disconnect of its own, neutral bonded in it, its own socket panel."""
    y = Yard()
    fit_inverter(y, "inverter", "T1")
    _inverter_bank(y)
    y.residual("Q6", 20, label="inverter output", place="lazarette", form="in a panel")
    y.bus("X6", 30, "line", label="inverter panel bus", enclosure=y.enclosure("AC panel"))
    y.ac("W50", "T1.ac_out", "Q6.in", "12 AWG", 0.8, "lazarette")
    y.ac("W51", "Q6.out", "X6.bar", "12 AWG", 3.0)
    fit_ground(y)
    _dc_ground(y)
    y.earth("W97", "T1.earth", "X9.at", "4/0 AWG", 1.5, "bilge")
    socket = fit_socket(y, 8, "saloon")
    y.state("At anchor", {socket: 1}, running=("T1",), required_hours=24)
    return y.done()


def inverter_charger() -> Installation:
    """An inverter/charger between shore panel and its own panel: it bonds its neutral only while it inverts."""
    y = Yard()
    panel = fit_isolated_shore(y)
    fit_ground(y, panel)
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
    _inverter_bank(y)
    _dc_ground(y)
    y.ac_breaker("F10", 30, label="inverter/charger", enclosure=y.enclosure("AC panel"))
    y.ac("W54", f"{panel}.bar", "F10.in", "10 AWG", 0.15, sheath="enclosed")
    y.ac("W55", "F10.out", "T1.ac_in", "10 AWG", 3.0)
    y.residual("Q6", 30, label="inverter panel main", place="saloon", form="in a panel")
    y.bus(
        "X7", 50, "line", label="inverter panel bus", enclosure=y.enclosure("inverter panel", several_sources_sign=True)
    )
    y.ac("W56", "T1.ac_out", "Q6.in", "10 AWG", 3.0)
    y.ac("W57", "Q6.out", "X7.bar", "10 AWG", 0.3, sheath="enclosed")
    y.earth("W96", "T1.earth", "X9.at", "4/0 AWG", 1.5, "bilge")
    socket = fit_socket(y, 8, "saloon", "X7")
    heater = fit_heater(y, 7, panel)
    y.state("Alongside", {socket: 1, heater: 2}, running=("X5",))
    y.state("At anchor", {socket: 1}, running=("T1",), required_hours=24)
    return y.done()


def generator_and_shore() -> Installation:
    """Shore and generator on two breakers of one panel with a mechanical slide: never both closed."""
    y = Yard(length_m=13)
    panel = fit_isolated_shore(y)
    fit_ground(y, panel)
    y.bus("X7", 50, "line", label="ship's panel bus", enclosure=y.enclosure("ship's panel", several_sources_sign=True))
    fit_generator(y)
    y.ac_breaker("F10", 30, label="shore to panel", enclosure=y.enclosure("ship's panel"), in_position="closed")
    y.ac_breaker("F11", 30, label="generator to panel", enclosure=y.enclosure("ship's panel"), in_position="open")
    y.interlock("F10", "F11", name="slide")
    y.ac("W54", f"{panel}.bar", "F10.in", "10 AWG", 0.5, sheath="enclosed")
    y.ac("W55", "F10.out", "X7.bar", "10 AWG", 0.15, sheath="enclosed")
    y.ac("W56", "G7.out", "F11.in", "10 AWG", 4.0, {"engine space": 2.0, "saloon": 2.0})
    y.ac("W57", "F11.out", "X7.bar", "10 AWG", 0.15, sheath="enclosed")
    y.earth("W95", "G7.earth", "X9.at", "8 AWG", 2.0, "engine space")
    heater = fit_heater(y, 7, "X7")
    y.state("Alongside", {heater: 2}, running=("X5",))
    y.state("At anchor", {heater: 1}, running=("G7",), positions={"F10": "open", "F11": "closed"})
    return y.done()


def changeover_with_off() -> Installation:
    """A rotary changeover with an off position between shore and generator that moves line and neutral together."""
    y = Yard(length_m=13)
    panel = fit_isolated_shore(y)
    fit_ground(y, panel)
    y.bus("X7", 50, "line", label="ship's panel bus", enclosure=y.enclosure("ship's panel", several_sources_sign=True))
    fit_generator(y)
    y.add(
        "changeover",
        "Q7",
        poles=("L1", "N"),
        has_off=True,
        continuous_a=40,
        breaks_load=True,
        makes_before_breaks=False,
        automatic=False,
        rated_ac_v=250,
        in_position="1",
        through_a=40,
        label="shore - off - generator",
    )
    y.ac("W54", f"{panel}.bar", "Q7.one", "10 AWG", 0.5, sheath="enclosed")
    y.ac("W56", "G7.out", "Q7.two", "10 AWG", 4.0, {"engine space": 2.0, "saloon": 2.0})
    y.ac("W57", "Q7.common", "X7.bar", "10 AWG", 0.3, sheath="enclosed")
    y.earth("W95", "G7.earth", "X9.at", "8 AWG", 2.0, "engine space")
    heater = fit_heater(y, 7, "X7")
    y.state("Alongside", {heater: 2}, running=("X5",))
    y.state("At anchor", {heater: 1}, running=("G7",), positions={"Q7": "2"})
    return y.done()


def generator_two_pole() -> Installation:
    """A small metric workboat's generator: neutral bonded in it, every device opening both poles."""
    y = Yard("metric", use="workboat", hull="aluminium", length_m=12, flag="NL")
    fit_generator(y, breaker_poles=2)
    y.ac_breaker("F6", 30, label="generator main", place="engine space")
    y.bus("X6", 50, "line", label="AC panel bus", enclosure=y.enclosure("AC panel"))
    y.ac("W52", "G7.out", "F6.in", "10 AWG", 0.8, "engine space")
    y.ac("W53", "F6.out", "X6.bar", "10 AWG", 3.0, {"engine space": 1.0, "saloon": 2.0})
    y.add("earth_point", "X9", form="hull", place="engine space", label="hull earth")
    y.earth("W99", "X6.bar", "X9.at", "8 AWG", 2.0)
    y.earth("W98", "G7.earth", "X9.at", "8 AWG", 1.0, "engine space")
    y.state("Working", {fit_heater(y): 2}, running=("G7",))
    return y.done()


def off_grid_workboat() -> Installation:
    """A 24 V steel workboat: bank, inverter with its own disconnect, all two-pole in the AC, one hull earth point."""
    y = Yard(hull="steel", use="workboat", length_m=15)
    fit_inverter(y, "inverter", "T1", dc_v=24, minimum_v=21, highest_v=32, power_w=2000, largest_device_a=150)
    y.agm("G1", 1, 200, series=2, charge_v=29.2, lowest_charge_v=28.2, float_v=27.2, cut_off_v=21.6, label="house bank")
    y.fuse("F1", 150, "class T", label="inverter main")
    y.switch("Q1", 300, label="inverter disconnect", poles=("+", "-"))
    y.pair("W1", "G1.pos", "F1.in", "1/0 AWG", 0.15, "battery box", bundle=1)
    y.pair("W2", "F1.out", "Q1.in", "1/0 AWG", 0.3, "battery box", bundle=1)
    y.pair("W3", "Q1.out", "T1.dc", "1/0 AWG", 1.2, {"battery box": 0.5, "lazarette": 0.7}, bundle=1)
    y.residual("Q6", 20, label="inverter output", form="in a panel")
    y.bus("X6", 30, "line", label="AC panel bus", enclosure=y.enclosure("AC panel"))
    y.ac("W50", "T1.ac_out", "Q6.in", "12 AWG", 0.8, "lazarette")
    y.ac("W51", "Q6.out", "X6.bar", "12 AWG", 3.0)
    y.add("earth_point", "X9", form="hull", place="engine space", label="hull earth")
    y.earth("W99", "X6.bar", "X9.at", "8 AWG", 2.0)
    y.earth("W97", "T1.earth", "X9.at", "1/0 AWG", 1.5)
    y.neg("W98", "G1.neg", "X9.at", "1/0 AWG", 1.5, {"battery box": 0.5, "engine space": 1.0})
    y.state("Working", {fit_socket(y, 8, "saloon"): 1}, running=("T1",), required_hours=8)
    return y.done()


def water_heater_on_engine_boat() -> Installation:
    """A small boat whose only AC is an inlet, a main and a water heater on a single-pole breaker with an indicator."""
    y = Yard(length_m=8)
    fit_inlet(y)
    y.residual("Q5", 30, label="shore main")
    y.add("polarity_indicator", "P1", place="lazarette", impedance_ohm=27000, shows_by="light", label="polarity")
    y.add("galvanic_isolator", "R5", place="lazarette", rating_a=30, fail_safe=True, monitored=True, fault_a=3000)
    y.bus("X6", 50, "line", place="lazarette", label="AC bus", enclosure=y.enclosure("AC box", "lazarette"))
    y.ac("W50", "X5.out", "Q5.in", "10 AWG", 1.2, "lazarette", earth=False, colour="black + white")
    y.ac("W51", "Q5.out", "X6.bar", "10 AWG", 0.5, "lazarette", earth=False, colour="black + white")
    y.earth("W52", "X5.out", "R5.in", "8 AWG", 1.2, "lazarette")
    y.earth("W53", "R5.out", "X6.bar", "8 AWG", 0.5, "lazarette")
    y.ac("W60", "X6.bar", "P1.sense", "14 AWG", 0.2, "lazarette", sheath="enclosed")
    y.add(
        "engine",
        "M1",
        place="engine space",
        purpose="propulsion",
        fuel="diesel",
        return_path="block",
        stop_control="mechanical",
    )
    y.earth("W99", "X6.bar", "M1.block", "8 AWG", 2.0, "engine space")
    heater = fit_heater(y, poles=("L1",))
    y.state("Alongside", {heater: 2}, running=("X5",))
    return y.done()
