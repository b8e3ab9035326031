"""An AC neutral is bonded to earth in two places at once, or nowhere.

What it checks
--------------
* Two bonds that some permitted switch state joins by neutral conductors: a *warning*. The shore's bond is ashore; an
  inverter's holds while it inverts. Two sources whose neutrals a transfer leaves joined are `neutral-not-switched`;
  sources whose live conductors meet whenever their neutrals do are `sources-meet`.
* A source whose neutral meets no bond in some permitted state in which it feeds a consumer, where the book requires
  one: a *danger*. Here opening is the bad event: every breaker, switch and contactor may open, and what a controller
  moves may stand anywhere. The bond ashore holds the shore's neutral alone, since the cord can be pulled out.
* A supply that the book lets be unearthed passes where every device on it opens all poles, the neutral too.

Why it matters
--------------
With two bonds the earth conductor carries neutral current: it warms, corrodes and trips residual-current devices. With
none, a fault to a case has no way back, and no breaker opens.

What to do
----------
One bond, at the source in use; switch the neutral with the lives, and let nothing part a source from its bond.

Limits read
-----------
`required` (sources whose neutral must be bonded, by line), `unearthed` (those that may be unearthed where every device
opens all poles), `unearthed_isolated` (those that may where the shore comes through a transformer).

References
----------
46 CFR 183.376(a), 2015 edition: exactly one connection to ground; 183.380(a): a device in each ungrounded conductor.
ISO 13297:2020 6.8, secondary copy: at the source aboard; shore's neutral through its cable, never aboard; a
transformer's at its secondary, or unearthed where protection and switching are double-pole. E-11 11.5.5.2, secondary
copy.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import combinations

from engine.builder import Builder
from engine.circuit.meeting import AC_LIVE, Conflict, Point, joins
from engine.circuit.neutrals import Bond, Neutral, bonds, neutrals
from engine.circuit.poles import openings
from engine.circuit.ways import Step
from engine.findings import Finding, Remark, Word
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.transfer._lost_bonds import Losing, Lost
from engine.rules.transfer._neutrals import joined_apart, told_of_neutrals
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.words import N_, _, ngettext

SLUG = "wrong-neutral-bond"
WORD: Word = "danger"
TITLE = N_("neutral bonded to earth twice, or nowhere")
LOOKS_AT = N_("AC sources and the bonds of their neutrals")
SEARCHES = True


def check(study: Study) -> Iterator[Remark]:
    """One remark a pair of bonds that can meet; one a source that can be without any."""
    every, sources = bonds(study), neutrals(study)
    points = [Point(bond.node, bond.item, bond.positions) for bond in every]
    told = told_of_neutrals(study)
    pairs = [
        (i, j)
        for i, j in combinations(range(len(every)), 2)
        if every[i].item != every[j].item and frozenset((every[i].item, every[j].item)) not in told
    ]
    found, undecided = joins(study.snapshot, study.circuit, points, pairs, ("N",), budget=study.budget)
    meeting = {frozenset((c.one.equipment, c.other.equipment)) for c in study.meeting.conflicts}
    met: set[str] = set()
    said: set[frozenset[str]] = set()
    for (i, j), conflict in found.items():
        pair = frozenset((every[i].item, every[j].item))
        met |= pair
        if pair in said:
            continue
        if pair in meeting:
            one, other = ([s for s in sources if s.item == every[n].item] for n in (i, j))
            apart = joined_apart(study, points[i], points[j], one, other)
            if apart is None:
                continue
            conflict = apart
        said.add(pair)
        yield _two(study, every[i], every[j], conflict)
    for i, j in undecided if not study.meeting.locked else ():
        yield _not_decided_two(study, (every[i].item, every[j].item))
    yield from _without(study, every, sources, met)


def _not_decided_two(study: Study, ids: tuple[str, str]) -> Finding:
    return Finding(
        rule=SLUG,
        word="warning",
        designations=tuple(study.name(item) for item in ids),
        ids=ids,
        message=_("Whether the neutral bonds of {one} and {other} can be joined is not decided.").format(
            one=named(study, ids[0]), other=named(study, ids[1])
        ),
        fixes=(_("interlock them directly, or leave one of the bonds out"),),
        undecided=True,
        detail="two",
    )


def _two(study: Study, one: Bond, other: Bond, conflict: Conflict) -> Finding:
    positions = conflict.positions + tuple((item, (position,)) for item, position in conflict.protection)
    ids = (one.item, other.item)
    return Finding(
        rule=SLUG,
        word="warning",
        designations=tuple(study.name(item) for item in ids),
        ids=ids,
        message=_("One neutral is bonded to earth at {one} and at {other} at the same time.").format(
            one=named(study, one.item), other=named(study, other.item)
        ),
        condition=in_condition(study, positions, conflict.automatic),
        positions=conflict.witness(),
        fixes=(
            _("leave out the bond at one of them"),
            _("or switch the neutral with the live conductors, so that they never meet"),
        ),
        detail="two",
    )


# -- no bond --------------------------------------------------------------------------------------------------------
def _without(study: Study, every: list[Bond], sources: list[Neutral], met: set[str]) -> Iterator[Remark]:
    """Sources that can feed something while their neutral meets no bond."""
    required, unearthed = study.book.option(SLUG, "required", ()), _unearthed(study, sources)
    losing = Losing(study, every)
    for source in sources:
        if source.line not in required and source.line not in unearthed:
            continue
        lost = losing.lost(source)
        if lost is None:
            if study.proving and source.item not in met and not losing.nothing_allowed:
                text = _("The neutral of {source} is bonded to earth whenever it feeds something.")
                yield proved(study, SLUG, source.item, message=text.format(source=named(study, source.item)))
            continue
        single: tuple[str, ...] = ()
        if source.line in unearthed:
            single = _single_pole(study, source)
            if not single:
                if study.proving and source.item not in met:
                    text = _("{source} may be unearthed: every device on it opens all poles.")
                    yield proved(study, SLUG, source.item, message=text.format(source=named(study, source.item)))
                continue
        unsaid = _unsaid(study, source)
        if unsaid:
            yield left_open(
                study,
                SLUG,
                WORD,
                source.item,
                missing=unsaid,
                why=_("whether its neutral is bonded to earth is not recorded"),
            )
        else:
            yield _unbonded(study, source, lost, single)


def _unearthed(study: Study, sources: list[Neutral]) -> set[str]:
    """Lines that the book lets be unearthed."""
    lines = set(study.book.option(SLUG, "unearthed", ()))
    if any(source.line == "secondary" for source in sources):
        lines |= set(study.book.option(SLUG, "unearthed_isolated", ()))
    return lines


def _single_pole(study: Study, source: Neutral) -> tuple[str, ...]:
    """Devices on a supply that open a live conductor and can leave its neutral closed."""
    circuit, ways = study.circuit, study.ways
    reached = ways.reach(source.live, partial(_can, study, source, AC_LIVE))
    found: dict[str, None] = {}
    for o in openings(circuit):
        here = [c for c in o.opens if c in AC_LIVE and circuit.node(o.equipment, o.a, c) in reached]
        if o.equipment != source.item and any("N" in o.left_by(c) for c in here):
            found[o.equipment] = None
    return tuple(found)


def _unsaid(study: Study, source: Neutral) -> tuple[str, ...]:
    """Fields on the neutral of a source that would tell of a bond."""
    reached = study.ways.reach([source.node], partial(_can, study, source, ("N",)))
    return tuple(
        f"{study.name(other)}.{field}"
        for other in dict.fromkeys(study.circuit.nodes[node].equipment for node in reached)
        if (field := study.snapshot.equipment[other].unsaid_bond())
        and (source.line == "shore" or study.snapshot.equipment[other].ashore() is None)
    )


def _can(study: Study, source: Neutral, conductors: tuple[str, ...], step: Step) -> bool:
    """Along such conductors, not by a contact of the source's own that is open while it is a source."""
    ways = study.ways
    if ways.conductor(step.start) not in conductors or ways.conductor(step.to) not in conductors:
        return False
    if step.link < 0 or source.positions is None:
        return True
    link = study.circuit.links[step.link]
    return link.equipment != source.item or link.positions is None or bool(link.positions & source.positions)


