"""One line stands for several conductors, and this is the one place that knows how.

A terminal carries named conductors; a run joins like-named conductors of its two terminals, those its function lists; a
device joins, per position, the poles it lists, and a conductor present at both its terminals and not among the poles
passes straight. Converters pass nothing but what their record says. Where a piece of DC equipment has a positive and no
drawn negative, it returns to its system's negative through a conductor equal to its feed: listed in `assumed_returns`.

Every analysis (coverage, meeting sources, volts, flow, faults) reads the `Circuit` made here.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.equipment.base import LIVE, Contact, Conversion, Equipment, Protection, Source
from engine.installation.model import Snapshot

__all__ = ["Circuit", "Feed", "Link", "Node", "Wire", "expand"]


class Node(NamedTuple):
    """A conductor at a terminal."""

    equipment: str
    terminal: str
    conductor: str


class Wire(NamedTuple):
    """One conductor of a run, between two nodes: `a` at the run's `from` end, `b` at its `to` end."""

    run: str
    conductor: str
    a: int
    b: int


class Link(NamedTuple):
    """A contact inside equipment, between two nodes. `positions` None: always joined."""

    equipment: str
    conductor: str
    a: int
    b: int
    positions: frozenset[str] | None
    protection: Protection | None
    one_way: bool = False


class Feed(NamedTuple):
    """A source at a node."""

    equipment: str
    node: int
    source: Source


class Circuit:
    """The installation conductor by conductor. All lists are in id order."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self.nodes: list[Node] = []
        self.index: dict[Node, int] = {}
        self.wires: list[Wire] = []
        self.links: list[Link] = []
        self.feeds: list[Feed] = []
        self.conversions: list[tuple[str, Conversion]] = []
        # (run, end "from" or "to", conductor): what a run brings to a terminal that does not carry it
        self.refused: list[tuple[str, str, str]] = []
        # equipment whose negative is not drawn
        self.assumed_returns: list[str] = []
        self.joined: dict[str, frozenset[str]] = {}  # equipment -> terminals with a run
        self._interlocked = {held.equipment for lock in snapshot.interlocks.values() for held in lock.held}

    def node(self, equipment: str, terminal: str, conductor: str) -> int | None:
        """The index of a node, `None` where no run brings that conductor to that terminal."""
        return self.index.get(Node(equipment, terminal, conductor))

    def switchable(self, equipment: str) -> bool:
        """Whether it is operated as a switch: what merely protects is taken as closed where closing is the worse."""
        record = self.snapshot.equipment[equipment]
        if not record.positions():
            return False
        return record.ROLE != "protection" or record.used_as_switch or equipment in self._interlocked

    def _at(self, equipment: str, terminal: str, conductor: str) -> int:
        key = Node(equipment, terminal, conductor)
        found = self.index.get(key)
        if found is None:
            found = self.index[key] = len(self.nodes)
            self.nodes.append(key)
        return found


def expand(snapshot: Snapshot) -> Circuit:
    """The circuit of a snapshot. Never raises for a drawing that could be opened."""
    circuit = Circuit(snapshot)
    carries: dict[str, dict[str, tuple[str, ...]]] = {}
    for item, record in snapshot.equipment.items():
        carries[item] = {t.name: t.conductors for t in record.terminals()}
    present: dict[str, dict[str, list[str]]] = {}
    _wire_up(circuit, carries, present)
    for item, record in snapshot.equipment.items():
        here = present.get(item)
        if not here:
            continue
        circuit.joined[item] = frozenset(here)
        for contact in record.contacts():
            _link_up(circuit, item, contact, here)
        for source in record.sources(circuit.joined[item]):
            if source.conductor in here.get(source.terminal, ()):
                node = circuit._at(item, source.terminal, source.conductor)
                circuit.feeds.append(Feed(item, node, source))
        for conversion in record.conversions():
            circuit.conversions.append((item, conversion))
        if _returns_undrawn(record, here, carries[item]):
            circuit.assumed_returns.append(item)
    return circuit


def _wire_up(
    circuit: Circuit, carries: dict[str, dict[str, tuple[str, ...]]], present: dict[str, dict[str, list[str]]]
) -> None:
    for item, run in circuit.snapshot.runs.items():
        start, stop = run.from_end, run.to_end
        at_start = carries[start.equipment].get(start.terminal, ())
        at_stop = carries[stop.equipment].get(stop.terminal, ())
        here = present.setdefault(start.equipment, {}).setdefault(start.terminal, [])
        there = present.setdefault(stop.equipment, {}).setdefault(stop.terminal, [])
        for conductor in run.conductors():
            # a signal line arrives anywhere; it is no part of the power circuit
            if conductor == "S":
                continue
            if conductor in at_start:
                if conductor not in here:
                    here.append(conductor)
            else:
                circuit.refused.append((item, "from", conductor))
            if conductor in at_stop:
                if conductor not in there:
                    there.append(conductor)
            else:
                circuit.refused.append((item, "to", conductor))
            if conductor in at_start or conductor in at_stop:
                a = circuit._at(start.equipment, start.terminal, conductor)
                b = circuit._at(stop.equipment, stop.terminal, conductor)
                circuit.wires.append(Wire(item, conductor, a, b))


def _link_up(circuit: Circuit, item: str, contact: Contact, here: dict[str, list[str]]) -> None:
    at_a, at_b = here.get(contact.a), here.get(contact.b)
    if at_a is None or at_b is None:
        return
    if contact.cross is not None:
        one, other = contact.cross
        if one in at_a and other in at_b and (contact.a, one) != (contact.b, other):
            circuit.links.append(
                Link(
                    item,
                    one,
                    circuit._at(item, contact.a, one),
                    circuit._at(item, contact.b, other),
                    contact.positions,
                    contact.protection,
                    contact.one_way,
                )
            )
        return
    for conductor in at_a:
        if conductor not in at_b:
            continue
        is_pole = contact.poles is None or conductor in contact.poles
        if not is_pole and not contact.straight:
            continue
        circuit.links.append(
            Link(
                item,
                conductor,
                circuit._at(item, contact.a, conductor),
                circuit._at(item, contact.b, conductor),
                contact.positions if is_pole else None,
                contact.protection if is_pole and conductor in LIVE else None,
                contact.one_way and is_pole,
            )
        )


def _returns_undrawn(record: Equipment, here: dict[str, list[str]], carries: dict[str, tuple[str, ...]]) -> bool:
    """A source, consumer or converter with a positive and no negative at any of its DC terminals."""
    if record.ROLE not in ("source", "load", "converter"):
        return False
    has_plus = any("+" in conductors for conductors in here.values())
    has_minus = any("-" in conductors for conductors in here.values())
    return has_plus and not has_minus and any("-" in c for c in carries.values())
