"""Every symbol on printed sheets: at the size it has on drawings, its terminals named, its clause told. In mm.

One or both standards; as many symbols side by side as the paper holds. Frame, title block and cautions are those of
every document.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from app.drawing.frame import TitleFields, frame
from app.symbol_list import Listed, chosen_by, standing, without_standing
from engine.meaning import Meaning
from engine.picture import Box, Path, Picture, Primitive, Text, around, line, path_box, text_box, transformed, wrap_text
from engine.words import N_, _
from symbols import catalogue
from symbols.catalogue import STANDARDS, STEP, Port, Shape, Standard

__all__ = ["symbol_pictures"]

_TALL = 2.5  # height of a capital
_HEAD = 3.5  # of one in a heading
_PITCH = 4.0  # base line to base line
_NARROWEST = {1: 60.0, 2: 88.0}  # of a column, by how many standards are shown
_PAD = 2.0  # left and right in a column
_NAMED = 1.0  # from a port to its name
_AIR = 2.5  # round a shape with its names
_MARKS = N_("Small signs used by other symbols and by sheets")
_OWN = N_("Symbols of your own")


class _Cell(NamedTuple):
    """A symbol with what is told of it; each part about the upper left corner of its own room."""

    drawn_high: float
    drawn: tuple[Primitive, ...]
    told_high: float
    told: tuple[Primitive, ...]


def symbol_pictures(
    entries: Sequence[Listed],
    family_names: dict[str, str],
    *,
    size: str,
    standard: Standard | None = None,
    upright: bool = False,
) -> tuple[Picture, ...]:
    """The sheets. `standard`: only its shapes; else both side by side. `family_names` in words."""
    shown = STANDARDS if standard is None else (standard,)
    title = _("Symbols after {standard}").format(standard=standard or _("IEC 60617 and IEEE 315"))
    fields = TitleFields(title=title, document_type=_("Symbol sheet"), created_by="Linewright")
    first = frame(size, fields, margin=False, upright=upright)
    later = frame(size, fields, margin=False, upright=upright, goes_on=True)
    body = first.drawing_box
    columns = max(1, int((body.right - body.left) // _NARROWEST[len(shown)]))
    setter = _Setter(body, later.drawing_box, columns)
    setter.words(_intro(len(shown)))
    for family, some in itertools.groupby(entries, key=lambda each: each.family):
        name = {"marks": _(_MARKS), "own": _(_OWN)}.get(family) or family_names[family]
        setter.section(name, [_cell(each, shown, setter.wide) for each in some])
    made = []
    for number, primitives in enumerate(setter.pages, 1):
        counted = fields._replace(sheet=number, sheets=len(setter.pages))
        sheet = frame(size, counted, margin=False, upright=upright, goes_on=number > 1)
        meaning = Meaning(len(sheet.primitives))
        made.append(Picture(sheet.width, sheet.height, (*sheet.primitives, *primitives), title, meaning=meaning))
    return tuple(made)


def _intro(standards: int) -> str:
    told = _(
        "Shapes at the size they have on drawings. Beside each place where a run arrives stands the name of its "
        "terminal. Under the shape: name, letters after IEC 81346-2, the name that files use, the clause the shape "
        "follows and whether that was confirmed."
    )
    if standards == 2:
        told += " " + _("Left the shape of IEC 60617, right that of IEEE 315; one shape where they are the same.")
    return told


class _Setter:
    """Fills pages with rows of cells."""

    def __init__(self, first: Box, later: Box, columns: int) -> None:
        self._first, self._later = first, later
        self._columns = columns
        self.wide = (first.right - first.left) / columns
        self.pages: list[list[Primitive]] = [[]]
        self._y = first.top

    @property
    def _box(self) -> Box:
        return self._first if len(self.pages) == 1 else self._later

    def _keep(self, high: float) -> None:
        if self._y > self._box.top and self._y + high > self._box.bottom:
            self.pages.append([])
            self._y = self._box.top

    def words(self, text: str) -> None:
        """A paragraph over the whole width."""
        for each in wrap_text(text, self._box.right - self._box.left, _TALL):
            self._y += _PITCH
            self.pages[-1].append(Text(self._box.left, self._y - 1.0, each, _TALL))
        self._y += _PITCH / 2

    def section(self, name: str, cells: Sequence[_Cell]) -> None:
        """A heading, never without a row below it; repeated at the top of the next page."""
        rows = [cells[n : n + self._columns] for n in range(0, len(cells), self._columns)]
        told = name
        for number, row in enumerate(rows):
            drawn_high = max(cell.drawn_high for cell in row)
            high = drawn_high + max(cell.told_high for cell in row)
            before = len(self.pages)
            self._keep(high + (_HEAD * 3 if number == 0 else 0.0))
            if number == 0 or len(self.pages) > before:
                self._heading(told)
                told = _("{title} (continued)").format(title=name)
            for n, cell in enumerate(row):
                left = self._box.left + n * self.wide
                self.pages[-1] += transformed(cell.drawn, left, self._y + (drawn_high - cell.drawn_high) / 2)
                self.pages[-1] += transformed(cell.told, left, self._y + drawn_high)
            self._y += high

    def _heading(self, text: str) -> None:
        self._y += _HEAD * 1.9
        self.pages[-1].append(Text(self._box.left, self._y, text, _HEAD, bold=True))
        self._y += 1.6
        self.pages[-1].append(line(self._box.left, self._y, self._box.right, self._y, 0.35))
        self._y += 1.5


def _cell(each: Listed, shown: Sequence[Standard], wide: float) -> _Cell:
    """One symbol: shapes, then words."""
    shapes = [catalogue.shape(each.symbol, standard) for standard in shown]
    if len(shapes) == 2 and shapes[0].primitives == shapes[1].primitives:
        shapes = shapes[:1]
    blocks = [tuple(_with_names(shape, each.family != "marks")) for shape in shapes]
    boxes = [_around(block) for block in blocks]
    high = max(box.bottom - box.top for box in boxes)
    total = sum(box.right - box.left for box in boxes)
    gap = max(_AIR, (wide - 2 * _PAD - total) / (len(boxes) + 1)) if len(boxes) > 1 else 0.0
    made: list[Primitive] = []
    x = _PAD + (gap if len(boxes) > 1 else (wide - 2 * _PAD - total) / 2)
    for block, box in zip(blocks, boxes, strict=True):
        made += transformed(block, x - box.left, _AIR - box.top + (high - (box.bottom - box.top)) / 2)
        x += box.right - box.left + gap
    told: list[Primitive] = []
    y = 0.0
    for text, bold, grey in _told(each, shown):
        for part in wrap_text(text, wide - 2 * _PAD, _TALL, bold):
            y += _PITCH
            told.append(Text(_PAD, y - 1.0, part, _TALL, bold=bold, ink="grey" if grey else "black"))
    return _Cell(high + 2 * _AIR, tuple(made), y + _AIR, tuple(told))


def _told(each: Listed, shown: Sequence[Standard]) -> Iterator[tuple[str, bool, bool]]:
    """Lines: text, bold, grey."""
    letters = ", ".join(each.letters)
    yield (_("{title} ({letters})").format(title=each.title, letters=letters) if letters else each.title), True, False
    of = each.symbol
    if each.of_kind:
        kind = _("{name}: a symbol for {kind}").format(name=each.name, kind=each.of_kind)
        by = chosen_by(of)
        yield kind + "; " + (_("taken where {fields}").format(fields=by) if by else _("taken by name")), False, True
    else:
        yield each.name, False, True
    clauses = [of.faces[standard].clause for standard in shown]
    for clause in dict.fromkeys(clauses):
        if clause:
            yield without_standing(clause), False, False
        else:
            yield _("drawn by the yard: {file}").format(file=of.told), False, False
    standings = list(dict.fromkeys(told for clause in clauses if (told := standing(clause))))
    if standings:
        yield "; ".join(standings), False, True
    if of.positions():
        yield (
            _("drawn in position {position}; positions {positions}").format(
                position=of.rest, positions=", ".join(of.positions())
            ),
            False,
            True,
        )


def _with_names(shape: Shape, named: bool) -> Iterator[Primitive]:
    """A shape and the names of its terminals beside its ports, none on another."""
    yield from shape.primitives
    if not named:
        return
    taken: list[Box] = []
    for port in sorted(shape.ports.values(), key=lambda p: (p.side, p.x, p.y)):
        text = _beside(shape, port, taken)
        taken.append(text_box(text))
        yield text


def _beside(shape: Shape, port: Port, taken: Sequence[Box]) -> Text:
    x, y = port.x * STEP, port.y * STEP
    for row in range(12):
        by = row * _PITCH
        if port.side == "left":
            text = Text(min(x, shape.box.left) - _NAMED, y + _TALL / 2 - by, port.name, _TALL, "end", ink="blue")
        elif port.side == "right":
            text = Text(max(x, shape.box.right) + _NAMED, y + _TALL / 2 - by, port.name, _TALL, ink="blue")
        elif port.side == "top":
            top = min(y, shape.box.top)
            text = Text(x, top - _NAMED - by, port.name, _TALL, "middle", ink="blue")
        else:
            low = max(y, shape.box.bottom)
            text = Text(x, low + _NAMED + _TALL + by, port.name, _TALL, "middle", ink="blue")
        box = text_box(text).grown(1.2)
        if not any(
            box.left < b.right and b.left < box.right and box.top < b.bottom and b.top < box.bottom for b in taken
        ):
            break
    return text


def _around(primitives: Sequence[Primitive]) -> Box:
    boxes = [path_box(p) if isinstance(p, Path) else text_box(p) for p in primitives]
    return around(boxes)
