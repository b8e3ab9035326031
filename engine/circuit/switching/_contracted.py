"""The conductors of a circuit with everything that always conducts made one: what is left are contacts with positions.

Live conductors and returns stay apart; protective earth joins nothing here but where a bond or block does.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.equipment.base import LIVE

__all__ = ["Contracted", "Lead"]


class Lead(NamedTuple):
    """A way to a contracted node through `item` in `positions` (`None`: always), backwards where it conducts so."""

    to: int
    item: str
    positions: frozenset[str] | None
    forward: bool


class Contracted:
    """`root` of every circuit node; `leads` from every root."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        parent = list(range(len(circuit.nodes)))

        def top(node: int) -> int:
            while parent[node] != node:
                parent[node] = parent[parent[node]]
                node = parent[node]
            return node

        live = [node.conductor in LIVE for node in circuit.nodes]
        for wire in circuit.wires:
            parent[top(wire.a)] = top(wire.b)
        left = []
        for link in circuit.links:
            if link.supposed or live[link.a] != live[link.b]:
                continue
            if link.positions is None and not (link.one_way and live[link.a]):
                parent[top(link.a)] = top(link.b)
            else:
                left.append(link)
        self.root = [top(node) for node in range(len(parent))]
        self.leads: dict[int, list[Lead]] = {}
        for link in left:
            a, b = self.root[link.a], self.root[link.b]
            both = not (link.one_way and live[link.a])
            self.leads.setdefault(a, []).append(Lead(b, link.equipment, link.positions, True))
            self.leads.setdefault(b, []).append(Lead(a, link.equipment, link.positions, both))

    def roots(self, nodes: Iterable[int]) -> set[int]:
        """Where circuit nodes are."""
        return {self.root[node] for node in nodes}

    def spread(self, start: Iterable[int], positions: Mapping[str, str], against: bool = False) -> set[int]:
        """Roots reached from roots; a device without a position conducts. `against`: diodes backwards too."""
        seen = set(start)
        todo = list(seen)
        leads = self.leads
        while todo:
            for to, item, needs, forward in leads.get(todo.pop(), ()):
                if to in seen or not (forward or against):
                    continue
                if needs is None or item not in positions or positions[item] in needs:
                    seen.add(to)
                    todo.append(to)
        return seen

    def touched(self, roots: Iterable[int]) -> set[str]:
        """Devices with a contact at one of `roots`."""
        return {lead.item for root in roots for lead in self.leads.get(root, ())}
