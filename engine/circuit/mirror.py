"""The compiled mirror: live conductors as a flow network of small integers, made once for a circuit.

A *point* is a set of circuit nodes that nothing can part: terminals of a bus, both sides of a shunt. An *edge* is all
that can limit, open or be removed: a wire, a protective device, a switch contact, a diode, and equipment with a
through-current rating, whose own current is asked for. Only live conductors (`+`, `L1`–`L3`) are here.

Everything is found by edge number, never by a pair of points: parallel conductors are edges of their own.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.circuit.expand import Circuit, Feed
from engine.equipment.base import LIVE, Conversion, Protection, Source

__all__ = ["Guard", "Mirror", "Ratings", "compile_mirror", "ratings"]


class Guard(NamedTuple):
    """Conducts while `equipment` stands in one of `positions`."""

    equipment: str
    positions: frozenset[str]


class Mirror:
    """The network. Lists are indexed by point or by edge."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.of_node: list[int] = []  # circuit node -> point, -1 where the conductor is not live
        self.size = 0  # points
        self.u: list[int] = []
        self.v: list[int] = []
        self.wire: list[int] = []  # number in circuit.wires, -1 for what is inside equipment
        self.link: list[int] = []  # number in circuit.links, -1 for wires
        self.protection: list[Protection | None] = []
        self.guard: list[Guard | None] = []
        self.one_way: list[bool] = []  # from u to v only
        self.adjacency: list[list[int]] = []  # edges at a point, loops left out
        self.feeds: list[Feed] = []  # live ones
        self.feed_guard: list[Guard | None] = []
        self.feeds_at: list[list[int]] = []
        # feeds that are the secondary of a transformer: feed -> (ratio, points of its primary)
        self.derived: dict[int, tuple[float, tuple[int, ...]]] = {}
        self.edge_of_wire: dict[int, int] = {}
        self.supposed: dict[int, str] = {}  # edges that are there or not -> the field that would tell

    def other(self, edge: int, point: int) -> int:
        """The point at the far end of an edge."""
        return self.v[edge] if self.u[edge] == point else self.u[edge]

    def is_loop(self, edge: int) -> bool:
        """Whether both ends are one point."""
        return self.u[edge] == self.v[edge]


class Ratings(NamedTuple):
    """What each edge and each feed lets through, with what is not known taken as boundless or as nothing.

    `edges` per edge (not a device: no limit), `feeds` per feed, `devices` the rating of a device inside a source (no
    limit where there is none). `unknown_edges` and `unknown_feeds` are those for which something was supposed.
    """

    edges: list[float]
    feeds: list[float]
    devices: list[float]
    unknown_edges: frozenset[int]
    unknown_feeds: frozenset[int]


def compile_mirror(circuit: Circuit) -> Mirror:
    """The mirror of a circuit."""
    made = Mirror(circuit)
    nodes, equipment = circuit.nodes, circuit.snapshot.equipment
    live = [node.conductor in LIVE for node in nodes]
    parent = list(range(len(nodes)))

    def root(node: int) -> int:
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    moved: dict[str, bool] = {}
    rated: dict[tuple[str, str], bool] = {}
    inside: list[tuple[int, Guard | None]] = []
    for number, link in enumerate(circuit.links):
        if not (live[link.a] and live[link.b]):
            continue
        item = link.equipment
        guard = None
        if link.positions is not None:
            if item not in moved:
                moved[item] = circuit.switchable(item)
            if moved[item]:
                guard = Guard(item, link.positions)
        if guard is None and link.protection is None and not link.one_way and not link.supposed:
            at = (item, nodes[link.a].terminal)
            if at not in rated:
                record = equipment[item]
                rated[at] = record.through_limit(at[1]) is not None or bool(record.missing_for_current())
            if not rated[at]:
                parent[root(link.a)] = root(link.b)
                continue
        inside.append((number, guard))
    points: dict[int, int] = {}
    made.of_node = [points.setdefault(root(n), len(points)) if live[n] else -1 for n in range(len(nodes))]
    made.size = len(points)
    made.adjacency = [[] for _ in range(made.size)]
    made.feeds_at = [[] for _ in range(made.size)]
    of_node = made.of_node
    made.wire = [number for number, wire in enumerate(circuit.wires) if live[wire.a]]
    made.edge_of_wire = {number: edge for edge, number in enumerate(made.wire)}
    wires = [circuit.wires[number] for number in made.wire]
    links = [circuit.links[number] for number, _guard in inside]
    made.u = [of_node[wire.a] for wire in wires] + [of_node[link.a] for link in links]
    made.v = [of_node[wire.b] for wire in wires] + [of_node[link.b] for link in links]
    made.wire += [-1] * len(links)
    made.link = [-1] * len(wires) + [number for number, _guard in inside]
    made.protection = [None for _wire in wires]
    made.protection += [link.protection for link in links]
    made.supposed = {len(wires) + i: link.supposed for i, link in enumerate(links) if link.supposed}
    made.guard = [None for _wire in wires]
    made.guard += [guard for _number, guard in inside]
    made.one_way = [False] * len(wires) + [link.one_way for link in links]
    adjacency = made.adjacency
    for edge, (u, v) in enumerate(zip(made.u, made.v, strict=True)):
        if u != v:
            adjacency[u].append(edge)
            adjacency[v].append(edge)
    _feeds(made, circuit, moved)
    return made


