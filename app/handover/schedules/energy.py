"""The energy of every battery bank in every operating condition: what is used, how long it lasts, how it refills."""

from __future__ import annotations

import math
from collections.abc import Iterator

from app.handover.schedules.aboard import Aboard, Notes, by_condition, rounded, taken
from app.handover.schedules.loads import energies_of
from app.paper.table import Column, Table, Value
from engine.circuit.energy.results import BankEnergy, Energy
from engine.units import number
from engine.words import _

__all__ = ["at_most", "energy", "hours", "is_charged"]


def energy(aboard: Aboard, plain: bool = False) -> Table:
    """One row a bank and condition; `plain`: what was taken is left to the schedule."""
    notes = Notes(aboard)
    energies = energies_of(aboard)
    banks = aboard.sorted({bank.bank for one in energies for bank in one.banks})
    rows = [
        _row(aboard, one, bank, notes) for item in banks for one in energies for bank in one.banks if bank.bank == item
    ]
    if not energies:
        notes.say(_("No operating condition is recorded: what a day takes cannot be told."))
    elif not banks:
        notes.say(_("No battery bank is drawn."))
    else:
        said = [(one.name, (*one.assumed, *(t for b in one.banks for t in b.assumed))) for one in energies]
        for sentence in _joined(aboard, energies):
            notes.say(sentence)
        notes.say(
            _("Lasts: on its own store, sun and wind counted, from full to the part that is used."),
            "" if plain else taken(_("for the energy"), by_condition(said)),
        )
    columns = (
        Column("bank", _("Bank"), width=44),
        Column("condition", _("Condition"), width=44),
        Column("usable_ah", _("Used of it"), "Ah", "right"),
        Column("load_wh", _("Loads take"), _("Wh a day"), "right", width=30),
        Column("source_wh", _("Sun and wind bring"), _("Wh a day"), "right", width=34),
        Column("mean_a", _("Mean current"), "A", "right", width=24),
        Column("lasts_h", _("Lasts"), "h", "right"),
        Column("required_h", _("Must last"), "h", "right", width=24),
        Column("charge_a", _("Charged with"), "A", "right", width=26),
        Column("refills_h", _("Refills in"), "h", "right", width=24),
        Column("required_recharge_h", _("Must refill in"), "h", "right", width=28),
    )
    return Table("energy", _("Energy of the battery banks"), columns, tuple(rows), notes.texts())


def _row(aboard: Aboard, one: Energy, bank: BankEnergy, notes: Notes) -> tuple[Value, ...]:
    notes.missing((*bank.missing, *bank.missing_weather, *bank.missing_recharge))
    least = bool(bank.missing)
    if least:
        notes.say(_("≥, ≤: a least or most figure; something that draws is not recorded."))
    return (
        aboard.told(bank.bank),
        one.name,
        None if bank.usable_ah is None else rounded(bank.usable_ah),
        _least(bank.load_wh, least),
        None if bank.source_wh is None else rounded(bank.source_wh),
        _least(bank.mean_a, least),
        _lasts(bank, least),
        bank.required_h if bank.required_h is not None else _("no demand"),
        _charging(bank),
        hours(bank.recharge_h, _("never")) if bank.charging else _("n/a"),
        bank.required_recharge_h if bank.required_recharge_h is not None else _("no demand"),
    )


def _joined(aboard: Aboard, energies: tuple[Energy, ...]) -> Iterator[str]:
    """Banks that stand as one: that more than its own capacity is counted, what joins them, and where."""
    told: dict[tuple[str, str, float | None, float | None], list[str]] = {}
    for one in energies:
        for bank in one.banks:
            if bank.joined:
                told.setdefault((bank.bank, bank.joined, bank.capacity_ah, bank.usable_ah), []).append(one.name)
    for (item, joined, capacity, usable), names in told.items():
        yield _("{bank} {joined} ({conditions}): {capacity} together, worked out; used of it {usable}.").format(
            bank=aboard.name(item),
            joined=joined,
            conditions=", ".join(names),
            capacity=_("not known") if capacity is None else f"{number(capacity)} Ah",
            usable=_("not known") if usable is None else f"{number(usable)} Ah",
        )


def is_charged(bank: BankEnergy) -> bool:
    """Whether anything gives to it: a charger, sun or wind."""
    return bool(bank.charging or bank.charge_a or bank.source_wh)


def _lasts(bank: BankEnergy, least: bool) -> Value:
    if bank.is_kept:
        return _("kept charged")
    if bank.autonomy_h is not None and math.isinf(bank.autonomy_h) and not bank.load_wh and not least:
        return _("nothing draws from it")
    return at_most(bank.autonomy_h, least)


def _charging(bank: BankEnergy) -> Value:
    if not bank.charging:
        return _("nothing charges it")
    return None if bank.charge_a is None else rounded(bank.charge_a)


def _least(value: float | None, least: bool) -> Value:
    if value is None or (least and value == 0):  # at least nothing says nothing
        return None
    return f"≥ {number(value)}" if least else rounded(value)


def at_most(value: float | None, least: bool) -> Value:
    """Hours it lasts; at most so many where something that draws is not recorded."""
    if value is not None and least and math.isfinite(value):
        return f"≤ {number(value)}"
    if least:
        return None
    return hours(value, _("without end"))


def hours(value: float | None, endless: str) -> Value:
    """Hours, or the word for what never ends."""
    if value is None:
        return None
    return endless if math.isinf(value) else rounded(value)
