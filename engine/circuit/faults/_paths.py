"""From one source alone outwards: the path of least resistance to every point, and the device passed last.

The current of a weakest source flows on one path. Where a second path stands beside it that may be open, so the one
path with all of the impedance is the smallest fault; the device on it carries the whole. Contacts that stand open as
drawn are passed only where there is no other way, and are told.
"""

from __future__ import annotations

import heapq
from typing import NamedTuple

from engine.circuit.solve.network import LEAST_OHM, Network

SHUT = 1e9  # what a contact that stands open counts as, beside ohms

__all__ = ["Reach", "Ways", "reach", "ways"]

Positions = tuple[tuple[str, str], ...]
# of each point: (other point, ohms, their size, branch); diodes: branch -1 - number
Ways = list[list[tuple[int, complex, float, int]]]


class Reach(NamedTuple):
    """Of every point reached: ohms from the start, the branch it was reached by, the point before.

    `gaps`: fields not recorded on the way there, where there are any: the impedance is a lower bound.
    """

    ohms: dict[int, complex]
    branch: dict[int, int]
    before: dict[int, int]
    gaps: dict[int, tuple[str, ...]]
    positions: dict[int, Positions]  # in which devices must stand, other than as drawn


def ways(net: Network) -> Ways:
    """The branches of a network by point; diodes in their direction."""
    made: Ways = [[] for _ in range(net.size)]
    for number, (a, b, z) in enumerate(zip(net.a, net.b, net.z, strict=True)):
        ohm = complex(z)
        size = abs(ohm)
        if not size < float("inf"):
            continue  # absent, or not a number
        if ohm.real < 0:
            ohm = complex(0, ohm.imag)
        if size < LEAST_OHM:
            ohm = complex(LEAST_OHM)
        size = abs(ohm)
        made[a].append((b, ohm, size, number))
        made[b].append((a, ohm, size, number))
    for number, (a, b, z) in enumerate(zip(net.diode_a, net.diode_b, net.diode_z, strict=True)):
        ohm = complex(max(float(z), LEAST_OHM))
        made[a].append((b, ohm, abs(ohm), -1 - number))
    return made


def reach(ways: Ways, start: int, unknown: dict[int, tuple[str, ...]], shut: dict[int, tuple[str, str]]) -> Reach:
    """Dijkstra by the size of the impedance; `unknown` are branches taken as ideal and the fields that would tell.

    `shut` are branches through contacts that stand open as drawn: device and the position that closes them.
    """
    ohms: dict[int, complex] = {}
    branch: dict[int, int] = {}
    before: dict[int, int] = {}
    gaps: dict[int, tuple[str, ...]] = {}
    positions: dict[int, Positions] = {}
    best: dict[int, tuple[float, complex]] = {start: (0.0, 0j)}
    heap: list[tuple[float, int]] = [(0.0, start)]
    while heap:
        size, at = heapq.heappop(heap)
        if at in ohms:
            continue
        z = ohms[at] = best[at][1]
        if at != start:
            came, by = before[at], branch[at]
            if by in unknown or came in gaps:
                gaps[at] = gaps.get(came, ()) + unknown.get(by, ())
            if by in shut or came in positions:
                stands, moved = positions.get(came, ()), shut.get(by)
                positions[at] = stands if moved is None or moved in stands else (*stands, moved)
        for to, step, length, number in ways[at]:
            if to in ohms:
                continue
            far = size + length
            if number in shut:
                far += SHUT
            have = best.get(to)
            if have is None or far < have[0]:
                best[to] = far, z + step
                branch[to], before[to] = number, at
                heapq.heappush(heap, (far, to))
    return Reach(ohms, branch, before, gaps, positions)
