"""A person at the window: opens a drawing, presses keys, clicks what is in sight, reads what is written."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdf
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QFileDialog, QListView, QWidget
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.start import Desk

_spec = importlib.util.spec_from_file_location("drawing_hand", Path(__file__).parents[1] / "drawing_hand.py")
assert _spec is not None
assert _spec.loader is not None
helper = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(helper)

LONG = 120_000  # ms: a second process works on a busy machine
Shown = Callable[[Window | None], Window]


class Person:
    """Mouse and keys in one window; what is read is what its widgets show. The hand on the sheet is `hand`."""

    def __init__(self, window: Window, qtbot: QtBot) -> None:
        self.window, self.qtbot = window, qtbot
        self.hand: Any = helper.DrawingHand(window, qtbot, window.document.snapshot())

    @property
    def keyboard(self) -> QWidget | None:
        """What has the keyboard."""
        self.stand_in_front()
        return QApplication.focusWidget()

    def stand_in_front(self) -> None:
        """When another window has gone this one is the active one: a desktop does that by itself."""
        if QApplication.activeWindow() is None:
            self.window.activateWindow()
            self.qtbot.waitUntil(self.window.isActiveWindow)

    def press(self, key: Qt.Key, keys: Qt.KeyboardModifier = helper.NONE, times: int = 1) -> None:
        """A key, to whatever has the keyboard."""
        self.stand_in_front()
        self.hand.key(key, keys, times)

    def type(self, text: str) -> None:
        """A text, to whatever has the keyboard."""
        self.stand_in_front()
        self.hand.type(text)

    def click(self, widget: QWidget, at: QPoint | None = None, keys: Qt.KeyboardModifier = helper.NONE) -> None:
        """Click on a control; it is in sight and takes clicks."""
        at = widget.rect().center() if at is None else at
        self.wait(lambda: widget.isVisible() and widget.isEnabled() and widget.visibleRegion().contains(at))
        self.qtbot.mouseClick(widget, Qt.MouseButton.LeftButton, keys, at)
        QApplication.processEvents()

    def click_row(self, view: QListView, words: str) -> None:
        """Scroll to the row of a list that shows these words and click on it."""
        model = view.model()
        indexes = [model.index(n, 0) for n in range(model.rowCount())]
        index = next(i for i in indexes if words in _said(i))
        view.scrollTo(index)
        QApplication.processEvents()
        self.click(view.viewport(), view.visualRect(index).center())

    def wait(self, is_so: Callable[[], bool]) -> None:
        """Until it is so."""
        self.qtbot.waitUntil(is_so, timeout=LONG)


def _said(index: Any) -> str:
    """What a row of a list shows, or says where it is drawn by hand."""
    return f"{index.data()} {index.data(Qt.ItemDataRole.AccessibleTextRole)}"


@pytest.fixture
def opens(judging_desk: Desk, shown: Shown, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Callable[[Path], Person]:
    """`opens(path)`: from the empty drawing one begins with, by Ctrl+O. Only the system's own dialog is answered."""

    def go(path: Path) -> Person:
        first = shown(judging_desk.new())
        monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_a, **_k: ([str(path)], ""))
        first.board.setFocus()
        qtbot.keyClick(first.board, Qt.Key.Key_O, Qt.KeyboardModifier.ControlModifier)
        qtbot.waitUntil(lambda: [w.document.path for w in judging_desk.windows] == [path], timeout=LONG)
        window = shown(judging_desk.windows[0])
        window.resize(1500, 1000)
        window.board.fit()
        assert path.stem in window.windowTitle()
        return Person(window, qtbot)

    return go


@pytest.fixture
def saves_to(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path], None]:
    """What is answered to the system's dialog that asks where to write."""

    def answer(path: Path) -> None:
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(path), ""))

    return answer


@pytest.fixture
def reads() -> Callable[[Path], list[str]]:
    """`reads(path)`: the words of each page of a PDF, their lines joined."""

    def read(path: Path) -> list[str]:
        return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(path).pages]

    return read
