"""What is live, told by form first: dead parts are thin, grey and dashed, doubtful ones dotted with a "?", live ones
keep their strokes and carry small lightning signs; on runs and buses they stand in flags with the name of what makes
them live.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene

from app.canvas.finding import Finder
from app.canvas.glyphs import text_path
from app.canvas.hands import SIGN, hand_of
from app.canvas.inks import colour_of, visible
from app.canvas.items import Style, brush_of, dress, pen_of
from app.canvas.sheet_items import FLAGS
from app.canvas.source_flags import AFTER, BEFORE, HEIGHT, NAMED, STRIPE, Flag, flags_of, order_of
from app.drawing.routes import junctions
from app.judgement import LiveParts
from engine.picture import Box, Text

__all__ = ["SOURCE_COLOURS", "LiveMarks"]

# second to the name; the first seven are told apart by most people (Okabe, Ito: Color universal design, 2008)
SOURCE_COLOURS = (
    (0, 114, 178), (230, 159, 0), (0, 158, 115), (204, 121, 167), (86, 180, 233), (213, 94, 0), (240, 228, 66),
    (90, 90, 90), (110, 60, 160), (130, 70, 20), (0, 0, 0), (150, 200, 60),
)  # fmt: skip
_APART = 45.0  # mm from one sign on a run to the next
_HAND = 1.7  # mm: half the frame of a handle
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
        self._doubts = QGraphicsPathItem()
        self._dots = QGraphicsPathItem()  # over those of the sheet where only dead lines join
        self.flags: list[Flag] = []
        self._boards = QGraphicsPathItem()  # of the flags
        self._wrong = QGraphicsPathItem()  # a second frame round those where sources meet
        self._names = QGraphicsPathItem()
        self._stripes = [QGraphicsPathItem() for _colour in SOURCE_COLOURS]
        self._hands = QGraphicsPathItem()  # whether a hand can switch what is switched from afar
        self.wear_inks()
        flags = (self._boards, self._wrong, *self._stripes, self._hands, self._names)
        self._every = (*flags, self._bolts, self._doubts, self._dots)
        for item in self._every:
            item.setZValue(FLAGS - (0.6 if item is self._boards else 0.5))
            item.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
            item.setVisible(False)
            scene.addItem(item)

    def wear_inks(self) -> None:
        """All signs in the inks of the screen as they are now."""
        for item, ink in ((self._bolts, "red"), (self._doubts, "black"), (self._dots, "grey"), (self._names, "black")):
            item.setPen(QPen(Qt.PenStyle.NoPen))
            item.setBrush(QBrush(colour_of(ink)))
        self._boards.setPen(QPen(colour_of("black"), 0.18))
        self._boards.setBrush(QBrush(colour_of("white")))
        self._wrong.setPen(QPen(colour_of("red"), 0.5))
        for item, colour in zip(self._stripes, SOURCE_COLOURS, strict=True):
            item.setPen(QPen(Qt.PenStyle.NoPen))
            item.setBrush(QBrush(visible(colour)))
        self._hands.setPen(QPen(colour_of("black"), 0.35, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
        self._hands.setBrush(QBrush(colour_of("white")))

    def dress(self, owner: str, items: Iterable[tuple[QGraphicsItem, Style]]) -> None:
        """Pens of one owner's items."""
        state = "live"
        live = self.live
        if live is not None and owner and ":" not in owner and owner[0] != "n" and owner != "dots":
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
        self.flags = []
        if self.live is not None and finder is not None:
            runs = _runs(finder)
            self.flags, _crowded = flags_of(finder, self.live, {i: b for i, b in runs.items() if i in self.live.live})
            told = {flag.item for flag in self.flags}
            for item, lines in runs.items():
                if item in told:
                    continue
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
                elif piece.equipment in self.live.live and piece.equipment not in told:
                    _add_bolt(bolts, *_best(finder, _corners(box)))
            for point in junctions(finder.scene, finder.sheet):
                x, y = finder.sight.at(point)
                if not finder.runs_at(x, y) & (self.live.live | self.live.doubtful):
                    dots.addEllipse(QPointF(x, y), _DOT, _DOT)
        _add_flags(bolts, self.flags)
        boards, wrong, names, stripes = _flag_paths(self.flags, [] if self.live is None else order_of(self.live))
        hands = _add_hands(names, self.flags, finder if self.live is not None else None)
        paths = (boards, wrong, *stripes, hands, names, bolts, doubts, dots)
        for item_path, path in zip(self._every, paths, strict=True):
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


