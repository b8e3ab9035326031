"""Drawn signs of the cards: a main disconnect's number, a bus's letter, the star of what must stay on. In mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from engine.picture import Ink, Primitive, Text, circle, polygon, rectangle, text_width

__all__ = ["Sign", "disc", "disc_sign", "essential", "essential_sign", "half_tile", "tile", "tile_sign"]

_TALL = 3.5  # capitals


class Sign(NamedTuple):
    """A drawn sign in a cell: `draw(left, top)` gives its strokes."""

    width: float
    height: float
    draw: Callable[[float, float], Sequence[Primitive]]


def disc(x: float, y: float, number: int, ink: Ink = "red") -> list[Primitive]:
    """A main disconnect's number: white in a filled disc about (x, y), 8 mm across."""
    return [
        circle(x, y, 4.0, 0.0, fill=ink),
        Text(x, y + _TALL / 2, str(number), _TALL, "middle", bold=True, ink="white"),
    ]


def tile(x: float, y: float, letter: str, ink: Ink = "blue") -> list[Primitive]:
    """A bus's letter: white in a filled square about (x, y)."""
    half = half_tile(letter)
    return [
        rectangle(x - half, y - 3.6, x + half, y + 3.6, 0.0, fill=ink),
        Text(x, y + _TALL / 2, letter, _TALL, "middle", bold=True, ink="white"),
    ]


def essential(x: float, y: float) -> list[Primitive]:
    """What must stay on: a filled star of four points about (x, y), 6 mm across."""
    out, into = 3.0, 1.0
    points = [
        (x, y - out), (x + into, y - into), (x + out, y), (x + into, y + into),
        (x, y + out), (x - into, y + into), (x - out, y), (x - into, y - into),
    ]  # fmt: skip
    return [polygon(points, 0.0, fill="black")]


def essential_sign() -> Sign:
    """The star as a cell."""
    return Sign(6.0, 6.0, lambda x, y: essential(x + 3.0, y + 3.0))


def disc_sign(number: int) -> Sign:
    """A main disconnect's number as a cell."""
    return Sign(8.0, 8.0, lambda x, y: disc(x + 4.0, y + 4.0, number))


def tile_sign(letter: str) -> Sign:
    """A bus's letter as a cell."""
    half = half_tile(letter)
    return Sign(2 * half, 7.2, lambda x, y: tile(x + half, y + 3.6, letter))


def half_tile(letter: str) -> float:
    """Half the width of a bus's letter with its square."""
    return max(3.6, text_width(letter, _TALL, bold=True) / 2 + 1.2)
