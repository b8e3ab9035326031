"""Products and inverses in pieces are what they are in one."""

from __future__ import annotations

import numpy as np
import pytest

from engine.circuit.solve._dense import inverse, product, times


@pytest.mark.parametrize("is_complex", [False, True])
@pytest.mark.parametrize("size", [1, 2, 48, 49, 150, 400])
def test_in_pieces_as_in_one(size: int, is_complex: bool) -> None:
    dice = np.random.default_rng(size)
    root = dice.normal(size=(size, size))
    matrix = root @ root.T + np.eye(size)
    if is_complex:
        matrix = matrix * (1 + 0.4j) + 0.1j * np.diag(dice.normal(size=size))
    vector, other = dice.normal(size=size), dice.normal(size=(size, 30))
    assert np.abs(product(matrix, vector) - matrix @ vector).max() <= 1e-12 * np.abs(matrix).max() * size
    assert np.abs(times(matrix, other) - matrix @ other).max() <= 1e-12 * np.abs(matrix).max() * size
    assert np.abs(inverse(matrix) @ matrix - np.eye(size)).max() < 1e-9


def test_of_nothing() -> None:
    nothing = np.zeros((0, 0))
    assert product(nothing, np.zeros(0)).shape == (0,)
    assert times(nothing, nothing).shape == (0, 0)
    assert product(np.zeros((3, 0)), np.zeros(0)).tolist() == [0, 0, 0]
