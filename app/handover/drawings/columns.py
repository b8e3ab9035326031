"""Things set one below the other in columns, on as many pages as they need. In mm.

Where one page holds everything, its columns are as long as each other; nothing is cut and nothing passes a column.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from engine.picture import Box, Ink, Primitive, Text, line, rectangle, wrap_text

__all__ = [
    "BETWEEN",
    "PITCH",
    "TALL",
    "Item",
    "columns_of",
    "framed",
    "gap",
    "heading",
    "paragraph",
    "row",
    "set_items",
]

TALL, _HEADING = 2.5, 3.5  # heights of a capital, ISO 3098 series
PITCH = 4.0  # base line to base line
_HEADING_PITCH = 5.6

BETWEEN = 7.0  # from column to column
_NARROWEST = 105.0  # of a column

Drawing = Callable[[float, float], Sequence[Primitive]]


class Item(NamedTuple):
    """A thing of some height that is not parted. `draw(x, y)` draws it, (x, y) being its upper left corner.

    `stays`: it stands in one column with what follows. `space`: it is only room, and falls away at the top of a column.
    """

    height: float
    draw: Drawing
    stays: bool = False
    space: bool = False


def columns_of(box: Box, beside: Box | None = None) -> list[Box]:
    """A page's room in columns of one width, as many as there is room for.

    `beside`: room below, at the left, into which the columns that stand wholly over it go on.
    """
    wide = box.right - box.left
    count = max(1, int((wide + BETWEEN) // (_NARROWEST + BETWEEN)))
    each = (wide - (count - 1) * BETWEEN) / count
    lefts = [box.left + n * (each + BETWEEN) for n in range(count)]
    made = [Box(left, box.top, left + each, box.bottom) for left in lefts]
    if beside is None:
        return made
    return [each._replace(bottom=beside.bottom) if each.right <= beside.right else each for each in made]


def set_items(items: Sequence[Item], pages: Callable[[int], list[Box]]) -> list[list[Primitive]]:
    """What stands on every page; `pages` gives the columns of the page of a number, counted from 0."""
    made: list[list[Primitive]] = []
    rest = list(_groups(items))
    while rest or not made:
        columns = pages(len(made))
        if _filled(rest, columns)[1] == len(rest):
            columns = _level(rest, columns)
        on_page, count = _filled(rest, columns)
        if not count and rest:  # higher than a page: it begins at the top all the same
            on_page, count = [(rest[0], columns[0].left, columns[0].top)], 1
        rest = rest[count:]
        made.append([p for group, x, y in on_page for p in _drawn(group, x, y)])
    return made


def _groups(items: Sequence[Item]) -> Iterator[tuple[Item, ...]]:
    """Items that stay together."""
    group: list[Item] = []
    for item in items:
        group.append(item)
        if not item.stays:
            yield tuple(group)
            group = []
    if group:
        yield tuple(group)


_Placed = list[tuple[tuple[Item, ...], float, float]]


def _filled(groups: Sequence[tuple[Item, ...]], columns: Sequence[Box]) -> tuple[_Placed, int]:
    """As much as fits into columns: what stands where, and how much of it there is."""
    made: _Placed = []
    n = 0
    for column in columns:
        y = column.top
        while n < len(groups):
            group = groups[n]
            high = sum(item.height for item in group)
            if group[0].space and y == column.top:
                n += 1
                continue
            if y + high > column.bottom + 1e-6:
                break
            made.append((group, column.left, y))
            y += high
            n += 1
    return made, n


def _level(groups: Sequence[tuple[Item, ...]], columns: Sequence[Box]) -> list[Box]:
    """Columns as short as still hold everything."""
    low, high = columns[0].top, max(column.bottom for column in columns)

    def down_to(level: float) -> list[Box]:
        return [column._replace(bottom=min(column.bottom, level)) for column in columns]

    for _step in range(24):
        middle = (low + high) / 2
        if _filled(groups, down_to(middle))[1] == len(groups):
            high = middle
        else:
            low = middle
    return down_to(high)


def _drawn(group: Sequence[Item], x: float, y: float) -> Iterator[Primitive]:
    for item in group:
        yield from item.draw(x, y)
        y += item.height


# -- things to set ---------------------------------------------------------------------------------------------------
def gap(high: float) -> Item:
    """Room between two things."""
    return Item(high, lambda _x, _y: (), space=True)


def heading(text: str, wide: float) -> list[Item]:
    """A heading with a line under it, with room above; it stays with what it heads."""
    lines = wrap_text(text, wide, _HEADING, bold=True)
    made = [gap(4.0)]
    for part in lines:
        made.append(Item(_HEADING_PITCH, _type(part, 0.0, _HEADING, bold=True), stays=True))
    return [*made, Item(2.4, lambda x, y: (line(x, y + 0.3, x + wide, y + 0.3, 0.35),), stays=True)]


def _type(
    text: str, indent: float, tall: float = TALL, *, bold: bool = False, ink: Ink = "black", link: str = ""
) -> Drawing:
    return lambda x, y: (Text(x + indent, y + tall, text, tall, bold=bold, ink=ink, link=link),) if text else ()


def paragraph(text: str, wide: float, *, bold: bool = False, ink: Ink = "black", after: float = 1.2) -> list[Item]:
    """Running text; its first two lines stay together, and its last two."""
    lines = wrap_text(text, wide, TALL, bold)
    made = [
        Item(PITCH, _type(part, 0.0, bold=bold, ink=ink), stays=n in (0, len(lines) - 2) and n < len(lines) - 1)
        for n, part in enumerate(lines)
    ]
    return [*made, gap(after)]


def row(head: str, text: str, wide: float, first: float, *, link: str = "", bold: bool = False) -> list[Item]:
    """A word in a first column of so many mm, what it says beside it; both are wrapped."""
    heads = wrap_text(head, first - 2.0, TALL, bold)
    texts = wrap_text(text, wide - first, TALL)
    made = []
    for n in range(max(len(heads), len(texts))):
        left = heads[n] if n < len(heads) else ""
        right = texts[n] if n < len(texts) else ""
        made.append(Item(PITCH, _pair(left, right, first, link, bold), stays=n == 0 and len(texts) == 2))
    return [*made, gap(0.4)]


def _pair(left: str, right: str, first: float, link: str, bold: bool) -> Drawing:
    return lambda x, y: (
        *_type(left, 0.0, bold=bold, link=link)(x, y),
        *_type(right, first, link=link)(x, y),
    )


def framed(text: str, wide: float) -> list[Item]:
    """A stated gap: framed and bold. Too long to be framed, it is bold alone."""
    lines = wrap_text(text, wide - 4.0, TALL, bold=True)
    if len(lines) > 12:
        return paragraph(text, wide, bold=True)
    high = len(lines) * PITCH + 2.6

    def draw(x: float, y: float) -> Sequence[Primitive]:
        made: list[Primitive] = [rectangle(x + 0.25, y + 0.25, x + wide - 0.25, y + high - 0.25, 0.5)]
        made.extend(Text(x + 2.0, y + 1.6 + TALL + n * PITCH, part, TALL, bold=True) for n, part in enumerate(lines))
        return made

    return [Item(high, draw), gap(1.6)]
