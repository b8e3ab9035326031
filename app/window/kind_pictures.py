"""Small pictures of symbols for lists and menus, drawn from the symbol files in the colours of the palette."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPen, QPixmap, QRawFont, QTransform

from app.drawing.looks import STEP, look
from engine.equipment import kinds
from engine.picture import CAP_HEIGHT, Path, Primitive, Text, font_file, text_width

__all__ = ["kind_icon"]

_EM_PX = 100.0  # outlines of type are taken at this size


@lru_cache(maxsize=512)
def kind_icon(
    kind: str, px: int, ink: int, paper: int, ink_chosen: int, paper_chosen: int, scale: float = 1.0
) -> QIcon:
    """The symbol of a kind, `px` logical pixels square; colours as `QColor.rgba()`, plain and in a chosen row.

    `scale`: device pixels a logical one.
    """
    icon = QIcon()
    for mode, fore, back in ((QIcon.Mode.Normal, ink, paper), (QIcon.Mode.Selected, ink_chosen, paper_chosen)):
        icon.addPixmap(_drawn(kind, px, scale, QColor.fromRgba(fore), QColor.fromRgba(back)), mode)
    return icon


def _drawn(kind: str, px: int, scale: float, ink: QColor, paper: QColor) -> QPixmap:
    seen = look(kinds()[kind](), "IEC 60617")
    box = seen.box
    wide, high = (box.right - box.left) * STEP, (box.bottom - box.top) * STEP
    zoom = min((px - 4) / max(wide, high, 10.0), 3.6)
    pixmap = QPixmap(round(px * scale), round(px * scale))
    pixmap.setDevicePixelRatio(scale)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(px / 2, px / 2)
    painter.scale(zoom, zoom)
    painter.translate(-(box.left + box.right) / 2 * STEP, -(box.top + box.bottom) / 2 * STEP)
    for primitive in seen.shape.primitives:
        _paint(painter, primitive, zoom, ink, paper)
    painter.end()
    return pixmap


def _paint(painter: QPainter, p: Primitive, zoom: float, ink: QColor, paper: QColor) -> None:
    if isinstance(p, Text):
        painter.fillPath(_type(p), ink)
        return
    path = _strokes(p)
    if p.fill is not None:
        painter.fillPath(path, paper if p.fill == "white" else ink)
    if p.width:
        pen = QPen(paper if p.ink == "white" else ink, max(p.width * 0.8, 1.5 / zoom))  # never thinner than a pixel
        pen.setCapStyle(Qt.PenCapStyle.FlatCap if p.cap == "butt" else Qt.PenCapStyle.SquareCap)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.strokePath(path, pen)


def _strokes(p: Path) -> QPainterPath:
    made = QPainterPath()
    for letter, *numbers in p.segments:
        if letter == "M":
            made.moveTo(*numbers)
        elif letter == "L":
            made.lineTo(*numbers)
        elif letter == "C":
            made.cubicTo(*numbers)
        else:
            made.closeSubpath()
    return made


def _type(p: Text) -> QPainterPath:
    """A line of type as outlines, so that it is scaled like every other stroke."""
    font = QRawFont(str(font_file(p.bold)), _EM_PX)
    size = p.height / CAP_HEIGHT / _EM_PX
    x = p.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[p.anchor] * text_width(p.text, p.height, p.bold)
    made = QPainterPath()
    glyphs = font.glyphIndexesForString(p.text)
    for glyph, advance in zip(glyphs, font.advancesForGlyphIndexes(glyphs), strict=True):
        made.addPath(QTransform(size, 0, 0, size, x, p.y).map(font.pathForGlyph(glyph)))
        x += advance.x() * size
    return made
