"""What one sheet shows, fast: only the records that sheet needs are looked at."""

from __future__ import annotations

from app.drawing.placed import Scene, set_scene
from engine.installation import Snapshot

__all__ = ["scene_of"]

# last scenes of some sheets: what was made of the very same records is taken over, which after an edit is nearly all
_BEFORE: dict[str, Scene] = {}
_KEPT = 4


def scene_of(snapshot: Snapshot, sheet: str) -> Scene:
    """Symbols and runs of one sheet, and of others what its runs lead to.

    Runs without a usable route are in `unrouted`; nothing is sought for them. What stands on other sheets only is left
    out, and so is equipment on no sheet.
    """
    placements = snapshot.placements
    here = {p.equipment for p in placements.values() if p.sheet == sheet}
    runs = {
        item: run
        for item, run in snapshot.runs.items()
        if run.from_end.equipment in here or run.to_end.equipment in here
    }
    ends = {end.equipment for run in runs.values() for end in (run.from_end, run.to_end)}
    wanted = here | ends
    reduced = Snapshot(
        tables=snapshot.tables
        | {
            "equipment": {i: r for i, r in snapshot.equipment.items() if i in wanted},
            "runs": runs,
            "placements": {i: p for i, p in placements.items() if p.equipment in wanted},
            "routes": {i: r for i, r in snapshot.routes.items() if r.run in runs},
        },
        lone=snapshot.lone,
    )
    before = _BEFORE.pop(sheet, None)
    if before is not None and before.snapshot.sheets.get(sheet) is not snapshot.sheets.get(sheet):
        before = None
    scene = set_scene(reduced, before)
    scene.snapshot = snapshot
    _BEFORE[sheet] = scene
    while len(_BEFORE) > _KEPT:
        del _BEFORE[next(iter(_BEFORE))]
    return scene
