"""A fault of the program: logged, journals on the disk, one question, then on or out."""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from app.window import crash
from app.window.main import Window
from app.window.start import Desk
from engine.edits import SetFields

pytestmark = [pytest.mark.qt, pytest.mark.says_in_log]
Shown = Callable[[Window | None], Window]


@pytest.fixture
def hooked(desk: Desk) -> Iterator[Desk]:
    before = sys.excepthook
    crash.install(desk)
    yield desk
    crash.uninstall()
    assert sys.excepthook is before


def fail(text: str = "spanner") -> None:
    try:
        raise RuntimeError(text)
    except RuntimeError as fault:
        sys.excepthook(RuntimeError, fault, fault.__traceback__)


def test_it_is_logged_and_asked_about_once(
    hooked: Desk, shown: Shown, ketch: Path, answers: list[str], caplog: pytest.LogCaptureFixture
) -> None:
    window = shown(hooked.open_path(ketch))
    window.document.do(SetFields("vessel", "vessel", (("name", "Avocet"),)))
    answers.append("on")
    with caplog.at_level(logging.CRITICAL, "app"):
        fail()
    assert "spanner" in caplog.text
    assert not answers
    assert window in hooked.windows
    window.document.undo()


def test_only_what_is_so_is_promised(hooked: Desk, shown: Shown, ketch: Path, answers: list[str]) -> None:
    window = shown(hooked.open_path(ketch))
    window.document.do(SetFields("vessel", "vessel", (("name", "Avocet"),)))
    assert window.document.journal is not None
    answers.extend(("on", "on"))
    fail()
    window.document.journal.fault = "The disk is full."
    fail("again")
    first, second = (question.text for question in answers.asked)  # type: ignore[attr-defined]  # the fixture's own
    assert "are kept for recovery" in first
    assert "Not all" not in first
    assert "Not all of your changes are kept" in second
    window.document.undo()


def test_one_leaves_with_the_usual_questions(hooked: Desk, shown: Shown, ketch: Path, answers: list[str]) -> None:
    window = shown(hooked.open_path(ketch))
    window.document.do(SetFields("vessel", "vessel", (("name", "Avocet"),)))
    answers.extend(("leave", "save"))
    fail()
    assert not hooked.windows
    assert b"Avocet" in ketch.read_bytes()


def test_a_second_fault_while_the_first_is_told_is_only_logged(
    hooked: Desk, shown: Shown, ketch: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown(hooked.open_path(ketch))
    asked = []

    def answer(_parent: object, question: object) -> str:
        asked.append(question)
        fail("again")
        return "on"

    monkeypatch.setattr("app.window.ask.ask", answer)
    fail()
    assert len(asked) == 1


def test_interrupting_from_the_keyboard_is_leaving(hooked: Desk, shown: Shown, ketch: Path) -> None:
    shown(hooked.open_path(ketch))
    fault = KeyboardInterrupt()
    sys.excepthook(KeyboardInterrupt, fault, None)
    assert not hooked.windows
