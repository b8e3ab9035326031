"""What a pass rests on where the record is silent is told, and a drawing that contradicts itself is no pass."""

from __future__ import annotations

import pytest

from engine.builder import Builder
from engine.check import CheckResult, check
from engine.report import as_json


def _alternator(book: str, self_limiting: bool | None) -> CheckResult:
    b = Builder(book=book)
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=100)
    b.add("alternator", "G4", dc_v=12, rating_a=80, self_limiting=self_limiting)
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    b.run("W2", "F1.out", "G4.pos", size="2 AWG", length_m=2)
    return check(b.installation.snapshot())


def test_an_ordinary_alternator_taken_as_limited_is_named() -> None:
    (line,) = _alternator("trade-na", None).assumptions
    assert line == "G4: taken as limiting itself to its rating, as an ordinary alternator does"
    assert _alternator("trade-na", True).assumptions == ()
    assert _alternator("trade-na", False).assumptions == ()
    # the law takes nothing for granted: 33 CFR 183.460(b), 2015 edition, does not say which machines limit themselves
    assert _alternator("us-33cfr183", None).assumptions == ()
    assert as_json(_alternator("trade-na", None), "x")["assumptions"] == [line]


def test_a_tracking_controller_taken_as_blocking_is_named() -> None:
    b = Builder()
    for name, method, blocks in (("T1", "tracking", None), ("T2", "tracking", True), ("T3", "series", None)):
        b.add("solar_controller", name, method=method, blocks_reverse=blocks)
        b.add("solar_array", f"G{name}")
        b.run(f"W{name}", f"G{name}.pos", f"{name}.pv")
    (line,) = check(b.installation.snapshot()).assumptions
    assert line.startswith("T1: ")
    assert check(b.installation.snapshot(), only=("unconnected",)).assumptions == ()


def _slide(q1: str, q2: str, condition: dict[str, str] | None = None) -> CheckResult:
    b = Builder()
    b.add("circuit_breaker", "Q1", rating_a=30, in_position=q1)
    b.add("circuit_breaker", "Q2", rating_a=30, in_position=q2)
    b.interlock("Q1", "Q2", name="slide")
    if condition:
        b.condition("Alongside", **condition)
    return check(b.installation.snapshot(), only=("sources-meet", "bypass-unprotected"))


@pytest.mark.parametrize(
    ("q1", "q2", "condition", "told"),
    [
        ("closed", "open", None, ""),
        ("", "", None, ""),  # drawn in their normal position for want of another
        ("closed", "", {"Q2": "open"}, ""),
        ("closed", "closed", None, "as drawn Q1 in closed, Q2 in closed hold"),
        ("closed", "open", {"Q2": "closed"}, "in the condition Alongside Q1 in closed, Q2 in closed hold"),
        ("", "", {"Q1": "closed", "Q2": "closed"}, "in the condition Alongside Q1 in closed, Q2 in closed hold"),
    ],
)
def test_a_drawing_that_breaks_its_own_interlock_proves_nothing(
    q1: str, q2: str, condition: dict[str, str] | None, told: str
) -> None:
    result = _slide(q1, q2, condition)
    assert result.findings == ()
    assert result.fails() is bool(told)
    assert {gap.rule for gap in result.not_judged} == ({"sources-meet", "bypass-unprotected"} if told else set())
    for gap in result.not_judged:
        assert gap.designations == ("Q1", "Q2")
        assert told in gap.why
        assert "the interlock slide allows 1 of these positions" in gap.why
