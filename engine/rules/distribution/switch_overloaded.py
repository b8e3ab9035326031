"""A switch, contactor or relay carries more than it is rated for.

What it checks
--------------
Every switch in every operating condition: what flows through it, every load of the condition drawing, against its
continuous rating; against its five-minute rating where it is the loads that run for minutes only (windlass, thruster,
winch) that take it above the continuous one; and while an engine's starter or the largest motor starts, against its
cranking rating, where its kind has one: a float switch or a changeover has none. Where the devices before or behind let
no more through than it may carry, they open first: a *caution*.

Why it matters
--------------
Contacts that run hot lose their spring, then weld: the switch no longer opens.

What to do
----------
A larger switch, or the heavy load past it with a switch of its own.

Limits read
-----------
`minutes_services` (options): services that run for minutes.

References
----------
E-11 11.6.1.2.3, secondary copy: cranking rating at least the starting current.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.books.ampacity import amps
from engine.circuit.flow.results import Flow
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.bounds import through_equipment, weighty
from engine.rules.example_boats import set_condition
from engine.rules.example_parts import boat, cable
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_operation
from engine.study import Study
from engine.words import N_, _

SLUG = "switch-overloaded"
WORD: Word = "danger"
TITLE = N_("switch carries more than it is rated for")
LOOKS_AT = N_("switches")


def check(study: Study) -> Iterator[Remark]:
    """One remark a switch and rating."""
    worst: dict[str, tuple[float, Flow]] = {}
    short: dict[str, tuple[str, ...]] = {}
    for flow in study.flows:
        for device in flow.devices:
            if study.snapshot.equipment[device.equipment].ROLE != "switch":
                continue
            if device.at_least and (missing := weighty(device.missing)):
                short[device.equipment] = tuple(dict.fromkeys((*short.get(device.equipment, ()), *missing)))
            if device.equipment not in worst or device.amps > worst[device.equipment][0]:
                worst[device.equipment] = device.amps, flow
    started = _started(study)
    steady: dict[str, dict[str, float]] = {}
    for item in sorted(worst.keys() | started.keys()):
        if item in worst:
            yield from _running(study, item, *worst[item], short.get(item, ()), steady)
        if item in started:
            yield from _starting(study, item, *started[item])


def _running(
    study: Study,
    item: str,
    carried: float,
    flow: Flow,
    short: tuple[str, ...],
    steady: dict[str, dict[str, float]],
) -> Iterator[Remark]:
    carries = study.snapshot.equipment[item].carries()
    if carries is None or (carried <= 0 and not short):
        return
    rating, what = carries.continuous_a, _("its continuous rating")
    if rating is None:
        field = "continuous_a" if _has(study, item, "continuous_a") else "through_a"
        yield _gap(study, item, (f"{study.name(item)}.{field}",), _("its continuous rating is not recorded"), "")
        return
    brief = carries.five_minute_a is not None or _has(study, item, "five_minute_a")
    if brief and carried > rating * (1 + 1e-9) and _without_brief(study, item, flow, steady) <= rating * (1 + 1e-9):
        rating, what = carries.five_minute_a, _("its five-minute rating")
        if rating is None:
            why = _("{amps} flow through it for minutes; its five-minute rating is not recorded")
            yield _gap(study, item, (f"{study.name(item)}.five_minute_a",), why.format(amps=amps(carried)), "")
            return
    if carried > rating * (1 + 1e-9):
        opens = through_equipment(study, item) <= rating
        yield _finding(study, item, carried, rating, what, flow.condition, flow.name, "", opens_first=opens)
    elif short and through_equipment(study, item) > rating:
        yield _gap(study, item, short, _("what flows through it is not known in full"), "")
    elif study.proving:
        most = max(carried, through_equipment(study, item)) if short else carried
        yield _passed(study, item, most, rating, flow.name, "")


def _passed(study: Study, item: str, carried: float, rating: float, condition: str, detail: str) -> Remark:
    found, limit = ("current", carried), ("rating", rating)
    return proved(study, SLUG, item, found=found, limit=limit, unit="A", condition=condition, detail=detail)


def _without_brief(study: Study, item: str, flow: Flow, steady: dict[str, dict[str, float]]) -> float:
    """What flows through it in a condition with the loads that run for minutes at rest."""
    if flow.condition not in steady:
        from engine.circuit.flow.flow import flow as solved

        services = study.book.option(SLUG, "minutes_services", ())
        operation = study.operation(flow.condition)
        lasting = frozenset(on for on in operation.on if _service(study, on) not in services)
        found = flow
        if lasting != operation.on:
            found = solved(study.snapshot, study.circuit, operation._replace(on=lasting), study.book, "nominal")
        steady[flow.condition] = {device.equipment: device.amps for device in found.devices}
    return steady[flow.condition].get(item, 0.0)


def _has(study: Study, item: str, field: str) -> bool:
    """Whether its kind has such a rating."""
    return hasattr(study.snapshot.equipment[item], field)


def _service(study: Study, item: str) -> str:
    use = study.snapshot.equipment[item].use()
    return use.service if use is not None else ""


def _started(study: Study) -> dict[str, tuple[float, str, str, str]]:
    """Switch -> largest current while something starts, what starts, in which condition."""
    names = {made.condition: made.name for made in study.operations}
    most: dict[str, tuple[float, str, str, str]] = {}
    for start in study.starts:
        for device, carried in start.devices:
            if study.snapshot.equipment[device].ROLE == "switch" and carried > most.get(device, (0.0, "", "", ""))[0]:
                most[device] = carried, start.designation, start.condition, names.get(start.condition, "")
    return most


def _starting(study: Study, item: str, carried: float, motor: str, of: str, condition: str) -> Iterator[Remark]:
    carries = study.snapshot.equipment[item].carries()
    if carries is None:
        return
    known = [r for r in (carries.continuous_a, carries.five_minute_a, carries.cranking_a) if r is not None]
    if carries.cranking_a is None:
        if known and carried <= max(known):
            if study.proving:
                yield _passed(study, item, carried, max(known), condition, "start")
            return
        if not _has(study, item, "cranking_a"):
            return  # no plate of its kind tells one
        field = (f"{study.name(item)}.cranking_a",)
        why = _("{motor} draws {amps} through it while it starts; its cranking rating is not recorded")
        yield _gap(study, item, field, why.format(motor=motor, amps=amps(carried)), "start")
    elif carried > carries.cranking_a * (1 + 1e-9):
        what = _("its cranking rating")
        yield _finding(study, item, carried, carries.cranking_a, what, of, condition, "start", motor)
    elif study.proving:
        yield _passed(study, item, carried, carries.cranking_a, condition, "start")


def _gap(study: Study, item: str, missing: tuple[str, ...], why: str, detail: str) -> NotJudged:
    return NotJudged(
        rule=SLUG,
        would_be=WORD,
        designations=(study.name(item),),
        ids=(item,),
        missing=missing,
        why=why,
        detail=detail,
    )


def _finding(
    study: Study,
    item: str,
    carried: float,
    rating: float,
    what: str,
    of: str,
    condition: str,
    detail: str,
    motor: str = "",
    opens_first: bool = False,
) -> Finding:
    name = study.name(item)
    if motor:
        message = _("{switch} carries {carried} while {motor} starts {where}; {what} is {rating}.")
    else:
        message = _("{switch} carries {carried} {where}; {what} is {rating}.")
    return Finding(
        rule=SLUG,
        word="caution" if opens_first else WORD,
        designations=(name,),
        ids=(item,),
        message=message.format(
            switch=name,
            carried=amps(carried),
            where=in_operation(of, condition),
            what=what,
            rating=amps(rating),
            motor=motor,
        )
        + (_(" What protects it opens first.") if opens_first else ""),
        condition=condition,
        figures=(Figure("current", carried, "A"), Figure("rating", rating, "A")),
        arithmetic=f"{amps(carried)} > {amps(rating)}",
        fixes=(
            _("fit one rated {amps} or more").format(amps=amps(carried)),
            _("take the heaviest load past it, with a switch of its own"),
        ),
        detail=detail,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A switch of the rating that is too small, larger."""
    from engine.fixing.ratings import larger_of

    item, (carried, rated) = finding.ids[0], (figure.value for figure in finding.figures[:2])
    names = ("cranking_a",) if finding.detail == "start" else ("continuous_a", "five_minute_a")
    record = study.snapshot.equipment[item]
    field = next((name for name in names if getattr(record, name, None) == rated), "")
    if field and carried is not None:
        yield from larger_of(study, finding, item, field, carried)


