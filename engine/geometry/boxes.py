"""Which boxes share an area, lie in each other, or are struck by a line. The only module with shapely."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from engine.picture import Box

__all__ = ["TOUCH", "areas", "meeting", "overlaps", "struck", "within"]

TOUCH = 1e-6  # what two boxes may share without overlapping, in their unit


def areas(boxes: Sequence[Box]) -> np.ndarray:
    """Boxes as polygons, a hair smaller, so that touching is no overlap; a box without extent stays a point or line."""
    edges = np.asarray(boxes, dtype=float).reshape(-1, 4)
    left, top, right, bottom = edges.T
    across = np.minimum(TOUCH, (right - left) / 4)
    down = np.minimum(TOUCH, (bottom - top) / 4)
    return np.asarray(shapely.box(left + across, top + down, right - across, bottom - down))


def overlaps(boxes: Sequence[Box], others: Sequence[Box] | None = None) -> list[tuple[int, int]]:
    """Index pairs of boxes that share an area: within `boxes` (each pair once), or of `boxes` with `others`, sorted."""
    if not boxes or (others is not None and not others):
        return []
    shapes = areas(boxes)
    left, right = meeting(shapes, shapes if others is None else areas(others))
    pairs = zip(left.tolist(), right.tolist(), strict=True)
    return sorted((a, b) for a, b in pairs if others is not None or a < b)


def meeting(shapes: np.ndarray, others: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Indexes of shapes and of the others they meet: upright boxes do where their bounds do, and no more is asked."""
    left, right = shapely.STRtree(others).query(shapes)
    return left, right


def struck(boxes: Sequence[Box], lines: Sequence[Sequence[tuple[float, float]]]) -> list[tuple[int, int]]:
    """Index pairs of boxes and the lines (two points or more) that pass through their inside, sorted."""
    if not boxes or not lines:
        return []
    tree = shapely.STRtree([shapely.LineString(points) for points in lines])
    left, right = tree.query(areas(boxes), predicate="intersects")
    return sorted(zip(left.tolist(), right.tolist(), strict=True))


def within(box: Box, outer: Box) -> bool:
    """Whether `box` lies inside `outer`."""
    return (
        box.left >= outer.left - TOUCH
        and box.top >= outer.top - TOUCH
        and box.right <= outer.right + TOUCH
        and box.bottom <= outer.bottom + TOUCH
    )
