"""The sheets as the window shows them: the strokes of the printed page by owner, drawn again only where needed."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import msgspec
import pytest

from app.drawing.in_condition import in_condition, positions_shown
from app.drawing.screen import Screen
from app.drawing.sheets import pictures
from engine.check import check
from engine.edits import Edit, EditError, Put, SetFields, apply
from engine.files.drawing import load
from engine.installation import Bend, Condition, Route, Setting, Snapshot
from engine.installation.model import Installation
from engine.picture import Text

SAMPLES = Path(__file__).parents[3] / "samples"


def sample(name: str) -> Installation:
    return load(SAMPLES / name / f"{name}.linewright").installation


def shown(screen: Screen, snapshot: Snapshot, condition: str = "") -> None:
    """All sheets drawn, the pages counted."""
    screen.set(snapshot, condition)
    screen.note(check(snapshot))
    for sheet in screen.sheets:
        screen.picture(sheet, 1)
    screen.count_pages()


@pytest.mark.parametrize("name", ["launch", "ketch", "workboat"])
def test_the_screen_shows_the_strokes_of_the_printed_sheets(name: str) -> None:
    snapshot = sample(name).snapshot()
    printed = pictures(snapshot, check(snapshot))
    screen = Screen()
    shown(screen, snapshot)
    for sheet, page in zip(screen.sheets, printed, strict=False):
        picture = screen.picture(sheet, 5)
        assert (picture.sheet, picture.at) == (sheet, 5)
        assert (picture.width, picture.height) == (page.width, page.height)
        assert Counter(p for some in picture.of.values() for p in some) == Counter(page.primitives)
        assert all(p.owner == owner for owner, some in picture.of.items() for p in some)
        owners = list(picture.of)
        assert owners[0] == ""
        last = [owner.startswith("flag:") for owner in owners]
        assert last == sorted(last)
        for owner in owners[1:]:
            table = owner.partition(":")[0]
            tables = ("equipment", "runs", "enclosures", "remarks")
            assert table in ("note", "flag") or any(owner in snapshot.tables[t] for t in tables)


@pytest.mark.parametrize("name", ["launch", "ketch", "workboat"])
def test_every_note_stands_in_its_box_and_every_flag_has_its_number(name: str) -> None:
    snapshot = sample(name).snapshot()
    screen = Screen()
    shown(screen, snapshot)
    numbers, homes = screen.note(check(snapshot))
    assert sorted(numbers.values()) == list(range(1, len(numbers) + 1))
    assert set(numbers) == set(homes) == {f.key for f in check(snapshot).findings}
    told: set[int] = set()
    for sheet in screen.sheets:
        picture = screen.picture(sheet, 1)
        for number, box in picture.note_boxes.items():
            told.add(number)
            some = picture.of[f"note:{number}"]
            texts = [p for p in some if isinstance(p, Text)]
            assert texts[0].text == str(number)
            assert all(box.left - 0.1 <= t.x <= box.right and box.top <= t.y <= box.bottom for t in texts)
        for owner, some in picture.of.items():
            if owner.startswith("flag:"):
                assert owner.removeprefix("flag:") in [p.text for p in some if isinstance(p, Text)]
    assert told <= set(numbers.values())


def test_what_an_edit_leaves_as_it_was_is_not_drawn_again() -> None:
    ketch = sample("ketch")
    screen = Screen()
    shown(screen, ketch.snapshot())
    count = screen.bodies_drawn
    assert count == len(screen.sheets)
    first = {sheet: screen.picture(sheet, 1) for sheet in screen.sheets}

    def drawn_again(edit: Edit) -> int:
        before = screen.bodies_drawn
        back = apply(ketch, edit)
        shown(screen, ketch.snapshot())
        again = screen.bodies_drawn - before
        apply(ketch, back)
        return again

    some = next(i for i, run in ketch.items("runs") if run.length_m is not None)
    # what only the margin or nobody tells leaves every label where it is
    assert drawn_again(SetFields("equipment", ketch.ids("equipment")[0], (("price", 5.0),))) <= 2
    assert drawn_again(SetFields("vessel", "vessel", (("name", "Skua"),))) == 0
    assert drawn_again(SetFields("settings", "settings", (("book", "us-33cfr183"),))) == 0
    assert 1 <= drawn_again(SetFields("runs", some, (("length_m", 77.0),))) <= 2
    shown(screen, ketch.snapshot())  # and back: kept from before
    assert {sheet: screen.picture(sheet, 1) for sheet in screen.sheets} == first


EDITS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("equipment", ("designation", "label", "status", "in_position")),
    ("runs", ("designation", "size", "length_m", "status", "label")),
    ("placements", ("x", "y", "rotation")),
    ("sheets", ("title", "number", "size")),
)
VALUES = {
    "designation": "Z99",
    "label": "a long label of the owner's own words",
    "status": "to remove",
    "in_position": "open",
    "size": "6 AWG",
    "length_m": 12.3,
    "x": 61,
    "y": 37,
    "rotation": 180,
    "title": "Another title",
    "number": 9,
}


@pytest.mark.long
def test_after_any_edit_the_pictures_are_those_drawn_afresh() -> None:
    """What a body is made from must be known completely: a kept one that should not be is a wrong drawing."""
    boat = sample("launch")
    kept = Screen()
    shown(kept, boat.snapshot())
    tried = 0
    for table, fields in EDITS:
        for n, item in enumerate(boat.ids(table)):
            field = fields[n % len(fields)]  # one of each in turn: all of them take minutes
            value = "A2" if (table, field) == ("sheets", "size") else VALUES[field]
            try:
                back = apply(boat, SetFields(table, item, ((field, value),)))
            except EditError:
                continue
            _same(kept, boat.snapshot())
            apply(boat, back)
            tried += 1
    assert tried > 40


def _same(kept: Screen, snapshot: Snapshot) -> None:
    fresh = Screen()
    shown(kept, snapshot)
    shown(fresh, snapshot)
    assert kept.sheets == fresh.sheets
    for sheet in fresh.sheets:
        assert kept.picture(sheet, 1) == fresh.picture(sheet, 1)


def test_a_removed_run_and_a_route_by_hand_are_seen() -> None:
    boat = sample("launch")
    kept = Screen()
    shown(kept, boat.snapshot())
    route_id, route = next((i, r) for i, r in boat.items("routes") if len(r.bends) >= 2)
    moved = tuple(Bend(x=b.x + 1, y=b.y) for b in route.bends)
    back = apply(boat, Put("routes", route_id, msgspec.structs.replace(route, bends=moved, by_hand=True)))
    _same(kept, boat.snapshot())
    apply(boat, back)
    assert isinstance(route, Route)
    for item in [i for i, r in boat.items("routes") if r.run == route.run]:
        apply(boat, Put("routes", item))
    _same(kept, boat.snapshot())


def test_a_drawing_without_sheets_has_no_pictures_and_numbers_all_the_same() -> None:
    boat = sample("launch")
    for table in ("placements", "routes", "sheets"):
        for item in boat.ids(table):
            apply(boat, Put(table, item))
    snapshot = boat.snapshot()
    screen = Screen()
    screen.set(snapshot)
    result = check(snapshot)
    numbers, homes = screen.note(result)
    assert screen.sheets == ()
    assert not screen.count_pages()
    assert sorted(numbers.values()) == list(range(1, len(result.findings) + 1))
    assert set(homes.values()) <= {""}


def switched(boat: Installation) -> tuple[str, str]:
    """A switch of a drawing and a position it is not drawn in."""
    for item, record in boat.items("equipment"):
        for position in record.positions():
            if record.ROLE == "switch" and position != record.drawn_position():
                return item, position
    raise AssertionError


def test_in_a_condition_switches_stand_as_it_says_and_nothing_else_changes() -> None:
    boat = sample("launch")
    item, position = switched(boat)
    settings = (Setting(equipment=item, position=position),)
    apply(boat, Put("conditions", "c900", Condition(name="At the quay", settings=settings)))
    snapshot = boat.snapshot()
    turned = in_condition(snapshot, "c900")
    assert turned.equipment[item].drawn_position() == position
    assert {i for i in snapshot.equipment if turned.equipment[i] is not snapshot.equipment[i]} == {item}
    assert turned.lone == snapshot.lone
    assert in_condition(snapshot, "") is snapshot
    assert in_condition(snapshot, "c77777") is snapshot
    at = positions_shown(snapshot, "c900")
    assert at[item] == position
    assert positions_shown(snapshot, "")[item] == snapshot.equipment[item].drawn_position()
    assert at == {i: r.drawn_position() for i, r in turned.equipment.items() if r.positions()}

    screen = Screen()
    shown(screen, snapshot)
    drawn = {sheet: screen.picture(sheet, 1) for sheet in screen.sheets}
    shown(screen, snapshot, "c900")
    differ = {
        owner
        for sheet in screen.sheets
        for owner, some in screen.picture(sheet, 1).of.items()
        if drawn[sheet].of.get(owner) != some
    }
    assert item in differ
    before = screen.bodies_drawn
    shown(screen, snapshot)
    shown(screen, snapshot, "c900")
    assert screen.bodies_drawn == before  # to and fro costs nothing


class _Enough(Exception):
    pass


def test_drawing_that_was_given_up_leaves_no_trace() -> None:
    snapshot = sample("launch").snapshot()
    whole = Screen()
    shown(whole, snapshot)
    calls = 0
    stop_at = 0

    def go_on() -> None:
        nonlocal calls
        calls += 1
        if calls == stop_at:
            raise _Enough

    screen = Screen(go_on)
    screen.set(snapshot)
    screen.note(check(snapshot))
    given_up = 0
    for sheet in screen.sheets:
        for stop in (1, 2, 4):
            calls, stop_at = 0, stop
            try:
                screen.picture(sheet, 1)
            except _Enough:
                given_up += 1
        stop_at = 0
        screen.picture(sheet, 1)
    assert given_up > 2
    screen.count_pages()
    for sheet in screen.sheets:
        assert screen.picture(sheet, 1) == whole.picture(sheet, 1)
