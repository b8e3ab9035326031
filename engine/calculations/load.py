"""Load analysis: in every operating condition and work stage what is connected, what it takes a day, what gives it.

* energy of a load ``E = P * h * s``; from its bank ``E / (efficiencies of the converters between)``;
* demand of a source: all that the loads of the condition take of it at once, solved (`engine.circuit.flow`);
* mean demand: the energy of a day over 24 h.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.calculations.inputs import titled
from engine.calculations.judged import Judged
from engine.calculations.results import Calculation, Check, Formula, Input, Mark
from engine.circuit.energy.results import BankEnergy, Energy, LoadEnergy
from engine.circuit.energy.supply import continuous_va, discharge_limit_a
from engine.circuit.flow.results import Flow
from engine.naming import natural
from engine.study import Study
from engine.units import number, show
from engine.words import _

__all__ = ["Demand", "Stage", "sources_and_banks", "stages"]

LINES = ("L1", "L2", "L3")


class Demand(NamedTuple):
    """What is asked of a source in a condition. `None`: not known."""

    item: str
    designation: str
    connected_w: float | None  # plates of all that it feeds and that draws in the condition
    day_wh: float | None  # energy a day of these
    at_once_w: float | None  # it gives with all of them on
    given: float | None  # the same in the unit of its rating
    rated: float | None
    unit: str  # "VA" or "A"
    feeds: bool  # loads, and not only banks
    at_least: bool  # something that draws is not known
    missing: tuple[str, ...] = ()

    @property
    def mean_w(self) -> float | None:
        """Over the day."""
        return None if self.day_wh is None else self.day_wh / 24

    @property
    def margin(self) -> float | None:
        """Share of the rating that is left; not told where it may be less."""
        if self.given is None or not self.rated or self.at_least:
            return None
        return 1 - max(self.given, 0.0) / self.rated


class _Asked(NamedTuple):
    """What one load takes of something that feeds it."""

    watts: float | None  # by its plate
    day_wh: float | None


class Stage(NamedTuple):
    """A condition, or a stage of the work."""

    name: str
    is_work: bool
    energy: Energy
    flow: Flow
    loads: tuple[LoadEnergy, ...]
    demands: tuple[Demand, ...]


def stages(study: Study) -> tuple[Stage, ...]:
    """Every condition in the order of the drawing, work stages after those of use."""
    conditions = study.snapshot.conditions
    made = []
    for operation in study.operations:
        record = conditions.get(operation.condition)
        energy, flow = study.energy(operation.condition), study.flow(operation.condition)
        loads = tuple(sorted(energy.loads, key=lambda load: (natural(load.designation), load.equipment)))
        made.append(
            Stage(
                operation.name,
                record is not None and record.work_stage,
                energy,
                flow,
                loads,
                _demands(study, energy, flow),
            )
        )
    return tuple(sorted(made, key=lambda stage: stage.is_work))


def _demands(study: Study, energy: Energy, flow: Flow) -> tuple[Demand, ...]:
    """Every source that gives in a condition, and every bank."""
    snapshot = study.snapshot
    fed: dict[str, list[_Asked]] = {}
    for load in energy.loads:
        asked = load.wh_a_day
        for converter, efficiency in load.chain:  # nearest the load first
            fed.setdefault(converter, []).append(_Asked(load.watts, asked))
            asked = None if asked is None else asked / efficiency
        if load.bank or load.source:
            of_it = load.bank_wh if load.bank else load.wh_a_day
            fed.setdefault(load.bank or load.source, []).append(_Asked(load.watts, of_it))
    given: dict[str, tuple[float, float, float]] = {}  # watts, volt-amperes, amperes
    least: dict[str, tuple[str, ...]] = {}
    for source in flow.sources:
        power, va, amps = given.get(source.equipment, (0.0, 0.0, 0.0))
        if source.conductor in LINES:
            va += abs(source.volts * source.amps)
        given[source.equipment] = power + source.watts, va, amps + source.amps
        if source.at_least:
            least[source.equipment] = tuple(dict.fromkeys((*least.get(source.equipment, ()), *source.missing)))
    rated_dc: dict[str, float] = {}
    for feed in study.circuit.feeds:
        if feed.source.limit_a is not None and feed.source.system == "dc" and not feed.source.battery:
            rated_dc[feed.equipment] = feed.source.limit_a
    ac = {feed.equipment for feed in study.circuit.feeds if feed.source.system == "ac"}
    made = []
    for item in sorted({*given, *fed}, key=lambda each: (natural(study.name(each)), each)):
        loads = fed.get(item, [])
        watts = [load.watts for load in loads]
        day = [load.day_wh for load in loads]
        record = snapshot.equipment[item]
        store = record.store()
        if store is not None:  # of a bank, what it may give for hours: by its units, its BMS and its management
            limit = discharge_limit_a(snapshot, item, store)
            if limit is not None:
                rated_dc[item] = limit
        rated = continuous_va(record, study.circuit.joined.get(item, frozenset())) if item in ac else None
        has = given.get(item)
        made.append(
            Demand(
                item,
                study.name(item),
                None if None in watts else sum(w or 0.0 for w in watts),
                None if None in day else sum(w or 0.0 for w in day),
                None if has is None else has[0],
                None if has is None else has[1] if item in ac else has[2],
                rated if item in ac else rated_dc.get(item),
                "VA" if item in ac else "A",
                bool(loads),
                item in least,
                least.get(item, ()),
            )
        )
    return tuple(made)


def sources_and_banks(study: Study, judged: Judged) -> tuple[Calculation, ...]:
    """What rules say of sources and banks, and each bank's account in each condition."""
    made: list[Calculation] = []
    rules = ("source-overloaded", "bank-overdrawn", "bank-too-small", "recharge-too-slow")
    names = {energy.condition: energy.name for energy in study.energies}
    accounts: dict[str, list[tuple[str, BankEnergy]]] = {}
    for energy in study.energies:
        for bank in energy.banks:
            accounts.setdefault(bank.bank, []).append((names[energy.condition], bank))
    told = {
        item
        for item in study.snapshot.equipment
        if item in accounts or any(judged.remarks(item, rule) for rule in rules)
    }
    for item in sorted(told, key=lambda each: (natural(study.name(each)), each)):
        record = study.snapshot.equipment[item]
        checks = judged.checks(item, rules, own=True)
        store = record.store()
        own_ah = None if store is None else store.capacity_ah
        checks += [_account(name, bank) for name, bank in accounts.get(item, ())]
        made.append(
            Calculation(
                "load-analysis",
                item,
                study.name(item),
                titled(record, record.label or _(record.NAME)),
                _inputs(accounts.get(item, []), own_ah),
                tuple(checks),
            )
        )
    return tuple(made)


