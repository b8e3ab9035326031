"""Why a rule says nothing: every rule answers for every thing, and each answer is the true one."""

from __future__ import annotations

import datetime

import pytest

from engine.builder import Builder
from engine.check import CheckResult, check
from engine.findings import WORDS
from engine.installation.model import Snapshot
from engine.rules import rules
from engine.rules.example_parts import boat, cable
from engine.why import VERDICTS, Said, called, why


def _drawn() -> Builder:
    """A bank; F1 feeds a lamp; F2, of unknown rating, another; W3 is too thin for F3, and W4 a spare."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, chemistry="AGM")
    b.add("fuse", "F1", rating_a=30, rated_dc_v=32)
    b.add("fuse", "F2", rated_dc_v=32)
    b.add("fuse", "F3", rating_a=100, rated_dc_v=32)
    for n, size in (("1", "10 AWG"), ("2", "10 AWG"), ("3", "16 AWG")):
        b.add("load", f"E{n}", dc_v=12, current_a=5.0, label="lamp")
        cable(b, f"WG{n}", "G1.pos", f"F{n}.in", "2/0 AWG", 4)
        cable(b, f"W{n}", f"F{n}.out", f"E{n}.in", size, 60)
    b.add("fuse", "F4", rating_a=10, rated_dc_v=32, status="spare")
    cable(b, "W4", "F3.out", "F4.in", "10 AWG", 12, status="spare")
    return b


@pytest.fixture(scope="module")
def snapshot() -> Snapshot:
    return _drawn().installation.snapshot()


@pytest.fixture(scope="module")
def result(snapshot: Snapshot) -> CheckResult:
    return check(snapshot, proving=True)


def _said(result: CheckResult, snapshot: Snapshot, name: str, rule: str) -> Said:
    (item,) = called(snapshot, name)
    return next(said for said in why(result, snapshot, [item]) if said.rule == rule)


def test_every_rule_answers_for_every_thing(result: CheckResult, snapshot: Snapshot) -> None:
    for item in (*snapshot.equipment, *snapshot.runs):
        told = why(result, snapshot, [item])
        assert {said.rule for said in told} == set(result.rules)
        assert all(said.text or said.passed is not None for said in told)
        assert [VERDICTS.index(said.verdict) for said in told] == sorted(VERDICTS.index(s.verdict) for s in told)
        margins = [said.margin for said in told if said.margin is not None]
        assert margins == sorted(margins)


def test_what_is_found_is_told_with_its_word(result: CheckResult, snapshot: Snapshot) -> None:
    said = _said(result, snapshot, "W3", "rating-above-ampacity")
    assert said.verdict == "found"
    assert said.word == "danger"
    assert said.text.startswith("Run W3 is 16 AWG")
    # the device that a finding names is told of it too
    assert _said(result, snapshot, "F3", "rating-above-ampacity").verdict == "found"


def test_the_worst_is_told_first(result: CheckResult, snapshot: Snapshot) -> None:
    for item in (*snapshot.equipment, *snapshot.runs):
        told = why(result, snapshot, [item])
        for verdict in ("found", "not judged"):
            words = [WORDS.index(said.word) for said in told if said.verdict == verdict and said.word is not None]
            assert words == sorted(words)


def test_what_passed_is_told_with_its_margin(result: CheckResult, snapshot: Snapshot) -> None:
    said = _said(result, snapshot, "W1", "rating-above-ampacity")
    assert said.verdict == "passed"
    assert said.passed is not None
    assert said.passed.found is not None
    assert said.passed.limit is not None
    # 30 A fuse; 10 AWG of 105 degC is good for 60 A, 150 % of it behind one device
    assert said.passed.found.value == 30
    assert said.passed.limit.value == pytest.approx(90)
    assert said.margin == pytest.approx(1 - 30 / 90)


def test_what_is_not_judged_names_its_own_fields_first(result: CheckResult, snapshot: Snapshot) -> None:
    said = _said(result, snapshot, "F2", "cannot-break-fault")
    assert said.verdict == "not judged"
    assert said.missing[0] == "F2.breaking"
    assert _said(result, snapshot, "W2", "rating-above-ampacity").missing == ("F2.rating_a",)


def test_what_a_rule_does_not_look_at_says_what_it_does(result: CheckResult, snapshot: Snapshot) -> None:
    said = _said(result, snapshot, "E1", "rated-below-voltage")
    assert said.verdict == "not applicable"
    assert said.text == "It looks at protective devices and switches; not at E1 (load)."


def test_an_end_told_by_one_rule_is_not_passed_by_its_sisters(result: CheckResult, snapshot: Snapshot) -> None:
    for rule in ("no-protection", "far-from-source"):
        said = _said(result, snapshot, "W3", rule)
        assert said.verdict == "not applicable"
        assert said.text.startswith("An end of a run is told once, and rating-above-ampacity tells of this one.")


def test_a_spare_is_left_out_and_that_is_said(result: CheckResult, snapshot: Snapshot) -> None:
    said = _said(result, snapshot, "F4", "unconnected")
    assert said.verdict == "not applicable"
    assert "recorded as spare" in said.text


def test_a_rule_without_a_clause_says_so(result: CheckResult, snapshot: Snapshot) -> None:
    slug = next(slug for slug in result.no_clause if slug == "needless-waiver")
    assert _said(result, snapshot, "F1", slug).text.endswith("This book has no clause for it.")


def test_a_waived_finding_tells_why_it_is() -> None:
    b = _drawn()
    b.waive(
        "rating-above-ampacity", "W3", "F3", reason="to be replaced at haul-out", who="A. Tern", date="2026-03-01",
        review="2026-10-31",
    )  # fmt: skip
    snapshot = b.installation.snapshot()
    told = check(snapshot, today=datetime.date(2026, 5, 1), proving=True)
    said = _said(told, snapshot, "W3", "rating-above-ampacity")
    assert said.verdict == "waived"
    assert said.text.endswith("Waived: to be replaced at haul-out.")


def test_a_rule_that_is_stopped_judges_nothing(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(study):
        raise ZeroDivisionError
        yield

    monkeypatch.setitem(rules(), "over-stud", rules()["over-stud"]._replace(check=broken))
    snapshot = _drawn().installation.snapshot()
    told = check(snapshot, only=["over-stud"], proving=True)
    caplog.clear()
    (said,) = why(told, snapshot, called(snapshot, "F1"))
    assert said.verdict == "not judged"
    assert "stopped by a fault of the program" in said.text


def test_what_rests_on_a_broken_interlock_is_not_passed() -> None:
    made = next(one for one in rules()["sources-meet"].good if one.name == "one changeover switch").build()
    assert _said(check(made.snapshot(), proving=True), made.snapshot(), "X1", "sources-meet").verdict == "passed"
    good = rules()["sources-meet"].good
    snapshot = next(one for one in good if one.name.startswith("an inverter/charger that passes")).build().snapshot()
    # its condition closes both breakers that the interlock parts
    told = check(snapshot, only=["sources-meet"], proving=True)
    assert told.passed == ()
    said = _said(told, snapshot, "X1", "sources-meet")
    assert said.verdict == "not judged"
    assert "interlock" in said.text


def test_a_designation_names_all_that_bear_it() -> None:
    b = boat()
    b.add("fuse", "F1")
    b.add("fuse", "F1")
    b.add("load", "e1")
    snapshot = b.installation.snapshot()
    assert len(called(snapshot, "F1")) == 2
    assert called(snapshot, " f1 ") == called(snapshot, "F1")  # capitals tell nothing apart here
    assert called(snapshot, "E1") == called(snapshot, "e1") != ()
    assert called(snapshot, "F9") == ()


def test_an_empty_drawing_is_told_of_nothing() -> None:
    snapshot = Builder().installation.snapshot()
    assert why(check(snapshot, proving=True), snapshot, []) == ()