# -- examples -------------------------------------------------------------------------------------------------------
def _switched(load_a: float, continuous_a: float | None, fuse_a: float = 400, **facts: float | None) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=200.0, chemistry="AGM", internal_resistance_ohm=0.001)
    b.add("fuse", "F1", rating_a=fuse_a)
    b.add("battery_switch", "Q1", continuous_a=continuous_a, in_position="closed", **facts)  # type: ignore[arg-type]
    b.add("load", "E1", dc_v=12, current_a=load_a)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "Q1.in", "4/0 AWG", 12, function="dc pair")
    cable(b, "W3", "Q1.out", "E1.in", "4/0 AWG", 60, function="dc pair")
    set_condition(b, "Under way", {"E1": 5.0})
    return b.installation


def _anchoring(windlass_a: float, starting_a: float = 150.0, five_minute_a: float | None = 150) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=200.0, chemistry="AGM", internal_resistance_ohm=0.001)
    b.add("fuse", "F1", rating_a=400)
    b.add("battery_switch", "Q1", continuous_a=100, five_minute_a=five_minute_a, cranking_a=300, in_position="closed")
    b.add("motor", "M1", dc_v=12, running_a=windlass_a, starting_a=starting_a, service="windlass")
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "Q1.in", "4/0 AWG", 12, function="dc pair")
    cable(b, "W3", "Q1.out", "M1.in", "4/0 AWG", 60, function="dc pair")
    set_condition(b, "Anchoring", {"M1": 0.1})
    return b.installation


