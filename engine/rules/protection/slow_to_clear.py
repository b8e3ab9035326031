"""The smallest fault never opens a device, or opens it later than the conductor withstands.

What it checks
--------------
Every run behind a protective device that suits it, up to the next device: the smallest fault current at its far end
(conductors hot, the weakest source by itself, a bank nearly empty) against the device's time-current band. A danger
where that current may never open the device though the source goes on driving more than the run's ampacity. A warning
where it opens it within the time in which a conductor keeps all heat, and lets through more energy than the run
withstands: I²t above k²S². The largest fault current is held to the same where the device's let-through energy is
recorded.

What passes: a source that limits itself or shuts down, such as a charger, an inverter's bridge, a machine (what it
drives for ever is judged where feeds are compared with ampacity), and a source whose current another device, its own or
one on the way, that suits the run too is promised to cut.
A fault that lasts longer than a conductor keeps all heat is an overload: then the rating is compared with ampacity.

Why it matters
--------------
A fault at the end of a long thin run may be no more than a heavy load to the device at its beginning. The conductor
glows behind a device that waits.

What to do
----------
A smaller or faster device, a larger or shorter conductor, or a device of its own nearer to the far end.

Limits read
-----------
None of the book but ampacity. Withstand: k of the insulation and the longest time it holds for, of the tables of
conductors; bands of the tables of devices, or the points of the maker's sheet.

References
----------
IEC 60364-4-43 (I²t = k²S², k 115 of copper in PVC, 143 in cross-linked insulation), secondary copy. Bands: ISO 8820-3,
ISO 8820-5, IEC 60269-1, IEC 60898-1, UL 248, from memory, not confirmed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.books.resistances import withstand_k, withstand_s
from engine.circuit.faults.curves import clearing
from engine.circuit.faults.results import Clearing, DeviceFault, FarEnd
from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.bounds import wires_of
from engine.rules.example_parts import cable
from engine.rules.protection._faults import ampere, bank, condition_of, gaps, rated, seconds
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.study import Study
from engine.units import UnitError, area_mm2, number, show_size
from engine.words import N_, _, ngettext

SLUG = "slow-to-clear"
WORD: Word = "danger"
TITLE = N_("device that the smallest fault does not open in time")
LOOKS_AT = N_("protective devices, and the runs behind them")
SOLVES = True  # rests on solved currents
LATER: Word = "warning"


class _Slow(NamedTuple):
    """A run that a fault harms: the current, how late it is cut, what it lets through and what the run withstands."""

    end: FarEnd
    amps: float
    clears: Clearing
    energy_a2s: float
    withstands_a2s: float
    words: str
    is_largest: bool = False


def check(study: Study) -> Iterator[Remark]:
    """At most one finding a device; what stops it, together."""
    largest = {fault.equipment: fault for fault in study.faults.devices}
    by: dict[str, list[FarEnd]] = {}
    for end in study.faults.far_ends:
        by.setdefault(end.device, []).append(end)
    unknown: list[tuple[str, tuple[str, ...]]] = []
    unsure: list[tuple[str, tuple[str, ...]]] = []
    for item in sorted(by, key=lambda item: (study.name(item), item)):
        never: list[_Slow] = []
        late: list[_Slow] = []
        fine: list[_Slow] = []
        for end in by[item]:
            danger, warning = _judge(study, item, end, largest.get(item), never, late, fine)
            unknown += [(item, danger)] if danger else []
            unsure += [(item, warning)] if warning and not danger else []
        if never:
            yield _never(study, item, sorted(never, key=lambda slow: (slow.amps, slow.end.run)))
        elif late:
            ratio = {id(slow): slow.energy_a2s / slow.withstands_a2s for slow in late}
            yield _late(study, item, sorted(late, key=lambda slow: (-ratio[id(slow)], slow.end.run)))
        elif study.proving and fine and item not in {other for other, _missing in (*unknown, *unsure)}:
            yield _proved(study, item, fine)
        elif study.proving and all(end.lasts is False for end in by[item]):
            ends = _("No source goes on feeding a fault behind {device} above what the runs there carry.")
            yield proved(study, SLUG, item, message=ends.format(device=rated(study, item)), detail=item)
    why = _("whether the smallest fault opens it is not known")
    yield from gaps(study, SLUG, WORD, unknown, why)
    stopped = {item for item, _missing in unknown}
    why = _("how soon a fault opens it is not known")
    yield from gaps(study, SLUG, LATER, [(item, missing) for item, missing in unsure if item not in stopped], why)


def _judge(
    study: Study,
    item: str,
    end: FarEnd,
    most: DeviceFault | None,
    never: list[_Slow],
    late: list[_Slow],
    fine: list[_Slow],
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Fields that stop the question whether it opens at all, and those that stop how soon."""
    if end.lasts is False:
        return (), ()
    record = study.snapshot.equipment[item]
    trip = record.trip()
    if trip is None:
        return (), ()  # electronics: their maker's affair
    if trip.rating_a and trip.rating_a > _suited_a(study, end) * (1 + 1e-9):
        return (), ()  # a device that does not suit the run: told by the rules that compare it with ampacity
    if end.min_a is None:
        return end.missing, ()
    clears = clearing(record, end.min_a)
    fields = tuple(f"{study.name(item)}.{field}" for field in clears.missing)
    if clears.slowest_s is None:
        if trip.rating_a and end.min_a >= trip.rating_a * SURE:
            return (), fields  # whatever its kind it opens; how soon is not known
        return ((), fields) if end.cut_by else (fields, ())
    if math.isinf(clears.slowest_s):
        if end.cut_by:
            return (), ()
        if end.lasts is None:
            return end.missing or _sources(study, end), ()
        never.append(_Slow(end, end.min_a, clears, math.inf, 0.0, ""))
        return (), ()
    withstands, words = _withstands(study, end)
    if withstands is None:
        return (), ()  # its size is not known: told by the rules that ask for it
    energy = end.min_a**2 * clears.slowest_s
    if clears.slowest_s <= withstand_s() and energy > withstands:
        late.append(_Slow(end, end.min_a, clears, energy, withstands, words))
    if trip.let_through_a2s and most is not None and trip.let_through_a2s > withstands:
        late.append(_Slow(end, most.max_a or end.min_a, clears, trip.let_through_a2s, withstands, words, True))
    fine.append(_Slow(end, end.min_a, clears, energy, withstands, words))
    if trip.let_through_a2s and most is not None:
        fine.append(_Slow(end, end.min_a, clears, trip.let_through_a2s, withstands, words, True))
    return (), ()


