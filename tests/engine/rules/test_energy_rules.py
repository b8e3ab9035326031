"""How the rules of energy speak, and what they leave unjudged."""

from __future__ import annotations

from typing import Any

import pytest

from engine.assumptions import assumptions
from engine.books import load
from engine.builder import Builder
from engine.findings import Finding, NotJudged, Remark
from engine.rules import rules
from engine.rules.example_boats import anchored, finished, set_condition
from engine.study import Study

SPOKEN = {
    "bank-too-small": (
        "Bank G1 lasts 10 h in At anchor; 20 h are required.",
        "2880 Wh a day / 12 V = 240 Ah a day; 100 Ah used × 12 V / 2880 Wh × 24 h = 10 h",
        ("fit a bank of 400 Ah or more", "take less: E1 alone takes 2880 Wh a day", "bring more by day"),
    ),
    "recharge-too-slow": (
        "Bank G1 takes 8.3 h to refill in Alongside; 4.5 h are allowed.",
        "15 A given; 15 A of it arrive; 15 A - 0.000347 A load = 15 A into 200 Ah from 50 %: 8.29 h,"
        " tapering from 94.1 %",
        ("charge with more (now: what the sources give)", "draw less meanwhile"),
    ),
    "charge-too-high": (
        "T1 can give bank G1 120 A; it may be given 50 A.",
        "T1 120 A > 50 A",
        ("let the battery management set the current of T1", "charge with 50 A or less"),
    ),
}


def remarks(slug: str, b: Builder) -> list[Remark]:
    outcome = Study(b.installation.snapshot(), load("trade-na")).outcome(slug)
    assert outcome.fault is None
    return list(outcome.remarks)


@pytest.mark.parametrize("slug", SPOKEN)
def test_first_finding(slug: str) -> None:
    rule = rules()[slug]
    example = rule.bad[0]
    finding = next(iter(rule.check(Study(example.build().snapshot(), load(example.book)))))
    assert isinstance(finding, Finding)
    assert (finding.message, finding.arithmetic, finding.fixes) == SPOKEN[slug]


# -- bank-too-small ---------------------------------------------------------------------------------------------------
def test_a_bank_of_unknown_capacity_is_not_judged_and_the_field_is_named() -> None:
    b = anchored(60, None)
    set_condition(b, "At anchor", {"E1": 24.0}, required_hours=20.0)
    (remark,) = remarks("bank-too-small", b)
    assert isinstance(remark, NotJudged)
    assert remark.missing == ("G1.unit_ah",)


def test_neither_chemistry_nor_usable_share_names_the_chemistry() -> None:
    b = anchored(60, 200, chemistry="", usable_percent=None)
    set_condition(b, "At anchor", {"E1": 24.0}, required_hours=20.0)
    (remark,) = remarks("bank-too-small", b)
    assert isinstance(remark, NotJudged)
    assert remark.missing == ("G1.chemistry",)


@pytest.mark.parametrize(("required", "judged"), [(21.0, True), (10.0, False)])
def test_an_unknown_load_leaves_a_pass_open_but_not_a_failure(required: float, judged: bool) -> None:
    """60 W last 20 h at most, whatever the other load takes."""
    b = anchored(60)
    b.add("load", "E2", dc_v=12)
    b.run("W3", "F1.out", "E2.in", size="14 AWG", length_m=1.0)
    set_condition(b, "At anchor", {"E1": 24.0, "E2": 1.0}, required_hours=required)
    (remark,) = remarks("bank-too-small", b)
    assert isinstance(remark, Finding if judged else NotJudged)
    if isinstance(remark, NotJudged):
        assert "E2.power_w" in remark.missing


def test_no_requirement_no_remark() -> None:
    b = anchored(6000)
    set_condition(b, "At anchor", {"E1": 24.0})
    assert remarks("bank-too-small", b) == []
    assert remarks("recharge-too-slow", b) == []


