"""What the tests of the tools share: a small drawing on a board, and a hand that works mouse and keys on it."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

pytest.importorskip("PySide6")

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.canvas.board import Board
from app.canvas.tool import Tool
from app.canvas.tools import tools
from app.window.document import Document
from engine.builder import Builder
from engine.edits import Put, apply
from engine.files.drawing import dump
from engine.installation import Bend, Installation, Placement, Route, Sheet
from engine.picture import Box

NONE = Qt.KeyboardModifier.NoModifier
LEFT = Qt.MouseButton.LeftButton


def small_boat() -> Installation:
    """A bank, a switch, a fuse, a bus, a load; a selector; two switches of which an interlock lets one close."""
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("battery_switch", "Q1")
    b.add("fuse", "F1", rating_a=100)
    b.add("bus_bar", "X1")
    b.add("load", "E1")
    b.add("selector", "S1", in_position="off")
    b.add("battery_switch", "Q2", in_position="open")
    b.add("battery_switch", "Q3", in_position="closed")
    b.run("W1", "G1.pos", "Q1.in", length_m=1)
    b.run("W2", "Q1.out", "F1.in", length_m=2)
    b.run("W3", "F1.out", "X1.bar")
    b.run("W4", "X1.bar", "E1.in")
    b.interlock("Q2", "Q3", name="bypass")
    b.condition("Under way", Q3="open")
    made = b.installation
    sheet = made.new_id("sheets")
    apply(made, Put("sheets", sheet, Sheet(size="A3")))
    for name, x, y, rest in (
        ("G1", 20, 40, {}),
        ("Q1", 20, 30, {}),
        ("F1", 20, 20, {}),
        ("X1", 14, 10, {"length": 16}),
        ("E1", 40, 20, {}),
        ("S1", 52, 34, {}),
        ("Q2", 50, 20, {}),
        ("Q3", 56, 20, {}),
    ):
        apply(made, Put("placements", made.new_id("placements"), Placement(
            equipment=made.find(name)[0][1], sheet=sheet, x=x, y=y, **rest)))  # fmt: skip
    for name, bends in (("W1", ()), ("W2", ()), ("W3", ()), ("W4", ((28, 26), (40, 26)))):
        route = Route(run=made.find(name)[0][1], sheet=sheet, bends=tuple(Bend(x=x, y=y) for x, y in bends))
        apply(made, Put("routes", made.new_id("routes"), route))
    return made


class Hand:
    """A person at the board. Places are grid points (column, row), or names of equipment."""

    def __init__(self, board: Board, qtbot: QtBot) -> None:
        self.board, self.qtbot = board, qtbot
        self.document = board.document
        self.said: list[str] = []
        self.asked: list[str] = []
        board.refused.connect(self.said.append)
        board.asked.connect(self.asked.append)
        self.at_first = self.dump()
        self._down = Qt.MouseButton.NoButton

    # -- what is there ------------------------------------------------------------------------------------------
    def dump(self) -> str:
        """The file as it would be saved, but for the number of the last id made: ids are never used again."""
        return re.sub(r'"last_id": \d+', "", dump(self.document.installation).decode())

    def id(self, name: str) -> str:
        found = self.document.installation.find(name)
        assert len(found) == 1, (name, found)
        return found[0][1]

    def placement(self, name: str) -> Placement:
        return self.document.snapshot().placements[self.placed(name)]

    def placed(self, name: str) -> str:
        item = self.id(name)
        return next(i for i, p in self.document.snapshot().placements.items() if p.equipment == item)

    def line(self, name: str) -> tuple[tuple[int, int], ...]:
        """The points of a run on the sheet."""
        item = self.id(name)
        parts = [p for p in self.board.scene_now().parts_on(self.document.sheet) if p.run == item]
        assert [p.kind for p in parts] == ["whole"], parts
        return parts[0].points

    def chosen(self) -> set[str]:
        snapshot = self.document.snapshot()
        return {snapshot.name(item) for item in self.document.selection}

    def ends(self, name: str) -> tuple[str, str]:
        snapshot = self.document.snapshot()
        run = snapshot.runs[self.id(name)]
        return tuple(f"{snapshot.name(e.equipment)}.{e.terminal}" for e in (run.from_end, run.to_end))

    # -- the mouse ----------------------------------------------------------------------------------------------
    def pixel(self, place: tuple[float, float] | str) -> QPoint:
        if isinstance(place, str):
            p = self.placement(place)
            place = (p.x, p.y)
        sight = self.board.finder().sight
        return self.board.to_viewport(sight.left + place[0] * 2.5, sight.top + place[1] * 2.5).toPoint()

    def move(self, place: tuple[float, float] | str) -> None:
        """A move of the mouse. Sent by hand: `QTest.mouseMove` goes by the one pointer all windows share offscreen."""
        view, at = self.board.viewport(), QPointF(self.pixel(place))
        event = QMouseEvent(
            QEvent.Type.MouseMove, at, view.mapToGlobal(at), Qt.MouseButton.NoButton, self._down, NONE
        )  # fmt: skip
        QApplication.sendEvent(view, event)

    def rest(self, until: Callable[[], bool]) -> None:
        """The pointer rests until what is looked up meanwhile is shown."""
        self.qtbot.waitUntil(until)

    def press(self, place: tuple[float, float] | str, keys: Qt.KeyboardModifier = NONE) -> None:
        self.move(place)
        self._down = LEFT
        self.qtbot.mousePress(self.board.viewport(), LEFT, keys, self.pixel(place))

    def release(self, place: tuple[float, float] | str, keys: Qt.KeyboardModifier = NONE) -> None:
        self.move(place)
        self._down = Qt.MouseButton.NoButton
        self.qtbot.mouseRelease(self.board.viewport(), LEFT, keys, self.pixel(place))

    def click(self, place: tuple[float, float] | str, keys: Qt.KeyboardModifier = NONE) -> None:
        self.press(place, keys)
        self.release(place, keys)

    def double(self, place: tuple[float, float] | str) -> None:
        self.click(place)
        self.qtbot.mouseDClick(self.board.viewport(), LEFT, NONE, self.pixel(place))

    def begin_drag(self, *places: tuple[float, float] | str, keys: Qt.KeyboardModifier = NONE) -> None:
        """Press at the first place and go to the others."""
        self.press(places[0], keys)
        for place in places[1:]:
            self.move(place)

    def drag(self, *places: tuple[float, float] | str, keys: Qt.KeyboardModifier = NONE) -> None:
        self.begin_drag(*places, keys=keys)
        self.release(places[-1], keys)

    # -- the keyboard -------------------------------------------------------------------------------------------
    def key(self, key: Qt.Key, keys: Qt.KeyboardModifier = NONE, times: int = 1) -> None:
        for _n in range(times):
            self.qtbot.keyClick(self.board, key, keys)

    def go(self, column: int, row: int) -> None:
        """The keyboard's pointer, by arrow keys."""
        if not self.board._cursor_shown:
            self.key(Qt.Key.Key_Right)
        dx, dy = column - self.board.cursor_column, row - self.board.cursor_row
        self.key(Qt.Key.Key_Right if dx > 0 else Qt.Key.Key_Left, times=abs(dx))
        self.key(Qt.Key.Key_Down if dy > 0 else Qt.Key.Key_Up, times=abs(dy))
        assert (self.board.cursor_column, self.board.cursor_row) == (column, row)

    # -- tools and history --------------------------------------------------------------------------------------
    def take(self, name: str, *arguments: object) -> Tool:
        self.board.take_up(tools()[name](self.board, *arguments))
        return self.board.tool

    def nothing_done(self) -> None:
        assert self.document.history.undo_words == ""
        assert self.dump() == self.at_first

    def one_edit(self) -> str:
        """Exactly one edit was done; undo gives the very same drawing back, redo the new one. Returns its words."""
        words = self.document.history.undo_words
        after = self.dump()
        assert words, self.said
        assert after != self.at_first
        self.document.undo()
        assert self.document.history.undo_words == ""
        assert self.dump() == self.at_first
        self.document.redo()
        assert self.dump() == after
        return words

    def no_preview(self) -> None:
        marks = self.board.marks
        assert not marks._ghost
        for item in (marks._rubber, marks._rubber_end, marks._insert, marks._band):
            assert not item.isVisible()
        assert self.board._drag is None


@pytest.fixture
def hand(qtbot: QtBot) -> Hand:
    return _hand(qtbot, Document(small_boat()))


@pytest.fixture
def hand_on(qtbot: QtBot) -> Callable[[Installation], Hand]:
    def made(installation: Installation) -> Hand:
        return _hand(qtbot, Document(installation))

    return made


def _hand(qtbot: QtBot, document: Document) -> Hand:
    board = Board(document)
    qtbot.addWidget(board)
    board.resize(1000, 760)
    board.show()
    board.setFocus()
    board.fit()
    board.zoom_by(5.0 / board.pixels_per_mm)
    board.show_box(Box(20, 10, 210, 150))
    sight = board.finder().sight
    middle = (sight.left + 34 * 2.5, sight.top + 24 * 2.5)
    board.show_box(Box(*middle, *middle))
    at = board.to_viewport(*middle)
    board.scroll_by(round(at.x() - 500), round(at.y() - 380))
    return Hand(board, qtbot)
