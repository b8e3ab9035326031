"""Type as outlines, from the very font files that paper embeds, set by the same advances. Scene units are mm."""

from __future__ import annotations

from functools import cache, lru_cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont, QPainterPath, QRawFont, QTransform

from engine.picture import CAP_HEIGHT, Path, Text, font_file, missing_box, text_pieces, text_width

__all__ = ["box_paths", "text_path"]

_PER_EM = 1000.0  # outlines are taken at the font's own units, where nothing is rounded or hinted


@cache
def _font(bold: bool) -> QRawFont:
    return QRawFont(str(font_file(bold)), _PER_EM, QFont.HintingPreference.PreferNoHinting)


@cache
def _outline(character: str, bold: bool) -> QPainterPath:
    """One character at (0, 0) on the base line, the em 1000 units high."""
    font = _font(bold)
    found = font.glyphIndexesForString(character)
    return font.pathForGlyph(found[0]) if found else QPainterPath()


@cache
def _advance(character: str, bold: bool) -> float:
    return text_width(character, CAP_HEIGHT * _PER_EM, bold)


@lru_cache(maxsize=4096)
def _em_line(text: str, bold: bool) -> tuple[QPainterPath, float]:
    """What of a line is type, beginning at 0; its whole width."""
    made = QPainterPath()
    made.setFillRule(Qt.FillRule.WindingFill)
    x = 0.0
    for piece, drawn in text_pieces(text):
        for character in piece:
            if drawn:
                outline = _outline(character, bold)
                if not outline.isEmpty():
                    made.addPath(outline.translated(x, 0.0))
            x += _advance(character, bold)
    return made, x


def text_path(text: Text) -> QPainterPath:
    """The outlines of a line of type where they stand on the sheet."""
    line, width = _em_line(text.text, text.bold)
    scale = text.height / CAP_HEIGHT / _PER_EM
    start = {"start": 0.0, "middle": -0.5, "end": -1.0}[text.anchor] * width * scale
    if text.rotation == 90:
        return QTransform(0.0, -scale, scale, 0.0, text.x, text.y - start).map(line)
    return QTransform(scale, 0.0, 0.0, scale, text.x + start, text.y).map(line)


def box_paths(text: Text) -> list[Path]:
    """The boxes that stand for characters the font lacks, where they stand on the sheet."""
    if all(drawn for _piece, drawn in text_pieces(text.text)):
        return []
    along = {"start": 0.0, "middle": -0.5, "end": -1.0}[text.anchor] * text_width(text.text, text.height, text.bold)
    made: list[Path] = []
    for piece, drawn in text_pieces(text.text):
        if not drawn:
            box = missing_box(along, 0.0, text.height, text.ink, text.owner)
            made.append(box._replace(segments=tuple(_placed(text, *s) for s in box.segments)))
        along += text_width(piece, text.height, text.bold)
    return made


def _placed(text: Text, letter: str, *at: float) -> tuple:  # type: ignore[type-arg]  # a segment
    if letter == "Z":
        return ("Z",)
    along, down = at
    if text.rotation == 90:
        return letter, text.x + down, text.y - along
    return letter, text.x + along, text.y + down
