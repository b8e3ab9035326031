"""Type on the board as glyphs of the one font, each put where its advance says.

Outlines filled as paths look the same and take four times as long to paint: type is nine tenths of a sheet. Glyphs are
drawn at the size of the screen they are on, so they are sharp at every zoom.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QFont, QGlyphRun, QPainter, QRawFont, QTransform
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from engine.picture import CAP_HEIGHT, Text, font_file, text_box, text_pieces, text_width

__all__ = ["TypeItem", "TypeRun", "type_runs"]

_PER_EM = 100.0  # units of a run in an em: so large that nothing is rounded
_ORIGIN = QPointF(0.0, 0.0)
_AIR = 0.4  # of a capital's height: how far a glyph may reach past its advance and the usual box


class TypeRun(NamedTuple):
    """Glyphs of one size and direction, and what brings them onto the sheet."""

    glyphs: QGlyphRun
    placed: QTransform


@cache
def _font(bold: bool) -> QRawFont:
    return QRawFont(str(font_file(bold)), _PER_EM, QFont.HintingPreference.PreferNoHinting)


@cache
def _glyph(character: str, bold: bool) -> int:
    found = _font(bold).glyphIndexesForString(character)
    return int(found[0]) if found else 0


@cache
def _advance(character: str, bold: bool) -> float:
    return text_width(character, CAP_HEIGHT * _PER_EM, bold)


def type_runs(texts: Iterable[Text]) -> list[TypeRun]:
    """All that has one size, weight and direction is one run; boxes for missing characters are not among it."""
    some: dict[tuple[float, bool, int], tuple[list[int], list[QPointF]]] = {}
    for text in texts:
        key = (text.height, text.bold, text.rotation)
        indexes, positions = some.setdefault(key, ([], []))
        scale = text.height / CAP_HEIGHT / _PER_EM
        bold = text.bold
        pieces = text_pieces(text.text)
        start = {"start": 0.0, "middle": -0.5, "end": -1.0}[text.anchor]
        along = start * text_width(text.text, text.height, bold) / scale if start else 0.0
        if text.rotation == 90:  # a quarter turn to the left: along is up, down is right
            along, down = along - text.y / scale, text.x / scale
        else:
            along, down = along + text.x / scale, text.y / scale
        for piece, drawn in pieces:
            for character in piece:
                if drawn and character != " ":
                    indexes.append(_glyph(character, bold))
                    positions.append(QPointF(along, down))
                along += _advance(character, bold)
    made = []
    for (height, bold, rotation), (indexes, positions) in some.items():
        if not indexes:
            continue
        run = QGlyphRun()
        run.setRawFont(_font(bold))
        run.setGlyphIndexes(indexes)
        run.setPositions(positions)
        scale = height / CAP_HEIGHT / _PER_EM
        placed = QTransform(0, -scale, scale, 0, 0, 0) if rotation == 90 else QTransform.fromScale(scale, scale)
        made.append(TypeRun(run, placed))
    return made


class TypeItem(QGraphicsItem):
    """Lines of type in one ink."""

    def __init__(self, texts: Iterable[Text], colour: QColor) -> None:
        super().__init__()
        every = tuple(texts)
        self.texts = every
        self._runs = type_runs(every)
        self._colour = colour
        boxes = [text_box(text).grown(_AIR * text.height) for text in every]
        left, top = min(b.left for b in boxes), min(b.top for b in boxes)
        self._bounds = QRectF(
            left, top, max(b.right for b in boxes) - left, max(b.bottom for b in boxes) - top
        )  # fmt: skip

    def boundingRect(self) -> QRectF:
        """Qt's own name. Reckoned once: the words of an item never change."""
        return self._bounds

    def set_colour(self, colour: QColor) -> None:
        """Another ink."""
        if colour != self._colour:
            self._colour = colour
            self.update()

    def paint(self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None) -> None:
        """Qt's own name."""
        painter.setPen(self._colour)
        base = painter.worldTransform()
        for run, placed in self._runs:
            painter.setWorldTransform(placed * base)
            painter.drawGlyphRun(_ORIGIN, run)
        painter.setWorldTransform(base)
