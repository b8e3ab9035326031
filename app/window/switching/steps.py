"""Lines one after the other that lead somewhere: ways, steps of an order, acts that make something dead."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPalette
from PySide6.QtWidgets import QFrame, QListWidget, QListWidgetItem, QWidget

from app.window.enter_key import keeps_enter

__all__ = ["Line", "Steps"]

_ROLE = Qt.ItemDataRole.UserRole


class Line(NamedTuple):
    """What a line says and what it leads to; a heading, or what leads nowhere, has no `to`."""

    text: str
    to: Any = None
    is_heading: bool = False


class Steps(QListWidget):
    """Enter or a click takes a line; arrows go from one to the next."""

    taken = Signal(int)  # its row: Enter or a click
    moved = Signal(int)  # its row: arrows

    def __init__(self, name: str, told: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.lines: list[Line] = []
        self.setAccessibleName(name)
        self.setAccessibleDescription(told)
        self.setWordWrap(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.setSpacing(2)
        self.itemClicked.connect(self._clicked)
        self.currentRowChanged.connect(self.moved)

    def minimumSizeHint(self) -> QSize:
        """It can be small."""
        return QSize(120, 60)

    def show_lines(self, lines: Sequence[Line]) -> None:
        """Show these; one stays in the row one was in."""
        if list(lines) == self.lines:
            return
        at = self.currentRow()
        self.blockSignals(True)
        self.clear()
        self.lines = list(lines)
        for each in lines:
            item = QListWidgetItem(each.text)
            item.setData(_ROLE, each.to)
            if each.is_heading:
                font = item.font()
                font.setBold(True)
                item.setFont(font)
                item.setFlags(Qt.ItemFlag.ItemIsEnabled)
                item.setForeground(self.palette().brush(QPalette.ColorRole.Text))
            self.addItem(item)
        self.blockSignals(False)
        if lines:
            first = next((n for n, each in enumerate(lines) if not each.is_heading), 0)
            self.setCurrentRow(at if first <= at < len(lines) else first)

    def texts(self) -> list[str]:
        """What is shown."""
        return [each.text for each in self.lines]

    def _clicked(self, item: QListWidgetItem) -> None:
        self.taken.emit(self.row(item))

    def event(self, event: QEvent) -> bool:
        """Enter in the list is for the list, whatever the window does with it."""
        return keeps_enter(event) or bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. Enter takes the line."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.currentRow() >= 0:
                self.taken.emit(self.currentRow())
            event.accept()
        else:
            super().keyPressEvent(event)
