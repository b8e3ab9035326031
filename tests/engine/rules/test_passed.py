"""What a rule says of what is in order: every rule proves something, with margins that a person can check."""

from __future__ import annotations

import functools
import math
from pathlib import Path

import pytest

from engine.books import load
from engine.check import check
from engine.files.drawing import load as load_drawing
from engine.findings import Figure, Finding, NotJudged, Passed, least
from engine.rules import Example, Rule, rules
from engine.study import Outcome, Study

RULES = list(rules().values())
SMALL = 0.1  # share of a limit that an example named "just" may leave


def _name(value: object) -> str:
    return value.slug if isinstance(value, Rule) else str(value)


@functools.cache  # several tests ask the same, and nothing changes an outcome
def _outcome(rule: Rule, example: Example, proving: bool = True) -> Outcome:
    return Study(example.build().snapshot(), load(example.book), proving).outcome(rule.slug)


@pytest.mark.parametrize("rule", RULES, ids=_name)
def test_a_rule_says_what_it_looks_at(rule: Rule) -> None:
    assert rule.looks_at
    assert not rule.looks_at.endswith(".")


@pytest.mark.parametrize("rule", RULES, ids=_name)
def test_a_good_example_proves_something(rule: Rule) -> None:
    made = [one for example in rule.good for one in _outcome(rule, example).passed]
    assert made
    for one in made:
        assert one.rule == rule.slug
        assert one.message or (one.found is not None and one.limit is not None)
        assert "{" not in one.message + one.arithmetic + one.condition
        assert (one.found is None) == (one.limit is None)
        if one.found is not None and one.limit is not None:
            assert one.found.unit == one.limit.unit
        assert one.margin is None or one.margin >= 0


@pytest.mark.parametrize("rule", RULES, ids=_name)
def test_nothing_is_found_and_passed_in_one_place(rule: Rule) -> None:
    for example in (*rule.good, *rule.bad):
        told, _fault, passed = _outcome(rule, example)
        places = {(one.ids[0], one.detail) for one in told if isinstance(one, Finding)}
        places |= {(item, one.detail) for one in told if isinstance(one, NotJudged) for item in one.ids}
        proved = [(one.ids[0], one.detail) for one in passed]
        assert not places & set(proved)
        assert len(proved) == len(set(proved))


@pytest.mark.parametrize("rule", RULES, ids=_name)
def test_proving_changes_nothing_else(rule: Rule) -> None:
    for example in (*rule.good, *rule.bad):
        plain, proved = _outcome(rule, example, proving=False), _outcome(rule, example)
        assert plain.remarks == proved.remarks
        assert plain.fault is None
        assert proved.fault is None
        assert plain.passed == ()


@pytest.mark.parametrize(("sample", "book"), [("ketch", "us-33cfr183"), ("launch", "us-46cfr"), ("launch", "metric")])
def test_proving_changes_nothing_of_a_whole_boat(sample: str, book: str) -> None:
    drawing = load_drawing(Path(__file__).parents[3] / "samples" / sample / f"{sample}.linewright")
    snapshot = drawing.installation.snapshot()
    plain, proved = check(snapshot, book), check(snapshot, book, proving=True)
    assert plain.findings == proved.findings
    assert plain.not_judged == proved.not_judged
    assert len(proved.passed) > 100
    assert all(one.margin is None or one.margin >= 0 for one in proved.passed)


JUST = [(rule, example) for rule in RULES for example in rule.good if example.name.startswith("just ")]


@pytest.mark.parametrize(("rule", "example"), JUST, ids=lambda v: v.slug if isinstance(v, Rule) else v.name)
def test_just_inside_leaves_little(rule: Rule, example: Example) -> None:
    margins = [one.margin for one in _outcome(rule, example).passed if one.margin is not None]
    assert not margins or 0 <= min(margins) <= SMALL


