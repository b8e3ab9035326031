"""What each protective device protects and feeds: conductors parted by devices, and from which side energy comes.

A *zone* is what live conductors join without passing a protective device, every switch taken as closed. A device
protects the zones on the sides away from a source: both where sources stand on both.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from app.handover.schedules.systems import of_lines
from engine.circuit.expand import Link
from engine.equipment.base import LIVE, Protection
from engine.study import Study

__all__ = ["Device", "Zones"]


class Device(NamedTuple):
    """A protective device: of its own, one way of a module, or inside a source. Ids, nothing named.

    `terminal` tells the ways of one piece apart, else it is `""`. `zones` are those it protects, `ends` the nodes at
    which they begin. `fed`: from one side, both, or (nothing drawn feeds it) none.
    """

    equipment: str
    terminal: str
    protection: Protection
    within: bool  # inside a source or converter
    conductors: tuple[str, ...]
    zones: frozenset[int]
    ends: tuple[int, ...]
    nodes: tuple[int, ...]  # all of its own
    fed: int


class Zones:
    """The zones of a study, and the devices between them."""

    def __init__(self, study: Study) -> None:
        self.study, self.circuit = study, study.circuit
        circuit = self.circuit
        nodes = circuit.nodes
        self._members: dict[int, dict[str, None]] | None = None
        self._edge_of_link: dict[int, int] | None = None
        self._returns: dict[int, tuple[float, ...]] | None = None
        self._parent = list(range(len(nodes)))
        self._whole = list(range(len(nodes)))  # through devices too, one conductor at a time: what is one system
        self.nodes_of_run: dict[str, list[int]] = {}
        self.runs_at: dict[int, list[str]] = {}
        for wire in circuit.wires:
            self._join(self._parent, wire.a, wire.b)
            self._join(self._whole, wire.a, wire.b)
            if wire.conductor not in ("PE", "S"):
                for node in (wire.a, wire.b):
                    self.nodes_of_run.setdefault(wire.run, []).append(node)
            if wire.conductor in LIVE:
                self.runs_at.setdefault(wire.a, []).append(wire.run)
                self.runs_at.setdefault(wire.b, []).append(wire.run)
        self.links_of: dict[str, list[Link]] = {}
        self.live_nodes: dict[str, list[int]] = {}
        for number, at in enumerate(nodes):
            if at.conductor in LIVE:
                self.live_nodes.setdefault(at.equipment, []).append(number)
        for link in circuit.links:
            self.links_of.setdefault(link.equipment, []).append(link)
            same = nodes[link.a].conductor == nodes[link.b].conductor
            both = nodes[link.a].conductor in LIVE and nodes[link.b].conductor in LIVE
            if same or both:
                self._join(self._whole, link.a, link.b)
                if link.protection is None:
                    self._join(self._parent, link.a, link.b)
        self.devices = tuple(self._devices())
        self.runs_in: dict[int, dict[str, None]] = {}
        for wire in circuit.wires:
            if wire.conductor in LIVE:
                self.runs_in.setdefault(self.zone(wire.a), {})[wire.run] = None
        self.of_run: dict[str, list[Device]] = {}
        for device in self.devices:
            for run in self.protects(device):
                self.of_run.setdefault(run, []).append(device)

    def _root(self, parent: list[int], node: int) -> int:
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    def _join(self, parent: list[int], a: int, b: int) -> None:
        one, other = self._root(parent, a), self._root(parent, b)
        if one != other:
            parent[max(one, other)] = min(one, other)

    def zone(self, node: int) -> int:
        """The zone of a node."""
        return self._root(self._parent, node)

    def has_live(self, run: str) -> bool:
        """Whether a run has a live conductor at all: devices stand in those."""
        return any(self.circuit.nodes[node].conductor in LIVE for node in self.nodes_of_run.get(run, ()))

    def protects(self, device: Device) -> tuple[str, ...]:
        """Runs in the zones a device protects."""
        return tuple(dict.fromkeys(run for zone in sorted(device.zones) for run in self.runs_in.get(zone, ())))

    def begins(self, device: Device) -> tuple[str, ...]:
        """Of those, the runs that begin at the device itself."""
        return tuple(dict.fromkeys(run for node in device.ends for run in self.runs_at.get(node, ())))

    def members(self, device: Device) -> tuple[str, ...]:
        """Equipment in the zones a device protects, itself left out."""
        if self._members is None:
            self._members = {}
            for number, node in enumerate(self.circuit.nodes):
                if node.conductor in LIVE:
                    self._members.setdefault(self.zone(number), {})[node.equipment] = None
        found = (item for zone in sorted(device.zones) for item in self._members.get(zone, ()))
        return tuple(item for item in dict.fromkeys(found) if item != device.equipment)

    # -- devices ----------------------------------------------------------------------------------------------------
    def _devices(self) -> Iterator[Device]:
        circuit, nodes = self.circuit, self.circuit.nodes
        found: dict[tuple[str, str], list[int]] = {}
        several: dict[str, set[str]] = {}
        for number, link in enumerate(circuit.links):
            if link.protection is not None and nodes[link.a].conductor in LIVE:
                several.setdefault(link.equipment, set()).add(nodes[link.b].terminal)
                found.setdefault((link.equipment, nodes[link.b].terminal), []).append(number)
        for (item, terminal), links in found.items():
            yield self._device(item, terminal if len(several[item]) > 1 else "", links)
        inside: dict[tuple[str, str, Protection], list[int]] = {}
        for feed in circuit.feeds:
            if feed.source.protection is not None and nodes[feed.node].conductor in LIVE:
                inside.setdefault((feed.equipment, feed.source.terminal, feed.source.protection), []).append(feed.node)
        for (item, terminal, protection), at in inside.items():
            ways = {t for i, t, _p in inside if i == item}
            conductors = tuple(dict.fromkeys(nodes[n].conductor for n in at))
            zones = frozenset(self.zone(n) for n in at)
            yield Device(
                item, terminal if len(ways) > 1 else "", protection, True, conductors, zones, tuple(at), tuple(at), 1
            )

    def _device(self, item: str, terminal: str, links: list[int]) -> Device:
        circuit, nodes, coverage = self.circuit, self.circuit.nodes, self.study.coverage
        mirror = coverage.mirror
        edge_of = self._edges
        protection = circuit.links[links[0]].protection
        assert protection is not None
        ends: dict[int, None] = {}
        for number in links:
            link = circuit.links[number]
            edge = edge_of.get(number, -1)
            for here, there in ((link.a, link.b), (link.b, link.a)):
                if edge >= 0 and coverage.cuts.cut(edge, mirror.of_node[here]) > 0:
                    ends[there] = None
        sides = {nodes[n].terminal for n in ends}
        both = tuple(dict.fromkeys(n for k in links for n in (circuit.links[k].a, circuit.links[k].b)))
        conductors = tuple(dict.fromkeys(nodes[circuit.links[k].a].conductor for k in links))
        zones = frozenset(self.zone(n) for n in ends)
        return Device(item, terminal, protection, False, conductors, zones, tuple(ends), both, len(sides))

    @property
    def _edges(self) -> dict[int, int]:
        if self._edge_of_link is None:
            links = self.study.coverage.mirror.link
            self._edge_of_link = {number: edge for edge, number in enumerate(links) if number >= 0}
        return self._edge_of_link

    # -- systems ----------------------------------------------------------------------------------------------------
    def system(self, node: int) -> tuple[str, tuple[float, ...]]:
        """`("dc", (12.0,))` of a conductor: by the sources that can feed it; a return by what hangs on it."""
        conductor = self.circuit.nodes[node].conductor
        kind = "dc" if conductor in ("+", "-") else "ac" if conductor in ("L1", "L2", "L3", "N") else ""
        if conductor in LIVE:
            found = self.study.volts.at(node).systems()
            kind = "dc" if found == {"dc"} else "ac" if found == {"ac"} else kind
            volts = self._volts(node, kind)
            return kind, () if volts is None else (volts,)
        return kind, self._on_return.get(self._root(self._whole, node), ())

    def _volts(self, node: int, kind: str) -> float | None:
        """Nominal volts: of a direct current the class its book counts it to, so that 25.6 V is 24 V.

        What only an array feeds is of no class: its own volts.
        """
        island = self.study.volts.at(node)
        if kind == "ac":
            return max(island.nominal("ac"), default=None)
        if self._adapts(node):
            return max((feed.source.nominal_v for feed in island.feeds if feed.source.nominal_v), default=None)
        return self.study.coverage.conductors.volts(node)

    def _adapts(self, node: int) -> bool:
        """Whether only arrays feed a node, so that its volts are those of no system."""
        feeds = self.study.volts.at(node).feeds
        return bool(feeds) and all(feed.source.adapts for feed in feeds)

    @property
    def _on_return(self) -> dict[int, tuple[float, ...]]:
        """Volts of the live conductors of whatever returns through a conductor."""
        if self._returns is None:
            live: dict[str, set[float]] = {}
            of_arrays: dict[str, set[float]] = {}  # told of a return only where nothing else hangs on it
            nodes = self.circuit.nodes
            for number, node in enumerate(nodes):
                if node.conductor in LIVE:
                    volts = self._volts(number, "dc" if node.conductor == "+" else "ac")
                    if volts is not None:
                        kind = "-" if node.conductor == "+" else "N"
                        if self._adapts(number):
                            of_arrays.setdefault(node.equipment + kind, set()).add(volts)
                            continue
                        live.setdefault(node.equipment + kind, set()).add(volts)
            made: dict[int, set[float]] = {}
            alone: set[int] = set()
            for number, node in enumerate(nodes):
                if node.conductor in ("-", "N"):
                    made.setdefault(self._root(self._whole, number), set()).update(
                        live.get(node.equipment + node.conductor, ())
                    )
            for number, node in enumerate(nodes):
                root = self._root(self._whole, number)
                if node.conductor in ("-", "N") and (not made[root] or root in alone):
                    alone.add(root)
                    made[root].update(of_arrays.get(node.equipment + node.conductor, ()))
            self._returns = {root: tuple(sorted(volts)) for root, volts in made.items()}
        return self._returns

    def system_of_run(self, run: str) -> tuple[str, tuple[float, ...]]:
        """The system a run belongs to."""
        nodes = self.nodes_of_run.get(run, [])
        live = [n for n in nodes if self.circuit.nodes[n].conductor in LIVE] or nodes
        found = [self.system(n) for n in live]
        lines = len({self.circuit.nodes[n].conductor for n in live} & set(LIVE))
        return of_lines(max(found, key=lambda one: (len(one[1]) > 0, one[1]), default=("", ())), lines)

    def system_of_device(self, device: Device) -> tuple[str, tuple[float, ...]]:
        """The system a device stands in."""
        return of_lines(self.system(device.nodes[0]), len(set(device.conductors) & set(LIVE)))
