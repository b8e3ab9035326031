"""Interlocks between devices of one sheet, drawn as dashed mechanical links. In mm on the sheet."""

from __future__ import annotations

import itertools

from app.drawing.labels import Sight
from app.drawing.looks import STEP
from app.drawing.placed import Piece, Scene
from engine.geometry import EAST, NORTH, SOUTH, WEST, Pin, Roads
from engine.picture import Box, Primitive, polyline

__all__ = ["interlock_links"]


def interlock_links(
    scene: Scene, sight: Sight, bounds: Box, labels: list[Box]
) -> tuple[list[Primitive], list[Box], list[str]]:
    """Links from device to device, the room they take, and interlocks of these devices that no link shows here."""
    made: list[Primitive] = []
    room: list[Box] = []
    here = {p.equipment: p for p in reversed(scene.on(sight.sheet))}
    untold = [i for i, lock in scene.snapshot.interlocks.items() if any(h.equipment in here for h in lock.held)]
    if not any(sum(h.equipment in here for h in lock.held) > 1 for lock in scene.snapshot.interlocks.values()):
        return made, room, untold
    roads = Roads(int((bounds.right - sight.left) / STEP), int((bounds.bottom - sight.top) / STEP))
    for piece in here.values():
        roads.close(piece.box.grown(0.3))
    for part in scene.parts_on(sight.sheet):
        roads.run(part.points)
    for box in labels:
        b = box.grown(0.4)
        roads.close(Box(*((v - (sight.left if n % 2 == 0 else sight.top)) / STEP for n, v in enumerate(b))))
    for item, lock in scene.snapshot.interlocks.items():
        drawn = 0
        devices = list(dict.fromkeys(h.equipment for h in lock.held if h.equipment in here))
        devices.sort(key=lambda e: (here[e].placement.x, here[e].placement.y))
        for one, other in itertools.pairwise(devices):
            found = roads.find(_pins(here[one]), _pins(here[other]), most=200)
            if found is None:
                continue
            points = list(found.points)
            ends = (_edge(here[one], points[0], points[1]), _edge(here[other], points[-1], points[-2]))
            way = [sight.at(p) for p in points]
            way[0], way[-1] = sight.at(ends[0]), sight.at(ends[1])  # type: ignore[arg-type]  # parts of a step
            made.append(polyline(way, 0.25, dash="dashed", owner=one))
            roads.run(found.points)
            drawn += 1
            for (ax, ay), (bx, by) in itertools.pairwise(way):
                room.append(Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)).grown(0.3))
        if drawn and drawn == len({h.equipment for h in lock.held}) - 1:
            untold.remove(item)
    return made, room, untold


def _pins(piece: Piece) -> list[Pin]:
    """Grid points just outside the middle of each side, pointing away."""
    b, x, y = piece.box, piece.placement.x, piece.placement.y
    sides = {port.side for port in piece.look.ports.values()}
    pins = []
    if "right" not in sides:
        pins.append(Pin(int(b.right + 1), y, EAST))
    if "left" not in sides:
        pins.append(Pin(int(-(-(b.left - 1) // 1)), y, WEST))
    if "top" not in sides:
        pins.append(Pin(x, int(-(-(b.top - 1) // 1)), NORTH))
    if "bottom" not in sides:
        pins.append(Pin(x, int(b.bottom + 1), SOUTH))
    return pins


def _edge(piece: Piece, end: tuple[int, int], toward: tuple[int, int]) -> tuple[float, float]:
    """Where a link meets the strokes of a symbol: half way to its middle, so that it touches the blade."""
    del toward
    x, y = piece.placement.x, piece.placement.y
    if end[1] == y:
        return (x + (0.5 if end[0] > x else -0.5), y)
    return (x, y + (0.5 if end[1] > y else -0.5))
