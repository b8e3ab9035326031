"""Where a current comes from and what its figures rest on: the source that feeds a point, fields missing upstream.

The source of a point is found against the current: from the point through whatever brings most power, to a source.
A point that no current reaches has the main source of its island. Returns (negatives, neutrals) are followed over the
fewest branches to a source.
"""

from __future__ import annotations

from collections import deque

import numpy as np

from engine.circuit.flow._settle import Settled
from engine.circuit.flow.netlist import NetSource
from engine.circuit.solve.network import Network, Solution

__all__ = ["Trace"]

NEGLIGIBLE = 1e-9  # of the largest current of the network


class Trace:
    """One network of a solution, with volts and currents as plain numbers."""

    def __init__(self, done: Settled, system: str) -> None:
        self.done, self.system = done, system
        self.net: Network = done.built.nets[system]
        found: Solution = done.solutions[system]
        net = self.net
        self.volts: list[complex] = found.volts.tolist()
        self.island: list[int] = found.island.tolist()
        self.branch_a: list[complex] = found.branch_a.tolist()
        self.diode_a: list[complex] = found.diode_a.tolist()
        noise = 2 * found.residual_a  # what is left of two equal volts over a small resistance is no current
        self.source_a: list[complex] = [amps if abs(amps) > noise else 0.0 for amps in found.source_a.tolist()]
        self.load_a: list[complex] = found.load_a.tolist()
        self.load_v: list[complex] = found.load_v.tolist()
        self.is_limited: list[bool] = found.is_limited.tolist()
        self.is_collapsed: list[bool] = found.is_collapsed.tolist()
        self.sources = [source for source in done.built.sources if source.system == system]
        self.group = self._groups()
        self.at_zero: dict[int, int] = {}  # island -> return point of its main source
        self.main: dict[int, NetSource] = {}  # group -> its main source
        best: dict[int, float] = {}
        most: dict[int, float] = {}
        for source in self.sources:
            if net.limit_a[source.number] == 0:
                continue
            pos, neg = net.source_pos[source.number], net.source_neg[source.number]
            watts = self.watts(source)
            island = self.island[pos]
            if island != self.island[neg]:
                continue
            if island not in best or watts > best[island]:
                best[island] = watts
                self.at_zero[island] = neg
            group = self.group[pos]
            if group not in most or watts > most[group]:
                most[group] = watts
                self.main[group] = source
        self._came: list[tuple[int, int] | None] | None = None  # point -> (point before, branch; diodes after)
        self._source_at: dict[int, NetSource] = {}
        self._feeds: dict[int, tuple[NetSource | None, tuple[str, ...]]] = {}
        self._back: dict[int, tuple[str, ...]] | None = None
        self._stripped: tuple[dict[int, tuple[int, int]], dict[int, list[int]]] | None = None
        self.unknown = {branch: fields for (of, branch), fields in done.built.unknown.items() if of == system}

    def _groups(self) -> list[int]:
        """Live points that conductors, contacts and diodes join; a return is a group of its own."""
        net = self.net
        above = list(range(net.size))
        live = self.done.built.frame.is_live[self.system]
        count = len(live)

        def top(point: int) -> int:
            while above[point] != point:
                above[point] = above[above[point]]
                point = above[point]
            return point

        for a, b in (*zip(net.a, net.b, strict=True), *zip(net.diode_a, net.diode_b, strict=True)):
            if a < count and b < count and live[a] and live[b]:
                above[top(a)] = top(b)
        return [top(point) for point in range(net.size)]

    def is_fed(self, point: int) -> bool:
        """Whether a source stands on the point's island."""
        return point >= 0 and self.island[point] in self.at_zero

    def across(self, source: NetSource) -> complex:
        """Volts at a source's terminals."""
        net = self.net
        return self.volts[net.source_pos[source.number]] - self.volts[net.source_neg[source.number]]

    def watts(self, source: NetSource) -> float:
        """What it gives at its electromotive force; negative where it takes."""
        amps = complex(self.source_a[source.number])
        return ((self.across(source) + amps * self.net.source_z[source.number]) * amps.conjugate()).real

    # -- upstream ---------------------------------------------------------------------------------------------------
    def _upstream(self) -> list[tuple[int, int] | None]:
        """For each point, what brings it most power."""
        net = self.net
        count = len(net.z)
        size = net.size
        zero = np.zeros(size, dtype=np.int64)
        island = np.array(self.island, dtype=np.int64)
        for number, point in self.at_zero.items():
            zero[island == number] = point
        volts = np.array(self.volts)
        above = volts - volts[zero]
        a = np.array(net.a + net.diode_a, dtype=np.int64)
        b = np.array(net.b + net.diode_b, dtype=np.int64)
        amps = np.array(self.branch_a + self.diode_a)
        power = ((above[a] + above[b]) / 2 * amps.conj()).real
        least = NEGLIGIBLE * float(np.abs(power).max(initial=0.0))
        came: list[tuple[int, int] | None] = [None] * size
        most = [least] * size
        for source in self.sources:
            watts = self.watts(source)
            at = net.source_pos[source.number]
            if watts > most[at]:
                most[at] = watts
                self._source_at[at] = source
        for branch, (one, other, watts) in enumerate(zip(a.tolist(), b.tolist(), power.tolist(), strict=True)):
            if watts < 0:
                one, other, watts = other, one, -watts
            if watts > most[other]:
                most[other] = watts
                came[other] = one, branch
                self._source_at.pop(other, None)
        assert count <= len(a)
        return came

    def feeding(self, point: int) -> tuple[NetSource | None, tuple[str, ...]]:
        """The source that feeds a live point, and fields missing for the volts on the way from it."""
        if self._came is None:
            self._came = self._upstream()
        found = self._feeds.get(point)
        if found is not None:
            return found
        way, here, seen = [], point, set()
        while True:
            known = self._feeds.get(here)
            if known is not None:
                break
            if here in self._source_at:
                known = self._source_at[here], ()
                self._feeds[here] = known
                break
            before = self._came[here]
            if before is None or here in seen:
                known = self.main.get(self.group[here]), ()
                self._feeds[here] = known
                break
            seen.add(here)
            way.append((here, before[1]))
            here = before[0]
        source, missing = known
        for at, branch in reversed(way):
            more = self.unknown.get(branch)
            if more:
                missing = tuple(dict.fromkeys((*missing, *more)))
            self._feeds[at] = source, missing
        return source, missing

    def returning(self, point: int) -> tuple[str, ...]:
        """Fields missing for the volts of a return, on its way to a source."""
        if not self.unknown:
            return ()
        if self._back is None:
            self._back = self._returns()
        return self._back.get(point, ())

    def _returns(self) -> dict[int, tuple[str, ...]]:
        near: dict[int, list[tuple[int, int]]] = {}
        live = self.done.built.frame.is_live[self.system]
        count = len(live)
        for branch, (a, b) in enumerate(zip(self.net.a, self.net.b, strict=True)):
            if not ((a < count and live[a]) or (b < count and live[b])):
                near.setdefault(a, []).append((b, branch))
                near.setdefault(b, []).append((a, branch))
        start = [self.net.source_neg[source.number] for source in self.sources]
        made: dict[int, tuple[str, ...]] = dict.fromkeys(start, ())
        todo = deque(start)
        while todo:
            at = todo.popleft()
            for to, branch in near.get(at, ()):
                if to not in made:
                    made[to] = tuple(dict.fromkeys((*made[at], *self.unknown.get(branch, ()))))
                    todo.append(to)
        return made

    # -- what is a least value only ---------------------------------------------------------------------------------
    def upstream_of(self, pos: int, neg: int) -> list[int]:
        """Branches (diodes counted after them) that carry more when a load between two points takes more.

        Those on any way to a source that can give more: the load's own ways to where such sources are joined, and
        all that joins them.
        """
        if self._stripped is None:
            self._stripped = self._strip()
        toward, core = self._stripped
        found: dict[int, None] = {}
        for point in (pos, neg):
            while point in toward:
                branch, point = toward[point]
                found[branch] = None
        for island in dict.fromkeys((self.island[pos], self.island[neg])):
            found |= dict.fromkeys(core.get(island, ()))
        return list(found)

    def _strip(self) -> tuple[dict[int, tuple[int, int]], dict[int, list[int]]]:
        """Dead ends taken away again and again: (branch, point) each leads to; by island what is left."""
        net = self.net
        a, b = net.a + net.diode_a, net.b + net.diode_b
        keep: set[int] = set()
        for source in self.sources:
            can = net.limit_a[source.number] > 0 and not self.is_limited[source.number]
            idle = net.one_way[source.number] and abs(self.across(source)) > abs(source.emf) * (1 + 1e-9)
            if can and not idle:
                keep |= {net.source_pos[source.number], net.source_neg[source.number]}
        at: list[list[int]] = [[] for _point in range(net.size)]
        for branch, (one, other) in enumerate(zip(a, b, strict=True)):
            at[one].append(branch)
            at[other].append(branch)
        degree = [len(here) for here in at]
        left = [True] * len(a)
        toward: dict[int, tuple[int, int]] = {}
        todo = [point for point in range(net.size) if degree[point] == 1 and point not in keep]
        while todo:
            point = todo.pop()
            for branch in at[point]:
                if left[branch]:
                    left[branch] = False
                    other = b[branch] if a[branch] == point else a[branch]
                    toward[point] = branch, other
                    degree[point] -= 1
                    degree[other] -= 1
                    if degree[other] == 1 and other not in keep:
                        todo.append(other)
        core: dict[int, list[int]] = {}
        for branch, stays in enumerate(left):
            if stays:
                core.setdefault(self.island[a[branch]], []).append(branch)
        return toward, core
