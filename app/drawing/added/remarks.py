"""Words a person wrote on a sheet: where they stand, and the thin line to what they point at. In mm on the sheet."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from app.drawing.labels import Sight
from app.drawing.looks import STEP
from app.drawing.placed import Scene
from engine.installation import Remark, Snapshot
from engine.picture import Box, Primitive, Text, circle, line, rectangle, text_width, wrap_text

__all__ = [
    "HEIGHTS",
    "LINE",
    "PAD",
    "SetRemark",
    "changed_remarks",
    "draw_remarks",
    "missing_sheets",
    "remark_box",
    "remarks_on",
    "set_remark",
    "words_box",
]

HEIGHTS = {"small": 2.5, "normal": 3.5, "large": 5.0}  # of a capital
LINE = 1.6  # base line to base line, in heights of a capital
PAD = 1.2  # between a frame and the words in it
_UP, _DOWN = 1.05, 0.35  # what a line takes above and below its base line, in heights of a capital
_THIN = 0.18  # the line to what it points at
_DOT = 0.5
_GAP = 0.6  # between words without a frame and the line that leaves them


class SetRemark(NamedTuple):
    """A remark as drawn: its strokes, and what labels keep off."""

    primitives: list[Primitive]
    room: list[Box]


def remarks_on(snapshot: Snapshot, sheet: str) -> dict[str, Remark]:
    """The remarks of a sheet by id."""
    return {item: r for item, r in snapshot.tables.get("remarks", {}).items() if r.sheet == sheet}


@lru_cache(maxsize=1024)
def _lines(text: str, width: float, height: float) -> tuple[tuple[str, ...], float]:
    """The words broken into lines, and how wide the widest is."""
    lines = wrap_text(text.replace("\t", "    "), width, height)
    return lines, max(text_width(each, height) for each in lines)


def words_box(remark: Remark, width: float | None = None) -> Box:
    """Room of a remark's words whose upper left corner is (0, 0), its frame's included; `width` instead of its own."""
    height = HEIGHTS[remark.height]
    pad = PAD if remark.framed else 0.0
    inside = max((remark.width * STEP if width is None else width) - 2 * pad, height)
    lines, wide = _lines(remark.text, inside, height)
    if remark.framed:
        wide = inside
    return Box(
        0.0, 0.0, max(wide, height) + 2 * pad, height * (_UP + _DOWN + LINE * (len(lines) - 1)) + 2 * pad
    )  # an empty one can still be taken hold of


def remark_box(sight: Sight, remark: Remark) -> Box:
    """Room of a remark on its sheet."""
    x, y = sight.at((remark.x, remark.y))
    box = words_box(remark)
    return Box(x, y, x + box.right, y + box.bottom)


def set_remark(scene: Scene, sight: Sight, item: str, remark: Remark) -> SetRemark:
    """The words, their frame, and a line to what they point at where that is on the sheet."""
    box = remark_box(sight, remark)
    height, pad = HEIGHTS[remark.height], PAD if remark.framed else 0.0
    inside = max(remark.width * STEP - 2 * pad, height)
    made: list[Primitive] = []
    room = [box.grown(0.6)]
    leader = _leader(scene, sight, remark.points_at, box if remark.framed else box.grown(_GAP))
    if leader is not None:
        (ax, ay), (bx, by) = leader
        made.append(line(ax, ay, bx, by, _THIN, owner=item))
        made.append(circle(bx, by, _DOT, 0.0, fill="black", owner=item))
        count = max(1, math.ceil(math.hypot(bx - ax, by - ay) / 2.0))
        for n in range(count):
            share = (n + 0.5) / count
            x, y = ax + (bx - ax) * share, ay + (by - ay) * share
            room.append(Box(x, y, x, y).grown(0.8))
    if remark.framed:
        made.append(rectangle(*box, 0.25, owner=item))
    y = box.top + pad + height * _UP
    for text in _lines(remark.text, inside, height)[0]:
        if text:
            made.append(Text(box.left + pad, y, text, height, owner=item))
        y += height * LINE
    return SetRemark(made, room)


def draw_remarks(scene: Scene, sight: Sight) -> SetRemark:
    """All remarks of a sheet."""
    made = SetRemark([], [])
    for item, remark in remarks_on(scene.snapshot, sight.sheet).items():
        each = set_remark(scene, sight, item, remark)
        made.primitives.extend(each.primitives)
        made.room.extend(each.room)
    return made


# -- the line to what it points at ----------------------------------------------------------------------------------
XY = tuple[float, float]


def _leader(scene: Scene, sight: Sight, target: str, box: Box) -> tuple[XY, XY] | None:
    """From the edge of the words to the nearest point of a thing; `None` where it is not on the sheet or under them."""
    if not target:
        return None
    ends = [_to_box(box, sight.box(p.box)) for p in scene.of.get(target, ()) if p.placement.sheet == sight.sheet]
    for part in scene.parts_on(sight.sheet):
        if part.run == target:
            for a, b in pairwise(sight.at(p) for p in part.points):
                ends.append(_to_line(box, a, b))
    if not ends:
        return None
    start, end = min(ends, key=lambda e: (math.dist(*e), e))
    return (start, end) if math.dist(start, end) > 0.5 else None


def _to_box(box: Box, other: Box) -> tuple[XY, XY]:
    x1, x2 = _across(box.left, box.right, other.left, other.right)
    y1, y2 = _across(box.top, box.bottom, other.top, other.bottom)
    return (x1, y1), (x2, y2)


def _to_line(box: Box, a: XY, b: XY) -> tuple[XY, XY]:
    """Runs lie level or upright; a run that passes the words is met opposite their middle."""
    return _to_box(box, Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])))


def _across(low: float, high: float, least: float, most: float) -> tuple[float, float]:
    """Where two stretches of an axis are nearest: the middle of what they share, else their facing ends."""
    if high < least:
        return high, least
    if most < low:
        return low, most
    middle = (max(low, least) + min(high, most)) / 2
    return middle, middle


def missing_sheets(snapshot: Snapshot, sheets: Iterable[str]) -> list[str]:
    """Ids of remarks that stand on none of these sheets."""
    here = set(sheets)
    return [item for item, remark in snapshot.tables.get("remarks", {}).items() if remark.sheet not in here]


def changed_remarks(before: Snapshot, after: Snapshot) -> tuple[str, ...]:
    """Ids of remarks that say what none said before; one that was only moved has not changed."""
    said = Counter(remark.text for remark in before.tables.get("remarks", {}).values())
    changed: list[str] = []
    for item, remark in after.tables.get("remarks", {}).items():
        if said[remark.text] > 0:
            said[remark.text] -= 1
        else:
            changed.append(item)
    return tuple(changed)
