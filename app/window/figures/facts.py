"""What there is to say of a bank, of charging and of every condition, in words and amounts with units. No Qt."""

from __future__ import annotations

import math
from collections.abc import Iterable

from app.judgement import FaultFigures, FlowFigures
from engine.circuit.energy.results import BankEnergy, Energy
from engine.units import number, show
from engine.words import _, ngettext

__all__ = ["bank_facts", "basis_of", "charging_rows", "condition_rows", "hours_words", "summary"]


def hours_words(hours: float | None) -> str:
    """ "80.6 h (3 days 9 h)"; "for ever" has its own words where it is said."""
    if hours is None:
        return _("not known")
    if math.isinf(hours):
        return _("without end")
    told = _("{n} h").format(n=number(hours))
    if hours < 48:
        return told
    days, rest = divmod(round(hours), 24)
    return _("{hours} ({days} days {rest} h)").format(hours=told, days=days, rest=rest)


def bank_facts(bank: BankEnergy) -> list[tuple[str, str]]:
    """What and how much, line by line."""
    usable = _("not known") if bank.usable_ah is None else show(bank.usable_ah, "Ah")
    if bank.capacity_ah is not None:
        usable = _("{usable} of {whole}").format(usable=usable, whole=show(bank.capacity_ah, "Ah"))
    if bank.nominal_v is not None:
        usable = _("{usable} at {volts}").format(usable=usable, volts=show(bank.nominal_v, "V"))
    made = [
        (_("Usable"), usable),
        (_("Loads take"), _taken(bank)),
        (_("Sun and wind bring"), _brought(bank)),
        (_("Mean current"), _("not known") if bank.mean_a is None else show(bank.mean_a, "A")),
        (_("Lasts"), _lasts(bank)),
    ]
    if bank.unattended_days is not None:
        made.append((_("Unattended"), _unattended(bank.unattended_days)))
    made.append((_("Charging current"), _charged(bank)))
    made.append((_("Refills in"), _refills(bank)))
    return made


def _taken(bank: BankEnergy) -> str:
    if bank.load_wh is None:
        return _("not known")
    told = _("{wh} Wh a day").format(wh=number(bank.load_wh))
    if bank.load_ah is not None:
        told = _("{wh}, {ah} Ah a day").format(wh=told, ah=number(bank.load_ah))
    return _("at least {amount}").format(amount=told) if bank.missing else told


def _brought(bank: BankEnergy) -> str:
    told = _("not known") if bank.source_wh is None else _("{wh} Wh a day").format(wh=number(bank.source_wh))
    return (
        _("{amount}; some is not counted, see what it rests on").format(amount=told) if bank.missing_weather else told
    )


def _lasts(bank: BankEnergy) -> str:
    hours = bank.autonomy_h
    if hours is None:
        return _("not known")
    if math.isinf(hours):
        told = (
            _("without end: nothing draws from it") if not bank.load_wh else _("without end: what it gives comes back")
        )
    else:
        told = hours_words(hours)
    if bank.missing:
        told = _("at most {amount}").format(amount=told)
    if bank.required_h is None:
        return told
    verdict = _("enough") if hours >= bank.required_h else _("too short")
    if bank.missing and hours >= bank.required_h:
        verdict = _("not known whether that is enough")
    return _("{amount}; {wanted} h wanted: {verdict}").format(
        amount=told, wanted=number(bank.required_h), verdict=verdict
    )


def _unattended(days: float) -> str:
    if math.isinf(days):
        return _("without end")
    return _("{n} days with the bilge pumps and what stays on").format(n=number(days, 2))


def _charged(bank: BankEnergy) -> str:
    if bank.charge_a is None:
        return _("not known")
    told = show(bank.charge_a, "A")
    return _("{amps}; limited by {what}").format(amps=told, what=bank.charge_limit) if bank.charge_limit else told


