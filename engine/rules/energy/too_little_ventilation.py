"""A battery that gasses stands in a space with too little ventilation, or in no space of its own.

What it checks
--------------
Every bank of a chemistry that gasses: the air it needs, by the book's formula (cells times the greater of its gassing
current and a share of what all chargers together can give it), against the ventilation recorded. Where the book sets a
limit above which a battery is large (largest charging current times nominal volts), such a bank stands in a battery
space of its own.

Why it matters
--------------
A charged lead battery gives off hydrogen; from four parts in a hundred of the air it explodes.

What to do
----------
Ventilation from the top of the space to the open, as much as the formula asks, or batteries that do not gas.

Limits read
-----------
`air` (air for each cell and ampere), `share` (share of the chargers' current), `large_w` (watts above which a battery
is large), `gassing` (chemistries).

References
----------
46 CFR 111.15-10(c), 2015 edition: q = 3.89 i n cubic feet an hour, i the greater of the gassing current and a quarter
of the charger's. 46 CFR 183.352 and 183.354, 2015 edition: large above 2 kW.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from engine.books.batteries import cells
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation.model import Installation
from engine.rules.energy._charging import Bank, banks
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.units import number, show
from engine.words import N_, _

SLUG = "too-little-ventilation"
WORD: Word = "warning"
TITLE = N_("too little ventilation for a battery that gasses")
LOOKS_AT = N_("battery banks that gas")
SOLVES = False


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank, one more where it is large."""
    gassing = study.book.option(SLUG, "gassing", ())
    for bank in banks(study):
        name = study.name(bank.item)
        if not bank.store.chemistry and gassing:
            why = _("whether it gasses is not known")
            yield _gap(study, bank, (f"{name}.chemistry",), why)
        elif bank.store.chemistry in gassing:
            yield from _bank(study, bank, name)


def _bank(study: Study, bank: Bank, name: str) -> Iterator[Remark]:
    air, share = study.book.limit(SLUG, "air"), study.book.limit(SLUG, "share")
    store, count = bank.store, cells(bank.store)
    amounts = {feed.equipment: feed.source.limit_a for feed in bank.sources}
    unknown = tuple(
        dict.fromkeys(
            f"{study.name(feed.equipment)}.{field}"
            for feed in bank.sources
            if feed.source.limit_a is None
            for field in (feed.source.missing or ("rating_a",))
            if field != "self_limiting"
        )
    )
    charge_a = sum(amount or 0.0 for amount in amounts.values())
    yield from _large(study, bank, charge_a, unknown)
    if air is None or share is None:
        return
    gassing_a = max(store.gassing_a or 0.0, charge_a * share.value)
    need = air.value * gassing_a * (count or 0)
    have = store.ventilation_m3_h
    missing = [*([] if have is not None else [f"{name}.ventilation_m3_h"]), *([] if count else [f"{name}.unit_v"])]
    if have is not None and count and need > have * (1 + 1e-9):
        yield _finding(study, bank, gassing_a, count, need, have, air.text)
    elif missing or unknown:
        yield _gap(study, bank, (*missing, *unknown), _("how much air it needs, or has, is not recorded"))
    elif study.proving and have is not None:
        yield proved(
            study,
            SLUG,
            bank.item,
            found=("ventilation", have),
            limit=("needed", need),
            unit="m3/h",
            at_least=True,
            arithmetic=f"{air.text} × {number(gassing_a, 4)} A × {count}",
        )


def _large(study: Study, bank: Bank, charge_a: float, unknown: tuple[str, ...]) -> Iterator[Remark]:
    """A large battery stands in a space of its own."""
    large, volts = study.book.limit(SLUG, "large_w"), bank.store.nominal_v
    if large is None or volts is None or charge_a * volts <= large.value * (1 + 1e-9):
        return
    record = study.snapshot.equipment[bank.item]
    place, name = study.snapshot.places.get(record.place), study.name(bank.item)
    if place is None or not place.kind:
        missing = (f"{name}.place",) if place is None else (f"{place.name}.kind",)
        yield _gap(study, bank, missing, _("whether it stands in a battery space is not recorded"), "large")
    elif place.kind != "battery":
        clause, confirmed = study.book.cited(SLUG, "large_w")
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(name,),
            ids=(bank.item,),
            message=_(
                "{bank} is large ({watts} of charging) and stands in {place}, no battery space of its own."
            ).format(bank=named(study, bank.item), watts=show(charge_a * volts, "W"), place=place.name),
            figures=(Figure("charging", charge_a * volts, "W"), Figure("large", large.value, "W")),
            arithmetic=f"{number(charge_a, 4)} A × {number(volts, 4)} V = {show(charge_a * volts, 'W')} > {large.text}",
            fixes=(_("move it to a ventilated battery space of its own"),),
            detail="large",
            clause=clause,
            confirmed=confirmed,
        )


def _gap(study: Study, bank: Bank, missing: tuple[str, ...], why: str, detail: str = "") -> NotJudged:
    return left_open(study, SLUG, WORD, bank.item, missing=missing, why=why, detail=detail)


def _finding(study: Study, bank: Bank, gassing_a: float, count: int, need: float, have: float, formula: str) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(bank.item),),
        ids=(bank.item,),
        message=_("{bank} needs {need} of air and has {have}.").format(
            bank=named(study, bank.item), need=show(need, "m3/h"), have=show(have, "m3/h")
        ),
        figures=(Figure("needed", need, "m3/h"), Figure("ventilation", have, "m3/h")),
        arithmetic=_("{formula} × {amps} A × {count} cells = {need}").format(
            formula=formula, amps=number(gassing_a, 4), count=count, need=show(need, "m3/h")
        ),
        fixes=(
            _("ventilate its space by {need} or more, from the top to the open").format(need=show(need, "m3/h")),
            _("or fit a bank that does not gas"),
        ),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """As much air as it needs."""
    needed = finding.figures[0].value if len(finding.figures) > 1 else None
    if needed is not None:
        air = {"ventilation_m3_h": math.ceil(needed * 10) / 10}
        yield set_fields(finding.fixes[0], "equipment", finding.ids[0], air)


# -- examples -------------------------------------------------------------------------------------------------------
def _locker(air: float | None, chemistry: str = "flooded", amps: float = 40, **more: Any) -> Installation:
    b = boat()
    kind = more.pop("kind", "battery")
    b.place("battery locker", kind)
    known: dict[str, Any] = {"unit_v": 12, "chemistry": chemistry, "ventilation_m3_h": air, "place": "battery locker"}
    b.add("battery_bank", "G1", **(known | more))
    b.add("charger", "T1", dc_v=12, charge_a=amps, self_limiting=True)
    b.add("fuse", "F1", rating_a=200)
    cable(b, "W1", "G1.pos", "F1.in", "2/0 AWG", 6)
    cable(b, "W2", "F1.out", "T1.dc", "2/0 AWG", 60)
    return b.installation


GOOD = (
    Example("just the air that 40 A and six cells need", lambda: _locker(6.61)),
    Example("AGM does not gas", lambda: _locker(None, "AGM")),
)
BAD = (
    Example("less air than 40 A and six cells need", lambda: _locker(6.5), (("G1",),)),
    Example("no ventilation at all", lambda: _locker(0), (("G1",),)),
)
