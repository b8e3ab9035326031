"""The questions of a template as a form: a line for a figure, a list for a choice and for what may be joined."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QLineEdit, QSizePolicy, QWidget

from engine.equipment.base import Equipment
from engine.installation import Snapshot
from engine.templates import Question, Template, shown
from engine.words import _

__all__ = ["Form", "joinable"]

_DC, _AC = ("", "pair", "positive"), ("", "line")


class Form(QWidget):
    """One row a question. `entered`: Enter was pressed in a line."""

    entered = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.editors: dict[str, QLineEdit | QComboBox] = {}
        self.rows = QFormLayout(self)
        self.rows.setContentsMargins(0, 0, 0, 0)
        self.rows.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        self.rows.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.ExpandingFieldsGrow)
        self._questions: tuple[Question, ...] = ()
        self._usual: dict[str, str] = {}  # what stands there before anybody answers

    def ask(self, template: Template, snapshot: Snapshot, *, is_metric: bool) -> None:
        """Show the questions of a template with their usual answers."""
        while self.rows.rowCount():
            self.rows.removeRow(0)
        self.editors = {}
        self._questions = template.questions
        for question in template.questions:
            usual = shown(question, question.usual(is_metric=is_metric))
            self._usual[question.name] = usual
            editor = self._editor(question, usual)
            label = QLabel(_(question.text))
            label.setWordWrap(True)
            label.setBuddy(editor)
            editor.setAccessibleName(_(question.text))
            self.rows.addRow(label, editor)
            self.editors[question.name] = editor
        self.offer(snapshot)

    def _editor(self, question: Question, usual: str) -> QLineEdit | QComboBox:
        if question.choices or question.joins:
            box = QComboBox()
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(8)
            box.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            for choice in question.choices:
                box.addItem(f"{choice} {question.unit}".rstrip(), choice)
            if question.choices:
                box.setCurrentIndex(question.choices.index(usual))
            return box
        line = QLineEdit(usual)
        low, high = (shown(question, bound) for bound in (question.low or 0.0, question.high or 0.0))
        line.setToolTip(_("{low} to {high}").format(low=low, high=high))
        line.setAccessibleDescription(line.toolTip())
        line.returnPressed.connect(self.entered)
        return line

    def offer(self, snapshot: Snapshot) -> None:
        """List anew what of the drawing may be joined; what was chosen stays where it is still there."""
        for question in self._questions:
            box = self.editors[question.name]
            if not question.joins or not isinstance(box, QComboBox):
                continue
            before = box.currentData() or ""
            box.clear()
            box.addItem(_("none: it brings its own"), "")
            for record in joinable(snapshot, question):
                box.addItem(f"{record.designation} {record.label}".strip(), record.designation)
            box.setCurrentIndex(max(0, box.findData(before)))
            box.setEnabled(box.count() > 1)

    def given(self) -> dict[str, str]:
        """Every choice, and the figures that differ from the usual ones."""
        made: dict[str, str] = {}
        for name, editor in self.editors.items():
            value = editor.text().strip() if isinstance(editor, QLineEdit) else str(editor.currentData() or "")
            if isinstance(editor, QComboBox) or value != self._usual[name]:
                made[name] = value
        return made

    def first(self) -> QWidget | None:
        """The first editor."""
        return next(iter(self.editors.values()), None)


def joinable(snapshot: Snapshot, question: Question) -> Iterator[Equipment]:
    """What of a drawing answers a question about what to join, by designation."""
    for record in sorted(snapshot.equipment.values(), key=lambda r: r.designation):
        if record.designation and record.status not in ("to remove", "spare") and _fits(record, question.joins):
            yield record


def _fits(record: Equipment, joins: str) -> bool:
    if joins == "bank":
        return record.store() is not None
    if joins == "engine":
        return record.KIND == "engine"
    purpose = getattr(record, "purpose", None)
    return record.ROLE == "bus" and record.KIND == "bus_bar" and purpose in (_AC if joins == "ac" else _DC)
