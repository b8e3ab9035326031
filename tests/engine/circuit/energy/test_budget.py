"""A day's energy and autonomy, worked out by hand beside each check."""

from __future__ import annotations

import math
from typing import Any

import msgspec
import pytest

from engine.books import load
from engine.builder import Builder
from engine.circuit.energy.budget import usable_ah
from engine.circuit.energy.results import BankEnergy, Energy
from engine.equipment.behaviour import Store
from engine.rules.example_boats import set_condition
from engine.study import Study


def cable(b: Builder, name: str, start: str, end: str, **facts: Any) -> None:
    b.run(name, start, end, size="4/0 AWG", length_m=0.3, **({"function": "dc pair"} | facts))


def energy_of(b: Builder, condition: str = "c1") -> Energy:
    snapshot = b.installation.snapshot()
    study = Study(snapshot, load("trade-na"))
    return study.energy(next((c for c, r in snapshot.conditions.items() if r.name == condition), ""))


def only(energy: Energy) -> BankEnergy:
    (bank,) = energy.banks
    return bank


def boat(loads: dict[str, float], inverted: dict[str, float] | None = None, **bank: Any) -> Builder:
    """Loads (W) straight on a 12 V bank, others behind an inverter of 0.88 that takes 18 W itself."""
    b = Builder()
    known: dict[str, Any] = {"unit_v": 12.0, "unit_ah": 400.0, "chemistry": "AGM", "usable_percent": 50.0}
    b.add("battery_bank", "G1", **(known | bank))
    b.add("bus_bar", "X1")
    cable(b, "W0", "G1.pos", "X1.bar")
    for number, (name, watts) in enumerate(loads.items(), start=1):
        b.add("load", name, dc_v=12, power_w=watts)
        cable(b, f"W{number}", "X1.bar", f"{name}.in")
    if inverted:
        b.add("inverter", "T1", dc_v=12, ac_v=230, efficiency=0.88, standby_w=18.0, output_limit_a=20)
        cable(b, "W90", "X1.bar", "T1.dc")
        for number, (name, watts) in enumerate(inverted.items(), start=91):
            b.add("load", name, ac_v=230, power_w=watts, power_factor=1.0)
            cable(b, f"W{number}", "T1.ac_out", f"{name}.in", function="ac")
    return b


ANCHORED = {"E1": 55.0, "E2": 32.0, "E3": 3.0, "E4": 12.0, "E5": 30.0, "E6": 90.0, "E7": 6.0}
HOURS = {"E1": 11.0, "E2": 5.0, "E3": 10.0, "E4": 2.0, "E5": 1.0, "E6": 0.4, "E7": 12.0, "A1": 4.0, "A2": 0.25}


def test_a_day_at_anchor() -> None:
    """605 + 160 + 30 + 24 + 30 + 36 + 72 = 957 Wh; (65 x 4 + 1300 x 0.25) / 0.88 = 664.77 Wh; 18 W x 6 h = 108.

    Together 1729.8 Wh, 144.15 Ah, 6.006 A (figures computed here). Our converters are on all day: 4.5 W x 24 h = 108.
    """
    b = boat(ANCHORED, {"A1": 65.0, "A2": 1300.0})
    b.set("T1", standby_w=4.5)
    set_condition(b, "c1", HOURS)
    energy = energy_of(b)
    bank = only(energy)
    assert bank.load_wh == pytest.approx(1729.8, abs=0.05)
    assert bank.load_ah == pytest.approx(144.15, abs=0.005)
    assert bank.mean_a == pytest.approx(6.006, abs=0.0005)
    # 400 Ah x 50 % = 200 Ah, 2400 Wh
    assert bank.usable_ah == pytest.approx(200)
    assert bank.autonomy_h == pytest.approx(33.30, abs=0.005)
    assert bank.missing == ()
    own = next(load for load in energy.loads if load.designation == "T1")
    assert (own.hours_a_day, own.bank_wh) == (24.0, 108.0)
    assert sum(load.bank_wh or 0.0 for load in energy.loads) == pytest.approx(bank.load_wh or 0.0)
    laptop = next(load for load in energy.loads if load.designation == "A1")
    assert [efficiency for _item, efficiency in laptop.chain] == [0.88]


def test_the_arithmetic_adds_up_as_it_is_printed() -> None:
    b = boat({"E1": 1729.8 / 24})
    set_condition(b, "c1", {"E1": 24.0})
    assert only(energy_of(b)).arithmetic == (
        "1729.8 Wh a day / 12 V = 144.2 Ah a day",
        "200 Ah used × 12 V / 1729.8 Wh × 24 h = 33.3 h",
    )


