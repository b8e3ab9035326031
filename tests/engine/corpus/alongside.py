"""Shore power: inlets, galvanic isolation, transformers, panels, sockets."""

from __future__ import annotations

from kit import fit_ground, fit_heater, fit_inlet, fit_isolated_shore, fit_socket
from yard import Yard

from engine.installation.model import Installation

__all__ = [
    "charger_on_shore",
    "galvanic_isolator",
    "inlet_transformer",
    "one_pole_with_indicator",
    "polarising_transformer",
    "split_phase",
    "two_inlets",
    "unearthed_transformer",
    "wet_sockets",
]


def galvanic_isolator() -> Installation:
    """A 30 A inlet, residual-current main beside it, galvanic isolator in the earth, branches of two poles."""
    y = Yard()
    fit_ground(y, fit_isolated_shore(y))
    y.state("Alongside", {fit_heater(y): 2, fit_socket(y, 8, "saloon"): 2}, running=("X5",))
    return y.done()


def one_pole_with_indicator() -> Installation:
    """Single-pole branch breakers on a polarised supply, with a reverse-polarity indicator before the main."""
    y = Yard()
    panel = fit_isolated_shore(y)
    fit_ground(y, panel)
    y.add("polarity_indicator", "P1", impedance_ohm=27000, shows_by="light and sound", label="polarity reversed")
    y.ac("W60", f"{panel}.bar", "P1.sense", "14 AWG", 0.3, sheath="enclosed", earth=True)
    heater = fit_heater(y, poles=("L1",))
    y.state("Alongside", {heater: 2}, running=("X5",))
    return y.done()


def inlet_transformer() -> Installation:
    """An isolation transformer beside the inlet of a steel yacht; secondary bonded aboard, shore earth ends there."""
    y = Yard(hull="steel")
    fit_inlet(y)
    y.ac_breaker("F5", 30, place="lazarette", label="transformer primary")
    y.add(
        "isolation_transformer",
        "T5",
        place="lazarette",
        power_va=3600,
        primary_v=120,
        secondary_v=120,
        frequency_hz=60,
        impedance_percent=4,
        inrush_a=300,
        passes_earth=False,
        screen="to shore earth",
        bonds_neutral=True,
        thermal_cut_out=True,
        exposed_metal=True,
        largest_device_a=40,
        label="isolation transformer",
    )
    y.ac("W50", "X5.out", "F5.in", "10 AWG", 1.0, "lazarette")
    y.ac("W51", "F5.out", "T5.primary", "10 AWG", 0.6, "lazarette")
    y.residual("Q5", 30, label="boat main", form="in a panel")
    y.ac("W52", "T5.secondary", "Q5.in", "10 AWG", 0.6, "lazarette")
    y.bus("X6", 50, "line", label="AC panel bus", enclosure=y.enclosure("AC panel"))
    y.ac("W53", "Q5.out", "X6.bar", "10 AWG", 3.0)
    y.add("earth_point", "X9", form="hull", place="engine space", label="hull earth")
    y.earth("W99", "X6.bar", "X9.at", "8 AWG", 2.0)
    y.earth("W98", "T5.earth", "X6.bar", "8 AWG", 3.0)
    y.state("Alongside", {fit_heater(y): 2, fit_socket(y, 8, "saloon"): 2}, running=("X5",))
    return y.done()


