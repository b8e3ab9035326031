"""A bank does not last the hours required of it.

What it checks
--------------
In every operating condition that records the hours it must last, each bank that loads live on: the part of its
capacity that is used, against the mean of what the loads take over the day, converters and their own consumption
counted, less what sun and wind bring. A bank that a running alternator or charger keeps, giving more than the loads
take, is not drawn down and passes.

Why it matters
--------------
A bank emptied further than it is made for ages quickly, and the night's last hours are dark.

What to do
----------
Fit a larger bank, take less from it, or bring more by day.

Limits read
-----------
The condition's own required hours. Usual figures by chemistry (part used, Peukert exponent) where the bank records
none: they are named among what was assumed.

References
----------
Common practice, no source: usable ampere-hours over the mean current.
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
from engine.units import number, show
from engine.words import N_, _

SLUG = "bank-too-small"
WORD: Word = "caution"
TITLE = N_("bank does not last the hours required")
LOOKS_AT = N_("banks, where a condition asks for hours")


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank and condition."""
    if not any(record.required_hours for record in study.snapshot.conditions.values()):
        return
    for energy in study.energies:
        for bank in energy.banks:
            if bank.required_h and (bank.load_wh or bank.missing):
                yield from _bank(study, energy, bank, bank.required_h)


def _bank(study: Study, energy: Energy, bank: BankEnergy, required: float) -> Iterator[Remark]:
    lasts = bank.autonomy_h
    missing = bank.missing
    if bank.is_kept and not missing:
        if study.proving:
            kept = _("what charges {bank} keeps it up in {condition}").format(
                bank=bank.designation, condition=energy.name
            )
            yield proved(study, SLUG, bank.bank, message=kept + ".", condition=energy.name, detail=energy.condition)
        return
    if lasts is None or ((lasts >= required or bank.is_kept) and missing):
        why = _("how long {bank} lasts in {condition} is not known")
    elif lasts < required and bank.missing_weather:
        missing = bank.missing_weather
        why = _("without sun and wind {bank} lasts less than required in {condition}; what they bring is not recorded")
    elif lasts < required:
        yield _finding(study, energy, bank, lasts, required)
        return
    else:
        if study.proving:
            yield proved(
                study,
                SLUG,
                bank.bank,
                found=("autonomy", lasts),
                limit=("required", required),
                unit="h",
                at_least=True,
                arithmetic="; ".join(bank.arithmetic[:2]),
                condition=energy.name,
                detail=energy.condition,
            )
        return
    yield NotJudged(
        rule=SLUG,
        would_be=WORD,
        designations=(bank.designation,),
        ids=(bank.bank,),
        missing=missing,
        why=why.format(bank=bank.designation, condition=energy.name),
        detail=energy.condition,
    )


def _finding(study: Study, energy: Energy, bank: BankEnergy, lasts: float, required: float) -> Finding:
    fixes = []
    if bank.capacity_ah and lasts > 0:
        least = math.ceil(bank.capacity_ah * required / lasts)
        fixes.append(_("fit a bank of {ah} or more").format(ah=show(least, "Ah")))
    largest = max(
        (load for load in energy.loads if load.bank == bank.bank and load.bank_wh),
        key=lambda load: load.bank_wh or 0.0,
        default=None,
    )
    if largest is not None:
        fixes.append(
            _("take less: {load} alone takes {wh} a day").format(
                load=largest.designation, wh=f"{number(round(largest.bank_wh or 0.0), 6)} Wh"
            )
        )
    fixes.append(_("bring more by day"))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(bank.designation,),
        ids=(bank.bank,),
        message=_("Bank {bank} lasts {lasts} in {condition}; {required} are required.").format(
            bank=bank.designation,
            lasts=show(round(lasts, 1), "h"),
            condition=energy.name,
            required=show(required, "h"),
        ),
        condition=energy.name,
        figures=(Figure("autonomy", lasts, "h"), Figure("required", required, "h")),
        arithmetic="; ".join(bank.arithmetic[:2]),
        fixes=tuple(fixes),
        detail=energy.condition,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """More units in parallel."""
    from engine.fixing.ratings import more_units

    yield from more_units(study, finding, finding.ids[0])


# -- examples -------------------------------------------------------------------------------------------------------
def _lasting(watts: float, required: float = 20.0, bank_ah: float | None = 200) -> Installation:
    """100 Ah usable at 12 V: 1200 Wh."""
    b = anchored(watts, bank_ah)
    set_condition(b, "At anchor", {"E1": 24.0}, required_hours=required)
    return b.installation


def _kept(charger_a: float) -> Installation:
    """120 W for 24 h, and a charger on shore all that time."""
    b = anchored(120)
    finished(b, charger_a)
    set_condition(b, "Alongside", {"E1": 24.0}, required_hours=48.0, running=("G9",))
    return b.installation


GOOD = (
    Example("plenty", lambda: _lasting(20)),
    Example("a charger on shore gives more than the load takes", lambda: _kept(50)),
    Example("1200 Wh at 60 W lasts exactly the 20 h required", lambda: _lasting(60)),
)
BAD = (
    Example("half the hours", lambda: _lasting(120), (("G1",),), condition="At anchor"),
    Example("just short of 20 h", lambda: _lasting(60.5), (("G1",),)),
    Example("a charger that gives less than the load takes", lambda: _kept(8), (("G1",),)),
)
