"""What each charging source gives a bank in a condition, with the limit that decides.

* An alternator: its hot output, recorded for the condition or for all; where none is, a share of its rating, stated.
* A charger on shore or a generator: its rating, as long as what the other loads leave of the supply (their mean over
  the day) feeds every charger on it; else its part of what is left, by rating. The supply counts with its full
  continuous rating.
* A converter from another bank: its rating where that bank holds as much as this one needs; else, or where it runs only
  while that bank is charged, what charges that bank, less its loads, is all it can pass on (sun and wind whole: it
  runs while they charge).
* Sun, wind and water: the energy of the day as a mean current, recorded or, for the sun, by peak-sun hours; arrays on
  one controller add up, controllers on one array share it, and none gives more than its rating at full sun.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.energy.results import Charging
from engine.circuit.energy.supply import continuous_va, figure, left_share, rating_field, used_share, watts_of
from engine.circuit.energy.ways import Fed, Given, Ways
from engine.circuit.expand import Circuit
from engine.equipment.behaviour import Converter
from engine.installation.model import Snapshot
from engine.units import number, show
from engine.words import _

__all__ = ["DAY_H", "Sources", "Told"]

DAY_H = 24.0


class Told(NamedTuple):
    """A charging source: what is shown of it, where it feeds, its day's energy, its steady current."""

    charging: Charging
    node: int | None
    sun_wh: float = 0.0
    steady_wh: float = 0.0
    steady_a: float = 0.0
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    missing_weather: tuple[str, ...] = ()


