"""Where the flags stand that tell from which source a run or bus is live: on the line itself, its name along the line.

A flag breaks its line, so it needs no room beside it and no other label is covered: labels keep off lines. Told first
by the name, second by stripes in a colour for each source. Several AC sources that may not meet: a framed "!".
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from app.canvas.finding import Finder
from app.judgement import LiveParts
from engine.installation import Snapshot
from engine.picture import Box, text_width
from engine.words import _

__all__ = ["AFTER", "BEFORE", "HEIGHT", "NAMED", "STRIPE", "Flag", "flags_of", "order_of", "told_sources"]

HEIGHT = 2.1  # of a capital, mm
THICK = 2.9  # of a flag, across its line
BEFORE = 3.0  # for the bolt
STRIPE = 0.8  # wide, one a source
AFTER = 0.7
_APART = 60.0  # mm along a run from one flag to the next
NAMED = 4  # sources by name in one flag
_LETTERS = 9
_Spot = tuple[float, float, bool]


class Flag(NamedTuple):
    """`sources` give; `upright`: along a line that goes up. `wrong`: sources meet in it that may not.

    `bolt`: a lightning sign before the name, where there is room for it.
    """

    item: str
    sources: tuple[str, ...]
    text: str
    x: float
    y: float
    upright: bool
    wrong: bool
    bolt: bool = True

    @property
    def long(self) -> float:
        """Its length along the line, mm."""
        return _long(self.text, self.sources, self.bolt)

    @property
    def box(self) -> Box:
        """Room on the sheet."""
        return _box(self.x, self.y, self.upright, self.long)


def order_of(live: LiveParts) -> list[str]:
    """Every source of the drawing in one order, so that each keeps its colour whatever is live."""
    every = {*live.still, *(s for some in set(live.sources.values()) for s in some)}
    return sorted(every, key=lambda item: (int(item[1:]) if item[1:].isdecimal() else 0, item))


def told_sources(snapshot: Snapshot, sources: Sequence[str], most: int = NAMED) -> str:
    """*G1+T4*; of many the first, and how many more: *G1+3 more*."""
    names = [snapshot.name(item) for item in sources if item in snapshot.equipment]
    short = [name if len(name) <= _LETTERS else f"{name[: _LETTERS - 1]}…" for name in names]
    if len(short) > most:
        told = "+".join(short[: most - 1])
        return _("{some}+{n} more").format(some=told, n=len(short) - most + 1)
    return "+".join(short)


def flags_of(finder: Finder, live: LiveParts, lines: Mapping[str, list[Box]]) -> tuple[list[Flag], set[str]]:
    """Flags of the runs (`lines`: their stretches) and buses of a sheet, and the runs that found no room for one."""
    snapshot = finder.scene.snapshot
    taken: dict[tuple[int, int], list[Box]] = {}
    texts: dict[tuple[tuple[str, ...], bool, int], str] = {}
    made: list[Flag] = []
    crowded: set[str] = set()

    def text_of(item: str, sources: tuple[str, ...], named: int) -> str:
        wrong = item in live.together
        text = texts.get((sources, wrong, named))
        if text is None:
            text = texts[sources, wrong, named] = ("! " if wrong else "") + told_sources(snapshot, sources, named)
        return text

    def place(
        item: str,
        spots: Sequence[Sequence[_Spot]],
        sources: tuple[str, ...],
        named: int,
        bolt: bool,
        most: float = _TOLERATED,
    ) -> bool:
        text = text_of(item, sources, named)
        long = _long(text, sources, bolt)
        placed = False
        for some in spots:
            best, least = None, math.inf
            for x, y, upright in some:
                box = _box(x, y, upright, long)
                cost = finder.covered(box.grown(-0.1)) + 3.0 * finder.crossed(box, item) + _met(taken, box)
                if cost < least:
                    best, least = (x, y, upright), cost
                if cost == 0:
                    break
            if best is not None and least <= most:
                flag = Flag(item, sources, text, *best, item in live.together, bolt)
                made.append(flag)
                placed = True
                for cell in _cells(flag.box):
                    taken.setdefault(cell, []).append(flag.box)
        return placed

    for item, stretches in lines.items():
        sources = live.sources.get(item, ())
        if not sources:
            continue
        for named in (NAMED, _FEW) if len(sources) > _FEW else (NAMED,):
            long, less = (_long(text_of(item, sources, named), sources, bolt) for bolt in (True, False))
            if (
                place(item, _spots_on(stretches, long), sources, named, True)
                or place(item, _spots_on(stretches, less), sources, named, False)
                or place(item, _spots_off(stretches, long), sources, named, True, 0.0)
                or place(item, _spots_off(stretches, less), sources, named, False, 0.0)
            ):
                break
        else:
            crowded.add(item)
    for piece in finder.scene.on(finder.sheet):
        sources = live.sources.get(piece.equipment, ())
        if piece.is_bar and sources:
            long = _long(text_of(piece.equipment, sources, NAMED), sources, True)
            place(piece.equipment, _spots_at(finder.boxes[piece.id], long), sources, NAMED, True)
    return made, crowded


_FEW = 2  # by name where there is no room for more
_TOLERATED = 2.0  # mm² that a flag may cover before none is better
_CELL = 12.5


def _long(text: str, sources: Sequence[str], bolt: bool) -> float:
    return (BEFORE if bolt else AFTER) + text_width(text, HEIGHT, True) + AFTER + STRIPE * min(len(sources), NAMED)


def _box(x: float, y: float, upright: bool, long: float) -> Box:
    across, down = (THICK / 2, long / 2) if upright else (long / 2, THICK / 2)
    return Box(x - across, y - down, x + across, y + down)


def _spots_on(stretches: Sequence[Box], long: float) -> list[list[_Spot]]:
    """Places on the stretches of a run, the longest first, each time the best first; one at least."""
    made: list[list[_Spot]] = []
    room = sorted(((b.right - b.left + b.bottom - b.top, b) for b in stretches), reverse=True)
    short: list[_Spot] = []
    for length, box in room:
        upright = box.left == box.right
        if length < long + 1.0:
            continue
        if made and length < _APART / 2:
            short += _along(box, upright, 0, 1, long, length)
            continue
        count = max(1, int(length // _APART))
        made += [_along(box, upright, n, count, long, length) for n in range(count)]
    if made:
        made[0] += short  # where the longest has no room, a shorter one may
    return made


def _along(box: Box, upright: bool, n: int, count: int, long: float, length: float) -> list[_Spot]:
    least, most = (long / 2 + 0.3) / length, 1 - (long / 2 + 0.3) / length
    spots = []
    for part in (0.5, 0.35, 0.65, 0.2, 0.8, 0.05, 0.95):
        share = min(max((n + part) / count, least), most)
        spots.append((box.left + (box.right - box.left) * share, box.top + (box.bottom - box.top) * share, upright))
    return spots


def _spots_off(stretches: Sequence[Box], long: float) -> list[list[_Spot]]:
    """Places that touch a run with their end, beside one that goes up, or lie along one that is level."""
    spots: list[_Spot] = []
    for box in sorted(stretches, key=lambda b: b.left - b.right + b.top - b.bottom):
        for share in (0.5, 0.3, 0.7, 0.1, 0.9):
            x, y = box.left + (box.right - box.left) * share, box.top + (box.bottom - box.top) * share
            if box.left == box.right:
                spots += [(x + side * (long / 2 + 0.3), y, False) for side in (-1, 1)]
            else:
                spots += [(x, y + side * (THICK / 2 + 0.3), False) for side in (-1, 1)]
    return [spots]


def _spots_at(box: Box, long: float) -> list[list[_Spot]]:
    """Places beside a bus, at its ends first."""
    half = THICK / 2 + 0.4
    upright = box.bottom - box.top > box.right - box.left
    middle_x, middle_y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    if upright:
        ends = [(middle_x, box.top - long / 2 - 0.5, True), (middle_x, box.bottom + long / 2 + 0.5, True)]
        ends += [(x, y, True) for x in (box.left - half, box.right + half) for y in _between(box.top, box.bottom, long)]
    else:
        ends = [(box.left - long / 2 - 0.5, middle_y, False), (box.right + long / 2 + 0.5, middle_y, False)]
        ends += [
            (x, y, False) for y in (box.top - half, box.bottom + half) for x in _between(box.left, box.right, long)
        ]
    return [ends]


def _between(start: float, end: float, long: float) -> list[float]:
    if end - start <= long:
        return [(start + end) / 2]
    return [start + long / 2 + (end - start - long) * share for share in (0.0, 1.0, 0.5, 0.25, 0.75)]


def _cells(box: Box) -> list[tuple[int, int]]:
    return [
        (column, row)
        for column in range(int(box.left // _CELL), int(box.right // _CELL) + 1)
        for row in range(int(box.top // _CELL), int(box.bottom // _CELL) + 1)
    ]


def _met(taken: Mapping[tuple[int, int], list[Box]], box: Box) -> float:
    """What a flag would cover of others, in mm², counted double."""
    others = {other for cell in _cells(box) for other in taken.get(cell, ()) if other.meets(box)}
    return sum(
        2 * (min(box.right, o.right) - max(box.left, o.left)) * (min(box.bottom, o.bottom) - max(box.top, o.top))
        for o in others
    )
