"""Interlocks between devices of one sheet, drawn as links. In mm on the sheet.

A mechanical one is the dashed line of IEC 60617 for mechanical connections. Electrical ones and captive keys connect
nothing mechanically: their line is dash and dot with a letter on it, E or K, which the remarks on the sheet explain.
Where more than one of the devices may stand so at a time, or more than two are held, the letter or line carries how
many of how many ("2/3").
"""

from __future__ import annotations

import itertools

from app.drawing.labels import Sight
from app.drawing.looks import STEP
from app.drawing.placed import Piece, Scene
from engine.geometry import EAST, NORTH, SOUTH, WEST, Pin, Roads
from engine.installation.records import Interlock
from engine.picture import Box, Primitive, Text, polygon, polyline, text_width

__all__ = ["interlock_links", "is_plain", "link_mark"]

_LETTERS = {"electrical": "E", "captive key": "K"}
_HEIGHT, _AROUND = 2.5, 0.7  # of the letter, and room about it, mm


def is_plain(lock: Interlock) -> bool:
    """Whether a dashed line between two devices tells all: mechanical, one of two closed at a time."""
    closed = all(tuple(h.positions) == ("closed",) for h in lock.held)
    return closed and not link_mark(lock) and len({h.equipment for h in lock.held}) == len(lock.held)


def link_mark(lock: Interlock) -> str:
    """What stands on the line of an interlock, "" for nothing."""
    letter = _LETTERS.get(lock.kind, "")
    several = lock.at_most != 1 or len(lock.held) > 2
    return " ".join(part for part in (letter, f"{lock.at_most}/{len(lock.held)}" if several else "") if part)


def interlock_links(
    scene: Scene, sight: Sight, bounds: Box, labels: list[Box]
) -> tuple[list[Primitive], list[Box], list[str]]:
    """Links from device to device, the room they take, and interlocks that no link here tells the whole of."""
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
            made.append(polyline(way, 0.25, dash="chain" if lock.kind in _LETTERS else "dashed", owner=one))
            mark = link_mark(lock)
            if mark:
                strokes, box = _on_line(way, mark, labels, one)
                made.extend(strokes)
                room.append(box)
            roads.run(found.points)
            drawn += 1
            for (ax, ay), (bx, by) in itertools.pairwise(way):
                room.append(Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)).grown(0.3))
        if drawn and drawn == len({h.equipment for h in lock.held}) - 1 and is_plain(lock):
            untold.remove(item)
    return made, room, untold


def _on_line(way: list[tuple[float, float]], mark: str, labels: list[Box], owner: str) -> tuple[list[Primitive], Box]:
    """A mark that breaks its line, where it covers no label if there is such a place."""
    across, down = text_width(mark, _HEIGHT, True) / 2 + _AROUND, _HEIGHT / 2 + _AROUND
    stretches = sorted(itertools.pairwise(way), key=lambda s: -abs(s[1][0] - s[0][0]) - abs(s[1][1] - s[0][1]))
    spots = [
        (ax + (bx - ax) * share, ay + (by - ay) * share)
        for (ax, ay), (bx, by) in stretches
        for share in (0.5, 0.35, 0.65, 0.2, 0.8)
    ]

    def met(at: tuple[float, float]) -> int:
        box = Box(at[0] - across, at[1] - down, at[0] + across, at[1] + down)
        return sum(box.meets(label) for label in labels)

    x, y = min(spots, key=met)
    box = Box(x - across, y - down, x + across, y + down)
    corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
    text = Text(x, y + _HEIGHT / 2, mark, _HEIGHT, "middle", bold=True, owner=owner)
    return [polygon(corners, 0.25, fill="white", owner=owner), text], box


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