@pytest.mark.parametrize(
    ("ah", "share", "volts", "hours", "with_sun"),
    [(400, 50, 12.0, 33.30, 122.61), (220, 50, 12.0, 18.31, 67.44), (280, 80, 12.8, 39.78, 146.48)],
)
def test_autonomy_of_a_mean_current_of_6_a(
    ah: float, share: float, volts: float, hours: float, with_sun: float
) -> None:
    """1729.8 Wh a day from 400 Ah AGM, 220 Ah flooded, 280 Ah LFP; with 400 Wp x 4.5 h x 0.70 = 1260 Wh of sun."""
    b = boat({"E1": 1729.8 / 24}, unit_ah=float(ah), usable_percent=float(share), unit_v=volts)
    set_condition(b, "c1", {"E1": 24.0}, peak_sun_h=4.5)
    assert only(energy_of(b)).autonomy_h == pytest.approx(hours, abs=0.005)
    sunny(b)
    bank = only(energy_of(b))
    assert bank.source_wh == pytest.approx(1260)
    assert bank.autonomy_h == pytest.approx(with_sun, abs=0.05)
    assert not bank.is_kept  # the sun is in the autonomy already


def sunny(b: Builder) -> None:
    b.add("solar_array", "G5", module_w=200.0, series=1, strings=2, module_power_v=20.0, module_power_a=10.0)
    b.add("solar_controller", "T4", dc_v=12, charge_a=40, efficiency=1.0, method="tracking", standby_w=0.0)
    cable(b, "W80", "G5.pos", "T4.pv")
    cable(b, "W81", "T4.dc", "X1.bar")


def test_a_day_that_the_sun_covers_has_no_end() -> None:
    b = boat({"E1": 50.0})
    sunny(b)
    set_condition(b, "c1", {"E1": 24.0}, peak_sun_h=4.5)
    bank = only(energy_of(b))
    assert bank.autonomy_h == math.inf
    assert bank.recharge_h is not None
    assert math.isfinite(bank.recharge_h)


def test_banks_side_by_side_share_the_current_that_peukert_counts() -> None:
    """60 A on two of 220 Ah are 30 A each: 85.60 Ah twice, not what 60 A would leave of each."""
    known: dict[str, Any] = {"unit_ah": 220.0, "chemistry": "flooded", "rated_hours_h": 20.0, "peukert": 1.25}
    b = boat({"E1": 720.0}, **known)
    b.add("battery_bank", "G2", unit_v=12.0, usable_percent=50.0, **known)
    cable(b, "W70", "G2.pos", "X1.bar")
    set_condition(b, "c1", {"E1": 24.0})
    bank = only(energy_of(b))
    assert bank.designation == "G1 + G2"
    assert bank.usable_ah == pytest.approx(171.20, abs=0.01)
    assert bank.autonomy_h == pytest.approx(2.853, abs=0.0005)


def test_an_aged_bank_gives_what_is_left_of_it() -> None:
    b = boat({"E1": 10.0}, remaining_percent=75.0)
    set_condition(b, "c1", {"E1": 24.0})
    bank = only(energy_of(b))
    assert (bank.capacity_ah, bank.usable_ah) == (400, 150)
    # 20 Ah of the 300 that are left
    assert bank.day[-1].soc == pytest.approx(1 - 20 / 300)


def test_usual_shares_are_flagged_recorded_ones_are_not() -> None:
    b = boat({"E1": 10.0}, usable_percent=None)
    set_condition(b, "c1", {"E1": 24.0})
    assert any("50 % of its capacity used, as is usual for AGM" in text for text in only(energy_of(b)).assumed)
    b.set("G1", usable_percent=50.0)
    assert not any("of its capacity used" in text for text in only(energy_of(b)).assumed)


def test_unattended_it_keeps_the_bilge_pump_for_days() -> None:
    """100 W for half an hour and 2 W all day are 98 Wh: 2400 Wh last 24.5 days. Without a pump no such figure."""
    b = boat({"M1": 100.0, "E1": 2.0})
    set_condition(b, "c1", {"M1": 0.5, "E1": 24.0})
    assert only(energy_of(b)).unattended_days is None
    b.set("M1", service="bilge pump")
    assert only(energy_of(b)).unattended_days == pytest.approx(2400 / 98)


def test_peukert_bites_above_the_rated_current_only() -> None:
    """30 A on 220 Ah stated for 20 h, p 1.25: 110 x (11/30)^0.25 = 85.60 Ah, 2.853 h instead of 3.667."""
    store = Store(chemistry="flooded", capacity_ah=220, rated_hours_h=20, usable=0.5, peukert=1.25)
    assert usable_ah(store, 30.0, [], "G1") == pytest.approx(85.60, abs=0.005)
    assert (usable_ah(store, 30.0, [], "G1") or 0) / 30 == pytest.approx(2.853, abs=0.0005)
    assert usable_ah(store, 11.0, [], "G1") == pytest.approx(110)


