"""Placing a template in the window: by mouse, by keys, with a click on the sheet, and taken back in one step."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QComboBox, QLineEdit
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.start import Desk
from app.window.templates.page import TemplatesPage
from engine.files.drawing import dump
from engine.templates import templates

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
K = Qt.Key


@pytest.fixture
def window(desk: Desk, shown: Shown, ketch: Path) -> Window:
    """The ketch."""
    return shown(desk.open_path(ketch))


def held(window: Window) -> bytes:
    """The file it would write, without the last id: an id that was taken is never given again."""
    return re.sub(rb'"last_id": \d+', b"", dump(window.document.installation), count=1)


def page_of(window: Window, qtbot: QtBot) -> TemplatesPage:
    """The page, come to by its key."""
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    qtbot.keyClick(window.board, K.Key_F4, Qt.KeyboardModifier.ShiftModifier)
    page = window.pages.templates()
    qtbot.waitUntil(page.which.hasFocus)
    return page


def test_by_keys_alone_it_is_chosen_answered_placed_and_taken_back(window: Window, qtbot: QtBot) -> None:
    document = window.document
    before = held(window)
    page = page_of(window, qtbot)
    qtbot.keyClicks(page.which, "Solar")
    assert page.template.name == "solar"
    line = page.form.editors["module_w"]
    assert isinstance(line, QLineEdit)
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, "100 W")
    qtbot.keyClick(line, K.Key_Return)
    arrays = [r for r in document.snapshot().equipment.values() if r.KIND == "solar_array" and r.module_w == 100]
    assert [r.status for r in arrays] == ["new"]
    assert {document.snapshot().name(i) for i in document.selection} >= {arrays[0].designation}
    assert document.history.undo_words == "Place Solar with controller"
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    qtbot.keyClick(window.board, K.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert held(window) == before


def test_by_mouse_it_joins_a_bus_that_the_drawing_has(window: Window, qtbot: QtBot) -> None:
    page = page_of(window, qtbot)
    page.which.setCurrentIndex(page.which.findData("remote-panel"))
    volts, bus = page.form.editors["volts"], page.form.editors["bus"]
    assert isinstance(volts, QComboBox)
    assert isinstance(bus, QComboBox)
    volts.setCurrentIndex(volts.findData("24"))
    bus.setCurrentIndex(bus.findData("WC3"))
    banks = sum(r.KIND == "battery_bank" for r in window.document.snapshot().equipment.values())
    qtbot.mouseClick(page.here, Qt.MouseButton.LeftButton)
    snapshot = window.document.snapshot()
    assert sum(r.KIND == "battery_bank" for r in snapshot.equipment.values()) == banks
    assert bus.currentData() == "WC3"  # what was chosen stays
    module = next(i for i, r in snapshot.equipment.items() if r.label == "switching module")
    assert module in window.document.selection or any(
        snapshot.placements[i].equipment == module for i in window.document.selection if i in snapshot.placements
    )


def test_with_a_click_it_stands_there(window: Window, qtbot: QtBot) -> None:
    document = window.document
    page = page_of(window, qtbot)
    page.which.setCurrentIndex(page.which.findData("charging-relay"))
    window.menus.of["new_sheet"].trigger()
    sheet = document.sheet
    qtbot.mouseClick(page.click, Qt.MouseButton.LeftButton)
    board = window.board
    assert board.tool.NAME == "set"
    assert board.hasFocus()
    at = board.viewport().rect().center() - QPoint(60, 0)
    qtbot.mouseMove(board.viewport(), at)
    qtbot.mouseClick(board.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert board.tool.NAME == "choose"
    here = [p for p in document.snapshot().placements.values() if p.sheet == sheet]
    assert len(here) == 5
    spot = board.spot_at(*(sum(v) // len(here) for v in zip(*((p.x, p.y) for p in here), strict=True)))
    near = board.mapFromScene(spot.x, spot.y)
    assert abs(near.x() - at.x()) < 40


def test_escape_gives_the_click_up_and_nothing_is_placed(window: Window, qtbot: QtBot) -> None:
    before = held(window)
    page = page_of(window, qtbot)
    page.place_by_click()
    assert window.board.tool.NAME == "set"
    qtbot.keyClick(window.board, K.Key_Escape)
    assert window.board.tool.NAME == "choose"
    assert held(window) == before


def test_the_keyboard_pointer_places_it_too(window: Window, qtbot: QtBot) -> None:
    window.menus.of["new_sheet"].trigger()
    page = page_of(window, qtbot)
    page.which.setCurrentIndex(page.which.findData("charging-converter"))
    page.click.setFocus()
    qtbot.keyClick(page.click, K.Key_Space)
    count = len(window.document.snapshot().equipment)
    qtbot.keyClick(window.board, K.Key_Right)
    qtbot.keyClick(window.board, K.Key_Return)
    assert len(window.document.snapshot().equipment) == count + 5


def test_what_cannot_be_is_told_at_the_foot_and_nothing_changes(window: Window, qtbot: QtBot) -> None:
    before = held(window)
    page = page_of(window, qtbot)
    page.which.setCurrentIndex(page.which.findData("solar"))
    line = page.form.editors["module_w"]
    assert isinstance(line, QLineEdit)
    line.setText("9 kW")
    told: list[str] = []
    page.refused.connect(told.append)
    qtbot.mouseClick(page.here, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(page.click, Qt.MouseButton.LeftButton)
    assert told == ["module_w: it lies between 50 W and 250 W, found 9 kW"] * 2
    assert held(window) == before


def test_everything_on_the_page_has_a_name_and_every_template_can_be_asked(window: Window, qtbot: QtBot) -> None:
    page = page_of(window, qtbot)
    for name, template in templates().items():
        page.which.setCurrentIndex(page.which.findData(name))
        assert list(page.form.editors) == [question.name for question in template.questions]
        for editor in page.form.editors.values():
            assert editor.accessibleName()
            assert editor.width() > page.width() / 2  # what is answered can be read
        assert page.purpose.text() == template.purpose
    assert page.which.accessibleName() == "Template"
    assert page.here.accessibleName() == "Place on this sheet"
    assert page.click.accessibleDescription()
