"""A surveyor marks deficiencies with the keyboard and the mouse: how few strokes it takes, and what then stands."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QKeySequence, QMouseEvent
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.window.deficiencies.entry import marking_of
from app.window.main import Window
from app.window.quick.fast import fast_of
from app.window.start import Desk
from engine.installation import Deficiency

pytestmark = pytest.mark.qt
Show = Callable[[Window | None], Window]
LAUNCH = Path(__file__).parents[4] / "samples" / "launch" / "launch.linewright"


@pytest.fixture
def launch(tmp_path: Path) -> Path:
    path = tmp_path / "launch.linewright"
    path.write_bytes(LAUNCH.read_bytes())
    return path


@pytest.fixture
def window(desk: Desk, launch: Path, shown: Show) -> Window:
    made = shown(desk.open_path(str(launch)))
    marking_of(made).today = lambda: datetime.date(2026, 5, 1)
    return made


class Hands:
    """Counts what a person does."""

    def __init__(self, qtbot: QtBot, window: Window) -> None:
        self.qtbot, self.window, self.words, self.acts = qtbot, window, 0, 0

    def focus(self) -> QWidget:
        found = self.window.focusWidget()
        assert found is not None
        return found

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        self.acts += 1
        self.qtbot.keyClick(self.focus(), key, modifier)

    def type(self, text: str) -> None:
        self.words += len(text.split())
        self.qtbot.keyClicks(self.focus(), text)

    def move(self, at: QPoint) -> None:
        """Sent by hand: `QTest.mouseMove` goes by the one pointer that all windows share."""
        view, spot = self.window.board.viewport(), QPointF(at)
        buttons, keys = Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier
        event = QMouseEvent(QEvent.Type.MouseMove, spot, view.mapToGlobal(spot), buttons, buttons, keys)
        QApplication.sendEvent(view, event)

    def click(self, at: QPoint) -> None:
        self.acts += 1
        self.move(at)
        self.qtbot.mouseClick(self.window.board.viewport(), Qt.MouseButton.LeftButton, pos=at)


def point_of(window: Window, item: str) -> QPoint:
    box = window.board.finder().box_of(item)
    assert box is not None
    return window.board.to_viewport((box.left + box.right) / 2, (box.top + box.bottom) / 2).toPoint()


def item_of(window: Window, designation: str) -> str:
    return window.document.installation.find(designation)[0][1]


def newest(window: Window) -> Deficiency:
    return max(window.document.snapshot().deficiencies.values(), key=lambda d: d.number or 0)


def test_one_is_marked_in_a_click_a_key_a_line_and_enter(qtbot: QtBot, window: Window) -> None:
    hands = Hands(qtbot, window)
    hands.click(point_of(window, item_of(window, "Q1")))
    hands.key(Qt.Key.Key_M)
    hands.type("a burnt lug; fire; renew lug and torque")
    hands.key(Qt.Key.Key_Return)
    made = newest(window)
    assert (made.number, made.grade, made.observation) == (1, "A", "burnt lug")
    assert (made.risk, made.recommendation) == ("fire", "renew lug and torque")
    assert made.at == item_of(window, "Q1")
    assert made.date == "2026-05-01"
    assert made.status == "open"
    # 15 seconds: eight words typed and three acts, where a practised typist needs some eight seconds
    assert hands.acts <= 6
    assert hands.acts + hands.words <= hands.words + 6
    assert window.board.hasFocus()  # ready for the next
    window.document.undo()
    assert not window.document.snapshot().deficiencies


def test_without_anything_chosen_it_stands_where_the_pointer_is(qtbot: QtBot, window: Window) -> None:
    hands = Hands(qtbot, window)
    box = window.board.seen_box()
    spot = window.board.to_viewport(20.0, (box.top + box.bottom) / 2).toPoint()
    free = next(p for dx in range(0, 300, 7) if not window.board.hit(window.board.spot(p := spot + QPoint(dx, 0))).kind)
    window.document.select()
    window.board.setFocus()
    hands.move(free)
    hands.key(Qt.Key.Key_M)
    hands.type("c no diagram aboard")
    hands.key(Qt.Key.Key_Return)
    made, at = newest(window), window.board.spot(free)
    assert made.at == ""
    assert made.sheet == window.document.sheet
    assert (made.x, made.y) == (at.column, at.row)


def test_earlier_words_come_by_one_key(qtbot: QtBot, window: Window) -> None:
    hands = Hands(qtbot, window)
    for designation, keys in (("F11", "b burnt holder; fire; renew the holder"), ("F12", "")):
        hands.click(point_of(window, item_of(window, designation)))
        hands.key(Qt.Key.Key_M)
        hands.type(keys)
        if not keys:
            hands.key(Qt.Key.Key_Return)  # nothing typed is nothing marked
            assert len(window.document.snapshot().deficiencies) == 1
            hands.key(Qt.Key.Key_Down)
        hands.key(Qt.Key.Key_Return)
    first, second = sorted(window.document.snapshot().deficiencies.values(), key=lambda d: d.number or 0)
    assert (second.observation, second.risk, second.recommendation) == (
        first.observation, first.risk, first.recommendation,
    )  # fmt: skip
    assert second.at == item_of(window, "F12")


def test_escape_marks_nothing_and_a_bad_day_is_told(qtbot: QtBot, window: Window) -> None:
    hands = Hands(qtbot, window)
    hands.click(point_of(window, item_of(window, "Q1")))
    hands.key(Qt.Key.Key_M)
    hands.type("b loose; ; ; soon")
    hands.key(Qt.Key.Key_Return)
    assert "written like" in fast_of(window.board).line.told.text()
    hands.key(Qt.Key.Key_Escape)
    assert not window.document.snapshot().deficiencies
    assert not window.document.is_dirty


def test_a_finding_becomes_one_once(qtbot: QtBot, judging_desk: Desk, ketch: Path, shown: Show) -> None:
    window = shown(judging_desk.open_path(str(ketch)))
    qtbot.waitUntil(lambda: window.document.judgement is not None, timeout=20000)
    window.show_page("notes")
    judgement = window.document.judgement
    assert judgement is not None
    finding = judgement.result.findings[0]
    window.pages.notes().show_finding(finding.key)
    hands = Hands(qtbot, window)
    hands.key(Qt.Key.Key_M, Qt.KeyboardModifier.ControlModifier)
    made = newest(window)
    assert made.rule == finding.rule
    assert made.clause == finding.clause
    assert made.arithmetic == finding.arithmetic
    assert len(made.figures) == len(finding.figures)
    hands.key(Qt.Key.Key_M, Qt.KeyboardModifier.ControlModifier)
    assert len(window.document.snapshot().deficiencies) == 1
    assert "before" in window.foot.message
    # and at the board, by the circle
    second = judgement.result.findings[1]
    window.show_page("")
    window.document.turn_to(judgement.homes[second.key])
    window.board.show_note(judgement.numbers[second.key])
    window.board.setFocus()
    hands.key(Qt.Key.Key_M, Qt.KeyboardModifier.ControlModifier)
    assert newest(window).rule == second.rule
    assert newest(window).number == 2


def test_a_square_on_the_sheet_leads_to_the_page(qtbot: QtBot, judging_desk: Desk, launch: Path, shown: Show) -> None:
    window = shown(judging_desk.open_path(str(launch)))
    hands = Hands(qtbot, window)
    hands.click(point_of(window, item_of(window, "Q1")))
    hands.key(Qt.Key.Key_M)
    hands.type("b loose; arcing; tighten")
    hands.key(Qt.Key.Key_Return)
    item = next(iter(window.document.snapshot().deficiencies))
    window.document.select()
    window.show_page("")
    board = window.board
    qtbot.waitUntil(lambda: -1 in board.finder().flag_boxes and -1 in board.shown.note_boxes, timeout=20000)
    box = board.finder().flag_boxes[-1]
    told: list[str] = []
    board.pointed.connect(told.append)
    hands.click(board.to_viewport((box.left + box.right) / 2, (box.top + box.bottom) / 2).toPoint())
    assert window.page == "deficiencies"
    assert window.pages.deficiencies().current() == item
    assert window.document.selection == (item,)
    assert board.note == -1
    assert any("Deficiency 1" in text and "loose" in text for text in told)


def test_the_keys_are_those_of_the_list_of_keys(window: Window) -> None:
    keys = {
        name: window.menus.of[name].shortcut() for name in ("deficiencies", "mark_deficiency", "finding_deficiency")
    }
    assert keys == {
        "deficiencies": QKeySequence("Shift+F12"),
        "mark_deficiency": QKeySequence("M"),
        "finding_deficiency": QKeySequence("Ctrl+M"),
    }


def test_where_nobody_has_pointed_it_stands_in_the_middle_of_what_is_seen(
    qtbot: QtBot, desk: Desk, shown: Show
) -> None:
    window = shown(desk.new())
    window.board.setFocus()
    hands = Hands(qtbot, window)
    hands.key(Qt.Key.Key_M)
    hands.type("c no diagram aboard")
    hands.key(Qt.Key.Key_Return)
    made, seen = newest(window), window.board.seen_box()
    middle = window.board.spot_mm((seen.left + seen.right) / 2, (seen.top + seen.bottom) / 2)
    assert (made.x, made.y) == (middle.column, middle.row)
