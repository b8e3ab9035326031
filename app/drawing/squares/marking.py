"""Where deficiencies stand on a sheet that speak of no equipment."""

from __future__ import annotations

from collections.abc import Iterator

from app.drawing.looks import STEP
from engine.deficiencies import is_open
from engine.installation import Deficiency, Snapshot
from engine.picture import Box, Path, line

__all__ = ["spots", "strokes_at"]

_ARM = 0.9  # mm, of the cross that marks a place


def _placed(snapshot: Snapshot, sheet: str) -> Iterator[tuple[str, Deficiency, int, int]]:
    for item, d in snapshot.deficiencies.items():
        known = d.at in snapshot.equipment or d.at in snapshot.runs or d.at in snapshot.enclosures
        if not known and d.number is not None and sheet in (d.sheet, d.at) and d.x is not None and d.y is not None:
            yield item, d, d.x, d.y


def spots(snapshot: Snapshot, sheet: str, left: float, top: float) -> dict[str, list[Box]]:
    """By id of a deficiency, the place of the sheet it marks, in mm. `left`, `top`: the frame's upper left corner."""
    return {
        item: [Box(left + x * STEP, top + y * STEP, left + x * STEP, top + y * STEP).grown(_ARM)]
        for item, _d, x, y in _placed(snapshot, sheet)
    }


def strokes_at(snapshot: Snapshot, sheet: str, left: float, top: float) -> list[Path]:
    """The crosses that mark these places, with their flags' owners."""
    made: list[Path] = []
    for _item, d, column, row in _placed(snapshot, sheet):
        x, y, owner = left + column * STEP, top + row * STEP, f"flag:{-(d.number or 0)}"
        ink = "red" if is_open(d) else "grey"
        made.append(line(x - _ARM, y - _ARM, x + _ARM, y + _ARM, 0.35, ink, owner=owner))  # type: ignore[arg-type]
        made.append(line(x - _ARM, y + _ARM, x + _ARM, y - _ARM, 0.35, ink, owner=owner))  # type: ignore[arg-type]
    return made
