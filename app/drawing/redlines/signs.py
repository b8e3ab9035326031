"""The forms of a comparison: clouds, what is gone struck and dashed, numbered tags. In mm.

They differ by form first: a whole cloud and + is new, a dashed cloud and ≠ is other, dashed and struck by strokes that
lean one way and − is gone. Crosses stay what they are on every sheet: to be removed. (Clouds round what has changed:
common practice, no source; the other forms are ours.)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from engine.clouds import cloud
from engine.picture import Box, Path, Primitive, Text, line, polygon, polyline, text_width
from engine.words import N_, _

__all__ = [
    "CLOUD",
    "OWNER",
    "SIGNS",
    "forms",
    "ghost_line",
    "ghost_symbol",
    "half_of",
    "marked_cloud",
    "sign_text",
    "struck",
    "struck_line",
    "tag",
]

How = Literal["added", "removed", "changed"]
XY = tuple[float, float]
OWNER, CLOUD = "redline", "redline:cloud"
SIGNS: dict[How, str] = {"added": "+", "removed": "−", "changed": "≠"}
_TALL = 2.5
_HIGH = 4.6  # of a tag
_POINT = 2.0  # how far its ends run to a point
_WIDTH = 0.35
_BETWEEN = 3.2  # strokes that strike a symbol
_RUN_STEP = 22.0  # pairs of strokes along a run
_LEAN = 1.5  # half of such a stroke
_FORMS: tuple[tuple[How, str], ...] = (
    ("added", N_("new in the newer drawing: a cloud, + and its number in the list of changes")),
    ("changed", N_("changed: a dashed cloud, ≠ and its number")),
    ("removed", N_("no longer there: dashed and struck where it stood, − and its number")),
)


def sign_text(how: How, number: int) -> str:
    """What stands in a tag: +7, ≠8, −9."""
    return f"{SIGNS[how]}{number}"


def half_of(text: str) -> tuple[float, float]:
    """Half of a tag's width and height."""
    return (text_width(text, _TALL, bold=True) / 2 + _POINT + 0.4, _HIGH / 2)


def tag(x: float, y: float, text: str, owner: str = OWNER) -> list[Primitive]:
    """A tag with pointed ends, centred on (x, y)."""
    wide, high = half_of(text)
    corners = (
        (x - wide, y),
        (x - wide + _POINT, y - high),
        (x + wide - _POINT, y - high),
        (x + wide, y),
        (x + wide - _POINT, y + high),
        (x - wide + _POINT, y + high),
    )
    return [
        polygon(corners, 0.3, "red", fill="white", owner=owner),
        Text(x, y + _TALL / 2, text, _TALL, "middle", bold=True, ink="red", owner=owner),
    ]


def marked_cloud(outline: Sequence[XY], how: How, owner: str = CLOUD) -> Path:
    """The cloud round what is new, or, dashed, round what has changed."""
    made = cloud(outline, 0.35, "red", owner=owner)
    return made if how == "added" else made._replace(dash="dashed", cap="butt")


def ghost_symbol(strokes: Sequence[Primitive], box: Box, owner: str = OWNER) -> list[Primitive]:
    """A symbol that is gone: its own strokes dashed, struck; nothing is filled, what stands there now is seen."""
    made: list[Primitive] = []
    for p in strokes:
        if isinstance(p, Text):
            made.append(p._replace(ink="red", owner=owner, link=""))
        else:
            made.append(p._replace(width=0.25, ink="red", fill=None, dash="dashed", cap="butt", owner=owner))
    return [*made, *struck(box, owner)]


def ghost_line(points: Sequence[XY], owner: str = OWNER) -> list[Primitive]:
    """A run that is gone: dashed, struck by pairs of strokes."""
    whole = polyline(points, _WIDTH, "red", dash="dashed", owner=owner)
    return [whole, *struck_line(points, owner)]


def struck(box: Box, owner: str = OWNER) -> list[Primitive]:
    """Strokes that all lean one way across a box, side by side along its longer side."""
    wide, high = box.right - box.left, box.bottom - box.top
    level = wide >= high
    long, short = (wide, high) if level else (high, wide)
    half = min(short / 2 + 0.8, 4.0)
    count = max(1, min(40, math.floor(long / _BETWEEN)))
    step = long / count
    middle_x, middle_y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    made: list[Primitive] = []
    for n in range(count):
        off = (n + 0.5) * step - long / 2
        x, y = (middle_x + off, middle_y) if level else (middle_x, middle_y + off)
        lean = min(half, _BETWEEN)
        dx, dy = (lean * 0.6, half) if level else (half, lean * 0.6)
        made.append(line(x - dx, y + dy, x + dx, y - dy, 0.3, "red", owner=owner))
    return made


def struck_line(points: Sequence[XY], owner: str = OWNER) -> list[Primitive]:
    """Pairs of leaning strokes along a run, one pair a stretch at least."""
    made: list[Primitive] = []
    for (ax, ay), (bx, by) in pairwise(points):
        long = abs(bx - ax) + abs(by - ay)
        if long < 4.0:
            continue
        count = max(1, int(long // _RUN_STEP))
        ux, uy = (bx - ax) / long, (by - ay) / long
        for n in range(count):
            share = (n + 0.5) / count
            for off in (-0.6, 0.6):
                x, y = ax + (bx - ax) * share + ux * off, ay + (by - ay) * share + uy * off
                made.append(line(x - _LEAN * 0.7, y + _LEAN, x + _LEAN * 0.7, y - _LEAN, 0.3, "red", owner=owner))
    return made


def forms() -> list[tuple[tuple[Primitive, ...], str]]:
    """A sample of each form about (0, 0), and what it means: for a legend."""
    made: list[tuple[tuple[Primitive, ...], str]] = []
    outline = ((0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0))
    for n, (how, text) in enumerate(_FORMS, 1):
        label = sign_text(how, n)
        at_x = 10.0 + half_of(label)[0] + 1.0
        if how == "removed":
            shape = ghost_symbol([polygon(((1.0, 0.5), (8.0, 0.5), (8.0, 5.5), (1.0, 5.5)))], Box(1.0, 0.5, 8.0, 5.5))
            strokes: list[Primitive] = [*ghost_line(((-5.0, 3.0), (1.0, 3.0))), *shape]
            at_x = 9.0 + half_of(label)[0]
        else:
            strokes = [marked_cloud(outline, how)]
        made.append(((*strokes, *tag(at_x, 3.0, label)), _(text)))
    return made