# -- figures, each worked out beside it ------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("slug", "example", "item", "found", "limit", "margin"),
    [
        # 180 A fuse, 6 AWG good for 120 A, one device: 150 % of it
        ("rating-above-ampacity", "one device at 150 % of the ampacity below 50 V", "W12", 180, 180, 0),
        # 6 in of 7 in: 0.1524 m of 0.1778 m
        ("far-from-source", "a fuse 6 in from the battery, bare", "W11", 0.1524, 0.1778, 1 / 7),
        # 35 A in 14 AWG of 105 degC
        ("overloaded", "35 A in 14 AWG of 105 degC: just what it may carry", "W2", 35, 35, 0),
        # 30 A let in by the fuse, whatever the load takes
        ("overloaded", "what the load takes is not recorded, and needs not be: 30 A protects", "W2", 30, 35, 1 / 7),
        # 10 A of 80 % of 20 A
        ("rating-below-load", "half its rating", "F1", 10, 16, 0.375),
        ("charge-too-high", "a charger well within the limit", "G1", 25, 50, 0.5),
        # 1200 Wh at 20 W
        ("bank-too-small", "plenty", "G1", 60, 20, 2),
        ("equipment-over-protected", "an inlet behind a breaker of its own rating", "X1", 30, 30, 0),
        ("equipment-over-protected", "a shunt in the negative, a lamp returning beside it", "R1", 100, 100, 0),
        ("source-device-too-large", "100 A alternator, a fuse of 110 A", "G2", 110, 120, 1 / 12),
        ("rated-below-voltage", "32 V fuse on a 24 V bank charged at 28.8 V", "F1", 28.8, 32, 0.1),
        ("cannot-break-fault", "1000 cranking amperes: a branch breaker of 1500 A", "F1", 3000, 10000, 0.7),
    ],
)
def test_a_margin_is_what_a_person_works_out(
    slug: str, example: str, item: str, found: float, limit: float, margin: float
) -> None:
    rule = rules()[slug]
    made = next(one for one in rule.good if one.name == example)
    passed = next(one for one in _outcome(rule, made).passed if one.designations[0] == item)
    assert passed.found is not None
    assert passed.limit is not None
    assert passed.found.value == pytest.approx(found, rel=1e-3)
    assert passed.limit.value == pytest.approx(limit, rel=1e-3)
    assert passed.margin == pytest.approx(margin, rel=1e-2, abs=1e-6)


def test_a_run_that_is_exempt_says_why() -> None:
    rule = rules()["no-protection"]
    example = next(one for one in rule.good if one.name == "a component's own lead of 7 in is exempt")
    told = {one.designations[0]: one.message for one in _outcome(rule, example).passed}
    assert "cranking" in told["W11"]
    assert "own short lead" in told["W13"]


# -- the least margin is kept ------------------------------------------------------------------------------------------
def _passed(found: float, at_least: bool = False, item: str = "e1") -> Passed:
    return Passed(
        rule="r",
        designations=("F1",),
        ids=(item,),
        found=Figure("found", found, "A"),
        limit=Figure("limit", 10.0, "A"),
        at_least=at_least,
    )


def test_the_least_margin_of_a_place_is_kept() -> None:
    assert least([_passed(5), _passed(9), _passed(1)]) == (_passed(9),)
    assert least([_passed(15, at_least=True), _passed(11, at_least=True)]) == (_passed(11, at_least=True),)
    sentence = Passed(rule="r", designations=("F1",), ids=("e1",), message="Fine.")
    assert least([sentence, _passed(1)]) == (_passed(1),)


def test_a_question_left_open_for_several_passes_none_of_them() -> None:
    gap = NotJudged(rule="r", would_be="danger", designations=("F1", "F2"), ids=("e1", "e2"), missing=("F1.rating_a",))
    assert least([_passed(1, item="e2"), _passed(1, item="e3")], [gap]) == (_passed(1, item="e3"),)


def test_a_margin_just_at_the_limit_is_nothing_less() -> None:
    assert _passed(10.0 + 1e-12).margin == 0
    assert _passed(math.inf).margin == -math.inf
