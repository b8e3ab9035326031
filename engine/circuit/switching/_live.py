"""Which equipment has supply in one state: from what runs or stores energy, through converters, there and back."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engine.circuit.expand import Circuit
from engine.circuit.switching.feeding import Supply, Through, supplies
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot

__all__ = ["Fed"]

RETURNS = ("-", "N")


class Fed:
    """Answers for one circuit. Sun, wind and water are not counted on."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit) -> None:
        self.snapshot, self.circuit = snapshot, circuit
        every, self.through = supplies(snapshot, circuit)
        self.supplies = [s for s in every if snapshot.equipment[s.equipment].harvest() is None]
        self._live = {i for i, node in enumerate(circuit.nodes) if node.conductor in LIVE}
        self._near: list[list[tuple[int, str, frozenset[str] | None]]] = [[] for _ in circuit.nodes]
        for wire in circuit.wires:
            self._near[wire.a].append((wire.b, "", None))
            self._near[wire.b].append((wire.a, "", None))
        for link in circuit.links:
            if link.supposed or (link.a in self._live) != (link.b in self._live):
                continue
            self._near[link.a].append((link.b, link.equipment, link.positions))
            if not link.one_way or link.a not in self._live:
                self._near[link.b].append((link.a, link.equipment, link.positions))

    def items(self, positions: Mapping[str, str], gives: Callable[[Supply], bool], off: frozenset[str]) -> set[str]:
        """Equipment with supply at a terminal; `gives`: whether a source does, `off`: converters that are off.

        What `positions` names with a position it does not have stands between two and joins nothing.
        """
        fed_live, fed_back = self._reached(positions, gives, off)
        made = set()
        for node in fed_live:
            item, terminal = self.circuit.nodes[node].equipment, self.circuit.nodes[node].terminal
            back = tuple(n for c in RETURNS if (n := self.circuit.node(item, terminal, c)) is not None)
            if self._is_fed(node, back, fed_live, fed_back):
                made.add(item)
        return made

    def at(
        self,
        positions: Mapping[str, str],
        gives: Callable[[Supply], bool],
        off: frozenset[str],
        item: str,
        terminal: str,
    ) -> bool:
        """Whether a live conductor of a terminal has voltage."""
        live, _back = self._reached(positions, gives, off)
        return any(self.circuit.node(item, terminal, c) in live for c in LIVE)

    def _reached(
        self, positions: Mapping[str, str], gives: Callable[[Supply], bool], off: frozenset[str]
    ) -> tuple[set[int], dict[int, set[int]]]:
        """Live nodes that have voltage, and the returns of the sources that give it."""
        fed_live: set[int] = set()
        fed_back: dict[int, set[int]] = {}  # live node -> returns of the sources that reach it
        waiting = [t for t in self.through if t.equipment not in off and _holds(positions, t.equipment, t.positions)]
        todo = [
            (s.live, s.back)
            for s in self.supplies
            if s.equipment not in off and gives(s) and _holds(positions, s.equipment, s.positions)
        ]
        while todo:
            live, back = todo.pop()
            returns = self._spread(back, positions)
            for node in self._spread(live, positions):
                fed_live.add(node)
                fed_back.setdefault(node, set()).update(returns)
            still: list[Through] = []
            for each in waiting:
                if any(self._is_fed(n, each.back_inputs, fed_live, fed_back) for n in each.inputs):
                    todo.append((each.outputs, each.back_outputs))
                else:
                    still.append(each)
            waiting = still
        return fed_live, fed_back

    def _is_fed(self, node: int, back: tuple[int, ...], live: set[int], returns: dict[int, set[int]]) -> bool:
        """Live, and its return, where one is drawn, comes back to a source that makes it live."""
        return node in live and (not back or not returns[node] or any(n in returns[node] for n in back))

    def _spread(self, start: tuple[int, ...], positions: Mapping[str, str]) -> set[int]:
        seen, todo = set(start), list(start)
        while todo:
            for to, item, needs in self._near[todo.pop()]:
                if to not in seen and (needs is None or _holds(positions, item, needs)):
                    seen.add(to)
                    todo.append(to)
        return seen


def _holds(positions: Mapping[str, str], item: str, needs: frozenset[str] | None) -> bool:
    return needs is None or item not in positions or positions[item] in needs
