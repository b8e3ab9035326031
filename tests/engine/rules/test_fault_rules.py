"""Rules about faults against published figures and in their words; each figure names its source."""

from __future__ import annotations

from typing import Any

import pytest

from engine.books import load
from engine.builder import Builder
from engine.equipment._facts import TimePoint
from engine.equipment.base import Breaking
from engine.findings import Finding, NotJudged, Remark
from engine.rules.protection import (
    cannot_break_fault,
    not_selective,
    slow_to_clear,
    source_device_too_large,
    stalled_motor_held,
)
from engine.study import Study


def remarks(rule: Any, b: Builder, book: str = "") -> list[Remark]:
    snapshot = b.installation.snapshot()
    return list(rule.check(Study(snapshot, load(book or snapshot.settings.book))))


def dc_boat(main: Breaking | None, branch: Breaking | None = None, **bank: Any) -> Builder:
    """A bank, a main fuse beside it, a branch breaker, a lamp; conductors of no length."""
    b = Builder()
    b.add("battery_bank", "G1", **({"unit_v": 12.0} | bank))
    b.add("fuse", "F1", rating_a=100, breaking=(main,) if main else ())
    b.add("circuit_breaker", "Q1", rating_a=15, poles=("+",), breaking=(branch,) if branch else ())
    b.add("load", "E1", dc_v=12, current_a=1.0)
    facts: dict[str, Any] = {"function": "dc pair", "size": "4/0 AWG", "length_m": 0.0}
    b.run("W1", "G1.pos", "F1.in", **facts)
    b.run("W2", "F1.out", "Q1.in", **facts)
    b.run("W3", "Q1.out", "E1.in", **facts)
    return b


# -- what a device breaks -------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("main_a", "branch_a", "found"),
    [(3000, 1500, []), (2999, 1500, ["F1"]), (3000, 1499, ["Q1"])],
)
def test_900_cranking_amperes_ask_3000_of_the_main_and_1500_of_a_branch(
    main_a: float, branch_a: float, found: list[str]
) -> None:
    # E-11 table V-A, secondary copy
    b = dc_boat(Breaking(main_a, 32), Breaking(branch_a, 32), chemistry="flooded", unit_ah=100.0, cca_a=900)
    made = remarks(cannot_break_fault, b)
    assert [remark.designations[0] for remark in made] == found
    for remark in made:
        assert isinstance(remark, Finding)
        assert remark.clause == "E-11 table V-A (secondary copy)"


@pytest.mark.parametrize(("breaks_a", "is_found"), [(1000, True), (2000, True), (20_000, False)])
def test_a_bank_of_six_units_of_2400_a(breaks_a: float, is_found: bool) -> None:
    # E-11, newer wording, secondary copy: 7200 A; blade fuses break 1 kA, bolt-in 2 kA at 32 V, class T 20 kA
    b = dc_boat(Breaking(breaks_a, 32), Breaking(20_000, 32), unit_v=6.0, series=2, parallel=3, short_circuit_a=2400)
    made = remarks(cannot_break_fault, b)
    assert [remark.designations for remark in made] == ([("F1",)] if is_found else [])
    if is_found:
        assert isinstance(made[0], Finding)
        assert "at 12 V DC" in made[0].message
        assert made[0].figures[0].value == pytest.approx(7200, rel=5e-3)


def test_a_capacity_at_lower_volts_counts_only_against_the_device() -> None:
    facts: dict[str, Any] = {"unit_v": 24.0, "short_circuit_a": 3000.0}
    enough = remarks(cannot_break_fault, dc_boat(Breaking(5000, 14), Breaking(5000, 32), **facts))
    assert [type(remark) for remark in enough] == [NotJudged]
    assert enough[0].designations == ("F1",)
    too_little = remarks(cannot_break_fault, dc_boat(Breaking(2000, 14), Breaking(5000, 32), **facts))
    assert isinstance(too_little[0], Finding)
    assert "F1 breaks 2000 A at 14 V DC" in too_little[0].message
    assert "at 24 V DC" in too_little[0].fixes[0]
    assert len(too_little) == 1


