"""Which of one side goes with which of the other, so that the sum of scores is greatest: a sparse assignment.

Each group of things that hang together is solved by itself, by `scipy.optimize.linear_sum_assignment`; one too large
for a full table by `scipy.sparse.csgraph.min_weight_full_bipartite_matching` (LAPJVsp: R. Jonker, A. Volgenant,
Computing 38, 1987). scipy is loaded only where there is a group with a choice in it.
"""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["best_assignment", "by_number"]

_TABLE = 300  # things of one side that are solved as a full table
_STEPS = 1_000_000  # a score is counted in millionths: whole numbers have no rounding
_FAR = 30  # how far apart in their lists two are told apart where scores are equal


def best_assignment(scores: Mapping[tuple[str, str], float]) -> dict[str, str]:
    """From (left, right) -> score above 0, at most one right of each left and one left of each right.

    Of equally good answers the one in which both lists run the same way, whichever of them is called the left one.
    """
    found: dict[str, str] = {}
    for pairs in _groups(scores):
        lefts, rights = (sorted({pair[side] for pair in pairs}, key=by_number) for side in (0, 1))
        if min(len(lefts), len(rights)) == 1:
            a, b = min(pairs, key=lambda p: (-round(scores[p] * _STEPS), by_number(p[0]), by_number(p[1])))
            found[a] = b
        else:
            found.update(_solved(lefts, rights, {pair: scores[pair] for pair in pairs}))
    return {a: found[a] for a in sorted(found, key=by_number)}


def by_number(item: str) -> tuple[int, str]:
    """A key that orders ids as they were given out."""
    digits = item[1:]
    return (int(digits), item) if digits.isascii() and digits.isdecimal() else (0, item)


def _groups(scores: Mapping[tuple[str, str], float]) -> list[list[tuple[str, str]]]:
    """Pairs that hang together by their lefts and rights."""
    lefts = {a: n for n, a in enumerate(dict.fromkeys(a for a, _b in scores))}
    rights = {b: n for n, b in enumerate(dict.fromkeys(b for _a, b in scores), start=len(lefts))}
    above = list(range(len(lefts) + len(rights)))
    for a, b in scores:
        one, other = lefts[a], rights[b]
        while above[one] != one:
            above[one] = one = above[above[one]]
        while above[other] != other:
            above[other] = other = above[above[other]]
        above[other] = one
    made: dict[int, list[tuple[str, str]]] = {}
    for pair in scores:
        one = lefts[pair[0]]
        while above[one] != one:
            one = above[one]
        made.setdefault(one, []).append(pair)
    return list(made.values())


def _solved(lefts: list[str], rights: list[str], scores: Mapping[tuple[str, str], float]) -> dict[str, str]:
    import numpy as np

    row = {a: n for n, a in enumerate(lefts)}
    column = {b: n for n, b in enumerate(rights)}
    whole = min(len(lefts), len(rights)) * _FAR * _FAR + 1  # more than all that order may count for
    placed = sorted((row[a], column[b], score) for (a, b), score in scores.items())  # whatever order they came in
    at_row, at_column = [r for r, _c, _s in placed], [c for _r, c, _s in placed]
    data = [float(round(s * _STEPS) * whole - min(abs(r - c), _FAR) ** 2) for r, c, s in placed]
    if max(len(lefts), len(rights)) <= _TABLE:
        from scipy.optimize import linear_sum_assignment

        table = np.zeros((len(lefts), len(rights)))
        table[at_row, at_column] = data
        rows, columns = linear_sum_assignment(table, maximize=True)
        pairs = zip(rows.tolist(), columns.tolist(), strict=True)
        return {lefts[r]: rights[c] for r, c in pairs if (lefts[r], rights[c]) in scores}
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import min_weight_full_bipartite_matching

    # every left may also stay alone, at a column of its own: so there is always a full matching
    alone = 2.0 * _STEPS * whole
    costs = [alone - each for each in data] + [alone] * len(lefts)
    at_row += range(len(lefts))
    at_column += range(len(rights), len(rights) + len(lefts))
    shape = (len(lefts), len(rights) + len(lefts))
    full = min_weight_full_bipartite_matching(csr_array((costs, (at_row, at_column)), shape=shape))
    return {lefts[r]: rights[c] for r, c in zip(full[0].tolist(), full[1].tolist(), strict=True) if c < len(rights)}