def test_hours_of_the_capacity_that_are_not_recorded_are_taken_as_20_where_it_matters() -> None:
    store = Store(chemistry="flooded", capacity_ah=220, usable=0.5)
    assumed: list[str] = []
    assert usable_ah(store, 11.0, assumed, "G1") == pytest.approx(110)
    assert assumed == []
    assert usable_ah(store, 30.0, assumed, "G1") == pytest.approx(85.60, abs=0.005)
    assert assumed == [
        "G1: Peukert exponent 1.25, as is usual for flooded",
        "G1: its capacity taken as stated for a discharge of 20 h",
    ]


def test_published_points_of_a_peukert_bank_share_no_single_exponent() -> None:
    """100 Ah at 5 A, 80 Ah at 20 A, 50 Ah at 100 A (trade table, secondary copy): 1.161 to 20 A, 1.231 to 100 A.

    With the exponent of the first pair our formula gives the second point, and does not give the third.
    """
    exponent = 1 + math.log(100 / 80) / math.log(20 / 5)
    assert exponent == pytest.approx(1.161, abs=0.0005)
    store = Store(chemistry="flooded", capacity_ah=100, rated_hours_h=20, usable=1.0, peukert=exponent)
    assert usable_ah(store, 20.0, [], "G1") == pytest.approx(80)
    assert usable_ah(store, 100.0, [], "G1") != pytest.approx(50, abs=5)


def test_bank_for_a_days_ampere_hours() -> None:
    """248.6 Ah a day at 50 % lasts a day on some 500 Ah (trade handbook, secondary copy): exactly 497.2."""
    b = boat({"E1": 248.6 * 12 / 24}, unit_ah=497.2)
    set_condition(b, "c1", {"E1": 24.0})
    assert only(energy_of(b)).autonomy_h == pytest.approx(24.0)


def test_a_published_bank_is_a_rounding_short() -> None:
    """500 Wh a day through 0.9, three days, 20 % more, 12 V: printed 166.5 Ah, exactly 166.67 (secondary copy)."""
    exact = 500 / 0.9 * 3 * 1.2 / 12
    assert exact == pytest.approx(166.67, abs=0.005)
    b = boat({}, {"A1": 500 / 24}, unit_ah=exact / 1.2, usable_percent=100.0)
    b.set("T1", efficiency=0.9, standby_w=0.0)
    set_condition(b, "c1", {"A1": 24.0})
    assert only(energy_of(b)).autonomy_h == pytest.approx(72.0)
    b.set("G1", unit_ah=166.5 / 1.2)
    assert (only(energy_of(b)).autonomy_h or 99) < 72.0


def test_what_lives_on_shore_is_not_the_banks() -> None:
    b = boat({"E1": 10.0})
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16)
    b.add("load", "A1", ac_v=230, power_w=1000.0, power_factor=1.0)
    cable(b, "W50", "G9.out", "A1.in", function="ac")
    set_condition(b, "c1", {"E1": 24.0, "A1": 5.0}, running=("G9",))
    energy = energy_of(b)
    by_name = {load.designation: load for load in energy.loads}
    assert (by_name["A1"].bank, by_name["A1"].bank_wh, by_name["A1"].wh_a_day) == ("", 0.0, 5000.0)
    assert only(energy).load_wh == pytest.approx(240)


def test_a_missing_efficiency_stops_only_the_bank_that_needs_it() -> None:
    b = boat({"E1": 10.0}, {"A1": 100.0})
    b.set("T1", efficiency=None)
    set_condition(b, "c1", {"E1": 24.0, "A1": 1.0})
    energy = energy_of(b)
    bank = only(energy)
    assert "T1.efficiency" in bank.missing
    assert next(load for load in energy.loads if load.designation == "E1").bank_wh == pytest.approx(240)
    assert next(load for load in energy.loads if load.designation == "A1").bank_wh is None
    assert (bank.load_wh or 0) >= 240  # a least value


