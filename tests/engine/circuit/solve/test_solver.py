"""What a network does, by closed forms and by what must hold for every network."""

from __future__ import annotations

import math
import random
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.circuit.solve.network import CURRENT, POWER, RESISTANCE, Network, Solution
from engine.circuit.solve.solver import prepare, solve

Maker = Callable[..., Network]
NOTHING = (0, -1.0, math.nan, math.inf, -math.inf)


def one_load(kind: int, value: complex, floor_v: float = 0.0, emf: float = 12.0, ohm: float = 0.1) -> Network:
    network = Network(2)
    network.source(0, 1, emf, ohm)
    network.load(0, 1, kind, value, floor_v)
    return network


@pytest.mark.parametrize("watts", [100, 300, 355])
def test_power_up_to_what_the_bank_can_give_is_solved(watts: float) -> None:
    """12 V behind 0.1 ohm gives 12**2 / 0.4 = 360 W at most; below that V = (12 + sqrt(144 - 0.4 P)) / 2."""
    found = solve(one_load(POWER, watts))
    assert found.converged
    assert not found.is_collapsed[0]
    assert found.load_v[0] == pytest.approx((12 + math.sqrt(144 - 0.4 * watts)) / 2, rel=1e-10)
    assert found.load_v[0] * found.load_a[0] == pytest.approx(watts, rel=1e-9)


@pytest.mark.parametrize("watts", [400, 500])
@pytest.mark.parametrize("floor_v", [0.0, 2.0, 10.5])
def test_more_power_than_the_bank_can_give_is_reported(watts: float, floor_v: float) -> None:
    """Below the floor it takes P V / floor**2, so V = 12 / (1 + 0.1 P / floor**2); never 0 V, never passed as good."""
    found = solve(one_load(POWER, watts, floor_v))
    floor = floor_v or 6.0
    assert found.is_collapsed[0]
    assert found.converged
    assert found.load_v[0] == pytest.approx(12 / (1 + 0.1 * watts / floor**2), rel=1e-9)


def test_a_load_below_its_cut_off_is_reported_though_the_bank_could_feed_it() -> None:
    found = solve(one_load(POWER, 300, 10.5))
    assert found.is_collapsed[0]
    assert found.load_v[0] < 10.5


def test_a_collapse_drags_down_only_what_hangs_on_the_same_wire() -> None:
    network = Network(4)
    network.source(0, 1, 12, 0.001)
    network.branch(0, 2, 0.1)
    network.branch(1, 3, 0.1)
    network.load(2, 3, POWER, 400)
    network.load(0, 1, POWER, 60, 10.5)
    found = solve(network)
    assert found.converged
    assert found.is_collapsed.tolist() == [True, False]
    assert found.load_v[1] > 11.9


def test_a_lone_source_at_its_limit_drags_its_volts_down() -> None:
    """10 A is all there is: through 0.9 ohm that makes 9 V."""
    network = Network(2)
    network.source(0, 1, 14.4, 0.01, limit_a=10, one_way=True)
    network.load(0, 1, RESISTANCE, 0.9)
    found = solve(network)
    assert found.converged
    assert found.is_limited[0]
    assert found.load_v[0] == pytest.approx(9.0, rel=1e-9)
    assert found.source_a[0] == pytest.approx(10.0, rel=1e-9)


def test_a_lone_source_asked_for_more_power_than_its_limit_allows_lets_the_load_collapse() -> None:
    network = Network(2)
    network.source(0, 1, 14.4, 0.01, limit_a=10)
    network.load(0, 1, POWER, 150)
    found = solve(network)
    assert found.converged
    assert found.is_limited[0]
    assert found.is_collapsed[0]
    assert found.source_a[0] == pytest.approx(10.0, rel=1e-9)


def test_an_inverter_at_its_limit_acts_as_if_its_impedance_had_grown() -> None:
    """(230 - V) / I has the angle of the inverter's own impedance, and V = I Z."""
    network = Network(2, complex)
    network.source(0, 1, 230, 0.3 + 0.4j, limit_a=10)
    network.load(0, 1, RESISTANCE, 15 + 3j)
    found = solve(network)
    assert found.converged
    assert found.is_limited[0]
    assert abs(found.source_a[0]) == pytest.approx(10.0, rel=1e-9)
    grown = (230 - found.load_v[0]) / found.source_a[0]
    assert grown / abs(grown) == pytest.approx((0.3 + 0.4j) / 0.5, rel=1e-9)
    assert found.load_v[0] == pytest.approx(found.source_a[0] * (15 + 3j), rel=1e-9)


