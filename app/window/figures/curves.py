"""The two curves of a bank as data for a plot, and in words for who does not see them. No Qt."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.circuit.energy.results import BankEnergy
from engine.units import number
from engine.words import _

__all__ = ["Curve", "Mark", "day_curve", "recharge_curve", "ticks"]

_STEPS = (0.1, 0.2, 0.5, 1, 2, 3, 6, 12, 24, 48, 120, 240)  # hours between marks of an axis


class Mark(NamedTuple):
    """A line across the plot with its words: at so many percent, or (`upright`) at so many hours."""

    at: float
    text: str
    upright: bool = False


class Curve(NamedTuple):
    """Percent over hours."""

    title: str
    points: tuple[tuple[float, float], ...]
    hours: float  # length of the axis
    marks: tuple[Mark, ...] = ()
    words: str = ""  # the figures in a sentence


def day_curve(bank: BankEnergy) -> Curve:
    """The state of charge over a day that begins full."""
    title = _("{bank}: state of charge over a day").format(bank=bank.designation)
    if not bank.day:
        return Curve(title, (), 24.0, (), _("No curve: not known."))
    points = ((0.0, 100.0), *((hour.hour, 100 * hour.soc) for hour in bank.day))
    low = min(points, key=lambda point: point[1])
    every = [p for p in points if math.isclose(p[0] % 6, 0, abs_tol=1e-9)]
    told = ", ".join(_("{soc} % at {h} h").format(soc=number(soc, 2), h=number(h)) for h, soc in every)
    words = _("{title}: {figures}; lowest {soc} % at {h} h.").format(
        title=title, figures=told, soc=number(low[1], 2), h=number(low[0])
    )
    return Curve(title, points, 24.0, _reserve(bank), words)


def recharge_curve(bank: BankEnergy) -> Curve:
    """The state of charge while it refills."""
    title = _("{bank}: refilling").format(bank=bank.designation)
    points = tuple((hours, 100 * soc) for hours, soc in bank.recharge_curve)
    if not points:
        why = _("not known") if bank.recharge_h is None else _("nothing charges it, or less than the loads take")
        return Curve(title, (), 1.0, (), _("No curve: {why}.").format(why=why))
    wanted = bank.required_recharge_h
    end = max(points[-1][0], wanted or 0.0) or 1.0
    marks = (Mark(wanted, _("{n} h wanted").format(n=number(wanted)), True),) if wanted else ()
    shown = [points[0], points[len(points) // 2], points[-1]]
    told = ", ".join(_("{soc} % after {h} h").format(soc=number(soc, 2), h=number(h, 2)) for h, soc in shown)
    return Curve(title, points, end * 1.02, marks, _("{title}: {figures}.").format(title=title, figures=told))


def _reserve(bank: BankEnergy) -> tuple[Mark, ...]:
    """Below this nothing is to be taken out."""
    if bank.usable_ah is None or not bank.capacity_ah:
        return ()
    left = 100 * (1 - bank.usable_ah / bank.capacity_ah)
    return (Mark(left, _("{n} % is to stay in it").format(n=number(left, 2))),) if 0 < left < 100 else ()


def ticks(end: float, most: int) -> list[float]:
    """Marks of an axis from 0 to `end`, at most so many."""
    step = next((s for s in _STEPS if end / s <= most), None)
    if step is None:
        step = math.ceil(end / most / 240) * 240
    return [n * step for n in range(int(end / step + 1e-9) + 1)]
