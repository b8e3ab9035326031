"""The whole window: its parts, its keys, from a note to the thing and back, everything named for a screen reader."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QDialog,
    QHeaderView,
    QLineEdit,
    QTabBar,
    QTableWidget,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.actions import every
from app.window.finding_actions import FindAction
from app.window.main import PAGES, TOOLS, Window
from app.window.start import Desk
from engine.edits import SetFields

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
Dialog = Callable[[Callable[[Any], None]], None]


def of(window: Window, designation: str) -> str:
    return window.document.installation.find(designation)[0][1]


def judged(window: Window, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: window.document.judgement is not None, timeout=60_000)


def test_every_action_is_in_a_menu_and_can_be_called(desk: Desk, shown: Shown, ketch: Path) -> None:
    window = shown(desk.open_path(ketch))
    in_menus = {a.objectName() for m in window.menuBar().actions() for a in m.menu().actions()}
    assert {action.name for action in every()} <= in_menus
    for name in ("fit", "fit_width", "true_size", "nearer", "farther", "next_sheet", "sheet_before", "select_all"):
        window.menus.call(name)


def test_undo_is_told_in_words_and_undoes(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    f1 = of(window, "F1")
    before = window.document.snapshot()
    window.document.do(SetFields("equipment", f1, (("label", "Main"),), "Label F1"))
    assert window.menus.of["undo"].text() == "Undo: Label F1"
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.snapshot() == before
    assert window.foot.message == "Taken back: Label F1"
    assert window.menus.of["redo"].text() == "Redo: Label F1"
    qtbot.keyClick(window, Qt.Key.Key_Y, Qt.KeyboardModifier.ControlModifier)
    assert window.document.snapshot() != before


def test_tools_and_pages_by_key_and_by_button(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    window.activateWindow()
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    for key, name in (
        (Qt.Key.Key_D, "run"),
        (Qt.Key.Key_O, "operate"),
        (Qt.Key.Key_G, "pan"),
        (Qt.Key.Key_C, "choose"),
    ):
        qtbot.keyClick(window.board, key)
        assert name == window.board.tool.NAME
        button = next(b for b in window.tool_rail.buttons if b.objectName() == f"rail_{name}")
        assert button.isChecked()
    for button, name in zip(window.page_rail.buttons, PAGES, strict=True):
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        assert window.page == name
        assert window.pages.isVisible()
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        assert window.page == ""
        assert not window.pages.isVisible()
    assert len(window.tool_rail.buttons) == len(TOOLS)


def test_a_new_condition_is_named_at_once(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    window.activateWindow()
    qtbot.mouseClick(window.conditions.new, Qt.MouseButton.LeftButton)
    line = QApplication.focusWidget()
    assert isinstance(line, QLineEdit)
    qtbot.keyClicks(line, "Laid up")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    document = window.document
    assert document.snapshot().conditions[document.condition].name == "Laid up"


def test_letters_typed_into_a_field_take_up_no_tool(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    window.activateWindow()
    window.take_tool("place")
    line = window.pages.kinds_list().line
    qtbot.waitUntil(line.hasFocus)
    qtbot.keyClicks(line, "docg")
    assert line.text() == "docg"
    assert window.board.tool.NAME == "choose"


def test_place_by_keys_alone(desk: Desk, shown: Shown, qtbot: QtBot) -> None:
    window = shown(desk.new())
    window.activateWindow()
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    qtbot.keyClick(window.board, Qt.Key.Key_E)
    line = window.pages.kinds_list().line
    qtbot.waitUntil(line.hasFocus)
    qtbot.keyClicks(line, "battery bank")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert window.board.tool.NAME == "place"
    qtbot.waitUntil(window.board.hasFocus)
    qtbot.keyClick(window.board, Qt.Key.Key_Right)
    qtbot.keyClick(window.board, Qt.Key.Key_Return)
    kinds = [e.KIND for e in window.document.snapshot().equipment.values()]
    assert kinds == ["battery_bank"]


def test_from_a_finding_to_the_thing_and_back(judging_desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(ketch))
    judged(window, qtbot)
    judgement = window.document.judgement
    assert judgement is not None
    first = window.document.sheet
    finding = next(f for f in judgement.result.findings if judgement.homes[f.key] not in ("", first))
    window.show_finding(finding.key)
    assert window.document.selection[0] == finding.ids[0]
    assert window.document.sheet != first
    assert window.can_go_back
    window.menus.call("back")
    assert window.document.sheet == first
    assert window.document.selection == ()


def test_not_judged_leads_to_the_missing_field(judging_desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(ketch))
    judged(window, qtbot)
    window.show_page("notes")
    notes = window.pages.notes()
    line = next(line for line in notes.rows.lines if line.field)
    notes.field_wanted.emit(line.item, line.field)
    assert window.page == "particulars"
    assert window.document.selection == (line.item,)


def test_an_edit_is_judged_anew(judging_desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(ketch))
    judged(window, qtbot)
    q8 = of(window, "Q8")
    assert window.document.judgement is not None
    assert any(q8 in f.ids for f in window.document.judgement.result.findings)
    window.document.do(SetFields("equipment", q8, (("rated_dc_v", 150.0),), "Rate Q8"))
    qtbot.waitUntil(
        lambda: not any(q8 in f.ids for f in window.document.judgement.result.findings),
        timeout=30_000,  # type: ignore[union-attr]
    )
    window.document.undo()
    qtbot.waitUntil(
        lambda: any(q8 in f.ids for f in window.document.judgement.result.findings),
        timeout=30_000,  # type: ignore[union-attr]
    )
    assert window.foot.found.text() == window.document.judgement.result.summary()


def test_find_an_action_by_a_word(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, dialog: Dialog) -> None:
    window = shown(desk.open_path(ketch))

    def type_it(finder: FindAction) -> None:
        qtbot.keyClicks(finder.line, "next sheet")
        assert finder.list.item(0).text().startswith("Next sheet")
        qtbot.keyClick(finder.line, Qt.Key.Key_Return)

    dialog(type_it)
    qtbot.keyClick(window, Qt.Key.Key_J, Qt.KeyboardModifier.ControlModifier)
    assert window.document.sheet == window.document.sheets()[1]


def test_what_cannot_be_done_now_is_found_but_not_taken(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    finder = FindAction(window)
    qtbot.addWidget(finder)
    qtbot.keyClicks(finder.line, "take back last")
    assert finder.list.count() == 1
    qtbot.keyClick(finder.line, Qt.Key.Key_Return)
    assert finder.chosen == ""
    qtbot.keyClicks(finder.line, "zzz")
    assert finder.list.count() == 0
    assert finder.none.isVisibleTo(finder)


@pytest.mark.parametrize("name", ["keys", "cautions", "about"])
def test_what_the_window_tells_of_itself(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, name: str, dialog: Dialog
) -> None:
    window = shown(desk.open_path(ketch))
    seen: list[QDialog] = []

    def look(page: QDialog) -> None:
        seen.append(page)
        if name == "keys":
            assert page.findChild(QTableWidget).rowCount() > 25
        qtbot.keyClick(page, Qt.Key.Key_Escape)

    dialog(look)
    window.menus.call(name)
    assert seen


def test_f6_goes_round_the_parts(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    window.activateWindow()
    window.show_page("table")
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    seen = []
    for _n in range(5):
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_F6)
        widget = QApplication.focusWidget()
        parts = (window.conditions, window.tool_rail, window.board, window.pages, window.foot)
        seen.append(next(n for n, p in enumerate(parts) if p is widget or p.isAncestorOf(widget)))
    assert seen == [3, 4, 0, 1, 2]


def test_the_window_comes_back_where_it_stood(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    window.resize(711, 677)
    window.show_page("table")
    window.leaving = True
    window.close()
    again = shown(desk.open_path(ketch))
    assert (again.width(), again.height()) == (711, 677)
    qtbot.waitUntil(lambda: again.page == "table")


CONTROLS = (QAbstractButton, QLineEdit, QComboBox, QAbstractItemView, QTabBar)


def test_every_control_has_a_name_and_a_role(judging_desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    """The walk a screen reader makes: whatever can be worked has a name, and a role that says what it is."""
    window = shown(judging_desk.open_path(ketch))
    judged(window, qtbot)
    window.document.select(of(window, "F1"))
    nameless = []
    count = 0
    for page in PAGES:
        window.show_page(page)
        qtbot.wait(1)
        for widget in window.findChildren(QWidget):
            if not widget.isVisible() or not isinstance(widget, CONTROLS) or _is_inner(widget):
                continue
            count += 1
            face = QAccessible.queryAccessibleInterface(widget)
            name = face.text(QAccessible.Text.Name)
            if not name.strip() or face.role() in (QAccessible.Role.NoRole, QAccessible.Role.Client):
                nameless.append(f"{page}: {type(widget).__name__} {widget.objectName()!r} {name!r} {face.role()}")
    assert count > 60
    assert not nameless, "\n".join(nameless)
    board = QAccessible.queryAccessibleInterface(window.board)
    assert board.text(QAccessible.Text.Name).strip()


def _is_inner(widget: QWidget) -> bool:
    """Parts Qt makes by itself inside a control that has a name: a combo's line, scroll and clear buttons."""
    if widget.objectName().startswith("qt_") or type(widget).__name__ in ("QLineEditIconButton", "QTableCornerButton"):
        return True
    parent = widget.parentWidget()
    return (
        isinstance(widget, QHeaderView)
        or isinstance(parent, (QComboBox, QTabBar, QLineEdit))
        or type(parent).__name__ == "QComboBoxPrivateContainer"
    )
