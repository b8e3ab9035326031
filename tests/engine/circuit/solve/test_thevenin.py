"""Impedance between points and bolted faults, against plain matrix algebra and by what must be so."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.circuit.solve.network import CURRENT, Array, Network
from engine.circuit.solve.solver import solve
from engine.circuit.solve.thevenin import thevenin, through

Maker = Callable[..., Network]


def by_pseudo_inverse(network: Network, pairs: list[tuple[int, int]]) -> Array:
    """Effective impedance from the Moore-Penrose inverse of the admittance matrix of branches and sources."""
    matrix = np.zeros((network.size, network.size), dtype=network.dtype)
    ends = [*zip(network.a, network.b, network.z, strict=True)]
    ends += zip(network.source_pos, network.source_neg, network.source_z, strict=True)
    for a, b, z in ends:
        if a != b:
            matrix[a, a] += 1 / z
            matrix[b, b] += 1 / z
            matrix[a, b] -= 1 / z
            matrix[b, a] -= 1 / z
    inverse = np.linalg.pinv(matrix)
    return np.array([inverse[a, a] + inverse[b, b] - inverse[a, b] - inverse[b, a] for a, b in pairs])


@given(st.integers(0, 10_000), st.integers(4, 40), st.integers(0, 5), st.integers(1, 3), st.booleans())
def test_impedance_between_any_two_points(
    two_wire: Maker, seed: int, size: int, chords: int, banks: int, is_ac: bool
) -> None:
    network = two_wire(size, seed, chords, banks, is_ac)
    pairs = [(a, b) for a in range(network.size) for b in range(a)]
    expected = by_pseudo_inverse(network, pairs)
    assert np.abs(thevenin(network, pairs) / expected - 1).max() < 1e-8


def test_where_no_source_reaches_there_is_no_way() -> None:
    network = Network(6)
    network.source(0, 1, 12, 0.01)
    network.branch(0, 2, 0.02)
    network.branch(3, 4, 0.02)
    found = thevenin(network, [(2, 1), (3, 4), (2, 3), (5, 0), (2, 2), (5, 5), (2, 0)])
    assert found.tolist() == [pytest.approx(0.03), math.inf, math.inf, math.inf, 0, 0, pytest.approx(0.02)]


def test_nothing_asked_nothing_answered() -> None:
    assert len(thevenin(Network(0), [])) == 0
    assert thevenin(Network(2), [(0, 1)]).tolist() == [math.inf]


def test_loads_do_not_count() -> None:
    network = Network(2)
    network.source(0, 1, 12, 0.01)
    network.load(0, 1, CURRENT, 400)
    assert thevenin(network, [(0, 1)])[0] == pytest.approx(0.01)
    assert through(network, 0, 1).branch_a[-1] == pytest.approx(1200)


@pytest.mark.parametrize("is_ac", [False, True])
@pytest.mark.parametrize("seed", range(5))
def test_a_fault_draws_what_impedance_and_open_volts_say(two_wire: Maker, seed: int, is_ac: bool) -> None:
    network = two_wire(40, seed, 3, 3, is_ac)
    bare = two_wire(40, seed, 3, 3, is_ac)
    bare.load_value = [0.0] * len(bare.load_value)
    bare.load_kind = [CURRENT] * len(bare.load_kind)
    open_v = solve(bare).volts
    for pos, neg in ((0, 1), (20, 21), (39, 38)):
        fault = through(network, pos, neg)
        assert fault.converged
        expected = (open_v[pos] - open_v[neg]) / thevenin(network, [(pos, neg)])[0]
        assert fault.branch_a[-1] == pytest.approx(expected, rel=1e-9)
        assert fault.volts[pos] == fault.volts[neg]


def test_a_fault_at_a_chargers_own_terminals_draws_its_limit() -> None:
    network = Network(4)
    network.source(0, 1, 12.8, 0.005)
    network.source(2, 3, 14.4, 0.01, limit_a=60, one_way=True)
    network.branch(0, 2, 0.005)
    network.branch(1, 3, 0.005)
    fault = through(network, 2, 3)
    assert fault.is_limited.tolist() == [False, True]
    assert fault.source_a.tolist() == [pytest.approx(12.8 / 0.015), 60]
    assert fault.branch_a[-1] == pytest.approx(12.8 / 0.015 + 60)
    far = through(network, 0, 1)
    assert far.branch_a[-1] == pytest.approx(12.8 / 0.005 + 60)
    assert far.branch_a[0] == pytest.approx(-60)


def test_an_inverter_alone_gives_its_limit_and_no_more() -> None:
    network = Network(4, complex)
    network.source(0, 1, 120, 0.2 + 0.1j, limit_a=40)
    network.branch(0, 2, 0.05)
    network.branch(1, 3, 0.05)
    fault = through(network, 2, 3)
    assert fault.converged
    assert abs(fault.branch_a[-1]) == pytest.approx(40)


def test_a_fault_where_no_source_reaches_draws_nothing() -> None:
    network = Network(4)
    network.source(0, 1, 12, 0.01)
    network.branch(2, 3, 0.01)
    assert through(network, 2, 3).branch_a[-1] == 0
    assert through(network, 0, 2).branch_a[-1] == 0
    assert through(network, 0, 0).branch_a[-1] == 0
