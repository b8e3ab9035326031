"""A device or inlet lacks the marking that the book requires.

What it checks
--------------
Every protective device and switch: what is written at it aboard. It is marked by its own marking, or by the legend of
its position in a panel. A legend that is there and empty, or a marking recorded as none (``none``, ``-``), is found;
where neither is recorded, that is told once for all. And every shore inlet: volts, frequency and current beside it.

Why it matters
--------------
In smoke and darkness one reads the panel, not the drawing.

What to do
----------
A durable label in the words of those aboard.

Limits read
-----------
`asks` (what is asked of: devices, inlets).

References
----------
46 CFR 183.220(d), secondary copy: all equipment and circuits marked. E-11, from memory, not confirmed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.edits import Put, apply
from engine.equipment.base import Equipment
from engine.findings import Finding, NotJudged, Passed, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation import Enclosure, Legend
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside
from engine.rules.wording import named
from engine.study import Study
from engine.words import N_, _

SLUG = "no-label"
WORD: Word = "notice"
TITLE = N_("device or inlet without its marking")
LOOKS_AT = N_("protective devices, switches and shore inlets")
DEVICES = ("protection", "switch")
NONE = ("none", "-", "no")


def check(study: Study) -> Iterator[Remark]:
    """One remark a device; what is not recorded, together."""
    asks = study.book.option(SLUG, "asks", ())
    unknown: list[tuple[str, str]] = []
    for item, record in study.snapshot.equipment.items():
        if record.status in ("spare", "to remove", "by others") or record.moves_itself() or record.CLOSES_ON_NEED:
            continue
        inlet = record.ashore()
        if inlet is not None and inlet.inlet and "inlets" in asks:
            if inlet.labelled is None:
                unknown.append((item, "labelled"))
            elif not inlet.labelled:
                yield _finding(study, item, _("{item} has no volts, frequency and current marked beside it."))
            elif study.proving:
                yield _passed(study, item)
        elif record.ROLE in DEVICES and "devices" in asks:
            marked = _marked(study, record)
            if marked is None:
                unknown.append((item, "marking"))
            elif not marked:
                yield _finding(study, item, _("{item} has no marking aboard."))
            elif study.proving:
                yield _passed(study, item)
    if unknown:
        yield NotJudged(
            rule=SLUG,
            would_be=WORD,
            designations=tuple(study.name(item) for item, _field in unknown),
            ids=tuple(item for item, _field in unknown),
            missing=tuple(f"{study.name(item)}.{field}" for item, field in unknown),
            why=_("what is marked at them aboard is not recorded"),
        )


def _marked(study: Study, record: Equipment) -> bool | None:
    """By its own marking, else by the legend of its position."""
    text = record.marking.strip()
    if text:
        return text.lower() not in NONE
    enclosure = study.snapshot.enclosures.get(record.enclosure)
    if enclosure is None or not record.position:
        return None
    legend = next((way for way in enclosure.legend if way.position == record.position), None)
    return None if legend is None else bool(legend.text.strip())


def _finding(study: Study, item: str, message: str) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=message.format(item=named(study, item)),
        fixes=(_("label it"),),
    )


def _passed(study: Study, item: str) -> Passed:
    text = _("{item} is marked.").format(item=named(study, item))
    return proved(study, SLUG, item, message=text)


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Marked with its label, where it has one; the inlet as its plate says."""
    item = finding.ids[0]
    record = study.snapshot.equipment[item]
    if record.ashore() is not None:
        yield set_fields(finding.fixes[0], "equipment", item, {"labelled": True})
    elif record.label or record.designation:
        text = record.label or record.designation
        yield set_fields(_("label it {text}").format(text=text), "equipment", item, {"marking": text})


# -- examples -------------------------------------------------------------------------------------------------------
def _fuse(marking: str, legend: str | None = None) -> Installation:
    b = boat()
    facts: dict[str, Any] = {}
    if legend is not None:
        panel = b.installation.new_id("enclosures")
        record = Enclosure(name="main panel", legend=(Legend(position="1", text=legend),))
        apply(b.installation, Put("enclosures", panel, record))
        facts = {"enclosure": panel, "position": "1"}
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10, marking=marking, **facts)
    b.add("load", "E1", dc_v=12, current_a=2)
    cable(b, "W1", "G1.pos", "F1.in", "14 AWG", 6)
    cable(b, "W2", "F1.out", "E1.in", "14 AWG", 60)
    return b.installation


def _inlet(*, labelled: bool) -> Installation:
    b = alongside(labelled=labelled)
    b.set("Q1", marking="SHORE MAIN")
    return b.installation


GOOD = (
    Example("a fuse with its marking", lambda: _fuse("CABIN LIGHTS")),
    Example("a fuse named by the panel's legend", lambda: _fuse("", "cabin lights")),
    Example("an inlet with its plate", lambda: _inlet(labelled=True)),
)
BAD = (
    Example("an empty legend", lambda: _fuse("", ""), (("F1",),)),
    Example("no marking at all", lambda: _fuse("none"), (("F1",),)),
    Example("an inlet without its plate", lambda: _inlet(labelled=False), (("X1",),)),
)
