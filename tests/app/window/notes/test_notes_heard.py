"""The page of notes as a screen reader meets it, and by keyboard alone."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit, QPlainTextEdit, QWidget
from pytestqt.qtbot import QtBot

from app.window.notes import NotesPage

pytestmark = pytest.mark.qt


def test_every_control_has_a_name_and_a_role(page: NotesPage) -> None:
    seen = 0
    for widget in page.findChildren(QWidget):
        wanted = isinstance(widget, (QAbstractButton, QComboBox, QLineEdit, QPlainTextEdit))
        if not wanted and widget not in (page.notes, page.whole):
            continue
        if isinstance(widget.parent(), (QComboBox, QLineEdit)):
            continue
        seen += 1
        met = QAccessible.queryAccessibleInterface(widget)
        assert met.text(QAccessible.Text.Name), widget
        assert met.role() != QAccessible.Role.NoRole, widget
    assert seen >= 12


def test_every_row_is_heard_as_it_is_seen(page: NotesPage) -> None:
    met = QAccessible.queryAccessibleInterface(page.notes)
    assert met.role() == QAccessible.Role.List
    assert met.childCount() >= len(page.rows.lines)
    heard = [page.rows.index(n).data(Qt.ItemDataRole.AccessibleTextRole) for n in range(len(page.rows.lines))]
    for line, said in zip(page.rows.lines, heard, strict=True):
        assert line.text in said
        assert line.more in said
        if line.kind == "finding":
            assert said.startswith(f"Note {line.number}, ")
    assert heard[0] == "Found: 7"
    assert "Not recorded: W122: conductor size." in " ".join(heard)


def test_all_of_it_by_keyboard(qtbot: QtBot, page: NotesPage) -> None:
    page.begin()
    page.notes.go_to_row(1)
    met: list[QWidget] = []
    for _n in range(12):
        here = page.focusWidget()
        if here in met and here is not page.whole:  # first the text of the note, then the link in it
            break
        met.append(here)
        qtbot.keyClick(here, Qt.Key.Key_Tab)
    assert {page.notes, page.whole, page.show_button, page.back_button, page.waive_button} <= set(met)
    page.waive_button.setFocus()
    qtbot.keyClick(page.waive_button, Qt.Key.Key_Space)
    met = []
    for _n in range(12):
        here = page.focusWidget()
        if here in met:
            break
        met.append(here)
        qtbot.keyClick(here, Qt.Key.Key_Tab)
    form = page.form
    assert {form.reason, form.who, form.date, form.review, form.intent, form.waive_button, form.drop_button} <= set(met)