def _refills(bank: BankEnergy) -> str:
    hours = bank.recharge_h
    if hours is None:
        return _("not known")
    told = _("never: nothing charges it, or less than the loads take") if math.isinf(hours) else hours_words(hours)
    if bank.from_soc is not None and bank.to_soc is not None and math.isfinite(hours):
        told = _("{hours}, from {low} % to {high} %").format(
            hours=told, low=number(100 * bank.from_soc, 2), high=number(100 * bank.to_soc, 2)
        )
    if bank.required_recharge_h is None:
        return told
    verdict = _("in time") if hours <= bank.required_recharge_h else _("too slow")
    if bank.missing_recharge and hours > bank.required_recharge_h:
        verdict = _("not known whether that is in time")
    return _("{amount}; {wanted} h wanted: {verdict}").format(
        amount=told, wanted=number(bank.required_recharge_h), verdict=verdict
    )


def charging_rows(bank: BankEnergy) -> list[tuple[str, ...]]:
    """Source, rated, what it gives, Wh a day, whether it runs, why."""
    return [
        (
            each.designation,
            _("not known") if each.rated_a is None else show(each.rated_a, "A"),
            _("not known") if each.given_a is None else show(each.given_a, "A"),
            "" if each.wh_a_day is None else number(each.wh_a_day),
            _("yes") if each.is_running else _("no"),
            each.why,
        )
        for each in bank.charging
    ]


def condition_rows(energies: Iterable[tuple[str, Energy | None]]) -> list[tuple[str, ...]]:
    """Condition, bank, Wh a day, how long it lasts, how long it refills: a row a condition and bank."""
    made: list[tuple[str, ...]] = []
    for name, energy in energies:
        if energy is None:
            made.append((name, _("being worked out"), "", "", ""))
            continue
        if not energy.banks:
            made.append((name, _("no bank"), "", "", ""))
        for bank in energy.banks:
            wh = "" if bank.load_wh is None else number(bank.load_wh)
            made.append(
                (name, bank.designation, f"≥ {wh}" if bank.missing and wh else wh, _lasts(bank), _refills(bank))
            )
    return made


def summary(energy: Energy | None, stale: bool, why: str) -> str:
    """How things stand, at the head of the page."""
    if why:
        return _("The energy of this condition could not be worked out: {why}").format(why=why)
    if energy is None:
        return _("Being worked out…")
    told = [
        _("{bank} lasts {amount}.").format(bank=bank.designation, amount=_lasts(bank)) for bank in energy.banks
    ] or [_("No bank feeds anything in this condition.")]
    text = " ".join(told)
    return _("Being worked out… Before the last change: {text}").format(text=text) if stale else text


def basis_of(
    energy: Energy | None, flow: FlowFigures | None, faults: FaultFigures | None, unplaced: int
) -> tuple[list[str], list[str]]:
    """Fields that are missing, each once, and sentences: arithmetic, what was assumed, what could not be solved."""
    missing: list[str] = []
    told: list[str] = []
    if energy is not None:
        for bank in energy.banks:
            missing += [*bank.missing, *bank.missing_weather, *bank.missing_recharge]
            told += [_("{bank}: {text}").format(bank=bank.designation, text=text) for text in bank.arithmetic]
        for load in energy.loads:
            missing += load.missing
        told += [_("Taken as so: {text}").format(text=text) for text in energy.assumed]
        told += [
            _("Taken as so for {bank}: {text}").format(bank=bank.designation, text=text)
            for bank in energy.banks
            for text in bank.assumed
        ]
    if flow is not None:
        missing += flow.missing
        if not flow.converged:
            told.append(_("The currents of this condition did not settle: what is shown is not to be relied on."))
        told.append(
            _("Sources give {given} W, loads take {taken} W, {lost} W are lost.").format(
                given=number(flow.sources_w), taken=number(flow.loads_w), lost=number(flow.losses_w)
            )
        )
        told += [_("Not solved: {text}").format(text=text) for _item, text in flow.not_solved]
        told += [_("Taken as so: {text}").format(text=text) for text in flow.assumed]
    if faults is not None:
        missing += faults.missing
        told += [_("Taken as so for fault currents: {text}").format(text=text) for text in faults.assumed]
    if unplaced:
        told.append(
            ngettext(
                "{n} figure found no room on the sheet.", "{n} figures found no room on the sheet.", unplaced
            ).format(n=unplaced)
        )
    return list(dict.fromkeys(missing)), list(dict.fromkeys(told))