def _float_switch(running_a: float) -> Installation:
    """A float switch says what it carries and nothing of starts."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=200.0, chemistry="AGM", internal_resistance_ohm=0.001)
    b.add("fuse", "F1", rating_a=25)
    b.add("float_switch", "B1", continuous_a=10, in_position="closed")
    b.add("motor", "M1", dc_v=12, running_a=running_a, starting_a=15, service="bilge pump")
    cable(b, "W1", "G1.pos", "F1.in", "10 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "B1.in", "10 AWG", 40, function="dc pair")
    cable(b, "W3", "B1.out", "M1.in", "10 AWG", 10, function="dc pair")
    set_condition(b, "Unattended", {"M1": 0.5})
    return b.installation


GOOD = (
    Example("well within its rating", lambda: _switched(50, 200)),
    Example("just at its rating", lambda: _switched(200, 200)),
    Example("a windlass for minutes, within the five-minute rating", lambda: _anchoring(140)),
    Example("a pump whose start is above what its float switch carries for ever", lambda: _float_switch(5)),
)
BAD = (
    Example("far above", lambda: _switched(300, 200), (("Q1",),), condition="Under way"),
    Example("just above", lambda: _switched(201, 200), (("Q1",),)),
    Example("300 A behind a fuse of 180 A: it opens first", lambda: _switched(300, 200, fuse_a=180), (("Q1",),)),
    Example("a windlass above the five-minute rating", lambda: _anchoring(151), (("Q1",),)),
    Example(
        "for minutes above the continuous rating, no other recorded", lambda: _anchoring(140, 150, None), (("Q1",),)
    ),
    Example("a pump that runs above what its float switch carries", lambda: _float_switch(11), (("B1",),)),
    Example("a start above its cranking rating", lambda: _anchoring(90, 320), (("Q1",),)),
)
