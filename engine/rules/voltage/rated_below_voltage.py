"""A protective device or switch is rated below the voltage it can see.

What it checks
--------------
Every protective device and switch in a live conductor, against every source that a permitted switch state can join to
it. Direct current is compared with the DC rating only, alternating current with the AC rating only: an AC rating never
counts for DC, nor the reverse, and a plate that says just "V" is not judged. The book says which voltage counts: the
*nominal* voltage of the circuit, or the *highest* it can reach, which is the highest charging voltage, or the
open-circuit voltage of a solar array at the coldest. Nominal voltages of one class (24, 25.6 and 26.4 V) are one
voltage where nominal counts. A device that opens two lines at once is compared with the volts between them.

Where a source does not record its highest voltage the rule takes the worst the book thinks possible. If the device
withstands that too, it passes; if not, it is not judged and the missing field is named. A battery rises no higher than
what charges it.

Why it matters
--------------
A fuse or breaker used above its voltage does not put out the arc when it opens: it burns on, in the one moment it was
fitted for. Direct current has no zero crossing to help.

What to do
----------
Fit a device whose plate gives a voltage of the right kind at or above the figure named.

Limits read
-----------
`basis` (nominal or highest), `unknown_highest` (the most a source can rise above its nominal voltage), and the classes
of `voltage-mismatch`.

References
----------
33 CFR 183.455(d), 2015 edition: the voltage rating of each fuse or breaker must not be less than the nominal circuit
voltage. 46 CFR 183.220(b): gear suits its voltage, secondary copy.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from engine.builder import Builder
from engine.circuit.expand import Feed
from engine.circuit.meeting import Conflict, Point, joins
from engine.equipment.base import LIVE, Equipment
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.voltage._systems import LIVE_OF, Classes, System, between_lines, point, volt_field
from engine.rules.wording import in_condition, named
from engine.study import Study
from engine.units import show
from engine.words import N_, _

SLUG = "rated-below-voltage"
WORD: Word = "danger"
TITLE = N_("protective device or switch rated below the voltage it can see")
LOOKS_AT = N_("protective devices and switches")
# rated volts that devices are sold for: common practice, no source
USUAL_V = {
    "dc": (16.0, 32.0, 48.0, 58.0, 80.0, 125.0, 250.0, 500.0),
    "ac": (125.0, 240.0, 250.0, 277.0, 440.0, 480.0, 600.0),
}


class Seen(NamedTuple):
    """What one source puts on a device. `volts` is what counts; `worst` bounds it where it is not recorded."""

    feed: Feed
    nominal: float | None
    volts: float | None
    worst: float | None


class Asked(NamedTuple):
    """What stays the same from device to device."""

    study: Study
    basis: str
    classes: Classes
    gaps: dict[tuple[str, str], list[str]]  # (source, field) -> devices it leaves open
    seen: dict[tuple[object, ...], list[Seen]]  # what each part of the circuit puts on a device


def check(study: Study) -> Iterator[Remark]:
    """One finding for each device and kind of current; sources without a recorded voltage once each."""
    basis = study.book.option(SLUG, "basis")
    if basis is None:
        why = _("this book does not say which voltage counts")
        yield NotJudged(rule=SLUG, would_be=WORD, designations=(), ids=(), missing=(), why=why)
        return
    asked = Asked(study, str(basis), Classes.of(study.book), {}, {})
    for item, poles in _poles(study).items():
        for system, live in LIVE_OF.items():
            here = {conductor: node for conductor, node in poles.items() if conductor in live}
            if here:
                yield from _device(asked, item, "dc" if system == "dc" else "ac", here)
    for (source, field), devices in asked.gaps.items():
        names = tuple(study.name(item) for item in devices)
        yield NotJudged(
            rule=SLUG,
            would_be=WORD,
            designations=(study.name(source), *names),
            ids=(source, *devices),
            missing=(f"{study.name(source)}.{field}",) if field else (),
            why=_("the highest voltage of {source} is not known, and {devices} may be rated below it").format(
                source=named(study, source), devices=", ".join(names)
            ),
        )


def _poles(study: Study) -> dict[str, dict[str, int]]:
    """Protective devices and switches: the live conductors each opens or limits, with one node of each."""
    found: dict[str, dict[str, int]] = {}
    for link in study.circuit.links:
        if study.snapshot.equipment[link.equipment].ROLE not in ("protection", "switch") or link.conductor not in LIVE:
            continue
        if link.positions is not None or link.protection is not None or link.one_way:
            found.setdefault(link.equipment, {})[link.conductor] = link.a
    return found


def _device(asked: Asked, item: str, system: System, poles: dict[str, int]) -> Iterator[Remark]:
    study = asked.study
    record = study.snapshot.equipment[item]
    # the same islands put the same on every device; between AC lines it matters which of them it opens
    key = (system, *((conductor, id(study.volts.at(node))) for conductor, node in poles.items()))
    if key not in asked.seen:
        asked.seen[key] = list(_seen(study, poles, system, asked.basis))
    seen = asked.seen[key]
    if not seen:
        return
    rated = record.rated_dc_v if system == "dc" else record.rated_ac_v
    if rated is None:
        yield _no_rating(study, item, record, system)
        return
    over = []
    for each in seen:
        if each.volts is not None and rated < each.volts and not _one_class(asked, system, rated, each):
            over.append(each)
        elif each.volts is None and (each.worst is None or rated < each.worst):
            field = volt_field(study.snapshot.equipment[each.feed.equipment], system, highest=each.nominal is not None)
            devices = asked.gaps.setdefault((each.feed.equipment, field), [])
            if item not in devices:
                devices.append(item)
    found = list(_over(asked, item, rated, system, poles, over)) if over else []
    yield from found
    if study.proving and not found and not any(item in devices for devices in asked.gaps.values()):
        yield from _proved(asked, item, rated, system, seen)


def _proved(asked: Asked, item: str, rated: float, system: System, seen: list[Seen]) -> Iterator[Remark]:
    """The highest volts it can see, where it is rated for them; else why that is in order."""
    study = asked.study
    most = max(
        (v for each in seen if (v := each.volts if each.volts is not None else each.worst) is not None), default=0.0
    )
    if 0 < most <= rated:
        found, limit = ("voltage", most), ("rated voltage", rated)
        yield proved(study, SLUG, item, found=found, limit=limit, unit="V", detail=system)
        return
    if all(each.volts is None or each.volts <= rated or _one_class(asked, system, rated, each) for each in seen):
        message = _("{device} is rated {volts} {kind}, as the system it stands on.")
    else:
        message = _("No permitted switch position puts more than its {volts} {kind} on {device}.")
    told = message.format(device=named(study, item), volts=show(rated, "V", digits=4), kind=system.upper())
    yield proved(study, SLUG, item, message=told, detail=system)


def _seen(study: Study, poles: dict[str, int], system: System, basis: str) -> Iterator[Seen]:
    """The sources on the device's system, contacts taken as closed, and what each can put on it."""
    feeds = list(
        dict.fromkeys(
            feed for node in poles.values() for feed in study.volts.at(node).feeds if feed.source.system == system
        )
    )
    ratio = study.book.limit(SLUG, "unknown_highest")
    if system == "ac":
        across = between_lines(feeds, poles)
        for feed in feeds:
            volts = across.get((feed.equipment, feed.source.line))
            if feed.source.conductor in poles:
                nominal, highest = volts or (None, None)
                yield Seen(feed, nominal, highest if basis == "highest" else nominal, None)
        return
    settled = any(f.source.highest_v is not None and not f.source.battery for f in feeds)
    for feed in feeds:
        nominal, highest = feed.source.nominal_v, feed.source.highest_v
        if basis != "highest":
            yield Seen(feed, nominal, nominal, None)
        elif highest is None and feed.source.battery and settled:
            # a battery rises no higher than what charges it
            yield Seen(feed, nominal, nominal, None)
        else:
            worst = nominal * ratio.value if ratio is not None and nominal is not None else None
            yield Seen(feed, nominal, highest, worst)


