"""Somebody who does anything whatever in a window, with mouse and keys, by a seeded dice. Loaded by the tests here."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QDialog, QLineEdit, QWidget

from app.window.main import Window
from engine.equipment import kinds

NONE = Qt.KeyboardModifier.NoModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier
CTRL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier
LEFT = Qt.MouseButton.LeftButton
K = Qt.Key
MOST = 24  # pieces on a drawing: from there on more is taken away than put down, so that 20 000 edits do not fill it
PHRASES = ("fuse 10 A", "battery 12 V 200 Ah", "motor 12 V 100 W", "switch", "16 A breaker", "lamp 5 W", "10 ft", "qq")
WORDS = ("10", "35 mm2", "2/0 AWG", "3,5 m", "10 ft", "Tern", "=1+1", "<b>Skua</b>", "", "-4", "F1", "12 V", "1e999")
PAGES = (K.Key_F2, K.Key_F3, K.Key_F4, K.Key_F5, K.Key_F7, K.Key_F8, K.Key_F12)
KEYS = {  # what a key does where the sheet has the keyboard
    "turn": (K.Key_T, NONE), "mirror": (K.Key_T, SHIFT), "lead anew": (K.Key_L, NONE), "label back": (K.Key_L, SHIFT),
    "move label": (K.Key_L, CTRL), "straighten": (K.Key_D, SHIFT), "repeat": (K.Key_R, NONE), "place": (K.Key_E, SHIFT),
    "to the left": (K.Key_Left, ALT | SHIFT), "to the top": (K.Key_Up, ALT | SHIFT), "view": (K.Key_V, NONE),
    "distribute": (K.Key_H, CTRL | ALT), "far end": (K.Key_F, NONE), "sheet on": (K.Key_PageDown, CTRL),
    "sheet back": (K.Key_PageUp, CTRL), "whole enclosure": (K.Key_B, NONE), "fit": (K.Key_0, CTRL),
    "nearer": (K.Key_Plus, CTRL), "farther": (K.Key_Minus, CTRL), "find": (K.Key_Escape, NONE),
}  # fmt: skip


class Person:
    """Works in a window until told to stop. What was done, and how often, is in `did`."""

    def __init__(self, window: Window, chance: random.Random) -> None:
        self.window, self.chance = window, chance
        self.board, self.document = window.board, window.document
        self.did: Counter[str] = Counter()
        self.refused: Counter[str] = Counter()
        self.board.refused.connect(self._refused)
        self.ways: list[tuple[int, Callable[[], None]]] = [
            (10, self.place), (10, self.draw), (14, self.drag), (6, self.choose), (4, self.band), (8, self.take_away),
            (8, self.copy_and_paste), (5, self.duplicate), (12, self.key), (30, self.back), (16, self.on),
            (8, self.nudge), (6, self.phrase), (5, self.particulars), (3, self.table), (3, self.page),
            (3, self.operate), (2, self.lead_all),
            (3, self.remark), (2, self.sheets), (1, self.save), (1, self.condition), (4, self.anywhere),
        ]  # fmt: skip
        self.guard = QTimer()
        self.guard.setInterval(50)
        self.guard.timeout.connect(self._close_what_waits)
        self.guard.start()

    def _refused(self, why: str) -> None:
        self.refused[why] += 1

    def _close_what_waits(self) -> None:
        """A dialog or a menu that nobody answers is left, as a person leaves it: with Escape."""
        waiting = QApplication.activePopupWidget() or QApplication.activeModalWidget()
        if waiting is not None:
            QTest.keyClick(waiting, K.Key_Escape)
            if isinstance(waiting, QDialog) and waiting.isVisible():
                waiting.reject()

    def leave(self) -> None:
        """Go: nothing of this person stays."""
        self.guard.stop()
        self.board.refused.disconnect(self._refused)

    def act(self) -> str:
        """One act; what it was."""
        (does,) = self.chance.choices([each for _n, each in self.ways], [n for n, _each in self.ways])
        name = does.__name__
        self.did[name] += 1
        does()
        QApplication.processEvents()
        return name

    # -- hands --------------------------------------------------------------------------------------------------
    def press(self, key: Qt.Key, keys: Qt.KeyboardModifier = NONE) -> None:
        if QApplication.focusWidget() is None:
            self.window.activateWindow()
        QTest.keyClick(QApplication.focusWidget() or self.window, key, keys)

    def to_board(self) -> None:
        """Have the sheet take the keys, with nothing in hand."""
        if not self.window.isActiveWindow():  # a dialog was there: a desktop brings the window back by itself
            self.window.activateWindow()
        if not self.board.hasFocus():
            self.board.setFocus()
        if self.board.tool.NAME != "choose":
            self.press(K.Key_C)

    def type(self, text: str) -> None:
        line = QApplication.focusWidget()
        if line is not None:
            QTest.keyClicks(line, text)

    def spot(self) -> QPoint:
        """Somewhere on the sheet as it is seen, mostly where something may stand."""
        box = self.board.finder().sight.bounds
        for _n in range(6 if self.chance.random() < 0.9 else 0):
            at = self.seen(self.chance.uniform(box.left, box.right), self.chance.uniform(box.top, box.bottom))
            if at is not None:
                return at
        rect = self.board.viewport().rect()
        return QPoint(self.chance.randrange(rect.width()), self.chance.randrange(rect.height()))

    def thing(self) -> QPoint | None:
        """Where a symbol is seen."""
        scene = self.board.scene_now()
        pieces = scene.on(self.document.sheet)
        if not pieces:
            return None
        piece = self.chance.choice(pieces)
        box = self.board.finder().boxes[piece.id]
        return self.seen((box.left + box.right) / 2, (box.top + box.bottom) / 2)

    def terminal(self) -> QPoint | None:
        """Where a terminal is seen."""
        pieces = [p for p in self.board.scene_now().on(self.document.sheet) if p.look.ports]
        if not pieces:
            return None
        piece = self.chance.choice(pieces)
        names = [name for name in piece.look.ports if piece.shows(name)]
        return self.seen(*self.board.finder().port(piece, self.chance.choice(names))) if names else None

    def seen(self, x: float, y: float) -> QPoint | None:
        at = self.board.to_viewport(x, y).toPoint()
        return at if self.board.viewport().rect().contains(at) else None

    def move(self, at: QPoint, down: Qt.MouseButton = Qt.MouseButton.NoButton) -> None:
        view = self.board.viewport()
        spot = QPointF(at)
        event = QMouseEvent(QEvent.Type.MouseMove, spot, view.mapToGlobal(spot), Qt.MouseButton.NoButton, down, NONE)
        QApplication.sendEvent(view, event)

    def pull(self, start: QPoint, stop: QPoint, keys: Qt.KeyboardModifier = NONE) -> None:
        view = self.board.viewport()
        self.move(start)
        QTest.mousePress(view, LEFT, keys, start)
        if stop != start:
            self.move((start + stop) / 2, LEFT)
            self.move(stop, LEFT)
            if self.chance.random() < 0.1:
                self.press(K.Key_Escape)  # thought better of it
        QTest.mouseRelease(view, LEFT, keys, stop)

    def click(self, at: QPoint | None, keys: Qt.KeyboardModifier = NONE) -> None:
        if at is not None:
            self.pull(at, at, keys)

    # -- acts ---------------------------------------------------------------------------------------------------
    def place(self) -> None:
        if len(self.document.installation.tables["placements"]) > MOST:
            return self.take_away()
        self.window.place_kind(self.chance.choice(sorted(kinds())))
        if self.chance.random() < 0.3:
            self.press(K.Key_T)
        at = self.spot()
        self.pull(at, at + QPoint(self.chance.randrange(120), 0) if self.chance.random() < 0.3 else at)
        return self.to_board()

    def draw(self) -> None:
        self.to_board()
        self.press(K.Key_D)
        if self.chance.random() < 0.5:
            start, stop = self.terminal(), self.terminal()
            if start is not None and stop is not None:
                self.pull(start, stop)
        else:
            self.click(self.terminal())
            self.click(self.spot() if self.chance.random() < 0.2 else self.terminal())
        self.press(K.Key_Escape)

    def drag(self) -> None:
        self.to_board()
        at = self.thing()
        if at is not None:
            self.pull(at, at + QPoint(self.chance.randrange(-90, 90), self.chance.randrange(-60, 60)))

    def choose(self) -> None:
        self.to_board()
        self.click(self.thing(), self.chance.choice((NONE, NONE, SHIFT)))

    def band(self) -> None:
        self.to_board()
        self.pull(self.spot(), self.spot())

    def anywhere(self) -> None:
        """A click, a double click or the menu, wherever the pointer is."""
        self.to_board()
        at = self.spot() if self.chance.random() < 0.5 else self.thing()
        if at is not None and self.chance.random() < 0.4:
            QTest.mouseDClick(self.board.viewport(), LEFT, NONE, at)
        else:
            self.click(at)
        if self.chance.random() < 0.2:
            self.window.menus.at_board(self.spot())

    def _some(self) -> None:
        if not self.document.selection:
            self.click(self.thing())

    def take_away(self) -> None:
        self.to_board()
        self._some()
        if len(self.document.installation.tables["placements"]) < MOST // 3 and len(self.document.selection) > 3:
            return
        self.press(*self.chance.choice(((K.Key_Delete, NONE), (K.Key_Delete, SHIFT), (K.Key_X, CTRL))))

    def copy_and_paste(self) -> None:
        self.to_board()
        if self.chance.random() < 0.6:
            self._some()
            self.press(K.Key_C, CTRL)
        if len(self.document.installation.tables["placements"]) <= MOST:
            self.move(self.spot())
            self.press(K.Key_V, CTRL)

    def duplicate(self) -> None:
        self.to_board()
        self._some()
        if len(self.document.installation.tables["placements"]) <= MOST:
            self.press(K.Key_D, CTRL)

    def key(self) -> None:
        self.to_board()
        if self.chance.random() < 0.4:
            self._some()
        self.press(*KEYS[self.chance.choice(sorted(KEYS))])
        self.to_board()

    def lead_all(self) -> None:
        self.to_board()
        self.press(K.Key_A, CTRL)
        self.press(K.Key_L)

    def nudge(self) -> None:
        self.to_board()
        self._some()
        self.press(self.chance.choice((K.Key_Left, K.Key_Right, K.Key_Up, K.Key_Down)), self.chance.choice((CTRL, ALT)))

    def back(self) -> None:
        self.to_board()
        for _n in range(self.chance.choice((1, 1, 1, 2, 5))):
            self.press(K.Key_Z, CTRL)

    def on(self) -> None:
        self.to_board()
        for _n in range(self.chance.choice((1, 1, 1, 2, 5))):
            self.press(*self.chance.choice(((K.Key_Z, CTRL | SHIFT), (K.Key_Y, CTRL))))

    def phrase(self) -> None:
        """The line typed into over the sheet: something new, or values of what is chosen."""
        self.to_board()
        self.move(self.spot())
        self.press(self.chance.choice((K.Key_Slash, K.Key_Equal, K.Key_I)))
        if not isinstance(QApplication.focusWidget(), QLineEdit):
            return
        if len(self.document.installation.tables["placements"]) <= MOST or self.chance.random() < 0.3:
            self.type(self.chance.choice(PHRASES))
            self.press(K.Key_Return)
            if self.board.tool.NAME != "choose":
                self.click(self.spot())
        self.press(K.Key_Escape)

    def page(self) -> None:
        self.press(self.chance.choice(PAGES))
        for _n in range(self.chance.randrange(4)):
            self.press(K.Key_Tab)

    def particulars(self) -> None:
        """Something typed into a field of what is chosen."""
        self.to_board()
        self._some()
        if self.window.page != "particulars":
            self.press(K.Key_F2)
        fields = [w for w in self._shown(self.window.pages.particulars()) if not isinstance(w, QComboBox)]
        if fields:
            field = self.chance.choice(fields)
            field.setFocus()
            self._fill(field)

    def table(self) -> None:
        """Something typed into a cell."""
        if self.window.page != "table":
            self.window.show_page("table")
        self.window.pages.table().table.setFocus()
        for _n in range(self.chance.randrange(12)):
            self.press(self.chance.choice((K.Key_Down, K.Key_Right, K.Key_Up)))
        self.press(K.Key_Return)
        widget = QApplication.focusWidget()
        if isinstance(widget, QLineEdit):
            self._fill(widget)
        self.press(K.Key_Escape)

    def _shown(self, page: QWidget) -> list[Any]:
        return [w for w in page.findChildren(QLineEdit) if w.isVisible() and w.isEnabled() and not w.isReadOnly()]

    def _fill(self, line: QLineEdit) -> None:
        line.selectAll()
        QTest.keyClicks(line, self.chance.choice(WORDS))
        QTest.keyClick(line, K.Key_Return)

    def operate(self) -> None:
        self.to_board()
        self.press(K.Key_O)
        for _n in range(3):
            self.click(self.thing())
        self.press(K.Key_Escape)

    def remark(self) -> None:
        self.to_board()
        if len(self.document.installation.tables["remarks"]) > MOST // 4:
            return self.take_away()
        self.press(K.Key_N)
        self.click(self.spot())
        widget = QApplication.focusWidget()
        if widget is not None and widget is not self.board:
            self.type("see the log")
            self.press(K.Key_Return, CTRL)
            self.press(K.Key_Escape)
        return self.to_board()

    def sheets(self) -> None:
        self.to_board()
        of = self.window.menus.of
        names = ["next_sheet", "sheet_before", "sheet_later", "remove_sheet"]
        if len(self.document.sheets()) < 4:
            names.append("new_sheet")
        action = of[self.chance.choice(names)]
        if action.isEnabled():
            action.trigger()

    def condition(self) -> None:
        names = ["", *self.document.installation.tables["conditions"]]
        self.document.set_condition(self.chance.choice(names))

    def save(self) -> None:
        self.to_board()
        self.press(K.Key_S, CTRL)
