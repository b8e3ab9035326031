"""A day's state of charge by step: loads spread evenly, the sun as a half sine about noon, the rest at its limit."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from engine.circuit.energy.results import Hour

if TYPE_CHECKING:
    from engine.circuit.energy.refill import Refill

__all__ = ["STEP_H", "a_day", "sun_w"]

STEP_H = 0.5
DAYLIGHT_H = 12.0
NOON_H = 12.0


def sun_w(wh_a_day: float, hour: float) -> float:
    """Watts at an hour of the day: a half sine from 6 to 18 h whose area is the day's energy."""
    since = hour - (NOON_H - DAYLIGHT_H / 2)
    if not 0 <= since <= DAYLIGHT_H:
        return 0.0
    return wh_a_day * math.pi / (2 * DAYLIGHT_H) * math.sin(math.pi * since / DAYLIGHT_H)


def a_day(refilled: Refill, capacity: float | None, nominal: float | None, load_wh: float) -> tuple[Hour, ...]:
    """Midnight to midnight from full; nothing where the bank is not known."""
    if not capacity or not nominal:
        return ()
    made = []
    soc = 1.0
    load_w = load_wh / 24
    for step in range(round(24 / STEP_H)):
        middle = (step + 0.5) * STEP_H
        given_w = sum(sun_w(wh, middle) for wh in refilled.sun_wh)
        given_w += sum(refilled.steady_wh) / 24 + refilled.steady_a * nominal
        charge_w = 0.0
        net_a = (given_w - load_w) / nominal
        if net_a > 0:
            taken = net_a if refilled.taper is None else min(net_a, refilled.taper._replace(amps=net_a).taken_a(soc))
            charge_w = taken * nominal
            soc += taken * STEP_H * refilled.efficiency / capacity
        else:
            soc += net_a * STEP_H / capacity
            charge_w = 0.0
        soc = min(1.0, max(0.0, soc))
        made.append(Hour((step + 1) * STEP_H, soc, load_w, charge_w if net_a > 0 else given_w))
    return tuple(made)
