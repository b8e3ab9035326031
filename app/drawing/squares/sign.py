"""The square of a deficiency with its number. In mm."""

from __future__ import annotations

from engine.picture import Ink, Primitive, Text, polyline, rectangle

__all__ = ["HALF", "half_of", "square_sign"]

HALF = 2.6  # of the side
_TALL = 2.5  # height of a capital
_GAP = 0.55  # of a closed one's sides, share of a side that is left out in the middle


def half_of(number: int) -> float:
    """Half the side of the square round a number; a long number widens it."""
    return HALF if number < 100 else HALF + 0.8


def square_sign(
    number: int, x: float, y: float, *, settled: bool = False, owner: str = "", link: str = ""
) -> list[Primitive]:
    """A number in a square, centred on (x, y). `settled`: closed, four corners without the middles of the sides."""
    h = half_of(number)
    ink: Ink = "grey" if settled else "red"
    text = Text(x, y + _TALL / 2, str(number), _TALL, "middle", bold=not settled, ink=ink, owner=owner, link=link)
    if not settled:
        return [rectangle(x - h, y - h, x + h, y + h, 0.35, ink, fill="white", owner=owner), text]
    arm = h * (1 - _GAP)
    made: list[Primitive] = [rectangle(x - h, y - h, x + h, y + h, 0.0, ink, fill="white", owner=owner)]
    for dx, dy in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        cx, cy = x + dx * h, y + dy * h
        made.append(polyline(((cx - dx * arm, cy), (cx, cy), (cx, cy - dy * arm)), 0.35, ink, owner=owner))
    return [*made, text]
