"""Energy a day in one operating condition: what every consumer takes, how long a bank lasts, how long it refills.

Wh a day of a consumer = watts x hours x share; what the bank gives for it is that over the efficiencies of the
converters on the way. A converter's own consumption counts for 24 h where it stands in a position that converts.
What is not known is left out of the sums, and named: then a sum is a least one, an autonomy a most one.

Autonomy at the mean current I, sun and wind counted, no other source: the usable part of the capacity; above the rated
current (capacity over the hours it is stated for, 20 where that is not recorded) by Peukert,
C x usable x (I_rated / I)^(p - 1). Banks side by side share the current by capacity.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.books import Book
from engine.books.batteries import defaults
from engine.circuit.energy.day import a_day
from engine.circuit.energy.refill import Refill, refill
from engine.circuit.energy.results import BankEnergy, Energy, LoadEnergy
from engine.circuit.energy.sources import DAY_H, Sources
from engine.circuit.energy.supply import figure, left_share, used_share, watts_of
from engine.circuit.energy.ways import Fed, Ways
from engine.circuit.expand import Circuit
from engine.circuit.flow.operating import Operation
from engine.equipment.base import Draw, Equipment
from engine.equipment.behaviour import Store
from engine.installation.model import Snapshot
from engine.units import number, show
from engine.words import _

__all__ = ["energy", "usable_ah"]

BILGE = "bilge pump"


def energy(snapshot: Snapshot, circuit: Circuit, operation: Operation, book: Book) -> Energy:
    """Everything there is to tell of a condition's energy. Never raises for what is drawn."""
    return _Budget(snapshot, circuit, operation).made()


class _Owned(NamedTuple):
    """A bank of this condition: its members, the largest first."""

    island: int
    members: tuple[tuple[str, Store], ...]


