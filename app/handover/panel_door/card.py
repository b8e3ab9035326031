"""Cards of one true size, filled from top to bottom: bands, steps, tables, pictures; what does not fit goes on.

Nothing on a card has capitals below 3.5 mm, nothing is made smaller to fit. All lengths in mm; heights are those of a
capital. Round the card, outside the cut: crop marks, a ruler to check the print by. A band is black or red with white
letters, so that it is found by torchlight; red is never the only difference.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from app.handover.panel_door.cut import AROUND, BLEED, RULER, outside
from app.handover.panel_door.signs import Sign
from engine.picture import (
    Box,
    Ink,
    Picture,
    Primitive,
    Text,
    cut_text,
    line,
    rectangle,
    text_width,
    transformed,
    wrap_text,
)
from engine.words import _

__all__ = ["BODY", "PITCH", "STEP", "Cell", "Door", "plain"]

BODY, STEP = 3.5, 5.0  # capitals of what is read, of what is done
PITCH = {BODY: 5.4, STEP: 7.4}  # base line to base line
_EDGE = 5.0
_GUTTER = 2.5  # between columns of a table
_ABOVE = 1.3  # between the rule of a table and the capitals below it
_HEADER = 3  # lines the boat's name may take on every card


Cell = str | Sign


def plain(text: str) -> str:
    """A person's text on one line: tabs, line breaks and runs of spaces become one space."""
    return " ".join(text.split())


