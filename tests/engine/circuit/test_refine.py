"""The worst permitted state of a feed cut, against every state one by one and networkx' maximum flow."""

from __future__ import annotations

import itertools
import math
from typing import Any, NamedTuple

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from networkx.algorithms.flow import shortest_augmenting_path

from engine.circuit.blocks import structure
from engine.circuit.expand import Circuit, Feed
from engine.circuit.mirror import Guard, Mirror
from engine.circuit.refine import Refinery, Undecided
from engine.circuit.states import Device, Lock, States
from engine.equipment.base import Protection, Source
from engine.installation import Installation


class Wire(NamedTuple):
    a: int
    b: int
    rating: float = math.inf
    guard: Guard | None = None
    one_way: bool = False


class Case(NamedTuple):
    points: int
    wires: list[Wire]
    feeds: list[tuple[int, float, Guard | None]]
    devices: list[Device]
    locks: list[Lock]
    drawn: tuple[int, ...]
    removed: int
    amps: float
    single: float


def refinery(case: Case) -> Refinery:
    made = Mirror(Circuit(Installation().snapshot()))
    made.size = case.points
    made.adjacency = [[] for _ in range(case.points)]
    made.feeds_at = [[] for _ in range(case.points)]
    for number, wire in enumerate(case.wires):
        made.u.append(wire.a)
        made.v.append(wire.b)
        made.one_way.append(wire.one_way)
        made.guard.append(wire.guard)
        made.protection.append(Protection(wire.rating) if wire.rating < math.inf else None)
        if wire.a != wire.b:
            made.adjacency[wire.a].append(number)
            made.adjacency[wire.b].append(number)
    for number, (point, limit, guard) in enumerate(case.feeds):
        made.feeds.append(Feed("g", point, Source("out", "+", "dc", limit_a=limit)))
        made.feed_guard.append(guard)
        made.feeds_at[point].append(number)
    drawn = [(d.equipment, d.positions[i]) for d, i in zip(case.devices, case.drawn, strict=True)]
    return Refinery(
        structure(made),
        [w.rating for w in case.wires],
        [f[1] for f in case.feeds],
        [math.inf] * len(case.feeds),
        States(case.devices, case.locks),
        drawn,
    )


def flow(case: Case, closed: frozenset[int], fed: frozenset[int], target: int, unit: float | None = None) -> float:
    graph = nx.DiGraph()
    graph.add_nodes_from(range(case.points))

    def capacity(amount: float) -> float:
        if unit is None or amount <= 0:
            return amount
        return 1.0 if amount <= unit else math.inf

    def add(a: Any, b: Any, amount: float) -> None:
        amount += graph[a][b]["capacity"] if graph.has_edge(a, b) else 0.0
        graph.add_edge(a, b, capacity=amount)

    for number in closed:
        wire = case.wires[number]
        if number != case.removed and wire.a != wire.b:
            add(wire.a, wire.b, capacity(wire.rating))
            if not wire.one_way:
                add(wire.b, wire.a, capacity(wire.rating))
    for number in fed:
        point, limit, _guard = case.feeds[number]
        add("source", point, limit if unit is None or limit <= 0 else math.inf)
    if "source" not in graph:
        return 0.0
    try:
        return float(nx.maximum_flow_value(graph, "source", target, flow_func=shortest_augmenting_path))
    except nx.NetworkXUnbounded:
        return math.inf


def closed_in(case: Case, state: dict[str, str]) -> tuple[frozenset[int], frozenset[int]]:
    def holds(guard: Guard | None) -> bool:
        return guard is None or state[guard.equipment] in guard.positions

    return (
        frozenset(n for n, w in enumerate(case.wires) if holds(w.guard)),
        frozenset(n for n, f in enumerate(case.feeds) if holds(f[2])),
    )


def too_much(case: Case, closed: frozenset[int], fed: frozenset[int], target: int) -> bool:
    amps = flow(case, closed, fed, target)
    if amps <= case.amps:
        return False
    return amps > case.single or flow(case, closed, fed, target, case.single) > 1


def permitted(case: Case) -> list[dict[str, str]]:
    names = [d.equipment for d in case.devices]
    states = [dict(zip(names, p, strict=True)) for p in itertools.product(*(d.positions for d in case.devices))]
    return [
        s
        for s in states
        if all(sum(s[e] in positions for e, positions in lock.held) <= lock.at_most for lock in case.locks)
    ]


