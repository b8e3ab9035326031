"""What each charging source gives, and what reaches the bank. Figures are worked out beside each check."""

from __future__ import annotations

import math
from typing import Any

import msgspec
import pytest

from engine.books import load
from engine.builder import Builder
from engine.circuit.energy.results import BankEnergy, Charging
from engine.edits.edit import Put, apply
from engine.equipment._facts import Yield
from engine.rules.example_boats import set_condition
from engine.study import Study


def cable(b: Builder, name: str, start: str, end: str, **facts: Any) -> None:
    b.run(name, start, end, size="4/0 AWG", length_m=0.3, **({"function": "dc pair"} | facts))


def told(b: Builder, condition: str = "c1") -> dict[str, BankEnergy]:
    snapshot = b.installation.snapshot()
    study = Study(snapshot, load("trade-na"))
    made = study.energy(next(c for c, r in snapshot.conditions.items() if r.name == condition))
    return {bank.designation: bank for bank in made.banks}


def charging(bank: BankEnergy) -> dict[str, Charging]:
    return {one.designation: one for one in bank.charging}


def boat(*, load_w: float = 0.0, **bank: Any) -> Builder:
    """A bank of 12 V on a bus; the load takes `load_w` all day."""
    b = Builder()
    known: dict[str, Any] = {"unit_v": 12.0, "unit_ah": 400.0, "chemistry": "AGM", "usable_percent": 50.0}
    b.add("battery_bank", "G1", **(known | bank))
    b.add("bus_bar", "X1")
    b.add("load", "E1", dc_v=12, power_w=load_w or 1.0)
    cable(b, "W0", "G1.pos", "X1.bar")
    cable(b, "W1", "X1.bar", "E1.in")
    return b


def ashore(b: Builder, breaker_a: float, chargers: dict[str, float], used_w: float = 0.0, bus: str = "X1") -> None:
    """A 230 V supply, other loads that draw `used_w` all day, chargers of 14.2 V on it."""
    b.add("shore_supply", "G9", ac_v=230, breaker_a=breaker_a, frequency_hz=50)
    if used_w:
        b.add("load", "A1", ac_v=230, power_w=used_w, power_factor=1.0)
        cable(b, "W50", "G9.out", "A1.in", function="ac")
    for name, amps in chargers.items():
        known: dict[str, Any] = {"efficiency": 0.88, "power_factor": 0.95, "charge_v": 14.2}
        b.add("charger", name, dc_v=12, ac_v=230, charge_a=amps, self_limiting=True, **known)
        cable(b, f"W5{name}", "G9.out", f"{name}.ac", function="ac")
        cable(b, f"W6{name}", f"{name}.dc", f"{bus}.bar")


# -- alternators ------------------------------------------------------------------------------------------------------
def test_a_hot_alternator_less_the_load_into_400_ah() -> None:
    """120 A x 0.70 = 84 A, less 12 A = 72 A: 50 % to full in 4.8890 h, tapering from 84.55 %."""
    b = boat(load_w=144.0)
    b.add("alternator", "G2", dc_v=12, rating_a=120, self_limiting=True)
    cable(b, "W2", "G2.pos", "X1.bar")
    set_condition(b, "c1", {"E1": 24.0}, running=("G2",))
    bank = told(b)["G1"]
    assert charging(bank)["G2"].given_a == pytest.approx(84)
    assert bank.charge_a == pytest.approx(72)
    assert bank.recharge_h == pytest.approx(4.8890, abs=5e-5)
    assert bank.recharge_curve[0] == (0.0, 0.5)
    assert bank.recharge_curve[-1] == pytest.approx((4.8890, 1.0), abs=5e-5)
    assert bank.is_kept
    assert any("tapering from 84.6 %" in line or "tapering from 84.5 %" in line for line in bank.arithmetic)
    assert any("hot: 120 A × 0.7" in text for text in bank.assumed)


def test_the_hot_output_of_the_condition_counts_before_all_others() -> None:
    b = boat()
    b.add("alternator", "G2", dc_v=12, rating_a=120, self_limiting=True, hot_a=90)
    cable(b, "W2", "G2.pos", "X1.bar")
    set_condition(b, "c1", {"E1": 1.0}, running=("G2",))
    assert charging(told(b)["G1"])["G2"].given_a == 90
    assert charging(told(b)["G1"])["G2"].why == "hot output"


def test_what_does_not_run_does_not_charge() -> None:
    b = boat()
    b.add("alternator", "G2", dc_v=12, rating_a=120, self_limiting=True)
    cable(b, "W2", "G2.pos", "X1.bar")
    set_condition(b, "c1", {"E1": 1.0}, running=("E1",))
    bank = told(b)["G1"]
    assert (bank.charging, bank.recharge_h, bank.is_kept) == ((), None, False)


