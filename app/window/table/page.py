"""The table page: what to show, a filter, the table, and a line below that tells where one is and what was refused."""

from __future__ import annotations

from PySide6.QtCore import QItemSelection, QModelIndex, QSignalBlocker, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QAccessible, QAccessibleEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.judgement import Judgement
from app.window.document import Change, Document
from app.window.table.adding import add_record, adding_words, adds_to
from app.window.table.columns import Choice, choices, specs_of
from app.window.table.model import RowsModel
from app.window.table.order import RowsInOrder
from app.window.table.view import RowsTable
from engine.edits import EditError
from engine.installation.model import TABLES
from engine.words import _, ngettext

__all__ = ["TablePage"]

NARROW = 640  # px; below, the controls stand under one another
FILTER_WAITS = 120  # ms after the last letter


class TablePage(QWidget):
    """Everything on the sheets as rows, in step with what is chosen there."""

    refused = Signal(str)  # a sentence
    reveal = Signal(str)  # id: show it on the sheet

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self._behind = False  # something has happened while the page was hidden
        self._stale = False  # findings are those before the last change
        self._following = False  # the selection is being taken over from the document, or the rows are changing
        self._choices: list[Choice] = choices(document.snapshot())
        self.rows = RowsModel(document, self._choices[0])
        self.order = RowsInOrder(self.rows, self)
        self.table = RowsTable(self.rows, self.order, self)
        self._build()
        self._fill_choices()
        self.table.fit_columns()
        self._connect()
        self._follow_selection()
        self._count()

    def _build(self) -> None:
        self.setAccessibleName(_("Table"))
        self.show_what = QComboBox()
        self.show_what.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.show_what.setMinimumContentsLength(16)
        self.show_what.setMaxVisibleItems(24)
        self.show_what.setToolTip(_("Which rows are shown; with one kind alone its own facts become columns"))
        _name(self.show_what, _("Rows to show"))
        self.filter_line = QLineEdit()
        self.filter_line.setClearButtonEnabled(True)
        self.filter_line.setPlaceholderText(_("Words to look for"))
        self.filter_line.setToolTip(_("Only rows that hold each of these words in some column"))
        _name(self.filter_line, _("Words to look for in the rows"))
        self.only_found = QCheckBox(_("Only with findings"))
        self.only_lacking = QCheckBox(_("Only with something not recorded"))
        self.only_lacking.setToolTip(
            _("Rows that lack a fact their kind is described by, or one that the check asks for")
        )
        self.add_button = QPushButton(_("Add a row"))
        self.reveal_button = QPushButton(_("Show on the sheet"))
        for button in (self.add_button, self.reveal_button):
            button.setAutoDefault(False)
        for control in (self.only_found, self.only_lacking, self.add_button, self.reveal_button):
            _name(control, control.text())
        self.count_line = QLabel()
        _name(self.count_line, _("How many rows are shown"))
        self.where_line = QLabel()
        _name(self.where_line, _("The cell one is in"))
        self.refusal_line = QLabel()
        _name(self.refusal_line, _("What was refused"))
        font = self.refusal_line.font()
        font.setBold(True)
        self.refusal_line.setFont(font)
        for line in (self.where_line, self.refusal_line, self.count_line):
            line.setWordWrap(True)
            line.setTextFormat(Qt.TextFormat.PlainText)
            line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
            line.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.refusal_line.hide()
        self._first, self._second = (
            QBoxLayout(QBoxLayout.Direction.LeftToRight),
            QBoxLayout(QBoxLayout.Direction.LeftToRight),
        )
        self._first.addWidget(self.show_what, 1)
        self._first.addWidget(self.filter_line, 2)
        self._second.addWidget(self.only_found)
        self._second.addWidget(self.only_lacking)
        self._second.addStretch(1)
        self._second.addWidget(self.add_button)
        self._second.addWidget(self.reveal_button)
        whole = QVBoxLayout(self)
        whole.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        whole.setContentsMargins(8, 8, 8, 8)
        whole.setSpacing(6)
        whole.addLayout(self._first)
        whole.addLayout(self._second)
        whole.addWidget(self.table, 1)
        whole.addWidget(self.where_line)
        whole.addWidget(self.refusal_line)
        whole.addWidget(self.count_line)

    def _connect(self) -> None:
        self._typing = QTimer(self)
        self._typing.setSingleShot(True)
        self._typing.setInterval(FILTER_WAITS)
        self._typing.timeout.connect(self._filter)
        self.show_what.activated.connect(self._chosen_to_show)
        self.filter_line.textChanged.connect(self._typing.start)
        self.filter_line.returnPressed.connect(self._filter)
        self.only_found.toggled.connect(self._filter)
        self.only_lacking.toggled.connect(self._filter)
        self.add_button.clicked.connect(self._add)
        self.reveal_button.clicked.connect(self._reveal_current)
        self.table.reveal_asked.connect(self._reveal)
        self.table.selectionModel().selectionChanged.connect(self._selection_changed)
        self.table.selectionModel().currentChanged.connect(self._current_changed)
        self.rows.refused.connect(self._show_refusal)
        self.rows.done.connect(self._forget_refusal)
        self.document.changed.connect(self._changed)
        self.document.judged.connect(self._judged)
        self.document.selected.connect(self._follow_selection)

    # -- what is shown ------------------------------------------------------------------------------------------
    def _fill_choices(self) -> None:
        wanted = self.rows.choice.key
        with QSignalBlocker(self.show_what):
            self.show_what.clear()
            for choice in self._choices:
                self.show_what.addItem(choice.title, choice.key)
            self.show_what.setCurrentIndex(max(self.show_what.findData(wanted), 0))
        table = adds_to(self.rows.choice)
        self.add_button.setVisible(bool(table))
        if table:
            self.add_button.setText(adding_words(table))
            self.add_button.setAccessibleName(adding_words(table))
        self.add_button.setEnabled(not self.document.read_only)
        self.reveal_button.setVisible(not table)

    def _chosen_to_show(self, number: int) -> None:
        self.show_rows(self.show_what.itemData(number))

    def show_rows(self, key: str) -> None:
        """Show "all", "equipment", "runs", "kind:fuse", "places", "enclosures", "conditions" or "interlocks"."""
        choice = next((c for c in self._choices if c.key == key), None)
        if choice is None or choice.key == self.rows.choice.key:
            return
        field = ""
        if self.table.currentIndex().isValid():
            field = self.rows.columns[self.table.currentIndex().column()].key
        self._following = True
        try:
            self.rows.show(choice)
            self.order.narrow(self.filter_line.text(), self.only_found.isChecked(), self.only_lacking.isChecked())
            self.table.sortByColumn(0, Qt.SortOrder.AscendingOrder)
            self.table.fit_columns()
        finally:
            self._following = False
        self._fill_choices()
        self._forget_refusal()
        self._follow_selection()
        column = self.rows.column_number(field)
        if column > 0 and self.table.currentIndex().isValid():
            self._go_to_cell(self.order.index(self.table.currentIndex().row(), column))
        self._count()

    def _filter(self) -> None:
        self._narrow()

    def _narrow(self, keep: str = "") -> None:
        """Ask the filter of every row again; `keep`: a row that stays, the one being worked in."""
        self._typing.stop()
        self._following = True  # what the filter hides is still chosen on the sheet
        try:
            self.order.narrow(self.filter_line.text(), self.only_found.isChecked(), self.only_lacking.isChecked(), keep)
        finally:
            self._following = False
        self._follow_selection()
        self._count()

    def _count(self) -> None:
        here, every = self.order.rowCount(), len(self.rows.rows)
        told = ngettext("{n} row", "{n} rows", every).format(n=every)
        if self.order.is_narrowed:
            told = _("{here} of {rows} shown by the filter").format(here=here, rows=told)
        if self.document.judgement is None:
            told = _("{told}; not yet judged").format(told=told)
        elif self._stale:
            told = _("{told}; being judged, findings are those before the last change").format(told=told)
        self.count_line.setText(told)

    # -- the document -------------------------------------------------------------------------------------------
    def _changed(self, change: Change) -> None:
        self._stale = self.document.judgement is not None
        if self.isVisible():
            self._follow(change)
        else:
            self._behind = True

    def _follow(self, change: Change | None = None) -> None:
        self._following = True
        try:
            self.rows.follow(change)
        finally:
            self._following = False
        every = choices(self.document.snapshot())
        if all(choice.key != self.rows.choice.key for choice in every):
            every.append(self.rows.choice)  # the last one of the kind that is shown has gone: it may come back
        if every != self._choices:
            self._choices = every
            self._fill_choices()
        self._follow_selection()
        self._count()

    def catch_up(self) -> None:
        """Take over what happened while the page was hidden."""
        if self._behind:
            self._behind = False
            self._follow()
            self._take_judgement()

    def showEvent(self, event: QShowEvent) -> None:
        """A hidden page costs nothing; it catches up when it is shown."""
        self.catch_up()
        self._follow_selection()
        super().showEvent(event)

    def _judged(self, _judgement: Judgement) -> None:
        self._stale = False
        if self.isVisible():
            self._take_judgement()
        else:
            self._behind = True

    def _take_judgement(self) -> None:
        self.rows.judge()
        if self.order.is_narrowed:
            self._narrow(self.table.current_id())
        self._count()

    def _follow_selection(self) -> None:
        if self._following or self._behind:
            return
        if set(self.table.chosen_ids()) == set(self.document.selection):
            return
        self._following = True
        try:
            self.table.show_chosen(self.document.selection)
        finally:
            self._following = False
        self._tell_where()

    def _selection_changed(self, _chosen: QItemSelection, _left: QItemSelection) -> None:
        if self._following:
            return
        ids = self.table.chosen_ids()
        if self.rows.choice.tables[0] not in ("equipment", "runs"):
            ids = ids[:1]
        self._following = True
        try:
            self.document.select(*ids)
        finally:
            self._following = False

    def _current_changed(self, _now: QModelIndex, _before: QModelIndex) -> None:
        self._tell_where()

    def _tell_where(self) -> None:
        at = self.order.mapToSource(self.table.currentIndex())
        if not at.isValid():
            self.where_line.setText("")
            return
        told = self.rows.said_at(at, with_refusal=False)
        column = self.rows.columns[at.column()]
        if column.help.rstrip(".").casefold() != column.title.casefold():
            told = f"{told}\n{column.help}"
        self.where_line.setText(told)

    # -- what one does ------------------------------------------------------------------------------------------
    def _show_refusal(self, sentence: str) -> None:
        self.refusal_line.setText(sentence)
        self.refusal_line.show()
        QAccessible.updateAccessibility(QAccessibleEvent(self.refusal_line, QAccessible.Event.Alert))
        self._tell_where()
        self.refused.emit(sentence)

    def _forget_refusal(self) -> None:
        self.refusal_line.hide()
        self.refusal_line.setText("")
        self._tell_where()

    def _reveal_current(self) -> None:
        self._reveal(self.table.current_id())

    def _reveal(self, item: str) -> None:
        if item:
            self.reveal.emit(item)

    def _add(self) -> None:
        table = adds_to(self.rows.choice)
        edit = add_record(self.document.snapshot(), self.document.installation.new_id(table), table)
        try:
            self.document.do(edit)
        except EditError as fault:
            self._show_refusal(str(fault))
            return
        self.go_to(edit.id)
        self.table.edit(self.table.currentIndex())

    def begin(self) -> None:
        """Take the focus."""
        self.table.setFocus(Qt.FocusReason.TabFocusReason)
        if not self.table.currentIndex().isValid() and self.order.rowCount():
            self._go_to_cell(self.order.index(0, 0))

    def settle(self) -> str:
        """Before saving and leaving: a cell that is being filled is filled; else a sentence about why it was not."""
        if not self.table.is_typing():
            return ""
        self._forget_refusal()
        self.table.finish_typing()
        return self.refusal_line.text()

    def go_to(self, item: str, field: str = "") -> None:
        """Be in the row of a record, and in the column of a field where one is named."""
        self.catch_up()
        found = self.document.find(item)
        if found is None:
            return
        table, record = found
        has_field = not field or self.rows.column_number(field) >= 0
        if item not in self.rows.at or not has_field:
            key = {"equipment": "equipment", "runs": "runs"}.get(table, table)
            if table == "equipment" and field and field not in specs_of(TABLES["equipment"][0]):
                key = f"kind:{record.KIND}"
            self.show_rows(key)
        number = self.rows.at.get(item, -1)
        if number < 0:
            return
        if not self.order.mapFromSource(self.rows.index(number, 0)).isValid():
            with QSignalBlocker(self.only_found), QSignalBlocker(self.only_lacking):
                self.filter_line.clear()
                self.only_found.setChecked(False)
                self.only_lacking.setChecked(False)
            self._narrow()
        self.document.select(item)
        index = self.order.mapFromSource(self.rows.index(number, max(self.rows.column_number(field), 0)))
        if field or self.table.currentIndex().row() != index.row():
            self.table.be_in(index)
        self.table.scrollTo(self.table.currentIndex())
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def _go_to_cell(self, index: QModelIndex) -> None:
        self._following = True
        try:
            self.table.setCurrentIndex(index)
        finally:
            self._following = False

    def minimumSizeHint(self) -> QSize:
        """It fits into a narrow side page."""
        return QSize(260, 240)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where there is little room the controls stand under one another."""
        super().resizeEvent(event)
        for row in (self._first, self._second):
            is_narrow = self.width() < max(NARROW if row is self._first else 0, _needed(row))
            way = QBoxLayout.Direction.TopToBottom if is_narrow else QBoxLayout.Direction.LeftToRight
            if row.direction() != way:
                row.setDirection(way)


def _needed(row: QBoxLayout) -> int:
    """Width that controls beside each other need, px."""
    widgets = [widget for n in range(row.count()) if (widget := row.itemAt(n).widget()) and not widget.isHidden()]
    return sum(widget.sizeHint().width() + row.spacing() for widget in widgets) + 16


def _name(widget: QWidget, name: str) -> None:
    widget.setAccessibleName(name)
