"""Several batteries in parallel, and a failed one is fed by the others through nothing that opens.

What it checks
--------------
Every bank with as many strings in parallel as the book names, or more: each must have a protective device of its own.

Why it matters
--------------
A cell that shorts is fed by every other string at once, with thousands of amperes, and the fuse of the bank never sees
any of it.

What to do
----------
A fuse in the lead of each string, suited to its short-circuit current.

Limits read
-----------
`strings` (strings in parallel from which it is asked).

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.units import number
from engine.words import N_, _

SLUG = "unit-unprotected"
WORD: Word = "warning"
TITLE = N_("parallel batteries without a device of their own")
LOOKS_AT = N_("banks of several strings in parallel")


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank."""
    limit = study.book.limit(SLUG, "strings")
    if limit is None:
        return
    for item, record in study.snapshot.equipment.items():
        store = record.store()
        if store is None or store.strings < limit.value or record.status == "to remove":
            continue
        name = study.name(item)
        if store.unit_protected is None and store.string_device_a is None:
            yield left_open(
                study,
                SLUG,
                WORD,
                item,
                missing=(f"{name}.unit_protected",),
                why=_("whether every string has a protective device of its own is not recorded"),
            )
        elif store.unit_protected is False:
            yield Finding(
                rule=SLUG,
                word=WORD,
                designations=(name,),
                ids=(item,),
                message=_(
                    "{bank} has {count} strings in parallel and no device in each: the others feed a failed one."
                ).format(bank=named(study, item), count=store.strings),
                figures=(Figure("strings", float(store.strings), ""),),
                arithmetic=_("{count} strings, {limit} or more ask for it").format(
                    count=store.strings, limit=number(limit.value)
                ),
                fixes=(_("fit a fuse in the lead of each string"),),
            )
        elif study.proving:
            yield proved(
                study,
                SLUG,
                item,
                message=_("Every string of {bank} has a protective device of its own.").format(bank=named(study, item)),
            )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A device in every string."""
    yield set_fields(finding.fixes[0], "equipment", finding.ids[0], {"unit_protected": True})


# -- examples -------------------------------------------------------------------------------------------------------
def _bank(parallel: int, **facts: Any) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12, parallel=parallel, **facts)
    b.add("fuse", "F1", rating_a=300)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6)
    return b.installation


GOOD = (
    Example("three strings, each with a fuse", lambda: _bank(3, unit_protected=True)),
    Example("two strings", lambda: _bank(2, unit_protected=False)),
)
BAD = (
    Example("three strings on one bus without fuses", lambda: _bank(3, unit_protected=False), (("G1",),)),
    Example("six strings without fuses", lambda: _bank(6, unit_protected=False), (("G1",),)),
)
