"""Sources that are no converters: batteries, machines, supplies from ashore, solar arrays."""

from __future__ import annotations

import cmath
import math

from engine.books.batteries import emf_v, resistance_ohm
from engine.circuit.expand import Feed
from engine.circuit.flow.netlist import Netlist, NetSource
from engine.equipment.base import Equipment
from engine.equipment.behaviour import Converter, Harvest
from engine.units import number
from engine.words import _

__all__ = [
    "HELD_OHM",
    "INF",
    "alternating",
    "angle",
    "direct",
    "feeds",
    "no_volts",
    "not_known",
    "phasor",
    "star",
    "volts_given",
]

INF = float("inf")
LEAST_INSIDE_OHM = 1e-5  # of a battery: less leaves its current to rounding
HELD_OHM = 1e-4  # behind volts that electronics hold, or of which no impedance is recorded: 10 mV at 100 A
OVER_NOMINAL = 1.2  # charging volts to nominal volts: 14.4 V of 12 V (common practice, no source)


# -- direct current -------------------------------------------------------------------------------------------------
def feeds(built: Netlist, start: tuple[str, str, str], goal: tuple[str, str, str]) -> bool:
    """Whether conductors and closed contacts lead from one (equipment, terminal, conductor) to another."""
    system, point = built.point(*start)
    if point < 0:
        return False
    seen = built.reached.get((system, point))
    if seen is None:
        near, todo = built.frame.near[system], [point]
        seen = built.reached[system, point] = {point}
        while todo:
            for to, link in near.get(todo.pop(), ()):
                if to not in seen and (link < 0 or link in built.link or link in built.diode):
                    seen.add(to)
                    todo.append(to)
    return built.point(*goal)[1] in seen


def machine_behind(built: Netlist, feed: Feed, record: Equipment) -> str:
    """The alternator whose bare phases a rectifier drawn apart takes; "" where there is none."""
    for conversion in record.conversions() if feed.source.rotating and feed.source.system == "dc" else ():
        for other in built.circuit.feeds:
            source = other.source
            start = other.equipment, source.terminal, source.conductor
            if source.line == "stator" and feeds(built, start, (feed.equipment, conversion.source, source.conductor)):
                return other.equipment
    return ""


def direct(
    built: Netlist, index: int, feed: Feed, record: Equipment, everything: bool, machine: str = ""
) -> NetSource | None:
    """A source of direct current; `machine` is the alternator behind a rectifier."""
    item, source = feed.equipment, feed.source
    name = built.name(item)
    positive = built.at[feed.node][1]
    negative = built.negative(item, source.terminal)
    if negative is None or negative == positive:
        built.wrong(item, _("{name} has no negative, so nothing can flow from it").format(name=name))
        return None
    store = record.store()
    limit, one_way, ohm = INF, True, HELD_OHM
    if store is not None:
        emf = emf_v(store, built.charge)
        if emf.value is None or not emf.value > 0 or not math.isfinite(emf.value):
            recorded = store.nominal_v if emf.value is None else emf.value
            no_volts(built, item, recorded, emf.missing or ("unit_v",))
            return None
        inside = resistance_ohm(store)
        if inside.value is None:
            built.assumed.append(_("{name}: resistance not known, taken as none").format(name=name))
        elif inside.value < 0:
            told = _("{name} has a negative resistance; it is taken as none").format(name=name)
            built.wrong(item, told, is_contradiction=True)
        else:
            ohm = max(inside.value, LEAST_INSIDE_OHM)
            if inside.assumed:
                built.assumed.append(_("{name}: resistance by {how}").format(name=name, how=inside.how))
        if emf.assumed:
            built.assumed.append(_("{name}: volts by {how}").format(name=name, how=emf.how))
        volts, one_way = emf.value, False
    elif source.adapts:
        return _array(built, index, feed, record, positive, negative)
    else:
        found = volts_given(built, feed)
        if found is None:
            return None
        volts = found
        amps = _machine_a(built, record, everything)
        if machine:
            of_machine = _machine_a(built, built.snapshot.equipment[machine], everything)
            amps = min((a for a in (of_machine, source.limit_a) if a is not None), default=None)
        if amps is None:
            not_known(built, item, source.missing or ("rating_a",))
            return None
        limit = amps
    made = built.nets["dc"].source(positive, negative, volts, ohm, limit, one_way)
    return NetSource(
        item,
        index,
        "dc",
        made,
        False,
        source.terminal,
        source.conductor,
        source.nominal_v,
        volts,
        limit,
        store is not None,
    )


def no_volts(built: Netlist, item: str, volts: float | None, fields: tuple[str, ...]) -> None:
    name = built.name(item)
    if volts is None:
        gaps = tuple(f"{name}.{field}" for field in fields)
        told = _("{name}: its volts are not known: {gap} is not recorded").format(name=name, gap=", ".join(gaps))
        built.wrong(item, told, missing=gaps)
    else:
        told = _("{name} has {volts} V, so nothing flows from it").format(name=name, volts=number(volts))
        built.wrong(item, told, is_contradiction=True)


def not_known(built: Netlist, item: str, fields: tuple[str, ...]) -> None:
    """A source that is left out because nobody knows what it gives."""
    name = built.name(item)
    gaps = tuple(f"{name}.{field}" for field in fields)
    told = _("{name}: what it gives is not known: {gap} is not recorded").format(name=name, gap=", ".join(gaps))
    built.wrong(item, told, missing=gaps)


