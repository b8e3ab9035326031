"""Converters: a source that keeps to their limit, and a load that follows what they give."""

from __future__ import annotations

import math

from engine.circuit.expand import Feed
from engine.circuit.flow._draws import pairs_of
from engine.circuit.flow._supplies import HELD_OHM, INF, angle, feeds, no_volts, not_known, phasor, star, volts_given
from engine.circuit.flow.netlist import NetConversion, Netlist, NetLoad, NetSource
from engine.circuit.solve.network import POWER
from engine.equipment.base import Conversion, Equipment
from engine.equipment.behaviour import Converter
from engine.words import _

__all__ = ["add_input", "conversion_of", "output", "works"]


def conversion_of(built: Netlist, record: Equipment, feed: Feed) -> Conversion | None:
    """The conversion that gives what comes out there, in the position it stands in."""
    if feed.source.in_step or feed.source.line == "reverse":
        return None
    for conversion in record.conversions():
        if conversion.target == feed.source.terminal and built.holds(feed.equipment, conversion.positions):
            return conversion
    return None


def works(built: Netlist, record: Equipment, feed: Feed, conversion: Conversion) -> bool:
    """Whether a converter is at work: where nobody recorded what runs, nothing charges."""
    if _is_joined(built, feed, conversion):
        return False  # what stands at its input flows through it as it is
    running = built.operation.running
    converter = record.converter() or Converter()
    if running is None:
        from_ac = built.point(feed.equipment, conversion.source, "+") == ("", -1)
        return not (feed.source.system == "dc" and (from_ac or converter.charges))
    if converter.runs_when == "commanded" and feed.equipment not in running:
        told = _("{name} runs when commanded; it is taken as running").format(name=built.name(feed.equipment))
        if told not in built.assumed:
            built.assumed.append(told)
    if converter.runs_when == "engine runs":
        equipment = built.snapshot.equipment
        return any(item in equipment and equipment[item].WITH_ENGINE for item in running)
    return True


def _is_joined(built: Netlist, feed: Feed, conversion: Conversion) -> bool:
    """Whether its input and its output are one conductor now."""
    if feed.source.system != "dc":
        return False
    given = built.at[feed.node][1]
    taken = built.point(feed.equipment, conversion.source, "+")[1]
    if taken < 0:
        return False
    net = built.nets["dc"]
    return any(
        {net.a[branch], net.b[branch]} == {given, taken} for system, branch in built.link.values() if system == "dc"
    )


def output(
    built: Netlist,
    index: int,
    feed: Feed,
    record: Equipment,
    conversion: Conversion,
    stars: dict[tuple[str, str, str], int],
) -> NetSource | None:
    """What a converter gives: volts held up to its limit."""
    item, source, name = feed.equipment, feed.source, built.name(feed.equipment)
    positive = built.at[feed.node][1]
    z: complex = HELD_OHM
    emf: complex
    limit = source.limit_a if source.limit_a is not None and source.limited is not False else INF
    if source.system == "dc":
        negative = built.negative(item, source.terminal)
        if negative is None or negative == positive:
            built.wrong(item, _("{name} has no negative, so nothing can flow from it").format(name=name))
            return None
        volts = volts_given(built, feed)
        if volts is None:
            return None
        emf = volts
        if source.limit_a is not None:
            limit = source.limit_a
        elif source.highest_v and source.highest_v > (source.nominal_v or 0.0):
            not_known(built, item, source.missing)
            return None
    else:
        if not source.nominal_v or not math.isfinite(source.nominal_v):
            no_volts(built, item, source.nominal_v, ("ac_v",))
            return None
        emf = phasor(source.nominal_v, angle(built, feed, record))
        negative = star(built, feed, stars)
        if conversion.both_ways:
            # taken as resistance, which drops the more
            z = (record.converter() or Converter()).winding_ohm(source.nominal_v) or HELD_OHM
    made = built.nets[source.system].source(positive, negative, emf, z, limit, not conversion.both_ways)
    return NetSource(
        item,
        index,
        source.system,
        made,
        True,
        source.terminal,
        source.conductor,
        source.nominal_v,
        emf,
        limit,
    )


def add_input(built: Netlist, item: str, terminal: str, conversion: Conversion, outputs: list[int]) -> None:
    """The load that a converter's output is at its input; its power is found while the networks are solved."""
    record = built.snapshot.equipment[item]
    name = built.name(item)
    nominal = record.nominal_volts(terminal)
    system, pairs = pairs_of(built, item, terminal, nominal[0] if nominal else "", ())
    if not pairs:
        built.wrong(item, _("{name}: nothing is joined to its input").format(name=name))
        return
    missing: list[str] = []
    if conversion.efficiency is None and conversion.ratio is None and not conversion.both_ways:
        field = "charger_efficiency" if conversion.source == "ac_in" else "efficiency"
        missing.append(f"{name}.{field}")
    converter = record.converter() or Converter()
    factor = converter.power_factor
    if system == "ac" and factor is None:
        missing.append(f"{name}.power_factor")
    tangent = math.tan(math.acos(min(1.0, factor))) if system == "ac" and factor else 0.0
    across = nominal[1] if nominal and nominal[1] else None
    minimum = converter.lowest_dc_v if system == "dc" else converter.lowest_ac_v
    loads = []
    for positive, negative, _share, volts_share in pairs:
        floor = minimum if minimum is not None else (across / 2 if across else 0.0)
        made = built.nets[system].load(positive, negative, POWER, 0.0, floor * volts_share)
        loads.append(len(built.loads))
        volts = None if across is None else across * volts_share
        built.loads.append(NetLoad(item, terminal, system, made, True, tuple(missing), volts, not missing, False))
    arrays = tuple(
        index
        for index, source in enumerate(built.sources)
        if source.adapts and feeds(built, (source.equipment, source.terminal, "+"), (item, terminal, "+"))
    )
    built.conversions.append(
        NetConversion(
            item,
            terminal,
            tuple(loads),
            tuple(outputs),
            conversion.efficiency,
            tangent,
            arrays,
            converter.charge_a if len(outputs) > 1 else None,
            conversion.both_ways,
            across,
        )
    )
