"""Feed cuts against networkx' maximum flow, on random networks with parallel conductors, diodes and limited sources."""

from __future__ import annotations

import math
from typing import Any

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from networkx.algorithms.flow import shortest_augmenting_path

from engine.circuit.blocks import structure
from engine.circuit.expand import Circuit, Feed
from engine.circuit.feedcut import FeedCuts
from engine.circuit.mirror import Mirror, Ratings
from engine.equipment.base import Protection, Source
from engine.installation import Installation

Network = tuple[int, list[tuple[int, int, float, bool]], list[tuple[int, float]]]


def mirror_of(points: int, edges: list[tuple[int, int, float, bool]], feeds: list[tuple[int, float]]) -> Mirror:
    made = Mirror(Circuit(Installation().snapshot()))
    made.size = points
    made.adjacency = [[] for _ in range(points)]
    made.feeds_at = [[] for _ in range(points)]
    for number, (a, b, rating, one_way) in enumerate(edges):
        made.u.append(a)
        made.v.append(b)
        made.one_way.append(one_way)
        made.protection.append(Protection(rating) if rating < math.inf else None)
        if a != b:
            made.adjacency[a].append(number)
            made.adjacency[b].append(number)
    for number, (point, limit) in enumerate(feeds):
        made.feeds.append(Feed("g", point, Source("out", "+", "dc", limited=limit < math.inf, limit_a=limit)))
        made.feeds_at[point].append(number)
    return made


def rated(edges: list[tuple[int, int, float, bool]], feeds: list[tuple[int, float]]) -> Ratings:
    return Ratings(
        [rating for _a, _b, rating, _one in edges],
        [limit for _point, limit in feeds],
        [math.inf] * len(feeds),
        frozenset(),
        frozenset(),
    )


def oracle(network: Network, target: int, without: int = -1) -> float:
    points, edges, feeds = network
    graph = nx.DiGraph()
    graph.add_nodes_from(range(points))

    def add(a: Any, b: Any, amount: float) -> None:
        amount += graph[a][b]["capacity"] if graph.has_edge(a, b) else 0.0
        graph.add_edge(a, b, capacity=amount)

    for number, (a, b, rating, one_way) in enumerate(edges):
        if number != without and a != b:
            add(a, b, rating)
            if not one_way:
                add(b, a, rating)
    for point, limit in feeds:
        add("source", point, limit)
    if "source" not in graph:
        return 0.0
    try:
        return float(nx.maximum_flow_value(graph, "source", target, flow_func=shortest_augmenting_path))
    except nx.NetworkXUnbounded:
        return math.inf


amounts = st.sampled_from([5.0, 10.0, 20.0, 30.0, 60.0, 100.0, math.inf, math.inf, math.inf])


@st.composite
def networks(draw: st.DrawFn) -> Network:
    points = draw(st.integers(2, 10))
    point = st.integers(0, points - 1)
    # a tree first, so that bridges, pendant parts and blocks all occur; then chords and parallels
    edges = [(draw(st.integers(0, i - 1)), i, draw(amounts), draw(st.integers(0, 7)) == 0) for i in range(1, points)]
    for _ in range(draw(st.integers(0, 7))):
        edges.append((draw(point), draw(point), draw(amounts), draw(st.integers(0, 7)) == 0))
    edges = draw(st.permutations(edges))
    feeds = draw(st.lists(st.tuples(point, amounts), max_size=5))
    return points, edges, feeds


@pytest.mark.long
@settings(max_examples=500)
@given(networks())
def test_every_cut_is_the_maximum_flow(network: Network) -> None:
    points, edges, feeds = network
    cuts = FeedCuts(structure(mirror_of(points, edges, feeds)), rated(edges, feeds))
    for point in range(points):
        assert cuts.total(point).amps == pytest.approx(oracle(network, point))
    for number, (a, b, _rating, _one) in enumerate(edges):
        for end in {a, b}:
            wanted = oracle(network, end, number)
            assert cuts.cut(number, end) == pytest.approx(wanted)
            enough = cuts.cut(number, end, 15.0)
            assert enough == pytest.approx(wanted) or 15 < enough <= wanted


@pytest.mark.long
@settings(max_examples=300)
@given(networks())
def test_a_single_device_separates(network: Network) -> None:
    """Removing the named device leaves nothing; no better one does. Diodes left out: there it may miss one."""
    points, edges, feeds = network
    edges = [(a, b, rating, False) for a, b, rating, _one in edges]
    feeds = [(p, limit) for p, limit in feeds if limit > 0]
    cuts = FeedCuts(structure(mirror_of(points, edges, feeds)), rated(edges, feeds))
    for number, (a, b, _rating, _one) in enumerate(edges):
        for end in {a, b}:
            if cuts.cut(number, end) == 0:
                continue
            best = math.inf
            for device, (c, d, rating, _) in enumerate(edges):
                if device in (number,) or c == d or rating == math.inf:
                    continue
                less = [e if i not in (device, number) else (0, 0, 0.0, False) for i, e in enumerate(edges)]
                if oracle((points, less, feeds), end) == 0:
                    best = min(best, rating)
            assert cuts.single(number, end) == best


def test_a_long_chain_needs_no_recursion() -> None:
    """Five thousand pieces in a row."""
    count = 5000
    edges = [(i, i + 1, 100.0 if i == 10 else math.inf, False) for i in range(count)]
    feeds = [(0, math.inf)]
    cuts = FeedCuts(structure(mirror_of(count + 1, edges, feeds)), rated(edges, feeds))
    assert cuts.total(count) == (100.0, 100.0)
    assert cuts.total(5) == (math.inf, math.inf)
    both = [(0, math.inf), (count, 60.0)]
    cuts = FeedCuts(structure(mirror_of(count + 1, edges, both)), rated(edges, both))
    assert cuts.total(count) == (160.0, math.inf)
    assert cuts.cut(count - 1, count) == 60.0
    assert cuts.cut(count - 1, count - 1) == 100.0
