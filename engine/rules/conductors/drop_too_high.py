"""More voltage is lost on the way to a load than its circuit may lose.

What it checks
--------------
Every load in every operating condition: the difference between its volts and those of the source that feeds it, there
and back, conductors at the temperature of their hottest place, contacts and fuses counted, every load of the condition
drawing. Behind an alternator or a charger it is counted from the battery, where that stands on the way or joins it. It
is compared with the share of the nominal volts that the book allows for the load's class: as recorded for the load,
else for its run, else by what it serves. A load whose class nobody knows is held to the looser limit, and where it lies
between the two it is not judged. A load with hours in no condition is judged as drawn: too much by itself, or, where it
loses too much only with every load drawing, not judged. So is a drawing that records no hours at all. A run that feeds
no load by itself, a panel's feeder, is judged up to its farther end where its class is recorded.

A load that has hours in a condition in which nothing feeds it, or whose volts collapse, is told here as well, and so
are figures that no boat can have: a battery of 0 V, a negative resistance, a load that gives.

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

from engine.circuit.flow.drop_class import class_fields
from engine.circuit.flow.results import Flow, LoadFlow, RunFlow
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.rules.conductors._drop_limit import DropLimit, drop_limit
from engine.rules.conductors._loaded import beside, charging, fed, feeder, no_hours, switched_off
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import hundredths, in_operation
from engine.sizing.lost import Losses, Lost, size_for
from engine.study import Study
from engine.units import number, show_size
from engine.words import N_, _

SLUG = "drop-too-high"
WORD: Word = "caution"
TITLE = N_("more voltage lost on the way to a load than allowed")
LOOKS_AT = N_("loads, and feeders whose class is recorded")


class _Seen(NamedTuple):
    """A load, or a feeder's farther end, in one condition; `lost` is `None` where it is not known."""

    flow: Flow
    lost: Lost | None
    volts: float | None
    missing: tuple[str, ...]
    is_sure: bool = True  # its hours are recorded: it draws with the others of the condition


def check(study: Study) -> Iterator[Remark]:
    """One remark a load: the condition in which most is lost."""
    flows = list(study.flows)
    told = {load.equipment for flow in flows for load in flow.loads}
    loads = [(flow, load) for flow in flows for load in flow.loads]
    if study.snapshot.conditions:
        drawn = study.flow("")
        loads += [(drawn, load) for load in drawn.loads if load.equipment not in told]
    by_item: dict[str, list[tuple[Flow, LoadFlow]]] = {}
    for flow, load in loads:
        if study.snapshot.equipment[load.equipment].use() is not None:
            by_item.setdefault(load.equipment, []).append((flow, load))
    losses: dict[str, Losses] = {}
    no_hours: dict[tuple[Word, str], list[str]] = {}  # why -> loads of which nobody knows when they draw
    for item in sorted(by_item):
        yield from _load(study, item, by_item[item], losses, no_hours)
    for (word, why), items in sorted(no_hours.items()):
        yield NotJudged(
            rule=SLUG,
            would_be=word,
            designations=tuple(study.name(item) for item in items),
            ids=tuple(items),
            missing=("conditions.duties",),
            why=why,
        )
    yield from _feeders(study, flows, losses)
    yield from _contradictions(study, flows)