def worst(case: Case, target: int) -> bool:
    """Whether some permitted state is too much. More closed contacts never give less: only the largest sets count."""
    sets = {closed_in(case, state) for state in permitted(case)}
    largest = [s for s in sets if not any(s != o and s[0] <= o[0] and s[1] <= o[1] for o in sets)]
    return any(too_much(case, closed, fed, target) for closed, fed in largest)


amounts = st.sampled_from([10.0, 20.0, 30.0, 50.0, 100.0, math.inf, math.inf])


@st.composite
def cases(draw: st.DrawFn) -> Case:
    points = draw(st.integers(2, 8))
    count = draw(st.integers(1, 12))
    kinds = [("open", "closed"), ("1", "0", "2"), ("off", "1", "both", "2"), ("1", "2")]
    weights = [0, 0, 0, 0, 1, 2, 3] if count <= 6 else [0]
    devices = [Device(f"q{i}", kinds[draw(st.sampled_from(weights))]) for i in range(count)]

    def guard() -> Guard | None:
        if draw(st.integers(0, 3)) == 0:
            return None
        device = draw(st.sampled_from(devices))
        if len(device.positions) == 2 and device.positions[0] == "open":
            return Guard(device.equipment, frozenset({"closed"}))
        return Guard(device.equipment, frozenset(draw(st.lists(st.sampled_from(device.positions), min_size=1))))

    point = st.integers(0, points - 1)
    wires = [Wire(draw(st.integers(0, i - 1)), i, draw(amounts), guard()) for i in range(1, points)]
    for _ in range(draw(st.integers(0, 8))):
        wires.append(Wire(draw(point), draw(point), draw(amounts), guard(), draw(st.integers(0, 7)) == 0))
    feeds = [(draw(point), draw(amounts), guard()) for _ in range(draw(st.integers(1, 3)))]
    locks = []
    for _ in range(draw(st.integers(0, 3))):
        chosen = draw(st.lists(st.sampled_from(devices), min_size=1, max_size=4, unique=True))
        held = tuple(
            (d.equipment, frozenset(draw(st.lists(st.sampled_from(d.positions), min_size=1, max_size=2))))
            for d in chosen
        )
        locks.append(Lock(draw(st.integers(0, 2)), held))
    amps = draw(st.sampled_from([0.0, 15.0, 25.0, 40.0, 80.0]))
    return Case(
        points,
        wires,
        feeds,
        devices,
        locks,
        tuple(draw(st.integers(0, len(d.positions) - 1)) for d in devices),
        draw(st.integers(0, len(wires) - 1)),
        amps,
        amps * draw(st.sampled_from([1.0, 1.5])),
    )


@pytest.mark.long
@settings(max_examples=500)
@given(cases())
def test_the_search_finds_a_bad_state_if_and_only_if_there_is_one(case: Case) -> None:
    made = refinery(case)
    if not permitted(case):
        with pytest.raises(Undecided):
            made.exceeds(case.removed, case.wires[case.removed].a, case.amps, case.single)
        return
    for target in {case.wires[case.removed].a, case.wires[case.removed].b}:
        found = made.exceeds(case.removed, target, case.amps, case.single)
        assert (found is not None) == worst(case, target)
        if found is None:
            continue
        # the witness is true: with these positions, and the others as the interlocks permit, it is too much
        fitting = [s for s in permitted(case) if all(s[e] == p for e, p in found.positions)]
        assert any(too_much(case, *closed_in(case, s), target) for s in fitting)


@settings(max_examples=200)
@given(cases())
def test_the_state_as_drawn(case: Case) -> None:
    made = refinery(case)
    state = {d.equipment: d.positions[i] for d, i in zip(case.devices, case.drawn, strict=True)}
    target = case.wires[case.removed].a
    closed, fed = closed_in(case, state)
    wanted = flow(case, closed, fed, target)
    got = made.drawn_flow(case.removed, target)
    assert got == wanted or abs(got - wanted) < 1e-6
    assert made.is_drawn_permitted() == (state in permitted(case))
    assert made.exceeds_as_drawn(case.removed, target, case.amps, case.single) == too_much(case, closed, fed, target)
