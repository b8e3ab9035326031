"""The runs of a drawing as rows of cells, each made when it is seen."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from app.window.document import Document
from engine.naming import natural, title_of
from engine.tracing.cells import COLUMNS, row_of
from engine.words import _

__all__ = ["RunRows"]

_Index = QModelIndex | QPersistentModelIndex


class RunRows(QAbstractTableModel):
    """Every run by its designation; columns as one traces them. Only shows: rows are changed in the form."""

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.runs: list[str] = []
        self._names: dict[str, str] = {}
        self._cells: dict[str, dict[str, str]] = {}

    def follow(self) -> None:
        """The drawing has changed."""
        snapshot = self.document.snapshot()
        names = {run: record.designation or run for run, record in snapshot.runs.items()}
        if names == self._names:
            self._cells = {}
            if self.runs:
                self.dataChanged.emit(self.index(0, 0), self.index(len(self.runs) - 1, len(COLUMNS) - 1))
            return
        self.beginResetModel()
        self.runs = sorted(names, key=lambda run: (natural(names[run]), natural(run)))
        self._names, self._cells = names, {}
        self.endResetModel()

    def cells(self, run: str) -> dict[str, str]:
        """The cells of a run."""
        if run not in self._cells:
            self._cells[run] = row_of(self.document.snapshot(), run)
        return self._cells[run]

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008
        """Qt's own name."""
        return 0 if parent.isValid() else len(self.runs)

    def columnCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008
        """Qt's own name."""
        return 0 if parent.isValid() else len(COLUMNS)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Qt's own name."""
        if index.isValid() and role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return self.cells(self.runs[index.row()])[COLUMNS[index.column()][0]]
        return None

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Qt's own name."""
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        if orientation == Qt.Orientation.Horizontal:
            return _(COLUMNS[section][1])
        return title_of(self.document.snapshot(), "runs", self.runs[section])
