"""The circuit as a plain graph of conductors, walked without switch states: what can be reached at all.

For questions about earths, neutrals and residual-current protection, where every contact counts as closed. What can
flow, and in which switch state, is asked of `coverage` and `flow`.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterable
from typing import NamedTuple

from engine.circuit.expand import Circuit

__all__ = ["Reached", "Step", "Ways"]


class Step(NamedTuple):
    """One step from a node: along a wire, or through a contact inside equipment; the other is -1."""

    start: int
    to: int
    wire: int
    link: int


class Reached(NamedTuple):
    """A node reached: how far along the conductors, least and most (infinite where a length is not recorded)."""

    low_m: float
    high_m: float
    by: Step | None


class Ways:
    """Steps of a circuit from every node, in order of wires and contacts."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.steps: list[list[Step]] = [[] for _ in circuit.nodes]
        for number, wire in enumerate(circuit.wires):
            self.steps[wire.a].append(Step(wire.a, wire.b, number, -1))
            self.steps[wire.b].append(Step(wire.b, wire.a, number, -1))
        for number, link in enumerate(circuit.links):
            self.steps[link.a].append(Step(link.a, link.b, -1, number))
            if not link.one_way:
                self.steps[link.b].append(Step(link.b, link.a, -1, number))

    def reach(self, starts: Iterable[int], passes: Callable[[Step], bool]) -> dict[int, Step | None]:
        """Nodes reached from `starts` over steps that pass, each with the step that reached it."""
        found: dict[int, Step | None] = dict.fromkeys(starts)
        waiting = list(found)
        for node in waiting:
            for step in self.steps[node]:
                if step.to not in found and self._follows(found[node], step) and passes(step):
                    found[step.to] = step
                    waiting.append(step.to)
        return found

    def distances(self, starts: Iterable[int], passes: Callable[[Step], bool]) -> dict[int, Reached]:
        """As `reach`, with the shortest length of conductor; runs without a length count as nothing and as endless."""
        runs = self.circuit.snapshot.runs
        found: dict[int, Reached] = {}
        heap: list[tuple[float, int, int, float, Step | None]] = []
        for node in sorted(set(starts)):
            heap.append((0.0, node, len(heap), 0.0, None))
        count = len(heap)
        while heap:
            low, node, _count, high, by = heapq.heappop(heap)
            if node in found:
                continue
            found[node] = Reached(low, high, by)
            for step in self.steps[node]:
                if step.to in found or not self._follows(by, step) or not passes(step):
                    continue
                length = runs[self.circuit.wires[step.wire].run].length_m if step.wire >= 0 else 0.0
                more = (0.0, math.inf) if length is None else (length, length)
                count += 1
                heapq.heappush(heap, (low + more[0], step.to, count, high + more[1], step))
        return found

    def _follows(self, before: Step | None, step: Step) -> bool:
        """Not by two contacts of one device that are never closed together: in at 1, back out at 2."""
        if before is None or before.link < 0 or step.link < 0:
            return True
        one, other = self.circuit.links[before.link], self.circuit.links[step.link]
        if one.equipment != other.equipment or one.positions is None or other.positions is None:
            return True
        return bool(one.positions & other.positions)

    def runs_to(self, found: dict[int, Reached], node: int) -> tuple[str, ...]:
        """Ids of the runs on the way to a node, nearest the start first."""
        runs: list[str] = []
        step = found[node].by
        while step is not None:
            if step.wire >= 0:
                runs.append(self.circuit.wires[step.wire].run)
            step = found[step.start].by
        return tuple(reversed(runs))

    def equipment(self, step: Step) -> str:
        """Id of the equipment a step leads through, `""` where it goes along a run."""
        return self.circuit.links[step.link].equipment if step.link >= 0 else ""

    def conductor(self, node: int) -> str:
        """Name of the conductor of a node."""
        return self.circuit.nodes[node].conductor