# -- cards ----------------------------------------------------------------------------------------------------------
class Door:
    """Puts one thing under the other, from card to card."""

    def __init__(self, size: tuple[float, float], boat: str, about: str, caution: str) -> None:
        self.width, self.height = size
        self.left, self.right = _EDGE, self.width - _EDGE
        self.inner = self.right - self.left
        self._boat, self._about, self._caution = plain(boat), plain(about), caution
        self._bottom = self.height - _EDGE - self._foot_height()
        self._band: tuple[str, Ink] | None = None
        self._begun = False  # the band stands on a card already
        self.sections: list[tuple[str, int]] = []  # title, card it begins on
        self._cards: list[list[Primitive]] = []
        self._titles: list[str] = []
        self.y = 0.0
        self._top = 0.0

    # -- room -------------------------------------------------------------------------------------------------------
    @property
    def room(self) -> float:
        """What is left on this card."""
        return self._bottom - self.y if self._cards else 0.0

    @property
    def fresh(self) -> float:
        """What a new card has below its band."""
        return self._bottom - _EDGE - self._head_height() - self._band_height(self._band_words(True))

    def open(self) -> None:
        """A new card; the band of what goes on stands on it again."""
        goes_on = self._begun
        self._cards.append([])
        self._titles.append(self._band[0] if self._band is not None else "")
        self.y = _EDGE
        self._write_head()
        if self._band is not None:
            self._draw_band(self._band_words(goes_on), self._band[1])

    def keep(self, high: float) -> None:
        """On to the next card unless so much is left; what no card could hold stays here."""
        if not self._cards or (self.room < high and high <= self.fresh) or self.room < PITCH[BODY]:
            self.open()

    def put(self, *primitives: Primitive) -> None:
        """Strokes and type where they are."""
        self._cards[-1].extend(primitives)

    def space(self, high: float) -> None:
        """Air below what stands."""
        self.y += high

    # -- what stands on them ----------------------------------------------------------------------------------------
    def section(self, title: str, ink: Ink = "black", below: float = 40.0, *, new: bool = False) -> None:
        """A band with white letters. `below`: room that must be left under it; `new`: always a card of its own."""
        self._band, self._begun = (plain(title), ink), False
        words = self._band_words(False)
        if new or not self._cards or self.room < self._band_height(words) + 3.0 + min(below, self.fresh):
            self.open()
        else:
            self.y += 3.0
            self._draw_band(words, ink)
        self._begun = True
        self.sections.append((self._band[0], len(self._cards)))

    def heading(self, text: str, below: float = 16.0) -> None:
        """A heading of what is read."""
        parts = wrap_text(plain(text), self.inner - 4.0, STEP, True)
        high = len(parts) * PITCH[STEP] + 1.0
        self.keep(high + 3.0 + below)
        self.y += 1.6
        self.put(rectangle(self.left, self.y, self.right, self.y + high, 0.0, fill="light"))
        self.y += 0.7
        self._lines([(part, True) for part in parts], self.left + 2.0, STEP)
        self.y += 1.2

    def text(self, text: str, *, bold: bool = False) -> None:
        """A paragraph."""
        parts = wrap_text(plain(text), self.inner, BODY, bold)
        self.keep(len(parts) * PITCH[BODY] + 1.5)
        self._lines([(part, bold) for part in parts], self.left, BODY)
        self.y += 1.5

    def found_at(self, title: str, card: int) -> None:
        """A section and the card it begins on, joined by a thin line."""
        number = str(card)
        room = self.inner - 12.0
        parts = wrap_text(plain(title), room, BODY)
        if len(parts) > 2:
            parts = (parts[0], cut_text("".join(parts[1:]), room, BODY))
        self._lines([(part, False) for part in parts], self.left, BODY)
        base = self.y - PITCH[BODY] + BODY + 0.6
        start, end = self.left + text_width(parts[-1], BODY) + 1.5, self.right - text_width(number, BODY, True) - 1.5
        if end > start:
            self.put(line(start, base, end, base, 0.18, "grey"))
        self.put(Text(self.right, base, number, BODY, "end", bold=True))

    def signs(self, rows: Sequence[tuple[Sign, str]]) -> None:
        """What drawn signs mean: side by side as many as fit."""
        x = self.left
        started = False
        for sign, text in rows:
            own = self.inner - sign.width - 2.0
            parts = wrap_text(text, own, BODY)
            wide = sign.width + 2.0 + max(text_width(part, BODY) for part in parts)
            high = max(sign.height, len(parts) * PITCH[BODY]) + 1.2
            if started and (x + wide > self.right or len(parts) > 1):
                self.y += 9.2
                x, started = self.left, False
            if not started:
                self.keep(max(high, 9.2))
                started = True
            self.put(*sign.draw(x, self.y + (8.0 - sign.height) / 2))
            for n, part in enumerate(parts):
                self.put(Text(x + sign.width + 2.0, self.y + 4.0 + BODY / 2 + n * PITCH[BODY], part, BODY))
            x += wide + 5.0
            if len(parts) > 1:
                self.y += len(parts) * PITCH[BODY] + 3.0
                x, started = self.left, False
        if started:
            self.y += 9.2

    def step(self, number: str, deed: str, about: Sequence[str] = (), sign: Sign | None = None) -> None:
        """What is to be done, large; what explains it, smaller; a sign at its right."""
        column = max(9.0, text_width(number, STEP, True) + 2.5) if number else 0.0
        wide = self.inner - column - (sign.width + 2.0 if sign is not None else 0.0)
        done = wrap_text(plain(deed), wide, STEP, True)
        told = [part for text in about if text.strip() for part in wrap_text(plain(text), wide, BODY)]
        high = len(done) * PITCH[STEP] + len(told) * PITCH[BODY] + 3.0
        self.keep(max(high, sign.height + 3.0 if sign is not None else 0.0))
        self.y += 1.2
        top = self.y
        if number:
            self.put(Text(self.left, self.y + STEP + 0.6, number, STEP, bold=True))
        if sign is not None:
            self.put(*sign.draw(self.right - sign.width, top))
        self._lines([(part, True) for part in done], self.left + column, STEP)
        self._lines([(part, False) for part in told], self.left + column, BODY)
        if sign is not None and top <= self.y:
            self.y = max(self.y, top + sign.height)
        self.y += 1.2
        self.put(line(self.left, self.y, self.right, self.y, 0.25, "grey"))

    def table(
        self,
        titles: Sequence[str],
        rows: Sequence[Sequence[Cell]],
        bold: Sequence[bool] = (),
        bold_cells: Callable[[int, int], bool] | None = None,
    ) -> None:
        """Rows under columns, ruled; titles stand again on every card. `bold`: rows that matter most."""
        widths = column_widths(titles, rows, self.inner)
        heads = [wrap_text(t, w, BODY, True) for t, w in zip(titles, widths, strict=True)]
        high = max(len(h) for h in heads) * PITCH[BODY] + 2.0

        def head() -> None:
            x = self.left
            for parts, wide in zip(heads, widths, strict=True):
                for n, part in enumerate(parts):
                    self.put(Text(x, self.y + 1.0 + BODY + n * PITCH[BODY], part, BODY, bold=True))
                x += wide + _GUTTER
            self.y += high
            self.put(line(self.left, self.y, self.right, self.y, 0.7))

        first = self._row_height(rows[0], widths) if rows else 0.0
        self.keep(high + first)
        head()
        for number, row in enumerate(rows):
            strong = [
                bool(number < len(bold) and bold[number]) or bool(bold_cells and bold_cells(number, n))
                for n in range(len(row))
            ]
            self._row(row, widths, strong, head, high)
        self.y += 2.0

    def _row_height(self, row: Sequence[Cell], widths: Sequence[float]) -> float:
        tall = [
            c.height if isinstance(c, Sign) else len(wrap_text(plain(c), w, BODY, True)) * PITCH[BODY]
            for c, w in zip(row, widths, strict=True)
        ]
        return max(tall) + 2.0

    def _row(
        self, row: Sequence[Cell], widths: Sequence[float], strong: Sequence[bool], head: Callable[[], None], top: float
    ) -> None:
        high = self._row_height(row, widths)
        if self.room < high and (high <= self.fresh - top or self.room < 3 * PITCH[BODY]):
            self.open()
            head()
        texts = [
            [] if isinstance(c, Sign) else list(wrap_text(plain(c), w, BODY, s))
            for c, w, s in zip(row, widths, strong, strict=True)
        ]
        start = self.y
        x = self.left
        for cell, wide in zip(row, widths, strict=True):
            if isinstance(cell, Sign):
                self.put(*cell.draw(x, start + 0.8))
            x += wide + _GUTTER
        count = max((len(t) for t in texts), default=0)
        for n in range(count):
            if self.room < PITCH[BODY] + 1.0:  # a row that no card holds runs on, line by line
                self.open()
                head()
                start = self.y
            x = self.left
            for parts, wide, heavy in zip(texts, widths, strong, strict=True):
                if n < len(parts) and parts[n]:
                    self.put(Text(x, self.y + _ABOVE + BODY, parts[n], BODY, bold=heavy))
                x += wide + _GUTTER
            self.y += PITCH[BODY]
        drawn = max((c.height for c in row if isinstance(c, Sign)), default=0.0)
        self.y = max(self.y, start + drawn + 0.6) + 1.0
        self.put(line(self.left, self.y, self.right, self.y, 0.25, "grey"))

    def _lines(self, parts: Sequence[tuple[str, bool]], x: float, height: float) -> None:
        for part, bold in parts:
            if self.room < PITCH[height]:
                self.open()
            if part:
                self.put(Text(x, self.y + height + 0.6, part, height, bold=bold))
            self.y += PITCH[height]

    # -- head, band and foot ----------------------------------------------------------------------------------------
    def _name(self) -> list[str]:
        wide = self.inner - 24.0  # the number of the card stands beside it
        parts = list(wrap_text(self._boat, wide, BODY, True))
        if len(parts) > _HEADER:
            parts = [*parts[: _HEADER - 1], cut_text("".join(parts[_HEADER - 1 :]), wide, BODY, True)]
        return parts

    def _head_height(self) -> float:
        return len(self._name()) * PITCH[BODY] + 1.8

    def _write_head(self) -> None:
        for part in self._name():
            self.put(Text(self.left, self.y + BODY + 0.6, part, BODY, bold=True))
            self.y += PITCH[BODY]
        self.y += 1.8

    def _band_words(self, goes_on: bool) -> tuple[str, ...]:
        title = self._band[0] if self._band is not None else ""
        told = _("{title}, continued").format(title=title) if goes_on and title else title
        parts = wrap_text(told, self.inner - 6.0, STEP, True)
        if len(parts) > 3:
            parts = (*parts[:2], cut_text("".join(parts[2:]), self.inner - 6.0, STEP, True))
        return parts

    def _band_height(self, words: Sequence[str]) -> float:
        return len(words) * PITCH[STEP] + 2.6 + 1.8

    def _draw_band(self, words: Sequence[str], ink: Ink) -> None:
        low = self.y + len(words) * PITCH[STEP] + 2.6
        self.put(rectangle(self.left, self.y, self.right, low, 0.0, fill=ink))
        y = self.y + 1.3
        for part in words:
            self.put(Text(self.left + 3.0, y + STEP + 1.1, part, STEP, bold=True, ink="white"))
            y += PITCH[STEP]
        self.y = low + 1.8

    def _foot(self) -> list[tuple[str, bool]]:
        parts = [(part, True) for part in wrap_text(self._caution, self.inner, BODY, True)]
        if self._about:
            parts.append((cut_text(self._about, self.inner, BODY), False))
        return parts

    def _foot_height(self) -> float:
        return len(self._foot()) * PITCH[BODY] + 3.2

    # -- ending -----------------------------------------------------------------------------------------------------
    def finished(self, *, mono: bool = False, film: bool = False) -> tuple[Picture, ...]:
        """The pages: every card with its foot and number, crop marks and ruler round it."""
        made = []
        count = len(self._cards)
        wide, high = self.width + 2 * AROUND, self.height + 2 * AROUND + RULER
        marks = outside(self.width, self.height, film)
        for number, body in enumerate(self._cards, 1):
            on_card = [*body, *self._last_lines(number, count)]
            placed = [*transformed(on_card, AROUND, AROUND), *marks]
            if mono:
                placed = [_without_colour(p) for p in placed]
            title = self._titles[number - 1]
            trim = Box(AROUND, AROUND, AROUND + self.width, AROUND + self.height)
            name = _("Card {number}: {title}").format(number=number, title=title)
            made.append(Picture(wide, high, tuple(placed), name, mirrored=film, trim=trim, bleed=BLEED))
        return tuple(made)

    def _last_lines(self, number: int, count: int) -> list[Primitive]:
        told = _("{number} of {count}").format(number=number, count=count)
        made: list[Primitive] = [Text(self.right, _EDGE + BODY + 0.6, told, BODY, "end", bold=True)]
        y = self._bottom + 1.0
        made.append(line(self.left, y, self.right, y, 0.5))
        for part, bold in self._foot():
            made.append(Text(self.left, y + BODY + 1.8, part, BODY, bold=bold))
            y += PITCH[BODY]
        return made


