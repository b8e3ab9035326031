"""Places for labels: every one in the best of those it wishes where nothing overlaps."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from engine.geometry.boxes import TOUCH, areas, meeting
from engine.picture import Box

__all__ = ["choose_places"]


def choose_places(wishes: Sequence[Sequence[Box]], taken: Sequence[Box], bounds: Box) -> list[int | None]:
    """For every label the index of one of the boxes it wishes, so that nothing overlaps; `None` where none is free.

    Wishes come best first. Labels with the fewest free places choose first; one that finds none may send one other
    label to another of its free places.
    """
    places = _Places(wishes, taken, bounds)
    order = sorted(range(len(wishes)), key=lambda n: (len(places.free[n]), n))
    for n in order:
        places.settle(n)
    return [places.chosen[n] - places.first[n] if n in places.chosen else None for n in range(len(wishes))]


class _Places:
    """All wished boxes in one list: which are free, which stand in each other's way, which are chosen."""

    def __init__(self, wishes: Sequence[Sequence[Box]], taken: Sequence[Box], bounds: Box) -> None:
        counts = [len(boxes) for boxes in wishes]
        self.first = [0, *itertools.accumulate(counts)]  # of a label -> its first place in the list
        self.free: list[list[int]] = [[] for _ in wishes]
        self.rivals: dict[int, list[int]] = {}
        self.chosen: dict[int, int] = {}  # label -> place in the list
        self.used: set[int] = set()
        boxes = [box for of in wishes for box in of]
        if not boxes:
            return
        edges = np.asarray(boxes, dtype=float)
        shapes = areas(boxes)
        out = (edges[:, :2] < np.subtract(bounds[:2], TOUCH)) | (edges[:, 2:] > np.add(bounds[2:], TOUCH))
        blocked = np.asarray(out.any(axis=1))
        if taken:
            blocked[meeting(shapes, areas(taken))[0]] = True
        owners = np.repeat(np.arange(len(counts)), counts)
        self.owner: list[int] = owners.tolist()
        at = np.flatnonzero(~blocked)
        for place, n in zip(at.tolist(), owners[at].tolist(), strict=True):
            self.free[n].append(place)
        i, j = meeting(shapes[at], shapes[at])
        a, b = at[i], at[j]
        apart = owners[a] != owners[b]  # each pair comes both ways
        for one, other in zip(a[apart].tolist(), b[apart].tolist(), strict=True):
            self.rivals.setdefault(one, []).append(other)

    def clash(self, at: int) -> list[int]:
        """Chosen places in the way of a place."""
        return [r for r in self.rivals.get(at, ()) if r in self.used]

    def settle(self, label: int) -> None:
        """The best free place of a label, or one that another label can leave."""
        for at in self.free[label]:
            if not self.clash(at):
                self._take(label, at)
                return
        for at in self.free[label]:
            in_way = self.clash(at)
            if len(in_way) == 1 and self._moves(in_way[0], at):
                self._take(label, at)
                return

    def _take(self, label: int, at: int) -> None:
        self.chosen[label] = at
        self.used.add(at)

    def _moves(self, old: int, wanted: int) -> bool:
        """Send the label at `old` elsewhere, clear of `wanted`; it stays where it finds nothing."""
        label = self.owner[old]
        self.used.discard(old)
        self.used.add(wanted)
        for at in self.free[label]:
            if at != old and not self.clash(at):
                self._take(label, at)
                return True
        self.used.discard(wanted)
        self.used.add(old)
        return False
