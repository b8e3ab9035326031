"""What goes takes with it whatever names it, and runs end loose."""

from __future__ import annotations

import pytest

from engine.builder import Builder
from engine.edits import EditError, Put, SetFields, apply
from engine.edits.removing import Loose, remove
from engine.files.drawing import dump, read_bytes
from engine.installation import Condition, ConditionDuty, Deficiency, Placement, Route, Setting, Sheet


def boat() -> Builder:
    b = Builder()
    b.add("battery_bank", "G1")
    b.add("battery_switch", "Q1")
    b.add("battery_switch", "Q2")
    b.add("load", "E1")
    b.run("W1", "G1.pos", "Q1.in", length_m=1.5)
    b.run("W2", "Q1.out", "E1.in")
    b.run("W3", "G1.pos", "Q2.in")
    b.interlock("Q1", "Q2", name="either")
    b.condition("Away", Q1="open", Q2="closed")
    b.waive("no-protection", "Q1")
    return b


def at(b: Builder, name: str) -> str:
    return b.installation.find(name)[0][1]


def do(b: Builder, *names: str, **how: bool) -> str:
    x = b.installation
    edit = remove(x.snapshot(), x.last_id, [at(b, n) for n in names], **how)
    apply(x, edit)
    opened = read_bytes(dump(x))
    assert not opened.read_only, "nothing dangles"
    return edit.words


def test_runs_end_loose_and_keep_what_is_known_of_the_cable() -> None:
    b = boat()
    x = b.installation
    end = x.get("runs", at(b, "W1")).to_end
    import msgspec

    end = msgspec.structs.replace(end, lug="ring", stud="M8", torque_nm=9.0, marker="12")
    apply(x, SetFields("runs", at(b, "W1"), (("to_end", end),)))
    words = do(b, "Q1")
    assert words == "Remove Q1; interlock “either” goes too"
    assert {r.designation for r in x.equipment.values()} == {"G1", "Q2", "E1", "X1", "X2"}
    w1 = x.get("runs", at(b, "W1"))
    assert w1.length_m == 1.5
    assert (w1.to_end.lug, w1.to_end.marker, w1.to_end.stud, w1.to_end.torque_nm) == ("ring", "12", "", None)
    assert x.equipment[w1.to_end.equipment].KIND == "open_end"
    assert [s.equipment for s in next(iter(x.tables["conditions"].values())).settings] == [at(b, "Q2")]
    assert not x.tables["interlocks"]
    assert len(x.tables["waivers"]) == 1, "a waiver names designations only"


def test_with_runs_they_go_too() -> None:
    b = boat()
    words = do(b, "Q1", with_runs=True)
    assert words.startswith("Remove Q1 with 2 runs")
    assert {r.designation for r in b.installation.runs.values()} == {"W3"}
    assert {r.designation for r in b.installation.equipment.values()} == {"G1", "Q2", "E1"}


def test_a_run_between_what_goes_goes_too_and_a_chosen_one_goes() -> None:
    b = boat()
    do(b, "Q1", "E1", "W1")
    assert {r.designation for r in b.installation.runs.values()} == {"W3"}


def test_an_open_end_left_without_a_run_goes() -> None:
    b = boat()
    do(b, "E1")
    assert b.installation.find("X1")
    do(b, "W2")
    assert not b.installation.find("X1")


def test_everything_else_that_names_it_is_put_right() -> None:
    b = boat()
    x = b.installation
    b.add("battery_management", "K1", batteries=(at(b, "G1"),), opens=(at(b, "Q1"), at(b, "Q2")))
    condition = Condition(
        name="Under way",
        settings=(Setting(equipment=at(b, "Q1"), position="closed"),),
        running=(at(b, "G1"),),
        duties=(ConditionDuty(equipment=at(b, "E1"), hours_a_day=2.0),),
    )
    apply(x, Put("conditions", x.new_id("conditions"), condition))
    apply(x, Put("deficiencies", x.new_id("deficiencies"), Deficiency(at=at(b, "E1"), observation="loose")))
    do(b, "E1", "G1", "Q1")
    bms = x.equipment[at(b, "K1")]
    assert (bms.batteries, bms.opens) == ((), (at(b, "Q2"),))
    left = next(c for c in x.tables["conditions"].values() if c.name == "Under way")
    assert (left.settings, left.running, left.duties) == ((), (), ())
    assert next(iter(x.tables["deficiencies"].values())).at == "E1"


def drawn() -> Builder:
    b = boat()
    x = b.installation
    b._new("sheets", Sheet(number=1))
    b._new("sheets", Sheet(number=2))
    one, two = x.ids("sheets")
    for n, name in enumerate(("G1", "Q1", "E1")):
        b._new("placements", Placement(equipment=at(b, name), sheet=one, x=20 + 10 * n, y=30))
    b._new("placements", Placement(equipment=at(b, "Q1"), sheet=two, x=20, y=30, terminals=("out",)))
    first = next(i for i, p in x.items("placements") if p.equipment == at(b, "Q1"))
    apply(x, SetFields("placements", first, (("terminals", ("in",)),)))
    b._new("routes", Route(run=at(b, "W1"), sheet=one))
    return b


def test_one_of_two_symbols_hands_its_terminals_over() -> None:
    b = drawn()
    x = b.installation
    first, second = [i for i, p in x.items("placements") if p.equipment == at(b, "Q1")]
    edit = remove(x.snapshot(), x.last_id, [second])
    assert edit.words == "Remove a symbol of Q1"
    apply(x, edit)
    assert x.find("Q1")
    assert x.get("placements", first).terminals == (), "it shows all now"
    apply(x, remove(x.snapshot(), x.last_id, [first]))
    assert not x.find("Q1")


def test_a_loose_end_stands_where_it_is_told() -> None:
    b = drawn()
    x = b.installation
    sheet = x.ids("sheets")[0]
    apply(x, remove(x.snapshot(), x.last_id, [at(b, "E1")], where=lambda run, end: Loose(sheet, 7, 8, 90)))
    placed = next(p for p in x.tables["placements"].values() if p.equipment == at(b, "X1"))
    assert (placed.x, placed.y, placed.rotation) == (7, 8, 90)
    b = drawn()
    x = b.installation
    apply(x, remove(x.snapshot(), x.last_id, [at(b, "E1")]))
    placed = next(p for p in x.tables["placements"].values() if p.equipment == at(b, "X1"))
    assert (placed.x, placed.y) == (40, 30), "where the symbol stood"


def test_what_is_not_there_is_told() -> None:
    b = boat()
    with pytest.raises(EditError, match="There is nothing 'e99' on the drawing to remove"):
        remove(b.installation.snapshot(), 0, ["e99"])