def column_widths(titles: Sequence[str], rows: Sequence[Sequence[Cell]], inner: float) -> list[float]:
    """Widths of columns that fill `inner`, mm: what each wants where that fits, else no less than its longest word."""
    room = inner - _GUTTER * (len(titles) - 1)
    wants, least = [], []
    for n, title in enumerate(titles):
        cells = [row[n] for row in rows]
        signs = max((c.width for c in cells if isinstance(c, Sign)), default=0.0)
        texts = [title, *(plain(c) for c in cells if isinstance(c, str))]
        wants.append(max(signs, *(text_width(t, BODY, True) for t in texts)) + 0.2)
        words = [word for t in texts for word in t.split()]
        longest = max((text_width(word, BODY, True) for word in words), default=0.0) + 0.2
        least.append(max(signs + 0.2, min(longest, room * 0.3)))
    if sum(wants) <= room:
        wants[-1] += room - sum(wants)
        return wants
    if sum(least) > room:
        return [w * room / sum(least) for w in least]
    spare = room - sum(least)
    more = [max(0.0, w - n) for w, n in zip(wants, least, strict=True)]
    # what lacks little gets it, the rest is shared out in proportion: long texts get most of it
    little = spare / 4
    made = [n + m if m <= little else n for n, m in zip(least, more, strict=True)]
    lacking = [m if m > little else 0.0 for m in more]
    spare = room - sum(made)
    if spare < 0.0 or not any(lacking):
        made, lacking, spare = least, more, room - sum(least)
    return [n + m * spare / sum(lacking) for n, m in zip(made, lacking, strict=True)]


def _without_colour(p: Primitive) -> Primitive:
    if isinstance(p, Text):
        return p._replace(ink="black") if p.ink in ("red", "blue") else p
    ink: Ink = "black" if p.ink in ("red", "blue") else p.ink
    fill: Ink | None = "black" if p.fill in ("red", "blue") else p.fill
    return p._replace(ink=ink, fill=fill)
