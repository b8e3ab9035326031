"""The list of what would be renamed: old and new, each to be ticked off."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal

from engine.edits.renumbering import Renamed, changed_letters
from engine.words import _

__all__ = ["Changes"]

_At = QModelIndex | QPersistentModelIndex
_NONE = QModelIndex()


class Changes(QAbstractTableModel):
    """Columns: bears now (with a tick), new, what it is. What is not ticked keeps its designation."""

    left_out = Signal()  # `leave` changed

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[tuple[Renamed, str]] = []  # and what it is
        self.leave: set[str] = set()

    def fill(self, rows: list[tuple[Renamed, str]]) -> None:
        """Show others."""
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: _At = _NONE) -> int:
        """Qt's own name."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: _At = _NONE) -> int:
        """Qt's own name."""
        return 0 if parent.isValid() else 3

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Qt's own name."""
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return (_("Now"), _("New"), _("What it is"))[section]
        return None

    def flags(self, index: _At) -> Qt.ItemFlag:
        """Qt's own name."""
        made = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        return made | Qt.ItemFlag.ItemIsUserCheckable if index.column() == 0 else made

    def data(self, index: _At, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Qt's own name."""
        change, what = self.rows[index.row()]
        left = change.item in self.leave
        if role == Qt.ItemDataRole.DisplayRole:
            new = _("stays") if left else change.new
            if not left and changed_letters(change):
                new = _("{name} (other letter)").format(name=new)
            return (change.old or _("none"), new, what)[index.column()]
        if role == Qt.ItemDataRole.CheckStateRole and index.column() == 0:
            return Qt.CheckState.Unchecked if left else Qt.CheckState.Checked
        if role == Qt.ItemDataRole.ToolTipRole and index.column() == 2:
            return what
        return None

    def setData(self, index: _At, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """Qt's own name."""
        if role != Qt.ItemDataRole.CheckStateRole or index.column() != 0:
            return False
        item = self.rows[index.row()][0].item
        if Qt.CheckState(value) == Qt.CheckState.Checked:
            self.leave.discard(item)
        else:
            self.leave.add(item)
        self.left_out.emit()
        return True
