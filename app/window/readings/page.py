"""The page of measured values: one line typed at the chosen thing, what it should be told while it is typed."""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Callable, Iterable

import msgspec
from PySide6.QtCore import QEvent, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.measuring.messages import Measured, question_of
from app.window.deficiencies.current import current_survey
from app.window.document import Change, Document
from app.window.enter_key import keeps_enter
from app.window.particulars.scrolling import Inside, wrapping
from app.window.readings.choices import conditions, instrument_named, instruments, pairs, terminals, thing_of
from app.window.small_print import cautions_line
from engine.edits import EditError
from engine.edits.draft import Draft
from engine.installation.surveying import Instrument, Reading
from engine.naming import natural, title_of
from engine.survey.places import where_words
from engine.survey.readings import calibration
from engine.survey.results import NAMES, UNIT_OF, ReadingResult, measured
from engine.survey.typed import examples, read_reading
from engine.units import UnitError, show
from engine.words import N_, _, ngettext

__all__ = ["ReadingsPage"]

_ITEM = Qt.ItemDataRole.UserRole
VERDICTS = {"within": N_("in order"), "off": N_("differs"), "not known": N_("not judged")}


class _List(QListWidget):
    """Readings; Delete takes one out, Enter shows the thing, the space bar too."""

    removing = Signal()
    wanted = Signal()

    def event(self, event: QEvent) -> bool:
        """Enter is for the list."""
        return keeps_enter(event) or bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.removing.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.wanted.emit()
        else:
            super().keyPressEvent(event)


