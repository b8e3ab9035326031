"""What charges a bank in a condition, and how long that takes.

Each running source counts with its own limit (`sources`); the sources together with what devices, switches and buses on
the way carry continuously (the greatest flow to the bank); less the mean load; and no more than the bank takes. Sun,
wind and water count with their mean over the day.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.books.batteries import defaults
from engine.circuit.energy.charging import Taper, curve, hours_between
from engine.circuit.energy.results import Charging
from engine.circuit.energy.sources import DAY_H, Sources, Told
from engine.circuit.energy.supply import charge_limit_a, left_share, used_share
from engine.circuit.energy.way import Way
from engine.equipment.behaviour import Store
from engine.units import number, show
from engine.words import _

__all__ = ["Refill", "refill"]


class Refill(NamedTuple):
    """All that charging a bank has to tell. `hours` inf: it never refills; `None`: not known."""

    charging: tuple[Charging, ...]
    amps: float | None
    limited_by: str
    hours: float | None
    curve: tuple[tuple[float, float], ...]
    start: float | None
    end: float | None
    sun_wh: float
    steady_wh: float
    steady_a: float  # what runs all day brings to the bank
    is_kept: bool
    taper: Taper | None
    efficiency: float
    bank_limit_a: float | None
    assumed: tuple[str, ...]
    missing: tuple[str, ...]
    missing_weather: tuple[str, ...]
    arithmetic: tuple[str, ...]

    def weather_wh(self) -> float:
        """What sun, wind and water bring a day, Wh."""
        return self.sun_wh + self.steady_wh


def refill(sources: Sources, island: int) -> Refill:
    """How the bank on an island refills."""
    told = sources.on(island)
    bank = _Bank(sources, island)
    given = [(one.node, one.charging.given_a) for one in told if one.node is not None and one.charging.given_a]
    way = Way(sources.circuit, sources.ways, island, [node for node, _amps in given]) if given else None
    amps, limited_by = _reaching(sources, way, given)
    load_a = sources.load_wh.get(island, 0.0) / DAY_H / bank.nominal_v if bank.nominal_v else 0.0
    steady = [(o.node, o.steady_a) for o in told if o.node is not None and o.steady_a and not o.charging.from_bank]
    net = max(0.0, amps - load_a)
    if bank.limit_a is not None and net > bank.limit_a:
        net, limited_by = bank.limit_a, _("the bank: {amps}").format(amps=show(bank.limit_a, "A"))
    if given and net <= 0:
        limited_by = _("the loads take it all")
    arithmetic: list[str] = []
    if told:
        arithmetic.append(_sum(told, amps))
    hours: float | None = None
    points: tuple[tuple[float, float], ...] = ()
    taper = bank.taper
    if taper is not None and bank.start is not None and bank.nominal_v:
        taper = taper._replace(amps=net)
        if told:
            hours = hours_between(taper, bank.start, 1.0)
            points = curve(taper, bank.start, 1.0)
            arithmetic.append(_refilling(amps, load_a, net, taper, bank.start, hours))
    missing_weather = tuple(dict.fromkeys(m for one in told for m in one.missing_weather))
    return Refill(
        charging=tuple(one.charging for one in told),
        amps=net,
        limited_by=limited_by,
        hours=hours,
        curve=points,
        start=bank.start,
        end=None if bank.start is None else 1.0,
        sun_wh=sum(one.sun_wh for one in told),
        steady_wh=sum(one.steady_wh for one in told),
        steady_a=min(sum(one.steady_a for one in told), amps),
        is_kept=way is not None and bool(steady) and way.most(steady) > load_a,
        taper=taper,
        efficiency=bank.efficiency,
        bank_limit_a=bank.limit_a,
        assumed=tuple(dict.fromkeys((*(text for one in told for text in one.assumed), *bank.assumed))),
        missing=tuple(dict.fromkeys((*(m for one in told for m in one.missing), *bank.missing, *missing_weather))),
        missing_weather=missing_weather,
        arithmetic=tuple(arithmetic),
    )


def _sum(told: list[Told], amps: float) -> str:
    parts = " + ".join(number(one.charging.given_a or 0.0) for one in told)
    return _("{parts} A given; {amps} A of it arrive").format(parts=parts, amps=number(amps))


def _refilling(amps: float, load_a: float, net: float, taper: Taper, start: float, hours: float) -> str:
    into = _("into {capacity} Ah from {start} %").format(capacity=number(taper.capacity_ah), start=number(100 * start))
    left = _("{amps} A - {load} A load").format(amps=number(amps), load=number(load_a))
    if amps <= load_a:
        return _("{left}: nothing is left to charge with").format(left=left)
    if net < (amps - load_a) * (1 - 1e-9):
        left = _("{left} = {amps} A, of which {net} A").format(left=left, amps=number(amps - load_a), net=number(net))
    else:
        left = f"{left} = {number(net)} A"
    text = f"{left} {into}: " + (_("never") if math.isinf(hours) else show(round(hours, 2), "h"))
    turn = taper.begins()
    if math.isfinite(hours) and turn < 1:
        text = _("{text}, tapering from {turn} %").format(text=text, turn=number(100 * max(turn, start)))
    return text


def _reaching(sources: Sources, way: Way | None, given: list[tuple[int, float]]) -> tuple[float, str]:
    """What of the sources' current reaches the bank, and what limits it."""
    if way is None:
        return 0.0, ""
    total = sum(amps for _node, amps in given)
    through = way.most(given)
    if through >= total * (1 - 1e-9):
        return total, _("what the sources give")
    for device, rating in way.devices():
        if rating < total and way.most(given, freed=device) > through * (1 + 1e-9):
            name = sources.snapshot.name(device)
            return through, _("{device}: {rating}").format(device=name, rating=show(round(rating, 1), "A"))
    return through, _("devices on the way")