def test_a_source_that_takes_nothing_back_stands_idle() -> None:
    network = Network(2)
    network.source(0, 1, 12.8, 0.01)
    network.source(0, 1, 12.0, 0.01, one_way=True)
    network.load(0, 1, CURRENT, 5)
    found = solve(network)
    assert found.source_a.tolist() == [pytest.approx(5), 0]


def test_a_diode_keeps_two_banks_from_feeding_each_other() -> None:
    network = Network(4)
    network.source(0, 3, 12.8, 0.01)
    network.source(1, 3, 12.0, 0.01)
    network.diode(0, 2, 0.001, 0.5)
    network.diode(1, 2, 0.001, 0.5)
    network.load(2, 3, CURRENT, 10)
    found = solve(network)
    assert found.converged
    assert found.diode_a.tolist() == [pytest.approx(10), 0]
    assert found.load_v[0] == pytest.approx(12.8 - 0.5 - 10 * 0.011)


def test_islands_without_source_are_named_and_take_nothing() -> None:
    network = one_load(CURRENT, 5)
    a, b, alone = network.point(), network.point(), network.point()
    network.branch(a, b, 0.01)
    network.load(a, b, POWER, 100)
    network.load(0, b, CURRENT, 7)  # from one island to another: no way back
    network.load(a, alone, RESISTANCE, 1)
    found = solve(network)
    assert found.converged
    assert found.is_collapsed.tolist() == [False, True, True, True]
    assert found.load_a.tolist() == [5, 0, 0, 0]
    assert found.is_fed[found.island[0]]
    assert not found.is_fed[found.island[a]]
    assert found.island[alone] not in (found.island[0], found.island[a])


def test_an_empty_network_and_one_of_points_only() -> None:
    assert solve(Network(0)).converged
    assert solve(Network(3)).volts.tolist() == [0, 0, 0]
    assert solve(Network(3, complex)).converged


@pytest.mark.parametrize("is_ac", [False, True])
@pytest.mark.parametrize("bad", NOTHING)
def test_figures_without_meaning_never_stop_it(bad: float, is_ac: bool) -> None:
    def sound() -> Network:
        network = Network(4, complex if is_ac else float)
        network.source(0, 1, 12, 0.01)
        network.branch(0, 2, 0.01)
        network.branch(1, 3, 0.01)
        network.load(2, 3, CURRENT, 10)
        return network

    for change in (
        lambda n: n.branch(0, 2, bad),
        lambda n: n.source(2, 3, 12, bad),
        lambda n: n.source(2, 3, bad, 0.1),
        lambda n: n.source(2, 3, 12, 0.1, limit_a=bad),
        lambda n: n.load(2, 3, RESISTANCE, bad),
        lambda n: n.load(2, 3, POWER, bad),
        lambda n: n.load(2, 3, CURRENT, bad),
        lambda n: n.load(2, 3, POWER, 20, floor_v=bad),
        lambda n: n.diode(0, 2, bad, 0.2),
        lambda n: n.diode(0, 2, 0.01, bad),
        lambda n: n.branch(2, 2, 1),
        lambda n: n.source(2, 2, 12, 0.1),
        lambda n: n.load(2, 2, POWER, 10),
    ):
        network = sound()
        change(network)
        found = solve(network)
        assert found.converged
        assert np.isfinite(found.volts).all()
        assert found.load_a[0] == pytest.approx(10)


def test_a_million_amperes_and_a_nano_ohm() -> None:
    network = Network(4)
    network.source(0, 1, 12, 1e-9)
    network.branch(0, 2, 1e-9)
    network.branch(1, 3, 1e-9)
    network.load(2, 3, CURRENT, 1e6)
    found = solve(network)
    assert found.converged
    assert found.load_v[0] == pytest.approx(12 - 3e-6 * found.load_a[0])
    assert found.residual_a < 1e-3
    network.load_value[0] = 10
    assert solve(network).load_v[0] == pytest.approx(12, abs=1e-4)


# Hand formula, drop = I (R cos + X sin), beside the exact phasors. Of each case: what it is, power factor, drop in %
# with R alone, by the hand formula, and exactly (the current's angle taken from the volts of the source).
DROPS = (
    ("230 V 16 A, 2.5 mm2, 20 m", 0.8, 2.222, 1.791, 1.782),
    ("230 V 32 A, 6 mm2, 25 m", 0.8, 2.315, 1.885, 1.876),
    ("230 V 63 A, 25 mm2, 10 m", 0.85, 0.438, 0.395, 0.395),
    ("120 V 100 A, 1/0 AWG", 0.5, 0.498, 0.341, 0.340),
    ("230 V 200 A, 95 mm2", 0.35, 0.548, 0.387, 0.386),
)


