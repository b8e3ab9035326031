"""Tables as sheets: the same frame and display list as the drawing, rows set by our own simple layout.

Columns are as wide as their text; where that is too much for the paper the widest give way and their cells wrap. The
header is repeated on every page; a row that is taller than a page runs on.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from app.drawing.frame import TitleFields, frame
from app.paper.pdf import Written, write_pictures
from app.paper.table import Table, shown
from engine.picture import Box, Picture, Primitive, Text, line, text_width, wrap_text
from engine.words import _

__all__ = ["column_widths", "table_pictures", "write_tables"]

_TALL = 2.5  # height of a capital
_TITLE = 3.5  # of one in a table's title
_PITCH = 4.0  # base line to base line
_ABOVE, _BELOW = 1.3, 1.5  # room above the capitals and below the last base line of a row
_PAD = 1.5  # left and right of a cell's text
_LEAST = 8.0  # narrowest column
_LONGEST_WORD = 40.0  # a word wider than this does not hold a column open

_Cells = tuple[tuple[str, ...], ...]  # the lines of every cell of a row


def write_tables(
    tables: Sequence[Table], path: Path | str, *, size: str, fields: TitleFields, language: str = "en"
) -> Written:
    """Write tables as a PDF on paper of `size`. Raises `OSError` from the disk."""
    return write_pictures(
        table_pictures(tables, size, fields),
        path,
        title=fields.title,
        author=fields.legal_owner or fields.created_by,
        language=language,
    )


def table_pictures(tables: Sequence[Table], size: str, fields: TitleFields) -> tuple[Picture, ...]:
    """The tables, one below the other, on as many sheets as they need; `fields.sheet` and `sheets` are counted here."""
    setter = _Setter(frame(size, fields, margin=False).drawing_box)
    for table in tables:
        setter.add(table)
    made = []
    for number, (title, primitives) in enumerate(setter.pages, 1):
        sheet = frame(size, fields._replace(sheet=number, sheets=len(setter.pages)), margin=False)
        made.append(Picture(sheet.width, sheet.height, (*sheet.primitives, *primitives), title))
    return tuple(made)


def column_widths(table: Table, room: float) -> list[float]:
    """Width of every column, mm; together never more than `room`."""
    natural, least = [], []
    for c, column in enumerate(table.columns):
        texts = [(column.heading(), True), *((shown(row[c], column), False) for row in table.rows)]
        lines = [(part, bold) for text, bold in texts for part in text.splitlines()]
        widest = max((text_width(part, _TALL, bold) for part, bold in lines), default=0.0) + 2 * _PAD + 0.01
        word = max((text_width(w, _TALL, bold) for part, bold in lines for w in part.split()), default=0.0)
        full = max(widest if column.width is None else min(widest, column.width), _LEAST)
        natural.append(full)
        least.append(min(full, max(_LEAST, min(word, _LONGEST_WORD) + 2 * _PAD + 0.01)))
    if sum(natural) <= room:
        return natural
    if sum(least) > room:  # words must break
        natural, least = least, [min(_LEAST, room / len(least))] * len(least)
    low, high = 0.0, max(natural)  # the level up to which every column is filled
    for _step in range(60):
        level = (low + high) / 2
        filled = sum(min(max(level, small), full) for small, full in zip(least, natural, strict=True))
        low, high = (level, high) if filled <= room else (low, level)
    return [min(max(low, small), full) for small, full in zip(least, natural, strict=True)]


class _Setter:
    """Puts rows on pages from top to bottom."""

    def __init__(self, body: Box) -> None:
        self.body = body
        self.pages: list[tuple[str, list[Primitive]]] = []
        self._y = body.bottom  # so that the first thing opens a page
        self._table: Table
        self._widths: list[float] = []
        self._header: _Cells = ()

    def add(self, table: Table) -> None:
        """A table with its title and notes."""
        self._table = table
        self._widths = column_widths(table, self.body.right - self.body.left)
        self._header = self._wrapped([c.heading() for c in table.columns], bold=True)
        rows = [self._wrapped([shown(v, c) for v, c in zip(row, table.columns, strict=True)]) for row in table.rows]
        first = _height(rows[0]) if rows else 0.0
        head = self._head_height(table.title)
        if self.pages and self._y + 4.0 + head + min(first, 4 * _PITCH) <= self.body.bottom:
            self._y += 4.0
            self._head(table.title)
        else:
            self._open(table.title)
        for cells in rows:
            self._row(cells)
        self._y += 1.0
        for note in table.notes:
            for text in wrap_text(note, self.body.right - self.body.left - 2 * _PAD, _TALL):
                if self._y + _ABOVE + _TALL + _BELOW > self.body.bottom:
                    self._open(self._continued(), header=False)
                self._y += _PITCH
                self._put(Text(self.body.left + _PAD, self._y, text, _TALL))

    def _wrapped(self, texts: list[str], bold: bool = False) -> _Cells:
        return tuple(
            wrap_text(text, width - 2 * _PAD, _TALL, bold) for text, width in zip(texts, self._widths, strict=True)
        )

    def _continued(self) -> str:
        return _("{title} (continued)").format(title=self._table.title)

    def _put(self, primitive: Primitive) -> None:
        self.pages[-1][1].append(primitive)

    def _open(self, title: str, header: bool = True) -> None:
        self.pages.append((title, []))
        self._y = self.body.top
        self._head(title, header)

    def _title_lines(self, title: str) -> tuple[str, ...]:
        return wrap_text(title, self.body.right - self.body.left - 2 * _PAD, _TITLE, bold=True)

    def _head_height(self, title: str) -> float:
        return len(self._title_lines(title)) * _TITLE * 1.6 + 1.5 + _height(self._header)

    def _head(self, title: str, header: bool = True) -> None:
        """Title and header at the present place."""
        for text in self._title_lines(title):
            self._put(Text(self.body.left + _PAD, self._y + _TITLE, text, _TITLE, bold=True))
            self._y += _TITLE * 1.6
        if not header:
            return
        self._y += 1.5
        self._cells(self._header, bold=True)
        self._rule(0.5, "black")

    def _row(self, cells: _Cells) -> None:
        if self._y + _height(cells) > self.body.bottom:
            whole = self.body.bottom - self.body.top - self._head_height(self._continued())
            if _height(cells) > whole:
                self._long_row(cells)
                return
            self._open(self._continued())
        self._cells(cells)
        self._rule(0.18, "grey")

    def _long_row(self, cells: _Cells) -> None:
        """A row taller than a page: as many of its lines as fit, the rest on the next."""
        while any(cells):
            room = int((self.body.bottom - self._y - _ABOVE - _TALL - _BELOW) // _PITCH) + 1
            if room < 1:
                self._open(self._continued())
                room = max(int((self.body.bottom - self._y - _ABOVE - _TALL - _BELOW) // _PITCH) + 1, 1)
            self._cells(tuple(lines[:room] for lines in cells))
            cells = tuple(lines[room:] for lines in cells)
        self._rule(0.18, "grey")

    def _cells(self, cells: _Cells, bold: bool = False) -> None:
        left = self.body.left
        for lines, width, column in zip(cells, self._widths, self._table.columns, strict=True):
            right_hand = column.align == "right"
            x = left + width - _PAD if right_hand else left + _PAD
            for n, text in enumerate(lines):
                if text:
                    y = self._y + _ABOVE + _TALL + n * _PITCH
                    self._put(Text(x, y, text, _TALL, "end" if right_hand else "start", bold))
            left += width
        self._y += _height(cells)

    def _rule(self, width: float, ink: str) -> None:
        end = self.body.left + sum(self._widths)
        self._put(line(self.body.left, self._y, end, self._y, width, ink))  # type: ignore[arg-type]  # an `Ink`


def _height(cells: _Cells) -> float:
    return _ABOVE + _TALL + _BELOW + (max((len(lines) for lines in cells), default=1) - 1) * _PITCH
