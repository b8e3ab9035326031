"""The empty sheet: frame, zones, centring marks, title block, cautions. In mm from the upper left corner, y down.

Sizes: ISO 216:2007 trimmed A series; Letter, Tabloid, ANSI C and D are 8.5 x 11, 11 x 17, 17 x 22 and 22 x 34 in.
Frame and zones follow ISO 5457:1999 (from memory, not confirmed): 20 mm filing margin at the left, 10 mm elsewhere,
frame line 0.7 mm, fields of 50 mm counted from the sheet's centre, letters without I and O downward, numerals
rightward, 3.5 mm high, centring marks 0.7 mm. Every sheet lies on its long side; text and calculations stand upright,
with the cautions above the title block.
"""

from __future__ import annotations

import itertools
from typing import NamedTuple

from app.drawing.title_block import BRIEF_HEIGHT, HEIGHT, TitleFields, title_block
from engine.cautions import CAUTIONS
from engine.picture import Box, Primitive, Text, line, rectangle, text_width, wrap_text
from engine.words import _

__all__ = ["SIZES", "Frame", "TitleFields", "frame", "text_size", "zone"]

SIZES: dict[str, tuple[float, float]] = {
    "A4": (297.0, 210.0),
    "A3": (420.0, 297.0),
    "A2": (594.0, 420.0),
    "A1": (841.0, 594.0),
    "Letter": (279.4, 215.9),
    "Tabloid": (431.8, 279.4),
    "ANSI C": (558.8, 431.8),
    "ANSI D": (863.6, 558.8),
}
_SMALL = ("A4", "Letter")
_LEFT, _OTHER = 20.0, 10.0  # margins
_FIELD = 50.0
_SHORTEST_FIELD = 15.0  # what is left over at a corner and shorter than this joins its neighbour
_MARK_INSIDE = 5.0  # how far a centring mark reaches inside the frame
_CLEAR = 7.5  # three grid steps: clear of the frame line and of the centring marks
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_PITCH = 1.6  # base line to base line, in heights of a capital


def text_size(size: str) -> str:
    """The paper for text and tables that goes with sheets of `size`: Letter in North America, else A4."""
    return "Letter" if size in ("Letter", "Tabloid") or size.startswith("ANSI") else "A4"


class Frame(NamedTuple):
    """A sheet with nothing on it yet. `Placement.x, y` count from the upper left corner of `border`."""

    size: str
    width: float
    height: float
    border: Box  # centre of the frame line
    drawing_box: Box  # where equipment, runs and labels may stand
    margin_box: Box  # where margin notes may stand; of no width where the sheet has no margin
    title_box: Box
    notes_box: Box  # free room for a few lines, left of the title block and above the cautions
    primitives: tuple[Primitive, ...]
    cut: tuple[str, ...]  # captions of title block fields that had to be cut

    def zone(self, x: float, y: float) -> str:
        """The zone of a point, "C4"; a point outside the frame belongs to the nearest zone."""
        return zone(self.size, x, y)


def frame(
    size: str, fields: TitleFields, *, margin: bool = True, upright: bool = False, goes_on: bool = False
) -> Frame:
    """The frame of a sheet of `size` (a key of `SIZES`); `margin` keeps a strip for margin notes.

    `upright` stands the sheet on its short side, which is for text: no margin notes then. `goes_on`: a page of
    text or tables after the first, with a brief title block and the gravest caution alone.
    """
    width, height = SIZES[size]
    if upright:
        width, height, margin = height, width, False
    border = Box(_LEFT, _OTHER, width - _OTHER, height - _OTHER)
    title_width = 160.0 if size in _SMALL and not upright else 180.0
    brief = goes_on
    title_box = Box(
        border.right - title_width, border.bottom - (BRIEF_HEIGHT if brief else HEIGHT), border.right, border.bottom
    )
    strip = (65.0 if size in _SMALL else 92.5) if margin else 0.0
    edge = border.right - strip

    made: list[Primitive] = [rectangle(*border, width=0.7)]
    made.extend(_zones(width, height, border))
    made.extend(_centring_marks(width, height, border, title_box))
    if margin:
        made.append(line(edge, border.top, edge, title_box.top, 0.35, dash="dotted"))
    block, cut = title_block(title_box, fields, brief=brief)
    made.extend(block)
    # the lower centring mark stands in the strip of the cautions where that strip is long
    end = title_box.left if title_box.left < width / 2 else min(title_box.left, width / 2)
    strip_box = Box(border.left + 4.0, title_box.top + 2.5, end - 4.0, border.bottom - 2.5)
    if upright:
        strip_box = Box(border.left + 4.0, border.top, border.right - 4.0, title_box.top - 1.5)
    cautions, top = _cautions(strip_box, CAUTIONS[-1:] if brief else CAUTIONS)
    made.extend(cautions)
    bottom = title_box.top - 2.5
    if upright:
        made.append(line(border.left, top - 2.5, border.right, top - 2.5, 0.35))
        bottom = top - 4.0
    return Frame(
        size=size,
        width=width,
        height=height,
        border=border,
        drawing_box=Box(border.left + _CLEAR, border.top + _CLEAR, edge - (2.5 if margin else _CLEAR), bottom),
        margin_box=(
            Box(edge + 2.5, border.top + _CLEAR, border.right - _CLEAR + 1.0, bottom)
            if margin
            else Box(edge, border.top + _CLEAR, edge, bottom)
        ),
        title_box=title_box,
        notes_box=Box(strip_box.left, strip_box.top, strip_box.right, strip_box.top if upright else top - 1.5),
        primitives=tuple(made),
        cut=cut,
    )


