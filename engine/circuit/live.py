"""What is live with every switch in a given position: which equipment and runs some source puts voltage on.

Reachability from the sources over whatever conducts in those positions, conductor by conductor, as `expand` made them.
Only ungrounded conductors count (`LIVE`): a run that brings nothing but negative, neutral or earth is not live.

The view is a cautious one. Protective devices are taken as whole (a fuse conducts; a breaker conducts unless it stands
open in these positions), channels of a switching module as on, diodes as conducting one way only. What feeds:

* a battery and a solar array always give voltage;
* what must run or be plugged in (alternator, generator, wind or water generator, shore supply) gives voltage where the
  condition lists it as running. Where the condition lists none at all, nobody recorded which run: then each is
  *doubtful*. As drawn, without a condition, each counts as giving voltage;
* a converter gives voltage where it is fed (or is listed as running), in the positions its record names; a
  transformer also backwards. One whose input is not drawn is taken as a source that must run.

*Doubtful* is what may be live as far as the record tells: fed through a contact, or by a source, of which it is not
recorded whether it is there, joined to equipment of a kind this version does not know, or a run with a conductor that
neither of its terminals carries. It is never called dead.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.equipment.base import LIVE, Conversion, Source

__all__ = ["Live", "live_items"]


class Live(NamedTuple):
    """Ids of equipment and runs of which some conductor is live, and of those that may be."""

    live: frozenset[str]
    doubtful: frozenset[str]


class _Converter(NamedTuple):
    """A way energy takes through equipment without conduction: any of `inputs` live makes `outputs` live."""

    inputs: tuple[int, ...]
    outputs: tuple[int, ...]
    supposed: bool


class _Sources(NamedTuple):
    """What gives voltage by itself: nodes, and equipment that does though nothing is joined to it."""

    nodes: set[int]
    items: set[str]


def live_items(circuit: Circuit, positions: Mapping[str, str], running: Collection[str] | None = None) -> Live:
    """What is live where the equipment in `positions` stands as named, all other as drawn.

    `running`: the sources that run in the condition; `None`: as drawn, any may.
    """
    net = _Net(circuit, positions)
    sure, perhaps = net.sources(running)
    live = net.spread(sure.nodes, supposed=False)
    maybe = net.spread(live | perhaps.nodes, supposed=True) - live
    live_ids = net.touched(live) | sure.items
    return Live(frozenset(live_ids), frozenset((net.touched(maybe) | perhaps.items) - live_ids))


class _Net:
    """The live conductors of a circuit in one state."""

    def __init__(self, circuit: Circuit, positions: Mapping[str, str]) -> None:
        self.circuit = circuit
        self._positions = positions
        hot = self._hot = [node.conductor in LIVE for node in circuit.nodes]
        self._near: list[list[tuple[int, bool]]] = [[] for _node in circuit.nodes]  # far node, whether supposed
        for wire in circuit.wires:
            self._join(wire.a, wire.b)
        for link in circuit.links:
            if not hot[link.a] or not hot[link.b] or not self._holds(link.equipment, link.positions):
                continue
            self._join(link.a, link.b, bool(link.supposed), link.one_way)
        self._at: dict[str, dict[str, list[int]]] = {}  # equipment -> terminal -> its live conductors
        for number, node in enumerate(circuit.nodes):
            if hot[number]:
                self._at.setdefault(node.equipment, {}).setdefault(node.terminal, []).append(number)
        self._conversions: dict[str, list[Conversion]] = {}
        for item, conversion in circuit.conversions:
            self._conversions.setdefault(item, []).append(conversion)
        self._converters: dict[int, list[_Converter]] = {}  # by each input
        for item in self._conversions:
            self._convert(item)

    def _join(self, a: int, b: int, supposed: bool = False, one_way: bool = False) -> None:
        if self._hot[a] and self._hot[b]:
            self._near[a].append((b, supposed))
            if not one_way:
                self._near[b].append((a, supposed))

    def _holds(self, item: str, positions: frozenset[str] | None) -> bool:
        if positions is None:
            return True
        at = self._positions.get(item)
        return (self.circuit.snapshot.equipment[item].drawn_position() if at is None else at) in positions

    def _nodes(self, item: str, terminal: str) -> list[int]:
        return self._at.get(item, {}).get(terminal, [])

    # -- converters ---------------------------------------------------------------------------------------------
    def _convert(self, item: str) -> None:
        record = self.circuit.snapshot.equipment[item]
        conversions = self._conversions[item]
        made: list[_Converter] = []
        for source in record.sources(self.circuit.joined.get(item, frozenset())):
            node = self.circuit.node(item, source.terminal, source.conductor)
            if node is None or not self._holds(item, source.positions):
                continue
            inputs = [n for t in self._inputs(item, source) for n in self._nodes(item, t)]
            made.append(_Converter(tuple(inputs), (node,), bool(source.supposed)))
        for conversion in conversions:
            if conversion.both_ways and self._holds(item, conversion.positions):
                back = self._nodes(item, conversion.source)
                made.append(_Converter(tuple(self._nodes(item, conversion.target)), tuple(back), False))
        for converter in made:
            for node in converter.inputs:
                self._converters.setdefault(node, []).append(converter)

    def _inputs(self, item: str, source: Source) -> list[str]:
        """Terminals that feed a converter's source."""
        conversions = self._conversions[item]
        into = [c for c in conversions if c.target == source.terminal]
        if not into and source.supposed:  # it may work backwards: fed where it otherwise gives
            return [c.target for c in conversions if c.source == source.terminal]
        return [c.source for c in into if self._holds(item, c.positions)]

    # -- sources ------------------------------------------------------------------------------------------------
    def sources(self, running: Collection[str] | None) -> tuple[_Sources, _Sources]:
        """What gives voltage by itself, and what may."""
        sure, perhaps = _Sources(set(), set()), _Sources(set(), set())
        refused = Counter((run, conductor) for run, _end, conductor in self.circuit.refused if conductor in LIVE)
        perhaps.items.update(run for (run, _conductor), ends in refused.items() if ends > 1)
        for item, record in self.circuit.snapshot.equipment.items():
            joined = self.circuit.joined.get(item, frozenset())
            if not record.KIND:  # nobody can tell what it is
                perhaps.items.add(item)
                perhaps.nodes.update(n for some in self._at.get(item, {}).values() for n in some)
                continue
            for source in record.sources(joined):
                if not self._holds(item, source.positions):
                    continue
                kind = self._gives(item, source, joined, running)
                if kind is None:
                    continue
                into = sure if kind and not source.supposed else perhaps
                into.items.add(item)
                node = self.circuit.node(item, source.terminal, source.conductor)
                if node is not None:
                    into.nodes.add(node)
        return sure, perhaps

    def _gives(self, item: str, source: Source, joined: frozenset[str], running: Collection[str] | None) -> bool | None:
        """Whether a source gives voltage by itself: yes; `None` no; `False` perhaps."""
        if running is not None and item in running:
            return True
        if item in self._conversions:
            inputs = self._inputs(item, source)
            if not joined or source.supposed or any(terminal in joined for terminal in inputs) or not inputs:
                return None  # only where it is fed
        elif source.battery or source.adapts:
            return True
        if running is None:
            return True
        return None if running else False

    # -- what is reached ----------------------------------------------------------------------------------------
    def spread(self, start: Iterable[int], *, supposed: bool) -> set[int]:
        """Every node that voltage on `start` reaches; `supposed`: also through what may be there or not."""
        seen = set(start)
        todo = list(seen)
        while todo:
            node = todo.pop()
            reached = [far for far, open_question in self._near[node] if supposed or not open_question]
            for converter in self._converters.get(node, ()):
                if supposed or not converter.supposed:
                    reached.extend(converter.outputs)
            for far in reached:
                if far not in seen:
                    seen.add(far)
                    todo.append(far)
        return seen

    def touched(self, nodes: set[int]) -> set[str]:
        """Equipment and runs with one of these nodes."""
        made = {self.circuit.nodes[n].equipment for n in nodes}
        made.update(wire.run for wire in self.circuit.wires if wire.a in nodes or wire.b in nodes)
        return made
