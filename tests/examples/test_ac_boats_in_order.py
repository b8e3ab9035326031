"""Boats with shore power, generators and inverters that are as they should be.

Everything is recorded and as common practice and 33 CFR 183 (2015 edition) have it, so neither book may find anything
above a notice, nor leave anything unjudged. The reason stands below each name.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from engine.check import check
from engine.rules import rules


def inlet_of_30_a_with_branches(b: Any) -> None:
    """Every device of the size of its conductor."""
    b.add("shore_inlet", "X1", polarised=True, ac_v=120, frequency_hz=60, rating_a=30, supply_breaker_a=30)
    b.add("residual_current_device", "Q1", rating_a=30, overcurrent=True, residual_ma=30, rated_ac_v=240)
    b.ac("W1", "X1.out", "Q1.in", "10 AWG", 96)
    b.add("bus_bar", "W50")
    b.ac("W2", "Q1.out", "W50.bar", "10 AWG", 8)
    for i in range(1, 5):
        b.acb(f"F{i}", 15, poles=("L1",))
        b.add("socket_outlet", f"X1{i}", ac_v=120, rating_a=15, expected_w=300, power_factor=1)
        b.ac(f"W1{i}", "W50.bar", f"F{i}.in", "14 AWG", 4)
        b.ac(f"W2{i}", f"F{i}.out", f"X1{i}.in", "14 AWG", 200)


def inlet_of_two_lines(b: Any) -> None:
    """One main for both, branches on each, one load between them."""
    b.add("shore_supply", "G1", ac_v=120, phases="L1 L2", frequency_hz=60, breaker_a=50)
    b.add("shore_inlet", "X1", polarised=True, ac_v=120, phases="L1 L2", frequency_hz=60, rating_a=50)
    b.ac("W1", "G1.out", "X1.shore", "6 AWG", 600, phases="L1 L2")
    b.acb("Q1", 50, poles=("L1", "L2", "N"))
    b.ac("W2", "X1.out", "Q1.in", "6 AWG", 100, phases="L1 L2")
    b.add("bus_bar", "W50")
    b.ac("W3", "Q1.out", "W50.bar", "6 AWG", 10, phases="L1 L2")
    for i, ph in ((1, "L1"), (2, "L2"), (3, "L1")):
        b.acb(f"F{i}", 15, poles=(ph,))
        b.add("socket_outlet", f"X1{i}", ac_v=120, phases=ph, rating_a=15, expected_w=300, power_factor=1)
        b.ac(f"W1{i}", "W50.bar", f"F{i}.in", "14 AWG", 6, phases=ph)
        b.ac(f"W2{i}", f"F{i}.out", f"X1{i}.in", "14 AWG", 200, phases=ph)
    b.acb("F4", 20, poles=("L1", "L2"))
    b.add("load", "E4", ac_v=240, phases="L1 L2", power_w=3000, power_factor=1, frequency_hz=60)
    b.ac("W14", "W50.bar", "F4.in", "12 AWG", 6, phases="L1 L2", neutral=False)
    b.ac("W24", "F4.out", "E4.in", "12 AWG", 150, phases="L1 L2", neutral=False)


def generator_and_shore_through_a_changeover(b: Any) -> None:
    """Never joined."""
    b.add("shore_inlet", "X1", polarised=True, ac_v=120, frequency_hz=60, rating_a=30, supply_breaker_a=30)
    b.add(
        "generator",
        "G1",
        ac_v=120,
        frequency_hz=60,
        power_va=3600,
        self_limiting=False,
        breaker_a=30,
        bonds_neutral=True,
    )
    b.acb("Q1", 30)
    b.acb("Q2", 30)
    b.add("changeover", "S1", poles=("L1", "N"), continuous_a=32, rated_ac_v=240)
    b.ac("W1", "X1.out", "Q1.in", "10 AWG", 90)
    b.ac("W2", "Q1.out", "S1.one", "10 AWG", 20)
    b.ac("W3", "G1.out", "Q2.in", "10 AWG", 90)
    b.ac("W4", "Q2.out", "S1.two", "10 AWG", 20)
    b.add("load", "E1", ac_v=120, power_w=1500, power_factor=1, frequency_hz=60)
    b.ac("W5", "S1.common", "E1.in", "10 AWG", 20)


def inverter_bypass_with_two_slides(b: Any) -> None:
    """No position joins bridge and shore."""
    b.bank("G1", 25.6)
    b.fuse("F1", 200)
    b.add("shore_inlet", "X1", polarised=True, ac_v=120, frequency_hz=60, rating_a=30, supply_breaker_a=30)
    b.add(
        "inverter_charger",
        "T1",
        dc_v=24,
        ac_v=120,
        frequency_hz=60,
        power_w=3000,
        through_a=30,
        output_limit_a=25,
        charge_a=70,
        charge_v=28.8,
        self_limiting=True,
        bonds_neutral=True,
    )
    b.dc("W1", "G1.pos", "F1.in", "2/0 AWG", 7)
    b.dc("W2", "F1.out", "T1.dc", "2/0 AWG", 60)
    b.acb("Q0", 30)
    b.ac("W3", "X1.out", "Q0.in", "10 AWG", 60)
    b.add("bus_bar", "W50")
    b.add("bus_bar", "W60")
    b.ac("W4", "Q0.out", "W50.bar", "10 AWG", 10)
    b.acb("Q1", 30, used_as_switch=True)
    b.acb("Q2", 30, used_as_switch=True)
    b.acb("Q3", 30, used_as_switch=True, in_position="open")
    b.ac("W5", "W50.bar", "Q1.in", "10 AWG", 10)
    b.ac("W6", "Q1.out", "T1.ac_in", "10 AWG", 30)
    b.ac("W7", "T1.ac_out", "Q2.in", "10 AWG", 30)
    b.ac("W8", "Q2.out", "W60.bar", "10 AWG", 10)
    b.ac("W9", "W50.bar", "Q3.in", "10 AWG", 10)
    b.ac("W10", "Q3.out", "W60.bar", "10 AWG", 10)
    b.interlock("Q1", "Q3", name="input slide")
    b.interlock("Q2", "Q3", name="output slide")
    for i in (1, 2):
        b.acb(f"F1{i}", 15, poles=("L1",))
        b.add("socket_outlet", f"X1{i}", ac_v=120, rating_a=15, expected_w=500, power_factor=1)
        b.ac(f"W1{i}", "W60.bar", f"F1{i}.in", "14 AWG", 4)
        b.ac(f"W2{i}", f"F1{i}.out", f"X1{i}.in", "14 AWG", 200)
    b.condition("Alongside", T1="pass")
    b.condition("Bypassed", Q1="open", Q2="open", Q3="closed", T1="off")


def bridge_that_supports_its_input(b: Any) -> None:
    """Shore comes from outside, the bridge from inside: never both through the inlet."""
    inverter_bypass_with_two_slides(b)
    b.set("T1", supports_input=True)
    b.set("T1", through_a=50)


def transformer_to_two_lines(b: Any) -> None:
    """240 V in, 120/240 V out."""
    b.add("shore_inlet", "X1", polarised=True, ac_v=240, frequency_hz=60, rating_a=30, supply_breaker_a=30)
    b.add(
        "isolation_transformer",
        "T1",
        power_va=7200,
        primary_v=240,
        secondary_v=120,
        secondary_phases="L1 L2",
        frequency_hz=60,
        bonds_neutral=True,
    )
    b.acb("Q1", 30)
    b.acb("Q2", 30, poles=("L1", "L2"))
    b.ac("W1", "X1.out", "Q1.in", "10 AWG", 60)
    b.ac("W2", "Q1.out", "T1.primary", "10 AWG", 30)
    b.ac("W3", "T1.secondary", "Q2.in", "10 AWG", 30, phases="L1 L2")
    b.add("load", "E1", ac_v=240, phases="L1 L2", power_w=1500, power_factor=1, frequency_hz=60)
    b.ac("W4", "Q2.out", "E1.in", "10 AWG", 60, phases="L1 L2")


def step_up_transformer(b: Any) -> None:
    """30 A at 120 V are 16 A at 230 V."""
    b.add("shore_inlet", "X1", polarised=True, ac_v=120, frequency_hz=60, rating_a=30, supply_breaker_a=30)
    b.add("autotransformer", "T1", power_va=3600, purpose="step", in_v=120, out_v=230, frequency_hz=60)
    b.acb("Q1", 30)
    b.acb("Q2", 16)
    b.ac("W1", "X1.out", "Q1.in", "10 AWG", 60)
    b.ac("W2", "Q1.out", "T1.in", "10 AWG", 30)
    b.ac("W3", "T1.out", "Q2.in", "12 AWG", 30)
    b.add("load", "E1", ac_v=230, power_w=1500, power_factor=1, frequency_hz=60)
    b.ac("W4", "Q2.out", "E1.in", "12 AWG", 60)


def inverter_of_two_legs(b: Any) -> None:
    """Each leg its own panel."""
    b.bank("G1", 25.6)
    b.fuse("F1", 300)
    b.dc("W1", "G1.pos", "F1.in", "4/0 AWG", 7)
    b.add(
        "combined_inverter",
        "T1",
        dc_v=24,
        ac_v=120,
        frequency_hz=60,
        input_phases="L1 L2",
        leg_limit_a=25,
        through_a=50,
        charge_a=100,
        charge_v=28.8,
        self_limiting=True,
        leg_power_w=3000,
        legs_relation="opposed",
        common_neutral=True,
    )
    b.dc("W2", "F1.out", "T1.dc", "4/0 AWG", 60)
    b.add(
        "shore_inlet", "X1", polarised=True, ac_v=120, phases="L1 L2", frequency_hz=60, rating_a=50, supply_breaker_a=50
    )
    b.acb("Q1", 50, poles=("L1", "L2", "N"))
    b.ac("W3", "X1.out", "Q1.in", "6 AWG", 90, phases="L1 L2")
    b.ac("W4", "Q1.out", "T1.ac_in", "6 AWG", 40, phases="L1 L2")
    for leg, ph in (("leg1", "L1"), ("leg2", "L2")):
        b.add("bus_bar", f"W{leg}")
        b.ac(f"W5{ph}", f"T1.{leg}", f"W{leg}.bar", "6 AWG", 40, phases=ph)
        b.acb(f"F{ph}", 15, poles=(ph,))
        b.add("socket_outlet", f"X{ph}", ac_v=120, phases=ph, rating_a=15, expected_w=500, power_factor=1)
        b.ac(f"W6{ph}", f"W{leg}.bar", f"F{ph}.in", "14 AWG", 5, phases=ph)
        b.ac(f"W7{ph}", f"F{ph}.out", f"X{ph}.in", "14 AWG", 150, phases=ph)


def three_phase_generator(b: Any) -> None:
    """A motor on three lines, a load on one."""
    b.add(
        "generator",
        "G1",
        ac_v=230,
        phases="L1 L2 L3",
        frequency_hz=50,
        power_va=27600,
        self_limiting=False,
        breaker_a=40,
    )
    b.add("bus_bar", "W50")
    b.acb("Q1", 40, poles=("L1", "L2", "L3"), rated_ac_v=440)
    b.ac("W1", "G1.out", "Q1.in", "10 mm2", 100, phases="L1 L2 L3", bundle=3)
    b.ac("W2", "Q1.out", "W50.bar", "10 mm2", 10, phases="L1 L2 L3", bundle=3)
    b.acb("F1", 16, poles=("L1", "L2", "L3"), rated_ac_v=440)
    b.add("motor", "M1", ac_v=400, phases="L1 L2 L3", power_w=5000, power_factor=0.85, frequency_hz=50)
    b.ac("W3", "W50.bar", "F1.in", "2.5 mm2", 6, phases="L1 L2 L3", neutral=False, bundle=3)
    b.ac("W4", "F1.out", "M1.in", "2.5 mm2", 200, phases="L1 L2 L3", neutral=False, bundle=3)
    b.acb("F2", 10, poles=("L2", "N"))
    b.add("load", "E1", ac_v=230, phases="L2", power_w=1000, power_factor=1, frequency_hz=50)
    b.ac("W5", "W50.bar", "F2.in", "1.5 mm2", 6, phases="L2")
    b.ac("W6", "F2.out", "E1.in", "1.5 mm2", 200, phases="L2")


def two_inlets_through_a_changeover(b: Any) -> None:
    """Never joined."""
    b.add("changeover", "S1", poles=("L1", "N"), continuous_a=30, rated_ac_v=240)
    for i, t in ((1, "one"), (2, "two")):
        b.add("shore_inlet", f"X{i}", polarised=True, ac_v=120, frequency_hz=60, rating_a=30, supply_breaker_a=30)
        b.acb(f"Q{i}", 30)
        b.ac(f"W{i}1", f"X{i}.out", f"Q{i}.in", "10 AWG", 60)
        b.ac(f"W{i}2", f"Q{i}.out", f"S1.{t}", "10 AWG", 20)
    b.add("load", "E1", ac_v=120, power_w=1000, power_factor=1, frequency_hz=60)
    b.ac("W3", "S1.common", "E1.in", "10 AWG", 60)


def bank_of_51_2_v(b: Any) -> None:
    """Of the 48 V class, so below 50 V."""
    b.bank("G1", 51.2, charge_v=57.6, chemistry="LFP")
    b.fuse("F1", 300)
    b.add(
        "inverter_charger",
        "T1",
        dc_v=48,
        ac_v=120,
        frequency_hz=60,
        through_a=50,
        output_limit_a=42,
        charge_a=70,
        charge_v=57.6,
        self_limiting=True,
    )
    b.add("load", "E1", ac_v=120, power_w=1000, power_factor=1, frequency_hz=60)
    b.acb("Q1", 50)
    b.dc("W1", "G1.pos", "F1.in", "2/0 AWG", 7)
    b.dc("W2", "F1.out", "T1.dc", "2/0 AWG", 60)
    b.ac("W3", "T1.ac_out", "Q1.in", "6 AWG", 30)
    b.ac("W4", "Q1.out", "E1.in", "6 AWG", 30)


BOATS: tuple[Callable[[Any], None], ...] = (
    inlet_of_30_a_with_branches,
    inlet_of_two_lines,
    generator_and_shore_through_a_changeover,
    inverter_bypass_with_two_slides,
    bridge_that_supports_its_input,
    transformer_to_two_lines,
    step_up_transformer,
    inverter_of_two_legs,
    three_phase_generator,
    two_inlets_through_a_changeover,
    bank_of_51_2_v,
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
