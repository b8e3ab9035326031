"""The page of tracing: runs as a list, the row being typed, what is still to be traced."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHBoxLayout,
    QLabel,
    QListWidgetItem,
    QScrollArea,
    QSplitter,
    QTableView,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.drawing.changes.unplaced import on_no_sheet
from app.tracing_report import count_words
from app.window.document import Change, Document
from app.window.enter_key import EnterList, keeps_enter
from app.window.particulars.scrolling import Inside, wrapping
from app.window.small_print import cautions_line
from app.window.switching.part import push_button
from app.window.table.block import BlockFault, block_from_text
from app.window.tracing.form import RowForm
from app.window.tracing.rows_model import RunRows
from engine.edits import EditError
from engine.naming import title_of
from engine.tracing import EndToTrace, to_be_traced
from engine.tracing.cells import COLUMNS
from engine.tracing.rows import RowFault, cells_of_block, row_edit, rows_edit
from engine.words import _, ngettext

__all__ = ["TracingPage"]

_END = Qt.ItemDataRole.UserRole
_WIDTHS = {"from": 110, "to": 110, "places": 130, "label": 110, "note": 110, "marker": 90}


class _Runs(QTableView):
    """Rows of runs; Enter goes into the form, a paste records what is on the clipboard."""

    entered = Signal()
    pasted = Signal()
    escaped = Signal()

    def event(self, event: QEvent) -> bool:
        """Enter is for the table."""
        return keeps_enter(event) or bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered.emit()
        elif event.matches(QKeySequence.StandardKey.Paste):
            self.pasted.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        else:
            super().keyPressEvent(event)


class TracingPage(QWidget):
    """Follows the drawing while it is shown."""

    refused = Signal(str)
    noted = Signal(str)
    reveal = Signal(str)  # id: show it on its sheet
    sheets_wanted = Signal()  # what is on no sheet is to go onto sheets

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self._behind = True
        self._filling = False
        self.setAccessibleName(_("Tracing"))
        self._build()
        document.changed.connect(self._changed)

    def _build(self) -> None:
        self.count = wrapping(QLabel())
        self.form = RowForm(self.document)
        self.form.entered.connect(self.enter)
        self.form.escaped.connect(self.new_row)
        self.form.above_wanted.connect(self._take_above)
        self.rows = RunRows(self.document, self)
        self.table = _Runs()
        self.table.setModel(self.rows)
        self.table.setAccessibleName(_("Runs as they are traced"))
        self.table.setAccessibleDescription(_("Enter takes a run in hand; Ctrl+V records rows from a spreadsheet."))
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.setTabKeyNavigation(False)
        self.table.setWordWrap(False)
        self.table.setAlternatingRowColors(True)
        self.table.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 8)
        self.table.verticalHeader().setMaximumWidth(120)
        heads = self.table.horizontalHeader()
        heads.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        for n, (key, heading, _tip) in enumerate(COLUMNS):
            wide = self.fontMetrics().horizontalAdvance(_(heading)) + 18
            self.table.setColumnWidth(n, max(wide, _WIDTHS.get(key, 70)))
        self.table.selectionModel().currentChanged.connect(self._row_chosen)
        self.table.entered.connect(lambda: self.form.focus("from"))
        self.table.pasted.connect(self.paste)
        self.table.escaped.connect(self.new_row)
        self.head = QLabel()
        bold = self.head.font()
        bold.setBold(True)
        self.head.setFont(bold)
        self.keys = wrapping(
            QLabel(
                _("Enter records the row. Alt+Up takes the value of the row above. ~a behind a value: it is assumed.")
            )
        )
        below = Inside()
        column = QVBoxLayout(below)
        column.setContentsMargins(0, 4, 0, 0)
        column.addWidget(self.head)
        column.addWidget(self.form.meaning)
        column.addWidget(self.form)
        column.addWidget(self.keys)
        column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(below)
        self.table.setMinimumHeight(5 * (self.fontMetrics().height() + 8))
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        split.addWidget(self.table)
        split.addWidget(scroll)
        split.setStretchFactor(0, 1)
        split.setStretchFactor(1, 0)
        split.setSizes([220, below.sizeHint().height()])
        self.ends = EnterList()
        self.ends.setAccessibleName(_("Ends to be traced"))
        self.ends.setAccessibleDescription(_("Enter goes to the run, the space bar shows it on its sheet."))
        self.ends.setWordWrap(True)
        self.ends.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.ends.entered.connect(self._go_to_end)
        self.ends.itemDoubleClicked.connect(lambda _item: self._go_to_end())
        self.ends.shown.connect(self._show_end)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(split, _("Runs"))
        self.tabs.addTab(self.ends, _("To be traced"))
        self.new_button = push_button(_("New run"), _("Begin a new row; Escape does too, and gives up what is typed"))
        self.new_button.clicked.connect(self.begin_row)
        self.paste_button = push_button(
            _("Paste rows"), _("Record the rows of a spreadsheet that are on the clipboard")
        )
        self.paste_button.clicked.connect(self.paste)
        self.sheets_button = push_button(
            _("Put on sheets"), _("Put what is on no sheet onto sheets of its own; what is drawn stays as it is")
        )
        self.sheets_button.clicked.connect(self.sheets_wanted)
        buttons = QHBoxLayout()
        for button in (self.new_button, self.paste_button, self.sheets_button):
            buttons.addWidget(button)
        buttons.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        whole.setContentsMargins(8, 8, 8, 8)
        whole.setSpacing(6)
        whole.addWidget(self.count)
        whole.addWidget(self.tabs, 1)
        whole.addLayout(buttons)
        whole.addWidget(cautions_line())
        order = (self.tabs, self.table, *self.form.fields.values(), self.new_button, self.paste_button)
        for before, after in zip(order, (*order[1:], self.sheets_button), strict=True):
            QWidget.setTabOrder(before, after)
        self._tell_head()

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(300, 320)

    def begin(self) -> None:
        """Take the focus: the row being typed."""
        self.tabs.setCurrentIndex(0)
        self.form.focus("from")

    # -- following ------------------------------------------------------------------------------------------------
    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page does nothing; it catches up when it is shown."""
        super().showEvent(event)
        if self._behind:
            self._fill()

    def _changed(self, _change: Change) -> None:
        self._behind = True
        if self.isVisible():
            self._fill()

    def _fill(self) -> None:
        self._behind = False
        self._filling = True
        try:
            self.rows.follow()
            self._fill_ends()
        finally:
            self._filling = False
        if self.form.run and self.form.run not in self.document.snapshot().runs:
            self.form.show_run("", {})
        elif self.form.run and not self.form.is_typed:
            self.form.show_run(self.form.run, self.rows.cells(self.form.run))
        self._mark_row()
        self._tell_head()

    def _fill_ends(self) -> None:
        snapshot = self.document.snapshot()
        places = to_be_traced(snapshot)
        chosen = self._end()
        self.ends.clear()
        for place in places:
            head = QListWidgetItem(place.heading)
            head.setFlags(Qt.ItemFlag.NoItemFlags)
            head.setForeground(self.palette().text())
            bold = head.font()
            bold.setBold(True)
            head.setFont(bold)
            self.ends.addItem(head)
            for end in place.ends:
                text = _("{item} ({note})").format(item=end.words, note=end.hint) if end.hint else end.words
                item = QListWidgetItem(text)
                item.setData(_END, end)
                self.ends.addItem(item)
                if chosen is not None and (end.item, end.end) == (chosen.item, chosen.end):
                    self.ends.setCurrentItem(item)
        n = sum(len(place.ends) for place in places)
        self.tabs.setTabText(1, _("To be traced: {n}").format(n=n))
        self.count.setText(count_words(snapshot, places))
        loose = len(on_no_sheet(snapshot))
        self.sheets_button.setEnabled(bool(loose) and not self.document.read_only)
        self.sheets_button.setText(
            ngettext("Put {n} thing on sheets", "Put {n} things on sheets", loose).format(n=loose)
            if loose
            else _("Put on sheets")
        )

    def _tell_head(self) -> None:
        run = self.form.run
        name = title_of(self.document.snapshot(), "runs", run) if run else ""
        self.head.setText(_("Run {run}").format(run=name) if run else _("New run"))

    def _mark_row(self) -> None:
        row = self.rows.runs.index(self.form.run) if self.form.run in self.rows.runs else -1
        self._filling = True
        try:
            if row >= 0:
                self.table.setCurrentIndex(self.rows.index(row, 0))
            else:
                self.table.clearSelection()
                self.table.scrollToBottom()
        finally:
            self._filling = False

    # -- rows -----------------------------------------------------------------------------------------------------
    def _row_chosen(self, now: QModelIndex, _before: QModelIndex) -> None:
        if self._filling or not now.isValid():
            return
        if self.form.is_typed and not self.store():
            self._mark_row()
            return
        self.form.show_run(self.rows.runs[now.row()], self.rows.cells(self.rows.runs[now.row()]))
        self._tell_head()
        self.document.select(self.form.run)

    def enter(self) -> None:
        """Record the row and begin a new one."""
        if self.store():
            self.form.begin_new()
            self._mark_row()
            self._tell_head()

    def begin_row(self) -> None:
        """Record what is typed, where something is, and begin a new row."""
        if self.form.is_typed:
            self.enter()
        else:
            self.new_row()

    def new_row(self) -> None:
        """Give the row up that is being typed and begin a new one."""
        self.form.show_run("", {"origin": self.form.text("origin")})
        self.form.focus("from")
        self._mark_row()
        self._tell_head()

    def store(self) -> bool:
        """Record what is typed; whether that could be done. What is refused stays in its field."""
        cells, run = self.form.cells(), self.form.run
        if not run and not any(cells[key].strip() for key in ("from", "to", "size", "length_m", "note", "label")):
            self.refused.emit(_("Nothing is typed yet: say at least where the run comes from or goes to."))
            return False
        try:
            made = row_edit(self.document.snapshot(), self.document.installation.last_id, cells, run)
            self.form.is_recorded(True)  # before the page follows the change
            self.document.do(made.edit)
        except RowFault as fault:
            self.refused.emit(str(fault))
            self.form.focus(fault.column)
            return False
        except EditError as fault:
            self.form.is_recorded(False)
            self.refused.emit(str(fault))
            return False
        if made.words:
            self.noted.emit(" ".join(made.words))
        return True

    def settle(self) -> str:
        """Before saving and leaving: a row that is half typed is recorded; else a sentence says why it was not."""
        if not self.form.is_typed or not any(self.form.text(k).strip() for k in ("from", "to")):
            return ""
        said: list[str] = []
        self.refused.connect(said.append)
        try:
            done = self.store()
        finally:
            self.refused.disconnect(said.append)
        if done:
            self.form.begin_new()
            return ""
        return _("The row being traced was not recorded: {why}").format(why=" ".join(said))

    def _take_above(self, key: str) -> None:
        """The value of the row above into one field, or into all that are empty."""
        runs = self.rows.runs
        at = runs.index(self.form.run) if self.form.run in runs else len(runs)
        if not at:
            self.refused.emit(_("There is no row above."))
            return
        above = self.rows.cells(runs[at - 1])
        for each in [key] if key else [k for k in self.form.fields if not self.form.text(k)]:
            if key or each not in ("from_seen", "to_seen", "marker"):  # those are said of each run anew
                self.form.set_text(each, above[each])

    def paste(self) -> None:
        """Record the rows on the clipboard, all of them or none."""
        try:
            rows = cells_of_block(block_from_text(QGuiApplication.clipboard().text()))
        except BlockFault as fault:
            self.refused.emit(str(fault))
            return
        if not rows:
            self.refused.emit(_("There are no rows on the clipboard."))
            return
        origin = self.form.text("origin")
        rows = [{"origin": origin} | row for row in rows]
        try:
            made = rows_edit(self.document.snapshot(), self.document.installation.last_id, rows)
            self.document.do(made.edit)
        except EditError as fault:
            self.refused.emit(_("No row was taken: {why}").format(why=fault))
            return
        told = ngettext("{n} run recorded.", "{n} runs recorded.", len(rows)).format(n=len(rows))
        self.noted.emit(" ".join((told, *made.words)))

    # -- ends -----------------------------------------------------------------------------------------------------
    def _end(self) -> EndToTrace | None:
        item = self.ends.currentItem()
        end = None if item is None else item.data(_END)
        return end if isinstance(end, EndToTrace) else None

    def _go_to_end(self) -> None:
        """Take the run in hand, the keyboard at the end that is to be traced."""
        end = self._end()
        if end is None:
            return
        if self.form.is_typed and not self.store():
            return
        self.tabs.setCurrentIndex(0)
        if end.run:
            self.form.show_run(end.run, self.rows.cells(end.run))
            self._mark_row()
            self.form.focus(end.end)
        else:
            self.form.show_run("", {"to": f"{self.document.snapshot().name(end.equipment)}.{end.terminal}"})
            self.form.focus("from")
        self._tell_head()
        self.document.select(end.item)

    def _show_end(self) -> None:
        end = self._end()
        if end is not None:
            self.document.select(end.item)
            self.reveal.emit(end.item)