def polarising_transformer() -> Installation:
    """A polarisation transformer: shore earth goes through, secondary bonded, an isolator before it."""
    y = Yard()
    fit_inlet(y)
    y.ac_breaker("F5", 30, place="lazarette", label="transformer primary")
    y.add("galvanic_isolator", "R5", place="lazarette", rating_a=30, fail_safe=True, monitored=True, fault_a=3000)
    y.add(
        "polarisation_transformer",
        "T5",
        place="lazarette",
        power_va=3600,
        primary_v=120,
        secondary_v=120,
        frequency_hz=60,
        impedance_percent=4,
        inrush_a=300,
        passes_earth=True,
        bonds_neutral=True,
        thermal_cut_out=True,
        exposed_metal=True,
        largest_device_a=40,
        label="polarisation transformer",
    )
    y.ac("W50", "X5.out", "F5.in", "10 AWG", 1.0, "lazarette", earth=False, colour="black + white")
    y.ac("W51", "F5.out", "T5.primary", "10 AWG", 0.6, "lazarette", earth=False, colour="black + white")
    y.earth("W54", "X5.out", "R5.in", "8 AWG", 1.0, "lazarette")
    y.earth("W55", "R5.out", "T5.primary", "8 AWG", 0.6, "lazarette")
    y.residual("Q5", 30, label="boat main", form="in a panel")
    y.ac("W52", "T5.secondary", "Q5.in", "10 AWG", 0.6, "lazarette")
    y.bus("X6", 50, "line", label="AC panel bus", enclosure=y.enclosure("AC panel"))
    y.ac("W53", "Q5.out", "X6.bar", "10 AWG", 3.0)
    fit_ground(y)
    y.state("Alongside", {fit_heater(y): 2, fit_socket(y, 8, "saloon"): 2}, running=("X5",))
    return y.done()


def split_phase() -> Installation:
    """A 50 A inlet of 120/240 V: both lines and neutral opened together, heater across the lines, sockets on a leg."""
    y = Yard(length_m=16)
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
    y.ac_breaker("F7", 30, ("L1", "L2"), label="water heater")
    y.ac(
        "W71",
        "X6.bar",
        "F7.in",
        "10 AWG",
        0.15,
        sheath="enclosed",
        phases="L1 L2",
        neutral=False,
        colour="black + red + green",
    )
    y.ac_load("E7", 4500, 240, place="engine space", service="heating", phases="L1 L2", uses_neutral=False)
    y.ac(
        "W72",
        "F7.out",
        "E7.in",
        "10 AWG",
        4.0,
        "engine space",
        phases="L1 L2",
        neutral=False,
        colour="black + red + green",
    )
    y.state("Alongside", {"E7": 2, fit_socket(y, 8, "saloon"): 2}, running=("X5",))
    return y.done()


def two_inlets() -> Installation:
    """Two 30 A inlets, one for each of two panels that nothing joins: house and air conditioning."""
    y = Yard(length_m=14)
    first = fit_isolated_shore(y)
    second = fit_isolated_shore(y, "b", "X5b")
    fit_ground(y, first)
    y.earth("W97", f"{second}.bar", f"{first}.bar", "8 AWG", 0.6)
    y.ac_breaker("F9", 20, label="air conditioning")
    y.ac("W91", f"{second}.bar", "F9.in", "12 AWG", 0.15, sheath="enclosed")
    y.ac_load("E9", 1500, place="lazarette", service="air conditioning", power_factor=0.9, label="air conditioning")
    y.ac("W92", "F9.out", "E9.in", "10 AWG", 4.0, "lazarette")
    y.state("Alongside", {fit_heater(y): 2, "E9": 10}, running=("X5", "X5b"))
    return y.done()


