"""The fields of one record, or those that several have in common."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, cast

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QApplication, QLabel, QVBoxLayout, QWidget

from app.window.document import Document
from app.window.entries import Reading, label_of
from app.window.particulars.ends import led_anew
from app.window.particulars.field import FieldRow
from app.window.particulars.grouping import common_specs, groups
from app.window.particulars.making import entry_sort
from app.window.particulars.offers import is_offered
from app.window.particulars.setting import Subject, has_origin, is_recorded, set_field, set_origin
from app.window.particulars.state import MIXED, Given, State
from engine.edits import Edit, EditError
from engine.record import FieldSpec

__all__ = ["Form", "plain_fault"]

STEADY = ("line", "choice", "check")  # what they show hangs on their own value alone


class Form(QWidget):
    """Shows fields and turns what is given into edits. Its rows are used again for the next record."""

    refused = Signal(str)
    wanted = Signal(str, str)
    reordered = Signal()  # the order of the Tab key is anew

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.subjects: tuple[Subject, ...] = ()
        self.source = "typed"  # where values that are given come from
        self.rows: dict[str, FieldRow] = {}
        self._specs: tuple[FieldSpec, ...] = ()
        self._spare: dict[tuple[str, Any], list[FieldRow]] = {}  # by sort, and by class where cells are in it
        self._headings: list[tuple[QLabel, tuple[str, ...]]] = []
        self._spare_headings: list[QLabel] = []
        self._stood: dict[str, tuple[Any, Any, str]] = {}  # what each row shows
        self._wanted_text = ""
        self._only_open = False
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(0)

    # -- showing ------------------------------------------------------------------------------------------------
    def show_subjects(self, subjects: Sequence[Subject]) -> None:
        """Show these records' fields."""
        fresh = tuple(subjects) != self.subjects
        self.subjects = tuple(subjects)
        self.refresh(fresh)

    def refresh(self, fresh: bool = False) -> None:
        """Show the drawing as it is; unless `fresh`, what is half typed stays."""
        records = self._records()
        specs = common_specs(records) if records else ()
        if specs != self._specs:
            self.setUpdatesEnabled(False)
            try:
                self._lay_out(type(records[0]) if records else None, specs)
            finally:
                self.setUpdatesEnabled(True)
            fresh = True
        if not records:
            return
        reading = Reading(self.document.snapshot(), self.document.folder)
        run = self.subjects[0].id if self.subjects[0].table == "runs" else ""
        cls = type(records[0])
        for spec in specs:
            values = [getattr(record, spec.name) for record in records]
            value = values[0] if all(v == values[0] for v in values[1:]) else MIXED
            origin = self._origin(spec, records)
            row, was = self.rows[spec.name], self._stood.get(spec.name)
            self._stood[spec.name] = now = (value, origin, reading.system)
            if not fresh and was == now and row.sort in STEADY and not is_offered(cls, spec) and not spec.fact.refers:
                continue
            state = State(reading, records[0], spec, value, run)
            row.stand(state, label_of(cls, spec), origin, fresh)
        self._lock()
        self._filter()

    def _origin(self, spec: FieldSpec, records: Sequence[Any]) -> Any:
        """`None`: no question here."""
        origins = [record.origin(spec.name) or "" for record in records]
        if not has_origin(self.subjects[0].table, spec) and not any(origins):
            return None
        return origins[0] if all(o == origins[0] for o in origins) else MIXED

    def _records(self) -> list[Any]:
        found = [self.document.installation.get(s.table, s.id) for s in self.subjects]
        return [record for record in found if record is not None]

    def _lay_out(self, cls: Any, specs: tuple[FieldSpec, ...]) -> None:
        """Put a row for every field below one another, with as few new widgets as can be."""
        for row in self.rows.values():
            self._box.removeWidget(row)
            self._spare.setdefault((row.sort, row.item), []).append(row)
        for heading, _names in self._headings:
            self._box.removeWidget(heading)
            self._spare_headings.append(heading)
        self.rows, self._headings, self._specs = {}, [], specs
        for group in groups(cls, specs) if specs else ():
            if group.title:
                heading = self._spare_headings.pop() if self._spare_headings else self._new_heading()
                heading.setText(group.title)
                self._box.addWidget(heading)
                self._headings.append((heading, tuple(s.name for s in group.specs)))
            for spec in group.specs:
                sort = entry_sort(cls, spec)
                spare = self._spare.get((sort, spec.item))
                row = spare.pop() if spare else self._new_row(sort, spec.item)
                self._box.addWidget(row)
                self.rows[spec.name] = row
        for row in (row for spare in self._spare.values() for row in spare):
            row.hide()
        for heading in self._spare_headings:
            heading.hide()
        self.reordered.emit()

    def _new_heading(self) -> QLabel:
        heading = QLabel(self)
        font = heading.font()
        font.setBold(True)
        heading.setFont(font)
        heading.setContentsMargins(0, 10, 0, 2)
        return heading

    def _new_row(self, sort: str, item: Any) -> FieldRow:
        return FieldRow(sort, self, self, item)

    def stops(self) -> list[QWidget]:
        """The widgets the Tab key visits, top to bottom."""
        return [stop for row in self.rows.values() for stop in row.stops()]

    def need(self, needed: dict[str, tuple[str, ...]]) -> None:
        """Mark the fields that rules cannot judge without."""
        for name, row in self.rows.items():
            row.need(needed.get(name, ()))

    def _lock(self) -> None:
        for row in self.rows.values():
            row.lock(bool(self.document.read_only))

    # -- finding a field ----------------------------------------------------------------------------------------
    def filter(self, text: str, only_open: bool) -> None:
        """Show only fields that have these words in name or help, and only those that are not recorded."""
        self._wanted_text, self._only_open = text.casefold(), only_open
        self._filter()

    def _filter(self) -> None:
        records = self._records()
        words = self._wanted_text.split()
        focus = QApplication.focusWidget()
        for spec in self._specs:
            row = self.rows[spec.name]
            text = f"{row.label} {row.help()} {spec.file_name}".casefold()
            shown = all(word in text for word in words)
            if shown and self._only_open:
                shown = any(not is_recorded(spec, getattr(r, spec.name)) for r in records)
                # never take away what someone stands in or has half typed
                shown = shown or row.entry.typing() or bool(focus is not None and row.isAncestorOf(focus))
            row.setVisible(shown)
        for heading, names in self._headings:
            heading.setVisible(any(not self.rows[name].isHidden() for name in names))

    def go_to(self, name: str) -> bool:
        """Put the keyboard into a field; whether there is one of that name."""
        row = self.rows.get(name)
        if row is None:
            return False
        row.show()
        row.take_focus()
        return True

    # -- changing -----------------------------------------------------------------------------------------------
    def row_given(self, row: FieldRow, given: Given) -> None:
        """A value was given: one edit. What it was typed for may be gone by now, as by an undo."""
        subjects = self._there()
        if row.spec is None or not subjects:
            return
        snapshot, last_id = self.document.snapshot(), self.document.installation.last_id
        source = given.origin or self.source
        edit = set_field(snapshot, last_id, subjects, row.spec, given.value, source)
        if row.spec.shape == "record" and subjects[0].table == "runs":
            edit = led_anew(snapshot, last_id, subjects[0].id, row.spec.name, given.value, edit)
        self._do(row, edit)

    def row_sourced(self, row: FieldRow, origin: str) -> None:
        """It was said where a value comes from: one edit."""
        subjects = self._there()
        if row.spec is not None and subjects:
            self._do(row, set_origin(self.document.snapshot(), subjects, row.spec, origin))

    def _there(self) -> tuple[Subject, ...]:
        """Those of what is shown that the drawing still has."""
        get = self.document.installation.get
        return tuple(each for each in self.subjects if get(each.table, each.id) is not None)

    def row_wants(self, table: str, item: str) -> None:
        """Someone wants to see what is named."""
        self.wanted.emit(table, item)

    def row_remade(self) -> None:
        """A row has other widgets than before."""
        self.reordered.emit()

    def _do(self, row: FieldRow, edit: Edit) -> None:
        if self.document.read_only:
            return
        try:
            self.document.do(edit)
        except EditError as fault:
            row.tell_fault(plain_fault(str(fault)))
            self.refused.emit(plain_fault(str(fault)))

    def row_done(self, row: FieldRow) -> None:
        """Enter goes to the next entry, past where the value comes from."""
        shown = [r for r in self.rows.values() if not r.isHidden()]
        after = shown[shown.index(row) + 1 :] if row in shown else []
        for other in after:
            if other.first_stop() is not None:
                other.take_focus()
                return
        cast(QWidget, row.stops()[0]).clearFocus()

    def finish(self) -> None:
        """Give what is half typed, as if it were left."""
        for row in list(self.rows.values()):
            row.finish()

    # -- what cannot be read stays for mending --------------------------------------------------------------------
    def drafts(self) -> dict[str, str]:
        """Texts that were typed and cannot be read, by field."""
        return {name: row.entry.text() for name, row in self.rows.items() if row.sort == "line" and row.entry.typing()}

    def take_up(self, drafts: dict[str, str]) -> None:
        """Put such texts back where they were."""
        for name, text in drafts.items():
            row = self.rows.get(name)
            if row is not None and row.sort == "line":
                row.entry.setText(text)
                row.entry.finish()


def plain_fault(fault: str) -> str:
    """An edit's refusal without the paths in it, which are for files."""
    return re.sub(r"\w+\['[^']*'\][\w.\[\]]*: |^[a-z_]+(?:\[\d+\])?(?:\.[a-z_]+)*: ", "", fault)
