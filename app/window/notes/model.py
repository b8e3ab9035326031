"""The rows of notes as Qt sees them."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, Qt

from app.window.notes.lines import Line

__all__ = ["LINE_ROLE", "NotesModel"]

LINE_ROLE = Qt.ItemDataRole.UserRole + 1
STALE_ROLE = Qt.ItemDataRole.UserRole + 2


class NotesModel(QAbstractListModel):
    """Rows of notes; `stale` while a newer judgement is on its way."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[Line] = []
        self.stale = False

    def show(self, lines: list[Line]) -> None:
        """Show other rows; nothing happens where they are the same."""
        if lines == self.lines:
            return
        self.beginResetModel()
        self.lines = lines
        self.endResetModel()

    def set_stale(self, stale: bool) -> None:
        """Say whether the rows speak of a state before the last change."""
        if stale != self.stale:
            self.stale = stale
            if self.lines:
                self.dataChanged.emit(self.index(0), self.index(len(self.lines) - 1), [])

    def rowCount(self, parent: QModelIndex | QPersistentModelIndex = QModelIndex()) -> int:  # noqa: B008
        """How many rows."""
        return 0 if parent.isValid() else len(self.lines)

    def data(self, index: QModelIndex | QPersistentModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """A row's text, or the row itself."""
        line = self.lines[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return line.text
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return line.said(self.stale)
        if role == LINE_ROLE:
            return line
        if role == STALE_ROLE:
            return self.stale
        return None

    def number_of(self, name: str) -> int:
        """The row of a name, -1 where it is gone."""
        return next((n for n, line in enumerate(self.lines) if line.name == name), -1)
