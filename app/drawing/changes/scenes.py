"""What one sheet shows, fast: only the records that sheet needs are looked at."""

from __future__ import annotations

from app.drawing.placed import Scene, set_scene
from engine.installation import Snapshot

__all__ = ["scene_of"]


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
    scene = set_scene(reduced)
    scene.snapshot = snapshot
    return scene
