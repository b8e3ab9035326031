"""A sheet of labels, given as dimensions: *A4 3x8 63.5x33.9 gap 2.5x0 margin 7.2x13.1*. In mm.

Paper, columns x rows, width x height of a label, gaps between columns and rows, margins at the left and above. Paper
stands upright; `lying` after its name lays it on its long side.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from engine.picture import Box
from engine.units import number
from engine.words import _

__all__ = ["EXAMPLE", "Grid", "GridError", "read_grid", "usual_grid"]

EXAMPLE = "A4 3x8 63.5x33.9 gap 2.5x0 margin 7.2x13.1"
_PAPERS = {  # upright. ISO 216:2007 trimmed sizes; North American sizes in inches
    "a6": (105.0, 148.0),
    "a5": (148.0, 210.0),
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
    "letter": (215.9, 279.4),
    "legal": (215.9, 355.6),
    "tabloid": (279.4, 431.8),
}
_UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "": 1.0}
_PAIR = re.compile(r"(\d+(?:\.\d+)?)(?:[x×*](\d+(?:\.\d+)?))?(mm|cm|in|)", re.IGNORECASE)
_NEAR = 0.05  # mm: a label that ends so far beyond the paper is one that ends with it
_MOST = 60  # columns, rows
_SMALLEST, _LARGEST = 5.0, 2000.0  # sides of a label, of a paper
_A4 = {  # sizes that sheets of labels are commonly sold in; no source
    "legends": "A4 5x13 38.1x21.2 gap 2.5x0 margin 4.7x10.7",
    "markers": "A4 5x13 38.1x21.2 gap 2.5x0 margin 4.7x10.7",
    "plates": EXAMPLE,
    "signs": "A4 2x4 99.1x67.7 gap 2.5x0 margin 4.7x13.1",
}
_LETTER = {  # as above
    "legends": "Letter 4x20 1.75x0.5in gap 0.3x0in margin 0.3x0.5in",
    "markers": "Letter 4x20 1.75x0.5in gap 0.3x0in margin 0.3x0.5in",
    "plates": "Letter 3x10 2.625x1in gap 0.125x0in margin 0.1875x0.5in",
    "signs": "Letter 2x3 4x3.3333in gap 0.1875x0in margin 0.1563x0.5in",
}


class GridError(ValueError):
    """A grid that cannot be; the message is for the person."""


class Grid(NamedTuple):
    """Cells on a paper, counted by row from the upper left."""

    paper: str  # as it is called
    width: float
    height: float
    columns: int
    rows: int
    label_width: float
    label_height: float
    gap_x: float = 0.0
    gap_y: float = 0.0
    left: float = 0.0
    top: float = 0.0

    @property
    def cells(self) -> int:
        """How many labels a sheet holds."""
        return self.columns * self.rows

    def cell(self, index: int) -> Box:
        """The cell with that number, counted from 0."""
        row, column = divmod(index, self.columns)
        x = self.left + column * (self.label_width + self.gap_x)
        y = self.top + row * (self.label_height + self.gap_y)
        return Box(x, y, x + self.label_width, y + self.label_height)

    @property
    def bottom(self) -> float:
        """Where the last row ends."""
        return self.cell(self.cells - 1).bottom

    @property
    def right(self) -> float:
        """Where the last column ends."""
        return self.cell(self.cells - 1).right

    def told(self) -> str:
        """In words, for lists."""
        return _("{paper}, {columns} x {rows} labels of {width} x {height} mm").format(
            paper=self.paper,
            columns=self.columns,
            rows=self.rows,
            width=number(self.label_width, 4),
            height=number(self.label_height, 4),
        )


def usual_grid(kind: str, paper: str) -> Grid:
    """The grid for labels of a kind on A4 or Letter, where none is asked for."""
    return read_grid((_LETTER if paper == "Letter" else _A4)[kind])


def read_grid(text: str) -> Grid:
    """The grid that a text describes. Raises `GridError` where it is none or does not fit its paper."""
    words = text.split()
    if len(words) < 3:
        raise GridError(
            _("{text!r} is no label sheet: expected such as {example!r}").format(text=text, example=EXAMPLE)
        )
    paper, width, height = _paper(words.pop(0), text)
    if words[0].casefold() == "lying":
        words.pop(0)
        width, height = max(width, height), min(width, height)
    count = _PAIR.fullmatch(words.pop(0)) if words else None
    if count is None or not count[2] or count[3] or "." in count[1] + count[2]:
        raise GridError(_("{text!r}: columns x rows, such as 3x8, come after the paper").format(text=text))
    columns, rows = int(count[1]), int(count[2])
    if not (1 <= columns <= _MOST and 1 <= rows <= _MOST):
        raise GridError(_("{text!r}: a sheet has 1 to {most} columns and rows").format(text=text, most=_MOST))
    if not words:
        raise GridError(_("{text!r}: the size of a label, such as 63.5x33.9, is missing").format(text=text))
    size = _pair(words.pop(0), text, _("size of a label"), both=True)
    if not all(_SMALLEST <= side <= _LARGEST for side in size):
        raise GridError(
            _("{text!r}: a label is at least {least} x {least} mm").format(text=text, least=number(_SMALLEST))
        )
    rest = {"gap": (0.0, 0.0), "margin": None}
    names = {"gap": _("gap"), "margin": _("margin")}
    given: set[str] = set()
    while words:
        name = words.pop(0).casefold()
        if name not in rest or name in given or not words:
            raise GridError(
                _(
                    "{text!r}: after the size of a label come gap and margin, each with its figures; found {word!r}"
                ).format(text=text, word=name)
            )
        given.add(name)
        rest[name] = _pair(words.pop(0), text, names[name])
    gap = rest["gap"] or (0.0, 0.0)
    wide, high = columns * size[0] + (columns - 1) * gap[0], rows * size[1] + (rows - 1) * gap[1]
    margin = rest["margin"] or (max((width - wide) / 2, 0.0), max((height - high) / 2, 0.0))
    _must_fit(text, _("columns"), columns, size[0], gap[0], margin[0], wide, width)
    _must_fit(text, _("rows"), rows, size[1], gap[1], margin[1], high, height)
    return Grid(paper, width, height, columns, rows, *size, *gap, *margin)


def _must_fit(
    text: str, what: str, many: int, side: float, gap: float, margin: float, needed: float, room: float
) -> None:
    if margin + needed <= room + _NEAR:
        return
    raise GridError(
        _(
            "{text!r} does not fit its paper: margin {margin} + {many} {what} of {side} with gaps of {gap} = {whole} "
            "mm, the paper has {room} mm"
        ).format(
            text=text,
            margin=number(margin, 4),
            many=many,
            what=what,
            side=number(side, 4),
            gap=number(gap, 4),
            whole=number(margin + needed, 5),
            room=number(room, 4),
        )
    )


def _paper(word: str, text: str) -> tuple[str, float, float]:
    known = _PAPERS.get(word.casefold())
    if known is not None:
        return word.capitalize(), *known
    found = _PAIR.fullmatch(word)
    if found is None or not found[2]:
        raise GridError(
            _("{text!r}: the paper comes first, one of {papers} or width x height in mm").format(
                text=text, papers=", ".join(name.capitalize() for name in _PAPERS)
            )
        )
    width, height = _pair(word, text, _("paper"), both=True)
    if not all(20.0 <= side <= _LARGEST for side in (width, height)):
        raise GridError(_("{text!r}: a paper is 20 mm to 2 m wide and high").format(text=text))
    return f"{number(width, 4)} x {number(height, 4)} mm", width, height


def _pair(word: str, text: str, what: str, both: bool = False) -> tuple[float, float]:
    found = _PAIR.fullmatch(word)
    if found is None or (both and not found[2]):
        raise GridError(
            _("{text!r}: {what} is two figures in mm (or in: 2x1in), such as 63.5x33.9; found {word!r}").format(
                text=text, what=what, word=word
            )
        )
    unit = _UNITS[found[3].lower()]
    return float(found[1]) * unit, float(found[2] or found[1]) * unit