def _unbonded(study: Study, source: Neutral, lost: Lost, single: tuple[str, ...]) -> Finding:
    name, item = study.name(source.item), source.item
    if lost.undecided:
        message = _("Whether the neutral of {source} can lose its bond to earth is not decided.")
    elif lost.always:
        message = _("The neutral of {source} is bonded to earth nowhere.")
    else:
        message = _("The neutral of {source} loses its bond to earth while it feeds {load}.")
    text = message.format(source=named(study, item), load=named(study, lost.load) if lost.load else "")
    fixes = [_("bond its neutral to earth at {source}").format(source=name)]
    if lost.positions and not lost.undecided:
        fixes.append(_("or let nothing part it from its bond while it feeds a consumer"))
    if single:
        names = listed([study.name(device) for device in single])
        text += " " + ngettext(
            "It may be unearthed only where every device opens all poles, and {devices} can leave the neutral closed.",
            "It may be unearthed only where every device opens all poles, and {devices} can leave the neutral closed.",
            len(single),
        ).format(devices=names)
        fixes.append(_("or fit devices that open the neutral too in place of {devices}").format(devices=names))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(name,),
        ids=(item, *single),
        message=text,
        condition="" if lost.always or lost.undecided else in_condition(study, lost.positions, lost.automatic),
        positions=lost.witness,
        fixes=tuple(fixes),
        undecided=lost.undecided,
        detail="none" if lost.always else "lost",
    )