def volts_given(built: Netlist, feed: Feed) -> float | None:
    """Volts a charging source or a DC output holds: its highest, else nominal ones raised to charging volts."""
    source, name = feed.source, built.name(feed.equipment)
    if source.highest_v:
        return source.highest_v
    if not source.nominal_v:
        no_volts(built, feed.equipment, source.nominal_v, ("charge_v", "dc_v"))
        return None
    if not source.rotating:
        return source.nominal_v
    volts = source.nominal_v * OVER_NOMINAL
    built.assumed.append(
        _("{name}: charging volts not recorded, taken as {nominal} V × {factor} = {volts} V").format(
            name=name, nominal=number(source.nominal_v), factor=number(OVER_NOMINAL), volts=number(volts, 4)
        )
    )
    return volts


def _machine_a(built: Netlist, record: Equipment, everything: bool) -> float | None:
    """Most current of a machine: its hot output in the condition, else its rating."""
    machine = record.machine()
    if machine is None:
        return None
    hot = dict(machine.hot_a)
    rated = machine.rated_a
    if everything:
        return rated if rated is not None else max(hot.values(), default=None)
    return hot.get(built.operation.condition, hot.get("", rated))


def _array(built: Netlist, index: int, feed: Feed, record: Equipment, positive: int, negative: int) -> NetSource | None:
    """A solar array at its module's power: volts and current of its best point."""
    item, name = feed.equipment, built.name(feed.equipment)
    volts = feed.source.nominal_v
    harvest = record.harvest() or Harvest()
    limit = harvest.power_a
    if not volts or limit is None:
        not_known(built, item, harvest.missing)
        return None
    made = built.nets["dc"].source(positive, negative, volts, HELD_OHM, limit, True)
    built.assumed.append(_("{name}: gives its modules' power").format(name=name))
    return NetSource(item, index, "dc", made, False, feed.source.terminal, "+", volts, volts, limit, False, adapts=True)


# -- alternating current --------------------------------------------------------------------------------------------
def star(built: Netlist, feed: Feed, stars: dict[tuple[str, str, str], int]) -> int:
    """The neutral of a source; where none is drawn, a star point of its own for all its lines."""
    point = built.point(feed.equipment, feed.source.terminal, "N")[1]
    if point >= 0:
        return point
    key = feed.equipment, feed.source.terminal, feed.source.line
    if key not in stars:
        stars[key] = built.nets["ac"].point()
    return stars[key]


def angle(built: Netlist, feed: Feed, record: Equipment) -> float:
    """Degrees of a line: 0 and 180 of two, 0, -120, -240 of three."""
    source = feed.source
    lines = [
        f.source.conductor
        for f in built.circuit.feeds
        if f.equipment == feed.equipment
        and (f.source.terminal, f.source.line, f.source.positions) == (source.terminal, source.line, source.positions)
    ]
    if len(lines) == 1:
        relation = (record.converter() or Converter()).second_leg
        if relation is not None and source.line == "leg2":
            if relation == "opposed":
                return 180.0
            if not relation:
                name = built.name(feed.equipment)
                built.assumed.append(
                    _("{name}: {gap} is not recorded, both legs taken as in phase").format(
                        name=name, gap=f"{name}.legs_relation"
                    )
                )
        return 0.0
    place = ("L1", "L2", "L3").index(source.conductor)
    return -120.0 * place if "L3" in lines or len(lines) == 3 else 180.0 * place


def phasor(volts: float, degrees: float) -> complex:
    """Exact for 0 and 180 degrees."""
    if degrees in (0.0, 180.0):
        return complex(volts if degrees == 0.0 else -volts, 0.0)
    return volts * cmath.exp(1j * math.radians(degrees))


def alternating(
    built: Netlist,
    index: int,
    feed: Feed,
    record: Equipment,
    stars: dict[tuple[str, str, str], int],
    regulated: bool,
) -> NetSource | None:
    item, source = feed.equipment, feed.source
    if not source.nominal_v or not math.isfinite(source.nominal_v):
        if source.nominal_v is not None or not source.rotating or source.line != "stator":
            no_volts(built, item, source.nominal_v, ("ac_v",))
        return None
    z = _impedance(built, feed, record, regulated)
    limit = source.limit_a if source.limited and source.limit_a is not None else INF
    emf = phasor(source.nominal_v, angle(built, feed, record))
    positive, negative = built.at[feed.node][1], star(built, feed, stars)
    made = built.nets["ac"].source(positive, negative, emf, z, limit)
    return NetSource(
        item,
        index,
        "ac",
        made,
        False,
        source.terminal,
        source.conductor,
        source.nominal_v,
        emf,
        limit,
    )


def _impedance(built: Netlist, feed: Feed, record: Equipment, regulated: bool) -> complex:
    """Behind a line of a supply: what the prospective current ashore means; a generator's subtransient reactance."""
    machine, volts = record.machine(), feed.source.nominal_v or 0.0
    name = built.name(feed.equipment)
    if machine is not None and feed.source.rotating:
        if regulated:
            return HELD_OHM
        if machine.subtransient_pu and machine.rated_a:
            return complex(0.0, machine.subtransient_pu * volts / machine.rated_a)
    elif machine is not None and machine.short_circuit_a:
        return volts / machine.short_circuit_a
    told = _("{name}: impedance not recorded, its volts taken as held").format(name=name)
    if told not in built.assumed:
        built.assumed.append(told)
    return HELD_OHM
