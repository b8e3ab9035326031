"""Two people changed copies of the ketch; the first brings the second's work in and decides what meets."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.actions import action_named
from app.window.main import Window
from app.window.merging.page import MergingPage
from app.window.start import Desk
from engine.edits import Put, SetFields, apply
from engine.files.drawing import load, save

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
LONG_MS = 30_000


def changed(ketch: Path, path: Path, **fields: Any) -> Path:
    installation = load(ketch).installation
    for designation, values in fields.items():
        table, item = installation.find(designation)[0]
        apply(installation, SetFields(table, item, tuple(values.items())), again=True)
    save(installation, path)
    return path


@pytest.fixture
def mine(ketch: Path, tmp_path: Path) -> Path:
    return changed(
        ketch, tmp_path / "mine.linewright", F1={"rating_a": 250.0, "note": "read aboard"}, W1={"length_m": 1.5}
    )


@pytest.fixture
def other(ketch: Path, tmp_path: Path) -> Path:
    return changed(
        ketch, tmp_path / "other.linewright", F1={"rating_a": 225.0}, W1={"length_m": 1.8}, Q3={"note": "renewed"}
    )


def _page(window: Window) -> MergingPage:
    action_named("merge").call(window)
    page = window.pages.currentWidget()
    assert isinstance(page, MergingPage)
    return page


def _worked_out(page: MergingPage, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: page.merging is not None and not page.merging.is_behind, timeout=LONG_MS)


def _choose(button: Any, path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_a, **_k: (str(path), ""))
    button.setFocus()
    qtbot.keyClick(button, Qt.Key.Key_Space)


def _record(window: Window, designation: str) -> Any:
    return window.document.installation.get(*window.document.installation.find(designation)[0])


def test_the_whole_story_by_the_keyboard(
    desk: Desk, shown: Shown, ketch: Path, mine: Path, other: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.open_path(mine))
    before = window.document.snapshot()
    page = _page(window)
    _choose(page.choose_base, ketch, qtbot, monkeypatch)
    assert page.merging is None
    _choose(page.choose_other, other, qtbot, monkeypatch)
    _worked_out(page, qtbot)
    assert "2 are to be decided" in page.head.text()
    assert not page.do.isEnabled()
    assert page.list.hasFocus()
    assert [page.list.item(n).text().split(" ")[0].rstrip(":") for n in range(2)] == ["F1", "W1"]
    assert page.values["a"].text() == "250 A"
    assert page.values["b"].text() == "225 A"
    fuse = window.document.installation.find("F1")[0][1]
    assert window.document.selection == (fuse,)  # the sheet shows what is asked about
    qtbot.keyClick(page.list, Qt.Key.Key_2)
    assert page.list.currentRow() == 1
    assert "the other's" in page.list.item(0).text()
    qtbot.keyClick(page.list, Qt.Key.Key_1)
    _worked_out(page, qtbot)
    assert "Nothing is left to decide" in page.head.text()
    assert window.document.snapshot() is before  # nothing is changed before one says so
    page.do.setFocus()
    qtbot.keyClick(page.do, Qt.Key.Key_Space)
    assert _record(window, "F1").rating_a == 225.0
    assert _record(window, "F1").note == "read aboard"
    assert _record(window, "W1").length_m == 1.5
    assert _record(window, "Q3").note == "renewed"
    assert page.merging is None
    window.document.undo()
    assert window.document.snapshot().tables == before.tables


def test_it_can_be_left_open_and_given_up(
    desk: Desk, shown: Shown, ketch: Path, mine: Path, other: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(mine))
    page = _page(window)
    page.take(ketch, other)
    _worked_out(page, qtbot)
    qtbot.keyClick(page.list, Qt.Key.Key_3)
    qtbot.keyClick(page.list, Qt.Key.Key_Up)
    _worked_out(page, qtbot)
    qtbot.keyClick(page.list, Qt.Key.Key_0)
    _worked_out(page, qtbot)
    assert "2 are to be decided" in page.head.text()
    qtbot.keyClick(page.list, Qt.Key.Key_Escape)
    assert page.merging is None
    assert not window.document.is_dirty


def test_an_edit_meanwhile_is_taken_into_account(
    desk: Desk, shown: Shown, ketch: Path, mine: Path, other: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(mine))
    page = _page(window)
    page.take(ketch, other)
    _worked_out(page, qtbot)
    fuse = window.document.installation.find("F1")[0][1]
    window.document.do(SetFields("equipment", fuse, (("rating_a", 225.0),)))
    assert not page.do.isEnabled()
    _worked_out(page, qtbot)
    assert "1 is to be decided" in page.head.text()


def test_files_are_dropped_and_what_is_none_is_told(
    desk: Desk, shown: Shown, ketch: Path, mine: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(mine))
    page = _page(window)
    wrong = tmp_path / "wrong.linewright"
    wrong.write_text("no drawing")
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(ketch)), QUrl.fromLocalFile(str(wrong))])
    modifiers, buttons = Qt.KeyboardModifier.NoModifier, Qt.MouseButton.LeftButton
    page.dropEvent(QDropEvent(QPointF(20, 20), Qt.DropAction.CopyAction, data, buttons, modifiers))
    qtbot.waitUntil(lambda: page.merging is None and "wrong.linewright" in page.head.text(), timeout=LONG_MS)
    assert page.base == ketch
    assert not window.document.is_dirty


def test_a_drawing_that_may_only_be_read_brings_nothing_in(
    desk: Desk, shown: Shown, ketch: Path, mine: Path, other: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.open_path(mine))
    window.document.read_only = "somebody else has it."
    said: list[str] = []
    monkeypatch.setattr(window.foot, "refuse", said.append)
    page = _page(window)
    page.take(ketch, other)
    assert page.merging is None
    assert "read only" in said[-1]


def test_photographs_of_the_other_are_there_at_once_and_come_along_when_saved(
    desk: Desk, shown: Shown, ketch: Path, mine: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    from PIL import Image

    from app.photographs import store_of, take
    from app.window.photographs.keeping import missing_at

    picture = tmp_path / "lug.png"
    Image.new("RGB", (90, 60), "red").save(picture)
    taken = take(picture)
    other = tmp_path / "elsewhere" / "other.linewright"
    other.parent.mkdir()
    installation = load(ketch).installation
    apply(installation, Put("photographs", installation.new_id("photographs"), taken.record))
    save(installation, other)
    store_of(other).put(taken)
    window = shown(desk.open_path(mine))
    page = _page(window)
    page.take(ketch, other)
    _worked_out(page, qtbot)
    page.do.setFocus()
    qtbot.keyClick(page.do, Qt.Key.Key_Space)
    assert len(window.document.snapshot().photographs) == 1
    assert missing_at(window.document) == 0
    action_named("save").call(window)
    qtbot.waitUntil(lambda: store_of(mine).state(taken.record) == "there", timeout=LONG_MS)


def test_a_question_that_a_decision_raises_is_put_too(
    desk: Desk, shown: Shown, ketch: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    mine = changed(ketch, tmp_path / "first.linewright", F1={"designation": "F95"}, F4={"designation": "F96"})
    other = changed(ketch, tmp_path / "second.linewright", F1={"designation": "F96"})
    window = shown(desk.open_path(mine))
    page = _page(window)
    page.take(ketch, other)
    _worked_out(page, qtbot)
    assert page.list.count() == 1
    qtbot.keyClick(page.list, Qt.Key.Key_2)
    _worked_out(page, qtbot)
    assert page.list.count() == 2
    assert "1 is to be decided" in page.head.text()
    assert not page.do.isEnabled()
    page.list.setCurrentRow(1)
    assert "F96" in page.asked.text()
    assert not page.sides["base"].isEnabled()
    qtbot.keyClick(page.list, Qt.Key.Key_1)
    _worked_out(page, qtbot)
    assert "Nothing is left to decide" in page.head.text()
    # the first is decided otherwise: the second is no question any more
    page.list.setCurrentRow(0)
    qtbot.keyClick(page.list, Qt.Key.Key_1)
    _worked_out(page, qtbot)
    assert page.list.count() == 1
    assert "this drawing has all of it" in page.head.text()
