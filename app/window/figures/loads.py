"""The table of loads: what is shown of each, and hours a day to fill in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QEvent, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from app.window.enter_key import keeps_enter
from app.window.figures.rows import LoadRow
from engine.units import number
from engine.words import N_, _

__all__ = ["HOURS", "LoadsModel", "LoadsTable"]

AnyIndex = QModelIndex | QPersistentModelIndex
_TITLES = (
    N_("Load"),
    N_("W"),
    N_("Hours\na day"),
    N_("Share\nof them"),
    N_("Wh\na day"),
    N_("Ah of\nthe bank"),
    N_("Lives on"),
    N_("Arrives at it"),
)
HOURS = 2  # the column that is filled in
_FIGURES = range(1, 6)  # columns of numbers
_WORKED_OUT = range(4, 8)  # columns that the study process tells
_FILLED = "linewright_filled"
_KEY = Qt.Key
_WIDEST, _NARROWEST = 150, 44  # px


class LoadsModel(QAbstractTableModel):
    """Rows of loads; `give` takes (load, text) and tells why it cannot be done, "" where it is."""

    def __init__(self, give: Callable[[str, str], str], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.rows: list[LoadRow] = []
        self.writable = False
        self.stale = False
        self._give = give

    def show_rows(self, rows: list[LoadRow], writable: bool, stale: bool) -> None:
        """Show these; the table stays where it is as long as the loads are the same."""
        same = [row.item for row in rows] == [row.item for row in self.rows]
        if not same:
            self.beginResetModel()
        self.rows, self.writable, self.stale = rows, writable, stale
        if not same:
            self.endResetModel()
        elif rows:
            self.dataChanged.emit(self.index(0, 0), self.index(len(rows) - 1, len(_TITLES) - 1))

    def rowCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008  # Qt's own default
        """How many loads."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        """How many columns."""
        return 0 if parent.isValid() else len(_TITLES)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Titles of the columns; rows are called by their designation."""
        if role == Qt.ItemDataRole.DisplayRole:
            return _(_TITLES[section]) if orientation == Qt.Orientation.Horizontal else self.rows[section].name
        return None

    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        """Hours may be filled in where there is a condition to hold them."""
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if index.column() == HOURS and self.writable and not self.rows[index.row()].is_own:
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """What a cell says; slanted while it is from before the last change."""
        row, column = self.rows[index.row()], index.column()
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole):
            return self.text(row, column)
        if role == Qt.ItemDataRole.TextAlignmentRole and column in _FIGURES:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            title = _(_TITLES[column]).replace("\n", " ")
            told = self.text(row, column) or _("nothing")
            return _("{load}, {title}: {value}").format(load=row.name, title=title, value=told)
        if role == Qt.ItemDataRole.ToolTipRole:
            if row.missing:
                return _("Not known: {fields}").format(fields=", ".join(row.missing))
            return self.text(row, column) or None
        if role == Qt.ItemDataRole.FontRole and self.stale and column in _WORKED_OUT:
            font = QFont()
            font.setItalic(True)
            return font
        return None

    def text(self, row: LoadRow, column: int) -> str:
        """A cell in words."""
        unknown = "?" if row.missing and row.hours else ""
        share = f"{number(100 * row.share, 2)} %" if row.hours else ""
        return (
            _("Own consumption, {label}").format(label=row.label or row.name) if row.is_own else row.label,
            "?" if row.watts is None else number(row.watts),
            "" if row.hours is None else number(row.hours),
            share,
            unknown if row.wh is None else number(row.wh),
            unknown if row.bank_ah is None else number(row.bank_ah),
            row.fed,
            row.volts,
        )[column]

    def setData(self, index: AnyIndex, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """Give hours."""
        return not self._give(self.rows[index.row()].item, str(value))


class _Hours(QStyledItemDelegate):
    """A line to type hours into. What is half typed is kept whatever arrives meanwhile."""

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: AnyIndex) -> QWidget:
        """A line."""
        line = QLineEdit(parent)
        line.setAccessibleName(
            _("Hours a day of {load}").format(load=index.model().headerData(index.row(), Qt.Orientation.Vertical))
        )
        return line

    def setEditorData(self, editor: QWidget, index: AnyIndex) -> None:
        """What stands there, once."""
        if isinstance(editor, QLineEdit) and not editor.property(_FILLED):
            editor.setProperty(_FILLED, True)
            editor.setText(index.data())
            editor.selectAll()


