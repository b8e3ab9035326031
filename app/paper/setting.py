"""Blocks set on pages, from top to bottom, in the sheet's own frame: text, tables, figures, lines to sign on. In mm.

Columns of a table are as wide as their text; where that is too much for the paper the widest give way and their cells
wrap. The header is repeated on every page; a row that is taller than a page runs on. A heading never stands alone at
the foot of a page. Nothing is ever cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from app.drawing.frame import TitleFields, frame
from app.paper.blocks import Block, Figure, Gap, Heading, PageBreak, Paragraph, Photo, Points, Signatures
from app.paper.table import Table, shown
from engine.meaning import Meaning
from engine.picture import Box, Picture, Primitive, Text, Under, line, rectangle, text_width, wrap_text
from engine.words import _

__all__ = ["column_widths", "room_of", "set_blocks"]

_TALL = 2.5  # height of a capital
_TITLE = 3.5  # of one in a heading
_PITCH = 4.0  # base line to base line
_ABOVE, _BELOW = 1.3, 1.5  # room above the capitals and below the last base line of a row
_PAD = 1.5  # left and right of a cell's text
_LEAST = 8.0  # narrowest column
_LONGEST_WORD = 40.0  # a word wider than this does not hold a column open
_BOX = 3.0  # side of a box to be ticked
_INDENT = 4.0  # of a point
_TOGETHER = 5  # lines of a note that stay on one page
_SIGN = 12.0  # room of a line to sign on
_BESIDE = 5.0  # between photographs that stand side by side

_Cells = tuple[tuple[str, ...], ...]  # the lines of every cell of a row


class _Page:
    """A page being filled: its title, what is on it, what begins on it."""

    def __init__(self, title: str) -> None:
        self.title = title
        self.primitives: list[Primitive] = []
        self.anchors: list[tuple[str, float, float]] = []
        self.headings: list[tuple[str, float]] = []
        self.photographs: list[Under] = []


class _Look(NamedTuple):
    """How the rows of a table are set: the same on all its pages."""

    table: Table
    widths: list[float]
    header: _Cells


def set_blocks(
    blocks: Sequence[Block], *, size: str, fields: TitleFields, upright: bool = False
) -> tuple[Picture, ...]:
    """The blocks on as many sheets of `size` as they need; `fields.sheet` and `sheets` are counted here.

    `upright` stands the paper on its short side. Without any block there is one page that has only its frame.
    """
    bodies = [frame(size, fields, margin=False, upright=upright, goes_on=on).drawing_box for on in (False, True)]
    setter = _Setter(bodies[0], bodies[1], fields.title)
    for n, block in enumerate(blocks):
        setter.add(block, blocks[n + 1 :])
    pages = setter.pages or [_Page(fields.title)]
    made = []
    for number, page in enumerate(pages, 1):
        counted = fields._replace(sheet=number, sheets=len(pages))
        sheet = frame(size, counted, margin=False, upright=upright, goes_on=number > 1)
        primitives = (*sheet.primitives, *page.primitives)
        meaning = Meaning(len(sheet.primitives))
        picture = Picture(sheet.width, sheet.height, primitives, page.title, tuple(page.anchors), meaning=meaning)
        made.append(picture._replace(headings=tuple(page.headings), photographs=tuple(page.photographs)))
    return tuple(made)


def room_of(size: str, upright: bool = False) -> tuple[float, float]:
    """Width and height that blocks have on an empty page: a `Figure` must be no larger to stand whole."""
    body = frame(size, TitleFields(), margin=False, upright=upright).drawing_box
    return body.right - body.left, body.bottom - body.top


def column_widths(table: Table, room: float) -> list[float]:
    """Width of every column; together never more than `room`."""
    natural, most, least = [], [], []
    for c, column in enumerate(table.columns):
        texts = [(column.heading(), True), *((shown(row[c], column), False) for row in table.rows)]
        lines = [(part, bold) for text, bold in texts for part in text.splitlines()]
        widest = max((text_width(part, _TALL, bold) for part, bold in lines), default=0.0) + 2 * _PAD + 0.01
        word = max((text_width(w, _TALL, bold) for part, bold in lines for w in part.split()), default=0.0)
        most.append(max(widest, _LEAST, column.least))
        full = max(widest if column.width is None else min(widest, column.width), _LEAST, column.least)
        natural.append(full)
        least.append(max(min(full, max(_LEAST, min(word, _LONGEST_WORD) + 2 * _PAD + 0.01)), column.least))
    if sum(natural) <= room:
        return _filled(natural, most, room)
    if sum(least) > room:  # words must break
        natural, least = least, [min(_LEAST, room / len(least))] * len(least)
    return _filled(least, natural, room)


def _filled(least: list[float], most: list[float], room: float) -> list[float]:
    """Each at least and at most so wide, together as wide as there is room for: the narrowest are filled first."""
    if sum(most) <= room:
        return most
    low, high = 0.0, max(most)  # the level up to which every column is filled
    for _step in range(60):
        level = (low + high) / 2
        filled = sum(min(max(level, small), full) for small, full in zip(least, most, strict=True))
        low, high = (level, high) if filled <= room else (low, level)
    return [min(max(low, small), full) for small, full in zip(least, most, strict=True)]


class _Setter:
    """Puts one block below the other."""

    def __init__(self, first: Box, others: Box, title: str) -> None:
        self.body, self._others = first, others
        self.pages: list[_Page] = []
        self._y = max(first.bottom, others.bottom)  # so that the first thing opens a page
        self._title = title
        self._row_of_photos: list[Photo] = []

    @property
    def _wide(self) -> float:
        return self.body.right - self.body.left

    def add(self, block: Block, following: Sequence[Block]) -> None:
        """A block; what follows is looked at so that a heading stays with it."""
        if isinstance(block, Table):
            self._add_table(block)
        elif isinstance(block, Heading):
            self._heading(block, following)
        elif isinstance(block, Paragraph):
            self._text(block.text, bold=block.bold, link=block.link)
            self._y += 1.5
        elif isinstance(block, Points):
            for text in block.texts:
                self._text(text, indent=_INDENT)
                self._y += 0.6
            self._y += 1.0
        elif isinstance(block, Figure):
            self._keep(_figure_height(block, self._wide))
            self.pages[-1].primitives.extend(block.draw(self.body.left, self._y + 1.0))
            self._y += block.height + 2.0
            self._caption(block.caption, self.body.left, self._y, self._wide)
            self._y += _figure_height(block, self._wide) - block.height - 2.0
        elif isinstance(block, Photo):
            self._photo(block, following[0] if following else None)
        elif isinstance(block, Signatures):
            self._signatures(block.who)
        elif isinstance(block, Gap):
            self._gap(block.text)
        elif isinstance(block, PageBreak) and self.pages:
            self._y = max(self.body.bottom, self._others.bottom)

    # -- pages ------------------------------------------------------------------------------------------------------
    def _put(self, *primitives: Primitive) -> None:
        self.pages[-1].primitives.extend(primitives)

    def _open(self) -> None:
        if self.pages:
            self.body = self._others
        self.pages.append(_Page(self._title))
        self._y = self.body.top

    def _keep(self, high: float) -> None:
        """On to a new page unless so much room is left."""
        if not self.pages or self._y + high > self.body.bottom + 1e-6:
            self._open()

    # -- text -------------------------------------------------------------------------------------------------------
    def _text(self, text: str, *, bold: bool = False, indent: float = 0.0, link: str = "", inset: float = 0.0) -> None:
        left = self.body.left + _PAD + indent + inset
        lines = wrap_text(text, self.body.right - _PAD - inset - left, _TALL, bold)
        for n, each in enumerate(lines):
            self._keep(_PITCH * (2 if n == 0 and len(lines) > 1 else 1) + _BELOW)  # no first line alone at the foot
            self._y += _PITCH
            if indent and n == 0:
                self._put(Text(left - indent + 1.0, self._y, "–", _TALL))
            self._put(Text(left, self._y, each, _TALL, bold=bold, link=link))

    def _heading(self, heading: Heading, following: Sequence[Block]) -> None:
        tall = _TITLE if heading.level == 1 else _TALL
        lines = wrap_text(heading.text, self._wide - 2 * _PAD, tall, bold=True)
        if heading.level == 1:
            self._title = heading.text
        self._keep(tall * 1.0 + len(lines) * tall * 1.6 + self._beginning(following))
        if self._y > self.body.top:
            self._y += tall * 0.8
        else:
            self.pages[-1].title = self._title
        if heading.level == 1:
            self.pages[-1].headings.append((heading.text, self._y))
        if heading.anchor:
            self.pages[-1].anchors.append((heading.anchor, self.body.left, self._y))
        for text in lines:
            self._put(Text(self.body.left + _PAD, self._y + tall, text, tall, bold=True))
            self._y += tall * 1.6
        self._y += 0.4

    def _beginning(self, following: Sequence[Block]) -> float:
        """Room that the beginning of what comes next takes."""
        for block in following:
            if isinstance(block, Heading):
                return (_TITLE if block.level == 1 else _TALL) * 2.6 + self._beginning(
                    following[list(following).index(block) + 1 :]
                )
            if isinstance(block, Table):
                look = self._look(block)
                first = _height(self._wrapped_row(look, 0)) if block.rows else 0.0
                return self._head_height(block.title, look.header) + min(first, 4 * _PITCH)
            if isinstance(block, Figure):
                return _figure_height(block, self._wide)
            if isinstance(block, Photo):
                return _photo_height(block)
            if isinstance(block, Signatures):
                return _SIGN + _PITCH
            if isinstance(block, PageBreak):
                return 0.0
            return 2 * _PITCH + _BELOW + (3.0 if isinstance(block, Gap) else 0.0)
        return 0.0

    def _gap(self, text: str) -> None:
        lines = wrap_text(text, self._wide - 2 * _PAD - 4.0, _TALL, bold=True)
        high = len(lines) * _PITCH + 3.0
        if high > self.body.bottom - self.body.top:  # too long to be framed
            self._text(text, bold=True)
            return
        self._keep(high + 2.0)
        self._y += 1.0
        self._put(rectangle(self.body.left, self._y, self.body.right, self._y + high, width=0.5))
        for n, each in enumerate(lines):
            self._put(Text(self.body.left + _PAD + 2.0, self._y + 1.2 + (n + 1) * _PITCH - 1.0, each, _TALL, bold=True))
        self._y += high + 2.0

    def _signatures(self, who: Sequence[str]) -> None:
        shares = ((_("Name"), 0.34), (_("Date"), 0.2), (_("Signature"), 0.46))
        for each in who:
            self._keep(_SIGN + _PITCH + 2.0)
            self._y += _PITCH
            for n, part in enumerate(wrap_text(each, self._wide - 2 * _PAD, _TALL, bold=True)):
                self._y += _PITCH if n else 0.0
                self._put(Text(self.body.left + _PAD, self._y, part, _TALL, bold=True))
            x, y = self.body.left + _PAD, self._y + _SIGN - 3.5
            for caption, share in shares:
                right = x + share * (self._wide - 2 * _PAD) - 4.0
                self._put(line(x, y, right, y, 0.25), Text(x, y + 3.2, caption, _TALL))
                x = right + 4.0
            self._y += _SIGN + 1.0

    # -- pictures ---------------------------------------------------------------------------------------------------
    def _photo(self, photo: Photo, following: Block | None) -> None:
        """A photograph, kept until its row is full."""
        self._row_of_photos.append(photo)
        taken = sum(each.width + _BESIDE for each in self._row_of_photos)
        if isinstance(following, Photo) and taken + following.width <= self._wide + 1e-6:
            return
        row, self._row_of_photos = self._row_of_photos, []
        self._keep(max(map(_photo_height, row)))
        x, top = self.body.left, self._y + 1.0
        for each in row:
            self.pages[-1].photographs.append(Under(each.jpeg, each.width, each.height, x, top, 0.0, 100.0))
            self._put(rectangle(x, top, x + each.width, top + each.height, 0.18, "grey"))
            self._caption(each.caption, x, top + each.height + 1.0, each.width)
            x += each.width + _BESIDE
        self._y += max(map(_photo_height, row))

    def _caption(self, caption: str, left: float, top: float, wide: float) -> None:
        for n, text in enumerate(_caption_lines(caption, wide), 1):
            self._put(Text(left, top + n * _PITCH - 0.5, text, _TALL))

    # -- tables -----------------------------------------------------------------------------------------------------
    def _add_table(self, table: Table) -> None:
        """A table with its title and notes."""
        look = self._look(table)
        first = _height(self._wrapped_row(look, 0)) if table.rows else 0.0
        head = self._head_height(table.title, look.header)
        whole = self._others.bottom - self._others.top - head
        first = first if first <= whole else 4 * _PITCH  # what is taller than a page runs on from here
        if self.pages and self._y + 4.0 + head + first <= self.body.bottom:
            self._y += 4.0 if self._y > self.body.top else 0.0
        else:
            self._title = table.title or self._title
            self._open()
        if table.title:
            self.pages[-1].headings.append((table.title, self._y))
        self._head(look, table.title)
        for row in range(len(table.rows)):
            self._row(look, self._wrapped_row(look, row), table.links[row] if table.links else "")
        self._y += 1.0
        for note in table.notes:
            lines = wrap_text(note, self._wide - 2 * _PAD, _TALL)
            if len(lines) <= _TOGETHER and self._y + _ABOVE + len(lines) * _PITCH + _BELOW > self.body.bottom:
                self._continue(look, header=False)
            for text in lines:
                if self._y + _ABOVE + _TALL + _BELOW > self.body.bottom:
                    self._continue(look, header=False)
                self._y += _PITCH
                self._put(Text(self.body.left + _PAD, self._y, text, _TALL))

    def _look(self, table: Table) -> _Look:
        widths = column_widths(table, self._wide)
        return _Look(table, widths, _wrapped([c.heading() for c in table.columns], widths, bold=True))

    def _wrapped_row(self, look: _Look, row: int) -> _Cells:
        values = zip(look.table.rows[row], look.table.columns, strict=True)
        return _wrapped([shown(value, column) for value, column in values], look.widths)

    def _head_height(self, title: str, header: _Cells) -> float:
        lines = wrap_text(title, self._wide - 2 * _PAD, _TITLE, bold=True) if title else ()
        return len(lines) * _TITLE * 1.6 + 1.5 + _height(header)

    def _head(self, look: _Look, title: str, header: bool = True) -> None:
        """Title and header at the present place."""
        for text in wrap_text(title, self._wide - 2 * _PAD, _TITLE, bold=True) if title else ():
            self._put(Text(self.body.left + _PAD, self._y + _TITLE, text, _TITLE, bold=True))
            self._y += _TITLE * 1.6
        if not header:
            return
        self._y += 1.5
        self._cells(look, look.header, bold=True)
        self._rule(look, 0.5)

    def _continue(self, look: _Look, header: bool = True) -> None:
        """The table goes on, on a new page."""
        told = _("{title} (continued)").format(title=look.table.title) if look.table.title else ""
        self._open()
        self.pages[-1].title = told or self._title
        self._head(look, told, header)

    def _row(self, look: _Look, cells: _Cells, link: str = "") -> None:
        if self._y + _height(cells) > self.body.bottom:
            told = _("{title} (continued)").format(title=look.table.title) if look.table.title else ""
            whole = self._others.bottom - self._others.top - self._head_height(told, look.header)
            if _height(cells) > whole:
                self._long_row(look, cells)
                return
            self._continue(look)
        empty = tuple(column.tick and not any(lines) for lines, column in zip(cells, look.table.columns, strict=True))
        top = self._y
        self._cells(look, cells, link=link)
        left = self.body.left
        for is_box, width in zip(empty, look.widths, strict=True):
            if is_box:
                x, y = left + (width - _BOX) / 2, top + _ABOVE + _TALL - _BOX + 0.25
                self._put(rectangle(x, y, x + _BOX, y + _BOX, width=0.35))
            left += width
        self._rule(look, 0.18)

    def _long_row(self, look: _Look, cells: _Cells) -> None:
        """A row taller than a page: as many of its lines as fit, the rest on the next."""
        while any(cells):
            room = int((self.body.bottom - self._y - _ABOVE - _TALL - _BELOW) // _PITCH) + 1
            if room < 1:
                self._continue(look)
                room = max(int((self.body.bottom - self._y - _ABOVE - _TALL - _BELOW) // _PITCH) + 1, 1)
            self._cells(look, tuple(lines[:room] for lines in cells))
            cells = tuple(lines[room:] for lines in cells)
        self._rule(look, 0.18)

    def _cells(self, look: _Look, cells: _Cells, bold: bool = False, link: str = "") -> None:
        left = self.body.left
        for c, (lines, width, column) in enumerate(zip(cells, look.widths, look.table.columns, strict=True)):
            leads = link if c in (0, len(cells) - 1) else ""  # where a hand would go: the name, the page
            right_hand = column.align == "right"
            x = left + width - _PAD if right_hand else left + _PAD
            for n, text in enumerate(lines):
                if text:
                    y = self._y + _ABOVE + _TALL + n * _PITCH
                    self._put(Text(x, y, text, _TALL, "end" if right_hand else "start", bold, link=leads))
            left += width
        self._y += _height(cells)

    def _rule(self, look: _Look, width: float) -> None:
        end = self.body.left + sum(look.widths)
        self._put(line(self.body.left, self._y, end, self._y, width, "grey" if width < 0.5 else "black"))


def _caption_lines(caption: str, wide: float) -> tuple[str, ...]:
    return wrap_text(caption, wide, _TALL) if caption else ()


def _figure_height(figure: Figure, wide: float) -> float:
    told = _caption_lines(figure.caption, wide)
    return figure.height + 2.0 + (len(told) * _PITCH + _BELOW if told else 0.0)


def _photo_height(photo: Photo) -> float:
    return photo.height + 2.0 + len(_caption_lines(photo.caption, photo.width)) * _PITCH + _BELOW


def _wrapped(texts: Sequence[str], widths: Sequence[float], bold: bool = False) -> _Cells:
    return tuple(wrap_text(text, width - 2 * _PAD, _TALL, bold) for text, width in zip(texts, widths, strict=True))


def _height(cells: _Cells) -> float:
    return _ABOVE + _TALL + _BELOW + (max((len(lines) for lines in cells), default=1) - 1) * _PITCH
