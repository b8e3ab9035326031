"""The drawing itself, shown when nothing is chosen: vessel, title block, settings, and the lists of what it holds."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.window.document import Document
from app.window.entries import record_class, title_of
from app.window.particulars.form import Form, plain_fault
from app.window.particulars.setting import Subject
from app.window.particulars.told import needed_fields
from engine.edits import Edit, EditError, Put
from engine.installation.model import LONE, TABLES
from engine.record import field_specs
from engine.words import N_, _

__all__ = ["LISTS", "WholeDrawing"]

SECTIONS = {"vessel": N_("Vessel"), "title_block": N_("Title block"), "settings": N_("Settings of the drawing")}
LISTS = {
    "places": (N_("Places"), N_("place")),
    "enclosures": (N_("Panels and enclosures"), N_("enclosure")),
    "sheets": (N_("Sheets"), N_("sheet")),
    "remarks": (N_("Remarks"), N_("remark")),
    "conditions": (N_("Operating conditions"), N_("operating condition")),
    "interlocks": (N_("Interlocks"), N_("interlock")),
    "revisions": (N_("Revisions"), N_("revision")),
    "waivers": (N_("Waivers"), N_("waiver")),
    "surveys": (N_("Surveys"), N_("survey")),
    "deficiencies": (N_("Deficiencies"), N_("deficiency")),
    "photographs": (N_("Photographs"), N_("photograph")),
    "inspections": (N_("What was inspected"), N_("inspection")),
    "instruments": (N_("Instruments"), N_("instrument")),
    "readings": (N_("Readings"), N_("reading")),
}
MOST_LINES = 7  # of a list before it scrolls


class Section(QWidget):
    """A heading that opens and closes what stands under it."""

    opened = Signal()

    def __init__(self, title: str, inside: QWidget, is_open: bool) -> None:
        super().__init__()
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 4, 0, 4)
        box.setSpacing(2)
        self.head = QToolButton()
        self.head.setText(title)
        self.head.setCheckable(True)
        self.head.setAutoRaise(True)
        self.head.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.head.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        font = self.head.font()
        font.setBold(True)
        self.head.setFont(font)
        self.inside = inside
        box.addWidget(self.head)
        box.addWidget(inside)
        self.head.toggled.connect(self.open_up)
        self.head.setChecked(is_open)
        self.open_up(is_open)

    def retitle(self, title: str) -> None:
        """Another heading."""
        if title != self.head.text():
            self.head.setText(title)
            self.head.setAccessibleName(title)

    def open_up(self, is_open: bool) -> None:
        """Show or hide what is inside."""
        self.inside.setVisible(is_open)
        if self.head.isChecked() != is_open:
            self.head.setChecked(is_open)
        self.head.setArrowType(Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow)
        self.head.setAccessibleName(self.head.text())
        self.head.setAccessibleDescription(_("open") if is_open else _("closed"))
        self.opened.emit()


class RecordList(QWidget):
    """The records of one table: open, make, take out."""

    chosen = Signal(str, str)
    refused = Signal(str)
    made = Signal(str, str)

    def __init__(self, document: Document, table: str) -> None:
        super().__init__()
        self.document, self.table = document, table
        title, noun = LISTS[table]
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 0, 0, 0)
        box.setSpacing(3)
        self.list = _Names()
        self.list.setAccessibleName(_(title))
        self.list.setUniformItemSizes(True)
        self.list.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.itemDoubleClicked.connect(self._open)
        self.list.entered_at.connect(self._open)
        self.list.removed_at.connect(self._remove)
        box.addWidget(self.list)
        row = QHBoxLayout()
        row.setSpacing(4)
        self.buttons: list[QPushButton] = []
        for text, spoken, call in (
            (_("Open it"), _("Open the {noun}"), self._open),
            (_("New"), _("New {noun}"), self._new),
            (_("Remove"), _("Remove the {noun}"), self._remove),
        ):
            button = QPushButton(text)
            button.setAccessibleName(spoken.format(noun=_(noun)))
            button.clicked.connect(partial(self._pressed, call))
            row.addWidget(button)
            self.buttons.append(button)
        row.addStretch(1)
        box.addLayout(row)
        self.fault = QLabel()
        self.fault.setWordWrap(True)
        self.fault.setTextFormat(Qt.TextFormat.PlainText)
        self.fault.hide()
        box.addWidget(self.fault)
        self.list.itemSelectionChanged.connect(self._may)

    def refresh(self) -> None:
        """Show the table as it is."""
        snapshot = self.document.snapshot()
        here = self.here()
        ids = list(snapshot.tables[self.table])
        if self.table == "sheets":
            ids = self.document.sheets()
        elif self.table == "conditions":
            ids.sort(key=lambda c: snapshot.conditions[c].order)
        self.list.clear()
        for item in ids:
            row = QListWidgetItem(title_of(snapshot, self.table, item))
            row.setData(Qt.ItemDataRole.UserRole, item)
            self.list.addItem(row)
            if item == here:
                self.list.setCurrentItem(row)
        if here not in ids and ids:
            self.list.setCurrentRow(0)
        lines = max(1, min(len(ids), MOST_LINES))
        self.list.setFixedHeight(lines * (self.list.fontMetrics().height() + 4) + 2 * self.list.frameWidth() + 2)
        self.list.setVisible(bool(ids))
        self._may()

    def here(self) -> str:
        """The id of the line that is chosen."""
        row = self.list.currentItem()
        return "" if row is None else str(row.data(Qt.ItemDataRole.UserRole))

    def _may(self) -> None:
        some, locked = bool(self.here()), bool(self.document.read_only)
        for button, may in zip(self.buttons, (some, not locked, some and not locked), strict=True):
            button.setEnabled(may)

    def _pressed(self, call: Any, _on: bool = False) -> None:
        call()

    def _open(self, _row: Any = None) -> None:
        if self.here():
            self.chosen.emit(self.table, self.here())

    def _new(self) -> None:
        snapshot = self.document.snapshot()
        item = self.document.installation.new_id(self.table)
        record = new_record(snapshot, self.table)
        words = _("New {noun}").format(noun=_(LISTS[self.table][1]))
        if self._do(partial(Put, self.table, item, record, words)):
            self.made.emit(self.table, item)

    def _remove(self) -> None:
        item = self.here()
        if not item or self.document.read_only:
            return
        name = title_of(self.document.snapshot(), self.table, item)
        words = _("Remove {noun} {name}").format(noun=_(LISTS[self.table][1]), name=name)
        self._do(partial(self._removing, item, words))

    def _removing(self, item: str, words: str) -> Edit:
        if self.table == "sheets":
            from app.drawing.changes import remove_sheet

            return remove_sheet(self.document.snapshot(), item)
        if self.table == "deficiencies":
            number = self.document.snapshot().deficiencies[item].number
            if number is not None:  # it would be given to another
                told = _("Number {n} was given to this deficiency and stays with it; close it, or undo its marking.")
                raise EditError(told.format(n=number))
        return Put(self.table, item, None, words)

    def _do(self, make: Callable[[], Edit]) -> bool:
        try:
            self.document.do(make())
        except EditError as fault:
            self.fault.setText(plain_fault(str(fault)))
            self.fault.show()
            self.refused.emit(self.fault.text())
            return False
        self.fault.hide()
        return True


def new_record(snapshot: Any, table: str) -> Any:
    """A record of a table of which nothing is known but what it must be called."""
    cls: Any = record_class(table)
    values: dict[str, Any] = {}
    for spec in field_specs(cls):
        if spec.default is msgspec.NODEFAULT:
            noun = _(LISTS[table][1])
            values[spec.name] = _free_name(snapshot, table, spec.name, noun) if spec.name in ("name", "index") else ""
    if table == "sheets":
        values["number"] = max((s.number for s in snapshot.sheets.values()), default=0) + 1
        values["size"] = snapshot.settings.sheet_size
    if table == "remarks":
        values["sheet"] = min(snapshot.sheets, key=lambda s: snapshot.sheets[s].number, default="")
        values["text"] = _("New remark")
    if table == "conditions":
        values["order"] = max((c.order for c in snapshot.conditions.values()), default=-1) + 1
    return cls(**values)


def _free_name(snapshot: Any, table: str, field: str, noun: str) -> str:
    taken = {getattr(record, field) for record in snapshot.tables[table].values()}
    if field == "index":
        return next(c for c in (*"ABCDEFGHJKLMNPRSTUVWXYZ", str(len(taken) + 1)) if c not in taken)
    name, number = _("New {noun}").format(noun=noun), 1
    while name in taken:
        number += 1
        name = _("New {noun} {number}").format(noun=noun, number=number)
    return name


class _Names(QListWidget):
    """A list that Enter opens and Delete takes out of."""

    entered_at = Signal()
    removed_at = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter, Delete."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered_at.emit()
        elif event.key() == Qt.Key.Key_Delete:
            self.removed_at.emit()
        else:
            super().keyPressEvent(event)


class WholeDrawing(QWidget):
    """Sections for the records there is one of, and a list of each table people fill in."""

    refused = Signal(str)
    wanted = Signal(str, str)
    chosen = Signal(str, str)
    made = Signal(str, str)
    reordered = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.document = document
        self.forms: dict[str, Form] = {}
        self.lists: dict[str, RecordList] = {}
        self.sections: dict[str, Section] = {}
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(0)

    def _build(self) -> None:
        for table, title in SECTIONS.items():
            form = Form(self.document)
            form.refused.connect(self.refused)
            form.wanted.connect(self.wanted)
            form.reordered.connect(self.reordered)
            form.setContentsMargins(8, 0, 0, 0)
            self.forms[table] = form
            self._section(table, Section(_(title), form, table == "vessel"))
        for table, (title, _noun) in LISTS.items():
            records = RecordList(self.document, table)
            records.chosen.connect(self.chosen)
            records.refused.connect(self.refused)
            records.made.connect(self.made)
            self.lists[table] = records
            self._section(table, Section(_(title), records, False))

    def _section(self, name: str, section: Section) -> None:
        self.sections[name] = section
        section.opened.connect(self._opened)
        self._box.addWidget(section)

    def refresh(self) -> None:
        """Show the drawing as it is; what is closed is filled when it is opened."""
        if not self.sections:
            self._build()
        for table, form in self.forms.items():
            if not form.isHidden() or form.subjects:
                form.show_subjects((Subject(table, table),))
        snapshot = self.document.snapshot()
        for table, records in self.lists.items():
            count = len(snapshot.tables[table])
            self.sections[table].retitle(f"{_(LISTS[table][0])} ({count})")
            if not records.isHidden():
                records.refresh()

    def judged(self) -> None:
        """The check has spoken."""
        for table, form in self.forms.items():
            subjects = (Subject(table, table),)
            form.need(needed_fields(self.document.judgement, self.document.snapshot(), subjects))

    def _opened(self) -> None:
        for table, form in self.forms.items():
            if not form.isHidden() and not form.subjects:
                form.show_subjects((Subject(table, table),))
        for records in self.lists.values():
            if not records.isHidden():
                records.refresh()
        self.reordered.emit()

    def open_section(self, table: str) -> Section | None:
        """Open a section and show its top."""
        if not self.sections:
            self.refresh()
        section = self.sections.get(table)
        if section is not None:
            section.open_up(True)
        return section

    def stops(self) -> list[QWidget]:
        """The widgets the Tab key visits, top to bottom."""
        found: list[QWidget] = []
        for name, section in self.sections.items():
            found.append(section.head)
            if name in self.forms:
                found += self.forms[name].stops()
            else:
                found += [self.lists[name].list, *self.lists[name].buttons]
        return found


assert LONE.keys() == SECTIONS.keys()
assert LISTS.keys() <= TABLES.keys()
