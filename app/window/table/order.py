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
        self._ranks: list[int] = []
        self.setDynamicSortFilter(False)
        self.setSourceModel(rows)

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        """Put the rows in the order of a column."""
        self._rank(column, order)
        super().sort(column, order)

    def _rank(self, column: int, order: Qt.SortOrder) -> None:
        rows = self.rows.rows
        if not 0 <= column < len(self.rows.columns):
            self._ranks = list(range(len(rows)))
            return
        keys: list[Any] = [self.rows.facts.sort_key(row, self.rows.columns[column]) for row in rows]
        names = [self.rows.facts.sort_key(row, self.rows.columns[0]) or () for row in rows]
        known = sorted((n for n, key in enumerate(keys) if key is not None), key=lambda n: (keys[n], names[n], n))
        unknown = sorted((n for n, key in enumerate(keys) if key is None), key=lambda n: (names[n], n))
        if order == Qt.SortOrder.DescendingOrder:
            known, unknown = unknown[::-1], known
        self._ranks = [0] * len(rows)
        for rank, n in enumerate((*known, *unknown)):
            self._ranks[n] = rank

    def lessThan(self, left: AnyIndex, right: AnyIndex) -> bool:
        """Whether a row stands before another: by ranks worked out beforehand."""
        ranks = self._ranks
        a, b = left.row(), right.row()
        if a >= len(ranks) or b >= len(ranks):  # rows that came after the last sorting stand last
            return a < b
        return ranks[a] < ranks[b]

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
        text = facts.searched(row, self.rows.columns)
        return all(word in text for word in self.words)

    def narrow(self, text: str, only_found: bool, only_lacking: bool, keep: str = "") -> None:
        """Filter anew: rows that hold every word of `text` in some column."""
        self.words = tuple(text.casefold().split())
        self.only_found, self.only_lacking, self.keep = only_found, only_lacking, keep
        self.invalidate_rows()

    def invalidate_rows(self) -> None:
        """Ask every row again."""
        self.invalidateFilter()

    @property
    def is_narrowed(self) -> bool:
        """Whether a filter is on."""
        return bool(self.words or self.only_found or self.only_lacking)
