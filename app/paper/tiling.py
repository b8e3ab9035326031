"""A sheet that is larger than the printer's paper, cut into pages at true size that are glued together again.

Neighbours share a strip. Every page is cut along its marks at the left and the top, laid over the page before it up to
the pointers, and glued. Outside the cut stand the row and column of the page and a map of all of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from app.drawing.frame import SIZES
from engine.picture import (
    Box,
    Path,
    Picture,
    Primitive,
    Text,
    cut_text,
    line,
    path_box,
    polygon,
    rectangle,
    text_box,
    text_width,
    transformed,
)
from engine.words import _

__all__ = ["OVERLAP", "TILE_SIZES", "Grid", "grid_for", "tiled"]

TILE_SIZES = ("A4", "A3", "Letter", "Tabloid")
OVERLAP = 10.0  # mm that neighbours share
_MARGIN = 10.0  # mm of paper kept free of the drawing: printers leave some 5 mm blank (common practice, no source)
_FOOT = 20.0  # mm of it at the foot, for words and map
_BLANK = 6.0  # mm from the edge within which nothing is put
_MARK = 3.0  # length of a cut mark, mm
_CLEAR = 0.5  # between a mark and the corner it points at
_TALL = 2.5
_MAP = 10.0  # greatest height of the map, mm
_MAP_WIDE = 60.0


class Grid(NamedTuple):
    """How a sheet is cut. `seen`: width and height of the sheet on one page; `step`: from one page to the next."""

    width: float  # of a page
    height: float
    columns: int
    rows: int
    seen: tuple[float, float]
    step: tuple[float, float]

    def part(self, row: int, column: int, sheet: Picture) -> Box:
        """What of the sheet a page shows, both counted from 0."""
        left, top = column * self.step[0], row * self.step[1]
        return Box(left, top, min(left + self.seen[0], sheet.width), min(top + self.seen[1], sheet.height))


def grid_for(sheet: Picture, size: str) -> Grid | None:
    """How `sheet` is cut into pages of `size`, lying or upright, whichever takes fewer; `None`: it fits uncut.

    Raises `KeyError` for a size that is not among `TILE_SIZES`.
    """
    if size not in TILE_SIZES:
        raise KeyError(size)
    long, short = SIZES[size]
    made: list[Grid] = []
    for width, height in ((long, short), (short, long)):
        if sheet.width <= width + 0.01 and sheet.height <= height + 0.01:
            return None
        seen = width - 2 * _MARGIN, height - _MARGIN - _FOOT
        step = seen[0] - OVERLAP, seen[1] - OVERLAP
        columns = max(1, math.ceil((sheet.width - OVERLAP) / step[0] - 1e-9))
        rows = max(1, math.ceil((sheet.height - OVERLAP) / step[1] - 1e-9))
        made.append(Grid(width, height, columns, rows, seen, step))
    return min(made, key=lambda grid: grid.columns * grid.rows)


def tiled(pictures: Sequence[Picture], size: str) -> tuple[Picture, ...]:
    """The pages of `size` that `pictures` are cut into, row by row; what fits on one stays as it is.

    Raises `KeyError` for a size that is not among `TILE_SIZES`.
    """
    made: list[Picture] = []
    for number, picture in enumerate(pictures, 1):
        grid = grid_for(picture, size)
        made.extend([picture] if grid is None else _pages(picture, grid, number))
    return tuple(made)


def _pages(sheet: Picture, grid: Grid, number: int) -> Iterator[Picture]:
    boxes, under = [_reach(primitive) for primitive in sheet.primitives], sheet.under
    name = sheet.title or _("sheet {number}").format(number=number)
    for row in range(grid.rows):
        for column in range(grid.columns):
            part = grid.part(row, column, sheet)
            dx, dy = _MARGIN - part.left, _MARGIN - part.top
            seen = [p for p, box in zip(sheet.primitives, boxes, strict=True) if _touch(box, part)]
            clip = Box(_MARGIN, _MARGIN, part.right + dx, part.bottom + dy)
            title = _("{name}, row {row}, column {column}").format(name=name, row=row + 1, column=column + 1)
            yield sheet._replace(
                width=grid.width,
                height=grid.height,
                primitives=tuple(transformed(seen, dx, dy)),
                title=title,
                anchors=tuple(
                    (anchor, x + dx, y + dy)
                    for anchor, x, y in sheet.anchors
                    if part.left <= x <= part.right and part.top <= y <= part.bottom
                ),
                clip=clip,
                around=(*_marks(clip, grid, row, column), *_words(name, clip, grid, row, column)),
                trim=None,
                bleed=0.0,
                meaning=None,
                under=None if under is None else under._replace(left=under.left + dx, top=under.top + dy),
                photographs=tuple(p._replace(left=p.left + dx, top=p.top + dy) for p in sheet.photographs),
            )


def _reach(primitive: Primitive) -> Box:
    """All that a primitive may blacken, pointed corners and letters that lean out too."""
    if isinstance(primitive, Text):
        return text_box(primitive).grown(0.2 * primitive.height)
    corners = len(primitive.segments) > 2 and primitive.join == "miter"
    return path_box(primitive).grown(primitive.width * (4.5 if corners else 0.25))


def _touch(box: Box, part: Box) -> bool:
    return (
        box.left <= part.right and part.left <= box.right and box.top <= part.bottom and part.top <= box.bottom
    )  # unlike `meets`, what has no area counts


# -- outside the cut ------------------------------------------------------------------------------------------------
def _marks(clip: Box, grid: Grid, row: int, column: int) -> Iterator[Path]:
    """Corners to cut along, and pointers where the edge of the next page comes to lie."""
    for x, out in ((clip.left, -1), (clip.right, 1)):
        for y in (clip.top, clip.bottom):
            yield line(x + out * _CLEAR, y, x + out * (_CLEAR + _MARK), y, 0.18)
    for y, out in ((clip.top, -1), (clip.bottom, 1)):
        for x in (clip.left, clip.right):
            yield line(x, y + out * _CLEAR, x, y + out * (_CLEAR + _MARK), 0.18)
    if column + 1 < grid.columns:
        x = clip.left + grid.step[0]
        for y, out in ((clip.top, -1), (clip.bottom, 1)):
            y += out * _CLEAR
            yield polygon(((x, y), (x - 1.0, y + out * 2.0), (x + 1.0, y + out * 2.0)), 0.18)
    if row + 1 < grid.rows:
        y = clip.top + grid.step[1]
        for x, out in ((clip.left, -1), (clip.right, 1)):
            x += out * _CLEAR
            yield polygon(((x, y), (x + out * 2.0, y - 1.0), (x + out * 2.0, y + 1.0)), 0.18)


def _words(name: str, clip: Box, grid: Grid, row: int, column: int) -> Iterator[Primitive]:
    foot = grid.height - _FOOT
    cell = min(_MAP / grid.rows, _MAP_WIDE / grid.columns, 7.0)
    wide, high = cell * grid.columns, cell * grid.rows
    left, top = grid.width - _MARGIN - wide, grid.height - _BLANK - high
    for r in range(grid.rows):
        for c in range(grid.columns):
            here = (r, c) == (row, column)
            x, y = left + c * cell, top + r * cell
            yield rectangle(x, y, x + cell, y + cell, 0.18, fill="black" if here else None)
    told = _("row {row} of {rows}, column {column} of {columns}").format(
        row=row + 1, rows=grid.rows, column=column + 1, columns=grid.columns
    )
    room = left - 4.0 - _MARGIN
    first = foot + _CLEAR + _MARK + 1.5 + _TALL
    place = text_width(f": {told}", _TALL, bold=True)
    yield Text(_MARGIN, first, f"{cut_text(name, room - place, _TALL, bold=True)}: {told}", _TALL, bold=True)
    how = _("True size. Cut at the marks on the left and above; lay that edge on the pointers of the page before.")
    yield Text(_MARGIN, first + 1.7 * _TALL, cut_text(how, room, _TALL), _TALL)
