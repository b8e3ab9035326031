"""Pages that are followed aboard, in poor light: large numbered steps with a box to tick, under one title. In mm.

The heights of type are those of a capital (ISO 3098 series): 5 mm in what is done, 3.5 mm in what explains it. Boxes
and the warning sign are strokes. A page goes on to the next where it is full, with its title and number on each.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from engine.cautions import CAUTIONS
from engine.picture import Ink, Picture, Primitive, Text, line, polygon, rectangle, text_width, wrap_text
from engine.words import _

__all__ = ["A4", "A5", "Instructions", "Paper"]

DEED, TOLD, SMALL, TITLE = 5.0, 3.5, 2.5, 7.0
BOX = 1.4  # a tick box, in heights of a capital
LEAD = 1.55  # base line to base line, in heights of a capital
FOOT = 6.0  # room for what stands at the foot


class Paper(NamedTuple):
    """Width and height, mm; margin."""

    wide: float
    high: float
    margin: float


A4 = Paper(210.0, 297.0, 15.0)  # ISO 216
A5 = Paper(148.0, 210.0, 10.0)


class Instructions:
    """Puts one thing under the other; `foot` stands at the foot of each page, beside its number."""

    def __init__(self, title: str, foot: str, paper: Paper = A4, ink: Ink = "black") -> None:
        self.title, self.foot, self.paper, self.ink = title, foot, paper, ink
        self.pages: list[list[Primitive]] = []
        self.left, self.right = paper.margin, paper.wide - paper.margin
        self._bottom = paper.high - paper.margin - FOOT
        self.y = self._bottom
        self._open()

    # -- pages ------------------------------------------------------------------------------------------------------
    def _open(self) -> None:
        self.pages.append([])
        self.y = self.paper.margin
        continued = len(self.pages) > 1
        tall = DEED if continued else TITLE
        title = _("{title} (continued)").format(title=self.title) if continued else self.title
        for text in wrap_text(title, self.right - self.left, tall, True):
            self.y += tall * LEAD
            self.put(Text(self.left, self.y - tall * (LEAD - 1), text, tall, bold=True, ink=self.ink))
        self.put(line(self.left, self.y + 1.5, self.right, self.y + 1.5, 0.7, self.ink))
        self.y += 5.0

    def keep(self, high: float) -> None:
        """Go on to the next page unless so much room is left on this one."""
        if self.y + high > self._bottom:
            self._open()

    def put(self, primitive: Primitive) -> None:
        """Something in its place on the present page."""
        self.pages[-1].append(primitive)

    def space(self, high: float) -> None:
        """Room below."""
        self.y += high

    def finished(self) -> tuple[Picture, ...]:
        """The pages, with their feet."""
        made = []
        for number, primitives in enumerate(self.pages, 1):
            at = self.paper.high - self.paper.margin
            page = _("page {number} of {count}").format(number=number, count=len(self.pages))
            room = self.right - self.left - text_width(page, SMALL) - 4.0
            feet: list[Primitive] = [line(self.left, at - 4.5, self.right, at - 4.5, 0.25)]
            feet.append(Text(self.right, at, page, SMALL, "end"))
            feet.append(Text(self.left, at, wrap_text(self.foot, room, SMALL)[0], SMALL))
            made.append(Picture(self.paper.wide, self.paper.high, (*primitives, *feet)))
        return tuple(made)

    # -- text -------------------------------------------------------------------------------------------------------
    def text(self, text: str, tall: float = TOLD, *, bold: bool = False, ink: Ink = "black", left: float = 0.0) -> None:
        """A paragraph, `left` mm in."""
        for each in wrap_text(text, self.right - self.left - left, tall, bold):
            self.keep(tall * LEAD)
            self.y += tall * LEAD
            self.put(Text(self.left + left, self.y - tall * (LEAD - 1), each, tall, bold=bold, ink=ink))
        self.y += tall * 0.4

    def heading(self, text: str) -> None:
        """A heading, never alone at the foot of a page."""
        self.keep(DEED * LEAD + 4 * TOLD * LEAD)
        self.space(2.0)
        self.text(text, DEED, bold=True, ink=self.ink)

    def warning(self, text: str, tall: float = TOLD) -> None:
        """A sentence beside the sign of warning, in a frame."""
        inset = 4.0 + tall * 2.2
        lines = wrap_text(text, self.right - self.left - inset - 4.0, tall, True)
        high = max(len(lines) * tall * LEAD, tall * 2.0) + 4.0
        self.keep(high + 2.0)
        top = self.y
        self.put(rectangle(self.left, top, self.right, top + high, 0.7, "red"))
        middle, half = self.left + 2.5 + tall, tall
        base = top + high / 2 + tall * 0.9
        self.put(polygon([(middle - half, base), (middle + half, base), (middle, base - half * 1.75)], 0.5, "red"))
        self.put(line(middle, base - half * 1.15, middle, base - half * 0.5, 0.6, "red"))
        self.put(line(middle, base - half * 0.3, middle, base - half * 0.15, 0.6, "red"))
        y = top + 2.0
        for each in lines:
            y += tall * LEAD
            self.put(Text(self.left + inset, y - tall * (LEAD - 1), each, tall, bold=True, ink="red"))
        self.y = top + high + 3.0

    def step(self, number: str, deed: str, about: Iterable[str] = (), *, tick: bool = True, tall: float = DEED) -> None:
        """A step: a box to tick, its number, what to do, then what explains it."""
        box = BOX * tall if tick else 0.0
        inset = (box + 3.0 if tick else 0.0) + (text_width("00.", tall, True) + 3.0 if number else 0.0)
        wide = self.right - self.left - inset
        deeds = wrap_text(deed, wide, tall, True)
        told = [each for text in about if text for each in wrap_text(text, wide, TOLD)]
        high = len(deeds) * tall * LEAD + len(told) * TOLD * LEAD + 2.5
        self.keep(min(high, self._bottom - self.paper.margin - 20.0))
        top = self.y
        if tick:
            self.put(rectangle(self.left, top + 0.2, self.left + box, top + 0.2 + box, 0.5))
        if number:
            self.put(Text(self.left + inset - 3.0, top + tall * 1.2, number, tall, "end", bold=True))
        for n, each in enumerate(deeds):
            self.put(Text(self.left + inset, top + tall * 1.2 + n * tall * LEAD, each, tall, bold=True))
        self.y = top + len(deeds) * tall * LEAD + 0.8
        for each in told:
            self.keep(TOLD * LEAD)
            self.y += TOLD * LEAD
            self.put(Text(self.left + inset, self.y - TOLD * (LEAD - 1) + 0.6, each, TOLD))
        self.y = max(self.y, top + box) + 2.0

    def blank(self, caption: str) -> None:
        """A line to write on, its caption under it."""
        self.keep(14.0)
        self.y += 9.0
        self.put(line(self.left, self.y, self.right, self.y, 0.35))
        self.y += SMALL * LEAD
        self.put(Text(self.left, self.y, caption, SMALL))
        self.y += 1.0

    def cautions(self) -> None:
        """The usual cautions, small, the last one bold."""
        lines = [wrap_text(_(text), self.right - self.left, SMALL) for text in CAUTIONS]
        self.keep(sum(len(each) for each in lines) * SMALL * LEAD + 4.0)
        self.space(2.0)
        for n, text in enumerate(CAUTIONS):
            self.text(_(text), SMALL, bold=n == len(CAUTIONS) - 1)
