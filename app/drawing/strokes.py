"""Strokes of equipment and runs by their status: what is new is thick, what goes is dashed and crossed, and so on."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from engine.picture import Box, Dash, Ink, Path, Primitive, Text, line, polyline, rectangle, transformed
from engine.words import N_, _

__all__ = ["RUN_WIDTH", "crosses", "legend", "run_strokes", "symbol_strokes"]

XY = tuple[float, float]
RUN_WIDTH = 0.35  # mm, of what exists; twice that of what is new (ISO 128: wide to narrow 2:1)
_DASHES: dict[str, Dash] = {"to remove": "dashed", "by others": "dotted", "spare": "chain"}
_FRAMES: dict[str, Dash] = {"by others": "dotted", "spare": "chain"}  # round a symbol
_BAR = 8.0  # so many times longer than high
_LEGEND = {
    "existing": N_("thin: existing"),
    "new": N_("thick: new"),
    "to remove": N_("dashed and crossed: to remove"),
    "by others": N_("dotted, or in a dotted frame: by others"),
    "spare": N_("dash and dot, or in such a frame: spare"),
}


# widths of a symbol's strokes, as it is drawn: of what exists, of what is new
_WIDTHS = {0.35: (0.35, 0.7), 0.7: (RUN_WIDTH, 2 * RUN_WIDTH), 1.0: (0.7, 1.0), 1.4: (0.7, 1.4)}


def _width(width: float, status: str) -> float:
    """The width of a symbol's stroke: its paths are as thick as the runs that meet them."""
    existing, new = _WIDTHS.get(round(width, 2), (width, width))
    return new if status == "new" else existing


def symbol_strokes(primitives: Sequence[Primitive], at: XY, box: Box, status: str, owner: str) -> list[Primitive]:
    """A symbol moved to its place, in mm. `box` is its place, for the cross of what is removed."""
    made: list[Primitive] = []
    ink: Ink = "grey" if status == "by others" else "black"
    for p in transformed(primitives, *at, owner=owner):
        if isinstance(p, Text):
            made.append(p._replace(ink=ink if p.ink == "black" else p.ink))
            continue
        fill = ink if p.fill == "black" else p.fill
        made.append(
            p._replace(
                width=_width(p.width, status),
                ink=ink if p.ink == "black" else p.ink,
                fill=fill,
                dash="dashed" if status == "to remove" and p.width else p.dash,
            )
        )
    b = box.grown(0.6)
    wide, high = box.right - box.left, box.bottom - box.top
    if status == "to remove" and max(wide, high) > _BAR * min(wide, high):  # a bus: crosses along it
        x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
        ends = ((box.left, y), (box.right, y)) if wide > high else ((x, box.top), (x, box.bottom))
        made.extend(crosses(ends, owner))
    elif status == "to remove":
        made.append(line(b.left, b.top, b.right, b.bottom, 0.35, owner=owner))
        made.append(line(b.left, b.bottom, b.right, b.top, 0.35, owner=owner))
    elif status in _FRAMES:  # its own strokes stay whole: short ones would not show a dash
        made.append(rectangle(*b, width=0.25, ink=ink, owner=owner)._replace(dash=_FRAMES[status]))
    return made


def run_strokes(points: Sequence[XY], status: str, function: str, owner: str) -> list[Primitive]:
    """A run, in mm."""
    ink: Ink = "grey" if status == "by others" else "black"
    dash: Dash = _DASHES.get(status, "solid")
    width = RUN_WIDTH * (2 if status == "new" else 1)
    if function == "signal" and dash == "solid":
        dash = "dashed"
    made: list[Primitive] = [
        Path(
            polyline(points).segments,
            width,
            ink,
            dash=dash,
            cap="butt" if dash != "solid" else "square",
            owner=owner,
        )
    ]
    if status == "to remove":
        made.extend(crosses(points, owner))
    return made


def crosses(points: Sequence[XY], owner: str) -> list[Primitive]:
    """Small crosses along a run that is removed, one a stretch and one every 30 mm."""
    made: list[Primitive] = []
    for (ax, ay), (bx, by) in pairwise(points):
        long = abs(bx - ax) + abs(by - ay)
        if long < 5.0:
            continue
        count = max(1, int(long // 30.0))
        for n in range(count):
            share = (n + 0.5) / count
            x, y = ax + (bx - ax) * share, ay + (by - ay) * share
            made.append(line(x - 1.0, y - 1.0, x + 1.0, y + 1.0, 0.35, owner=owner))
            made.append(line(x - 1.0, y + 1.0, x + 1.0, y - 1.0, 0.35, owner=owner))
    return made


def legend(statuses: set[str]) -> str:
    """What the line forms on a sheet mean; "" where only what exists is drawn."""
    if statuses <= {"existing"}:
        return ""
    return _("Lines: {forms}.").format(forms="; ".join(_(text) for s, text in _LEGEND.items() if s in statuses))
