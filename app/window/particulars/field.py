"""One field on the page: its name, its entry, its unit, where its value comes from, what is wrong or needed."""

from __future__ import annotations

from functools import partial
from typing import Any, Protocol

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAccessible, QAccessibleEvent, QColor, QPalette
from PySide6.QtWidgets import QApplication, QHBoxLayout, QLabel, QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from app.window.entries import Reading, describe, says_its_unit
from app.window.particulars.choosing import ChoiceEntry
from app.window.particulars.making import make_entry
from app.window.particulars.offers import Offer
from app.window.particulars.scrolling import bring_into_sight
from app.window.particulars.setting import is_recorded
from app.window.particulars.state import MIXED, Given, State
from engine.record import ORIGINS, FieldSpec
from engine.words import _

__all__ = ["FieldRow", "fault_colour"]


def fault_colour(palette: QPalette) -> QColor:
    """A red that can be read on the palette's own ground."""
    return QColor("#a1160b") if palette.color(QPalette.ColorRole.Base).lightness() > 128 else QColor("#ff9d8f")


class RowHost(Protocol):
    """Whoever owns rows. Told by calls: several signals a row cost more to connect than its widgets to make."""

    def row_given(self, row: FieldRow, given: Given) -> None:
        """A value was given."""

    def row_sourced(self, row: FieldRow, origin: str) -> None:
        """It was said where the value comes from."""

    def row_done(self, row: FieldRow) -> None:
        """Enter: on to the next."""

    def row_wants(self, table: str, item: str) -> None:
        """The person wants to see what is named."""

    def row_remade(self) -> None:
        """It has other widgets than before."""


class OriginEntry(ChoiceEntry):
    """Where a value comes from."""

    def offered(self, state: State) -> tuple[Offer, ...]:
        """The four, and that nobody said."""
        return (*(Offer(origin, _(origin)) for origin in ORIGINS), Offer("", _("not said")))


