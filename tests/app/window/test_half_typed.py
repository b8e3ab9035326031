"""What is half typed when a drawing is saved or left: it is taken, or the person is asked. Nothing goes unsaid."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.particulars.lines import LineEntry
from app.window.start import Desk
from engine.edits import Put
from engine.equipment import kinds
from engine.files.drawing import load

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
CTRL = Qt.KeyboardModifier.ControlModifier


def entry_of(window: Window, field: str) -> LineEntry:
    """The line of a field of the first fuse, which is shown on the page of particulars."""
    fuse = next(i for i, r in window.document.snapshot().equipment.items() if r.KIND.startswith("fuse"))
    window.show_field(fuse, field)
    entry = window.pages.particulars().form.rows[field].entry
    assert isinstance(entry, LineEntry)
    entry.setFocus()
    return entry


def cell_being_filled(window: Window, qtbot: QtBot, field: str, text: str) -> None:
    fuse = next(i for i, r in window.document.snapshot().equipment.items() if r.KIND.startswith("fuse"))
    window.show_page("table")
    table = window.pages.table()
    table.go_to(fuse, field)
    table.table.edit(table.table.currentIndex())
    editor = QApplication.focusWidget()
    assert isinstance(editor, QLineEdit)
    editor.selectAll()
    qtbot.keyClicks(editor, text)


def names(path: Path) -> set[str]:
    return {record.label for record in load(path).installation.equipment.values()}


def test_saving_takes_what_is_half_typed(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    entry = entry_of(window, "label")
    entry.selectAll()
    qtbot.keyClicks(entry, "half typed")
    assert not window.document.is_dirty
    qtbot.keyClick(entry, Qt.Key.Key_S, CTRL)
    assert "half typed" in names(ketch)


def test_leaving_takes_what_is_half_typed(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, answers: list[str]
) -> None:
    window = shown(desk.open_path(ketch))
    entry = entry_of(window, "label")
    entry.selectAll()
    qtbot.keyClicks(entry, "half typed")
    answers.append("save")
    window.close()
    assert "half typed" in names(ketch)
    assert not desk.windows


def test_leaving_asks_about_what_cannot_be_read(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, answers: list[str]
) -> None:
    window = shown(desk.open_path(ketch))
    entry = entry_of(window, "rating_a")
    entry.selectAll()
    qtbot.keyClicks(entry, "about ten")
    answers.append("stay")
    window.close()
    assert window in desk.windows
    assert entry.text() == "about ten"
    answers.append("drop")
    window.close()
    assert not desk.windows


def test_a_cell_of_the_table_is_taken_too(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, answers: list[str]
) -> None:
    window = shown(desk.open_path(ketch))
    cell_being_filled(window, qtbot, "label", "half typed")
    answers.append("save")
    window.close()
    assert "half typed" in names(ketch)


def test_a_cell_that_cannot_be_read_is_asked_about(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, answers: list[str]
) -> None:
    window = shown(desk.open_path(ketch))
    cell_being_filled(window, qtbot, "rating_a", "about ten")
    answers.extend(("stay", "drop"))
    window.close()
    assert window in desk.windows
    assert "about ten" in answers.asked[0].text  # type: ignore[attr-defined]  # the fixture's own
    cell_being_filled(window, qtbot, "rating_a", "about ten")
    window.close()
    assert not desk.windows


def test_a_waiver_begun_is_asked_about(desk: Desk, shown: Shown, ketch: Path, answers: list[str]) -> None:
    window = shown(desk.open_path(ketch))
    notes = window.pages.notes()
    notes.below.setCurrentWidget(notes.form)
    notes.form.reason.setPlainText("agreed with the owner")
    answers.extend(("stay", "drop"))
    window.close()
    assert window in desk.windows
    window.close()
    assert not desk.windows


def test_what_is_half_typed_for_something_an_undo_takes_away_goes_with_it(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(ketch))
    document = window.document
    made = document.installation.new_id("equipment")
    document.do(Put("equipment", made, kinds()["fuse"](designation="F99")))
    window.show_field(made, "label")
    entry = window.pages.particulars().form.rows["label"].entry
    entry.setFocus()
    qtbot.keyClicks(entry, "half typed")
    before = len(document.history)
    document.undo()  # as from the history, or the foot
    assert document.find(made) is None
    assert len(document.history) == before, "nothing was given to what is gone"
    assert window.pages.particulars().form.subjects == ()
    document.redo()
    assert document.find(made) is not None
