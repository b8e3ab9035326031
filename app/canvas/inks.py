"""The inks of the display list on the screen: those of paper, or lighter ones on a dark sheet. Print never asks here.

One choice for the program. Who keeps colours listens to nobody: the board is told by `Surface.wear_inks`.
"""

from __future__ import annotations

from typing import Literal

from PySide6.QtGui import QColor

from engine.picture import INKS

__all__ = ["Inks", "colour_of", "contrast", "inks_now", "use_inks", "visible"]

Inks = Literal["paper", "dark", "contrast"]
RGB = tuple[int, int, int]
# "white" is the sheet itself and what covers it; every other ink but "light" is at least 4.5 to 1 on it
_OF: dict[str, dict[str, RGB]] = {
    "paper": {str(ink): rgb for ink, rgb in INKS.items()},
    "dark": {
        "black": (232, 232, 228),
        "grey": (168, 170, 172),
        "light": (88, 92, 96),
        "red": (255, 138, 128),
        "blue": (140, 188, 255),
        "white": (31, 33, 36),
    },
    "contrast": {
        "black": (255, 255, 255),
        "grey": (205, 205, 205),
        "light": (150, 150, 150),
        "red": (255, 150, 140),
        "blue": (120, 205, 255),
        "white": (0, 0, 0),
    },
}
_LEAST = 1.6  # contrast of a patch of colour that carries no word
_now: Inks = "paper"


def use_inks(inks: Inks) -> bool:
    """Paint with these from now on; whether they are others than before."""
    global _now
    changed, _now = inks != _now, inks
    return changed


def inks_now() -> Inks:
    """The inks in use."""
    return _now


def colour_of(ink: str) -> QColor:
    """An ink of the display list as the screen shows it now."""
    return QColor(*_OF[_now][ink])


def visible(colour: RGB, paper: QColor | None = None) -> QColor:
    """A colour that means something by being itself, made lighter or darker where the paper would swallow it."""
    paper = colour_of("white") if paper is None else paper
    wanted = QColor(*colour)
    towards = 255 if paper.lightness() < 128 else 0
    for _step in range(20):
        if contrast(wanted, paper) >= _LEAST:
            break
        wanted = QColor(*(round(c + (towards - c) * 0.12) for c in (wanted.red(), wanted.green(), wanted.blue())))
    return wanted


def contrast(a: QColor, b: QColor) -> float:
    """Contrast ratio of two colours, 1 to 21 (W3C, WCAG 2.2, definitions of relative luminance and contrast ratio)."""
    light, dark = sorted((_luminance(a), _luminance(b)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: QColor) -> float:
    parts = (colour.redF(), colour.greenF(), colour.blueF())
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b
