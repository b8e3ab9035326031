"""Paper on the screen: the pages of a PDF one below the other, drawn piece by piece as they come into sight."""

from __future__ import annotations

from bisect import bisect_right
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, Literal, NamedTuple

from PySide6.QtCore import QPoint, QPointF, QRect, QSize, Qt, QTimer, QUrl, Signal
from PySide6.QtGui import (
    QColor,
    QDesktopServices,
    QHideEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPalette,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

from app.window.handover.pdf_pages import PdfPages
from engine.words import _

__all__ = ["Fit", "PaperView"]

Fit = Literal["page", "width", ""]
TILE = 512  # device pixels; 1 to 10 ms each on a dense A3 sheet, whatever the scale
MOST_BYTES = 96 * 2**20  # of pieces kept: three screens of 3840 by 2160
GAP = 14  # px round every page
STEP = 1.2
SMALLEST, LARGEST = 0.05, 16.0
_POINTS = 72.0


class _Piece(NamedTuple):
    page: int
    width: int  # of the whole page, device pixels
    column: int
    row: int


class PaperView(QAbstractScrollArea):
    """Pages of a PDF. `scale` 1 is true size, as far as the system knows its screen."""

    turned = Signal(int)  # the page seen now, from 0
    scaled = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("paper_view")
        self.setAccessibleName(_("Pages"))
        self.setFrameShape(QAbstractScrollArea.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.viewport().setMouseTracking(True)
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.pages: PdfPages | None = None
        self.fitting: Fit = "page"
        self.scale = 1.0
        self.page = 0
        self._tops: list[int] = []
        self._sizes: list[QSize] = []
        self._across = 0
        self._kept: OrderedDict[_Piece, QPixmap] = OrderedDict()
        self._bytes = 0
        self._wanted: list[_Piece] = []
        self._grip: tuple[QPoint, int, int] | None = None
        self.small: Callable[[int], QPixmap | None] = lambda _page: None  # stands where nothing sharp is drawn yet
        self._moved = False
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)  # else what fits flickers about it
        self._draws = QTimer(self)
        self._draws.setInterval(0)
        self._draws.timeout.connect(self._draw_one)
        self.verticalScrollBar().valueChanged.connect(self._scrolled)
        for bar, name in (
            (self.verticalScrollBar(), _("Up and down the pages")),
            (self.horizontalScrollBar(), _("Across the page")),
        ):
            bar.setAccessibleName(name)
            bar.setSingleStep(40)

    # -- what is shown --------------------------------------------------------------------------------------------
    def show_pages(self, pages: PdfPages | None) -> None:
        """Show another PDF, at the page where one was if it has that many; `None`: nothing."""
        at = self.page
        self.pages = pages
        self._forget()
        self.page = min(at, max(len(pages) - 1, 0)) if pages is not None else 0
        self._lay_out()
        if pages is not None:
            self.go_to(self.page)

    def go_to(self, page: int) -> None:
        """Have a page at the top of the view."""
        if self.pages is None or not self._tops:
            return
        page = max(0, min(page, len(self._tops) - 1))
        self.verticalScrollBar().setValue(self._tops[page] - GAP)
        self._say_page(page)

    def fit(self) -> None:
        """The whole page."""
        self.fitting = "page"
        self._relay(self._middle())

    def fit_width(self) -> None:
        """As wide as there is room."""
        self.fitting = "width"
        self._relay(self._middle())

    def show_true_size(self) -> None:
        """A mm on the screen for a mm on paper, as far as the screen says how large it is."""
        self.set_scale(1.0)

    def set_scale(self, scale: float, about: QPointF | None = None) -> None:
        """Larger or smaller about a point of the view, its middle where none is named."""
        kept = self._place(QPointF(self.viewport().rect().center()) if about is None else about)
        self.fitting = ""
        self.scale = max(SMALLEST, min(scale, LARGEST))
        self._relay(kept)

    def zoom_by(self, factor: float) -> None:
        """So much larger."""
        self.set_scale(self.scale * factor)

    # -- where everything is --------------------------------------------------------------------------------------
    @property
    def _unit(self) -> float:
        """Pixels of this widget for a point at scale 1."""
        return self.logicalDpiX() / _POINTS

    def _lay_out(self) -> None:
        view = self.viewport().size()
        self._tops, self._sizes = [], []
        if self.pages is None or not len(self.pages):
            self.viewport().update()
            return
        sizes = self.pages.sizes
        if self.fitting:
            wide = max(width for width, _height in sizes)
            high = max(height for _width, height in sizes)
            across = (view.width() - 2 * GAP) / (wide * self._unit)
            down = (view.height() - 2 * GAP) / (high * self._unit)
            self.scale = max(SMALLEST, min(across, down) if self.fitting == "page" else across)
        unit, top = self._unit * self.scale, GAP
        for width, height in sizes:
            size = QSize(max(1, round(width * unit)), max(1, round(height * unit)))
            self._tops.append(top)
            self._sizes.append(size)
            top += size.height() + GAP
        self._across = max(size.width() for size in self._sizes) + 2 * GAP
        for bar, whole, seen in (
            (self.verticalScrollBar(), top, view.height()),
            (self.horizontalScrollBar(), 0 if self.fitting else self._across, view.width()),
        ):
            bar.setPageStep(seen)
            bar.setRange(0, max(0, whole - seen))
        self.viewport().update()
        self.scaled.emit()

    def _relay(self, kept: tuple[int, float, float, QPointF] | None) -> None:
        """Lay out anew; what was at a place stays there."""
        self._wanted.clear()
        self._lay_out()
        if kept is None or not self._tops:
            return
        page, x, y, at = kept
        size, left = self._sizes[page], self._left(page)
        scroll_x, scroll_y = self.horizontalScrollBar(), self.verticalScrollBar()
        if self.fitting == "page":
            scroll_y.setValue(self._tops[page] - GAP)
        else:
            scroll_y.setValue(round(self._tops[page] + y * size.height() - at.y()))
        scroll_x.setValue(round(left + scroll_x.value() + x * size.width() - at.x()))
        self._scrolled()

    def _left(self, page: int) -> int:
        """Where a page begins in the view."""
        room = max(self.viewport().width(), self._across)
        return (room - self._sizes[page].width()) // 2 - self.horizontalScrollBar().value()

    def _rect(self, page: int) -> QRect:
        top = self._tops[page] - self.verticalScrollBar().value()
        return QRect(QPoint(self._left(page), top), self._sizes[page])

    def _at(self, y: float) -> int:
        """The page at a height of the view, or the one above it."""
        return max(0, bisect_right(self._tops, round(y) + self.verticalScrollBar().value()) - 1)

    def _place(self, at: QPointF) -> tuple[int, float, float, QPointF] | None:
        if not self._tops:
            return None
        page = self._at(at.y())
        rect = self._rect(page)
        return page, (at.x() - rect.x()) / rect.width(), (at.y() - rect.y()) / rect.height(), at

    def _middle(self) -> tuple[int, float, float, QPointF] | None:
        found = self._place(QPointF(self.viewport().rect().center()))
        if found is None:
            return None
        return self.page, 0.5, 0.0 if self.page != found[0] else found[2], found[3]

    def _scrolled(self, _value: int = 0) -> None:
        if self._tops:
            self._say_page(self._at(self.viewport().height() / 3))
        self.viewport().update()

    def _say_page(self, page: int) -> None:
        if page != self.page:
            self.page = page
            self.turned.emit(page)

    # -- drawing --------------------------------------------------------------------------------------------------
    def paintEvent(self, event: QPaintEvent) -> None:
        """Qt's own name. What is not drawn yet is white, and asked for."""
        painter = QPainter(self.viewport())
        painter.fillRect(event.rect(), self.palette().color(QPalette.ColorRole.Window).darker(115))
        wanted: list[_Piece] = []
        if self._tops:
            view = self.viewport().rect()
            for page in range(self._at(view.top()), len(self._tops)):
                rect = self._rect(page)
                if rect.top() > view.bottom():
                    break
                painter.fillRect(rect.adjusted(-1, -1, 1, 1), QColor(128, 128, 128))
                painter.fillRect(rect, QColor(255, 255, 255))
                self._paint_page(painter, page, rect, view & rect, wanted)
        painter.end()
        self._wanted = wanted
        if wanted:
            self._draws.start()
        else:
            self._draws.stop()

    def _paint_page(self, painter: QPainter, page: int, rect: QRect, seen: QRect, wanted: list[_Piece]) -> None:
        ratio = self.devicePixelRatioF()
        width, height = round(rect.width() * ratio), round(rect.height() * ratio)
        columns = range(
            max(0, int((seen.left() - rect.left()) * ratio)) // TILE,
            min(width - 1, int((seen.right() + 1 - rect.left()) * ratio)) // TILE + 1,
        )
        rows = range(
            max(0, int((seen.top() - rect.top()) * ratio)) // TILE,
            min(height - 1, int((seen.bottom() + 1 - rect.top()) * ratio)) // TILE + 1,
        )
        sharp: list[_Piece] = []
        for row in rows:
            for column in columns:
                piece = _Piece(page, width, column, row)
                if piece in self._kept:
                    self._kept.move_to_end(piece)
                    sharp.append(piece)
                else:
                    wanted.append(piece)
        small = self.small(page) if len(sharp) < len(rows) * len(columns) else None
        if small is not None:
            painter.drawPixmap(rect, small)
        left, top = round(rect.left() * ratio), round(rect.top() * ratio)  # whole device pixels, else it is blurred
        for piece in sharp:
            at = QPointF((left + piece.column * TILE) / ratio, (top + piece.row * TILE) / ratio)
            painter.drawPixmap(at, self._kept[piece])

    def _draw_one(self) -> None:
        """One piece a turn of the event loop, so that the window answers in between."""
        if not self._wanted or self.pages is None:
            self._draws.stop()
            return
        piece = self._wanted.pop(0)
        ratio = self.devicePixelRatioF()
        size = self._sizes[piece.page]
        height = round(size.height() * ratio)
        x, y = piece.column * TILE, piece.row * TILE
        part = QRect(x, y, min(TILE, piece.width - x), min(TILE, height - y))
        made = QPixmap.fromImage(self.pages.picture(piece.page, piece.width, height, part))
        made.setDevicePixelRatio(ratio)
        self._kept[piece] = made
        self._bytes += part.width() * part.height() * 4
        while self._bytes > MOST_BYTES and len(self._kept) > 1:
            _old, gone = self._kept.popitem(last=False)
            self._bytes -= gone.width() * gone.height() * 4
        self.viewport().update()

    def _forget(self) -> None:
        self._kept.clear()
        self._bytes = 0
        self._wanted.clear()

    @property
    def is_drawn(self) -> bool:
        """Whether all that is in sight is drawn."""
        return not self._wanted and not self._draws.isActive()

    # -- keys and mouse -------------------------------------------------------------------------------------------
    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's own name. A page that fits goes on to fit."""
        super().resizeEvent(event)
        page = self.page
        self._lay_out()
        if self.fitting == "page":
            self.go_to(page)

    def hideEvent(self, event: QHideEvent) -> None:
        """Qt's own name. What nobody sees takes no room."""
        super().hideEvent(event)
        self._forget()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        key = event.key()
        down, across = self.verticalScrollBar(), self.horizontalScrollBar()
        keys: dict[int, Any] = {
            Qt.Key.Key_Plus: lambda: self.zoom_by(STEP),
            Qt.Key.Key_Equal: lambda: self.zoom_by(STEP),
            Qt.Key.Key_Minus: lambda: self.zoom_by(1 / STEP),
            Qt.Key.Key_0: self.fit,
            Qt.Key.Key_1: self.show_true_size,
            Qt.Key.Key_2: self.fit_width,
            Qt.Key.Key_PageDown: lambda: self.go_to(self.page + 1),
            Qt.Key.Key_PageUp: lambda: self.go_to(self.page - 1),
            Qt.Key.Key_Space: lambda: self.go_to(self.page + 1),
            Qt.Key.Key_Home: lambda: self.go_to(0),
            Qt.Key.Key_End: lambda: self.go_to(len(self._tops) - 1),
            Qt.Key.Key_Down: lambda: down.setValue(down.value() + down.singleStep()),
            Qt.Key.Key_Up: lambda: down.setValue(down.value() - down.singleStep()),
            Qt.Key.Key_Right: lambda: across.setValue(across.value() + across.singleStep()),
            Qt.Key.Key_Left: lambda: across.setValue(across.value() - across.singleStep()),
        }
        does = keys.get(key)
        if does is None:
            super().keyPressEvent(event)
        else:
            does()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's own name. With Ctrl larger and smaller at the pointer."""
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.set_scale(self.scale * STEP ** (event.angleDelta().y() / 120), event.position())
            event.accept()
        else:
            super().wheelEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Qt's own name. Takes hold of the paper."""
        if event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self._grip = (event.position().toPoint(), *self._scrolls())
            self._moved = False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Qt's own name. Moves the paper; shows where there is a link."""
        if self._grip is None:
            link = self._link(event.position())
            self.viewport().setCursor(Qt.CursorShape.PointingHandCursor if link else Qt.CursorShape.ArrowCursor)
            return
        by = event.position().toPoint() - self._grip[0]
        if self._moved or by.manhattanLength() > 4:
            self._moved = True
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
            self.horizontalScrollBar().setValue(self._grip[1] - by.x())
            self.verticalScrollBar().setValue(self._grip[2] - by.y())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Qt's own name. A click follows a link."""
        moved, self._grip = self._moved, None
        self.viewport().setCursor(Qt.CursorShape.ArrowCursor)
        link = None if moved or event.button() != Qt.MouseButton.LeftButton else self._link(event.position())
        if link is not None and link.page >= 0:
            self.go_to(link.page)
        elif link is not None and link.address.startswith(("https://", "http://", "mailto:")):
            QDesktopServices.openUrl(QUrl(link.address))

    def _scrolls(self) -> tuple[int, int]:
        return self.horizontalScrollBar().value(), self.verticalScrollBar().value()

    def _link(self, at: QPointF) -> Any:
        if self.pages is None or not self._tops:
            return None
        page = self._at(at.y())
        rect = self._rect(page)
        if not rect.contains(at.toPoint()):
            return None
        unit = self._unit * self.scale
        return self.pages.link_at(page, (at.x() - rect.x()) / unit, (at.y() - rect.y()) / unit)

    def minimumSizeHint(self) -> QSize:
        """It may be small."""
        return QSize(200, 150)
