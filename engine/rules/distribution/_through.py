"""What devices let through a bus: the least of what can come in and what can go out, section by section."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.equipment.base import LIVE
from engine.study import Study

__all__ = ["Through", "through_bus"]


class Through(NamedTuple):
    """Amperes through the most loaded section, and the devices that decide."""

    amps: float
    devices: tuple[str, ...]


def through_bus(study: Study, item: str) -> Through | None:
    """The most that can pass a section of a bus before a device opens; `None` where no live run stands on it.

    What comes in over a run is what can flow into its far end with the bus taken away (the feed cut); what goes out is
    the device behind it, else without limit. Where the studs are not numbered the runs stand in the worst order:
    everything that feeds on one side.
    """
    coverage = study.coverage
    mirror, circuit = coverage.mirror, coverage.circuit
    sides: list[tuple[int | None, float, float]] = []  # stud, in, out
    decides: dict[float, str] = {}
    for number, wire in enumerate(circuit.wires):
        for here, there in ((wire.a, wire.b), (wire.b, wire.a)):
            node = circuit.nodes[here]
            if node.equipment != item or node.conductor not in LIVE or number not in mirror.edge_of_wire:
                continue
            edge = mirror.edge_of_wire[number]
            if mirror.is_loop(edge):
                continue
            into = coverage.cuts.cut(edge, mirror.of_node[there])
            out = _out(study, mirror.of_node[there], edge, decides)
            into = min(into, _out(study, mirror.of_node[there], edge, decides)) if into else 0.0
            run = study.snapshot.runs[wire.run]
            end = run.from_end if run.from_end.equipment == item else run.to_end
            sides.append((end.stud_number, into, out))
    if not sides:
        return None
    if any(stud is None for stud, _into, _out_a in sides):
        incoming = sum(into for _stud, into, _out_a in sides)
        outgoing = sum(out for _stud, into, out in sides if not into)
        return Through(min(incoming, outgoing), _named(decides, min(incoming, outgoing)))
    sides.sort(key=lambda side: side[0] or 0)
    most = 0.0
    for place in range(1, len(sides)):
        left, right = sides[:place], sides[place:]
        for one, other in ((left, right), (right, left)):
            most = max(most, min(sum(s[1] for s in one), sum(s[2] for s in other)))
    return Through(most, _named(decides, most))


def _out(study: Study, point: int, edge: int, decides: dict[float, str]) -> float:
    """The rating of the device at the far end of a run, without limit where none stands there."""
    mirror = study.coverage.mirror
    best = math.inf
    for other in mirror.adjacency[point]:
        device = mirror.protection[other]
        if other != edge and device is not None:
            rating = device.rating_a
            if rating is None:
                return math.inf
            decides[rating] = study.circuit.links[mirror.link[other]].equipment
            best = rating if best == math.inf else best + rating
    return best


def _named(decides: dict[float, str], amps: float) -> tuple[str, ...]:
    return (decides[amps],) if amps in decides else ()
