"""What is fed when something fails: the table, the ways of one cell, the sheet in the state of a way."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QWidget

from app.figures.failure_report import called, failure_words, way_words
from app.switching_messages import FailuresRequest, FailuresTold, full, table_of
from app.window.document import Document
from app.window.printing import Paper
from app.window.switching.cells import FailureModel, FailureView, Fed, cell_of
from app.window.switching.part import MORE, Names, Part, text_line
from app.window.switching.steps import Line, Steps
from engine.circuit.switching.results import Failure, FailureTable, FedBy, Way
from engine.rules.wording import listed
from engine.words import _, ngettext

__all__ = ["FailuresPart"]

_NOBODY = FedBy("", ())
NOTHING = Failure("none", "")


class FailuresPart(Part):
    """The failure table. Asked for while it is seen, and anew after an edit."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, _("When something fails"), parent)
        self.table: FailureTable | None = None
        self.is_stale = True
        self._effort = 1
        self.model = FailureModel(self)
        self.view = FailureView(self.model)
        self.view.moved.connect(self._tell_cell)
        self.view.taken.connect(self._take_cell)
        self.everything = QCheckBox(_("unnoticed ones too"))
        self.everything.setAccessibleName(_("Show failures that no essential load notices too"))
        self.everything.setToolTip(_("Failures that no essential load notices are left out else"))
        self.everything.toggled.connect(self._fill)
        self.told = text_line(_("What the cell says"))
        self.ways = Steps(_("Ways in which it is fed"), _("Enter shows the sheet with the switches so"))
        self.ways.taken.connect(self._take_way)
        self.ways.setMaximumHeight(self.ways.fontMetrics().lineSpacing() * 9)
        self._ways: list[Way] = []
        self._told_of = Fed("", None, _NOBODY, "never")
        self.notes = text_line(_("What the table rests on"))
        self.column.addWidget(self.head)
        self.column.addWidget(self.everything)
        self.column.addWidget(self.view, 3)
        self.column.addWidget(self.told)
        self.column.addWidget(self.ways, 1)
        self.column.addWidget(self.notes)
        self.column.addLayout(self.row(self.write, self.more, self.stop))
        self._show_parts(False)

    def begin(self) -> None:
        """Take the focus."""
        (self.view if self.view.isVisible() else self.everything).setFocus(Qt.FocusReason.TabFocusReason)

    # -- asking ---------------------------------------------------------------------------------------------------
    def wake(self) -> None:
        """It is seen now."""
        super().wake()
        if self.is_stale and not self.is_working:
            self._ask()

    def changed(self) -> None:
        """The drawing is another: what is shown is from before."""
        self.is_stale = True
        self.model.set_stale(True)
        self._effort = 1
        self.write.setEnabled(False)
        if self.is_awake:
            self._ask()

    def give_up(self) -> None:
        """What was asked is not wanted any more."""
        if self.document.judge is not None:
            self.document.judge.forget(FailuresRequest)
        self.rest(_("Given up. What is shown is from before the last change.") if self.table else _("Given up."))

    def _ask(self) -> None:
        if self.document.judge is None:
            self.rest(_("What fails cannot be worked out: there is no study process."))
            return
        self.work(_("Being worked out anew…") if self.table is not None else _("Being worked out…"))
        self.more.hide()
        self.document.judge.tell_failures(self._effort)

    def ask_more(self) -> None:
        """The table anew, looking ten times as far."""
        self._effort *= MORE
        self._ask()

    def take(self, told: FailuresTold) -> None:
        """The answer."""
        if not self.is_working or told.effort != self._effort:
            return
        if told.words:
            self.rest(_("What fails could not be worked out: {fault}").format(fault=told.words))
            return
        self.is_stale = False
        self.table = table_of(told)
        self.rest()
        self._fill()

    def paper(self) -> Paper | None:
        """The failure table."""
        options: tuple[str, ...] = ()
        if self._effort > 1:
            from engine.circuit.paths import BUDGET

            options = ("--budget", str(BUDGET * self._effort))
        return Paper("failures", options, _("Write the failure table as PDF"), _("failures"))

    # -- telling --------------------------------------------------------------------------------------------------
    @property
    def _names(self) -> Names:
        return Names(self.document.snapshot())

    def _fill(self, _on: bool = False) -> None:
        table = self.table
        if table is None:
            return
        at = self.view.currentIndex().row(), self.view.currentIndex().column()
        self.model.show_table(self._names, table, self.everything.isChecked())
        self.model.set_stale(self.is_stale)
        self.head.setText(_head(table))
        self.notes.setText(_notes(self._names, table))
        self.notes.setVisible(bool(self.notes.text()))
        self._show_parts(bool(table.loads))
        self.write.setEnabled(bool(table.loads) and not self.is_stale)
        self.more.setVisible(any(cell.fed.undecided for row in table.cells for cell in row) and not self.is_stale)
        self.view.fit_columns()
        if table.loads:
            here = self.model.index(*at) if at[0] >= 0 else self.model.index(0, 0)
            self.view.setCurrentIndex(here if here.isValid() else self.model.index(0, 0))
        self._tell_cell()

    def _show_parts(self, some: bool) -> None:
        for part in (self.everything, self.view, self.told, self.ways, self.write):
            part.setVisible(some)

    def _tell_cell(self) -> None:
        fed = self.view.current()
        if fed is None or not self._is_here(fed):
            self.told.setText("")
            self._ways = []
            self.ways.show_lines([])
            return
        names = self._names
        self._told_of = fed
        self._ways = list(fed.ways)
        what = _("nothing has failed") if fed.failure is None else failure_words(names, fed.failure)
        self.told.setText(_cell_told(names, fed, what))
        self.ways.show_lines(
            [Line(_("From {way}").format(way=way_words(names, way)), way) for way in fed.ways]
            + [Line(_("From {source}: not decided").format(source=called(names, s))) for s in fed.fed.undecided]
        )
        self.ways.setVisible(bool(self.ways.lines))

    def _is_here(self, fed: Fed) -> bool:
        """After an edit what is shown may speak of what is gone."""
        equipment = self.document.snapshot().equipment
        failed = "" if fed.failure is None else fed.failure.item
        every = {fed.load, *(way.source for way in fed.ways), *fed.fed.undecided, *((failed,) if failed else ())}
        return every <= equipment.keys()

    # -- the sheet ------------------------------------------------------------------------------------------------
    def _take_cell(self) -> None:
        self._tell_cell()
        if self._ways:
            self._show(self._ways[0])
        elif self.told.text():
            self.reveal.emit(self._told_of.load)

    def _take_way(self, row: int) -> None:
        if row < len(self._ways):
            self._show(self._ways[row])

    def _show(self, way: Way) -> None:
        """The sheet in the state in which this way feeds the load."""
        if self.is_stale:
            self.refused.emit(_("The drawing was changed: this is from before. It is being worked out anew."))
            return
        document, fed, names = self.document, self._told_of, self._names
        what = "" if fed.failure is None else failure_words(names, fed.failure)
        title = _("{load} fed from {way}").format(load=called(names, fed.load), way=way_words(names, way))
        if what:
            title = _("{failure}: {state}").format(failure=what, state=title)
        failed = fed.failure or NOTHING
        lost = (failed.item,) if failed.item else ()
        document.show_state(
            full(document.snapshot(), way.state),
            title,
            running=(way.source,),
            marks=dict.fromkeys((way.source, *(item for item, _p in way.positions), *way.through, fed.load, *lost)),
            gone=sorted(failed.gone),
            silent=sorted(failed.silent),
        )
        self.reveal.emit(fed.load)


