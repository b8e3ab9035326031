"""Starting: volts dip at what matters, by the resistance that is shared with the motor."""

from __future__ import annotations

from typing import Any

import pytest


def _boat(yard: Any, **motor: Any) -> Any:
    """A light and a pump at one bus, 1 mohm of battery and 2 x 2 m of 50 mm2 before it."""
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.001, chemistry="AGM", cells_per_unit=6)
    yard.add("bus_bar", "WC1")
    yard.add("load", "E1", dc_v=12, current_a=2.0, essential=True, minimum_v=10.8)
    yard.add("motor", "M1", dc_v=12, running_a=20.0, **motor)
    yard.cable("W1", "G1.pos", "WC1.bar", "50 mm2", 2)
    yard.cable("W2", "WC1.bar", "E1.in", "10 mm2", 5)
    yard.cable("W3", "WC1.bar", "M1.in", "10 mm2", 1)
    return yard


def test_the_light_dips_when_the_pump_starts(yard: Any) -> None:
    study = _boat(yard, starting_a=100.0).study()
    (start,) = study.starts
    assert start.amps == 100
    (light,) = start.loads
    empty = study.flow("", "lowest")
    at_rest = next(s for s in empty.sources if s.designation == "G1")
    emf = at_rest.volts + 22 * 0.001
    # 102 A through 1 mohm and 4 m x 0.386 mohm/m, 2 A through 10 m x 1.91 mohm/m (IEC 60228, class 5)
    assert light.volts == pytest.approx(emf - 102 * (0.001 + 4 * 0.386e-3) - 2 * 10 * 1.91e-3, rel=1e-6)
    assert light.minimum_v == 10.8
    assert start.own_volts == pytest.approx(emf - 102 * (0.001 + 4 * 0.386e-3) - 100 * 2 * 1.91e-3, rel=1e-6)
    amps = {study.name(run): value for run, value in start.runs}
    assert amps["W1"] == pytest.approx(102)
    assert amps["W3"] == pytest.approx(100)


def test_the_stalled_current_stands_in_for_the_starting_current(yard: Any) -> None:
    (start,) = _boat(yard, stalled_a=140.0).study().starts
    assert start.amps == 140


def test_a_starting_current_not_recorded_is_asked_for(yard: Any) -> None:
    (start,) = _boat(yard).study().starts
    assert start.amps is None
    assert start.missing == ("M1.starting_a",)
    assert start.loads == ()


def test_a_motor_that_is_switched_off_does_not_start(yard: Any) -> None:
    yard = _boat(yard, starting_a=100.0)
    yard.add("battery_switch", "Q1")
    yard.add("motor", "M2", dc_v=12, running_a=5, starting_a=500.0)
    yard.cable("W4", "WC1.bar", "Q1.in", "10 mm2", 1)
    yard.cable("W5", "Q1.out", "M2.in", "10 mm2", 1)
    yard.runs_with("Off", Q1="open")
    yard.runs_with("On", Q1="closed")
    assert [(start.designation, start.amps) for start in yard.study().starts] == [("M1", 100), ("M2", 500)]


def test_an_engine_is_cranked_without_its_own_alternator(yard: Any) -> None:
    engine = yard.add("engine", "M9")
    yard = _boat(yard, starting_a=100.0)
    yard.add("motor", "M2", dc_v=12, service="engine starter", starting_a=300.0, engine=engine)
    yard.add("alternator", "G2", dc_v=12, rating_a=60, charge_v=14.4, engine=engine)
    yard.add("battery_switch", "Q1", in_position="open")
    yard.cable("W6", "WC1.bar", "Q1.in", "50 mm2", 1)
    yard.cable("W7", "Q1.out", "M2.in", "50 mm2", 1)
    yard.cable("W8", "G2.pos", "WC1.bar", "10 mm2", 1)
    yard.runs_with("Under way", ("G2",))
    pump, starter = yard.study().starts
    assert (pump.designation, starter.designation) == ("M1", "M2")
    name = yard.study().name
    amps = {name(run): value for run, value in starter.runs}
    assert amps["W7"] == pytest.approx(300)
    assert amps["W8"] == 0
    assert {name(run): value for run, value in pump.runs}["W8"] == pytest.approx(60)


def test_an_alternating_motor_starts_at_its_power_factor(yard: Any) -> None:
    yard.add("generator", "G1", ac_v=230, power_va=6900, frequency_hz=50, subtransient_pu=0.1)
    yard.add("motor", "M1", ac_v=230, power_w=1500, power_factor=0.8, starting_a=30, starting_power_factor=0.0)
    yard.cable("W1", "G1.out", "M1.in", "2.5 mm2", 0, function="ac")
    (start,) = yard.study().starts
    # 0.1 x 230 V / 30 A = 0.767 ohm of reactance x 30 A of reactive current, straight from 230 V: 207 V
    assert start.own_volts == pytest.approx(207, rel=1e-3)
    assert start.missing == ()
    yard.set("M1", starting_power_factor=None)
    (start,) = yard.study().starts
    assert start.missing == ("M1.starting_power_factor",)
    assert "M1: power factor when starting not recorded, taken as 0.35" in start.assumed
