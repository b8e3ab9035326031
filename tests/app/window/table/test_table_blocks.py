"""Blocks of cells: copied, pasted, emptied, all or nothing."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from app.window.document import Document
from app.window.table import TablePage
from engine.edits import SetFields

pytestmark = pytest.mark.qt


# -- blocks ------------------------------------------------------------------------------------------------------
def test_a_block_from_a_spreadsheet_is_one_edit(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    hands.show("kind:fuse")
    page.table.setCurrentIndex(hands.cell("F1", "label"))
    page.table.setFocus()
    QGuiApplication.clipboard().setText('Nav lights\r\nBilge pump 10 ft 6"\r\n"Two\nlines"\r\n')
    qtbot.keyClick(page.table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert [hands.record(n).label for n in ("F1", "F2", "F10")] == ["Nav lights", 'Bilge pump 10 ft 6"', "Two\nlines"]
    assert judged.history.undo_words == "Paste 3 cells"
    judged.undo()
    assert [hands.record(n).label for n in ("F1", "F2", "F10")] == ["Circuit 1", "Circuit 2", "Circuit 10"]


def test_of_a_block_all_or_nothing(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    hands.show("kind:fuse")
    page.table.setCurrentIndex(hands.cell("F1", "rating_a"))
    before = judged.snapshot()
    page.table.paste_text("20 A\nlots\n30 V\n")
    assert judged.snapshot() is before
    told = page.refusal_line.text()
    assert told.startswith("F2, rated current of the link: ")
    assert "'lots'" in told
    assert "1 more cell is refused; nothing was changed." in told
    assert hands.shown("rating_a") == ["10 A", "! –", "! 200 A"]
    page.table.paste_text("20 A\n25 A\n30 A")
    assert hands.shown("rating_a") == ["20 A", "25 A", "30 A"]


def test_a_block_larger_than_the_room_is_refused(page: TablePage, judged: Document, hands: Any) -> None:
    page.table.setCurrentIndex(hands.cell("W100", "label"))
    before = judged.snapshot()
    page.table.paste_text("a\nb")
    assert judged.snapshot() is before
    assert "2 rows by 1 columns" in page.refusal_line.text()


def test_several_fields_of_one_record_come_together_with_their_origins(
    page: TablePage, judged: Document, hands: Any
) -> None:
    page.show_rows("kind:fuse")
    rating = page.rows.column_number("rating_a")
    page.table.setCurrentIndex(hands.cell("F1", "rating_a"))
    page.table.paste_text("20 A ~measured\tclass T")
    fuse = hands.record("F1")
    assert (fuse.rating_a, fuse.fuse_class) == (20, "class T")
    assert fuse.origin("rating_a") == "measured"
    assert fuse.origin("fuse_class") == "typed"
    assert page.rows.columns[rating + 1].key == "fuse_class"


def test_one_value_fills_all_chosen_cells(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    hands.show("kind:fuse")
    hands.click("F1", "label")
    index = hands.cell("F10", "label")
    qtbot.mouseClick(
        page.table.viewport(),
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.ShiftModifier,
        page.table.visualRect(index).center(),
    )
    QGuiApplication.clipboard().setText("Same")
    qtbot.keyClick(page.table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert [hands.record(n).label for n in ("F1", "F2", "F10")] == ["Same"] * 3


def test_what_is_copied_can_be_pasted_back(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    judged.do(SetFields("equipment", judged.installation.find("F1")[0][1], (("label", "=1+1\tx"), ("note", "'q"))))
    page.table.setFocus()
    page.table.selectAll()
    qtbot.keyClick(page.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    text = QGuiApplication.clipboard().text()
    assert text.count("\n") == page.order.rowCount()
    assert "\t'=1+1" not in text.split("\n")[3]  # the tab inside is quoted
    before = judged.snapshot()
    page.table.setCurrentIndex(page.order.index(0, 0))
    qtbot.keyClick(page.table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert page.refusal_line.text() == ""
    assert judged.snapshot() is before  # nothing differs, so nothing was done


def test_delete_says_that_it_is_not_recorded(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    hands.show("kind:fuse")
    hands.click("F10", "rating_a")
    qtbot.keyClick(page.table, Qt.Key.Key_Delete)
    assert hands.record("F10").rating_a is None
    assert judged.history.undo_words == "Empty 1 cell"


def test_rows_chosen_on_the_sheet_are_not_emptied_and_one_cell_is_pasted(
    qtbot: QtBot, page: TablePage, judged: Document, hands: Any
) -> None:
    page.show_rows("kind:fuse")
    page.table.setCurrentIndex(hands.cell("F1", "label"))
    judged.select(judged.installation.find("F2")[0][1])
    page.table.setFocus()
    before = judged.snapshot()
    qtbot.keyClick(page.table, Qt.Key.Key_Delete)
    assert judged.snapshot() is before
    assert page.refusal_line.text().startswith("Whole rows are not emptied")
    page.table.paste_text("Bilge pump")
    assert hands.record("F2").label == "Bilge pump"
    assert judged.history.undo_words == "Paste 1 cell"


@pytest.mark.parametrize("text", ["x\t" + "y" * 140_000, "a\tb\n" * 6_000, "x\t" * 1_100_000])
def test_far_too_much_is_refused_and_the_table_goes_on(
    page: TablePage, judged: Document, hands: Any, text: str
) -> None:
    page.table.setCurrentIndex(hands.cell("W100", "label"))
    before = judged.snapshot()
    page.table.paste_text(text)
    assert judged.snapshot() is before
    assert (
        page.refusal_line.text() == "What is on the clipboard is more than can be pasted at once; nothing was changed."
    )
    page.table.paste_text("Bilge pump")
    assert hands.record("W100").label == "Bilge pump"
