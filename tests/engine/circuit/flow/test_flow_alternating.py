"""Alternating current by phasors: split phase with its neutral, three phases, transformers; arithmetic beside each."""

from __future__ import annotations

import math
from typing import Any

import pytest

from engine.books.resistances import ohm_per_m, reactance_ohm_per_m


def _split(yard: Any, first_a: float, second_a: float, adapter: bool = False) -> Any:
    """Two legs of 120 V, 15 m of 8 AWG to a bus with a load on each leg."""
    yard.add("shore_supply", "G1", ac_v=120, phases="L1" if adapter else "L1 L2", frequency_hz=60, breaker_a=50)
    yard.add("bus_bar", "WA1")
    feed = "G1.out"
    if adapter:
        yard.add("shore_adapter", "X1", feeds_both_legs=True)
        yard.cable("W0", "G1.out", "X1.in", "8 AWG", 0, function="ac")
        feed = "X1.out"
    yard.cable("W1", feed, "WA1.bar", "8 AWG", 15, function="ac", phases="L1 L2")
    for line, amps in (("L1", first_a), ("L2", second_a)):
        yard.add("load", f"E{line[1]}", ac_v=120, phases=line, current_a=amps, power_factor=1.0)
        yard.set(f"E{line[1]}", behaves="constant current")
        yard.cable(f"W{line}", "WA1.bar", f"E{line[1]}.in", "8 AWG", 0, function="ac", phases=line)
    return yard.flow()


def test_the_neutral_of_a_split_phase_carries_the_difference(yard_at: Any) -> None:
    # Basis: 8 AWG of ASTM B258 (8.366 mm2), copper 1/58 ohm mm2/m, at 60 degC: 2.3847 mohm/m, 15 m: 35.77 mohm.
    ohm = 15 * ohm_per_m("8 AWG", "", 60)
    assert ohm == pytest.approx(0.03577, rel=2e-3)
    told = _split(yard_at(60.0), 40, 10)
    amps = dict(told.run("W1").conductors)
    assert amps["L1"] == pytest.approx(40)
    assert amps["L2"] == pytest.approx(10)
    assert amps["N"] == pytest.approx(30, rel=1e-3)
    # L1: 40 A out and 30 A back in the neutral, 70 x 35.77 mohm / 120 V; L2: 10 A less 30 A, a rise
    assert told.load("E1").drop_pct == pytest.approx(2.09, abs=0.005)
    assert told.load("E2").drop_pct == pytest.approx(-0.60, abs=0.005)
    assert told.run("W1").drop_pct == pytest.approx(told.load("E1").drop_pct, abs=1e-3)


def test_both_legs_in_phase_add_up_in_the_neutral(yard_at: Any) -> None:
    told = _split(yard_at(60.0), 40, 10, adapter=True)
    amps = dict(told.run("W1").conductors)
    assert amps["N"] == pytest.approx(50, rel=1e-3)
    assert dict(told.run("W0").conductors)["L1"] == pytest.approx(50, rel=1e-3)
    # L1: (40 + 50) x 35.77 mohm / 120 V = 2.68 %
    assert told.load("E1").drop_pct == pytest.approx(100 * 90 * 15 * ohm_per_m("8 AWG", "", 60) / 120, rel=5e-3)


def test_a_load_between_two_lines_leaves_the_neutral_alone(yard: Any) -> None:
    yard.add("generator", "G1", ac_v=120, phases="L1 L2", power_va=8000, frequency_hz=60)
    yard.add("load", "E1", ac_v=240, phases="L1 L2", power_w=4800, power_factor=1.0)
    yard.cable("W1", "G1.out", "E1.in", "6 mm2", 0, function="ac", phases="L1 L2")
    told = yard.flow()
    amps = dict(told.run("W1").conductors)
    assert amps["L1"] == pytest.approx(20, rel=1e-4)
    assert amps["N"] == pytest.approx(0, abs=1e-3)
    assert told.load("E1").volts == pytest.approx(240, rel=1e-4)
    assert told.source("G1", "L2").amps == pytest.approx(20, rel=1e-4)


@pytest.mark.parametrize("neutral", [True, False])
def test_three_phases_with_and_without_neutral_draw_the_same(yard: Any, neutral: bool) -> None:
    yard.add("generator", "G1", ac_v=230, phases="L1 L2 L3", power_va=30000, frequency_hz=50)
    yard.add("motor", "M1", ac_v=400, phases="L1 L2 L3", power_w=11085, power_factor=0.8, uses_neutral=neutral)
    yard.cable("W1", "G1.out", "M1.in", "6 mm2", 20, function="ac", phases="L1 L2 L3", neutral=neutral)
    told = yard.flow()
    # 11085 W / (sqrt 3 x 400 V x 0.8) = 20 A; 398.4 V arrive from a 230 V machine, so a little more
    assert told.load("M1").amps == pytest.approx(20, rel=0.03)
    assert told.load("M1").watts == pytest.approx(11085, rel=1e-9)
    amps = dict(told.run("W1").conductors)
    assert amps["L1"] == pytest.approx(amps["L2"], rel=1e-9) == pytest.approx(amps["L3"], rel=1e-9)
    assert amps.get("N", 0.0) == pytest.approx(0, abs=1e-6)


