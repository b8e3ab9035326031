"""The protective device of a circuit: large enough for what flows, small enough for what stands behind it."""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec

from engine.books.ampacity import amps, at_most
from engine.circuit.conductors import RATING
from engine.circuit.faults.curves import clearing
from engine.circuit.in_series import in_series
from engine.equipment.base import LIVE, Equipment
from engine.sizing.basis import ALIKE, Basis, Carried
from engine.sizing.feeds import feeds_one, full_power
from engine.sizing.results import Answer, Reason
from engine.units import number
from engine.words import _

__all__ = ["device", "load_share", "suiting"]

LOAD = "rating-below-load"


def load_share(b: Basis) -> float:
    """The share of its rating that a device carries continuously; all of it where the book says nothing."""
    limit = b.study.book.limit(LOAD, "share")
    return limit.value if limit is not None and 0 < limit.value <= 1 else 1.0


Stands = Callable[[float], bool]


def stands_start(b: Basis, item: str) -> Stands | None:
    """Whether a rating stays closed while the motor starts that a run or a device alone feeds; `None`: no such motor.

    The time is that of the device there is, at another rating; where its band is not known nothing is said.
    """
    runs = [item] if item in b.snapshot.runs else [run for run, _side in _behind(b, item)]
    alone = next((one for run in runs if (one := feeds_one(b, run)) is not None), None)
    use = b.snapshot.equipment[alone[0]].use() if alone is not None else None
    if alone is None or use is None or not use.is_motor or use.starting_a is None:
        return None
    starting_a, limit = use.starting_a, b.study.book.limit(LOAD, "longest_start")
    seconds = use.starting_s if use.starting_s is not None else (limit.value if limit is not None else 1.0)
    way = [b.snapshot.equipment[d] for d in _before(b, item, alone)]
    record = next((r for r in way if (t := r.trip()) is not None and hasattr(r, t.rating_field)), None)
    if record is None:
        return None
    trip = record.trip()
    assert trip is not None  # chosen for having one

    def stands(rating: float) -> bool:
        tried = msgspec.structs.replace(record, **{trip.rating_field: rating})
        fastest = clearing(tried, starting_a).fastest_s
        return fastest is None or fastest >= seconds

    return stands


def _before(b: Basis, item: str, load: tuple[str, str]) -> list[str]:
    """The device asked about, or those in series with a load."""
    if item in b.snapshot.equipment:
        return [item]
    node = next(
        (n for c in LIVE if (n := b.study.circuit.node(load[0], load[1], c)) is not None),
        None,
    )
    return [] if node is None else list(in_series(b.study.coverage, node, load[0]))


def suiting(
    b: Basis, allowed_a: float, carried: Carried, protects: str, stands: Stands | None = None
) -> tuple[float | None, str]:
    """The smallest standard rating that carries the load and is not above what is allowed, and why.

    Where the usual margin leaves none, the largest that is allowed and still carries the load.
    """
    share = load_share(b)
    standard = sorted(b.study.book.standard_ratings_a)
    limit = at_most(allowed_a)
    if carried.amps <= ALIKE or carried.missing or not standard:
        return None, _(
            "what it carries is not known in full; {protects} may have one device of {limit} or less"
        ).format(protects=protects, limit=limit)
    wanted = carried.amps / share
    allowed = [r for r in standard if r <= allowed_a * (1 + ALIKE)]
    carries = [r for r in allowed if r >= wanted * (1 - ALIKE)]
    stays = [r for r in carries if stands is None or stands(r)]
    enough = next(iter(stays), None)
    if enough is not None and stands is not None and enough != carries[0]:
        words = _("carries {load} and stays closed while its motor starts; {protects} may have {limit} or less")
    elif enough is not None:
        words = _("carries {load} at {share} % of its rating; {protects} may have {limit} or less")
    elif carries:
        enough = carries[-1]
        words = _(
            "carries {load}; the largest that {protects} may have ({limit}), and it may open while its motor starts"
        )
    else:
        enough = next((r for r in reversed(allowed) if r >= carried.amps * (1 - ALIKE)), None)
        if enough is None:
            return None, _(
                "no standard rating carries {load} and protects {protects}, which may have {limit} or less"
            ).format(load=amps(carried.amps), protects=protects, limit=limit)
        words = _("carries {load}, with less than the usual margin to {share} %; {protects} may have {limit} or less")
    return enough, words.format(load=amps(carried.amps), share=number(100 * share), protects=protects, limit=limit)


