"""Every rule is what a rule must be: headings, examples, and each example gives just the findings it names."""

from __future__ import annotations

import random

import msgspec
import pytest

from engine.books import book_names, load
from engine.findings import Finding, NotJudged
from engine.installation import Installation
from engine.installation.model import Snapshot
from engine.rules import Example, Rule, rules
from engine.study import Study

HEADINGS = ("What it checks", "Why it matters", "What to do", "Limits read", "References")
RULES = list(rules().values())
GOOD = [(rule, example) for rule in RULES for example in rule.good]
BAD = [(rule, example) for rule in RULES for example in rule.bad]


def _name(value: object) -> str:
    return value.slug if isinstance(value, Rule) else value.name if isinstance(value, Example) else str(value)


def _study(example: Example) -> Study:
    return Study(example.build().snapshot(), load(example.book))


@pytest.mark.parametrize("rule", RULES, ids=_name)
def test_a_rule_explains_itself(rule: Rule) -> None:
    lines = rule.doc.splitlines()
    places = [lines.index(heading) for heading in HEADINGS]
    assert places == sorted(places)
    assert all(lines[at + 1] == "-" * len(lines[at]) for at in places)
    assert lines[0].endswith(".")
    assert rule.title
    assert rule.slug == rule.slug.lower()


@pytest.mark.parametrize("rule", RULES, ids=_name)
def test_a_rule_has_examples_both_ways(rule: Rule) -> None:
    assert len(rule.good) >= 2
    assert len(rule.bad) >= 2
    names = [example.name for example in (*rule.good, *rule.bad)]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(("rule", "example"), GOOD, ids=_name)
def test_a_good_example_gives_nothing(rule: Rule, example: Example) -> None:
    assert list(rule.check(_study(example))) == []


@pytest.mark.parametrize(("rule", "example"), BAD, ids=_name)
def test_a_bad_example_gives_what_it_names(rule: Rule, example: Example) -> None:
    found = list(rule.check(_study(example)))
    assert tuple(remark.designations for remark in found) == example.expect
    first = found[0]
    if example.condition:
        assert isinstance(first, Finding)
        assert example.condition in first.condition


@pytest.mark.parametrize(("rule", "example"), BAD, ids=_name)
def test_a_finding_stands_alone(rule: Rule, example: Example) -> None:
    study = _study(example)
    for remark in rule.check(study):
        assert remark.rule == rule.slug
        snapshot = study.snapshot
        known = {*snapshot.equipment, *snapshot.runs, *snapshot.waivers, *snapshot.enclosures}
        assert set(remark.ids) <= known or rule.family == "record"
        if isinstance(remark, NotJudged):
            assert remark.missing or remark.why
            continue
        assert remark.message.endswith(".")
        assert "{" not in remark.message + remark.condition + remark.arithmetic + "".join(remark.fixes)
        assert any(name and name in remark.message for name in remark.designations)
        assert all(position for _item, position in remark.positions)


def _shuffled(installation: Installation, seed: int) -> Snapshot:
    """The same records put in in another order."""
    made = Installation()
    order: list[tuple[str, str]] = [(t, i) for t in installation.tables for i in installation.ids(t)]
    random.Random(seed).shuffle(order)
    equipment, runs = installation.ids("equipment"), installation.ids("runs")
    random.Random(seed).shuffle(equipment)
    random.Random(seed).shuffle(runs)
    order = [("equipment", i) for i in equipment] + [("runs", i) for i in runs] + order
    for table, item in order:
        made._put(table, item, installation.get(table, item))
    for table in installation.lone:
        made._put(table, table, installation.get(table, table))
    return made.snapshot()


@pytest.mark.parametrize(("rule", "example"), BAD, ids=_name)
def test_the_order_of_records_does_not_matter(rule: Rule, example: Example) -> None:
    installation = example.build()
    plain = list(rule.check(Study(installation.snapshot(), load(example.book))))
    for seed in (1, 2):
        assert list(rule.check(Study(_shuffled(installation, seed), load(example.book)))) == plain


EVERY = [example for rule in RULES for example in (*rule.good, *rule.bad)]


BOOKS = book_names(all_books=True)


def _judge_all(example: Example, book: str) -> None:
    study = Study(example.build().snapshot(), load(book))
    for rule in RULES:
        for remark in rule.check(study):
            msgspec.json.encode(remark)


def test_no_rule_stumbles_over_any_example() -> None:
    """Every rule over every example, by the books in turn."""
    for number, example in enumerate(EVERY):
        _judge_all(example, BOOKS[number % len(BOOKS)])


@pytest.mark.long
@pytest.mark.parametrize("book", BOOKS)
def test_no_rule_stumbles_over_any_example_by_any_book(book: str) -> None:
    for example in EVERY:
        _judge_all(example, book)


@pytest.mark.parametrize("book", BOOKS)
def test_no_rule_stumbles_over_an_empty_record(book: str) -> None:
    study = Study(Installation().snapshot(), load(book))
    for rule in RULES:
        assert list(rule.check(study)) == []