# -- loads ----------------------------------------------------------------------------------------------------------
def _load(
    study: Study,
    item: str,
    seen: list[tuple[Flow, LoadFlow]],
    losses: dict[str, Losses],
    no_hours: dict[tuple[Word, str], list[str]],
) -> Iterator[Remark]:
    limit = drop_limit(study, item)
    word = WORD if limit is None else limit.word
    fell = [(flow, load) for flow, load in seen if load.collapsed and load.volts is not None]
    unfed = [(flow, load) for flow, load in seen if load.collapsed and load.volts is None]
    sure = [one for one in fell if _draws(study, item, one[0]) or _falls_alone(study, *one, limit, losses)]
    sure += [one for one in unfed if _draws(study, item, one[0])]
    if sure:
        yield from _unfed(study, item, *sure[0])
        return
    if fell:
        why = _("its volts collapse with every load on; with which others it draws is not recorded")
        no_hours.setdefault((word, why), []).append(item)
        return
    rest = [(flow, load) for flow, load in seen if not load.collapsed]
    if not rest:
        why = _("nothing feeds it as drawn, and in which condition it draws is not recorded")
        no_hours.setdefault((word, why), []).append(item)
    elif limit is not None:
        made = [_seen(study, flow, load, losses) for flow, load in rest]
        found = list(_judged(study, item, made, limit))
        unsure = max((one.lost.percent for one in made if one.lost is not None and not one.is_sure), default=0.0)
        if not found and unsure > 100 * limit.low * (1 + 1e-9):
            why = _("too much is lost with every load on; with which others it draws is not recorded")
            no_hours.setdefault((word, why), []).append(item)
        elif not found and study.proving:
            yield from _proved(study, item, made, limit)
        yield from found


def _draws(study: Study, item: str, flow: Flow) -> bool:
    """Whether it is recorded that it draws in a condition."""
    return study.operation(flow.condition).hours.get(item, 0.0) > 0


def _falls_alone(study: Study, flow: Flow, load: LoadFlow, limit: DropLimit | None, losses: dict[str, Losses]) -> bool:
    """Whether what its plate says loses too much in its conductors alone, nothing else drawing."""
    nominal = _nominal_v(study, flow, load, losses)
    if limit is None or not nominal:
        return False
    by_kind = {"power": 1 / nominal, "current": 1.0}
    amps = [
        draw.value * by_kind[draw.kind] / (draw.power_factor or 1.0)
        for draw in study.snapshot.equipment[load.equipment].draws()
        if draw.value is not None and draw.kind in by_kind and len(draw.conductors) < 3
    ]
    alone = _losses(study, flow, losses).alone_v(load.equipment, load.terminal, load.source, sum(amps))
    return alone > limit.high * nominal


def _seen(study: Study, flow: Flow, load: LoadFlow, losses: dict[str, Losses]) -> _Seen:
    nominal = _nominal_v(study, flow, load, losses)
    if load.drop_v is None or load.volts is None or not nominal:
        return _Seen(flow, None, load.volts, load.missing)
    of = _losses(study, flow, losses)
    lost = of.of(load.equipment, load.terminal, load.volts, load.drop_v, load.source, nominal, load.amps)
    if load.amps is None and not lost.missing:
        return _Seen(flow, None, load.volts, load.missing)
    return _Seen(flow, lost, load.volts, lost.missing, _draws(study, load.equipment, flow))


def _losses(study: Study, flow: Flow, losses: dict[str, Losses]) -> Losses:
    if flow.condition not in losses:
        losses[flow.condition] = Losses(study, flow)
    return losses[flow.condition]


def _nominal_v(study: Study, flow: Flow, load: LoadFlow, losses: dict[str, Losses]) -> float | None:
    """Its own nominal volts; those of its system where it is made for another, which another rule tells."""
    mine = load.nominal_v
    classes = study.book.option("voltage-mismatch", "dc_classes", ())
    if mine and any(low <= mine <= high for low, high in classes):
        system = _losses(study, flow, losses).nominal_v(load.equipment)
        if system and not any(low <= mine <= high and low <= system <= high for low, high in classes):
            return system
    return mine


