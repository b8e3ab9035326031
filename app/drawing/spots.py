"""Where a label may stand, best place first. The layout keeps the first place free; labels choose among all. In mm."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence
from typing import NamedTuple

from app.drawing.looks import STEP
from app.drawing.texts import Align, Words, on_one_line
from engine.picture import Box

__all__ = [
    "ARROW",
    "Spot",
    "bar_spots",
    "device_spots",
    "joined_across",
    "joined_upright",
    "reference_spots",
    "run_need",
    "run_spots",
]

ARROW = 5.2  # length of the arrow of a cross reference, beyond the end of its line
_GAP = 1.5  # between a label and what it stands beside
_INSET = 0.6  # of a bar's label from the bar's ends, where arrows may begin
_BAR = 2.0  # between a label and the middle of a bar
_MOST = 24  # places tried along a bar
XY = tuple[float, float]


class Spot(NamedTuple):
    """A place for a label: its box, how lines are set in it, whether they read upward."""

    box: Box
    align: Align = "start"
    upright: bool = False
    words: Words = Words()


def device_spots(symbol: Box, words: Words, used: Collection[str], narrow: bool = False) -> list[Spot]:
    """Places for the label of a symbol; `used` are the sides where runs leave it."""
    w, h = words.width, words.height
    cx, cy = (symbol.left + symbol.right) / 2, (symbol.top + symbol.bottom) / 2
    left, right = symbol.left - _GAP - w, symbol.right + _GAP
    above, below = symbol.top - _GAP - h, symbol.bottom + _GAP
    beside = {
        "left": [Spot(Box(left, y, left + w, y + h), "end", words=words) for y in _along(cy, symbol, h)],
        "right": [Spot(Box(right, y, right + w, y + h), "start", words=words) for y in _along(cy, symbol, h)],
        "top": [Spot(Box(cx - w / 2, above, cx + w / 2, above + h), "middle", words=words)],
        "bottom": [Spot(Box(cx - w / 2, below, cx + w / 2, below + h), "middle", words=words)],
    }
    off = {
        "top": [
            Spot(Box(cx - _GAP - w, above, cx - _GAP, above + h), "end", words=words),
            Spot(Box(cx + _GAP, above, cx + _GAP + w, above + h), "start", words=words),
        ],
        "bottom": [
            Spot(Box(cx - _GAP - w, below, cx - _GAP, below + h), "end", words=words),
            Spot(Box(cx + _GAP, below, cx + _GAP + w, below + h), "start", words=words),
        ],
    }
    order = ["left", "right", "top", "bottom"]
    if "top" not in used and ("bottom" in used or narrow):
        order = ["top", "left", "right", "bottom"]
    if {"left", "right"} <= set(used) and "top" not in used:
        order = ["top", "bottom", "left", "right"]
    spots: list[Spot] = []
    for side in order:
        if side not in used:
            spots.extend(beside[side])
    for side in order:
        if side not in used:
            continue
        if side in off:
            spots.extend(off[side])
        else:  # a run leaves the middle of that side: above or below it
            x = left if side == "left" else right
            align: Align = "end" if side == "left" else "start"
            for y in (cy - _GAP - h, cy + _GAP):
                spots.append(Spot(Box(x, y, x + w, y + h), align, words=words))
    return spots


def _along(middle: float, symbol: Box, height: float) -> list[float]:
    """Tops of a label beside a symbol: centred, level with its top, with its bottom, further out."""
    tops = [
        middle - height / 2,
        symbol.top,
        symbol.bottom - height,
        symbol.top - height / 2,
        symbol.bottom - height / 2,
    ]
    tops += [middle - height, middle]
    return list(dict.fromkeys(round(y, 3) for y in tops))


def bar_spots(start: XY, end: XY, words: Words, *, beyond: bool = True) -> list[Spot]:
    """Places for the label of a bus lying from `start` to `end`, on one line where there is room.

    `beyond`: also past its ends.
    """
    flat = Words((on_one_line(words),)) if words.lines else words
    x1, y, x2 = start[0] + _INSET, start[1], end[0] - _INSET
    spots: list[Spot] = []
    for each in (flat, words):
        w, h = each.width, each.height
        for top in (y - _BAR - h, y + _BAR):
            spots.append(Spot(Box(x1, top, x1 + w, top + h), "start", words=each))
        for top in (y - _BAR - h, y + _BAR):
            spots.append(Spot(Box(x2 - w, top, x2, top + h), "end", words=each))
        if beyond:
            spots.append(Spot(Box(x1 - 3.2 - w, y - h / 2, x1 - 3.2, y + h / 2), "end", words=each))
            spots.append(Spot(Box(x2 + 3.2, y - h / 2, x2 + 3.2 + w, y + h / 2), "start", words=each))
        count = min(_MOST, int(max(0.0, x2 - x1 - w) // (2 * STEP)))
        step = max(0.0, x2 - x1 - w) / count if count else 0.0
        for n in range(1, count + 1):
            for top in (y - _BAR - h, y + _BAR):
                spots.append(Spot(Box(x1 + n * step, top, x1 + n * step + w, top + h), "start", words=each))
    return spots


def run_need(words: Words) -> int:
    """Grid steps a straight stretch must be long to carry the label of its run."""
    return max(2, -int(-(words.height + 2.4) // STEP)) if words.lines else 2


def run_spots(points: Sequence[XY], words: Words) -> list[Spot]:
    """Places beside a run, the longest upright stretch first, right of the line before left of it."""
    w, h = words.width, words.height
    pieces = list(itertools.pairwise(points))
    upright = sorted(
        (p for p in pieces if p[0][0] == p[1][0] and abs(p[0][1] - p[1][1]) >= h),
        key=lambda p: -abs(p[0][1] - p[1][1]),
    )
    level = sorted((p for p in pieces if p[0][1] == p[1][1]), key=lambda p: -abs(p[0][0] - p[1][0]))
    spots: list[Spot] = []
    for a, b in upright:
        x, top, bottom = a[0], min(a[1], b[1]), max(a[1], b[1])
        room = bottom - top - h
        shares = (0.5, 1.0, 0.0, 0.25, 0.75) if room < 15 else (0.5, 0.6, 0.4, 0.75, 0.25, 0.9, 0.1, 1.0, 0.0)
        inset = min(1.1, room / 2)
        for share in shares:
            y = top + inset + (room - 2 * inset) * share
            spots.append(Spot(Box(x + _GAP, y, x + _GAP + w, y + h), "start", words=words))
        for share in shares:
            y = top + inset + (room - 2 * inset) * share
            spots.append(Spot(Box(x - _GAP - w, y, x - _GAP, y + h), "end", words=words))
    for a, b in level:
        y, left, right = a[1], min(a[0], b[0]), max(a[0], b[0])
        if right - left < w + 1.0:
            continue
        for share in (0.5, 0.25, 0.75, 0.0, 1.0):
            x = left + (right - left - w) * share
            spots.append(Spot(Box(x, y - 1.3 - h, x + w, y - 1.3), "start", words=words))
            spots.append(Spot(Box(x, y + 1.3, x + w, y + 1.3 + h), "start", words=words))
    return spots


def joined_across(run: Words, reference: Words) -> Words:
    """Run and reference in one label: the run on one line, the reference under it."""
    head = (on_one_line(run),) if run.lines else ()
    return Words((*head, *reference.lines))


def joined_upright(run: Words, reference: Words) -> Words:
    """Run and reference as two lines that read upward."""
    return Words(tuple(on_one_line(words) for words in (run, reference) if words.lines))


def reference_spots(end: XY, side: str, reference: Words, run: Words | None = None) -> list[Spot]:
    """Places for what an arrow says: beyond its tip first. With `run` given it also names the run."""
    x, y = end
    words = reference if run is None else joined_across(run, reference)
    w, h = words.width, words.height
    far = ARROW + 0.8
    spots: list[Spot] = []
    if side in ("top", "bottom"):
        if run is not None:
            up = joined_upright(run, reference)
            length, wide = up.width, up.height
            top = y - far - length if side == "top" else y + far
            for dx in (-wide / 2, 0.0, -wide):
                spots.append(Spot(Box(x + dx, top, x + dx + wide, top + length), "start", True, up))
        top = y - far - h if side == "top" else y + far
        for left, align in ((x - w / 2, "middle"), (x - 2.6, "start"), (x + 2.6 - w, "end")):
            spots.append(Spot(Box(left, top, left + w, top + h), align, words=words))  # type: ignore[arg-type]
        middle = y - ARROW / 2 if side == "top" else y + ARROW / 2
        spots.append(Spot(Box(x + 3.6, middle - h / 2, x + 3.6 + w, middle + h / 2), "start", words=words))
        spots.append(Spot(Box(x - 3.6 - w, middle - h / 2, x - 3.6, middle + h / 2), "end", words=words))
        return spots
    left = x + far if side == "right" else x - far - w
    align2: Align = "start" if side == "right" else "end"
    for top in (y - h / 2, y - h + 1.5, y - 1.5):
        spots.append(Spot(Box(left, top, left + w, top + h), align2, words=words))
    near = x if side == "right" else x - w
    for top in (y - 3.6 - h, y + 3.6):
        spots.append(Spot(Box(near, top, near + w, top + h), align2, words=words))
    return spots
