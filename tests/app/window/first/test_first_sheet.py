"""The first sheet: shown the very first time, its keys are the program's, every step done in the window is ticked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.actions import action_named
from app.window.first.sheet import Ticks, begin, first_drawing, open_first
from app.window.first.steps import ACTIONS, ORDER, STEPS, First, keys_named, words
from app.window.main import Window
from app.window.start import Desk
from engine.check import check
from engine.edits import SetFields, apply

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
K = Qt.Key
LEFT = Qt.MouseButton.LeftButton


def ticks_of(window: Window) -> Ticks:
    found = window.findChild(Ticks, "first-sheet")
    assert isinstance(found, Ticks)
    return found


def test_it_is_shown_the_very_first_time_and_only_then(desk: Desk, shown: Shown) -> None:
    window = shown(begin(desk))
    assert window.document.path is None
    assert not window.document.is_dirty
    assert window.document.snapshot().remarks
    assert desk.settings.get("first_seen")
    assert not shown(begin(desk)).document.snapshot().equipment


def test_the_help_opens_it_beside_what_is_open(desk: Desk, shown: Shown) -> None:
    window = shown(desk.new())
    window.menus.call("first_sheet")
    assert len(desk.windows) == 2
    assert not window.document.is_dirty
    assert desk.windows[1].document.snapshot().remarks


def test_every_key_it_names_is_the_key_of_that_action() -> None:
    named = keys_named()
    for name in ACTIONS:
        assert named[name] == action_named(name).keys[0]
    told = words()
    installation, _first = first_drawing()
    texts = [r.text for r in installation.snapshot().remarks.values()]
    assert texts == [told[step] for step in ORDER]
    together = " ".join(texts)
    assert "{" not in together
    for name in ("run", "type_values", "insert_into_run", "size_chosen", "remark"):
        assert f"press {named[name]}," in together


def test_with_longer_words_it_still_reads() -> None:
    """German takes a third more room than English."""
    from app.drawing.added.remarks import remark_box
    from app.drawing.labels import Sight
    from app.drawing.placed import paper

    installation, _first = first_drawing()
    for item, remark in installation.snapshot().remarks.items():
        longer = remark.text + " " + "lange Worte " * (len(remark.text) // 36)
        apply(installation, SetFields("remarks", item, (("text", longer),)))
    snapshot, made = installation.snapshot(), paper("A3")
    sight = Sight(next(iter(snapshot.sheets)), "A3", made.border.left, made.border.top, made.drawing_box)
    boxes = [remark_box(sight, remark) for remark in snapshot.remarks.values()]
    room = made.drawing_box.grown(0.1)
    assert all(b.left >= room.left and b.right <= room.right and b.bottom <= room.bottom for b in boxes)
    assert not any(a.meets(b) for n, a in enumerate(boxes) for b in boxes[:n])


def test_what_is_open_on_it_is_what_its_steps_say_and_nothing_else() -> None:
    installation, first = first_drawing()
    snapshot = installation.snapshot()
    assert not any(step.done(first, snapshot) for step in STEPS)
    found = {(f.rule, snapshot.name(i)) for f in check(snapshot).findings for i in f.ids}
    assert {rule for rule, _name in found} == {"rating-above-ampacity", "unconnected"}
    assert {("rating-above-ampacity", "W5"), ("unconnected", "F3")} <= found


class Hand:
    """Does on the sheet what the remarks say."""

    def __init__(self, window: Window, qtbot: QtBot) -> None:
        self.window, self.qtbot, self.board = window, qtbot, window.board
        self.first: First = ticks_of(window).first

    def at(self, name: str) -> QPoint:
        box = self.board.finder().box_of(self.first.ids[name])
        assert box is not None
        return self.board.to_viewport((box.left + box.right) / 2, (box.top + box.bottom) / 2).toPoint()

    def port(self, name: str, terminal: str) -> QPoint:
        (piece,) = self.board.scene_now().of[self.first.ids[name]]
        return self.board.to_viewport(*self.board.finder().port(piece, terminal)).toPoint()

    def click(self, at: QPoint) -> None:
        self.qtbot.mouseMove(self.board.viewport(), at)
        self.qtbot.mouseClick(self.board.viewport(), LEFT, pos=at)

    def key(self, action: str) -> None:
        self.board.setFocus()
        text = action_named(action).keys[0]
        self.qtbot.keyClicks(self.board, text.lower())

    def type(self, text: str) -> None:
        board = self.board
        self.qtbot.waitUntil(lambda: QApplication.focusWidget() is not board)
        line: Any = QApplication.focusWidget()
        self.qtbot.keyClicks(line, text)
        self.qtbot.keyClick(line, K.Key_Return)


def test_done_step_by_step_each_is_ticked_and_taken_back_it_is_not(desk: Desk, shown: Shown, qtbot: QtBot) -> None:
    window = shown(open_first(desk))
    ticks, hand = ticks_of(window), Hand(window, qtbot)
    document, board = window.document, window.board
    assert ticks.done == frozenset()
    hand.key("run")
    sight = board.finder().sight
    hand.click(board.to_viewport(*sight.at((71, 52))).toPoint())
    hand.click(hand.port("F3", "in"))
    assert ticks.done == {"run"}
    assert "5 things" in window.foot.message
    board.take_up(_choose(board))
    hand.click(board.to_viewport(*sight.at((71, 47))).toPoint())
    hand.key("type_values")
    hand.type("2,5 mm2 0,2 m")
    assert ticks.done == {"run", "size"}
    hand.click(hand.at("F2"))
    hand.key("type_values")
    hand.type("10 a")
    assert ticks.done == {"run", "size", "rating"}
    hand.click(hand.at("W1"))
    hand.key("insert_into_run")
    hand.type("class t 150")
    assert "fuse" in ticks.done
    assert document.snapshot().equipment[document.selection[0]].KIND == "fuse"
    hand.key("remark")
    hand.click(board.to_viewport(*sight.at((30, 70))).toPoint())
    hand.type("Mine")
    assert "remark" in ticks.done
    thin = hand.first.ids["W5"]
    document.do(SetFields("runs", thin, (("size", "2.5 mm2"),), "Fit"))  # as the page of sizes does
    assert ticks.done == {step.name for step in STEPS}
    assert not ticks._item.path().isEmpty()
    assert window.foot.message
    for _n in range(6):
        document.undo()
    assert ticks.done == frozenset()
    assert ticks._item.path().isEmpty()


def _choose(board: Any) -> Any:
    from app.canvas.tools import tools

    return tools()["choose"](board)
