"""The size a panel-door card is cut to, as a person writes it: a paper's name, or two lengths."""

from __future__ import annotations

import re

from engine.units import spelled
from engine.words import _

__all__ = ["LARGEST", "LEAST", "PAPERS", "SizeError", "read_size", "shown_size"]

# mm, upright; ISO 216:2007 (from memory, not confirmed), North American sizes in inches
PAPERS = {
    "A6": (105.0, 148.0),
    "A5": (148.0, 210.0),
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "Letter": (215.9, 279.4),
    "Tabloid": (279.4, 431.8),
}
LEAST = (100.0, 120.0)  # mm, width and height: a band, a symbol with four lines and the caution still fit
LARGEST = 1200.0  # mm, a side

_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, '"': 25.4, "": 0.0}
_LENGTH = r"(\d+(?:[.,]\d+)?)\s*(mm|cm|in|\")?"
_TWO = re.compile(rf"{_LENGTH}\s*[x×*]\s*{_LENGTH}", re.IGNORECASE)


class SizeError(ValueError):
    """A size no card is made in; the message is for the person."""


def read_size(text: str) -> tuple[float, float]:
    """Width and height in mm of *A5*, *200x150mm*, *8 x 6 in*. Raises `SizeError`."""
    name = text.strip()
    for paper, size in PAPERS.items():
        if name.casefold() == paper.casefold():
            return size
        if name.casefold() == f"{paper} landscape".casefold():
            return size[1], size[0]
    found = _TWO.fullmatch(name)
    unit = found and (found[4] or found[2] or "").lower()
    if found is None or not unit:
        raise SizeError(
            _(
                "{text!r} is no size of a card; expected {papers}, or width and height such as 200x150mm or 8x6in"
            ).format(text=text, papers=", ".join(PAPERS))
        )
    first = (found[2] or unit).lower()
    return checked(_length(found[1]) * _MM[first], _length(found[3]) * _MM[unit])


def checked(width: float, height: float) -> tuple[float, float]:
    """The size itself, where a card can be made in it. Raises `SizeError`."""
    least = shown_size(LEAST)
    if width < LEAST[0] - 1e-6 or height < LEAST[1] - 1e-6:
        raise SizeError(
            _("a card of {size} is too small for capitals of 3.5 mm; the smallest that works is {least}").format(
                size=shown_size((width, height)), least=least
            )
        )
    if max(width, height) > LARGEST:
        raise SizeError(
            _("a card of {size} is too large; no side may be longer than {largest} mm").format(
                size=shown_size((width, height)), largest=spelled(f"{LARGEST:g}")
            )
        )
    return width, height


def shown_size(size: tuple[float, float]) -> str:
    """*148 x 210 mm*."""
    width, height = (spelled(f"{round(side, 1):g}") for side in size)
    return _("{width} x {height} mm").format(width=width, height=height)


def _length(text: str) -> float:
    return float(text.replace(",", "."))
