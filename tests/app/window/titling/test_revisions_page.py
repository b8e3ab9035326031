"""Revisions in the window: issued, a copy kept, begun, what has changed written down."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QLabel
from pytestqt.qtbot import QtBot

from app.window.files import save_as
from app.window.main import Window
from app.window.start import Desk
from app.window.titling.revisions import RevisionsPage
from engine.edits import EditError, Put, SetFields
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
    record = document.snapshot().revisions[page.here()]
    kept = ketch.parent / record.copy
    assert hashlib.sha256(kept.read_bytes()).hexdigest() == record.sha256
    assert load(kept).installation.title_block.revision == "C"
    assert page.told.text() == f"A copy is kept as {record.copy}."
    (found,) = document.installation.find("F1")
    rename = SetFields("equipment", found[1], (("designation", "F99"),))
    with pytest.raises(EditError, match="F1 keeps its designation"):
        document.do(rename)
    qtbot.mouseClick(page.begin_it, Qt.MouseButton.LeftButton)
    assert page.state.text() == "Revision D is in hand: designations may be changed."
    assert page.text.window().focusWidget() is page.text
    document.do(SetFields("equipment", found[1], (("rating_a", 250.0),)))
    changed = "Changed: F1 (rated current of the link: 300 A, now 250 A)."
    qtbot.waitUntil(lambda: page.text.toPlainText() == changed, timeout=20_000)
    assert page.told.text().startswith(f"Proposed from what differs from {kept.name}")
    page.settle()
    newest = page.here()
    assert document.snapshot().revisions[newest].text == "", "a proposal is nobody's word yet"
    qtbot.mouseClick(page.since, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: document.snapshot().revisions[newest].text == changed, timeout=20_000)
    assert page.told.text() == f"Compared with {kept.name}."
    page.day.setText("someday")
    page.day.give()
    assert "no day written" in page.told.text()
    document.undo()
    document.undo()


def _issued(window: Window, page: RevisionsPage, qtbot: QtBot) -> Path:
    """The revision in hand issued by hand; its copy."""
    before = len(window.document.snapshot().revisions)
    qtbot.mouseClick(page.issue_it, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.issue_it.isEnabled(), timeout=20_000)
    assert len(window.document.snapshot().revisions) == before
    return window.document.folder / window.document.snapshot().revisions[page.here()].copy


def test_what_changed_at_the_last_moment_is_in_the_words(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    page = _page(window, qtbot)
    _issued(window, page, qtbot)
    qtbot.mouseClick(page.begin_it, Qt.MouseButton.LeftButton)
    (found,) = window.document.installation.find("F1")
    window.document.do(SetFields("equipment", found[1], (("rating_a", 250.0),)))
    _issued(window, page, qtbot)
    text = window.document.snapshot().revisions[page.here()].text
    assert text == "Changed: F1 (rated current of the link: 300 A, now 250 A)."
    qtbot.mouseClick(page.begin_it, Qt.MouseButton.LeftButton)
    window.document.do(SetFields("equipment", found[1], (("rating_a", 200.0),)))
    qtbot.waitUntil(lambda: "now 200 A" in page.text.toPlainText(), timeout=20_000)
    page.text.setPlainText("A smaller fuse, as the yard asked.")
    page.settle()
    _issued(window, page, qtbot)
    assert window.document.snapshot().revisions[page.here()].text == "A smaller fuse, as the yard asked."


def test_an_issue_is_opened_to_read_only_and_says_which_it_is(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, answers: list[str]
) -> None:
    window = shown(desk.open_path(ketch))
    page = _page(window, qtbot)
    kept = _issued(window, page, qtbot)
    record = window.document.snapshot().revisions[page.here()]
    qtbot.waitUntil(lambda: not any(w in page.list.currentItem().text() for w in ("MISSING", "ALTERED")))
    qtbot.mouseClick(page.open_it, Qt.MouseButton.LeftButton)
    issue = shown(desk.windows[-1])
    assert issue is not window
    assert issue.document.read_only == f"this is revision C as it was issued on {record.date}."
    qtbot.waitUntil(lambda: "as it was issued" in issue.banner.told().get("read-only", ""))
    with pytest.raises(EditError, match="read only"):
        issue.document.do(SetFields("vessel", "vessel", (("name", "Other"),)))
    issue.close()
    os.chmod(kept, 0o644)
    kept.write_bytes(kept.read_bytes().replace(b'"Issued"', b'"issued"'))
    page.hide()
    page.show()
    qtbot.waitUntil(lambda: "its copy was ALTERED since" in page.list.currentItem().text(), timeout=20_000)
    answers.append("close")
    qtbot.mouseClick(page.open_it, Qt.MouseButton.LeftButton)
    assert answers.asked[-1].text == "this is NOT revision C as it was issued: the file was altered since."
    altered = shown(desk.windows[-1])
    qtbot.waitUntil(lambda: "NOT revision C" in altered.banner.told().get("read-only", ""))
    kept.unlink()
    page.hide()
    page.show()
    assert "its copy is MISSING" in page.list.currentItem().text()
    assert not page.open_it.isEnabled()


def test_an_issue_stays_whatever_is_undone(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    page = _page(window, qtbot)
    kept = _issued(window, page, qtbot)
    item = page.here()
    as_issued = kept.read_bytes()
    for values in ((("issued", False),), (("index", "Z"),), (("date", ""),), (("copy", ""),)):
        with pytest.raises(EditError, match="Revision C is issued: others hold it as it is"):
            window.document.do(SetFields("revisions", item, values))
    with pytest.raises(EditError, match="others hold it"):
        window.document.do(Put("revisions", item, None))
    window.document.undo()
    assert not window.document.snapshot().revisions[item].issued
    assert kept.read_bytes() == as_issued
    page.text.setPlainText("Otherwise.")
    page.settle()
    other = _issued(window, page, qtbot)
    assert other != kept
    assert kept.read_bytes() == as_issued
    window.document.undo()
    window.document.redo()
    assert window.document.snapshot().revisions[item].copy == f"issued/{other.name}"


def test_it_is_compared_with_an_issue(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    page = _page(window, qtbot)
    kept = _issued(window, page, qtbot)
    qtbot.mouseClick(page.compare_it, Qt.MouseButton.LeftButton)
    assert window.page == "comparing"
    assert window.pages.currentWidget().comparing.name == kept.name


def test_saved_elsewhere_the_issues_come_along(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.open_path(ketch))
    page = _page(window, qtbot)
    kept = _issued(window, page, qtbot)
    target = ketch.parent / "elsewhere" / "other.linewright"
    target.parent.mkdir()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(target), ""))
    assert save_as(window)
    qtbot.waitUntil(lambda: (target.parent / "issued" / kept.name).exists(), timeout=20_000)
    assert (target.parent / "issued" / kept.name).read_bytes() == kept.read_bytes()


def test_old_issues_without_copies_raise_no_alarm(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    page = _page(window, qtbot)
    rows = [page.list.item(n).text() for n in range(page.list.count())]
    assert all("no copy kept" in row for row in rows[:-1])
    assert not any(word in row for row in rows for word in ("MISSING", "ALTERED"))
    page.list.setCurrentRow(0)
    assert page.open_it.isVisible()
    assert not page.open_it.isEnabled()


def test_the_first_issue_of_a_new_drawing_offers_today(
    desk: Desk, shown: Shown, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.new())
    page = _page(window, qtbot)
    assert page.state.text().startswith("This drawing was never issued.")
    assert page.day.text() == "", "today is offered, not written down"
    assert date.today().isoformat() in page.day.placeholderText()
    qtbot.mouseClick(page.issue_it, Qt.MouseButton.LeftButton)
    assert page.told.text() == "Save the drawing first: a copy of what is issued is kept beside its file."
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(tmp_path / "new.linewright"), ""))
    assert save_as(window)
    qtbot.mouseClick(page.issue_it, Qt.MouseButton.LeftButton)
    assert page.told.text() == "Nobody is named who issues it."
    assert not (tmp_path / "issued").exists()
    page.by.setText("A. Dunnock")
    qtbot.mouseClick(page.issue_it, Qt.MouseButton.LeftButton)
    (record,) = window.document.snapshot().revisions.values()
    assert (record.index, record.issued, record.by) == ("A", True, "A. Dunnock")
    assert record.date == date.today().isoformat()
    assert page.index.isReadOnly()


def test_an_issue_cannot_be_unticked_on_its_page_and_says_why(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(ketch))
    page = _page(window, qtbot)
    _issued(window, page, qtbot)
    item = page.here()
    window.show_page("particulars")
    particulars = window.pages.particulars()
    particulars.show_record("revisions", item)
    row = particulars.form.rows["issued"]
    row.entry.setFocus()
    qtbot.keyClick(row.entry, Qt.Key.Key_Space)
    assert window.document.snapshot().revisions[item].issued
    told = " ".join(label.text() for label in row.findChildren(QLabel) if not label.isHidden())
    assert "others hold it as it is" in told