def test_an_alternator_without_a_rating_names_the_field() -> None:
    b = boat()
    b.add("alternator", "G2", dc_v=12)
    cable(b, "W2", "G2.pos", "X1.bar")
    set_condition(b, "c1", {"E1": 1.0}, running=("G2",))
    bank = told(b)["G1"]
    assert "G2.rating_a" in bank.missing_recharge
    assert bank.missing == ()


# -- shore ------------------------------------------------------------------------------------------------------------
def test_shore_of_16_a_feeds_a_charger_of_80_a_in_full() -> None:
    """3680 VA - 1500 = 2180; 2180 x 0.95 x 0.88 / 14.2 = 128.3 A: no limit to 80 A. 80 - 8 = 72, bank 0.20 C = 44 A.

    From 40 % to full: 220 (S_t - 0.4) / (0.87 x 44) + taper, with S_t = 1 - (0.2 - 0.01) / 0.9 = 78.9 %.
    """
    b = boat(load_w=96.0, unit_ah=220.0, chemistry="flooded", usable_percent=60.0)
    b.set("G1", charge_v=14.2)
    ashore(b, 16, {"T1": 80.0}, used_w=1500.0)
    set_condition(b, "c1", {"E1": 24.0, "A1": 24.0}, running=("G9",))
    bank = told(b)["G1"]
    assert charging(bank)["T1"].given_a == 80
    assert bank.charge_a == pytest.approx(44)
    assert bank.charge_limit == "the bank: 44 A"
    turn = 1 - 0.19 / 0.9
    assert bank.from_soc == pytest.approx(0.4)
    assert [soc for _h, soc in bank.recharge_curve if soc <= turn]
    assert bank.recharge_h is not None
    assert bank.recharge_h > 3.1202  # to 90 %: the worked figure of the closed form


def test_a_pedestal_of_6_a_leaves_14_4_a() -> None:
    """1380 - 1000 = 380 VA x 0.95 x 0.88 / 14.2 = 22.37 A, less 8 A of load = 14.37 A."""
    b = boat(load_w=96.0, unit_ah=220.0, chemistry="flooded", usable_percent=60.0)
    b.set("G1", charge_v=14.2)
    ashore(b, 6, {"T1": 80.0}, used_w=1000.0)
    set_condition(b, "c1", {"E1": 24.0, "A1": 24.0}, running=("G9",))
    bank = told(b)["G1"]
    assert charging(bank)["T1"].given_a == pytest.approx(22.37, abs=0.005)
    assert bank.charge_a == pytest.approx(14.37, abs=0.005)
    assert "380 VA left of 1380 VA of G9" in charging(bank)["T1"].why


def test_two_chargers_share_what_a_supply_leaves() -> None:
    """22.37 A together whatever stands on it: 60 A and 20 A part it three to one."""
    b = boat(unit_ah=1000.0)
    b.set("G1", charge_v=14.2)
    ashore(b, 6, {"T1": 60.0, "T2": 20.0}, used_w=1000.0)
    set_condition(b, "c1", {"E1": 1.0, "A1": 24.0}, running=("G9",))
    one = charging(told(b)["G1"])
    assert one["T1"].given_a == pytest.approx(380 * 0.95 * 0.88 / 14.2 * 0.75)
    assert one["T2"].given_a == pytest.approx(380 * 0.95 * 0.88 / 14.2 * 0.25)


def test_other_loads_count_with_their_mean_over_the_day() -> None:
    """1000 W for 12 h are 500 VA of 1380: 880 VA are left, 51.8 A."""
    b = boat(unit_ah=1000.0)
    b.set("G1", charge_v=14.2)
    ashore(b, 6, {"T1": 80.0}, used_w=1000.0)
    set_condition(b, "c1", {"E1": 1.0, "A1": 12.0}, running=("G9",))
    assert charging(told(b)["G1"])["T1"].given_a == pytest.approx(880 * 0.95 * 0.88 / 14.2)


def test_a_charger_whose_efficiency_is_not_recorded_is_flagged_or_named() -> None:
    for breaker_a, missing in ((16, ()), (3, ("T1.efficiency",))):
        b = boat(unit_ah=1000.0)
        ashore(b, breaker_a, {"T1": 80.0})
        b.set("T1", efficiency=None)
        set_condition(b, "c1", {"E1": 1.0}, running=("G9",))
        bank = told(b)["G1"]
        assert charging(bank)["T1"].missing == missing
        assert any("T1" in text for text in bank.assumed) == (not missing)


