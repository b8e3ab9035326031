"""How fast a bank refills: what each source can give it, what the way there lets through, what the bank takes.

A bank takes no more than ``slope x (1 - S) + floor`` times its capacity at state of charge S. Up to S_t the current is
the one that reaches it, from there it tapers:

    t = C (S_t - S_0) / (eta I) + ln((slope (1 - S_t) + floor) / (slope (1 - S_1) + floor)) / (eta slope)

hours, C in Ah. The form is ours, its figures by chemistry in `engine.books.batteries`.
"""

from __future__ import annotations

import math
from typing import NamedTuple

__all__ = ["Taper", "curve", "hours_between", "state_after"]


class Taper(NamedTuple):
    """What a bank takes: capacity (Ah), current that reaches it (A), slope and floor, efficiency as a share."""

    capacity_ah: float
    amps: float
    slope: float
    floor: float
    efficiency: float

    def begins(self) -> float:
        """State of charge at which the current begins to taper."""
        if self.slope <= 0:
            return 1.0
        return min(1.0, max(0.0, 1 - (self.amps / self.capacity_ah - self.floor) / self.slope))

    def taken_a(self, soc: float) -> float:
        """Charging current at a state of charge, A."""
        return min(self.amps, self.capacity_ah * (self.slope * (1 - soc) + self.floor))


def hours_between(taper: Taper, start: float, end: float) -> float:
    """Hours from one state of charge to a higher one; 0 where it is there, inf where nothing reaches the bank."""
    if start >= end:
        return 0.0
    if taper.amps <= 0 or taper.capacity_ah <= 0 or taper.efficiency <= 0:
        return math.inf
    turn = min(max(taper.begins(), start), end)
    hours = taper.capacity_ah * (turn - start) / (taper.efficiency * taper.amps)
    if turn < end:
        left, then = taper.slope * (1 - turn) + taper.floor, taper.slope * (1 - end) + taper.floor
        if then <= 0:
            return math.inf
        if taper.slope > 0:
            hours += math.log(left / then) / (taper.efficiency * taper.slope)
        else:
            hours += (end - turn) / (taper.efficiency * taper.floor)
    return hours


def state_after(taper: Taper, start: float, hours: float) -> float:
    """State of charge after charging for so long, at most 1."""
    if hours >= hours_between(taper, start, 1.0):
        return 1.0
    low, high = start, 1.0
    for _step in range(60):
        middle = (low + high) / 2
        if hours_between(taper, start, middle) > hours:
            high = middle
        else:
            low = middle
    return low


def curve(taper: Taper, start: float, end: float, points: int = 25) -> tuple[tuple[float, float], ...]:
    """(hours, state of charge) from `start` to `end` for a plot; nothing where it never gets there."""
    if not math.isfinite(hours_between(taper, start, end)) or start >= end:
        return ()
    states = [start + (end - start) * n / (points - 1) for n in range(points)]
    return tuple((hours_between(taper, start, soc), soc) for soc in states)
