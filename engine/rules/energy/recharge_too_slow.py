"""A bank does not refill in the time required.

What it checks
--------------
In every operating condition that records the hours a bank must refill in: from empty, as far as it is used, to full,
with every charging source that runs, each at its own limit (hot alternator, what the shore supply leaves for a
charger), the devices on the way, the load meanwhile, the bank's own limit, and the taper of the last part.

Why it matters
--------------
Hours counted with the plate current alone come out far too short: the last tenth of a lead-acid bank takes as long as
the first half, and a bank never filled dies early.

What to do
----------
More charging current where the bank takes it, less load meanwhile, more hours.

Limits read
-----------
The condition's own required hours; usual figures by chemistry where the bank records none, named among what was
assumed.

References
----------
Common practice, no source: charging current taken in proportion to what is missing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.circuit.energy.results import BankEnergy, Energy
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_boats import anchored, finished, set_condition
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.study import Study
from engine.units import show
from engine.words import N_, _

SLUG = "recharge-too-slow"
WORD: Word = "caution"
TITLE = N_("bank does not refill in the time required")
LOOKS_AT = N_("banks, where a condition asks for a recharge time")
MORE = (1.5, 2.0, 3.0, 4.0)  # times as much, of a charger that gives too little


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank and condition."""
    if not any(record.required_recharge_h for record in study.snapshot.conditions.values()):
        return
    for energy in study.energies:
        for bank in energy.banks:
            if bank.required_recharge_h and (bank.load_wh or bank.missing):
                yield from _bank(study, energy, bank, bank.required_recharge_h)


def _bank(study: Study, energy: Energy, bank: BankEnergy, required: float) -> Iterator[Remark]:
    if energy.condition and study.operation(energy.condition).running is None:
        yield _gap(energy, bank, (f"{study.name(energy.condition)}.running",))
        return
    if not bank.charging:
        yield _finding(energy, bank, math.inf, required)
        return
    hours = bank.recharge_h
    if hours is not None and hours > required and not bank.missing_recharge:
        yield _finding(energy, bank, hours, required)
    elif hours is None or (hours > required and bank.missing_recharge) or bank.missing:
        yield _gap(energy, bank, bank.missing_recharge)
    elif study.proving:
        yield proved(
            study,
            SLUG,
            bank.bank,
            found=("recharge time", hours),
            limit=("required", required),
            unit="h",
            arithmetic="; ".join(bank.arithmetic[-2:]),
            condition=energy.name,
            detail=energy.condition,
        )


def _gap(energy: Energy, bank: BankEnergy, missing: tuple[str, ...]) -> NotJudged:
    return NotJudged(
        rule=SLUG,
        would_be=WORD,
        designations=(bank.designation,),
        ids=(bank.bank,),
        missing=missing,
        why=_("how long {bank} takes to refill in {condition} is not known").format(
            bank=bank.designation, condition=energy.name
        ),
        detail=energy.condition,
    )


def _finding(energy: Energy, bank: BankEnergy, hours: float, required: float) -> Finding:
    if math.isinf(hours):
        message = _("Bank {bank} does not refill in {condition}; {required} are allowed.")
    else:
        message = _("Bank {bank} takes {hours} to refill in {condition}; {required} are allowed.")
    sources = ", ".join(one.designation for one in bank.charging if one.given_a)
    fixes = [_("charge with more (now: {limit})").format(limit=bank.charge_limit)] if bank.charge_limit else []
    if not sources:
        fixes = [_("let a charging source run in this condition")]
    fixes.append(_("draw less meanwhile"))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(bank.designation,),
        ids=(bank.bank, *(one.equipment for one in bank.charging if one.given_a)),
        message=message.format(
            bank=bank.designation,
            hours=show(round(hours, 1), "h") if math.isfinite(hours) else "",
            condition=energy.name,
            required=show(required, "h"),
        ),
        condition=energy.name,
        figures=(
            Figure("recharge time", hours if math.isfinite(hours) else None, "h"),
            Figure("required", required, "h"),
        ),
        arithmetic="; ".join(bank.arithmetic[-2:]) if bank.charging else "",
        fixes=tuple(fixes),
        detail=energy.condition,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A charger that gives more."""
    from engine.fixing.ratings import another_figure

    for item in finding.ids[1:]:
        own = getattr(study.snapshot.equipment[item], "charge_a", None)
        if own:
            yield from another_figure(study, finding, item, "charge_a", "A", [own * times for times in MORE])


# -- examples -------------------------------------------------------------------------------------------------------
def _charged(required: float, charger_a: float = 50, running: tuple[str, ...] = ("G9",)) -> Installation:
    """200 Ah AGM from half, no load to speak of, limited by 0.25 C = 50 A: 100 Ah in some 4.36 h."""
    b = anchored(1, 200, unit_charge_limit_a=50.0)
    finished(b, charger_a)
    set_condition(b, "Alongside", {"E1": 0.1}, required_recharge_h=required, running=running)
    return b.installation


GOOD = (
    Example("a night alongside", lambda: _charged(10)),
    Example("50 A from half to full, taper and all: some 4.4 h", lambda: _charged(4.5)),
)
BAD = (
    Example("a small charger", lambda: _charged(4.5, 15), (("G1",),), condition="Alongside"),
    Example("without the taper it would do", lambda: _charged(4.2), (("G1",),)),
    Example("nothing that charges runs", lambda: _charged(10, running=("E1",)), (("G1",),)),
)
