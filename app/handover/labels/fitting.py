"""Text made to fit a label: the largest height of the ISO 3098 series that fits, wrapped. In mm.

Nothing is cut silently: what does not fit even at the least height ends in "…" and is reported.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from app.handover.labels.label import HELD
from engine.picture import Box, Primitive, Text, text_width, wrap_text

__all__ = ["HEIGHTS", "LEAST", "Fitted", "Row", "fit", "set_rows"]

HEIGHTS = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)  # ISO 3098-1:2015, from memory, not confirmed
LEAST = HEIGHTS[0]
_USUAL = HEIGHTS[1]  # nothing is smaller where it can be helped
_SMALL_MOST = 5.0  # of the lines below the first
_UP, _DOWN, _BETWEEN = 1.05, 0.35, 0.15  # of a row above and below its base line, and to the next: in heights
_MORE = "…"
_THIN = 0.15  # of its height: no letter is narrower, though marks above letters are
_UNIT = re.compile(r"(\d) (?=(?:[mkMµ]?(?:A|Ah|V|VA|W|Wh|Hz|Ω|m)|mm|mm²|ms|s|min|%|°C|AWG|ft|in)\b)")


class Row(NamedTuple):
    """One line of type."""

    text: str
    height: float
    bold: bool


class Fitted(NamedTuple):
    """Rows as they stand one below the other; `whole`: nothing had to be left out."""

    rows: tuple[Row, ...]
    whole: bool

    @property
    def high(self) -> float:
        """Room the rows take."""
        return _high(self.rows)

    @property
    def least(self) -> float:
        """The smallest height among them."""
        return min((row.height for row in self.rows), default=0.0)


def _high(rows: Sequence[Row]) -> float:
    return sum((_UP + _DOWN) * row.height for row in rows) + sum(_BETWEEN * row.height for row in rows[1:])


def _tries(most: float) -> Iterator[tuple[float, float, bool]]:
    """Heights of the first line and of the others, largest first, and whether a word may be broken."""
    down = [height for height in reversed(HEIGHTS) if height <= most]
    pairs = [(height, other) for height in down if height > LEAST for other in _below(height)]
    small = [(_USUAL, LEAST)] if most >= _USUAL else []
    yield from ((*pair, False) for pair in (*pairs, *small, (LEAST, LEAST)))
    yield from ((*pair, True) for pair in (*(pair for pair in pairs if pair[0] <= _USUAL), *small, (LEAST, LEAST)))


def _below(height: float) -> tuple[float, ...]:
    """Heights that go with a first line: one and two steps less, but readable."""
    lower = [each for each in reversed(HEIGHTS) if _USUAL <= each < height and each <= _SMALL_MOST]
    return tuple(lower[:2]) or (min(height, _USUAL),)


def fit(lines: Sequence[str], width: float, height: float, most: float = 10.0, bold: bool = True) -> Fitted:
    """The lines in a room of `width` by `height`; the first is at most `most` high, and bold where asked for."""
    letters = sum(len(text) for text in lines)
    for first, others, may_break in _tries(most):
        if letters > _holds(width, height, min(first, others)):
            continue
        rows = _rows(lines, width, first, others, may_break, bold)
        if rows is not None and _high(rows) <= height + 1e-9:
            return Fitted(rows, True)
    return _cut(lines, width, height, bold)


def _holds(width: float, height: float, high: float) -> int:
    """More characters than a room can ever hold in that height: a long text is not tried in vain."""
    return int(width / (_THIN * high) + 1) * int(height / ((_UP + _DOWN) * high) + 1)


def _rows(
    lines: Sequence[str], width: float, first: float, others: float, may_break: bool, bold: bool
) -> tuple[Row, ...] | None:
    made: list[Row] = []
    for n, text in enumerate(lines):
        high, heavy = (others, False) if n else (first, bold)
        held = _UNIT.sub(rf"\1{HELD}", text)  # a figure and its unit stay together
        if any(text_width(word, high, heavy) > width for word in held.split(" ")):
            if not may_break:
                return None
            held = text.replace(HELD, " ")
            held = " ".join(_broken(word, width, high, heavy) for word in held.split(" "))
        made.extend(Row(part.replace(HELD, " "), high, heavy) for part in _even(held, width, high, heavy))
    if any(text_width(row.text, row.height, row.bold) > width for row in made):
        return None  # narrower than a character
    return tuple(made)


def _even(text: str, width: float, height: float, bold: bool) -> tuple[str, ...]:
    """As few rows as there must be, about equally long: no word stands alone below a full row."""
    rows = wrap_text(text, width, height, bold)
    widest = max(text_width(word, height, bold) for word in text.replace("\n", " ").split(" "))
    for share in (0.5, 0.6, 0.7, 0.8, 0.9) if len(rows) > 1 else ():
        if widest <= width * share and len(closer := wrap_text(text, width * share, height, bold)) == len(rows):
            return closer
    return rows


def _broken(word: str, width: float, height: float, bold: bool) -> str:
    """A word in pieces that fit, with hyphens; a piece holds two characters at least where there is room."""
    pieces, rest = [], word
    most = int(width / (_THIN * height)) + 1  # characters
    while len(rest) > 1 and text_width(rest, height, bold) > width:
        take = min(len(rest) - 1, most)
        while take > 1 and text_width(rest[:take] + "-", height, bold) > width:
            take -= 1
        pieces.append(rest[:take] + "-")
        rest = rest[take:]
    return " ".join((*pieces, rest))


def _cut(lines: Sequence[str], width: float, height: float, bold: bool) -> Fitted:
    """As much as there is room for at the least height, with a sign that there is more."""
    every = [
        Row(part, LEAST, not n)
        for n, text in enumerate(lines)
        for part in wrap_text(text.replace(HELD, " "), width, LEAST, not n)
    ]
    kept: list[Row] = []
    for row in every:
        if _high((*kept, row)) > height:
            break
        kept.append(row)
    if not kept:
        return Fitted((), False)
    last = kept[-1]
    room = width - text_width(_MORE, LEAST, last.bold)
    text = last.text
    while text and text_width(text, LEAST, last.bold) > room:
        text = text[:-1]
    kept[-1] = last._replace(text=text.rstrip() + _MORE)
    kept = [row for row in kept if text_width(row.text, row.height, row.bold) <= width]
    return Fitted(tuple(kept), False)


def set_rows(fitted: Fitted, box: Box, *, middle: bool = True, ink: str = "black") -> Iterator[Primitive]:
    """The rows centred in a box, or from its left edge; always in the middle of its height."""
    y = (box.top + box.bottom - fitted.high) / 2
    for n, row in enumerate(fitted.rows):
        y += (_BETWEEN * row.height if n else 0.0) + _UP * row.height
        x = (box.left + box.right) / 2 if middle else box.left
        yield Text(x, y, row.text, row.height, "middle" if middle else "start", row.bold, ink)  # type: ignore[arg-type]
        y += _DOWN * row.height
