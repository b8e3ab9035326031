"""A sheet of the older drawing in the place of the sheet, to look at: nothing on it can be changed."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPen
from PySide6.QtWidgets import (
    QGraphicsItem,
    QGraphicsRectItem,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.canvas.inks import colour_of
from app.canvas.view import SheetView
from app.window.comparing.comparing import Comparing, Sheet
from app.window.comparing.over_sheet import OVER, UNDER, put_strokes
from engine.picture import Box
from engine.words import _

__all__ = ["OlderView"]

_LEVELS = {"under": UNDER, "drawn": 2.0, "over": OVER}


class OlderView(QWidget):
    """One sheet at a time, and which it is."""

    left = Signal()  # back to the newer drawing
    turned = Signal(str)  # another sheet of the older drawing is shown

    def __init__(self, comparing: Comparing, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("older_view")
        self.setAccessibleName(_("Sheet of the older drawing"))
        self.comparing = comparing
        self.sheet = ""
        self._shown: Sheet | None = None
        self.view = _View(self)
        self.title = QLabel()
        self.title.setTextFormat(Qt.TextFormat.PlainText)
        self.title.setWordWrap(True)
        self.title.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
        bold = self.title.font()
        bold.setBold(True)
        self.title.setFont(bold)
        self.back = QPushButton(_("Back to the newer drawing"))
        self.back.setToolTip(_("Show the sheet again (Esc)"))
        self.back.clicked.connect(self.left)
        row = QHBoxLayout()
        row.addWidget(self.back)
        row.addStretch(1)
        head = QVBoxLayout()
        head.setContentsMargins(8, 4, 8, 4)
        head.setSpacing(4)
        head.addWidget(self.title)
        head.addLayout(row)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addLayout(head)
        whole.addWidget(self.view, 1)
        comparing.marked.connect(self._came)
        comparing.told.connect(self._again)

    def show_sheet(self, sheet: str, box: Box | None = None) -> None:
        """Show a sheet of the older drawing, a place of it ringed."""
        told = self.comparing.compared
        record = next((each for each in told.older if each.item == sheet), None) if told is not None else None
        if record is None:
            return
        fresh = sheet != self.sheet
        self.sheet = sheet
        made = self.comparing.sheets.get(("older", sheet))
        if fresh or made is not self._shown:
            self._shown = made
            self.view.show_strokes(record.width, record.height, made or Sheet(), fresh)
        self.view.ring(box)
        text = (
            _("Older: {name}, sheet {n} of {count}: {title}")
            if record.title
            else _("Older: {name}, sheet {n} of {count}")
        )
        assert told is not None
        text = text.format(name=self.comparing.name, n=record.number, count=len(told.older), title=record.title)
        if made is None:
            text = _("{sheet} – being drawn…").format(sheet=text)
        self.title.setText(text)
        self.title.setToolTip(text)
        self.view.setAccessibleName(text)
        if fresh:
            self.turned.emit(sheet)

    def turn(self, by: int) -> None:
        """So many sheets on, round the end."""
        told = self.comparing.compared
        every = [each.item for each in told.older] if told is not None else []
        if every:
            at = every.index(self.sheet) if self.sheet in every else 0
            self.show_sheet(every[(at + by) % len(every)])

    def wear_inks(self) -> None:
        """In the inks of the screen as they are now."""
        self.view.colour_desk()
        self._shown = Sheet()
        self._again()

    def _came(self, side: str, sheet: str) -> None:
        if side == "older" and sheet == self.sheet:
            self._again()

    def _again(self) -> None:
        if self.sheet:
            self.show_sheet(self.sheet, self.view.ringed)


class _View(SheetView):
    """Pans with the pointer and the arrows, zooms with the wheel, + and −."""

    def __init__(self, of: OlderView) -> None:
        super().__init__(of)
        self._of = of
        self._items: list[QGraphicsItem] = []
        self.ringed: Box | None = None
        self._ring = QGraphicsRectItem()
        self._ring.setZValue(OVER + 2.0)
        self._ring.hide()
        self.scene().addItem(self._ring)
        self.viewport().setCursor(Qt.CursorShape.OpenHandCursor)

    def show_strokes(self, width: float, height: float, sheet: Sheet, fresh: bool) -> None:
        """The strokes of a sheet in place of those that stood there."""
        for item in self._items:
            self.scene().removeItem(item)
        self._items = []
        for level, some in sheet.strokes().items():
            self._items += put_strokes(self.scene(), some, _LEVELS[level])
        self.set_paper(width, height)
        if fresh:
            self.fit()

    def ring(self, box: Box | None) -> None:
        """Ring a place and bring it into view."""
        self.ringed = box
        self._ring.setVisible(box is not None)
        if box is None:
            return
        pen = QPen(QColor(colour_of("blue")), 2.5)
        pen.setCosmetic(True)
        self._ring.setPen(pen)
        b = box.grown(2.5)
        self._ring.setRect(QRectF(b.left, b.top, b.right - b.left, b.bottom - b.top))
        self.show_box(box)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of the sheet."""
        self.begin_pan(event)
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Pull it along."""
        self.pan_to(event)
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        self.end_pan()
        self.viewport().setCursor(Qt.CursorShape.OpenHandCursor)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows pull, Page up and down turn, Escape leads back."""
        arrows = {
            Qt.Key.Key_Left: (-60, 0),
            Qt.Key.Key_Right: (60, 0),
            Qt.Key.Key_Up: (0, -60),
            Qt.Key.Key_Down: (0, 60),
        }
        key = Qt.Key(event.key())
        if key in arrows:
            self._fitting = ""
            self.scroll_by(*arrows[key])
        elif key == Qt.Key.Key_Escape:
            self._of.left.emit()
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            self._of.turn(1 if key == Qt.Key.Key_PageDown else -1)
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom_by(1.25)
        elif key == Qt.Key.Key_Minus:
            self.zoom_by(0.8)
        else:
            super().keyPressEvent(event)
            return
        event.accept()
