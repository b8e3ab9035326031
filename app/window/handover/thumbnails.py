"""Small pictures of all pages, to go to one: drawn one a turn of the event loop, those in sight first."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from app.window.handover.pdf_pages import PdfPages
from engine.words import _

__all__ = ["Thumbnails"]

SIDE = 132  # px, of the field a page is fitted into
_DRAWN = Qt.ItemDataRole.UserRole


class Thumbnails(QListWidget):
    """The pages of a PDF with their names."""

    wanted = Signal(int)  # page, from 0

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("thumbnails")
        self.setAccessibleName(_("List of pages"))
        self.setViewMode(QListWidget.ViewMode.IconMode)
        self.setFlow(QListWidget.Flow.TopToBottom)
        self.setWrapping(False)
        self.setMovement(QListWidget.Movement.Static)
        self.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.setWordWrap(True)
        self.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.setIconSize(QSize(SIDE, SIDE * 3 // 4))
        self.setSpacing(4)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFixedWidth(SIDE + 34)
        self.pages: PdfPages | None = None
        self._following = False
        self._small: dict[int, QPixmap] = {}
        self._draws = QTimer(self)
        self._draws.setInterval(0)
        self._draws.timeout.connect(self._draw_one)
        self.currentRowChanged.connect(self._chosen)
        self.verticalScrollBar().valueChanged.connect(self._look)

    def show_pages(self, pages: PdfPages | None) -> None:
        """List the pages of another PDF; `None`: none."""
        self._following = True
        self.clear()
        self._following = False
        self._small.clear()
        self.pages = pages
        if pages is None:
            self._draws.stop()
            return
        empty = QPixmap(SIDE, SIDE * 3 // 4)
        empty.fill(Qt.GlobalColor.transparent)
        for n in range(len(pages)):
            title = pages.titles.get(n, "")
            item = QListWidgetItem(QIcon(empty), f"{n + 1}  {title}" if title else str(n + 1))
            item.setTextAlignment(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop)
            item.setToolTip(title)
            item.setData(
                Qt.ItemDataRole.AccessibleTextRole,
                _("Page {n} of {all}: {title}").format(n=n + 1, all=len(pages), title=title or _("without a name")),
            )
            lines = 2 if title else 1
            item.setSizeHint(QSize(SIDE + 8, SIDE * 3 // 4 + 6 + lines * self.fontMetrics().lineSpacing()))
            self.addItem(item)
        self._look()

    def follow(self, page: int) -> None:
        """That page is seen now."""
        self._following = True
        self.setCurrentRow(page)
        self._following = False

    def small(self, page: int) -> QPixmap | None:
        """The small picture of a page, once it is drawn."""
        return self._small.get(page)

    def _chosen(self, row: int) -> None:
        if row >= 0 and not self._following:
            self.wanted.emit(row)

    def _look(self, _value: int = 0) -> None:
        if self.pages is not None and len(self._small) < len(self.pages):
            self._draws.start()

    def _draw_one(self) -> None:
        page = self._next()
        if page < 0 or self.pages is None:
            self._draws.stop()
            return
        wide, high = self.pages.sizes[page]
        ratio = self.devicePixelRatioF()
        scale = min(SIDE / wide, SIDE * 3 / 4 / high) * ratio
        width, height = max(1, round(wide * scale)), max(1, round(high * scale))
        made = QPixmap.fromImage(self.pages.picture(page, width, height, QRect(0, 0, width, height)))
        painter = QPainter(made)
        painter.setPen(QColor(128, 128, 128))
        painter.drawRect(0, 0, width - 1, height - 1)
        painter.end()
        made.setDevicePixelRatio(ratio)
        self._small[page] = made
        icon = QIcon(made)
        icon.addPixmap(made, QIcon.Mode.Selected)  # paper stays white
        self.item(page).setIcon(icon)

    def _next(self) -> int:
        """A page in sight that is not drawn, -1 where all are."""
        seen = self.viewport().rect()
        for n in range(self.count()):
            rect = self.visualItemRect(self.item(n))
            if rect.top() > seen.bottom():
                break
            if rect.bottom() >= seen.top() and n not in self._small:
                return n
        return -1