def _proved(study: Study, item: str, fine: list[_Slow]) -> Remark:
    """The run that comes nearest to what it withstands, where that is the measure; else when the device opens."""
    soon = [slow for slow in fine if slow.is_largest or (slow.clears.slowest_s or 0.0) <= withstand_s()]
    quick = [slow for slow in soon if slow.withstands_a2s > 0]
    if quick:
        worst = max(quick, key=lambda slow: (slow.energy_a2s / slow.withstands_a2s, slow.end.run))
        found, limit = (_("let through"), worst.energy_a2s), (_("withstands"), worst.withstands_a2s)
        ids, how = (item, worst.end.run), f"{worst.words} ({worst.clears.source})"
        return proved(study, SLUG, *ids, found=found, limit=limit, unit="A²s", arithmetic=how, detail=item)
    worst = max(fine, key=lambda slow: (slow.clears.slowest_s or 0.0, slow.end.run))
    message = _("The smallest fault, {amps} in run {run}, opens {device} within {time}.").format(
        amps=ampere(worst.amps),
        run=study.name(worst.end.run),
        device=rated(study, item),
        time=seconds(worst.clears.slowest_s or 0.0),
    )
    return proved(study, SLUG, item, worst.end.run, message=message, detail=item)


SURE = 3.0  # multiple of its rating at which a device of any kind opens: three times the largest that any standard asks


def _suited_a(study: Study, end: FarEnd) -> float:
    """The largest device that the book allows the run."""
    number = wires_of(study, end.run).get(end.conductor)
    if number is None:
        return math.inf
    return study.coverage.conductors.limits(end.run, study.circuit.wires[number].b).single_high


