"""A day's state of charge by step: loads spread evenly, the sun as a half sine about noon, the rest at its limit."""

from __future__ import annotations

import functools
import itertools
import math
from typing import TYPE_CHECKING

from engine.circuit.energy.results import Hour
from engine.circuit.energy.supply import figure

if TYPE_CHECKING:
    from engine.circuit.energy.refill import Refill

__all__ = ["STEP_H", "a_day", "sun_shares"]

STEP_H = 0.5
DAY_H = 24.0
NOON_H = 12.0


@functools.cache
def sun_shares() -> tuple[float, ...]:
    """The part of the day's sun in each step: a half sine about noon."""
    daylight = figure("daylight")
    until = []
    for step in range(round(DAY_H / STEP_H) + 1):
        part = min(1.0, max(0.0, (step * STEP_H - (NOON_H - daylight / 2)) / daylight))
        until.append((1 - math.cos(math.pi * part)) / 2)
    return tuple(b - a for a, b in itertools.pairwise(until))


def a_day(refilled: Refill, capacity_ah: float | None, nominal_v: float | None, load_wh: float) -> tuple[Hour, ...]:
    """Midnight to midnight from full; nothing where the bank is not known. `capacity_ah` is what ageing left.

    `Hour.charge_w` is what the sources give: no more than loads and bank take.
    """
    if not capacity_ah or not nominal_v:
        return ()
    made = []
    soc = 1.0
    load_w = load_wh / DAY_H
    most = math.inf if refilled.bank_limit_a is None else refilled.bank_limit_a
    taper = None if refilled.taper is None else refilled.taper._replace(amps=most)
    for step, share in enumerate(sun_shares(), start=1):
        given_w = refilled.sun_wh * share / STEP_H
        given_w += refilled.steady_wh / DAY_H + refilled.steady_a * nominal_v
        net_a = (given_w - load_w) / nominal_v
        if net_a > 0:
            taken = min(net_a, most if taper is None else taper.taken_a(soc))
            gained = taken * STEP_H * refilled.efficiency / capacity_ah
            if soc + gained > 1:
                taken *= (1 - soc) / gained
                gained = 1 - soc
            soc += gained
            given_w = load_w + taken * nominal_v
        else:
            soc = max(0.0, soc + net_a * STEP_H / capacity_ah)
        made.append(Hour(step * STEP_H, soc, load_w, given_w))
    return tuple(made)
