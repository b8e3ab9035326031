"""A symbol of the sheets turned for a level line, which comes in at its left and, where it can, leaves at its right."""

from __future__ import annotations

from itertools import pairwise
from typing import Any, NamedTuple

from app.drawing.looks import STEP, look
from app.handover.panel_door.card import BODY
from engine.equipment.base import Equipment
from engine.picture import Box, Path, Primitive, Text, line, path_box, rectangle, text_box
from symbols.catalogue import Port

__all__ = ["SCALE", "Placed", "led_out", "turned"]

SCALE = 1.4  # their letters, 2.5 mm on a sheet, become 3.5 mm
_WIDEST, _HIGHEST = 27.0, 32.0  # mm: what is larger is drawn as a plain box
_BAR = 6.0  # half the height of a bus on a way


class Placed(NamedTuple):
    """Strokes in mm about the point where the line comes in; where it goes out, and to which side."""

    strokes: tuple[Primitive, ...]
    box: Box
    out: tuple[float, float] | None
    side: str


def turned(record: Equipment, standard: str, enter: str, leave: str | None) -> Placed:
    """The symbol of a record between two of its terminals, or at the end of a line."""
    best: tuple[tuple[int, ...], Any, Port, Port | None] | None = None
    for rotation in (0, 90, 180, 270):
        for mirrored in (False, True):
            seen = look(record, standard, rotation, mirrored)
            if seen.stretches:
                strokes = (line(0.0, -_BAR, 0.0, _BAR, 1.4),)
                return Placed(strokes, Box(-0.7, -_BAR, 0.7, _BAR), None if leave is None else (0.0, 0.0), "right")
            a, b = _port(seen.ports, enter), None if leave is None else _port(seen.ports, leave)
            rank = (
                int(a.side != "left"),
                int(b is not None and b.side != "right"),
                int(b is not None and b.y != a.y),
                int(a.side == "right"),
                int(mirrored),
                rotation,
            )
            if best is None or rank < best[0]:
                best = rank, seen, a, b
    assert best is not None
    _rank, seen, a, b = best
    x, y = a.x * STEP, a.y * STEP
    made = tuple(_scaled(p, x, y) for p in seen.shape.primitives)
    boxes = [path_box(p) if isinstance(p, Path) else text_box(p) for p in made]
    # the box of every position, so that rows do not jump; letters may reach beyond it
    all_of = Box(
        min([(seen.box.left * STEP - x) * SCALE, 0.0, *(box.left for box in boxes)]),
        min([(seen.box.top * STEP - y) * SCALE, *(box.top for box in boxes)]),
        max([(seen.box.right * STEP - x) * SCALE, 0.0, *(box.right for box in boxes)]),
        max([(seen.box.bottom * STEP - y) * SCALE, *(box.bottom for box in boxes)]),
    )
    if b is not None and b.side != "right":  # the line is led round it
        all_of = all_of._replace(top=all_of.top - 1.3, bottom=all_of.bottom + 1.3)
    if all_of.right - all_of.left > _WIDEST or all_of.bottom - all_of.top > _HIGHEST:
        return _plain(leave is not None)
    out = None if b is None else ((b.x * STEP - x) * SCALE, (b.y * STEP - y) * SCALE)
    return Placed(made, all_of, out, "" if b is None else b.side)


def _plain(goes_on: bool) -> Placed:
    """A box for what has a symbol too large for a card: many ways, several outputs."""
    box = Box(0.0, -6.0, 14.0, 6.0)
    return Placed((rectangle(*box, 0.7),), box, (14.0, 0.0) if goes_on else None, "right" if goes_on else "")


def _port(ports: dict[str, Port], terminal: str) -> Port:
    return ports.get(terminal) or next(iter(ports.values()), Port(terminal, 0, 0, "left"))


def _scaled(p: Primitive, x: float, y: float) -> Primitive:
    if isinstance(p, Text):
        return p._replace(x=(p.x - x) * SCALE, y=(p.y - y) * SCALE, height=max(BODY, p.height * SCALE), owner="")
    segments: list[Any] = []
    for letter, *at in p.segments:
        flat = [(v - (y if n % 2 else x)) * SCALE for n, v in enumerate(at)]
        segments.append((letter, *flat))
    return p._replace(segments=tuple(segments), width=p.width * SCALE, owner="")


def led_out(x: float, y: float, placed: Placed) -> tuple[float, list[Primitive]]:
    """From where a symbol lets the line out back to the line's level `y`: where the line goes on, and the strokes.

    (x, y): where the line came in.
    """
    if placed.out is None:
        return x, []
    ox, oy = x + placed.out[0], y + placed.out[1]
    right = x + placed.box.right
    if placed.side == "right" and abs(oy - y) < 0.01:
        return max(ox, right), [line(ox, oy, right, oy, 0.7)] if right > ox + 0.01 else []
    points = [(ox, oy)]
    if placed.side in ("top", "bottom"):
        points.append((ox, y + placed.box.top + 0.4 if placed.side == "top" else y + placed.box.bottom - 0.4))
    elif placed.side == "left":
        points += [(ox - 1.0, oy), (ox - 1.0, y + placed.box.bottom - 0.4)]
    end = right + 1.2
    points += [(end, points[-1][1]), (end, y)]
    return end, [line(*a, *b, 0.7, cap="square") for a, b in pairwise(points)]