# -- examples -------------------------------------------------------------------------------------------------------
def _transformer(*, bonded: bool | None) -> Installation:
    """Shore earthed ashore; behind a transformer the boat's own neutral."""
    b = Builder()
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
    b.add("isolation_transformer", "T1", primary_v=230, secondary_v=230, bonds_neutral=bonded)
    b.add("load", "E1", ac_v=230, power_w=500)
    b.run("W1", "G9.out", "T1.primary", function="ac")
    b.run("W2", "T1.secondary", "E1.in", function="ac")
    return b.installation


def _changeover(poles: tuple[str, ...], *, bonded: bool = True, book: str = "trade-na") -> Installation:
    b = Builder(book)
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
    b.add("generator", "G2", ac_v=230, rating_a=20, bonds_neutral=bonded)
    b.add("changeover", "S1", poles=poles, has_off=True)
    b.add("load", "E1", ac_v=230, power_w=500)
    b.run("W1", "G9.out", "S1.one", function="ac")
    b.run("W2", "G2.out", "S1.two", function="ac")
    b.run("W3", "S1.common", "E1.in", function="ac")
    return b.installation


def _inverter(*, bonds: bool) -> Installation:
    """Shore passed by an inverter/charger whose own neutral is bonded, or not, while it inverts."""
    b = Builder()
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
    b.add("inverter_charger", "T1", dc_v=12, ac_v=230, bonds_neutral=bonds)
    b.add("load", "E1", ac_v=230, power_w=500)
    b.run("W1", "G9.out", "T1.ac_in", function="ac")
    b.run("W2", "T1.ac_out", "E1.in", function="ac")
    return b.installation


