"""Energy as text: every load's day, every bank's account, its charging."""

from __future__ import annotations

from app.figures.lines import amount, assumptions, gaps, hours, names, section, signs, table, titled, wrapped
from app.text_report import cautions
from engine.circuit.energy.results import BankEnergy, Energy
from engine.study import Study
from engine.units import spelled
from engine.words import _

__all__ = ["energy_report"]


def energy_report(file: str, study: Study, energies: list[Energy], width: int) -> str:
    """The whole report."""
    parts = [
        titled(file, study.snapshot, _("Energy a day, how long each bank lasts, how long it takes to refill."), width)
    ]
    for energy in energies:
        parts += _one(study, energy, width)
    parts += [signs(width), cautions(width)]
    return "\n\n".join(part for part in parts if part)


def _one(study: Study, energy: Energy, width: int) -> list[str]:
    parts = [section(energy.name)]
    parts.append(_loads(study, energy, width) if energy.loads else _("No load has hours in this condition."))
    parts += gaps((m for load in energy.loads for m in load.missing), width)
    for bank in energy.banks:
        parts += _bank(study, bank, width)
    if not energy.banks:
        parts.append(_("No battery bank is drawn."))
    parts += assumptions(energy.assumed, width)
    return parts


def _loads(study: Study, energy: Energy, width: int) -> str:
    rows = []
    for load in energy.loads:
        name = study.name
        over = " × ".join(f"{name(item)} {spelled(format(efficiency, 'g'))}" for item, efficiency in load.chain)
        lives = name(load.bank) if load.bank else (name(load.source) if load.source else _("nothing"))
        rows.append(
            (
                load.designation,
                amount(load.watts, "W"),
                amount(load.hours_a_day, "h"),
                "" if load.share == 1 else amount(100 * load.share, "%"),
                amount(load.wh_a_day, "Wh"),
                lives,
                amount(load.bank_wh, "Wh") if load.bank else "",
                over,
                load.label,
            )
        )
    heads = (
        _("load"),
        _("power"),
        _("a day"),
        _("of that"),
        _("energy"),
        _("lives on"),
        _("it gives"),
        _("through"),
        "",
    )
    return table(heads, rows, width, "lrrrrlrww")


def _bank(study: Study, bank: BankEnergy, width: int) -> list[str]:
    least = bool(bank.missing)
    most = _("at most ") if least else ""
    load = amount(bank.load_wh, "Wh", least)
    rows = [
        (_("capacity"), amount(bank.capacity_ah, "Ah")),
        (_("of that used"), amount(bank.usable_ah, "Ah")),
        (_("loads take a day"), load + (f" = {amount(bank.load_ah, 'Ah')}" if bank.load_ah else "")),
        (_("sun and wind bring a day"), amount(bank.source_wh, "Wh")),
        (_("mean current"), amount(bank.mean_a, "A", least)),
        (_("lasts"), hours(bank.autonomy_h, most) + _of(bank.required_h)),
    ]
    if bank.unattended_days is not None:
        rows.append((_("keeps the bilge pumps"), hours(bank.unattended_days * 24, most)))
    if bank.charging:
        rows.append(
            (_("charged with"), amount(bank.charge_a, "A") + (f" ({bank.charge_limit})" if bank.charge_limit else ""))
        )
        rows.append((_("refills in"), _refills(bank) + _of(bank.required_recharge_h)))
    label = names(study.snapshot, bank.bank)
    title = _("Bank {bank}").format(bank=f"{bank.designation} ({label})" if label else bank.designation)
    parts = [section(title), table(("", ""), rows, width, "lw")]
    if bank.charging:
        charging = [
            (c.designation, amount(c.rated_a, "A"), amount(c.given_a, "A"), c.why or ", ".join(c.missing))
            for c in bank.charging
        ]
        parts.append(table((_("charged by"), _("rated"), _("gives"), _("why")), charging, width, "lrrw"))
    if bank.arithmetic:
        parts.append("\n".join(wrapped(line, width) for line in bank.arithmetic))
    if bank.day and not least:
        parts.append(_day(bank, width))
    parts += gaps((*bank.missing, *bank.missing_weather, *bank.missing_recharge), width)
    parts += assumptions(bank.assumed, width)
    return parts


def _of(required: float | None) -> str:
    return "" if required is None else _("; {hours} required").format(hours=amount(required, "h"))


def _refills(bank: BankEnergy) -> str:
    if bank.recharge_h is not None and bank.recharge_h == float("inf"):
        return _("never")
    span = ""
    if bank.from_soc is not None and bank.to_soc is not None:
        span = _(" from {start} to {end}").format(
            start=amount(100 * bank.from_soc, "%"), end=amount(100 * bank.to_soc, "%")
        )
    return hours(bank.recharge_h) + span


def _day(bank: BankEnergy, width: int) -> str:
    """The state of charge through a day that begins full: every third hour, and the lowest."""
    low = min(bank.day, key=lambda step: step.soc)
    if low.soc > 0.9995 * max(step.soc for step in bank.day):
        return _("State of charge through a day: {soc}.").format(soc=amount(100 * low.soc, "%"))
    every = ", ".join(
        _("{hour} h {soc}").format(hour=spelled(f"{step.hour:g}"), soc=amount(100 * step.soc, "%"))
        for step in bank.day
        if step.hour % 3 == 0
    )
    return wrapped(
        _("State of charge through a day: {every}; lowest {low} at {hour} h.").format(
            every=every, low=amount(100 * low.soc, "%"), hour=spelled(f"{low.hour:g}")
        ),
        width,
    )
