"""The list of sheets, systems of voltage, and a sheet made smaller than what stands on it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QPushButton
from pytestqt.qtbot import QtBot

from app.drawing.changes.sheet_set import resize_sheet
from app.window.main import Window
from app.window.start import Desk
from engine.edits import Put
from engine.installation.records import VoltageSystem

pytestmark = pytest.mark.qt

Shown = Callable[[Window | None], Window]


def test_every_sheet_with_what_stands_on_it(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    document = window.document
    both = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    qtbot.keyClick(window.board, Qt.Key.Key_L, both)
    page = window.pages.sheets()
    assert page.head.text() == "8 sheets."
    assert page.table.rowCount() == 8
    row = [page.table.item(0, column).text() for column in range(7)]
    assert row == ["1", "DC main distribution", "A3", "11", "14", "not judged yet", ""]
    qtbot.waitUntil(page.table.hasFocus)
    qtbot.keyClick(page.table, Qt.Key.Key_Down)
    qtbot.keyClick(page.table, Qt.Key.Key_Return)
    assert document.sheet == document.sheets()[1]
    page.buttons["new_sheet"].click()
    assert page.head.text() == "9 sheets. Sheet 9 is empty."
    assert page.table.item(8, 6).text() == "empty"
    page.buttons["sheet_earlier"].click()
    assert document.sheets().index(document.sheet) == 7


def test_systems_that_nothing_fits_are_told(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    window.show_page("sheets")
    page = window.pages.sheets()
    assert page.systems.text().startswith("No system of voltage is declared.")
    settings = window.document.snapshot().settings
    wanted = msgspec.structs.replace(settings, systems=(VoltageSystem(kind="DC", nominal_v=24.0, note="two-wire"),))
    window.document.do(Put("settings", "settings", wanted, "Declare"))
    assert page.systems.text().startswith("Systems of voltage: 24 V DC, two-wire.")
    assert "which is that of no system declared" in page.systems.text()
    page.edit_systems.click()
    assert window.page == "particulars"


def test_a_sheet_made_too_small_asks_what_to_do(desk: Desk, shown: Shown, ketch: Path) -> None:
    window = shown(desk.open_path(ketch))
    document = window.document
    first = document.sheets()[0]
    document.do(resize_sheet(document.snapshot(), first, "A4"))
    told = window.banner.told()["paper"]
    assert told.startswith("Sheet 1 is A4 now, and ")
    assert "do not fit on it." in told
    titles = [b.text() for b in window.banner.findChildren(QPushButton)]
    assert "Keep A3, cut it at printing" in titles
    assert "Leave it so" in titles
    next(b for b in window.banner.findChildren(QPushButton) if b.text() == "Keep A3, cut it at printing").click()
    assert document.snapshot().sheets[first].size == "A3"
    assert "paper" not in window.banner.told()
    document.do(resize_sheet(document.snapshot(), first, "A4"))
    assert "paper" in window.banner.told()
    document.undo()
    assert "paper" not in window.banner.told(), "undoing it has answered"
    document.do(resize_sheet(document.snapshot(), first, "A2"))
    assert "paper" not in window.banner.told()


def test_declared_systems_are_offered_where_a_nominal_voltage_is_asked_for(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(ketch))
    document = window.document
    (found,) = document.installation.find("E21")
    systems = (VoltageSystem(kind="DC", nominal_v=24.0), VoltageSystem(kind="AC", nominal_v=230.0, frequency_hz=50.0))
    settings = msgspec.structs.replace(document.snapshot().settings, systems=systems)
    document.do(Put("settings", "settings", settings, "Declare"))
    record = msgspec.structs.replace(document.snapshot().equipment[found[1]], dc_v=None)
    document.do(Put("equipment", found[1], record, "Forget"))
    window.show_field(found[1], "dc_v")
    line = window.focusWidget()
    assert isinstance(line, QLineEdit)
    assert line.placeholderText() == "not recorded; Down offers 24"
    qtbot.keyClick(line, Qt.Key.Key_Down)
    assert line.text() == "24"
    assert document.snapshot().equipment[found[1]].dc_v is None, "offered, not taken"
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert document.snapshot().equipment[found[1]].dc_v == 24.0
