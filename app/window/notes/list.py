"""The list of notes: a click or Enter takes a row, the arrows read on, left and right go from section to section."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QListView, QWidget

from app.window.enter_key import keeps_enter
from app.window.notes.drawing import NoteDrawing
from app.window.notes.model import NotesModel
from engine.words import _

__all__ = ["NotesList"]

_KEY = Qt.Key


class NotesList(QListView):
    """Rows of notes, as wide as there is room."""

    taken = Signal(int)  # number of the row

    def __init__(self, rows: NotesModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows = rows
        self.setModel(rows)
        self.drawing = NoteDrawing(self)
        self.setItemDelegate(self.drawing)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)  # heights depend on the width
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setAccessibleName(_("List of notes"))
        self.setAccessibleDescription(
            _("Enter goes to what a note speaks of or to the field that is missing; left and right go to a section")
        )
        self.clicked.connect(self._clicked)

    def go_to_row(self, number: int) -> None:
        """Be in a row."""
        index = self.rows.index(number)
        self.setCurrentIndex(index)
        self.scrollTo(index)

    def _clicked(self, index: object) -> None:
        self.taken.emit(index.row())  # type: ignore[attr-defined]  # a QModelIndex

    def event(self, event: QEvent) -> bool:
        """Enter in the list is for the list, whatever the window does with it."""
        return keeps_enter(event) or bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter takes the row; left and right go to the last and the next heading."""
        key, here = event.key(), self.currentIndex().row()
        if key in (_KEY.Key_Return, _KEY.Key_Enter):
            self.taken.emit(here)
        elif key in (_KEY.Key_Left, _KEY.Key_Right):
            step = 1 if key == _KEY.Key_Right else -1
            number = here + step
            while 0 <= number < len(self.rows.lines):
                if self.rows.lines[number].kind == "heading":
                    self.go_to_row(number)
                    break
                number += step
        else:
            super().keyPressEvent(event)
            return
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Only the left button chooses."""
        if event.button() == Qt.MouseButton.LeftButton:
            super().mousePressEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        """Another font has other widths."""
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self.drawing.forget_font()
            self.scheduleDelayedItemsLayout()
        super().changeEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width breaks the lines elsewhere."""
        here = self.currentIndex()
        was_seen = here.isValid() and self.visualRect(here).intersects(self.viewport().rect())
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self.scheduleDelayedItemsLayout()
            self.executeDelayedItemsLayout()
        if was_seen:
            self.scrollTo(here)
