"""The protective device of a circuit: large enough for what flows, small enough for what stands behind it."""

from __future__ import annotations

import math

from engine.books.ampacity import amps, at_most
from engine.circuit.conductors import RATING
from engine.equipment.base import LIVE
from engine.sizing.basis import ALIKE, Basis, Carried
from engine.sizing.feeds import full_power
from engine.sizing.results import Answer, Reason
from engine.units import number
from engine.words import _

__all__ = ["device", "load_share", "suiting"]

LOAD = "rating-below-load"


def load_share(b: Basis) -> float:
    """The share of its rating that a device carries continuously; all of it where the book says nothing."""
    limit = b.study.book.limit(LOAD, "share")
    return limit.value if limit is not None and 0 < limit.value <= 1 else 1.0


def suiting(b: Basis, allowed_a: float, carried: Carried, protects: str) -> tuple[float | None, str]:
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
    enough = next((r for r in allowed if r >= wanted * (1 - ALIKE)), None)
    if enough is not None:
        words = _("carries {load} at {share} % of its rating; {protects} may have {limit} or less")
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
        needed, why = suiting(b, allowed, carried, protects)
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
    from engine.sizing.feeds import feeds_one

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
        if wire.run not in ends or wire.conductor not in LIVE or not b.snapshot.runs[wire.run].size:
            continue
        if b.snapshot.runs[wire.run].exempt == "cranking":
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
        and (b.snapshot.equipment[side].draws() or b.snapshot.equipment[side].conversions())
    ]
    return min(found, default=None)