def _one_class(asked: Asked, system: System, rated: float, seen: Seen) -> bool:
    """Where nominal voltage counts, 24 V is rated for 25.6 V; AC is always told by its nominal voltage."""
    if system == "dc" and asked.basis == "highest":
        return False
    return seen.nominal is not None and asked.classes.same(system, rated, seen.nominal)


def _over(
    asked: Asked, item: str, rated: float, system: System, poles: dict[str, int], over: list[Seen]
) -> Iterator[Finding]:
    """The worst source that a permitted state joins to the device; of equal ones that with the fewest switches."""
    study = asked.study
    ends = [Point(node, item) for node in poles.values()]
    numbers = {conductor: n for n, conductor in enumerate(poles)}
    pairs = [(numbers.get(seen.feed.source.conductor, 0), len(ends) + n) for n, seen in enumerate(over)]
    points = ends + [point(seen.feed) for seen in over]
    found, undecided = joins(study.snapshot, study.circuit, points, pairs, LIVE_OF[system], budget=study.budget)
    met = [
        (seen, found.get(pair)) for seen, pair in zip(over, pairs, strict=True) if pair in found or pair in undecided
    ]
    if met:
        seen, conflict = min(
            met, key=lambda m: (-(m[0].volts or 0.0), m[1] is None, len(m[1].positions) if m[1] else 0)
        )
        yield _finding(study, item, rated, system, asked.basis, seen, conflict)