def zone(size: str, x: float, y: float) -> str:
    """The zone of a point on a sheet of `size`: letter for the row, numeral for the column, "C4"."""
    width, height = SIZES[size]
    column = sum(x >= at for at in _divisions(width, _LEFT, _OTHER))
    row = sum(y >= at for at in _divisions(height, _OTHER, _OTHER))
    return f"{_LETTERS[row]}{column + 1}"


def _divisions(length: float, before: float, after: float) -> list[float]:
    """Where fields meet along a side: every 50 mm from the centre, as many on either side."""
    centre = length / 2
    count = int((min(centre - before, length - after - centre) - _SHORTEST_FIELD) // _FIELD)
    return [centre + _FIELD * n for n in range(-count, count + 1)]


def _zones(width: float, height: float, border: Box) -> list[Primitive]:
    """Ticks and names in a strip of 5 mm outside the frame."""
    made: list[Primitive] = []
    across = _divisions(width, _LEFT, _OTHER)
    down = _divisions(height, _OTHER, _OTHER)
    for x in across:
        made.append(line(x, border.top - 5, x, border.top))
        made.append(line(x, border.bottom, x, border.bottom + 5))
    for y in down:
        made.append(line(border.left - 5, y, border.left, y))
        made.append(line(border.right, y, border.right + 5, y))
    tall = 3.5
    for n, (a, b) in enumerate(itertools.pairwise([border.left, *across, border.right])):
        for y in (border.top - 2.5, border.bottom + 2.5):
            made.append(Text((a + b) / 2, y + tall / 2, str(n + 1), tall, "middle"))
    for n, (a, b) in enumerate(itertools.pairwise([border.top, *down, border.bottom])):
        for x in (border.left - 2.5, border.right + 2.5):
            made.append(Text(x, (a + b) / 2 + tall / 2, _LETTERS[n], tall, "middle"))
    return made


def _centring_marks(width: float, height: float, border: Box, title_box: Box) -> list[Primitive]:
    x, y = width / 2, height / 2
    # on a small sheet the title block reaches past the centre: the mark ends at the frame there
    inside = 0.0 if title_box.left <= x else _MARK_INSIDE
    return [
        line(x, 0, x, border.top + _MARK_INSIDE, 0.7),
        line(x, border.bottom - inside, x, height, 0.7),
        line(0, y, border.left + _MARK_INSIDE, y, 0.7),
        line(border.right - _MARK_INSIDE, y, width, y, 0.7),
    ]


def _cautions(box: Box, texts: tuple[str, ...]) -> tuple[list[Primitive], float]:
    """Cautions at the bottom of `box`, the last of them bold, and where they begin."""
    tall = 2.5
    lines: list[tuple[str, bool]] = []
    for n, text in enumerate(texts):
        bold = n == len(texts) - 1
        lines.extend((each, bold) for each in wrap_text(_(text), box.right - box.left, tall, bold))
    first = box.bottom - 0.35 * tall - (len(lines) - 1) * tall * _PITCH
    made: list[Primitive] = [
        Text(box.left, first + n * tall * _PITCH, text, tall, bold=bold) for n, (text, bold) in enumerate(lines)
    ]
    assert all(text_width(text, tall, bold) <= box.right - box.left + 1e-6 for text, bold in lines)
    return made, first - tall
