"""The walk: everything drawn is on it once a place, and a survey says of each thing whether it was inspected."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.builder import Builder
from engine.edits import History, Put, apply
from engine.files.drawing import load
from engine.installation import Installation, Passage
from engine.installation.surveying import Inspection, Survey
from engine.survey.answers import SEEN, State, answered, not_inspected, system_answered
from engine.survey.checklist import Point, Walk

SAMPLES = Path(__file__).parents[3] / "samples"


def boat() -> Installation:
    """Two places, a run that passes a third."""
    b = Builder()
    for place in ("engine space", "bilge", "saloon"):
        b.place(place)
    b.add("battery_bank", "G1", place="engine space", unit_v=12)
    b.add("fuse", "F1", place="engine space", rating_a=100)
    b.add("load", "E10", place="saloon", dc_v=24, power_w=50)
    b.add("load", "E9", place="saloon", dc_v=12, power_w=50)
    b.run("W1", "G1.pos", "F1.in", size="2 AWG")
    b.run("W2", "F1.out", "E9.in", size="8 AWG", places=(Passage(place=b.place("bilge")),))
    return b.installation


def _survey(made: Installation) -> str:
    survey = made.new_id("surveys")
    apply(made, Put("surveys", survey, Survey(date="2026-05-02", surveyor="R. Tern")))
    return survey


@pytest.mark.parametrize("name", ["launch", "ketch", "workboat"])
def test_everything_drawn_is_on_the_walk(name: str) -> None:
    snapshot = load(SAMPLES / name / f"{name}.linewright").installation.snapshot()
    walk = Walk(snapshot)
    points = [point for group in walk.groups for point in group.points]
    assert len(points) == len(set(points)) == len(walk)
    for table in ("places", "enclosures", "equipment", "runs"):
        assert {point.item for point in points if point.table == table} == set(snapshot.tables[table])
    # a run is looked at in every place it passes and ends in
    for item, run in snapshot.runs.items():
        told = {point.place for point in points if point.item == item}
        passed = {passage.place for passage in run.places}
        assert passed <= told or len(passed) == 1
    for group in walk.groups:
        assert all(item.look for item in group.items)


def test_it_goes_from_place_to_place_and_what_to_look_at_is_that_of_the_place() -> None:
    walk = Walk(boat().snapshot())
    told = {group.heading: [item.name for item in group.items] for group in walk.groups}
    assert told == {
        "engine space": ["engine space", "F1", "G1", "W1", "W2"],
        "bilge": ["bilge", "W2"],
        "saloon": ["saloon", "E9", "E10", "W2"],
    }
    looks = {group.heading: group.items[-1].look for group in walk.groups}
    assert looks["bilge"] == (
        "8 AWG printed on it",
        "supported every 18 in",
        "no chafe where it passes through or over anything",
        "type and temperature class printed on it, to be written down",
    )
    assert looks["saloon"] == ("at E9 in: fitting sound, tight", "8 AWG printed on it")
    assert looks["engine space"][0] == "at F1 out: fitting sound, tight"


def test_the_systems_are_those_of_sources_and_consumers() -> None:
    # 24 V gear on a 12 V boat belongs to a system of its own: somebody must look
    assert [system.words for system in Walk(boat().snapshot()).systems] == ["12 V DC", "24 V DC"]
    ketch = load(SAMPLES / "ketch" / "ketch.linewright").installation.snapshot()
    assert [system.key for system in Walk(ketch).systems] == ["12 V DC", "24 V DC", "120 V AC"]


def test_what_nobody_said_is_not_inspected_and_what_is_on_no_sheet_is_told() -> None:
    made = boat()
    survey = _survey(made)
    walk = Walk(made.snapshot())
    first, second, third, *_more = walk.groups[0].points
    for point, seen in ((first, "seen"), (second, "not seen"), (third, "not accessible")):
        apply(made, answered(made.snapshot(), made.last_id, survey, (point,), seen=seen))  # type: ignore[arg-type]
    apply(made, system_answered(made.snapshot(), made.last_id, survey, walk.systems[0], energised="not tested"))
    left = not_inspected(made.snapshot(), survey)
    assert [one.words for one in left.not_seen] == ["F1 fuse, engine space"]
    assert [one.words for one in left.not_accessible] == ["G1 battery bank, engine space"]
    assert len(left.unanswered) == len(walk) - 3
    assert [system.key for system, _note in left.not_tested] == ["12 V DC"]
    assert [system.key for system in left.systems_unanswered] == ["24 V DC"]
    assert {item.name for item in left.on_no_sheet} == {"G1", "F1", "E9", "E10", "W1", "W2"}  # no sheet at all
    assert left.words == f"Seen: 1 of {len(walk)} on the walk."
    assert not left.is_nothing
    # another survey has seen nothing of that
    assert not_inspected(made.snapshot(), _survey(made)).counts.open == len(walk)


def test_an_answer_of_a_whole_run_holds_in_every_place_until_one_says_otherwise() -> None:
    made = boat()
    survey = _survey(made)
    run = next(i for i, r in made.items("runs") if r.designation == "W2")
    apply(made, Put("inspections", made.new_id("inspections"), Inspection(survey=survey, at=run, seen="seen")))
    bilge = next(i for i, p in made.items("places") if p.name == "bilge")
    apply(made, answered(made.snapshot(), made.last_id, survey, (Point("runs", run, bilge),), seen="not accessible"))
    said = State(made.snapshot(), survey)
    found = {place: said.seen(Point("runs", run, place)) for place in Walk(made.snapshot()).places_of(run)}
    assert sorted(found.values()) == ["not accessible", "seen", "seen"]
    assert found[bilge] == "not accessible"


SAID = st.tuples(st.integers(0, 9), st.sampled_from(("", *SEEN)), st.sampled_from((None, "", "wet")))


@given(st.lists(SAID, max_size=12))
def test_the_last_answer_stands_and_undo_brings_all_back(said: list[tuple[int, str, str | None]]) -> None:
    made = boat()
    survey = _survey(made)
    before = made.snapshot()
    history = History(made)
    points = [point for group in Walk(before).groups for point in group.points]
    model: dict[int, tuple[str, str]] = {}
    for n, seen, note in said:
        history.do(answered(made.snapshot(), made.last_id, survey, (points[n],), seen=seen, note=note))  # type: ignore[arg-type]
        model[n] = (seen, model.get(n, ("", ""))[1] if note is None else note)
    state = State(made.snapshot(), survey)
    for n, point in enumerate(points):
        assert (state.seen(point), state.note(point)) == model.get(n, ("", ""))
    assert len(made.snapshot().inspections) == sum(any(each) for each in model.values())
    while history.undo() is not None:
        pass
    assert made.snapshot().inspections == before.inspections
