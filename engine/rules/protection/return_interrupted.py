"""A device opens an earthed DC return and leaves the positive closed.

What it checks
--------------
Every fuse, breaker, switch, contactor or relay that opens a negative conductor joined to the boat's ground (an earth
point, an engine whose electrics return through its block) and does not open the positive of the same circuit with it.
A fuse that its maker supplied in the return of a piece of electronics is a *notice*. A return of its own that nothing
drawn joins to the boat's ground is no earthed one and passes, so too that of an engine recorded as isolated. Where
neither is drawn, or whether the engine's block is the ground is not recorded, nothing is judged.

Why it matters
--------------
With the return open what hangs behind looks dead and is live; current finds another way back, through an engine's
cables, a shield or a bonding conductor never meant for it. A fuse in the return does not see a fault to ground.

What to do
----------
Put the device into the positive, or fit one that opens both together.

Limits read
-----------
None.

References
----------
46 CFR 183.380(b), 2015 edition: a grounded conductor is not switched unless all ungrounded ones open with it; (a): the
overcurrent device stands in the ungrounded conductors. UK code for small commercial craft, secondary copy: single-pole
switches in the positive of an earthed system only, no fuse in an earthed conductor.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from engine.builder import Builder
from engine.equipment.base import Contact
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.protection._opening import able_to_open, opens
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._earth import is_return_step
from engine.rules.wording import in_condition, named
from engine.study import Study
from engine.words import N_, _

SLUG = "return-interrupted"
WORD: Word = "warning"
TITLE = N_("an earthed DC return is opened alone")
LOOKS_AT = N_("devices that a DC return passes")
SEARCHES = True


def check(study: Study) -> Iterator[Remark]:
    """One remark a device."""
    grounds = [item for item in study.circuit.joined if study.snapshot.equipment[item].is_ground() is not False]
    for item, terminals in study.circuit.joined.items():
        returns = {t: n for t in terminals if (n := study.circuit.node(item, t, "-")) is not None}
        if len(returns) < 2:
            continue
        able = [c for c in able_to_open(study, item) if {c.a, c.b} <= returns.keys()]
        alone = next((c for c in able if opens(study, item, c, "-") and not _with_positive(study, item, c, able)), None)
        if alone is not None:
            yield from _alone(study, item, alone, returns[alone.a], grounds)
        elif able and study.proving:
            text = _("No return is opened alone at {item}.").format(item=named(study, item))
            yield proved(study, SLUG, item, message=text)


def _with_positive(study: Study, item: str, contact: Contact, able: list[Contact]) -> bool:
    """Whether the device opens the positive in the same positions."""
    return any(
        {other.a, other.b} == {contact.a, contact.b}
        and other.positions == contact.positions
        and opens(study, item, other, "+")
        for other in able
    )


def _alone(study: Study, item: str, contact: Contact, node: int, grounds: list[str]) -> Iterator[Remark]:
    record = study.snapshot.equipment[item]
    supplied = record.trip() is not None and not record.pieces()  # it came with the equipment it serves
    word: Word = "notice" if supplied else WORD
    reached = study.ways.reach([node], partial(is_return_step, study))
    met = {study.circuit.nodes[n].equipment for n in reached}
    told = {study.snapshot.equipment[ground].is_ground() for ground in grounds if ground in met}
    if True in told:
        yield _finding(study, item, contact, word)
    elif told:
        missing = tuple(
            f"{study.name(ground)}.{study.snapshot.equipment[ground].GROUND_FIELD}"
            for ground in grounds
            if ground in met
        )
        why = _("whether the return it opens is earthed is not recorded")
        yield left_open(study, SLUG, word, item, missing=missing, why=why)
    elif not grounds and not any(study.snapshot.equipment[other].GROUND_FIELD for other in met):
        why = _("it opens a return alone, and no ground is drawn: whether that return is earthed is not known")
        yield left_open(study, SLUG, word, item, missing=(), why=why)
    elif study.proving:
        text = _("The return that {item} opens is joined to no ground.").format(item=named(study, item))
        yield proved(study, SLUG, item, message=text)


def _finding(study: Study, item: str, contact: Contact, word: Word) -> Finding:
    positions = study.snapshot.equipment[item].positions()
    away = () if contact.positions is None else tuple(p for p in positions if p not in contact.positions)
    witness = ((item, away),) if away else ()
    if word == "notice":
        message = _("{item} stands in an earthed return; its maker supplied it there.")
    elif away:
        message = _("{item} opens an earthed return and leaves the positive closed.")
    else:
        message = _("{item} stands in an earthed return: when it opens, the positive stays live.")
    return Finding(
        rule=SLUG,
        word=word,
        designations=(study.name(item),),
        ids=(item,),
        message=message.format(item=named(study, item)),
        condition=in_condition(study, witness) if witness else "",
        positions=tuple((device, every[0]) for device, every in witness),
        fixes=(
            _("put it into the positive"),
            _("or fit a device that opens positive and negative together"),
        ),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A device of both poles, or the fuse in the other conductor, where the positive passes there too."""
    from engine.fixing.pieces import fitted
    from engine.fixing.trial import first_sound

    item, name = finding.ids[0], finding.designations[0]
    record: Any = study.snapshot.equipment[item]
    both = [t for t in study.circuit.joined[item] if study.circuit.node(item, t, "+") is not None]
    if len(both) < 2 or finding.word == "notice":
        return
    if getattr(record, "poles", ()):
        text = _("fit {device} as one that opens positive and negative together").format(device=name)
        yield from first_sound(study, finding, [fitted(text, study, item, poles=("+", *record.poles))])
    elif getattr(record, "conductor", "") == "-":
        text = _("put {device} into the positive").format(device=name)
        yield from first_sound(study, finding, [fitted(text, study, item, conductor="+")])