def unearthed_transformer() -> Installation:
    """An unearthed supply, which ISO 13297 allows: transformer secondary without bond, both poles opened, monitored."""
    y = Yard("metric", hull="steel", use="workboat", length_m=18, flag="NL")
    fit_inlet(y)
    y.ac_breaker("F5", 30, place="lazarette", label="transformer primary")
    y.add(
        "isolation_transformer",
        "T5",
        place="lazarette",
        power_va=3600,
        primary_v=120,
        secondary_v=120,
        frequency_hz=60,
        impedance_percent=4,
        inrush_a=300,
        passes_earth=False,
        screen="to shore earth",
        bonds_neutral=False,
        thermal_cut_out=True,
        exposed_metal=True,
        largest_device_a=40,
        label="isolation transformer",
    )
    y.ac("W50", "X5.out", "F5.in", "10 AWG", 1.0, "lazarette")
    y.ac("W51", "F5.out", "T5.primary", "10 AWG", 0.6, "lazarette")
    y.ac_breaker("F6", 30, label="boat main")
    y.ac("W52", "T5.secondary", "F6.in", "10 AWG", 0.6, "lazarette", earth=False, colour="black + white")
    y.bus("X6", 50, "line", label="AC panel bus", enclosure=y.enclosure("AC panel"))
    y.ac("W53", "F6.out", "X6.bar", "10 AWG", 3.0, earth=False, colour="black + white")
    y.add("insulation_monitor", "B1", alarm_ohm=50000, inner_ohm=100000, opens=False, label="insulation monitor")
    y.ac("W54", "X6.bar", "B1.sense", "6 mm2", 0.3, sheath="enclosed", earth=False, colour="black + white")
    y.earth("W55", "X6.bar", "B1.earth", "6 mm2", 0.3)
    y.add("earth_point", "X9", form="hull", place="engine space", label="hull earth")
    y.earth("W99", "X6.bar", "X9.at", "8 AWG", 2.0)
    y.earth("W98", "T5.earth", "X6.bar", "8 AWG", 3.0)
    y.state("Alongside", {fit_heater(y): 2}, running=("X5",))
    return y.done()


def wet_sockets() -> Installation:
    """Sockets on deck, in head and galley with 5 mA built in, behind the boat's 30 mA main; one guards the next."""
    y = Yard()
    fit_ground(y, fit_isolated_shore(y))
    guarded = {"residual_ma": 5, "residual_ms": 25}
    sockets = [
        fit_socket(y, 8, "galley", protects_onward=True, **guarded),
        fit_socket(y, 9, "deck", protects_onward=False, **guarded),
        fit_socket(y, 10, "head", protects_onward=False, **guarded),
        fit_socket(y, 11, "saloon"),
    ]
    y.add(
        "socket_outlet",
        "X12",
        place="galley",
        label="second galley socket",
        rating_a=15,
        ac_v=120,
        earth_contact=True,
        polarised=True,
        expected_w=300,
        power_factor=1.0,
        weatherproof=False,
        form="three-pin",
    )
    y.ac("W122", "X80.in", "X12.in", "14 AWG", 1.5, "galley")
    y.state("Alongside", dict.fromkeys(sockets, 1), running=("X5",))
    return y.done()


def charger_on_shore() -> Installation:
    """A charger on shore power to a bank: it limits itself at its end, a fuse stands at the battery's."""
    y = Yard()
    panel = fit_isolated_shore(y)
    y.agm("G1", 2, 100, label="house bank")
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
    y.fuse("F8", 60, "class T", label="charger")
    y.pair("W73", "G1.pos", "F8.in", "6 AWG", 0.15, "battery box")
    y.pair("W74", "F8.out", "T1.dc", "6 AWG", 1.5, {"battery box": 0.5, "lazarette": 1.0})
    y.earth("W75", "T1.earth", f"{panel}.bar", "8 AWG", 4.0)
    y.add("earth_point", "X9", form="ground plate", place="bilge", label="ground plate")
    y.earth("W99", f"{panel}.bar", "X9.at", "8 AWG", 2.0)
    y.neg("W76", "G1.neg", "X9.at", "6 AWG", 2.0, "bilge")
    y.fuse("F9", 15, "class T", label="lights")
    y.pair("W91", "G1.pos", "F9.in", "12 AWG", 0.15, "battery box")
    y.switch("Q9", 50, label="battery switch")
    y.pair("W93", "F9.out", "Q9.in", "12 AWG", 0.15, "battery box")
    y.load("E9", "lighting", 60)
    y.pair("W92", "Q9.out", "E9.in", "12 AWG", 5.0, {"battery box": 0.5, "saloon": 4.5})
    y.state("Alongside", {"E9": 4}, running=("X5",), required_recharge_h=24)
    return y.done()
