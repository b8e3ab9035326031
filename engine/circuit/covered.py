"""Conductor ends that are covered, and by how much: asked only to prove it, when the rules have been judged.

The counterpart of `Coverage.uncovered`: every end that something can feed, with how it is covered:

- `"fed"`: what can flow in with every contact closed is no more than it may carry, as a sum or behind one device;
- `"switched"`: with every contact closed it is, in no permitted state of the switches;
- `"placed"`: it is more, and a suited device stands near enough along it;
- `"exempt"`: the book asks for none, as the run is recorded.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal, NamedTuple, TypeAlias

from engine.circuit.coverage import Coverage
from engine.circuit.distances import Supply, supply_of
from engine.circuit.refine import EXACT
from engine.circuit.uncovered import FailingEnd
from engine.installation.records import Run

__all__ = ["Covered", "covered"]

How: TypeAlias = Literal["exempt", "switched", "placed", "fed"]
HOW: tuple[How, ...] = ("exempt", "switched", "placed", "fed")  # what rests on least is told first


class Covered(NamedTuple):
    """One end of a run. `fed_a` and `allowed_a` are what is compared; without limit where it is `"placed"`.

    `device_a`: the largest device met along it, against `allowed_a`; `distance_m` and `allowed_m` where it stands.
    `both`: it is fed at its other end too.
    """

    run: str
    end: Literal["from", "to"]
    how: How
    fed_a: float
    allowed_a: float
    device_a: float = 0.0
    distance_m: float = 0.0
    allowed_m: float = math.inf
    exempt: str = ""
    both: bool = False
    edge: int = -1
    point: int = -1


def covered(coverage: Coverage) -> Iterator[Covered]:
    """The ends that something can feed of every run none of whose ends is uncovered, by `HOW`."""
    told = {end.run for end in coverage.uncovered}
    left = {end.arc: end for end in coverage.left}
    ends: dict[str, list[Covered]] = {}
    for number, edge in coverage.mirror.edge_of_wire.items():
        wire = coverage.circuit.wires[number]
        if wire.run in told:
            continue
        of_node = coverage.mirror.of_node
        sides: tuple[tuple[Literal["from", "to"], int], ...] = (("from", wire.a), ("to", wire.b))
        for side, node in sides[: 1 if of_node[wire.a] == of_node[wire.b] else 2]:
            point = of_node[node]
            amps = coverage.cuts.cut(edge, point)
            if amps > 0:
                ends.setdefault(wire.run, []).append(_end(coverage, wire.run, side, edge, node, amps, left))
    for made in ends.values():
        both = len({end.end for end in made}) > 1
        yield from (end._replace(both=both) for end in sorted(made, key=lambda end: HOW.index(end.how)))


def _end(
    coverage: Coverage,
    run: str,
    side: Literal["from", "to"],
    edge: int,
    node: int,
    amps: float,
    left: dict[tuple[int, int], FailingEnd],
) -> Covered:
    point = coverage.mirror.of_node[node]
    limits = coverage.conductors.limits(run, node)
    if not coverage.fails(edge, point, limits, False):
        single = coverage.cuts.single(edge, point)
        # either is enough: a sum within the ampacity, one device within its multiple
        options = [(amps, limits.low), (min(single, math.inf), limits.single_low)]
        good = [(found, allowed) for found, allowed in options if found <= allowed * (1 + EXACT) + EXACT]
        found, allowed = min(good or options[:1], key=lambda one: one[0] / one[1] if one[1] > 0 else math.inf)
        return Covered(run, side, "fed", found, allowed, edge=edge, point=point)
    end = left.get((edge, point))
    record = coverage.snapshot.runs[run]
    if end is None:
        end = FailingEnd(edge, point, record, run, side, "", limits)
        if coverage.is_tap(end, coverage.values.distances.least):
            beyond = [e for e in coverage.mirror.adjacency[coverage.mirror.other(edge, point)] if e != edge]
            return Covered(
                run,
                side,
                "placed",
                amps,
                limits.single_low,
                max(coverage.worst.edges[e] for e in beyond),
                record.length_m or 0.0,
                _allowed_m(coverage, record, point),
                edge=edge,
                point=point,
            )
        return Covered(run, side, "switched", amps, limits.low, edge=edge, point=point)
    exempt = coverage.exemption(record, False)
    if exempt or coverage.placement is None:
        return Covered(run, side, "exempt", amps, limits.low, exempt=exempt, edge=edge, point=point)
    placed = coverage.placement.placed(coverage.arc(end))
    met = [coverage.worst.edges[ending.edge] for ending in placed.endings if ending.edge >= 0]
    distance = max((ending.distance_m for ending in placed.endings), default=placed.distance_m)
    return Covered(
        run,
        side,
        "placed",
        amps,
        limits.single_low,
        max(met, default=0.0),
        max(distance, placed.distance_m),
        placed.allowed_m,
        edge=edge,
        point=point,
    )


def _allowed_m(coverage: Coverage, run: Run, point: int) -> float:
    """How far along a run that begins at a point its device may stand."""
    feeds_at, feeds = coverage.mirror.feeds_at, coverage.mirror.feeds
    kinds = {supply_of(feeds[feed].source) for at in coverage.spots.around(point) for feed in feeds_at[at]}
    other: Supply = "ac" if run.function == "ac" else ""
    supply = "battery" if "battery" in kinds else min(kinds, default=other)
    return coverage.values.distances.allowed(supply, coverage.conductors.is_sheathed(run) is True)