def _judged(study: Study, item: str, seen: list[_Seen], limit: DropLimit) -> Iterator[Remark]:
    """One remark of a load or a run."""
    known = [(one.lost.percent if one.is_sure else one.lost.alone_percent, one) for one in seen if one.lost is not None]
    if known:
        lost, worst = max(known, key=lambda one: (one[0], one[1].flow.name))
        if lost > 100 * limit.high * (1 + 1e-9):
            yield _finding(study, item, worst, limit)
            return
        if lost > 100 * limit.low * (1 + 1e-9):
            why = _("{lost} % is lost; its class is not recorded").format(lost=hundredths(lost))
            yield _gap(study, item, limit.word, class_fields(study.snapshot, item), why)
            return
    fields = [field for one in seen if one.lost is None for field in one.missing]
    for one in seen:
        if one.lost is not None and one.lost.most_percent > 100 * limit.low * (1 + 1e-9):
            fields += one.missing
    if fields:
        why = _("what is lost on the way is not known")
        yield _gap(study, item, limit.word, tuple(dict.fromkeys(fields)), why)


def _proved(study: Study, item: str, seen: list[_Seen], limit: DropLimit) -> Iterator[Remark]:
    """The condition in which most of what is allowed is lost; what devices let in at most where a load is not known."""
    known = [(max(one.lost.percent, one.lost.most_percent), one) for one in seen if one.lost is not None]
    lost, worst = max(known, key=lambda one: (one[0], one[1].flow.name), default=(0.0, None))
    if worst is not None and lost <= 100 * limit.high * (1 + 1e-9):
        allowed = ("allowed", 100 * limit.low)
        yield proved(study, SLUG, item, found=("drop", lost), limit=allowed, unit="%", condition=worst.flow.name)


def _gap(study: Study, item: str, word: Word, missing: tuple[str, ...], why: str) -> NotJudged:
    return NotJudged(rule=SLUG, would_be=word, designations=(study.name(item),), ids=(item,), missing=missing, why=why)


def _unfed(study: Study, item: str, flow: Flow, load: LoadFlow) -> Iterator[Remark]:
    """Volts that collapse, or nothing that feeds: told of the source where that is what is wrong or not known."""
    use = study.snapshot.equipment[item].use()
    name = study.name(item)
    word: Word = "warning" if use is not None and use.essential else "caution"
    if load.volts is None:
        reached = _reached(study, item, load.terminal)
        if reached & {of for of, _sentence in flow.contradictions}:
            return
        lacking = [field for of, fields in flow.lacking if of in reached for field in fields]
        if lacking:
            yield _gap(study, item, word, tuple(lacking), _("what feeds it is not known"))
            return
    if load.volts is not None:
        message = _("{load} has {volts} V {where}: its volts collapse under what it takes.").format(
            load=name, volts=hundredths(load.volts), where=in_operation(flow.condition, flow.name)
        )
        fix = _("run larger conductors, or feed it from nearer")
    else:
        message = _("{load} draws {where}, and nothing feeds it there.").format(
            load=name, where=in_operation(flow.condition, flow.name)
        )
        fix = _("close the switches on its way in this condition, or take its hours away")
    yield Finding(
        rule=SLUG,
        word=word,
        designations=(name,),
        ids=(item,),
        message=message,
        condition=flow.name,
        figures=(Figure("volts", load.volts or 0.0, "V"),),
        fixes=(fix,),
        beyond_clause=True,
    )


def _reached(study: Study, item: str, terminal: str) -> set[str]:
    """Sources that may feed a terminal, whatever the positions of switches, through converters too."""
    found: set[str] = set()
    todo = [(item, terminal)]
    for here, at in todo:
        for place, node in enumerate(study.circuit.nodes):
            if node.equipment != here or node.terminal != at:
                continue
            for giver in sorted({feed.equipment for feed in study.volts.at(place).feeds} - found):
                found.add(giver)
                todo += [(giver, c.source) for c in study.snapshot.equipment[giver].conversions()]
    return found


