"""Labels on sheets: every cell exactly where the grid has it. In mm, true size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from app.handover.labels.drawing import draw_label
from app.handover.labels.grid import Grid
from app.handover.labels.label import Label
from app.handover.labels.wanted import KINDS, LabelsWanted
from engine.pausing import pause
from engine.picture import Picture, Primitive, Text, line, rectangle, text_width
from engine.words import _

__all__ = ["RULER", "Sheeted", "ruler", "sheets"]

RULER = 100.0
_SMALL = 1.8
_CLEAR = 4.0  # most printers leave so much of the paper's edge white: common practice, no source
_NEEDS = 9.0  # margin that holds the ruler and its words


class Sheeted(NamedTuple):
    """Label sheets of one kind; `short`: labels whose text did not fit; `small`: those with type below 2.5 mm."""

    pictures: tuple[Picture, ...]
    many: int  # labels on them
    short: tuple[Label, ...]
    small: tuple[Label, ...]


def sheets(labels: Sequence[Label], grid: Grid, wanted: LabelsWanted, skip: int = 0) -> Sheeted:
    """The labels in the cells of as many sheets as they need; the first `skip` cells stay empty."""
    every = [label for label in labels for _copy in range(label.quantity)]
    if not every:
        return Sheeted((), 0, (), ())
    skip %= grid.cells
    count = -(-(skip + len(every)) // grid.cells)
    title = _(KINDS[every[0].kind])
    pages: list[list[Primitive]] = [list(_around(grid, title, n + 1, count)) for n in range(count)]
    if wanted.outline:
        for page in pages:
            for cell in (grid.cell(index) for index in range(grid.cells)):
                page.append(rectangle(cell.left, cell.top, cell.right, cell.bottom, 0.18, "grey"))
    short: dict[Label, None] = {}
    small: dict[Label, None] = {}
    for n, label in enumerate(every, skip):
        sheet, index = divmod(n, grid.cells)
        pause()
        drawn = draw_label(label, grid.cell(index), wanted.marker_width_mm)
        pages[sheet].extend(drawn.primitives)
        if not drawn.whole:
            short[label] = None
        elif drawn.least < 2.5:
            small[label] = None
    made = tuple(
        Picture(grid.width, grid.height, tuple(page), _("{title}, sheet {n}").format(title=title, n=n))
        for n, page in enumerate(pages, 1)
    )
    return Sheeted(made, len(every), tuple(short), tuple(small))


def ruler(x: float, y: float) -> Iterator[Primitive]:
    """A line of 100 mm with ticks every 10 mm; (x, y) is its left end."""
    yield line(x, y, x + RULER, y, 0.25)
    for n in range(11):
        yield line(x + 10 * n, y - (2.0 if n in (0, 5, 10) else 1.2), x + 10 * n, y, 0.25)


def _around(grid: Grid, title: str, number: int, count: int) -> Iterator[Primitive]:
    """What stands in the margins, where there is room: what the sheet is, and the ruler."""
    told = _("{title}, sheet {number} of {count}. Print at 100 %, not fitted to the page.").format(
        title=title, number=number, count=count
    )
    left = max(grid.left, _CLEAR)
    foot = grid.height - grid.bottom
    if grid.top >= _CLEAR + 4.0 and text_width(told, _SMALL) <= grid.width - left - _CLEAR:
        yield Text(left, grid.top - 2.5, told, _SMALL)
    if foot < _NEEDS or grid.width < left + RULER + _CLEAR:
        return
    y = grid.height - max(_CLEAR + 0.5, foot / 2 - 1.0)
    yield from ruler(left, y)
    words = _("100 mm: measure it before printing on labels")
    if left + RULER + 2.0 + text_width(words, _SMALL) <= grid.width - _CLEAR:
        yield Text(left + RULER + 2.0, y, words, _SMALL)
