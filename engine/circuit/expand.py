"""One line stands for several conductors, and this is the one place that knows how.

A terminal carries named conductors; a run joins like-named conductors of its two terminals, those its function lists; a
device joins, per position, the poles it lists, and a conductor present at both its terminals and not among the poles
passes straight. Converters pass nothing but what their record says. Where a piece of DC equipment has a positive and no
drawn negative, it returns to its system's negative through a conductor equal to its feed: listed in `assumed_returns`.

Every analysis (coverage, meeting sources, volts, flow, faults) reads the `Circuit` made here. What the record leaves
open altogether (`Link.supposed`, `Circuit.supposed_feeds`) counts at its worst where current or sources meet, and then
nothing is judged by it; volts are those of what is known to be there.
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
    supposed: str = ""  # the field, not recorded, that would tell whether it is there at all


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
        # equipment -> terminal -> conductor it carries and a run brings -> node
        self._at: dict[str, dict[str, dict[str, int]]] = {}
        self._refused_at: dict[Node, int] = {}  # nodes of conductors that their terminal does not carry
        self.wires: list[Wire] = []
        self.links: list[Link] = []
        self.feeds: list[Feed] = []
        self.supposed_feeds: list[Feed] = []  # may be sources or not: a field is not recorded
        self.conversions: list[tuple[str, Conversion]] = []
        # (run, end "from" or "to", conductor): what a run brings to a terminal that does not carry it
        self.refused: list[tuple[str, str, str]] = []
        # equipment whose negative is not drawn
        self.assumed_returns: list[str] = []
        self.joined: dict[str, frozenset[str]] = {}  # equipment -> terminals with a run
        self._interlocked = {held.equipment for lock in snapshot.interlocks.values() for held in lock.held}

    def node(self, equipment: str, terminal: str, conductor: str) -> int | None:
        """The index of a node, `None` where no run brings that conductor to that terminal."""
        found = self._at.get(equipment, NOWHERE).get(terminal, NOTHING).get(conductor)
        return self._refused_at.get(Node(equipment, terminal, conductor)) if found is None else found

    def switchable(self, equipment: str) -> bool:
        """Whether it is operated as a switch: what merely protects is taken as closed where closing is the worse."""
        record = self.snapshot.equipment[equipment]
        if not record.positions():
            return False
        return record.ROLE != "protection" or record.used_as_switch or equipment in self._interlocked


NOWHERE: dict[str, dict[str, int]] = {}
NOTHING: dict[str, int] = {}


def expand(snapshot: Snapshot) -> Circuit:
    """The circuit of a snapshot. Never raises for a drawing that could be opened."""
    circuit = Circuit(snapshot)
    of_kind: dict[type[Equipment], dict[str, tuple[str, ...]]] = {}
    carries: dict[str, dict[str, tuple[str, ...]]] = {}
    for item, record in snapshot.equipment.items():
        carried = of_kind.get(type(record))
        if carried is None:
            carried = {t.name: t.conductors for t in record.terminals()}
            if not record.TERMINALS_VARY:
                of_kind[type(record)] = carried
        carries[item] = carried
    _wire_up(circuit, carries)
    for item, record in snapshot.equipment.items():
        here = circuit._at.get(item)
        if not here:
            continue
        joined = circuit.joined[item] = frozenset(here)
        for contact in record.contacts():
            at_a, at_b = here.get(contact.a), here.get(contact.b)
            if contact.protection is not None and bool(at_a) != bool(at_b):
                # a spare way: the device stands there though nothing is connected behind it
                far = contact.b if at_a else contact.a
                made = here[far] = {}
                for conductor in at_a or at_b or ():
                    made[conductor] = len(circuit.nodes)
                    circuit.nodes.append(Node(item, far, conductor))
                at_a, at_b = at_a or made, at_b or made
            if at_a and at_b:
                _link_up(circuit.links, item, contact, at_a, at_b)
        for source in record.sources(joined):
            node = here.get(source.terminal, NOTHING).get(source.conductor)
            if node is not None:
                feeds = circuit.supposed_feeds if source.supposed else circuit.feeds
                feeds.append(Feed(item, node, _all_of(source, record.quantity)))
        for conversion in record.conversions():
            circuit.conversions.append((item, conversion))
        if _returns_undrawn(record, here, carries[item]):
            circuit.assumed_returns.append(item)
    return circuit


def _all_of(source: Source, quantity: int) -> Source:
    """What several equal sources side by side give together."""
    if quantity == 1:
        return source
    device = source.protection
    if device is not None and device.rating_a is not None:
        device = device._replace(rating_a=device.rating_a * quantity)
    limit_a = None if source.limit_a is None else source.limit_a * quantity
    return source._replace(limit_a=limit_a, protection=device)


def _wire_up(circuit: Circuit, carries: dict[str, dict[str, tuple[str, ...]]]) -> None:
    nodes, wires, at = circuit.nodes, circuit.wires, circuit._at
    for item, run in circuit.snapshot.runs.items():
        start, stop = run.from_end, run.to_end
        at_start = carries[start.equipment].get(start.terminal, ())
        at_stop = carries[stop.equipment].get(stop.terminal, ())
        here = at.setdefault(start.equipment, {}).setdefault(start.terminal, {})
        there = at.setdefault(stop.equipment, {}).setdefault(stop.terminal, {})
        for conductor in run.conductors():
            # a signal line arrives anywhere; it is no part of the power circuit
            if conductor == "S":
                continue
            a, b = here.get(conductor), there.get(conductor)
            if a is None and conductor in at_start:
                a = here[conductor] = len(nodes)
                nodes.append(Node(start.equipment, start.terminal, conductor))
            if b is None and conductor in at_stop:
                b = there[conductor] = len(nodes)
                nodes.append(Node(stop.equipment, stop.terminal, conductor))
            if a is None:
                circuit.refused.append((item, "from", conductor))
            if b is None:
                circuit.refused.append((item, "to", conductor))
            if a is None and b is None:
                continue
            if a is None:
                a = _refused(circuit, Node(start.equipment, start.terminal, conductor))
            if b is None:
                b = _refused(circuit, Node(stop.equipment, stop.terminal, conductor))
            wires.append(Wire(item, conductor, a, b))


def _refused(circuit: Circuit, node: Node) -> int:
    """The node of a conductor that its terminal does not carry."""
    found = circuit._refused_at.get(node)
    if found is None:
        found = circuit._refused_at[node] = len(circuit.nodes)
        circuit.nodes.append(node)
    return found


def _link_up(links: list[Link], item: str, contact: Contact, at_a: dict[str, int], at_b: dict[str, int]) -> None:
    if contact.cross is not None:
        one, other = contact.cross
        if one in at_a and other in at_b and at_a[one] != at_b[other]:
            links.append(
                Link(
                    item,
                    one,
                    at_a[one],
                    at_b[other],
                    contact.positions,
                    contact.protection,
                    contact.one_way,
                    contact.supposed,
                )
            )
        return
    for conductor, a in at_a.items():
        b = at_b.get(conductor)
        if b is None:
            continue
        if contact.poles is None or conductor in contact.poles:
            protection = contact.protection if conductor in LIVE else None
            links.append(Link(item, conductor, a, b, contact.positions, protection, contact.one_way, contact.supposed))
        elif contact.straight:
            links.append(Link(item, conductor, a, b, None, None))


def _returns_undrawn(record: Equipment, here: dict[str, dict[str, int]], carries: dict[str, tuple[str, ...]]) -> bool:
    """A source, consumer or converter with a positive and no negative at any of its DC terminals."""
    if record.ROLE not in ("source", "load", "converter"):
        return False
    has_plus = has_minus = False
    for conductors in here.values():
        has_plus |= "+" in conductors
        has_minus |= "-" in conductors
    return has_plus and not has_minus and any("-" in c for c in carries.values())