def _finding(study: Study, item: str, worst: _Seen, limit: DropLimit) -> Finding:
    name, flow, lost = study.name(item), worst.flow, worst.lost
    assert lost is not None  # asked only where it is known
    is_run = item in study.snapshot.runs
    most = [(run, own) for run, own in lost.runs if own > 0]
    fixes = []
    for run, own in most[:2]:
        if own < lost.volts / 10:
            continue  # no size of it mends much
        size = size_for(study, run, own, lost, limit.high * lost.nominal_v, worst.volts or 0.0)
        if size:
            fix = _("run {run} in {size} or larger: {volts} V of the {lost} V are lost in it")
        else:
            fix = _("run {run} larger: {volts} V of the {lost} V are lost in it")
        fixes.append(
            fix.format(
                run=study.name(run),
                size=show_size(size) if size else "",
                volts=hundredths(own),
                lost=hundredths(lost.volts),
            )
        )
    fixes.append(_("bring what it feeds nearer the source") if is_run else _("bring the load nearer its source"))
    allowed = 100 * limit.high
    clause, confirmed = _cited(study, item, lost.percent, limit)
    also = [run for run, _own in most if run != item][:1] if not is_run else []
    if is_run:
        message = _("{lost} % of the volts are lost up to the end of feeder {name} {where}; {allowed} % is allowed.")
    else:
        message = _("{name} loses {lost} % of its volts on the way {where}; {allowed} % is allowed.")
    return Finding(
        rule=SLUG,
        word=limit.word,
        designations=(name, *(study.name(run) for run in also)),
        ids=(item, *also),
        message=message.format(
            name=name,
            lost=hundredths(lost.percent),
            where=in_operation(flow.condition, flow.name),
            allowed=number(allowed, 4),
        ),
        condition=flow.name,
        figures=(
            Figure("drop", lost.percent, "%"),
            Figure("allowed", allowed, "%"),
            Figure("at the load", worst.volts, "V"),
        ),
        arithmetic=_("{source} to {load} and back: {volts} V of {nominal} V = {lost} %").format(
            source=study.name(lost.source) if lost.source else "?",
            load=name,
            volts=hundredths(lost.volts),
            nominal=number(lost.nominal_v),
            lost=hundredths(lost.percent),
        ),
        fixes=tuple(fixes),
        clause=clause,
        confirmed=confirmed,
        beyond_clause=not clause,
    )


def _cited(study: Study, item: str, percent: float, limit: DropLimit) -> tuple[str, bool]:
    """The clause on the stricter limit up to the other, from there that one's; none where it does not speak of it."""
    run, other = study.snapshot.runs.get(item), study.book.limit(SLUG, "other")
    if run is not None:
        system = "ac" if run.function == "ac" else "dc"
    else:
        system = "dc" if any("+" in d.conductors for d in study.snapshot.equipment[item].draws()) else "ac"
    if limit.word == "warning" and (other is None or percent <= 100 * other.value):
        return study.book.cited(SLUG, "essential")
    covered = system in study.book.option(SLUG, "clause_covers", ("dc", "ac"))
    return study.book.cited(SLUG, "other") if covered else ("", False)


# -- feeders --------------------------------------------------------------------------------------------------------
def _feeders(study: Study, flows: list[Flow], losses: dict[str, Losses]) -> Iterator[Remark]:
    """Runs of a recorded class that end in no load."""
    essential, other = study.book.limit(SLUG, "essential"), study.book.limit(SLUG, "other")
    if essential is None or other is None:
        return
    equipment = study.snapshot.equipment
    feeders = {
        item
        for item, run in study.snapshot.runs.items()
        if run.drop_class
        and not any(
            end.equipment in equipment and equipment[end.equipment].use() is not None
            for end in (run.from_end, run.to_end)
        )
    }
    seen: dict[str, list[_Seen]] = {}
    for flow in flows if feeders else ():
        for run in flow.runs:
            if run.run in feeders:
                seen.setdefault(run.run, []).append(_at_the_end(study, flow, run, losses))
    for item in sorted(seen):
        share = essential if study.snapshot.runs[item].drop_class == "essential" else other
        limit = DropLimit(share.value, share.value, "warning" if share is essential else "caution")
        found = list(_judged(study, item, seen[item], limit))
        unsure = max((one.lost.percent for one in seen[item] if one.lost is not None), default=0.0)
        if not found and unsure > 100 * limit.high * (1 + 1e-9):
            why = _("too much is lost with every load on; with which others it draws is not recorded")
            yield _gap(study, item, limit.word, ("conditions.duties",), why)
        elif not found and study.proving:
            yield from _proved(study, item, seen[item], limit)
        yield from found


