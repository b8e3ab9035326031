"""Where faults are told: both sides of every protective device, every bus; and between which points."""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.circuit.flow.netlist import Netlist
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot

__all__ = ["LINES", "Place", "bus_places", "device_places", "pairs"]

LINES = ("L1", "L2", "L3")


class Place(NamedTuple):
    """A live conductor at a terminal; of a device with the number of its pole in `circuit.links`."""

    equipment: str
    terminal: str
    conductor: str
    node: int
    link: int = -1


def device_places(circuit: Circuit) -> list[tuple[Place, Place]]:
    """Both sides of every pole that a device protects."""
    made = []
    for number, link in enumerate(circuit.links):
        if link.protection is None or link.supposed or link.conductor not in LIVE:
            continue
        a, b = circuit.nodes[link.a], circuit.nodes[link.b]
        made.append(
            (
                Place(link.equipment, a.terminal, a.conductor, link.a, number),
                Place(link.equipment, b.terminal, b.conductor, link.b, number),
            )
        )
    return made


def bus_places(snapshot: Snapshot, circuit: Circuit) -> list[Place]:
    """The live conductors of every bus."""
    return [
        Place(node.equipment, node.terminal, node.conductor, number)
        for number, node in enumerate(circuit.nodes)
        if node.conductor in LIVE and snapshot.equipment[node.equipment].ROLE == "bus"
    ]


def pairs(built: Netlist, place: Place, source_negatives: dict[str, list[int]]) -> list[tuple[int, int]]:
    """Between which points a fault there may be: its return at the place, its other lines.

    Where no return is drawn at the place, that at a source's own terminal counts: whatever it touches may lead there
    without resistance worth the name. Of three lines, all of them at once: a line against its source's star point.
    """
    system, pos = built.at[place.node]
    if not system:
        return []
    if system == "dc":
        negative = built.negative(place.equipment, place.terminal)
        found = [negative] if negative is not None else source_negatives[system]
    else:
        lines = [(c, p) for c in LINES if (p := built.point(place.equipment, place.terminal, c)[1]) >= 0]
        neutral = built.point(place.equipment, place.terminal, "N")[1]
        found = [p for c, p in lines if c != place.conductor]
        if neutral >= 0:
            found.append(neutral)
        if len(lines) == 3 or not found:
            found += source_negatives[system]
    return [(pos, other) for other in dict.fromkeys(found) if other != pos]