def test_what_rests_on_a_method_says_so_and_how_to_do_better() -> None:
    b = dc_boat(Breaking(500, 32), Breaking(5000, 32), chemistry="AGM", unit_ah=100.0)
    (finding,) = remarks(cannot_break_fault, b)
    assert isinstance(finding, Finding)
    assert "What G1 gives is not recorded and taken by the usual figures of its kind." in finding.message
    assert "record the short-circuit current of G1" in finding.fixes
    assert "AGM" in finding.arithmetic


def test_an_upper_bound_condemns_nobody() -> None:
    b = dc_boat(Breaking(1000, 32), Breaking(5000, 32), short_circuit_a=3000.0)
    b.add("fuse", "F2", rating_a=10, breaking=(Breaking(1000, 32),))
    b.run("W4", "F1.out", "F2.in", function="dc pair", size="", length_m=3.0)
    b.run("W5", "F2.out", "E1.in", function="dc pair", size="14 AWG", length_m=3.0)
    made = remarks(cannot_break_fault, b)
    assert [(type(remark), remark.designations) for remark in made] == [(Finding, ("F1",)), (NotJudged, ("F2",))]
    assert isinstance(made[1], NotJudged)
    assert made[1].missing == ("W4.size",)


# -- in time --------------------------------------------------------------------------------------------------------
def run_behind(size: str, **fuse: Any) -> Builder:
    """A bank of 5000 A, a fuse, 16 mm2 or what `size` says to a load."""
    b = Builder()
    b.place("cabin", "accommodation", 20)
    b.add("battery_bank", "G1", unit_v=12.0, short_circuit_a=5000.0)
    b.add("fuse", "F1", **({"rating_a": 16, "fuse_class": "other"} | fuse))
    b.add("load", "E1", dc_v=12, current_a=1.0)
    facts: dict[str, Any] = {"insulation_c": 105.0, "bundle": 1, "places": ("cabin",), "function": "dc pair"}
    b.run("W1", "G1.pos", "F1.in", size="4/0 AWG", length_m=0.0, **facts)
    b.run("W2", "F1.out", "E1.in", size=size, length_m=0.5, insulation="PVC", **facts)
    return b


@pytest.mark.parametrize(("size", "is_found"), [("4 mm2", True), ("6 mm2", True), ("10 mm2", False)])
def test_2500_a_for_a_tenth_of_a_second_need_6_87_mm2(size: str, is_found: bool) -> None:
    # published worked example on IEC 60364, secondary copy, recomputed: 625 000 A2s need 6.87 mm2 of copper in PVC
    points = (TimePoint(multiple=2, fastest_s=0.01, slowest_s=0.1),)
    made = remarks(slow_to_clear, run_behind(size, time_points=points, let_through_a2s=2500**2 * 0.1))
    assert [remark.designations for remark in made] == ([("W2", "F1")] if is_found else [])
    assert all(isinstance(remark, Finding) and remark.word == "warning" for remark in made)


@pytest.mark.parametrize(("seconds", "is_found"), [(0.135, False), (0.136, True)])
def test_16_mm2_withstands_5_ka_for_0_135_s(seconds: float, is_found: bool) -> None:
    # IEC 60364, secondary copy: k2S2 of 16 mm2 of copper in PVC, 3.3856e6 A2s
    points = (TimePoint(multiple=2, fastest_s=0.01, slowest_s=0.1),)
    made = remarks(slow_to_clear, run_behind("16 mm2", time_points=points, let_through_a2s=5000**2 * seconds))
    assert bool(made) == is_found


def test_energy_of_the_smallest_fault_is_that_of_the_latest_opening() -> None:
    # 12 V behind 2.4 mohm (nothing else but the run): some 1.7 kA; 0.2 s of it is above what 4 mm2 withstands
    late = (TimePoint(multiple=2, fastest_s=0.01, slowest_s=0.4), TimePoint(multiple=200, slowest_s=0.39))
    (finding,) = remarks(slow_to_clear, run_behind("4 mm2", time_points=late))
    assert isinstance(finding, Finding)
    assert finding.word == "warning"
    assert "withstands 211600 A²s" in finding.message
    assert "k²S² = (115 × 4 mm²)²" in finding.arithmetic
    soon = (TimePoint(multiple=2, fastest_s=0.01, slowest_s=0.4), TimePoint(multiple=50, slowest_s=0.01))
    assert remarks(slow_to_clear, run_behind("4 mm2", time_points=soon)) == []


