"""Which sources can feed a point at all: in some state of the switches that the interlocks allow.

`engine.circuit.volts` takes every contact as closed at once. That is the answer where every switch is just open or
closed and nothing interlocks them. A changeover that stands in one position only, or a mechanical slide, parts what it
joins: here the smallest set of positions is searched for, and where there is none, the source does not reach.
"""

from __future__ import annotations

from collections.abc import Iterable

from engine.circuit.expand import Circuit, Feed
from engine.circuit.meeting import allows_nothing
from engine.circuit.paths import Net, search
from engine.circuit.states import States, states_of
from engine.circuit.volts import SystemVolts
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot

__all__ = ["Reaching"]

CONDUCTORS = {"dc": ("+",), "ac": LIVE}


class Reaching:
    """The answers for one circuit, worked out as they are asked for."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit, volts: SystemVolts) -> None:
        self._circuit, self._volts = circuit, volts
        switches = [r for item, r in snapshot.equipment.items() if r.positions() and circuit.switchable(item)]
        # with two positions each and no interlock, all closed is a state like any other
        self._is_plain = not snapshot.interlocks and all(len(record.positions()) <= 2 for record in switches)
        self._states: States | None = None
        if not self._is_plain:
            self._states = states_of(snapshot, circuit)
            self._is_plain = allows_nothing(self._states)  # they contradict each other and prove nothing
        self._nets: dict[str, Net] = {}
        self._feeds: dict[int, tuple[Feed, ...]] = {}

    def feeds(self, node: int) -> tuple[Feed, ...]:
        """Sources that can feed a node."""
        if node not in self._feeds:
            every = self._volts.at(node).feeds
            self._feeds[node] = every if self._is_plain else tuple(f for f in every if self.of(f, (node,)))
        return self._feeds[node]

    def of(self, feed: Feed, nodes: Iterable[int]) -> set[int]:
        """Those of the nodes that a source can feed. What a search could not decide counts as fed."""
        asked = {node for node in nodes if feed in self._volts.at(node).feeds}
        if self._is_plain or not asked:
            return asked
        assert self._states is not None
        system = feed.source.system
        if system not in self._nets:
            self._nets[system] = Net(self._circuit, self._states, CONDUCTORS[system], both_ways=system == "ac")
        net = self._nets[system]
        start = net.terminal(feed.node, feed.equipment, feed.source.positions)
        targets = {net.terminal(node): node for node in sorted(asked)}
        found = search(net, start, targets, enough=1)
        return {node for target, node in targets.items() if target in found.cubes or target in found.undecided}
