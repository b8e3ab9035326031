"""The walk aboard with keys alone, in the real window: digits answer, every answer is one step to take back."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import pytest

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import Qt  # noqa: E402
from PySide6.QtWidgets import QApplication, QLabel  # noqa: E402
from pytestqt.qtbot import QtBot  # noqa: E402

from app.window.comfort import looks  # noqa: E402
from app.window.main import Window  # noqa: E402
from app.window.start import Desk  # noqa: E402
from app.window.walk.page import WalkPage  # noqa: E402
from engine.cautions import CAUTIONS  # noqa: E402

Shown = Callable[[Window | None], Window]
NO, CTRL = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def window(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> Window:
    made = shown(desk.open_path(ketch))
    qtbot.keyClick(made.board, Qt.Key.Key_F7, CTRL)
    page = made.pages.walk()
    page.today = lambda: datetime.date(2026, 5, 2)
    qtbot.waitUntil(page.isVisible)
    return made


def _begun(window: Window, qtbot: QtBot) -> WalkPage:
    page = window.pages.walk()
    assert page.head.text() == "No survey is begun: answers need one."
    assert page.new_button.hasFocus()
    qtbot.keyClick(page.new_button, Qt.Key.Key_Space)
    assert page.list.hasFocus()
    return page


def _inspected(window: Window) -> dict[str, str]:
    snapshot = window.document.snapshot()
    return {record.at or record.system: record.seen or record.energised for record in snapshot.inspections.values()}


def test_digits_answer_and_go_on_and_undo_takes_back_one(window: Window, qtbot: QtBot) -> None:
    page = _begun(window, qtbot)
    assert page.place.currentText() == "Battery locker (30 of 30 open)"
    first, second, third = page.model.rows[:3]
    for key in (Qt.Key.Key_1, Qt.Key.Key_3, Qt.Key.Key_2):
        qtbot.keyClick(page.list, key)
    assert _inspected(window) == {first.item: "seen", second.item: "not accessible", third.item: "not seen"}
    assert page.current() == page.model.rows[3]
    assert page.head.text().startswith("Survey 2026-05-02: 1 seen, 1 not seen, 1 not accessible, ")
    assert page.place.currentText() == "Battery locker (27 of 30 open)"
    window.document.undo()
    assert _inspected(window) == {first.item: "seen", second.item: "not accessible"}
    # away with an answer
    page.list.setCurrentIndex(page.model.index(0))
    qtbot.keyClick(page.list, Qt.Key.Key_0)
    assert _inspected(window) == {second.item: "not accessible"}
    record = next(iter(window.document.snapshot().inspections.values()))
    assert record.date == "2026-05-02"
    assert record.survey in window.document.snapshot().surveys


def test_what_is_walked_past_is_chosen_on_the_board(window: Window, qtbot: QtBot) -> None:
    page = _begun(window, qtbot)
    fuse = next(n for n, row in enumerate(page.model.rows) if window.document.snapshot().name(row.item) == "F1")
    page.list.setCurrentIndex(page.model.index(fuse - 1))
    qtbot.keyClick(page.list, Qt.Key.Key_Down)
    assert window.document.selection == (page.model.rows[fuse].item,)
    assert "300 A on the device itself" in page.look.text()


def test_a_note_goes_with_an_answer(window: Window, qtbot: QtBot) -> None:
    page = _begun(window, qtbot)
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    assert page.note.hasFocus()
    qtbot.keyClicks(page.note, "behind the tank")
    qtbot.keyClick(page.note, Qt.Key.Key_Return)
    assert page.list.hasFocus()
    qtbot.keyClick(page.list, Qt.Key.Key_3)
    (record,) = window.document.snapshot().inspections.values()
    assert (record.seen, record.note) == ("not accessible", "behind the tank")
    assert page.model.index(0).data() == "not accessible: Battery locker (behind the tank)"


def test_a_whole_place_at_once_is_one_step(window: Window, qtbot: QtBot) -> None:
    page = _begun(window, qtbot)
    qtbot.keyClick(page.list, Qt.Key.Key_2)
    qtbot.keyClick(page.list, Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
    assert list(_inspected(window).values()).count("seen") == 29
    assert page.place.currentText() == "Battery locker (done)"
    window.document.undo()
    assert len(_inspected(window)) == 1


def test_only_what_is_open_and_the_next_place(window: Window, qtbot: QtBot) -> None:
    page = _begun(window, qtbot)
    page.filter.setCurrentIndex(1)
    page.filter.activated.emit(1)
    second = page.model.rows[1]
    page.list.setCurrentIndex(page.model.index(0))
    qtbot.keyClick(page.list, Qt.Key.Key_1)
    assert len(page.model.rows) == 29
    assert page.current() == second  # the answered one is gone, the next took its place
    qtbot.keyClick(page.list, Qt.Key.Key_Right)
    assert page.place.currentText().startswith("Electrical locker (")


def test_systems_are_energised_or_not(window: Window, qtbot: QtBot) -> None:
    page = _begun(window, qtbot)
    page.place.setCurrentIndex(page.place.count() - 1)
    page.place.activated.emit(page.place.count() - 1)
    assert [page.model.index(n).data() for n in range(3)] == [
        "open: 12 V DC",
        "open: 24 V DC",
        "open: 120 V AC",
    ]
    qtbot.keyClick(page.list, Qt.Key.Key_1)
    qtbot.keyClick(page.list, Qt.Key.Key_2)
    qtbot.keyClick(page.list, Qt.Key.Key_3)
    assert _inspected(window) == {"12 V DC": "energised", "24 V DC": "not energised", "120 V AC": "not tested"}
    assert page.place.currentText() == "Systems of voltage (done)"


def test_without_a_survey_nothing_is_answered(window: Window, qtbot: QtBot) -> None:
    page = window.pages.walk()
    page.list.setFocus()
    qtbot.keyClick(page.list, Qt.Key.Key_1)
    assert not window.document.snapshot().inspections
    assert "No survey is begun" in page.head.text()


def test_at_the_largest_type_the_cautions_are_read_to_their_end(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot
) -> None:
    desk.settings.set("text_percent", 200)
    looks.wear(QApplication.instance(), desk.settings)
    try:
        window = shown(desk.open_path(ketch))
        window.resize(1500, 950)
        qtbot.keyClick(window.board, Qt.Key.Key_F7, CTRL)
        page = window.pages.walk()
        _begun(window, qtbot)
        (told,) = (label for label in page.findChildren(QLabel) if label.text().startswith(CAUTIONS[0][:30]))
        qtbot.waitUntil(lambda: told.height() >= told.heightForWidth(told.width()))
        assert told.geometry().bottom() <= page.height()
        assert told.geometry().top() > page.note.geometry().bottom()
        assert page.list.height() >= 3 * page.list.fontMetrics().lineSpacing()
    finally:
        desk.settings.set("text_percent", 100)
        looks.wear(QApplication.instance(), desk.settings)
