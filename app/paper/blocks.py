"""What a page set is made of, one thing below the other: plain values, set on paper by `setting.py`. In mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple, TypeAlias

from app.paper.table import Table
from engine.picture import Primitive

__all__ = ["Block", "Figure", "Gap", "Heading", "PageBreak", "Paragraph", "Photo", "Points", "Signatures"]


class Heading(NamedTuple):
    """A heading; level 1 is the larger and stands in the PDF's outline. `anchor`: a name links may lead to."""

    text: str
    level: int = 1
    anchor: str = ""


class Paragraph(NamedTuple):
    """Running text. `link`: the anchor that the whole of it leads to."""

    text: str
    bold: bool = False
    link: str = ""


class Points(NamedTuple):
    """A list, each point with a dash before it."""

    texts: tuple[str, ...]


class Figure(NamedTuple):
    """A drawing of `width` by `height`; `draw(x, y)` gives its primitives, (x, y) being its upper left corner.

    `caption`: what it shows, told below it.
    """

    width: float
    height: float
    draw: Callable[[float, float], Sequence[Primitive]]
    caption: str = ""


class Photo(NamedTuple):
    """A photograph of `width` by `height`, a JPEG, its caption below it; several in a row stand side by side.

    PDF and PNG carry it; SVG and DXF have its frame and its caption alone.
    """

    jpeg: bytes
    width: float
    height: float
    caption: str = ""


class Signatures(NamedTuple):
    """Lines to sign on, each with name, date and signature: *Prepared by*, *Accepted by*."""

    who: tuple[str, ...]


class Gap(NamedTuple):
    """What is not here and why: framed, so that nobody takes its absence for a result."""

    text: str


class PageBreak(NamedTuple):
    """What follows begins on a new page; nothing happens on an empty one."""


Block: TypeAlias = Heading | Paragraph | Points | Table | Figure | Photo | Signatures | Gap | PageBreak