def _finding(
    study: Study, item: str, rated: float, system: System, basis: str, seen: Seen, conflict: Conflict | None
) -> Finding:
    kind = system.upper()
    covers = study.book.option(SLUG, "clause_covers", ("protection", "switch"))
    have, can_be = f"{show(rated, 'V', digits=4)} {kind}", f"{show(seen.volts, 'V', digits=4)} {kind}"
    nominal = basis == "nominal" or seen.volts == seen.nominal
    source = named(study, seen.feed.equipment)
    if nominal:
        message = _("{device} is rated {rated}; {source} puts a nominal {volts} on it.")
    else:
        message = _("{device} is rated {rated}; {source} can put {volts} on it.")
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item), study.name(seen.feed.equipment)),
        ids=(item, seen.feed.equipment),
        message=message.format(device=named(study, item), rated=have, source=source, volts=can_be),
        condition=in_condition(study, conflict.positions, conflict.automatic) if conflict else "",
        positions=conflict.witness() if conflict else (),
        figures=(Figure("rated voltage", rated, "V"), Figure("voltage", seen.volts, "V")),
        arithmetic=f"{show(rated, 'V', digits=4)} < {show(seen.volts, 'V', digits=4)}",
        fixes=(_("fit a device rated {volts} or more").format(volts=can_be),),
        undecided=conflict is None,
        detail=system,
        beyond_clause=study.snapshot.equipment[item].ROLE not in covers,
    )


