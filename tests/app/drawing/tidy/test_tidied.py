"""Sheets laid out anew: nothing overlaps, everything joined as before, what was not chosen where it stood."""

from __future__ import annotations

import random
from pathlib import Path

import msgspec
import pytest

from app.drawing.changes import scene_of
from app.drawing.looks import known_names
from app.drawing.tidy import AlreadyTidy, score_of, standing, tidied, tidy_sheet
from app.drawing.tidy.taking import parts_of
from engine.builder import Builder
from engine.circuit.expand import expand
from engine.edits import EditError, Put, apply
from engine.files.drawing import load
from engine.installation import Aside, Bend, Placement, Remark, Route, Sheet, Snapshot
from engine.installation.model import Installation
from engine.pausing import GivenUp

SAMPLES = Path(__file__).parents[4] / "samples"


def put(installation: Installation, table: str, item: str, record: object) -> None:
    """Store a record."""
    apply(installation, Put(table, item, record))


def heap(installation: Installation, size: str = "A3") -> str:
    """Everything on one new sheet, in rows by id, no run led."""
    snapshot = installation.snapshot()
    put(installation, "sheets", "s900", Sheet(title="All", number=1, size=size))  # type: ignore[arg-type]
    for n, item in enumerate(snapshot.equipment):
        at = {"x": 10 + 14 * (n % 7), "y": 8 + 12 * (n // 7)}
        put(installation, "placements", f"a{900 + n}", Placement(equipment=item, sheet="s900", **at))
    return "s900"


def joined(snapshot: Snapshot, sheet: str) -> dict[str, set[str]]:
    """Which symbols each run of a sheet leads to."""
    parts = parts_of(standing(snapshot, sheet), sheet)
    return {run: {end for p in of for end in (p.near, p.far) if end} for run, of in parts.items()}


def small_boat(seed: int) -> Installation:
    """A battery, a bus, a few circuits, a charger: of no two seeds the same."""
    dice = random.Random(seed)
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.8, unit_ah=200.0)
    b.add("fuse", "F1", rating_a=200.0)
    b.add("battery_switch", "Q1")
    b.add("bus_bar", "WC1", rating_a=250.0)
    b.run("W1", "G1.pos", "F1.in", size="35 mm2", length_m=0.3)
    b.run("W2", "F1.out", "Q1.in", size="35 mm2", length_m=0.5)
    b.run("W3", "Q1.out", "WC1.bar", size="35 mm2", length_m=0.8)
    for n in range(dice.randint(1, 5)):
        b.add("fuse", f"F1{n}", label="Circuit" if n % 2 else "", rating_a=10.0)
        kind = dice.choice(["load", "motor"])
        b.add(kind, f"E{n}", label="Navigation lights" if n % 3 else "Pump")
        b.run(f"W1{n}", "WC1.bar", f"F1{n}.in", size="2.5 mm2", length_m=0.2)
        b.run(f"W2{n}", f"F1{n}.out", f"E{n}.in", size="2.5 mm2", length_m=4.0)
    if dice.random() < 0.5:
        b.add("bus_bar", "WC2", label="Panel")
        b.run("W50", "WC1.bar", "WC2.bar", size="10 mm2", length_m=2.0)
    b.add("load", "E99", label="Not connected yet")
    return b.installation


LONG = pytest.mark.long


@pytest.mark.parametrize("seed", [0, *(pytest.param(n, marks=LONG) for n in range(1, 25))])
def test_a_heap_becomes_a_sheet_on_which_nothing_overlaps(seed: int) -> None:
    boat = small_boat(seed)
    sheet = heap(boat)
    before = boat.snapshot()
    made = tidy_sheet(before, sheet)
    undo = apply(boat, made.edit)
    after = boat.snapshot()
    score = score_of(standing(after, sheet), sheet)
    assert score == made.after
    assert (score.overlaps, score.unlabelled, score.crossings) == (0, 0, 0)
    assert score.cost < score_of(standing(before, sheet), sheet).cost
    assert not scene_of(after, sheet).unrouted, "every run has its way stored"
    assert joined(after, sheet) == joined(before, sheet)
    assert after.placements.keys() == before.placements.keys()
    assert [t for t in before.tables if before.tables[t] != after.tables[t]] == ["placements", "routes"]
    assert expand(after).nodes == expand(before).nodes
    with pytest.raises(AlreadyTidy, match="already as tidy"):
        tidied(after, sheet)
    apply(boat, undo)
    assert boat.snapshot().tables == before.tables


def test_sources_stand_below_their_bus_and_loads_over_it() -> None:
    boat = small_boat(2)
    sheet = heap(boat)
    apply(boat, tidied(boat.snapshot(), sheet))
    row = {boat.get("equipment", p.equipment).designation: p.y for p in boat.snapshot().placements.values()}
    assert row["G1"] > row["F1"] > row["Q1"] > row["WC1"]
    fuses, loads = {row[d] for d in row if d[:2] == "F1" and d != "F1"}, {d: row[d] for d in row if d[0] == "E"}
    del loads["E99"]
    assert len(fuses) == 1, "fuses on one bus stand in a row"
    assert max(loads.values()) < min(fuses) < row["WC1"]


@pytest.mark.parametrize(
    ("sample", "number"),
    [
        ("ketch", 4),
        *(pytest.param(*each, marks=LONG) for each in (("launch", 1), ("ketch", 7), ("workboat", 1), ("workboat", 3))),
    ],
)
def test_sheets_of_the_samples_are_never_made_worse(sample: str, number: int) -> None:
    boat = load(SAMPLES / sample / f"{sample}.linewright").installation
    before = boat.snapshot()
    sheet = next(i for i, s in before.sheets.items() if s.number == number)
    try:
        made = tidy_sheet(before, sheet)
    except AlreadyTidy:
        return
    apply(boat, made.edit)
    after = boat.snapshot()
    assert made.after.cost < score_of(standing(before, sheet), sheet).cost
    assert made.after.overlaps == 0
    assert joined(after, sheet) == joined(before, sheet)
    others = [i for i, p in before.placements.items() if p.sheet != sheet]
    assert all(after.placements[i] is before.placements[i] for i in others)
    with pytest.raises(AlreadyTidy):
        tidied(after, sheet)


@pytest.mark.parametrize("seed", [0, 1, *(pytest.param(n, marks=LONG) for n in range(2, 25))])
def test_what_is_not_chosen_stays_and_is_kept_off(seed: int) -> None:
    boat = load(SAMPLES / "ketch" / "ketch.linewright").installation
    before = boat.snapshot()
    dice = random.Random(seed)
    sheet = dice.choice(list(before.sheets))
    here = [i for i, p in before.placements.items() if p.sheet == sheet]
    chosen = set(dice.sample(here, min(len(here) - 1, 4)))
    for item in chosen:  # in a mess: on top of each other
        p = boat.get("placements", item)
        put(boat, "placements", item, msgspec.structs.replace(p, x=60, y=40))
    messy = boat.snapshot()
    try:
        edit = tidied(messy, sheet, chosen)
    except EditError:  # no room beside what stays: said, and nothing is changed
        assert boat.snapshot().tables == messy.tables
        return
    apply(boat, edit)
    after = boat.snapshot()
    moved = {i for i in before.placements if after.placements[i] != messy.placements[i]}
    assert moved <= chosen
    assert score_of(standing(after, sheet), sheet).overlaps == 0
    assert joined(after, sheet) == joined(messy, sheet)
    loose = {i for i, r in messy.routes.items() if after.routes.get(i) != r}
    scene = standing(messy, sheet)
    ends = {part.run: {part.near, part.far} for part in scene.parts_on(sheet)}
    assert all(ends[messy.routes[i].run] & chosen for i in loose), "runs between what stays are as they were"


def test_columns_chosen_over_a_bus_stand_on_it_straight() -> None:
    boat = small_boat(4)
    sheet = heap(boat)
    apply(boat, tidied(boat.snapshot(), sheet))
    snapshot = boat.snapshot()
    of = {boat.get("equipment", p.equipment).designation: i for i, p in snapshot.placements.items()}
    tidy = {of["F10"]: snapshot.placements[of["F10"]], of["E0"]: snapshot.placements[of["E0"]]}
    for item, p in tidy.items():
        put(boat, "placements", item, msgspec.structs.replace(p, x=p.x + 3, y=p.y - 6 if item == of["F10"] else p.y))
    for item, r in snapshot.routes.items():
        if boat.get("runs", r.run).designation in ("W10", "W20"):
            put(boat, "routes", item, msgspec.structs.replace(r, bends=(Bend(x=5, y=5),), by_hand=True))
    edit = tidied(boat.snapshot(), sheet, tidy)
    assert edit.words == "Tidy F10 and E0" or "F10" in edit.words
    apply(boat, edit)
    after = boat.snapshot()
    assert after.placements[of["F10"]].x == after.placements[of["E0"]].x
    runs = {boat.get("runs", r.run).designation: r for r in after.routes.values()}
    assert runs["W10"].bends == runs["W20"].bends == ()
    assert not runs["W10"].by_hand


def test_labels_put_by_hand_are_let_go_and_others_kept() -> None:
    boat = small_boat(1)
    sheet = heap(boat)
    for item, p in boat.snapshot().placements.items():
        put(boat, "placements", item, msgspec.structs.replace(p, label=Aside(x=4, y=4)))
    put(boat, "sheets", "s901", Sheet(title="Other", number=2))
    away = next(i for i, p in boat.snapshot().placements.items() if boat.get("equipment", p.equipment).label)
    put(boat, "placements", away, msgspec.structs.replace(boat.get("placements", away), sheet="s901"))
    apply(boat, tidied(boat.snapshot(), sheet))
    after = boat.snapshot().placements
    assert after[away].label == Aside(x=4, y=4)
    assert all(p.label is None for i, p in after.items() if i != away)
    assert all(r.label is None and not r.by_hand for r in boat.snapshot().routes.values())


def test_remarks_are_kept_off() -> None:
    boat = small_boat(3)
    sheet = heap(boat)
    put(boat, "remarks", "n1", Remark(sheet=sheet, x=50, y=40, text="Bilge pumps: see the yard's list", framed=True))
    made = tidy_sheet(boat.snapshot(), sheet)
    apply(boat, made.edit)
    assert made.after.overlaps == 0
    for p in standing(boat.snapshot(), sheet).on(sheet):
        assert not (p.box.right > 50 and p.box.left < 74 and p.box.bottom > 40 and p.box.top < 43), p.record.designation


def test_no_room_is_said_and_nothing_else() -> None:
    boat = Builder()
    for n in range(30):
        boat.add("load", f"E{n}", label="A load with a long name")
    sheet = heap(boat.installation, "A4")
    with pytest.raises(EditError, match=r"^There is no room on sheet 1 to lay it out anew"):
        tidied(boat.installation.snapshot(), sheet)


@pytest.mark.parametrize("label", ["", "x" * 200, "<b>&=1+1", "\N{ANCHOR}\ufe0f \N{GRINNING FACE}", "مضخة الماء"])
def test_odd_labels(label: str) -> None:
    b = Builder()
    b.add("battery_bank", "G1", label=label)
    b.add("fuse", "", label=label, rating_a=-5.0)
    sheet = heap(b.installation)
    try:
        made = tidy_sheet(b.installation.snapshot(), sheet)
    except AlreadyTidy:  # a word wider than the sheet finds no better place anywhere
        assert len(label) > 100
    else:
        assert made.after.overlaps == 0


def test_nothing_to_tidy_is_said() -> None:
    b = Builder()
    b.add("load", "E1")
    snapshot = b.installation.snapshot()
    with pytest.raises(EditError, match="There is no sheet to tidy"):
        tidied(snapshot, "s1")
    put(b.installation, "sheets", "s1", Sheet(number=3))
    with pytest.raises(EditError, match="There is nothing on sheet 3 to tidy"):
        tidied(b.installation.snapshot(), "s1")
    put(b.installation, "placements", "a1", Placement(equipment=next(iter(snapshot.equipment)), sheet="s1", x=20, y=20))
    with pytest.raises(EditError, match="Nothing on sheet 3 is chosen"):
        tidied(b.installation.snapshot(), "s1", ["a77"])


def test_giving_up_leaves_nothing_half_done() -> None:
    boat = small_boat(5)
    sheet = heap(boat)
    before = boat.snapshot()
    left = 3

    def go_on() -> None:
        nonlocal left
        left -= 1
        if not left:
            raise GivenUp

    with pytest.raises(GivenUp):
        tidied(before, sheet, go_on=go_on)
    assert boat.snapshot().tables == before.tables


def test_references_to_other_sheets_are_kept() -> None:
    boat = load(SAMPLES / "ketch" / "ketch.linewright").installation
    before = boat.snapshot()
    sheet = next(i for i, s in before.sheets.items() if s.number == 5)
    for n, (item, p) in enumerate((i, p) for i, p in before.placements.items() if p.sheet == sheet):
        put(boat, "placements", item, msgspec.structs.replace(p, x=10 + 14 * (n % 7), y=8 + 12 * (n // 7)))
    messy = boat.snapshot()
    apply(boat, tidied(messy, sheet))
    after = boat.snapshot()
    assert joined(after, sheet) == joined(messy, sheet)
    for other in before.sheets:
        if other != sheet:
            assert joined(after, other) == joined(before, other)
    kept = [r for i, r in before.routes.items() if r.sheet != sheet]
    assert all(r in after.routes.values() for r in kept)
    assert isinstance(next(iter(after.routes.values())), Route)


def test_a_symbol_chosen_for_one_placement_stays_and_has_its_room() -> None:
    boat = small_boat(2)
    sheet = heap(boat)
    before = boat.snapshot()
    load_ = next(i for i, p in before.placements.items() if boat.get("equipment", p.equipment).KIND == "load")
    other = next(name for name in known_names("load") if name != "load")
    put(boat, "placements", load_, msgspec.structs.replace(before.placements[load_], symbol=other))
    made = tidy_sheet(boat.snapshot(), sheet)
    apply(boat, made.edit)
    assert boat.get("placements", load_).symbol == other
    assert made.after.overlaps == 0
