"""A conductor carries more than it may, in some operating condition.

What it checks
--------------
Every conductor of every run: the current that flows in it when every load of an operating condition draws at the same
time, against its ampacity, corrected for insulation, hottest place, bundle and parallel conductors. The neutral of a
shared-neutral circuit is one of these conductors: fed in opposition the two legs cancel in it, fed in phase (over a
shore adapter, from one line) they add.

Where the devices that feed a conductor let no more into it than it may carry, they open first: then it is a *caution*
only, and what draws there needs not be known. A neutral or a negative that returns what others bring has no such
device.

Why it matters
--------------
No fault is needed: the cable runs hot in normal use, and a neutral has no protective device of its own.

What to do
----------
A larger conductor, or fewer loads on it; for a neutral fed in phase, circuits with a neutral each.

Limits read
-----------
The book's ampacity table; `place_factor` and `temperature_derates` as for `rating-above-ampacity`.

References
----------
33 CFR 183.425(b), Table 5, 2015 edition. Solved current: nodal analysis of the whole circuit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from engine.books.ampacity import Ampacity, ampacity, amps, at_least
from engine.circuit.conductors import RATING
from engine.circuit.flow.results import Flow, RunFlow
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.rules.bounds import into_run, weighty
from engine.rules.conductors._loaded import fed, shared_neutral
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_operation
from engine.study import Study
from engine.units import show_size
from engine.words import N_, _

SLUG = "overloaded"
WORD: Word = "danger"
TITLE = N_("conductor carries more than it may")
LOOKS_AT = N_("live conductors")


class _Worst(NamedTuple):
    amps: float
    conductor: str
    flow: Flow
    run: RunFlow


def check(study: Study) -> Iterator[Remark]:
    """One remark a run: the condition in which most flows."""
    worst: dict[str, _Worst] = {}
    short: dict[str, tuple[str, ...]] = {}
    for flow in study.flows:
        for run in flow.runs:
            if run.at_least and (missing := weighty(run.missing)):
                short.setdefault(run.run, missing)
            for conductor, carried in run.conductors:
                if run.run not in worst or carried > worst[run.run].amps:
                    worst[run.run] = _Worst(carried, conductor, flow, run)
    unknown: dict[tuple[str, ...], list[str]] = {}  # fields -> runs whose current rests on them
    for item, most in worst.items():
        may = _may_carry(study, item, most.run)
        if most.amps > may.high_a * (1 + 1e-9):
            yield _finding(study, item, most, may)
        elif most.amps > may.low_a * (1 + 1e-9):
            yield _gap(study, [item], may.missing, may.why or _("what it may carry is not known"))
        elif item in short and into_run(study, item) > may.low_a:
            unknown.setdefault(tuple(sorted(short[item])), []).append(item)
        elif study.proving and may.low_a > 0:
            # where not all that draws is known, what the devices let in bounds it
            most_a = into_run(study, item) if item in short else most.amps
            if most_a > 0:
                yield proved(
                    study,
                    SLUG,
                    item,
                    found=("current", most_a),
                    limit=("ampacity", may.low_a),
                    unit="A",
                    arithmetic=may.arithmetic,
                    condition=most.flow.name,
                )
    for missing, items in sorted(unknown.items()):
        yield _gap(study, items, missing, _("what flows there is not known in full"))


def _may_carry(study: Study, item: str, flow: RunFlow) -> Ampacity:
    option = study.book.option
    return ampacity(
        study.book,
        study.snapshot.runs[item],
        study.snapshot,
        flow.nominal_v,
        place_factor=option(RATING, "place_factor", True),
        temperature_derates=option(RATING, "temperature_derates", True),
        name=study.name(item),
    )


def _lets_through(study: Study, item: str, most: _Worst) -> float:
    """The most that devices and sources let into the conductor; without limit where it returns what others bring."""
    brought = max((a for conductor, a in most.run.conductors if conductor not in ("-", "N")), default=0.0)
    if most.conductor in ("-", "N") and most.amps > brought * (1 + 1e-6):
        return math.inf
    return into_run(study, item)


def _gap(study: Study, items: list[str], missing: tuple[str, ...], why: str) -> NotJudged:
    return NotJudged(
        rule=SLUG,
        would_be=WORD,
        designations=tuple(study.name(item) for item in items),
        ids=tuple(items),
        missing=missing,
        why=why,
    )


def _finding(study: Study, item: str, most: _Worst, may: Ampacity) -> Finding:
    run, name = study.snapshot.runs[item], study.name(item)
    is_neutral = most.conductor == "N"
    if is_neutral:
        message = _("The neutral of run {run} ({size}) carries {carried} {where}; it is good for {may}.")
    else:
        message = _("Run {run} ({size}) carries {carried} {where}; it is good for {may}.")
    word, opens = WORD, ""
    fixes = [_("run a conductor good for {amps} or more").format(amps=at_least(most.amps))]
    if _lets_through(study, item, most) <= may.high_a:
        word, opens = "caution", _(" What protects it opens first.")
        fixes = []  # a larger conductor behind the same device carries no more
    elif is_neutral:
        fixes.append(_("give each circuit a neutral of its own"))
    fixes.append(_("take loads off it, or use them one after the other"))
    return Finding(
        rule=SLUG,
        word=word,
        designations=(name,),
        ids=(item,),
        message=message.format(
            run=name,
            size=show_size(run.size),
            carried=amps(most.amps),
            where=in_operation(most.flow.condition, most.flow.name),
            may=amps(may.high_a),
        )
        + opens,
        condition=most.flow.name,
        figures=(Figure("current", most.amps, "A"), Figure("ampacity", may.high_a, "A")),
        arithmetic=_("{may}; {conductor} carries {carried}").format(
            may=may.arithmetic, conductor=most.conductor, carried=amps(most.amps)
        ),
        fixes=tuple(fixes),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The run in the smallest size that carries it."""
    from engine.fixing.ratings import thicker

    yield from thicker(study, finding, finding.ids[:1])


# -- examples -------------------------------------------------------------------------------------------------------
GOOD = (
    Example("a lamp on 14 AWG", lambda: fed(5, "14 AWG")),
    Example("35 A in 14 AWG of 105 degC: just what it may carry", lambda: fed(35, "14 AWG", fuse_a=50)),
    Example("two legs in opposition: nothing in the neutral", lambda: shared_neutral(40, in_phase=False).installation),
    Example("what the load takes is not recorded, and needs not be: 30 A protects", lambda: fed(None, "14 AWG")),
)
BAD = (
    Example("60 A in 14 AWG", lambda: fed(60, "14 AWG", fuse_a=100), (("W2",),), condition="At anchor"),
    Example("an ampere too much", lambda: fed(36, "14 AWG", fuse_a=50), (("W2",),)),
    Example("36 A in 14 AWG behind 30 A: the fuse opens first", lambda: fed(36, "14 AWG", fuse_a=30), (("W2",),)),
    Example("what the load takes is not recorded, behind 50 A", lambda: fed(None, "14 AWG", fuse_a=50), (("W2",),)),
    Example(
        "both legs from one line: the neutral carries the sum, 30 A + 30 A in 12 AWG",
        lambda: shared_neutral(30, in_phase=True).installation,
        (("W1",),),
    ),
)
