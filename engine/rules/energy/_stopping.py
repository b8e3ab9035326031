"""What happens when a charging source loses its battery: who is harmed, who absorbs it, who is told to stop first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from engine.circuit.expand import Feed
from engine.equipment.base import LIVE
from engine.equipment.parting import BatteryLost
from engine.study import Study

__all__ = ["LITHIUM", "Told", "absorbers_for", "can_stop", "charging_feeds", "field_first", "harmed", "pieces"]

LITHIUM = ("LFP", "NMC", "other lithium")


class Told(NamedTuple):
    """Yes, no or not known, and then the fields that would tell."""

    value: bool | None
    missing: tuple[str, ...] = ()


def charging_feeds(study: Study) -> Iterator[tuple[Feed, BatteryLost]]:
    """Every positive that charges batteries, once for each piece of equipment, and what it does without one."""
    seen = set()
    for feed in study.circuit.feeds:
        lost = study.snapshot.equipment[feed.equipment].battery_lost()
        if lost is None or feed.source.system != "dc" or feed.equipment in seen:
            continue
        if study.circuit.nodes[feed.node].terminal == lost.terminal:
            seen.add(feed.equipment)
            yield feed, lost


def pieces(study: Study, item: str) -> dict[str, BatteryLost]:
    """A charging source and, where it is a rectifier drawn apart, the machines behind it."""
    record = study.snapshot.equipment[item]
    lost = record.battery_lost()
    made = {} if lost is None else {item: lost}
    if lost is None or lost.form != "machine":
        return made
    for conversion in record.conversions():
        for conductor in LIVE:
            node = study.circuit.node(item, conversion.source, conductor)
            for feed in study.volts.at(node).feeds:
                behind = study.snapshot.equipment[feed.equipment].battery_lost()
                if behind is not None and behind.form == "machine":
                    made.setdefault(feed.equipment, behind)
    return made


def harmed(study: Study, item: str) -> Told:
    """Whether losing its battery harms it: it is spared where its rectifier or its machine is made to survive that."""
    parts = pieces(study, item)
    if any(lost.harmed is False for lost in parts.values()):
        return Told(False)
    missing = tuple(
        f"{study.name(one)}.{lost.field}" for one, lost in parts.items() if lost.harmed is None and lost.field
    )
    return Told(None, missing) if any(lost.harmed is None for lost in parts.values()) else Told(True)


def field_first(study: Study, item: str) -> Told:
    """Whether its own field is opened before its battery can be cut off."""
    parts = pieces(study, item)
    if any(lost.field_first for lost in parts.values()):
        return Told(True)
    missing = tuple(f"{study.name(one)}.field_opens_first" for one, lost in parts.items() if lost.field_first is None)
    return Told(None, missing) if missing else Told(False)


def absorbers_for(study: Study, item: str) -> tuple[dict[str, int], tuple[str, ...]]:
    """Surge absorbers that are large enough for it, and fields that would tell of others."""
    rated = [study.snapshot.equipment[one].machine() for one in pieces(study, item)]
    amps = max((m.rated_a for m in rated if m is not None and m.rated_a is not None), default=None)
    fit, missing = {}, []
    for absorber, node in study.battery_ways.absorbers.items():
        lost = study.snapshot.equipment[absorber].battery_lost()
        largest = None if lost is None else lost.largest_a
        if largest is None:
            missing.append(f"{study.name(absorber)}.largest_alternator_a")
        elif amps is None:
            missing.append(f"{study.name(item)}.rating_a")
        elif largest >= amps:
            fit[absorber] = node
    return fit, tuple(missing)


def can_stop(study: Study, bank: str, item: str) -> Told:
    """Whether the battery management of a bank can tell a charging source to stop before it disconnects."""
    equipment = study.snapshot.equipment
    controls = {other for other, record in equipment.items() if item in record.regulates()}
    family = {*pieces(study, item), *controls}
    controls |= {other for other, record in equipment.items() if set(record.regulates()) & family}
    family |= controls
    bms = _told_by_bms(study, bank, family)
    obeys = {one: lost.obeys_stop for one in family if (lost := equipment[one].battery_lost()) is not None}
    if any(obeys.values()):
        heeds = Told(True)
    else:
        # a rectifier has no such field: it does what its machine does
        open_ones = sorted(study.name(one) for one, told in obeys.items() if told is None and _has(study, one))
        heeds = Told(None, tuple(f"{name}.obeys_stop" for name in open_ones)) if open_ones else Told(False)
    if bms.value is False or heeds.value is False:
        return Told(False)
    missing = (*bms.missing, *heeds.missing)
    return Told(None, missing) if missing else Told(True)


def _has(study: Study, item: str) -> bool:
    return hasattr(study.snapshot.equipment[item], "obeys_stop")


def _told_by_bms(study: Study, bank: str, family: set[str]) -> Told:
    said: list[Told] = []
    for other, record in study.snapshot.equipment.items():
        governs = record.governs()
        if governs is None or bank not in governs.banks:
            continue
        listed = {*governs.stops, *governs.sets}
        if governs.linked is False:
            said.append(Told(False))
        elif listed:
            said.append(Told(bool(listed & family)))
        elif governs.stops_first is None:
            said.append(Told(None, (f"{study.name(other)}.stops_sources_first",)))
        else:
            said.append(Told(governs.stops_first))
    if not said:
        store = study.snapshot.equipment[bank].store()
        first = None if store is None else store.stops_sources_first
        return Told(first, (f"{study.name(bank)}.stops_sources_first",) if first is None else ())
    if any(one.value for one in said):
        return Told(True)
    open_ones = [one for one in said if one.value is None]
    return Told(None, tuple(m for one in open_ones for m in one.missing)) if open_ones else Told(False)
