"""Small print of the pages: type a little smaller, and the cautions in it."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QWidget

from engine.cautions import CAUTIONS
from engine.words import _

__all__ = ["cautions_line", "make_small"]


def make_small(widget: QWidget) -> None:
    """Type nine tenths as high, never below 8 points."""
    font = widget.font()
    if font.pointSizeF() > 0:
        font.setPointSizeF(max(font.pointSizeF() * 0.9, 8))
        widget.setFont(font)


def cautions_line() -> QLabel:
    """The usual cautions, for the foot of a page."""
    line = QLabel(" ".join(_(text) for text in CAUTIONS))
    line.setWordWrap(True)
    line.setAccessibleDescription(_("Cautions"))
    line.setMinimumWidth(1)
    make_small(line)
    return line
