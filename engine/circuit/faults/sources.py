"""What stands behind each source when it is short-circuited: at most, and at least.

What is recorded comes first: a battery maker's short-circuit current, a generator's x''d (``Isc = In / x''d``), the
prospective current ashore, the current a converter or a machine limits itself to. Else the method for its kind, said
in `Behind.how` and flagged: a battery by its chemistry (`engine.books.batteries`), a machine by the multipliers of
46 CFR 111.52-3 (`tables/fault-methods.toml`). What cannot be said at all is `missing`.
"""

from __future__ import annotations

import functools
import tomllib
from typing import Any, NamedTuple

from engine.books import FOLDER, Book
from engine.books.ampacity import amps
from engine.books.batteries import emf_v, resistance_ohm, short_circuit_a
from engine.circuit.expand import Feed
from engine.equipment.base import Equipment
from engine.equipment.behaviour import Converter, Machine
from engine.units import number
from engine.words import _

__all__ = ["HELD_OHM", "Behind", "assumed_fault_a", "least", "method", "most", "opens_at_multiple", "transformed"]

HELD_OHM = 1e-4  # behind volts that electronics hold, or of which no impedance is known
ORDINARY = "no-protection"  # the rule whose option says what an ordinary alternator does


class Behind(NamedTuple):
    """A source as a fault sees it: volts behind an impedance, never more than `limit_a`."""

    volts: float
    ohm: complex
    limit_a: float = float("inf")
    how: str = ""
    assumed: bool = False
    missing: tuple[str, ...] = ()  # fields of the equipment without which its part is not known
    lasts: bool | None = True  # whether it keeps its current up
    by_multiplier: bool = False
    bounded: tuple[str, ...] = ()  # fields of the equipment that could make its part smaller


@functools.cache
def method(name: str) -> dict[str, Any]:
    """One of the stated methods."""
    with (FOLDER / "tables" / "fault-methods.toml").open("rb") as file:
        found: dict[str, Any] = tomllib.load(file)[name]
    return found


def opens_at_multiple() -> float:
    """Multiple of its rating above which a device inside a source is promised to open."""
    return float(method("opens")["multiple"])


def assumed_fault_a(system: str, generators_a: float, motors_a: float, average: bool = False) -> float:
    """Fault current by 46 CFR 111.52-3, A, of rated currents; AC asymmetrical, the largest or the average."""
    table = method("46 CFR 111.52-3")
    which = "_average" if average and system == "ac" else ""
    return float(table[f"{system}_generator{which}"] * generators_a + table[f"{system}_motor{which}"] * motors_a)


# -- at most --------------------------------------------------------------------------------------------------------
def most(feed: Feed, record: Equipment, book: Book) -> Behind:
    """The largest it gives: full, cold, just after the fault."""
    source, machine, store = feed.source, record.machine(), record.store()
    if store is not None:
        full, short = emf_v(store, "full"), short_circuit_a(store)
        if full.value is None or not full.value > 0:
            return Behind(0.0, HELD_OHM, missing=full.missing or ("unit_v",))
        if short.value is None or not short.value > 0:
            return Behind(full.value, HELD_OHM, missing=short.missing or ("short_circuit_a",))
        how = _("{amps}, {how}").format(amps=amps(short.value), how=short.how)
        return Behind(full.value, full.value / short.value, how=how, assumed=short.assumed)
    volts = _volts(feed)
    if source.line == "shore":
        return _ashore(machine, volts, record)
    if source.rotating and machine is not None:
        return (
            _alternating_machine(machine, feed, volts)
            if source.system == "ac"
            else _direct_machine(machine, feed, volts, book)
        )
    return _limited(feed, volts)


def _volts(feed: Feed) -> float:
    """Open-circuit volts, 0 where none are recorded: those of a charging source are its highest."""
    source = feed.source
    if source.highest_v:
        return source.highest_v
    over = float(method("charging")["over_nominal"]) if source.system == "dc" and source.rotating else 1.0
    return (source.nominal_v or 0.0) * over


def _ashore(machine: Machine | None, volts: float, record: Equipment) -> Behind:
    field = "fault_a" if hasattr(record, "fault_a") else "supply_fault_a"
    if machine is None or not machine.short_circuit_a or not volts:
        return Behind(volts, HELD_OHM, missing=(field,) if volts else ("ac_v",))
    how = _("{amps}, recorded at the outlet").format(amps=amps(machine.short_circuit_a))
    return Behind(volts, volts / machine.short_circuit_a, how=how)


def _alternating_machine(machine: Machine, feed: Feed, volts: float) -> Behind:
    rated = machine.rated_a
    if feed.source.limited and rated:
        return Behind(volts, HELD_OHM, rated, _("limits itself to {amps}").format(amps=amps(rated)))
    if not volts or not rated:
        return Behind(volts, HELD_OHM, missing=("rating_a",) if volts else ("ac_v",))
    if machine.subtransient_pu:
        short = rated / machine.subtransient_pu
        how = _("{rated} / x''d {reactance} = {amps}").format(
            rated=amps(rated), reactance=number(machine.subtransient_pu), amps=amps(short)
        )
        return Behind(volts, 1j * volts / short, how=how)
    short = max(assumed_fault_a("ac", rated, 0.0), machine.short_circuit_a or 0.0)
    return Behind(
        volts, 1j * volts / short, how=_multiplied("ac_generator", rated, short), assumed=True, by_multiplier=True
    )