# -- examples -------------------------------------------------------------------------------------------------------
def _boat(kind: str, *, ground: bool = True, **facts: Any) -> Installation:
    """A bank with its negative earthed; `F1` stands in both conductors to a load."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.0)
    b.add(kind, "F1", **facts)
    b.add("load", "E1", dc_v=12, current_a=5.0)
    if ground:
        b.add("engine", "M1", return_path="block")
        b.run("W3", "G1.neg", "M1.block", function="dc negative", size="2/0 AWG", length_m=1)
    else:
        b.add("earth_point", "X9")
    b.run("W1", "G1.pos", "F1.in", function="dc pair", size="10 AWG", length_m=1)
    b.run("W2", "F1.out", "E1.in", function="dc pair", size="10 AWG", length_m=1)
    return b.installation


def _in_negative(kind: str, **facts: Any) -> Installation:
    """`Q1` in the negative of a bank, before the engine's block."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.0)
    b.add("engine", "M1", return_path="block")
    b.add("load", "E1", dc_v=12, current_a=5.0)
    b.add(kind, "Q1", **facts)
    b.run("W1", "G1.pos", "E1.in", function="dc positive", size="10 AWG", length_m=1)
    b.run("W2", "G1.neg", "Q1.in", function="dc negative", size="2/0 AWG", length_m=1)
    b.run("W3", "Q1.out", "M1.block", function="dc negative", size="2/0 AWG", length_m=1)
    b.run("W4", "M1.block", "E1.neg", function="dc negative", size="10 AWG", length_m=1)
    return b.installation


GOOD = (
    Example("a fuse in the positive", lambda: _boat("fuse", rating_a=10)),
    Example("a battery switch of two poles", lambda: _boat("battery_switch", poles=("+", "-"))),
    Example(
        "a breaker of two poles, the negative one without a trip",
        lambda: _boat("circuit_breaker", rating_a=10, poles=("+", "-"), untripped=("-",)),
    ),
)
BAD = (
    Example("a fuse in the negative", lambda: _boat("fuse", rating_a=10, conductor="-"), (("F1",),)),
    Example(
        "a battery switch in the negative", lambda: _in_negative("battery_switch"), (("Q1",),), condition="Q1 open"
    ),
    Example(
        "a fuse that its maker supplied in the negative",
        lambda: _boat("fuse", rating_a=10, conductor="-", supplied_with_equipment=True),
        (("F1",),),
    ),
    Example(
        "a breaker of which only the negative pole opens",
        lambda: _boat("circuit_breaker", rating_a=10, poles=("-",)),
        (("F1",),),
    ),
)