def _no_rating(study: Study, item: str, record: Equipment, system: System) -> NotJudged:
    other = record.rated_ac_v if system == "dc" else record.rated_dc_v
    field = f"rated_{system}_v"
    if record.rated_bare_v is not None:
        why = _("its plate says {volts} and not whether AC or DC").format(volts=show(record.rated_bare_v, "V"))
    elif other is not None:
        have = "AC" if system == "dc" else "DC"
        why = _("its {have} rating of {volts} says nothing about {kind}").format(
            have=have, volts=show(other, "V"), kind=system.upper()
        )
    else:
        why = _("its {kind} voltage rating is not recorded").format(kind=system.upper())
    return NotJudged(
        rule=SLUG,
        would_be=WORD,
        designations=(study.name(item),),
        ids=(item,),
        missing=(f"{study.name(item)}.{field}",),
        why=why,
        detail=system,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A device of the next usual rated voltage."""
    from engine.fixing.pieces import fitted
    from engine.fixing.trial import first_sound

    item, needed = finding.ids[0], finding.figures[1].value
    if needed is None:
        return
    kind = finding.detail
    text = _("fit {device} rated {volts} {kind}")
    made = [
        fitted(
            text.format(device=study.name(item), volts=show(volts, "V", digits=4), kind=kind.upper()),
            study,
            item,
            **{f"rated_{kind}_v": volts},
        )
        for volts in USUAL_V[kind]
        if volts >= needed
    ]
    yield from first_sound(study, finding, made)


# -- examples -------------------------------------------------------------------------------------------------------
def _fused(unit_v: float, series: int, rated_dc_v: float, charge_v: float | None = None) -> Installation:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=unit_v, series=series, charge_v=charge_v)
    b.add("fuse", "F1", rating_a=100, rated_dc_v=rated_dc_v)
    b.add("load", "E1", dc_v=unit_v * series)
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="2 AWG", length_m=2)
    return b.installation


def _selected(*, off: bool) -> Installation:
    """A 16 V switch on the 12 V side of a load's changeover: with one changeover 24 V never reaches it."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, charge_v=14.4)
    b.add("battery_bank", "G2", unit_v=24, charge_v=28.8)
    b.add("battery_switch", "Q1", rated_dc_v=16)
    b.add("battery_switch", "Q2", rated_dc_v=32)
    b.run("W1", "G1.pos", "Q1.in", size="2 AWG", length_m=1)
    b.run("W2", "G2.pos", "Q2.in", size="2 AWG", length_m=1)
    if off:
        b.add("changeover", "S1", poles=("+",), rated_dc_v=48)
        b.add("load", "E1")
        b.run("W3", "Q1.out", "S1.one", size="2 AWG", length_m=1)
        b.run("W4", "Q2.out", "S1.two", size="2 AWG", length_m=1)
        b.run("W5", "S1.common", "E1.in", size="2 AWG", length_m=1)
    else:
        b.run("W3", "Q1.out", "Q2.out", size="2 AWG", length_m=1)
    return b.installation


def _ac_breaker(rated_ac_v: float, poles: tuple[str, ...], phases: str) -> Installation:
    b = Builder()
    b.add("generator", "G1", ac_v=120, phases=phases)
    b.add("circuit_breaker", "Q1", rating_a=30, poles=poles, rated_ac_v=rated_ac_v)
    b.add("load", "E1", ac_v=240 if " " in phases else 120, phases=phases)
    b.run("W1", "G1.out", "Q1.in", function="ac", phases=phases, size="10 AWG", length_m=1)
    b.run("W2", "Q1.out", "E1.in", function="ac", phases=phases, size="10 AWG", length_m=1)
    return b.installation


GOOD = (
    Example("32 V fuse on a 24 V bank charged at 28.8 V", lambda: _fused(12, 2, 32, 28.8)),
    Example("28.8 V fuse on a bank charged at 28.8 V: just enough", lambda: _fused(12, 2, 28.8, 28.8)),
    Example(
        "24 V fuse on a bank of 25.6 V: the nominal voltage is one class",
        lambda: _fused(3.2, 8, 24),
        book="us-33cfr183",
    ),
    Example("charging voltage not recorded, but 58 V is above anything a 12 V bank sees", lambda: _fused(12, 1, 58)),
    Example("a 16 V switch that no switch position joins to the 24 V bank", lambda: _selected(off=True)),
    Example("a two-pole breaker of 240 V between 120 V lines", lambda: _ac_breaker(240, ("L1", "L2"), "L1 L2")),
)
BAD = (
    Example("48 V circuit, fuse rated 32 V", lambda: _fused(12, 4, 32), (("F1", "G1"),), book="us-33cfr183"),
    Example("28 V fuse on a bank charged at 28.8 V: just below", lambda: _fused(12, 2, 28, 28.8), (("F1", "G1"),)),
    Example(
        "a 16 V switch that a tie joins to the 24 V bank",
        lambda: _selected(off=False),
        (("Q1", "G2"),),
        condition="Q1 closed, Q2 closed",
    ),
    Example(
        "a two-pole breaker of 120 V between 120 V lines sees 240 V",
        lambda: _ac_breaker(120, ("L1", "L2"), "L1 L2"),
        (("Q1", "G1"),),
    ),
)
