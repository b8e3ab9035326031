"""What is on no sheet gets onto one, and from sheet to sheet: by menus and keys."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.start import Desk
from engine.files.drawing import dump

pytestmark = pytest.mark.qt

Shown = Callable[[Window | None], Window]


def of(window: Window, name: str) -> str:
    (found,) = window.document.installation.find(name)
    return found[1]


def sheets_of(window: Window, item: str) -> list[str]:
    return sorted(p.sheet for p in window.document.snapshot().placements.values() if p.equipment == item)


def test_what_lost_its_sheet_is_placed_again(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    window.activateWindow()
    document = window.document
    first, f1 = document.sheet, of(window, "F1")
    assert not window.menus.of["place_chosen"].isEnabled()
    window.menus.call("remove_sheet")
    assert sheets_of(window, f1) == []
    window.menus.call("new_sheet")
    document.select(f1)
    assert window.menus.of["place_chosen"].isEnabled()
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    qtbot.keyClick(window.board, Qt.Key.Key_E, Qt.KeyboardModifier.ShiftModifier)
    assert window.board.tool.NAME == "place"
    spot = window.board.spot_at(30, 30)
    qtbot.mouseClick(
        window.board.viewport(),
        Qt.MouseButton.LeftButton,
        pos=window.board.to_viewport(spot.x, spot.y).toPoint(),
    )
    assert first != document.sheet
    assert sheets_of(window, f1) == [document.sheet]
    assert document.selection == (f1,)
    assert document.history.undo_words == "Place F1"
    assert not window.menus.of["place_chosen"].isEnabled(), "all its terminals are shown"


def test_from_one_sheet_to_another(desk: Desk, shown: Shown, ketch: Path) -> None:
    window = shown(desk.open_path(ketch))
    document = window.document
    p1, before = of(window, "P1"), dump(document.installation)
    document.select(p1)
    assert not window.menus.of["bring_here"].isEnabled()
    document.turn_to(document.sheets()[2])
    assert window.menus.of["bring_here"].isEnabled()
    window.menus.call("bring_here")
    assert sheets_of(window, p1) == [document.sheet]
    assert window.board.grasped
    document.undo()
    assert dump(document.installation) == before


def test_the_only_sheet_stays_and_it_is_said_why(desk: Desk, shown: Shown) -> None:
    window = shown(desk.new())
    window.menus.call("remove_sheet")
    assert window.foot.message == "Not done: Sheet 1 is the only one: a drawing needs a sheet."
    assert len(window.document.sheets()) == 1
    window.menus.call("new_sheet")
    assert window.document.sheet == window.document.sheets()[1]
    window.menus.call("remove_sheet")
    assert len(window.document.sheets()) == 1
