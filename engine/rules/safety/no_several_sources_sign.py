"""A panel or enclosure that several sources keep live carries no sign that says so.

What it checks
--------------
Every enclosure on the drawing: the AC sources and battery banks that can feed what stands in it, in any state of the
switches that the interlocks allow. With two or more, the record must say that it carries the sign.

Why it matters
--------------
Who opens it after switching one source off trusts that it is dead.

What to do
----------
A durable sign on its door that names the circuits to open.

Limits read
-----------
None.

References
----------
46 CFR 183.220(e), secondary copy.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from engine.builder import Builder
from engine.edits import Put, apply
from engine.equipment.base import LIVE
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation import Enclosure
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.wording import listed
from engine.study import Study
from engine.words import N_, _

SLUG = "no-several-sources-sign"
WORD: Word = "caution"
TITLE = N_("no sign on a panel that several sources feed")
LOOKS_AT = N_("panels and enclosures")


def check(study: Study) -> Iterator[Remark]:
    """One remark an enclosure."""
    for item, enclosure in study.snapshot.enclosures.items():
        sources = _sources(study, item)
        if len(sources) < 2:
            continue
        names = [study.name(source) for source in sources]
        if enclosure.several_sources_sign is None:
            yield left_open(
                study,
                SLUG,
                WORD,
                item,
                missing=(f"{enclosure.name}.several_sources_sign",),
                why=_("whether it carries the sign that several sources feed it is not recorded"),
            )
        elif not enclosure.several_sources_sign:
            yield Finding(
                rule=SLUG,
                word=WORD,
                designations=(enclosure.name,),
                ids=(item, *sources),
                message=_("{name} can be live from {sources}, and carries no sign that says so.").format(
                    name=enclosure.name, sources=listed(names)
                ),
                fixes=(_("put a sign on {name} that names what to open").format(name=enclosure.name),),
            )
        elif study.proving:
            yield proved(
                study,
                SLUG,
                item,
                message=_("{name} carries the sign that {sources} feed it.").format(
                    name=enclosure.name, sources=listed(names)
                ),
            )


def _sources(study: Study, enclosure: str) -> tuple[str, ...]:
    """AC sources and banks that can feed what stands in it."""
    circuit = study.circuit
    nodes = [
        node
        for item, terminals in circuit.joined.items()
        if study.snapshot.equipment[item].enclosure == enclosure
        for terminal in terminals
        for line in LIVE
        if (node := circuit.node(item, terminal, line)) is not None
    ]
    feeds = {
        (feed.equipment, feed.node): feed
        for node in nodes
        for feed in study.volts.at(node).feeds
        if feed.source.battery or feed.source.system == "ac"
    }
    if len({feed.equipment for feed in feeds.values()}) < 2:
        return ()
    return tuple(sorted({feed.equipment for feed in feeds.values() if study.reaching.of(feed, nodes)}))


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The sign is put up."""
    yield set_fields(finding.fixes[0], "enclosures", finding.ids[0], {"several_sources_sign": True})


# -- examples -------------------------------------------------------------------------------------------------------
def _panel(sign: bool | None, *, generator: bool = True, bank: bool = False) -> Installation:
    b = alongside()
    circuit(b, "load", "E1")
    if generator:
        b.add("generator", "G2", ac_v=120, rating_a=30, exposed_metal=True, breaker_a=30)
        b.add("circuit_breaker", "Q2", rating_a=30, poles=("L1", "N"), used_as_switch=True)
        b.run("W30", "G2.out", "Q2.in", function="ac", size="10 AWG", length_m=3.0)
        b.run("W31", "Q2.out", "X2.bar", function="ac", size="10 AWG", length_m=0.2)
    if bank:
        b.add("battery_bank", "G1", unit_v=12)
        b.add("fuse", "F9", rating_a=10)
        b.run("W32", "G1.pos", "F9.in", size="14 AWG", length_m=1.0)
        _into(b, "F9", sign)
    _into(b, "X2", sign)
    return b.installation


def _before_changeover() -> Installation:
    """The shore's panel before a changeover that takes shore or generator: the generator never reaches it."""
    b = alongside()
    circuit(b, "load", "E1")
    b.add("generator", "G2", ac_v=120, rating_a=30, exposed_metal=True, breaker_a=30)
    b.add("changeover", "Q2", poles=("L1", "N"))
    b.add("bus_bar", "X3")
    for name, start, end in (("W30", "X2.bar", "Q2.one"), ("W31", "G2.out", "Q2.two"), ("W32", "Q2.common", "X3.bar")):
        b.run(name, start, end, function="ac", size="10 AWG", length_m=1.0)
    circuit(b, "load", "E2", "X3.bar")
    _into(b, "X2", False)
    return b.installation


def _into(b: Builder, designation: str, sign: bool | None) -> None:
    installation = b.installation
    known = [item for item, record in installation.items("enclosures") if record.name == "main panel"]
    panel = known[0] if known else installation.new_id("enclosures")
    if not known:
        apply(installation, Put("enclosures", panel, Enclosure(name="main panel", several_sources_sign=sign)))
    item = installation.find(designation)[0][1]
    record = installation.get("equipment", item)
    apply(installation, Put("equipment", item, msgspec.structs.replace(record, enclosure=panel)))


GOOD = (
    Example("shore and generator on a panel with the sign", lambda: _panel(True)),
    Example("one source needs no sign", lambda: _panel(False, generator=False)),
    Example("the shore's panel before a changeover", _before_changeover),
)
BAD = (
    Example("shore and generator on a panel without it", lambda: _panel(False), (("main panel",),)),
    Example("shore and a bank in one enclosure", lambda: _panel(False, generator=False, bank=True), (("main panel",),)),
)
