"""Taking things off the drawing: the engine's `remove`, which does not know where a terminal is drawn."""

from __future__ import annotations

from collections.abc import Iterable

from app.drawing.changes.joining import LYING
from app.drawing.changes.scenes import scene_of
from app.drawing.placed import RunPart, Scene
from engine.edits import Several
from engine.edits.removing import Loose, Where, remove
from engine.installation import Snapshot

__all__ = ["remove_drawn", "where_drawn"]


def remove_drawn(snapshot: Snapshot, last_id: int, items: Iterable[str], *, with_runs: bool = False) -> Several:
    """As `engine.edits.removing.remove`; runs end loose exactly where their terminals were, their ways as they were."""
    return remove(snapshot, last_id, items, with_runs=with_runs, where=where_drawn(snapshot))


def where_drawn(snapshot: Snapshot) -> Where:
    """Tells where an end of a run is drawn: where an open end stands that takes its place."""
    scenes: dict[str, Scene] = {}

    def where(run: str, end: str) -> Loose | None:
        record = snapshot.runs[run]
        equipment = (record.from_end if end == "from" else record.to_end).equipment
        sheets = [p.sheet for p in snapshot.placements.values() if p.equipment == equipment]
        for sheet in dict.fromkeys(sheets):
            if sheet not in scenes:
                scenes[sheet] = scene_of(snapshot, sheet)
            for part in scenes[sheet].parts_on(sheet):
                if part.run == run and part.kind in ("whole", end):
                    return _at_tip(part, end)
        for p in snapshot.placements.values():
            terminal = (record.from_end if end == "from" else record.to_end).terminal
            if p.equipment == equipment and (not p.terminals or terminal in p.terminals):
                piece = scenes[p.sheet].pieces.get(next(i for i, q in snapshot.placements.items() if q is p))
                if piece is not None and not piece.is_bar:
                    port = piece.port(terminal)
                    return Loose(p.sheet, port.x, port.y)
                return Loose(p.sheet, p.x, p.y)
        return None

    return where


def _at_tip(part: RunPart, end: str) -> Loose:
    """The end of a line, and how an open end lies there."""
    backward = part.kind == "whole" and end == "to"
    tip, inner = (part.points[-1], part.points[-2]) if backward else (part.points[0], part.points[1])
    step = ((inner[0] > tip[0]) - (inner[0] < tip[0]), (inner[1] > tip[1]) - (inner[1] < tip[1]))
    return Loose(part.sheet, *tip, LYING[step])