def test_a_charger_of_two_outputs_parts_its_rating_by_what_the_banks_need() -> None:
    """Banks of 400 and 100 Ah at 50 %: of 50 A, 40 A and 10 A."""
    b = boat()
    b.add("battery_bank", "G2", unit_v=12.0, unit_ah=100.0, chemistry="AGM", usable_percent=50.0)
    ashore(b, 16, {"T1": 50.0})
    cable(b, "W70", "T1.dc2", "G2.pos")
    set_condition(b, "c1", {"E1": 1.0}, running=("G9",))
    banks = told(b)
    assert charging(banks["G1"])["T1"].given_a == pytest.approx(40)
    assert charging(banks["G2"])["T1"].given_a == pytest.approx(10)


# -- other banks ------------------------------------------------------------------------------------------------------
def between(b: Builder, name: str, amps: float, runs_when: str = "") -> None:
    known: dict[str, Any] = {"in_v": 12, "out_v": 12, "self_limiting": True, "efficiency": 1.0, "standby_w": 0.0}
    b.add("dc_dc_converter", name, output_a=amps, bidirectional=False, runs_when=runs_when, **known)
    cable(b, f"W7{name}", "G3.pos", f"{name}.in")
    cable(b, f"W8{name}", f"{name}.out", "X1.bar")


def with_start_bank(
    hot_a: float, amps: tuple[float, ...] = (40.0, 40.0), runs_when: str = "", ah: float = 80
) -> Builder:
    """A house bank of 400 Ah charged from a start bank of 80 Ah that an alternator charges."""
    b = boat()
    b.add("battery_bank", "G3", unit_v=12.0, unit_ah=ah, chemistry="AGM", usable_percent=50.0)
    b.add("alternator", "G2", dc_v=12, rating_a=150, self_limiting=True, hot_a=hot_a)
    cable(b, "W3", "G2.pos", "G3.pos")
    for number, each in enumerate(amps, start=1):
        between(b, f"T{number}", each, runs_when)
    return b


def test_two_converters_of_40_a_limit_an_alternator_of_97_5_a() -> None:
    b = with_start_bank(97.5)
    set_condition(b, "c1", {"E1": 1.0}, running=("G2",))
    one = charging(told(b)["G1"])
    assert {c.given_a for c in one.values()} == {40.0}
    assert {c.from_bank != "" for c in one.values()} == {True}


def test_an_alternator_of_30_a_limits_two_converters_of_40_a() -> None:
    b = with_start_bank(30.0)
    set_condition(b, "c1", {"E1": 1.0}, running=("G2",))
    bank = told(b)["G1"]
    assert {c.given_a for c in bank.charging} == {15.0}
    assert not bank.is_kept  # another bank's charge keeps nothing


def test_a_start_bank_that_nothing_charges_fills_no_house_bank() -> None:
    b = with_start_bank(30.0)
    set_condition(b, "c1", {"E1": 1.0}, running=("E1",))
    assert {c.given_a for c in told(b)["G1"].charging} == {0.0}


def test_a_larger_bank_refills_a_smaller_one_at_the_converters_rating() -> None:
    b = with_start_bank(30.0, (40.0,), ah=1000)
    set_condition(b, "c1", {"E1": 1.0}, running=("E1",))
    (one,) = told(b)["G1"].charging
    assert one.given_a == 40.0
    assert one.why == "its rating; G3 gives it"


def test_one_that_runs_while_its_input_is_charged_gives_no_more_than_that() -> None:
    b = with_start_bank(30.0, (40.0,), "input is charging", ah=1000)
    set_condition(b, "c1", {"E1": 1.0}, running=("G2",))
    set_condition(b, "c2", {"E1": 1.0}, running=("E1",))
    (one,) = told(b)["G1"].charging
    assert one.given_a == 30.0
    assert told(b, "c2")["G1"].charging == ()


def test_a_house_bank_that_makes_good_anothers_loads_says_so() -> None:
    b = with_start_bank(30.0, (40.0,), ah=1000)
    set_condition(b, "c1", {"E1": 24.0}, running=("E1",))
    snapshot = b.installation.snapshot()
    (condition,) = snapshot.conditions
    assert "G1: what T1 passes on to it does not count as a load of G3" in (
        Study(snapshot, load("trade-na")).energy(condition).assumed
    )


