"""One way to ask: what is clicked is what comes back, Escape stands for the safe answer."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QApplication, QMessageBox
from pytestqt.qtbot import QtBot

from app.window.ask import Answer, Question, ask

pytestmark = pytest.mark.qt
LEAVE = Question(
    "Leave",
    "Dunlin has changes.",
    (Answer("save", "Save"), Answer("drop", "Leave it", True), Answer("stay", "Stay")),
    "stay",
)


def _box() -> QMessageBox:
    box = QApplication.activeModalWidget()
    assert isinstance(box, QMessageBox)
    return box


@pytest.mark.parametrize(("label", "key"), [("Save", "save"), ("Leave it", "drop"), ("Stay", "stay")])
def test_what_is_clicked_comes_back(qtbot: QtBot, label: str, key: str) -> None:
    def click() -> None:
        button = next(b for b in _box().buttons() if b.text() == label)
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    QTimer.singleShot(0, click)
    assert ask(None, LEAVE) == key


def test_escape_is_the_safe_answer(qtbot: QtBot) -> None:
    QTimer.singleShot(0, lambda: qtbot.keyClick(_box(), Qt.Key.Key_Escape))
    assert ask(None, LEAVE) == "stay"


def test_enter_is_the_first_answer(qtbot: QtBot) -> None:
    QTimer.singleShot(0, lambda: qtbot.keyClick(_box(), Qt.Key.Key_Return))
    assert ask(None, LEAVE) == "save"
