"""Which sheet of the newer drawing shows what a sheet of the older one showed, in the same places."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from app.drawing.frame import SIZES
from engine.installation import Snapshot

__all__ = ["sheets_over"]

_ENOUGH = 0.5  # share of what both sheets show that stands in the same place


def sheets_over(before: Snapshot, after: Snapshot, same: Mapping[str, str], by_ids: bool) -> dict[str, str]:
    """Sheet of the older drawing -> the sheet of the newer on which its things may be drawn where they stood.

    One is missing where what both drawings have stands elsewhere now: then nothing may be laid over. `same`: id in the
    older drawing -> id in the newer; `by_ids`: ids are the same in both.
    """
    spots: dict[str, list[tuple[str, int, int]]] = {}
    for placement in after.placements.values():
        spots.setdefault(placement.equipment, []).append((placement.sheet, placement.x, placement.y))
    stay: dict[str, Counter[str]] = {}
    shared: Counter[str] = Counter()
    for placement in before.placements.values():
        now = placement.equipment if by_ids else same.get(placement.equipment, "")
        if now not in after.equipment:
            continue
        shared[placement.sheet] += 1
        for sheet, x, y in spots.get(now, ()):
            if (x, y) == (placement.x, placement.y):
                stay.setdefault(placement.sheet, Counter())[sheet] += 1
    found: dict[str, str] = {}
    for sheet in before.sheets:
        if shared[sheet]:
            best = max(stay.get(sheet, Counter()).items(), key=lambda each: (each[1], each[0]), default=("", 0))
            if best[1] >= _ENOUGH * shared[sheet] and _holds(before, sheet, after, best[0]):
                found[sheet] = best[0]
            continue
        alone = sheet if by_ids else same.get(sheet, "")
        if _holds(before, sheet, after, alone):
            found[sheet] = alone
    return found


def _holds(before: Snapshot, sheet: str, after: Snapshot, other: str) -> bool:
    """Whether the newer sheet is there and has room for all that the older one may show."""
    if other not in after.sheets:
        return False
    was, now = SIZES[before.sheets[sheet].size], SIZES[after.sheets[other].size]
    return was[0] <= now[0] and was[1] <= now[1]
