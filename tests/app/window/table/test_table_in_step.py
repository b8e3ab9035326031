"""Order, filter, and the table in step with what is chosen and changed elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from app.window.document import Document
from app.window.table import TablePage
from engine.edits import Put, SetFields

pytestmark = pytest.mark.qt
Judge = Callable[[Document], None]


# -- order and filter --------------------------------------------------------------------------------------------
def test_a_click_on_a_heading_sorts_what_is_not_recorded_stands_last(qtbot: QtBot, page: TablePage, hands: Any) -> None:
    hands.show("kind:fuse")
    heads = page.table.horizontalHeader()
    n = page.rows.column_number("rating_a")
    page.table.scrollTo(page.order.index(0, n))
    place = QPoint(heads.sectionViewportPosition(n) + 20, heads.height() // 2)
    qtbot.mouseClick(heads.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert hands.shown("rating_a") == ["10 A", "200 A", "–"]
    qtbot.mouseClick(heads.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert hands.shown("rating_a") == ["200 A", "10 A", "–"]


def test_no_row_jumps_while_one_types(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    page.table.setCurrentIndex(hands.cell("F1", "designation"))
    hands.fill("Z9")
    qtbot.keyClick(hands.editor(), Qt.Key.Key_Tab)
    assert hands.shown()[3:6] == ["Z9", "F2", "F10"]


def test_the_filter_line_looks_into_all_columns(qtbot: QtBot, page: TablePage, hands: Any) -> None:
    page.filter_line.setFocus()
    qtbot.keyClicks(page.filter_line, "circuit f10")
    qtbot.keyClick(page.filter_line, Qt.Key.Key_Return)
    assert hands.shown() == ["F10"]
    assert page.count_line.text() == "1 of 13 rows shown by the filter"
    page.filter_line.clear()
    qtbot.keyClicks(page.filter_line, "SALOON f2.")
    qtbot.waitUntil(lambda: hands.shown() == ["W2", "W20"])


def test_only_with_findings_and_only_with_something_not_recorded(qtbot: QtBot, page: TablePage, hands: Any) -> None:
    qtbot.mouseClick(page.only_found, Qt.MouseButton.LeftButton, pos=QPoint(10, page.only_found.height() // 2))
    found = hands.shown()
    assert "W100" in found
    assert "E1" not in found
    page.only_found.setFocus()
    qtbot.keyClick(page.only_found, Qt.Key.Key_Space)
    assert len(hands.shown()) == 13
    page.only_lacking.setFocus()
    qtbot.keyClick(page.only_lacking, Qt.Key.Key_Space)
    lacking = hands.shown()
    assert "F2" in lacking
    assert 0 < len(lacking) <= 13


def test_the_row_one_works_in_stays_though_the_filter_would_drop_it(
    page: TablePage, judged: Document, judge: Judge, hands: Any
) -> None:
    page.only_found.setChecked(True)
    page.table.setCurrentIndex(hands.cell("W100", "label"))
    item = page.table.current_id()
    judged.do(SetFields("runs", item, (("size", "4/0 AWG"),)))
    judge(judged)
    assert page.table.current_id() == item


# -- in step -----------------------------------------------------------------------------------------------------
def test_a_click_chooses_on_the_sheet_too(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    hands.click("F2", "label")
    assert judged.selection == (judged.installation.find("F2")[0][1],)
    index = hands.cell("F1", "label")
    qtbot.mouseClick(
        page.table.viewport(),
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.ControlModifier,
        page.table.visualRect(index).center(),
    )
    assert judged.selection == (judged.installation.find("F1")[0][1], judged.installation.find("F2")[0][1])


def test_what_is_chosen_on_the_sheet_is_chosen_here(
    qtbot: QtBot, page: TablePage, judged: Document, hands: Any
) -> None:
    ids = [judged.installation.find(n)[0][1] for n in ("F10", "W1")]
    with qtbot.assertNotEmitted(judged.selected, wait=0):
        pass
    judged.select(*ids)
    assert page.table.chosen_ids() == ids
    assert judged.selection == tuple(ids)
    judged.select()
    assert page.table.chosen_ids() == []


def test_the_selection_does_not_echo(qtbot: QtBot, page: TablePage, judged: Document, hands: Any) -> None:
    heard: list[int] = []
    judged.selected.connect(lambda: heard.append(1))
    hands.click("F2", "label")
    judged.select(judged.installation.find("F1")[0][1])
    assert len(heard) == 2


def test_what_the_filter_hides_stays_chosen(page: TablePage, judged: Document, hands: Any) -> None:
    item = judged.installation.find("F1")[0][1]
    judged.select(item)
    page.filter_line.setText("F10")
    page._filter()
    assert judged.selection == (item,)
    page.filter_line.clear()
    page._filter()
    assert page.table.chosen_ids() == [item]


def test_rows_keep_their_place_over_edits(page: TablePage, judged: Document, hands: Any) -> None:
    page.table.setCurrentIndex(hands.cell("F10", "label"))
    here = page.table.current_id()
    lost: list[int] = []
    page.rows.modelReset.connect(lambda: lost.append(1))
    run = judged.installation.find("W100")[0][1]
    kept = judged.installation.get("runs", run)
    judged.do(Put("runs", run))
    assert "W100" not in hands.shown()
    judged.undo()
    assert "W100" in hands.shown()
    assert judged.installation.get("runs", run) == kept
    item = judged.installation.find("F2")[0][1]
    judged.do(SetFields("equipment", item, (("designation", "F3"),)))
    assert dict(zip(hands.shown(), hands.shown("ends"), strict=True))["W2"] == "G1.pos – F3.in"
    assert page.table.current_id() == here
    assert not lost


def test_a_hidden_page_catches_up(page: TablePage, judged: Document, hands: Any) -> None:
    page.hide()
    item = judged.installation.find("F2")[0][1]
    judged.do(SetFields("equipment", item, (("designation", "F3"),)))
    judged.select(item)
    assert "F3" not in hands.shown()
    page.show()
    assert "F3" in hands.shown()
    assert page.table.chosen_ids() == [item]
    assert page.count_line.text() == "13 rows; being judged, findings are those before the last change"


def test_the_last_of_a_kind_may_come_back(page: TablePage, judged: Document, hands: Any) -> None:
    page.show_rows("kind:battery_bank")
    for name in ("W1", "W2", "W10"):
        run = next(
            i for t, i in judged.installation.find(name) if judged.installation.get(t, i).from_end.terminal == "pos"
        )
        judged.do(Put("runs", run))
    judged.do(Put("equipment", judged.installation.find("G1")[0][1]))
    assert hands.shown() == []
    assert page.show_what.currentText() == "Only: Battery bank"
    judged.undo()
    assert hands.shown() == ["G1"]


def test_what_one_has_begun_to_type_outlives_a_judgement(
    qtbot: QtBot, page: TablePage, judged: Document, judge: Judge, hands: Any
) -> None:
    page.table.setCurrentIndex(hands.cell("F1", "label"))
    hands.fill("Half")
    judge(judged)
    judged.do(SetFields("equipment", judged.installation.find("F2")[0][1], (("label", "Other"),)))
    assert hands.editor().text() == "Half"
    page.settle()
    assert hands.record("F1").label == "Half"


def test_go_to_a_field_shows_what_has_it(page: TablePage, judged: Document, hands: Any) -> None:
    page.filter_line.setText("nothing like it")
    page._filter()
    item = judged.installation.find("F2")[0][1]
    page.go_to(item, "rating_a")
    assert page.rows.choice.key == "kind:fuse"
    assert page.table.currentIndex() == hands.cell("F2", "rating_a")
    assert judged.selection == (item,)
    run = judged.installation.find("W1")[0][1]
    page.go_to(run, "length_m")
    assert page.table.currentIndex() == hands.cell("W1", "length_m")
    page.go_to("gone")
    page.go_to(item, "no such field")
    assert page.table.current_id() == item


def test_enter_and_double_click_on_what_cannot_be_changed_show_it(
    qtbot: QtBot, page: TablePage, judged: Document, hands: Any
) -> None:
    item = judged.installation.find("F2")[0][1]
    page.table.setCurrentIndex(hands.cell("F2", "ends"))
    page.table.setFocus()
    with qtbot.waitSignal(page.reveal) as told:
        qtbot.keyClick(page.table, Qt.Key.Key_Return)
    assert told.args == [item]
    with qtbot.waitSignal(page.reveal) as told:
        hands.click("F2", "ends", double=True)
    assert told.args == [item]
    with qtbot.waitSignal(page.reveal) as told:
        qtbot.mouseClick(page.reveal_button, Qt.MouseButton.LeftButton)
    assert told.args == [item]
