"""Lugs and heat-shrink from the ends of runs; fuses, holders, spares; labels. Counted by hand."""

from __future__ import annotations

from typing import Any

import pytest

from app.handover.labels.label import Label
from app.handover.labels.signs import Sign
from app.handover.parts.ends import lug_table, sleeve_table
from app.handover.parts.equipment import equipment_table
from app.handover.parts.fuses import holder_table, link_table, spares
from app.handover.parts.labels import label_table
from app.handover.parts.order import lines
from app.handover.parts.wanted import PartsWanted
from app.paper.table import Table, as_rows
from engine.builder import Builder
from engine.edits import Put, SetFields, apply
from engine.equipment.switching.switching_module import Channel
from engine.installation import Enclosure, End
from engine.installation.records import Run

USUAL = PartsWanted()


def boat() -> Builder:
    made = Builder()
    made.add("bus_bar", "WC1")
    made.add("bus_bar", "WC2")
    return made


def lay(made: Builder, name: str, start: dict[str, Any], end: dict[str, Any], **fields: Any) -> None:
    made.run(name, "WC1.bar", "WC2.bar", **{"status": "new", **fields})
    item = next(item for item, run in made.installation.runs.items() if run.designation == name)
    run: Run = made.installation.runs[item]
    ends = (
        ("from_end", End(equipment=run.from_end.equipment, terminal="bar", **start)),
        ("to_end", End(equipment=run.to_end.equipment, terminal="bar", **end)),
    )
    apply(made.installation, SetFields("runs", item, ends))


def lugs(made: Builder) -> Table:
    return lug_table(made.installation.snapshot())


def counted(table: Table) -> dict[tuple[Any, ...], int]:
    return {(r["conductor"], r["stud"], r["fitting"]): r["quantity"] for r in as_rows(table)}


# -- lugs -------------------------------------------------------------------------------------------------------------
def test_one_lug_a_conductor_at_both_ends_and_for_every_parallel_one() -> None:
    made = boat()
    lay(made, "W1", {"stud": "M8"}, {"stud": "M10"}, size="70 mm2", parallel=3)  # a pair: + and -
    lay(made, "W2", {"stud": "M8"}, {"stud": "M8"}, size="70 mm2", function="dc negative")
    lay(made, "W3", {"stud": "M8"}, {"stud": "M8"}, size="70 mm2", status="existing")
    assert counted(lugs(made)) == {("70 mm²", "M8", None): 3 * 2 + 2, ("70 mm²", "M10", None): 3 * 2}


def test_the_earth_conductor_has_its_own_size() -> None:
    made = boat()
    lay(made, "W1", {"stud": "M6"}, {"stud": "M6"}, function="ac", size="6 mm2", earth_size="10 mm2")
    assert counted(lugs(made)) == {("6 mm²", "M6", None): 4, ("10 mm²", "M6", None): 2}


def test_the_stud_may_stand_in_the_name_of_the_fitting_and_spelling_does_not_part() -> None:
    made = boat()
    lay(made, "W1", {"lug": "M8 ring"}, {"lug": "m8  Ring", "stud": "m8"}, size="16 mm2", function="dc positive")
    lay(made, "W2", {"lug": '5/16" ring'}, {"lug": "fork", "stud": "#10"}, size="16 mm2", function="dc positive")
    found = as_rows(lugs(made))
    assert {(r["stud"], r["quantity"]) for r in found} == {("M8", 2), ('5/16"', 1), ("#10", 1)}
    assert {r["code"] for r in found} == {"LUG-16MM2-M8-RING", 'LUG-16MM2-5/16"-RING', "LUG-16MM2-#10-FORK"}


def test_what_is_not_known_is_counted_and_guessed_no_further() -> None:
    made = boat()
    lay(made, "W1", {}, {"stud": "M8"}, size="16 mm2", function="dc positive")
    lay(made, "W2", {"stud": "M8"}, {"stud": "M8"}, function="dc positive")
    table = lugs(made)
    assert counted(table) == {("16 mm²", "M8", None): 1, ("16 mm²", None, None): 1, (None, "M8", None): 2}
    assert [r["code"] for r in as_rows(table)] == ["LUG-16MM2-M8", "", ""]
    assert table.notes[-1].startswith("Of 3 conductor ends stud and fitting, or size, are not known")
    (sleeve,) = as_rows(sleeve_table(made.installation.snapshot(), USUAL))
    assert sleeve["lugs"] == 1


