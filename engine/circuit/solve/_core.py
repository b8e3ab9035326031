"""The core of a network, solved dense: one inverse for each island of it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from engine.circuit.solve._dense import inverse, product
from engine.circuit.solve.network import Array, Ints


def islands(count: int, a: list[int], b: list[int]) -> Ints:
    """The island of each of `count` points joined by `a[i]`-`b[i]`, numbered from 0 in order of their points."""
    above = list(range(count))
    for one, other in zip(a, b, strict=True):
        while above[one] != one:
            above[one] = one = above[above[one]]
        while above[other] != other:
            above[other] = other = above[above[other]]
        if one < other:
            above[other] = one
        else:
            above[one] = other
    label: list[int] = []
    found = 0
    for point, to in enumerate(above):  # whoever stands above has the lower number, so is labelled already
        if to == point:
            label.append(found)
            found += 1
        else:
            label.append(label[to])
    return np.array(label, dtype=np.int64)


class Core:
    """Points 0..`count` - 1 joined by admittances `y`. The first point of each island is its zero."""

    __slots__ = ("_block_of", "_blocks", "count", "island", "place")

    def __init__(self, count: int, a: Ints, b: Ints, y: Array) -> None:
        self.count = count
        self.island = islands(count, a.tolist(), b.tolist())
        of_edge = self.island[a]
        by_island = np.argsort(of_edge, kind="stable")
        points = np.argsort(self.island, kind="stable")
        sizes = np.bincount(self.island, minlength=1) if count else np.zeros(0, dtype=np.int64)
        first_point = np.concatenate(([0], np.cumsum(sizes)))
        first_edge = np.concatenate(([0], np.cumsum(np.bincount(of_edge, minlength=len(sizes)))))
        self.place = within = np.empty(count, dtype=np.int64)  # of each point within its island; 0 is its zero
        within[points] = np.arange(count) - np.repeat(first_point[:-1], sizes)
        self._blocks: list[tuple[Ints, Array]] = []
        self._block_of = np.full(len(sizes), -1, dtype=np.int64)
        for number in np.flatnonzero(sizes > 1).tolist():
            self._block_of[number] = len(self._blocks)
            mine = by_island[first_edge[number] : first_edge[number + 1]]
            found = _inverse(int(sizes[number]), within[a[mine]], within[b[mine]], y[mine])
            self._blocks.append((points[first_point[number] + 1 : first_point[number + 1]], found))

    def volts(self, injected: Array) -> Array:
        """Volts of each point for amperes put in at each (of each island they add up to nothing)."""
        volts = np.zeros(self.count, dtype=injected.dtype)
        for points, block in self._blocks:
            volts[points] = product(block, injected[points])
        return volts

    def full(self, dtype: type) -> Array:
        """Volts of each point for an ampere put in at each, all islands in one matrix."""
        full: Array = np.zeros((self.count, self.count), dtype=dtype)
        for points, block in self._blocks:
            full[points[:, None], points] = block
        return full

    def between(self, one: Ints, other: Ints) -> Array:
        """Ohms between pairs of points; inf where they are on two islands."""
        dtype = self._blocks[0][1].dtype if self._blocks else np.dtype(float)
        ohms = np.full(len(one), np.inf, dtype=dtype)
        ohms[one == other] = 0
        block = self.block_of(one, other)
        for these, _points, full in self.by_block(block):
            i, j = self.place[one[these]], self.place[other[these]]
            ohms[these] = full[i, i] + full[j, j] - full[i, j] - full[j, i]
        return ohms

    def block_of(self, one: Ints, other: Ints) -> Ints:
        """The block that two points are in, -1 where there is none or they are one point."""
        is_same = (self.island[one] == self.island[other]) & (one != other)
        return np.where(is_same, self._block_of[self.island[one]], -1)

    def by_block(self, block: Ints) -> Iterator[tuple[Ints, Ints, Array]]:
        """For each block that is named: where, its points but its zero, its inverse with a row for its zero."""
        if len(self._blocks) == 1:
            in_order = np.flatnonzero(block == 0)
            bounds = np.array([0, len(in_order)])
        else:
            in_order = np.argsort(block, kind="stable")
            bounds = np.searchsorted(block[in_order], np.arange(len(self._blocks) + 1))
        for number, (points, block_inverse) in enumerate(self._blocks):
            these = in_order[bounds[number] : bounds[number + 1]]
            if len(these):
                full = np.zeros((len(block_inverse) + 1, len(block_inverse) + 1), dtype=block_inverse.dtype)
                full[1:, 1:] = block_inverse
                yield these, points, full


def _inverse(size: int, a: Ints, b: Ints, y: Array) -> Array:
    """The inverse of an island's admittances without its first point; not-a-number where there is none."""
    matrix = np.zeros((size, size), dtype=y.dtype)
    np.subtract.at(matrix, (a, b), y)
    np.subtract.at(matrix, (b, a), y)
    np.add.at(matrix, (a, a), y)
    np.add.at(matrix, (b, b), y)
    try:
        return inverse(matrix[1:, 1:])
    except np.linalg.LinAlgError:  # alternating current can resonate exactly
        return np.full((size - 1, size - 1), np.nan, dtype=y.dtype)