# -- recharge-too-slow ------------------------------------------------------------------------------------------------
def charged(running: tuple[str, ...], charger: dict[str, Any] | None = None, required: float = 4.5) -> Builder:
    b = anchored(1, 200, unit_charge_limit_a=50.0)
    finished(b, 15, **(charger or {}))
    set_condition(b, "Alongside", {"E1": 0.1}, required_recharge_h=required, running=running)
    return b


def test_which_sources_run_is_not_recorded() -> None:
    (remark,) = remarks("recharge-too-slow", charged(()))
    assert isinstance(remark, NotJudged)
    assert remark.missing == ("Alongside.running",)


def test_nothing_that_runs_charges() -> None:
    (remark,) = remarks("recharge-too-slow", charged(("E1",)))
    assert isinstance(remark, Finding)
    assert remark.message == "Bank G1 does not refill in Alongside; 4.5 h are allowed."
    assert remark.fixes[0] == "let a charging source run in this condition"
    assert remark.figures[0].value is None


def test_a_charger_of_unknown_output_is_not_judged() -> None:
    b = charged(("G9",))
    b.set("T1", charge_a=None)
    (remark,) = remarks("recharge-too-slow", b)
    assert isinstance(remark, NotJudged)
    assert remark.missing == ("T1.charge_a",)


# -- charge-too-high --------------------------------------------------------------------------------------------------
def test_a_limit_that_is_not_recorded_is_a_gap() -> None:
    b = anchored(5, 100)
    finished(b, 500)
    (remark,) = remarks("charge-too-high", b)
    assert isinstance(remark, NotJudged)
    assert remark.missing == ("G1.unit_charge_limit_a",)


def test_an_unknown_charger_beside_one_within_the_limit_is_a_gap() -> None:
    b = anchored(5, 100, unit_charge_limit_a=50.0)
    finished(b, 40)
    b.add("alternator", "G2", dc_v=12)
    b.run("W20", "G2.pos", "F1.out", size="4 AWG", length_m=1.0)
    (remark,) = remarks("charge-too-high", b)
    assert isinstance(remark, NotJudged)
    assert remark.missing == ("G2.rating_a",)


def test_what_keeps_the_charge_within_its_limit_is_named_among_what_is_taken_for_granted() -> None:
    b = anchored(5, 100, unit_charge_limit_a=50.0, chemistry="LFP", unit_v=12.8)
    finished(b, 80, obeys_stop=True)
    study = Study(b.installation.snapshot(), load("trade-na"))
    assert remarks("charge-too-high", b) == []
    assert (
        "G1: charged within 50 A only as long as battery management holds T1 back, 80 A together with the rest"
        in assumptions(study)
    )
    b.set("T1", charge_a=50.0)
    assert not any("holds T1" in text for text in assumptions(Study(b.installation.snapshot(), load("trade-na"))))


# -- bank-overdrawn ---------------------------------------------------------------------------------------------------
def drawn(watts: float, **bank: Any) -> Builder:
    known: dict[str, Any] = {"unit_v": 12.8, "chemistry": "LFP", "internal_resistance_ohm": 0.001}
    known["unit_discharge_limit_a"] = 100.0
    b = anchored(watts, 100, **(known | bank))
    set_condition(b, "At anchor", {"E1": 1.0})
    return b


def test_one_bms_for_the_bank_takes_no_unit_out() -> None:
    """130 A of two units of 100 A: too much for one alone, unless one BMS stands for both."""
    (remark,) = remarks("bank-overdrawn", drawn(1300, parallel=2))
    assert isinstance(remark, Finding)
    assert "with one of its 2 units out" in remark.message
    both = drawn(1300, parallel=2, bms="one for the bank", bms_discharge_limit_a=200.0)
    assert remarks("bank-overdrawn", both) == []


def test_its_limit_not_recorded_is_a_gap() -> None:
    (remark,) = remarks("bank-overdrawn", drawn(10, unit_discharge_limit_a=None))
    assert isinstance(remark, NotJudged)
    assert remark.missing == ("G1.unit_discharge_limit_a",)
