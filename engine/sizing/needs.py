"""What each constraint asks of a conductor, as places in the series: ampacity, its device, smallest size, a fault."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import msgspec

from engine.books.ampacity import Ampacity, ampacity, amps
from engine.books.resistances import withstand_k, withstand_s
from engine.circuit.conductors import RATING, Limits
from engine.circuit.faults.curves import clearing
from engine.circuit.feedcut import FeedCuts
from engine.circuit.refine import is_above
from engine.circuit.unknowns import unknowns
from engine.installation.records import Run
from engine.sizing.basis import ALIKE, Basis, Carried, index_of
from engine.study import Study
from engine.units import area_mm2, number, show_size
from engine.words import _

__all__ = ["SMALLEST", "Need", "by_ampacity", "by_device", "by_fault", "by_smallest", "first", "may_carry"]

SMALLEST = "too-small"


class Need(NamedTuple):
    """What a constraint asks for: the place of the size that surely does, and of the one that may do.

    `None`: cannot be told. The number of sizes: none of them does. Of `rests_on` nothing is asked but to be told of.
    """

    name: str
    sure: int | None
    maybe: int | None
    arithmetic: str = ""
    clause: str = ""
    missing: tuple[str, ...] = ()
    rests_on: tuple[str, ...] = ()  # fields elsewhere, not recorded, that hardly change the answer
    strict: int | None = None  # were what is not recorded at its worst


def may_carry(study: Study, item: str, size: str, volts: float | None) -> Ampacity:
    """What a run would carry in another size."""
    option = study.book.option
    run = msgspec.structs.replace(study.snapshot.runs[item], size=size)
    return ampacity(
        study.book,
        run,
        study.snapshot,
        volts,
        place_factor=option(RATING, "place_factor", True),
        temperature_derates=option(RATING, "temperature_derates", True),
        name=study.name(item),
    )


def first(count: int, does: Callable[[int], bool]) -> int:
    """The first place that does, given that all later ones do; `count` where none does."""
    low, high = 0, count
    while low < high:
        middle = (low + high) // 2
        if does(middle):
            high = middle
        else:
            low = middle + 1
    return low


def by_ampacity(b: Basis, item: str, sizes: tuple[str, ...], carried: Carried, why: str = "") -> Need | None:
    """The conductor that may carry the most it carries in any condition."""
    if carried.amps <= ALIKE and not carried.missing:
        return None
    if carried.amps <= ALIKE:
        return Need("ampacity", None, None, "", b.study.book.ampacity.source, carried.missing)
    study, wanted = b.study, carried.amps * (1 - ALIKE)
    volts = carried.volts
    sure = first(len(sizes), lambda n: may_carry(study, item, sizes[n], volts).low_a >= wanted)
    maybe = first(len(sizes), lambda n: may_carry(study, item, sizes[n], volts).high_a >= wanted)
    may = may_carry(study, item, sizes[min(sure, len(sizes) - 1)], volts)
    load = why or _("{carried} in {condition}").format(carried=amps(carried.amps), condition=carried.condition)
    text = f"{load}; {may.arithmetic or may.why}"
    if may.why and may.arithmetic:
        text += f"; {may.why}"
    told = sure if sure < len(sizes) or not may.why else None
    gaps = (*carried.missing, *(may.missing if sure != maybe else ()))
    return Need("ampacity", told, maybe, text, study.book.ampacity.source, gaps)


# -- its device -----------------------------------------------------------------------------------------------------
class _Fed(NamedTuple):
    """An end of a conductor: the edge in the mirror, its point there, its node."""

    edge: int
    point: int
    node: int


def _ends(study: Study, item: str) -> list[_Fed]:
    coverage = study.coverage
    mirror, made = coverage.mirror, []
    for index, edge in mirror.edge_of_wire.items():
        wire = study.circuit.wires[index]
        if wire.run != item or mirror.is_loop(edge):
            continue
        for node in (wire.a, wire.b):
            point = mirror.of_node[node]
            fed = coverage.cuts.cut(edge, point)
            if 0 < fed < math.inf:
                made.append(_Fed(edge, point, node))
    return made


def _limits(study: Study, item: str, end: _Fed, size: str) -> Limits:
    conductors = study.coverage.conductors
    return conductors._made(may_carry(study, item, size, conductors.volts(end.node)), conductors.volts(end.node))


def _suits(study: Study, item: str, ends: list[_Fed], size: str, cuts: FeedCuts) -> bool:
    """Whether the devices that feed it let no more into it than the book allows such a conductor."""
    for end in ends:
        limits = _limits(study, item, end, size)
        fed, single = cuts.cut(end.edge, end.point, limits.single_low), limits.single_low
        if is_above(fed, limits.low) and (is_above(fed, single) or is_above(cuts.single(end.edge, end.point), single)):
            return False
    return True


def _uncovered(study: Study, item: str) -> set[tuple[str, str]]:
    return {(u.slug, u.end) for u in study.coverage.uncovered if u.run == item}


def by_device(b: Basis, item: str, sizes: tuple[str, ...], floor: int) -> Need | None:
    """The conductor that the devices before it protect, or that stands near enough to one of its own."""
    study = b.study
    ends = _ends(study, item)
    if not ends:
        return None
    coverage = study.coverage
    plain = first(len(sizes), lambda n: _suits(study, item, ends, sizes[n], coverage.cuts))
    gaps: tuple[str, ...] = ()
    if not coverage.is_known and plain > floor:
        best = first(len(sizes), lambda n: _suits(study, item, ends, sizes[n], coverage.best_cuts))
        if best < plain:  # a rating that is not recorded decides: what is recorded is answered
            enough = _limits(study, item, ends[0], sizes[min(floor, len(sizes) - 1)]).single_low
            found = [unknowns(coverage.cuts, b.snapshot, end.edge, end.point, enough) for end in ends]
            gaps = tuple(dict.fromkeys(field for one in found for field in (*one.devices, *one.sources)))
            plain = best
    place = plain
    if plain > floor and floor < len(sizes) and not gaps:
        if not _uncovered(b.trial(item, sizes[floor]), item):
            place = floor
        else:
            whatever = _uncovered(b.trial(item, sizes[-1]), item)  # what no size puts right

            def is_covered(n: int) -> bool:
                return _uncovered(b.trial(item, sizes[n]), item) <= whatever

            last = min(plain, len(sizes) - 1)
            place = floor + first(last - floor, lambda n: is_covered(floor + n))
            if place == last:
                place = plain
    book = study.book
    cuts = coverage.best_cuts if gaps else coverage.cuts
    feeds = max(cuts.cut(end.edge, end.point) for end in ends)
    if feeds <= 0:
        return Need("protective device", None, None, "", book.clause(RATING), gaps)
    size = sizes[min(place, len(sizes) - 1)]
    limits = _limits(study, item, ends[0], size)
    if place < plain:
        text = _("its own device stands near enough for {size}").format(size=show_size(size))
    else:
        text = _("{fed} can be fed into it; {size} may have one device of {single}: {ampacity}").format(
            fed=amps(feeds), size=show_size(size), single=amps(limits.single_low), ampacity=limits.ampacity.arithmetic
        )
    return Need("protective device", place, place, text, book.clause(RATING), gaps)


# -- smallest size --------------------------------------------------------------------------------------------------
def by_smallest(b: Basis, run: Run, sizes: tuple[str, ...]) -> Need | None:
    """The smallest conductor the book permits for how it is run."""
    book = b.study.book
    in_sheath = run.sheath in ("sheathed", "enclosed") and not any(p.unsheathed_m for p in run.places)
    name = "in_sheath" if in_sheath else "single"
    limit = book.limit(SMALLEST, name)
    if limit is None:
        return None
    place = first(len(sizes), lambda n: area_mm2(sizes[n]) >= limit.value * (1 - 1e-3))
    how = _("in a sheath") if in_sheath else (_("a conductor by itself") if run.sheath else _("sheath not recorded"))
    text = f"{how}: {limit.text or number(limit.value) + ' mm²'}"
    return Need("smallest size", place, place, text, book.clause(SMALLEST, name))


# -- a fault --------------------------------------------------------------------------------------------------------
def by_fault(b: Basis, item: str, run: Run, sizes: tuple[str, ...]) -> Need | None:
    """The conductor that outlasts the smallest fault behind its device, and what that lets through of the largest."""
    faults = b.study.faults
    most = {fault.equipment: fault.max_a for fault in faults.devices}
    k = withstand_k(run.conductor, run.insulation)
    worst: tuple[float, str] | None = None
    missing: list[str] = []
    for far in faults.far_ends:
        if far.run != item:
            continue
        record = b.snapshot.equipment[far.device]
        trip = record.trip()
        asked: list[tuple[float | None, float | None]] = [(far.min_a, None)]
        if trip is not None and trip.let_through_a2s:
            asked.append((most.get(far.device), trip.let_through_a2s))
        for current, let_through in asked:
            if current is None or not math.isfinite(current):
                missing += far.missing
                continue
            opens = clearing(record, current)
            if let_through is None:
                if opens.slowest_s is None:
                    missing += [f"{b.study.name(far.device)}.{m.rpartition('.')[2]}" for m in opens.missing]
                    continue
                if opens.slowest_s > withstand_s():
                    continue  # slow heating: a matter of ampacity
            energy = let_through if let_through is not None else current * current * (opens.slowest_s or 0.0)
            area = math.sqrt(energy) / k / max(1, run.parallel)
            if worst is None or area > worst[0]:
                if let_through is not None:
                    how = _("{device} lets {energy} A²s through").format(
                        device=b.study.name(far.device), energy=number(energy)
                    )
                else:
                    how = _("{amps} for {seconds} s until {device} opens").format(
                        amps=amps(current), seconds=number(opens.slowest_s or 0.0), device=b.study.name(far.device)
                    )
                worst = area, f"{how}: √(I²t) / {number(k)} = {number(area)} mm²"
    if worst is None:
        return Need("fault withstand", None, None, "", "", tuple(dict.fromkeys(missing))) if missing else None
    place = index_of(f"{max(worst[0], 0.01):.4f} mm2", sizes)
    clause = "IEC 60364: I²t = k²S² (secondary copy)"
    return Need("fault withstand", place, place, worst[1], clause, tuple(dict.fromkeys(missing)))