def _at_the_end(study: Study, flow: Flow, run: RunFlow, losses: dict[str, Losses]) -> _Seen:
    """What is lost up to a run's farther end: the one with the lower volts."""
    record, at = study.snapshot.runs[run.run], _losses(study, flow, losses).volts
    ends = [(e.equipment, e.terminal) for e in (record.from_end, record.to_end) if (e.equipment, e.terminal) in at]
    if run.drop_v is None or not run.nominal_v or not ends:
        return _Seen(flow, None, None, run.missing)
    far = min(ends, key=lambda end: at[end])
    lost = _losses(study, flow, losses).of(*far, at[far], run.drop_v, run.source, run.nominal_v)
    return _Seen(flow, lost, at[far], lost.missing, study.operation(flow.condition).has_hours)


# -- contradictions -------------------------------------------------------------------------------------------------
def _contradictions(study: Study, flows: list[Flow]) -> Iterator[Remark]:
    """Figures that no boat can have, each told once."""
    told: dict[tuple[str, str], list[Flow]] = {}
    for flow in flows:
        for item, sentence in flow.contradictions:
            told.setdefault((item, sentence), []).append(flow)
    for (item, sentence), of in sorted(told.items()):
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(study.name(item),),
            ids=(item,),
            message=sentence + ".",
            condition="" if len(of) == len(flows) else of[0].name,
            fixes=(_("put right what is recorded of {name}").format(name=study.name(item)),),
            detail="contradiction",
            beyond_clause=True,
        )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The run where most is lost in a larger size, else the two where most is."""
    from engine.fixing.ratings import losing, thicker

    if len(finding.figures) > 1:  # not for what has no volts at all
        yield from thicker(study, finding, losing(study, finding.ids[0]))


# -- examples -------------------------------------------------------------------------------------------------------
GOOD = (
    Example("a lamp near by", lambda: fed(2, "14 AWG", service="lighting", drop_class="other")),
    Example("a navigation light well fed", lambda: fed(1, "12 AWG", 240, service="navigation lights")),
    # fuse 0.1 V/30 A x 10 A = 0.033 V; 10 AWG, 10 ft, 30 degC: 2 x 3.048 x 3.405e-3 x 10 = 0.208 V; 2.0 % of 12 V
    Example("10 A over 10 ft of 10 AWG", lambda: fed(10, "10 AWG", 120, drop_class="essential")),
    # the alternator's own cable loses more than 3 %: the light hangs on the battery
    Example("a long alternator cable, a light near its battery", lambda: charging("10 AWG", "12 AWG")),
    Example("and where battery and alternator meet at a bus", lambda: beside("10 AWG", "12 AWG")),
    # 10 A over 14 ft of 10 AWG, there and back: 0.29 V, the fuse 0.033 V; 2.7 % of 12 V
    Example("a panel's feeder just inside", lambda: feeder("10 AWG", 168)),
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
    Example("a light on thin wire behind its battery", lambda: charging("2 AWG", "18 AWG", 120), (("E1", "W4"),)),
    Example("a light on thin wire beside both", lambda: beside("2 AWG", "22 AWG"), (("E1", "W4"),)),
    Example("a panel's feeder just outside", lambda: feeder("10 AWG", 200), (("W2",),), condition="At anchor"),
    Example("too much with every load on, not by itself, and no hours", no_hours, (("E1",),)),
    Example("it has hours, and its switch stands open", switched_off, (("E1",),), condition="At anchor"),
    Example(
        "a battery of negative resistance",
        lambda: fed(2, "14 AWG", bank={"internal_resistance_ohm": -0.01}, drop_class="other"),
        (("G1",),),
    ),
)