class FieldRow(QWidget):
    """A field. Used again for other fields of the same sort: a page of sixty is shown without making a widget."""

    def __init__(self, sort: str, host: RowHost, parent: QWidget, item: Any = None) -> None:
        super().__init__(parent)
        self._host = host
        self.sort = sort
        self.item = item  # class of the records in it
        self.spec: FieldSpec | None = None
        self.label = ""
        self.fault = ""
        self._told = ""
        self._keeps = ""
        self._needed_for: tuple[str, ...] = ()
        self.title = QLabel(self)
        self.title.setWordWrap(True)
        self.title.setTextFormat(Qt.TextFormat.PlainText)
        self.entry: Any = make_entry(sort)
        self._unit = QLabel(self)
        self._unit.setMinimumWidth(0)
        self._origin: OriginEntry | None = None
        self._needed: QLabel | None = None
        self._fault: QLabel | None = None
        self._box = box = QVBoxLayout(self)
        box.setContentsMargins(0, 2, 0, 4)
        box.setSpacing(1)
        self._head, self._line = QHBoxLayout(), QHBoxLayout()
        for line in (self._head, self._line):
            line.setSpacing(5)
            box.addLayout(line)
        self._head.addWidget(self.title, 1)
        self._line.addWidget(self.entry, 1)
        self._line.addWidget(self._unit)
        self.entry.given.connect(self._given)
        self.entry.refused.connect(self.tell_fault)
        self.entry.onward.connect(self._done)
        if sort in ("refers", "records", "record"):
            self.entry.wanted.connect(self._wants)
        if sort in ("records", "record"):
            self.entry.remade.connect(self._remade)
        if isinstance(self.entry, QLineEdit):
            self.entry.textChanged.connect(self._unit_follows)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)

    # -- showing ------------------------------------------------------------------------------------------------
    def stand(self, state: State, label: str, origin: Any, fresh: bool) -> None:
        """Show a field. `origin`: where its value comes from, "" nobody said, `None` where that is no question."""
        spec = state.spec
        if fresh or spec is not self.spec or label != self.label:
            self.spec, self.label = spec, label
            self._told = describe(spec)
            self.title.setText(label)
            self.title.setBuddy(self.entry.stops()[0] if self.entry.stops() else self.entry)
            self.entry.setToolTip(self._told)
            self.title.setToolTip(self._told)
            self._unit.setText(state.reading.unit(spec))
            self._unit.setVisible(bool(self._unit.text()))
            self.tell_fault("")
        self._keeps = self._kept(state.reading, state.value)
        self.entry.stand(state, fresh)
        if not self.entry.typing():
            self.tell_fault("")
        self._unit_follows()
        self._show_origin(state, origin, fresh)
        self._name_it()

    def _kept(self, reading: Reading, value: Any) -> str:
        if value is MIXED:
            return _("several values")
        assert self.spec is not None
        return "" if self.spec.shape in ("records", "record") else reading.phrase(self.spec, value)

    def _show_origin(self, state: State, origin: Any, fresh: bool) -> None:
        asked = origin is not None and (state.value is MIXED or is_recorded(state.spec, state.value) or bool(origin))
        if not asked:
            if self._origin is not None and not self._origin.isHidden():
                self._origin.hide()
                self._remade()
            return
        if self._origin is None:
            self._origin = OriginEntry()
            self._origin.setMinimumContentsLength(8)
            self._origin.setFrame(False)
            self._origin.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
            self._origin.given.connect(self._source_given)
            self._origin.onward.connect(self._done)
            # beside the value; of a table of values, beside its name
            (self._head if self.sort in ("records", "record", "checks") else self._line).addWidget(self._origin)
            self._remade()
        self._origin.setVisible(True)
        self._origin.stand(state._replace(value=origin), fresh)
        self._origin.call_it(
            _("Where {label} comes from").format(label=self.label), _("Measured, read off its plate, typed or assumed.")
        )
        self._origin.setToolTip(_("Where this value comes from"))

    def _unit_follows(self, _text: str = "") -> None:
        """The unit is faint while the text says its own; it keeps its room, so that nothing moves while typing."""
        if not self._unit.isHidden():
            self._unit.setEnabled(not says_its_unit(self.entry.text()))

    def _name_it(self) -> None:
        parts = [self._told]
        if self._unit.text():
            parts.append(_("A bare number is in {unit}.").format(unit=self._unit.text()))
        if self._needed_for:
            parts.append(self._needed_text())
        if self.fault:
            parts.append(self._fault_text())
        self.entry.call_it(self.label, " ".join(part for part in parts if part))

    def help(self) -> str:
        """What the foot of the page says of it."""
        return f"{self.label}. {self._told}" if not self._told.startswith(self.label) else self._told

    # -- what is needed, what is wrong ----------------------------------------------------------------------------
    def need(self, rules: tuple[str, ...]) -> None:
        """Which rules cannot judge without it."""
        if rules == self._needed_for:
            return
        self._needed_for = rules
        if rules and self._needed is None:
            self._needed = QLabel(self)
            self._needed.setWordWrap(True)
            self._needed.setTextFormat(Qt.TextFormat.PlainText)
            font = self._needed.font()
            font.setItalic(True)
            self._needed.setFont(font)
            self._box.insertWidget(2, self._needed)
        if self._needed is not None:
            self._needed.setText(self._needed_text() if rules else "")
            self._needed.setVisible(bool(rules))
        self._name_it()

    def _needed_text(self) -> str:
        return _("Needed to judge: {rules}").format(rules=", ".join(self._needed_for))

    def tell_fault(self, why: str) -> None:
        """Say under the entry why what stands in it is not in the drawing; "" takes that away."""
        if why == self.fault:
            return
        self.fault = why
        if why and self._fault is None:
            self._fault = QLabel(self)
            self._fault.setWordWrap(True)
            self._fault.setTextFormat(Qt.TextFormat.PlainText)
            font = self._fault.font()
            font.setBold(True)
            self._fault.setFont(font)
            self._box.addWidget(self._fault)
        if self._fault is not None:
            palette = self._fault.palette()
            palette.setColor(QPalette.ColorRole.WindowText, fault_colour(self.palette()))
            self._fault.setPalette(palette)
            self._fault.setText(self._fault_text() if why else "")
            self._fault.setVisible(bool(why))
        if self.spec is not None:
            self._name_it()
        if why:
            QAccessible.updateAccessibility(QAccessibleEvent(self.entry, QAccessible.Event.DescriptionChanged))
            focus = QApplication.focusWidget()
            if focus is not None and self.isAncestorOf(focus):
                QTimer.singleShot(0, self, partial(bring_into_sight, self))

    def _fault_text(self) -> str:
        text = f"{self.fault[:1].upper()}{self.fault[1:].rstrip('.')}."
        if self._keeps and self.entry.typing():
            text = _("{why} The drawing keeps: {value}.").format(why=text, value=self._keeps)
        return text

    # -- as a part of the form --------------------------------------------------------------------------------------
    def lock(self, locked: bool) -> None:
        """Whether it may be changed."""
        self.entry.lock(locked)
        if self._origin is not None:
            self._origin.lock(locked)

    def stops(self) -> list[QWidget]:
        """The widgets the Tab key visits."""
        return [*self.entry.stops(), *([self._origin] if self._origin is not None else [])]

    def take_focus(self) -> None:
        """Put the keyboard into its entry."""
        stop = self.first_stop()
        if stop is not None:
            stop.setFocus(Qt.FocusReason.TabFocusReason)

    def first_stop(self) -> QWidget | None:
        """The widget of its entry that the keyboard goes to, `None` where there is none."""
        there = [stop for stop in self.entry.stops() if not stop.isHidden() and stop.isEnabled()]
        return there[0] if there else None

    def finish(self) -> None:
        """Give what is typed, as if it were left."""
        if self.entry.typing():
            self.entry.finish()
        if self._origin is not None and not self._origin.isHidden():
            self._origin.finish()

    def _given(self, given: Given) -> None:
        self._host.row_given(self, given)

    def _source_given(self, given: Given) -> None:
        self._host.row_sourced(self, str(given.value))

    def _done(self) -> None:
        self._host.row_done(self)

    def _wants(self, table: str, item: str) -> None:
        self._host.row_wants(table, item)

    def _remade(self) -> None:
        self._host.row_remade()
