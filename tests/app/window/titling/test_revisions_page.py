"""Revisions in the window: issued, a copy kept, begun, what has changed written down."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.start import Desk
from app.window.titling.revisions import RevisionsPage, copy_path
from engine.edits import EditError, SetFields
from engine.files.drawing import load

pytestmark = pytest.mark.qt

Shown = Callable[[Window | None], Window]


def _page(window: Window, qtbot: QtBot) -> RevisionsPage:
    both = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    qtbot.keyClick(window.board, Qt.Key.Key_R, both)
    assert window.page == "revisions"
    return window.pages.revisions()


def test_issue_change_begin_and_say_what_changed(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    document = window.document
    page = _page(window, qtbot)
    assert page.state.text() == "Revision C is in hand: designations may be changed."
    assert not page.begin_it.isEnabled()
    qtbot.mouseClick(page.issue_it, Qt.MouseButton.LeftButton)
    assert page.state.text() == "Revision C is issued: designations are locked."
    assert document.snapshot().title_block.document_status == "Issued"
    kept = copy_path(ketch, "C")
    assert kept.exists()
    assert load(kept).installation.title_block.revision == "C"
    (found,) = document.installation.find("F1")
    rename = SetFields("equipment", found[1], (("designation", "F99"),))
    with pytest.raises(EditError, match="F1 keeps its designation"):
        document.do(rename)
    qtbot.mouseClick(page.begin_it, Qt.MouseButton.LeftButton)
    assert page.state.text() == "Revision D is in hand: designations may be changed."
    assert page.text.window().focusWidget() is page.text
    document.do(SetFields("equipment", found[1], (("rating_a", 250.0),)))
    qtbot.mouseClick(page.since, Qt.MouseButton.LeftButton)
    assert page.text.toPlainText() == "Changed: F1 (rated current of the link: 300 A, now 250 A)."
    assert page.told.text() == "Compared with ketch revision C.linewright."
    page.settle()
    newest = page.here()
    assert document.snapshot().revisions[newest].text.startswith("Changed: F1")
    page.day.setText("someday")
    page.day.give()
    assert "no day written" in page.told.text()
    document.undo()
    document.undo()


def test_the_first_issue_of_a_new_drawing_offers_today(desk: Desk, shown: Shown, qtbot: QtBot) -> None:
    window = shown(desk.new())
    page = _page(window, qtbot)
    assert page.state.text().startswith("This drawing was never issued.")
    assert page.day.text() == "", "today is offered, not written down"
    assert date.today().isoformat() in page.day.placeholderText()
    qtbot.mouseClick(page.issue_it, Qt.MouseButton.LeftButton)
    assert page.told.text() == "Nobody is named who issues it."
    page.by.setText("A. Dunnock")
    qtbot.mouseClick(page.issue_it, Qt.MouseButton.LeftButton)
    (record,) = window.document.snapshot().revisions.values()
    assert (record.index, record.issued, record.by) == ("A", True, "A. Dunnock")
    assert record.date == date.today().isoformat()
    assert page.index.isReadOnly()