def device(b: Basis, item: str) -> Answer | None:
    """The rating of a protective device for its circuit as it is; `None` for what is none or has no rating to set."""
    record = b.snapshot.equipment[item]
    trip = record.trip()
    if trip is None or not hasattr(record, trip.rating_field):
        return None
    study, name = b.study, b.study.name(item)
    carried = _carried(b, item)
    allowed, protects = _allowed(b, item)
    reasons: list[Reason] = []
    needed: float | None = None
    share, rating = load_share(b), trip.rating_a
    gaps = list(carried.missing)
    if carried.amps > ALIKE:
        reasons.append(
            Reason(
                name="load",
                needs=f"{amps(carried.amps / share)}",
                arithmetic=_("{load} in {condition} / {share}").format(
                    load=amps(carried.amps), condition=carried.condition, share=number(share)
                ),
                clause=study.book.clause(LOAD),
                missing=carried.missing,
            )
        )
    if allowed is not None:
        reasons.append(
            Reason(
                name="conductor behind it",
                needs=at_most(allowed),
                arithmetic=_("{run} may have one device of {limit}").format(run=protects, limit=at_most(allowed)),
                clause=study.book.clause(RATING),
            )
        )
    largest = _largest(b, item)
    if largest is not None and (allowed is None or largest[0] < allowed):
        allowed = largest[0]
        reasons.append(
            Reason(
                name="equipment behind it",
                needs=at_most(allowed),
                arithmetic=_("{name} allows {limit}").format(name=study.name(largest[1]), limit=at_most(allowed)),
            )
        )
        protects = study.name(largest[1])
    why = ""
    if allowed is not None:
        needed, why = suiting(b, allowed, carried, protects, stands_start(b, item))
    else:
        gaps.append(f"{name}.{trip.rating_field}") if rating is None else None
    suffices: bool | None = None
    if rating is not None and allowed is not None:
        if rating > allowed * (1 + ALIKE) or rating < carried.amps * (1 - ALIKE):
            suffices = False
        elif not gaps:
            suffices = True
    keep = suffices is True
    shown = f"{number(rating, 6)} A" if rating is not None else ""
    asked = "" if needed is None else f"{number(needed, 6)} A"
    decided = "" if needed is None else ("load" if carried.amps > ALIKE else reasons[-1].name)
    return Answer(
        item=item,
        designation=name,
        what="protective device",
        has=shown,
        needs=shown if keep else asked,
        suffices=suffices,
        decided_by=decided,
        reasons=tuple(reasons),
        device_a=rating if keep else needed,
        device_why=why,
        condition=carried.condition,
        fields=((trip.rating_field, needed),) if needed is not None and not keep and needed != rating else (),
        missing=tuple(dict.fromkeys(gaps)),
    )


def _carried(b: Basis, item: str) -> Carried:
    """The most that passes it; the full power of an inverter that it alone feeds."""
    carried = b.device_amps.get(item, Carried())
    behind = _behind(b, item)
    fed = {run for run, _side in behind}
    for run in sorted(fed):
        alone = feeds_one(b, run)
        full = full_power(b, *alone) if alone is not None else None
        if full is not None and full.amps is not None and full.amps > carried.amps:
            carried = carried._replace(amps=full.amps, condition=_("full power"))
    return carried


def _behind(b: Basis, item: str) -> list[tuple[str, str]]:
    """Runs on the load side of a device, up to the next devices, and the equipment each ends at.

    The load side is where current goes in the condition with most of it; both sides where none flows.
    """
    study, circuit = b.study, b.study.circuit
    away: set[str] = set()
    most = 0.0
    for situation in b.situations:
        for told in situation.flow.devices:
            if told.equipment == item:
                for first, second, conductor, current in told.paths:
                    if conductor in LIVE and abs(current) > most * (1 + ALIKE):
                        most, away = abs(current), {second if current > 0 else first}
    starts = [
        n
        for n, node in enumerate(circuit.nodes)
        if node.equipment == item and node.conductor in LIVE and (not away or node.terminal in away)
    ]
    near: dict[int, list[tuple[int, str, bool]]] = {}
    for wire in circuit.wires:
        near.setdefault(wire.a, []).append((wire.b, wire.run, False))
        near.setdefault(wire.b, []).append((wire.a, wire.run, False))
    for link in circuit.links:
        stops = link.protection is not None or link.equipment == item
        near.setdefault(link.a, []).append((link.b, "", stops))
        near.setdefault(link.b, []).append((link.a, "", stops))
    guarded = {n for link in circuit.links if link.protection is not None for n in (link.a, link.b)}
    distances = study.coverage.values.distances
    found: list[tuple[str, str]] = []
    seen, row = set(starts), list(starts)
    for here in row:
        for there, run, stops in near.get(here, ()):
            if there in seen or stops or circuit.nodes[there].conductor not in LIVE:
                continue
            seen.add(there)
            record = b.snapshot.runs.get(run)
            if record is not None:
                length = record.length_m
                is_tap = there in guarded and length is not None and length <= distances.bare * (1 + 1e-9)
                if not is_tap:
                    found.append((run, circuit.nodes[there].equipment))
            if there not in guarded:
                row.append(there)
    return found


def _allowed(b: Basis, item: str) -> tuple[float | None, str]:
    """The largest rating that every conductor behind it may have, and the run that decides."""
    conductors = b.study.coverage.conductors
    least, decides = math.inf, ""
    ends = {run for run, _side in _behind(b, item)}
    for wire in b.study.circuit.wires:
        run = b.snapshot.runs[wire.run]
        if wire.run not in ends or wire.conductor not in LIVE or not run.size:
            continue
        if run.exempt == "cranking" or run.status == "to remove":
            continue
        single = conductors.limits(wire.run, wire.a).single_low
        if single < least:
            least, decides = single, b.study.name(wire.run)
    return (None, "") if math.isinf(least) else (least, decides)


def _largest(b: Basis, item: str) -> tuple[float, str] | None:
    """The least of what makers of the equipment it feeds allow."""
    found = [
        (limit, side)
        for _run, side in _behind(b, item)
        if (limit := b.snapshot.equipment[side].largest_device_a) is not None
        # a maker names one figure: of equipment with several inputs it is not said which it is for
        and len(_inputs(b.snapshot.equipment[side])) == 1
    ]
    return min(found, default=None)


def _inputs(record: Equipment) -> set[str]:
    return {c.source for c in record.conversions()} | {d.terminal for d in record.draws()}
