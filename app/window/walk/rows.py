"""The rows of the walk: words are made for those that are looked at only, a place may have thousands."""

from __future__ import annotations

from typing import Any, TypeAlias

from PySide6.QtCore import QAbstractListModel, QEvent, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QListView

from app.window.enter_key import keeps_enter
from engine.survey.aboard import System
from engine.survey.answers import State
from engine.survey.checklist import Point, Walk
from engine.words import N_, _

__all__ = ["OPEN", "RowsModel", "WalkList", "answer_of", "row_words"]

Row: TypeAlias = "Point | System"
_Index: TypeAlias = "QModelIndex | QPersistentModelIndex"
OPEN = N_("open")


def answer_of(said: State, row: Row) -> str:
    """What was said of a row, "" nothing yet."""
    return said.energised(row) if isinstance(row, System) else said.seen(row)


def row_words(walk: Walk, said: State, row: Row) -> str:
    """*seen: F3 fuse (Windlass fuse), main panel, 3*; with a note behind."""
    if isinstance(row, System):
        thing = row.words
    else:
        item = walk.item(row)
        thing = f"{item.told}, {item.where}" if item.where else item.told
    answer = _(answer_of(said, row) or OPEN)
    note = said.note(row)
    told = _("{answer}: {thing}").format(answer=answer, thing=thing)
    return _("{row} ({note})").format(row=told, note=note) if note else told


class RowsModel(QAbstractListModel):
    """Points of one place, or the systems of voltage."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: tuple[Row, ...] = ()
        self.walk: Walk | None = None
        self.said: State | None = None

    def fill(self, walk: Walk, said: State, rows: tuple[Row, ...]) -> None:
        """Show these; where they are the same as before, only what was said of them changes."""
        same = rows == self.rows
        if not same:
            self.beginResetModel()
        self.walk, self.said, self.rows = walk, said, rows
        if same:
            if rows:
                self.dataChanged.emit(self.index(0), self.index(len(rows) - 1))
        else:
            self.endResetModel()

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008
        """Qt's own name."""
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Qt's own name."""
        roles = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole)
        if role not in roles or self.walk is None or self.said is None or not index.isValid():
            return None
        return row_words(self.walk, self.said, self.rows[index.row()])


class WalkList(QListView):
    """Answers by a digit; Enter goes to the note, the space bar shows the thing."""

    answered = Signal(int)  # 1, 2, 3; 0: nothing was said
    rest_answered = Signal(int)  # of all that is open in the place
    noting = Signal()
    wanted = Signal()
    place_turned = Signal(int)  # to the next place, or the one before

    def event(self, event: QEvent) -> bool:
        """Enter is for the list."""
        return keeps_enter(event) or bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        key, held = event.key(), event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        digits = {Qt.Key.Key_0: 0, Qt.Key.Key_1: 1, Qt.Key.Key_2: 2, Qt.Key.Key_3: 3}
        if key in digits and held == Qt.KeyboardModifier.NoModifier:
            self.answered.emit(digits[Qt.Key(key)])
        elif key in digits and held == Qt.KeyboardModifier.AltModifier and digits[Qt.Key(key)]:
            self.rest_answered.emit(digits[Qt.Key(key)])
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.noting.emit()
        elif key == Qt.Key.Key_Space:
            self.wanted.emit()
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.answered.emit(0)
        elif key in (Qt.Key.Key_Right, Qt.Key.Key_Left) and held == Qt.KeyboardModifier.NoModifier:
            self.place_turned.emit(1 if key == Qt.Key.Key_Right else -1)
        else:
            super().keyPressEvent(event)
