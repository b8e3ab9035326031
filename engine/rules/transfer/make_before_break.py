"""A switch passes through a forbidden state on its way from one position to another.

What it checks
--------------
Every changeover or selector that is recorded as making its next contact before it breaks the last, or of which that is
not recorded. On its way the contacts of both positions are closed. The rule looks for a permitted position of all other
switches in which

* two AC sources are joined meanwhile that must not meet: a *danger*;
* DC sources of two nominal voltages are: a *danger*;
* banks of different chemistry are: a *warning*.

What such a switch joins in a position of its own (a selector's *both*) is no business of this rule: `sources-meet`,
`voltage-mismatch` and `banks-joined` speak of it. Of a changeover that has an off between its two positions nothing is
asked unless it is recorded as making before it breaks. A selector that breaks before it makes under a running
alternator is `alternator-cut-off`.

Why it matters
--------------
A moment is enough. Two AC sources out of step drive the current of a short circuit through contacts that are just
parting; what they weld together stays joined.

What to do
----------
A switch that breaks before it makes, with an off position between its two; or an interlock that lets one source go
before the other comes.

Limits read
-----------
None of its own; nominal voltages are one system by the bands of `voltage-mismatch`.

References
----------
E-11 11.5.5.6, secondary copy: a transfer opens every current-carrying conductor before the other closes. 46 CFR 183.322
and 183.390, 2015 edition.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from engine.builder import Builder
from engine.circuit.meeting import AC_LIVE, DC_LIVE, Conflict, Point, forbidden_pairs, joins
from engine.findings import Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.transfer._passing import Passing, passings, while_passing
from engine.rules.voltage._systems import Classes
from engine.rules.wording import in_condition, named
from engine.study import Study
from engine.words import N_, _

SLUG = "make-before-break"
WORD: Word = "danger"
TITLE = N_("a switch passes through a forbidden state")
LOOKS_AT = N_("changeovers and selectors, and what they join on their way")
SEARCHES = True


class _Question(NamedTuple):
    """Points that must not be joined, two by two, and the word for those that are."""

    points: list[Point]
    pairs: list[tuple[int, int]]
    conductors: tuple[str, ...]
    word: Word
    stands: frozenset[frozenset[str]]  # pairs that a position joins anyway


def check(study: Study) -> Iterator[Remark]:
    """One remark a switch and pair of sources."""
    every = list(passings(study))
    told: set[str] = set()
    questions = [q for q in _questions(study) if q.pairs] if every and not study.meeting.locked else []
    said: set[tuple[str, frozenset[str]]] = set()
    for passing in every:
        circuit, states = while_passing(study, passing)
        for question in questions:
            found, undecided = joins(
                study.snapshot, circuit, question.points, question.pairs, question.conductors, states
            )
            for (i, j), conflict in found.items():
                one, other = question.points[i].equipment, question.points[j].equipment
                pair = frozenset((one, other))
                if pair not in question.stands and (passing.item, pair) not in said:
                    said.add((passing.item, pair))
                    told.add(passing.item)
                    yield _joined(study, passing, one, other, conflict, question.word)
            for i, j in undecided:
                one, other = question.points[i].equipment, question.points[j].equipment
                pair = frozenset((one, other))
                if pair not in question.stands and (passing.item, pair) not in said:
                    said.add((passing.item, pair))
                    told.add(passing.item)
                    yield _undecided(study, passing, one, other, question.word)
    if study.proving and not study.meeting.locked:
        yield from _in_order(study, told)


def _questions(study: Study) -> Iterator[_Question]:
    """AC sources that must not meet; DC sources of two voltages; banks of two chemistries."""
    points, pairs = forbidden_pairs(study.snapshot, study.circuit)
    meeting = study.meeting
    known = [(c.one, c.other) for c in meeting.conflicts] + [*meeting.undecided]
    known += [(one, other) for one, other, _fields in meeting.supposed]
    stands = frozenset(frozenset((one.equipment, other.equipment)) for one, other in known)
    yield _Question(points, pairs, AC_LIVE, "danger", stands)
    classes, nodes = Classes.of(study.book), study.circuit.nodes
    feeds = [
        f
        for f in study.circuit.feeds
        if f.source.system == "dc" and nodes[f.node].conductor in DC_LIVE and f.source.nominal_v and not f.source.adapts
    ]
    points = [Point(f.node, f.equipment, f.source.positions) for f in feeds]
    volts = [f.source.nominal_v or 0.0 for f in feeds]
    unlike = [(i, j) for i, j in combinations(range(len(feeds)), 2) if not classes.same("dc", volts[i], volts[j])]
    yield _standing(study, points, unlike, "danger")
    kinds = [store.chemistry if (store := study.snapshot.equipment[f.equipment].store()) else "" for f in feeds]
    mixed = [
        (i, j)
        for i, j in combinations(range(len(feeds)), 2)
        if kinds[i] and kinds[j] and kinds[i] != kinds[j] and (i, j) not in unlike
    ]
    yield _standing(study, points, mixed, "warning")


def _standing(study: Study, points: list[Point], pairs: list[tuple[int, int]], word: Word) -> _Question:
    found, undecided = joins(study.snapshot, study.circuit, points, pairs, DC_LIVE, budget=study.budget)
    stands = frozenset(frozenset((points[i].equipment, points[j].equipment)) for i, j in (*found, *undecided))
    return _Question(points, pairs, DC_LIVE, word, stands)


def _joined(
    study: Study, passing: Passing, one: str, other: str, conflict: Conflict, word: Word
) -> Finding | NotJudged:
    name = study.name(passing.item)
    if not passing.sure:
        return left_open(
            study,
            SLUG,
            word,
            passing.item,
            one,
            other,
            missing=(f"{name}.makes_before_breaks",),
            why=_("whether it joins {one} and {other} on its way from {start} to {stop} is not recorded").format(
                one=study.name(one), other=study.name(other), start=passing.start, stop=passing.stop
            ),
        )
    held = (passing.item, (passing.start,))
    positions = (*conflict.positions, *((item, (position,)) for item, position in conflict.protection))
    return Finding(
        rule=SLUG,
        word=word,
        designations=(name, study.name(one), study.name(other)),
        ids=(passing.item, one, other),
        message=_(
            "{switch} joins {one} and {other} on its way from {start} to {stop}: it makes before it breaks."
        ).format(
            switch=named(study, passing.item),
            one=named(study, one),
            other=named(study, other),
            start=passing.start,
            stop=passing.stop,
        ),
        condition=_("{condition}, moved to {stop}").format(
            condition=in_condition(study, (held, *positions), conflict.automatic), stop=passing.stop
        ),
        positions=(
            (passing.item, passing.start),
            *((item, position) for item, position in conflict.witness() if item != passing.item),
        ),
        fixes=(
            _("fit a switch in place of {switch} that breaks before it makes, with an off position between").format(
                switch=name
            ),
        ),
    )


def _undecided(study: Study, passing: Passing, one: str, other: str, word: Word) -> Finding:
    return Finding(
        rule=SLUG,
        word=word,
        designations=(study.name(passing.item), study.name(one), study.name(other)),
        ids=(passing.item, one, other),
        message=_("Whether {switch} joins {one} and {other} on its way is not decided.").format(
            switch=named(study, passing.item), one=named(study, one), other=named(study, other)
        ),
        fixes=(_("fit a switch that breaks before it makes"),),
        undecided=True,
    )


def _in_order(study: Study, told: set[str]) -> Iterator[Remark]:
    for item, record in study.snapshot.equipment.items():
        if record.ROLE == "switch" and "makes_before_breaks" in record.__struct_fields__ and item not in told:
            yield proved(
                study,
                SLUG,
                item,
                message=_("{switch} joins nothing on its way that must not be joined.").format(
                    switch=named(study, item)
                ),
            )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A changeover with an off position that breaks before it makes."""
    from engine.fixing.pieces import fitted
    from engine.fixing.trial import first_sound

    item = finding.ids[0]
    fields = study.snapshot.equipment[item].__struct_fields__
    if finding.undecided or "makes_before_breaks" not in fields:
        return
    known = {"makes_before_breaks": False} | ({"has_off": True} if "has_off" in fields else {})
    text = _("fit {switch} as one that breaks before it makes").format(switch=study.name(item))
    yield from first_sound(study, finding, [fitted(text, study, item, **known)])


