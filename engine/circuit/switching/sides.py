"""The conductors as a load sees them looking back: nets in which every contact and converter leaves its bit."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from engine.circuit.expand import Circuit, Link
from engine.circuit.paths import Net
from engine.circuit.states import States
from engine.circuit.switching.sources import Supply, Through
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot

__all__ = ["Side", "Sides"]

_Key = tuple[str, str]  # equipment, and the terminal of a module's channel or ""


class Side(NamedTuple):
    """The live conductors, or the returns: the net, and the terminals of the sources in it."""

    net: Net
    ends: dict[int, int]  # terminal of the net -> number of the source
    numbers: frozenset[int]  # sources asked for on this side


class Sides:
    """Makes the nets of one circuit. `bits`: of each device and converter, above `base`, those of the positions."""

    def __init__(
        self, snapshot: Snapshot, circuit: Circuit, states: States, base: int, through: Iterable[Through]
    ) -> None:
        self.snapshot, self.circuit, self.states = snapshot, circuit, states
        self._base = base
        self.bits: dict[_Key, int] = {}
        self._key_of_link = self._keys(through)

    def _keys(self, through: Iterable[Through]) -> Callable[[Link], int]:
        """The bit of what a way rests on by a contact; conductors that pass a device straight rest on nothing."""
        nodes, links = self.circuit.nodes, self.circuit.links
        channels = {
            (item, remote.terminal)
            for item, record in self.snapshot.equipment.items()
            for remote in record.remotes()
            if remote.terminal
        }
        parts = {link.equipment for link in links if link.protection is not None or link.positions is not None}
        for each in through:
            self._bit((each.equipment, ""))

        def bit(link: Link) -> int:
            item = link.equipment
            if link.protection is None and link.positions is None and item in parts:
                return 0
            for node in (link.a, link.b):
                if (item, nodes[node].terminal) in channels:
                    return self._bit((item, nodes[node].terminal))
            return self._bit((item, ""))

        return bit

    def _bit(self, key: _Key) -> int:
        if key not in self.bits:
            self.bits[key] = 1 << (self._base + len(self.bits))
        return self.bits[key]

    def side(
        self, conductors: tuple[str, ...], through: Iterable[Through], supplies: Sequence[Supply], numbers: set[int]
    ) -> Side:
        """The conductors named, with the converters of `through` and the sources of these numbers."""
        net = Net(self.circuit, self.states, conductors, both_ways=False, backwards=True, extra=self._key_of_link)
        is_live = conductors is LIVE
        for each in through:
            for output in each.outputs if is_live else each.back_outputs:
                for node in each.inputs if is_live else each.back_inputs:
                    net.lead(output, node, each.equipment, each.positions, self._bit((each.equipment, "")))
        ends: dict[int, int] = {}
        for number in sorted(numbers):
            supply = supplies[number]
            for point in supply.live if is_live else supply.back:
                ends[net.terminal(point, supply.equipment, supply.positions)] = number
        return Side(net, ends, frozenset(numbers))
