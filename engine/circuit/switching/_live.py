"""Which equipment has supply in one state: from what runs or stores energy, through converters, there and back."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engine.circuit.expand import Circuit
from engine.circuit.switching._contracted import Contracted
from engine.circuit.switching.feeding import Supply, Through, supplies
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot

__all__ = ["Fed"]

RETURNS = ("-", "N")


class _Place:
    """A terminal that can have supply: where its live conductors and its returns are."""

    __slots__ = ("back", "item", "live")

    def __init__(self, item: str, live: set[int], back: set[int]) -> None:
        self.item, self.live, self.back = item, live, back


class Fed:
    """Answers for one circuit. Sun, wind and water are not counted on."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit) -> None:
        self.circuit = circuit
        self.net = Contracted(circuit)
        every, self.through = supplies(snapshot, circuit)
        self.supplies = [s for s in every if snapshot.equipment[s.equipment].harvest() is None]
        at: dict[tuple[str, str], tuple[set[int], set[int]]] = {}
        for number, node in enumerate(circuit.nodes):
            live, back = at.setdefault((node.equipment, node.terminal), (set(), set()))
            if node.conductor in LIVE:
                live.add(self.net.root[number])
            elif node.conductor in RETURNS:
                back.add(self.net.root[number])
        self._places = [_Place(item, *ends) for (item, _terminal), ends in at.items() if ends[0]]

    def items(self, positions: Mapping[str, str], gives: Callable[[Supply], bool], off: frozenset[str]) -> set[str]:
        """Equipment with supply at a terminal; `gives`: whether a source does, `off`: converters that are off.

        What `positions` names with a position it does not have stands between two and joins nothing.
        """
        fed = self._reached(positions, gives, off)
        return {place.item for place in self._places if _is_fed(fed, place.live, place.back)}

    def at(
        self,
        positions: Mapping[str, str],
        gives: Callable[[Supply], bool],
        off: frozenset[str],
        item: str,
        terminal: str,
    ) -> bool:
        """Whether a live conductor of a terminal has voltage."""
        fed = self._reached(positions, gives, off)
        nodes = (self.circuit.node(item, terminal, c) for c in LIVE)
        return any(self.net.root[n] in fed for n in nodes if n is not None)

    def _reached(
        self, positions: Mapping[str, str], gives: Callable[[Supply], bool], off: frozenset[str]
    ) -> dict[int, set[int]]:
        """Where there is voltage, and the returns of the sources that give it."""
        net = self.net
        fed: dict[int, set[int]] = {}
        waiting = [t for t in self.through if t.equipment not in off and _holds(positions, t.equipment, t.positions)]
        todo = [
            (s.live, s.back)
            for s in self.supplies
            if s.equipment not in off and gives(s) and _holds(positions, s.equipment, s.positions)
        ]
        while todo:
            live, back = todo.pop()
            returns = net.spread(net.roots(back), positions)
            for root in net.spread(net.roots(live), positions):
                fed.setdefault(root, set()).update(returns)
            still: list[Through] = []
            for each in waiting:
                if _is_fed(fed, net.roots(each.inputs), net.roots(each.back_inputs)):
                    todo.append((each.outputs, each.back_outputs))
                else:
                    still.append(each)
            waiting = still
        return fed


def _is_fed(fed: Mapping[int, set[int]], live: set[int], back: set[int]) -> bool:
    """Live, and its return, where one is drawn, comes back to a source that makes it live."""
    return any(root in fed and (not back or not fed[root] or not back.isdisjoint(fed[root])) for root in live)


def _holds(positions: Mapping[str, str], item: str, needs: frozenset[str] | None) -> bool:
    return needs is None or item not in positions or positions[item] in needs
