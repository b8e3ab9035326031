"""Tables inside a record, where values come from, several things at once, places made on the way."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt

from engine.edits import Put
from engine.equipment.base import Breaking
from engine.files.drawing import load
from engine.installation import Enclosure, Passage

pytestmark = pytest.mark.qt
SAMPLES = Path(__file__).parents[4] / "samples"


# -- rows ---------------------------------------------------------------------------------------------------------
def test_a_row_is_recorded_once_it_has_what_it_needs(desk: Any) -> None:
    desk.choose("F1")
    entry = desk.entry("breaking")
    mark = desk.document.history.mark
    desk.click(entry._add)
    assert "This row is recorded once it has current it can break and at this voltage." in desk.said("breaking")
    assert entry._cells[0][0].hasFocus()
    desk.write(entry._cells[0][0], "20 kA")
    assert desk.document.history.mark is mark
    desk.write(entry._cells[0][1], "32 V DC")
    assert desk.record("F1").breaking == (Breaking(20000, 32, "DC"),)
    assert desk.record("F1").origin("breaking") == "typed"
    assert desk.words == "Change breaking capacity of F1"
    assert "recorded once" not in desk.said("breaking")
    desk.step(entry._cells[0][2], "AC")
    assert desk.record("F1").breaking == (Breaking(20000, 32, "AC"),)
    desk.document.undo()
    desk.document.undo()
    assert desk.record("F1").breaking == ()
    assert desk.document.history.mark is mark
    assert entry._cells == []
    desk.document.redo()
    assert entry._cells[0][0].text() == "20 kA"


def test_rows_are_changed_and_taken_out(desk: Any) -> None:
    desk.choose("F1")
    desk.change("F1", breaking=(Breaking(20000, 32), Breaking(5000, 58)))
    entry = desk.entry("breaking")
    desk.write(entry._cells[1][0], "6 kA")
    assert [b.amps for b in desk.record("F1").breaking] == [20000, 6000]
    desk.write(entry._cells[1][0], "lots")
    assert "Current it can break: expected a current such as 1.2 kA, found 'lots'." in desk.said("breaking")
    assert [b.amps for b in desk.record("F1").breaking] == [20000, 6000]
    desk.qtbot.keyClick(entry._cells[1][0], Qt.Key.Key_Escape)
    desk.write(entry._cells[1][0], "")
    assert "is missing" in desk.said("breaking")
    desk.qtbot.keyClick(entry._cells[1][0], Qt.Key.Key_Escape)
    entry._removers[0].setFocus()
    desk.qtbot.keyClick(entry._removers[0], Qt.Key.Key_Space)
    assert [b.amps for b in desk.record("F1").breaking] == [6000]
    assert entry._cells[0][0].text() == "6 kA"
    desk.document.undo()
    assert [b.amps for b in desk.record("F1").breaking] == [20000, 6000]


def test_a_row_half_filled_outlives_changes_elsewhere_and_can_be_dropped(desk: Any) -> None:
    desk.choose("F1")
    entry = desk.entry("breaking")
    desk.click(entry._add)
    desk.write(entry._cells[0][0], "10 kA")
    desk.change("F1", label="Main", breaking=(Breaking(5000, 58),))
    assert [row[0].text() for row in entry._cells] == ["5 kA", "10 kA"]
    desk.write(entry._cells[1][1], "32 V")
    assert desk.record("F1").breaking == (Breaking(5000, 58), Breaking(10000, 32))
    desk.click(entry._add)
    desk.click(entry._removers[2])
    assert len(entry._cells) == 2
    assert desk.record("F1").breaking == (Breaking(5000, 58), Breaking(10000, 32))


def test_places_a_run_passes(desk: Any) -> None:
    desk.choose("W1")
    entry = desk.entry("places")
    desk.write(entry._cells[0][1], "1,5 m")
    assert desk.record("W1").places == (Passage(place=desk.id("Saloon"), length_m=1.5),)
    desk.click(entry._add)
    names = entry._cells[1][0].stops()[0]
    assert names.hasFocus()
    desk.step(names, "New place …")
    name = entry._cells[1][0].stops()[1]
    assert name.hasFocus()
    desk.qtbot.keyClicks(name, "Lazarette")
    desk.qtbot.keyClick(name, Qt.Key.Key_Return)
    passed = [desk.document.snapshot().name(p.place) for p in desk.record("W1").places]
    assert passed == ["Saloon", "Lazarette"]
    desk.document.undo()
    assert len(desk.record("W1").places) == 1
    assert "Lazarette" not in [p.name for p in desk.document.snapshot().places.values()]


def test_the_terminal_of_an_end_is_chosen_among_those_it_has(desk: Any) -> None:
    desk.choose("W2")
    entry = desk.entry("from_end")
    terminal = entry._cells[0][1]
    assert [terminal.itemText(i) for i in range(terminal.count())] == ["in (with W1)", "out"]
    assert terminal.currentText() == "out"
    desk.step(terminal, "in (with W1)")
    assert desk.record("W2").from_end.terminal == "in"
    assert desk.words == "Change one end of W2"
    desk.write(entry._cells[0][2], "M8 ring")
    assert (desk.record("W2").from_end.lug, desk.record("W2").from_end.terminal) == ("M8 ring", "in")
    desk.document.undo()
    desk.document.undo()
    assert desk.record("W2").from_end.terminal == "out"
    assert terminal.currentText() == "out"


def test_another_terminal_leads_the_line_anew(desk: Any, qtbot: Any) -> None:
    sample = load(SAMPLES / "launch/launch.linewright").installation
    other = type(desk)(qtbot, sample)
    snapshot = other.document.snapshot()
    routed = {route.run for route in snapshot.routes.values() if route.bends}
    run = next(
        r
        for r, record in snapshot.runs.items()
        if r in routed and len(snapshot.equipment[record.from_end.equipment].terminals()) == 2
    )
    before = {t: route for t, route in snapshot.routes.items() if route.run == run}
    other.document.select(run)
    terminal = other.entry("from_end")._cells[0][1]
    old = terminal.currentText()
    other.step(terminal, next(t for t in map(terminal.itemText, range(2)) if t != old))
    after = {t: r for t, r in other.document.snapshot().routes.items() if r.run == run}
    assert after != before
    other.document.undo()
    assert {t: r for t, r in other.document.snapshot().routes.items() if r.run == run} == before


# -- other records ------------------------------------------------------------------------------------------------
def test_a_place_is_chosen_shown_and_made_on_the_way(desk: Any) -> None:
    desk.choose("F1")
    names, new, _fixed, show = desk.entry("place").stops()
    assert names.currentText() == "none"
    assert not show.isEnabled()
    desk.step(names, "Engine room")
    assert desk.record("F1").place == desk.id("Engine room")
    assert desk.record("F1").origins == (), "nobody measures where a thing is called to stand"
    with desk.qtbot.waitSignal(desk.page.wanted) as told:
        desk.click(show)
    assert told.args == ["places", desk.id("Engine room")]
    assert desk.entry("temperature_c").text() == "60"
    desk.click(desk.page.back)
    names, new, _fixed, show = desk.entry("place").stops()
    desk.step(names, "New place …")
    assert new.hasFocus()
    desk.qtbot.keyClicks(new, "  Chain   locker ")
    desk.qtbot.keyClick(new, Qt.Key.Key_Return)
    assert desk.record("F1").place == desk.id("Chain locker")
    assert desk.words == "Set where it stands of F1 to the new Chain locker"
    assert names.currentText() == "Chain locker"
    desk.document.undo()
    assert desk.record("F1").place == desk.id("Engine room")
    assert "Chain locker" not in [p.name for p in desk.document.snapshot().places.values()]


def test_what_is_there_is_not_made_twice_and_escape_makes_nothing(desk: Any) -> None:
    desk.choose("F1")
    names, new, _fixed, _show = desk.entry("place").stops()
    desk.step(names, "New place …")
    desk.qtbot.keyClicks(new, "engine ROOM")
    desk.qtbot.keyClick(new, Qt.Key.Key_Return)
    assert desk.record("F1").place == desk.id("Engine room")
    assert len(desk.document.snapshot().places) == 2
    mark = desk.document.history.mark
    desk.step(names, "New place …")
    desk.qtbot.keyClicks(new, "Sail locker")
    desk.qtbot.keyClick(new, Qt.Key.Key_Escape)
    assert desk.document.history.mark is mark
    assert new.isHidden()
    assert names.hasFocus()
    desk.step(names, "New place …", end=Qt.Key.Key_Tab)
    assert new.isHidden()
    assert desk.document.history.mark is mark


# -- where values come from -----------------------------------------------------------------------------------------
def test_a_value_that_is_entered_says_where_it_comes_from(desk: Any) -> None:
    desk.choose("F1")
    assert desk.origin("rating_a").currentText() == "not said"
    assert desk.origin("let_through_a2s") is None, "what is not recorded comes from nowhere"
    assert desk.origin("designation") is None
    desk.write("let_through_a2s", "40 kA2s")
    assert desk.origin("let_through_a2s").currentText() == "typed"
    desk.step(desk.page.source, "nameplate", end=None)
    desk.write("holder_a", "100")
    assert desk.record("F1").origins == (("holder_a", "nameplate"), ("let_through_a2s", "typed"))
    desk.write("rating_a", "80 A ~measured")
    assert desk.record("F1").origin("rating_a") == "measured"
    desk.step(desk.origin("rating_a"), "assumed")
    assert desk.record("F1").origin("rating_a") == "assumed"
    assert desk.words == "Note where rated current of the link of F1 comes from: assumed"
    desk.document.undo()
    assert desk.origin("rating_a").currentText() == "measured"
    desk.step(desk.origin("rating_a"), "not said")
    assert desk.record("F1").origin("rating_a") is None
    assert desk.record("F1").rating_a == 80


# -- several ------------------------------------------------------------------------------------------------------
def test_several_things_are_set_in_one_edit(desk: Any) -> None:
    desk.choose("F1", "F2")
    assert desk.entry("rating_a").text() == ""
    assert desk.entry("rating_a").placeholderText() == "several values"
    assert desk.entry("rated_dc_v").placeholderText() == "several values"
    assert desk.entry("status").currentText() == "existing"
    assert "designation" not in desk.page.form.rows, "two things are never called the same"
    mark = desk.document.history.mark
    desk.qtbot.keyClick(desk.entry("rating_a"), Qt.Key.Key_Return)
    assert desk.document.history.mark is mark
    desk.write("rating_a", "63")
    assert [desk.record(f).rating_a for f in ("F1", "F2")] == [63, 63]
    assert [desk.record(f).origin("rating_a") for f in ("F1", "F2")] == ["typed", "typed"]
    assert desk.words == "Set rated current of the link of F1 and 1 more to 63 A"
    desk.step(desk.origin("rating_a"), "nameplate")
    assert [desk.record(f).origin("rating_a") for f in ("F1", "F2")] == ["nameplate", "nameplate"]
    desk.document.undo()
    desk.document.undo()
    assert [desk.record(f).rating_a for f in ("F1", "F2")] == [10, 20]
    assert desk.document.history.mark is mark
    desk.step(desk.entry("ignition_protected"), "no")
    assert [desk.record(f).ignition_protected for f in ("F1", "F2")] == [False, False]


def test_unlike_things_share_what_they_have_in_common(desk: Any) -> None:
    desk.choose("F1", "Q1", "E1")
    rows = desk.page.form.rows
    assert "rating_a" not in rows
    assert {"place", "label", "status", "used_as_switch", "breaking", "rated_dc_v"} <= rows.keys()
    assert desk.entry("place").stops()[0].placeholderText() == "several values"
    assert desk.entry("place").stops()[0].currentIndex() == -1
    desk.step(desk.entry("place").stops()[0], "Saloon")
    assert {desk.record(n).place for n in ("F1", "Q1", "E1")} == {desk.id("Saloon")}
    box = desk.entry("used_as_switch")
    desk.change("Q1", used_as_switch=True)
    assert box.checkState() == Qt.CheckState.PartiallyChecked
    box.setFocus()
    desk.qtbot.keyClick(box, Qt.Key.Key_Space)
    assert len({desk.record(n).used_as_switch for n in ("F1", "Q1", "E1")}) == 1
    desk.choose("F1", "W1")
    assert {"label", "status", "note"} <= desk.page.form.rows.keys()
    assert not {"from_end", "designation"} & desk.page.form.rows.keys()
    desk.write("label", "Saloon lights")
    assert (desk.record("F1").label, desk.record("W1").label) == ("Saloon lights", "Saloon lights")


def test_tables_that_differ_are_not_changed_for_all(desk: Any) -> None:
    desk.change("F2", breaking=(Breaking(5000, 58),))
    desk.choose("F1", "F2")
    assert "several values" in desk.said("breaking")
    assert not desk.entry("breaking")._add.isEnabled()


# -- a drawing that may not be changed ------------------------------------------------------------------------------
def test_a_read_only_drawing_says_why_and_takes_nothing(desk: Any) -> None:
    desk.document.do(Put("enclosures", "b77", Enclosure(name="Panel")))
    desk.document.read_only = "Marit has it open on chart-table."
    desk.document.headed.emit()
    for names in (("F1",), ("W1",), ("F1", "F2"), ()):
        desk.choose(*names)
        assert desk.page._locked.isVisible()
        assert desk.page._locked.text() == "Nothing can be changed here: Marit has it open on chart-table."
    before = desk.document.snapshot()
    desk.choose("W1")
    for row in desk.page.form.rows.values():
        for stop in row.entry.stops():
            locked = not stop.isEnabled() or stop.isHidden() or getattr(stop, "isReadOnly", lambda: False)()
            assert locked or stop.text() == "Show", row.label
    desk.entry("length_m").setFocus()
    desk.qtbot.keyClicks(desk.entry("length_m"), "77")
    desk.qtbot.keyClick(desk.entry("length_m"), Qt.Key.Key_Return)
    assert desk.document.snapshot() is before
    desk.document.read_only = ""
    desk.document.headed.emit()
    assert not desk.page._locked.isVisible()
    desk.write("length_m", "77")
    assert desk.record("W1").length_m == 77
