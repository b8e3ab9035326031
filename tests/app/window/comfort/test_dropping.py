"""Files let go over the window: opened, brought in, laid under the sheet, or told why not."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.comfort import dropping
from app.window.main import Window
from app.window.start import Desk

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
LONG = 60_000
EQUIPMENT = "designation,kind\nG1,battery_bank\nF1,fuse\n"


def let_go(window: Window, *paths: Path) -> bool:
    """Drag files over the sheet and let go of them; whether they were taken."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    at = QPointF(200, 200)
    over = window.board.viewport()
    buttons, keys = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    entered = QDragEnterEvent(at.toPoint(), Qt.DropAction.CopyAction, data, buttons, keys)
    QApplication.sendEvent(over, entered)
    if not entered.isAccepted():
        return False
    QApplication.sendEvent(over, QDropEvent(at, Qt.DropAction.CopyAction, data, buttons, keys))
    return True


def test_drawings_are_opened(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.new())
    assert let_go(window, ketch)
    qtbot.waitUntil(lambda: any(w.document.path == ketch for w in desk.windows))
    qtbot.waitUntil(lambda: len(desk.windows) == 1)  # the empty drawing one began with has gone


def test_what_is_no_file_of_ours_is_told_in_a_sentence(desk: Desk, shown: Shown, tmp_path: Path, qtbot: QtBot) -> None:
    window = shown(desk.new())
    strange = tmp_path / "notes.xyz"
    strange.write_text("x")
    let_go(window, strange)
    told = "Not done: notes.xyz is no drawing (.linewright), no list (CSV, XLSX), no picture and no PDF."
    qtbot.waitUntil(lambda: window.foot.message == told)
    let_go(window, tmp_path)
    qtbot.waitUntil(lambda: window.foot.message.endswith("is a folder; drop the files that are in it."))


def test_pictures_lie_under_the_sheet_one_of_them(
    desk: Desk, shown: Shown, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.new())
    laid: list[Path] = []
    monkeypatch.setattr(window.underlays, "lay", laid.append)
    dropping.take_files(window, [tmp_path / "a.jpg", tmp_path / "b.pdf"])
    assert laid == [tmp_path / "a.jpg"]


def test_lists_become_a_new_drawing_in_no_file(desk: Desk, shown: Shown, tmp_path: Path, qtbot: QtBot) -> None:
    window = shown(desk.new())
    lists = tmp_path / "equipment.csv"
    lists.write_text(EQUIPMENT)
    let_go(window, lists)
    qtbot.waitUntil(lambda: len(desk.windows) == 2, timeout=LONG)
    made = desk.windows[-1].document
    assert sorted(e.designation for e in made.snapshot().equipment.values()) == ["F1", "G1"]
    assert made.path is None
    assert made.is_dirty
    assert not window.findChildren(dropping.Bringing)


@pytest.mark.long
def test_rows_that_cannot_be_taken_are_asked_about(
    desk: Desk, shown: Shown, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.new())
    asked = []

    def answer(_parent: object, question: object) -> str:
        asked.append(question)
        return "good"

    monkeypatch.setattr(dropping, "ask", answer)
    lists = tmp_path / "equipment.csv"
    lists.write_text(EQUIPMENT + "X9,teapot\n")
    let_go(window, lists)
    qtbot.waitUntil(lambda: len(desk.windows) == 2, timeout=LONG)
    assert "equipment.csv: 1 row cannot be taken." in asked[0].text
    assert "teapot" in asked[0].more
    assert len(desk.windows[-1].document.snapshot().equipment) == 2
