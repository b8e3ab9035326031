"""What of the charging current reaches a bank: the greatest flow through the devices of its island."""

from __future__ import annotations

import math

from engine.circuit.energy.supply import figure
from engine.circuit.energy.ways import Ways
from engine.circuit.expand import Circuit
from engine.circuit.maxflow import FlowNetwork
from engine.equipment.base import LIVE

__all__ = ["Way"]


class Way:
    """The island of a bank as devices between points that nothing parts."""

    def __init__(self, circuit: Circuit, ways: Ways, island: int) -> None:
        points = {n: n for n, node in enumerate(circuit.nodes) if node.conductor in LIVE and ways.root(n) == island}
        self._parent = points
        for wire in circuit.wires:
            if wire.a in points and wire.b in points:
                points[self._root(wire.a)] = self._root(wire.b)
        share = figure("device_share")
        self._edges: list[tuple[int, int, float, bool, str]] = []
        for link in circuit.links:
            if link.a not in points or link.b not in points or link.supposed:
                continue
            if not ways.holds(link.equipment, link.positions):
                continue
            device = link.protection
            if device is not None and device.rating_a is not None:
                self._edges.append((link.a, link.b, device.rating_a * share, link.one_way, link.equipment))
            elif link.one_way:
                self._edges.append((link.a, link.b, math.inf, True, ""))
            else:
                points[self._root(link.a)] = self._root(link.b)
        banks = {item for item, _store in ways.banks[island]}
        self._banks = [feed.node for feed in circuit.feeds if feed.equipment in banks and feed.node in points]

    def _root(self, node: int) -> int:
        parent = self._parent
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    def devices(self) -> list[tuple[str, float]]:
        """Devices on the island with what each carries continuously, the smallest first."""
        least: dict[str, float] = {}
        for _a, _b, amps, _one_way, item in self._edges:
            if item:
                least[item] = min(amps, least.get(item, math.inf))
        return sorted(least.items(), key=lambda device: (device[1], device[0]))

    def most(self, given: list[tuple[int, float]], freed: str = "") -> float:
        """The greatest flow from the sources to the bank, A; `freed` names a device that is left out of account."""
        numbers: dict[int, int] = {}

        def number(node: int) -> int:
            return numbers.setdefault(self._root(node), len(numbers) + 1)

        edges = [
            (number(a), number(b), math.inf if item == freed else amps, one_way)
            for a, b, amps, one_way, item in self._edges
        ]
        supplies = [(number(node), amps) for node, amps in given]
        banks = {number(node) for node in self._banks}
        network = FlowNetwork(len(numbers) + 1)
        for a, b, amps, one_way in edges:
            if a != b:
                network.edge(a, b, amps, 0.0 if one_way else amps)
        for bank in banks:
            network.edge(bank, 0, math.inf, 0.0)
        return network.into(0, supplies)