# -- examples -------------------------------------------------------------------------------------------------------
def _two_sources(*, off: bool, makes_first: bool | None, apart: bool = False) -> Installation:
    """Shore and generator on a changeover; `apart`: a slide that lets only one of their breakers close."""
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("generator", "G1", ac_v=120)
    b.add("changeover", "S1", poles=("L1", "N"), has_off=off, makes_before_breaks=makes_first)
    b.add("load", "E1", ac_v=120)
    starts = {"X1": "X1.out", "G1": "G1.out"}
    if apart:
        for name, source in (("Q1", "X1"), ("Q2", "G1")):
            b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"))
            b.run(f"W{name}", starts[source], f"{name}.in", function="ac")
            starts[source] = f"{name}.out"
        b.interlock("Q1", "Q2", name="slide")
    b.run("W11", starts["X1"], "S1.one", function="ac")
    b.run("W12", starts["G1"], "S1.two", function="ac")
    b.run("W13", "S1.common", "E1.in", function="ac")
    return b.installation


def _two_banks(other_v: float, *, makes_first: bool = True, chemistry: str = "AGM") -> Installation:
    """A changeover that feeds a panel from one bank or the other."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("battery_bank", "G2", unit_v=other_v, chemistry=chemistry)
    b.add("changeover", "S1", has_off=False, makes_before_breaks=makes_first)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "S1.one", size="4 AWG", length_m=1)
    b.run("W2", "G2.pos", "S1.two", size="4 AWG", length_m=1)
    b.run("W3", "S1.common", "E1.in", size="4 AWG", length_m=1)
    return b.installation


GOOD = (
    Example("a changeover without off that breaks first", lambda: _two_sources(off=False, makes_first=False)),
    Example("an off between the two", lambda: _two_sources(off=True, makes_first=None)),
    Example(
        "a slide that takes the one source away before the other comes",
        lambda: _two_sources(off=False, makes_first=True, apart=True),
    ),
    Example("two like banks", lambda: _two_banks(12)),
)
BAD = (
    Example(
        "a changeover without off that makes first",
        lambda: _two_sources(off=False, makes_first=True),
        (("S1", "X1", "G1"),),
        condition="S1 in 1, moved to 2",
    ),
    Example(
        "one that makes first, off or not",
        lambda: _two_sources(off=True, makes_first=True),
        (("S1", "X1", "G1"),),
    ),
    Example("not recorded", lambda: _two_sources(off=False, makes_first=None), (("S1", "X1", "G1"),)),
    Example("two banks of 12 V and 24 V", lambda: _two_banks(24), (("S1", "G1", "G2"),)),
    Example("two banks of different chemistry", lambda: _two_banks(12, chemistry="LFP"), (("S1", "G1", "G2"),)),
)
