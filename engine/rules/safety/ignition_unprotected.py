"""Equipment that can make a spark stands, not ignition-protected, where petrol or gas may gather.

What it checks
--------------
Everything that can make a spark, in use or in failure, in a place of the book's list: machinery spaces with petrol
engines, LPG lockers. What stands apart by a bulkhead or in the open stands in another place
of the drawing.

Why it matters
--------------
A cupful of petrol makes the air of an engine space explosive; one relay or one brush sets it off.

What to do
----------
Equipment built to be ignition-protected, or another place for it.

Limits read
-----------
`places` (kinds of place).

References
----------
33 CFR 183.410, 2015 edition.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.findings import Finding, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.words import N_, _

SLUG = "ignition-unprotected"
WORD: Word = "danger"
TITLE = N_("equipment that can spark, not ignition-protected, where petrol or gas may gather")
LOOKS_AT = N_("equipment that can spark, in places with petrol or gas")
SKIPPED = ("to remove",)


def check(study: Study) -> Iterator[Remark]:
    """One remark a piece of equipment."""
    kinds = study.book.option(SLUG, "places", ())
    for item, record in study.snapshot.equipment.items():
        place = study.snapshot.places.get(record.place)
        if place is None or place.kind not in kinds or not record.SPARKS or record.status in SKIPPED:
            continue
        name = study.name(item)
        if record.ignition_protected is None:
            yield left_open(
                study,
                SLUG,
                WORD,
                item,
                missing=(f"{name}.ignition_protected",),
                why=_("whether it is ignition-protected is not recorded"),
            )
        elif not record.ignition_protected:
            yield Finding(
                rule=SLUG,
                word=WORD,
                designations=(name,),
                ids=(item,),
                message=_("{item} in {place} can make a spark and is not ignition-protected.").format(
                    item=named(study, item), place=place.name
                ),
                fixes=(
                    _("fit an ignition-protected one"),
                    _("move it to a place without petrol or gas"),
                ),
            )
        elif study.proving:
            yield proved(
                study,
                SLUG,
                item,
                message=_("{item} in {place} is ignition-protected.").format(item=named(study, item), place=place.name),
            )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """An ignition-protected one in its stead."""
    yield set_fields(finding.fixes[0], "equipment", finding.ids[0], {"ignition_protected": True, "status": "new"})


# -- examples -------------------------------------------------------------------------------------------------------
def _pump(kind: str, protected: bool | None = False) -> Installation:
    b = boat(book="us-33cfr183", engine_fuel="petrol")
    b.place("engine space", kind)
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10)
    b.add("motor", "M1", dc_v=12, running_a=4, service="pump", place="engine space", ignition_protected=protected)
    cable(b, "W1", "G1.pos", "F1.in", "14 AWG", 6)
    cable(b, "W2", "F1.out", "M1.in", "14 AWG", 100)
    return b.installation


GOOD = (
    Example(
        "an ignition-protected pump in a petrol engine space",
        lambda: _pump("petrol machinery", True),
        book="us-33cfr183",
    ),
    Example("beside a diesel engine", lambda: _pump("diesel machinery"), book="us-33cfr183"),
)
BAD = (
    Example("a pump in a petrol engine space", lambda: _pump("petrol machinery"), (("M1",),), book="us-33cfr183"),
    Example("a pump in the gas locker", lambda: _pump("LPG"), (("M1",),), book="us-33cfr183"),
)
