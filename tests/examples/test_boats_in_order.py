"""Boats on direct current that are as they should be.

Everything is recorded and as common practice and 33 CFR 183 (2015 edition) have it, so neither book may find anything
above a notice, nor leave anything unjudged. The reason stands below each name.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from engine.check import check
from engine.equipment.switching.switching_module import Channel
from engine.rules import rules


def panel_of_twenty_circuits(b: Any) -> None:
    """A main of the size of the feeder, branches within 7 in of the bus."""
    b.bank("G1")
    b.swt("Q1")
    b.fuse("F1", 150)
    b.add("bus_bar", "X1", rating_a=200)
    b.dc("W1", "G1.pos", "F1.in", "2 AWG", 7)
    b.dc("W2", "F1.out", "Q1.in", "2 AWG", 40)
    b.dc("W3", "Q1.out", "X1.bar", "2 AWG", 90)
    for i, (s, a) in enumerate((("16 AWG", 10), ("14 AWG", 15), ("12 AWG", 20), ("10 AWG", 30)) * 5):
        b.lamp(f"E{i}", "X1.bar", size=s, amps=a)


def starting_circuit_without_a_device(b: Any) -> None:
    """The main feed of a cranking motor is exempt."""
    b.bank("G1", cca_a=700)
    b.swt("Q1")
    b.add("motor", "M1", dc_v=12, running_a=180)
    b.dc("W1", "G1.pos", "Q1.in", "2/0 AWG", 36, function="dc pair", exempt="cranking", away_reason="")
    b.dc(
        "W2",
        "Q1.out",
        "M1.in",
        "2/0 AWG",
        96,
        function="dc pair",
        exempt="cranking",
        places=("engine space",),
        away_reason="",
    )


def bilge_pump_fused_ahead_of_the_battery_switch(b: Any) -> None:
    """A float switch beside a hand switch, behind one fuse."""
    starting_circuit_without_a_device(b)
    b.fuse("F1", 10)
    b.add("float_switch", "B1", continuous_a=15, rated_dc_v=24)
    b.swt("S1", continuous_a=15)
    b.add("motor", "M2", dc_v=12, running_a=5, service="bilge pump")
    b.dc("W11", "G1.pos", "F1.in", "14 AWG", 6)
    b.dc("W12", "F1.out", "B1.in", "14 AWG", 60)
    b.dc("W13", "F1.out", "S1.in", "14 AWG", 90)
    b.dc("W14", "B1.out", "M2.in", "14 AWG", 20)
    b.dc("W15", "S1.out", "M2.in", "14 AWG", 90)


def charger_fused_at_the_battery_only(b: Any) -> None:
    """A charger that limits itself needs no device of its own."""
    b.bank("G1")
    b.fuse("F1", 50)
    b.add("shore_inlet", "X1", polarised=True, ac_v=120, frequency_hz=60, rating_a=30, supply_breaker_a=30)
    b.acb("Q1", 30)
    b.acb("Q2", 15, poles=("L1",))
    b.add("charger", "T1", dc_v=12, charge_a=40, self_limiting=True, charge_v=14.4, ac_v=120, frequency_hz=60)
    b.ac("W1", "X1.out", "Q1.in", "10 AWG", 90)
    b.ac("W2", "Q1.out", "Q2.in", "10 AWG", 6)
    b.ac("W3", "Q2.out", "T1.ac", "14 AWG", 60)
    b.dc("W4", "T1.dc", "F1.out", "8 AWG", 100)
    b.dc("W5", "F1.in", "G1.pos", "8 AWG", 10)


def alternator_on_the_starter_stud(b: Any) -> None:
    """30 in in a sheath, through the cranking cable."""
    starting_circuit_without_a_device(b)
    b.add("alternator", "G2", dc_v=12, rating_a=60, self_limiting=True, charge_v=14.4)
    b.dc("W3", "G2.pos", "M1.in", "6 AWG", 30, places=("engine space",))


def solar_strings_behind_a_controller(b: Any) -> None:
    """Short-circuit currents below what the conductors carry."""
    b.bank("G1")
    b.add("bus_bar", "X1")
    for i in (1, 2):
        b.add(
            "solar_array",
            f"G1{i}",
            module_w=200,
            module_short_a=10,
            module_open_v=24,
            open_cold_v=27,
            module_power_v=20,
        )
        b.dc(f"W1{i}", f"G1{i}.pos", "X1.bar", "12 AWG", 200, function="dc pair")
    b.add(
        "solar_controller",
        "T1",
        method="tracking",
        dc_v=12,
        charge_a=30,
        self_limiting=True,
        charge_v=14.4,
        common="negative",
        blocks_reverse=True,
    )
    b.cb("F1", 40)
    b.dc("W2", "X1.bar", "T1.pv", "10 AWG", 100, function="dc pair")
    b.dc("W3", "T1.dc", "F1.in", "8 AWG", 60, function="dc pair")
    b.dc("W4", "F1.out", "G1.pos", "8 AWG", 20, function="dc pair")


def converter_between_two_banks(b: Any) -> None:
    """A fuse at each bank."""
    b.bank("G1")
    b.bank("G2")
    b.fuse("F1", 60)
    b.fuse("F2", 60)
    b.add(
        "dc_dc_converter",
        "T1",
        in_v=12,
        out_v=12,
        output_a=40,
        self_limiting=True,
        charge_v=14.4,
        isolated=False,
        bidirectional=False,
    )
    b.dc("W1", "G1.pos", "F1.in", "6 AWG", 6)
    b.dc("W2", "F1.out", "T1.in", "6 AWG", 60, function="dc pair")
    b.dc("W3", "T1.out", "F2.in", "6 AWG", 60)
    b.dc("W4", "F2.out", "G2.pos", "6 AWG", 6)


def selector_with_a_panel_near_it(b: Any) -> None:
    """A tap off a cranking circuit begins anew."""
    b.bank("G1")
    b.bank("G2")
    b.add("selector", "S1", continuous_a=350, rated_dc_v=48)
    b.add("motor", "M1", dc_v=12, running_a=180)
    for n, t in ((1, "one"), (2, "two")):
        b.dc(f"W{n}", f"G{n}.pos", f"S1.{t}", "2/0 AWG", 48, exempt="cranking", away_reason="")
    b.dc("W3", "S1.common", "M1.in", "2/0 AWG", 96, exempt="cranking", away_reason="")
    b.cb("F1", 60)
    b.add("bus_bar", "X1")
    b.dc("W4", "S1.common", "F1.in", "6 AWG", 12)
    b.dc("W5", "F1.out", "X1.bar", "6 AWG", 80)
    b.lamp("E1", "X1.bar")
    b.lamp("E2", "X1.bar")


def charging_relay_between_fused_banks(b: Any) -> None:
    """Each side feeds 120 A through it, never both."""
    b.bank("G1")
    b.bank("G2")
    b.fuse("F1", 120)
    b.fuse("F2", 120)
    b.add("charging_relay", "K1", dc_v=12, continuous_a=140, rated_dc_v=16)
    b.dc("W1", "G1.pos", "F1.in", "4 AWG", 7)
    b.dc("W2", "F1.out", "K1.a", "4 AWG", 50)
    b.dc("W3", "K1.b", "F2.in", "4 AWG", 50)
    b.dc("W4", "F2.out", "G2.pos", "4 AWG", 7)


def two_engines_with_an_emergency_switch(b: Any) -> None:
    """All of it cranking circuits."""
    for i in (1, 2):
        b.bank(f"G{i}")
        b.swt(f"Q{i}")
        b.add("motor", f"M{i}", dc_v=12, running_a=200)
        b.dc(f"W{i}1", f"G{i}.pos", f"Q{i}.in", "2/0 AWG", 40, exempt="cranking", away_reason="")
        b.dc(f"W{i}2", f"Q{i}.out", f"M{i}.in", "2/0 AWG", 90, exempt="cranking", away_reason="")
        b.add("alternator", f"G1{i}", dc_v=12, rating_a=60, self_limiting=True, charge_v=14.4)
        b.dc(f"W{i}3", f"G1{i}.pos", f"M{i}.in", "6 AWG", 20, places=("engine space",))
    b.swt("Q3", in_position="open")
    b.dc("W4", "Q1.out", "Q3.in", "2/0 AWG", 20, exempt="cranking", away_reason="")
    b.dc("W5", "Q3.out", "Q2.out", "2/0 AWG", 20, exempt="cranking", away_reason="")


def shunt_in_a_negative_drawn_apart(b: Any) -> None:
    """Good for more than the fuse in the positive."""
    b.bank("G1")
    b.add("shunt", "R1", rating_a=500, drop_mv=50)
    b.fuse("F1", 250)
    b.add("bus_bar", "X1")
    b.add("bus_bar", "X2")
    b.dc("W1", "G1.pos", "F1.in", "2/0 AWG", 7)
    b.dc("W2", "F1.out", "X1.bar", "2/0 AWG", 60)
    b.neg("W3", "G1.neg", "R1.in", "2/0 AWG", 7)
    b.neg("W4", "R1.out", "X2.bar", "2/0 AWG", 20)
    b.add("engine", "M0", return_path="block")
    b.neg("W5", "X2.bar", "M0.block", "2/0 AWG", 60)
    b.fuse("FE1", 15)
    b.add("load", "E1", dc_v=12, current_a=2)
    b.dc("W6", "X1.bar", "FE1.in", "14 AWG", 5)
    b.dc("W7", "FE1.out", "E1.in", "14 AWG", 90)
    b.neg("W8", "E1.neg", "X2.bar", "14 AWG", 90)


def sizes_in_square_millimetres(b: Any) -> None:
    """Counted as the next smaller size listed."""
    b.bank("G1")
    b.fuse("F1", 200)
    b.add("bus_bar", "X1")
    b.dc("W1", "G1.pos", "F1.in", "70 mm2", 7)
    b.dc("W2", "F1.out", "X1.bar", "50 mm2", 60)
    b.lamp("E1", "X1.bar", size="2.5 mm2", amps=16)
    b.lamp("E2", "X1.bar", size="1.5 mm2", amps=10)


def windlass_behind_a_breaker_and_a_contactor(b: Any) -> None:
    """The contactor is good for the breaker."""
    b.bank("G1")
    b.cb("F1", 135)
    b.add("contactor", "K1", continuous_a=150, rated_dc_v=48, control_v=12)
    b.add("motor", "M1", dc_v=12, running_a=90, stalled_a=300, service="windlass")
    b.dc("W1", "G1.pos", "F1.in", "2 AWG", 30)
    b.dc("W2", "F1.out", "K1.in", "2 AWG", 300)
    b.dc("W3", "K1.out", "M1.in", "2 AWG", 24)


def ring_fed_by_one_fuse(b: Any) -> None:
    """Both ways round are behind the same device."""
    b.bank("G1")
    b.fuse("F1", 100)
    for i in range(3):
        b.add("bus_bar", f"X{i}")
    b.dc("W1", "G1.pos", "F1.in", "4 AWG", 7)
    b.dc("W2", "F1.out", "X0.bar", "4 AWG", 30)
    for i in range(3):
        b.dc(f"W1{i}", f"X{i}.bar", f"X{(i + 1) % 3}.bar", "6 AWG", 120)
    for i in range(3):
        b.lamp(f"E{i}", f"X{i}.bar")


def diode_isolator_between_banks(b: Any) -> None:
    """No current comes back through it."""
    b.add("alternator", "G0", dc_v=12, rating_a=80, self_limiting=True, charge_v=14.4)
    b.add("diode_isolator", "R1", dc_v=12, rating_a=120, rated_dc_v=32)
    b.dc("W0", "G0.pos", "R1.in", "4 AWG", 60, places=("engine space",))
    for i in (1, 2):
        b.bank(f"G{i}")
        b.fuse(f"F{i}", 100)
        b.dc(f"W{i}1", f"R1.out{i}", f"F{i}.in", "4 AWG", 60)
        b.dc(f"W{i}2", f"F{i}.out", f"G{i}.pos", "4 AWG", 7)


def bow_bank_charged_from_the_house(b: Any) -> None:
    """The link is fused at both ends."""
    b.bank("G1")
    b.bank("G2")
    b.fuse("F1", 80)
    b.fuse("F2", 80)
    b.fuse("F3", 300)
    b.dc("W1", "G1.pos", "F1.in", "4 AWG", 7)
    b.dc("W2", "F1.out", "F2.in", "4 AWG", 400)
    b.dc("W3", "F2.out", "G2.pos", "4 AWG", 7)
    b.add("motor", "M1", dc_v=12, running_a=250, service="thruster")
    b.dc("W4", "G2.pos", "F3.in", "2/0 AWG", 7)
    b.dc("W5", "F3.out", "M1.in", "2/0 AWG", 60)


def pre_charge_beside_a_contactor(b: Any) -> None:
    """A fuse of its own and a short lead."""
    b.bank("G1", 25.6)
    b.fuse("F1", 300)
    b.add("contactor", "K1", continuous_a=300, rated_dc_v=48)
    b.add("pre_charge", "K2", rated_dc_v=48, resistance_ohm=10)
    b.fuse("F2", 5)
    b.add("inverter", "T1", dc_v=24, ac_v=120, frequency_hz=60, output_limit_a=25)
    b.dc("W1", "G1.pos", "F1.in", "4/0 AWG", 7)
    b.dc("W2", "F1.out", "K1.in", "4/0 AWG", 20)
    b.dc("W3", "K1.out", "T1.dc", "4/0 AWG", 40)
    b.dc("W4", "K1.in", "F2.in", "16 AWG", 5)
    b.dc("W5", "F2.out", "K2.in", "16 AWG", 5)
    b.dc("W6", "K2.out", "K1.out", "16 AWG", 5, exempt="pigtail")
    b.acb("Q1", 25)
    b.add("load", "E1", ac_v=120, power_w=100, power_factor=1, frequency_hz=60)
    b.ac("W7", "T1.ac_out", "Q1.in", "10 AWG", 30)
    b.ac("W8", "Q1.out", "E1.in", "10 AWG", 30)


def three_fuses_on_one_battery_post(b: Any) -> None:
    """Each within 7 in of the post."""
    b.bank("G1")
    b.add("bus_bar", "X0")
    b.dc("W0", "G1.pos", "X0.bar", "4/0 AWG", 2)
    for i, (s, a) in enumerate((("4/0 AWG", 400), ("2 AWG", 200), ("8 AWG", 60))):
        b.fuse(f"F{i}", a)
        b.dc(f"W1{i}", "X0.bar", f"F{i}.in", s, 2)
        b.add("load", f"E{i}", dc_v=12, current_a=20)
        b.dc(f"W2{i}", f"F{i}.out", f"E{i}.in", s, 90)


def switching_module(b: Any) -> None:
    """Each channel suits its conductor."""
    b.bank("G1")
    b.fuse("F1", 60)
    b.add(
        "switching_module",
        "A1",
        dc_v=12,
        through_a=60,
        rated_dc_v=32,
        channels=tuple((Channel(number=n, rating_a=a) for n, a in ((1, 10), (2, 15), (3, 25)))),
    )
    b.dc("W1", "G1.pos", "F1.in", "6 AWG", 12)
    b.dc("W2", "F1.out", "A1.supply", "6 AWG", 100, function="dc pair")
    for n, size in ((1, "16 AWG"), (2, "14 AWG"), (3, "10 AWG")):
        b.add("load", f"E{n}", dc_v=12, current_a=5)
        b.dc(f"W1{n}", f"A1.ch{n}", f"E{n}.in", size, 100, function="dc pair")


def panel_with_a_spare_breaker(b: Any) -> None:
    """A device is asked for, not a load behind it."""
    panel_of_twenty_circuits(b)
    b.cb("F99", 15, status="spare")
    b.dc("W99", "X1.bar", "F99.in", "14 AWG", 3)


def three_devices_in_series(b: Any) -> None:
    """Each conductor is behind one small enough."""
    b.bank("G1")
    b.fuse("F1", 200)
    b.cb("F2", 100)
    b.cb("F3", 40)
    b.add("load", "E1", dc_v=12, current_a=30)
    b.dc("W1", "G1.pos", "F1.in", "1/0 AWG", 7)
    b.dc("W2", "F1.out", "F2.in", "2 AWG", 90)
    b.dc("W3", "F2.out", "F3.in", "6 AWG", 90)
    b.dc("W4", "F3.out", "E1.in", "8 AWG", 90)


def three_taps_at_the_battery_switch(b: Any) -> None:
    """7 in bare, off a cranking circuit."""
    starting_circuit_without_a_device(b)
    for i, (s, a) in enumerate((("8 AWG", 60), ("10 AWG", 40), ("14 AWG", 15))):
        b.fuse(f"F{i}", a)
        b.add("load", f"E{i}", dc_v=12, current_a=10)
        b.dc(f"W1{i}", "Q1.out", f"F{i}.in", s, 7, sheath="bare")
        b.dc(f"W2{i}", f"F{i}.out", f"E{i}.in", s, 90)


def three_units_in_parallel_behind_a_main_fuse(b: Any) -> None:
    """600 A together, the bus is good for it."""
    b.add("bus_bar", "X0", rating_a=600)
    for i in range(3):
        b.bank(f"G{i}", 12.8, chemistry="LFP")
        b.fuse(f"F{i}", 200)
        b.dc(f"W{i}1", f"G{i}.pos", f"F{i}.in", "2/0 AWG", 7)
        b.dc(f"W{i}2", f"F{i}.out", "X0.bar", "2/0 AWG", 24)
    b.fuse("F9", 400)
    b.dc("W91", "X0.bar", "F9.in", "4/0 AWG", 12)
    b.add("bus_bar", "X1", rating_a=600)
    b.dc("W92", "F9.out", "X1.bar", "4/0 AWG", 60)
    b.lamp("E1", "X1.bar")


def charge_bus_with_three_chargers(b: Any) -> None:
    """Each with its fuse at the bus."""
    b.bank("G1")
    b.fuse("F1", 250)
    b.add("bus_bar", "X1")
    b.dc("W1", "G1.pos", "F1.in", "2/0 AWG", 7)
    b.dc("W2", "F1.out", "X1.bar", "2/0 AWG", 40)
    b.add("alternator", "G2", dc_v=12, rating_a=100, self_limiting=True, charge_v=14.4)
    b.fuse("F2", 150)
    b.dc("W3", "X1.bar", "F2.in", "2 AWG", 6)
    b.dc("W4", "F2.out", "G2.pos", "2 AWG", 120)
    b.add(
        "solar_controller",
        "T2",
        dc_v=12,
        charge_a=30,
        self_limiting=True,
        charge_v=14.4,
        common="negative",
        blocks_reverse=True,
    )
    b.add("solar_array", "G3", module_short_a=10, open_cold_v=50, module_power_v=36)
    b.dc("W7", "G3.pos", "T2.pv", "12 AWG", 200)
    b.fuse("F3", 40)
    b.dc("W5", "X1.bar", "F3.in", "8 AWG", 6)
    b.dc("W6", "F3.out", "T2.dc", "8 AWG", 60)
    b.lamp("E1", "X1.bar", lead=3)


def fuse_drawn_upside_down(b: Any) -> None:
    """It protects either way."""
    b.bank("G1")
    b.fuse("F1", 30)
    b.add("load", "E1", dc_v=12, current_a=10)
    b.dc("W1", "F1.out", "G1.pos", "10 AWG", 7)
    b.dc("W2", "E1.in", "F1.in", "10 AWG", 90)


BOATS: tuple[Callable[[Any], None], ...] = (
    panel_of_twenty_circuits,
    starting_circuit_without_a_device,
    bilge_pump_fused_ahead_of_the_battery_switch,
    charger_fused_at_the_battery_only,
    alternator_on_the_starter_stud,
    solar_strings_behind_a_controller,
    converter_between_two_banks,
    selector_with_a_panel_near_it,
    charging_relay_between_fused_banks,
    two_engines_with_an_emergency_switch,
    shunt_in_a_negative_drawn_apart,
    sizes_in_square_millimetres,
    windlass_behind_a_breaker_and_a_contactor,
    ring_fed_by_one_fuse,
    diode_isolator_between_banks,
    bow_bank_charged_from_the_house,
    pre_charge_beside_a_contactor,
    three_fuses_on_one_battery_post,
    switching_module,
    panel_with_a_spare_breaker,
    three_devices_in_series,
    three_taps_at_the_battery_switch,
    three_units_in_parallel_behind_a_main_fuse,
    charge_bus_with_three_chargers,
    fuse_drawn_upside_down,
)


OF_BANDS = ("source-device-too-large", "stalled-motor-held")


@pytest.mark.parametrize("book", ["trade-na", "us-33cfr183"])
@pytest.mark.parametrize("boat", BOATS, ids=lambda boat: boat.__name__)
def test_nothing_is_found_or_left_open(
    boat: Callable[[Any], None], book: str, empty_boat: Any, wiring_rules: tuple[str, ...]
) -> None:
    b = empty_boat(book)
    boat(b)
    result = check(b.installation.snapshot(), book, wiring_rules)
    assert [(f.rule, f.message) for f in result.findings if f.word != "notice"] == []
    # these boats record what protection needs; what solved currents and time-current bands need, not all
    protection = [g for g in result.not_judged if not rules()[g.rule].solves and g.rule not in OF_BANDS]
    assert [(g.rule, g.missing, g.why) for g in protection] == []
    assert result.stopped == ()
