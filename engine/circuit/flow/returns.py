"""Negatives that are not drawn: each returns through a conductor equal to its feed.

The feed is walked from the equipment's positive, the least resistance first, to the nearest equipment whose own
negative is drawn, or to a source whose negative is not drawn either. The return has the resistance of the positive
runs walked; devices in the feed stand in the feed alone.
"""

from __future__ import annotations

import heapq
from typing import NamedTuple

from engine.circuit.expand import Circuit

__all__ = ["Return", "assumed_returns"]


class Return(NamedTuple):
    """The return of equipment: to the node of a drawn negative (`node`), or to the undrawn one of `source`."""

    equipment: str
    node: int  # -1: to `source`
    source: str
    runs: tuple[str, ...]  # whose resistance it has


def assumed_returns(circuit: Circuit, ohms: dict[str, complex]) -> list[Return]:
    """How each of `circuit.assumed_returns` returns; one that reaches nothing is left out. Sources come first."""
    undrawn = circuit.assumed_returns
    if not undrawn:
        return []
    near: dict[int, list[tuple[int, str]]] = {}
    for wire in circuit.wires:
        if wire.conductor == "+":
            near.setdefault(wire.a, []).append((wire.b, wire.run))
            near.setdefault(wire.b, []).append((wire.a, wire.run))
    for link in circuit.links:
        if circuit.nodes[link.a].conductor == "+" == circuit.nodes[link.b].conductor and not link.supposed:
            near.setdefault(link.a, []).append((link.b, ""))
            near.setdefault(link.b, []).append((link.a, ""))
    positives: dict[str, list[int]] = {item: [] for item in undrawn}
    negatives: dict[str, list[int]] = {}
    for number, node in enumerate(circuit.nodes):
        if node.conductor == "+" and node.equipment in positives:
            positives[node.equipment].append(number)
        elif node.conductor == "-":
            negatives.setdefault(node.equipment, []).append(number)
    giving = {feed.equipment for feed in circuit.feeds}
    # batteries before other sources, sources before consumers: each source reaches a drawn negative or one before it
    batteries = {feed.equipment for feed in circuit.feeds if feed.source.battery}
    order = sorted(undrawn, key=lambda item: (item not in batteries, item not in giving))
    made: list[Return] = []
    settled: set[str] = set()  # sources whose undrawn negative may be returned to
    for item in order:
        found = _walk(circuit, item, positives[item], near, ohms, negatives, settled)
        if found is not None:
            made.append(found)
        if item in giving:
            settled.add(item)
    return made


def _walk(
    circuit: Circuit,
    item: str,
    starts: list[int],
    near: dict[int, list[tuple[int, str]]],
    ohms: dict[str, complex],
    negatives: dict[str, list[int]],
    settled: set[str],
) -> Return | None:
    before: dict[int, tuple[int, str]] = {}
    best: dict[int, tuple[float, int]] = dict.fromkeys(starts, (0.0, 0))
    heap = [(0.0, 0, start) for start in starts]
    done: set[int] = set()
    while heap:
        ohm, hops, at = heapq.heappop(heap)
        if at in done:
            continue
        done.add(at)
        owner = circuit.nodes[at].equipment
        if owner != item:
            node = _negative(circuit, at, negatives.get(owner, []))
            if node >= 0 or owner in settled:
                return Return(item, node, "" if node >= 0 else owner, _runs(at, before))
        for to, run in near.get(at, ()):
            cost = ohm + (max(0.0, ohms.get(run, 0.0).real) if run else 0.0), hops + 1
            if to not in done and cost < best.get(to, (float("inf"), 0)):
                best[to] = cost
                before[to] = at, run
                heapq.heappush(heap, (*cost, to))
    return None


def _runs(at: int, before: dict[int, tuple[int, str]]) -> tuple[str, ...]:
    walked = []
    while at in before:
        at, run = before[at]
        if run:
            walked.append(run)
    return tuple(reversed(walked))


def _negative(circuit: Circuit, at: int, drawn: list[int]) -> int:
    """The drawn negative that belongs to a positive of the same equipment, -1 where there is none."""
    here = circuit.nodes[at]
    same = [number for number in drawn if circuit.nodes[number].terminal == here.terminal]
    if same:
        return same[0]
    record = circuit.snapshot.equipment[here.equipment]
    sides = {end for conversion in record.conversions() for end in (conversion.source, conversion.target)}
    other = [number for number in drawn if circuit.nodes[number].terminal not in sides]
    return other[0] if other else -1