def _head(table: FailureTable) -> str:
    """How many loads, how many failures, how many of them leave something dark."""
    if not table.loads:
        return _("No load is recorded as essential: there is nothing to tell. Tick *essential* at what must go on.")
    fates = [[cell_of(table, i, j).fate for i in range(len(table.loads))] for j in range(len(table.failures))]
    dark = sum("dark" in row for row in fates)
    open_ = sum("undecided" in row for row in fates)
    loads = ngettext("{n} essential load", "{n} essential loads", len(table.loads)).format(n=len(table.loads))
    count = ngettext("{n} thing can fail", "{n} things can fail", len(table.failures)).format(n=len(table.failures))
    some = ngettext("{n} of them leaves something dark", "{n} of them leave something dark", dark).format(n=dark)
    text = _("{loads}, {failures}; {dark}.").format(loads=loads, failures=count, dark=some)
    return (
        ngettext("{text} {n} is not decided.", "{text} {n} are not decided.", open_).format(text=text, n=open_)
        if open_
        else text
    )


def _cell_told(names: Names, fed: Fed, what: str) -> str:
    load = called(names, fed.load)
    taken = "" if fed.failure is None else fed.failure.taken
    lead = {
        "normal": _("{load}, nothing having failed:"),
        "as-before": _("{what}: {load} goes on as before, or from:"),
        "otherwise": _("{what}: {load} can be fed only from:"),
        "dark": _("{what}: {load} is DARK. Nothing else can feed it in any permitted position."),
        "undecided": _("{what}: whether {load} can be fed is not decided; the search was stopped first."),
        "never": _("{load} is fed by nothing, whatever works."),
    }[fed.fate].format(load=load, what=what)
    missing = () if fed.failure is None else fed.failure.missing
    parts = [lead, taken]
    if missing:
        parts.append(_("Not recorded: {fields}.").format(fields=", ".join(missing)))
    if any(way.assumed_return for way in fed.ways):
        parts.append(_("The way back is not drawn, and taken as there."))
    return " ".join(part for part in parts if part)


def _notes(names: Names, table: FailureTable) -> str:
    parts = []
    if table.not_recorded:
        some = ", ".join(names.name(item) for item in table.not_recorded)
        parts.append(_("Not recorded whether essential, and so not looked at: {items}.").format(items=some))
    own = [(load, items) for load, items in zip(table.loads, table.own, strict=True) if items]
    if own:
        each = "; ".join(
            _("{load}: {items}").format(load=names.name(load), items=listed([names.name(i) for i in items]))
            for load, items in own
        )
        parts.append(_("Not in the table, for it alone goes dark by them: {each}.").format(each=each))
    return " ".join(parts)
