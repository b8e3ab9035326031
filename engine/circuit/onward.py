"""What devices behind a point let through together: the limit of a current that nothing before the point limits.

A main contactor or a shunt often stands ahead of the main fuse, allowed there by its distance; a shunt in the negative
carries what the positives of its batteries give. The devices that end the run then say how much that is. Only devices
with something behind them count, and only together with others that a permitted switch state joins with them. Where a
consumer or another source is reached with no device before it, nothing is limited, and the conductor there says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from engine.circuit.refine import Refinery
from engine.circuit.states import TooManyStates
from engine.circuit.unknowns import device_field
from engine.equipment.base import LIVE

if TYPE_CHECKING:
    from engine.circuit.coverage import Coverage

__all__ = ["Onward", "negative_sides", "onward"]

EVERY = 12  # groups of devices whose combinations are all tried; of more the largest come first


class Onward(NamedTuple):
    """The most that devices let through in a permitted state: `devices` as (equipment, amperes), known ones only.

    `missing`: fields of devices whose rating is not recorded. `positions`: contacts that are not closed as drawn.
    """

    amps: float
    devices: tuple[tuple[str, float], ...]
    positions: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]


class _Group(NamedTuple):
    cube: int  # what must be closed to reach the devices
    amps: float
    edges: tuple[int, ...]


def onward(
    coverage: Coverage, starts: Iterable[int], without: int, here: frozenset[str] = frozenset()
) -> Onward | None:
    """The devices met from points onwards, the edge `without` left out. `None`: something is reached before a device.

    Devices count that have something behind them other than the equipment `here`.
    """
    starts = tuple(starts)
    own = {feed for point in starts for feed in coverage.mirror.feeds_at[point]} if without < 0 else set()
    search = coverage.refinery(False)
    met = _met(coverage, search, starts, without, own)
    if met is None:
        return None
    seen, devices = met
    found: dict[int, list[int]] = {}
    missing: list[str] = []
    for edge, (far, cube) in sorted(devices.items()):
        if far in seen or not _leads_on(coverage, far, {edge, without}, seen, here):
            continue
        missing += device_field(coverage.cuts, coverage.snapshot, edge)
        if coverage.worst.edges[edge] < math.inf:
            found.setdefault(cube, []).append(edge)
    groups = [_Group(c, sum(coverage.worst.edges[e] for e in edges), tuple(edges)) for c, edges in found.items()]
    cube, edges = _most(search, groups, search.closing(without))
    circuit = coverage.circuit
    by_device: dict[str, float] = {}
    for edge in sorted(edges):
        item = circuit.links[coverage.mirror.link[edge]].equipment
        by_device[item] = by_device.get(item, 0.0) + coverage.worst.edges[edge]
    moved = cube if cube & ~search.drawn else 0
    positions = tuple((item, left[0]) for item, left in search.states.positions(moved)) if moved else ()
    return Onward(sum(by_device.values()), tuple(by_device.items()), positions, tuple(dict.fromkeys(missing)))


def _met(
    coverage: Coverage, search: Refinery, starts: tuple[int, ...], without: int, own: set[int]
) -> tuple[set[int], dict[int, tuple[int, int]]] | None:
    """Points reached before any device, and each device's far point with the contacts on the way."""
    mirror, spots = coverage.mirror, coverage.spots
    at = dict.fromkeys(starts, search.closing(without))
    devices: dict[int, tuple[int, int]] = {}
    row = list(starts)
    for point in row:
        if spots.consumer(point) or _is_fed(coverage, point, own):
            return None
        for edge in mirror.adjacency[point]:
            far = mirror.other(edge, point)
            if edge == without or (mirror.one_way[edge] and mirror.u[edge] != point):
                continue
            cube = at[point] | search.closing(edge)
            if mirror.protection[edge] is not None:
                devices.setdefault(edge, (far, cube))
                continue
            wire = mirror.wire[edge]
            if wire >= 0 and coverage.snapshot.runs[coverage.circuit.wires[wire].run].exempt == "pigtail":
                continue  # a component's own lead takes next to nothing
            if far not in at:
                at[far] = cube
                row.append(far)
    return set(at), devices


def _is_fed(coverage: Coverage, point: int, own: set[int]) -> bool:
    """Whether a source that nothing limits stands at a point, those asked about left out."""
    return any(feed not in own and coverage.worst.feeds[feed] == math.inf for feed in coverage.mirror.feeds_at[point])


def _leads_on(coverage: Coverage, start: int, without: set[int], seen: set[int], here: frozenset[str]) -> bool:
    """Whether a consumer, converter or source other than `here` is behind a device; the first that is met tells."""
    mirror, spots = coverage.mirror, coverage.spots
    reached = {start}
    row = [start]
    for point in row:
        consumer = spots.consumer(point)
        if consumer and consumer not in here:
            return True
        if any(mirror.feeds[feed].equipment not in here for feed in mirror.feeds_at[point]):
            return True
        for edge in mirror.adjacency[point]:
            far = mirror.other(edge, point)
            if edge in without or far in reached or far in seen:
                continue
            reached.add(far)
            row.append(far)
    return False


def _most(search: Refinery, groups: list[_Group], within: int) -> tuple[int, tuple[int, ...]]:
    """The groups that give most together in a state the interlocks allow, and the contacts they need."""
    groups = sorted(groups, key=lambda g: (-g.amps, g.edges))
    best: tuple[float, int, tuple[int, ...]] = (0.0, within, ())

    def add(number: int, amps: float, cube: int, edges: tuple[int, ...]) -> None:
        nonlocal best
        if amps > best[0]:
            best = (amps, cube, edges)
        if number == len(groups) or amps + sum(g.amps for g in groups[number:]) <= best[0]:
            return
        group = groups[number]
        if _allowed(search, cube | group.cube):
            add(number + 1, amps + group.amps, cube | group.cube, edges + group.edges)
            if len(groups) > EVERY:
                return
        add(number + 1, amps, cube, edges)

    if _allowed(search, within):
        add(0, 0.0, within, ())
    return best[1], best[2]


def _allowed(search: Refinery, cube: int) -> bool:
    try:
        return search.states.is_possible(cube) and search.states.allows(cube)
    except TooManyStates:
        return False


# -- the negative ---------------------------------------------------------------------------------------------------
def negative_sides(coverage: Coverage, item: str) -> list[tuple[str, frozenset[str]]]:
    """For equipment that stands in the negative alone: each terminal, and the equipment whose negative is on its side.

    Nothing where a live conductor passes it as well, or where another way joins the two sides.
    """
    circuit = coverage.circuit
    ends = {t: n for t in sorted(circuit.joined[item]) if (n := circuit.node(item, t, "-")) is not None}
    if len(ends) != 2 or any(circuit.node(item, t, c) is not None for t in circuit.joined[item] for c in LIVE):
        return []
    nodes = circuit.nodes
    near: dict[int, list[int]] = {}
    pairs = [(wire.a, wire.b) for wire in circuit.wires]
    pairs += [(link.a, link.b) for link in circuit.links if link.equipment != item]
    for a, b in pairs:
        if nodes[a].conductor == nodes[b].conductor == "-":
            near.setdefault(a, []).append(b)
            near.setdefault(b, []).append(a)
    sides = []
    for terminal, start in ends.items():
        reached = {start}
        row = [start]
        for node in row:
            for other in near.get(node, ()):
                if other not in reached:
                    reached.add(other)
                    row.append(other)
        if any(other in reached for other in ends.values() if other != start):
            return []
        sides.append((terminal, frozenset(nodes[n].equipment for n in reached) - {item}))
    return sides