class _Budget:
    def __init__(self, snapshot: Snapshot, circuit: Circuit, operation: Operation) -> None:
        self.snapshot = snapshot
        self.circuit = circuit
        self.operation = operation
        self.ways = Ways(circuit, operation)
        self.banks = {island: _Owned(island, tuple(members)) for island, members in self.ways.banks.items()}

    def made(self) -> Energy:
        loads = [*self._loads(), *self._own()]
        of_bank: dict[int, list[LoadEnergy]] = {
            island: [load for load in loads if load.bank == bank.members[0][0]] for island, bank in self.banks.items()
        }
        load_wh = {island: sum(load.bank_wh or 0.0 for load in mine) for island, mine in of_bank.items()}
        sources = Sources(self.snapshot, self.circuit, self.ways, load_wh)
        refills = {island: refill(sources, island) for island in self.banks}
        banks = [self._bank(bank, of_bank[island], refills[island]) for island, bank in self.banks.items()]
        return Energy(
            condition=self.operation.condition,
            name=self.operation.name,
            loads=tuple(loads),
            banks=tuple(sorted(banks, key=lambda bank: bank.bank)),
            assumed=tuple(dict.fromkeys((*self.operation.taken, *self._passed_on(sources, refills, load_wh)))),
        )

    def _passed_on(self, sources: Sources, refills: dict[int, Refill], load_wh: dict[int, float]) -> Iterator[str]:
        """Chargers that live on their own bank; banks whose loads another makes good, each told as if alone."""
        for charger, island in sources.in_circles():
            yield _("{charger} lives on {bank} that it charges: counted neither as a load nor as a charge").format(
                charger=self.snapshot.name(charger), bank=self.snapshot.name(self.banks[island].members[0][0])
            )
        for island, refilled in refills.items():
            givers = [one for one in refilled.charging if one.from_bank]
            if givers and load_wh[island] and not refilled.is_kept:
                yield _("{bank}: what {converter} passes on to it does not count as a load of {giver}").format(
                    bank=self.snapshot.name(self.banks[island].members[0][0]),
                    converter=givers[0].designation,
                    giver=self.snapshot.name(givers[0].from_bank),
                )

    # -- consumers --------------------------------------------------------------------------------------------------
    def _loads(self) -> Iterator[LoadEnergy]:
        for item, record in self.snapshot.equipment.items():
            use = record.use()
            if use is None or record.status == "spare":
                continue
            hours = self.operation.hours.get(item)
            if hours is None and self.operation.has_hours:
                hours = 0.0
            if not hours and self.operation.has_hours:
                continue
            for draw in record.draws():
                yield self._load(item, record, draw, hours, 1.0 if use.duty_share is None else use.duty_share)

    def _load(self, item: str, record: Equipment, draw: Draw, hours: float | None, share: float) -> LoadEnergy:
        name = self.snapshot.name(item)
        fed = self.ways.fed(self.ways.island_at(item, draw.terminal))
        watts = watts_of(record, draw, self.ways.volts_at(item, draw))
        missing = [f"{name}.{field}" for field in draw.missing if watts is None]
        if hours is None:
            missing.append(f"{name}.duty")
        each = None if watts is None or hours is None else watts * hours * share
        bank_wh = each
        chain: list[tuple[str, float]] = []
        if fed.bank_island < 0:
            bank_wh = 0.0
        else:
            for converter, efficiency in fed.chain:
                if not efficiency:
                    missing.append(f"{self.snapshot.name(converter)}.efficiency")
                    bank_wh = None
                    continue
                chain.append((converter, efficiency))
                bank_wh = None if bank_wh is None else bank_wh / efficiency
        return LoadEnergy(
            equipment=item,
            designation=name,
            label=record.label,
            watts=watts,
            hours_a_day=hours,
            share=share,
            wh_a_day=each,
            bank=self._bank_name(fed),
            source=fed.source,
            chain=tuple(chain),
            bank_wh=bank_wh,
            missing=tuple(missing),
        )

    def _bank_name(self, fed: Fed) -> str:
        return self.banks[fed.bank_island].members[0][0] if fed.bank_island in self.banks else ""

    def _own(self) -> Iterator[LoadEnergy]:
        """What converters and modules take for themselves: all day in a position that converts, where they work."""
        for item, record in self.snapshot.equipment.items():
            if record.use() is not None or record.status == "spare":
                continue
            draws = record.draws()
            if not draws:
                continue
            conversions = record.conversions()
            held = [c for c in conversions if self.ways.holds(item, c.positions)]
            if conversions and not any(self.ways.works(item, c) for c in held):
                continue
            for draw in draws:
                fed = self.ways.fed(self.ways.island_at(item, draw.terminal))
                if fed.bank_island >= 0:
                    yield self._load(item, record, draw, DAY_H, 1.0)

    # -- banks ------------------------------------------------------------------------------------------------------
    def _bank(self, owned: _Owned, mine: list[LoadEnergy], refilled: Refill) -> BankEnergy:
        bank, _largest = owned.members[0]
        names = [self.snapshot.name(item) for item, _store in owned.members]
        stores = [one for _item, one in owned.members]
        load_wh = sum(load.bank_wh or 0.0 for load in mine)
        missing = list(dict.fromkeys(m for load in mine for m in load.missing))
        nominal = next((s.nominal_v for s in stores if s.nominal_v), None)
        capacity = _total(s.capacity_ah for s in stores)
        for item, one in owned.members:
            name = self.snapshot.name(item)
            known = (("unit_v", one.nominal_v), ("unit_ah", one.capacity_ah), ("chemistry", used_share(one)))
            missing += [f"{name}.{field}" for field, value in known if not value]
        mean_a = None if not nominal else load_wh / nominal / DAY_H
        assumed: list[str] = []
        usable = _total(
            usable_ah(s, _share_of(mean_a, s, capacity), assumed, n) for s, n in zip(stores, names, strict=True)
        )
        net_w = (load_wh - refilled.weather_wh()) / DAY_H
        autonomy = None
        if usable is not None and nominal:
            autonomy = usable * nominal / net_w if net_w > 0 else None if missing else math.inf
        record = self.snapshot.conditions.get(self.operation.condition)
        aged = _total(None if s.capacity_ah is None else s.capacity_ah * left_share(s) for s in stores)
        return BankEnergy(
            bank=bank,
            designation=" + ".join(names),
            joined=self._joined(owned),
            nominal_v=nominal,
            capacity_ah=capacity,
            usable_ah=usable,
            load_wh=load_wh,
            load_ah=None if not nominal else load_wh / nominal,
            source_wh=refilled.weather_wh(),
            mean_a=mean_a,
            autonomy_h=autonomy,
            is_kept=refilled.is_kept,
            required_h=None if record is None else record.required_hours,
            unattended_days=self._unattended(mine, autonomy),
            charging=refilled.charging,
            charge_a=refilled.amps,
            charge_limit=refilled.limited_by,
            recharge_h=refilled.hours,
            recharge_curve=refilled.curve,
            from_soc=refilled.start,
            to_soc=refilled.end,
            required_recharge_h=None if record is None else record.required_recharge_h,
            day=a_day(refilled, aged, nominal, load_wh),
            arithmetic=(
                *_day_sum(load_wh, nominal),
                *_lasting(usable, nominal, load_wh, refilled.weather_wh(), autonomy),
                *refilled.arithmetic,
            ),
            assumed=tuple(dict.fromkeys((*assumed, *refilled.assumed))),
            missing=tuple(dict.fromkeys(missing)),
            missing_weather=refilled.missing_weather,
            missing_recharge=tuple(dict.fromkeys((*missing, *refilled.missing))),
        )

    def _joined(self, owned: _Owned) -> str:
        """*joined with G1 by K1*: its capacity is then worked out, not recorded."""
        first = owned.members[0][0]
        told: dict[tuple[str, ...], list[str]] = {}
        for item, _store in owned.members[1:]:
            told.setdefault(self.ways.joined_by(first, item), []).append(self.snapshot.name(item))
        return "; ".join(
            _("joined with {banks} by {contacts}").format(
                banks=", ".join(banks), contacts=", ".join(self.snapshot.name(item) for item in contacts)
            )
            if contacts
            else _("joined with {banks} by wires alone").format(banks=", ".join(banks))
            for contacts, banks in told.items()
        )

    def _unattended(self, mine: list[LoadEnergy], autonomy: float | None) -> float | None:
        """Days the bank keeps its bilge pumps and what else stays on in this condition; `None` without such a pump."""
        uses = [self.snapshot.equipment[load.equipment].use() for load in mine]
        has_pump = any(use is not None and use.service == BILGE for use in uses)
        return autonomy / DAY_H if has_pump and autonomy is not None else None


