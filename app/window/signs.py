"""Signs for tools and pages, drawn of strokes in the palette's own colour: crisp at any scale, right in the dark."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPalette, QPen, QPixmap

__all__ = ["sign"]

_SIDES = (26, 39, 52, 78)  # px, for screens at 100, 150, 200 and 300 %
# strokes on a field of 24 by 24: "M x y L x y ..." and "O x y r" for a circle
_SIGNS = {
    "choose": "M 6 3 L 6 19 L 10.5 15 L 13.5 21 L 16 20 L 13 14 L 19 14 L 6 3",
    "place": "M 4 9 L 4 20 L 15 20 L 15 9 L 4 9 M 18.5 2 L 18.5 11 M 14 6.5 L 23 6.5",
    "run": "O 4 19 2 M 4 17 L 4 7 L 20 7 L 20 17 O 20 19 2",
    "operate": "M 3 18 L 8 18 L 17.5 7 M 16 18 L 21 18 M 16 16 L 16 20",
    "pan": "M 12 2 L 12 22 M 2 12 L 22 12 M 9 5 L 12 2 L 15 5 M 9 19 L 12 22 L 15 19 M 5 9 L 2 12 L 5 15 "
    "M 19 9 L 22 12 L 19 15",
    "particulars": "M 4 3 L 20 3 L 20 21 L 4 21 L 4 3 M 7 8 L 11 8 M 13.5 8 L 17 8 M 7 12 L 11 12 M 13.5 12 L 17 12 "
    "M 7 16 L 11 16 M 13.5 16 L 17 16",
    "kinds": "O 7 7 4 M 14 4 L 22 4 L 22 10 L 14 10 L 14 4 M 3 18.5 L 11 18.5 M 7 15 L 7 22 M 14 15 L 22 22 M 22 15 "
    "L 14 22",
    "conditions": "M 3 3 L 3 21 L 21 21 M 3 7 L 8 8 L 13 15 L 16 14 L 21 6",
    "sizes": "O 6 12 3.5 O 17 12 5.5 M 6 8.5 L 17 6.5 M 6 15.5 L 17 17.5",
    "notes": "O 6.5 6 3.8 M 13 4 L 22 4 M 13 8 L 19 8 O 6.5 17 3.8 M 13 15 L 22 15 M 13 19 L 19 19",
    "missing": "M 3 4 L 7 4 L 7 8 L 3 8 L 3 4 M 10 6 L 21 6 M 3 11 L 7 11 L 7 15 L 3 15 L 3 11 M 10 13 L 17 13 "
    "M 3 18 L 7 18 L 7 22 L 3 22 L 3 18 M 10 20 L 21 20",
    "rules": "M 12 6 L 12 21 M 12 6 L 8 4 L 2 4 L 2 19 L 8 19 L 12 21 L 16 19 L 22 19 L 22 4 L 16 4 L 12 6 M 5 9 L 9 9 "
    "M 5 13 L 9 13 M 15 9 L 19 9 M 15 13 L 19 13",
    "switching": "O 4 12 2 M 6 12 L 9 12 L 18 6 O 20 5 2 O 20 19 2 M 13 19 L 18 19 M 13 16 L 13 22",
    "as-before": "M 4 13 L 10 19 L 20 6",
    "otherwise": "M 3 12 L 20 12 M 14 6 L 20 12 L 14 18",
    "dark": "M 5 5 L 19 19 M 19 5 L 5 19",
    "undecided": "M 8 8 L 9 5 L 12 4 L 15 5 L 16 8 L 12 12 L 12 15 M 12 19 L 12 20.5",
    "never": "M 5 12 L 19 12",
    "handover": "M 5 2 L 15 2 L 19 6 L 19 15 M 15 2 L 15 6 L 19 6 M 5 2 L 5 22 L 12 22 M 8.5 10 L 15.5 10 "
    "M 8.5 14 L 14 14 M 14 19 L 23 19 M 19.5 15.5 L 23 19 L 19.5 22.5",
    "table": "M 3 4 L 21 4 L 21 20 L 3 20 L 3 4 M 3 9 L 21 9 M 3 14.5 L 21 14.5 M 9 4 L 9 20",
}


def sign(name: str, palette: QPalette) -> QIcon:
    """The sign of an action; an empty icon where there is none. Made anew when the palette changes."""
    strokes = _SIGNS.get(name)
    made = QIcon()
    if strokes is None:
        return made
    path = _path(strokes)
    active, text = QPalette.ColorGroup.Active, QPalette.ColorRole.ButtonText
    for colour, mode in (
        (palette.color(active, text), QIcon.Mode.Normal),
        (palette.color(QPalette.ColorGroup.Disabled, text), QIcon.Mode.Disabled),
        (palette.color(active, QPalette.ColorRole.HighlightedText), QIcon.Mode.Selected),
    ):
        for side in _SIDES:
            made.addPixmap(_drawn(path, side, colour), mode)
    return made


def _drawn(path: QPainterPath, side: int, colour: QColor) -> QPixmap:
    made = QPixmap(side, side)
    made.fill(Qt.GlobalColor.transparent)
    painter = QPainter(made)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(side / 24, side / 24)
    painter.setPen(QPen(colour, 1.7, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
    painter.drawPath(path)
    painter.end()
    return made


def _path(text: str) -> QPainterPath:
    path = QPainterPath()
    words = text.split()
    while words:
        kind = words.pop(0)
        x, y = float(words.pop(0)), float(words.pop(0))
        if kind == "M":
            path.moveTo(x, y)
        elif kind == "L":
            path.lineTo(x, y)
        else:
            radius = float(words.pop(0))
            path.addEllipse(QPointF(x, y), radius, radius)
    return path