class ReadingsPage(QWidget):
    """Follows what is chosen while it is shown."""

    refused = Signal(str)  # a sentence
    reveal = Signal(str)  # id of equipment or a run
    record_wanted = Signal(str, str)  # table, id

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.today: Callable[[], datetime.date] = datetime.date.today
        self.at = ""  # what is measured
        self.results: dict[str, tuple[ReadingResult, ...]] = {}
        self._asked = ""
        self.setAccessibleName(_("Measured values"))
        self._build()
        document.selected.connect(self._chosen)
        document.changed.connect(self._changed)
        document.measured.connect(self._told)
        document.judged.connect(self._judged)
        document.surveyed.connect(self._fill)
        document.headed.connect(self._fill)

    # -- making -----------------------------------------------------------------------------------------------------
    def _build(self) -> None:
        self.head = wrapping(QLabel())
        bold = self.head.font()
        bold.setBold(True)
        self.head.setFont(bold)
        form = QFormLayout()
        form.setContentsMargins(0, 0, 0, 0)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self.value = QLineEdit()
        self._name(
            self.value,
            _("Measured"),
            _("A value with its unit; Enter records it. {examples}").format(examples=examples()),
        )
        self.value.setPlaceholderText(examples().partition(";")[0])
        self.value.textChanged.connect(self._typed)
        self.value.returnPressed.connect(self.record)
        form.addRow(_("Measured"), self.value)
        self.terminal = self._choice(form, _("At"), _("Terminal or end it is measured at"))
        self.between = self._choice(form, _("Between"), _("Conductors it is measured between"))
        self.condition = self._choice(form, _("Condition"), _("Operating condition it is measured in"))
        self.instrument = QComboBox()
        self.instrument.setEditable(True)
        self.instrument.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self._name(
            self.instrument,
            _("Instrument"),
            _("What it is measured with; a new name makes a new instrument. It is kept."),
        )
        self.facts = QPushButton(_("Particulars"))
        self._name(self.facts, _("Particulars"), _("Serial number and calibration of the instrument."))
        self.facts.setAutoDefault(False)
        self.facts.clicked.connect(self._show_instrument)
        beside = QHBoxLayout()
        beside.addWidget(self.instrument, 1)
        beside.addWidget(self.facts)
        form.addRow(_("Instrument"), beside)
        self.note = QLineEdit()
        self._name(self.note, _("Note"), _("A note to the reading; Enter records it."))
        self.note.returnPressed.connect(self.record)
        form.addRow(_("Note"), self.note)
        self.terminal.activated.connect(self._terminal_chosen)
        for choice in (self.between, self.condition, self.instrument):
            choice.activated.connect(self._typed)
        self.answer = wrapping(QLabel())
        self.answer.setAccessibleName(_("What it should be"))
        self.answer.setMinimumHeight(self.answer.fontMetrics().lineSpacing() * 4)
        self.answer.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.count = wrapping(QLabel())
        self.list = _List()
        self._name(
            self.list, _("Readings"), _("Delete takes a reading out, the space bar shows what it was measured at.")
        )
        self.list.setWordWrap(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.removing.connect(self._remove)
        self.list.wanted.connect(self._show_thing)
        self.list.itemDoubleClicked.connect(lambda _item: self._show_thing())
        whole = QVBoxLayout(self)
        whole.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        whole.setContentsMargins(8, 8, 8, 8)
        whole.setSpacing(6)
        self.list.setMinimumHeight(self.list.fontMetrics().lineSpacing() * 4)
        inside = Inside()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.head)
        column.addLayout(form)
        column.addWidget(self.answer)
        column.addWidget(self.count)
        column.addWidget(self.list, 1)
        scroll = QScrollArea()  # with large type not all of it has room
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        whole.addWidget(scroll, 1)
        whole.addWidget(cautions_line())
        order = (
            self.value,
            self.terminal,
            self.between,
            self.condition,
            self.instrument,
            self.facts,
            self.note,
            self.list,
        )
        for before, after in itertools.pairwise(order):
            self.setTabOrder(before, after)

    def _name(self, widget: QWidget, name: str, tip: str) -> None:
        widget.setAccessibleName(name)
        widget.setToolTip(tip)
        widget.setAccessibleDescription(tip)

    def _choice(self, form: QFormLayout, label: str, name: str) -> QComboBox:
        made = QComboBox()
        self._name(made, name, name)
        made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        made.setMinimumContentsLength(10)
        form.addRow(label, made)
        return made

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(300, 320)

    def begin(self) -> None:
        """Take the focus: the line that is typed into."""
        target: QWidget = self.value if self.value.isEnabled() else self.list
        target.setFocus(Qt.FocusReason.TabFocusReason)

    # -- following --------------------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page does nothing; it catches up when it is shown."""
        super().showEvent(event)
        self._chosen()

    def _changed(self, _change: Change) -> None:
        if self.isVisible():
            self._fill()
            self._ask()

    def _judged(self, _judgement: object) -> None:
        """There is a study process now, if there was none before."""
        if self.isVisible() and not self._asked:
            self._ask()

    def _chosen(self) -> None:
        if not self.isVisible():
            return
        self.at = thing_of(self.document.snapshot(), self.document.selection)
        self._fill()
        self._ask()

    def _fill(self) -> None:
        if not self.isVisible():
            return
        snapshot, at = self.document.snapshot(), self.at
        if at and self.document.find(at) is None:
            self.at = at = ""
        can = bool(at) and not self.document.read_only
        self.head.setText(
            title_of(snapshot, "equipment" if at in snapshot.equipment else "runs", at)
            if at
            else _("Choose equipment or a run on the sheet to measure at.")
        )
        for widget in (self.value, self.terminal, self.between, self.condition, self.instrument, self.note):
            widget.setEnabled(can)
        _offer(self.terminal, (("", _("not said")), *terminals(snapshot, at)), self.terminal.currentData() or "")
        first = self.condition.count() == 0
        _offer(self.condition, conditions(snapshot), self.document.condition if first else self.condition.currentData())
        words = self.instrument.currentText()
        with QSignalBlocker(self.instrument):
            self.instrument.clear()
            self.instrument.addItems([name for _item, name in instruments(snapshot)])
            self.instrument.setEditText(words or (self.instrument.itemText(0) if first else ""))
        self._offer_pairs()
        self._list()

    def _offer_pairs(self) -> None:
        found = pairs(self.document.snapshot(), self.at, self.terminal.currentData() or "")
        _offer(self.between, (("", _("not said")), *((pair, pair) for pair in found)), self.between.currentData() or "")

    def _terminal_chosen(self, _index: int) -> None:
        self._offer_pairs()
        self._typed()

    # -- what is typed ----------------------------------------------------------------------------------------------
    def reading(self) -> Reading | None:
        """The reading as it is typed, `None` where it cannot be read. Its instrument may have no record yet."""
        snapshot, survey = self.document.snapshot(), current_survey(self.document)
        record = snapshot.surveys.get(survey)
        try:
            typed = read_reading(self.value.text())
        except UnitError:
            return None
        return typed.onto(
            Reading(
                at=self.at,
                terminal=self.terminal.currentData() or "",
                between=self.between.currentData() or "",
                condition=self.condition.currentData() or "",
                instrument=instrument_named(snapshot, self.instrument.currentText()),
                survey=survey,
                who="" if record is None else record.surveyor,
                date=self.today().isoformat(),
                note=" ".join(self.note.text().split()),
            )
        )

    def _typed(self, _what: object = None) -> None:
        self._ask()

    def _ask(self) -> None:
        reading = self.reading() if self.at else None
        text = self.value.text().strip()
        if reading is None:
            self.answer.setText(self._why() if text else "")
        if self.document.judge is None:
            if reading is not None:
                self.answer.setText(_("What it should be cannot be worked out: there is no study process."))
            return
        self._asked = question_of(reading)
        if reading is not None:
            self.answer.setText(_("Being worked out…"))
        self.document.judge.measure(self._asked)

    def _why(self) -> str:
        try:
            read_reading(self.value.text())
        except UnitError as fault:
            return _("{sentence}.").format(sentence=str(fault)[:1].upper() + str(fault)[1:])
        return ""

    def _told(self, told: Measured) -> None:
        if told.question != self._asked:
            return
        by_reading: dict[str, list[ReadingResult]] = {}
        for result in told.every:
            by_reading.setdefault(result.reading, []).append(result)
        self.results = {item: tuple(results) for item, results in by_reading.items()}
        if told.words:
            self.answer.setText(_("What it should be could not be worked out: {fault}").format(fault=told.words))
        elif told.typed:
            self.answer.setText("\n".join(_answer(result) for result in told.typed))
        if self.isVisible():
            self._list()

    def record(self) -> None:
        """Record what is typed: one step to take back, a new instrument with it."""
        reading = self.reading() if self.at else None
        if reading is None:
            self.refused.emit(self._why() or _("Choose equipment or a run on the sheet to measure at."))
            return
        snapshot = self.document.snapshot()
        draft = Draft(snapshot, self.document.installation.last_id)
        name = " ".join(self.instrument.currentText().split())
        if name and not reading.instrument:
            reading = msgspec.structs.replace(reading, instrument=draft.add("instruments", Instrument(name=name)))
        draft.add("readings", reading)
        said = self.answer.text()
        try:
            self.document.do(draft.done(_("Record a reading at {where}").format(where=where_words(snapshot, reading))))
        except EditError as fault:
            self.refused.emit(str(fault))
            return
        self.note.clear()
        self.value.clear()
        self.answer.setText(said)
        self.value.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_instrument(self) -> None:
        item = instrument_named(self.document.snapshot(), self.instrument.currentText())
        if item:
            self.record_wanted.emit("instruments", item)
        else:
            self.refused.emit(_("No instrument of this name is recorded yet."))

    # -- the list ---------------------------------------------------------------------------------------------------
    def shown(self) -> list[str]:
        """Ids of the readings listed: of the chosen thing, of all where nothing is chosen; newest first."""
        readings = self.document.snapshot().readings
        every = (item for item, reading in readings.items() if not self.at or reading.at == self.at)
        return sorted(every, key=lambda item: (readings[item].date, natural(item)), reverse=True)

    def _list(self) -> None:
        current = self._current()
        items = self.shown()
        off = sum(any(r.verdict == "off" and r.newest for r in self.results.get(item, ())) for item in items)
        if items:
            words = ngettext("{n} reading, {off} differs.", "{n} readings, {off} differ.", len(items))
            self.count.setText(words.format(n=len(items), off=off))
        else:
            self.count.setText(_("Nothing was measured here yet.") if self.at else _("Nothing was measured yet."))
        with QSignalBlocker(self.list):
            self.list.clear()
            for item in items:
                row = QListWidgetItem("\n".join(self._lines(item)))
                row.setData(_ITEM, item)
                self.list.addItem(row)
                if item == current:
                    self.list.setCurrentItem(row)

    def _lines(self, item: str) -> Iterable[str]:
        snapshot = self.document.snapshot()
        reading = snapshot.readings[item]
        results = self.results.get(item, ())
        for result in results:
            yield _answer(result)
        if not results:
            values = ", ".join(f"{_(NAMES[q])} {show(value, UNIT_OF[q])}" for q, value in measured(reading))
            yield _("{where}: {values}").format(where=where_words(snapshot, reading), values=values)
        told = calibration(snapshot, item, reading)
        yield ", ".join(part for part in (reading.date, told.words, reading.note) if part)

    def _current(self) -> str:
        row = self.list.currentItem()
        return "" if row is None else str(row.data(_ITEM))

    def _remove(self) -> None:
        item = self._current()
        reading = self.document.snapshot().readings.get(item)
        if reading is None:
            return
        snapshot = self.document.snapshot()
        draft = Draft(snapshot, self.document.installation.last_id)
        draft.put("readings", item, None)
        words = _("Take out the reading at {where}").format(where=where_words(snapshot, reading))
        try:
            self.document.do(draft.done(words))
        except EditError as fault:
            self.refused.emit(str(fault))

    def _show_thing(self) -> None:
        reading = self.document.snapshot().readings.get(self._current())
        if reading is not None and self.document.find(reading.at) is not None:
            self.document.select(reading.at)
            self.reveal.emit(reading.at)

    def settle(self) -> str:
        """Before saving and leaving: what is typed and not recorded is told."""
        if self.value.text().strip():
            return _("A reading was typed and not recorded: {text}.").format(text=self.value.text().strip())
        return ""


def _offer(choice: QComboBox, some: Iterable[tuple[str, str]], chosen: str) -> None:
    with QSignalBlocker(choice):
        choice.clear()
        for item, words in some:
            choice.addItem(words, item)
        choice.setCurrentIndex(max(choice.findData(chosen), 0))


def _answer(result: ReadingResult) -> str:
    """*differs: Voltage at E5 in: 10.9 V measured, …* with the arithmetic where there is one."""
    words = _("{verdict}: {words}").format(verdict=_(VERDICTS[result.verdict]), words=result.words)
    if result.deviation is not None:
        words = _("{words} Deviation {deviation}.").format(words=words, deviation=show(result.deviation, result.unit))
    if not result.newest:
        words = _("{words} Measured again since.").format(words=words)
    return words
