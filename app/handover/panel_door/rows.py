"""Strips of the schematic, each as wide as the card: a hub's head, a way with its devices, circuits in words."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Sequence
from typing import NamedTuple, Protocol

from app.handover.panel_door.card import BODY, PITCH, plain
from app.handover.panel_door.signs import disc, essential, half_tile, tile
from app.handover.panel_door.symbol import Placed, led_out
from engine.picture import Primitive, Text, cut_text, line, polygon, text_width, transformed, wrap_text
from engine.words import _

__all__ = ["BAR", "Element", "Head", "Line", "Reference", "Row", "Words"]

BAR = 4.0  # mm from the left edge to the middle of a bar


class Element(NamedTuple):
    """What stands in one cell of a way."""

    item: str
    placed: Placed | None  # None: a hub, told by its letter
    words: tuple[tuple[str, bool], ...]


class Drawer(Protocol):
    """What strips ask of the schematic they stand in."""

    numbers: dict[str, int]
    letters: dict[str, str]
    inner: float  # mm, width of a strip
    cell: float  # mm, width of a device with what is written below it
    fresh: float  # mm, height of an empty column


class Row(ABC):
    """A strip across the card: how high, and what draws it from its upper left corner."""

    high: float = 0.0
    follows = False  # the way before goes on in it

    def __init__(self, of: Drawer) -> None:
        self.of = of

    @abstractmethod
    def draw(self, left: float, top: float, last: bool) -> list[Primitive]:
        """Strokes and type. `last`: the bar ends here."""

    def bar(self, left: float, top: float, bottom: float) -> Primitive:
        """The part of a bar beside a row."""
        return line(left + BAR, top, left + BAR, bottom, 1.4)


class Head(Row):
    """A hub's letter, name and where it is."""

    def __init__(self, of: Drawer, letter: str, words: str, about: str, main: int | None) -> None:
        super().__init__(of)
        self.letter, self.main = letter, main
        half = half_tile(letter)
        self._start = max(2 * half, 2 * BAR) + 2.0 + (9.0 if main is not None else 0.0)
        wide = of.inner - self._start
        self._words = [(part, True) for part in wrap_text(words, wide, BODY, True)]
        if len(self._words) > 3:
            self._words = [
                *self._words[:2],
                (cut_text("".join(w for w, _b in self._words[2:]), wide, BODY, True), True),
            ]
        told = wrap_text(about, wide, BODY) if about else ()
        if len(told) > 2:
            told = (told[0], cut_text("".join(told[1:]), wide, BODY))
        self._words += [(part, False) for part in told]
        self.high = max(8.6, len(self._words) * PITCH[BODY] + 2.6)

    def draw(self, left: float, top: float, last: bool) -> list[Primitive]:
        """A tile, a disc where it is a main disconnect, the name."""
        made = tile(left + BAR, top + 3.8, self.letter)
        made.append(self.bar(left, top + 7.4, top + self.high))
        if self.main is not None:
            made += disc(left + self._start - 6.0, top + 4.0, self.main)
        y = top + 1.4
        for text, bold in self._words:
            y += PITCH[BODY]
            made.append(Text(left + self._start, y, text, BODY, bold=bold))
        return made


