"""From "F3.rating_a" to the field of a record: by designation, by the name of a place, by what the gap speaks of."""

from __future__ import annotations

import pytest

from engine.builder import Builder
from engine.findings import NotJudged
from engine.installation import Snapshot
from engine.wanted import WantedFields


def _gap(*missing: str, ids: tuple[str, ...] = ()) -> NotJudged:
    return NotJudged(rule="no-protection", would_be="danger", designations=(), ids=ids, missing=missing)


@pytest.fixture
def snapshot() -> Snapshot:
    b = Builder(name="Knot")
    b.place("Engine room", "", 30)
    b.place("Locker No. 2", "", None)
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F3")
    b.add("fuse", "F9", label="one")
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "F3.in")
    b.run("", "F3.out", "E1.in")
    return b.installation.snapshot()


def _id(snapshot: Snapshot, name: str) -> str:
    every = {**snapshot.equipment, **snapshot.runs}
    return next(item for item, record in every.items() if record.designation == name)


def test_equipment_runs_and_places_are_found_by_what_they_are_called(snapshot: Snapshot) -> None:
    found = WantedFields(snapshot).of(_gap("F3.rating_a", "W1.length_m", "Engine room.kind", "Locker No. 2.kind"))
    assert [w.text for w in found] == [
        "F3: rated current of the link",
        "W1: length, one way",
        "Engine room: kind of place",
        "Locker No. 2: kind of place",
    ]
    assert [(w.item, w.field) for w in found[:2]] == [
        (_id(snapshot, "F3"), "rating_a"),
        (_id(snapshot, "W1"), "length_m"),
    ]


def test_a_run_without_designation_is_the_one_the_gap_speaks_of(snapshot: Snapshot) -> None:
    run = _id(snapshot, "")
    (found,) = WantedFields(snapshot).of(_gap("run from F3 to E1.size", ids=(run,)))
    assert (found.item, found.field) == (run, "size")
    (found,) = WantedFields(snapshot).of(_gap(f"{run}.size", ids=(run,)))
    assert (found.item, found.field) == (run, "size")


def test_of_two_of_one_name_the_one_the_gap_speaks_of() -> None:
    b = Builder(name="Knot")
    b.add("fuse", "F3")
    b.add("fuse", "F3")
    snapshot = b.installation.snapshot()
    ids = list(snapshot.equipment)
    assert len(ids) == 2
    fields = WantedFields(snapshot)
    assert [w.item for w in fields.of(_gap("F3.rating_a", ids=(ids[1],)))] == [ids[1]]
    assert [w.item for w in fields.of(_gap("F3.rating_a"))] == ids  # nobody says which: both are asked for


def test_each_field_once_and_what_is_no_field_not_at_all(snapshot: Snapshot) -> None:
    fields = WantedFields(snapshot)
    assert len(fields.of(_gap("F3.rating_a", "F3.rating_a"))) == 1
    assert fields.of(_gap("equipment.csv line 3: no such kind", "F3.no_such_field", "F3", "", ".", "Z9.rating_a")) == ()
