"""A transfer leaves the neutrals of two sources joined.

What it checks
--------------
Every two AC sources of the kinds that the book names. Where some switch position the interlocks allow joins their
neutrals, though their live conductors are apart in it, the transfer leaves the neutral. The rule names the smallest set
of positions and the devices that switch the live conductor and pass the neutral.

Sources aboard that share one bond need not be switched where the book says so; they must where each of the two has a
bond of its own. Sources recorded as built to run in parallel are left out. Where the live conductors meet whenever the
neutrals do, that is `sources-meet`. Two bonds on one neutral are told here where they are those of the two sources, and
by `wrong-neutral-bond` everywhere else.

Why it matters
--------------
The neutral of the source that is not in use is live against earth as soon as the other has a fault, at pins and in
boxes that everyone takes for dead. Current returns by the shore's earth, residual-current devices open for nothing, and
where both neutrals are bonded, the earth conductor carries load current.

What to do
----------
Switch the neutral with the live conductors: a changeover or breakers with one more pole, the interlock over all of
them.

Limits read
-----------
`switched` (sources whose neutral a transfer must switch, by line), `one_bond` (of them, those that may share a neutral
with one bond).

References
----------
E-11 11.5.5.6 with its exception and 11.5.5.2, secondary copy. ISO 13297:2020 6.8, secondary copy. 46 CFR 183.376(a),
2015 edition, asks for one connection to ground, however many sources: neutrals may be joined.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from engine.builder import Builder
from engine.circuit.meeting import Conflict, Point, joins, run_in_parallel
from engine.circuit.neutrals import Neutral, bonds, neutrals
from engine.circuit.poles import openings
from engine.equipment.base import LIVE
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.transfer._neutrals import joined_apart
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.words import N_, _, ngettext

SLUG = "neutral-not-switched"
WORD: Word = "danger"
TITLE = N_("a transfer leaves the neutral")
LOOKS_AT = N_("AC sources with a neutral, where there are several")
SEARCHES = True


def check(study: Study) -> Iterator[Remark]:
    """One remark a pair of sources."""
    switched = study.book.option(SLUG, "switched", ())
    sources = [one for one in neutrals(study) if one.line in switched]
    pairs = [(i, j) for i, j in combinations(range(len(sources)), 2) if _may_not(study, sources[i], sources[j])]
    points = [Point(one.node, one.item, one.positions) for one in sources]
    found, undecided = joins(study.snapshot, study.circuit, points, pairs, ("N",), budget=study.budget)
    meeting = {frozenset((c.one.equipment, c.other.equipment)) for c in study.meeting.conflicts}
    told: set[frozenset[str]] = set()
    for (i, j), conflict in found.items():
        one, other = sources[i], sources[j]
        pair = frozenset((one.item, other.item))
        if pair in told:
            continue
        if pair in meeting:
            apart = joined_apart(study, points[i], points[j], [one], [other])
            if apart is None:
                continue
            conflict = apart
        told.add(pair)
        unsaid = _unsaid(study, one, other)
        if unsaid:
            yield left_open(
                study,
                SLUG,
                WORD,
                one.item,
                other.item,
                missing=unsaid,
                why=_("their neutrals stay joined, and whether each of them has a bond of its own is not recorded"),
            )
        else:
            yield _finding(study, one, other, conflict)
    for i, j in undecided if not study.meeting.locked else ():
        yield _undecided(study, sources[i], sources[j])
    if study.proving:
        open_pairs = {frozenset((sources[i].item, sources[j].item)) for i, j in undecided}
        bad = {item for pair in (*told, *open_pairs) for item in pair}
        for item in dict.fromkeys(sources[n].item for pair in pairs for n in pair):
            if item not in bad:
                message = _("No permitted switch position joins the neutral of {source} to that of another source.")
                yield proved(study, SLUG, item, message=message.format(source=named(study, item)))


def _may_not(study: Study, one: Neutral, other: Neutral) -> bool:
    """Whether the book forbids that the neutrals of two sources stay joined, or does so by what is not recorded."""
    if one.item == other.item or run_in_parallel(study.snapshot, one.item, other.item):
        return False
    sharing = study.book.option(SLUG, "one_bond", ())
    if one.line not in sharing or other.line not in sharing:
        return True
    own = {bond.item for bond in bonds(study)}
    return all(item in own or study.snapshot.equipment[item].unsaid_bond() for item in (one.item, other.item))


def _unsaid(study: Study, one: Neutral, other: Neutral) -> tuple[str, ...]:
    sharing = study.book.option(SLUG, "one_bond", ())
    if one.line not in sharing or other.line not in sharing:
        return ()
    fields = ((item, study.snapshot.equipment[item].unsaid_bond()) for item in (one.item, other.item))
    return tuple(f"{study.name(item)}.{field}" for item, field in fields if field)


def _leaving(study: Study, way: tuple[str, ...]) -> tuple[str, ...]:
    """Devices on a way that open a live conductor in some position and pass the neutral."""
    leaving = {
        o.equipment
        for o in openings(study.circuit)
        if "N" in o.passes and any(o.opens.get(c) is not None for c in LIVE[1:])
    }
    return tuple(item for item in way if item in leaving)


def _finding(study: Study, one: Neutral, other: Neutral, conflict: Conflict) -> Finding:
    positions = conflict.positions + tuple((item, (position,)) for item, position in conflict.protection)
    leaving = _leaving(study, conflict.way)
    message = _("The neutral of {one} stays joined to that of {other} while their live conductors are apart.")
    text = message.format(one=named(study, one.item), other=named(study, other.item))
    if leaving:
        text += " " + ngettext(
            "{devices} switches the live conductor and leaves the neutral.",
            "{devices} switch the live conductor and leave the neutral.",
            len(leaving),
        ).format(devices=listed([study.name(item) for item in leaving]))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(one.item), study.name(other.item)),
        ids=(one.item, other.item, *leaving),
        message=text,
        condition=in_condition(study, positions, conflict.automatic),
        positions=conflict.witness(),
        fixes=(
            _("switch the neutral with the live conductors: {devices} with one more pole").format(
                devices=listed([study.name(item) for item in leaving])
            )
            if leaving
            else _("part the neutrals: each source's neutral to its own circuits only, or a transfer that switches it"),
        ),
    )


def _undecided(study: Study, one: Neutral, other: Neutral) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(one.item), study.name(other.item)),
        ids=(one.item, other.item),
        message=_("Whether the neutrals of {one} and {other} stay joined is not decided.").format(
            one=named(study, one.item), other=named(study, other.item)
        ),
        fixes=(_("switch the neutral with the live conductors"),),
        undecided=True,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Devices that open the neutral with the live conductors."""
    from engine.fixing.leading import all_poles

    yield from all_poles(study, finding, finding.ids[2:])


