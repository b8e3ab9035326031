"""Linear equations by their product alone (GMRES, Saad and Schultz 1986): no matrix of loads against loads is made."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from engine.circuit.solve.network import Array

MOST = 80  # directions; loads that drag one source down together are one direction


def gmres(product: Callable[[Array], Array], right: Array, within: float) -> Array:
    """x with ``product(x) = right`` to about `within` of the size of `right`; real vectors."""
    size = float(np.linalg.norm(right))
    if size == 0 or not np.isfinite(size):
        return np.zeros_like(right)
    most = min(MOST, len(right))
    basis = np.zeros((most + 1, len(right)))
    heights = np.zeros((most + 1, most))
    basis[0] = right / size
    target = np.zeros(most + 1)
    target[0] = size
    weights: Array = np.zeros(0)
    for k in range(most):
        new = product(basis[k])
        for _ in range(2):  # twice is enough to stay square
            part = basis[: k + 1] @ new
            heights[: k + 1, k] += part
            new = new - part @ basis[: k + 1]
        rest = float(np.linalg.norm(new))
        heights[k + 1, k] = rest
        weights, *_ = np.linalg.lstsq(heights[: k + 2, : k + 1], target[: k + 2], rcond=None)
        if not np.isfinite(rest):
            break
        missing = float(np.linalg.norm(heights[: k + 2, : k + 1] @ weights - target[: k + 2]))
        if missing <= within * size or rest <= 1e-14 * size:
            break
        basis[k + 1] = new / rest
    return weights @ basis[: len(weights)]
