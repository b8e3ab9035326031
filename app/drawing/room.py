"""What is taken on a sheet, for who asks about one box at a time and takes more as it goes. Any one unit."""

from __future__ import annotations

from collections.abc import Iterable

from engine.picture import Box

__all__ = ["Room"]

_CELL = 12.0  # mm on a sheet: about the size of a label
_TOUCH = 1e-6  # as in `engine.geometry`: touching is no overlap
_Area = tuple[float, float, float, float]


class Room:
    """Boxes in the cells of a grid. What overlaps is what `engine.geometry.overlaps` says overlaps."""

    def __init__(self, taken: Iterable[Box] = ()) -> None:
        self._cells: dict[tuple[int, int], list[_Area]] = {}
        self.take(taken)

    def take(self, boxes: Iterable[Box]) -> None:
        """These are taken too."""
        for box in boxes:
            area = _area(box)
            for cell in _cells(area):
                self._cells.setdefault(cell, []).append(area)

    def is_free(self, box: Box) -> bool:
        """Whether a box overlaps nothing that is taken."""
        area = _area(box)
        left, top, right, bottom = area
        for cell in _cells(area):
            for other in self._cells.get(cell, ()):
                if left <= other[2] and other[0] <= right and top <= other[3] and other[1] <= bottom:
                    return False
        return True


def _area(box: Box) -> _Area:
    """A hair smaller; a box without extent stays a point or line."""
    left, top, right, bottom = box
    across, down = min(_TOUCH, (right - left) / 4), min(_TOUCH, (bottom - top) / 4)
    return left + across, top + down, right - across, bottom - down


def _cells(area: _Area) -> list[tuple[int, int]]:
    left, top, right, bottom = area
    columns = range(int(left // _CELL), int(right // _CELL) + 1)
    rows = range(int(top // _CELL), int(bottom // _CELL) + 1)
    return [(column, row) for row in rows for column in columns]
