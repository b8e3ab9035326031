"""A stud that is always live is neither covered nor protected at the source.

What it checks
--------------
From every battery's positive through everything that is joined for good, as far as the first protective device or
switch: every post and stud met must be recorded as booted or covered. What stands behind a device is protected at the
source.

Why it matters
--------------
A spanner that slips between a live stud and the engine block carries the whole short-circuit current of the bank in the
hand that holds it.

What to do
----------
A boot or a cover on the stud.

Limits read
-----------
None.

References
----------
33 CFR 183.445(b), 2015 edition. E-11 11.5.4.7.5, secondary copy.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.circuit.ways import Step
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

SLUG = "live-stud-bare"
WORD: Word = "warning"
TITLE = N_("stud that is always live without boot or cover")
LOOKS_AT = N_("posts and studs that a battery keeps live")
SOLVES = False
WITHOUT = ("junction", "control")  # spliced: no stud


def check(study: Study) -> Iterator[Remark]:
    """One remark a piece of equipment."""
    starts = [feed.node for feed in study.circuit.feeds if feed.source.battery]
    reached = study.ways.reach(starts, lambda step: _always(study, step))
    for item in dict.fromkeys(study.circuit.nodes[node].equipment for node in reached):
        record, name = study.snapshot.equipment[item], study.name(item)
        if (record.ROLE in WITHOUT and not record.terminals_on("at")[1]) or record.status == "to remove":
            continue
        if record.covered is None:
            yield left_open(
                study,
                SLUG,
                WORD,
                item,
                missing=(f"{name}.covered",),
                why=_("whether its live studs are booted or covered is not recorded"),
            )
        elif not record.covered:
            yield Finding(
                rule=SLUG,
                word=WORD,
                designations=(name,),
                ids=(item,),
                message=_(
                    "A stud of {item} is always live, and is neither covered nor protected at the source."
                ).format(item=named(study, item)),
                fixes=(_("fit a boot or cover on {item}").format(item=name),),
            )
        elif study.proving:
            text = _("The live studs of {item} are covered.").format(item=named(study, item))
            yield proved(study, SLUG, item, message=text)


def _always(study: Study, step: Step) -> bool:
    """Joined for good, with nothing that opens."""
    ways = study.ways
    if ways.conductor(step.start) != "+" or ways.conductor(step.to) != "+":
        return False
    if step.link < 0:
        return True
    link = study.circuit.links[step.link]
    return link.positions is None and link.protection is None and not link.supposed


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Covered."""
    yield set_fields(finding.fixes[0], "equipment", finding.ids[0], {"covered": True})


# -- examples -------------------------------------------------------------------------------------------------------
def _studs(bank: bool | None, bus: bool | None, *, fuse_first: bool = False) -> Installation:
    b = boat(book="us-33cfr183", engine_fuel="petrol")
    b.add("battery_bank", "G1", unit_v=12, covered=bank)
    b.add("bus_bar", "X1", purpose="positive", covered=bus)
    b.add("fuse", "F1", rating_a=100, covered=True)
    b.add("load", "E1", dc_v=12, current_a=20)
    if fuse_first:
        cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6)
        cable(b, "W2", "F1.out", "X1.bar", "2 AWG", 20)
        cable(b, "W3", "X1.bar", "E1.in", "2 AWG", 60)
    else:
        cable(b, "W1", "G1.pos", "X1.bar", "2 AWG", 6)
        cable(b, "W2", "X1.bar", "F1.in", "2 AWG", 6)
        cable(b, "W3", "F1.out", "E1.in", "2 AWG", 60)
    return b.installation


GOOD = (
    Example("battery, bus and fuse covered", lambda: _studs(True, True), book="us-33cfr183"),
    Example("a bare bus behind a fuse", lambda: _studs(True, False, fuse_first=True), book="us-33cfr183"),
)
BAD = (
    Example("a bare bus at the battery", lambda: _studs(True, False), (("X1",),), book="us-33cfr183"),
    Example("bare battery posts", lambda: _studs(False, True), (("G1",),), book="us-33cfr183"),
)