class Words(Row):
    """Circuits in words, beside a short stroke that leads out of the bar."""

    def __init__(
        self, of: Drawer, words: Sequence[tuple[str, bool]], *, star: bool = False, starless: bool = False
    ) -> None:
        super().__init__(of)
        self._star, self._bare = star, starless
        self._indent = 2 * BAR + 7.0
        wide = of.inner - self._indent
        self._words = [(part, bold) for text, bold in words for part in wrap_text(plain(text), wide, BODY, bold)]
        self._sum()

    def _sum(self) -> None:
        self.high = len(self._words) * PITCH[BODY] + 1.2

    def split(self) -> list[Row]:
        """Itself, in strips that every card can hold."""
        most = max(1, int((self.of.fresh - 14.0) // PITCH[BODY]))
        if len(self._words) <= most:
            return [self]
        made: list[Row] = []
        for n in range(0, len(self._words), most):
            part = Words(self.of, [], star=self._star and n == 0, starless=n > 0)
            part._words = self._words[n : n + most]
            part._sum()
            made.append(part)
        return made

    def draw(self, left: float, top: float, last: bool) -> list[Primitive]:
        """The stroke with an arrow, a star where it is essential, the words."""
        middle = top + PITCH[BODY] / 2 + 0.8
        made: list[Primitive] = [self.bar(left, top, middle + 1.0 if last and not self._bare else top + self.high)]
        tip = left + 2 * BAR + 5.6
        if self._star:
            made.append(line(left + BAR, middle, tip - 6.0, middle, 0.7))
            made += essential(tip - 3.0, middle)
        elif not self._bare:
            made.append(line(left + BAR, middle, tip - 2.0, middle, 0.7))
            made.append(
                polygon(((tip - 2.6, middle - 1.5), (tip, middle), (tip - 2.6, middle + 1.5)), 0.0, fill="black")
            )
        y = top
        for text, bold in self._words:
            made.append(Text(left + self._indent, y + BODY + 1.0, text, BODY, bold=bold))
            y += PITCH[BODY]
        return made


class Reference(Row):
    """A way that is drawn at its other end: where it comes from."""

    def __init__(self, of: Drawer, letter: str, words: str, terminal: str) -> None:
        super().__init__(of)
        self.letter = letter
        self._half = half_tile(letter)
        self._start = 2 * BAR + 9.0 + self._half
        told = _("see {name}").format(name=words)
        if terminal:
            told = f"{terminal}: {told}"
        wide = of.inner - self._start - self._half - 2.0
        parts = wrap_text(told, wide, BODY)
        self._words = parts if len(parts) < 3 else (parts[0], cut_text("".join(parts[1:]), wide, BODY))
        self.high = max(9.0, len(self._words) * PITCH[BODY] + 3.0)

    def draw(self, left: float, top: float, last: bool) -> list[Primitive]:
        """An arrow from the other bar's letter to this bar."""
        middle = top + 4.5
        end = left + BAR + 0.7
        made: list[Primitive] = [
            self.bar(left, top, middle + 1.0 if last else top + self.high),
            line(end, middle, left + self._start - self._half, middle, 0.7),
        ]
        made += tile(left + self._start, middle, self.letter)
        y = middle + BODY / 2
        for part in self._words:
            made.append(Text(left + self._start + self._half + 2.0, y, part, BODY))
            y += PITCH[BODY]
        return made


class Line(Row):
    """Devices on a level line, what they are written below."""

    def __init__(
        self, of: Drawer, parts: Sequence[Element | None], follows: bool, goes_on: bool, terminal: str
    ) -> None:
        super().__init__(of)
        self.parts, self.follows, self.goes_on, self.terminal = parts, follows, goes_on, terminal
        boxes = [e.placed.box for e in parts if e is not None and e.placed is not None]
        discs = [self._disc(n)[1] + 4.0 for n, e in enumerate(parts) if e is not None and e.item in of.numbers]
        self._up = max([4.6, *discs, 6.8 if terminal else 0.0, *(-b.top for b in boxes)]) + 0.8
        self._up += 3.0 if follows else 0.0
        self._down = max([4.0, *(b.bottom for b in boxes)])
        self._lines = max((len(e.words) for e in parts if e is not None), default=0)
        self.high = self._up + self._down + self._lines * PITCH[BODY] + 3.0

    def shortened(self, most: float) -> Line:
        """With fewer words below its devices, where it is higher than `most`."""
        over = self.high - most
        if over <= 0:
            return self
        left = max(1, self._lines - math.ceil(over / PITCH[BODY]))
        parts = [e if e is None else e._replace(words=e.words[:left]) for e in self.parts]
        return Line(self.of, parts, self.follows, self.goes_on, self.terminal)

    @staticmethod
    def is_wide(of: Drawer, terminal: str) -> bool:
        """Whether a terminal's name needs a cell of its own."""
        return text_width(terminal, BODY) > of.cell / 2 - 6.0

    def _disc(self, n: int) -> tuple[float, float]:
        """Where the number of a main disconnect stands: right of the middle of its cell, and above the line."""
        along = self.of.cell / 2 - 5.0
        aside = along if not n and (self.terminal or self.follows) else -along  # a word or the line is at the left
        element = self.parts[n]
        placed = element.placed if element is not None else None
        if placed is None:
            return aside, 5.4
        half = (placed.box.right - placed.box.left) / 2
        return aside, 5.4 if half <= abs(aside) - 4.4 else max(5.4, 4.8 - placed.box.top)

    def draw(self, left: float, top: float, last: bool) -> list[Primitive]:
        """Bar, line, symbols, words."""
        of, y = self.of, top + self._up
        start = left + BAR
        first = left + 2 * BAR
        edge = left + of.inner - 0.5
        made: list[Primitive] = []
        if not (last and self.follows):
            made.append(self.bar(left, top, y + 0.35 if last else top + self.high))
        if self.follows:  # from the end of the strip above back to the left
            made.append(line(edge, top, edge, top + 1.6, 0.7, cap="square"))
            made.append(line(edge, top + 1.6, first + 1.0, top + 1.6, 0.7, cap="square"))
            made.append(line(first + 1.0, top + 1.6, first + 1.0, y, 0.7, cap="square"))
            start = first + 1.0
        x = start
        if self.terminal:
            wide = (of.cell if self.parts[0] is None else of.cell / 2 - 5.0) - 1.0
            made.append(Text(first + 0.4, y - 1.6, cut_text(self.terminal, wide, BODY), BODY))
        for n, element in enumerate(self.parts):
            middle = first + (n + 0.5) * of.cell
            if element is None:
                continue
            x = self._one(made, element, x, middle, y)
            main = of.numbers.get(element.item)
            if main is not None:
                aside, above = self._disc(n)
                made += disc(middle + aside, y - above, main)
        if self.goes_on:
            made.append(line(x, y, edge, y, 0.7))
            made.append(line(edge, y, edge, top + self.high, 0.7, cap="square"))
        return made

    def _one(self, made: list[Primitive], element: Element, x: float, middle: float, y: float) -> float:
        """One device, from where the line has come to; returns where it goes on from."""
        of = self.of
        if element.placed is None:
            letter = of.letters[element.item]
            half = half_tile(letter)
            made.append(line(x, y, middle - half - 1.0, y, 0.7))
            tip = middle - half
            made.append(polygon(((tip - 3.0, y - 1.6), (tip, y), (tip - 3.0, y + 1.6)), 0.0, fill="black"))
            made += tile(middle, y, letter)
            out = middle + half
        else:
            placed = element.placed
            at = middle - (placed.box.left + placed.box.right) / 2
            made.append(line(x, y, at, y, 0.7))
            made += transformed(placed.strokes, at, y)
            out, more = led_out(at, y, placed)
            made += more
        down = y + self._down
        for text, bold in element.words:
            made.append(Text(middle, down + BODY + 1.4, text, BODY, "middle", bold=bold))
            down += PITCH[BODY]
        return out
