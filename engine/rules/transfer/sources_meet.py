"""Two AC sources can be joined.

What it checks
--------------
Every AC source on board or ashore (shore supply, generator, inverter bridge, transformer secondary) is a class of its
own. The rule looks for any set of switch positions the interlocks allow in which a live conductor of one is joined to
a live conductor of another, or L1 of a source to L2 of the same source. It names the smallest such set. A protective
device that is not operated as a switch and stands in no interlock is taken as closed. What a controller moves (a
transfer relay, a contactor) may stand in any of its positions at any time, since each must be safe.

Two sources may meet only where both are recorded as built to run in parallel with each other. An inverter/charger that
passes its input to its output is no meeting; its bridge counts only while it inverts.

Why it matters
--------------
Two sources out of step drive a current limited by little but the cable between them. An inverter dies at once, a
generator may be wrecked, and a shore plug pulled out has live pins.

What to do
----------
Use one changeover switch with an off position, or breakers with a mechanical slide, an electrical interlock or a
captive key, and draw the interlock. Where the makers of both sources say that they may run in parallel, record it in
both.

Limits read
-----------
None.

References
----------
46 CFR 183.390(d), 2015 edition: shore power interlocked with sources on board. 46 CFR 183.322: generators interlocked
unless made to run in parallel. E-11 11.5.5.6, secondary copy: no circuit fed by two sources at once.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.builder import Builder
from engine.circuit.meeting import Conflict, Party
from engine.findings import Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.words import N_, _

SLUG = "sources-meet"
WORD: Word = "danger"
TITLE = N_("two AC sources can be joined")
LOOKS_AT = N_("sources of alternating current, where there are several")


def check(study: Study) -> Iterator[Remark]:
    """One finding a pair of sources."""
    for conflict in study.meeting.conflicts:
        yield _joined(study, conflict)
    for one, other, fields in study.meeting.supposed:
        missing = tuple(f"{study.name(item)}.{field}" for item, field in fields)
        yield NotJudged(
            rule=SLUG,
            would_be=WORD,
            designations=_designations(study, one, other),
            ids=_ids(one, other),
            missing=missing,
            why=_("whether {one} and {other} can be joined depends on {fields}, not recorded").format(
                one=_party(study, one), other=_party(study, other), fields=", ".join(missing)
            ),
            detail=_detail(one, other),
        )
    for one, other in study.meeting.undecided:
        if study.meeting.locked:
            why = _("the interlocks allow no switch position at all, so nothing is proved")
            fix = _("correct the interlocks: some position of every switch must be allowed")
        else:
            why = _("the search was stopped before it could tell")
            fix = _("interlock the sources directly, or split the network so that fewer switches lie between them")
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=_designations(study, one, other),
            ids=_ids(one, other),
            message=_("Whether {one} and {other} can be joined is not decided: {why}.").format(
                one=_party(study, one), other=_party(study, other), why=why
            ),
            fixes=(fix,),
            undecided=True,
            detail=_detail(one, other),
        )
    if study.proving:
        yield from _apart(study)


def _apart(study: Study) -> Iterator[Remark]:
    """AC sources of which nothing is said, where there are several."""
    meeting = study.meeting
    pairs = [(conflict.one, conflict.other) for conflict in meeting.conflicts]
    pairs += [*meeting.undecided, *((one, other) for one, other, _fields in meeting.supposed)]
    told = {party.equipment for pair in pairs for party in pair}
    every = list(dict.fromkeys(party.equipment for party in meeting.sources))
    for item in every if len(every) > 1 else ():
        if item not in told:
            message = _("No permitted switch position joins {source} to another source that it may not run with.")
            yield proved(study, SLUG, item, message=message.format(source=named(study, item)))


def _joined(study: Study, conflict: Conflict) -> Finding:
    one, other = conflict.one, conflict.other
    here, there = conflict.conductors
    positions = conflict.positions + tuple((item, (position,)) for item, position in conflict.protection)
    if one == other:
        message = _("{here} and {there} of {one} can be joined: a short circuit.").format(
            here=here, there=there, one=_party(study, one)
        )
    elif here == there:
        message = _("{one} and {other} can be joined on {here}.").format(
            one=_party(study, one), other=_party(study, other), here=here
        )
    else:
        message = _("{here} of {one} and {there} of {other} can be joined.").format(
            here=here, one=_party(study, one), there=there, other=_party(study, other)
        )
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=_designations(study, one, other),
        ids=_ids(one, other),
        message=message,
        condition=in_condition(study, positions, conflict.automatic),
        positions=conflict.witness(),
        fixes=tuple(_fixes(study, conflict)),
        detail=_detail(one, other),
    )


def _fixes(study: Study, conflict: Conflict) -> Iterator[str]:
    moved = [item for item, _every in conflict.positions if item not in conflict.automatic]
    if len(moved) < 2:
        # a main that merely protects is no candidate where switches are
        moved += [item for item, _position in conflict.protection]
    if len(moved) > 1:
        names = listed([study.name(item) for item in moved])
        yield _("interlock {names} so that not all of them can stand so at once").format(names=names)
        yield _("put one changeover switch with an off position in their place")
    elif conflict.one == conflict.other:
        here, there = conflict.conductors
        yield _("part {here} from {there}: join each conductor to its like only").format(here=here, there=there)
    elif not moved and not conflict.automatic:
        yield _("put a changeover switch with an off position between the two")
    else:
        yield _("move the connection so that the switch separates the two in every position")
    if conflict.one.equipment != conflict.other.equipment:
        yield _("where both makers say that the two may run in parallel, record it in both")


def _party(study: Study, party: Party) -> str:
    lines = {p.line for p in study.meeting.sources if p.equipment == party.equipment}
    name = named(study, party.equipment)
    return f"{name} {party.line}" if len(lines) > 1 else name


def _ids(one: Party, other: Party) -> tuple[str, ...]:
    return tuple(dict.fromkeys((one.equipment, other.equipment)))


def _designations(study: Study, one: Party, other: Party) -> tuple[str, ...]:
    return tuple(study.name(item) for item in _ids(one, other))


def _detail(one: Party, other: Party) -> str:
    return f"{one.line}, {other.line}" if one.equipment == other.equipment else ""


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """An interlock over the switches that join them."""
    from engine.fixing.pieces import interlocked
    from engine.fixing.trial import first_sound

    for conflict in study.meeting.conflicts:
        if (_ids(conflict.one, conflict.other), _detail(conflict.one, conflict.other)) != (finding.ids, finding.detail):
            continue
        moved = [(item, every) for item, every in conflict.positions if item not in conflict.automatic]
        if len(moved) < 2:
            moved += [(item, (position,)) for item, position in conflict.protection]
        yield from first_sound(study, finding, interlocked(study, moved))


# -- examples -------------------------------------------------------------------------------------------------------
def _ac(b: Builder, name: str, start: str, end: str) -> None:
    b.run(name, start, end, function="ac", size="10 AWG", length_m=1)


def _two_breakers() -> Builder:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("generator", "G1", ac_v=120)
    for name in ("Q1", "Q2"):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"))
    b.add("bus_bar", "W1")
    b.add("load", "E1", ac_v=120)
    _ac(b, "W11", "X1.out", "Q1.in")
    _ac(b, "W12", "G1.out", "Q2.in")
    _ac(b, "W13", "Q1.out", "W1.bar")
    _ac(b, "W14", "Q2.out", "W1.bar")
    _ac(b, "W15", "W1.bar", "E1.in")
    return b


def _no_interlock() -> Installation:
    return _two_breakers().installation


def _slide() -> Installation:
    b = _two_breakers()
    b.interlock("Q1", "Q2", name="slide")
    return b.installation


def _interlock_allows_two() -> Installation:
    b = _two_breakers()
    b.interlock("Q1", "Q2", at_most=2, kind="captive key")
    return b.installation


def _changeover() -> Installation:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("generator", "G1", ac_v=120)
    b.add("changeover", "S1", poles=("L1", "N"))
    b.add("load", "E1", ac_v=120)
    _ac(b, "W11", "X1.out", "S1.one")
    _ac(b, "W12", "G1.out", "S1.two")
    _ac(b, "W13", "S1.common", "E1.in")
    return b.installation


def _two_generators(*, both: bool) -> Installation:
    b = Builder()
    first = b.add("generator", "G1", ac_v=230)
    second = b.add("generator", "G2", ac_v=230, parallel_with=(first,))
    if both:
        b.set("G1", parallel_with=(second,))
    for name in ("Q1", "Q2"):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"))
    b.add("bus_bar", "W1")
    _ac(b, "W11", "G1.out", "Q1.in")
    _ac(b, "W12", "G2.out", "Q2.in")
    _ac(b, "W13", "Q1.out", "W1.bar")
    _ac(b, "W14", "Q2.out", "W1.bar")
    return b.installation


def _bypass(*, interlocked: bool) -> Installation:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("inverter_charger", "T1", dc_v=24, ac_v=120)
    for name in ("Q1", "Q2"):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"), used_as_switch=True)
    b.add("bus_bar", "W1")
    b.add("bus_bar", "W2")
    _ac(b, "W11", "X1.out", "W1.bar")
    _ac(b, "W12", "W1.bar", "T1.ac_in")
    _ac(b, "W13", "T1.ac_out", "Q1.in")
    _ac(b, "W14", "Q1.out", "W2.bar")
    _ac(b, "W15", "W1.bar", "Q2.in")
    _ac(b, "W16", "Q2.out", "W2.bar")
    if interlocked:
        b.interlock("Q1", "Q2", name="slide")
    b.condition("Alongside", Q1="closed", Q2="closed")
    return b.installation


GOOD = (
    Example("two breakers with a slide between them", _slide),
    Example("one changeover switch", _changeover),
    Example("two generators, each recorded as built to run with the other", lambda: _two_generators(both=True)),
    Example(
        "an inverter/charger that passes shore power, its bypass interlocked: passing is no meeting",
        lambda: _bypass(interlocked=True),
    ),
)
BAD = (
    Example("two breakers without interlock", _no_interlock, (("X1", "G1"),), condition="Q1 closed, Q2 closed"),
    Example("an interlock that still allows both", _interlock_allows_two, (("X1", "G1"),), condition="Q1 closed"),
    Example(
        "two generators, only one recorded as built to run with the other",
        lambda: _two_generators(both=False),
        (("G1", "G2"),),
    ),
    Example(
        "a bypass closed while the unit inverts",
        lambda: _bypass(interlocked=False),
        (("X1", "T1"),),
        condition="Alongside: Q1 closed, Q2 closed, T1 in invert by itself",
    ),
)
