"""The rows of the table of loads: every consumer, with or without hours, and what converters take. No Qt."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from app.judgement import FlowFigures
from app.window.table.rows import natural
from engine.circuit.energy.results import Energy, LoadEnergy
from engine.circuit.energy.supply import watts_of
from engine.circuit.flow.operating import STARTER, operation
from engine.equipment.base import Equipment
from engine.installation import Snapshot
from engine.units import number, show
from engine.words import _

__all__ = ["LoadRow", "Totals", "load_rows", "totals", "totals_words"]


class LoadRow(NamedTuple):
    """A consumer in a condition. `None`: not known, or not worked out."""

    item: str
    name: str
    label: str
    watts: float | None
    hours: float | None
    share: float
    wh: float | None
    bank_wh: float | None
    bank_ah: float | None
    fed: str  # bank and converters on the way, or the source it lives on
    volts: str  # at its terminals, and what is lost on the way
    missing: tuple[str, ...] = ()
    is_own: bool = False  # what a converter takes for itself: it has no hours to fill in


class Totals(NamedTuple):
    """Sums over what is known, and of how many rows something is not."""

    with_hours: int
    wh: float
    bank_wh: float
    unknown: int


def load_rows(snapshot: Snapshot, condition: str, energy: Energy | None, flow: FlowFigures | None) -> list[LoadRow]:
    """Every consumer by designation, then what has no hours to fill in."""
    hours = operation(snapshot, condition).hours
    found: dict[str, list[LoadEnergy]] = {}
    for load in energy.loads if energy is not None else ():
        found.setdefault(load.equipment, []).append(load)
    volts = {bank.bank: bank.nominal_v for bank in energy.banks} if energy is not None else {}
    rows = []
    for item, record in snapshot.equipment.items():
        use = record.use()
        if use is not None and use.service != STARTER and record.status != "spare":
            share = 1.0 if use.duty_share is None else use.duty_share
            rows.append(_row(snapshot, item, record, hours.get(item), share, found.get(item, []), volts, flow))
    rows.sort(key=lambda row: natural(row.name))
    own = [
        _row(snapshot, item, snapshot.equipment[item], some[0].hours_a_day, some[0].share, some, volts, flow, own=True)
        for item, some in found.items()
        if item in snapshot.equipment and snapshot.equipment[item].use() is None
    ]
    return rows + sorted(own, key=lambda row: natural(row.name))


def _row(
    snapshot: Snapshot,
    item: str,
    record: Equipment,
    hours: float | None,
    share: float,
    found: list[LoadEnergy],
    volts: Mapping[str, float | None],
    flow: FlowFigures | None,
    *,
    own: bool = False,
) -> LoadRow:
    watts = _sum([load.watts for load in found]) if found else _rated_watts(record)
    bank_wh = _sum([load.bank_wh for load in found]) if found and hours else None
    bank = found[0].bank if found else ""
    nominal = volts.get(bank)
    at = flow.loads.get(item) if flow is not None else None
    arrives = "" if at is None or at.volts is None else show(at.volts, "V")
    if arrives and at is not None and at.drop_pct is not None:
        arrives = _("{volts}, {drop} % lost").format(volts=arrives, drop=number(round(at.drop_pct, 1)))
    return LoadRow(
        item,
        snapshot.name(item),
        record.label,
        watts,
        hours,
        share,
        _sum([load.wh_a_day for load in found]) if found and hours else None,
        bank_wh if bank else None,
        bank_wh / nominal if bank and bank_wh is not None and nominal else None,
        _fed(snapshot, found) if hours or own else "",
        arrives,
        tuple(dict.fromkeys(field for load in found for field in load.missing)),
        own,
    )


def _sum(some: list[float | None]) -> float | None:
    return None if any(each is None for each in some) else sum(each for each in some if each is not None)


def _rated_watts(record: Equipment) -> float | None:
    """What it draws at the volts it is made for."""
    some = []
    for draw in record.draws():
        made_for = record.nominal_volts(draw.terminal)
        some.append(watts_of(record, draw, None if made_for is None else made_for[1]))
    return _sum(some) if some else None


def _fed(snapshot: Snapshot, found: list[LoadEnergy]) -> str:
    if not found:
        return ""
    first = found[0]
    ways = [
        _("{name}, {percent} % efficient").format(name=snapshot.name(item), percent=number(100 * efficiency, 2))
        for item, efficiency in first.chain
    ]
    feeds = snapshot.name(first.bank or first.source) if first.bank or first.source else _("nothing feeds it")
    return _("{source} through {ways}").format(source=feeds, ways=", ".join(ways)) if ways else feeds


def totals(rows: list[LoadRow]) -> Totals:
    """Sums of the rows that have hours."""
    some = [row for row in rows if row.hours]
    wh = sum(row.wh or 0.0 for row in some)
    bank = sum(row.bank_wh or 0.0 for row in some)
    return Totals(len(some), wh, bank, sum(row.wh is None or bool(row.missing) for row in some))


def totals_words(sums: Totals) -> str:
    """The sums in a sentence."""
    if not sums.with_hours:
        return _("No load has hours in this condition.")
    told = _("{n} with hours: {wh} Wh a day at the loads, {bank} Wh a day from the banks.").format(
        n=sums.with_hours, wh=number(sums.wh), bank=number(sums.bank_wh)
    )
    if sums.unknown:
        more = _("Of {n} something is not known: the sums are least values.").format(n=sums.unknown)
        return f"{told} {more}"
    return told
