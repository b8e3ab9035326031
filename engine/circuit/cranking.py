"""Which runs can be part of a cranking circuit: on a way from a battery to a cranking motor.

33 CFR 183.455(e), 2015 edition, excepts "power supply conductors of cranking motor circuits". A run that is recorded as
one and leads from a battery to a lamp is none, whatever the record says.
"""

from __future__ import annotations

from engine.circuit.mirror import Mirror
from engine.installation.model import Snapshot
from engine.installation.records import Run

__all__ = ["no_cranking"]

STARTER = "engine starter"


def no_cranking(mirror: Mirror, snapshot: Snapshot) -> frozenset[Run]:
    """Runs recorded as part of a cranking circuit that lie on no way, as drawn, from a battery to a cranking motor.

    Every contact counts as closed. A motor cranks unless it is recorded to serve something else.
    """
    circuit = mirror.circuit
    edges: dict[str, list[int]] = {}
    for edge, wire in enumerate(mirror.wire):
        if wire >= 0 and snapshot.runs[circuit.wires[wire].run].exempt == "cranking":
            edges.setdefault(circuit.wires[wire].run, []).append(edge)
    if not edges:
        return frozenset()
    motors = set()
    for number, node in enumerate(circuit.nodes):
        record = snapshot.equipment[node.equipment]
        service = getattr(record, "service", "")
        if service == STARTER or (record.KIND == "motor" and not service):
            motors.add(mirror.of_node[number])
    batteries = {mirror.of_node[feed.node] for feed in mirror.feeds if feed.source.battery}

    def leads(edge: int) -> bool:
        one, other = _reached(mirror, mirror.u[edge], edge), _reached(mirror, mirror.v[edge], edge)
        return any(a & batteries and b & motors for a, b in ((one, other), (other, one)))

    return frozenset(snapshot.runs[run] for run, mine in edges.items() if not any(leads(edge) for edge in mine))


def _reached(mirror: Mirror, start: int, without: int) -> set[int]:
    seen = {start}
    row = [start]
    for point in row:
        for edge in mirror.adjacency[point]:
            far = mirror.other(edge, point)
            if edge != without and far not in seen:
                seen.add(far)
                row.append(far)
    return seen
