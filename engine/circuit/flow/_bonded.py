"""Negatives that only the bonding joins: an engine's block whose negative comes back through its bonding conductor.

Protective earth is no path of the flow. Where two parts of the negative meet nowhere but through it (each joined to
earth at a block or an earth point), the current has no other way: then those conductors are put into the network.
"""

from __future__ import annotations

from engine.circuit.flow.frame import run_impedance
from engine.circuit.flow.netlist import Netlist
from engine.words import _

__all__ = ["join_bonded"]


class _Parts:
    """Which of what is joined."""

    def __init__(self) -> None:
        self.above: dict[object, object] = {}

    def top(self, one: object) -> object:
        while (up := self.above.get(one, one)) != one:
            one = up
        return one

    def join(self, one: object, other: object) -> None:
        self.above[self.top(one)] = self.top(other)


def join_bonded(built: Netlist) -> None:
    """Put bonding conductors between parts of the negative that nothing else joins into the network."""
    nodes = built.circuit.nodes
    crossing = []
    for link in built.circuit.links:
        pair = nodes[link.a].conductor, nodes[link.b].conductor
        if set(pair) == {"-", "PE"} and not link.supposed and built.holds(link.equipment, link.positions):
            crossing.append((link.a, link.b) if pair[0] == "-" else (link.b, link.a))
    if len(crossing) < 2:
        return
    net = built.nets["dc"]
    negatives: _Parts = _Parts()
    for a, b in zip(net.a, net.b, strict=True):
        negatives.join(a, b)
    for pos, neg in zip(net.source_pos, net.source_neg, strict=True):
        negatives.join(pos, neg)
    earth: _Parts = _Parts()
    wires = [wire for wire in built.circuit.wires if wire.conductor == "PE"]
    links = [
        link
        for link in built.circuit.links
        if nodes[link.a].conductor == "PE" == nodes[link.b].conductor
        and not link.supposed
        and built.holds(link.equipment, link.positions)
    ]
    for a, b in (*((wire.a, wire.b) for wire in wires), *((link.a, link.b) for link in links)):
        earth.join(a, b)
    meeting: dict[object, set[object]] = {}
    for minus, bonded in crossing:
        meeting.setdefault(earth.top(bonded), set()).add(negatives.top(built.at[minus][1]))
    needed = {part for part, parts in meeting.items() if len(parts) > 1}
    if not needed:
        return
    points: dict[int, int] = {}

    def point(node: int) -> int:
        if node not in points:
            points[node] = net.point()
        return points[node]

    used: list[str] = []
    for wire in wires:
        if earth.top(wire.a) in needed:
            z, missing = run_impedance(built.frame, wire.run)
            branch = net.branch(point(wire.a), point(wire.b), z.real)
            used.append(wire.run)
            if missing:
                built.unknown["dc", branch] = missing
    for link in links:
        if earth.top(link.a) in needed:
            net.branch(point(link.a), point(link.b), 0.0)
    for minus, bonded in crossing:
        if earth.top(bonded) in needed:
            net.branch(built.at[minus][1], point(bonded), 0.0)
    built.assumed.append(
        _("{runs}: part of the negative comes back through these bonding conductors, and nothing else").format(
            runs=", ".join(dict.fromkeys(built.name(run) for run in used))
        )
    )
