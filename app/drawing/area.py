"""Where equipment may stand on a sheet, in grid steps."""

from __future__ import annotations

import math
from typing import NamedTuple

from app.drawing.looks import STEP
from app.drawing.placed import paper

__all__ = ["Area", "drawing_area"]


class Area(NamedTuple):
    """Where equipment may stand on a sheet, in grid steps from the frame's upper left corner."""

    left: int
    top: int
    width: int
    height: int


def drawing_area(size: str) -> Area:
    """The drawing area of a sheet of that size."""
    made = paper(size)
    box, border = made.drawing_box, made.border
    left = math.ceil((box.left - border.left) / STEP - 1e-6)
    top = math.ceil((box.top - border.top) / STEP - 1e-6)
    right = math.floor((box.right - border.left) / STEP + 1e-6)
    bottom = math.floor((box.bottom - border.top) / STEP + 1e-6)
    return Area(left, top, right - left, bottom - top)
