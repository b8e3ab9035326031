"""Every template alone in a drawing: what its rules say, in its usual answers and at its ends; and taken back."""

from __future__ import annotations

import itertools
import random
import re

import pytest

from engine.books import load
from engine.builder import Builder
from engine.check import check
from engine.edits import EditError, apply
from engine.files.drawing import dump
from engine.installation import Installation
from engine.templates import Question, Template, fit, shown, templates

BOOKS = ("trade-na", "metric")
OTHERS = ("metric", "us-33cfr183", "us-46cfr")
NAMES = tuple(templates())


def boat(book: str, **facts: object) -> Installation:
    """An empty drawing of a boat whose own facts are known."""
    known = {"name": "Turnstone", "hull": "glass fibre", "engine_fuel": "diesel", "length_m": 12.0, "coldest_c": -5.0}
    return Builder(book, **(known | {"use": "pleasure", "flag": "US", "build_year": 2021} | facts)).installation


def placed(name: str, book: str, given: dict[str, float | str] | None = None, **facts: object) -> Installation:
    """A template in an empty drawing."""
    installation = boat(book, **facts)
    fitted = fit(installation.snapshot(), installation.last_id, templates()[name], given or {}, load(book))
    apply(installation, fitted.edit)
    return installation


def held(installation: Installation) -> bytes:
    """Its file without the last id: an id that was taken is never given again."""
    return re.sub(rb'"last_id": \d+', b"", dump(installation), count=1)


def remarks(installation: Installation) -> list[str]:
    """Every danger and warning, and where a rule that can give one was blind."""
    result = check(installation.snapshot())
    found = [f"{f.word} {f.rule}: {f.message}" for f in result.findings if f.word in ("danger", "warning")]
    blind = [f"{n.rule}: {n.missing} {n.why}" for n in result.not_judged if n.would_be in ("danger", "warning")]
    return [*found, *blind, *result.stopped]


def ends(template: Template) -> list[dict[str, float | str]]:
    """Answers at the ends of every range, every choice among them; in a shuffled order that is always the same."""
    asked = [question for question in template.questions if not question.joins]
    made = [dict(one) for one in itertools.product(*(_ends(question) for question in asked))]
    random.Random(7).shuffle(made)
    return made


def _ends(question: Question) -> list[tuple[str, float | str]]:
    values = question.choices or (question.low, question.high)
    return [(question.name, value) for value in values if value is not None]


@pytest.mark.parametrize("book", ["trade-na", *(pytest.param(book, marks=pytest.mark.long) for book in OTHERS)])
@pytest.mark.parametrize("name", NAMES)
def test_alone_with_its_usual_answers_nothing_is_wrong(name: str, book: str) -> None:
    assert remarks(placed(name, book)) == []


@pytest.mark.parametrize("name", NAMES)
def test_at_an_end_nothing_is_wrong(name: str) -> None:
    given = ends(templates()[name])[0]
    assert remarks(placed(name, "metric", given)) == [], given


@pytest.mark.long
@pytest.mark.parametrize("book", BOOKS)
@pytest.mark.parametrize("name", NAMES)
def test_at_many_of_its_ends_nothing_is_wrong(name: str, book: str) -> None:
    for given in ends(templates()[name])[:200]:
        assert remarks(placed(name, book, given)) == [], given


@pytest.mark.parametrize("name", NAMES)
def test_undo_gives_the_file_back_byte_by_byte(name: str) -> None:
    installation = placed("charging-relay", "trade-na")
    before = held(installation)
    fitted = fit(installation.snapshot(), installation.last_id, templates()[name], {}, load("trade-na"))
    back = apply(installation, fitted.edit)
    assert held(installation) != before
    apply(installation, back)
    assert held(installation) == before


@pytest.mark.parametrize("name", NAMES)
def test_twice_in_one_drawing_no_designation_is_used_again(name: str) -> None:
    installation = placed(name, "trade-na")
    fitted = fit(installation.snapshot(), installation.last_id, templates()[name], {}, load("trade-na"))
    apply(installation, fitted.edit)
    borne = [r.designation for table in ("equipment", "runs") for _i, r in installation.items(table)]
    assert len(borne) == len(set(borne))
    assert all(borne)
    assert check(installation.snapshot(), only=("duplicate-designation",)).findings == ()


@pytest.mark.parametrize("name", NAMES)
def test_nothing_of_a_maker_and_every_proposal_marked_as_one(name: str) -> None:
    for _item, record in placed(name, "trade-na").equipment.items():
        assert (record.maker, record.part_number, record.price) == ("", "", None)
        assert record.status == "new"
        named = dict(record.origins)
        for field in ("rating_a", "unit_ah", "breaking", "short_circuit_a", "continuous_a", "charge_v"):
            if field in record.__struct_fields__ and getattr(record, field):
                assert field in named, f"{record.designation}.{field}"