def _share_of(mean_a: float | None, store: Store, capacity: float | None) -> float | None:
    """What a bank gives of the mean current of all that stand side by side: its part by capacity."""
    if mean_a is None or not capacity or store.capacity_ah is None:
        return mean_a
    return mean_a * store.capacity_ah / capacity


def _day_sum(load_wh: float, nominal: float | None) -> tuple[str, ...]:
    if not nominal:
        return ()
    return (
        _("{wh} Wh a day / {volts} = {ah} Ah a day").format(
            wh=number(load_wh, 5), volts=show(nominal, "V"), ah=number(load_wh / nominal, 4)
        ),
    )


def _lasting(
    usable: float | None, nominal: float | None, load_wh: float, weather_wh: float, autonomy: float | None
) -> tuple[str, ...]:
    """How long the store lasts, in one line whose figures can be followed."""
    if autonomy is None or not math.isfinite(autonomy) or usable is None or not nominal:
        return ()
    if weather_wh:
        taken = _("({load} Wh - {brought} Wh of sun and wind)").format(
            load=number(load_wh, 5), brought=number(weather_wh, 5)
        )
    else:
        taken = f"{number(load_wh, 5)} Wh"
    return (
        _("{ah} Ah used × {volts} / {taken} × 24 h = {hours} h").format(
            ah=number(usable, 4), volts=show(nominal, "V"), taken=taken, hours=number(autonomy, 4)
        ),
    )


def _total(values: Iterator[float | None] | Any) -> float | None:
    """The sum, `None` where one is not known."""
    every = list(values)
    return None if any(v is None for v in every) or not every else float(sum(every))


def usable_ah(store: Store, mean_a: float | None, assumed: list[str], name: str) -> float | None:
    """Ampere-hours a bank gives at its mean current; what was assumed is added to `assumed`."""
    kind = defaults(store.chemistry)
    if store.capacity_ah is None:
        return None
    share = store.usable
    if share is None:
        if kind is None:
            return None
        share = kind.usable
        assumed.append(
            _("{name}: {percent} % of its capacity used, as is usual for {chemistry}").format(
                name=name, percent=number(100 * share), chemistry=store.chemistry
            )
        )
    ah = store.capacity_ah * left_share(store)
    hours = store.rated_hours_h or figure("rated_hours")
    if mean_a is None or not hours or mean_a <= ah / hours:
        return ah * share
    exponent = store.peukert
    if exponent is None:
        if kind is None:
            return ah * share
        exponent = kind.peukert
        assumed.append(
            _("{name}: Peukert exponent {value}, as is usual for {chemistry}").format(
                name=name, value=number(exponent), chemistry=store.chemistry
            )
        )
    if not store.rated_hours_h:
        assumed.append(
            _("{name}: its capacity taken as stated for a discharge of {hours} h").format(
                name=name, hours=number(hours)
            )
        )
    return float(ah * share * (ah / hours / mean_a) ** (exponent - 1))
