"""Entries for what is chosen: one of several, yes or no or not known, some of several."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QCheckBox, QComboBox, QGridLayout, QSizePolicy, QWidget

from app.window.particulars.offers import Offer, offers
from app.window.particulars.state import MIXED, Given, State
from engine.words import _

__all__ = ["CheckEntry", "ChecksEntry", "ChoiceEntry"]


class ChoiceEntry(QComboBox):
    """One of several. Chosen from the list it is given at once; stepped through by key, when it is left or on Enter."""

    given = Signal(object)  # Given
    refused = Signal(str)
    onward = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._state: State | None = None
        self._values: list[Any] = []
        self._stored = -1  # index of what the drawing holds
        self._by_key = False
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(6)
        self.setMinimumWidth(72)  # by itself it would be as wide as "not recorded"
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.activated.connect(self._activated)

    def narrow(self) -> None:
        """It stands beside others."""
        self.setMinimumWidth(56)

    def offered(self, state: State) -> tuple[Offer, ...]:
        """What stands in the list."""
        spec = state.spec
        if spec.shape == "yesno":
            return Offer(True, _("yes")), Offer(False, _("no")), Offer(None, _("not known"))
        if spec.shape == "choice":
            literals = {str(value): value for value in spec.literals}
            return tuple(Offer(literals[c], _(c) if c else _("not recorded")) for c in spec.choices)
        return offers(state.owner, spec, state.reading.snapshot, state.run, state.reading.folder) or ()

    def stand(self, state: State, fresh: bool) -> None:
        """Show a field; unless `fresh`, what is stepped to and not yet given stays."""
        keep = not fresh and self.typing()
        self._state = state
        here = self.offered(state)
        values = [offer.value for offer in here]
        texts = [offer.text for offer in here]
        if values != self._values or [self.itemText(i) for i in range(self.count())] != texts:
            self._values = values
            self.clear()
            self.addItems(texts)
        self._stored = values.index(state.value) if state.value in values else -1
        self.setPlaceholderText(_("several values") if state.value is MIXED else _("not recorded"))
        if not keep:
            self.setCurrentIndex(self._stored)

    def typing(self) -> bool:
        """Whether another value is shown than the drawing holds."""
        return self.currentIndex() != self._stored

    def finish(self) -> None:
        """Give what is chosen."""
        if self.isEnabled() and self.typing() and self.currentIndex() >= 0:
            self._give(self._values[self.currentIndex()])

    def _give(self, value: Any) -> None:
        self.refused.emit("")
        self.given.emit(Given(value))

    def take_back(self) -> None:
        """Show again what the drawing holds."""
        self.setCurrentIndex(self._stored)
        self.refused.emit("")

    def lock(self, locked: bool) -> None:
        """Whether it may be changed."""
        self.setEnabled(not locked)

    def call_it(self, name: str, description: str) -> None:
        """Its name and description for a screen reader."""
        self.setAccessibleName(name)
        self.setAccessibleDescription(description)

    def stops(self) -> list[QWidget]:
        """Itself."""
        return [self]

    def _activated(self, _index: int) -> None:
        if not self._by_key:
            self.finish()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrow keys and letters step; Enter gives and goes on; Escape goes back."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.finish()
            if self.hasFocus():  # else something has opened in its place
                self.onward.emit()
            return
        if event.key() == Qt.Key.Key_Escape and self.typing():
            self.take_back()
            return
        self._by_key = True
        try:
            super().keyPressEvent(event)
        finally:
            self._by_key = False

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Leaving gives what was stepped to."""
        super().focusOutEvent(event)
        if event.reason() not in (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason):
            self.finish()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The wheel moves the page, never a value."""
        event.ignore()


class CheckEntry(QCheckBox):
    """Yes or no, where it is always one of the two."""

    given = Signal(object)
    refused = Signal(str)
    onward = Signal()

    def __init__(self) -> None:
        super().__init__(_("yes"))
        self._stored: Any = False
        self.clicked.connect(self._clicked)

    def stand(self, state: State, fresh: bool) -> None:
        """Show a field."""
        self._stored = state.value
        mixed = state.value is MIXED
        self.setTristate(mixed)
        self.setText(_("several values") if mixed else _("yes"))
        partly, on, off = Qt.CheckState.PartiallyChecked, Qt.CheckState.Checked, Qt.CheckState.Unchecked
        self.setCheckState(partly if mixed else on if state.value else off)

    def _clicked(self) -> None:
        if self._stored is MIXED:
            self.setTristate(False)
        self.given.emit(Given(self.checkState() == Qt.CheckState.Checked))

    def typing(self) -> bool:
        """Nothing is ever half done."""
        return False

    def finish(self) -> None:
        """It gives at once."""

    def lock(self, locked: bool) -> None:
        """Whether it may be changed."""
        self.setEnabled(not locked)

    def call_it(self, name: str, description: str) -> None:
        """Its name and description for a screen reader."""
        self.setAccessibleName(name)
        self.setAccessibleDescription(description)

    def stops(self) -> list[QWidget]:
        """Itself."""
        return [self]

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes on."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.onward.emit()
        else:
            super().keyPressEvent(event)


class _Box(QCheckBox):
    """One box of several."""

    passed = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes on."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.passed.emit()
        else:
            super().keyPressEvent(event)


class ChecksEntry(QWidget):
    """Some of several: a box each."""

    given = Signal(object)
    refused = Signal(str)
    onward = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(2)
        self._boxes: list[QCheckBox] = []
        self._values: list[str] = []
        self._stored: Any = ()
        self._name = ("", "")

    def stand(self, state: State, fresh: bool) -> None:
        """Show a field."""
        spec = state.spec
        here = offers(state.owner, spec, state.reading.snapshot, state.run, state.reading.folder)
        values = [o.value for o in here] if here is not None else list(spec.choices)
        held = () if state.value is MIXED else tuple(state.value)
        values += [word for word in held if word not in values]
        self._stored = state.value
        if values != self._values:
            self._make(values)
        mixed = state.value is MIXED
        for value, box in zip(self._values, self._boxes, strict=True):
            box.setTristate(mixed)
            on, off = Qt.CheckState.Checked, Qt.CheckState.Unchecked
            box.setCheckState(Qt.CheckState.PartiallyChecked if mixed else on if value in held else off)

    def _make(self, values: list[str]) -> None:
        for box in self._boxes:
            self._grid.removeWidget(box)
            box.hide()
            box.deleteLater()
        self._values, self._boxes = values, []
        columns = 4 if max((len(v) for v in values), default=0) <= 3 else 2
        for number, value in enumerate(values):
            box = _Box(value, self)
            box.clicked.connect(partial(self._clicked, number))
            box.passed.connect(self.onward)
            self._grid.addWidget(box, number // columns, number % columns)
            self._boxes.append(box)
        self._grid.setColumnStretch(columns, 1)
        self.call_it(*self._name)

    def _clicked(self, number: int, _on: bool = False) -> None:
        if self._stored is MIXED:
            chosen = (self._values[number],)
        else:
            chosen = tuple(v for v, b in zip(self._values, self._boxes, strict=True) if b.isChecked())
        self.given.emit(Given(chosen))

    def typing(self) -> bool:
        """Nothing is ever half done."""
        return False

    def finish(self) -> None:
        """It gives at once."""

    def lock(self, locked: bool) -> None:
        """Whether it may be changed."""
        self.setEnabled(not locked)

    def call_it(self, name: str, description: str) -> None:
        """The boxes' names and description for a screen reader."""
        self._name = (name, description)
        self.setAccessibleName(name)
        for value, box in zip(self._values, self._boxes, strict=True):
            box.setAccessibleName(_("{name}: {value}").format(name=name, value=value))
            box.setAccessibleDescription(description)

    def stops(self) -> list[QWidget]:
        """Every box."""
        return list(self._boxes)