class Sources:
    """Every charging source of every bank in one condition. `load_wh`: what loads take of each bank (island) a day."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit, ways: Ways, load_wh: dict[int, float]) -> None:
        self.snapshot = snapshot
        self.circuit = circuit
        self.ways = ways
        self.load_wh = load_wh
        self._left: dict[str, tuple[float, float] | None] = {}
        self._others: dict[str, float] | None = None
        self._takers: list[
            tuple[int, Given, int, Fed]
        ] = []  # converters into banks: bank, itself, input, what feeds it
        self._controllers: dict[int, int] = {}  # how many converters stand on an input
        for island, some in ways.gives.items():
            for given in some:
                if given.conversion is None or given.source.system != "dc":
                    continue
                into = ways.island_at(given.equipment, given.conversion.source)
                self._controllers[into] = self._controllers.get(into, 0) + 1
                if island in ways.banks:
                    self._takers.append((island, given, into, ways.fed(into)))

    def on(self, island: int, *, from_banks: bool = True) -> list[Told]:
        """What charges the bank on an island, by designation; without what other banks give where asked so."""
        made = []
        for given in self.ways.gives.get(island, ()):
            if given.source.system == "dc":
                told = self._one(island, given, from_banks)
                if told is not None:
                    made.append(told)
        return sorted(made, key=lambda told: (told.charging.designation, told.charging.equipment))

    def charge_v(self, island: int) -> float | None:
        """Volts at which a bank is charged: recorded, else its nominal ones."""
        stores = [store for _item, store in self.ways.banks.get(island, ())]
        return next((s.charge_v or s.nominal_v for s in stores if s.charge_v or s.nominal_v), None)

    def in_circles(self) -> list[tuple[str, int]]:
        """Chargers that live, through an inverter, on the bank they charge, and that bank."""
        return sorted({(taker.equipment, bank) for bank, taker, _into, fed in self._takers if fed.bank_island == bank})

    # -- one source -------------------------------------------------------------------------------------------------
    def _one(self, island: int, given: Given, from_banks: bool) -> Told | None:
        """One charging source, `None` for what gives nothing of its own in this condition."""
        item, record = given.equipment, self.snapshot.equipment[given.equipment]
        if given.conversion is None:
            if record.harvest() is not None:
                return self._harvested(island, given, (item,), 1.0)
            return self._machine(given)
        into = self.ways.island_at(item, given.conversion.source)
        arrays = tuple(
            one.equipment
            for one in self.ways.gives.get(into, ())
            if one.conversion is None and self.snapshot.equipment[one.equipment].harvest() is not None
        )
        if arrays:
            efficiency = given.conversion.efficiency
            if not efficiency:
                field = f"{self.snapshot.name(item)}.efficiency"
                return Told(self._lacking(given, field), None, missing_weather=(field,))
            return self._harvested(island, given, arrays, efficiency / max(1, self._controllers.get(into, 1)))
        fed = self.ways.fed(into)
        if fed.bank_island == island or (fed.bank_island < 0 and not fed.source):
            return None  # fed by the bank it would charge, or by nothing
        if fed.bank_island >= 0 and not from_banks:
            return None
        if given.source.limit_a is None:
            field = f"{self.snapshot.name(item)}.{rating_field(given.source, 'charge_a')}"
            return Told(self._lacking(given, field), None, missing=(field,))
        if fed.bank_island >= 0:
            return self._from_bank(island, given, fed)
        return self._from_supply(island, given, fed)

    def _told(
        self,
        given: Given,
        amps: float | None,
        why: str,
        *,
        assumed: tuple[str, ...] = (),
        missing: tuple[str, ...] = (),
        from_bank: str = "",
    ) -> Told:
        """A source that gives a steady current."""
        item = given.equipment
        made = Charging(
            equipment=item,
            designation=self.snapshot.name(item),
            rated_a=given.source.limit_a,
            given_a=amps,
            why=why,
            is_running=True,
            from_bank=from_bank,
            missing=missing,
        )
        node = self.circuit.node(item, given.source.terminal, given.source.conductor)
        return Told(made, node, steady_a=amps or 0.0, assumed=assumed, missing=missing)

    def _lacking(self, given: Given, field: str) -> Charging:
        return Charging(
            equipment=given.equipment,
            designation=self.snapshot.name(given.equipment),
            rated_a=given.source.limit_a,
            given_a=None,
            is_running=True,
            missing=(field,),
        )

    def _machine(self, given: Given) -> Told:
        """An alternator by its hot output; any other supply by its rating."""
        item, rated = given.equipment, given.source.limit_a
        name = self.snapshot.name(item)
        machine = self.snapshot.equipment[item].machine()
        hot = dict(machine.hot_a) if machine is not None else {}
        amps = hot.get(self.ways.operation.condition, hot.get(""))
        if amps is not None:
            return self._told(given, amps, _("hot output"))
        if rated is None:
            field = f"{name}.{rating_field(given.source, 'rating_a')}"
            return Told(self._lacking(given, field), None, missing=(field,))
        if not given.source.rotating:
            return self._told(given, rated, _("its rating"))
        share = figure("hot_share")
        why = _("hot: {rated} × {share}, its hot output is not recorded").format(
            rated=show(rated, "A"), share=number(share)
        )
        return self._told(given, rated * share, why, assumed=(f"{name}: {why}",))

    # -- sun, wind and water ----------------------------------------------------------------------------------------
    def _harvested(self, island: int, given: Given, arrays: tuple[str, ...], efficiency: float) -> Told:
        """The energy of the day as a mean current. `efficiency` is the controller's part of what the arrays bring."""
        snapshot, condition, item = self.snapshot, self.ways.operation.condition, given.equipment
        record = snapshot.conditions.get(condition)
        running = self.ways.operation.running
        volts, rated = self.charge_v(island), given.source.limit_a
        sun_wh = steady_wh = 0.0
        parts: list[str] = []
        notes: list[str] = []
        assumed: list[str] = []
        lacks: list[str] = []
        is_running = False
        for array in arrays:
            harvest = snapshot.equipment[array].harvest()
            assert harvest is not None
            name = snapshot.name(array)
            if running is not None and array not in running:
                notes.append(_("{name} does not run in this condition").format(name=name))
                continue
            is_running = True
            wh = dict(harvest.yields).get(condition)
            if wh is not None:
                parts.append(_("{wh} a day recorded").format(wh=show(wh, "Wh", digits=4)))
            elif (
                harvest.from_sun and record is not None and record.peak_sun_h is not None and harvest.watts is not None
            ):
                derating = figure("solar_derating")
                wh = harvest.watts * record.peak_sun_h * derating
                parts.append(f"{number(harvest.watts)} W × {number(record.peak_sun_h)} h × {number(derating)}")
                assumed.append(
                    _("{name}: {percent} % of its plate power at full sun").format(
                        name=name, percent=number(100 * derating)
                    )
                )
                if rated is not None and volts and efficiency * wh > rated * volts * record.peak_sun_h:
                    wh = rated * volts * record.peak_sun_h / efficiency
                    notes.append(_("no more than its rating of {rated}").format(rated=show(rated, "A")))
            elif record is None:
                notes.append(_("sun and wind count in an operating condition only"))
                continue
            else:
                if not harvest.from_sun:
                    lacks.append(f"{name}.yields")
                elif harvest.watts is None:
                    lacks.append(f"{name}.module_w")
                else:
                    lacks.append(f"{snapshot.name(condition)}.peak_sun_h")
                continue
            if harvest.from_sun:
                sun_wh += wh * efficiency
            else:
                steady_wh += wh * efficiency
        wh_a_day = sun_wh + steady_wh
        why = " + ".join(parts)
        if efficiency != 1.0 and wh_a_day:
            why = f"({why}) × {number(efficiency)}" if len(parts) > 1 else f"{why} × {number(efficiency)}"
        if lacks:
            notes.append(_("not counted: what it brings is not recorded"))
        made = Charging(
            equipment=item,
            designation=snapshot.name(item),
            rated_a=rated,
            given_a=wh_a_day / DAY_H / volts if volts else 0.0,
            why="; ".join(text for text in (why, *notes) if text),
            wh_a_day=None if lacks and not wh_a_day else wh_a_day,
            is_running=is_running,
            missing=tuple(lacks),
        )
        node = self.circuit.node(item, given.source.terminal, given.source.conductor)
        return Told(made, node, sun_wh, steady_wh, assumed=tuple(assumed), missing_weather=tuple(lacks))

    # -- what it takes from elsewhere -------------------------------------------------------------------------------
    def _from_supply(self, island: int, given: Given, fed: Fed) -> Told:
        """A charger on shore or a generator: its rating, or its part of what is left for chargers."""
        rated, plain = self._rated(island, given)
        name = self.snapshot.name(given.equipment)
        lacks = self._unknown(given)
        known = self._supply(fed.source)
        volts = self.charge_v(island)
        if known is None or not volts:
            return self._told(given, rated, plain)
        limit, left = known
        asked = sum(self._asked_va(*taker) for taker in self._takers if taker[3].source == fed.source)
        if asked <= left * (1 + 1e-9):
            assumed = (
                (_("{name}: fed in full, its efficiency and power factor are not both recorded").format(name=name),)
                if lacks
                else ()
            )
            return self._told(given, rated, plain, assumed=assumed)
        share = left / asked
        why = _("{left} VA left of {limit} VA of {source} for {asked} VA of chargers: {rated} × {share}").format(
            left=number(left, 4),
            limit=number(limit, 4),
            source=self.snapshot.name(fed.source),
            asked=number(asked, 4),
            rated=show(rated, "A"),
            share=number(share),
        )
        return self._told(given, rated * share, why, missing=lacks)

    def _rated(self, island: int, given: Given) -> tuple[float, str]:
        """What a converter gives this bank by its plate, A; several outputs part it by what their banks need."""
        limit = given.source.limit_a or 0.0
        banks = [bank for bank, taker, _into, _fed in self._takers if taker.equipment == given.equipment]
        if len(banks) < 2:
            return limit, _("its rating")
        record = self.snapshot.equipment[given.equipment]
        plate = self._converter(given).charge_a
        whole = limit if plate is None else plate * record.quantity
        needs = {bank: self._used_wh(bank) for bank in banks}
        known = [need for need in needs.values() if need]
        part = 1 / len(banks)
        if len(known) == len(needs):
            part = (needs[island] or 0.0) / sum(known) / banks.count(island)
        why = _("its rating of {amps}, parted by what its batteries need").format(amps=show(whole, "A"))
        return min(limit, whole * part), why

    def _converter(self, given: Given) -> Converter:
        return self.snapshot.equipment[given.equipment].converter() or Converter()

    def _unknown(self, given: Given) -> tuple[str, ...]:
        """Fields of a charger that would tell what it takes of its supply."""
        assert given.conversion is not None
        name = self.snapshot.name(given.equipment)
        lacks = [] if given.conversion.efficiency else [f"{name}.efficiency"]
        if not self._converter(given).power_factor:
            lacks.append(f"{name}.power_factor")
        return tuple(lacks)

    def _asked_va(self, island: int, given: Given, into: int, fed: Fed) -> float:
        """Volt-amperes a charger takes of its supply at its rating; what is not recorded counts as 1: a least value."""
        assert given.conversion is not None
        factor = self._converter(given).power_factor or 1.0
        part = (given.conversion.efficiency or 1.0) * factor
        for _item, efficiency in fed.chain:
            part *= efficiency or 1.0
        return self._rated(island, given)[0] * (self.charge_v(island) or 0.0) / part

    def _supply(self, source: str) -> tuple[float, float] | None:
        """What an AC source gives continuously and what other loads leave of it, VA; `None` where not recorded."""
        if source not in self._left:
            limit = continuous_va(self.snapshot.equipment[source], self.circuit.joined.get(source, frozenset()))
            others = self._other_loads().get(source, 0.0)
            self._left[source] = None if limit is None else (limit, max(0.0, limit - others))
        return self._left[source]

    def _other_loads(self) -> dict[str, float]:
        """Mean volt-amperes over the day that loads take of each running source."""
        if self._others is None:
            self._others = {}
            operation = self.ways.operation
            for item in sorted(operation.on):
                record = self.snapshot.equipment[item]
                use = record.use()
                share = 1.0 if use is None or use.duty_share is None else use.duty_share
                for draw in record.draws():
                    fed = self.ways.fed(self.ways.island_at(item, draw.terminal))
                    if fed.bank_island >= 0 or not fed.source:
                        continue
                    taken = (watts_of(record, draw, self.ways.volts_at(item, draw)) or 0.0) / (draw.power_factor or 1.0)
                    for _converter, efficiency in fed.chain:
                        taken /= efficiency or 1.0
                    mean = taken * share * operation.hours.get(item, DAY_H) / DAY_H
                    self._others[fed.source] = self._others.get(fed.source, 0.0) + mean
        return self._others

    def _from_bank(self, island: int, given: Given, fed: Fed) -> Told:
        """A converter from another bank: that bank's store, or what charges it."""
        rated, plain = self._rated(island, given)
        giver = fed.bank_island
        bank = self.ways.banks[giver][0][0]
        have, need = self._used_wh(giver), self._used_wh(island)
        name = self.snapshot.name(bank)
        follows = self._converter(given).runs_when == "input is charging"
        if have is None or need is None or (have >= need and not follows):
            lacks = tuple(f"{name}.{f}" for f in self._store_gaps(giver)) if have is None else ()
            why = _("{why}; {bank} gives it").format(why=plain, bank=name)
            return self._told(given, rated, why, missing=lacks, from_bank=bank)
        ours, theirs = self.charge_v(island) or 0.0, self.charge_v(giver) or 0.0
        if not ours or not theirs:
            return self._told(given, rated, plain, from_bank=bank)
        charging = self.on(giver, from_banks=False)
        given_a = sum(told.charging.given_a or 0.0 for told in charging)
        weather_a = given_a - sum(told.steady_a for told in charging)
        left_a = max(0.0, given_a - self.load_wh.get(giver, 0.0) / DAY_H / theirs, weather_a if follows else 0.0)
        assert given.conversion is not None
        part = given.conversion.efficiency or 1.0
        for _item, efficiency in fed.chain:
            part *= efficiency or 1.0
        every = sum(self._rated(to, taker)[0] for to, taker, _into, of in self._takers if of.bank_island == giver != to)
        amps = left_a * theirs * part / ours * rated / every if every else 0.0
        if amps >= rated:
            return self._told(given, rated, plain, from_bank=bank)
        why = _("what charges {bank}: {left} A × {theirs} × {part} / {ours}").format(
            bank=name,
            left=number(left_a),
            theirs=show(theirs, "V"),
            part=number(part * rated / every if every else part),
            ours=show(ours, "V"),
        )
        return self._told(given, amps, why, missing=self._unknown(given), from_bank=bank)

    def _used_wh(self, island: int) -> float | None:
        """Energy of a bank that is used, Wh."""
        total = 0.0
        for _item, store in self.ways.banks.get(island, ()):
            share = used_share(store)
            if store.capacity_ah is None or share is None or not store.nominal_v:
                return None
            total += store.capacity_ah * left_share(store) * share * store.nominal_v
        return total

    def _store_gaps(self, island: int) -> tuple[str, ...]:
        store = self.ways.banks[island][0][1]
        have = (("unit_v", store.nominal_v), ("unit_ah", store.capacity_ah), ("chemistry", used_share(store)))
        return tuple(field for field, value in have if not value)
