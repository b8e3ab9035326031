"""Remarks in the whole window: written by their key, saved half typed, on their page, pointing, on other sheets."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.canvas.remarks import writing
from app.window.files import save
from app.window.main import Window
from app.window.particulars.lines import LineEntry
from app.window.sheet_moving import move_chosen
from app.window.start import Desk
from engine.files.drawing import load

pytestmark = pytest.mark.qt
K = Qt.Key


@pytest.fixture
def window(desk: Desk, shown: Callable[[Window | None], Window], ketch: Path) -> Window:
    """The ketch, with a remark being written on its first sheet."""
    window = shown(desk.open_path(ketch))
    window.board.setFocus()
    return window


def begin(window: Window, qtbot: QtBot, text: str) -> None:
    qtbot.keyClick(window.board, K.Key_N)
    assert window.board.tool.NAME == "remark"
    at = window.board.to_viewport(60, 150).toPoint()
    qtbot.mouseClick(window.board.viewport(), Qt.MouseButton.LeftButton, pos=at)
    editor = writing(window.board)
    assert editor is not None
    qtbot.keyClicks(editor, text)


def test_saved_half_typed_it_is_in_the_file(window: Window, qtbot: QtBot, ketch: Path) -> None:
    begin(window, qtbot, "Chafes here")
    assert save(window)
    assert [r.text for r in load(ketch).installation.snapshot().remarks.values()] == ["Chafes here"]


def test_written_pointed_renamed_moved_to_another_sheet_and_removed_with_it(window: Window, qtbot: QtBot) -> None:
    document, board = window.document, window.board
    begin(window, qtbot, "Look here")
    editor = writing(board)
    qtbot.keyClick(editor, K.Key_Return)
    (item,) = document.selection
    fuse = next(i for i, r in document.snapshot().equipment.items() if r.designation == "F9")
    (piece,) = [p.id for p in board.scene_now().of[fuse]]
    board.grasp((piece,), (item,))
    window.menus.call("point_remark")
    assert document.snapshot().remarks[item].points_at == fuse
    board.grasp((), (item,))
    window.show_page("particulars")
    entry = window.pages.particulars().form.rows["points_at"].entry
    assert isinstance(entry, LineEntry)
    assert entry.text() == "F9"
    entry.setText("G1")
    entry.finish()
    assert document.snapshot().name(document.snapshot().remarks[item].points_at) == "G1"
    entry.setText("no such thing")
    entry.finish()
    assert document.snapshot().name(document.snapshot().remarks[item].points_at) == "G1"
    entry.take_back()
    other = document.sheets()[1]
    assert move_chosen(window, other)
    assert document.sheet == other
    assert document.snapshot().remarks[item].sheet == other
    assert item in board.finder().remark_boxes
    assert document.selection == (item,)
    window.menus.call("remove_sheet")
    assert item not in document.snapshot().remarks
    document.undo()
    assert document.snapshot().remarks[item].text == "Look here"
