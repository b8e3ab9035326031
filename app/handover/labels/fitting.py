"""Text made to fit a label: the largest height of the ISO 3098 series that fits, wrapped. In mm.

Nothing is cut silently: what does not fit even at the least height ends in "…" and is reported.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from engine.picture import Box, Primitive, Text, text_width, wrap_text

__all__ = ["HEIGHTS", "LEAST", "Fitted", "Row", "fit", "set_rows"]

HEIGHTS = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)  # ISO 3098-1:2015, from memory, not confirmed
LEAST = HEIGHTS[0]
_USUAL = HEIGHTS[1]  # nothing is smaller where it can be helped
_SMALL_MOST = 5.0  # of the lines below the first
_UP, _DOWN, _BETWEEN = 1.05, 0.35, 0.15  # of a row above and below its base line, and to the next: in heights
_MORE = "…"


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
    pairs = [(height, _below(height)) for height in down if height > LEAST]
    small = [(_USUAL, LEAST)] if most >= _USUAL else []
    yield from ((*pair, False) for pair in (*pairs, *small, (LEAST, LEAST)))
    yield from ((*pair, True) for pair in (*(pair for pair in pairs if pair[0] <= 3.5), *small, (LEAST, LEAST)))


def _below(height: float) -> float:
    lower = max((each for each in HEIGHTS if each < height), default=height)
    return min(max(lower, _USUAL), _SMALL_MOST)


def fit(lines: Sequence[str], width: float, height: float, most: float = 10.0) -> Fitted:
    """The lines in a room of `width` by `height`; the first is bold and at most `most` high."""
    for first, others, may_break in _tries(most):
        rows = _rows(lines, width, first, others, may_break)
        if rows is not None and _high(rows) <= height + 1e-9:
            return Fitted(rows, True)
    return _cut(lines, width, height)


def _rows(lines: Sequence[str], width: float, first: float, others: float, may_break: bool) -> tuple[Row, ...] | None:
    made: list[Row] = []
    for n, text in enumerate(lines):
        high, bold = (others, False) if n else (first, True)
        if not may_break and any(text_width(word, high, bold) > width for word in text.split()):
            return None
        made.extend(Row(part, high, bold) for part in wrap_text(text, width, high, bold))
    if any(text_width(row.text, row.height, row.bold) > width for row in made):
        return None  # narrower than a character
    return tuple(made)


def _cut(lines: Sequence[str], width: float, height: float) -> Fitted:
    """As much as there is room for at the least height, with a sign that there is more."""
    every = [Row(part, LEAST, not n) for n, text in enumerate(lines) for part in wrap_text(text, width, LEAST, not n)]
    kept = [row for n, row in enumerate(every) if _high(every[: n + 1]) <= height]
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
