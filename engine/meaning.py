"""What the strokes of a picture stand for: layers and blocks for programs that want more of a sheet than its look."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from engine.picture import Primitive

__all__ = ["Meaning", "Symbol", "Thing"]


class Thing(NamedTuple):
    """Equipment or a run that is shown; `id` is the `owner` of its primitives."""

    id: str
    what: Literal["equipment", "run"]
    family: Literal["dc", "ac", "earth", "signal", ""]  # "": none, or several
    designation: str
    label: str = ""


class Symbol(NamedTuple):
    """A symbol in its place, (x, y) its origin in mm. `strokes` are among the picture's primitives, one after another.

    `name` is that of the symbol with how it stands; two of one name may still differ, a bus in its length.
    """

    owner: str
    name: str
    x: float
    y: float
    strokes: tuple[Primitive, ...]


class Meaning(NamedTuple):
    """`frame`: how many of the first primitives are the sheet's own: frame, title block, cautions."""

    frame: int = 0
    things: tuple[Thing, ...] = ()
    symbols: tuple[Symbol, ...] = ()