# -- examples -------------------------------------------------------------------------------------------------------
def _ac(b: Builder, name: str, start: str, end: str) -> None:
    b.run(name, start, end, function="ac", size="10 AWG", length_m=1)


def _changeover(poles: tuple[str, ...], *, bonded: bool = True, book: str = "trade-na") -> Installation:
    b = Builder(book)
    b.add("shore_supply", "G9", ac_v=120, breaker_a=30, neutral_earthed=True)
    b.add("generator", "G2", ac_v=120, rating_a=30, bonds_neutral=bonded)
    b.add("changeover", "S1", poles=poles)
    b.add("load", "E1", ac_v=120, power_w=500)
    _ac(b, "W1", "G9.out", "S1.one")
    _ac(b, "W2", "G2.out", "S1.two")
    _ac(b, "W3", "S1.common", "E1.in")
    return b.installation


def _two_aboard(*, inverter_bonds: bool | None) -> Installation:
    """A generator and an inverter aboard, their neutrals on one bus."""
    b = Builder()
    b.add("generator", "G2", ac_v=120, rating_a=30, bonds_neutral=True)
    b.add("inverter", "T1", dc_v=12, ac_v=120, bonds_neutral=inverter_bonds)
    b.add("changeover", "S1", poles=("L1",))
    b.add("load", "E1", ac_v=120, power_w=500)
    _ac(b, "W1", "G2.out", "S1.one")
    _ac(b, "W2", "T1.ac_out", "S1.two")
    _ac(b, "W3", "S1.common", "E1.in")
    return b.installation


def _bypass(poles: tuple[str, ...]) -> Installation:
    """An inverter/charger with a bypass and a slide between its output and the bypass."""
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120, neutral_earthed=True)
    b.add("inverter_charger", "T1", dc_v=24, ac_v=120, bonds_neutral=True)
    for name, some in (("Q1", ("L1", "N")), ("Q2", poles)):
        b.add("circuit_breaker", name, rating_a=30, poles=some, used_as_switch=True)
    b.add("bus_bar", "W91")
    b.add("bus_bar", "W92")
    _ac(b, "W11", "X1.out", "W91.bar")
    _ac(b, "W12", "W91.bar", "T1.ac_in")
    _ac(b, "W13", "T1.ac_out", "Q1.in")
    _ac(b, "W14", "Q1.out", "W92.bar")
    _ac(b, "W15", "W91.bar", "Q2.in")
    _ac(b, "W16", "Q2.out", "W92.bar")
    b.interlock("Q1", "Q2", name="slide")
    return b.installation


GOOD = (
    Example("a changeover that switches the neutral", lambda: _changeover(("L1", "N"))),
    Example("two sources aboard that share the one bond of the generator", lambda: _two_aboard(inverter_bonds=False)),
    Example("a bypass that switches the neutral", lambda: _bypass(("L1", "N"))),
)
BAD = (
    Example("a changeover that leaves the neutral", lambda: _changeover(("L1",)), (("G9", "G2"),)),
    Example("two sources aboard, each with a bond", lambda: _two_aboard(inverter_bonds=True), (("G2", "T1"),)),
    Example(
        "a bypass that leaves the neutral",
        lambda: _bypass(("L1",)),
        (("X1", "T1"),),
        condition="T1 in invert by itself",
    ),
    Example(
        "two sources aboard, the bond of one not recorded", lambda: _two_aboard(inverter_bonds=None), (("G2", "T1"),)
    ),
)
