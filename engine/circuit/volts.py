"""Nominal and highest volts of every conductor a source can feed, with every contact taken as closed."""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.expand import Circuit, Feed
from engine.equipment.base import LIVE

__all__ = ["Island", "SystemVolts", "system_volts"]


class Island(NamedTuple):
    """Nodes that some switch state joins, and the sources on them."""

    feeds: tuple[Feed, ...]

    def nominal(self, system: str | None = None) -> tuple[float, ...]:
        """Distinct nominal volts of its sources, sorted; of one system (`"dc"`, `"ac"`) when named."""
        return tuple(
            sorted(
                {
                    f.source.nominal_v
                    for f in self.feeds
                    if f.source.nominal_v is not None and system in (None, f.source.system)
                }
            )
        )

    def highest(self) -> float | None:
        """The highest volts any of its sources records, nominal where nothing higher is recorded."""
        every = [v for f in self.feeds for v in (f.source.highest_v, f.source.nominal_v) if v is not None]
        return max(every, default=None)

    def unknown(self) -> tuple[Feed, ...]:
        """Sources whose nominal volts are not recorded."""
        return tuple(f for f in self.feeds if f.source.nominal_v is None)

    def systems(self) -> frozenset[str]:
        """`{"dc"}`, `{"ac"}`, both, or nothing."""
        return frozenset(f.source.system for f in self.feeds)


NO_ISLAND = Island(())


class SystemVolts:
    """Which island each node is on."""

    def __init__(self, of_node: list[int], islands: list[Island]) -> None:
        self._of_node = of_node
        self.islands = islands

    def at(self, node: int | None) -> Island:
        """The island of a node; one without sources for `None`."""
        return NO_ISLAND if node is None else self.islands[self._of_node[node]]


def system_volts(circuit: Circuit) -> SystemVolts:
    """Join every wire and contact, then collect the sources of each part."""
    parent = list(range(len(circuit.nodes)))

    def root(node: int) -> int:
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for wire in circuit.wires:
        parent[root(wire.a)] = root(wire.b)
    for link in circuit.links:
        # a neutral-earth bond or a common negative joins returns, not systems of live conductors;
        # an adapter that feeds both legs from one line does join live ones
        one, other = circuit.nodes[link.a].conductor, circuit.nodes[link.b].conductor
        if (one == other or (one in LIVE and other in LIVE)) and not link.supposed:
            parent[root(link.a)] = root(link.b)
    numbers: dict[int, int] = {}
    of_node = [numbers.setdefault(root(node), len(numbers)) for node in range(len(parent))]
    feeds: list[list[Feed]] = [[] for _ in numbers]
    for feed in circuit.feeds:
        feeds[of_node[feed.node]].append(feed)
    return SystemVolts(of_node, [Island(tuple(f)) for f in feeds])
