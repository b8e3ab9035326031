"""Many faults at once are what each is by itself."""

from __future__ import annotations

import random
from collections.abc import Callable

import numpy as np
import pytest

from engine.circuit.solve.bolted import bolted
from engine.circuit.solve.network import CURRENT, Network
from engine.circuit.solve.thevenin import through

Maker = Callable[..., Network]


@pytest.mark.parametrize("seed", range(24))
def test_each_fault_is_what_it_is_by_itself(two_wire: Maker, seed: int) -> None:
    dice = random.Random(seed)
    is_ac = seed % 4 == 0
    network = two_wire(dice.randrange(6, 50), seed, dice.randrange(4), dice.randrange(1, 4), is_ac)
    size, emf = network.size, abs(network.emf[0])
    for _ in range(dice.randrange(3)):
        at = 2 * dice.randrange(size // 2)
        limit = dice.choice([float("inf"), dice.uniform(10, 600)])
        network.source(at, at + 1, emf * dice.uniform(0.98, 1.1), 0.02, limit_a=limit, one_way=not is_ac)
    if not is_ac:
        network.diode(2 * dice.randrange(size // 2), 2 * dice.randrange(size // 2), 0.002, 0.4)
    plus, minus, far = network.point(), network.point(), network.point()  # a charger on an island of its own
    network.source(plus, minus, emf, 0.01, limit_a=40)
    network.branch(minus, far, 0.01)
    pairs = [(dice.randrange(network.size), dice.randrange(network.size)) for _ in range(8)]
    pairs += [(at, at + 1) for at in range(0, size, 4)] + [(plus, far)]
    branches = [dice.randrange(-1, len(network.z)) for _ in pairs]
    found = bolted(network, pairs, branches)
    for number, (pair, branch) in enumerate(zip(pairs, branches, strict=True)):
        alone = through(network, *pair)
        if not alone.converged:
            continue
        assert found.converged[number]
        near = 1e-8 * (1 + np.abs(alone.source_a).sum())
        assert abs(found.amps[number]) == pytest.approx(abs(alone.branch_a[-1]), abs=near)
        assert np.abs(found.source_a[number]) == pytest.approx(np.abs(alone.source_a), abs=near)
        assert (found.is_limited[number] == alone.is_limited).all()
        through_branch = alone.branch_a[branch] if branch >= 0 else 0
        assert abs(found.branch_a[number]) == pytest.approx(abs(through_branch), abs=near)


def test_current_through_a_fuse_for_a_fault_on_either_side() -> None:
    """Two banks meet at a bus: behind its fuse a bank's own current passes, before it that of the other bank."""
    network = Network(4)
    network.source(0, 1, 12.8, 0.005)
    fuse = network.branch(0, 2, 0.001)
    network.source(3, 1, 12.8, 0.01)
    network.branch(3, 2, 0.002)
    found = bolted(network, [(2, 1), (0, 1)], [fuse, fuse])
    assert found.branch_a.tolist() == [pytest.approx(12.8 / 0.006), pytest.approx(-12.8 / 0.013)]
    assert found.amps.tolist() == [
        pytest.approx(12.8 / 0.006 + 12.8 / 0.012),
        pytest.approx(12.8 / 0.005 + 12.8 / 0.013),
    ]
    assert found.open_v.tolist() == [pytest.approx(12.8)] * 2


def test_nothing_asked_and_nothing_there() -> None:
    assert len(bolted(Network(0), []).amps) == 0
    dead = Network(3)
    dead.branch(0, 1, 0.01)
    dead.load(0, 1, CURRENT, 5)
    found = bolted(dead, [(0, 1), (1, 2), (2, 2)], [0, 0, -1])
    assert found.amps.tolist() == [0, 0, 0]
    assert found.converged.all()
