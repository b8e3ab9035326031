"""The title block written as it stands, and a double click on it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.drawing.placed import paper
from app.drawing.title_block import TitleFields, field_boxes
from app.window.main import Window
from app.window.start import Desk

pytestmark = pytest.mark.qt

Shown = Callable[[Window | None], Window]


def test_typing_is_seen_in_the_block_and_given_by_enter(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    both = Qt.KeyboardModifier.ControlModifier
    qtbot.keyClick(window.board, Qt.Key.Key_B, both)
    page = window.pages.titling()
    line = page.lines["sheets", "title"]
    qtbot.waitUntil(line.hasFocus)
    qtbot.keyClicks(line, "Batteries <b>&=1+1")
    assert "Batteries <b>&=1+1" in page.picture.accessibleDescription()
    sheet = window.document.sheet
    assert window.document.snapshot().sheets[sheet].title == "DC main distribution", "not given yet"
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert window.document.snapshot().sheets[sheet].title == "Batteries <b>&=1+1"
    assert page.lines["title_block", "title"].window().focusWidget() is page.lines["title_block", "title"]
    owner = page.lines["title_block", "legal_owner"]
    owner.setFocus()
    owner.selectAll()
    qtbot.keyClicks(owner, "Skerry Yard")
    page.settle()
    assert window.document.snapshot().title_block.legal_owner == "Skerry Yard"
    assert window.document.history.undo_words == "Title block, Legal owner: Skerry Yard"
    window.document.undo()
    assert owner.text() == "Ternholm Yard"


def test_a_double_click_on_the_block_leads_to_the_field(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    box = paper("A3").title_box
    of = dict(field_boxes(box, TitleFields()))

    def at(name: str) -> None:
        b = of[name]
        point = window.board.to_viewport((b.left + b.right) / 2, (b.top + b.bottom) / 2).toPoint()
        qtbot.mouseDClick(window.board.viewport(), Qt.MouseButton.LeftButton, pos=point)

    at("approved_by")
    assert window.page == "titling"
    qtbot.waitUntil(window.pages.titling().lines["title_block", "approver"].hasFocus)
    assert not window.document.selection
    at("sheet")
    assert window.page == "sheets"


def test_what_the_block_has_no_room_for_is_said(desk: Desk, shown: Shown, ketch: Path) -> None:
    window = shown(desk.open_path(ketch))
    window.show_page("titling")
    page = window.pages.titling()
    page.lines["title_block", "creator"].setText("W" * 200)
    assert "Created by" in page.told.text()
    page.lines["title_block", "creator"].setText("A. Dunnock")
    page.lines["title_block", "date"].setText("soon")
    assert "no day written YYYY-MM-DD" in page.told.text()
    page.lines["title_block", "date"].setText("2026-11-20")
    assert not page.told.text()


def test_a_new_drawing_without_anything(desk: Desk, shown: Shown) -> None:
    window = shown(desk.new())
    window.show_page("titling")
    page = window.pages.titling()
    page.picture.clicked.emit("number")
    assert page.lines["title_block", "number"].window().focusWidget() is page.lines["title_block", "number"]