def _inputs(accounts: list[tuple[str, BankEnergy]], own_ah: float | None) -> tuple[Input, ...]:
    """Of a bank, what is the same in every condition; what others are joined with it add is worked out."""
    if not accounts:
        return ()
    bank = accounts[0][1]
    made: tuple[Input, ...] = (
        _known("Un", "", bank.nominal_v, "V", "recorded"),
        _known("C", _("capacity"), own_ah, "Ah", "recorded"),
    )
    if not bank.joined:
        made = (*made, _known("Cu", _("of that used"), bank.usable_ah, "Ah", "worked out"))
    told = dict.fromkeys(text for _name, each in accounts for text in each.assumed)
    return (*made, *(Input("", "", text, "assumed") for text in told))


def _known(symbol: str, name: str, value: float | None, unit: str, mark: Mark) -> Input:
    if value is None:
        return Input(symbol, name, "", "not known")
    return Input(symbol, name, show(value, unit, digits=5), mark)


def _account(name: str, bank: BankEnergy) -> Check:
    """A bank in a condition: what is taken a day, how long it lasts, how soon it is full again."""
    notes = [*bank.arithmetic]
    formulas: list[Formula] = []
    if bank.load_wh is not None and bank.load_ah is not None and bank.nominal_v:
        values = {"E": bank.load_wh, "Un": bank.nominal_v}
        formulas.append(Formula.of("Q", "E / Un", values, bank.load_ah, _("Ah a day")))
        notes = [note for note in notes if "Ah a day" not in note]
    if bank.joined:
        told = _("counted {joined}: {capacity}, of that used {usable}")
        usable = _("not known") if bank.usable_ah is None else show(bank.usable_ah, "Ah", digits=5)
        capacity = show(bank.capacity_ah or 0.0, "Ah", digits=5)
        notes.insert(0, told.format(joined=bank.joined, capacity=capacity, usable=usable))
    if bank.autonomy_h == math.inf and not bank.load_wh and not bank.missing:
        is_charged = bool(bank.charging or bank.charge_a or bank.source_wh)
        notes.append(
            _("nothing is recorded that draws from it; it is charged")
            if is_charged
            else _("nothing is recorded that draws from it, and nothing charges it")
        )
    elif bank.autonomy_h is not None:
        lasts = _hours(bank.autonomy_h) if bank.autonomy_h != math.inf else _("for ever: what it gives is made good")
        words = _("lasts at most {hours}") if bank.missing else _("lasts {hours}")
        notes.append(words.format(hours=lasts))
    if bank.recharge_h is not None:
        full = _("never") if bank.recharge_h == float("inf") else _("in {hours}").format(hours=_hours(bank.recharge_h))
        notes.append(_("full again {when}").format(when=full))
    missing = tuple(dict.fromkeys((*bank.missing, *bank.missing_weather, *bank.missing_recharge)))
    return Check(
        _("Account"),
        formulas=tuple(formulas),
        notes=tuple(notes),
        verdict="not judged" if missing else "not compared",
        condition=name,
        missing=missing,
    )


def _hours(hours: float) -> str:
    return f"{number(hours, 4)} h"
