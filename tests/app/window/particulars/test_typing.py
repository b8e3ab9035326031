"""What a person types into the particulars: read as lists read it, one edit, and never lost."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QApplication, QLabel, QMainWindow
from pytestqt.qtbot import QtBot

from engine.edits import SetFields

pytestmark = pytest.mark.qt


def test_ten_feet_are_read_and_shown_in_metres(desk: Any) -> None:
    desk.choose("W1")
    desk.write("length_m", "10 ft")
    assert desk.record("W1").length_m == 3.048
    assert desk.entry("length_m").text() == "3.048"
    assert desk.words == "Set length, one way of W1 to 3.048 m"
    desk.document.undo()
    assert desk.record("W1").length_m == 0.1
    assert desk.entry("length_m").text() == "0.1"
    desk.document.redo()
    assert desk.entry("length_m").text() == "3.048"


@pytest.mark.parametrize(
    ("item", "field", "text", "value", "shown"),
    [
        ("W1", "length_m", "3,5 m", 3.5, "3.5"),
        ("W1", "length_m", "350 cm", 3.5, "3.5"),
        ("W1", "size", "2/0", "2/0 AWG", "2/0 AWG"),
        ("W1", "size", "35 mm2", "35 mm2", "35 mm²"),
        ("W1", "insulation_c", "221 °F", 105.0, "105"),
        ("W1", "bundle", "3", 3, "3"),
        ("F1", "rating_a", "1.2 kA", 1200.0, "1.2 kA"),
        ("F1", "rating_a", "125", 125.0, "125"),
        ("F1", "label", "  Nav lights ", "Nav lights", "Nav lights"),
        ("F1", "label", "?", "?", "?"),
        ("F1", "label", "'s old fuse ~typed", "'s old fuse ~typed", "'s old fuse ~typed"),
        ("G1", "charge_v", "14.25 V", 14.25, "14.25"),
        ("G1", "internal_resistance_ohm", "2.5 mohm", 0.0025, "2.5 mΩ"),
    ],
)
def test_what_is_typed_is_read_as_in_a_list(
    desk: Any, item: str, field: str, text: str, value: object, shown: str
) -> None:
    desk.choose(item)
    before = getattr(desk.record(item), field)
    desk.write(field, text, end=Qt.Key.Key_Tab)
    assert getattr(desk.record(item), field) == value
    assert desk.entry(field).text() == shown
    desk.document.undo()
    assert getattr(desk.record(item), field) == before


def test_in_feet_a_bare_number_is_in_the_unit_shown_behind_it(desk: Any) -> None:
    desk.document.do(SetFields("settings", "settings", (("units", "US"),)))
    desk.choose("W2")
    assert desk.entry("length_m").text() == "6 ft 6.7 in"
    desk.write("length_m", "10")
    assert desk.record("W2").length_m == 3.048
    assert desk.entry("length_m").text() == "10"
    assert "A bare number is in ft." in desk.entry("length_m").accessibleDescription()
    desk.write("length_m", "2 m")
    assert desk.record("W2").length_m == 2.0


def test_unchanged_text_makes_no_edit(desk: Any) -> None:
    desk.choose("W2")
    mark = desk.document.history.mark
    for field in ("length_m", "size", "label", "bundle"):
        desk.entry(field).setFocus()
        desk.qtbot.keyClick(desk.entry(field), Qt.Key.Key_Return)
    desk.write("length_m", "2.0 m")  # the same, written differently
    assert desk.document.history.mark is mark
    assert desk.entry("length_m").text() == "2"
    desk.document.do(SetFields("settings", "settings", (("units", "US"),)))
    mark = desk.document.history.mark
    desk.entry("length_m").setFocus()
    desk.qtbot.keyClick(desk.entry("length_m"), Qt.Key.Key_Tab)
    assert desk.document.history.mark is mark, "what is shown rounded is not taken for what was typed"


def test_empty_says_not_known_and_takes_its_source_with_it(desk: Any) -> None:
    desk.choose("F1")
    desk.write("rating_a", "16")
    assert desk.record("F1").origin("rating_a") == "typed"
    desk.write("rating_a", "")
    assert desk.record("F1").rating_a is None
    assert desk.record("F1").origin("rating_a") is None
    assert desk.entry("rating_a").placeholderText() == "not recorded"
    assert desk.words == "Leave rated current of the link of F1 open"
    desk.document.undo()
    assert (desk.record("F1").rating_a, desk.record("F1").origin("rating_a")) == (16.0, "typed")
    desk.write("rating_a", "unknown")
    assert desk.record("F1").rating_a is None


@pytest.mark.parametrize(
    ("item", "field", "text", "why"),
    [
        ("F1", "rating_a", "abc", "Expected a current such as 1.2 kA, found 'abc'. The drawing keeps: 10 A."),
        ("F1", "rating_a", "0", "Expected more than 0 A, found 0 A; where it is not known, leave it empty."),
        ("F1", "rating_a", "5 m", "Expected a current such as 1.2 kA, found '5 m'."),
        ("F1", "rating_a", "1,200", "'1,200' can be read as 1200 or as 1.200: write it without the comma."),
        ("F1", "quantity", "", "A value is needed here, found ''. The drawing keeps: 1."),
        ("F1", "quantity", "1.5", "Expected a whole number, found '1.5'."),
        ("W1", "size", "10", "'10' can be 10 AWG or 10 mm2: write which. The drawing keeps: 14 AWG."),
        ("W1", "length_m", "-1", "Expected 0 m or more, found -1 m."),
        ("F1", "rated_dc_v", "230 VAC", "'230 VAC' says AC, which rated_dc_v does not take."),
    ],
)
def test_a_wrong_entry_says_why_keeps_the_old_value_and_the_text(
    desk: Any, item: str, field: str, text: str, why: str
) -> None:
    desk.choose(item)
    before, mark = desk.record(item), desk.document.history.mark
    desk.write(field, text, end=Qt.Key.Key_Tab)
    assert desk.record(item) == before
    assert desk.document.history.mark is mark
    assert why in desk.said(field)
    assert why in desk.entry(field).accessibleDescription(), "a screen reader hears it too"
    assert desk.entry(field).text() == text, "it stays for mending"
    desk.entry(field).setFocus()
    desk.qtbot.keyClick(desk.entry(field), Qt.Key.Key_Escape)
    assert "xpected" not in desk.said(field)
    assert desk.entry(field).text() == desk.page.form.rows[field].entry._shown != text


def test_a_wrong_entry_can_be_mended(desk: Any) -> None:
    desk.choose("F1")
    desk.write("rating_a", "1x0")
    assert "found '1x0'" in desk.said("rating_a")
    desk.write("rating_a", "160")
    assert desk.record("F1").rating_a == 160
    assert "found" not in desk.said("rating_a")


def test_what_could_not_be_read_is_there_when_one_comes_back(desk: Any) -> None:
    desk.choose("F1")
    desk.write("rating_a", "1x0", end=None)
    desk.choose("F2")
    assert desk.entry("rating_a").text() == "20"
    assert "found" not in desk.said("rating_a")
    desk.choose("F1")
    assert desk.entry("rating_a").text() == "1x0"
    assert "found '1x0'" in desk.said("rating_a")


def test_what_can_be_read_is_given_when_something_else_is_chosen(desk: Any) -> None:
    desk.choose("F1")
    desk.write("rating_a", "63", end=None)
    desk.choose("F2")
    assert desk.record("F1").rating_a == 63
    assert desk.record("F2").rating_a == 20


def test_undo_elsewhere_neither_takes_the_focus_nor_what_is_half_typed(desk: Any) -> None:
    desk.choose("F1")
    desk.change("F1", label="Anchor light", rating_a=25)
    assert desk.entry("label").text() == "Anchor light"
    desk.write("rating_a", "3", end=None)
    line = desk.entry("rating_a")
    desk.document.undo()
    assert line.hasFocus()
    assert line.text() == "3"
    assert desk.entry("label").text() == ""
    desk.qtbot.keyClick(line, Qt.Key.Key_Escape)
    assert line.text() == "10", "Escape goes to what the drawing holds now"


def test_undo_keys_belong_to_the_drawing_unless_something_is_half_typed(desk: Any, qtbot: QtBot) -> None:
    window = QMainWindow()
    qtbot.addWidget(window)
    undo = QAction("Undo", window)
    undo.setShortcut(QKeySequence.StandardKey.Undo)
    undo.triggered.connect(desk.document.undo)
    window.addAction(undo)
    window.setCentralWidget(desk.page)
    desk.page.show()
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    desk.choose("F1")
    desk.write("rating_a", "16", end=Qt.Key.Key_Tab)
    line = desk.entry("rating_a")
    line.setFocus()
    qtbot.waitUntil(line.hasFocus)
    qtbot.keyClick(line, "9")
    qtbot.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert desk.record("F1").rating_a == 16
    assert line.text() == "16", "the line takes its own typing back first"
    qtbot.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert desk.record("F1").rating_a == 10
    assert line.text() == "10"
    window.takeCentralWidget()


def test_enter_goes_on_to_the_next_entry(desk: Any) -> None:
    desk.choose("F1")
    desk.write("designation", "F11")
    assert desk.record("F11").rating_a == 10
    assert desk.entry("label").hasFocus()
    desk.qtbot.keyClick(desk.entry("label"), Qt.Key.Key_Return)
    assert desk.page.focusWidget() is desk.entry("place").stops()[0]


@pytest.mark.parametrize("name", ["F1", "W1", "G1", "At anchor"])
def test_enter_alone_goes_all_the_way_down_and_changes_nothing(desk: Any, name: str) -> None:
    desk.choose(name)
    mark = desk.document.history.mark
    desk.page.setFocus()
    seen = []
    while (now := QApplication.focusWidget()) is not None and desk.page.form.isAncestorOf(now):
        assert now not in seen
        seen.append(now)
        desk.qtbot.keyClick(now, Qt.Key.Key_Return)
    rows = [row for row in desk.page.form.rows.values() if any(row.isAncestorOf(w) for w in seen)]
    assert rows == list(desk.page.form.rows.values()), "every field is visited, from top to bottom"
    assert desk.document.history.mark is mark


def test_an_edit_that_cannot_be_done_is_told_and_changes_nothing(desk: Any) -> None:
    desk.choose("Q1")
    assert desk.document.installation.get("conditions", desk.id("At anchor")).settings
    desk.page.show_record("conditions", desk.id("At anchor"))
    settings = desk.entry("settings")
    with desk.qtbot.waitSignal(desk.page.refused) as told:
        desk.step(settings._cells[0][0].stops()[0], "F1")
    assert told.args == ["F1 has no position 'closed': it has none"]
    assert "F1 has no position 'closed': it has none." in desk.said("settings")
    assert desk.record("At anchor").settings[0].equipment == desk.id("Q1")


def test_choosing_by_key_is_one_edit_and_escape_goes_back(desk: Any) -> None:
    desk.choose("F1")
    mark = desk.document.history.mark
    box = desk.entry("fuse_class")
    desk.step(box, "NH", end=None)
    assert desk.document.history.mark is mark, "stepping over others is no edit"
    desk.qtbot.keyClick(box, Qt.Key.Key_Escape)
    assert box.currentText() == "not recorded"
    desk.step(box, "NH", end=Qt.Key.Key_Tab)
    assert desk.record("F1").fuse_class == "NH"
    assert desk.words == "Set class or form, by its standard of F1 to NH"
    desk.document.undo()
    assert desk.document.history.mark is mark
    assert box.currentText() == "not recorded"


def test_choosing_from_the_open_list_is_given_at_once(desk: Any) -> None:
    desk.choose("F1")
    box = desk.entry("ignition_protected")
    assert [box.itemText(i) for i in range(box.count())] == ["yes", "no", "not known"]
    assert box.currentText() == "not known"
    box.setFocus()
    box.setCurrentIndex(0)
    box.activated.emit(0)  # as the open list does (a machine without a screen has no list in front)
    assert desk.record("F1").ignition_protected is True
    assert desk.record("F1").origin("ignition_protected") == "typed"


def test_the_wheel_never_changes_a_value(desk: Any) -> None:
    from PySide6.QtCore import QPoint, QPointF
    from PySide6.QtGui import QWheelEvent
    from PySide6.QtWidgets import QApplication

    desk.choose("F1")
    box = desk.entry("status")
    box.setFocus()
    none = Qt.KeyboardModifier.NoModifier
    event = QWheelEvent(
        QPointF(5, 5), QPointF(5, 5), QPoint(0, -120), QPoint(0, -120), Qt.MouseButton.NoButton, none,
        Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(box, event)
    assert box.currentText() == "existing"
    assert desk.record("F1").status == "existing"


@pytest.mark.parametrize("height_px", [420, 500, 580])
def test_why_a_value_is_not_taken_is_seen_at_the_foot_of_a_low_page(desk: Any, height_px: int) -> None:
    desk.choose("F1")
    desk.page.resize(340, height_px)
    row = desk.page.form.rows["rating_a"]
    desk.page._settle()
    desk.page._scroll.verticalScrollBar().setValue(0)
    row.first_stop().setFocus()
    QApplication.processEvents()
    before = row.height()
    desk.qtbot.keyClicks(row.first_stop(), "many")
    desk.qtbot.keyClick(row.first_stop(), Qt.Key.Key_Return)
    told = next(label for label in row.findChildren(QLabel) if "found" in label.text())
    desk.qtbot.waitUntil(lambda: row.height() > before + told.fontMetrics().height())  # over more than one line
    desk.qtbot.waitUntil(lambda: told.visibleRegion().boundingRect().size() == told.size(), timeout=2000)
