"""Revision clouds: scalloped outlines round what has changed on a sheet. Plain boxes in, outlines out; in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from engine.picture import Box, Ink, Path, Segment

__all__ = ["cloud", "outlines"]

CLEAR = 1.4  # between what has changed and the outline
JOINED = 6.0  # outlines nearer to each other are one
SCALLOP = 5.0  # from one tip to the next, about
_DEPTH = 0.35  # of a scallop, in its length


def outlines(boxes: Sequence[Box], bounds: Box) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Closed outlines round groups of boxes within `bounds`, from left to right and top to bottom, clockwise."""
    inside = [box for box in boxes if box.meets(bounds)]
    if not inside:
        return ()
    grown = np.array([box.grown(CLEAR) for box in inside])
    union = shapely.union_all(shapely.box(grown[:, 0], grown[:, 1], grown[:, 2], grown[:, 3]))
    # what lies near is brought together, corners stay square
    half = JOINED / 2
    closed = union.buffer(half, join_style="mitre").buffer(-half, join_style="mitre")
    kept = closed.intersection(shapely.box(*bounds))
    parts = [part for part in getattr(kept, "geoms", [kept]) if isinstance(part, Polygon) and part.area > 0]
    made = [tuple((x, y) for x, y in shapely.orient_polygons(part).exterior.coords[:-1]) for part in parts]
    return tuple(sorted(made, key=lambda points: (min(y for _x, y in points), min(x for x, _y in points))))


def cloud(outline: Sequence[tuple[float, float]], width: float = 0.5, ink: Ink = "black", owner: str = "") -> Path:
    """The scalloped line along a closed outline, bulging outward."""
    points = list(outline)
    area = sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(points, [*points[1:], points[0]], strict=True))
    if area < 0:  # y runs down: outward is to the right of the way when this is positive
        points.reverse()
    segments: list[Segment] = [("M", *points[0])]
    for (ax, ay), (bx, by) in zip(points, [*points[1:], points[0]], strict=True):
        far = math.hypot(bx - ax, by - ay)
        count = max(1, round(far / SCALLOP))
        ux, uy = (bx - ax) / far, (by - ay) / far
        out_x, out_y = uy, -ux
        step = far / count
        depth = step * _DEPTH * 4 / 3  # of the handles: the curve itself reaches three quarters of it
        for n in range(count):
            x, y = ax + ux * step * n, ay + uy * step * n
            ex, ey = x + ux * step, y + uy * step
            segments.append(
                (
                    "C",
                    *(x + out_x * depth + ux * step * 0.1, y + out_y * depth + uy * step * 0.1),
                    *(ex + out_x * depth - ux * step * 0.1, ey + out_y * depth - uy * step * 0.1),
                    *(ex, ey),
                )
            )
    segments.append(("Z",))
    return Path(tuple(segments), width, ink, join="round", owner=owner)
