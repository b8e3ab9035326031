"""Sorting and filtering of rows. Both are done in one go and only when asked, so that no row jumps while one types."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QModelIndex, QObject, QPersistentModelIndex, QSortFilterProxyModel, Qt

from app.window.table.model import RowsModel

__all__ = ["RowsInOrder"]

AnyIndex = QModelIndex | QPersistentModelIndex


class RowsInOrder(QSortFilterProxyModel):
    """The rows that pass the filter, in the order of one column; what is not recorded stands last."""

    def __init__(self, rows: RowsModel, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.rows = rows
        self.words: tuple[str, ...] = ()
        self.only_found = False
        self.only_lacking = False
        self.keep = ""  # id of a row that stays whatever the filter says: the one being worked in
        self._sorted: tuple[int, Qt.SortOrder, int] | None = None
        self.setDynamicSortFilter(False)
        self.setSourceModel(rows)

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        """Put the rows in the order of a column. The source is put in order itself: one Python sort, no comparisons."""
        wanted = (column, order, self.rows.stamp)
        if wanted == self._sorted or not 0 <= column < len(self.rows.columns):
            return  # a table asks twice for the same
        self._sorted = wanted
        rows, facts = self.rows.rows, self.rows.facts
        by = self.rows.columns[column]
        keys: list[Any] = [facts.sort_key(row, by) for row in rows]
        names = [facts.called(row) for row in rows]
        known = sorted((n for n, key in enumerate(keys) if key is not None), key=lambda n: (keys[n], names[n], n))
        unknown = sorted((n for n, key in enumerate(keys) if key is None), key=lambda n: (names[n], n))
        if order == Qt.SortOrder.DescendingOrder:
            known.reverse()
        self.rows.put_in_order([*known, *unknown])

    def filterAcceptsRow(self, number: int, parent: AnyIndex) -> bool:
        """Whether a row passes."""
        if not (self.words or self.only_found or self.only_lacking):
            return True
        row, facts = self.rows.rows[number], self.rows.facts
        if row.item == self.keep:
            return True
        if self.only_found and row.item not in facts.findings:
            return False
        if self.only_lacking and not facts.lacks(row):
            return False
        if not self.words:
            return True
        text = facts.searched(row)
        return all(word in text for word in self.words)

    def narrow(self, text: str, only_found: bool, only_lacking: bool, keep: str = "") -> None:
        """Filter anew: rows that hold every word of `text` in some column."""
        if hasattr(self, "beginFilterChange"):  # from 6.10 on; what stood there before warns in later ones
            self.beginFilterChange()
        self.words = tuple(text.casefold().split())
        self.only_found, self.only_lacking, self.keep = only_found, only_lacking, keep
        if hasattr(self, "endFilterChange"):
            self.endFilterChange(QSortFilterProxyModel.Direction.Rows)
        else:
            self.invalidateRowsFilter()

    @property
    def is_narrowed(self) -> bool:
        """Whether a filter is on."""
        return bool(self.words or self.only_found or self.only_lacking)
