"""The word of a finding follows what can happen: a shock from a socket, or from fixed equipment only."""

from __future__ import annotations

from typing import Any

import pytest

from engine.check import check
from engine.installation.model import Installation
from engine.rules.safety._boats import alongside, circuit


def _boat(socket: bool = True, **facts: Any) -> Installation:
    """A main of 300 mA, a heater, and a socket."""
    b = alongside(ma=300)
    circuit(b, "load", "E1")
    if socket:
        circuit(b, "socket_outlet", "X5", rating_a=15, **facts)
    return b.installation


@pytest.mark.parametrize(
    ("boat", "word"),
    [
        (_boat(), "danger"),
        (_boat(residual_ma=5), "warning"),
        (_boat(residual_ma=50), "danger"),
        (_boat(False), "danger"),
    ],
    ids=["bare socket", "5 mA in the socket", "50 mA in the socket", "no socket to be protected"],
)
def test_fixed_equipment_alone_is_a_warning(boat: Installation, word: str) -> None:
    """Where every socket has its own protection, what stays unprotected is fixed equipment."""
    found = check(boat.snapshot(), only=["no-residual-current"]).findings
    assert [finding.word for finding in found] == [word]
