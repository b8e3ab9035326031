"""Text that stands for one field of a record: given by Enter or by leaving it, a line left as it was by Escape."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit

__all__ = ["Line", "Text"]


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


class Text(QPlainTextEdit):
    """Several lines that are given when they are left. What is proposed is given by nobody until it is written over."""

    given = Signal(str)

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setTabChangesFocus(True)
        self.setMaximumHeight(self.fontMetrics().lineSpacing() * 6 + 12)
        self._stands = ""
        self._proposed = ""

    @property
    def is_free(self) -> bool:
        """Whether nobody has written here: nothing stands, or what was proposed."""
        return self.toPlainText().strip() in ("", self._proposed)

    def propose(self, text: str) -> None:
        """Show what might be written, in place of an earlier proposal."""
        if self.is_free and text != self.toPlainText():
            self.setPlainText(text)
        self._proposed = text.strip()

    def stand(self, text: str) -> None:
        """What is recorded; what is half typed stays, and so does what is proposed where nothing is recorded."""
        typing = self.hasFocus() and self.toPlainText() != self._stands
        proposed = not text and bool(self._proposed) and self.toPlainText().strip() == self._proposed
        self._stands = text
        if not typing and not proposed and self.toPlainText() != text:
            self.setPlainText(text)

    def forget(self) -> None:
        """What was proposed was for another record."""
        if self._proposed and self.is_free:
            self.setPlainText(self._stands)
        self._proposed = ""

    def give(self) -> None:
        """Give what is typed, if it differs."""
        text = self.toPlainText().strip()
        if text != self._stands and text != self._proposed:
            self._stands = text
            self.given.emit(text)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Qt's own name."""
        super().focusOutEvent(event)
        self.give()
