"""The particulars of one survey: each field is one edit when it is left."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QPushButton, QWidget

from app.window.deficiencies.words import Words
from app.window.document import Document
from app.window.surveys.beginning import proposed_standards
from app.window.titling.fields import Line
from engine.deficiencies import GRADES, grade_name, grade_words
from engine.deficiencies.typed import read_day
from engine.edits import EditError, SetFields
from engine.installation import Survey
from engine.naming import natural, title_of
from engine.words import N_, _

__all__ = ["SurveyForm"]

# in the order one is asked for them
_FIELDS = (
    ("name", N_("Name or number"), 1),
    ("client", N_("Client"), 1),
    ("reason", N_("Made for"), 1),
    ("surveyor", N_("Surveyor"), 1),
    ("qualification", N_("Qualification"), 1),
    ("date", N_("Date"), 1),
    ("until", N_("Until"), 1),
    ("where", N_("Port or yard"), 1),
    ("afloat", N_("Afloat or ashore"), 0),
    ("follows", N_("Follows up"), 0),
    ("standards", N_("Standards used, one a line"), 3),
    ("limits", N_("Limits of the survey"), 4),
    ("closing", N_("Closing words"), 2),
    ("issued", N_("Report given out"), 1),
    ("grade_a", "", 1),
    ("grade_b", "", 1),
    ("grade_c", "", 1),
    ("note", N_("Note"), 2),
)
_DAYS = ("date", "until", "issued")


class SurveyForm(QWidget):
    """Shows one survey, or nothing."""

    refused = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.document, self.item = document, ""
        self.setAccessibleName(_("Particulars of the survey"))
        self.fields: dict[str, Line | Words | QComboBox] = {}
        rows = QFormLayout(self)
        rows.setContentsMargins(0, 0, 6, 0)
        rows.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        rows.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        for field, words, lines in _FIELDS:
            label = _(words) if words else _("{grade} means").format(grade=grade_name(field[-1].upper()))
            rows.addRow(label, self._entry(field, label, lines))
            if field == "standards":
                self.propose = QPushButton(_("Propose from the drawing's book"))
                self.propose.setToolTip(_("Add the book by which the drawing is judged, with its edition."))
                self.propose.setAutoDefault(False)
                self.propose.clicked.connect(self._propose)
                rows.addRow("", self.propose)
        for grade in GRADES:
            line = self.fields[f"grade_{grade.lower()}"]
            assert isinstance(line, Line)
            line.setPlaceholderText(grade_words(None, grade))
        for field in _DAYS:
            self.fields[field].setToolTip(_("Year-month-day."))
            self.fields[field].setAccessibleDescription(_("Year-month-day."))

    def _entry(self, field: str, label: str, lines: int) -> QWidget:
        made: Line | Words | QComboBox
        if not lines:
            made = QComboBox()
            made.setAccessibleName(label)
            made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            made.activated.connect(partial(self._chosen, field))
        else:
            made = Line(label) if lines == 1 else Words(label, lines)
            made.given.connect(partial(self._given, field))
        made.setObjectName(f"survey_{field}")
        self.fields[field] = made
        return made

    # -- following the drawing --------------------------------------------------------------------------------------
    def show_item(self, item: str) -> None:
        """The survey of that id, "" for none."""
        self.item = item
        record = self.document.installation.tables["surveys"].get(item)
        self.setEnabled(record is not None)
        read_only = bool(self.document.read_only)
        self.propose.setEnabled(not read_only)
        for field, entry in self.fields.items():
            value = "" if record is None else getattr(record, field)
            if isinstance(entry, QComboBox):
                self._fill(field, entry, value)
                entry.setEnabled(not read_only)
            else:
                entry.stand("\n".join(value) if isinstance(value, tuple) else value)
                entry.setReadOnly(read_only)

    def _fill(self, field: str, entry: QComboBox, value: str) -> None:
        snapshot = self.document.snapshot()
        if field == "afloat":
            wanted = [("", _("not said")), ("afloat", _("afloat")), ("ashore", _("ashore"))]
        else:
            others = sorted((i for i in snapshot.surveys if i != self.item), key=natural)
            wanted = [("", _("no other survey")), *((i, title_of(snapshot, "surveys", i)) for i in others)]
        if [(entry.itemData(n), entry.itemText(n)) for n in range(entry.count())] != wanted:
            entry.clear()
            for key, words in wanted:
                entry.addItem(words, key)
        entry.setCurrentIndex(max(0, entry.findData(value)))

    def settle(self) -> str:
        """What is half typed is given."""
        for entry in self.fields.values():
            if not isinstance(entry, QComboBox) and entry.is_typed:
                entry.give()
        return ""

    def begin(self) -> None:
        """The keyboard goes to the first field."""
        self.fields["name"].setFocus(Qt.FocusReason.TabFocusReason)

    # -- giving -----------------------------------------------------------------------------------------------------
    def _given(self, field: str, text: str) -> None:
        value: object = text
        if field == "standards":
            value = tuple(line.strip() for line in text.splitlines() if line.strip())
        elif field in _DAYS and text.strip():
            try:
                value = read_day(text)
            except ValueError as fault:
                self.refused.emit(str(fault))
                self.show_item(self.item)
                return
        self._give(field, value)

    def _chosen(self, field: str, row: int) -> None:
        entry = self.fields[field]
        assert isinstance(entry, QComboBox)
        self._give(field, entry.itemData(row))

    def _propose(self) -> None:
        self.settle()
        record = self.document.installation.tables["surveys"].get(self.item)
        if record is not None:
            more = [each for each in proposed_standards(self.document) if each not in record.standards]
            self._give("standards", (*record.standards, *more))

    def _give(self, field: str, value: object) -> None:
        record: Survey | None = self.document.installation.tables["surveys"].get(self.item)
        if record is None or getattr(record, field) == value:
            return
        name = title_of(self.document.snapshot(), "surveys", self.item)
        try:
            self.document.do(
                SetFields("surveys", self.item, ((field, value),), _("Change survey {name}").format(name=name))
            )
        except EditError as fault:
            self.refused.emit(str(fault))
            self.show_item(self.item)
