"""What devices let through a bus: the least of what can come in and what can go out, section by section."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from engine.circuit.coverage import Coverage
from engine.circuit.flow.operating import Operation
from engine.equipment.base import LIVE

__all__ = ["Through", "through_bus"]


class Through(NamedTuple):
    """Amperes through the most loaded section, and the devices that decide.

    `unknown`: devices at the bus of which the rating is not recorded.
    """

    amps: float
    devices: tuple[str, ...]
    unknown: tuple[str, ...] = ()


def through_bus(
    coverage: Coverage, operations: Iterable[Operation], item: str, hopeful: bool = False
) -> Through | None:
    """The most that can pass a section of a bus before a device opens, in the worst operating condition.

    Conductor by conductor. What comes in over a run is what can flow into its far end with the bus taken away (the feed
    cut), where a source stands behind it in that condition; what goes out is the device behind it, else without limit.
    No more comes in than flows into the bus over all its runs together. Where the studs are not numbered the runs stand
    in the worst order: everything that feeds on one side. `hopeful`: what is not recorded lets nothing through.
    `None`: no live run on it.
    """
    sides = list(_sides(coverage, item, hopeful))
    if not sides:
        return None
    cuts = coverage.best_cuts if hopeful else coverage.cuts
    unknown = tuple(dict.fromkeys(device for side in sides for device in side.unknown))
    best = Through(0.0, (), unknown)
    for conductor in sorted({side.conductor for side in sides}):
        here = [side for side in sides if side.conductor == conductor]
        comes = cuts.total(here[0].near).amps
        for operation in operations:
            reached = _reached(coverage, item, operation)
            fed = [side._replace(into=side.into if side.far in reached else 0.0) for side in here]
            amps = min(_most(fed), comes)
            if amps > best.amps:
                decides = next((d for side in fed for r, d in side.devices if r == amps), "")
                best = Through(amps, (decides,) if decides else (), unknown)
    return best


class _Side(NamedTuple):
    conductor: str
    stud: int | None
    near: int  # point at the bus
    far: int  # point at the far end
    into: float
    out: float
    devices: tuple[tuple[float, str], ...]
    unknown: tuple[str, ...]


def _sides(coverage: Coverage, item: str, hopeful: bool) -> Iterator[_Side]:
    circuit = coverage.circuit
    mirror = coverage.mirror
    for number, wire in enumerate(circuit.wires):
        for here, there in ((wire.a, wire.b), (wire.b, wire.a)):
            node = circuit.nodes[here]
            edge = mirror.edge_of_wire.get(number)
            if node.equipment != item or node.conductor not in LIVE or edge is None or mirror.is_loop(edge):
                continue
            far = mirror.of_node[there]
            out, devices, unknown = _out(coverage, far, edge, hopeful)
            run = coverage.snapshot.runs[wire.run]
            end = run.from_end if run.from_end.equipment == item else run.to_end
            yield _Side(
                node.conductor,
                end.stud_number,
                mirror.of_node[here],
                far,
                min((coverage.best_cuts if hopeful else coverage.cuts).cut(edge, far), out),
                out,
                devices,
                unknown,
            )


def _most(sides: list[_Side]) -> float:
    if any(side.stud is None for side in sides):
        return min(sum(s.into for s in sides), sum(s.out for s in sides if not s.into))
    order = sorted(sides, key=lambda side: side.stud or 0)
    most = 0.0
    for place in range(1, len(order)):
        left, right = order[:place], order[place:]
        for one, other in ((left, right), (right, left)):
            most = max(most, min(sum(s.into for s in one), sum(s.out for s in other)))
    return most


def _reached(coverage: Coverage, item: str, operation: Operation) -> set[int]:
    """Points that some source feeds in a condition without passing the bus."""
    mirror, circuit = coverage.mirror, coverage.circuit
    own = {mirror.of_node[n] for n, node in enumerate(circuit.nodes) if node.equipment == item}
    row = []
    for number, feed in enumerate(mirror.feeds):
        at = mirror.feed_guard[number]
        held = at is None or operation.positions.get(at.equipment, "") in at.positions
        runs = feed.source.battery or operation.running is None or feed.equipment in operation.running
        converts = bool(coverage.snapshot.equipment[feed.equipment].conversions())
        if held and (runs or converts):
            row.append(mirror.of_node[feed.node])
    seen = set(row)
    for point in row:
        for edge in mirror.adjacency[point]:
            guard = mirror.guard[edge]
            far = mirror.other(edge, point)
            if far in seen or far in own:
                continue
            if guard is None or operation.positions.get(guard.equipment, "") in guard.positions:
                seen.add(far)
                row.append(far)
    return seen


def _out(
    coverage: Coverage, point: int, edge: int, hopeful: bool
) -> tuple[float, tuple[tuple[float, str], ...], tuple[str, ...]]:
    """The ratings of the devices at the far end of a run, without limit where none stands there; those not recorded."""
    mirror = coverage.mirror
    devices, unknown = [], []
    for other in mirror.adjacency[point]:
        device = mirror.protection[other]
        if other == edge or device is None:
            continue
        item = coverage.circuit.links[mirror.link[other]].equipment
        if device.rating_a is None:
            unknown.append(f"{coverage.snapshot.name(item)}.{device.missing}")
        else:
            devices.append((device.rating_a, item))
    if not devices and not unknown:
        return math.inf, (), ()
    out = math.inf if unknown and not hopeful else sum(rating for rating, _item in devices)
    return out, () if unknown else tuple(devices), tuple(unknown)
