"""Whether a point is on the arrow where a run goes on elsewhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.canvas.tool import Hit, Spot
from app.canvas.tools.grid import mm, parts_of
from app.drawing.labels import arrow_box

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["is_on_arrow"]

_NEAR = 1.5  # mm


def is_on_arrow(board: Board, spot: Spot, hit: Hit) -> bool:
    """Whether the pointer is on such an arrow of a run, or at what is written at it of the other end."""
    if hit.kind != "run":
        return False
    broken = [part for part in parts_of(board, hit.item) if part.kind != "whole"]
    if not broken:
        return False
    if hit.label:
        return True
    boxes = [arrow_box(mm(board, *part.points[-1]), part.side).grown(_NEAR) for part in broken]
    return any(b.left <= spot.x <= b.right and b.top <= spot.y <= b.bottom for b in boxes)
