"""Questions about switch positions put to a SAT solver (python-sat). Nothing of our own search is used.

A device is one variable a position, exactly one true. An interlock is a cardinality constraint. That two points are
joined needs support step by step: `joined` unrolls the reach level by level. That they are not joined is a set of
points closed under every contact that conducts, which holds the one and not the other: `apart`.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pysat.card import CardEnc, EncType
from pysat.formula import IDPool
from pysat.solvers import Solver

__all__ = ["Edge", "Question"]


class Edge(NamedTuple):
    """Points `a` and `b` are joined while `device` stands in one of `positions`; `device` "": always.

    `one_way`: from `a` to `b` only.
    """

    a: int
    b: int
    device: str = ""
    positions: frozenset[str] = frozenset()
    one_way: bool = False

    def ways(self) -> tuple[tuple[int, int], ...]:
        """The directions it leads in."""
        return ((self.a, self.b),) if self.one_way else ((self.a, self.b), (self.b, self.a))


class Question:
    """A network of switches in a solver."""

    def __init__(
        self,
        devices: Sequence[tuple[str, tuple[str, ...]]],
        locks: Iterable[tuple[int, Sequence[tuple[str, Iterable[str]]]]],
        solver: str = "cadical153",
    ) -> None:
        self.pool = IDPool()
        self.devices = devices
        self.solver = Solver(name=solver)
        for device, positions in devices:
            own = [self.at(device, p) for p in positions]
            self.solver.add_clause(own)
            for a, b in itertools.combinations(own, 2):
                self.solver.add_clause([-a, -b])
        known = {device for device, _positions in devices}
        for at_most, held in locks:
            holds = []
            for device, positions in held:
                if device in known:
                    literal = self.pool.id(f"hold {at_most} {device} {sorted(positions)}")
                    for p in positions:
                        self.solver.add_clause([-self.at(device, p), literal])
                    holds.append(literal)
            if len(holds) > at_most:
                made = CardEnc.atmost(holds, at_most, vpool=self.pool, encoding=EncType.seqcounter)
                for clause in made.clauses:
                    self.solver.add_clause(clause)

    def at(self, device: str, position: str) -> int:
        """The variable "this device stands in this position"."""
        return self.pool.id(f"{device}={position}")

    def _guard(self, edge: Edge) -> int | None:
        if not edge.device:
            return None
        name = f"guard {edge.device} {sorted(edge.positions)}"
        fresh = name not in self.pool.obj2id
        literal = self.pool.id(name)
        if fresh:
            mine = [self.at(edge.device, p) for p in sorted(edge.positions)]
            self.solver.add_clause([-literal, *mine])
            for each in mine:
                self.solver.add_clause([literal, -each])
        return literal

    def joined(self, edges: Sequence[Edge], start: int, stop: int, depth: int | None = None) -> int:
        """A literal that may be true only where `stop` is reached from `start`."""
        points = sorted({e.a for e in edges} | {e.b for e in edges} | {start, stop})
        name = f"joined {next(self._count)}"
        now = dict.fromkeys(points, 0)
        now[start] = self._true()
        for level in range(depth if depth is not None else len(points) - 1):
            after = {}
            for p in points:
                # reached before, or over an edge that conducts from a point reached before
                supports = [now[p]] if now[p] else []
                for edge in edges:
                    for u, v in edge.ways():
                        if v == p and u != v and now[u]:
                            guard = self._guard(edge)
                            if guard is None:
                                supports.append(now[u])
                            else:
                                both = self.pool.id(f"{name} {level} {u} {v} {edge.device} {sorted(edge.positions)}")
                                self.solver.add_clause([-both, now[u]])
                                self.solver.add_clause([-both, guard])
                                supports.append(both)
                if not supports:
                    after[p] = 0
                    continue
                after[p] = self.pool.id(f"{name} {level} at {p}")
                self.solver.add_clause([-after[p], *dict.fromkeys(supports)])
            now = after
        return now[stop] or -self._true()

    def apart(self, edges: Sequence[Edge], start: int, stop: int) -> int:
        """A literal that may be true only where `stop` is not reached from `start`."""
        count = next(self._count)
        switch = self.pool.id(f"apart {count}")

        def inside(point: int) -> int:
            return self.pool.id(f"apart {count} at {point}")

        self.solver.add_clause([-switch, inside(start)])
        self.solver.add_clause([-switch, -inside(stop)])
        for edge in edges:
            guard = self._guard(edge)
            for u, v in edge.ways():
                clause = [-switch, -inside(u), inside(v)]
                self.solver.add_clause(clause if guard is None else [*clause, -guard])
        return switch

    def solve(self, assume: Sequence[int] = ()) -> dict[str, str] | None:
        """A full permitted state in which all that is assumed is so, `None` where there is none."""
        if not self.solver.solve(assumptions=list(assume)):
            return None
        true = {v for v in self.solver.get_model() if v > 0}
        return {d: next(p for p in positions if self.at(d, p) in true) for d, positions in self.devices}

    def minimal_sets(self, joined: int, apart: int, most: int) -> list[dict[str, str]]:
        """Sets of positions from which the join follows and none can be dropped, at most `most`, and all if fewer.

        A state that joins is shrunk device by device as long as no permitted state within it is apart.
        """
        found: list[dict[str, str]] = []
        blocked: list[int] = []
        while len(found) < most:
            state = self.solve([joined, *blocked])
            if state is None:
                break
            kept = dict(state)
            for device in state:
                less = {d: p for d, p in kept.items() if d != device}
                if self.solve([apart, *(self.at(d, p) for d, p in less.items())]) is None:
                    kept = less
            found.append(kept)
            bar = self.pool.id(f"bar {next(self._count)}")
            self.solver.add_clause([-bar, *(-self.at(d, p) for d, p in kept.items())])
            blocked.append(bar)
        return found

    _count = itertools.count()

    def _true(self) -> int:
        fresh = "true" not in self.pool.obj2id
        literal = self.pool.id("true")
        if fresh:
            self.solver.add_clause([literal])
        return literal
