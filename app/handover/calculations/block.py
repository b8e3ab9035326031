"""One block of a sheet: what is looked at, what is given, and a line for every check with margin and verdict. In mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from app.handover.calculations.words import VERDICT_WORDS, given, percent, told
from app.paper.blocks import Block, Figure, Heading, Paragraph
from engine.calculations.results import Calculation, Verdict
from engine.picture import Primitive, Text, circle, cut_text, line, polyline, text_width, wrap_text
from engine.words import _

__all__ = ["anchor_of", "block", "legend_signs"]

_TALL = 2.5  # height of a capital
_PITCH = 3.9  # base line to base line
_PAD = 1.5
_WHAT = 26.0  # width of the first column
_MARGIN = 13.0
_VERDICT = 23.5
_GAP = 2.0
_TITLE_LINES = 2  # what is longer is told below the heading


class _Row(NamedTuple):
    """Texts as lines, and how many of them the row takes."""

    what: tuple[str, ...]
    text: tuple[str, ...]
    margin: str
    verdict: Verdict | None
    lines: int


def anchor_of(one: Calculation, number: int) -> str:
    """A place in the document for the block, by its number in it."""
    return f"calculation-{one.section}-{number}"


def block(one: Calculation, number: int, room: tuple[float, float]) -> Iterator[Block]:
    """The blocks of one calculation; `room` is that of an empty page."""
    wide, high = room
    title = f"{one.designation}   {one.title}".strip() or _("without designation")
    flat = " ".join(title.split())
    short = cut_text(flat, _TITLE_LINES * (wide - 2 * _PAD) * 0.9, _TALL, bold=True)
    yield Heading(short, 2, anchor_of(one, number))
    if short != flat:
        yield Paragraph(title)
    rows = list(_rows(one, wide))
    if sum(row.lines for row in rows) * _PITCH + len(rows) <= high / 2:
        yield _figure(rows, wide)
        return
    for row in rows:
        if row.lines * _PITCH + 4.0 <= high:
            yield _figure([row], wide)
            continue
        words = " ".join(row.what), _(VERDICT_WORDS[row.verdict]) if row.verdict else "", row.margin
        yield Paragraph(" ".join((": ".join(word for word in words if word), " ".join(row.text))))


def _rows(one: Calculation, wide: float) -> Iterator[_Row]:
    if one.inputs:
        yield _row(_("Given"), given(one.inputs), "", None, wide)
    for check in one.checks:
        yield _row(check.what, told(check), percent(check.margin), check.verdict, wide)


def _row(what: str, text: str, margin: str, verdict: Verdict | None, wide: float) -> _Row:
    room = wide - 2 * _PAD - _WHAT - _GAP
    if verdict is not None:
        room -= _MARGIN + _VERDICT
    left = wrap_text(what, _WHAT - _GAP, _TALL)
    right = wrap_text(text, room, _TALL)
    return _Row(left, right, margin, verdict, max(len(left), len(right), 1))


def _figure(rows: Sequence[_Row], wide: float) -> Figure:
    kept = tuple(rows)

    def draw(x: float, y: float) -> tuple[Primitive, ...]:
        return tuple(_drawn(kept, x, y, wide))

    return Figure(wide, sum(row.lines for row in kept) * _PITCH + 0.8 * len(kept) + 0.6, draw)


def _drawn(rows: Sequence[_Row], x: float, y: float, wide: float) -> Iterator[Primitive]:
    for row in rows:
        for n, part in enumerate(row.what):
            yield Text(x + _PAD, y + _TALL + n * _PITCH, part, _TALL)
        for n, part in enumerate(row.text):
            if part:
                yield Text(x + _PAD + _WHAT, y + _TALL + n * _PITCH, part, _TALL)
        if row.verdict is not None:
            right = x + wide - _PAD
            if row.margin:
                yield Text(right - _VERDICT, y + _TALL, row.margin, _TALL, "end", row.verdict == "fails")
            yield from sign(row.verdict, right - _VERDICT + 2.0, y)
            bold = row.verdict in ("fails", "not judged")
            yield Text(right - _VERDICT + 6.0, y + _TALL, _(VERDICT_WORDS[row.verdict]), _TALL, "start", bold)
        y += row.lines * _PITCH + 0.8
        yield line(x, y - 0.8, x + wide, y - 0.8, 0.13, "grey")


def sign(verdict: Verdict, x: float, y: float) -> Iterator[Primitive]:
    """A sign of strokes, 2.5 mm square: a tick, a cross, a question in a ring, a ring, two lines."""
    if verdict == "in order":
        yield polyline(((x, y + 1.4), (x + 0.9, y + 2.4), (x + 2.5, y + 0.1)), 0.35)
    elif verdict == "fails":
        yield line(x, y, x + 2.5, y + 2.5, 0.5)
        yield line(x, y + 2.5, x + 2.5, y, 0.5)
    elif verdict == "not judged":
        yield circle(x + 1.25, y + 1.25, 1.6, 0.25)
        wide = text_width("?", 1.8, True)
        yield Text(x + 1.25 - wide / 2, y + 2.15, "?", 1.8, bold=True)
    elif verdict == "waived":
        yield circle(x + 1.25, y + 1.25, 1.1, 0.35)
    else:
        yield line(x + 0.3, y + 0.9, x + 2.2, y + 0.9, 0.25)
        yield line(x + 0.3, y + 1.7, x + 2.2, y + 1.7, 0.25)


def legend_signs(meanings: Sequence[tuple[Verdict, str]], wide: float) -> Figure:
    """What each sign means, one below the other."""
    rows = tuple((verdict, wrap_text(text, wide - 10.0, _TALL)) for verdict, text in meanings)

    def draw(x: float, y: float) -> tuple[Primitive, ...]:
        made: list[Primitive] = []
        for verdict, lines in rows:
            made += sign(verdict, x + _PAD, y)
            for n, text in enumerate(lines):
                made.append(Text(x + 8.0, y + _TALL + n * _PITCH, text, _TALL))
            y += len(lines) * _PITCH + 0.8
        return tuple(made)

    return Figure(wide, sum(len(lines) * _PITCH + 0.8 for _verdict, lines in rows), draw)
