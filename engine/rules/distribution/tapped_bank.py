"""Something is fed from the midpoint of a series bank, and nothing keeps its halves alike.

What it checks
--------------
Every bank of several units in series whose record says that something is fed from, or charged at, its midpoint: a
battery balancer must be recorded for it.

Why it matters
--------------
The tapped half is emptied every day and the other overcharged: both are worn out in a season.

What to do
----------
Feed the load through a converter from the whole bank, or fit a balancer.

Limits read
-----------
None.

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.findings import Finding, Remark, Word
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.words import N_, _

SLUG = "tapped-bank"
WORD: Word = "warning"
TITLE = N_("bank tapped at its midpoint without balancer")
LOOKS_AT = N_("banks of several units in series")
SOLVES = False


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank."""
    balanced = {record.balances(): item for item, record in study.snapshot.equipment.items() if record.balances()}
    for item, record in study.snapshot.equipment.items():
        store = record.store()
        if store is None or store.series < 2 or record.status == "to remove":
            continue
        name = study.name(item)
        if item in balanced or store.midpoint_used is False:
            if study.proving:
                if item in balanced:
                    how = _("{balancer} balances {bank}.").format(
                        balancer=named(study, balanced[item]), bank=named(study, item)
                    )
                else:
                    how = _("Nothing is tapped from {bank}.").format(bank=named(study, item))
                yield proved(study, SLUG, item, message=how)
        elif store.midpoint_used is None:
            yield left_open(
                study,
                SLUG,
                WORD,
                item,
                missing=(f"{name}.midpoint_used",),
                why=_("whether something is fed from its midpoint is not recorded"),
            )
        else:
            yield Finding(
                rule=SLUG,
                word=WORD,
                designations=(name,),
                ids=(item,),
                message=_("{bank} is tapped at its midpoint, and no balancer keeps its halves alike.").format(
                    bank=named(study, item)
                ),
                fixes=(
                    _("feed what is tapped from the whole bank, through a converter"),
                    _("or fit a battery balancer on {bank}").format(bank=name),
                ),
            )


# -- examples -------------------------------------------------------------------------------------------------------
def _bank(*, balancer: bool = False, **facts: Any) -> Installation:
    b = boat()
    bank = b.add("battery_bank", "G1", unit_v=12, series=2, **facts)
    b.add("fuse", "F1", rating_a=200)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6)
    if balancer:
        b.add("battery_balancer", "T1", dc_v=24, battery=bank)
    return b.installation


GOOD = (
    Example("nothing on the midpoint", lambda: _bank(midpoint_used=False)),
    Example("a balancer on the bank", lambda: _bank(midpoint_used=True, balancer=True)),
)
BAD = (
    Example("a 12 V load on one half of 24 V", lambda: _bank(midpoint_used=True), (("G1",),)),
    Example("and on a bank of two strings", lambda: _bank(midpoint_used=True, parallel=2), (("G1",),)),
)