def test_a_charger_on_the_inverter_of_its_own_bank_gives_nothing_and_is_told() -> None:
    b = boat()
    b.add("inverter", "T1", dc_v=12, ac_v=230, efficiency=0.9, standby_w=0.0, output_limit_a=20)
    b.add("charger", "T2", dc_v=12, ac_v=230, charge_a=30, self_limiting=True, efficiency=0.9, power_factor=1.0)
    cable(b, "W2", "X1.bar", "T1.dc")
    cable(b, "W3", "T1.ac_out", "T2.ac", function="ac")
    cable(b, "W4", "T2.dc", "X1.bar")
    set_condition(b, "c1", {"E1": 24.0}, running=("E1",))
    assert told(b)["G1"].charging == ()
    snapshot = b.installation.snapshot()
    (condition,) = snapshot.conditions
    assumed = Study(snapshot, load("trade-na")).energy(condition).assumed
    assert "T2 lives on G1 that it charges: counted neither as a load nor as a charge" in assumed


def test_a_charger_in_a_circle_takes_no_part_of_what_is_passed_on() -> None:
    b = with_start_bank(30.0, (40.0,))
    b.add("inverter", "T8", dc_v=12, ac_v=230, efficiency=0.9, standby_w=0.0, output_limit_a=20)
    b.add("charger", "T9", dc_v=12, ac_v=230, charge_a=40, self_limiting=True, efficiency=0.9, power_factor=1.0)
    cable(b, "W2", "G3.pos", "T8.dc")
    cable(b, "W5", "T8.ac_out", "T9.ac", function="ac")
    cable(b, "W6", "T9.dc", "G3.pos")
    set_condition(b, "c1", {"E1": 1.0}, running=("G2",))
    (one,) = told(b)["G1"].charging
    assert one.given_a == pytest.approx(30.0)


def test_loads_that_take_all_leave_nothing() -> None:
    b = boat(load_w=1200.0)
    b.add("alternator", "G2", dc_v=12, rating_a=120, self_limiting=True, hot_a=80)
    cable(b, "W2", "G2.pos", "X1.bar")
    set_condition(b, "c1", {"E1": 24.0}, running=("G2",))
    bank = told(b)["G1"]
    assert (bank.charge_a, bank.charge_limit, bank.recharge_h) == (0.0, "the loads take it all", math.inf)
    assert bank.arithmetic[-1] == "80 A - 100 A load: nothing is left to charge with"
    assert not bank.is_kept


# -- sun and wind -----------------------------------------------------------------------------------------------------
def sunny(b: Builder, arrays: tuple[str, ...] = ("G5",), controllers: tuple[str, ...] = ("T4",), **facts: Any) -> None:
    for name in controllers:
        known: dict[str, Any] = {"charge_a": 40, "efficiency": 1.0, "method": "tracking", "standby_w": 0.0}
        b.add("solar_controller", name, dc_v=12, **(known | facts))
        cable(b, f"W9{name}", f"{name}.dc", "X1.bar")
    for array in arrays:
        b.add("solar_array", array, module_w=200.0, series=1, strings=2, module_power_v=20.0, module_power_a=10.0)
        for name in controllers:
            cable(b, f"W9{array}{name}", f"{array}.pos", f"{name}.pv")


def test_arrays_on_one_controller_add_up() -> None:
    """2 x 400 W x 4 h x 0.7 = 2240 Wh."""
    b = boat()
    sunny(b, ("G5", "G6"), charge_a=100)
    set_condition(b, "c1", {"E1": 1.0}, peak_sun_h=4.0)
    assert told(b)["G1"].source_wh == pytest.approx(2240)


def test_controllers_on_one_array_share_it() -> None:
    b = boat()
    sunny(b, controllers=("T4", "T5"))
    set_condition(b, "c1", {"E1": 1.0}, peak_sun_h=4.0)
    assert told(b)["G1"].source_wh == pytest.approx(1120)


def test_a_small_controller_limits_the_sun() -> None:
    """10 A x 12 V x 4 h = 480 Wh instead of 1120."""
    b = boat()
    sunny(b, charge_a=10)
    set_condition(b, "c1", {"E1": 1.0}, peak_sun_h=4.0)
    bank = told(b)["G1"]
    assert bank.source_wh == pytest.approx(480)
    assert "no more than its rating of 10 A" in bank.charging[0].why


def test_recorded_yields_count_before_peak_sun_hours() -> None:
    b = boat()
    sunny(b)
    set_condition(b, "c1", {"E1": 24.0}, peak_sun_h=4.0)
    snapshot = b.installation.snapshot()
    array = next(i for i, r in snapshot.equipment.items() if r.designation == "G5")
    (condition,) = snapshot.conditions
    record = msgspec.structs.replace(snapshot.equipment[array], yields=(Yield(condition=condition, wh_a_day=900.0),))
    apply(b.installation, Put("equipment", array, record))
    assert told(b)["G1"].source_wh == pytest.approx(900)


