"""The switch-state kernel against a SAT solver (python-sat) and against truth tables, on the same random networks.

Up to 14 switches: open/closed, 1-0-2, off-1-both-2, changeovers without off; interlocks of any k.
"""

from __future__ import annotations

import random

import pytest
from satisfied import Edge, Question
from switch_networks import NETWORKS, Table, network

from engine.circuit.expand import Circuit
from engine.circuit.paths import Net, search
from engine.circuit.states import Lock, States


def asked(circuit: Circuit, states: States, locks: list[Lock]) -> tuple[Question, list[Edge]]:
    question = Question(
        [(d.equipment, d.positions) for d in states.devices],
        [(lock.at_most, [(item, sorted(positions)) for item, positions in lock.held]) for lock in locks],
    )
    edges = [Edge(wire.a, wire.b) for wire in circuit.wires]
    edges += [Edge(k.a, k.b, k.equipment, k.positions or frozenset()) for k in circuit.links]
    return question, edges


def compare(seeds: range) -> tuple[int, int]:
    joined_count = lost_count = 0
    for seed in seeds:
        circuit, states, locks, start, stop = network(seed, most=14)
        question, edges = asked(circuit, states, locks)
        joined, apart = question.joined(edges, start, stop), question.apart(edges, start, stop)
        net = Net(circuit, states, ("L1",))
        one, other = net.terminal(start), net.terminal(stop)
        found = search(net, one, [other], enough=10_000)
        assert not found.undecided
        cubes = found.cubes.get(other, ())
        # can they be joined
        assert bool(cubes) == (question.solve([joined]) is not None), f"network {seed}"
        # every set found does it, in every permitted state within it
        for cube in cubes:
            within = [
                -question.at(item, p)
                for item, left in states.positions(cube)
                for p in states.devices[states.number[item]].positions
                if p not in left
            ]
            assert question.solve([apart, *within]) is None, f"network {seed}"
            assert question.solve([joined, *within]) is not None, f"network {seed}"
        joined_count += bool(cubes)
        # can they be apart while something else holds: the question of a lost bond
        pick = random.Random(seed)
        device = pick.choice(states.devices)
        position = pick.choice(device.positions)
        cube = states.of_positions([(device.equipment, position)])
        state = states.outside(cubes, cube)
        known = question.solve([apart, question.at(device.equipment, position)])
        assert (state is None) == (known is None), f"network {seed}"
        if state is not None:
            lost_count += 1
            full = [question.at(d, p) for d, p in state.items()]
            assert question.solve([apart, *full]) is not None, f"network {seed}"
            table = Table(states, locks)
            row = table.of_cube(states.of_positions(state.items()))
            assert row & table.allowed == row
            assert not row & table.joined(circuit, start, stop), f"network {seed}"
    return joined_count, lost_count


@pytest.mark.parametrize("block", range(5))
def test_a_solver_says_the_same(block: int) -> None:
    """Every tenth of the 500 networks; all of them in the long run."""
    joined, lost = compare(range(block * 100, block * 100 + 100, 10))
    assert joined > 1
    assert lost > 1


@pytest.mark.long
@pytest.mark.parametrize("block", range(10))
def test_a_solver_says_the_same_of_all(block: int) -> None:
    joined, lost = compare(range(block * NETWORKS // 10, (block + 1) * NETWORKS // 10))
    assert joined > 15
    assert lost > 15


def test_a_state_given_to_a_search_is_kept() -> None:
    """With positions given, what a search finds is what a truth table leaves of the states with them."""
    for seed in range(60):
        circuit, states, locks, start, stop = network(seed)
        table = Table(states, locks)
        pick = random.Random(seed)
        chosen = pick.sample(states.devices, min(3, len(states.devices)))
        given = states.of_positions([(d.equipment, pick.choice(d.positions)) for d in chosen])
        net = Net(circuit, states, ("L1",))
        one, other = net.terminal(start), net.terminal(stop)
        cubes = search(net, one, [other], enough=10_000, given=given).cubes.get(other, ())
        covered = 0
        for cube in cubes:
            covered |= table.of_cube(cube | given) & table.allowed
        assert covered == table.joined(circuit, start, stop) & table.of_cube(given), f"network {seed}"