@pytest.mark.parametrize(("what", "cosine", "by_r", "by_hand", "exact"), DROPS)
def test_drop_of_alternating_current(what: str, cosine: float, by_r: float, by_hand: float, exact: float) -> None:
    sine = math.sqrt(1 - cosine**2)
    r, x = by_r / 100, (by_hand - by_r * cosine) / 100 / sine  # of a source of 1 V and a current of 1 A
    there = 1 - (r + 1j * x) * complex(cosine, -sine)
    network = Network(2, complex)
    network.source(0, 1, 1.0, r + 1j * x)
    network.load(0, 1, CURRENT, complex(cosine, -sine) * there.conjugate() / abs(there))
    found = solve(network)
    assert 100 * (1 - abs(found.load_v[0])) == pytest.approx(exact, abs=0.0011), what
    assert by_hand == pytest.approx(exact, abs=0.015)


def power(network: Network, found: Solution) -> tuple[complex, complex, complex]:
    """What EMFs give, what loads take, what is lost between."""
    given = (np.array(network.emf) * found.source_a.conj()).sum()
    taken = (found.load_v * found.load_a.conj()).sum()
    lost = (np.abs(found.branch_a) ** 2 * np.maximum(np.array(network.z), 1e-6)).sum() if network.z else 0
    return given, taken, lost + (np.abs(found.source_a) ** 2 * np.array(network.source_z)).sum()


@given(st.integers(0, 10_000), st.integers(4, 80), st.integers(0, 6), st.integers(1, 4), st.booleans())
def test_what_sources_give_is_taken_or_lost(
    two_wire: Maker, seed: int, size: int, chords: int, banks: int, is_ac: bool
) -> None:
    network = two_wire(size, seed, chords, banks, is_ac)
    found = solve(network)
    assert found.converged
    given_w, taken_w, lost_w = power(network, found)
    assert abs(given_w - taken_w - lost_w) <= 1e-6 * abs(given_w)
    assert found.residual_a <= 1e-8 * (1 + np.abs(found.load_a).sum())


@given(st.integers(0, 10_000), st.integers(4, 60), st.integers(0, 6), st.booleans())
def test_numbering_means_nothing(two_wire: Maker, seed: int, size: int, chords: int, is_ac: bool) -> None:
    network = two_wire(size, seed, chords, 2, is_ac)
    new = list(range(network.size))
    random.Random(seed).shuffle(new)
    other = Network(network.size, network.dtype)
    for a, b, z in reversed(list(zip(network.a, network.b, network.z, strict=True))):
        other.branch(new[b], new[a], z)
    for i in range(len(network.emf)):
        other.source(new[network.source_pos[i]], new[network.source_neg[i]], network.emf[i], network.source_z[i])
    for i in range(len(network.load_value)):
        ends = new[network.load_pos[i]], new[network.load_neg[i]]
        other.load(*ends, network.load_kind[i], network.load_value[i], network.floor_v[i])
    ours, theirs = solve(network), solve(other)
    emf = abs(network.emf[0])
    assert np.abs(ours.load_v - theirs.load_v).max() <= 1e-9 * emf
    assert np.abs(ours.branch_a + theirs.branch_a[::-1]).max() <= 1e-6
    assert (ours.is_collapsed == theirs.is_collapsed).all()


def test_a_prepared_network_answers_for_other_loads_and_sources(two_wire: Maker) -> None:
    network = two_wire(60, 5, chords=2, banks=2)
    prepared = prepare(network)
    first = prepared.solve(network)
    assert (first.volts == solve(network).volts).all()
    network.emf[0] = 13.4
    network.load_value[0] = 0.5 * network.load_value[0]
    again = prepared.solve(network, start=first)
    afresh = solve(network)
    assert np.abs(again.volts - afresh.volts).max() < 1e-9
    assert (again.is_collapsed == afresh.is_collapsed).all()


def test_no_two_sizes_of_scale_disturb_each_other() -> None:
    """A lamp of 10 mA in a boat whose engine is being cranked with 800 A, ideal joints between."""
    network = Network(2)
    network.source(0, 1, 12.8, 0.004)
    at, neg = 0, 1
    for _ in range(200):
        next_at, next_neg = network.point(), network.point()
        network.branch(at, next_at, 0)
        network.branch(neg, next_neg, 0.001)
        at, neg = next_at, next_neg
    network.load(at, neg, CURRENT, 0.01)
    network.load(0, 1, CURRENT, 800)
    found = solve(network)
    assert found.converged
    assert found.branch_a[-1] == pytest.approx(-0.01, rel=1e-12)
    assert found.load_v[0] == pytest.approx(12.8 - 800.01 * 0.004 - 0.01 * (200 * 1e-6 + 0.2), rel=1e-12)
