"""What of the charging current reaches a bank: the greatest flow through what stands on its island.

A protective device carries a share of its rating continuously; a switch and a bus carry their own continuous rating.
All that crosses a bus counts against it: the worst order of its studs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TypeAlias

from engine.circuit.energy.supply import figure
from engine.circuit.energy.ways import Ways
from engine.circuit.expand import Circuit, Link
from engine.circuit.maxflow import FlowNetwork

__all__ = ["Way"]

_Edge: TypeAlias = tuple[int, int, float, bool, str]  # from, to, amperes, one way, what limits


class Way:
    """The island of a bank as devices, switches and buses between points that nothing parts."""

    def __init__(self, circuit: Circuit, ways: Ways, island: int, sources: Iterable[int]) -> None:
        points = {node: node for node in ways.nodes_of(island)}
        self._parent = points
        self._equipment = circuit.snapshot.equipment
        self._share = figure("device_share")
        self._edges: list[_Edge] = []
        links = [
            link
            for link in circuit.links
            if link.a in points
            and link.b in points
            and not link.supposed
            and ways.holds(link.equipment, link.positions)
        ]
        buses = self._buses(circuit, points, {link.equipment for link in links})
        for wire in circuit.wires:
            if wire.a not in points or wire.b not in points:
                continue
            if wire.a in buses or wire.b in buses:
                # what comes goes in at one side of a bus and leaves at the other
                self._edges.append((buses.get(wire.a, wire.a), wire.b, math.inf, True, ""))
                self._edges.append((buses.get(wire.b, wire.b), wire.a, math.inf, True, ""))
            else:
                points[self._root(wire.a)] = self._root(wire.b)
        for link in links:
            amps = self._carried_a(link)
            if math.isfinite(amps):
                self._edges.append((link.a, link.b, amps, link.one_way, link.equipment))
            elif link.one_way:
                self._edges.append((link.a, link.b, math.inf, True, ""))
            else:
                points[self._root(link.a)] = self._root(link.b)
        banks = {item for item, _store in ways.banks[island]}
        ends = [feed.node for feed in circuit.feeds if feed.equipment in banks and feed.node in points]
        self._build({self._root(node) for node in ends}, {self._root(node) for node in sources})

    def _build(self, banks: set[int], sources: set[int]) -> None:
        """The network of what lies between sources and banks; number 0 stands for the banks together."""
        edges = [
            (a, b, amps, one_way, item)
            for first, second, amps, one_way, item in self._edges
            if (a := self._root(first)) != (b := self._root(second))
        ]
        edges = self._between(edges, banks | sources)
        self._numbers = dict.fromkeys(banks, 0)
        for a, b, *_rest in edges:
            for point in (a, b):
                self._numbers.setdefault(point, len(self._numbers) + 1)
        for point in sources:
            self._numbers.setdefault(point, len(self._numbers) + 1)
        self._network = FlowNetwork(len(self._numbers) + 1)
        self._limits: dict[str, list[int]] = {}
        self._least: dict[str, float] = {}
        for a, b, amps, one_way, item in edges:
            to, of = self._numbers[b], self._numbers[a]
            if to == of:
                continue
            edge = self._network.edge(of, to, amps, 0.0 if one_way else amps)
            if item:
                self._limits.setdefault(item, []).append(edge)
                self._least[item] = min(amps, self._least.get(item, math.inf))

    def _between(self, edges: list[_Edge], kept: set[int]) -> list[_Edge]:
        """Edges without dead ends: branches that lead to no source and no bank carry nothing."""
        bus = self._bus
        beside: dict[int, set[int]] = {}
        for one, other, *_rest in edges:
            a, b = bus.get(one, one), bus.get(other, other)
            if a != b:
                beside.setdefault(a, set()).add(b)
                beside.setdefault(b, set()).add(a)
        dead = [point for point, others in beside.items() if len(others) < 2 and point not in kept]
        for point in dead:
            for other in beside.pop(point):
                others = beside[other]
                others.discard(point)
                if len(others) == 1 and other not in kept:
                    dead.append(other)
        return [e for e in edges if bus.get(e[0], e[0]) in beside and bus.get(e[1], e[1]) in beside]

    def _buses(self, circuit: Circuit, points: dict[int, int], linked: set[str]) -> dict[int, int]:
        """Nodes of buses with a rating -> the point where what crosses them leaves again."""
        found: dict[int, int] = {}
        for node in list(points):
            item = circuit.nodes[node].equipment
            carries = None if item in linked else self._equipment[item].carries()
            if carries is not None and carries.continuous_a is not None:
                leaves = len(circuit.nodes) + len(found)
                found[node] = leaves
                self._edges.append((node, leaves, carries.continuous_a, True, item))
        self._bus = {leaves: node for node, leaves in found.items()}
        for leaves in found.values():
            points[leaves] = leaves
        return found

    def _carried_a(self, link: Link) -> float:
        device = link.protection
        if device is not None:
            return math.inf if device.rating_a is None else device.rating_a * self._share
        carries = self._equipment[link.equipment].carries()
        return math.inf if carries is None or carries.continuous_a is None else carries.continuous_a

    def _root(self, node: int) -> int:
        parent = self._parent
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    def devices(self) -> list[tuple[str, float]]:
        """What limits on the way with what it carries continuously, the smallest first."""
        return sorted(self._least.items(), key=lambda device: (device[1], device[0]))

    def most(self, given: list[tuple[int, float]], freed: str = "") -> float:
        """The greatest flow from the sources to the bank, A; `freed` names what is left out of account."""
        capacity = self._network.capacity
        before = capacity.copy()
        for edge in self._limits.get(freed, ()):
            for arc in (2 * edge, 2 * edge + 1):
                capacity[arc] = math.inf if capacity[arc] else 0.0
        supplies = [(self._numbers[self._root(node)], amps) for node, amps in given]
        flow = self._network.into(0, supplies)
        self._network.capacity = before
        return flow
