"""The small picture of a switch's positions on a card: one line a position, the wanted one framed and filled.

Open and closed are a contact drawn open and closed, on and off the bar and ring of switches (IEC 60417-5007, -5008),
a plug two pins in or out of their socket: strokes. Only positions that have a name of their own are written.
"""

from __future__ import annotations

from collections.abc import Sequence

from app.paper.cards import STEP, Drawn
from engine.picture import Primitive, Text, circle, line, polygon, rectangle, text_width

__all__ = ["positions_picture"]

_ROW = 9.0
_MARK = 9.0  # room for the mark before the symbol
_SYMBOL = 15.0
_THICK = 0.9


def positions_picture(positions: Sequence[str], wanted: str, *, is_plug: bool = False) -> Drawn:
    """Every position, top to bottom, `wanted` marked."""
    names = [p for p in positions if p not in _DRAWN]
    width = _MARK + max([_SYMBOL, *(text_width(p, STEP, bold=True) for p in names)]) + 3.0

    def draw(left: float, top: float) -> list[Primitive]:
        made: list[Primitive] = []
        for n, position in enumerate(positions):
            y = top + n * _ROW
            middle = y + _ROW / 2
            x = left + _MARK
            if position == wanted:
                made.append(rectangle(left + 0.5, y + 0.5, left + width - 0.5, y + _ROW - 0.5, _THICK))
                tip = left + _MARK - 1.0
                made.append(
                    polygon(((left + 2.5, middle - 2.4), (tip, middle), (left + 2.5, middle + 2.4)), 0.0, fill="black")
                )
            if position in _DRAWN:
                made += _symbol("plugged" if is_plug and position == "runs" else
                                "unplugged" if is_plug else position, x, middle)  # fmt: skip
            else:
                made.append(Text(x, middle + STEP / 2, position, STEP, bold=position == wanted))
        return made

    return Drawn(width, len(positions) * _ROW, draw)


_DRAWN = ("open", "closed", "on", "off", "runs", "stands")


def _symbol(position: str, x: float, y: float) -> list[Primitive]:
    """A symbol `_SYMBOL` wide, its middle at height `y`."""
    end = x + _SYMBOL - 1.0
    if position in ("open", "closed"):
        hinge, contact = x + 4.5, end - 4.5
        tip = (contact, y) if position == "closed" else (contact - 0.7, y - 3.0)
        return [
            line(x, y, hinge, y, 0.6),
            line(hinge, y, *tip, 0.9),
            line(contact, y, end, y, 0.6),
            circle(hinge, y, 0.6, 0.0, fill="black"),
            circle(contact, y, 0.6, 0.0, fill="black"),
        ]
    if position in ("on", "runs"):
        return [line(x + 5.0, y - 2.6, x + 5.0, y + 2.6, 1.0)]
    if position in ("off", "stands"):
        return [circle(x + 5.0, y, 2.4, 0.8)]
    gap = 0.0 if position == "plugged" else 3.0
    face = x + 7.5
    made: list[Primitive] = [
        line(x, y, face - 3.5 - gap, y, 0.6),
        rectangle(face - 3.5 - gap, y - 2.4, face - gap, y + 2.4, 0.6, fill="black"),
        rectangle(face + 0.4, y - 2.8, end, y + 2.8, 0.6),
    ]
    for pin in (y - 1.2, y + 1.2):
        made.append(line(face - gap, pin, face - gap + 2.4, pin, 0.7))
    return made
