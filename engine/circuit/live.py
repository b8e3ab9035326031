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
from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.equipment.base import LIVE, Conversion, Source

__all__ = ["Live", "LiveNet", "live_items"]


class Live(NamedTuple):
    """Ids of equipment and runs of which some conductor is live, and of those that may be."""

    live: frozenset[str]
    doubtful: frozenset[str]


class Converter(NamedTuple):
    """A way energy takes through equipment without conduction: any of `inputs` live makes `outputs` live."""

    item: str
    inputs: tuple[int, ...]
    outputs: tuple[int, ...]
    supposed: bool


def live_items(circuit: Circuit, positions: Mapping[str, str], running: Collection[str] | None = None) -> Live:
    """What is live where the equipment in `positions` stands as named, all other as drawn.

    `running`: the sources that run in the condition; `None`: as drawn, any may.
    """
    net = LiveNet(circuit, positions)
    sure, perhaps = net.starts(running)
    live = net.spread((n for nodes in sure.values() for n in nodes), supposed=False)
    maybe = net.spread(live.union(*perhaps.values()), supposed=True) - live
    live_ids = net.touched(live) | sure.keys()
    return Live(frozenset(live_ids), frozenset((net.touched(maybe) | perhaps.keys() | net.refused()) - live_ids))


class LiveNet:
    """The live conductors of a circuit in one state."""

    def __init__(
        self,
        circuit: Circuit,
        positions: Mapping[str, str],
        gone: Collection[str] = (),
        silent: Collection[str] = (),
    ) -> None:
        """`gone` joins nothing and gives nothing (a fuse that is drawn); `silent` gives nothing and joins as before."""
        self.circuit = circuit
        self._positions = positions
        self._gone, self._silent = gone, silent
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
        self._converters: dict[int, list[Converter]] = {}  # by each input
        for item in self._conversions:
            self._convert(item)
        self.is_open = any(q for near in self._near for _far, q in near) or any(
            c.supposed for c in self.every_converter()
        )  # something may be there or not

    def _join(self, a: int, b: int, supposed: bool = False, one_way: bool = False) -> None:
        if self._hot[a] and self._hot[b]:
            self._near[a].append((b, supposed))
            if not one_way:
                self._near[b].append((a, supposed))

    def _holds(self, item: str, positions: frozenset[str] | None) -> bool:
        if item in self._gone:
            return False
        if positions is None:
            return True
        at = self._positions.get(item)
        return (self.circuit.snapshot.equipment[item].drawn_position() if at is None else at) in positions

    def _nodes(self, item: str, terminal: str) -> list[int]:
        return self._at.get(item, {}).get(terminal, [])

    # -- converters ---------------------------------------------------------------------------------------------
    def _convert(self, item: str) -> None:
        if item in self._silent:
            return
        record = self.circuit.snapshot.equipment[item]
        conversions = self._conversions[item]
        made: list[Converter] = []
        for source in record.sources(self.circuit.joined.get(item, frozenset())):
            node = self.circuit.node(item, source.terminal, source.conductor)
            if node is None or not self._holds(item, source.positions):
                continue
            inputs = [n for t in self._inputs(item, source) for n in self._nodes(item, t)]
            made.append(Converter(item, tuple(inputs), (node,), bool(source.supposed)))
        for conversion in conversions:
            if conversion.both_ways and self._holds(item, conversion.positions):
                back = self._nodes(item, conversion.source)
                made.append(Converter(item, tuple(self._nodes(item, conversion.target)), tuple(back), False))
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
    def starts(self, running: Collection[str] | None) -> tuple[dict[str, list[int]], dict[str, list[int]]]:
        """What gives voltage by itself, and what may: equipment with its conductors, none where nothing is joined."""
        sure: dict[str, list[int]] = {}
        perhaps: dict[str, list[int]] = {}
        for item, record in self.circuit.snapshot.equipment.items():
            if item in self._silent:
                continue
            joined = self.circuit.joined.get(item, frozenset())
            if not record.KIND:  # nobody can tell what it is
                perhaps[item] = [n for some in self._at.get(item, {}).values() for n in some]
                continue
            for source in record.sources(joined):
                if not self._holds(item, source.positions):
                    continue
                kind = self._gives(item, source, joined, running)
                if kind is None:
                    continue
                into = sure if kind and not source.supposed else perhaps
                nodes = into.setdefault(item, [])
                node = self.circuit.node(item, source.terminal, source.conductor)
                if node is not None:
                    nodes.append(node)
        return sure, perhaps

    def refused(self) -> set[str]:
        """Runs with an ungrounded conductor that neither of their terminals carries."""
        ends = Counter((run, conductor) for run, _end, conductor in self.circuit.refused if conductor in LIVE)
        return {run for (run, _conductor), count in ends.items() if count > 1}

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

    def every_converter(self) -> Iterator[Converter]:
        """Every way through a converter, once."""
        seen: set[int] = set()
        for some in self._converters.values():
            for each in some:
                if id(each) not in seen:
                    seen.add(id(each))
                    yield each

    # -- what is reached ----------------------------------------------------------------------------------------
    def spread(self, start: Iterable[int], *, supposed: bool, without: str = "") -> set[int]:
        """Every node that voltage on `start` reaches; `supposed`: also through what may be there or not.

        `without`: a converter that is taken as standing still.
        """
        seen = set(start)
        todo = list(seen)
        while todo:
            node = todo.pop()
            for far in self.next_to(node, supposed=supposed, through=True, without=without):
                if far not in seen:
                    seen.add(far)
                    todo.append(far)
        return seen

    def next_to(self, node: int, *, supposed: bool, through: bool = False, without: str = "") -> list[int]:
        """Where voltage on a conductor stands next; `supposed`: also over what may be there; `through` converters."""
        made = [far for far, open_question in self._near[node] if supposed or not open_question]
        if through:
            for converter in self._converters.get(node, ()):
                if converter.item != without and (supposed or not converter.supposed):
                    made.extend(converter.outputs)
        return made

    def works_backwards(self, item: str) -> bool:
        """Whether a converter's output can put voltage on its input (windings)."""
        return any(c.both_ways for c in self._conversions.get(item, ()))

    def touched(self, nodes: set[int]) -> set[str]:
        """Equipment and runs with one of these nodes."""
        made = {self.circuit.nodes[n].equipment for n in nodes}
        made.update(wire.run for wire in self.circuit.wires if wire.a in nodes or wire.b in nodes)
        return made
