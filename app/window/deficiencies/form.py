"""The form of one deficiency: each field is one edit when it is left; closing asks for evidence, who and day."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.window.deficiencies.words import Words
from app.window.document import Document
from app.window.particulars.scrolling import wrapping
from app.window.titling.fields import Line
from engine.deficiencies import (
    BASES,
    GRADES,
    STATUSES,
    Lacking,
    basis_words,
    change,
    close,
    grade_name,
    grade_words,
    not_agreed,
    proposals,
    reopen,
    standing_words,
    told_at,
)
from engine.edits import Edit, EditError
from engine.installation import Deficiency
from engine.naming import title_of
from engine.words import N_, _

__all__ = ["DeficiencyForm"]

_LINES = (
    ("standard", N_("Standard or law"), N_("With its edition, as in ISO 13297:2020.")),
    ("clause", N_("Clause"), N_("The clause relied on.")),
    ("due", N_("By"), N_("Year-month-day.")),
    ("who", N_("Noted by"), N_("Who noted it.")),
    ("date", N_("Date"), N_("Year-month-day.")),
)
_WORDS = (
    ("observation", N_("Seen"), N_("What was seen.")),
    ("risk", N_("Risk"), N_("What it may bring.")),
    ("recommendation", N_("To do"), N_("What to do.")),
)


class DeficiencyForm(QWidget):
    """Shows one deficiency, or nothing."""

    refused = Signal(str)
    closing_begun = Signal()  # or given up

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.document, self.item = document, ""
        self._begun = ""  # "closed" or "not agreed" where that was chosen and is not recorded yet
        self.today: Callable[[], datetime.date] = datetime.date.today
        self.setAccessibleName(_("The deficiency"))
        self.head = wrapping(QLabel())
        bold = self.head.font()
        bold.setBold(True)
        self.head.setFont(bold)
        self.fields: dict[str, Line | Words | QComboBox] = {}
        rows = QFormLayout()
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        rows.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self.grade = self._choice(rows, "grade", _("Class"), ("", *GRADES), self._grade_told)
        for field, label, tip in _WORDS:
            self._row(rows, field, label, Words(_(label)), tip)
        self.earlier = QComboBox()
        self.earlier.setAccessibleName(_("Earlier words"))
        self.earlier.setToolTip(_("Words of earlier deficiencies of this drawing at the same kind of thing."))
        self.earlier.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.earlier.activated.connect(self._take_earlier)
        rows.addRow(_("Earlier words"), self.earlier)
        self.place = self._choice(rows, "place", _("Place"), ("",), str)
        self.basis = self._choice(rows, "basis", _("Basis"), tuple(BASES), basis_words)
        for field, label, tip in _LINES:
            self._row(rows, field, label, Line(_(label)), tip)
        self.standing = wrapping(QLabel())
        self.standing.setAccessibleDescription(_("What it rests on"))
        rows.insertRow(rows.rowCount() - 3, self.standing)
        self.arithmetic = wrapping(QLabel())
        self.arithmetic.setAccessibleDescription(_("Arithmetic of the finding"))
        rows.addRow(self.arithmetic)
        self.status = self._choice(rows, "status", _("How it stands"), tuple(STATUSES), lambda s: _(STATUSES[s]))
        self.closing = self._closing()
        rows.addRow(self.closing)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 6, 0)
        whole.addWidget(self.head)
        whole.addLayout(rows)
        self.show_item("")

    # -- making -----------------------------------------------------------------------------------------------------
    def _row(self, rows: QFormLayout, field: str, label: str, entry: Line | Words, tip: str) -> None:
        entry.setToolTip(_(tip))
        entry.setAccessibleDescription(_(tip))
        entry.given.connect(partial(self._give, field))
        entry.setAcceptDrops(False)  # what is let go here are photographs, not names of files
        self.fields[field] = entry
        rows.addRow(_(label), entry)

    def _choice(
        self, rows: QFormLayout, field: str, label: str, values: tuple[str, ...], told: Callable[[str], str]
    ) -> QComboBox:
        made = QComboBox()
        made.setAccessibleName(label)
        made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        for value in values:
            made.addItem(told(value), value)
        made.activated.connect(partial(self._chosen, field))
        self.fields[field] = made
        rows.addRow(label, made)
        return made

    def _closing(self) -> QWidget:
        """What closing asks for, and what is answered where it is not agreed."""
        made = QWidget()
        self._closing_rows = rows = QFormLayout(made)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self.evidence, self.answer = Words(_("What shows it")), Words(_("The answer"))
        self.closed_by, self.closed = Line(_("Seen by")), Line(_("Seen on"))
        self.record_button = QPushButton()
        self.record_button.setAutoDefault(False)
        self.record_button.clicked.connect(self._record)
        self.lacking = wrapping(QLabel())
        bold = self.lacking.font()
        bold.setBold(True)
        self.lacking.setFont(bold)
        self.lacking.setAccessibleName(_("What is still needed"))
        for label, entry in (
            (_("What shows it"), self.evidence),
            (_("Seen by"), self.closed_by),
            (_("Seen on"), self.closed),
            (_("The answer"), self.answer),
        ):
            entry.setAcceptDrops(False)
            rows.addRow(label, entry)
        rows.addRow(self.lacking)
        rows.addRow(self.record_button)
        return made

    def _grade_told(self, grade: str) -> str:
        record = self.record
        survey = None if record is None else self.document.snapshot().surveys.get(record.survey)
        words = grade_words(survey, grade)
        return f"{grade_name(grade)}: {words}" if words else grade_name(grade)

    # -- what is shown ----------------------------------------------------------------------------------------------
    @property
    def record(self) -> Deficiency | None:
        """The deficiency that is shown."""
        found: Deficiency | None = self.document.installation.get("deficiencies", self.item) if self.item else None
        return found

    def show_item(self, item: str) -> None:
        """Show another one; "" none."""
        if item != self.item:
            self.settle()
            self.item, self._begun = item, ""
            self.lacking.clear()
        self.look_again()

    def look_again(self) -> None:
        """Show it as the drawing has it now."""
        record, snapshot = self.record, self.document.snapshot()
        self.setEnabled(record is not None and not self.document.read_only)
        self.setVisible(record is not None)
        if record is None:
            return
        at = told_at(snapshot, record)
        number = "" if record.number is None else str(record.number)
        head = _("Deficiency {n}: {at}") if at else _("Deficiency {n}")
        self.head.setText(head.format(n=number, at=at))
        for n in range(self.grade.count()):
            self.grade.setItemText(n, self._grade_told(self.grade.itemData(n)))
        self.place.clear()
        self.place.addItem(_("as of the thing"), "")
        for item in snapshot.places:
            self.place.addItem(title_of(snapshot, "places", item), item)
        for field, entry in self.fields.items():
            value = getattr(record, field)
            if isinstance(entry, QComboBox):
                entry.setCurrentIndex(max(entry.findData(value), 0))
            else:
                entry.stand(value)
        self._fill_earlier(record)
        self.standing.setText(standing_words(record, snapshot.vessel))
        self.arithmetic.setText(record.arithmetic)
        self.arithmetic.setVisible(bool(record.arithmetic))
        if self._begun:  # what is typed there stays, whatever else is changed meanwhile
            self.status.setCurrentIndex(self.status.findData(self._begun))
        else:
            self.evidence.stand(record.evidence)
            self.closed_by.stand(record.closed_by)
            self.closed.stand(record.closed)
            self.answer.stand(record.answer)
        self._show_closing(self._begun or record.status)

    def _fill_earlier(self, record: Deficiency) -> None:
        told = proposals(self.document.snapshot(), record.at, but=self.item)[:12]
        self.earlier.clear()
        self.earlier.addItem(_("choose…") if told else _("none yet"), None)
        for one in told:
            self.earlier.addItem(one.line, one)
        self.earlier.setEnabled(bool(told))

    @property
    def is_closing(self) -> bool:
        """Whether it is closed or about to be."""
        return self.record is not None and self.status.currentData() == "closed"

    def _show_closing(self, status: str) -> None:
        closes, differs = status == "closed", status == "not agreed"
        self.closing.setVisible(closes or differs)
        for entry in (self.evidence, self.closed_by, self.closed):
            self._closing_rows.setRowVisible(entry, closes)
        self._closing_rows.setRowVisible(self.answer, differs)
        self.record_button.setText(_("Close it") if closes else _("Record the answer"))
        self.record_button.setAccessibleName(self.record_button.text())
        self._closing_rows.setRowVisible(self.lacking, bool(self.lacking.text()))

    # -- what one does ----------------------------------------------------------------------------------------------
    def _try(self, make: Callable[[], Edit]) -> bool:
        try:
            self.document.do(make())
        except (Lacking, EditError) as fault:
            self.refused.emit(str(fault))
            self.look_again()
            return False
        return True

    def _give(self, field: str, value: Any) -> None:
        if self.record is not None and getattr(self.record, field) != value:
            item = self.item
            self._try(lambda: change(self.document.snapshot(), item, **{field: value}))

    def _chosen(self, field: str, _index: int) -> None:
        entry, record = self.fields[field], self.record
        assert isinstance(entry, QComboBox)
        value = entry.currentData()
        if record is None or field != "status":
            self._give(field, value)
            return
        if value in ("closed", "not agreed") and record.status != value:
            self._begun = value
            self._show_closing(value)
            self.closing_begun.emit()
            if value == "closed":
                self.closed_by.setText(self.closed_by.text() or record.who)
                self.closed.setText(self.closed.text() or self.today().isoformat())
            (self.evidence if value == "closed" else self.answer).setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self._begun = ""
        if value == "open" and record.status == "closed":
            self._try(lambda: reopen(self.document.snapshot(), self.item))
        elif value != record.status:
            self._give(field, value)
        else:
            self.look_again()
        self.closing_begun.emit()

    def _record(self) -> None:
        record, snapshot = self.record, self.document.snapshot()
        if record is None:
            return
        closes = self.status.currentData() == "closed"
        try:
            if closes:
                edit = close(
                    snapshot,
                    self.item,
                    closed_by=self.closed_by.text(),
                    closed=self.closed.text(),
                    evidence=self.evidence.toPlainText(),
                    evidence_photographs=record.evidence_photographs,
                )
            else:
                edit = not_agreed(snapshot, self.item, self.answer.toPlainText())
            self.document.do(edit)
        except (Lacking, EditError) as fault:
            self.lacking.setText(str(fault))
            self._closing_rows.setRowVisible(self.lacking, True)
            name = getattr(fault, "field", "")
            place = {"evidence": self.evidence, "closed_by": self.closed_by, "closed": self.closed}.get(name)
            (place or self.answer if not closes else place or self.evidence).setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self._begun = ""
        self.lacking.clear()
        self.look_again()
        self.closing_begun.emit()

    def _take_earlier(self, index: int) -> None:
        told = self.earlier.itemData(index)
        if told is None or self.record is None:
            return
        fields = {name: getattr(told, name) for name in ("grade", "observation", "risk", "recommendation", "basis")}
        fields |= {"standard": told.standard, "standard_year": told.standard_year, "clause": told.clause}
        self._try(lambda: change(self.document.snapshot(), self.item, **fields))

    def settle(self) -> str:
        """Before another is shown, before saving: what is typed is given. A sentence where closing was begun."""
        for entry in self.fields.values():
            if not isinstance(entry, QComboBox) and entry.is_typed and self.record is not None:
                entry.give()
        record = self.record
        begun = record is not None and bool(self._begun)
        return _("A deficiency was about to be closed or answered, and is not yet.") if begun else ""
