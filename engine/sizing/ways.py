"""How each load is fed: the runs its current goes and comes by, in one state of the switches.

A way ends at the first bank: behind an alternator that charges, what a load loses is counted from its battery.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.circuit.flow.returns import Return
from engine.equipment.base import LIVE

__all__ = ["Way", "Ways"]

POWER = (*LIVE, "-", "N")


class Way(NamedTuple):
    """Runs between a load and its source, and how many conductors of each the current passes in turn."""

    runs: dict[str, int]
    bank: str = ""  # the bank it is counted from, where that stands between the load and the source


class _Tree(NamedTuple):
    before: dict[int, tuple[int, str]]  # node -> (the one nearer the source, run or "")


class Ways:
    """Shortest ways, counted in steps, through closed contacts. Where there are several, one of them."""

    def __init__(
        self, circuit: Circuit, positions: dict[str, str], returns: list[Return], banks: frozenset[str]
    ) -> None:
        self.circuit = circuit
        self._banks = banks
        self._met = ""
        self._returns = {back.equipment: back for back in returns}
        self._near: dict[int, list[tuple[int, str]]] = {}
        self._of: dict[str, list[int]] = {}
        self._trees: dict[tuple[str, bool], _Tree] = {}
        nodes = circuit.nodes
        for number, node in enumerate(nodes):
            if node.conductor in POWER:
                self._of.setdefault(node.equipment, []).append(number)
        for wire in circuit.wires:
            if wire.conductor in POWER:
                self._join(wire.a, wire.b, wire.run)
        for link in circuit.links:
            if link.supposed or nodes[link.a].conductor not in POWER or nodes[link.b].conductor not in POWER:
                continue
            if link.positions is None or positions.get(link.equipment) in link.positions:
                self._join(link.a, link.b, "")

    def _join(self, a: int, b: int, run: str) -> None:
        self._near.setdefault(a, []).append((b, run))
        self._near.setdefault(b, []).append((a, run))

    def way(self, equipment: str, terminal: str, source: str) -> Way | None:
        """The way of what is taken at a terminal; `None` where none is drawn."""
        nodes = self.circuit.nodes
        self._met = ""
        mine = self._of.get(equipment, [])
        live = [n for n in mine if nodes[n].terminal == terminal and nodes[n].conductor in LIVE]
        back = [n for n in mine if nodes[n].conductor in ("-", "N")]
        back.sort(key=lambda n: nodes[n].terminal != terminal)
        go = next((runs for n in live if (runs := self._climb(n, source, True)) is not None), None)
        if go is None:
            return None
        counted = dict.fromkeys(go, 1)
        if nodes[live[0]].conductor == "+":
            returned = self._back(equipment, back, source)
            if returned is None:
                returned = go  # nowhere drawn: a conductor equal to the feed
        else:
            second = [n for n in (*back, *live[1:]) if self._climb(n, source, n in live) is not None]
            returned = (self._climb(second[0], source, second[0] in live) or []) if second else []
        for run in returned:
            counted[run] = counted.get(run, 0) + 1
        return Way(counted, self._met)

    def _back(self, equipment: str, back: list[int], source: str) -> list[str] | None:
        """Runs of the return: of a negative that is not drawn those its feed equals, up to where one is."""
        runs: list[str] = []
        seen = set()
        while not back and equipment in self._returns and equipment not in seen:
            seen.add(equipment)
            to = self._returns[equipment]
            runs += to.runs
            if to.node < 0:
                equipment = to.source
                if equipment == source:
                    return runs
                back = [n for n in self._of.get(equipment, []) if self.circuit.nodes[n].conductor == "-"]
            else:
                back = [to.node]
        rest = next((way for n in back if (way := self._climb(n, source, False)) is not None), None)
        if rest is None:
            return None
        own = self._returns.get(source) if not self._met else None
        return [*runs, *rest, *(own.runs if own is not None else ())]

    def _climb(self, node: int, source: str, is_live: bool) -> list[str] | None:
        before = self._tree(source, is_live).before
        if node not in before:
            return None
        runs: list[str] = []
        while before[node][0] >= 0:
            at = self.circuit.nodes[node].equipment
            # the bank that feeds it stands on its live way; its return may pass the negative post of another
            if at in self._banks and (is_live or at == self._met):
                self._met = at
                break
            node, run = before[node]
            if run:
                runs.append(run)
        return runs

    def _tree(self, source: str, is_live: bool) -> _Tree:
        key = (source, is_live)
        if key not in self._trees:
            nodes = self.circuit.nodes
            start = [n for n in self._of.get(source, []) if (nodes[n].conductor in LIVE) == is_live]
            to = self._returns.get(source)
            if not start and not is_live and to is not None and to.node >= 0:
                start = [to.node]  # its own negative is not drawn
            before = dict.fromkeys(start, (-1, ""))
            row = list(start)
            for here in row:
                for there, run in self._near.get(here, ()):
                    if there not in before and (nodes[there].conductor in LIVE) == is_live:
                        before[there] = here, run
                        row.append(there)
            self._trees[key] = _Tree(before)
        return self._trees[key]
