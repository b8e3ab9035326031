"""The owner asks what the yard has changed: two drawings compared in the window, gone through, printed, put away."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec
import pypdfium2
import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.window.comparing.page import ComparingPage
from app.window.main import Window
from app.window.start import Desk
from engine.edits import Put, SetFields, Several, apply
from engine.files.drawing import load, save
from engine.files.issues import issue_with_copy

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
LONG_MS = 30_000
BOTH = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def newer(ketch: Path, tmp_path: Path) -> Path:
    """What the yard has made of the ketch: another fuse, the windlass gone, an anchor light, another position."""
    installation = load(ketch).installation
    before = installation.snapshot()
    named = {before.name(i): i for i in before.equipment}
    apply(installation, SetFields("equipment", named["F1"], (("rating_a", 250.0),)))
    gone = named["M3"]
    runs = [i for i, r in before.runs.items() if gone in (r.from_end.equipment, r.to_end.equipment)]
    puts = [Put("routes", i) for i, r in before.routes.items() if r.run in runs]
    puts += [Put("runs", i) for i in runs]
    puts += [Put("placements", i) for i, p in before.placements.items() if p.equipment == gone]
    for item, condition in before.conditions.items():
        puts.append(
            Put(
                "conditions",
                item,
                msgspec.structs.replace(
                    condition,
                    name=condition.name + " (winter)" if condition.name == "At anchor" else condition.name,
                    duties=tuple(d for d in condition.duties if d.equipment != gone),
                ),
            )
        )
    apply(installation, Several((*puts, Put("equipment", gone))))
    fresh = installation.new_id("equipment")
    light = msgspec.structs.replace(before.equipment[named["E22"]], designation="E99", label="Riding light")
    spot = next(p for p in before.placements.values() if p.equipment == named["F1"])
    apply(installation, Put("equipment", fresh, light))
    where = msgspec.structs.replace(spot, equipment=fresh, x=8, y=8)
    apply(installation, Put("placements", installation.new_id("placements"), where))
    path = tmp_path / "yard.linewright"
    save(installation, path)
    return path


def _page(window: Window, qtbot: QtBot) -> ComparingPage:
    qtbot.keyClick(window.board, Qt.Key.Key_C, BOTH)
    assert window.page == "comparing"
    page = window.pages.currentWidget()
    assert isinstance(page, ComparingPage)
    return page


def _compared(page: ComparingPage, qtbot: QtBot) -> None:
    def done() -> None:
        assert page.comparing is not None
        assert page.comparing.compared is not None
        assert not page.comparing.is_working
        assert not page.comparing.is_behind

    qtbot.waitUntil(done, timeout=LONG_MS)


def _choose(page: ComparingPage, path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_a, **_k: (str(path), ""))
    page.choose.setFocus()
    qtbot.keyClick(page.choose, Qt.Key.Key_Space)
    _compared(page, qtbot)


def _go(page: ComparingPage, name: str, qtbot: QtBot) -> None:
    """Down through the list to a thing, as a person walks."""
    qtbot.keyClick(page.list, Qt.Key.Key_Home)
    for _step in range(60):
        entry = page.list.current()
        if entry is not None and entry.name.startswith(name):
            return
        qtbot.keyClick(page.list, Qt.Key.Key_Down)
    raise AssertionError(f"{name} is not in the list")


def test_the_whole_story_by_the_keyboard(
    desk: Desk, shown: Shown, ketch: Path, newer: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    window = shown(desk.open_path(newer))
    document = window.document
    was = document.snapshot()
    page = _page(window, qtbot)
    _choose(page, ketch, qtbot, monkeypatch)
    assert "differences from ketch.linewright" in page.head.text()
    assert "Matched by id" in page.head.text()
    texts = [page.list.item(n).text() for n in range(page.list.count())]
    assert any("F1 House bank main fuse\nrated current of the link: 300 A, now 250 A" in text for text in texts)
    assert any(text.startswith("−") and "M3" in text for text in texts)
    assert any(text.startswith("+") and "E99 Riding light" in text for text in texts)
    assert any("At anchor" in text for text in texts)
    # what has changed: shown on its sheet, in a dashed cloud
    _go(page, "F1", qtbot)
    assert document.selection[0] in document.installation.find("F1")[0]
    assert page.marks is not None
    assert page.marks.items, "the sheet is marked"
    assert page.list.hasFocus(), "one goes on walking"
    # what is gone: on the newer sheet, where it stood
    _go(page, "M3", qtbot)
    assert not window.middle.is_older
    made = page.comparing
    assert made is not None
    number = page.list.current().number  # type: ignore[union-attr]  # it was gone to
    sheet = made.sheets["newer", document.sheet]
    assert number in sheet.boxes
    assert any(p.dash == "dashed" for p in sheet.strokes()["under"] if hasattr(p, "dash"))
    # the older drawing beside it, and back with Escape
    qtbot.keyClick(page, Qt.Key.Key_O, Qt.KeyboardModifier.AltModifier)
    assert window.middle.is_older
    assert page.older.text() == "Newer drawing"
    assert page.older_view is not None
    assert page.older_view.title.text().startswith("Older: ketch.linewright, sheet")
    assert page.older_view.view.ringed is not None
    qtbot.keyClick(page.list, Qt.Key.Key_Escape)
    assert not window.middle.is_older
    assert page.comparing is not None
    # next and previous from anywhere on the page
    before = page.list.currentRow()
    qtbot.keyClick(page.older, Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    assert page.list.currentRow() > before
    qtbot.keyClick(page.older, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert page.list.currentRow() == before
    # on paper
    paper = tmp_path / "marked.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(paper), "PDF (*.pdf)"))
    page.write.setFocus()
    qtbot.keyClick(page.write, Qt.Key.Key_Space)
    qtbot.waitUntil(paper.exists, timeout=LONG_MS)
    book = pypdfium2.PdfDocument(paper)
    told = " ".join(" ".join(each.get_textpage().get_text_range().split()) for each in book)
    book.close()
    assert "Older drawing: ketch.linewright" in told
    assert "Newer drawing: yard.linewright" in told
    assert "removed: M3 Windlass" in told
    # Escape ends it: nothing on the sheet, nothing in the drawing
    qtbot.keyClick(page.list, Qt.Key.Key_Escape)
    assert page.comparing is None
    assert document.snapshot() is was
    assert not document.is_dirty
    qtbot.keyClick(page.choose, Qt.Key.Key_Escape)
    assert window.page == ""


def test_the_comparison_follows_edits_and_undo(
    desk: Desk, shown: Shown, ketch: Path, newer: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.open_path(newer))
    page = _page(window, qtbot)
    _choose(page, ketch, qtbot, monkeypatch)
    document = window.document
    (_table, fuse) = document.installation.find("F1")[0]
    count = len(page.list.entries)
    document.do(SetFields("equipment", fuse, (("rating_a", 300.0),)))
    assert "changed since" in page.head.text(), "what is shown is marked as behind"
    _compared(page, qtbot)
    assert len(page.list.entries) == count - 1
    assert not any(entry.name.startswith("F1") for entry in page.list.entries)
    document.undo()
    _compared(page, qtbot)
    assert len(page.list.entries) == count


def test_a_file_that_is_no_drawing_is_told_and_nothing_happens(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    broken = tmp_path / "broken.linewright"
    broken.write_text("{ this is no drawing")
    window = shown(desk.open_path(ketch))
    page = _page(window, qtbot)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_a, **_k: (str(broken), ""))
    qtbot.mouseClick(page.choose, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: page.comparing is None, timeout=LONG_MS)
    assert page.head.text().startswith("broken.linewright cannot be compared: ")
    assert "Traceback" not in page.head.text()


def test_a_drawing_let_go_over_the_page_is_compared(
    desk: Desk, shown: Shown, ketch: Path, newer: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(newer))
    page = _page(window, qtbot)
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(ketch))])
    page.dropEvent(
        QDropEvent(
            QPointF(5, 5), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
        )
    )
    _compared(page, qtbot)
    assert len(page.list.entries) > 3
    # another page: what is marked is told above the sheet, and can be ended there
    window.show_page("notes")
    assert window.banner.told()["comparing"] == "The sheets are marked with what differs from ketch.linewright."
    window.show_page("comparing")
    assert "comparing" not in window.banner.told()


def test_closing_the_window_ends_the_process(
    desk: Desk, shown: Shown, ketch: Path, newer: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.open_path(newer))
    page = _page(window, qtbot)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_a, **_k: (str(ketch), ""))
    qtbot.mouseClick(page.choose, Qt.MouseButton.LeftButton)
    window.leaving = True
    window.close()
    qtbot.waitUntil(lambda: not desk.windows)


def test_two_lists_made_apart_are_matched_by_likeness_and_each_match_is_told(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from app.cli import main

    sample = Path(__file__).parents[4] / "samples" / "ketch"
    other = tmp_path / "surveyor.linewright"
    lists = [str(sample / f"{name}.csv") for name in ("equipment", "runs", "places", "enclosures")]
    turned = tmp_path / "runs.csv"
    head, *rows = (sample / "runs.csv").read_text().splitlines()
    turned.write_text("\n".join([head, *reversed(rows)]) + "\n")
    lists[1] = str(turned)
    assert main(["import", *lists, "-o", str(other)]) in (0, 1)
    window = shown(desk.open_path(other))
    page = _page(window, qtbot)
    page.match.setCurrentIndex(page.match.findData("likeness"))
    _choose(page, ketch, qtbot, monkeypatch)
    assert "Matched by likeness" in page.head.text()
    assert page.tabs.isTabVisible(1)
    assert page.matches.count() > 100
    page.tabs.setCurrentIndex(1)
    texts = [page.matches.item(n).text() for n in range(page.matches.count())]
    assert any(text.startswith("F1 is F1 (") and "both are of the kind fuse" in text for text in texts)
    row = next(n for n, text in enumerate(texts) if text.startswith("F1 is F1 ("))
    page.matches.setFocus()
    page.matches.setCurrentRow(row)
    (_table, fuse) = window.document.installation.find("F1")[0]
    assert window.document.selection == (fuse,)


def test_an_issue_that_is_kept_is_offered_and_compared(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> None:
    window = shown(desk.open_path(ketch))
    document = window.document
    document.do(issue_with_copy(document.installation, ketch, by="A. Dunnock", day="2026-11-28"))
    (_table, fuse) = document.installation.find("F1")[0]
    document.do(SetFields("equipment", fuse, (("rating_a", 250.0),)))
    page = _page(window, qtbot)
    assert [page.issues.itemText(n) for n in range(page.issues.count())][1:] == ["revision C, 2026-11-28"]
    page.issues.setFocus()
    qtbot.keyClick(page.issues, Qt.Key.Key_Down)
    page.issues.activated.emit(page.issues.currentIndex())
    _compared(page, qtbot)
    assert "This is revision C as it was issued on 2026-11-28." in page.head.text()
    assert any("rated current of the link: 300 A, now 250 A" in entry.fields for entry in page.list.entries)
