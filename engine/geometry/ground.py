"""Free room for a rectangle on a sheet."""

from __future__ import annotations

import numpy as np

from engine.picture import Box

__all__ = ["Ground"]


class Ground:
    """A sheet cell by cell: what is taken, and where a rectangle still finds room."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self._taken = np.zeros((height, width), dtype=np.int32)

    def take(self, box: Box) -> None:
        """The cells that `box` touches."""
        rows = slice(max(0, int(np.floor(box.top))), max(0, int(np.ceil(box.bottom))))
        columns = slice(max(0, int(np.floor(box.left))), max(0, int(np.ceil(box.right))))
        self._taken[rows, columns] = 1

    def share(self) -> float:
        """How much of the sheet is taken, 0 to 1."""
        return float(self._taken.mean()) if self._taken.size else 1.0

    def room(self, width: int, height: int, near: tuple[int, int] | None = None) -> tuple[int, int] | None:
        """The upper left cell of a free rectangle, as high and then as far left as there is one; `None` if none.

        With `near` the one nearest to that cell, rather in its row than in its column.
        """
        if width > self.width or height > self.height:
            return None
        width, height = max(1, width), max(1, height)
        total = np.zeros((self.height + 1, self.width + 1), dtype=np.int32)
        total[1:, 1:] = self._taken.cumsum(0).cumsum(1)
        inside = total[height:, width:] - total[:-height, width:] - total[height:, :-width] + total[:-height, :-width]
        free = np.argwhere(inside == 0)
        if not len(free):
            return None
        at = 0 if near is None else int(np.argmin(abs(free[:, 1] - near[0]) + 3 * abs(free[:, 0] - near[1])))
        return int(free[at][1]), int(free[at][0])
