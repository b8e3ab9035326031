"""Enter in a list or table is for it, whatever the window does with that key."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QListWidget

__all__ = ["EnterList", "keeps_enter"]


def keeps_enter(event: QEvent) -> bool:
    """Whether `event` asks who wants Enter: then it is taken."""
    if (
        event.type() == QEvent.Type.ShortcutOverride
        and isinstance(event, QKeyEvent)
        and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
    ):
        event.accept()
        return True
    return False


class EnterList(QListWidget):
    """Rows; Enter goes on to what is told of the row, the space bar shows the thing."""

    entered = Signal()
    shown = Signal()

    def event(self, event: QEvent) -> bool:
        """Enter is for the list."""
        return keeps_enter(event) or bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered.emit()
        elif event.key() == Qt.Key.Key_Space:
            self.shown.emit()
        else:
            super().keyPressEvent(event)
