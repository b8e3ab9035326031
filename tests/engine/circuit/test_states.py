"""The switch-state kernel against truth tables: every state of every network, counted bit by bit.

The oracle (`switch_networks.Table`) shares nothing with the kernel.
"""

from __future__ import annotations

import random

import pytest
from switch_networks import NETWORKS, Table, empty_circuit, network

from engine.circuit.expand import Circuit, Link, Node
from engine.circuit.paths import Net, search, walk
from engine.circuit.states import Device, Lock, States, TooManyStates


def answer(circuit: Circuit, states: States, start: int, stop: int, **limits: int):
    net = Net(circuit, states, ("L1",))
    one, other = net.terminal(start), net.terminal(stop)
    found = search(net, one, [other], **limits)
    return found.cubes.get(other, ()), other in found.undecided, other in found.truncated


@pytest.mark.parametrize("block", range(10))
def test_cubes_are_exactly_the_joined_states(block: int) -> None:
    met = 0
    for seed in range(block * NETWORKS // 10, (block + 1) * NETWORKS // 10):
        circuit, states, locks, start, stop = network(seed)
        table = Table(states, locks)
        bad = table.joined(circuit, start, stop)
        cubes, undecided, truncated = answer(circuit, states, start, stop, enough=10_000)
        assert (undecided, truncated) == (False, False), seed
        covered = 0
        for cube in cubes:
            covered |= table.of_cube(cube) & table.allowed
        assert covered == bad, f"network {seed}"
        if not cubes:
            continue
        met += 1
        primes = states.consensus(cubes)
        least = states.weakest(states.widened(cube, primes) for cube in primes)
        covered = 0
        for cube in least:
            rows = table.of_cube(cube) & table.allowed
            covered |= rows
            assert rows & ~bad == 0, f"network {seed}: a cube holds a state that does not join"
            assert states.completion(cube) is not None, f"network {seed}"
            for device in states.touched(cube):
                less = table.of_cube(cube & ~states.field[device]) & table.allowed
                assert less & ~bad, f"network {seed}: {states.devices[device].equipment} is needless"
        assert covered == bad, f"network {seed}"
        best = len(states.touched(least[0]))
        assert table.fewest(bad, min(best, 4)) == min(best, 4), f"network {seed}: a smaller set exists"
        few, _undecided, _truncated = answer(circuit, states, start, stop, enough=1)
        assert len(few) == 1, f"network {seed}: existence is decided by the first cube"
    assert met > 15  # the networks are not trivial


def test_completion_is_a_permitted_state_or_a_proof() -> None:
    for seed in range(80):
        _circuit, states, locks, _start, _stop = network(seed)
        table = Table(states, locks)
        pick = random.Random(seed)
        for _ in range(10):
            chosen = pick.sample(states.devices, min(3, len(states.devices)))
            cube = states.of_positions((d.equipment, pick.choice(d.positions)) for d in chosen)
            state = states.completion(cube)
            rows = table.of_cube(cube) & table.allowed
            assert (state is not None) == bool(rows), f"network {seed}"
            if state is not None:
                full = table.of_cube(states.of_positions(state.items()))
                assert full.bit_count() == 1
                assert full & rows == full


def ladder(rungs: int) -> Circuit:
    """Two rails, a switch on every piece of rail and every rung: very many ways from end to end."""
    circuit = empty_circuit()
    circuit.nodes = [Node(f"n{i}", "at", "L1") for i in range(2 * rungs)]
    for i in range(rungs):
        pairs = [(2 * i, 2 * i + 1)]
        if i + 1 < rungs:
            pairs += [(2 * i, 2 * i + 2), (2 * i + 1, 2 * i + 3)]
        for a, b in pairs:
            circuit.links.append(Link(f"Q{a}-{b}", "L1", a, b, frozenset({"closed"}), None))
    return circuit


def all_switches(circuit: Circuit) -> States:
    return States(Device(link.equipment, ("open", "closed")) for link in circuit.links)


def test_a_stopped_search_is_undecided_and_never_empty_handed() -> None:
    circuit = ladder(12)
    states = all_switches(circuit)
    cubes, undecided, truncated = answer(circuit, states, 0, 23, budget=30)
    assert cubes == ()
    assert undecided
    assert truncated
    cubes, undecided, truncated = answer(circuit, states, 0, 23, enough=3)
    assert len(cubes) == 3
    assert not undecided
    assert truncated  # there may be more than the three asked for


def test_a_finished_search_without_cube_is_a_proof() -> None:
    circuit = ladder(4)
    circuit.nodes.append(Node("apart", "at", "L1"))
    cubes, undecided, truncated = answer(circuit, all_switches(circuit), 0, 8)
    assert (cubes, undecided, truncated) == ((), False, False)


def test_smallest_set_comes_first() -> None:
    circuit = ladder(5)
    cubes, _undecided, _truncated = answer(circuit, all_switches(circuit), 0, 9)
    sizes = [c.bit_count() for c in cubes]
    assert sizes[0] == 5
    assert sizes == sorted(sizes)


def test_changeover_without_off_needs_consensus() -> None:
    states = States([Device("C1", ("1", "2")), Device("Q1", ("open", "closed"))])
    x = states.guard("Q1", ("closed",))
    cubes = [states.guard("C1", (p,)) | x for p in ("1", "2")]
    assert states.consensus(cubes) == [x]


def test_what_an_interlock_forces_is_no_part_of_a_witness() -> None:
    states = States(
        [Device("Q1", ("open", "closed")), Device("Q2", ("open", "closed"))],
        [Lock(1, (("Q1", frozenset({"closed"})), ("Q2", frozenset({"closed"}))))],
    )
    cube = states.guard("Q1", ("closed",))
    whole = states.closed(cube)
    assert states.positions(whole) == (("Q1", ("closed",)), ("Q2", ("open",)))
    assert states.positions(states.widened(whole, [whole])) == (("Q1", ("closed",)),)


def test_two_of_three_keys_allow_two_and_not_three() -> None:
    names = ("Q1", "Q2", "Q3")
    states = States(
        [Device(n, ("open", "closed")) for n in names], [Lock(2, tuple((n, frozenset({"closed"})) for n in names))]
    )
    two = states.of_positions((("Q1", "closed"), ("Q2", "closed")))
    assert states.completion(two) == {"Q1": "closed", "Q2": "closed", "Q3": "open"}
    assert states.completion(two | states.guard("Q3", ("closed",))) is None


def test_an_exact_question_gives_up_rather_than_guess(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("engine.circuit.states.STEPS", 1)
    names = [f"C{i}" for i in range(4)]
    locks = [Lock(2, tuple((n, frozenset({p})) for n in names)) for p in ("1", "2")]
    states = States([Device(n, ("1", "2")) for n in names], locks)
    with pytest.raises(TooManyStates):
        states.completion(0)
    assert not states.covers([], 0)


def test_walk_follows_one_state() -> None:
    circuit = ladder(3)
    state = {link.equipment: "open" for link in circuit.links} | {"Q0-2": "closed", "Q2-3": "closed"}
    links = walk(circuit, 0, 3, state, ("L1",))
    assert [link.equipment for link in links] == ["Q0-2", "Q2-3"]
    assert walk(circuit, 0, 5, state, ("L1",)) is None
