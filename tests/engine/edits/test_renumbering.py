"""Renumbering and the lock of an issued drawing: what a person finds before and after."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.builder import Builder
from engine.circuit.expand import expand
from engine.edits import EditError, History, Put, SetFields, Several, apply
from engine.edits.renumbering import changed_letters, goes_along, renamed, renumbered
from engine.installation import Installation, Placement, Revision, Sheet, Waiver
from engine.installation.records import Remark
from engine.installation.surveying import Deficiency


def _boat(*, declared: bool = False) -> Builder:
    b = Builder()
    i = b.installation
    for n in (1, 2):
        apply(i, Put("sheets", f"s9{n}", Sheet(title=f"sheet {n}", number=n)))
    b.add("battery_bank", "G7", unit_v=12.8)
    b.add("fuse", "F3", rating_a=100)
    b.add("fuse", "F9", rating_a=10)
    b.add("load", "E5", dc_v=12, current_a=2)
    b.run("W8", "G7.pos", "F3.in")
    b.run("W2", "F3.out", "F9.in")
    b.run("W4", "F9.out", "E5.in")
    ids = {r.designation: item for item, r in i.equipment.items()}
    for n, (name, sheet, x, y) in enumerate(
        (("G7", "s91", 10, 10), ("F9", "s91", 20, 11), ("F3", "s91", 30, 10), ("E5", "s92", 10, 30)), 1
    ):
        apply(i, Put("placements", f"a8{n}", Placement(equipment=ids[name], sheet=sheet, x=x, y=y)))
    if declared:
        apply(i, SetFields("settings", "settings", (("declares_81346", True),)))
    return b


def _issue(i: Installation, index: str = "A", *, issued: bool = True) -> None:
    apply(i, Put("revisions", i.new_id("revisions"), Revision(index=index, issued=issued)))


def _names(i: Installation) -> set[str]:
    return {r.designation for t in ("equipment", "runs") for _i, r in i.items(t)}


def test_numbers_follow_the_sheets_from_the_left() -> None:
    i = _boat().installation
    made = renumbered(i.snapshot())
    apply(i, made.edit)
    assert {"G1", "F1", "F2", "E1", "W1", "W2", "W3"} == _names(i)
    by_name = {r.designation: r for r in i.equipment.values()}
    assert by_name["F1"].rating_a == 10
    assert by_name["F2"].rating_a == 100


def test_the_sheet_leads_where_it_is_asked_for() -> None:
    i = _boat().installation
    apply(i, renumbered(i.snapshot(), by="sheet").edit)
    assert {"G101", "F101", "F102", "E201", "W101", "W102", "W103"} == _names(i)


def test_one_sheet_alone_leaves_the_other_and_takes_none_of_its_names() -> None:
    i = _boat().installation
    apply(i, SetFields("equipment", _id(i, "E5"), (("designation", "F1"),)))
    apply(i, renumbered(i.snapshot(), sheet="s91").edit)
    assert {"F1", "F2", "F3"} <= _names(i)
    assert i.find("F1") == [("equipment", i.find("F1")[0][1])]


def _id(i: Installation, name: str) -> str:
    return i.find(name)[0][1]


def test_letters_of_the_kind_where_the_standard_is_declared_and_only_there() -> None:
    for declared, wanted in ((True, "F"), (False, "X")):
        i = _boat(declared=declared).installation
        apply(i, SetFields("equipment", _id(i, "F9"), (("designation", "+P1-X9"),)))
        made = renumbered(i.snapshot())
        change = next(c for c in made.changes if c.old == "+P1-X9")
        assert change.new.startswith(f"+P1-{wanted}")
        assert changed_letters(change) == declared


def test_waivers_and_words_go_along() -> None:
    i = _boat().installation
    apply(i, Put("waivers", "w91", Waiver(rule="no-label", designations=("F3", "F77"), reason="F3 is behind F30")))
    apply(i, Put("remarks", "n92", Remark(sheet="s91", text="See F3, F9 and E5A.")))
    apply(i, Put("deficiencies", "d93", Deficiency(observation="(F3) has no cover")))
    made = renumbered(i.snapshot())
    apply(i, made.edit)
    assert i.tables["waivers"]["w91"].designations == ("F2", "F77")
    assert i.tables["waivers"]["w91"].reason == "F2 is behind F30"
    assert i.tables["remarks"]["n92"].text == "See F2, F1 and E5A."
    assert i.tables["deficiencies"]["d93"].observation == "(F2) has no cover"
    assert made.texts == 3


def test_a_waiver_of_what_two_things_are_called_names_both() -> None:
    i = _boat().installation
    apply(i, SetFields("equipment", _id(i, "F9"), (("designation", "F3"),)))
    apply(i, Put("waivers", "w91", Waiver(rule="no-label", designations=("F3",))))
    apply(i, renumbered(i.snapshot()).edit)
    assert set(i.tables["waivers"]["w91"].designations) == {"F1", "F2"}


def test_what_a_waiver_alone_names_is_not_given_to_another() -> None:
    i = _boat().installation
    apply(i, Put("waivers", "w91", Waiver(rule="no-label", designations=("F1",))))
    apply(i, renumbered(i.snapshot()).edit)
    assert {"F2", "F3"} <= _names(i)
    assert "F1" not in _names(i)


# -- the lock -------------------------------------------------------------------------------------------------------
def test_an_issued_drawing_keeps_its_designations_and_says_how_to_go_on() -> None:
    i = _boat().installation
    _issue(i, "B")
    item = _id(i, "F3")
    for edit in (
        SetFields("equipment", item, (("designation", "F4"),)),
        SetFields("equipment", item, (("designation", ""),)),
        Put("runs", _id(i, "W2"), msgspec.structs.replace(i.get("runs", _id(i, "W2")), designation="W77")),
        Several((SetFields("equipment", item, (("rating_a", 80.0), ("designation", "F4"))),)),
    ):
        with pytest.raises(EditError, match=r"keeps its designation: revision B is issued.*new revision"):
            apply(i, edit)
    assert {"F3", "W2"} <= _names(i)
    assert i.get("equipment", item).rating_a == 100
    with pytest.raises(EditError, match="revision B is issued"):
        renumbered(i.snapshot())
    apply(i, SetFields("equipment", item, (("rating_a", 80.0),)))  # what is no designation may change
    b = _names(i)
    apply(i, SetFields("equipment", item, (("designation", "F3"),)))
    assert _names(i) == b


def test_a_new_revision_opens_it_and_the_old_name_stays_on_record() -> None:
    i = _boat().installation
    apply(i, SetFields("equipment", _id(i, "F3"), (("old_marking", "ANCHOR"),)))
    fuse, other = _id(i, "F3"), _id(i, "F9")
    _issue(i, "A")
    _issue(i, "B", issued=False)
    apply(i, renumbered(i.snapshot()).edit)
    assert i.get("equipment", fuse).designation == "F2"
    assert i.get("equipment", fuse).old_marking == "ANCHOR, F3"
    assert i.get("equipment", other).old_marking == "F9"
    apply(i, renamed(i.snapshot(), {fuse: "F3"}))
    assert i.get("equipment", fuse).old_marking == "ANCHOR, F2"  # what it bears again it was not formerly
    apply(i, SetFields("revisions", max(i.tables["revisions"]), (("issued", True),)))
    with pytest.raises(EditError, match="revision B"):
        apply(i, renamed(i.snapshot(), {fuse: "F8"}))


def test_a_drawing_never_issued_keeps_no_old_name() -> None:
    i = _boat().installation
    apply(i, renumbered(i.snapshot()).edit)
    assert not any(r.old_marking for r in i.equipment.values())


def test_undo_and_redo_pass_the_lock_and_so_does_an_edit_that_begins_the_revision() -> None:
    i = _boat().installation
    history = History(i)
    item = _id(i, "F3")
    history.do(SetFields("equipment", item, (("designation", "F4"),)))
    history.do(Put("revisions", "v99", Revision(index="A", issued=True)))
    history.do(
        Several((Put("revisions", "v100", Revision(index="B")), SetFields("equipment", item, (("designation", "F5"),))))
    )
    for _n in range(3):
        history.undo()
    assert i.get("equipment", item).designation == "F3"
    for _n in range(3):
        history.redo()
    assert i.get("equipment", item).designation == "F5"


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.sampled_from(["F3", "F1", "X", "", "-F2", "Ω9", "<b>4", "F003", "W8", "a1"]), min_size=4, max_size=4),
    st.sampled_from(["drawing", "sheet"]),
    st.booleans(),
)
def test_renumbering_changes_names_alone_and_gives_each_but_once(names: list[str], by: str, declared: bool) -> None:
    i = _boat(declared=declared).installation
    for item, name in zip(list(i.equipment), names, strict=True):
        apply(i, SetFields("equipment", item, (("designation", name),)))
    before = i.snapshot()
    undo = apply(i, renumbered(before, by=by).edit)  # type: ignore[arg-type]
    after = i.snapshot()
    every = [r.designation for t in ("equipment", "runs") for r in after.tables[t].values()]
    assert all(every)
    assert len({name.casefold() for name in every}) == len(every)
    assert expand(after).joined == expand(before).joined  # the circuit is what it was
    apply(i, renumbered(after, by=by).edit)  # type: ignore[arg-type]
    assert [r.designation for t in ("equipment", "runs") for r in i.snapshot().tables[t].values()] == every
    for table, item in ((t, n) for t in ("equipment", "runs") for n in after.tables[t]):
        apply(i, Put(table, item, after.tables[table][item]))
    apply(i, undo)
    assert i.snapshot() == before


def test_what_one_new_name_takes_along() -> None:
    i = _boat().installation
    item = _id(i, "F3")
    apply(i, Put("waivers", "w91", Waiver(rule="no-label", designations=("F3",))))
    assert goes_along(i.snapshot(), item, "F4") == (
        {},
        (Put("waivers", "w91", Waiver(rule="no-label", designations=("F4",))),),
    )
    _issue(i, "A")
    _issue(i, "B", issued=False)
    assert goes_along(i.snapshot(), item, "F4")[0] == {"old_marking": "F3"}
    assert goes_along(i.snapshot(), _id(i, "F9"), "F9") == ({}, ())