class LoadsTable(QTableView):
    """Tab leaves it; Enter fills in hours, or shows the load on its sheet."""

    reveal_asked = Signal(str)  # id

    def __init__(self, model: LoadsModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.loads = model
        self.setModel(model)
        self.setItemDelegate(_Hours(self))
        self.setTabKeyNavigation(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.DoubleClicked
        )
        self.setAlternatingRowColors(True)
        self.setWordWrap(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        names = self.verticalHeader()
        names.setDefaultSectionSize(self.fontMetrics().height() + 8)
        names.setMaximumWidth(130)
        names.setHighlightSections(False)
        names.setAccessibleName(_("Designations of the loads"))
        self.setCornerButtonEnabled(False)
        heads = self.horizontalHeader()
        heads.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
        heads.setHighlightSections(False)
        heads.setAccessibleName(_("Headings of the table of loads"))
        self.setAccessibleName(_("Loads and their hours"))
        self.setAccessibleDescription(_("Type hours a day; Delete takes them out, Enter on a name shows the load"))

    def fit_columns(self) -> None:
        """Give every column the room its heading and its rows need, within bounds."""
        metrics = self.fontMetrics()
        for column, title in enumerate(_TITLES):
            texts = {self.loads.text(row, column) for row in self.loads.rows}
            wide = max((metrics.horizontalAdvance(t) for t in sorted(texts, key=len)[-6:]), default=0) + 14
            head = max(metrics.horizontalAdvance(line) for line in _(title).split("\n")) + 16
            self.setColumnWidth(column, min(max(wide, head, _NARROWEST), _WIDEST))

    def be_at(self, item: str) -> None:
        """Be in the hours of a load."""
        at = next((n for n, row in enumerate(self.loads.rows) if row.item == item), -1)
        if at >= 0:
            self.setCurrentIndex(self.loads.index(at, HOURS))

    def current_item(self) -> str:
        """The load one is in, "" for none."""
        at = self.currentIndex().row()
        return self.loads.rows[at].item if 0 <= at < len(self.loads.rows) else ""

    def finish_typing(self) -> None:
        """Give what is half typed."""
        editor = self.indexWidget(self.currentIndex())
        if self.state() == QAbstractItemView.State.EditingState and editor is not None:
            self.commitData(editor)
            self.closeEditor(editor, QAbstractItemDelegate.EndEditHint.NoHint)

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """After Enter one is in the hours below."""
        here = self.currentIndex()
        super().closeEditor(editor, hint)
        if hint == QAbstractItemDelegate.EndEditHint.SubmitModelCache and here.row() + 1 < self.loads.rowCount():
            self.setCurrentIndex(self.loads.index(here.row() + 1, HOURS))

    def event(self, event: QEvent) -> bool:
        """Keys of the table go before those of the window while one is in it."""
        return keeps_enter(event) or bool(super().event(event))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter fills in or shows, Delete takes the hours out."""
        if self.state() == QAbstractItemView.State.EditingState:  # a key that the line did not take
            super().keyPressEvent(event)
            return
        here = self.currentIndex()
        editable = here.isValid() and bool(self.loads.flags(here) & Qt.ItemFlag.ItemIsEditable)
        if event.key() in (_KEY.Key_Return, _KEY.Key_Enter) and here.isValid():
            if editable:
                self.edit(here)
            else:
                self.reveal_asked.emit(self.current_item())
        elif event.key() == _KEY.Key_Delete and editable:
            self.loads.setData(here, "")
        else:
            super().keyPressEvent(event)
            return
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """A double click on what is not filled in shows the load on its sheet."""
        index = self.indexAt(event.position().toPoint())
        if index.isValid() and not self.loads.flags(index) & Qt.ItemFlag.ItemIsEditable:
            self.reveal_asked.emit(self.loads.rows[index.row()].item)
            event.accept()
            return
        super().mouseDoubleClickEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's own name. Where there is room for it, one sees the loads' names and their hours together."""
        super().resizeEvent(event)
        heads = self.horizontalHeader()
        if heads.sectionPosition(HOURS) + heads.sectionSize(HOURS) <= self.viewport().width():
            self.horizontalScrollBar().setValue(0)

    def changeEvent(self, event: QEvent) -> None:
        """Qt's own name. Rows are as high as the type."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 8)
            self.fit_columns()
