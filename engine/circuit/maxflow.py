"""Maximum flow between small integers, for networks of a few dozen edges: shortest augmenting paths.

Edges carry both ways at once, as a conductor does. A capacity may be infinite; as soon as an infinite path is found the
answer is infinite. A search may stop once more than `enough` flows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

__all__ = ["FlowNetwork"]


class FlowNetwork:
    """Built once, asked often. Arcs `2i` and `2i + 1` are the two directions of edge `i`."""

    def __init__(self, points: int) -> None:
        self.to: list[int] = []
        self.capacity: list[float] = []
        self.arcs: list[list[int]] = [[] for _ in range(points)]

    def edge(self, a: int, b: int, there: float, back: float) -> int:
        """Add an edge from `a` to `b`; its number."""
        number = len(self.to) // 2
        self.to += (b, a)
        self.capacity += (there, back)
        self.arcs[a].append(2 * number)
        self.arcs[b].append(2 * number + 1)
        return number

    def into(
        self,
        target: int,
        supplies: Sequence[tuple[int, float]],
        without: int = -1,
        enough: float = math.inf,
    ) -> float:
        """The most that flows from `supplies` (point, amount) into `target`, edge `without` removed.

        What a supply at the target itself would give counts as well. May stop above `enough`.
        """
        left: dict[int, float] = {}
        total = 0.0
        for point, amount in supplies:
            if amount <= 0:
                continue
            if point == target:
                total += amount
            else:
                left[point] = left.get(point, 0.0) + amount
        if total == math.inf or total > enough:
            return total
        rest = self.capacity.copy()
        if without >= 0:
            rest[2 * without] = rest[2 * without + 1] = 0.0
        to, arcs = self.to, self.arcs
        while left:
            # from the target outwards, against the flow, to the nearest supply
            came: dict[int, int] = {target: -1}
            row = [target]
            found = -1
            for point in row:
                for arc in arcs[point]:
                    far = to[arc]
                    if far not in came and rest[arc ^ 1] > 0:
                        came[far] = arc ^ 1
                        if far in left:
                            found = far
                            break
                        row.append(far)
                if found >= 0:
                    break
            if found < 0:
                return total
            amount = left[found]
            point = found
            while point != target:
                arc = came[point]
                amount = min(amount, rest[arc])
                point = to[arc]
            if amount == math.inf:
                return amount
            point = found
            while point != target:
                arc = came[point]
                rest[arc] -= amount
                rest[arc ^ 1] += amount
                point = to[arc]
            total += amount
            if total > enough:
                return total
            left[found] -= amount
            if left[found] <= 0:
                del left[found]
        return total
