"""The page of what was done: every edit in words, the newest last; where one stands; a click goes there."""

from __future__ import annotations

import time
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFont, QHideEvent, QKeyEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QListView, QProgressBar, QPushButton, QVBoxLayout, QWidget

from app.window.document import Document
from engine.words import _, ngettext

__all__ = ["HistoryPage"]

SLICE_S = 0.03  # how long edits are taken back before the window has its turn
SOON = 40  # edits; for more the way there is told

_Index = QModelIndex | QPersistentModelIndex
_Role = Qt.ItemDataRole


class _Steps(QAbstractListModel):
    """Row 0 is the drawing as it was at first, row n the state after the n-th edit. Nothing is copied."""

    def __init__(self, document: Document, parent: QWidget) -> None:
        super().__init__(parent)
        self.document = document
        self._rows = len(document.history) + 1

    def look_again(self) -> None:
        """The history is another."""
        rows = len(self.document.history) + 1
        if rows > self._rows:
            self.beginInsertRows(QModelIndex(), self._rows, rows - 1)
            self._rows = rows
            self.endInsertRows()
        elif rows < self._rows:
            self.beginRemoveRows(QModelIndex(), rows, self._rows - 1)
            self._rows = rows
            self.endRemoveRows()
        self.dataChanged.emit(self.index(0), self.index(rows - 1))

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008  # Qt's own default
        """Qt's own name."""
        return 0 if parent.isValid() else self._rows

    def data(self, index: _Index, role: int = _Role.DisplayRole) -> Any:
        """Qt's own name."""
        row, history = index.row(), self.document.history
        if not index.isValid() or row > len(history):
            return None
        if role == _Role.DisplayRole:
            mark = "▸" if row == history.at else "○" if row > history.at else "•"
            return f"{mark}  {self._told(row)}"
        if role in (_Role.ToolTipRole, _Role.AccessibleTextRole):
            return self._in_full(row)
        if role == _Role.FontRole:
            font = QFont()
            font.setBold(row == history.at)
            font.setItalic(row > history.at)
            return font
        return None

    def _told(self, row: int) -> str:
        words = self.document.history.words_at(row) if row else self._first()
        words = " ".join(words.split())
        return _("{what} (saved)").format(what=words) if row == self.document.saved_step else words

    def _first(self) -> str:
        return _("As it was opened") if self.document.path is not None else _("As it was begun")

    def _in_full(self, row: int) -> str:
        at, told = self.document.history.at, self._told(row)
        if row == at:
            return _("{what}: here the drawing stands").format(what=told)
        return _("{what}: taken back").format(what=told) if row > at else told


class HistoryPage(QWidget):
    """Follows the document while it is shown."""

    noted = Signal(str)  # a sentence
    refused = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.setObjectName("history")
        self.setAccessibleName(_("History"))
        self._goal: int | None = None
        self._from = 0
        self.head = QLabel()
        self.head.setWordWrap(True)
        self.steps = _Steps(document, self)
        self.list = _List()
        self.list.setAccessibleName(_("What was done, the newest last"))
        self.list.setModel(self.steps)
        self.list.setUniformItemSizes(True)
        self.list.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.clicked.connect(self._clicked)
        self.list.entered_key.connect(self._clicked)
        self.bar = QProgressBar()
        self.bar.setAccessibleName(_("How far the way there is gone"))
        self.stop = QPushButton(_("Stop here"))
        self.stop.clicked.connect(self.give_up)
        row = QHBoxLayout()
        row.addWidget(self.bar, 1)
        row.addWidget(self.stop)
        self.hint = QLabel(_("Click a line, or press Enter on it, to have the drawing as it was then."))
        self.hint.setWordWrap(True)
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        box.setSpacing(6)
        box.addWidget(self.head)
        box.addWidget(self.list, 1)
        box.addLayout(row)
        box.addWidget(self.hint)
        self._walk = QTimer(self)
        self._walk.setInterval(0)
        self._walk.timeout.connect(self._go_on)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(0)
        self._later.timeout.connect(self._look)
        document.changed.connect(self._changed)
        document.headed.connect(self._changed)
        self._busy(False)
        self._look()

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 200)

    def begin(self) -> None:
        """Take the focus, where the drawing stands."""
        self._look()
        self.list.setFocus(Qt.FocusReason.TabFocusReason)

    def go_to(self, step: int) -> None:
        """Have the drawing as it was after so many edits, by taking back or doing again."""
        history = self.document.history
        if self.document.read_only or not 0 <= step <= len(history):
            return
        self._goal, self._from = step, history.at
        if step != history.at:
            self._busy(abs(step - history.at) > SOON)
            self._go_on()

    def give_up(self) -> None:
        """Stay where the drawing stands now."""
        self._goal = None
        self._walk.stop()
        self._busy(False)
        self._look()

    @property
    def is_going(self) -> bool:
        """Whether it is still on the way."""
        return self._goal is not None

    def showEvent(self, event: QShowEvent) -> None:
        """Qt's own name."""
        super().showEvent(event)
        self._look()

    def hideEvent(self, event: QHideEvent) -> None:
        """Qt's own name. Nobody sees where the way leads: it ends."""
        super().hideEvent(event)
        if self.is_going:
            self.give_up()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. Escape ends the way."""
        if event.key() == Qt.Key.Key_Escape and self.is_going:
            self.give_up()
        else:
            super().keyPressEvent(event)

    # -- on the way -----------------------------------------------------------------------------------------------
    def _clicked(self, index: QModelIndex) -> None:
        self.go_to(index.row())

    def _go_on(self) -> None:
        """Some steps; then the window has its turn."""
        until = time.perf_counter() + SLICE_S
        history = self.document.history
        while self._goal is not None and history.at != self._goal:
            before = history.at
            if before > self._goal:
                self.document.undo()
            else:
                self.document.redo()
            if history.at == before:
                break
            if time.perf_counter() > until:
                self.bar.setValue(abs(history.at - self._from))
                self._walk.start()
                return
        gone = abs(history.at - self._from)
        self.give_up()
        if gone:
            told = ngettext("{n} edit on: {what}", "{n} edits on: {what}", gone)
            if history.at < self._from:
                told = ngettext("{n} edit taken back: {what}", "{n} edits taken back: {what}", gone)
            what = self.document.history.words_at(history.at) if history.at else _("as it was at first")
            self.noted.emit(told.format(n=gone, what=what))

    def _busy(self, busy: bool) -> None:
        goal = self._goal if self._goal is not None else self._from
        self.bar.setRange(0, max(abs(goal - self._from), 1))
        self.bar.setValue(0)
        self.bar.setVisible(busy)
        self.stop.setVisible(busy)

    # -- what is shown --------------------------------------------------------------------------------------------
    def _changed(self, _change: object = None) -> None:
        if self.isVisible() and not self.is_going:
            self._later.start()

    def _look(self) -> None:
        history = self.document.history
        self.steps.look_again()
        at = self.steps.index(history.at)
        self.list.setCurrentIndex(at)
        self.list.scrollTo(at)
        back = len(history) - history.at
        if not len(history):
            text = _("Nothing was done since the drawing was opened.")
        else:
            text = ngettext("{n} edit", "{n} edits", len(history)).format(n=len(history))
            if back:
                text = _("{edits}; {n} of them taken back").format(edits=text, n=back)
        self.head.setText(text)


class _List(QListView):
    """Enter is told whatever the system calls activation."""

    entered_key = Signal(QModelIndex)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.currentIndex().isValid():
            self.entered_key.emit(self.currentIndex())
            event.accept()
            return
        super().keyPressEvent(event)