def _direct_machine(machine: Machine, feed: Feed, volts: float, book: Book) -> Behind:
    rated, source = machine.rated_a, feed.source
    if machine.short_circuit_a:
        how = _("{amps}, recorded").format(amps=amps(machine.short_circuit_a))
        return Behind(volts, HELD_OHM, machine.short_circuit_a, how)
    if rated is None:
        return Behind(volts, HELD_OHM, missing=("rating_a",))
    if source.limited:
        return Behind(volts, HELD_OHM, rated, _("limits itself to {amps}").format(amps=amps(rated)))
    if source.is_ordinary_alternator() and book.option(ORDINARY, "ordinary_alternator_limits_itself", False):
        how = _("an ordinary alternator, taken as limiting itself to {amps}").format(amps=amps(rated))
        return Behind(volts, HELD_OHM, rated, how, assumed=True)
    short = assumed_fault_a("dc", rated, 0.0)
    return Behind(
        volts,
        volts / short if short and volts else HELD_OHM,
        short,
        _multiplied("dc_generator", rated, short),
        True,
        by_multiplier=True,
    )


def _multiplied(which: str, rated: float, short: float) -> str:
    return _("46 CFR 111.52-3: {times} × {rated} = {amps}").format(
        times=number(method("46 CFR 111.52-3")[which]), rated=amps(rated), amps=amps(short)
    )


def _limited(feed: Feed, volts: float) -> Behind:
    """Electronics and solar cells: their limit."""
    source = feed.source
    limit = source.limit_a
    if source.limited is False or limit is None:
        fields = source.missing or (("self_limiting",) if source.limited is False else ())
        return Behind(volts, HELD_OHM, missing=fields or ("output_limit_a",))
    if source.limited:
        return Behind(volts, HELD_OHM, limit, _("limits itself to {amps}").format(amps=amps(limit)))
    how = _("taken as limiting itself to {amps}").format(amps=amps(limit))
    return Behind(volts, HELD_OHM, limit, how, assumed=True)


def transformed(record: Equipment, feed: Feed, ratio: float, before: complex, least_of_all: bool) -> Behind:
    """The secondary of a transformer: its winding, and what stands before it times the square of the ratio.

    `ratio` is volts out to volts in; `before` ohms between the lines of its primary.
    """
    volts = feed.source.nominal_v or 0.0
    converter = record.converter() or Converter()
    percent, power_va = converter.impedance_percent, converter.rated_va
    behind = before * ratio * ratio
    if not volts:
        return Behind(0.0, HELD_OHM, missing=feed.source.missing or ("secondary_v",))
    winding = converter.winding_ohm(volts)
    if winding is not None and percent and power_va:
        how = _("what feeds its primary through {percent} % of {power} VA").format(
            percent=number(percent), power=number(power_va, 6)
        )
        return Behind(volts, winding + behind, how=how)
    if least_of_all:
        return Behind(volts, HELD_OHM, missing=("power_va",) if percent else ("impedance_percent",))
    how = _("what feeds its primary; the transformer's own impedance, not recorded, taken as none")
    return Behind(volts, behind, how=how, assumed=True, bounded=("impedance_percent",))


# -- at least -------------------------------------------------------------------------------------------------------
def least(feed: Feed, record: Equipment, book: Book) -> Behind:
    """The smallest it gives into a lasting fault: a nearly empty battery, a generator's sustained current."""
    source, machine, store = feed.source, record.machine(), record.store()
    if store is not None:
        low, ohm, full, short = (
            emf_v(store, "lowest"),
            resistance_ohm(store),
            emf_v(store, "full"),
            short_circuit_a(store),
        )
        if low.value is None or not low.value > 0:
            return Behind(0.0, HELD_OHM, missing=low.missing or ("unit_v",))
        if ohm.value is None or ohm.value < 0:
            return Behind(low.value, HELD_OHM, missing=ohm.missing or ("internal_resistance_ohm",))
        # where the recorded resistance and short-circuit current contradict each other, what gives less
        inside = max(ohm.value, full.value / short.value if full.value and short.value else 0.0)
        how = _("{volts} V behind {ohm} mΩ").format(volts=number(low.value, 4), ohm=number(inside * 1000, 3))
        return Behind(low.value, inside, how=how, assumed=ohm.assumed or low.assumed)
    volts = _volts(feed)
    if source.line == "shore":
        return _ashore(machine, source.nominal_v or volts, record)
    if source.rotating and machine is not None and source.system == "ac":
        return _sustained(machine, feed, volts)
    if source.rotating and machine is not None:
        found = _direct_machine(machine, feed, volts, book)
        if found.by_multiplier and machine.rated_a:
            # what it can be made to give is not what it surely gives: its rating is the least that is known
            return found._replace(ohm=HELD_OHM, limit_a=machine.rated_a, lasts=None)
        return found
    found = _limited(feed, volts)
    return found._replace(lasts=False) if source.line == "bridge" else found


def _sustained(machine: Machine, feed: Feed, volts: float) -> Behind:
    short = machine.short_circuit_a
    if not volts:
        return Behind(0.0, HELD_OHM, missing=("ac_v",))
    if short:
        how = _("{amps} sustained, recorded").format(amps=amps(short))
        return Behind(volts, 1j * volts / short, how=how)
    if feed.source.limited and machine.rated_a:
        how = _("limits itself to {amps}").format(amps=amps(machine.rated_a))
        return Behind(volts, HELD_OHM, machine.rated_a, how)
    if machine.synchronous_pu and machine.rated_a:
        short = machine.rated_a / machine.synchronous_pu
        how = _("{rated} / xd {reactance} = {amps}").format(
            rated=amps(machine.rated_a), reactance=number(machine.synchronous_pu), amps=amps(short)
        )
        return Behind(volts, 1j * volts / short, how=how)
    return Behind(volts, HELD_OHM, missing=("short_circuit_a",))
