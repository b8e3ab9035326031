"""What is live, told by form first: dead parts are thin, grey and dashed, doubtful ones dotted with a "?", live ones
keep their strokes and carry small lightning signs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene

from app.canvas.finding import Finder
from app.canvas.glyphs import text_path
from app.canvas.items import Style, brush_of, colour_of, dress, pen_of
from app.canvas.sheet_items import FLAGS
from app.drawing.routes import junctions
from app.judgement import LiveParts
from engine.picture import Box, Text

__all__ = ["LiveMarks"]

_APART = 45.0  # mm from one sign on a run to the next
_SHORTEST = 6.0  # mm: a stretch that carries a sign
_DEAD_WIDTH = 0.25
# a bolt in a box of 2 by 4.6 mm about (0, 0)
_BOLT = ((0.7, -2.3), (-1.0, 0.35), (-0.1, 0.35), (-0.7, 2.3), (1.0, -0.4), (0.1, -0.4))
_DOT = 0.95  # mm: covers one of the sheet
_OFF = 2.0  # from the line to the middle of a sign
_Spot = tuple[float, float]


class LiveMarks:
    """Dresses the items of a sheet by what is live, and puts signs along live and doubtful runs."""

    def __init__(self, scene: QGraphicsScene) -> None:
        self.live: LiveParts | None = None
        self._bolts = QGraphicsPathItem()
        self._bolts.setPen(QPen(Qt.PenStyle.NoPen))
        self._bolts.setBrush(QBrush(colour_of("red")))
        self._doubts = QGraphicsPathItem()
        self._doubts.setPen(QPen(Qt.PenStyle.NoPen))
        self._doubts.setBrush(QBrush(colour_of("black")))
        self._dots = QGraphicsPathItem()  # over those of the sheet where only dead lines join
        self._dots.setPen(QPen(Qt.PenStyle.NoPen))
        self._dots.setBrush(QBrush(colour_of("grey")))
        for item in (self._bolts, self._doubts, self._dots):
            item.setZValue(FLAGS - 0.5)
            item.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
            item.setVisible(False)
            scene.addItem(item)

    def dress(self, owner: str, items: Iterable[tuple[QGraphicsItem, Style]]) -> None:
        """Pens of one owner's items."""
        state = "live"
        live = self.live
        if live is not None and owner and ":" not in owner and owner != "dots":
            state = "live" if owner in live.live else "doubtful" if owner in live.doubtful else "dead"
        for item, style in items:
            grey = state == "dead" and style.fill not in (None, "white")
            pen = pen_of(style)
            if state != "live":
                pen = _dead_pen(style) if state == "dead" else _doubtful_pen(style)
            dress(item, pen, QBrush(colour_of("grey")) if grey else brush_of(style))

    def set_signs(self, finder: Finder | None) -> None:
        """Signs along the runs and beside the symbols of the sheet as it now stands; none where nothing is told."""
        bolts, doubts, dots = QPainterPath(), QPainterPath(), QPainterPath()
        bolts.setFillRule(Qt.FillRule.WindingFill)
        doubts.setFillRule(Qt.FillRule.WindingFill)
        if self.live is not None and finder is not None:
            for item, lines in _runs(finder).items():
                if item in self.live.live:
                    for spots in _spots(lines):
                        _add_bolt(bolts, *_best(finder, spots))
                elif item in self.live.doubtful:
                    for spots in _spots(lines):
                        _add_doubt(doubts, *_best(finder, spots))
            for piece in finder.scene.on(finder.sheet):
                box = finder.boxes[piece.id]
                if piece.equipment in self.live.doubtful:
                    _add_doubt(doubts, *_best(finder, _corners(box)))
                elif piece.equipment in self.live.live:
                    _add_bolt(bolts, *_best(finder, _corners(box)))
            for point in junctions(finder.scene, finder.sheet):
                x, y = finder.sight.at(point)
                if not finder.runs_at(x, y) & (self.live.live | self.live.doubtful):
                    dots.addEllipse(QPointF(x, y), _DOT, _DOT)
        for item_path, path in ((self._bolts, bolts), (self._doubts, doubts), (self._dots, dots)):
            item_path.setPath(path)
            item_path.setVisible(not path.isEmpty())


def _dead_pen(style: Style) -> QPen:
    if style.width <= 0:
        return pen_of(style)
    pen = QPen(colour_of("grey"), _DEAD_WIDTH, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap)
    pen.setDashPattern([1.6 / _DEAD_WIDTH, 1.0 / _DEAD_WIDTH])
    return pen


def _doubtful_pen(style: Style) -> QPen:
    if style.width <= 0:
        return pen_of(style)
    pen = QPen(pen_of(style))
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setDashPattern([0.6 / style.width, 0.9 / style.width])
    return pen


def _runs(finder: Finder) -> dict[str, list[Box]]:
    made: dict[str, list[Box]] = {}
    for part in finder.scene.parts_on(finder.sheet):
        if part.run not in made:
            made[part.run] = finder.lines(part.run)
    return made


def _best(finder: Finder, spots: Sequence[_Spot]) -> _Spot:
    """The first place where a sign covers nothing, else where it covers least."""
    least, best = math.inf, spots[0]
    for x, y in spots:
        covered = finder.covered(Box(x - 1.0, y - 2.3, x + 1.0, y + 2.3))
        if covered < least:
            least, best = covered, (x, y)
        if covered == 0:
            break
    return best


def _corners(box: Box) -> list[_Spot]:
    """Beside a symbol: where a sign may stand, the best first."""
    across, down = (box.right + 1.6, box.left - 1.6), (box.top + 1.0, box.bottom - 1.0)
    return [(x, y) for y in down for x in across]


def _spots(lines: Iterable[Box]) -> list[list[_Spot]]:
    """Beside the stretches of a run, at least once on its longest: each time where a sign may stand, the best first."""
    made: list[list[_Spot]] = []
    for long, box in sorted(((b.right - b.left + b.bottom - b.top, b) for b in lines), reverse=True):
        if made and long < _APART / 2:
            break
        if long < _SHORTEST and made:
            break
        count = max(1, int(long // _APART))
        for n in range(count):
            spots: list[_Spot] = []
            for part in (0.5, 0.25, 0.75, 0.1, 0.9):
                share = (n + part) / count
                x, y = box.left + (box.right - box.left) * share, box.top + (box.bottom - box.top) * share
                off = ((-_OFF, 0.0), (_OFF, 0.0)) if box.left == box.right else ((0.0, -_OFF - 1.0), (0.0, _OFF + 1.0))
                spots += [(x + dx, y + dy) for dx, dy in off]
            made.append(spots)
    return made


def _add_bolt(path: QPainterPath, x: float, y: float) -> None:
    path.moveTo(x + _BOLT[0][0], y + _BOLT[0][1])
    for dx, dy in _BOLT[1:]:
        path.lineTo(x + dx, y + dy)
    path.closeSubpath()


def _add_doubt(path: QPainterPath, x: float, y: float) -> None:
    path.addPath(text_path(Text(x, y + 1.25, "?", 2.5, "middle", bold=True)))
