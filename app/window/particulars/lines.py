"""An entry for what is typed: quantities, sizes, words."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QLineEdit, QWidget

from app.window.entries import CellError
from app.window.particulars.offers import offered_volts
from app.window.particulars.state import MIXED, Given, State
from engine.words import _

__all__ = ["LineEntry", "leaves_undo"]


class LineEntry(QLineEdit):
    """One line. Given on Enter and when it is left; a text that cannot be read stays for mending, Escape drops it."""

    given = Signal(object)  # Given
    refused = Signal(str)  # why it cannot be read, "" when that is settled
    onward = Signal()  # Enter: to the next entry

    def __init__(self) -> None:
        super().__init__()
        self._state: State | None = None
        self._shown = ""
        self._at_fault = ""  # the text that was refused
        self._giving = False
        self._offered: tuple[str, ...] = ()  # by the systems that the drawing declares
        self.setMinimumWidth(40)

    def stand(self, state: State, fresh: bool) -> None:
        """Show a field; unless `fresh`, what is half typed stays."""
        keep = not fresh and self.typing() and not self._giving
        self._state, self._shown = state, state.text()
        self._offered = offered_volts(state)
        if state.value is MIXED:
            self.setPlaceholderText(_("several values"))
        elif self._offered:
            told = _("not recorded; Down offers {volts}")
            self.setPlaceholderText(told.format(volts=", ".join(self._offered)))
        else:
            self.setPlaceholderText(_("not recorded"))
        if not keep:
            self._at_fault = ""
            if self.text() != self._shown:
                self.setText(self._shown)
            self.setModified(False)
            self.setCursorPosition(0)

    def typing(self) -> bool:
        """Whether its text is not what the drawing holds."""
        return self.text() != self._shown

    def finish(self) -> None:
        """Give what is typed. Unchanged text gives nothing."""
        state = self._state
        if state is None or self.isReadOnly() or not self.isEnabled():
            return
        if not self.typing():
            self._settle()
            return
        text = self.text()
        try:
            typed = state.reading.value(state.spec, text)
        except CellError as fault:
            self._at_fault = text
            self.refused.emit(str(fault))
            return
        self._settle()
        if typed.value == state.value and not typed.origin:  # written differently, the same
            self.setText(self._shown)
            return
        self._giving = True  # what the drawing makes of it is shown in its place
        try:
            self.given.emit(Given(typed.value, typed.origin))
        finally:
            self._giving = False

    def _settle(self) -> None:
        if self._at_fault:
            self._at_fault = ""
        self.refused.emit("")

    def take_back(self) -> None:
        """Drop what is typed."""
        self.setText(self._shown)
        self._settle()

    def lock(self, locked: bool) -> None:
        """A locked line can still be read and copied."""
        self.setReadOnly(locked)

    def call_it(self, name: str, description: str) -> None:
        """Its name and description for a screen reader."""
        self.setAccessibleName(name)
        self.setAccessibleDescription(description)

    def stops(self) -> list[QWidget]:
        """Itself."""
        return [self]

    # -- keys ---------------------------------------------------------------------------------------------------
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter gives and goes on; Escape drops what is typed."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.finish()
            if not self._at_fault:
                self.onward.emit()
            event.accept()
        elif event.key() == Qt.Key.Key_Escape and (self.typing() or self._at_fault):
            self.take_back()
            event.accept()
        elif event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up) and self._offered and not self.isReadOnly():
            self._offer(1 if event.key() == Qt.Key.Key_Down else -1)
            event.accept()
        else:
            super().keyPressEvent(event)

    def _offer(self, by: int) -> None:
        """The next of the values offered stands there, to be given like any that is typed."""
        now = self._offered.index(self.text()) if self.text() in self._offered else (-1 if by > 0 else 0)
        self.setText(self._offered[(now + by) % len(self._offered)])
        self.selectAll()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Coming by key marks the whole text, so that typing replaces it."""
        super().focusInEvent(event)
        if event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason):
            self.selectAll()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Leaving gives what is typed; a menu or another window in front is no leaving."""
        super().focusOutEvent(event)
        if event.reason() not in (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason):
            self.finish()


def leaves_undo(watched: QObject, event: QEvent) -> bool:
    """Whether a key is undo or redo in a line in which nothing is typed: then it belongs to the drawing."""
    return (
        event.type() == QEvent.Type.ShortcutOverride
        and isinstance(watched, LineEntry)
        and isinstance(event, QKeyEvent)
        and not watched.typing()
        and (event.matches(QKeySequence.StandardKey.Undo) or event.matches(QKeySequence.StandardKey.Redo))
    )
