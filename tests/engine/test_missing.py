"""The facts to go and read: each once, where it is aboard, what it would let be judged, in walking order."""

from __future__ import annotations

import pytest

from engine.builder import Builder
from engine.check import CheckResult, check
from engine.edits import Put, SetFields, apply
from engine.findings import NotJudged, Word
from engine.installation import Enclosure, Installation
from engine.missing import MissingFact, Unlock, expected, missing_facts
from engine.rules import rules


def boat() -> Installation:
    """Two places, a panel in the second; pieces drawn in no order."""
    b = Builder(name="Sandling")
    b.place("Saloon", "", 30)
    b.place("Engine room", "diesel machinery", 50)
    b.add("fuse", "F10", position="10")
    b.add("fuse", "F2", position="2", label="Bilge pump")
    b.add("battery_bank", "G1", place="Engine room")
    b.add("load", "E1", place="Saloon")
    b.add("fuse", "F77")
    b.run("W1", "G1.pos", "F2.in")
    b.run("", "F2.out", "E1.in")
    b.condition("At anchor")
    made = b.installation
    panel = f"b{made.last_id + 1}"
    apply(made, Put("enclosures", panel, Enclosure(name="Main panel", place=b.place("Engine room"))))
    for name in ("F2", "F10"):
        ((_table, item),) = made.find(name)
        apply(made, SetFields("equipment", item, (("enclosure", panel),)))
    return made


def result(*gaps: NotJudged) -> CheckResult:
    return CheckResult(book="trade-na", title="", edition="1", basis="", binds="", law=None, not_judged=gaps)


def gap(*missing: str, rule: str = "overloaded", word: Word = "danger", **more: object) -> NotJudged:
    return NotJudged(
        rule=rule,
        would_be=word,
        missing=missing,
        **({"designations": (), "ids": ()} | more),  # type: ignore[arg-type]
    )


def facts(*gaps: NotJudged) -> tuple[MissingFact, ...]:
    return missing_facts(result(*gaps), boat().snapshot()).facts


def test_each_field_is_one_entry_with_the_rules_it_would_unlock_dangers_first() -> None:
    (fact,) = facts(
        gap("F2.rating_a", rule="not-selective", word="notice", designations=("F10", "F2")),
        gap("F2.rating_a", rule="rating-below-load", word="caution"),
        gap("F2.rating_a", "F2.rating_a", rule="slow-to-clear", word="danger"),
        gap("F2.rating_a", rule="rating-below-load", word="warning"),
    )
    assert fact.unlocks == (
        Unlock("slow-to-clear", "danger"),
        Unlock("rating-below-load", "warning"),
        Unlock("not-selective", "notice"),
    )
    assert (fact.name, fact.what, fact.label) == ("F2", "Fuse", "Bilge pump")
    assert (fact.words, fact.unit, expected(fact)) == ("rated current of the link", "A", "A")
    assert (fact.place_name, fact.enclosure, fact.position) == ("Engine room", "Main panel", "2")
    assert fact.asked_of == ("F10",)


def test_one_walks_place_by_place_and_in_a_panel_by_position() -> None:
    asked = ("F77.rating_a", "F10.rating_a", "F2.rating_a", "W1.length_m", "G1.unit_ah", "G1.chemistry", "E1.dc_v")
    asked += ("Main panel.several_sources_sign", "vessel.hull", "At anchor.duties", "Saloon.kind", "some row of a list")
    found = missing_facts(result(gap(*asked)), boat().snapshot())
    assert [(heading, [fact.text for fact in group]) for heading, group in found.by_place()] == [
        ("Saloon", ["Saloon.kind", "E1.dc_v"]),
        (
            "Engine room",
            [
                *("G1.chemistry", "G1.unit_ah", "W1.length_m"),
                *("Main panel.several_sources_sign", "F2.rating_a", "F10.rating_a"),
            ],
        ),
        ("No place recorded", ["F77.rating_a"]),
        ("Asked of the owner", ["At anchor.duties", "vessel.hull"]),
        ("No single field would tell", ["some row of a list"]),
    ]


def test_a_run_is_where_it_begins_and_is_called_by_its_ends() -> None:
    made = boat()
    ((_table, run),) = made.find("W1")
    (length,) = facts(gap("W1.length_m"))
    assert (length.item, length.what, length.place_name) == (run, "run from G1 to F2", "Engine room")
    unnamed = next(item for item, record in made.snapshot().runs.items() if not record.designation)
    (size,) = facts(gap(f"{unnamed}.size"))
    assert (size.item, size.name, size.unit) == (unnamed, "run from F2 to E1", "AWG or mm²")


def test_what_may_be_said_is_told() -> None:
    kind, sign = facts(gap("Saloon.kind", "Main panel.several_sources_sign"))
    assert "galley" in kind.choices
    assert expected(sign) == "yes / no"


def test_a_field_inside_another_is_that_of_the_end_at_the_bus() -> None:
    b = Builder()
    b.add("bus_bar", "X1")
    b.add("fuse", "F1")
    b.run("W1", "X1.bar", "F1.in")
    snapshot = b.installation.snapshot()
    bus = next(item for item, record in snapshot.equipment.items() if record.designation == "X1")
    (fact,) = missing_facts(result(gap("W1.stud_number", ids=(bus,))), snapshot).facts
    assert fact.field == "from_end.stud_number"
    assert fact.words == "stud along a bus, counted from 1 at one end"


def test_hours_of_loads_are_asked_of_the_loads_or_of_every_condition() -> None:
    snapshot = boat().snapshot()
    load = next(item for item, record in snapshot.equipment.items() if record.designation == "E1")
    (hours,) = missing_facts(result(gap("conditions.duties", ids=(load,))), snapshot).facts
    assert (hours.item, hours.field) == (load, "duty")
    (every,) = missing_facts(result(gap("conditions.duties", ids=("r1",))), snapshot).facts
    assert (every.name, every.field, every.kept) == ("At anchor", "duties", "owner")
    (none,) = missing_facts(result(gap("conditions.duties")), Builder().installation.snapshot()).facts
    assert none.kept == "words"
    assert none.words == "hours of each load of the operating condition; none is recorded"


def test_nothing_is_dropped() -> None:
    told = result(gap("no such thing.rating_a", "F2.no_such_field", ".", ""), gap(why="the rule was stopped"))
    found = missing_facts(told, boat().snapshot())
    assert {fact.text for fact in found.facts} == {"no such thing.rating_a", "F2.no_such_field", ".", ""}
    assert [g.why for g in found.unnamed] == ["the rule was stopped"]
    assert found
    assert not missing_facts(result(), boat().snapshot())


def test_only_what_rules_of_a_word_or_worse_lack() -> None:
    mild, bad = gap("F2.fuse_class", word="caution", rule="overloaded"), gap("F2.rating_a", word="danger")
    found = missing_facts(result(mild, bad), boat().snapshot())
    assert [fact.field for fact in found.down_to("warning").facts] == ["rating_a"]
    assert len(found.down_to("caution").facts) == 2


@pytest.mark.parametrize("slug", rules())
def test_every_fact_that_a_rule_names_in_its_examples_is_a_field_of_something(slug: str) -> None:
    for example in (*rules()[slug].good, *rules()[slug].bad):
        snapshot = example.build().snapshot()
        told = missing_facts(check(snapshot, example.book, only=[slug]), snapshot)
        assert [fact.text for fact in told.facts if fact.kept == "words" and not fact.words] == []
