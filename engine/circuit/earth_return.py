"""Which shore supplies send an earth fault on board back through equipment in the earth conductor.

A fault of a shore conductor to the boat's earth returns ashore through the protective earth of the inlet, and so
through a galvanic isolator. Sources on board are bonded on board: their faults do not pass it.
"""

from __future__ import annotations

from engine.circuit.expand import Circuit

__all__ = ["shore_feeds"]


def shore_feeds(circuit: Circuit, item: str) -> list[int]:
    """Numbers in `circuit.feeds` of the shore sources whose earth reaches a terminal of `item` by another way."""
    parent = list(range(len(circuit.nodes)))

    def root(node: int) -> int:
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for wire in circuit.wires:
        if wire.conductor == "PE":
            parent[root(wire.a)] = root(wire.b)
    for link in circuit.links:
        earths = circuit.nodes[link.a].conductor == circuit.nodes[link.b].conductor == "PE"
        if earths and link.equipment != item:
            parent[root(link.a)] = root(link.b)
    ends = {
        root(node)
        for terminal in circuit.joined.get(item, ())
        if (node := circuit.node(item, terminal, "PE")) is not None
    }
    found = []
    for number, feed in enumerate(circuit.feeds):
        if feed.source.line == "shore":
            earth = circuit.node(feed.equipment, feed.source.terminal, "PE")
            if earth is not None and root(earth) in ends:
                found.append(number)
    return found
