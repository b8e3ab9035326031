"""A new run's way between what its two grips were made to."""

from __future__ import annotations

from typing import Literal

from app.drawing.changes.grips import Held
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.ways import Ways, bends_of, keep_route, pins_at
from app.drawing.placed import Point
from app.drawing.routes import pins
from engine.edits.draft import Draft
from engine.equipment.distribution.open_end import OpenEnd
from engine.geometry import Pin, squared, turns
from engine.installation import Run

__all__ = ["LYING", "led", "led_over"]

# how an open end lies that a line reaches from there
LYING: dict[Point, Literal[0, 90, 180, 270]] = {(0, 1): 0, (-1, 0): 90, (0, -1): 180, (1, 0): 270}


def _pins(ways: Ways, held: Held) -> list[Pin]:
    piece = ways.scene.pieces[held.placement]
    if isinstance(piece.record, OpenEnd):
        at = piece.placement
        return [Pin(at.x, at.y, out) for out in range(4)]
    every = pins(piece, held.end.terminal)
    return pins_at(piece, held.end.terminal, held.at) if piece.is_bar else every


def led(draft: Draft, sheet: str, run: str, held: list[Held]) -> None:
    """Find the new run a way and lay its open ends along it."""
    ends = {h.placement for h in held if isinstance(draft.get("equipment", h.end.equipment), OpenEnd)}
    ways = Ways(draft, sheet, (run,), ends, patient=True)
    if any(h.placement not in ways.scene.pieces for h in held):
        return
    points = ways.lead(run, _pins(ways, held[0]), _pins(ways, held[1]))
    if points is None and any(ways.scene.pieces[h.placement].is_bar for h in held):
        points = ways.lead(run)  # elsewhere along the bus
    if points is not None:
        _lay_ends(draft, held, points)


def led_over(draft: Draft, sheet: str, run: str, held: list[Held], corners: tuple[Point, ...]) -> None:
    """Lead the new run over corners set by hand; without a line that has a length it is found a way."""
    scene = scene_of(draft.snapshot(), sheet)
    record: Run = draft.get("runs", run)
    start, stop = (scene.pieces[h.placement] for h in held)
    begin = start.meets(record.from_end.terminal, corners[0])
    end = stop.meets(record.to_end.terminal, corners[-1])
    points = turns(squared([begin, *corners, end]))
    if len(points) < 2:
        led(draft, sheet, run, held)
        return
    keep_route(draft, run, sheet, bends_of(points, (start, stop)) or corners[:1], by_hand=True)
    _lay_ends(draft, held, points)


def _lay_ends(draft: Draft, held: list[Held], points: tuple[Point, ...]) -> None:
    """Turn open ends so that the line meets them from outside."""
    for each, tip, inner in ((held[0], points[0], points[1]), (held[1], points[-1], points[-2])):
        if isinstance(draft.get("equipment", each.end.equipment), OpenEnd):
            step = ((inner[0] > tip[0]) - (inner[0] < tip[0]), (inner[1] > tip[1]) - (inner[1] < tip[1]))
            draft.change("placements", each.placement, rotation=LYING[step], mirrored=False)
