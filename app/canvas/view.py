"""How a sheet is looked at: zoom about the pointer, pan, fit, true size. Scene units are mm."""

from __future__ import annotations

import math
from typing import NamedTuple

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPalette,
    QPen,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QFrame, QGraphicsRectItem, QGraphicsScene, QGraphicsView, QWidget

from app.canvas.inks import colour_of, visible
from engine.picture import Box

__all__ = ["NEAREST", "Looked", "SheetView"]

_STEP = 1.2  # a notch of the wheel
_NOTCH = 120.0  # eighths of a degree in it
NEAREST = 80.0  # pixels a mm
_FARTHEST = 0.4  # of the zoom at which the sheet fits
_AIR = 14  # pixels round a sheet that fits
_HELD = 60  # pixels of the sheet that stay in the window, however far it is pulled
_DESK = 20_000.0  # mm of desk on every side, so that any point can be brought to the pointer


class Looked(NamedTuple):
    """How a sheet is looked at: what it `fits` ("page", "width", "" neither), the point in the middle, the zoom."""

    fits: str
    x: float  # mm
    y: float
    px_per_mm: float


class SheetView(QGraphicsView):
    """A sheet on a desk: white as paper, or in the inks of the screen."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._paper_scene = QGraphicsScene(self)
        self._paper_scene.setItemIndexMethod(QGraphicsScene.ItemIndexMethod.BspTreeIndex)
        self.setScene(self._paper_scene)
        self._paper = QGraphicsRectItem()
        self._paper.setZValue(0)
        self._paper_scene.addItem(self._paper)
        self._fitting = "page"  # what a new size of the window keeps: "page", "width", "place", "" the zoom as it is
        self._looked = Looked("page", 0.0, 0.0, 1.0)  # for "place"
        self._pan_from: QPoint | None = None
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setResizeAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.SmartViewportUpdate)
        self.setOptimizationFlag(QGraphicsView.OptimizationFlag.DontSavePainterState)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.viewport().setMouseTracking(True)
        self.colour_desk()

    # -- paper and desk --------------------------------------------------------------------------------------
    def set_paper(self, width: float, height: float) -> None:
        """Lay a sheet of so many mm on the desk."""
        rect = QRectF(0, 0, width, height)
        if rect != self._paper.rect():
            self._paper.setRect(rect)
            self.setSceneRect(rect.adjusted(-_DESK, -_DESK, _DESK, _DESK))
            self._refit()

    def colour_desk(self) -> None:
        """Sheet and desk in the colours of now."""
        window = self.palette().color(QPalette.ColorRole.Window)
        dark = window.lightness() < 128
        desk = window.darker(140) if dark else window.darker(115)
        self.setBackgroundBrush(QBrush(desk))
        paper = colour_of("white")
        self._paper.setBrush(QBrush(paper))
        edge = QPen(visible((130, 130, 130), paper), 1.0)
        edge.setCosmetic(True)
        self._paper.setPen(edge)

    def changeEvent(self, event: QEvent) -> None:
        """The desk follows the palette; the sheet its inks."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.ApplicationPaletteChange, QEvent.Type.StyleChange):
            self.colour_desk()

    # -- zoom ------------------------------------------------------------------------------------------------
    @property
    def pixels_per_mm(self) -> float:
        """How large a mm of the sheet is, in pixels of the window (not of the screen)."""
        return self.transform().m11()

    @property
    def zoom_percent(self) -> float:
        """100 is true size."""
        return 100.0 * self.pixels_per_mm / self._true_scale()

    def _true_scale(self) -> float:
        return max(self.logicalDpiX(), 1) / 25.4

    def zoom_by(self, factor: float, viewport_point: QPoint | QPointF | None = None) -> None:
        """Zoom, the point of the sheet under `viewport_point` (else the middle) staying where it is."""
        at = QPointF(self.viewport().rect().center()) if viewport_point is None else QPointF(viewport_point)
        self._fitting = ""
        self._scale_to(self.pixels_per_mm * factor, at)

    def _scale_to(self, scale: float, at: QPointF) -> None:
        kept = self.to_sheet(at)
        least = min(_FARTHEST * min(self._fitting_scales()), self.pixels_per_mm)
        scale = min(max(scale, least), max(NEAREST, self.pixels_per_mm))
        if not math.isclose(scale, self.pixels_per_mm, rel_tol=1e-9):
            self.setTransform(QTransform.fromScale(scale, scale))
        self._bring(kept, at)

    def to_sheet(self, at: QPoint | QPointF) -> QPointF:
        """The point of the sheet at a point of the viewport, in mm."""
        inverse, _ok = self.viewportTransform().inverted()
        return inverse.map(QPointF(at))

    def to_viewport(self, x: float, y: float) -> QPointF:
        """The point of the viewport where a point of the sheet is."""
        return self.viewportTransform().map(QPointF(x, y))

    def _bring(self, point: QPointF, at: QPointF) -> None:
        """Scroll until a point of the sheet is at a point of the viewport."""
        off = self.viewportTransform().map(point) - at
        self._scroll(round(off.x()), round(off.y()))

    def scroll_by(self, dx: int, dy: int) -> None:
        """Pull the sheet by so many pixels to the left and up, never wholly out of the window."""
        sheet, room = self.viewportTransform().mapRect(self._paper.rect()), self.viewport().rect()
        across = min(_HELD, round(sheet.width()), room.width())
        down = min(_HELD, round(sheet.height()), room.height())
        dx = max(min(dx, round(sheet.right()) - across), round(sheet.left()) - room.width() + across)
        dy = max(min(dy, round(sheet.bottom()) - down), round(sheet.top()) - room.height() + down)
        self._scroll(dx, dy)

    def _scroll(self, dx: int, dy: int) -> None:
        across, down = self.horizontalScrollBar(), self.verticalScrollBar()
        across.setValue(across.value() + dx)
        down.setValue(down.value() + dy)

    def fit(self) -> None:
        """The whole sheet."""
        self._fitting = "page"
        self._refit()

    def fit_width(self) -> None:
        """The sheet as wide as the window, from its upper edge."""
        self._fitting = "width"
        self._refit()

    def show_true_size(self) -> None:
        """A mm on the screen for a mm on the sheet, as far as the screen says how large it is."""
        self.zoom_by(self._true_scale() / self.pixels_per_mm)

    def _fitting_scales(self) -> tuple[float, float]:
        """The zoom at which the sheet is as wide as the window, and as high."""
        sheet, room = self._paper.rect(), self.viewport().rect()
        across = max(room.width() - 2 * _AIR, 50) / max(sheet.width(), 1.0)
        return across, max(room.height() - 2 * _AIR, 50) / max(sheet.height(), 1.0)

    def _refit(self) -> None:
        if not self._fitting or self._paper.rect().isEmpty():
            return
        sheet, room = self._paper.rect(), self.viewport().rect()
        across, down = self._fitting_scales()
        if self._fitting == "place":
            scale = min(max(self._looked.px_per_mm, _FARTHEST * min(across, down)), NEAREST)
            self.setTransform(QTransform.fromScale(scale, scale))
            self._bring(QPointF(self._looked.x, self._looked.y), QPointF(room.width() / 2, room.height() / 2))
            return
        scale = min(across, down) if self._fitting == "page" else across
        self.setTransform(QTransform.fromScale(scale, scale))
        if self._fitting == "page":
            self._bring(sheet.center(), QPointF(room.width() / 2, room.height() / 2))
        else:
            self._bring(QPointF(sheet.center().x(), 0.0), QPointF(room.width() / 2, _AIR))

    def view_now(self) -> Looked:
        """How the sheet is looked at now."""
        middle = self.to_sheet(QPointF(self.viewport().rect().center()))
        fits = self._fitting if self._fitting in ("page", "width") else ""
        return Looked(fits, middle.x(), middle.y(), self.pixels_per_mm)

    def show_view(self, looked: Looked) -> None:
        """Look at the sheet so; the place stays in the middle of a window that is still finding its size."""
        self._looked = looked
        self._fitting = looked.fits or "place"
        self._refit()

    def show_box(self, box: Box) -> None:
        """Scroll so that a box in mm is seen with some air; to its middle where it is not."""
        seen = self.seen_box()
        air = min(30 / self.pixels_per_mm, (seen.right - seen.left) / 4, (seen.bottom - seen.top) / 4)
        wanted = box.grown(air)
        if (
            seen.left <= wanted.left
            and wanted.right <= seen.right
            and seen.top <= wanted.top
            and wanted.bottom <= seen.bottom
        ):
            return
        self._fitting = ""
        middle = QPointF((box.left + box.right) / 2, (box.top + box.bottom) / 2)
        self._bring(middle, QPointF(self.viewport().rect().center()))

    def seen_box(self) -> Box:
        """What of the sheet's plane is in the window, in mm."""
        rect = self.viewport().rect()
        a, b = self.to_sheet(rect.topLeft()), self.to_sheet(QPoint(rect.width(), rect.height()))
        return Box(a.x(), a.y(), b.x(), b.y())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A sheet that fits keeps fitting."""
        super().resizeEvent(event)
        self._refit()

    # -- wheel, touchpad, pan --------------------------------------------------------------------------------
    def wheelEvent(self, event: QWheelEvent) -> None:
        """A wheel zooms about the pointer, with Shift it pans across; a touchpad pans, with Ctrl it zooms."""
        pixels, angle = event.pixelDelta(), event.angleDelta()
        keys = event.modifiers()
        ctrl = bool(keys & Qt.KeyboardModifier.ControlModifier)
        if not pixels.isNull() and not ctrl:
            self._fitting = ""
            self.scroll_by(-pixels.x(), -pixels.y())
        elif keys & Qt.KeyboardModifier.ShiftModifier and not ctrl:
            self._fitting = ""
            self.scroll_by(-round((angle.y() or angle.x()) / _NOTCH * 60), 0)
        elif angle.y():
            self.zoom_by(_STEP ** (angle.y() / _NOTCH), event.position())
        elif angle.x():
            self._fitting = ""
            self.scroll_by(-round(angle.x() / _NOTCH * 60), 0)
        event.accept()

    def viewportEvent(self, event: QEvent) -> bool:
        """Two fingers that spread zoom."""
        if isinstance(event, QNativeGestureEvent) and event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture:
            self.zoom_by(max(0.2, 1.0 + event.value()), event.position())
            return True
        return super().viewportEvent(event)

    def begin_pan(self, event: QMouseEvent) -> None:
        """Take hold of the sheet."""
        self._pan_from = event.position().toPoint()
        self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)

    def pan_to(self, event: QMouseEvent) -> bool:
        """Pull it along; whether it is held."""
        if self._pan_from is None:
            return False
        at = event.position().toPoint()
        self._fitting = ""
        self.scroll_by(self._pan_from.x() - at.x(), self._pan_from.y() - at.y())
        self._pan_from = at
        return True

    def end_pan(self) -> bool:
        """Let go; whether it was held."""
        held, self._pan_from = self._pan_from is not None, None
        return held