def test_sun_that_is_not_recorded_is_named_and_not_counted() -> None:
    b = boat()
    sunny(b)
    set_condition(b, "c1", {"E1": 24.0})
    bank = told(b)["G1"]
    assert bank.missing_weather == ("c1.peak_sun_h",)
    assert bank.source_wh == 0
    assert bank.missing == ()
    assert bank.autonomy_h is not None


# -- the way to the bank ----------------------------------------------------------------------------------------------
def big(bus_fuse_a: float, bus_a: float | None = None, second: bool = False) -> BankEnergy:
    """560 Ah of LFP, 20 % left: 80 A, 120 A and 25.15 A of chargers, a load of 15 A, a fuse before the bank."""
    b = Builder()
    known: dict[str, Any] = {"chemistry": "LFP", "usable_percent": 80.0, "unit_charge_limit_a": 280.0}
    b.add("battery_bank", "G1", unit_v=12.8, unit_ah=560.0, **known)
    b.add("fuse", "F1", rating_a=bus_fuse_a)
    b.add("bus_bar", "X1", rating_a=bus_a)
    b.add("load", "E1", dc_v=12, power_w=15 * 12.8)
    cable(b, "W0", "G1.pos", "F1.in")
    cable(b, "W1", "F1.out", "X1.bar")
    cable(b, "W2", "X1.bar", "E1.in")
    ashore(b, 63, {"T1": 80.0, "T2": 120.0, "T3": 25.15} | ({"T4": 120.0} if second else {}))
    set_condition(b, "c1", {"E1": 24.0}, running=("G9",))
    return told(b)["G1"]


def test_a_fuse_of_250_a_before_the_bank_passes_200_a() -> None:
    """80 + 120 + 25.15 = 225.15; 250 x 0.8 = 200; - 15 = 185 A into 560 Ah from 20 %: full in 2.6816 h."""
    bank = big(250)
    assert bank.charge_limit == "F1: 200 A"
    assert bank.charge_a == pytest.approx(185)
    assert bank.recharge_h == pytest.approx(2.6816, abs=5e-5)


def test_with_a_larger_fuse_and_another_charger_the_bank_limits() -> None:
    """345.15 A - 15 = 330 A, the bank takes 280."""
    bank = big(500, second=True)
    assert bank.charge_a == pytest.approx(280)
    assert bank.charge_limit == "the bank: 280 A"


def test_a_bus_limits_what_crosses_it() -> None:
    bank = big(500, bus_a=150)
    assert bank.charge_limit == "X1: 150 A"
    assert bank.charge_a == pytest.approx(135)


def test_a_switch_limits_what_passes_it() -> None:
    b = boat()
    b.add("alternator", "G2", dc_v=12, rating_a=150, self_limiting=True, hot_a=100)
    b.add("battery_switch", "Q1", continuous_a=75, in_position="closed")
    cable(b, "W2", "G2.pos", "Q1.in")
    cable(b, "W3", "Q1.out", "X1.bar")
    set_condition(b, "c1", {"E1": 0.1}, running=("G2",))
    assert told(b)["G1"].charge_limit == "Q1: 75 A"


def test_two_ways_side_by_side_add_up() -> None:
    b = boat(unit_ah=1000.0)
    b.add("alternator", "G2", dc_v=12, rating_a=150, self_limiting=True, hot_a=150)
    for number in (1, 2):
        b.add("fuse", f"F{number}", rating_a=80)
        cable(b, f"W2{number}", "G2.pos", f"F{number}.in")
        cable(b, f"W3{number}", f"F{number}.out", "X1.bar")
    set_condition(b, "c1", {"E1": 0.0}, running=("G2",))
    assert told(b)["G1"].charge_a == pytest.approx(128)


def test_the_banks_management_limits_its_charge() -> None:
    b = boat(chemistry="LFP", unit_charge_limit_a=200.0)
    b.add("alternator", "G2", dc_v=12, rating_a=150, self_limiting=True, hot_a=150)
    cable(b, "W2", "G2.pos", "X1.bar")
    b.add("battery_management", "A9", charge_limit_a=60.0)
    snapshot = b.installation.snapshot()
    ids = {record.designation: item for item, record in snapshot.equipment.items()}
    apply(
        b.installation,
        Put("equipment", ids["A9"], msgspec.structs.replace(snapshot.equipment[ids["A9"]], batteries=(ids["G1"],))),
    )
    set_condition(b, "c1", {"E1": 0.1}, running=("G2",))
    assert told(b)["G1"].charge_a == pytest.approx(60)