def test_a_loose_end_has_no_lug() -> None:
    made = boat()
    made.add("open_end", "X1")
    made.run("W1", "WC1.bar", "X1.at", status="new", size="16 mm2", function="dc positive")
    assert sum(r["quantity"] for r in as_rows(lugs(made))) == 1


# -- heat-shrink ------------------------------------------------------------------------------------------------------
def test_heat_shrink_by_size_and_colour_with_a_stated_length() -> None:
    made = boat()
    end = {"stud": "M8"}
    lay(made, "W1", end, end, size="70 mm2", colour="red/black", parallel=2)
    lay(made, "W2", end, end, size="6 mm2", colour="red", function="dc positive")
    found = {
        (r["conductor"], r["colour"], r["lugs"], r["each_mm"], r["length_m"])
        for r in as_rows(sleeve_table(made.installation.snapshot(), USUAL))
    }
    # 4 lugs x 75 mm = 0.3 m; 2 lugs x 30 mm = 0.06 m
    assert found == {
        ("70 mm²", "red", 4, 75.0, 0.3),
        ("70 mm²", "black", 4, 75.0, 0.3),
        ("6 mm²", "red", 2, 30.0, 0.06),
    }
    asked = sleeve_table(made.installation.snapshot(), PartsWanted(shrink_mm=40.0))
    assert {r["each_mm"] for r in as_rows(asked)} == {40.0}
    assert asked.notes[0] == "Length on each lug as asked for."


def test_ferrules_have_no_sleeve() -> None:
    made = boat()
    lay(made, "W1", {"lug": "ferrule"}, {"lug": "M5 ring"}, size="6 mm2", function="dc positive")
    (sleeve,) = as_rows(sleeve_table(made.installation.snapshot(), USUAL))
    assert sleeve["lugs"] == 1


# -- fuses ------------------------------------------------------------------------------------------------------------
def test_a_fuse_needs_a_holder_unless_it_sits_in_one() -> None:
    made = boat()
    apply(made.installation, Put("enclosures", "b1", Enclosure(name="Main DC box")))
    made.add("fuse", "F1", status="new", fuse_class="class T", rating_a=200, quantity=2)
    made.add("fuse", "F2", status="new", fuse_class="class T", rating_a=200, enclosure="b1", position="1")
    made.add("fuse", "F3", status="new", fuse_class="class T", rating_a=200, holder_a=400)
    made.add("fuse", "F4", status="new", fuse_class="class T", rating_a=200, supplied_with_equipment=True)
    made.add("fuse", "F5", status="new", rating_a=30)
    made.add("fuse", "F6", fuse_class="class T", rating_a=200)
    table = holder_table(made.installation.snapshot())
    assert [(r["quantity"], r["fuse_class"], r["rating_a"], r["fuses"]) for r in as_rows(table)] == [
        (2, "class T", 200, "F1"),
        (1, None, 30, "F5"),
    ]
    assert as_rows(table)[0]["code"] == "HOLDER-CLASST-200A"
    gap = (
        "In no line: holders at a position in Main DC box (F2). Whether they come with the enclosure or are to be "
        "bought is not recorded."
    )
    assert gap in table.notes
    snapshot = made.installation.snapshot()
    box = (
        "In no line: the enclosures that new equipment stands in, Main DC box. Whether they are aboard or to be bought"
    )
    assert any(note.startswith(box) for note in equipment_table(snapshot).notes)
    asked = [
        line for line in lines(snapshot, USUAL) if line.unknown == "the drawing does not record whether it is bought"
    ]
    assert [(line.what, line.quantity) for line in asked] == [("Enclosure Main DC box, fuse holders for F2", None)]
    assert "No holder is ordered for those that sit in a holder, as recorded: F3." in table.notes
    assert "No holder is ordered for those that came with the equipment they serve: F4." in table.notes
    assert "Of 1 holder the class or rating is not known." in table.notes


