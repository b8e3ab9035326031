"""A protective earth or a bonding conductor passes something that can open it.

What it checks
--------------
Every fuse, breaker, switch, contactor or relay that opens a protective conductor or a bonding conductor, alone or with
the live conductors; and a device with nothing but such conductors at it, whatever poles it has. A galvanic isolator
that may leave the earth open when it fails counts the same; where that is not recorded, nothing is judged.

Not counted: plugs and sockets, which part the earth last; a relay that bonds the neutral to earth and lifts the bond;
the negative pole of a switch. An isolator rated below the breaker of the supply is `equipment-over-protected`.

Why it matters
--------------
Nobody notices an open earth. The next fault to a case then opens nothing: the case stays live until somebody touches
it.

What to do
----------
Lead the protective conductor past the device. Fit a galvanic isolator that still conducts when it has failed.

Limits read
-----------
None.

References
----------
E-11 11.5.5.5, secondary copy: neither switch nor overcurrent device in the AC grounding conductor. ISO 13297:2020 6.8
to 6.10, secondary copy: a galvanic isolator that fails does not open the protective conductor.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.builder import Builder
from engine.edits import Put
from engine.equipment.base import Contact
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.protection._opening import able_to_open, opens
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.wording import in_condition, named
from engine.study import Study
from engine.words import N_, _

SLUG = "earth-interrupted"
WORD: Word = "danger"
TITLE = N_("a protective earth passes something that can open it")
LOOKS_AT = N_("devices and isolators that a protective or bonding conductor passes")
SEARCHES = True


def check(study: Study) -> Iterator[Remark]:
    """One remark a device."""
    for item, terminals in study.circuit.joined.items():
        earthed = {t for t in terminals if study.circuit.node(item, t, "PE") is not None}
        if len(earthed) < 2:
            continue
        record = study.snapshot.equipment[item]
        able = [c for c in able_to_open(study, item) if {c.a, c.b} <= earthed]
        opening = next((c for c in able if opens(study, item, c, "PE")), None)
        fails = record.fails_open()
        if opening is not None:
            yield _opened(study, item, opening)
        elif fails:
            yield _may_fail(study, item)
        elif fails is None:
            why = _("whether its earth still conducts when it has failed is not recorded")
            missing = (f"{study.name(item)}.fail_safe",)
            yield left_open(study, SLUG, WORD, item, missing=missing, why=why, detail="isolator")
        elif study.proving and (able or record.blocks_corrosion()):
            text = _("The protective conductor at {item} is left whole.").format(item=named(study, item))
            yield proved(study, SLUG, item, message=text)


def _opened(study: Study, item: str, contact: Contact) -> Finding:
    away = () if contact.positions is None else _parted(study, item, contact.positions)
    if away:
        message = _("{item} opens a protective conductor.")
    else:
        message = _("{item} stands in a protective conductor and can open it.")
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=message.format(item=named(study, item)),
        condition=in_condition(study, away) if away else "",
        positions=tuple((device, every[0]) for device, every in away),
        fixes=(
            _("lead the protective conductor past {item}, unbroken").format(item=study.name(item)),
            _("or fit a device that leaves the earth whole"),
        ),
    )


def _parted(study: Study, item: str, joined: frozenset[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    away = tuple(p for p in study.snapshot.equipment[item].positions() if p not in joined)
    return ((item, away),) if away else ()


def _may_fail(study: Study, item: str) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=_("{item} may leave the protective conductor open when it fails.").format(item=named(study, item)),
        fixes=(_("fit an isolator that still conducts when it has failed"),),
        detail="isolator",
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A device of fewer poles; an isolator that fails safe."""
    from engine.fixing.pieces import fitted, refitted
    from engine.fixing.trial import first_sound

    item, name = finding.ids[0], finding.designations[0]
    record: Any = study.snapshot.equipment[item]
    if finding.detail == "isolator":
        text = _("fit {item} as an isolator that still conducts when it has failed").format(item=name)
        yield from first_sound(study, finding, [fitted(text, study, item, fail_safe=True)])
        return
    poles = tuple(pole for pole in getattr(record, "poles", ()) if pole != "PE")
    if poles:
        text = _("fit {device} as one that leaves the earth whole").format(device=name)
        put = Put("equipment", item, refitted(record, poles=poles), words=text)
        yield from first_sound(study, finding, [Fix(text, put)])


# -- examples -------------------------------------------------------------------------------------------------------
def _branch(*poles: str) -> Installation:
    b = alongside()
    circuit(b, "load", "E1", poles=poles)
    return b.installation


def _in_earth(kind: str = "", **facts: Any) -> Installation:
    """A shore earth led aboard past the main, through `kind`."""
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120, rating_a=30, supply_breaker_a=30)
    b.add("bus_bar", "X8", purpose="protective earth")
    if not kind:
        b.run("W1", "X1.out", "X8.bar", function="earth", size="8 AWG", length_m=2)
        return b.installation
    b.add(kind, "F1", **facts)
    b.run("W1", "X1.out", "F1.in", function="earth", size="8 AWG", length_m=1)
    b.run("W2", "F1.out", "X8.bar", function="earth", size="8 AWG", length_m=1)
    return b.installation


def _battery_switch() -> Installation:
    """Two poles of a battery switch: its negative pole is a return, no earth."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.0)
    b.add("battery_switch", "Q1", poles=("+", "-"))
    b.add("earth_point", "X9")
    b.run("W1", "G1.pos", "Q1.in", function="dc", size="2/0 AWG", length_m=1)
    b.add("bus_bar", "X1")
    b.run("W2", "Q1.out", "X1.bar", function="dc", size="2/0 AWG", length_m=1)
    b.run("W3", "X1.bar", "X9.at", function="bonding", size="8 AWG", length_m=1)
    return b.installation


GOOD = (
    Example("a breaker of two poles leaves the earth whole", lambda: _branch("L1", "N")),
    Example(
        "an isolator that still conducts when it has failed", lambda: _in_earth("galvanic_isolator", fail_safe=True)
    ),
    Example("a battery switch of two poles", _battery_switch),
)
BAD = (
    Example("a fuse in the shore's earth", lambda: _in_earth("fuse", rating_a=30, conductor="PE"), (("F1",),)),
    Example(
        "a breaker opens the earth with live and neutral",
        lambda: _branch("L1", "N", "PE"),
        (("FE1",),),
        condition="FE1 open",
    ),
    Example(
        "a breaker with nothing but the earth at it", lambda: _in_earth("circuit_breaker", rating_a=30), (("F1",),)
    ),
    Example(
        "an isolator that may fail open",
        lambda: _in_earth("galvanic_isolator", fail_safe=False, rating_a=30),
        (("F1",),),
    ),
)