class _Bank:
    """How the banks on an island take their charge together; the largest tells its acceptance."""

    def __init__(self, sources: Sources, island: int) -> None:
        members = sources.ways.banks[island]
        stores = [store for _item, store in members]
        name, store = sources.snapshot.name(members[0][0]), stores[0]
        kind = defaults(store.chemistry)
        self.assumed: list[str] = []
        self.missing: list[str] = []
        self.nominal_v = next((s.nominal_v for s in stores if s.nominal_v), None)
        used = used_share(store)
        self.start = None if used is None else 1 - used
        capacity = sum((s.capacity_ah or 0.0) * left_share(s) for s in stores)
        self.taper: Taper | None = None
        self.efficiency = kind.efficiency if kind is not None else 1.0
        if store.charge_efficiency is not None:
            self.efficiency = store.charge_efficiency
        if len({s.chemistry for s in stores}) > 1:
            self.assumed.append(_("banks of several chemistries: all taken as {one}").format(one=store.chemistry))
        slope = store.acceptance_slope if store.acceptance_slope is not None or kind is None else kind.slope
        floor = store.acceptance_floor if store.acceptance_floor is not None or kind is None else kind.floor
        if slope is None or floor is None or (kind is None and store.charge_efficiency is None):
            self.missing.append(f"{name}.chemistry")
        elif capacity:
            self.taper = Taper(capacity, 0.0, slope, floor, self.efficiency)
            if kind is not None and None in (store.acceptance_slope, store.acceptance_floor):
                self.assumed.append(
                    _("charge taken as usual for {chemistry}: {slope} × (1 - S) + {floor} of the capacity").format(
                        chemistry=store.chemistry, slope=number(slope), floor=number(floor)
                    )
                )
            if kind is not None and store.charge_efficiency is None:
                self.assumed.append(
                    _("{percent} % of the charge is stored, as is usual for {chemistry}").format(
                        percent=number(100 * kind.efficiency), chemistry=store.chemistry
                    )
                )
        self.limit_a: float | None = self._limit(sources, members)

    def _limit(self, sources: Sources, members: list[tuple[str, Store]]) -> float | None:
        """What all may be given together; `None` where it is known of none, or of one not at all."""
        total = 0.0
        for item, store in members:
            limit = charge_limit_a(sources.snapshot, item, store)
            kind = defaults(store.chemistry)
            if limit is None:
                if kind is None or not store.capacity_ah:
                    return None
                capacity = store.capacity_ah * left_share(store)
                limit = kind.rate * capacity
                self.assumed.append(
                    _(
                        "{name}: no charging limit is recorded: {share} × {capacity} Ah, as is usual for {chemistry}"
                    ).format(
                        name=sources.snapshot.name(item),
                        share=number(kind.rate),
                        capacity=number(capacity, 4),
                        chemistry=store.chemistry,
                    )
                )
            total += limit
        return total
