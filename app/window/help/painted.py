"""A picture of the display list as an image, painted by the very items the board shows. Qt."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QGraphicsScene

from app.canvas.inks import colour_of
from app.canvas.items import make_item, merged
from engine.picture import Picture

__all__ = ["LEAST_PX_PER_MM", "MOST_PX_PER_MM", "painted", "scale_for", "size_px"]

LEAST_PX_PER_MM = 3.0  # a capital of 2.5 mm is 7.5 px high: below that it is not read with ease
MOST_PX_PER_MM = 4.4


def scale_for(picture: Picture, room_px: float) -> float:
    """Pixels a millimetre: as large as the room allows, never so small that it cannot be read."""
    return min(MOST_PX_PER_MM, max(LEAST_PX_PER_MM, room_px / picture.width))


def size_px(picture: Picture, scale: float) -> tuple[int, int]:
    """How large it stands, in logical pixels."""
    return round(picture.width * scale), round(picture.height * scale)


def painted(picture: Picture, scale: float, ratio: float = 1.0) -> QImage:
    """The picture, in the inks of the screen. `ratio`: device pixels a logical one."""
    wide, high = size_px(picture, scale)
    image = QImage(max(1, round(wide * ratio)), max(1, round(high * ratio)), QImage.Format.Format_RGB32)
    image.fill(colour_of("white"))
    scene = QGraphicsScene()
    for n, strokes in enumerate(merged(picture.primitives)):
        scene.addItem(make_item(strokes, float(n)))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    source = QRectF(0.0, 0.0, picture.width, picture.height)
    scene.render(painter, QRectF(image.rect()), source, Qt.AspectRatioMode.IgnoreAspectRatio)
    painter.end()
    image.setDevicePixelRatio(ratio)
    return image
