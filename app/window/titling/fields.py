"""A line of text that stands for one field of a record: given by Enter or by leaving it, left as it was by Escape."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit

__all__ = ["Line"]


class Line(QLineEdit):
    """Says once what was typed."""

    given = Signal(str)

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self._stands = ""

    def stand(self, text: str) -> None:
        """What is recorded; what is half typed stays."""
        typing = self.hasFocus() and self.text() != self._stands
        self._stands = text
        if not typing and self.text() != text:
            self.setText(text)
            self.setCursorPosition(0)

    @property
    def is_typed(self) -> bool:
        """Whether something stands there that nobody has given yet."""
        return self.text() != self._stands

    def give(self) -> None:
        """Give what is typed, if it differs."""
        text = " ".join(self.text().split())
        if text != self._stands:
            self._stands = text
            self.setText(text)
            self.given.emit(text)
        else:
            self.setText(text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.give()
            self.focusNextChild()
        elif event.key() == Qt.Key.Key_Escape and self.is_typed:
            self.setText(self._stands)
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Qt's own name."""
        super().focusOutEvent(event)
        if event.reason() not in (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason):
            self.give()
