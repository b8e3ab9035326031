"""Small pictures of symbols for lists and menus, drawn from the symbol files in the colours of the palette."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPalette, QPen, QPixmap
from PySide6.QtWidgets import QWidget

from app.canvas.glyphs import text_path
from app.canvas.items import to_painter_path
from app.drawing.looks import STEP, Look, look
from app.window.comfort.looks import LEAST_POINTS
from engine.equipment import kinds
from engine.picture import Primitive, Text

__all__ = ["icon_on", "kind_icon", "with_type"]


def with_type(px: int, widget: QWidget) -> int:
    """A length that fits type of the usual size, for the type of a widget, px."""
    return round(px * max(widget.font().pointSizeF() / LEAST_POINTS, 1.0))


def icon_on(
    widget: QWidget, kind: str, px: int, standard: str = "IEC 60617", symbol: str = "", reading: int = 0
) -> QIcon:
    """The symbol of a kind in the colours of a widget's palette and at its screen's scale; the rest as `kind_icon`."""

    def ink(role: QPalette.ColorRole) -> int:
        return widget.palette().color(QPalette.ColorGroup.Active, role).rgba()

    return kind_icon(
        kind,
        px,
        ink(QPalette.ColorRole.Text),
        ink(QPalette.ColorRole.Base),
        ink(QPalette.ColorRole.HighlightedText),
        ink(QPalette.ColorRole.Highlight),
        widget.devicePixelRatioF(),
        standard,
        symbol,
        reading,
    )


@lru_cache(maxsize=512)
def kind_icon(
    kind: str,
    px: int,
    ink: int,
    paper: int,
    ink_chosen: int,
    paper_chosen: int,
    scale: float = 1.0,
    standard: str = "IEC 60617",
    symbol: str = "",
    reading: int = 0,
) -> QIcon:
    """The symbol of a kind, `px` logical pixels square; colours as `QColor.rgba()`, plain and in a chosen row.

    `scale`: device pixels a logical one. `standard`: that of the drawing. `symbol`: the name of another symbol for this
    kind; `reading`: of the yard's own symbols, `own_symbols().number`.
    """
    icon = QIcon()
    for mode, fore, back in ((QIcon.Mode.Normal, ink, paper), (QIcon.Mode.Selected, ink_chosen, paper_chosen)):
        seen = look(kinds()[kind](), standard, symbol=symbol)
        icon.addPixmap(_drawn(seen, px, scale, QColor.fromRgba(fore), QColor.fromRgba(back)), mode)
    return icon


def _drawn(seen: Look, px: int, scale: float, ink: QColor, paper: QColor) -> QPixmap:
    box = seen.box
    wide, high = (box.right - box.left) * STEP, (box.bottom - box.top) * STEP
    zoom = min((px - 4) / max(wide, high, 10.0), 3.6 * max(px / 36, 1.0))  # lines of small symbols no thicker
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
        painter.fillPath(text_path(p), ink)
        return
    path = to_painter_path(p)
    if p.fill is not None:
        painter.fillPath(path, paper if p.fill == "white" else ink)
    if p.width:
        pen = QPen(paper if p.ink == "white" else ink, max(p.width * 0.8, 1.5 / zoom))  # never thinner than a pixel
        pen.setCapStyle(Qt.PenCapStyle.FlatCap if p.cap == "butt" else Qt.PenCapStyle.SquareCap)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.strokePath(path, pen)
