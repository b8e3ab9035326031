"""Equipment stands on a system of another voltage, frequency or kind.

What it checks
--------------
* **Kind.** A run that brings a live conductor to a terminal that does not carry it: AC on a DC terminal, or the
  reverse; equipment made for the one and fed by the other.
* **Voltage.** Every piece of equipment that records the voltage it is made for, against every source that a permitted
  switch state joins to it; and DC sources of different nominal voltage, which nothing may join. Nominal voltages of one
  class (12, 12.8 and 13.2 V; 110 and 120 V) are one system. A solar array has no system of its own: its volts follow
  what it is joined to.
* **Frequency.** Equipment that records a frequency, against that of the sources.

Where two systems are joined by a wrong tie, the tie is named once and not every consumer behind it. Where one source is
the odd one for several pieces of equipment, it is named once with all of them.

Why it matters
--------------
24 V on a 12 V consumer burns it; 12 V on a 24 V motor stalls it. Two banks of different voltage joined discharge into
each other with nothing but their cables to limit the current. 50 Hz equipment on 60 Hz, and the reverse, overheats.

What to do
----------
Feed the equipment from the system it is made for, or through a converter; correct the record where it is wrong.

Limits read
-----------
`dc_classes` and `ac_classes` (bands of one nominal system), `frequency_tolerance` (share of the rated frequency).

References
----------
46 CFR 183.220(b): gear suits its voltage and current, secondary copy. The bands are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from engine.builder import Builder
from engine.circuit.expand import Feed
from engine.circuit.meeting import DC_LIVE, Conflict, joins
from engine.circuit.paths import walk
from engine.equipment.base import LIVE
from engine.findings import Figure, Finding, Remark, Word
from engine.installation.model import Installation
from engine.rules.rule import Example
from engine.rules.voltage._demand import Demand, Supply, demands, reached, supplies
from engine.rules.voltage._in_order import in_order
from engine.rules.voltage._not_known import not_known
from engine.rules.voltage._systems import LIVE_OF, Classes, System, point
from engine.rules.wording import in_condition, named
from engine.study import Study
from engine.units import show
from engine.words import N_, _

SLUG = "voltage-mismatch"
WORD: Word = "danger"
TITLE = N_("equipment on a system of another voltage, frequency or kind")
LOOKS_AT = N_("equipment that is made for a certain system, and sources")


def check(study: Study) -> Iterator[Remark]:
    """Wrong kinds, then DC systems that meet, then equipment on the wrong volts or hertz, then what is not known."""
    every = demands(study)
    wanted = [d for d in every if d.found == d.system]
    classes = Classes.of(study.book)
    behind = supplies(study, classes)
    yield from in_order(study, SLUG, wanted, behind)
    yield from _refused(study)
    for demand in every:
        if demand.found != demand.system:
            yield _other_kind(study, demand)
    yield from _systems_meet(study, classes)
    yield from _volts(study, [d for d in wanted if d.system == "dc"], "dc", classes, behind)
    yield from _volts(study, [d for d in wanted if d.system == "ac"], "ac", classes, behind)
    yield from _hertz(study, [d for d in wanted if d.frequency_hz is not None], behind)
    yield from not_known(study, SLUG, WORD, wanted, behind)


# -- kind -----------------------------------------------------------------------------------------------------------
def _refused(study: Study) -> Iterator[Finding]:
    """Live conductors that a run brings to a terminal that does not carry them."""
    brought: dict[tuple[str, str], list[str]] = {}
    for run, end, conductor in study.circuit.refused:
        if conductor in LIVE:
            brought.setdefault((run, end), []).append(conductor)
    for (run, end), conductors in brought.items():
        record = study.snapshot.runs[run]
        at = record.from_end if end == "from" else record.to_end
        terminals = study.snapshot.equipment[at.equipment].terminals()
        takes = next((t.conductors for t in terminals if t.name == at.terminal), ())
        if takes == ("S",):
            continue  # a control terminal takes whatever controls it
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(study.name(run), study.name(at.equipment)),
            ids=(run, at.equipment),
            message=_("Run {run} brings {brought} to {name}.{terminal}, which takes {takes}.").format(
                run=study.name(run),
                brought=", ".join(conductors),
                name=study.name(at.equipment),
                terminal=at.terminal,
                takes=", ".join(takes) or _("nothing"),
            ),
            condition=_("in every switch position"),
            fixes=(
                _("correct the function of run {run}").format(run=study.name(run)),
                _("connect it to a terminal of its own kind"),
            ),
            detail=f"{end} end",
        )


def _other_kind(study: Study, demand: Demand) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(demand.item),),
        ids=(demand.item,),
        message=_("{name} is made for {made} and stands on {found}.").format(
            name=named(study, demand.item), made=_rated(demand), found=demand.found.upper()
        ),
        condition=_("in every switch position"),
        figures=(Figure("made for", demand.volts, "V"),) if demand.volts is not None else (),
        fixes=(
            _("feed it from a system of its own kind"),
            _("record the voltage on its plate, where the record is wrong"),
        ),
        detail=demand.terminal,
    )


def _rated(demand: Demand) -> str:
    return " ".join((*(() if demand.volts is None else (show(demand.volts, "V"),)), demand.system.upper()))


# -- volts ----------------------------------------------------------------------------------------------------------
def _systems_meet(study: Study, classes: Classes) -> Iterator[Finding]:
    """DC sources of different nominal voltage that something joins: one finding a tie."""
    for island in study.volts.islands:
        feeds = [f for f in _known(island.feeds, "dc") if not f.source.adapts]
        keys = [classes.key("dc", _volts_of(f)) for f in feeds]
        if len(set(keys)) < 2:
            continue
        points = [*map(point, feeds)]
        pairs = [(i, j) for j in range(len(feeds)) for i in range(j) if keys[i] != keys[j]]
        found, undecided = joins(study.snapshot, study.circuit, points, pairs, DC_LIVE, budget=study.budget)
        # the same positions join the same two systems, whichever of their sources are compared
        ties: dict[object, tuple[int, int, Conflict | None]] = {}
        for (i, j), joined in found.items():
            ties.setdefault((frozenset((keys[i], keys[j])), joined.positions), (i, j, joined))
        for i, j in undecided:
            ties.setdefault((frozenset((keys[i], keys[j])), None), (i, j, None))
        for i, j, conflict in ties.values():
            yield _tie(study, feeds[i], feeds[j], conflict)


def _tie(study: Study, one: Feed, other: Feed, conflict: Conflict | None) -> Finding:
    a, b = _volts_of(one), _volts_of(other)
    if conflict is None:
        message = _("Whether {one} ({a}) and {other} ({b}) can be joined is not decided: the search was stopped.")
    else:
        message = _("{one} ({a}) and {other} ({b}) can be joined.")
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(one.equipment), study.name(other.equipment)),
        ids=(one.equipment, other.equipment),
        message=message.format(
            one=study.name(one.equipment),
            a=f"{show(a, 'V')} DC",
            other=study.name(other.equipment),
            b=f"{show(b, 'V')} DC",
        ),
        figures=(Figure("one", a, "V"), Figure("other", b, "V")),
        fixes=(
            _("take out the connection between the two systems, or put a DC-DC converter in it"),
            _("correct the nominal voltage of the source whose record is wrong"),
        ),
        **_condition(study, conflict),
    )


def _condition(study: Study, conflict: Conflict | None) -> Any:
    """Condition, witness and whether it was decided, as a finding holds them."""
    if conflict is None:
        return {"undecided": True}
    return {
        "condition": in_condition(study, conflict.positions, conflict.automatic),
        "positions": conflict.witness(),
    }


def _volts(
    study: Study, wanted: list[Demand], system: System, classes: Classes, behind: Callable[[Demand], Supply]
) -> Iterator[Finding]:
    """Equipment all of whose sources are of another voltage, then sources of another voltage than the rest."""
    fits: dict[Demand, list[Feed]] = {}
    asked: list[tuple[Demand, list[Feed]]] = []
    for demand in wanted:
        if demand.volts is None or behind(demand).classes <= {classes.key(system, demand.volts)}:
            continue
        feeds = [f for f in _known(behind(demand).feeds, system) if f.equipment != demand.item]
        off = [f for f in feeds if not classes.same(system, _volts_of(f), demand.volts)]
        fits[demand] = [f for f in feeds if f not in off]
        if off:
            asked.append((demand, off))
    odd_equipment: dict[Demand, tuple[Feed, Conflict | None]] = {}
    odd_sources: dict[tuple[str, str], list[tuple[Demand, Feed, Conflict | None]]] = {}
    for demand, feed, conflict in reached(study, asked, system):
        if not fits[demand]:
            best = odd_equipment.get(demand)
            if best is None or _ease(conflict) < _ease(best[1]):
                odd_equipment[demand] = feed, conflict
        elif conflict is None or not _is_tie(study, feed, fits[demand], conflict, system):
            odd_sources.setdefault((feed.equipment, feed.source.line), []).append((demand, feed, conflict))
    right: set[Feed] = set()  # sources that suit something on their system
    if odd_equipment:
        right.update(feed for d in wanted if d.volts is not None for feed in _fitting(d, behind(d), classes))
    alike: dict[object, list[tuple[Demand, Feed, Conflict | None]]] = {}
    for number, (demand, (feed, conflict)) in enumerate(odd_equipment.items()):
        # a source that suits nothing on its system is the odd one
        key: object = number
        if conflict is not None and feed not in right and demand.volts is not None:
            made_for = classes.key(system, demand.volts)
            key = (feed.equipment, feed.source.line, made_for, conflict.positions)
        alike.setdefault(key, []).append((demand, feed, conflict))
    for met in alike.values():
        yield _odd_equipment(study, *met[0]) if len({d.item for d, _f, _c in met}) == 1 else _odd_source(study, met)
    for met in odd_sources.values():
        yield _odd_source(study, met)


def _fitting(demand: Demand, supply: Supply, classes: Classes) -> list[Feed]:
    """Sources of the voltage that equipment is made for."""
    volts = demand.volts or 0.0
    feeds = _known(supply.feeds, demand.system)
    return [f for f in feeds if f.equipment != demand.item and classes.same(demand.system, _volts_of(f), volts)]


def _ease(conflict: Conflict | None) -> float:
    """How many switches it takes; what is not decided comes last."""
    return math.inf if conflict is None else len(conflict.positions)


def _is_tie(study: Study, feed: Feed, fit: list[Feed], conflict: Conflict, system: System) -> bool:
    """Whether the source only reaches it by being joined to a right one: that is a finding of its own."""
    state = dict(conflict.state)
    return any(walk(study.circuit, feed.node, right.node, state, LIVE_OF[system]) is not None for right in fit)


def _odd_equipment(study: Study, demand: Demand, feed: Feed, conflict: Conflict | None) -> Finding:
    have = f"{show(_volts_of(feed), 'V')} {demand.system.upper()}"
    if conflict is None:
        message = _("{name} is made for {made}; whether {source} ({have}) reaches it is not decided.")
    else:
        message = _("{name} is made for {made}; {source} puts {have} on it.")
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(demand.item), study.name(feed.equipment)),
        ids=(demand.item, feed.equipment),
        message=message.format(
            name=named(study, demand.item), made=_rated(demand), source=named(study, feed.equipment), have=have
        ),
        figures=(Figure("made for", demand.volts, "V"), Figure("found", _volts_of(feed), "V")),
        fixes=(
            _("feed it from a {made} system").format(made=_rated(demand)),
            _("put a converter before it"),
        ),
        detail=demand.terminal,
        **_condition(study, conflict),
    )


def _odd_source(study: Study, met: list[tuple[Demand, Feed, Conflict | None]]) -> Finding:
    demand, feed, conflict = met[0]
    items = tuple(dict.fromkeys(d.item for d, _feed, _conflict in met))
    have = f"{show(_volts_of(feed), 'V')} {demand.system.upper()}"
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(feed.equipment), *(study.name(item) for item in items)),
        ids=(feed.equipment, *items),
        message=_("{source} puts {have} on {items}, made for {made}.").format(
            source=named(study, feed.equipment),
            have=have,
            items=", ".join(study.name(item) for item in items),
            made=_rated(demand),
        ),
        figures=(Figure("found", _volts_of(feed), "V"), Figure("made for", demand.volts, "V")),
        fixes=(
            _("keep {source} off this system, or put a converter before it").format(source=study.name(feed.equipment)),
            _("correct the nominal voltage of {source}, where the record is wrong").format(
                source=study.name(feed.equipment)
            ),
        ),
        detail=feed.source.line,
        **_condition(study, conflict),
    )


# -- hertz ----------------------------------------------------------------------------------------------------------
def _hertz(study: Study, wanted: list[Demand], behind: Callable[[Demand], Supply]) -> Iterator[Finding]:
    tolerance = float(study.book.option(SLUG, "frequency_tolerance", 0.0))
    asked: list[tuple[Demand, list[Feed]]] = []
    for demand in wanted:
        rated = demand.frequency_hz or 0.0
        off = [
            f
            for f in behind(demand).feeds
            if f.equipment != demand.item
            and f.source.frequency_hz is not None
            and abs(f.source.frequency_hz - rated) > tolerance * rated
        ]
        if off:
            asked.append((demand, off))
    told: set[Demand] = set()
    for demand, feed, conflict in reached(study, asked, "ac"):
        if demand in told:
            continue
        told.add(demand)
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(study.name(demand.item), study.name(feed.equipment)),
            ids=(demand.item, feed.equipment),
            message=_("{name} is made for {made}; {source} gives {have}.").format(
                name=named(study, demand.item),
                made=show(demand.frequency_hz, "Hz"),
                source=named(study, feed.equipment),
                have=show(feed.source.frequency_hz, "Hz"),
            ),
            figures=(Figure("made for", demand.frequency_hz, "Hz"), Figure("found", feed.source.frequency_hz, "Hz")),
            fixes=(_("feed it from a source of {made}").format(made=show(demand.frequency_hz, "Hz")),),
            detail=f"{demand.terminal}, frequency",
            **_condition(study, conflict),
        )


# -- sources --------------------------------------------------------------------------------------------------------
def _known(feeds: Iterable[Feed], system: System) -> list[Feed]:
    return [f for f in feeds if f.source.system == system and f.source.nominal_v is not None]


def _volts_of(feed: Feed) -> float:
    assert feed.source.nominal_v is not None
    return feed.source.nominal_v


# -- examples -------------------------------------------------------------------------------------------------------
def _lamp(bank_v: float, lamp_v: float) -> Installation:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=bank_v)
    b.add("fuse", "F1", rating_a=10)
    b.add("load", "E1", dc_v=lamp_v)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=2)
    return b.installation


def _two_banks(*, converter: bool) -> Installation:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=25.6)
    b.add("battery_bank", "G2", unit_v=12.8)
    b.add("load", "E1", dc_v=12)
    b.run("W3", "G2.pos", "E1.in", size="14 AWG", length_m=2)
    if converter:
        b.add("dc_dc_converter", "T1", in_v=24, out_v=12)
        b.run("W1", "G1.pos", "T1.in", size="6 AWG", length_m=1)
        b.run("W2", "T1.out", "G2.pos", size="6 AWG", length_m=1)
    else:
        b.add("battery_switch", "Q1")
        b.run("W1", "G1.pos", "Q1.in", size="6 AWG", length_m=1)
        b.run("W2", "Q1.out", "G2.pos", size="6 AWG", length_m=1)
    return b.installation


def _shore(shore_v: float, shore_hz: float, heater_v: float, heater_hz: float | None) -> Installation:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=shore_v, frequency_hz=shore_hz)
    b.add("charger", "T1", ac_v=heater_v, frequency_hz=heater_hz, dc_v=12)
    b.add("battery_bank", "G1", unit_v=12)
    b.run("W1", "X1.out", "T1.ac", function="ac", size="12 AWG", length_m=3)
    b.run("W2", "T1.dc", "G1.pos", size="6 AWG", length_m=1)
    return b.installation


def _changeover(generator_v: float) -> Installation:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("generator", "G1", ac_v=generator_v)
    b.add("changeover", "S1", poles=("L1", "N"))
    b.add("bus_bar", "W1")
    for name in ("E1", "E2"):
        b.add("load", name, ac_v=120)
    b.run("W11", "X1.out", "S1.one", function="ac", size="10 AWG", length_m=1)
    b.run("W12", "G1.out", "S1.two", function="ac", size="10 AWG", length_m=1)
    b.run("W13", "S1.common", "W1.bar", function="ac", size="10 AWG", length_m=1)
    b.run("W14", "W1.bar", "E1.in", function="ac", size="12 AWG", length_m=1)
    b.run("W15", "W1.bar", "E2.in", function="ac", size="12 AWG", length_m=1)
    return b.installation


def _wrong_terminal() -> Installation:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("inverter", "T1", dc_v=12, ac_v=120)
    b.run("W1", "G1.pos", "T1.ac_out", size="2 AWG", length_m=1)
    return b.installation


def _array() -> Installation:
    """A series controller joins a 18 V array to a 12 V bank: the array follows the bank."""
    b = Builder()
    b.add("solar_array", "G2", module_power_v=18, module_short_a=6)
    b.add("solar_controller", "T1", method="series", dc_v=12, common="negative", blocks_reverse=False)
    b.add("battery_bank", "G1", unit_v=12)
    b.run("W1", "G2.pos", "T1.pv", size="10 AWG", length_m=3)
    b.run("W2", "T1.dc", "G1.pos", size="10 AWG", length_m=1)
    return b.installation


GOOD = (
    Example("12 V lamp on a bank of 12.8 V", lambda: _lamp(12.8, 12)),
    Example("12 V lamp on a bank of 13.2 V: the top of its class", lambda: _lamp(13.2, 12)),
    Example("two banks with a DC-DC converter between them", lambda: _two_banks(converter=True)),
    Example("110 V charger on 120 V shore: one class", lambda: _shore(120, 60, 110, 60)),
    Example("a solar array has no system of its own", _array),
)
BAD = (
    Example("12 V lamp on a bank of 25.6 V", lambda: _lamp(25.6, 12), (("E1", "G1"),)),
    Example("12 V lamp on a bank of 14.4 V: above its class", lambda: _lamp(14.4, 12), (("E1", "G1"),)),
    Example(
        "a battery switch ties 24 V to 12 V: named once",
        lambda: _two_banks(converter=False),
        (("G1", "G2"),),
        condition="Q1 closed",
    ),
    Example("60 Hz charger on 50 Hz shore", lambda: _shore(230, 50, 230, 60), (("T1", "X1"),)),
    Example(
        "a generator of 230 V on 120 V loads: named once with both",
        lambda: _changeover(230),
        (("G1", "E1", "E2"),),
        condition="S1 in 2",
    ),
    Example("a DC run on an inverter's AC terminal", _wrong_terminal, (("W1", "T1"),)),
)