def _sources(study: Study, end: FarEnd) -> tuple[str, ...]:
    """The field that would tell whether a machine keeps its current up."""
    return tuple(
        f"{study.name(feed.equipment)}.self_limiting"
        for feed in study.circuit.feeds
        if feed.source.rotating and feed.source.limited is None
    )


def _withstands(study: Study, end: FarEnd) -> tuple[float | None, str]:
    """k²S² of a run, and the sum in words."""
    run = study.snapshot.runs[end.run]
    try:
        area = area_mm2(run.size)
    except UnitError:
        return None, ""
    k = withstand_k(run.conductor, run.insulation)
    parallel = max(1, run.parallel)
    times = f"{parallel} × " if parallel > 1 else ""
    amount = (k * area * parallel) ** 2
    words = f"k²S² = ({number(k)} × {times}{number(area, 3)} mm²)² = {number(amount, 3)} A²s"
    return amount, words


def _names(study: Study, slows: list[_Slow]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(slow.end.run for slow in slows))


def _more(runs: tuple[str, ...]) -> str:
    """*; so do 3 more runs*."""
    rest = len(runs) - 1
    if rest < 1:
        return ""
    return ngettext("; {n} more run behind it likewise", "; {n} more runs behind it likewise", rest).format(n=rest)


def _never(study: Study, item: str, slows: list[_Slow]) -> Finding:
    worst, runs = slows[0], _names(study, slows)
    run, at = study.name(worst.end.run), study.name(worst.end.at)
    message = _("A fault at the end of run {run} at {at} draws {amps} and may never open {device}{more}.").format(
        run=run, at=at or _("its far end"), amps=ampere(worst.amps), device=rated(study, item), more=_more(runs)
    )
    opens = _opens_at(study, item)
    arithmetic = _("smallest fault {amps}, weakest source, conductors hot").format(amps=ampere(worst.amps))
    if opens:
        arithmetic += _("; {device} is promised to open from {opens}").format(
            device=study.name(item), opens=ampere(opens)
        )
    return _made(study, item, "danger", worst, runs, message, f"{arithmetic} ({worst.clears.source})")


def _late(study: Study, item: str, slows: list[_Slow]) -> Finding:
    worst, runs = slows[0], _names(study, slows)
    run = study.snapshot.runs[worst.end.run]
    clears = worst.clears
    if worst.is_largest:
        message = _("{device} lets {energy} A²s into run {run} ({size}), which withstands {withstands} A²s{more}.")
        energy_words = _("let-through energy as recorded")
    else:
        message = _(
            "{device} takes up to {time} to cut a fault of {amps} in run {run} ({size}): {energy} A²s, and the run"
            " withstands {withstands} A²s{more}."
        )
        energy_words = f"I²t = ({number(worst.amps, 3)} A)² × {seconds(clears.slowest_s or 0.0)}"
    message = message.format(
        device=rated(study, item),
        time=seconds(clears.slowest_s or 0.0),
        amps=ampere(worst.amps),
        run=study.name(worst.end.run),
        size=show_size(run.size),
        energy=number(worst.energy_a2s, 3),
        withstands=number(worst.withstands_a2s, 3),
        more=_more(runs),
    )
    arithmetic = f"{energy_words} = {number(worst.energy_a2s, 3)} A²s; {worst.words} ({clears.source})"
    return _made(study, item, LATER, worst, runs, message, arithmetic)


def _opens_at(study: Study, item: str) -> float | None:
    from engine.circuit.faults.curves import band

    found = band(study.snapshot.equipment[item])
    return None if found is None else found.opens_above_a()