def _at_the_panel(poles: tuple[str, ...]) -> Installation:
    """A generator whose neutral is bonded on the panel's bus, behind a breaker and a contactor."""
    b = Builder()
    b.add("generator", "G2", ac_v=120, rating_a=20, bonds_neutral=False)
    b.add("circuit_breaker", "F1", rating_a=20, poles=("L1", "N"))
    b.add("contactor", "K1", poles=poles)
    b.add("bus_bar", "X2", bonds_neutral=True)
    b.add("load", "E1", ac_v=120, power_w=500)
    b.add("load", "E2", ac_v=120, power_w=500)
    b.run("W1", "G2.out", "F1.in", function="ac")
    b.run("W2", "F1.out", "K1.in", function="ac")
    b.run("W3", "K1.out", "X2.bar", function="ac")
    b.run("W4", "X2.bar", "E1.in", function="ac")
    b.run("W5", "F1.out", "E2.in", function="ac")
    return b.installation


def _secondary(*poles: str) -> Installation:
    """A transformer's secondary that is bonded nowhere, as the metric book permits."""
    b = Builder("metric")
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
    b.add("isolation_transformer", "T1", primary_v=230, secondary_v=230, bonds_neutral=False)
    b.add("circuit_breaker", "F1", rating_a=16, poles=poles)
    b.add("load", "E1", ac_v=230, power_w=500)
    b.run("W1", "G9.out", "T1.primary", function="ac")
    b.run("W2", "T1.secondary", "F1.in", function="ac")
    b.run("W3", "F1.out", "E1.in", function="ac")
    return b.installation


def _bonded_aboard() -> Installation:
    """Shore power whose neutral is tied to earth on the boat's panel as well."""
    b = Builder("metric")
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
    b.add("bus_bar", "X2", bonds_neutral=True)
    b.add("load", "E1", ac_v=230, power_w=500)
    b.run("W1", "G9.out", "X2.bar", function="ac")
    b.run("W2", "X2.bar", "E1.in", function="ac")
    return b.installation


GOOD = (
    Example("an inverter/charger that bonds its neutral while it inverts", lambda: _inverter(bonds=True)),
    Example("a transformer bonds its secondary, the shore its own neutral", lambda: _transformer(bonded=True)),
    Example("a changeover that switches the neutral", lambda: _changeover(("L1", "N"))),
    Example("a bond that a contactor parts only where it parts the load too", lambda: _parted_with_the_load()),
    Example(
        "a secondary that is bonded nowhere, its breaker opening both poles",
        lambda: _secondary("L1", "N"),
        book="metric",
    ),
)
BAD = (
    Example("an inverter/charger that has no bond while it inverts", lambda: _inverter(bonds=False), (("T1",),)),
    Example("a transformer's secondary bonded nowhere", lambda: _transformer(bonded=False), (("T1",),)),
    Example("a generator bonded nowhere", lambda: _changeover(("L1", "N"), bonded=False), (("G2",),)),
    Example(
        "a changeover that leaves the neutral, by a text that lets neutrals be joined",
        lambda: _changeover(("L1",), book="us-46cfr"),
        (("G9", "G2"),),
        book="us-46cfr",
    ),
    Example("shore power bonded aboard too", _bonded_aboard, (("G9", "X2"),), book="metric"),
    Example(
        "a contactor between a generator and its bond, a load before it",
        lambda: _at_the_panel(("L1", "N")),
        (("G2",),),
        condition="F1 closed, K1 open by itself",
    ),
    Example(
        "a secondary that is bonded nowhere, its breaker opening one pole",
        lambda: _secondary("L1"),
        (("T1",),),
        book="metric",
    ),
)


def _parted_with_the_load() -> Installation:
    b = Builder()
    b.add("generator", "G2", ac_v=120, rating_a=20, bonds_neutral=False)
    b.add("contactor", "K1", poles=("L1", "N"))
    b.add("bus_bar", "X2", bonds_neutral=True)
    b.add("load", "E1", ac_v=120, power_w=500)
    b.run("W1", "G2.out", "K1.in", function="ac")
    b.run("W2", "K1.out", "X2.bar", function="ac")
    b.run("W3", "X2.bar", "E1.in", function="ac")
    return b.installation
