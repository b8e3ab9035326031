"""Earths and returns that are opened, bypasses, second supplies, energy in a circle: what a user is told of boats."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from engine.books import load
from engine.builder import Builder
from engine.check import CheckResult, check
from engine.files import drawing
from engine.findings import Finding, NotJudged, Passed
from engine.rules.protection import earth_interrupted
from engine.rules.safety._boats import alongside, circuit
from engine.rules.transfer import bypass_incomplete, bypass_overloads, charging_loop, no_alternative
from engine.study import Study

SAMPLES = Path(__file__).parents[3] / "samples"


def judged(b: Builder, *slugs: str, book: str = "trade-na") -> CheckResult:
    return check(b.installation.snapshot(), book, list(slugs), proving=True)


def plus(b: Builder, name: str, start: str, end: str, **facts: Any) -> None:
    b.run(name, start, end, **({"function": "dc positive", "size": "6 AWG", "length_m": 1.0} | facts))


# -- protective earth -----------------------------------------------------------------------------------------------
def test_one_danger_for_a_breaker_that_opens_the_earth_of_three_heaters() -> None:
    """E-11 11.5.5.5, secondary copy: neither switch nor overcurrent device in the AC grounding conductor."""
    b = alongside()
    b.add("circuit_breaker", "Q5", rating_a=30, poles=("L1", "N", "PE"))
    b.add("bus_bar", "X5", rating_a=50)
    b.run("W20", "X2.bar", "Q5.in", function="ac", size="10 AWG", length_m=0.2)
    b.run("W21", "Q5.out", "X5.bar", function="ac", size="10 AWG", length_m=0.2)
    for name in ("E1", "E2", "E3"):
        circuit(b, "load", name, "X5.bar")
    result = judged(b, "earth-interrupted", "no-protective-earth", "poles-open-apart")
    assert [(f.rule, f.word, f.designations) for f in result.findings] == [("earth-interrupted", "danger", ("Q5",))]
    assert result.findings[0].clause == "E-11 11.5.5.5 (secondary copy)"
    assert result.findings[0].positions == ((result.findings[0].ids[0], "open"),)


def _isolator(**facts: Any) -> Builder:
    b = alongside(ground=False)
    circuit(b, "load", "E1")
    b.add("galvanic_isolator", "R1", **facts)
    b.add("earth_point", "X9", form="ground plate")
    b.run("W8", "X2.bar", "R1.in", function="earth", size="8 AWG", length_m=0.5)
    b.run("W9", "R1.out", "X9.at", function="earth", size="8 AWG", length_m=1.0)
    return b


def test_whether_an_isolator_fails_open_must_be_known() -> None:
    result = judged(_isolator(rating_a=30), "earth-interrupted")
    assert not result.findings
    assert [gap.missing for gap in result.not_judged] == [("R1.fail_safe",)]


@pytest.mark.parametrize(("amps", "rules"), [(30, []), (15, ["equipment-over-protected"])])
def test_an_isolator_below_the_breaker_ashore_is_told_once(amps: float, rules: list[str]) -> None:
    result = judged(_isolator(rating_a=amps, fail_safe=True), "earth-interrupted", "equipment-over-protected")
    assert [f.rule for f in result.findings if "R1" in f.designations] == rules


def test_a_relay_that_bonds_the_neutral_opens_no_earth() -> None:
    b = alongside()
    b.add("inverter_charger", "T1", ac_v=120, dc_v=12, bonds_neutral=True)
    b.run("W20", "X2.bar", "T1.ac_in", function="ac", size="10 AWG", length_m=1.0)
    circuit(b, "load", "E1", "T1.ac_out")
    assert not judged(b, "earth-interrupted").findings


def test_a_changeover_of_every_conductor_opens_the_earth_too() -> None:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("shore_inlet", "X2", ac_v=120)
    b.add("changeover", "S1", poles=("L1", "N", "PE"))
    b.add("load", "E1", ac_v=120, power_w=500)
    for name, start, end in (("W1", "X1.out", "S1.one"), ("W2", "X2.out", "S1.two"), ("W3", "S1.common", "E1.in")):
        b.run(name, start, end, function="ac", size="10 AWG", length_m=1.0)
    (found,) = earth_interrupted.check(Study(b.installation.snapshot(), load("trade-na")))
    assert isinstance(found, Finding)
    assert found.condition == "S1 in 0 or 2"


# -- returns --------------------------------------------------------------------------------------------------------
def _return(**engine: Any) -> Builder:
    b = Builder(book="us-46cfr")
    b.add("battery_bank", "G1", unit_v=12.0)
    b.add("battery_switch", "Q1", poles=("-",))
    b.add("load", "E1", dc_v=12, current_a=5.0)
    plus(b, "W1", "G1.pos", "E1.in")
    plus(b, "W2", "G1.neg", "Q1.in", function="dc negative")
    plus(b, "W3", "Q1.out", "E1.neg", function="dc negative")
    if engine:
        b.add("engine", "M1", **engine)
        plus(b, "W4", "G1.neg", "M1.block", function="dc negative")
    return b


def test_the_law_wants_a_grounded_conductor_opened_with_the_others() -> None:
    """46 CFR 183.380(b), 2015 edition."""
    (found,) = judged(_return(return_path="block"), "return-interrupted", book="us-46cfr").findings
    assert (found.word, found.designations, found.clause) == ("warning", ("Q1",), "46 CFR 183.380(b)")
    assert found.condition == "Q1 open"


def test_whether_a_return_is_earthed_is_not_guessed() -> None:
    (gap,) = judged(_return(return_path=""), "return-interrupted").not_judged
    assert gap.missing == ("M1.return_path",)
    (gap,) = judged(_return(), "return-interrupted").not_judged
    assert "no ground is drawn" in gap.why
    isolated = judged(_return(return_path="isolated"), "return-interrupted")
    assert (isolated.findings, isolated.not_judged) == ((), ())


# -- bypasses -------------------------------------------------------------------------------------------------------
def test_the_bypass_of_the_ketch_takes_the_inverter_out_on_both_sides() -> None:
    """Her slide lets the bypass close only when both inverter breakers are open."""
    snapshot = drawing.load(SAMPLES / "ketch" / "ketch.linewright").installation.snapshot()
    study = Study(snapshot, load("trade-na"), proving=True)
    (one,) = study.bypasses
    assert [(snapshot.name(item), every) for item, every in one.positions] == [("Q13", ("closed",))]
    stands = {snapshot.name(item): position for item, position in one.out or ()}
    assert (stands["Q11"], stands["Q12"], stands["Q13"]) == ("open", "open", "closed")
    (passed,) = bypass_incomplete.check(study)
    assert isinstance(passed, Passed)


def test_a_bypass_that_a_search_cannot_decide_is_not_passed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("engine.circuit.switching.bypasses.TRIES", 0)
    study = Study(bypass_incomplete.GOOD[0].build().snapshot(), load("trade-na"), proving=True)
    (found,) = bypass_incomplete.check(study)
    assert isinstance(found, Finding)
    assert found.undecided


def test_what_a_condition_for_the_bypass_leaves_on_is_source_overloaded() -> None:
    """2.6 kW on 2 kVA, in a condition recorded for the bypass: one warning, that of the source."""
    installation = bypass_overloads._aboard(2600, left_on=2590)
    result = check(installation.snapshot(), "trade-na", ["bypass-overloads", "source-overloaded"])
    assert [f.rule for f in result.findings] == ["source-overloaded"]


def test_the_arithmetic_of_a_bypass() -> None:
    """Loads of 2.6 kW, some watts in 20 in of cable there and back: 2.61 kVA of 2 kVA."""
    (found,) = bypass_overloads.check(Study(bypass_overloads._aboard(2600).snapshot(), load("trade-na")))
    assert isinstance(found, Finding)
    wanted, rated = (figure.value for figure in found.figures)
    assert wanted == pytest.approx(2600, rel=0.01)
    assert rated == 2000
    assert found.arithmetic.endswith("2.61 kVA > 2 kVA")
    assert found.condition == "At anchor: Q3 closed"


# -- a second supply ------------------------------------------------------------------------------------------------
def _managed(*, second: bool) -> Builder:
    """A lithium bank behind a contactor that its management opens; `second`: another bank behind it too."""
    b = Builder()
    bank = b.add("battery_bank", "G1", unit_v=12.8, chemistry="LFP", bms="none")
    b.add("bus_bar", "X1")
    contactor = b.add("contactor", "K1")
    b.add("battery_management", "A9", batteries=(bank,), opens=(contactor,))
    b.add("load", "A1", dc_v=12, power_w=60, essential=True)
    plus(b, "W1", "G1.pos", "X1.bar")
    plus(b, "W2", "X1.bar", "K1.in")
    plus(b, "W3", "K1.out", "A1.in")
    if second:
        b.add("battery_bank", "G2", unit_v=12.0, chemistry="AGM")
        b.add("battery_switch", "Q2", in_position="open")
        plus(b, "W4", "G2.pos", "Q2.in")
        plus(b, "W5", "Q2.out", "X1.bar")
    return b


@pytest.mark.parametrize("second", [False, True])
def test_a_second_bank_behind_the_same_contactor_is_none(second: bool) -> None:
    b = _managed(second=second)
    (found,) = judged(b, "no-alternative").findings
    assert (found.word, found.designations, found.condition) == ("warning", ("A1", "G1"), "K1 open")
    assert found.message == "Nothing feeds A1 (load) once the management of G1 (battery bank) has shut it off."


def test_what_would_tell_of_a_second_supply_is_named() -> None:
    snapshot = no_alternative._converter().snapshot()
    (gap,) = no_alternative.check(Study(snapshot, load("trade-na")))
    assert isinstance(gap, NotJudged)
    assert (gap.designations, gap.missing) == (("A1",), ("T1.needs_battery",))
    (gap,) = no_alternative.check(
        Study(no_alternative._boat(chemistry="LFP").installation.snapshot(), load("trade-na"))
    )
    assert isinstance(gap, NotJudged)
    assert (gap.would_be, gap.missing) == ("warning", ("G1.bms",))


def test_loads_of_one_bank_are_told_together() -> None:
    b = no_alternative._boat()
    b.add("load", "A2", dc_v=12, power_w=5, essential=True)
    b.add("load", "A3", dc_v=12, power_w=5, essential=False)
    plus(b, "W8", "X1.bar", "A2.in")
    plus(b, "W9", "X1.bar", "A3.in")
    (found,) = judged(b, "no-alternative").findings
    assert (found.word, found.designations) == ("notice", ("A1", "A2", "G1"))


# -- energy in a circle ---------------------------------------------------------------------------------------------
def test_a_charging_relay_closes_a_circle() -> None:
    """The charger of the starting battery on the house inverter: once the relay joins the banks it feeds itself."""
    b = Builder()
    for name in ("G1", "G2"):
        b.add("battery_bank", name, unit_v=12.0)
    b.add("inverter", "T1", dc_v=12, ac_v=120)
    b.add("charger", "T2", dc_v=12, ac_v=120)
    b.add("charging_relay", "K1", dc_v=12)
    plus(b, "W1", "G1.pos", "T1.dc")
    b.run("W2", "T1.ac_out", "T2.ac", function="ac", size="12 AWG", length_m=1.0)
    plus(b, "W3", "T2.dc", "G2.pos")
    plus(b, "W4", "G1.pos", "K1.a")
    (apart,) = judged(b, "charging-loop").passed
    assert apart.designations == ("T2",)
    plus(b, "W5", "K1.b", "G2.pos")
    (found,) = judged(b, "charging-loop").findings
    assert (found.designations, found.condition) == (("T2", "T1", "G1"), "K1 closed by itself")


def test_a_converter_bridged_by_a_switch_is_no_circle() -> None:
    """Banks joined to start the engine, round the DC-DC converter that charges one from the other."""
    b = Builder()
    for name in ("G1", "G2"):
        b.add("battery_bank", name, unit_v=12.0)
    b.add("dc_dc_converter", "T1", in_v=12, out_v=12, output_a=30, bidirectional=False)
    b.add("battery_switch", "Q1", in_position="open")
    plus(b, "W1", "G1.pos", "T1.in")
    plus(b, "W2", "T1.out", "G2.pos")
    plus(b, "W3", "G1.pos", "Q1.in")
    plus(b, "W4", "Q1.out", "G2.pos")
    assert not list(charging_loop.check(Study(b.installation.snapshot(), load("trade-na"))))
