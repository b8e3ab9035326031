"""Our solution and that of ngspice (`ngspice -b`, the netlist of `tests/oracles/ngspice.py`), to 1e-9."""

from __future__ import annotations

from collections.abc import Callable

import ngspice
import numpy as np
import pytest

from engine.circuit.solve.network import CURRENT, POWER, RESISTANCE, Array, Network, Solution
from engine.circuit.solve.solver import solve
from engine.circuit.solve.thevenin import thevenin, through

pytestmark = pytest.mark.ngspice

WITHIN = 1e-9
Maker = Callable[..., Network]


def assert_alike(ours: Solution, theirs: ngspice.Outside, network: Network) -> None:
    assert ours.converged
    for point in range(network.size):
        same = ours.island == ours.island[point]
        first = int(np.flatnonzero(same)[0])
        gap = (ours.volts[point] - ours.volts[first]) - (theirs.volts[point] - theirs.volts[first])
        assert abs(gap) <= WITHIN * max(abs(e) for e in network.emf)
    assert_close(ours.load_v, theirs.load_v)
    assert_close(ours.load_a, theirs.load_a)
    # a current that is nearly nothing beside the others is known only as well as they are
    assert_close(ours.source_a, theirs.source_a, np.abs(theirs.load_a).sum())


def assert_close(ours: Array, theirs: Array, scale: float | None = None) -> None:
    size = np.abs(theirs) if scale is None else np.maximum(np.abs(theirs), scale)
    assert np.all(np.abs(ours - theirs) <= WITHIN * size + 1e-12)


@pytest.mark.parametrize("size", [10, 30, 100, 300])
@pytest.mark.parametrize(("chords", "banks"), [(0, 1), (2, 3), (12, 4)])
def test_direct_current(two_wire: Maker, size: int, chords: int, banks: int) -> None:
    network = two_wire(size, seed=size + chords, chords=chords, banks=banks)
    ours = solve(network)
    assert_alike(ours, ngspice.run(network, near=np.round(ours.volts, 1)), network)


@pytest.mark.parametrize(("size", "chords"), [(10, 0), (40, 3), (90, 0)])
def test_alternating_current(two_wire: Maker, size: int, chords: int) -> None:
    network = two_wire(size, seed=size, chords=chords, is_ac=True)
    assert_alike(solve(network), ngspice.run(network), network)


@pytest.mark.long
@pytest.mark.parametrize("chords", [0, 6])
def test_alternating_current_of_300_points(two_wire: Maker, chords: int) -> None:
    network = two_wire(300, seed=300 + chords, chords=chords, banks=2, is_ac=True)
    assert_alike(solve(network), ngspice.run(network), network)


def test_split_phase_with_the_neutral_as_a_node() -> None:
    """120/240 V, 40 A on one leg and 10 A on the other, 15 m of 8.4 mm2: one leg drops, the other rises."""
    network = Network(6, complex)  # L1, N, L2 at the panel and at the load
    each_way = 15 * 0.0172 / 8.37
    for near, far in ((0, 3), (1, 4), (2, 5)):
        network.branch(near, far, each_way)
    network.source(0, 1, 120, 1e-6)
    network.source(2, 1, -120, 1e-6)
    network.load(3, 4, CURRENT, 40)
    network.load(5, 4, CURRENT, 10)
    ours = solve(network)
    assert_alike(ours, ngspice.run(network), network)
    assert 100 * (1 - abs(ours.load_v) / 120) == pytest.approx(
        [100 * (40 + 30) * each_way / 120, 100 * (10 - 30) * each_way / 120], abs=1e-3
    )


def test_a_charger_at_its_limit_beside_a_bank() -> None:
    network = charged(load_ohm=0.0009)
    ours = solve(network)
    assert ours.is_limited.tolist() == [False, True]
    assert ours.source_a[1] == 100
    assert_alike(ours, ngspice.run(network, near=np.round(ours.volts, 1)), network)


