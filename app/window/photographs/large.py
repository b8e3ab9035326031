"""A photograph as large as there is room over the window: left and right go on, Escape leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import QDialog, QLabel, QVBoxLayout

from app.photographs import PhotographFault
from app.window.photographs.keeping import store_for
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["LargeView"]


class LargeView(QDialog):
    """Beside the window, not in its way."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window_of = window
        self.ids: tuple[str, ...] = ()
        self.item = ""
        self.picture = QPixmap()
        self.setWindowTitle(_("Photograph"))
        self.setAccessibleDescription(_("Left and right go to the next photograph, Escape leaves."))
        self.label = QLabel()
        self.label.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.label.setMinimumSize(200, 150)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        box = QVBoxLayout(self)
        box.addWidget(self.label, 1)
        box.addWidget(self.words)

    def show_photographs(self, ids: tuple[str, ...], item: str) -> None:
        """Begin at one of several."""
        self.ids = ids
        self._go(item)
        self.resize(self.window_of.width() * 4 // 5, self.window_of.height() * 4 // 5)
        self.show()
        self.raise_()
        self.activateWindow()
        self.setFocus()

    def _go(self, item: str) -> None:
        self.item = item
        record = self.window_of.document.snapshot().photographs.get(item)
        self.picture = QPixmap()
        if record is None:
            return
        told = [record.caption or record.name, record.taken, record.by, record.location]
        try:
            self.picture.loadFromData(store_for(self.window_of).read(record), "JPEG")
        except PhotographFault as fault:
            told.append(str(fault))
        place = _("{n} of {total}").format(n=self.ids.index(item) + 1, total=len(self.ids))
        self.words.setText(" · ".join(part for part in (place, *told) if part))
        self.label.setAccessibleName(record.caption or record.name)
        self._fit()

    def _fit(self) -> None:
        room = self.label.size()
        if self.picture.isNull():
            self.label.clear()
            return
        size = self.picture.size().scaled(room, Qt.AspectRatioMode.KeepAspectRatio)
        if size.width() > self.picture.width():
            size = QSize(self.picture.size())
        self.label.setPixmap(
            self.picture.scaled(size, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation)
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's own name."""
        super().resizeEvent(event)
        self._fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()), 0)
        if step and self.ids:
            self._go(self.ids[(self.ids.index(self.item) + step) % len(self.ids)])
        else:
            super().keyPressEvent(event)
