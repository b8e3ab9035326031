"""An AC neutral is bonded to earth in two places at once, or nowhere.

What it checks
--------------
* Two bonds, each at a source or a transformer, that some permitted switch state joins by neutral conductors: a
  *warning*. The shore's bond is ashore; an inverter's holds while it inverts. Sources that can meet with their live
  conductors too are `sources-meet`.
* A source whose neutral meets no bond in any permitted switch state in which it is a source, where the book requires
  one: a *danger*. That it loses its bond in some of those states only is not looked at here.

Why it matters
--------------
With two bonds the earth conductor carries neutral current: it warms, corrodes and trips residual-current devices. With
none, a fault to a case has no way back, and no breaker opens.

What to do
----------
One bond, at the source in use; switch the neutral with the lives.

Limits read
-----------
`required` (sources whose neutral must be bonded, by line).

References
----------
46 CFR 183.376(a), 2015 edition: exactly one connection to ground. ISO 13297:2020 6.8, secondary copy: at the source
aboard; shore's neutral through its cable, never aboard; a transformer's at its secondary.
E-11 11.5.5.2, secondary copy.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import combinations
from typing import NamedTuple

from engine.builder import Builder
from engine.circuit.meeting import Conflict, Point, joins
from engine.circuit.ways import Step
from engine.findings import Finding, Remark, Word
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, named
from engine.study import Study
from engine.words import N_, _

SLUG = "wrong-neutral-bond"
WORD: Word = "danger"
TITLE = N_("neutral bonded to earth twice, or nowhere")
LOOKS_AT = N_("AC sources and the bonds of their neutrals")


class _Bond(NamedTuple):
    item: str
    node: int
    positions: frozenset[str] | None


def check(study: Study) -> Iterator[Remark]:
    """One remark a pair of bonds that can meet; one a source without any."""
    bonds = _bonds(study)
    points = [Point(bond.node, bond.item, bond.positions) for bond in bonds]
    meeting = {frozenset((c.one.equipment, c.other.equipment)) for c in study.meeting.conflicts}
    pairs = [
        (i, j)
        for i, j in combinations(range(len(bonds)), 2)
        if bonds[i].item != bonds[j].item and frozenset((bonds[i].item, bonds[j].item)) not in meeting
    ]
    found, undecided = joins(study.snapshot, study.circuit, points, pairs, ("N",))
    for (i, j), conflict in found.items():
        yield _two(study, bonds[i], bonds[j], conflict)
    for i, j in undecided:
        ids = (bonds[i].item, bonds[j].item)
        yield Finding(
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
    met = {bonds[n].item for pair in found for n in pair}
    yield from _none(study, bonds, met)


def _bonds(study: Study) -> list[_Bond]:
    """Links between a neutral and the protective earth, in order."""
    nodes, made = study.circuit.nodes, []
    for link in study.circuit.links:
        told = study.snapshot.equipment[link.equipment].ashore()
        if told is not None and study.circuit.joined[link.equipment] - {told.terminal}:
            continue  # the supply is drawn: the bond recorded at the inlet is the supply's own
        if {nodes[link.a].conductor, nodes[link.b].conductor} == {"N", "PE"} and not link.supposed:
            made.append(_Bond(link.equipment, link.a if nodes[link.a].conductor == "N" else link.b, link.positions))
    return made


def _two(study: Study, one: _Bond, other: _Bond, conflict: Conflict) -> Finding:
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


def _none(study: Study, bonds: list[_Bond], met: set[str]) -> Iterator[Remark]:
    """Sources whose neutral meets no bond, whatever is closed."""
    ways, required = study.ways, study.book.option(SLUG, "required", ())
    done: set[tuple[str, str]] = set()
    for feed in study.circuit.feeds:
        source, item = feed.source, feed.equipment
        if source.system != "ac" or source.line not in required or source.in_step or (item, source.line) in done:
            continue
        done.add((item, source.line))
        neutral = study.circuit.node(item, source.terminal, "N")
        if neutral is None:
            continue
        name = study.name(item)
        if _meets(study, neutral, item, source.positions, bonds):
            if study.proving and item not in met:
                text = _("The neutral of {source} is bonded to earth.").format(source=named(study, item))
                yield proved(study, SLUG, item, message=text)
            continue
        reached = ways.reach([neutral], partial(_can, study, item, source.positions))
        unsaid = tuple(
            f"{study.name(other)}.{field}"
            for other in dict.fromkeys(study.circuit.nodes[node].equipment for node in reached)
            if (field := study.snapshot.equipment[other].unsaid_bond())
        )
        if unsaid:
            yield left_open(
                study, SLUG, WORD, item, missing=unsaid, why=_("whether its neutral is bonded to earth is not recorded")
            )
        else:
            yield Finding(
                rule=SLUG,
                word=WORD,
                designations=(name,),
                ids=(item,),
                message=_("The neutral of {source} is bonded to earth nowhere.").format(source=named(study, item)),
                fixes=(_("bond its neutral to earth at {source}").format(source=name),),
                detail="none",
            )


def _can(study: Study, item: str, positions: frozenset[str] | None, step: Step) -> bool:
    """Along neutrals, not by a contact of the source's own that is open while it is a source."""
    ways = study.ways
    if not ways.conductor(step.start) == ways.conductor(step.to) == "N":
        return False
    if step.link < 0 or positions is None:
        return True
    link = study.circuit.links[step.link]
    return link.equipment != item or link.positions is None or bool(link.positions & positions)


def _meets(study: Study, neutral: int, item: str, positions: frozenset[str] | None, bonds: list[_Bond]) -> bool:
    """Whether some permitted state joins the neutral of a source, while it is one, to a bond."""
    for bond in bonds:
        is_own = bond.item == item and bond.node == neutral
        if is_own and (positions is None or bond.positions is None or positions & bond.positions):
            return True
    others = [bond for bond in bonds if bond.item != item or bond.node != neutral]
    points = [Point(neutral, item, positions), *(Point(bond.node, bond.item, bond.positions) for bond in others)]
    found, undecided = joins(study.snapshot, study.circuit, points, [(0, j) for j in range(1, len(points))], ("N",))
    return bool(found or undecided)


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


def _changeover(poles: tuple[str, ...], *, bonded: bool = True) -> Installation:
    b = Builder()
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


GOOD = (
    Example("an inverter/charger that bonds its neutral while it inverts", lambda: _inverter(bonds=True)),
    Example("a transformer bonds its secondary, the shore its own neutral", lambda: _transformer(bonded=True)),
    Example("a changeover that switches the neutral", lambda: _changeover(("L1", "N"))),
)
BAD = (
    Example("an inverter/charger that has no bond while it inverts", lambda: _inverter(bonds=False), (("T1",),)),
    Example("a transformer's secondary bonded nowhere", lambda: _transformer(bonded=False), (("T1",),)),
    Example("a changeover that leaves the neutral", lambda: _changeover(("L1",)), (("G9", "G2"),)),
    Example("a generator bonded nowhere", lambda: _changeover(("L1", "N"), bonded=False), (("G2",),)),
)
