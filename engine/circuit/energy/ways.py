"""Which bank a consumer lives on, and through which converters: the circuit in one condition, as ways of energy.

Live conductors that wires and closed contacts join are one *island*. An island with a running generator or shore lives
on that; one with a bank on the bank; else on whatever converter feeds it, and so on from that converter's input. Banks
on one island are one: the largest gives it its name.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.expand import Circuit, Feed
from engine.circuit.flow.operating import Operation
from engine.equipment.base import LIVE, Conversion, Draw, Source
from engine.equipment.behaviour import Store

__all__ = ["Fed", "Given", "Ways"]


class Given(NamedTuple):
    """A source that gives energy in this condition. `conversion` where it takes it from elsewhere."""

    equipment: str
    source: Source
    conversion: Conversion | None


class Fed(NamedTuple):
    """Where the energy at a terminal comes from: a bank (its island), or a running source; "" and -1: nowhere."""

    bank_island: int
    source: str
    chain: tuple[tuple[str, float | None], ...]  # (converter, efficiency), nearest the consumer first


NOTHING = Fed(-1, "", ())


class Ways:
    """Islands of a circuit in an operation, what gives on each, what banks stand there."""

    def __init__(self, circuit: Circuit, operation: Operation) -> None:
        self.circuit = circuit
        self.operation = operation
        self._parent = list(range(len(circuit.nodes)))
        self._converts: dict[str, list[Conversion]] = {}
        for item, conversion in circuit.conversions:
            self._converts.setdefault(item, []).append(conversion)
        self._nodes: dict[int, list[int]] | None = None
        self._join()
        self.gives: dict[int, list[Given]] = {}
        self._at: dict[str, list[int]] = {}  # live nodes of each bank
        self.banks: dict[int, list[tuple[str, Store]]] = {}
        self._fed: dict[int, Fed] = {}
        for feed in circuit.feeds:
            island = self.root(feed.node)
            record = circuit.snapshot.equipment[feed.equipment]
            if not self.holds(feed.equipment, feed.source.positions):
                continue
            store = record.store()
            if store is not None:
                self.banks.setdefault(island, []).append((feed.equipment, store))
                self._at.setdefault(feed.equipment, []).append(feed.node)
                continue
            every = [c for c in self._converts.get(feed.equipment, ()) if c.target == feed.source.terminal]
            held = [c for c in every if self.holds(feed.equipment, c.positions)]
            if every and not held:
                continue
            if not every and not self.runs(feed.equipment, feed.source):
                continue
            if every and not self.works(feed.equipment, held[0]):
                continue
            self.gives.setdefault(island, []).append(Given(feed.equipment, feed.source, held[0] if held else None))
        for some in self.banks.values():
            some.sort(key=lambda bank: (-(bank[1].capacity_ah or 0), bank[0]))

    # -- islands ----------------------------------------------------------------------------------------------------
    def root(self, node: int) -> int:
        """The island of a circuit node."""
        parent = self._parent
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    def nodes_of(self, island: int) -> list[int]:
        """The nodes of an island, in order."""
        if self._nodes is None:
            self._nodes = {}
            for number, node in enumerate(self.circuit.nodes):
                if node.conductor in LIVE:
                    self._nodes.setdefault(self.root(number), []).append(number)
        return self._nodes.get(island, [])

    def _join(self) -> None:
        nodes = self.circuit.nodes
        live = [node.conductor in LIVE for node in nodes]
        for wire in self.circuit.wires:
            if live[wire.a] and live[wire.b]:
                self._parent[self.root(wire.a)] = self.root(wire.b)
        for link in self.circuit.links:
            if live[link.a] and live[link.b] and not link.supposed and self.holds(link.equipment, link.positions):
                self._parent[self.root(link.a)] = self.root(link.b)

    def holds(self, item: str, positions: frozenset[str] | None) -> bool:
        """Whether equipment stands in one of `positions`."""
        return positions is None or self.operation.positions.get(item, "") in positions

    def joined_by(self, one: str, other: str) -> tuple[str, ...]:
        """Equipment whose closed contacts join two banks, on the way with the fewest of them; () by wires alone."""
        reached: dict[int, tuple[str, ...]] = dict.fromkeys(self._at.get(one, ()), ())
        ends = set(self._at.get(other, ()))
        near: dict[int, list[tuple[int, str]]] = {}
        nodes = self.circuit.nodes
        for wire in self.circuit.wires:
            near.setdefault(wire.a, []).append((wire.b, ""))
            near.setdefault(wire.b, []).append((wire.a, ""))
        for link in self.circuit.links:
            if not link.supposed and self.holds(link.equipment, link.positions):
                # a contact that never opens (a fuse, a bus) joins no more than a wire does
                through = "" if link.positions is None else link.equipment
                near.setdefault(link.a, []).append((link.b, through))
                near.setdefault(link.b, []).append((link.a, through))
        now, later = list(reached), list[int]()
        while now:
            for node in now:  # grows: what wires alone reach is looked at with it
                for onward, through in near.get(node, ()):
                    if onward in reached or nodes[onward].conductor not in LIVE or through:
                        continue
                    reached[onward] = reached[node]
                    now.append(onward)
            for node in now:
                if node in ends:
                    return reached[node]
            for node in now:
                for onward, through in near.get(node, ()):
                    if onward not in reached and nodes[onward].conductor in LIVE:
                        way = reached[node]
                        reached[onward] = way if through in way else (*way, through)
                        later.append(onward)
            now, later = later, []
        return ()

    def island_at(self, item: str, terminal: str) -> int:
        """The island of the live conductor at a terminal, -1 where none arrives."""
        for conductor in LIVE:
            node = self.circuit.node(item, terminal, conductor)
            if node is not None:
                return self.root(node)
        return -1

    def volts_at(self, item: str, draw: Draw) -> float | None:
        """Nominal volts of what a draw stands on, else those its equipment is made for."""
        island = self.island_at(item, draw.terminal)
        for _bank, store in self.banks.get(island, ()):
            if store.nominal_v:
                return store.nominal_v
        for given in self.gives.get(island, ()):
            if given.source.nominal_v:
                return given.source.nominal_v
        made_for = self.circuit.snapshot.equipment[item].nominal_volts(draw.terminal)
        return None if made_for is None else made_for[1]

    def runs(self, item: str, source: Source) -> bool:
        """Whether a source gives by itself in this condition."""
        if self.circuit.snapshot.equipment[item].harvest() is not None:
            return True  # sun, wind and water: what they bring is counted by the day
        running = self.operation.running
        if running is not None:
            return item in running
        return source.system == "ac"

    def works(self, item: str, conversion: Conversion) -> bool:
        """Whether a converter works in this condition, by what its record says of when it runs."""
        running = self.operation.running
        converter = self.circuit.snapshot.equipment[item].converter()
        when = "" if converter is None else converter.runs_when
        if when == "commanded":
            return running is not None and item in running
        if when == "engine runs":
            return any(self._is_driven(feed) for feed in self.circuit.feeds)
        if when == "input is charging":
            island = self.island_at(item, conversion.source)
            return any(
                self._charges(feed.equipment, feed.source)
                for feed in self.circuit.feeds
                if self.root(feed.node) == island and feed.equipment != item
            )
        return True

    def _is_driven(self, feed: Feed) -> bool:
        """Whether it is an alternator that runs."""
        source = feed.source
        return source.rotating and source.system == "dc" and self.runs(feed.equipment, source)

    def _charges(self, item: str, source: Source) -> bool:
        """Whether a source raises the volts of the battery it stands on: anything that gives, batteries aside."""
        if source.battery or not self.holds(item, source.positions):
            return False
        into = [c for c in self._converts.get(item, ()) if c.target == source.terminal]
        if not into:
            return self.runs(item, source)
        running = self.operation.running
        for conversion in into:
            if not self.holds(item, conversion.positions):
                continue
            island = self.island_at(item, conversion.source)
            for feed in self.circuit.feeds:
                if self.root(feed.node) == island and not feed.source.battery and feed.equipment != item:
                    is_sun = self.circuit.snapshot.equipment[feed.equipment].harvest() is not None
                    if self.runs(feed.equipment, feed.source) and not (
                        is_sun and running is not None and feed.equipment not in running
                    ):
                        return True
        return False

    # -- where energy comes from ------------------------------------------------------------------------------------
    def fed(self, island: int) -> Fed:
        """Where the energy of an island comes from."""
        return self._feeding(island, frozenset())

    def _feeding(self, island: int, on_the_way: frozenset[int]) -> Fed:
        if island < 0 or island in on_the_way:
            return NOTHING
        known = self._fed.get(island)
        if known is not None:
            return known
        answer = NOTHING
        equipment = self.circuit.snapshot.equipment
        own = [
            g for g in self.gives.get(island, ()) if g.conversion is None and equipment[g.equipment].harvest() is None
        ]
        if island in self.banks:
            answer = Fed(island, "", ())
        elif own:
            answer = Fed(-1, own[0].equipment, ())
        else:
            for given in self.gives.get(island, ()):
                if given.conversion is None:
                    continue  # sun and wind: counted by the day
                into = self.island_at(given.equipment, given.conversion.source)
                behind = self._feeding(into, on_the_way | {island})
                if behind != NOTHING:
                    step = (given.equipment, given.conversion.efficiency)
                    answer = behind._replace(chain=(step, *behind.chain))
                    break
        if not on_the_way:
            self._fed[island] = answer
        return answer