def test_a_new_holder_needs_its_link_and_a_module_has_its_own() -> None:
    made = boat()
    made.add("fuse_holder", "F1", status="new", link_class="class T", link_a=100, part_number="H-1")
    made.add("fuse_holder", "F2", status="new", link_class="class T")
    made.add("switching_module", "K1", status="new", channels=(Channel(number=1, fuse_a=10), Channel(number=2)))
    rows = as_rows(link_table(made.installation.snapshot(), USUAL))
    assert [(r["quantity"], r["rating_a"], r["in_holders"], r["spare"], r["part_number"]) for r in rows] == [
        (1 + 2, 100, 1, 2, ""),
        (None, None, 1, None, ""),
        (2, 10, 0, 2, ""),
    ]
    assert "Of 1 link the rating is not known" in link_table(made.installation.snapshot(), USUAL).notes[-1]


@pytest.mark.parametrize(
    ("fitted", "spare"),
    # 20 % of 10 is 2, of 11 is 2.2 and rounded up 3, of 1 is 1 but at least 2
    [(0, 0), (1, 2), (10, 2), (11, 3), (15, 3), (16, 4), (100, 20)],
)
def test_spares_by_the_rule(fitted: int, spare: int) -> None:
    assert spares(fitted, USUAL) == spare


def test_the_rule_for_spares_can_be_another() -> None:
    assert spares(10, PartsWanted(spare_percent=33.3, spare_least=0)) == 4
    assert spares(1, PartsWanted(spare_percent=0, spare_least=0)) == 0
    # what binary makes of 0.1 would round 30.000000000000004 up to 31
    assert spares(300, PartsWanted(spare_percent=10.0, spare_least=0)) == 30


def test_spares_by_class_rating_and_part() -> None:
    made = boat()
    for n in range(1, 13):
        made.add("fuse", f"F{n}", status="new", fuse_class="blade ISO 8820-3", rating_a=10, part_number="B-10")
    made.add("fuse", "F20", status="new", fuse_class="blade ISO 8820-3", rating_a=15, part_number="B-15")
    table = link_table(made.installation.snapshot(), USUAL)
    assert [(r["part_number"], r["fitted"], r["quantity"]) for r in as_rows(table)] == [("B-10", 12, 3), ("B-15", 1, 2)]
    assert "20 % of what is new, rounded up, at least 2 (common practice, no source)" in table.notes[0]


# -- labels -----------------------------------------------------------------------------------------------------------
def test_labels_of_what_is_new_and_the_signs_that_are_missing() -> None:
    made = boat()
    lay(made, "W1", {}, {}, function="dc positive")
    lay(made, "W2", {}, {}, function="dc positive", status="existing")
    made.add("fuse", "F1", status="new", label="Radio")
    there = Sign("several sources", "panel 1", "there", "", Label("signs", "panel", ("LIVE",)))
    gone = there._replace(state="missing", label=None)
    told = there._replace(state="missing")
    snapshot = made.installation.snapshot()
    table = label_table(snapshot, (there, gone, told, told))
    rows = {r["code"]: r["quantity"] for r in as_rows(table)}
    assert rows == {"LABEL-RUN": 2, "LABEL-DEVICE": 1, "LABEL-SIGN": 2}
    assert label_table(snapshot).notes == ("Warning signs are not among them: the drawing was not checked.",)


def test_a_fuse_of_no_named_class_is_called_by_its_noted_form_everywhere() -> None:
    made = Builder()
    form = "cylindrical link 10.3 × 38 mm"
    made.add("fuse", "F21", status="new", fuse_class="other", rating_a=10, note=form)
    made.add("fuse", "F22", status="new", fuse_class="other", rating_a=10, note="cylindrical link 14 × 51 mm")
    snapshot = made.installation.snapshot()
    assert form in as_rows(equipment_table(snapshot))[0]["ratings"]
    assert len(as_rows(equipment_table(snapshot))) == 2  # two forms are two things to order
    assert {r["fuse_class"] for r in as_rows(link_table(snapshot, USUAL))} == {form, "cylindrical link 14 × 51 mm"}
    assert form in {r["fuse_class"] for r in as_rows(holder_table(snapshot))}
    assert f"Spare fuse, {form}, 10 A" in [line.what for line in lines(snapshot, USUAL)]


def test_fuses_aboard_have_no_spares_here_and_it_is_said() -> None:
    made = Builder()
    made.add("fuse", "F13", fuse_class="blade ISO 8820-3", rating_a=15)
    (note,) = [n for n in link_table(made.installation.snapshot(), USUAL).notes if n.startswith("No spares")]
    assert "blade ISO 8820-3 15 A (F13)" in note
    assert "Whether spares of them are aboard is not recorded" in note
