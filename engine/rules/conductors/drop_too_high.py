"""More voltage is lost on the way to a load than its circuit may lose.

What it checks
--------------
Every load in every operating condition: the difference between its volts and those of the source that feeds it, there
and back, conductors at the temperature of their hottest place, contacts and fuses counted, every load of the condition
drawing. It is compared with the share of the nominal volts that the book allows for the load's class: as recorded for
the load, else for its run, else by what it serves. A load whose class nobody knows is held to the looser limit, and
where it lies between the two it is not judged. A load with hours in no condition is judged with every load drawing.

A load that has hours in a condition in which nothing feeds it, or whose volts collapse, is told here as well.

Why it matters
--------------
Navigation lights go dim, electronics restart, pumps run slowly and motors draw more.

What to do
----------
A larger conductor where most is lost, a shorter way, or the load nearer the source.

Limits read
-----------
`essential` and `other` (shares of the nominal volts); `essential_services`.

References
----------
E-11, secondary copy: 3 % for panel feeders, navigation lights, blowers, electronics; 10 % for the rest. 46 CFR
183.340(p): 10 %.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from engine.circuit.flow.results import Flow, LoadFlow
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.rules.conductors._loaded import fed
from engine.rules.rule import Example
from engine.rules.wording import hundredths, in_operation
from engine.study import Study
from engine.units import number
from engine.words import N_, _

SLUG = "drop-too-high"
WORD: Word = "caution"
TITLE = N_("more voltage lost on the way to a load than allowed")


class _Class(NamedTuple):
    """How much a circuit may lose, as shares; the two differ where nobody knows its class."""

    low: float
    high: float
    word: Word


def check(study: Study) -> Iterator[Remark]:
    """One remark a load: the condition in which most is lost."""
    essential, other = study.book.limit(SLUG, "essential"), study.book.limit(SLUG, "other")
    seen: dict[str, list[tuple[Flow, LoadFlow]]] = {}
    for flow in study.flows:
        for load in flow.loads:
            seen.setdefault(load.equipment, []).append((flow, load))
    if study.snapshot.conditions:
        drawn = study.flow("")
        for load in drawn.loads:
            if load.equipment not in seen and study.snapshot.equipment[load.equipment].use() is not None:
                seen[load.equipment] = [(drawn, load)]
    for item in sorted(seen):
        if study.snapshot.equipment[item].use() is None:
            continue
        unfed = [(flow, load) for flow, load in seen[item] if load.collapsed]
        if unfed:
            yield from _unfed(study, item, *unfed[0])
            continue
        if essential is None or other is None:
            continue
        yield from _load(study, item, seen[item], _class(study, item, essential.value, other.value))


def _class(study: Study, item: str, essential: float, other: float) -> _Class:
    use = study.snapshot.equipment[item].use()
    assert use is not None  # asked of consumers only
    kind = use.drop_class
    if not kind:
        for run in study.snapshot.runs.values():
            if run.drop_class and item in (run.from_end.equipment, run.to_end.equipment):
                kind = run.drop_class
    if not kind and (use.essential or use.service in study.book.option(SLUG, "essential_services", ())):
        kind = "essential"
    elif not kind and use.service:
        kind = "other"
    if kind == "essential":
        return _Class(essential, essential, "warning")
    return _Class(other if kind else essential, other, "caution")


def _load(study: Study, item: str, seen: list[tuple[Flow, LoadFlow]], limit: _Class) -> Iterator[Remark]:
    known = [(load.drop_pct, flow, load) for flow, load in seen if load.drop_pct is not None]
    if known:
        lost, flow, load = max(known, key=lambda one: (one[0], one[1].name))
        if lost > 100 * limit.high * (1 + 1e-9):
            yield _finding(study, item, lost, flow, load, limit)
            return
        if lost > 100 * limit.low * (1 + 1e-9):
            field = (f"{study.name(item)}.drop_class",)
            yield _gap(
                study,
                item,
                limit.word,
                field,
                _("{lost} % is lost; its class is not recorded").format(lost=hundredths(lost)),
            )
            return
    missing = tuple(dict.fromkeys(m for _flow, load in seen if load.drop_pct is None for m in load.missing))
    if missing:
        yield _gap(study, item, limit.word, missing, _("what is lost on the way is not known"))


def _gap(study: Study, item: str, word: Word, missing: tuple[str, ...], why: str) -> NotJudged:
    return NotJudged(rule=SLUG, would_be=word, designations=(study.name(item),), ids=(item,), missing=missing, why=why)


def _unfed(study: Study, item: str, flow: Flow, load: LoadFlow) -> Iterator[Remark]:
    use = study.snapshot.equipment[item].use()
    name = study.name(item)
    word: Word = "warning" if use is not None and use.essential else "caution"
    why = dict(flow.not_solved).get(item, "")
    if load.volts:
        message = _("{load} has {volts} V {where}: its volts collapse under what it takes.").format(
            load=name, volts=hundredths(load.volts), where=in_operation(flow.condition, flow.name)
        )
    else:
        message = _("{load} draws {where}, and nothing feeds it there.").format(
            load=name, where=in_operation(flow.condition, flow.name)
        )
    yield Finding(
        rule=SLUG,
        word=word,
        designations=(name,),
        ids=(item,),
        message=message,
        condition=flow.name,
        figures=(Figure("volts", load.volts, "V"),),
        arithmetic=why,
        fixes=(
            _("run larger conductors, or feed it from nearer")
            if load.volts
            else _("close the switches on its way in this condition, or take its hours away"),
        ),
        beyond_clause=True,
    )


def _finding(study: Study, item: str, lost: float, flow: Flow, load: LoadFlow, limit: _Class) -> Finding:
    name = study.name(item)
    volts = load.drop_v or 0.0
    most = _loses_most(study, item, flow, load)
    fixes = [
        _("run {run} larger: {volts} V of the {lost} V are lost in it").format(
            run=study.name(run), volts=hundredths(own), lost=hundredths(volts)
        )
        for run, own in most[:2]
    ]
    fixes.append(_("bring the load nearer its source"))
    allowed = 100 * limit.high
    return Finding(
        rule=SLUG,
        word=limit.word,
        designations=(name, *(study.name(run) for run, _own in most[:1])),
        ids=(item, *(run for run, _own in most[:1])),
        message=_("{load} loses {lost} % of its volts on the way {where}; {allowed} % is allowed.").format(
            load=name, lost=hundredths(lost), where=in_operation(flow.condition, flow.name), allowed=number(allowed, 4)
        ),
        condition=flow.name,
        figures=(Figure("drop", lost, "%"), Figure("allowed", allowed, "%"), Figure("at the load", load.volts, "V")),
        arithmetic=_("{source} to {load} and back: {volts} V of {nominal} V = {lost} %").format(
            source=study.name(load.source) if load.source else "?",
            load=name,
            volts=hundredths(volts),
            nominal=number(load.nominal_v or 0.0),
            lost=hundredths(lost),
        ),
        fixes=tuple(fixes),
        detail="",
    )


def _loses_most(study: Study, item: str, flow: Flow, load: LoadFlow) -> list[tuple[str, float]]:
    """Runs between the load and its source with what each loses, most first: from the load, down the drop."""
    runs = {run.run: run for run in flow.runs if run.own_drop_v is not None and run.drop_v is not None and run.amps}
    ends: dict[str, list[tuple[str, str]]] = {}  # equipment -> (run, equipment at its other end)
    for run in runs:
        record = study.snapshot.runs[run]
        one, other = record.from_end.equipment, record.to_end.equipment
        ends.setdefault(one, []).append((run, other))
        ends.setdefault(other, []).append((run, one))
    lost: dict[str, float] = {}
    seen, row = {item}, [(item, load.drop_v or 0.0)]
    for here, level in row:
        for run, far in ends.get(here, ()):
            own, at_end = runs[run].own_drop_v or 0.0, runs[run].drop_v or 0.0
            if far in seen or at_end > level + 1e-6 or (here != item and at_end < own):
                continue
            seen.add(far)
            lost[run] = own
            row.append((far, max(0.0, at_end - own)))
    return sorted(lost.items(), key=lambda one: (-one[1], study.name(one[0])))


# -- examples -------------------------------------------------------------------------------------------------------
GOOD = (
    Example("a lamp near by", lambda: fed(2, "14 AWG", service="lighting", drop_class="other")),
    Example("a navigation light well fed", lambda: fed(1, "12 AWG", 240, service="navigation lights")),
    # fuse 0.1 V/30 A x 10 A = 0.033 V; 10 AWG, 10 ft, 30 degC: 2 x 3.048 x 3.405e-3 x 10 = 0.208 V; 2.0 % of 12 V
    Example("10 A over 10 ft of 10 AWG", lambda: fed(10, "10 AWG", 120, drop_class="essential")),
)
BAD = (
    Example(
        "a lamp far away on thin wire",
        lambda: fed(10, "16 AWG", 360, drop_class="other"),
        (("E1", "W2"),),
        condition="At anchor",
    ),
    Example(
        "the same circuit, essential, on 12 AWG: just above 3 %",
        lambda: fed(10, "12 AWG", 120, drop_class="essential"),
        (("E1", "W2"),),
    ),
)
