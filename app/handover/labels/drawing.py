"""A label drawn into its cell. In mm."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from app.handover.labels.fitting import Fitted, fit, set_rows
from app.handover.labels.label import Label
from engine.picture import Box, Primitive, Text, line, polygon, rectangle, text_width

__all__ = ["Drawn", "draw_label"]

_PAD, _NARROW = 1.5, 1.0  # between the edge of a cell and its text; in a cell less than 15 mm high
_ACROSS = 1.2  # between two repeats of a marker
_TALL_MARKER, _ONCE = 5.0, 3.5  # highest type of a marker's name; where it stands there only once
_MOST = {"signs": 10.0}  # of the first line of other labels, where it is not 5 mm
_USUAL = 2.5


class Drawn(NamedTuple):
    """What is drawn; `whole`: all of its text is there; `least`: its smallest height."""

    primitives: tuple[Primitive, ...]
    whole: bool
    least: float


def draw_label(label: Label, cell: Box, marker_width: float | None = None) -> Drawn:
    """A label in a cell. A marker's text is repeated down its cell, so that it is read from every side of a cable."""
    if label.kind == "markers":
        return _marker(label, cell, marker_width)
    if label.kind == "signs" and label.word:
        return _sign(label, cell)
    inner = _inner(cell)
    fitted = fit(label.lines, inner.right - inner.left, inner.bottom - inner.top, _MOST.get(label.kind, 5.0))
    return Drawn(tuple(set_rows(fitted, inner)), fitted.whole, fitted.least)


def _inner(cell: Box) -> Box:
    return cell.grown(-(_PAD if cell.bottom - cell.top >= 15 else _NARROW))


def _marker(label: Label, cell: Box, width: float | None) -> Drawn:
    if width is not None and width < cell.right - cell.left:
        cell = cell._replace(right=cell.left + width)
    inner = _inner(cell)
    wide, high = inner.right - inner.left, inner.bottom - inner.top
    fitted = fit(label.lines, wide, (high - _ACROSS) / 2, _TALL_MARKER)
    if not fitted.whole or fitted.least < _USUAL:
        fitted = fit(label.lines, wide, high, _ONCE)
    repeats = max(int((high + _ACROSS + 1e-6) // (fitted.high + _ACROSS)), 1) if fitted.rows else 0
    made: list[Primitive] = []
    pitch = high / repeats if repeats else 0.0
    for n in range(repeats):
        top = inner.top + n * pitch
        made.extend(set_rows(fitted, Box(inner.left, top, inner.right, top + pitch)))
        if n:
            made.append(line(inner.left, top, inner.right, top, 0.18, "light"))
    return Drawn(tuple(made), fitted.whole, fitted.least)


# -- signs ------------------------------------------------------------------------------------------------------------
def _sign(label: Label, cell: Box) -> Drawn:
    """A black band with the signal word and a triangle, the words below it. Nothing is told by colour."""
    frame = cell.grown(-1.0)
    band = min(max((frame.bottom - frame.top) * 0.24, 5.0), 18.0)
    head = Box(frame.left, frame.top, frame.right, frame.top + band)
    word = fit((label.word,), (head.right - head.left) - band - 4.0, band * 0.8, 10.0)
    body = Box(frame.left + 2.0, head.bottom + 1.0, frame.right - 2.0, frame.bottom - 1.0)
    fitted = fit(label.lines, body.right - body.left, body.bottom - body.top, 7.0)
    made: list[Primitive] = [
        rectangle(head.left, head.top, head.right, head.bottom, 0.0, fill="black"),
        rectangle(frame.left, frame.top, frame.right, frame.bottom, 0.7),
    ]
    made.extend(_head(word, head, band))
    made.extend(set_rows(fitted, body))
    return Drawn(tuple(made), fitted.whole and word.whole, min(fitted.least, word.least))


def _head(word: Fitted, head: Box, band: float) -> Iterator[Primitive]:
    if not word.rows:
        return
    row = word.rows[0]
    wide = text_width(row.text, row.height, row.bold)
    side = band * 0.72
    left = (head.left + head.right - wide - side - 2.0) / 2
    yield from _triangle(left + side / 2, (head.top + head.bottom) / 2, side)
    base = (head.top + head.bottom + row.height) / 2
    yield Text(left + side + 2.0, base, row.text, row.height, "start", True, "white")


def _triangle(x: float, y: float, side: float) -> Iterator[Primitive]:
    """The alert sign: a white triangle with a black stroke and dot."""
    high = side * 0.866
    top, foot = y - high / 2, y + high / 2
    yield polygon(((x, top), (x + side / 2, foot), (x - side / 2, foot)), 0.0, fill="white")
    yield line(x, top + high * 0.36, x, top + high * 0.68, side * 0.1, cap="butt")
    half = side * 0.055
    yield rectangle(x - half, foot - high * 0.2 - half, x + half, foot - high * 0.2 + half, 0.0, fill="black")
