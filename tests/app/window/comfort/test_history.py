"""History in words: what was done, where one stands, what is saved; a click goes there."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.window.comfort.history import HistoryPage
from app.window.document import Document
from app.window.files import begin_new
from engine.edits import SetFields

pytestmark = pytest.mark.qt


def named(n: int) -> SetFields:
    return SetFields("vessel", "vessel", (("name", f"Tern {n}"),), words=f"Call her Tern {n}")


@pytest.fixture
def document() -> Document:
    return begin_new()


@pytest.fixture
def page(qtbot: QtBot, document: Document) -> HistoryPage:
    made = HistoryPage(document)
    qtbot.addWidget(made)
    made.show()
    return made


def rows(page: HistoryPage) -> list[str]:
    return [str(page.steps.index(n).data()) for n in range(page.steps.rowCount())]


def test_what_was_done_stands_there_the_newest_last(document: Document, page: HistoryPage, qtbot: QtBot) -> None:
    assert rows(page) == ["▸  As it was begun"]
    for n in range(3):
        document.do(named(n))
    qtbot.waitUntil(lambda: page.steps.rowCount() == 4)
    assert rows(page) == ["•  As it was begun", "•  Call her Tern 0", "•  Call her Tern 1", "▸  Call her Tern 2"]
    assert page.head.text() == "3 edits"


def test_a_click_takes_back_or_does_again_up_to_there(document: Document, page: HistoryPage, qtbot: QtBot) -> None:
    told: list[str] = []
    page.noted.connect(told.append)
    for n in range(5):
        document.do(named(n))
    page.begin()
    qtbot.mouseClick(
        page.list.viewport(), Qt.MouseButton.LeftButton, pos=page.list.visualRect(page.steps.index(2)).center()
    )
    assert document.installation.vessel.name == "Tern 1"
    assert rows(page)[2:4] == ["▸  Call her Tern 1", "○  Call her Tern 2"]
    assert page.steps.index(3).data(Qt.ItemDataRole.AccessibleTextRole) == "Call her Tern 2: taken back"
    page.list.setCurrentIndex(page.steps.index(4))
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    assert document.installation.vessel.name == "Tern 3"
    assert page.head.text() == "5 edits; 1 of them taken back"
    assert told == ["3 edits taken back: Call her Tern 1", "2 edits on: Call her Tern 3"]


def test_what_is_done_otherwise_drops_what_was_taken_back(document: Document, page: HistoryPage, qtbot: QtBot) -> None:
    for n in range(4):
        document.do(named(n))
    page.go_to(1)
    document.do(named(9))
    qtbot.waitUntil(lambda: page.steps.rowCount() == 3)
    assert rows(page)[1:] == ["•  Call her Tern 0", "▸  Call her Tern 9"]


def test_the_saved_state_is_marked_wherever_one_stands(document: Document, page: HistoryPage, tmp_path: object) -> None:
    from pathlib import Path

    assert not any("(saved)" in row for row in rows(page))
    document.do(named(0))
    document.saved_as(Path(str(tmp_path)) / "tern.linewright", "x")
    document.do(named(1))
    page.begin()
    assert [n for n, row in enumerate(rows(page)) if "(saved)" in row] == [1]
    page.go_to(0)
    assert [n for n, row in enumerate(rows(page)) if "(saved)" in row] == [1]
    document.do(named(2))  # the saved state is none of these any more
    page.begin()
    assert not any("(saved)" in row for row in rows(page))


def test_a_thousand_edits_are_gone_through_in_slices_and_can_be_stopped(
    document: Document, page: HistoryPage, qtbot: QtBot
) -> None:
    for n in range(1000):
        document.do(named(n))
    page.begin()
    assert page.steps.rowCount() == 1001
    turns: list[int] = []
    document.changed.connect(lambda _c: turns.append(document.history.at))
    page.go_to(0)
    qtbot.waitUntil(lambda: not page.is_going)
    assert document.history.at == 0
    assert len(turns) == 1000
    assert document.installation.vessel.name == ""
    document.changed.connect(lambda _c: document.history.at == 100 and page.give_up())
    page.go_to(1000)
    qtbot.waitUntil(lambda: not page.is_going)
    assert document.history.at == 100
    assert document.installation.vessel.name == "Tern 99"


def test_odd_words_are_one_line(document: Document, page: HistoryPage) -> None:
    document.do(SetFields("vessel", "vessel", (("name", "x"),), words="<b>&=1+1\nnext عربي 🛥" + "long " * 200))
    page.begin()
    assert rows(page)[1].startswith("▸  <b>&=1+1 next عربي 🛥long long")