# -- machines -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("fuse_a", "is_found"), [(110, False), (125, True)])
def test_an_alternator_of_100_a(fuse_a: float, is_found: bool) -> None:
    # 33 CFR 183.460(b), 2015 edition: at most 120 % of its rated current at 60 degC
    b = Builder(book="us-33cfr183", engine_fuel="petrol")
    b.add("alternator", "G2", dc_v=12, rating_a=100, self_limiting=False)
    b.add("fuse", "F1", rating_a=fuse_a)
    b.add("battery_bank", "G1", unit_v=12)
    b.run("W1", "G2.pos", "F1.in", function="dc positive")
    b.run("W2", "F1.out", "G1.pos", function="dc positive")
    made = remarks(source_device_too_large, b)
    assert bool(made) == is_found
    if is_found:
        assert isinstance(made[0], Finding)
        assert made[0].arithmetic == "1.2 × 100 A = 120 A"


@pytest.mark.parametrize(("breaker_a", "is_found"), [(45, False), (50, True)])
def test_the_generator_of_a_fishing_vessel(breaker_a: float, is_found: bool) -> None:
    # 46 CFR 28.365(a), 2015 edition: 10 kW at 240 V, power factor 1: 41.7 A, at most 115 %, 47.9 A
    b = Builder(use="fishing")
    b.add("generator", "G1", power_va=10_000, ac_v=240, self_limiting=False, breaker_a=breaker_a)
    b.add("load", "E1", ac_v=240, power_w=100, power_factor=1.0)
    b.run("W1", "G1.out", "E1.in", function="ac")
    made = remarks(source_device_too_large, b)
    assert bool(made) == is_found
    if is_found:
        assert isinstance(made[0], Finding)
        assert made[0].figures[1].value == pytest.approx(47.9, abs=0.05)
        assert made[0].clause == "46 CFR 28.365(a), 2015 edition"


# -- selectivity and motors -----------------------------------------------------------------------------------------
def test_what_is_fed_from_elsewhere_too_is_no_matter_of_selectivity() -> None:
    b = Builder()
    b.add("bus_bar", "X1")
    for name, short in (("1", 500.0), ("2", 5000.0)):
        b.add("battery_bank", f"G{name}", unit_v=12.0, short_circuit_a=short)
        b.add("fuse", f"F{name}", rating_a=50, fuse_class="blade ISO 8820-3")
        b.run(f"W{name}", f"G{name}.pos", f"F{name}.in", function="dc pair", size="4/0 AWG", length_m=0.1)
        b.run(f"W{name}b", f"F{name}.out", "X1.bar", function="dc pair", size="4/0 AWG", length_m=0.1)
    b.add("fuse", "F3", rating_a=40, fuse_class="blade ISO 8820-3")
    b.add("load", "E1", dc_v=12, current_a=1.0)
    b.run("W3", "X1.bar", "F3.in", function="dc pair", size="4/0 AWG", length_m=0.1)
    b.run("W4", "F3.out", "E1.in", function="dc pair", size="10 AWG", length_m=1)
    pairs = [remark.designations for remark in remarks(not_selective, b)]
    assert ("F1", "F3") not in pairs


def test_gaps_of_one_question_are_told_together() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.0, short_circuit_a=1000.0)
    b.add("bus_bar", "X1")
    b.run("W1", "G1.pos", "X1.bar", function="dc pair", size="4/0 AWG", length_m=0.1)
    for number in (1, 2, 3):
        b.add("fuse", f"F{number}", rating_a=10)
        b.add("motor", f"M{number}", dc_v=12, running_a=3, stalled_a=12, thermal_protection=False)
        b.run(f"A{number}", "X1.bar", f"F{number}.in", function="dc pair", size="14 AWG", length_m=0.1)
        b.run(f"B{number}", f"F{number}.out", f"M{number}.in", function="dc pair", size="14 AWG", length_m=3)
    (gap,) = remarks(cannot_break_fault, b)
    assert gap.designations == ("F1", "F2", "F3")
    motors = remarks(stalled_motor_held, b)
    assert [remark.designations for remark in motors] == [("M1",), ("M2",), ("M3",)]
    assert all(isinstance(remark, NotJudged) and remark.missing[0].endswith(".fuse_class") for remark in motors)
