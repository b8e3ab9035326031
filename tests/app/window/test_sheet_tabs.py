"""The tabs of the sheets with mouse and keys: another place, a title written in place, the list of all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QLineEdit, QMenu
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.start import Desk

pytestmark = pytest.mark.qt

Shown = Callable[[Window | None], Window]


def _title(window: Window, item: str) -> str:
    return str(window.document.installation.tables["sheets"][item].title)


def test_a_double_click_names_a_sheet_where_its_tab_stands(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    bar, second = window.foot.sheets, window.document.sheets()[1]
    qtbot.mouseDClick(bar, Qt.MouseButton.LeftButton, pos=bar.tabRect(1).center())
    entry = window.foot.findChild(QLineEdit, "sheet_title")
    assert entry is not None
    assert entry.text() == _title(window, second)
    qtbot.keyClicks(entry, "Panels & <b>")
    qtbot.keyClick(entry, Qt.Key.Key_Return)
    assert _title(window, second) == "Panels & <b>"
    assert bar.tabText(1) == "2  Panels && <b>"
    assert window.document.history.undo_words == "Name sheet 2 “Panels & <b>”"
    assert bar.window().focusWidget() is bar
    qtbot.keyClick(bar, Qt.Key.Key_F2)
    entry = next(e for e in window.foot.findChildren(QLineEdit, "sheet_title") if e.isVisible())
    qtbot.keyClicks(entry, "other")
    qtbot.keyClick(entry, Qt.Key.Key_Escape)
    assert _title(window, second) == "Panels & <b>", "Escape leaves what was"
    assert window.page == "", "F2 is the tab's here"


def test_ctrl_shift_page_moves_a_sheet_in_the_set(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    document = window.document
    before = document.sheets()
    both = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    qtbot.keyClick(window.board, Qt.Key.Key_PageDown, both)
    assert document.sheets()[:2] == [before[1], before[0]]
    assert document.sheet == before[0], "it stays the sheet that is shown"
    assert window.foot.sheets.currentIndex() == 1
    qtbot.keyClick(window.board, Qt.Key.Key_PageUp, both)
    assert document.sheets() == before
    qtbot.keyClick(window.board, Qt.Key.Key_PageUp, both)
    assert window.foot.message == "Not done: Sheet 1 is the first of the set."
    document.undo()
    assert document.sheets()[:2] == [before[1], before[0]]


def test_a_tab_is_dragged_to_another_place(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    document, bar = window.document, window.foot.sheets
    before = document.sheets()
    start, stop = bar.tabRect(0).center(), bar.tabRect(2).center() + QPoint(20, 0)
    qtbot.mousePress(bar, Qt.MouseButton.LeftButton, pos=start)
    for n in range(1, 11):
        qtbot.mouseMove(bar, start + (stop - start) * n / 10)
    assert document.sheets() == before, "nothing is changed before it is let go"
    qtbot.mouseRelease(bar, Qt.MouseButton.LeftButton, pos=stop)
    assert document.sheets() == [before[1], before[2], before[0], *before[3:]]
    assert document.sheet == before[0]
    assert bar.tabText(2).startswith("3  DC main")
    assert len(document.history.done) == 1 if hasattr(document.history, "done") else document.history.undo_words


def test_every_sheet_is_in_the_list_and_the_menu_of_a_tab_acts(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(ketch))
    document, tabs = window.document, window.foot.tabs
    assert tabs.every.text() == "1 of 8"
    menu = tabs.every.menu()
    menu.aboutToShow.emit()
    assert len(menu.actions()) == 8
    assert [a.isChecked() for a in menu.actions()].index(True) == 0
    menu.actions()[7].trigger()
    assert document.sheet == document.sheets()[7]
    assert tabs.every.text() == "8 of 8"
    tabs.bar.asked.emit(1, tabs.bar.mapToGlobal(QPoint(0, 0)))
    popup = window.findChild(QMenu, "menu_of_sheet")
    assert popup is not None
    assert document.sheet == document.sheets()[1], "a menu is of the sheet that is shown"
    try:
        earlier = next(a for a in popup.actions() if a.text() == "Earlier in the set")
        was = document.sheet
        earlier.trigger()
        assert document.sheets()[0] == was
    finally:
        popup.close()


def test_what_is_chosen_moves_to_a_new_sheet(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    document = window.document
    (found,) = document.installation.find("P1")
    p1 = found[1]
    assert not window.menus.of["move_to_sheet"].isEnabled()
    document.select(p1)
    window.menus.call("move_to_sheet")
    popup = window.findChild(QMenu, "sheets_to_move_to")
    assert popup is not None
    assert [a.text() for a in popup.actions() if a.text()][-1] == "A new sheet"
    assert len(popup.actions()) == 7 + 1 + 1
    try:
        popup.actions()[-1].trigger()
    finally:
        popup.close()
    assert len(document.sheets()) == 9
    assert document.sheet == document.sheets()[-1]
    assert document.selection == (p1,)
    assert window.board.grasped
    document.undo()
    assert len(document.sheets()) == 8, "one step back"