def test_a_charger_below_its_limit_holds_its_own_volts() -> None:
    network = charged(load_ohm=0.5, bank_ohm=0.2)
    ours = solve(network)
    assert ours.is_limited.tolist() == [False, False]
    assert ours.source_a[0] < 0  # the bank is being charged
    assert_alike(ours, ngspice.run(network, near=np.round(ours.volts, 1)), network)


def charged(load_ohm: float, bank_ohm: float = 0.02) -> Network:
    network = Network(2)
    network.source(0, 1, 12.8, bank_ohm)
    network.source(0, 1, 14.4, 0.01, limit_a=100, one_way=True)
    network.load(0, 1, RESISTANCE, load_ohm)
    return network


def test_several_limits_diodes_and_sources_that_take_nothing_back(two_wire: Maker) -> None:
    for seed in range(6):
        network = two_wire(40, seed=seed, chords=2, banks=2)
        network.source(8, 9, 14.4, 0.02, limit_a=9.0, one_way=True)
        network.source(14, 15, 13.6, 0.01, one_way=True)
        network.source(20, 21, 11.9, 0.01, one_way=True)
        network.diode(30, 12, 0.002, 0.4)
        network.diode(12, 36, 0.002, 0.4)
        ours = solve(network)
        assert ours.source_a[-1] == 0  # lower than the others: it stands idle
        theirs = ngspice.run(network, near=np.round(ours.volts, 2))
        assert_alike(ours, theirs, network)


def test_a_short_circuit_and_its_share_of_each_source() -> None:
    """12.8 V behind 4.27 mohm and 16.65 mohm of cable: 611.9 A; a charger of 100 A at the bank makes it 632.3 A."""
    network = Network(4)
    network.source(0, 1, 12.8, 0.00427)
    network.branch(0, 2, 0.008)
    network.branch(1, 3, 0.00865)
    alone = through(network, 2, 3)
    assert alone.branch_a[-1] == pytest.approx(12.8 / 0.02092, rel=1e-12)
    network.source(0, 1, 14.4, 0.03, limit_a=100, one_way=True)
    ours = through(network, 2, 3)
    assert ours.is_limited.tolist() == [False, True]
    assert ours.branch_a[-1] == pytest.approx((12.8 + 100 * 0.00427) / 0.02092, rel=1e-12)
    network.source(3, 2, 0.0, 0.0)  # no volts and no resistance: in ngspice it tells the current of the fault
    theirs = ngspice.run(network).source_a
    assert [*ours.source_a.tolist(), float(ours.branch_a[-1])] == pytest.approx(theirs.tolist(), rel=WITHIN)


@pytest.mark.parametrize("seed", range(4))
def test_short_circuits_in_a_mesh(two_wire: Maker, seed: int) -> None:
    network = two_wire(60, seed=seed, chords=4, banks=3)
    bare = Network(
        network.size,
        a=network.a, b=network.b, z=network.z,
        source_pos=network.source_pos, source_neg=network.source_neg, emf=network.emf, source_z=network.source_z,
        limit_a=network.limit_a, one_way=network.one_way,
    )  # fmt: skip
    pos, neg = 2 * seed + 20, 2 * seed + 21
    at_rest, impedance = ngspice.run(bare), thevenin(network, [(pos, neg)])[0]
    fault = through(network, pos, neg)
    expected = (at_rest.volts[pos] - at_rest.volts[neg]) / impedance
    assert fault.branch_a[-1] == pytest.approx(expected, rel=WITHIN)
    bare.load(pos, neg, CURRENT, fault.branch_a[-1])  # the same current drawn: no volts may be left there
    theirs = ngspice.run(bare)
    assert theirs.load_v[0] == pytest.approx(0, abs=WITHIN)
    assert fault.source_a == pytest.approx(theirs.source_a, rel=1e-8)


def test_ngspice_agrees_where_a_load_collapses() -> None:
    network = Network(2)
    network.source(0, 1, 12, 0.1)
    network.load(0, 1, POWER, 400, 10.5)
    ours = solve(network)
    assert ours.is_collapsed.tolist() == [True]
    assert_alike(ours, ngspice.run(network, near=np.array([0.0, -8.0])), network)
