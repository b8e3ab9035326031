"""Which equipment stands on the way from a source to a load in one state: along runs, contacts and converters."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from typing import TYPE_CHECKING

from engine.circuit.expand import Circuit

if TYPE_CHECKING:
    from engine.circuit.switching.feeding import Through

__all__ = ["Traced"]


class Traced:
    """Ways over one circuit. From one source in one state they are found all at once, and kept."""

    def __init__(self, circuit: Circuit, through: Sequence[Through]) -> None:
        self.circuit = circuit
        # from each node: (node there, equipment passed "" for a run, positions in which it does)
        self._steps: list[list[tuple[int, str, frozenset[str] | None]]] = [[] for _ in circuit.nodes]
        for wire in circuit.wires:
            self._steps[wire.a].append((wire.b, "", None))
            self._steps[wire.b].append((wire.a, "", None))
        for link in circuit.links:
            if link.supposed:
                continue
            self._steps[link.a].append((link.b, link.equipment, link.positions))
            if not link.one_way:
                self._steps[link.b].append((link.a, link.equipment, link.positions))
        for each in through:
            for inputs, outputs in ((each.inputs, each.outputs), (each.back_inputs, each.back_outputs)):
                for start in inputs:
                    for stop in outputs:
                        self._steps[start].append((stop, each.equipment, each.positions))
        self._trees: dict[tuple[tuple[int, ...], frozenset[tuple[str, str]]], dict[int, int]] = {}

    def way(
        self,
        starts: tuple[int, ...],
        stops: Sequence[int],
        state: Mapping[str, str],
        conductors: Container[str],
        source: str,
    ) -> tuple[str, ...]:
        """Equipment on a way from `starts` to each of `stops`, in order from the source.

        What is not reached is left out. Devices that `state` does not name are closed.
        """
        key = starts, frozenset(state.items())
        tree = self._trees.get(key)
        if tree is None:
            tree = self._trees[key] = self._spread(starts, state, conductors)
        passed: dict[str, None] = {source: None}
        for stop in stops:
            on: list[str] = []
            node = stop
            while node in tree and tree[node] != node:
                on.append(self.circuit.nodes[node].equipment)
                node = tree[node]
            passed.update(dict.fromkeys(reversed(on)))
        return tuple(passed)

    def _spread(self, starts: tuple[int, ...], state: Mapping[str, str], conductors: Container[str]) -> dict[int, int]:
        nodes = self.circuit.nodes
        came = {start: start for start in starts}
        todo = list(starts)
        for node in todo:
            for to, item, positions in self._steps[node]:
                if to in came or nodes[to].conductor not in conductors:
                    continue
                if positions is not None and state.get(item, "") not in positions and item in state:
                    continue
                came[to] = node
                todo.append(to)
        return came
