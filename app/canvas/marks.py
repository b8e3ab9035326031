"""What is shown over a sheet while one works on it: what is selected, previews, the keyboard's pointer, a flash."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from itertools import pairwise

from PySide6.QtCore import QObject, QPointF, QRectF, Qt, QTimer
from PySide6.QtGui import QBrush, QColor, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene

from app.canvas.inks import colour_of
from app.canvas.items import make_item, merged
from app.canvas.sheet_items import MARKS
from engine.picture import Box, Primitive

__all__ = ["Marks"]

XY = tuple[float, float]
_SOFT = 36  # of 255: how much of a fill is seen
_FLASH_MS = 1500
_TICK = 2.2  # length of a corner tick, mm
_GAP = 0.9  # between a symbol and the line round it


def _pen(ink: str, pixels: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    """A pen that is as thick at every zoom."""
    pen = QPen(colour_of(ink), pixels, style, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin)
    pen.setCosmetic(True)
    return pen


def _solid(ink: str) -> QBrush:
    return QBrush(colour_of(ink))


def _soft(ink: str) -> QBrush:
    colour = QColor(colour_of(ink))
    colour.setAlpha(_SOFT)
    return QBrush(colour)


class Marks(QObject):
    """Overlay items of a board, all in mm on the sheet. Each is one path that is set anew, never one item a thing."""

    def __init__(self, scene: QGraphicsScene, parent: QObject) -> None:
        super().__init__(parent)
        self._scene = scene
        self._worn: list[tuple[QGraphicsPathItem, Callable[[], QPen], Callable[[], QBrush] | None]] = []
        self._halo = self._item(partial(_pen, "blue", 1.5), 0, partial(_soft, "blue"))
        self._ticks = self._item(partial(_pen, "blue", 3.0), 1)
        self._run_halo = self._item(partial(_wide, "blue", 2.2), -1)
        self._run_ends = self._item(partial(_pen, "blue", 2.0), 1, partial(_solid, "white"))
        self._way = self._item(partial(_wide, "red", 3.2), -2)  # what a state that is shown is about
        self._way_symbols = self._item(partial(_pen, "red", 2.0, Qt.PenStyle.DashLine), 0)
        self._note = self._item(partial(_pen, "red", 2.0), 1, partial(_soft, "red"))
        self._band = self._item(partial(_pen, "blue", 1.2, Qt.PenStyle.DashLine), 6, partial(_soft, "blue"))
        self._rubber = self._item(partial(_pen, "blue", 2.5), 3)
        self._rubber_end = self._item(partial(_pen, "red", 2.0), 4)
        self._crosses = self._item(partial(_pen, "grey", 2.0), 2)
        self._rings = self._item(partial(_pen, "blue", 1.5), 2, partial(_soft, "blue"))
        self._insert = self._item(partial(_pen, "blue", 2.0), 4, partial(_solid, "white"))
        self._pointer = self._item(partial(_pen, "blue", 1.5), 7)
        self._flash = self._item(partial(_pen, "blue", 2.5), 8)
        self.wear_inks()
        self._ghost: list[QGraphicsItem] = []
        self._flash_timer = QTimer(self)
        self._flash_timer.setSingleShot(True)
        self._flash_timer.setInterval(_FLASH_MS)
        self._flash_timer.timeout.connect(self.end_flash)

    def _item(
        self, pen: Callable[[], QPen], over: float, brush: Callable[[], QBrush] | None = None
    ) -> QGraphicsPathItem:
        item = QGraphicsPathItem()
        self._worn.append((item, pen, brush))
        item.setZValue(MARKS + over)
        item.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
        item.setVisible(False)
        self._scene.addItem(item)
        return item

    def wear_inks(self) -> None:
        """Everything in the inks of the screen as they are now."""
        for item, pen, brush in self._worn:
            item.setPen(pen())
            if brush is not None:
                item.setBrush(brush())

    # -- what is selected ------------------------------------------------------------------------------------
    def select(self, symbols: Iterable[Box], runs: Iterable[Sequence[XY]]) -> None:
        """Mark symbols by a line round them with ticks at its corners, runs by a band and squares at their ends."""
        halo, ticks, band, ends = QPainterPath(), QPainterPath(), QPainterPath(), QPainterPath()
        for box in symbols:
            b = box.grown(_GAP)
            halo.addRect(_rect(b))
            for x, y, dx, dy in ((b.left, b.top, 1, 1), (b.right, b.top, -1, 1), (b.right, b.bottom, -1, -1),
                                 (b.left, b.bottom, 1, -1)):  # fmt: skip
                tick = min(_TICK, (b.right - b.left) / 3, (b.bottom - b.top) / 3)
                ticks.moveTo(x + dx * tick, y)
                ticks.lineTo(x, y)
                ticks.lineTo(x, y + dy * tick)
        for points in runs:
            band.addPath(_polyline(points))
            for x, y in (points[0], points[-1]):
                ends.addRect(QRectF(x - 0.8, y - 0.8, 1.6, 1.6))
        halo.setFillRule(Qt.FillRule.WindingFill)
        for item, path in ((self._halo, halo), (self._ticks, ticks), (self._run_halo, band), (self._run_ends, ends)):
            _set(item, path)
            item.setPos(0, 0)

    def shift_selection(self, dx: float, dy: float) -> None:
        """Move the marks of symbols along; those of runs are hidden until they stand again."""
        self._halo.setPos(dx, dy)
        self._ticks.setPos(dx, dy)
        self._run_halo.setVisible(False)
        self._run_ends.setVisible(False)

    def show_way(self, symbols: Iterable[Box], runs: Iterable[Sequence[XY]]) -> None:
        """Mark what a state is about: a band along runs, a dashed line round symbols."""
        band, round_them = QPainterPath(), QPainterPath()
        for points in runs:
            band.addPath(_polyline(points))
        for box in symbols:
            round_them.addRoundedRect(_rect(box.grown(1.6)), 1.5, 1.5)
        _set(self._way, band)
        _set(self._way_symbols, round_them)

    def point_at(self, boxes: Iterable[Box]) -> None:
        """Mark a note and its flags."""
        path = QPainterPath()
        for box in boxes:
            path.addRoundedRect(_rect(box.grown(1.0)), 1.5, 1.5)
        _set(self._note, path)

    # -- previews --------------------------------------------------------------------------------------------
    def show_ghost(self, primitives: Iterable[Primitive]) -> None:
        """Strokes of what would be placed."""
        self.drop_ghost()
        for strokes in merged(primitives):
            item = make_item(strokes, MARKS + 2)
            item.setOpacity(0.6)
            self._scene.addItem(item)
            self._ghost.append(item)

    def drop_ghost(self) -> None:
        """Take them away."""
        for item in self._ghost:
            self._scene.removeItem(item)
        self._ghost.clear()

    def show_rubber(self, points: Sequence[XY], ok: bool) -> None:
        """The line that would be drawn; one that would not do is dashed and ends in a cross."""
        self._rubber.setPen(_pen("blue", 2.5) if ok else _pen("red", 2.0, Qt.PenStyle.DashLine))
        _set(self._rubber, _polyline(points))
        cross = QPainterPath()
        if not ok and points:
            x, y = points[-1]
            cross.moveTo(x - 1.2, y - 1.2)
            cross.lineTo(x + 1.2, y + 1.2)
            cross.moveTo(x - 1.2, y + 1.2)
            cross.lineTo(x + 1.2, y - 1.2)
        _set(self._rubber_end, cross)

    def show_insert(self, x: float, y: float, upright: bool) -> None:
        """Where on a run something would be inserted: a chevron on either side of the line."""
        path = QPainterPath()
        for side in (-1, 1):
            points = [(-1.2, 2.6 * side), (0.0, 1.2 * side), (1.2, 2.6 * side)]
            path.addPath(_polyline([(x + (b if upright else a), y + (a if upright else b)) for a, b in points]))
        _set(self._insert, path)

    def show_band(self, box: Box | None) -> None:
        """The rectangle one selects by."""
        path = QPainterPath()
        if box is not None:
            path.addRect(_rect(box))
        _set(self._band, path)

    def ring_terminals(self, at: Iterable[XY], bars: Iterable[Box] = (), crossed: Iterable[XY] = ()) -> None:
        """Small rings at terminals, a line round buses, which may be met anywhere; crosses where it will not do."""
        path = QPainterPath()
        path.setFillRule(Qt.FillRule.WindingFill)
        for box in bars:
            path.addRoundedRect(_rect(box), 1.0, 1.0)
        for x, y in at:
            path.addEllipse(QPointF(x, y), 0.9, 0.9)
        _set(self._rings, path)
        crosses = QPainterPath()
        for x, y in crossed:
            crosses.addEllipse(QPointF(x, y), 0.9, 0.9)
            for side in (-1, 1):
                crosses.moveTo(x - 0.8, y - 0.8 * side)
                crosses.lineTo(x + 0.8, y + 0.8 * side)
        _set(self._crosses, crosses)

    def clear_preview(self) -> None:
        """Take ghost, line, insert mark and band away."""
        self.drop_ghost()
        for item in (self._rubber, self._rubber_end, self._insert, self._band):
            _set(item, QPainterPath())

    # -- pointing --------------------------------------------------------------------------------------------
    def show_pointer(self, at: XY | None) -> None:
        """The keyboard's pointer: a cross in a square, `None` hides it."""
        path = QPainterPath()
        if at is not None:
            x, y = at
            path.addRect(QRectF(x - 1.6, y - 1.6, 3.2, 3.2))
            for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                path.moveTo(x + 0.5 * dx, y + 0.5 * dy)
                path.lineTo(x + 3.0 * dx, y + 3.0 * dy)
        _set(self._pointer, path)

    def flash(self, *boxes: Box) -> None:
        """A ring that stays a moment round what was looked for; it does not move, so nobody is disturbed."""
        path = QPainterPath()
        for box in boxes:
            for off in (2.0, 3.4):
                path.addRoundedRect(_rect(box.grown(off)), off + 0.5, off + 0.5)
        _set(self._flash, path)
        self._flash_timer.start()

    def end_flash(self) -> None:
        """Take the ring away."""
        self._flash_timer.stop()
        _set(self._flash, QPainterPath())

    @property
    def is_flashing(self) -> bool:
        """Whether the ring is shown."""
        return self._flash.isVisible()


def _wide(ink: str, width: float) -> QPen:
    """A see-through band so many mm wide."""
    colour = QColor(colour_of(ink))
    colour.setAlpha(2 * _SOFT)
    return QPen(colour, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.RoundJoin)


def _set(item: QGraphicsPathItem, path: QPainterPath) -> None:
    item.setPath(path)
    item.setVisible(not path.isEmpty())


def _rect(box: Box) -> QRectF:
    return QRectF(box.left, box.top, box.right - box.left, box.bottom - box.top)


def _polyline(points: Sequence[XY]) -> QPainterPath:
    path = QPainterPath()
    if points:
        path.moveTo(*points[0])
        for (_x, _y), (x, y) in pairwise(points):
            path.lineTo(x, y)
    return path