def _add_flags(bolts: QPainterPath, flags: Iterable[Flag]) -> None:
    """The bolt at the beginning of every flag."""
    for flag in flags:
        if not flag.bolt:
            continue
        off = flag.long / 2 - STRIPE * min(len(flag.sources), NAMED) - BEFORE / 2 + 0.1
        x, y = (flag.x, flag.y + off) if flag.upright else (flag.x - off, flag.y)
        corners = [(0.62 * dx, 0.62 * dy) for dx, dy in _BOLT]
        if flag.upright:
            corners = [(dy, -dx) for dx, dy in corners]
        bolts.moveTo(x + corners[0][0], y + corners[0][1])
        for dx, dy in corners[1:]:
            bolts.lineTo(x + dx, y + dy)
        bolts.closeSubpath()


def _add_hands(names: QPainterPath, flags: Iterable[Flag], finder: Finder | None) -> QPainterPath:
    """A framed handle beside what is switched from afar or by itself: crossed out where no hand can, "?" if unknown."""
    made = QPainterPath()
    boxes = [flag.box for flag in flags]
    for piece in () if finder is None else finder.scene.on(finder.sheet):
        hand = hand_of(piece.record)
        if hand is None or not hand.sign:
            continue
        assert finder is not None
        box = finder.boxes[piece.id]
        middle = (box.top + box.bottom) / 2
        spots = [(x, y) for x in (box.right + 2.6, box.left - 2.6) for y in (middle, box.bottom, box.top + 3.5)]
        x, y = min(spots, key=lambda at: _cost(finder, boxes, _square(*at, _HAND)))
        made.addRect(QRectF(x - _HAND, y - _HAND, 2 * _HAND, 2 * _HAND))
        if hand.sign == "unknown":
            names.addPath(text_path(Text(x, y + 1.1, "?", 2.2, "middle", bold=True)))
            continue
        for (ax, ay), (bx, by) in SIGN:
            made.moveTo(x + ax, y + ay)
            made.lineTo(x + bx, y + by)
        if hand.sign == "cannot":
            made.moveTo(x - _HAND, y + _HAND)
            made.lineTo(x + _HAND, y - _HAND)
    return made


def _square(x: float, y: float, half: float) -> Box:
    return Box(x - half, y - half, x + half, y + half)


def _cost(finder: Finder, boxes: Iterable[Box], box: Box) -> float:
    return finder.covered(box) + finder.crossed(box, "") + sum(3.0 for other in boxes if other.meets(box))


def _flag_paths(
    flags: Iterable[Flag], order: Sequence[str]
) -> tuple[QPainterPath, QPainterPath, QPainterPath, list[QPainterPath]]:
    """Boards, second frames, names, and stripes by colour."""
    boards, wrong, names = QPainterPath(), QPainterPath(), QPainterPath()
    for path in (boards, names):
        path.setFillRule(Qt.FillRule.WindingFill)
    stripes = [QPainterPath() for _colour in SOURCE_COLOURS]
    place = {item: n % len(SOURCE_COLOURS) for n, item in enumerate(order)}
    for flag in flags:
        b = flag.box
        boards.addRect(QRectF(b.left, b.top, b.right - b.left, b.bottom - b.top))
        if flag.wrong:
            g = b.grown(0.1)
            wrong.addRect(QRectF(g.left, g.top, g.right - g.left, g.bottom - g.top))
        some = flag.sources[:NAMED]
        for n, source in enumerate(some):
            along = n * STRIPE
            if flag.upright:
                rect = QRectF(b.left, b.bottom - along - STRIPE, b.right - b.left, STRIPE)
            else:
                rect = QRectF(b.left + along, b.top, STRIPE, b.bottom - b.top)
            stripes[place.get(source, 0)].addRect(rect)
        start = len(some) * STRIPE + (BEFORE if flag.bolt else AFTER)
        if flag.upright:
            text = Text(flag.x + HEIGHT / 2, b.bottom - start, flag.text, HEIGHT, bold=True, rotation=90)
        else:
            text = Text(b.left + start, flag.y + HEIGHT / 2, flag.text, HEIGHT, bold=True)
        names.addPath(text_path(text))
    return boards, wrong, names, stripes


def _add_doubt(path: QPainterPath, x: float, y: float) -> None:
    path.addPath(text_path(Text(x, y + 1.25, "?", 2.5, "middle", bold=True)))
