"""What was taken for what where ids do not tell: each match with its score and its reasons, the unsure ones first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from app.window.comparing.filling import Filling
from engine.words import _

__all__ = ["MatchList"]

_ITEM = Qt.ItemDataRole.UserRole


class MatchList(QListWidget):
    """Choosing one shows it on its sheet."""

    walked = Signal(str)  # id in the open drawing
    escaped = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("What was taken for what, and why"))
        self.setWordWrap(True)
        self.setSpacing(2)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.currentItemChanged.connect(self._walked)
        self._is_filling = False
        self.setLayoutMode(QListWidget.LayoutMode.Batched)
        self.filling = Filling(self)

    def fill(self, matches: Sequence[tuple[str, str]]) -> None:
        """List them anew, many of them bit by bit: id in the open drawing, what is said of the match."""
        self.filling.begin(self._lines(tuple(matches), self.currentRow()))

    def _lines(self, matches: Sequence[tuple[str, str]], before: int) -> Iterator[None]:
        self._is_filling = True
        self.clear()
        for n, (item, text) in enumerate(matches):
            self._is_filling = True
            line = QListWidgetItem(text)
            line.setData(_ITEM, item)
            self.addItem(line)
            if n == before:
                self.setCurrentRow(n)
            self._is_filling = False
            yield
        self._is_filling = False

    def walk(self, by: int) -> None:
        """So many on, as far as there are any."""
        if self.count():
            row = self.currentRow()
            self.setCurrentRow(min(max(row + by, 0), self.count() - 1) if row >= 0 else 0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        if event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        else:
            super().keyPressEvent(event)

    def _walked(self, item: QListWidgetItem | None, _before: object) -> None:
        if item is not None and not self._is_filling:
            self.walked.emit(item.data(_ITEM))