@pytest.mark.parametrize(
    "facts",
    [
        {"unit_v": None},
        {"unit_ah": None},
        {"unit_v": 0.0},
        {"unit_ah": 0.0},
        {"chemistry": "", "usable_percent": None},
        {"unit_ah": 1e6},
        {"unit_charge_limit_a": 0.0},
    ],
)
def test_odd_banks_are_told_and_raise_nothing(facts: dict[str, Any]) -> None:
    b = boat({"E1": 10.0}, **facts)
    b.add("alternator", "G2", dc_v=12, rating_a=50, self_limiting=True)
    cable(b, "W60", "G2.pos", "X1.bar")
    set_condition(b, "c1", {"E1": 24.0}, running=("G2",), required_hours=10.0, required_recharge_h=5.0)
    snapshot = b.installation.snapshot()
    study = Study(snapshot, load("trade-na"))
    for slug in ("bank-too-small", "recharge-too-slow", "charge-too-high", "bank-overdrawn", "source-overloaded"):
        assert study.outcome(slug).fault is None
    for energy in study.energies:
        msgspec.json.encode(energy.loads)


def test_where_no_hours_are_recorded_nothing_is_said_to_last_for_ever() -> None:
    """A most value without end tells nothing: it is not known."""
    b = boat({"E1": 10.0})
    bank = only(energy_of(b, ""))
    assert bank.autonomy_h is None
    assert bank.missing == ("E1.duty",)


def test_converters_in_a_ring_and_banks_that_feed_each_other_end() -> None:
    b = boat({"E1": 10.0})
    b.add("battery_bank", "G2", unit_v=12.0, unit_ah=400.0, chemistry="AGM", usable_percent=50.0)
    known: dict[str, Any] = {"in_v": 12, "out_v": 12, "output_a": 30, "self_limiting": True, "bidirectional": False}
    for name, start, end in (("T2", "X1.bar", "G2.pos"), ("T3", "G2.pos", "X1.bar")):
        b.add("dc_dc_converter", name, **known)
        cable(b, f"W1{name}", start, f"{name}.in")
        cable(b, f"W2{name}", f"{name}.out", end)
    # a ring without any bank
    b.add("load", "E9", dc_v=12, power_w=5.0)
    for name in ("T4", "T5"):
        b.add("dc_dc_converter", name, **known)
    cable(b, "W91", "T4.out", "T5.in")
    cable(b, "W92", "T5.out", "T4.in")
    cable(b, "W93", "T5.out", "E9.in")
    set_condition(b, "c1", {"E1": 24.0, "E9": 24.0}, running=("E1",))
    energy = energy_of(b)
    stray = next(load for load in energy.loads if load.designation == "E9")
    assert (stray.bank, stray.source, stray.bank_wh) == ("", "", 0.0)
    for bank in energy.banks:
        assert [c.from_bank != "" for c in bank.charging] == [True]
        assert not bank.is_kept


@pytest.mark.parametrize("efficiency", [0.0, 1e-9])
def test_a_bank_that_stores_nothing_never_fills(efficiency: float) -> None:
    b = boat({"E1": 10.0}, charge_efficiency=efficiency)
    b.add("alternator", "G2", dc_v=12, rating_a=50, self_limiting=True)
    cable(b, "W60", "G2.pos", "X1.bar")
    set_condition(b, "c1", {"E1": 24.0}, running=("G2",))
    assert (only(energy_of(b)).recharge_h or 0) > 1e6


def test_no_bank_no_load_nothing_at_all() -> None:
    assert energy_of(Builder(), "") == Energy(
        condition="",
        name="as drawn",
        assumed=energy_of(Builder(), "").assumed,
    )


def test_a_converter_that_runs_with_the_engine_stands_still_at_anchor() -> None:
    b = boat({"E1": 10.0})
    b.add("battery_bank", "G2", unit_v=12.0, unit_ah=100.0, chemistry="AGM", usable_percent=50.0)
    known: dict[str, Any] = {"in_v": 12, "out_v": 12, "output_a": 30, "self_limiting": True, "efficiency": 0.9}
    b.add("dc_dc_converter", "T2", bidirectional=False, standby_w=1.0, runs_when="engine runs", **known)
    b.add("alternator", "G3", dc_v=12, rating_a=80, self_limiting=True, hot_a=60)
    cable(b, "W70", "X1.bar", "T2.in")
    cable(b, "W71", "T2.out", "G2.pos")
    cable(b, "W72", "G3.pos", "X1.bar")
    set_condition(b, "at anchor", {"E1": 24.0}, running=("E1",))
    set_condition(b, "under way", {"E1": 24.0}, running=("G3",))
    at_anchor = {bank.designation: bank for bank in energy_of(b, "at anchor").banks}
    under_way = {bank.designation: bank for bank in energy_of(b, "under way").banks}
    assert [c.designation for c in at_anchor["G2"].charging] == []
    assert [(c.designation, c.given_a) for c in under_way["G1"].charging] == [("G3", 60.0)]
