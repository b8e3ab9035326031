"""The letters of the one font as outlines, for what must look the same where the font is not installed."""

from __future__ import annotations

import functools
from typing import Any

from engine.picture import font_file

__all__ = ["PER_EM", "advance", "outline"]

PER_EM = 1000  # units of an outline


@functools.cache
def _font(bold: bool) -> tuple[Any, dict[int, str], Any]:
    from fontTools.ttLib import TTFont

    font = TTFont(font_file(bold), lazy=True)
    assert font["head"].unitsPerEm == PER_EM
    return font, font.getBestCmap(), font.getGlyphSet()


@functools.lru_cache(maxsize=4096)
def outline(character: str, bold: bool) -> str:
    """The outline as the path of an SVG, y up, "" for what has none (a space). The font must have the character."""
    from fontTools.pens.svgPathPen import SVGPathPen

    _file, names, glyphs = _font(bold)
    pen = SVGPathPen(glyphs)
    glyphs[names[ord(character)]].draw(pen)
    return str(pen.getCommands())


@functools.lru_cache(maxsize=4096)
def advance(character: str, bold: bool) -> int:
    """How far the next letter stands, in units."""
    file, names, _glyphs = _font(bold)
    return int(file["hmtx"].metrics[names[ord(character)]][0])
