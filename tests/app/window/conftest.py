"""What tests of the whole window share: a desk of their own, drawings to open, questions answered."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QDialog
from pytestqt.qtbot import QtBot

from app.window import ask as asking
from app.window import start
from app.window.main import Window
from app.window.start import Desk

SAMPLES = Path(__file__).parents[3] / "samples"
Answers = list[str]


@pytest.fixture
def ketch(tmp_path: Path) -> Path:
    """A copy of the sample ketch."""
    path = tmp_path / "ketch.linewright"
    path.write_bytes((SAMPLES / "ketch" / "ketch.linewright").read_bytes())
    return path


@pytest.fixture
def desk(qtbot: QtBot, _nothing_left_behind: None) -> Iterator[Desk]:
    """A desk without a study process; its windows are closed afterwards, unasked."""
    yield from _desk(qtbot, judging=False)


@pytest.fixture
def judging_desk(qtbot: QtBot, _nothing_left_behind: None) -> Iterator[Desk]:
    """A desk whose drawings are judged by the real study process."""
    yield from _desk(qtbot, judging=True)


def _desk(qtbot: QtBot, *, judging: bool) -> Iterator[Desk]:
    application = QApplication.instance()
    assert isinstance(application, QApplication)
    start.set_up(application)
    made = Desk(judging=judging)
    made.settings.set("page", "")
    yield made
    for window in list(made.windows):
        window.leaving = True
        window.close()
    qtbot.waitUntil(lambda: not made.windows)


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Answers:
    """Answers to the questions that come, in order; one without an answer fails. What was asked: `.asked`."""
    waiting = _Answers()

    def answer(_parent: object, question: asking.Question) -> str:
        waiting.asked.append(question)
        assert waiting, f"nobody was to be asked: {question.text}"
        key = waiting.pop(0)
        assert key in {a.key for a in question.answers}, question
        return key

    for module in ("files", "recovering", "crash"):
        monkeypatch.setattr(f"app.window.{module}.ask", answer, raising=False)
    monkeypatch.setattr(asking, "ask", answer)
    return waiting


def in_dialog(does: Callable[[Any], None]) -> None:
    """Once a dialog stands: work it. Whatever happens it is closed, so that nothing waits for ever."""

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, QDialog), "no dialog came"
        try:
            does(dialog)
        finally:
            if dialog.isVisible():  # else it has answered, and a second answer would take the place of the first
                dialog.reject()

    QTimer.singleShot(0, look)


@pytest.fixture
def dialog() -> Callable[[Callable[[Any], None]], None]:
    """`dialog(does)`: what to do with the dialog that comes next."""
    return in_dialog


class _Answers(list[str]):
    def __init__(self) -> None:
        super().__init__()
        self.asked: list[asking.Question] = []


@pytest.fixture
def shown(qtbot: QtBot) -> Callable[[Window | None], Window]:
    """A window that stands on the screen and has begun its journal."""

    def wait(window: Window | None) -> Window:
        assert window is not None
        with qtbot.waitExposed(window):
            window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow)  # without a window manager nobody else sees to it
        qtbot.waitUntil(lambda: window.document.journal is not None or bool(window.document.read_only))
        return window

    return wait
