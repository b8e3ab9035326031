"""While a unit is bypassed the source that remains cannot carry what is left on.

What it checks
--------------
Every set of switch positions in which a source feeds the loads of an inverter/charger, transformer or other unit round
it (as `bypass-incomplete` finds them). Where an operating condition is recorded for the bypass, its loads are those
left on, and `source-overloaded` judges it. Where none is, every other condition is taken over into the bypass as it
is, with all its loads on: what the source then gives, solved with all currents, is held against what it gives
continuously. The shore counts in conditions in which it is plugged in only; a generator is started where nothing else
runs that could feed the loads. A source of which as much is wanted without the bypass is `source-overloaded` alone.

Why it matters
--------------
An inverter carries from the battery what shore or generator cannot, and nobody notices; on the day it is bypassed the
first kettle takes everything down.

What to do
----------
Record an operating condition for the bypass with the loads that may stay on, and put them on the card; or bypass to a
panel of fewer loads.

Limits read
-----------
None of the book's: the rating stands in the record. Diversity: none, every load with hours counts as on at once.

References
----------
Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from engine.circuit.energy.supply import continuous_va
from engine.circuit.flow.flow import given
from engine.circuit.flow.operating import Operation
from engine.circuit.flow.results import SourceFlow
from engine.circuit.states import States
from engine.circuit.switching.bypasses import Bypass
from engine.circuit.switching.completing import completed, held_states
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.installation.model import Installation
from engine.rules.energy.source_overloaded import wanted_va
from engine.rules.example_boats import set_condition
from engine.rules.example_parts import ac_cable, boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_operation, named, positions_in_words
from engine.study import Study
from engine.units import number, show
from engine.words import N_, _

SLUG = "bypass-overloads"
WORD: Word = "warning"
TITLE = N_("in the bypass state the remaining source cannot carry the loads left on")
LOOKS_AT = N_("sources that feed loads round a bypassed unit")
SOLVES = True

ROUNDING = 1e-3  # a flow in other positions ends in other last digits
LINES = ("L1", "L2", "L3")
OFF = "off"


class _Carried(NamedTuple):
    """What a source gives in a bypass."""

    va: float
    op: Operation
    bypass: Bypass
    missing: tuple[str, ...]


def check(study: Study) -> Iterator[Remark]:
    """One remark a unit and source: the condition that asks for most."""
    if not study.bypasses:
        return
    told = {r.ids[0]: _wanted_without(r) for r in study.outcome("source-overloaded").remarks}
    states = held_states(study.snapshot)
    pairs: dict[tuple[str, str], list[Bypass]] = {}
    for one in study.bypasses:
        pairs.setdefault((one.unit, one.source), []).append(one)
    for (unit, source), some in pairs.items():
        carried = [c for one in _together(study, states, source, some) for c in _carried(study, states, one)]
        if any(c.va > told.get(source, -1.0) * (1 + ROUNDING) for c in carried):
            yield from _judged(study, unit, source, carried)


def _together(study: Study, states: States, source: str, some: list[Bypass]) -> list[Bypass]:
    """Bypasses of a unit that can be closed at once as one: what is left on then is the most there is."""
    groups: list[tuple[dict[str, str], list[Bypass]]] = []
    alone: list[Bypass] = []
    for one in some:
        if any(_stands(op, one) and _runs(op, source) for op in study.operations):
            alone.append(one)  # a condition is recorded for it
            continue
        for wanted, members in groups:
            both = wanted | dict(one.witness)
            fits = all(both[item] == position for item, position in wanted.items())
            if fits and completed(study.snapshot, both, study.operations[0].positions, states) is not None:
                wanted.update(both)
                members.append(one)
                break
        else:
            groups.append((dict(one.witness), [one]))
    for wanted, members in groups:
        if len(members) == 1:
            alone += members
            continue
        automatic = tuple(dict.fromkeys(item for one in members for item in one.automatic))
        positions = dict(p for one in members for p in one.positions)
        alone.append(
            members[0]._replace(positions=tuple(positions.items()), automatic=automatic, witness=tuple(wanted.items()))
        )
    return alone


def _wanted_without(remark: Finding | NotJudged) -> float:
    """What `source-overloaded` has said is wanted of a source; no figure tops what it could not judge."""
    figures = remark.figures if isinstance(remark, Finding) else ()
    return figures[0].value or 0.0 if figures else math.inf


def _carried(study: Study, states: States, one: Bypass) -> Iterator[_Carried]:
    """What the source gives in conditions recorded for the bypass; else in every other, taken over into it."""
    recorded = [op for op in study.operations if _stands(op, one) and _runs(op, one.source)]
    if recorded:
        for op in recorded:
            yield _given(study.flow(op.condition).sources, op, one)
        return
    for op in study.operations:
        made = _taken_over(study, states, op, one)
        if made is not None:
            yield _given(given(study.snapshot, study.circuit, made, study.book), made, one)


def _stands(op: Operation, one: Bypass) -> bool:
    return all(op.positions.get(item) in every for item, every in one.positions if item not in one.automatic)


def _runs(op: Operation, source: str) -> bool:
    return op.running is None or source in op.running


def _taken_over(study: Study, states: States, op: Operation, one: Bypass) -> Operation | None:
    """A condition with the unit bypassed; `None` where the source is not there, or the interlocks allow none."""
    if not _runs(op, one.source):
        others = [other.source for other in study.bypasses if other.unit == one.unit]
        if study.snapshot.equipment[one.source].ashore() is not None or any(_runs(op, other) for other in others):
            return None
    wanted = dict(one.witness)
    if OFF in study.snapshot.equipment[one.unit].positions():
        wanted[one.unit] = OFF
    positions = completed(study.snapshot, wanted, op.positions, states)
    if positions is None:
        return None
    running = None if op.running is None else (op.running | {one.source}) - {one.unit}
    return op._replace(positions=positions, running=running)


def _given(sources: tuple[SourceFlow, ...], op: Operation, one: Bypass) -> _Carried:
    missing = tuple(
        dict.fromkeys(
            field for s in sources if s.equipment == one.source and s.conductor in LINES for field in s.missing
        )
    )
    return _Carried(wanted_va(sources).get(one.source, 0.0), op, one, missing)


def _judged(study: Study, unit: str, source: str, carried: list[_Carried]) -> Iterator[Remark]:
    worst = max(carried, key=lambda c: c.va)
    record = study.snapshot.equipment[source]
    rated = continuous_va(record, study.circuit.joined.get(source, frozenset()))
    missing = tuple(dict.fromkeys(field for c in carried for field in c.missing))
    if not worst.va and not missing:
        return
    if rated is None:
        field = "breaker_a" if record.machine() is not None else "power_va"
        why = _("what {source} gives continuously is not recorded").format(source=study.name(source))
        yield left_open(
            study, SLUG, WORD, unit, source, missing=(f"{study.name(source)}.{field}",), why=why, detail=source
        )
    elif worst.va > rated * (1 + 1e-9):
        yield _finding(study, worst, rated)
    elif missing:
        why = _("what {source} feeds in the bypass is not known in full").format(source=study.name(source))
        yield left_open(study, SLUG, WORD, unit, source, missing=missing, why=why, detail=source)
    elif study.proving:
        may = ("continuous rating", rated)
        yield proved(
            study,
            SLUG,
            unit,
            source,
            found=("wanted", worst.va),
            limit=may,
            unit="VA",
            condition=_condition(study, worst),
            detail=source,
        )


def _condition(study: Study, one: _Carried) -> str:
    words = positions_in_words(study, one.bypass.positions, one.bypass.automatic)
    return f"{one.op.name}: {words}" if one.op.condition else words


def _finding(study: Study, one: _Carried, rated: float) -> Finding:
    unit, source = one.bypass.unit, one.bypass.source
    wanted = show(round(one.va), "VA", digits=6)
    fixes = [
        _("record an operating condition for the bypass, with the loads that stay on in it"),
        _("switch loads off before the bypass is closed"),
    ]
    if study.snapshot.equipment[source].ashore() is None:
        fixes.append(_("or fit a source of {va} or more").format(va=wanted))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(unit), study.name(source)),
        ids=(unit, source),
        message=_(
            "With {unit} bypassed {wanted} are wanted of {source} {where}; it gives {rated} continuously."
        ).format(
            unit=named(study, unit),
            wanted=f"{number(round(one.va), 6)} VA",
            source=named(study, source),
            where=in_operation(one.op.condition, one.op.name),
            rated=f"{number(round(rated), 6)} VA",
        ),
        condition=_condition(study, one),
        positions=one.bypass.witness,
        figures=(Figure("wanted", one.va, "VA"), Figure("continuous rating", rated, "VA")),
        arithmetic=_("every load of the condition at the same time: {va} > {rated}").format(
            va=show(round(one.va), "VA"), rated=show(round(rated), "VA")
        ),
        fixes=tuple(fixes),
        detail=source,
    )


# -- examples -------------------------------------------------------------------------------------------------------
def _aboard(watts: float, left_on: float | None = None) -> Installation:
    """A generator of 2 kVA, an inverter/charger of 3 kW with a bypass, loads of `watts`; `left_on` in the bypass."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=25.6, unit_ah=400.0, chemistry="LFP")
    b.add("fuse", "F1", rating_a=200)
    b.add("inverter_charger", "T1", dc_v=24, ac_v=120, power_w=3000, efficiency=0.9, standby_w=10, output_limit_a=30)
    b.add("generator", "G2", ac_v=120, power_va=2000, rating_a=17, frequency_hz=60)
    b.add("bus_bar", "X2")
    b.add("bus_bar", "X3")
    for name, at in (("Q1", "closed"), ("Q2", "closed"), ("Q3", "open")):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"), used_as_switch=True, in_position=at)
    b.interlock("Q2", "Q3", name="slide")
    parts = [watts] if left_on is None else [left_on, watts - left_on]
    cable(b, "W1", "G1.pos", "F1.in", "2/0 AWG", 6)
    cable(b, "W2", "F1.out", "T1.dc", "2/0 AWG", 40)
    ways = ("G2.out X2.bar", "X2.bar Q1.in", "Q1.out T1.ac_in", "T1.ac_out Q2.in", "Q2.out X3.bar")
    for n, way in enumerate((*ways, "X2.bar Q3.in", "Q3.out X3.bar"), start=3):
        start, end = way.split()
        ac_cable(b, f"W{n}", start, end, "10 AWG", 20)
    hours: dict[str, float] = {}
    for n, part in enumerate(parts, start=1):
        b.add("load", f"E{n}", ac_v=120, power_w=part, power_factor=1.0)
        ac_cable(b, f"W{10 + n}", "X3.bar", f"E{n}.in", "10 AWG", 20)
        hours[f"E{n}"] = 1.0
    set_condition(b, "At anchor", hours, running=("T1",))
    if left_on is not None:
        positions = {"Q1": "open", "Q2": "open", "Q3": "closed"}
        set_condition(b, "Inverter failed", {"E1": 1.0}, running=("G2",), positions=positions)
    return b.installation


GOOD = (
    Example("what the generator carries too", lambda: _aboard(1200)),
    Example("just under 2 kVA", lambda: _aboard(1980)),
    Example("a condition for the bypass, with the heater off", lambda: _aboard(2600, left_on=1200)),
)
BAD = (
    Example(
        "2.6 kW of an inverter, a generator of 2 kVA", lambda: _aboard(2600), (("T1", "G2"),), condition="Q3 closed"
    ),
    Example("just above 2 kVA", lambda: _aboard(2050), (("T1", "G2"),)),
)