def _feeds(made: Mirror, circuit: Circuit, moved: dict[str, bool]) -> None:
    fixed: dict[tuple[str, str], tuple[float, Conversion]] = {}
    for item, conversion in circuit.conversions:
        if conversion.ratio is not None:
            fixed[item, conversion.target] = (conversion.ratio, conversion)
    for feed in (*circuit.feeds, *circuit.supposed_feeds):
        point = made.of_node[feed.node]
        if point < 0:
            continue
        number = len(made.feeds)
        made.feeds.append(feed)
        made.feeds_at[point].append(number)
        positions = feed.source.positions
        if positions is not None and feed.equipment not in moved:
            moved[feed.equipment] = circuit.switchable(feed.equipment)
        made.feed_guard.append(
            Guard(feed.equipment, positions) if positions is not None and moved[feed.equipment] else None
        )
        if (feed.equipment, feed.source.terminal) in fixed:
            ratio, conversion = fixed[feed.equipment, feed.source.terminal]
            primary = [circuit.node(feed.equipment, conversion.source, c) for c in LIVE]
            made.derived[number] = (
                ratio,
                tuple(dict.fromkeys(made.of_node[n] for n in primary if n is not None)),
            )


def ratings(mirror: Mirror, hopeful: bool, ordinary_alternator: bool) -> Ratings:
    """What edges and feeds let through. Unknown: nothing when `hopeful`, else without limit.

    `ordinary_alternator`: the book takes a DC machine whose self-limiting is not recorded as limited to its rating.
    Secondaries of transformers stand at their own record's limit; `feedcut` lowers them to what their primary gets.
    """
    unknown = 0.0 if hopeful else math.inf
    edges, unknown_edges = [], []
    for edge, protection in enumerate(mirror.protection):
        if protection is None and edge in mirror.supposed:
            edges.append(unknown)
            unknown_edges.append(edge)
        elif protection is None:
            edges.append(math.inf)
        elif protection.rating_a is None:
            edges.append(unknown)
            unknown_edges.append(edge)
        else:
            edges.append(protection.rating_a)
    feeds, devices, unknown_feeds = [], [], []
    for number, feed in enumerate(mirror.feeds):
        low, high = _limits(feed.source, ordinary_alternator, number in mirror.derived)
        protection = feed.source.protection
        device = math.inf
        if protection is not None:
            known = protection.rating_a is not None
            device = unknown if protection.rating_a is None else protection.rating_a
            low = min(low, device if known else 0.0)
            high = min(high, device if known else math.inf)
        if low != high:
            unknown_feeds.append(number)
        feeds.append(low if hopeful else high)
        devices.append(device)
    return Ratings(edges, feeds, devices, frozenset(unknown_edges), frozenset(unknown_feeds))


def _limits(source: Source, ordinary_alternator: bool, derived: bool) -> tuple[float, float]:
    """The least and the most that a source may be good for, by what its record says."""
    if source.supposed:
        return 0.0, math.inf if not source.limited or source.limit_a is None else source.limit_a
    if source.limited is False or (derived and source.limited is None):
        return math.inf, math.inf
    if source.limited or (ordinary_alternator and source.is_ordinary_alternator()):
        return (0.0, math.inf) if source.limit_a is None else (source.limit_a, source.limit_a)
    return source.limit_a or 0.0, math.inf