def test_a_drop_is_that_of_phasors_not_of_ohms_times_amperes(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=230, frequency_hz=50)
    yard.add("load", "E1", ac_v=230, current_a=16.0, power_factor=0.8, behaves="constant current")
    yard.cable("W1", "G1.out", "E1.in", "2.5 mm2", 20, function="ac")
    told = yard.flow()
    z = 40 * complex(ohm_per_m("2.5 mm2"), reactance_ohm_per_m("2.5 mm2", 50))
    # the source's volts are those at the load plus I z, the current 0.8 / 0.6 behind the load's volts
    given = told.source("G1").volts
    lag = 16 * complex(0.8, -0.6) * z
    arrives = math.sqrt(given**2 - lag.imag**2) - lag.real
    assert told.load("E1").volts == pytest.approx(arrives, rel=1e-9)
    assert told.load("E1").drop_v < 16 * z.real


def test_a_shore_supply_behind_its_prospective_current(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=230, frequency_hz=50, fault_a=1000)
    yard.add("load", "E1", ac_v=230, resistance_ohm=22.77, behaves="constant resistance")
    yard.cable("W1", "G1.out", "E1.in", "2.5 mm2", 0, function="ac")
    told = yard.flow()
    # 230 V / 1000 A = 0.23 ohm; 230 / (22.77 + 0.23) = 10 A; the drop is counted from the terminals: none
    assert told.load("E1").amps == pytest.approx(10, rel=1e-4)
    assert told.source("G1").volts == pytest.approx(227.7, rel=1e-4)
    assert told.load("E1").drop_v == pytest.approx(0, abs=1e-3)


def test_a_transformer_passes_power_and_follows_its_primary(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=230, frequency_hz=50)
    yard.add("isolation_transformer", "T1", primary_v=230, secondary_v=115, power_va=3000)
    yard.add("load", "E1", ac_v=115, power_w=1150, power_factor=1.0)
    yard.cable("W1", "G1.out", "T1.primary", "2.5 mm2", 20, function="ac")
    yard.cable("W2", "T1.secondary", "E1.in", "4 mm2", 0, function="ac")
    told = yard.flow()
    primary = told.load("T1")
    assert primary.watts == pytest.approx(1150, rel=1e-4)
    # half of what is left at its primary
    assert told.load("E1").volts == pytest.approx(primary.volts / 2, rel=1e-3)
    assert told.run("W1").amps == pytest.approx(1150 / primary.volts, rel=1e-4)


def test_shore_charger_and_battery_in_one(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=230, frequency_hz=50)
    yard.add("charger", "T1", dc_v=12, ac_v=230, charge_a=40, charge_v=14.4, self_limiting=True)
    yard.set("T1", efficiency=0.85, power_factor=0.7)
    yard.add("battery_bank", "G2", unit_v=12.0, internal_resistance_ohm=0.01)
    yard.cable("W1", "G1.out", "T1.ac", "2.5 mm2", 0, function="ac")
    yard.cable("W2", "T1.dc", "G2.pos", "10 mm2", 0)
    told = yard.flow(yard.runs_with("Alongside", ("G1",)))
    # 40 A x 12.4 V = 496 W / 0.85 = 583.5 W / 0.7 / 230 V = 3.62 A
    assert told.source("G2").amps == pytest.approx(-40)
    assert told.load("T1").watts == pytest.approx(496 / 0.85, rel=1e-3)
    assert told.load("T1").amps == pytest.approx(583.5 / 0.7 / 230, rel=1e-3)
    nobody = yard.flow()  # as drawn nobody recorded what runs: nothing charges
    assert nobody.source("G2").amps == pytest.approx(0, abs=1e-6)
    assert nobody.run("W1").amps == 0


def test_an_inverter_charger_passes_or_inverts(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=230, frequency_hz=50)
    yard.add("inverter_charger", "T1", dc_v=24, ac_v=230, power_w=3000, output_limit_a=13, charge_a=50, charge_v=28.4)
    yard.set("T1", self_limiting=True, efficiency=0.9, charger_efficiency=0.88, standby_w=20)
    yard.add("battery_bank", "G2", unit_v=24.0, internal_resistance_ohm=0.01)
    yard.add("load", "E1", ac_v=230, power_w=900, power_factor=1.0)
    yard.cable("W1", "G1.out", "T1.ac_in", "4 mm2", 0, function="ac")
    yard.cable("W2", "T1.ac_out", "E1.in", "4 mm2", 0, function="ac")
    yard.cable("W3", "G2.pos", "T1.dc", "50 mm2", 0)
    shore = yard.flow(yard.runs_with("Alongside", ("G1",), T1="pass"))
    # 50 A charge, less its own 20 W at 24.5 V
    assert shore.source("G2").amps == pytest.approx(-50 + 20 / 24.5, rel=1e-3)
    assert shore.run("W1").amps == pytest.approx((900 + 50 * 24.492 / 0.88) / 230, rel=2e-3)
    assert shore.amps("T1") == pytest.approx(900 / 230, rel=1e-3)
    sea = yard.flow(yard.runs_with("At sea", ("G2",), T1="invert"))
    assert sea.source("G2").watts == pytest.approx(1020 * sea.source("G2").watts / sea.load("T1").watts, rel=1e-5)
    assert sea.load("T1").watts == pytest.approx(900 / 0.9 + 20, rel=1e-3)
    assert sea.run("W1").amps == 0
