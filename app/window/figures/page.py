"""The page of operating conditions: loads and hours, banks, charging, a day's curve, and what all of it rests on."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QCheckBox, QComboBox, QLabel, QScrollArea, QTabWidget, QVBoxLayout, QWidget

from app.window.document import Change, Document
from app.window.figures.curves import day_curve, recharge_curve
from app.window.figures.edits import hours_of, running_set, wanted_set
from app.window.figures.facts import bank_facts, basis_of, charging_rows, condition_rows, summary
from app.window.figures.head import Head, text_line
from app.window.figures.lists import Basis, Facts, Sources
from app.window.figures.loads import LoadsModel, LoadsTable
from app.window.figures.plot import Plot
from app.window.figures.rows import load_rows, totals, totals_words
from app.window.table.rows import natural
from engine.cautions import CAUTIONS
from engine.circuit.energy.results import BankEnergy, Energy
from engine.edits import Edit, EditError
from engine.findings import NotJudged
from engine.installation import Snapshot
from engine.units import UnitError, show
from engine.wanted import WantedFields
from engine.words import _

__all__ = ["ConditionsPage"]


class ConditionsPage(QWidget):
    """What a condition asks of the banks, and what they give."""

    refused = Signal(str)  # a sentence
    reveal = Signal(str)  # id
    field_wanted = Signal(str, str)  # id, field
    record_wanted = Signal(str, str)  # table, id

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self._behind = False  # something has happened while the page was hidden
        self._banks: list[BankEnergy] = []
        self._build()
        self._soon = QTimer(self)  # figures come one after the other: they are shown together
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._told)
        self._unfilled: set[int] = set()  # parts of the page that are behind
        self.tabs.currentChanged.connect(self._fill_part)
        self.only.toggled.connect(self._told)
        document.changed.connect(self._changed)
        document.conditioned.connect(self._told)
        for signal in (document.figured, document.layered, document.headed):
            signal.connect(self._told_soon)
        self._behind = True

    # -- making -------------------------------------------------------------------------------------------------
    def _build(self) -> None:
        self.setAccessibleName(_("Conditions"))
        self.head = Head()
        self.head.chosen.connect(self.document.set_condition)
        self.head.given.connect(self._give_wanted)
        self.head.record_asked.connect(self._ask_record)
        self.summary_line = text_line(_("How the banks stand"), bold=True)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.setUsesScrollButtons(True)
        self.tabs.tabBar().setAccessibleName(_("Parts of the page"))
        self.tabs.addTab(self._make_loads(), _("Loads"))
        self.tabs.addTab(self._make_bank(), _("Bank"))
        self.tabs.addTab(self._make_sources(), _("Sources"))
        self.tabs.addTab(self._make_all(), _("All conditions"))
        self.basis = Basis()
        self.basis.field_wanted.connect(self.field_wanted)
        self.tabs.addTab(self.basis, _("Rests on"))
        self.caution_line = text_line(_("Cautions"), small=True)
        self.caution_line.setText(" ".join(_(text) for text in CAUTIONS))
        whole = QVBoxLayout(self)
        whole.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        whole.setContentsMargins(8, 8, 8, 8)
        whole.setSpacing(6)
        whole.addWidget(self.head)
        whole.addWidget(self.summary_line)
        whole.addWidget(self.tabs, 1)
        whole.addWidget(self.caution_line)

    def _make_loads(self) -> QWidget:
        self.loads = LoadsModel(self._give_hours, self)
        self.table = LoadsTable(self.loads)
        self.table.reveal_asked.connect(self.reveal)
        self.only = QCheckBox(_("Only loads with hours"))
        self.only.setToolTip(_("Leave out what does not draw in this condition; a load is added by giving it hours"))
        self.totals_line = text_line(_("Sums"))
        return _tab(self.only, self.table, self.totals_line)

    def _make_bank(self) -> QWidget:
        self.banks = QComboBox()
        self.banks.setAccessibleName(_("Bank"))
        self.banks.activated.connect(self._show_bank)
        self.facts = Facts(_("Facts of the bank"))
        self.charging_title = text_line(_("Heading"), bold=True)
        titles = (_("Source"), _("Rated"), _("Gives"), _("Wh a day"), _("Runs"), _("Why"))
        self.charging = Facts(_("Charging sources of the bank"), titles, (5,))
        self.day = Plot()
        self.refill = Plot()
        inside = _tab(self.banks, self.facts, self.day, self.refill, self.charging_title, self.charging)
        inside.layout().addStretch(1)  # type: ignore[union-attr]  # a QVBoxLayout
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)  # rows are as high as the width makes
        scroll.setAccessibleName(_("Bank"))
        scroll.setWidget(inside)
        return scroll

    def _make_sources(self) -> QWidget:
        self.sources_line = text_line(_("About the list"))
        self.sources = Sources()
        self.sources.ticked.connect(self._tick)
        return _tab(self.sources_line, self.sources)

    def _make_all(self) -> QWidget:
        titles = (_("Condition"), _("Bank"), _("Wh a day"), _("Lasts"), _("Refills in"))
        self.every = Facts(_("Banks in every condition"), titles, (3, 4))
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        scroll.setAccessibleName(_("All conditions"))
        inside = _tab(self.every)
        inside.layout().addStretch(1)  # type: ignore[union-attr]
        scroll.setWidget(inside)
        return scroll

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 320)

    def begin(self) -> None:
        """Take the focus."""
        if not self.table.currentIndex().isValid() and self.loads.rows:
            self.table.be_at(self.loads.rows[0].item)
        self.table.setFocus(Qt.FocusReason.TabFocusReason)
        if not self.table.hasFocus():
            self.tabs.tabBar().setFocus(Qt.FocusReason.TabFocusReason)

    # -- what is shown ------------------------------------------------------------------------------------------
    def _changed(self, _change: Change) -> None:
        self._told()

    def _told_soon(self) -> None:
        if not self._soon.isActive():
            self._soon.start(0)

    def _told(self, _value: object = None) -> None:
        if self.isVisible():
            self._fill()
        else:
            self._behind = True

    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page costs nothing; it catches up when it is shown."""
        super().showEvent(event)
        if self._behind:
            first = not self.loads.rows
            self._fill()
            if first:
                self.table.fit_columns()

    def _fill(self) -> None:
        """The head at once, and the part that is seen; the others when one turns to them."""
        self._soon.stop()
        self._behind = False
        document = self.document
        condition = document.condition
        energy, stale = document.figures.energy(condition)
        self.head.show_condition(document.snapshot(), condition, self._writable)
        self.summary_line.setText(summary(energy, stale, document.figures.stopped.get(("energy", condition), "")))
        self._unfilled = set(range(self.tabs.count()))
        self._fill_part(self.tabs.currentIndex())

    def _fill_part(self, at: int) -> None:
        """One part of the page, unless it says all there is already."""
        if at not in self._unfilled or not self.isVisible():
            return
        self._unfilled.discard(at)
        snapshot = self.document.snapshot()
        energy, stale = self.document.figures.energy(self.document.condition)
        part = self.tabs.widget(at) or self.basis
        if part is self.basis:
            self._fill_basis(snapshot, energy)
        elif part.isAncestorOf(self.table):
            self._fill_loads(snapshot, energy, stale, self._writable)
        elif part.isAncestorOf(self.facts):
            self._banks = list(energy.banks) if energy is not None else []
            self._fill_banks()
        elif part.isAncestorOf(self.sources):
            self._fill_sources(snapshot, self._writable)
        else:
            self._fill_all(snapshot)

    @property
    def _writable(self) -> bool:
        return bool(self.document.condition) and not self.document.read_only

    def _fill_all(self, snapshot: Snapshot) -> None:
        condition = self.document.condition
        known = sorted(snapshot.conditions, key=lambda c: (snapshot.conditions[c].order, c)) or [""]
        if condition not in known:
            known.insert(0, condition)
        names = {item: snapshot.conditions[item].name if item else _("As drawn") for item in known}
        rows = condition_rows((names[item], self.document.figures.energy(item)[0]) for item in known)
        self.every.show_rows(rows)

    def _fill_loads(self, snapshot: Snapshot, energy: Energy | None, stale: bool, writable: bool) -> None:
        rows = load_rows(snapshot, self.document.condition, energy, self.document.figures.flows.get(self._condition))
        told = totals_words(totals(rows))
        if not self.document.condition:
            told = _("{sums} Hours belong to a condition: choose one above.").format(sums=told)
        self.totals_line.setText(told)
        if self.only.isChecked():
            rows = [row for row in rows if row.hours]
        at = self.table.current_item()
        self.loads.show_rows(rows, writable, stale)
        if at and self.table.current_item() != at:
            self.table.be_at(at)

    @property
    def _condition(self) -> str:
        """As the study process calls it: one that is gone counts as drawn."""
        found = self.document.installation.get("conditions", self.document.condition)
        return "" if found is None else self.document.condition

    def _fill_banks(self) -> None:
        names = [bank.designation for bank in self._banks]
        before = self.banks.currentText()
        if names != [self.banks.itemText(n) for n in range(self.banks.count())]:
            self.banks.clear()
            self.banks.addItems(names)
            if before in names:
                self.banks.setCurrentIndex(names.index(before))
        self.banks.setEnabled(len(names) > 1)
        self._show_bank()

    def _show_bank(self, _at: int = 0) -> None:
        at = self.banks.currentIndex()
        bank = self._banks[at] if 0 <= at < len(self._banks) else None
        for part in (self.banks, self.charging_title, self.charging, self.day, self.refill):
            part.setVisible(bank is not None)
        if bank is None:
            self.facts.show_rows([(_("Bank"), _("none feeds anything in this condition"))])
            return
        self.facts.show_rows(bank_facts(bank))
        self.day.show_curve(day_curve(bank))
        self.refill.show_curve(recharge_curve(bank))
        self.charging_title.setText(_("Charging sources"))
        rows = charging_rows(bank)
        self.charging.show_rows(rows or [(_("none"), "", "", "", "", _("no source reaches the bank"))])

    def _fill_sources(self, snapshot: Snapshot, writable: bool) -> None:
        record = snapshot.conditions.get(self.document.condition)
        running = record.running if record is not None else ()
        flow = self.document.figures.flows.get(self._condition)
        made = []
        for item, equipment in snapshot.equipment.items():
            given = [s for s in equipment.sources(frozenset(t.name for t in equipment.terminals())) if not s.battery]
            by_itself = bool(given) and not equipment.conversions()  # a converter runs where it is fed
            if item not in running and (not by_itself or equipment.status == "spare"):
                continue
            name = snapshot.name(item)
            text = _("{name} {label}").format(name=name, label=equipment.label) if equipment.label else name
            at = flow.sources.get(item) if flow is not None else None
            if at is not None and at.amps > 1e-6:
                text = _("{text}: gives {amps} at {volts}").format(
                    text=text, amps=show(at.amps, "A"), volts=show(at.volts, "V")
                )
            made.append((item, text, item in running))
        self.sources.show_sources(sorted(made, key=lambda m: natural(m[1])), writable)
        if record is None:
            told = _("Which sources run belongs to a condition: choose one above.")
        elif not running:
            told = _("No source is ticked: shore and generators feed what they are joined to, nothing charges.")
        else:
            told = _("What is ticked runs in this condition. Switches are moved on the sheet.")
        self.sources_line.setText(told)

    def _fill_basis(self, snapshot: Snapshot, energy: Energy | None) -> None:
        document = self.document
        unplaced = 0 if document.layer is None else len(document.layer.unplaced)
        figures = document.figures
        missing, told = basis_of(energy, figures.flows.get(self._condition), figures.faults, unplaced)
        gap = NotJudged(rule="", would_be="notice", designations=(), ids=(), why="", missing=tuple(missing))
        wanted = WantedFields(snapshot).of(gap)
        lines = [
            (_("Not recorded: {field}").format(field=each.text), each.item, each.field)
            for each in sorted(wanted, key=lambda w: w.text)
        ]
        if missing and not wanted:
            lines = [(_("Not recorded: {field}").format(field=field), "", "") for field in missing]
        count = len(lines)
        head = (
            _("Nothing that the figures need is missing.")
            if not count
            else _("Not recorded: {n}. Figures that need them are left out, or are least values (≥).").format(n=count)
        )
        stopped = [
            text.format(why=why)
            for (what, condition), why in figures.stopped.items()
            for text in (_stopped_words(what),)
            if condition in ("", self._condition)
        ]
        told = [*stopped, *told]
        self.basis.show_lines([(head, "", ""), *lines, *((text, "", "") for text in told)])

    # -- what one does ------------------------------------------------------------------------------------------
    def _try(self, make: Callable[[], Edit | None]) -> str:
        """Do an edit; why it cannot be done, "" where it was."""
        try:
            edit = make()
            if edit is not None:
                self.document.do(edit)
        except (EditError, UnitError) as fault:
            self.refused.emit(str(fault))
            return str(fault)
        return ""

    def _give_hours(self, load: str, text: str) -> str:
        snapshot, condition = self.document.snapshot(), self.document.condition
        return self._try(lambda: hours_of(snapshot, condition, load, text))

    def _tick(self, source: str, runs: bool) -> None:
        snapshot, condition = self.document.snapshot(), self.document.condition
        if self._try(lambda: running_set(snapshot, condition, source, runs)):
            self._fill()

    def _give_wanted(self, field: str, text: str) -> None:
        snapshot, condition = self.document.snapshot(), self.document.condition
        line = self.head.fields[field]
        if not self._try(lambda: wanted_set(snapshot, condition, field, text)):
            line.setModified(False)
            self._fill()

    def _ask_record(self) -> None:
        if self.document.condition:
            self.record_wanted.emit("conditions", self.document.condition)

    def settle(self) -> str:
        """Before saving and leaving: what is half typed is given."""
        self.table.finish_typing()
        self.head.finish_typing()
        return ""


def _stopped_words(what: str) -> str:
    return {
        "flow": _("Currents and drops could not be worked out: {why}."),
        "faults": _("Fault currents could not be worked out: {why}."),
        "energy": _("The energy could not be worked out: {why}."),
    }[what]


def _tab(*parts: QWidget | QLabel) -> QWidget:
    """Parts one below the other."""
    made = QWidget()
    column = QVBoxLayout(made)
    column.setContentsMargins(2, 6, 2, 2)
    column.setSpacing(6)
    for part in parts:
        column.addWidget(part, 1 if isinstance(part, LoadsTable | Sources) else 0)
    return made
