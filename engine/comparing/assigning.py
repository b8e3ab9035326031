"""Which of one side goes with which of the other, so that the sum of scores is greatest: a sparse assignment.

Each group of things that hang together is solved by itself, by `scipy.optimize.linear_sum_assignment`; one too large
for a full table by `scipy.sparse.csgraph.min_weight_full_bipartite_matching` (LAPJVsp: R. Jonker, A. Volgenant,
Computing 38, 1987). scipy is loaded only where there is a group with a choice in it.
"""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["best_assignment"]

_TABLE = 300  # things of one side that are solved as a full table


def best_assignment(scores: Mapping[tuple[str, str], float]) -> dict[str, str]:
    """From (left, right) -> score above 0, at most one right of each left and one left of each right."""
    found: dict[str, str] = {}
    for lefts, rights in _groups(scores):
        if len(lefts) == 1:
            a = lefts[0]
            best = max(rights, key=lambda b: (scores.get((a, b), 0.0), _late(b)))
            found[a] = best
        elif len(rights) == 1:
            b = rights[0]
            best = max(lefts, key=lambda a: (scores.get((a, b), 0.0), _late(a)))
            found[best] = b
        else:
            found.update(_solved(lefts, rights, scores))
    return {a: found[a] for a in dict.fromkeys(a for a, _b in scores) if a in found}


def _late(item: str) -> tuple[int, str]:
    """Of two alike the one made first: a greater key."""
    digits = item[1:]
    return (-int(digits), "") if digits.isascii() and digits.isdecimal() else (1, item)


def _groups(scores: Mapping[tuple[str, str], float]) -> list[tuple[list[str], list[str]]]:
    """Lefts and rights that hang together by pairs, each in the order in which it came."""
    parent: dict[tuple[int, str], tuple[int, str]] = {}

    def root(node: tuple[int, str]) -> tuple[int, str]:
        parent.setdefault(node, node)
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for a, b in scores:
        one, other = root((0, a)), root((1, b))
        if one != other:
            parent[other] = one
    made: dict[tuple[int, str], tuple[list[str], list[str]]] = {}
    for node in parent:
        made.setdefault(root(node), ([], []))[node[0]].append(node[1])
    return list(made.values())


def _solved(lefts: list[str], rights: list[str], scores: Mapping[tuple[str, str], float]) -> dict[str, str]:
    import numpy as np

    row = {a: n for n, a in enumerate(lefts)}
    column = {b: n for n, b in enumerate(rights)}
    if max(len(lefts), len(rights)) <= _TABLE:
        from scipy.optimize import linear_sum_assignment

        table = np.zeros((len(lefts), len(rights)))
        for a in lefts:
            for b in rights:
                if (a, b) in scores:
                    table[row[a], column[b]] = scores[a, b]
        rows, columns = linear_sum_assignment(table, maximize=True)
        pairs = zip(rows.tolist(), columns.tolist(), strict=True)
        return {lefts[r]: rights[c] for r, c in pairs if (lefts[r], rights[c]) in scores}
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import min_weight_full_bipartite_matching

    # every left may also stay alone, at a column of its own: so there is always a full matching
    data, at_row, at_column = [], [], []
    for (a, b), score in scores.items():
        if a in row and b in column:
            data.append(2.0 - score)
            at_row.append(row[a])
            at_column.append(column[b])
    for n in range(len(lefts)):
        data.append(2.0)
        at_row.append(n)
        at_column.append(len(rights) + n)
    shape = (len(lefts), len(rights) + len(lefts))
    full = min_weight_full_bipartite_matching(csr_array((data, (at_row, at_column)), shape=shape))
    return {lefts[r]: rights[c] for r, c in zip(full[0].tolist(), full[1].tolist(), strict=True) if c < len(rights)}
