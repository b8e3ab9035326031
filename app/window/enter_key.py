"""Enter in a list or table is for it, whatever the window does with that key."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent

__all__ = ["keeps_enter"]


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
