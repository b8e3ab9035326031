"""What charges a bank in a condition, and how long that takes.

Each running source counts with its own limit (an alternator hot, a charger with what its supply can feed it); the
sources together with what the devices on the way carry continuously (the greatest flow to the bank, devices at 80 % of
their rating); less the mean load; and no more than the bank takes. Sun, wind and water count with their mean over the
day.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from engine.books.batteries import defaults
from engine.circuit.energy.charging import Taper, curve, hours_between
from engine.circuit.energy.results import Charging
from engine.circuit.energy.supply import continuous_va, figure, watts_of
from engine.circuit.energy.way import Way
from engine.circuit.energy.ways import Given, Ways
from engine.circuit.expand import Circuit
from engine.equipment.behaviour import Store
from engine.installation.model import Snapshot
from engine.units import number, show
from engine.words import _

__all__ = ["Refill", "refill"]

DAY_H = 24.0


class Refill(NamedTuple):
    """All that charging a bank has to tell. `hours` inf: it never refills; `None`: not known."""

    charging: tuple[Charging, ...]
    amps: float | None
    limited_by: str
    hours: float | None
    curve: tuple[tuple[float, float], ...]
    start: float | None
    end: float | None
    weather_wh: float
    sun_wh: tuple[float, ...]
    steady_wh: tuple[float, ...]
    steady_a: float
    taper: Taper | None
    efficiency: float
    assumed: tuple[str, ...]
    missing: tuple[str, ...]
    missing_weather: tuple[str, ...]
    arithmetic: tuple[str, ...]


def refill(
    snapshot: Snapshot,
    circuit: Circuit,
    ways: Ways,
    island: int,
    stores: Sequence[Store],
    load_wh: float,
    condition: str,
) -> Refill:
    """How the bank on an island refills."""
    return _Refilling(snapshot, circuit, ways, island, stores, load_wh, condition).made()


class _Refilling:
    def __init__(
        self,
        snapshot: Snapshot,
        circuit: Circuit,
        ways: Ways,
        island: int,
        stores: Sequence[Store],
        load_wh: float,
        condition: str,
    ) -> None:
        self.snapshot = snapshot
        self.circuit = circuit
        self.ways = ways
        self.island = island
        self.stores = stores
        self.load_wh = load_wh
        self.condition = condition
        self.assumed: list[str] = []
        self.missing: list[str] = []
        self.missing_weather: list[str] = []
        self.sun: list[float] = []
        self.steady: list[float] = []
        self.volts = next((s.charge_v or s.nominal_v for s in stores if s.charge_v or s.nominal_v), None)

    def made(self) -> Refill:
        charging: list[Charging] = []
        given: list[tuple[int, float]] = []
        steady_a = 0.0
        for one in self.ways.gives.get(self.island, ()):
            if one.source.system != "dc":
                continue
            told = self._one(one)
            if told is None:
                continue
            charging.append(told)
            node = self.circuit.node(one.equipment, one.source.terminal, one.source.conductor)
            if told.given_a and node is not None:
                given.append((node, told.given_a))
                steady_a += told.given_a if told.wh_a_day is None else 0.0
        charging.sort(key=lambda c: (c.designation, c.equipment))
        nominal = next((s.nominal_v for s in self.stores if s.nominal_v), None)
        capacity = sum(s.capacity_ah * _left(s) for s in self.stores if s.capacity_ah)
        arithmetic: list[str] = []
        amps, limited_by = self._reaching(given)
        if charging:
            arithmetic.append(
                " + ".join(number(c.given_a or 0.0, 1) for c in charging)
                + f" A; {_('on the way')}: {number(amps, 1)} A"
            )
        load_a = self.load_wh / DAY_H / nominal if nominal else 0.0
        net = max(0.0, amps - load_a)
        taper, efficiency, bank_limit = self._taper(capacity)
        if bank_limit is not None and net > bank_limit:
            net, limited_by = bank_limit, _("the bank: {amps}").format(amps=show(bank_limit, "A"))
        start = self._start()
        hours: float | None = None
        points: tuple[tuple[float, float], ...] = ()
        if taper is not None and start is not None and nominal:
            taper = taper._replace(amps=net)
            hours = hours_between(taper, start, 1.0)
            points = curve(taper, start, 1.0)
            if charging:
                arithmetic.append(
                    _("{amps} A - {load} A load = {net} A into {capacity} Ah from {start} %: {hours}").format(
                        amps=number(amps, 1),
                        load=number(load_a, 1),
                        net=number(net, 1),
                        capacity=number(capacity, 1),
                        start=number(100 * start, 1),
                        hours=_("never") if math.isinf(hours) else show(round(hours, 2), "h"),
                    )
                )
        return Refill(
            charging=tuple(charging),
            amps=net,
            limited_by=limited_by,
            hours=hours if charging else None,
            curve=points if charging else (),
            start=start,
            end=1.0 if start is not None else None,
            weather_wh=sum(self.sun) + sum(self.steady),
            sun_wh=tuple(self.sun),
            steady_wh=tuple(self.steady),
            steady_a=min(steady_a, amps),
            taper=taper,
            efficiency=efficiency,
            assumed=tuple(dict.fromkeys(self.assumed)),
            missing=tuple(dict.fromkeys((*self.missing, *self.missing_weather))),
            missing_weather=tuple(dict.fromkeys(self.missing_weather)),
            arithmetic=tuple(arithmetic),
        )

    # -- each source ------------------------------------------------------------------------------------------------
    def _one(self, given: Given) -> Charging | None:
        """One charging source, `None` for what does not run in this condition."""
        item, record = given.equipment, self.snapshot.equipment[given.equipment]
        name = self.snapshot.name(item)
        rated = given.source.limit_a
        if given.conversion is None:
            if record.harvest() is not None:
                return self._harvested(item, item, rated, 1.0)
            return self._machine(item, rated)
        into = self.ways.island_at(item, given.conversion.source)
        arrays = [
            one.equipment
            for one in self.ways.gives.get(into, ())
            if one.conversion is None and self.snapshot.equipment[one.equipment].harvest() is not None
        ]
        if arrays:
            efficiency = given.conversion.efficiency
            if not efficiency:
                self.missing_weather.append(f"{name}.efficiency")
                return Charging(
                    equipment=item, designation=name, rated_a=rated, given_a=None, missing=(f"{name}.efficiency",)
                )
            return self._harvested(item, arrays[0], rated, efficiency)
        fed = self.ways.fed(into)
        if fed.bank_island == self.island or (fed.bank_island < 0 and not fed.source):
            return None  # fed by the bank it would charge, or by nothing
        if rated is None:
            field = next(iter(given.source.missing), "charge_a")
            self.missing.append(f"{name}.{field}")
            return Charging(
                equipment=item,
                designation=name,
                rated_a=None,
                given_a=None,
                is_running=True,
                missing=(f"{name}.{field}",),
            )
        if fed.source and fed.bank_island < 0:
            return self._from_supply(given, fed.source, into, rated)
        return Charging(
            equipment=item, designation=name, rated_a=rated, given_a=rated, is_running=True, why=_("its rating")
        )

    def _machine(self, item: str, rated: float | None) -> Charging | None:
        name = self.snapshot.name(item)
        machine = self.snapshot.equipment[item].machine()
        hot = dict(machine.hot_a) if machine is not None else {}
        amps = hot.get(self.condition, hot.get(""))
        if amps is not None:
            return Charging(
                equipment=item, designation=name, rated_a=rated, given_a=amps, is_running=True, why=_("hot output")
            )
        if rated is None:
            self.missing.append(f"{name}.rating_a")
            return Charging(
                equipment=item,
                designation=name,
                rated_a=None,
                given_a=None,
                is_running=True,
                missing=(f"{name}.rating_a",),
            )
        share = figure("hot_share")
        why = _("hot: {rated} × {share}, its hot output is not recorded").format(
            rated=show(rated, "A"), share=number(share)
        )
        self.assumed.append(f"{name}: {why}")
        return Charging(
            equipment=item, designation=name, rated_a=rated, given_a=rated * share, is_running=True, why=why
        )

    def _harvested(self, item: str, array: str, rated: float | None, efficiency: float) -> Charging:
        """Sun, wind or water: energy of the day, as a mean current."""
        name, record = self.snapshot.name(item), self.snapshot.conditions.get(self.condition)
        harvest = self.snapshot.equipment[array].harvest()
        assert harvest is not None
        runs = self.ways.operation.running is None or array in self.ways.operation.running
        wh: float | None = dict(harvest.yields).get(self.condition)
        why = _("{wh} Wh a day recorded").format(wh=number(wh, 1)) if wh is not None else ""
        if wh is None and harvest.from_sun and record is not None and record.peak_sun_h is not None and harvest.watts:
            derating = figure("solar_derating")
            wh = harvest.watts * record.peak_sun_h * derating
            why = f"{number(harvest.watts)} W × {number(record.peak_sun_h)} h × {number(derating)}"
            self.assumed.append(
                _("{name}: {percent} % of its plate power at full sun").format(
                    name=self.snapshot.name(array), percent=number(100 * derating)
                )
            )
        if not runs:
            wh, why = 0.0, _("does not run in this condition")
        if wh is None:
            field = "yields" if not harvest.from_sun else "peak_sun_h"
            if harvest.from_sun and harvest.watts is None:
                field = "module_w"
            owner = self.snapshot.name(self.condition) if field == "peak_sun_h" else self.snapshot.name(array)
            if field == "peak_sun_h" and record is None:
                return Charging(
                    equipment=item,
                    designation=name,
                    rated_a=rated,
                    given_a=0.0,
                    wh_a_day=0.0,
                    why=_("sun and wind count in an operating condition only"),
                )
            self.missing_weather.append(f"{owner}.{field}")
            return Charging(
                equipment=item,
                designation=name,
                rated_a=rated,
                given_a=0.0,
                wh_a_day=None,
                is_running=runs,
                why=_("not counted: what it brings is not recorded"),
                missing=(f"{owner}.{field}",),
            )
        wh *= efficiency
        if efficiency != 1.0 and wh:
            why += f" × {number(efficiency)}"
        (self.sun if harvest.from_sun else self.steady).append(wh)
        mean = wh / DAY_H / self.volts if self.volts else 0.0
        return Charging(
            equipment=item, designation=name, rated_a=rated, given_a=mean, wh_a_day=wh, is_running=runs, why=why
        )

    def _from_supply(self, given: Given, source: str, into: int, rated: float) -> Charging:
        """A charger on shore or a generator: what is left for it."""
        item, name = given.equipment, self.snapshot.name(given.equipment)
        supply = self.snapshot.equipment[source]
        limit_va = continuous_va(supply, self.circuit.joined.get(source, frozenset()))
        assert given.conversion is not None
        efficiency = given.conversion.efficiency
        factor = getattr(self.snapshot.equipment[item], "power_factor", None)
        plain = Charging(
            equipment=item, designation=name, rated_a=rated, given_a=rated, is_running=True, why=_("its rating")
        )
        if limit_va is None or not self.volts:
            return plain
        others = 0.0
        for other, record in self.snapshot.equipment.items():
            if other not in self.ways.operation.on or other == item:
                continue
            for draw in record.draws():
                fed = self.ways.fed(self.ways.island_at(other, draw.terminal))
                if fed.source == source and fed.bank_island < 0:
                    watts = watts_of(record, draw, None)
                    hours = self.ways.operation.hours.get(other, DAY_H)
                    others += (watts or 0.0) * hours / DAY_H
        left = max(0.0, limit_va - others)
        best = left / self.volts
        if best * (factor or 1.0) * (efficiency or 1.0) >= rated:
            return plain
        lacks = [f"{name}.{field}" for field, v in (("power_factor", factor), ("efficiency", efficiency)) if not v]
        amps = best * (factor or 1.0) * (efficiency or 1.0)
        why = _("{left} VA left of {limit} VA of {source}: × {factor} × {efficiency} / {volts}").format(
            left=number(left, 0),
            limit=number(limit_va, 0),
            source=self.snapshot.name(source),
            factor=number(factor or 1.0),
            efficiency=number(efficiency or 1.0),
            volts=show(self.volts, "V"),
        )
        self.missing += lacks
        return Charging(
            equipment=item,
            designation=name,
            rated_a=rated,
            given_a=min(rated, amps),
            is_running=True,
            why=why,
            missing=tuple(lacks),
        )

    # -- the way to the bank ----------------------------------------------------------------------------------------
    def _reaching(self, given: list[tuple[int, float]]) -> tuple[float, str]:
        """What of the sources' current reaches the bank, and what limits it."""
        if not given:
            return 0.0, ""
        way = Way(self.circuit, self.ways, self.island)
        total = sum(amps for _node, amps in given)
        through = way.most(given)
        if through >= total * (1 - 1e-9):
            return total, _("what the sources give")
        for device, rating in way.devices():
            if rating < total and way.most(given, freed=device) > through * (1 + 1e-9):
                return through, _("{device}: {rating}").format(
                    device=self.snapshot.name(device), rating=show(round(rating, 1), "A")
                )
        return through, _("devices on the way")

    # -- the bank ---------------------------------------------------------------------------------------------------
    def _taper(self, capacity: float) -> tuple[Taper | None, float, float | None]:
        """How the bank takes its charge, its efficiency, the largest current it may be given."""
        store = self.stores[0]
        kind = defaults(store.chemistry)
        if len({s.chemistry for s in self.stores}) > 1:
            self.assumed.append(_("banks of several chemistries: all taken as {one}").format(one=store.chemistry))
        figures = []
        for recorded, name in (
            (store.acceptance_slope, "slope"),
            (store.acceptance_floor, "floor"),
            (store.charge_efficiency, "efficiency"),
        ):
            if recorded is not None:
                figures.append(recorded)
            elif kind is not None:
                figures.append(getattr(kind, name))
        limits = [s.charge_limit_a for s in self.stores]
        limit = None if any(v is None for v in limits) else sum(v for v in limits if v is not None)
        if len(figures) < 3 or not capacity:
            bank = self.snapshot.name(self.ways.banks[self.island][0][0])
            self.missing += [f"{bank}.chemistry"] if len(figures) < 3 else []
            return None, figures[-1] if figures else 1.0, limit
        if kind is not None and store.acceptance_slope is None:
            self.assumed.append(
                _("charge taken as usual for {chemistry}: {slope} × (1 - S) + {floor} of the capacity").format(
                    chemistry=store.chemistry, slope=number(figures[0]), floor=number(figures[1])
                )
            )
        if limit is None and kind is not None:
            limit = kind.rate * capacity
            self.assumed.append(
                _("no charging limit is recorded: {share} × {capacity} Ah, as is usual for {chemistry}").format(
                    share=number(kind.rate), capacity=number(capacity, 1), chemistry=store.chemistry
                )
            )
        return Taper(capacity, 0.0, figures[0], figures[1], figures[2]), figures[2], limit

    def _start(self) -> float | None:
        """State of charge when all that may be used is used."""
        store = self.stores[0]
        kind = defaults(store.chemistry)
        share = store.usable if store.usable is not None else (kind.usable if kind is not None else None)
        return None if share is None else 1 - share


def _left(store: Store) -> float:
    return 1.0 if store.remaining is None else store.remaining
