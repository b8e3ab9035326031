"""Spots: points of the mirror that switches and buses join without length, and who takes power there."""

from __future__ import annotations

from engine.circuit.expand import Node
from engine.circuit.mirror import Mirror

__all__ = ["Spots"]

TAKING = ("load", "converter")


class Spots:
    """What placement needs of a mirror whatever the ratings: spots, and where consumers take their power."""

    def __init__(self, mirror: Mirror) -> None:
        self.mirror = mirror
        parent = list(range(mirror.size))

        def root(point: int) -> int:
            while parent[point] != point:
                parent[point] = parent[parent[point]]
                point = parent[point]
            return point

        joined = False
        for edge, wire in enumerate(mirror.wire):
            if (
                wire < 0
                and mirror.protection[edge] is None
                and not mirror.one_way[edge]
                and edge not in mirror.supposed
            ):
                parent[root(mirror.u[edge])] = root(mirror.v[edge])
                joined = True
        # a spot is named by one of its points
        self.spot = [root(point) for point in range(mirror.size)] if joined else parent
        self._several: dict[int, list[int]] = {}
        for point, number in enumerate(self.spot) if joined else ():
            if point != number:
                self._several.setdefault(number, [number]).append(point)
        self._nodes: dict[int, list[Node]] | None = None

    def at(self, spot: int) -> list[int]:
        """The points of a spot."""
        return self._several.get(spot) or [spot]

    def around(self, point: int) -> list[int]:
        """The points of the spot of a point, itself among them."""
        return self.at(self.spot[point])

    def consumer(self, point: int) -> str:
        """The consumer or converter that takes its power at a point, or nothing."""
        circuit = self.mirror.circuit
        if self._nodes is None:
            self._nodes = {}
            for number, at in enumerate(self.mirror.of_node):
                if at >= 0 and circuit.snapshot.equipment[circuit.nodes[number].equipment].ROLE in TAKING:
                    self._nodes.setdefault(at, []).append(circuit.nodes[number])
        for node in self._nodes.get(point, ()):
            record = circuit.snapshot.equipment[node.equipment]
            if node.terminal in {d.terminal for d in record.draws()} | {c.source for c in record.conversions()}:
                return node.equipment
        return ""
