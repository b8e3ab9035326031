"""Products and inverses in pieces so small that the linear algebra library does not call its threads.

Threads gain nothing at these sizes, and where another program keeps a processor busy they wait for each other: 50 ms
were measured for an inverse that takes 0.8 ms.
"""

from __future__ import annotations

import math

import numpy as np

from engine.circuit.solve.network import Array

MOST_OF_VECTOR = 4000  # numbers of a matrix that is multiplied with a vector at once
MOST_OF_MATRICES = 200_000  # multiplications of two real matrices at once
MOST_OF_COMPLEX = 60_000  # the same of two complex ones: the library's threads begin at a quarter as many
MOST_AT_ONCE = 48  # rows that are inverted at once


def product(matrix: Array, vector: Array) -> Array:
    """``matrix @ vector``."""
    rows = max(1, MOST_OF_VECTOR // max(1, matrix.shape[1]))
    if matrix.shape[0] <= rows:
        return np.asarray(matrix @ vector)
    return np.concatenate([matrix[at : at + rows] @ vector for at in range(0, matrix.shape[0], rows)])


def times(one: Array, other: Array) -> Array:
    """``one @ other``."""
    kind = np.result_type(one, other)
    (rows, inner), columns = one.shape, other.shape[1]
    most = MOST_OF_COMPLEX if kind.kind == "c" else MOST_OF_MATRICES
    if rows * inner * columns <= most:
        return np.asarray(one @ other)
    # converted once, not for every piece; tiles about as high as wide, so that they are few
    one, other = np.ascontiguousarray(one, dtype=kind), np.ascontiguousarray(other, dtype=kind)
    side = max(2, math.isqrt(most // inner))
    made = np.empty((rows, columns), dtype=kind)
    for left in range(0, columns, side):
        some = np.ascontiguousarray(other[:, left : left + side])
        for top in range(0, rows, side):
            made[top : top + side, left : left + side] = one[top : top + side] @ some
    return made


def inverse(matrix: Array) -> Array:
    """The inverse of a matrix whose leading blocks have one, by halves (Schur's complement)."""
    size = len(matrix)
    if size <= MOST_AT_ONCE:
        return np.linalg.inv(matrix)
    half = size // 2
    first = inverse(matrix[:half, :half])
    left = times(np.ascontiguousarray(matrix[half:, :half]), first)
    last = inverse(matrix[half:, half:] - times(left, np.ascontiguousarray(matrix[:half, half:])))
    right = times(times(first, np.ascontiguousarray(matrix[:half, half:])), last)
    whole = np.empty_like(matrix)
    whole[:half, :half] = first + times(right, left)
    whole[:half, half:] = -right
    whole[half:, :half] = -times(last, left)
    whole[half:, half:] = last
    return whole