def test_what_was_answered_is_typed_and_what_was_not_is_assumed() -> None:
    made = placed("solar", "trade-na", {"module_w": 100.0, "array_m": 4.0})
    array = next(r for r in made.equipment.values() if r.KIND == "solar_array")
    assert (array.module_w, array.origin("module_w"), array.origin("module_open_v")) == (100, "typed", "assumed")
    (lead,) = (r for _i, r in made.items("runs") if r.length_m == 4)
    assert (lead.origin("length_m"), lead.origin("size")) == ("typed", "assumed")


def test_eight_templates_each_with_a_purpose_and_its_questions() -> None:
    assert len(NAMES) == 8
    for template in templates().values():
        assert template.purpose.endswith(".")
        assert template.questions
        for question in template.questions:
            assert question.joins or question.choices or (question.low is not None and question.high is not None)
            for is_metric in (False, True):
                usual = question.usual(is_metric=is_metric)
                if question.choices:
                    assert usual in question.choices
                elif not question.joins:
                    assert question.low <= usual <= question.high  # type: ignore[operator]
                    assert shown(question, usual)


# -- the switches of those that have some --------------------------------------------------------------------------
def test_no_two_sources_of_the_changeover_can_meet_and_each_feeds_the_panel() -> None:
    made = placed("changeover", "trade-na")
    both = [r for r in made.equipment.values() if r.KIND == "changeover"]
    assert [r.poles for r in both] == [("L1", "N")] * 2  # the neutral with the line
    result = check(made.snapshot(), proving=True, only=("sources-meet", "neutral-not-switched"))
    assert result.findings == ()
    assert {passed.rule for passed in result.passed} == {"sources-meet", "neutral-not-switched"}
    assert [c.name for c in made.snapshot().conditions.values()] == [
        "Alongside",
        "On the generator",
        "On the inverter",
    ]


def test_the_bypass_parts_the_inverter_on_both_sides() -> None:
    made = placed("bypass", "trade-na")
    names = {r.label: i for i, r in made.equipment.items()}
    held = [{h.equipment for h in lock.held} for lock in made.snapshot().interlocks.values()]
    assert held == [
        {names["inverter output"], names["bypass"]},
        {names["inverter input"], names["bypass"]},
    ]
    apart = next(c for c in made.snapshot().conditions.values() if c.name == "Inverter bypassed")
    stands = {s.equipment: s.position for s in apart.settings}
    assert stands[names["bypass"]] == "closed"
    assert stands[names["inverter input"]] == stands[names["inverter output"]] == "open"


def test_the_management_stops_the_alternator_over_its_regulator() -> None:
    made = placed("regulated-alternator", "trade-na")
    (machine,) = (i for i, r in made.equipment.items() if r.KIND == "alternator")
    (management,) = (r for r in made.equipment.values() if r.KIND == "battery_management")
    (regulator,) = (r for r in made.equipment.values() if r.KIND == "alternator_regulator")
    assert management.stops == (machine,)
    assert management.alarm_before_shutdown
    assert management.stops_sources_first
    assert regulator.alternators == (machine,)
    assert regulator.obeys_stop


def test_every_circuit_of_the_remote_panel_has_an_override() -> None:
    made = placed("remote-panel", "trade-na", {"circuits": 6})
    (module,) = (r for r in made.equipment.values() if r.KIND == "switching_module")
    assert [channel.override for channel in module.channels] == [True] * 6
    assert module.local_control


# -- joined to what there is ----------------------------------------------------------------------------------------
def test_a_second_template_joins_the_bus_of_the_first() -> None:
    installation = placed("solar", "trade-na")
    bus = next(r.designation for r in installation.equipment.values() if r.KIND == "bus_bar")
    before = len(installation.equipment)
    fitted = fit(
        installation.snapshot(), installation.last_id, templates()["remote-panel"], {"bus": bus}, load("trade-na")
    )
    apply(installation, fitted.edit)
    assert len(installation.equipment) == before + 6  # breaker, module, four loads: no bank, no bus
    assert remarks(installation) == []


def test_an_alternator_joins_a_lithium_bank_whose_management_learns_to_stop_it() -> None:
    installation = placed("regulated-alternator", "trade-na")
    bank = next(r.designation for r in installation.equipment.values() if r.KIND == "battery_bank")
    given = {"house": bank, "alternator": 60.0}
    name = templates()["regulated-alternator"]
    apply(installation, fit(installation.snapshot(), installation.last_id, name, given, load("trade-na")).edit)
    (management,) = (r for r in installation.equipment.values() if r.KIND == "battery_management")
    machines = {i for i, r in installation.equipment.items() if r.KIND == "alternator"}
    assert set(management.stops) == machines
    assert len(machines) == 2