def _made(
    study: Study, item: str, word: Word, worst: _Slow, runs: tuple[str, ...], message: str, arithmetic: str
) -> Finding:
    return Finding(
        rule=SLUG,
        word=word,
        designations=(study.name(worst.end.run), study.name(item)),
        ids=(worst.end.run, item),
        message=message,
        condition=condition_of(study, worst.end.positions),
        positions=worst.end.positions,
        figures=(
            Figure(name=_("smallest fault"), value=worst.end.min_a, unit="A"),
            Figure(
                name=_("opens within"),
                value=None if math.isinf(worst.clears.slowest_s or 0.0) else worst.clears.slowest_s,
                unit="s",
            ),
        ),
        arithmetic=arithmetic,
        fixes=(
            _("fit a smaller or a faster device in place of {device}").format(device=study.name(item)),
            _("run a larger conductor than {size}").format(size=show_size(study.snapshot.runs[worst.end.run].size)),
        ),
        detail=item,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A smaller device, a larger conductor."""
    from engine.fixing.ratings import smaller_devices, thicker

    run, device = finding.ids
    yield from smaller_devices(study, finding, device)
    yield from thicker(study, finding, [run])


# -- examples -------------------------------------------------------------------------------------------------------
def _long(inches: float, size: str, rating: float, fuse_class: str = "blade ISO 8820-3", **points: Any) -> Installation:
    """A 3000 A bank, a fuse, a long run there and back to a load."""
    b = bank(3000)
    b.add("fuse", "F1", rating_a=rating, fuse_class=fuse_class, **points)
    b.add("load", "E1", dc_v=12, current_a=5.0)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6)
    cable(b, "W2", "F1.out", "E1.in", size, inches)
    cable(b, "W3", "E1.neg", "X9.bar", size, inches, function="dc negative")
    return b.installation


def _behind_charger() -> Installation:
    """A charger that limits itself to 20 A on a bus of its own: it harms nothing."""
    b = bank(None)
    b.add("charger", "T1", dc_v=12, charge_a=20, self_limiting=True)
    b.add("fuse", "F1", rating_a=30, fuse_class="blade ISO 8820-3")
    b.add("load", "E1", dc_v=12, current_a=5.0)
    cable(b, "W1", "T1.dc", "F1.in", "10 AWG", 6)
    cable(b, "W2", "F1.out", "E1.in", "10 AWG", 600)
    return b.installation


def _energy(let_through: float) -> Installation:
    return _long(60, "14 AWG", 15, let_through_a2s=let_through)


def _sheet(slowest: float) -> Installation:
    """A device of its own band on 16 AWG: 115² × 1.31² is 22 645 A²s."""
    from engine.equipment._facts import TimePoint

    """A 30 A breaker and a short thin tap to the next device: at many times its rating it opens in a cycle or two."""
    points = (TimePoint(multiple=1.35, slowest_s=600), TimePoint(multiple=5, fastest_s=0.1, slowest_s=slowest))
    return _long(120, "16 AWG", 20, "other", time_points=points)


def _tap() -> Installation:
    """A breaker of 30 A and a short thin tap to the next device: far above its rating it opens in a cycle or two."""
    b = bank(1600)
    b.add("circuit_breaker", "F1", rating_a=30, curve="hydraulic-magnetic")
    b.add("fuse", "F2", rating_a=15, fuse_class="blade ISO 8820-3")
    b.add("load", "E1", dc_v=12, current_a=5.0)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6)
    cable(b, "W2", "F1.out", "F2.in", "14 AWG", 6, sheath="enclosed")
    cable(b, "W3", "F2.out", "E1.in", "14 AWG", 60)
    cable(b, "W4", "E1.neg", "X9.bar", "14 AWG", 60, function="dc negative")
    return b.installation


GOOD = (
    Example("a short run: the fault blows the fuse at once", lambda: _long(120, "14 AWG", 15)),
    Example("a thin tap within a panel: the main breaker opens at once", _tap),
    Example("a fault beyond the smallest that is promised to open the fuse", lambda: _long(420, "14 AWG", 35)),
    Example("a source that limits itself to less than the run carries", _behind_charger),
    Example("let-through within what 14 AWG withstands", lambda: _energy(55_000)),
)
BAD = (
    Example("the far end of a long run is a load to the fuse", lambda: _long(550, "14 AWG", 35), (("W2", "F1"),)),
    Example("just below the current that is promised to open it", lambda: _long(450, "14 AWG", 35), (("W2", "F1"),)),
    Example("let-through above what 14 AWG withstands", lambda: _energy(60_000), (("W2", "F1"),)),
    Example("the class of the fuse is not recorded", lambda: _long(450, "14 AWG", 35, ""), (("F1",),)),
)
