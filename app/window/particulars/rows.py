"""Entries for records inside a record: breaking capacities, places passed, the end of a run. A cell is an entry too."""

from __future__ import annotations

from functools import partial
from typing import Any

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.window.entries import describe, label_of, nothing_of
from app.window.particulars.making import entry_sort, make_entry
from app.window.particulars.state import MIXED, Given, State
from engine.installation.records import End
from engine.record import FieldSpec, field_specs
from engine.words import _

__all__ = ["RecordEntry", "RecordsEntry"]

SIDE_BY_SIDE = 3  # so many cells stand beside one another; more stand below one another
# what a page never changes, because more hangs on it: an end is taken elsewhere on the sheet
FIXED = {(End, "equipment")}


def blank(cls: Any) -> Any:
    """A record of which nothing is known yet; what must be known is missing."""
    values = {}
    for spec in field_specs(cls):
        if spec.default is msgspec.NODEFAULT:
            literals = spec.choices
            values[spec.name] = literals[0] if spec.shape == "choice" and literals else nothing_of(spec)
    return cls(**values)


def lacking(record: Any) -> list[FieldSpec]:
    """The fields that must be known and are not."""
    return [
        spec
        for spec in field_specs(type(record))
        if spec.default is msgspec.NODEFAULT and getattr(record, spec.name) in (None, "")
    ]