def test_two_banks_that_are_there_are_joined_and_none_is_made() -> None:
    b = Builder("trade-na")
    for name in ("G1", "G2"):
        b.add("battery_bank", name, chemistry="AGM", unit_v=12.0, unit_ah=100.0)
    installation = b.installation
    given = {"start": "G1", "house": "g2"}  # small letters are no difference
    fitted = fit(installation.snapshot(), installation.last_id, templates()["charging-relay"], given, load("trade-na"))
    apply(installation, fitted.edit)
    assert sum(r.KIND == "battery_bank" for r in installation.equipment.values()) == 2


def test_the_volts_are_those_of_the_bus_it_joins() -> None:
    installation = placed("solar", "trade-na", {"volts": "24"})
    bus = next(r.designation for r in installation.equipment.values() if r.KIND == "bus_bar")
    fitted = fit(
        installation.snapshot(), installation.last_id, templates()["remote-panel"], {"bus": bus}, load("trade-na")
    )
    apply(installation, fitted.edit)
    assert {r.dc_v for r in installation.equipment.values() if r.KIND in ("load", "switching_module")} == {24}
    assert remarks(installation) == []


def test_conditions_of_the_drawing_stay_as_they_are() -> None:
    b = Builder("trade-na")
    b.condition("Winter")
    installation = b.installation
    for name in ("changeover", "remote-panel"):
        fitted = fit(installation.snapshot(), installation.last_id, templates()[name], {}, load("trade-na"))
        apply(installation, fitted.edit)
    (only,) = installation.snapshot().conditions.values()
    assert (only.name, only.settings, only.running) == ("Winter", (), ())
    assert {duty.hours_a_day for duty in only.duties} == {4.0}  # of the new loads


def test_a_ground_there_is_already_is_used() -> None:
    b = Builder("trade-na")
    b.add("earth_point", "X9", form="hull")
    installation = b.installation
    fitted = fit(
        installation.snapshot(), installation.last_id, templates()["isolation-transformer"], {}, load("trade-na")
    )
    apply(installation, fitted.edit)
    assert sum(r.KIND == "earth_point" for r in installation.equipment.values()) == 1


def test_gear_in_the_engine_space_of_a_petrol_boat_is_ignition_protected() -> None:
    made = placed("regulated-alternator", "us-33cfr183", engine_fuel="petrol")
    in_space = [r for r in made.equipment.values() if r.KIND in ("alternator", "alternator_regulator", "engine")]
    assert len(in_space) == 3
    assert all(r.ignition_protected for r in in_space)
    assert remarks(made) == []


@pytest.mark.parametrize(
    ("name", "given", "told"),
    [
        ("solar", {"vlts": "24"}, "did you mean 'volts'?"),
        ("solar", {"volts": "36"}, "volts: it is one of 12, 24, 48, found '36'"),
        ("solar", {"module_w": "9 kW"}, "module_w: it lies between 50 W and 250 W, found 9 kW"),
        ("solar", {"array_m": "far"}, "array_m: expected a length"),
        ("solar", {"strings": "1.5"}, "strings: it is a whole number, found 1.5"),
        ("solar", {"bus": "X77"}, "bus: there is no equipment “X77” on the drawing"),
        ("solar", {"bus": "E1"}, "bus: E1 takes no +"),
        ("solar", {"bus": "X1.pos"}, "bus: X1 has no terminal “pos”; it has bar"),
        ("solar", {"bus": "X1", "volts": "24"}, "bus: X1 is of 12 V, and 24 V were answered"),
        ("charging-relay", {"start": "G1", "house": "G1"}, "start and house are one bank; name two"),
        ("charging-relay", {"start": "E1"}, "start: E1 is no battery bank"),
        ("regulated-alternator", {"engine": "E1"}, "engine: E1 is no engine"),
        ("regulated-alternator", {"house": "G1"}, "house: G1 is no lithium bank"),
        ("bypass", {"panel": "E1"}, "panel: E1"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(name: str, given: dict[str, float | str], told: str) -> None:
    b = Builder("trade-na")
    b.add("battery_bank", "G1", chemistry="AGM", unit_v=12.0, unit_ah=100.0)
    b.add("bus_bar", "X1", purpose="pair")
    b.add("earth_point", "E1")
    b.run("W1", "G1.pos", "X1.bar")
    snapshot = b.installation.snapshot()
    with pytest.raises(EditError) as fault:
        fit(snapshot, b.installation.last_id, templates()[name], given, load("trade-na"))
    assert told in str(fault.value)
