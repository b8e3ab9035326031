"""Ctrl+T: the sheet laid out anew by the study process, as one edit; Escape and a change meanwhile give it up."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.tidying_messages import TidyTold
from app.window.main import Window
from app.window.start import Desk
from app.window.tidying import tidying_of
from engine.edits import Put, Several
from engine.files.drawing import dump

pytestmark = pytest.mark.qt

Shown = Callable[[Window | None], Window]
CTRL = Qt.KeyboardModifier.ControlModifier


def mess(window: Window) -> None:
    """What stands on the sheet that is shown, in rows by id."""
    document = window.document
    here = [(i, p) for i, p in document.snapshot().placements.items() if p.sheet == document.sheet]
    puts = [
        Put("placements", item, msgspec.structs.replace(p, x=10 + 14 * (n % 7), y=8 + 12 * (n // 7)))
        for n, (item, p) in enumerate(here)
    ]
    document.do(Several(tuple(puts), "Make a mess"))


def press(qtbot: QtBot, window: Window, key: Qt.Key, modifier: Qt.KeyboardModifier) -> None:
    window.board.setFocus()
    qtbot.waitUntil(window.board.hasFocus)
    qtbot.keyClick(QApplication.focusWidget(), key, modifier)


def test_ctrl_t_lays_out_the_sheet_as_one_edit(judging_desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(ketch))
    document = window.document
    document.turn_to(document.sheets()[3])
    mess(window)
    messy, count = dump(document.installation), len(document.snapshot().placements)
    press(qtbot, window, Qt.Key.Key_T, CTRL)
    tidying = tidying_of(window)
    assert tidying.is_waiting
    assert window.foot.message == "Tidying… Escape gives it up."
    qtbot.waitUntil(lambda: not tidying.is_waiting, timeout=60_000)
    assert document.history.undo_words == "Tidy sheet 4"
    assert window.foot.message.startswith("Tidied: 0 crossings")
    assert len(document.snapshot().placements) == count
    tidy = dump(document.installation)
    press(qtbot, window, Qt.Key.Key_T, CTRL)
    qtbot.waitUntil(lambda: not tidying.is_waiting, timeout=60_000)
    assert "already as tidy as this program can make it" in window.foot.message
    assert dump(document.installation) == tidy
    document.undo()
    assert dump(document.installation) == messy


def test_escape_gives_it_up(judging_desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(ketch))
    mess(window)
    before = dump(window.document.installation)
    press(qtbot, window, Qt.Key.Key_T, CTRL)
    tidying = tidying_of(window)
    question = tidying.question
    assert question is not None
    press(qtbot, window, Qt.Key.Key_Escape, Qt.KeyboardModifier.NoModifier)
    assert not tidying.is_waiting
    assert window.foot.message == "Tidying was given up; nothing is changed."
    tidying._heard(TidyTold(99, question, {"puts": []}))  # an answer that was under way already
    assert dump(window.document.installation) == before
    assert window.document.history.undo_words == "Make a mess"


def test_a_change_meanwhile_gives_it_up(judging_desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(ketch))
    mess(window)
    press(qtbot, window, Qt.Key.Key_T, CTRL)
    window.document.undo()
    after = dump(window.document.installation)
    assert not tidying_of(window).is_waiting
    assert window.foot.message == "Not done: Tidying was given up: the drawing has changed meanwhile."
    assert dump(window.document.installation) == after
    assert not window.document.history.undo_words


@pytest.mark.long
def test_only_what_is_chosen(judging_desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(judging_desk.open_path(ketch))
    document = window.document
    document.turn_to(document.sheets()[3])
    here = [i for i, p in document.snapshot().placements.items() if p.sheet == document.sheet]
    p = document.snapshot().placements[here[0]]
    document.do(Put("placements", here[0], msgspec.structs.replace(p, x=60, y=60), "Move it away"))
    window.board.grasp(here[:1])
    before = document.snapshot().placements
    press(qtbot, window, Qt.Key.Key_T, CTRL)
    qtbot.waitUntil(lambda: not tidying_of(window).is_waiting, timeout=60_000)
    after = document.snapshot().placements
    assert {i for i in after if after[i] != before[i]} <= set(here[:1])


def test_without_a_study_process_it_is_said(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    press(qtbot, window, Qt.Key.Key_T, CTRL)
    assert window.foot.message == "Not done: Nothing can be tidied: there is no study process."
    assert not tidying_of(window).is_waiting
