"""The table itself: keys, copy and paste, and what comes after a cell is filled."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QItemSelection, QItemSelectionModel, QItemSelectionRange, QModelIndex, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence, QMouseEvent
from PySide6.QtWidgets import QAbstractItemDelegate, QAbstractItemView, QTableView, QWidget

from app.window.kind_pictures import with_type
from app.window.table.block import BlockFault, block_from_text, block_to_text, cell_text
from app.window.table.editors import CellEditors
from app.window.table.model import RowsModel
from app.window.table.order import RowsInOrder
from engine.words import _, ngettext

__all__ = ["RowsTable"]

_KEY = Qt.Key
_STANDARD = QKeySequence.StandardKey
_WIDEST, _NARROWEST, _LOOKED_AT = 260, 56, 60  # px, px, rows whose texts decide how wide a column begins


class RowsTable(QTableView):
    """A table whose cells are filled with the keyboard. Tab leaves it, except while a cell is being filled."""

    reveal_asked = Signal(str)  # id

    def __init__(self, rows: RowsModel, order: RowsInOrder, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows, self.order = rows, order
        self.editors = CellEditors(rows, order, self)
        self.setModel(order)
        self.setItemDelegate(self.editors)
        self.setTabKeyNavigation(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectItems)
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.DoubleClicked
        )
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setAlternatingRowColors(True)
        self.setWordWrap(False)
        names = self.verticalHeader()  # what a row is called, while its own column is scrolled out of sight
        names.setDefaultSectionSize(self.fontMetrics().height() + 8)
        names.setMinimumSectionSize(self.fontMetrics().height() + 4)
        names.setMaximumWidth(160)
        names.setAccessibleName(_("Names of the rows"))
        names.hide()
        self.horizontalScrollBar().valueChanged.connect(self._name_rows)
        heads = self.horizontalHeader()
        heads.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
        heads.setSectionsMovable(True)
        heads.setAccessibleName(_("Headings of the table"))
        self.setAccessibleName(_("Table of what is aboard"))
        heads.setSortIndicator(0, Qt.SortOrder.AscendingOrder)
        self.setSortingEnabled(True)

    def _name_rows(self, scrolled: int) -> None:
        self.verticalHeader().setVisible(scrolled > 0)

    def fit_columns(self) -> None:
        """Give every column the room its heading and its first rows need, within bounds."""
        metrics = self.fontMetrics()
        some = self.rows.rows[:_LOOKED_AT]
        widest = with_type(_WIDEST, self)
        for n, column in enumerate(self.rows.columns):
            title = self.rows.headerData(n, Qt.Orientation.Horizontal)
            texts = {self.rows.facts.text(row, column) for row in some}
            longest = sorted(texts, key=len)[-4:]
            wide = max((metrics.horizontalAdvance(t) for t in longest), default=0) + 14
            head = max(metrics.horizontalAdvance(line) for line in title.split("\n")) + 30
            self.setColumnWidth(n, min(max(wide, head, _NARROWEST), widest))

    # -- where one is -------------------------------------------------------------------------------------------
    def current_id(self) -> str:
        """The id of the row one is in, "" for none."""
        return self.id_at(self.currentIndex())

    def id_at(self, index: QModelIndex) -> str:
        """The id of a cell's row."""
        at = self.order.mapToSource(index)
        return self.rows.rows[at.row()].item if at.isValid() else ""

    def chosen_ids(self) -> list[str]:
        """Ids of the rows with a chosen cell, the one one is in first."""
        numbers = sorted({n for span in self._spans() for n in range(span.top(), span.bottom() + 1)})
        ids = [self.id_at(self.order.index(n, 0)) for n in numbers]
        current = self.current_id()
        if current in ids:
            ids.remove(current)
            ids.insert(0, current)
        return ids

    def is_writable(self, index: QModelIndex) -> bool:
        """Whether something may be typed into a cell."""
        return index.isValid() and bool(self.order.flags(index) & Qt.ItemFlag.ItemIsEditable)

    # -- filling ------------------------------------------------------------------------------------------------
    def moveCursor(self, action: QAbstractItemView.CursorAction, modifiers: Qt.KeyboardModifier) -> QModelIndex:
        """After a cell is filled: the one below after Enter, the next that may be filled after Tab."""
        if self.state() == QAbstractItemView.State.EditingState or self._closing:
            here = self.currentIndex()
            if action == QAbstractItemView.CursorAction.MoveNext:
                return self._below(here) if self.editors.goes_down else self._along(here, 1)
            if action == QAbstractItemView.CursorAction.MovePrevious:
                return self._along(here, -1)
        return super().moveCursor(action, modifiers)

    _closing = False

    def _below(self, here: QModelIndex) -> QModelIndex:
        for n in range(here.row() + 1, self.order.rowCount()):
            index = self.order.index(n, here.column())
            if self.is_writable(index):
                return index
        return here

    def _along(self, here: QModelIndex, step: int) -> QModelIndex:
        """The next or last cell that may be filled, in the order columns are shown."""
        heads = self.horizontalHeader()
        row, place = here.row(), heads.visualIndex(here.column())
        for _n in range(heads.count() * 3):
            place += step
            if not 0 <= place < heads.count():
                row, place = row + step, 0 if step > 0 else heads.count() - 1
                if not 0 <= row < self.order.rowCount():
                    break
            index = self.order.index(row, heads.logicalIndex(place))
            if self.is_writable(index):
                return index
        return here

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """A refused cell is not left: one sees at once what was refused."""
        here = self.order.mapToSource(self.currentIndex())
        moves = hint in (
            QAbstractItemDelegate.EndEditHint.EditNextItem,
            QAbstractItemDelegate.EndEditHint.EditPreviousItem,
        )
        if here.isValid() and moves:
            key = (self.rows.rows[here.row()].item, self.rows.columns[here.column()].key)
            if key in self.rows.turned_down or (
                self.editors.goes_down and self._below(self.currentIndex()) == self.currentIndex()
            ):
                hint = QAbstractItemDelegate.EndEditHint.NoHint
        self._closing = True
        try:
            super().closeEditor(editor, hint)
        finally:
            self._closing = False

    def is_typing(self) -> bool:
        """Whether a cell is being filled."""
        return self.state() == QAbstractItemView.State.EditingState

    def finish_typing(self) -> None:
        """Give what is half typed, as if the cell were left."""
        editor = self.indexWidget(self.currentIndex())
        if self.is_typing() and editor is not None:
            self.commitData(editor)
            self.closeEditor(editor, QAbstractItemDelegate.EndEditHint.NoHint)

    # -- keys ---------------------------------------------------------------------------------------------------
    def event(self, event: QEvent) -> bool:
        """Keys of the table go before those of the window while one is in it."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent) and self._is_mine(event):
            event.accept()
            return True
        return bool(super().event(event))

    def _is_mine(self, event: QKeyEvent) -> bool:
        return (
            event.matches(_STANDARD.Copy)
            or event.matches(_STANDARD.Paste)
            or event.matches(_STANDARD.SelectAll)
            or event.key() in (_KEY.Key_Delete, _KEY.Key_F2, _KEY.Key_Return, _KEY.Key_Enter)
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Copy, paste, clear; Enter fills a cell or shows the thing on the sheet."""
        here = self.currentIndex()
        if event.matches(_STANDARD.Copy):
            self.copy_chosen()
        elif event.matches(_STANDARD.Paste):
            self.paste_text(QGuiApplication.clipboard().text())
        elif event.key() == _KEY.Key_Delete:
            self.clear_chosen()
        elif event.key() in (_KEY.Key_Return, _KEY.Key_Enter) and here.isValid():
            if self.is_writable(here) and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                self.edit(here)
            else:
                self.reveal_asked.emit(self.current_id())
        else:
            super().keyPressEvent(event)
            return
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """A double click on what cannot be changed shows the thing on the sheet."""
        index = self.indexAt(event.position().toPoint())
        if index.isValid() and not self.is_writable(index):
            self.reveal_asked.emit(self.id_at(index))
            event.accept()
            return
        super().mouseDoubleClickEvent(event)

    # -- blocks -------------------------------------------------------------------------------------------------
    def _chosen_block(self) -> tuple[list[int], list[int]]:
        """Rows and columns (as shown) of the rectangle around the chosen cells."""
        heads = self.horizontalHeader()
        spans = self._spans()
        rows = sorted({n for s in spans for n in range(s.top(), s.bottom() + 1)})
        places = sorted({heads.visualIndex(n) for s in spans for n in range(s.left(), s.right() + 1)})
        return rows, [heads.logicalIndex(place) for place in places]

    def _spans(self) -> list[QItemSelectionRange]:
        return list(self.selectionModel().selection())  # type: ignore[no-any-return, call-overload]  # a sequence

    def _has_whole_rows(self) -> bool:
        """Whether rows are chosen rather than cells: on the sheet, or by the name of a row."""
        spans = self._spans()
        return bool(spans) and all(s.width() == self.order.columnCount() for s in spans)

    def copy_chosen(self) -> None:
        """Put the chosen cells on the clipboard as they may be typed."""
        rows, columns = self._chosen_block()
        if not rows:
            return
        chosen = self.selectionModel()
        block = []
        for n in rows:
            cells = []
            for column in columns:
                index = self.order.index(n, column)
                if not chosen.isSelected(index):
                    cells.append("")
                    continue
                at = self.order.mapToSource(index)
                text = self.rows.facts.edit_text(self.rows.rows[at.row()], self.rows.columns[at.column()])
                cells.append(cell_text(text, is_word=True))
            block.append(cells)
        QGuiApplication.clipboard().setText(block_to_text(block))

    def paste_text(self, text: str) -> None:
        """Put a block of cells in, from the upper left chosen cell on; one value fills all that are chosen."""
        rows, columns = self._chosen_block()
        here = self.currentIndex()
        if self._has_whole_rows() and here.isValid():
            rows, columns = [here.row()], [here.column()]
        if not rows or not text:
            return
        try:
            block = block_from_text(text)
        except BlockFault as fault:
            self.rows.refused.emit(str(fault))
            return
        heads = self.horizontalHeader()
        if len(block) == 1 and len(block[0]) == 1:
            chosen = self.selectionModel()
            cells = [
                (self.order.index(n, c), block[0][0])
                for n in rows
                for c in columns
                if chosen.isSelected(self.order.index(n, c))
            ]
        else:
            first = heads.visualIndex(columns[0])
            high, wide = len(block), max(len(row) for row in block)
            room_down, room_along = self.order.rowCount() - rows[0], heads.count() - first
            if high > room_down or wide > room_along:
                self.rows.refused.emit(
                    _(
                        "The block is {high} rows by {wide} columns, and from here there is room for {down} by "
                        "{along}; nothing was changed."
                    ).format(high=high, wide=wide, down=room_down, along=room_along)
                )
                return
            cells = [
                (self.order.index(rows[0] + r, heads.logicalIndex(first + c)), text)
                for r, row in enumerate(block)
                for c, text in enumerate(row)
            ]
        told = ngettext("Paste {n} cell", "Paste {n} cells", len(cells)).format(n=len(cells))
        self.rows.type_in([(self.order.mapToSource(index), text) for index, text in cells], told, copied=True)

    def clear_chosen(self) -> None:
        """Empty the chosen cells that may be changed: what they said is not recorded any more."""
        if self._has_whole_rows():
            self.rows.refused.emit(_("Whole rows are not emptied: choose the cells to empty. Nothing was changed."))
            return
        chosen = [index for index in self.selectionModel().selectedIndexes() if self.is_writable(index)]
        if chosen:
            told = ngettext("Empty {n} cell", "Empty {n} cells", len(chosen)).format(n=len(chosen))
            self.rows.type_in([(self.order.mapToSource(index), "") for index in chosen], told)

    # -- in step ------------------------------------------------------------------------------------------------
    def be_in(self, index: QModelIndex) -> None:
        """Be in a cell, and have it alone chosen."""
        self.selectionModel().setCurrentIndex(index, QItemSelectionModel.SelectionFlag.ClearAndSelect)
        self.scrollTo(index)

    def show_chosen(self, ids: tuple[str, ...]) -> bool:
        """Choose the rows of some ids; whether any is here. The first becomes the row one is in."""
        chosen = self.selectionModel()
        indexes = [self.order.mapFromSource(self.rows.index(self.rows.at[i], 0)) for i in ids if i in self.rows.at]
        numbers = [index.row() for index in indexes if index.isValid()]
        flags = QItemSelectionModel.SelectionFlag
        if not numbers:
            chosen.clearSelection()
            return False
        column = max(self.currentIndex().column(), 0)
        runs: list[tuple[int, int]] = []  # rows that follow one another are chosen at once: a thousand take no time
        for n in sorted(numbers):
            first = runs.pop()[0] if runs and runs[-1][1] == n - 1 else n
            runs.append((first, n))
        spans = QItemSelection()
        last = self.order.columnCount() - 1
        for first, n in runs:
            spans.append(QItemSelectionRange(self.order.index(first, 0), self.order.index(n, last)))
        chosen.setCurrentIndex(self.order.index(numbers[0], column), flags.NoUpdate)
        chosen.select(spans, flags.ClearAndSelect)
        self.scrollTo(self.order.index(numbers[0], column))
        return True
