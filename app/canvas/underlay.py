"""The picture under the sheet on the board: dimmed, clipped to the paper, as sharp as the zoom asks for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QPen, QPixmap, QTransform
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPixmapItem, QGraphicsRectItem

if TYPE_CHECKING:
    from app.canvas.surface import Surface
    from engine.installation import Underlay

__all__ = ["Pixels", "UnderPicture"]


_LEVEL = 0.5  # over the paper, under the frame and everything drawn


class Pixels(NamedTuple):
    """A picture as read: how large it is in its own units, and its pixels, each level half as large as the last."""

    width: float
    height: float
    levels: tuple[QPixmap, ...]


class UnderPicture(QObject):
    """Items of one picture. `show` puts it on the board; `place` moves it without reading anything anew."""

    def __init__(self, board: Surface) -> None:
        super().__init__(board)
        self.board = board
        self._scale = 0.0  # for which a level was chosen
        self._clip = QGraphicsRectItem()
        self._clip.setPen(QPen(Qt.PenStyle.NoPen))
        self._clip.setFlag(QGraphicsItem.GraphicsItemFlag.ItemClipsChildrenToShape)
        self._clip.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
        self._clip.setZValue(_LEVEL)
        self._clip.hide()
        board.scene().addItem(self._clip)
        self._items: list[QGraphicsPixmapItem] = []
        self.pixels: Pixels | None = None
        self.underlay: Underlay | None = None
        board.viewport().installEventFilter(self)

    def show(self, pixels: Pixels | None, underlay: Underlay | None) -> None:
        """Show these pixels where the record says; `None`: nothing."""
        if pixels is not self.pixels:
            self._clear()
            self.pixels = pixels
            self._make(() if pixels is None else pixels.levels)
        self.underlay = underlay
        shown = pixels is not None and underlay is not None
        self._clip.setVisible(shown)
        if underlay is not None and pixels is not None:
            self._clip.setRect(0.0, 0.0, *self.board.shown.size())
            self.place(underlay)

    def place(self, underlay: Underlay) -> None:
        """Show it elsewhere, or more or less strongly: while it is dragged, or for good."""
        if self.pixels is None:
            return
        self.underlay = underlay
        for item, pixmap in zip(self._items, self.pixels.levels, strict=True):
            across = self.pixels.width / max(pixmap.width(), 1)
            down = self.pixels.height / max(pixmap.height(), 1)
            turn = QTransform()
            turn.translate(underlay.left_mm, underlay.top_mm)
            turn.rotate(underlay.turned_deg)
            turn.scale(underlay.mm_per_unit * across, underlay.mm_per_unit * down)
            item.setTransform(turn)
            item.setOpacity(underlay.strength_percent / 100.0)
        self._choose()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Qt's own name. Another zoom may want another level; it is taken after the painting, not during it."""
        if event.type() == QEvent.Type.Paint and self.pixels is not None and self._scale != self.board.pixels_per_mm:
            QTimer.singleShot(0, self, self._choose)
        return super().eventFilter(watched, event)

    @property
    def is_shown(self) -> bool:
        """Whether a picture lies there."""
        return self._clip.isVisible()

    def _make(self, levels: Sequence[QPixmap]) -> None:
        for pixmap in levels:
            item = QGraphicsPixmapItem(pixmap, self._clip)
            item.setTransformationMode(Qt.TransformationMode.SmoothTransformation)
            item.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
            item.setShapeMode(QGraphicsPixmapItem.ShapeMode.BoundingRectShape)
            self._items.append(item)

    def _choose(self) -> None:
        """The smallest level that has a pixel for every one on the screen."""
        if self.pixels is None or self.underlay is None or not self._items:
            return
        self._scale = self.board.pixels_per_mm
        scale = self._scale * self.board.devicePixelRatioF()
        wanted = self.pixels.width * self.underlay.mm_per_unit * scale
        fits = [n for n, each in enumerate(self.pixels.levels) if each.width() >= wanted]
        best = fits[-1] if fits else 0
        for n, item in enumerate(self._items):
            item.setVisible(n == best)

    def _clear(self) -> None:
        for item in self._items:
            self.board.scene().removeItem(item)  # from its parent too
        self._items.clear()