class RecordsEntry(QWidget):
    """Rows of cells, a button to add one and one a row to take it out."""

    given = Signal(object)
    refused = Signal(str)
    onward = Signal()
    wanted = Signal(str, str)
    remade = Signal()  # other widgets than before: the order of the Tab key is anew

    SINGLE = False

    def __init__(self) -> None:
        super().__init__()
        self._state: State | None = None
        self._made: tuple[Any, int] | None = None
        self._pending: Any = None  # a row that lacks what it needs
        self._locked = False
        self._name = ("", "")
        self._cells: list[list[Any]] = []
        self._removers: list[QToolButton] = []
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(3)
        self._none = QLabel()
        self._none.setEnabled(False)
        self._inside = QWidget()
        self._grid = QGridLayout(self._inside)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(4)
        self._grid.setVerticalSpacing(2)
        self._add = _Adding(_("Add"))
        self._add.clicked.connect(self._added)
        self._add.passed.connect(self.onward)
        foot = QHBoxLayout()
        foot.addWidget(self._none)
        foot.addStretch(1)
        foot.addWidget(self._add)
        box.addWidget(self._inside)
        box.addLayout(foot)

    # -- showing ------------------------------------------------------------------------------------------------
    def stand(self, state: State, fresh: bool) -> None:
        """Show a field; unless `fresh`, a row that is being added stays."""
        self._state = state
        if fresh:
            self._pending = None
        mixed = state.value is MIXED
        self._none.setText(_("several values") if mixed else _("not recorded"))
        rows = self._rows()
        self._none.setVisible(mixed or not rows)
        self._add.setVisible(not self.SINGLE)
        cls = state.spec.item
        if self._made != (cls, len(rows)):
            self._build(cls, len(rows))
        for number, row in enumerate(rows):
            for spec, cell in zip(field_specs(cls), self._cells[number], strict=True):
                cell.stand(State(state.reading, row, spec, getattr(row, spec.name), state.run), fresh)
        self._inside.setVisible(bool(rows))
        self.lock(self._locked)

    def _rows(self) -> list[Any]:
        assert self._state is not None
        value = self._state.value
        stored = [] if value is MIXED or value is None else [value] if self.SINGLE else list(value)
        return stored if self._pending is None else [*stored, self._pending]

    def _build(self, cls: Any, rows: int) -> None:
        self._made = (cls, rows)
        while self._grid.count():
            item = self._grid.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self._cells, self._removers = [], []
        specs = field_specs(cls)
        beside = len(specs) <= SIDE_BY_SIDE and not self.SINGLE
        if beside and rows:
            for column, spec in enumerate(specs):
                self._grid.addWidget(self._heading(cls, spec), 0, column)
        line = 1
        for number in range(rows):
            cells = []
            if not beside and not self.SINGLE:
                row_heading = QLabel(_("Row {number}").format(number=number + 1))
                font = row_heading.font()
                font.setBold(True)
                row_heading.setFont(font)
                self._grid.addWidget(row_heading, line, 0)
                self._grid.addWidget(self._remover(number, beside), line, 1, Qt.AlignmentFlag.AlignRight)
                line += 1
            for column, spec in enumerate(specs):
                cell = make_entry(entry_sort(cls, spec))
                cell.given.connect(partial(self._cell_given, number, spec.name))
                cell.refused.connect(partial(self._cell_refused, spec.name))
                cell.onward.connect(partial(self._cell_onward, cell))
                if hasattr(cell, "wanted"):
                    cell.wanted.connect(self.wanted)
                if hasattr(cell, "narrow"):
                    cell.narrow()
                if beside:
                    self._grid.addWidget(cell, line, column)
                else:
                    heading = self._heading(cls, spec)
                    heading.setBuddy(cell)
                    self._grid.addWidget(heading, line, 0)
                    self._grid.addWidget(cell, line, 1)
                    line += 1
                cells.append(cell)
            self._cells.append(cells)
            if beside:
                self._grid.addWidget(self._remover(number, beside), line, len(specs))
                line += 1
        stretches = [1] * len(specs) if beside else [2, 3]
        for column in range(self._grid.columnCount()):
            self._grid.setColumnStretch(column, stretches[column] if column < len(stretches) else 0)
        self.call_it(*self._name)
        self.remade.emit()

    def _heading(self, cls: Any, spec: FieldSpec) -> QLabel:
        assert self._state is not None
        unit = self._state.reading.unit(spec)
        text = label_of(cls, spec)
        heading = QLabel(f"{text}, {unit}" if unit else text)
        heading.setWordWrap(True)
        heading.setToolTip(describe(spec))
        return heading

    def _remover(self, number: int, beside: bool) -> QToolButton:
        button = QToolButton()
        button.setText("×" if beside else _("Remove"))
        button.setFocusPolicy(button.focusPolicy().StrongFocus)
        button.setAutoRaise(True)
        button.clicked.connect(partial(self._removed, number))
        self._removers.append(button)
        return button

    # -- changing -----------------------------------------------------------------------------------------------
    def _cell_given(self, number: int, name: str, given: Given) -> None:
        rows = self._rows()
        row = msgspec.structs.replace(rows[number], **{name: given.value})
        missing = lacking(row)
        is_new = self._pending is not None and number == len(rows) - 1
        if missing:
            if is_new:
                self._pending = row
                self._tell_lacking(missing)
                self._again()
            else:
                self._tell_lacking(missing)
            return
        rows[number] = row
        self.refused.emit("")
        if not is_new:
            # a row that is still being added is not in the drawing yet
            stored = rows if self._pending is None else rows[:-1]
            self.given.emit(Given(row if self.SINGLE else tuple(stored), given.origin))
            return
        self._pending = None
        self.given.emit(Given(tuple(rows), given.origin))
        assert self._state is not None
        if len(self._state.value) < len(rows):  # refused: what was filled in stays for mending
            self._pending = row
            self._again()

    def _tell_lacking(self, missing: list[FieldSpec]) -> None:
        assert self._state is not None
        named = _(" and ").join(label_of(self._state.spec.item, spec).lower() for spec in missing)
        self.refused.emit(_("this row is recorded once it has {names}").format(names=named))

    def _cell_refused(self, name: str, why: str) -> None:
        assert self._state is not None
        spec = next(s for s in field_specs(self._state.spec.item) if s.name == name)
        label = label_of(self._state.spec.item, spec)
        self.refused.emit(_("{label}: {why}").format(label=label, why=why) if why else "")

    def _cell_onward(self, cell: Any) -> None:
        every = self._cell_stops()
        last = [stop for stop in cell.stops() if stop in every][-1:]
        place = every.index(last[0]) + 1 if last else len(every)
        if place < len(every):
            every[place].setFocus()
        else:
            self.onward.emit()

    def _cell_stops(self) -> list[QWidget]:
        return [
            stop
            for row in self._cells
            for cell in row
            for stop in cell.stops()
            if not stop.isHidden() and stop.isEnabled()
        ]

    def _again(self) -> None:
        if self._state is not None:
            self.stand(self._state, False)

    def _added(self) -> None:
        assert self._state is not None
        if self._pending is None:
            self._pending = blank(self._state.spec.item)
            self._again()
            self._tell_lacking(lacking(self._pending))
        self._cells[-1][0].stops()[0].setFocus()

    def _removed(self, number: int) -> None:
        rows = self._rows()
        self.refused.emit("")
        self._add.setFocus()
        if self._pending is not None and number == len(rows) - 1:
            self._pending = None
            self._again()
            return
        kept = rows[:-1] if self._pending is not None else rows
        self._made = None  # cells stand for other rows now
        self.given.emit(Given(tuple(row for i, row in enumerate(kept) if i != number)))

    # -- as every entry -----------------------------------------------------------------------------------------
    def typing(self) -> bool:
        """Whether a row is being added or a cell holds what the drawing does not."""
        return self._pending is not None or any(cell.typing() for row in self._cells for cell in row)

    def finish(self) -> None:
        """Give what is typed in its cells."""
        for row in list(self._cells):
            for cell in row:
                if cell.typing():
                    cell.finish()

    def take_back(self) -> None:
        """Drop a row that is being added, and what is typed."""
        self._pending = None
        if self._state is not None:
            self.stand(self._state, True)
        self.refused.emit("")

    def lock(self, locked: bool) -> None:
        """Whether it may be changed."""
        self._locked = locked
        state = self._state
        specs = field_specs(state.spec.item) if state is not None else ()
        for row in self._cells:
            for spec, cell in zip(specs, row, strict=True):
                cell.lock(locked or (state is not None and (state.spec.item, spec.name) in FIXED))
        for button in self._removers:
            button.setEnabled(not locked)
        self._add.setEnabled(not locked and (state is None or state.value is not MIXED))

    def call_it(self, name: str, description: str) -> None:
        """The cells' names and descriptions for a screen reader."""
        self._name = (name, description)
        self.setAccessibleName(name)
        self._add.setAccessibleName(_("Add to {name}").format(name=name))
        self._add.setAccessibleDescription(description)
        cls = self._made[0] if self._made else None
        for number, row in enumerate(self._cells):
            for spec, cell in zip(field_specs(cls), row, strict=True):
                label = label_of(cls, spec)
                if not self.SINGLE:
                    label = _("{name}, row {number}: {label}").format(name=name, number=number + 1, label=label)
                else:
                    label = _("{name}: {label}").format(name=name, label=label)
                cell.call_it(label, describe(spec))
        for number, button in enumerate(self._removers):
            told = _("Take row {number} out of {name}").format(number=number + 1, name=name)
            button.setAccessibleName(told)
            button.setToolTip(told)

    def stops(self) -> list[QWidget]:
        """Every cell, the buttons, the button to add."""
        found: list[QWidget] = []
        first = self._made is not None and len(field_specs(self._made[0])) > SIDE_BY_SIDE  # "Remove" heads its row
        for number, row in enumerate(self._cells):
            cells = [stop for cell in row for stop in cell.stops()]
            remover = self._removers[number : number + 1]
            found += [*remover, *cells] if first else [*cells, *remover]
        return found if self.SINGLE else [*found, self._add]


class _Adding(QPushButton):
    """The button that adds a row: the space bar presses it, Enter goes on as everywhere on the page."""

    passed = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes on."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.passed.emit()
        else:
            super().keyPressEvent(event)


class RecordEntry(RecordsEntry):
    """One record, its cells below one another."""

    SINGLE = True
