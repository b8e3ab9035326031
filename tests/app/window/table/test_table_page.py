"""The table page: what a person sees, types, pastes, sorts and narrows, with mouse and keys."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox
from pytestqt.qtbot import QtBot

from app.window.document import Document
from app.window.table import TablePage

pytestmark = pytest.mark.qt


# -- what is shown -----------------------------------------------------------------------------------------------
def test_everything_drawn_is_a_row_in_natural_order(page: TablePage, hands: Any) -> None:
    assert hands.shown() == ["E1", "E2", "E10", "F1", "F2", "F10", "G1", "W1", "W2", "W10", "W10", "W20", "W100"]


def test_ends_of_runs_and_terminals_of_equipment(page: TablePage, hands: Any) -> None:
    said = dict(zip(hands.shown(), hands.shown("ends"), strict=True))
    assert said["W2"] == "G1.pos – F2.in"
    assert said["F2"] == "in, out"


def test_findings_stand_in_words(page: TablePage, hands: Any) -> None:
    said = dict(zip(hands.shown(), hands.shown("findings"), strict=True))
    assert "danger" in said["W100"]
    assert said["E1"] == ""


def test_one_kind_alone_brings_its_own_columns_with_units(qtbot: QtBot, page: TablePage, hands: Any) -> None:
    assert page.rows.column_number("rating_a") < 0
    hands.show("kind:fuse")
    assert hands.shown() == ["F1", "F2", "F10"]
    assert hands.shown("rating_a") == ["10 A", "–", "200 A"]
    head = page.rows.headerData(page.rows.column_number("rating_a"), Qt.Orientation.Horizontal)
    assert head.replace("\n", " ").endswith("[A]")


def test_places_conditions_interlocks_have_rows_of_their_own(qtbot: QtBot, page: TablePage, hands: Any) -> None:
    hands.show("places")
    assert hands.shown("name") == ["Bilge", "Saloon"]
    assert hands.shown("used") == ["", "6 runs"]
    hands.show("conditions")
    assert hands.shown("name") == []
    qtbot.mouseClick(page.add_button, Qt.MouseButton.LeftButton)
    assert hands.shown("name") == ["Condition 1"]
    qtbot.keyClicks(hands.editor(), "At anchor")
    qtbot.keyClick(hands.editor(), Qt.Key.Key_Tab)
    assert hands.shown("name") == ["At anchor"]


# -- filling -----------------------------------------------------------------------------------------------------
def test_typing_tab_and_enter_fill_one_cell_after_another(
    qtbot: QtBot, page: TablePage, judged: Document, hands: Any
) -> None:
    hands.show("kind:fuse")
    page.table.setCurrentIndex(hands.cell("F2", "rating_a"))
    hands.fill("1.2 kA")
    qtbot.keyClick(hands.editor(), Qt.Key.Key_Return)  # goes down, and the next cell is open
    assert hands.record("F2").rating_a == 1200
    assert page.table.currentIndex() == hands.cell("F10", "rating_a")
    editor = hands.editor()
    assert editor.text() == "200 A"
    qtbot.keyClicks(editor, "250")
    qtbot.keyClick(editor, Qt.Key.Key_Tab)
    assert hands.record("F10").rating_a == 250
    assert page.table.currentIndex().column() == page.rows.column_number("rating_a") + 1
    assert page.table.currentIndex().row() == 2
    assert judged.history.undo_words == "Set rated current of the link of F10 to 250 A"
    qtbot.keyClick(hands.editor(), Qt.Key.Key_Escape)
    judged.undo()
    judged.undo()
    assert hands.record("F2").rating_a is None
    assert hands.shown("rating_a") == ["10 A", "–", "200 A"]


def test_shift_tab_goes_back_over_what_cannot_be_changed(
    qtbot: QtBot, page: TablePage, judged: Document, hands: Any
) -> None:
    page.table.setCurrentIndex(hands.cell("F2", "label"))
    page.table.setFocus()
    qtbot.keyClick(page.table, Qt.Key.Key_F2)
    qtbot.keyClicks(hands.editor(), "Lights")
    qtbot.keyClick(hands.editor(), Qt.Key.Key_Backtab)
    assert hands.record("F2").label == "Lights"
    assert page.table.currentIndex() == hands.cell("F2", "designation")  # "kind" between them is worked out


def test_enter_in_the_last_row_stays(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    hands.show("kind:fuse")
    page.table.setCurrentIndex(hands.cell("F10", "label"))
    hands.fill("Last")
    qtbot.keyClick(hands.editor(), Qt.Key.Key_Enter)
    assert hands.record("F10").label == "Last"
    assert page.table.currentIndex() == hands.cell("F10", "label")


def test_lengths_and_sizes_are_read_as_in_a_list(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    hands.show("runs")
    for text, field, value in (("10 ft", "length_m", 3.048), ("35 mm2", "size", "35 mm2"), ("3,5 m", "length_m", 3.5)):
        page.table.setCurrentIndex(hands.cell("W2", field))
        hands.fill(text)
        qtbot.keyClick(hands.editor(), Qt.Key.Key_Tab)
        qtbot.keyClick(hands.editor(), Qt.Key.Key_Escape)
        assert getattr(hands.record("W2"), field) == value


def test_what_is_refused_is_told_and_marked_and_nothing_is_lost(
    qtbot: QtBot, page: TablePage, judged: Document, hands: Any
) -> None:
    hands.show("kind:fuse")
    page.table.setCurrentIndex(hands.cell("F1", "rating_a"))
    hands.fill("ten")
    with qtbot.waitSignal(page.refused) as told:
        qtbot.keyClick(hands.editor(), Qt.Key.Key_Tab)
    assert hands.record("F1").rating_a == 10
    assert told.args[0].startswith("F1, rated current of the link: expected a current")
    assert "'ten'" in told.args[0]
    assert page.refusal_line.isVisible()
    assert page.refusal_line.text() == told.args[0]
    assert page.table.currentIndex() == hands.cell("F1", "rating_a")  # one stays where it was refused
    assert hands.shown("rating_a")[0] == "! 10 A"  # marked by a sign, not by colour alone
    assert "Refused" in page.rows.data(
        page.order.mapToSource(hands.cell("F1", "rating_a")), Qt.ItemDataRole.AccessibleTextRole
    )
    assert judged.history.undo_words == ""
    qtbot.keyClick(page.table, Qt.Key.Key_F2)
    assert hands.editor().text() == "ten"  # what was typed is still there to be put right
    qtbot.keyClicks(hands.editor(), "12")
    qtbot.keyClick(hands.editor(), Qt.Key.Key_Return)
    qtbot.keyClick(hands.editor(), Qt.Key.Key_Escape)
    assert hands.record("F1").rating_a == 12
    assert not page.refusal_line.isVisible()
    assert hands.shown("rating_a")[0] == "12 A"


@pytest.mark.parametrize("text", ["-5", "1,200", "10 m", "NaN", "inf", "1e999", "=1+1", "\u0007", "9" * 400])
def test_odd_texts_change_nothing(page: TablePage, judged: Document, text: str, hands: Any) -> None:
    page.show_rows("kind:fuse")
    assert page.order.setData(hands.cell("F1", "rating_a"), text) is False
    assert hands.record("F1").rating_a == 10
    assert page.refusal_line.text()


def test_leaving_a_cell_as_it_is_is_no_edit(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    page.table.setCurrentIndex(hands.cell("F1", "label"))
    page.table.setFocus()
    qtbot.keyClick(page.table, Qt.Key.Key_F2)
    qtbot.keyClick(hands.editor(), Qt.Key.Key_Tab)
    qtbot.keyClick(hands.editor(), Qt.Key.Key_Escape)
    assert judged.history.undo_words == ""


def test_choices_references_and_yes_no_are_lists(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    for field, wanted, value in (("status", "spare", "spare"), ("ignition_protected", "no", False)):
        page.table.setCurrentIndex(hands.cell("F1", field))
        page.table.setFocus()
        qtbot.keyClick(page.table, Qt.Key.Key_F2)
        box = hands.editor()
        assert isinstance(box, QComboBox)
        if field == "ignition_protected":
            assert [box.itemText(n) for n in range(box.count())] == ["not recorded", "yes", "no"]
        qtbot.keyClicks(box, wanted[:3] if field == "status" else wanted[:2])
        if field == "ignition_protected":
            box.setCurrentIndex(2)  # "no" and "not recorded" begin alike
        qtbot.keyClick(box, Qt.Key.Key_Return)
        if page.focusWidget() is not page.table:
            qtbot.keyClick(hands.editor(), Qt.Key.Key_Escape)
        assert getattr(hands.record("F1"), field) == value
    page.table.setCurrentIndex(hands.cell("F1", "place"))
    qtbot.keyClick(page.table, Qt.Key.Key_F2)
    box = hands.editor()
    assert [box.itemText(n) for n in range(box.count())] == ["not recorded", "Bilge", "Saloon"]
    qtbot.keyClicks(box, "Bil")
    qtbot.keyClick(box, Qt.Key.Key_Tab)
    assert judged.snapshot().name(hands.record("F1").place) == "Bilge"


def test_a_place_that_is_not_there_is_refused_with_the_nearest(page: TablePage, judged: Document, hands: Any) -> None:
    assert page.order.setData(hands.cell("F1", "place"), "Salon") is False
    assert "'Salon'" in page.refusal_line.text()
    assert "Saloon" in page.refusal_line.text()
    assert hands.record("F1").place == ""


def test_worked_out_cells_cannot_be_typed_into(page: TablePage, hands: Any) -> None:
    for column in ("ends", "sheets", "findings", "gaps", "ratings"):
        assert not page.table.is_writable(hands.cell("F1", column))
    assert not page.table.is_writable(hands.cell("F1", "length_m"))  # equipment has no length
    assert page.table.is_writable(hands.cell("W1", "length_m"))


def test_a_drawing_that_may_not_be_changed_takes_nothing(page: TablePage, judged: Document, hands: Any) -> None:
    judged.read_only = "Somebody else has it open."
    assert not page.table.is_writable(hands.cell("F1", "label"))
    assert page.order.setData(hands.cell("F1", "label"), "x") is False
    assert page.refusal_line.text() == "Somebody else has it open."
    assert hands.record("F1").label == "Circuit 1"
