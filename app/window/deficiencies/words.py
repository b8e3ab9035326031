"""Text over several lines that stands for one field: given by Ctrl+Enter or by leaving it, dropped by Escape."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QPlainTextEdit

__all__ = ["Words"]


class Words(QPlainTextEdit):
    """Says once what was typed. Tab goes on."""

    given = Signal(str)

    def __init__(self, name: str, lines: int = 2) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setTabChangesFocus(True)
        self.setFixedHeight(self.fontMetrics().lineSpacing() * lines + 14)
        self._stands = ""

    def stand(self, text: str) -> None:
        """What is recorded; what is half typed stays."""
        typing = self.hasFocus() and self.is_typed
        self._stands = text
        if not typing and self.toPlainText() != text:
            self.setPlainText(text)

    @property
    def is_typed(self) -> bool:
        """Whether something stands there that nobody has given yet."""
        return self.toPlainText() != self._stands

    def give(self) -> None:
        """Give what is typed, if it differs."""
        text = self.toPlainText().strip()
        if text != self._stands:
            self._stands = text
            self.given.emit(text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if enter and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.give()
            self.focusNextChild()
        elif event.key() == Qt.Key.Key_Escape and self.is_typed:
            self.setPlainText(self._stands)
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Qt's own name."""
        super().focusOutEvent(event)
        if event.reason() not in (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason):
            self.give()
