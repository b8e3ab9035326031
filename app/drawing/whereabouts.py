"""Where a thing stands, in words: *sheet 2 / B3*, as references on the sheets say it."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from typing import NamedTuple

from app.drawing.frame import Frame, frame
from app.drawing.title_block import TitleFields
from engine.installation import Snapshot
from engine.words import _

__all__ = ["STEP", "Whereabouts", "told_where"]

STEP = 2.5  # mm, of the grid


class Spot(NamedTuple):
    """A point of a sheet, in grid steps."""

    sheet: str
    x: int
    y: int


class Whereabouts:
    """Of one moment of a drawing: the symbols of everything, looked up at once."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        order = sorted(snapshot.sheets, key=lambda s: (snapshot.sheets[s].number, _number(s)))
        self.number: Mapping[str, int] = {sheet: n for n, sheet in enumerate(order, 1)}
        self._of: dict[str, list[Spot]] = {}
        for placement in snapshot.placements.values():
            if placement.sheet in self.number:
                spot = Spot(placement.sheet, placement.x, placement.y)
                self._of.setdefault(placement.equipment, []).append(spot)
        for spots in self._of.values():
            spots.sort(key=lambda s: (self.number[s.sheet], s.y, s.x))

    def spots(self, item: str) -> list[Spot]:
        """Where equipment, a run or a remark is drawn, sheet by sheet; of a run its first end of either."""
        remark = self.snapshot.remarks.get(item)
        if remark is not None:
            return [Spot(remark.sheet, remark.x, remark.y)] if remark.sheet in self.number else []
        run = self.snapshot.runs.get(item)
        if run is None:
            return self._of.get(item, [])
        ends = [self._of.get(end.equipment, []) for end in (run.from_end, run.to_end)]
        sheets = [{spot.sheet for spot in end} for end in ends]
        both = sheets[0] & sheets[1]
        return [spot for end in ends for spot in end if not both or spot.sheet in both]

    def told(self, item: str) -> str:
        """*sheet 2 / B3*; with more than one symbol how many more there are; "" where it is on no sheet."""
        if item in self.number:
            return _("sheet {sheet}").format(sheet=self.number[item])
        spots = self.spots(item)
        if not spots:
            return _("on no sheet")
        return told_where(self.snapshot, self.number, spots[0])


def told_where(snapshot: Snapshot, number: Mapping[str, int], spot: Spot) -> str:
    """A point as references say it."""
    page = _page(snapshot.sheets[spot.sheet].size)
    zone = page.zone(page.border.left + spot.x * STEP, page.border.top + spot.y * STEP)
    return _("sheet {sheet} / {zone}").format(sheet=number[spot.sheet], zone=zone)


@functools.lru_cache
def _page(size: str) -> Frame:
    return frame(size, TitleFields())


def _number(item: str) -> int:
    return int(item[1:]) if item[1:].isdecimal() and item[1:].isascii() else 0
