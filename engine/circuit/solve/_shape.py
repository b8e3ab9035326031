"""The shape of a network: trees that hang from its core, and what carries currents down and volts up them.

A point where only one branch ends and no source or diode stands is a leaf: what its loads take runs through that
branch whatever happens elsewhere. Leaf after leaf is taken off until none is left; what remains is the *core*. A boat
is nearly all trees, so the core is small and is solved dense; along the trees currents are sums of what hangs below,
exactly, and volts are sums of drops from the core.

Both sums run by doubling: after k steps a point knows the sum over its 2**k nearest points towards the core.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from engine.circuit.solve.network import Array, Ints

MANY = 100  # leaves that are worth arrays


def collect(at: Ints, what: Array, size: int) -> Array:
    """Sums of `what` by number, complex too."""
    if what.dtype.kind == "c":
        real = np.bincount(at, what.real, size)
        return real + 1j * np.bincount(at, what.imag, size)
    return np.bincount(at, what, size)


class Shape:
    """Trees and core of the branches `a[i]`-`b[i]` over `size` points; `kept` points stay in the core."""

    __slots__ = ("_down", "_ups", "core", "core_at", "depth_edge", "edge", "is_core_edge", "root", "size", "tree", "up")

    def __init__(self, size: int, a: Ints, b: Ints, kept: Iterable[Ints]) -> None:
        self.size = size
        count = len(a)
        number = np.arange(count)
        degree = np.bincount(a, minlength=size) + np.bincount(b, minlength=size)
        for points in kept:
            degree[points] += 2  # never comes down to 1
        # the sum of the branches' numbers at a point: at a leaf it is the one branch that is left
        numbers = np.bincount(a, number, size) + np.bincount(b, number, size)
        tree, up, edge = _strip(degree, numbers.astype(np.int64), a + b)
        self.tree: Ints = tree  # leaves first
        self.up: Ints = np.arange(size)
        self.up[tree] = up
        self.edge: Ints = edge  # of each point of `tree`, its branch towards the core
        self._climb()
        is_core = np.ones(size, dtype=bool)
        is_core[self.tree] = False
        self.core: Ints = np.flatnonzero(is_core)
        number_in_core = np.zeros(size, dtype=np.int64)
        number_in_core[self.core] = np.arange(len(self.core))
        self.core_at: Ints = number_in_core[self.root]  # of each point, the core point its tree hangs from
        self.is_core_edge = np.ones(count, dtype=bool)
        self.is_core_edge[self.edge] = False

    def _climb(self) -> None:
        """Prepare the doubling: who is 2**k steps towards the core."""
        in_tree = np.zeros(self.size, dtype=bool)
        in_tree[self.tree] = True
        self._ups: list[Ints] = []
        self._down: list[tuple[Ints, Ints]] = []
        jump = self.up
        moving = self.tree
        while len(moving):
            self._ups.append(jump)
            moving = moving[in_tree[jump[moving]]]
            if len(moving):
                self._down.append((moving, jump[moving]))
            jump = jump[jump]
        self.root: Ints = jump

    def below(self, injected: Array) -> Array:
        """Of each point of a tree, the sum of what is put in at it and at all that hangs from it."""
        total = injected
        for these, there in self._down:
            total = total + collect(there, total[these], self.size)
        return total

    def along(self, step: Array) -> Array:
        """Of each point, the sum of `step` from it to the core (0 at core points)."""
        total = step
        for jump in self._ups:
            total = total + total[jump]
        return total

    def to_core(self, injected: Array) -> Array:
        """What comes to each core point from itself and its trees."""
        return collect(self.core_at, injected, len(self.core))

    def numbers(self) -> tuple[list[int], list[int]]:
        """Of each point its place in `tree` (-1: in the core); of each place that of the next towards the core."""
        number = np.full(self.size, -1, dtype=np.int64)
        number[self.tree] = np.arange(len(self.tree))
        return list(number.tolist()), list(number[self.up[self.tree]].tolist())

    def is_under(self, these: Ints, tops: Ints) -> Array:
        """Whether each point is `tops[i]` or hangs from it; `tops` are points of trees, -1 for none."""
        depth = self.along(np.where(self.up == np.arange(self.size), 0, 1))
        more = np.where(tops >= 0, depth[these] - depth[tops], 0)
        at = these
        for k, jump in enumerate(self._ups):
            at = np.where((more > 0) & (more >> k & 1 == 1), jump[at], at)
        return np.asarray((tops >= 0) & (more >= 0) & (at == tops))

    def meets(self, one: Ints, other: Ints) -> Ints:
        """Where the ways of two points to the core meet, for pairs whose trees hang from the same core point."""
        depth = self.along(np.where(self.up == np.arange(self.size), 0, 1))
        is_upper = depth[one] < depth[other]
        one, other = np.where(is_upper, other, one), np.where(is_upper, one, other)
        more = depth[one] - depth[other]
        for k, jump in enumerate(self._ups):
            one = np.where(more >> k & 1, jump[one], one)
        for jump in reversed(self._ups):
            apart = jump[one] != jump[other]
            one, other = np.where(apart, jump[one], one), np.where(apart, jump[other], other)
        return np.where(one == other, one, self.up[one])


def _strip(degree: Ints, numbers: Ints, both: Ints) -> tuple[Ints, Ints, Ints]:
    """Take leaves off until none is left: the points, the point towards the core and the branch of each.

    Many leaves go all at once, few one by one.
    """
    parts: list[tuple[Ints, Ints, Ints]] = []
    leaves = np.flatnonzero(degree == 1)
    while len(leaves) > MANY:
        branch = numbers[leaves]
        towards = both[branch] - leaves
        # of two points with one branch between them, one stays
        goes = (degree[towards] != 1) | (leaves < towards)
        if not goes.all():
            leaves, branch, towards = leaves[goes], branch[goes], towards[goes]
        parts.append((leaves, towards, branch))
        degree -= np.bincount(towards, minlength=len(degree))
        numbers -= np.bincount(towards, branch, len(numbers)).astype(np.int64)
        degree[leaves] = 0
        leaves = np.unique(towards[degree[towards] == 1])
    tree = leaves.tolist()
    if tree:
        parts.append(_strip_singly(tree, degree.tolist(), numbers.tolist(), both.tolist()))
    if not parts:
        nothing = np.zeros(0, dtype=np.int64)
        return nothing, nothing, nothing
    if len(parts) == 1:
        return parts[0]
    trees, ups, edges = zip(*parts, strict=True)
    return np.concatenate(trees), np.concatenate(ups), np.concatenate(edges)


def _strip_singly(tree: list[int], degree: list[int], numbers: list[int], both: list[int]) -> tuple[Ints, Ints, Ints]:
    up: list[int] = []
    edge: list[int] = []
    for leaf in tree:  # grows while it is gone through
        if degree[leaf] != 1:  # two points with one branch: the other one went first
            up.append(-1)
            edge.append(-1)
            continue
        branch = numbers[leaf]
        towards = both[branch] - leaf
        up.append(towards)
        edge.append(branch)
        degree[leaf] = 0
        left = degree[towards] = degree[towards] - 1
        numbers[towards] -= branch
        if left == 1:
            tree.append(towards)
    found = np.array((tree, up, edge), dtype=np.int64)
    found = found[:, found[1] >= 0]
    return found[0], found[1], found[2]
