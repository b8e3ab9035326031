"""An entry for a field that names another record: choose it, go to it, or make a new one in the same edit."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QToolButton, QWidget

from app.window.entries import title_of
from app.window.particulars.choosing import ChoiceEntry
from app.window.particulars.offers import Offer
from app.window.particulars.state import MIXED, Given, NewRecord, State
from engine.words import N_, _

__all__ = ["RefersEntry"]

NEW = {"places": N_("New place …"), "enclosures": N_("New enclosure …")}
NEW_NAMES = {"places": N_("name of the new place"), "enclosures": N_("name of the new enclosure")}
_NEW = "\0new"  # no id


class _Names(ChoiceEntry):
    """The names of a table, filled in only when someone looks: a drawing may hold thousands."""

    wants_new = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._full = False

    def offered(self, state: State) -> tuple[Offer, ...]:
        """The one in the drawing; all once looked at."""
        reading, spec = state.reading, state.spec
        table = spec.fact.refers
        none = (Offer("", _("none")),)
        if not self._full:
            if state.value is MIXED or not state.value:
                return none
            return (*none, Offer(state.value, title_of(reading.snapshot, table, state.value)))
        named = sorted(reading.names(table), key=lambda pair: _natural(pair[1]))
        new = (Offer(_NEW, _(NEW[table])),) if table in NEW else ()
        return (*none, *(Offer(item, name) for item, name in named), *new)

    def stand(self, state: State, fresh: bool) -> None:
        """Show a field."""
        if fresh:
            self._full = self.hasFocus()
        super().stand(state, fresh)

    def fill(self) -> None:
        """Put every name in the list."""
        if not self._full and self._state is not None:
            self._full = True
            super().stand(self._state, False)

    def _give(self, value: Any) -> None:
        if value == _NEW:
            self.take_back()
            self.wants_new.emit()
        else:
            super()._give(value)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Left while "new" was only stepped over, nothing is made."""
        stepped = self.currentIndex() >= 0 and self._values[self.currentIndex()] == _NEW
        if stepped and event.reason() != Qt.FocusReason.PopupFocusReason:
            self.take_back()
        super().focusOutEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Now someone looks."""
        self.fill()
        super().focusInEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Now someone looks."""
        self.fill()
        super().mousePressEvent(event)

    def showPopup(self) -> None:
        """Now someone looks."""
        self.fill()
        super().showPopup()


def _natural(name: str) -> list[tuple[int, str]]:
    import re

    return [(int(p), "") if p.isdecimal() else (-1, p.casefold()) for p in re.split(r"(\d+)", name) if p]


class _NewName(QLineEdit):
    """The name of what is being made."""

    named = Signal(str)
    dropped = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter makes it, Escape drops it."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.named.emit(self.text().strip())
        elif event.key() == Qt.Key.Key_Escape:
            self.dropped.emit()
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Left with a name it is made, without one it is dropped."""
        super().focusOutEvent(event)
        if self.isVisible() and event.reason() not in (
            Qt.FocusReason.PopupFocusReason,
            Qt.FocusReason.ActiveWindowFocusReason,
        ):
            self.named.emit(self.text().strip())


class RefersEntry(QWidget):
    """Names, "none", and a button that shows the record named."""

    given = Signal(object)
    refused = Signal(str)
    onward = Signal()
    wanted = Signal(str, str)

    def __init__(self) -> None:
        super().__init__()
        self._state: State | None = None
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        self._names = _Names()
        self._new = _NewName()
        self._new.hide()
        self._show = QToolButton()
        self._show.setText(_("Show"))
        self._show.setAutoRaise(True)
        self._show.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._fixed = QLineEdit()  # a name that may be read and not changed
        self._fixed.setReadOnly(True)
        self._fixed.returnPressed.connect(self.onward)
        self._fixed.hide()
        row.addWidget(self._names, 1)
        row.addWidget(self._fixed, 1)
        row.addWidget(self._new, 1)
        row.addWidget(self._show)
        self.setFocusProxy(self._names)
        self._names.given.connect(self.given)
        self._names.refused.connect(self.refused)
        self._names.onward.connect(self.onward)
        self._names.wants_new.connect(self._begin)
        self._new.named.connect(self._made)
        self._new.dropped.connect(self._drop)
        self._show.clicked.connect(self._go)

    def narrow(self) -> None:
        """It stands beside others: an arrow instead of a word."""
        self._names.narrow()
        self._show.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonIconOnly)
        self._show.setArrowType(Qt.ArrowType.RightArrow)

    def stand(self, state: State, fresh: bool) -> None:
        """Show a field."""
        self._state = state
        self._names.stand(state, fresh)
        if fresh:
            self._end()
        named = state.value is not MIXED and bool(state.value)
        self._fixed.setText(_("several values") if state.value is MIXED else state.text() or _("none"))
        self._fixed.setCursorPosition(0)
        self._show.setEnabled(named)
        if named:
            name = title_of(state.reading.snapshot, state.spec.fact.refers, state.value)
            self._show.setToolTip(_("Show {name}").format(name=name))
            self._show.setAccessibleName(_("Show {name}").format(name=name))
        else:
            self._show.setToolTip("")
            self._show.setAccessibleName(_("Show what is named here"))

    def _begin(self) -> None:
        assert self._state is not None
        prompt = _(NEW_NAMES[self._state.spec.fact.refers])
        self._new.setPlaceholderText(prompt)
        self._new.setAccessibleName(prompt[:1].upper() + prompt[1:])
        self._new.clear()
        self._new.show()
        self._new.setFocus()
        self._names.hide()

    def _end(self) -> None:
        if not self._new.isHidden():
            had = self._new.hasFocus()
            self._new.blockSignals(True)  # losing the focus now means nothing
            self._names.show()
            if had:
                self._names.setFocus()
            self._new.hide()
            self._new.clear()
            self._new.blockSignals(False)

    def _drop(self) -> None:
        self._end()
        self.refused.emit("")

    def _made(self, name: str) -> None:
        if not name:
            self._drop()
            return
        state = self._state
        assert state is not None
        table = state.spec.fact.refers
        plain = " ".join(name.split())
        same = [item for item, called in state.reading.names(table) if called.casefold() == plain.casefold()]
        self._end()
        self.refused.emit("")
        value = same[0] if same else NewRecord(table, plain)  # what is there already is not made twice
        if value != state.value:
            self.given.emit(Given(value))

    def _go(self) -> None:
        state = self._state
        if state is not None and state.value is not MIXED and state.value:
            self.wanted.emit(state.spec.fact.refers, state.value)

    def typing(self) -> bool:
        """Whether something is chosen or named that is not in the drawing yet."""
        return self._names.typing() or (not self._new.isHidden() and bool(self._new.text().strip()))

    def finish(self) -> None:
        """Give what is chosen or named."""
        if not self._new.isHidden():
            self._made(self._new.text().strip())
        else:
            self._names.finish()

    def take_back(self) -> None:
        """Show again what the drawing holds."""
        self._drop()
        self._names.take_back()

    def lock(self, locked: bool) -> None:
        """Whether it may be changed; going there is always possible."""
        self._names.lock(locked)
        self._fixed.setVisible(locked)
        self._names.setVisible(not locked and self._new.isHidden())

    def call_it(self, name: str, description: str) -> None:
        """Its name and description for a screen reader."""
        self._names.call_it(name, description)
        self._fixed.setAccessibleName(name)
        self._fixed.setAccessibleDescription(description)

    def stops(self) -> list[QWidget]:
        """The names, then the button."""
        return [self._names, self._new, self._fixed, self._show]
