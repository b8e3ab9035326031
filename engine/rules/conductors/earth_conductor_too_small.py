"""A protective-earth, bonding or DC grounding conductor is too small for the conductors it belongs to.

What it checks
--------------
* The earth of an AC run: as large as its live conductors, or as many steps of the wire gauge below as the book allows
  above its amperes.
* An earth run of equipment: against the largest live conductor that arrives there, the same way for AC; for DC the
  steps the book allows.
* A bonding run, and an earth run between buses and the boat's ground: against the book's least.
* The conductor from the DC negative to the boat's ground: against the largest conductor of the supply, and the book's
  least.

Why it matters
--------------
It carries the whole fault current until the breaker opens. If it melts first, what it protects stays live.

What to do
----------
A conductor as large as the book asks.

Limits read
-----------
`ac_steps`, `ac_steps_above` (gauge steps smaller, on circuits above so many amperes), `dc_steps`, `dc_least`, `bonding`
(least size), `system` (least size of the system's ground conductor; none: not asked).

References
----------
46 CFR 111.05-31(a), 2015 edition: the larger of the largest supply conductor and 8 AWG. Older E-8.14, secondary copy:
one size smaller above 30 A. DC one size smaller, 16 AWG at least: from memory, not confirmed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix, changed_run
from engine.installation.model import Installation
from engine.installation.records import Run
from engine.rules.bounds import into_run
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.study import Study
from engine.units import AWG_SIZES, METRIC_SIZES, UnitError, area_mm2, show_size, spelled
from engine.words import N_, _

SLUG = "earth-conductor-too-small"
WORD: Word = "warning"
TITLE = N_("earth or bonding conductor too small")
LOOKS_AT = N_("earth, bonding and grounding conductors")
SOLVES = False
LIMITS = {"earth_size": "ac_steps", "ac": "ac_steps", "dc": "dc_least"}  # whose clause is cited, by detail


def check(study: Study) -> Iterator[Remark]:
    """One remark a run."""
    for item, run in study.snapshot.runs.items():
        if run.status in ("to remove", "spare"):
            continue
        if run.function == "ac" and run.earth:
            yield from _core(study, item, run)
        elif run.function == "bonding":
            yield from _least(study, item, run)
        elif run.function == "earth":
            yield from _earth(study, item, run)
        elif run.function == "dc negative":
            yield from _system(study, item, run)


def _core(study: Study, item: str, run: Run) -> Iterator[Remark]:
    """The earth of a cable."""
    if run.earth_size and run.size:
        yield from _compare(
            study, item, run.earth_size, _stepped(study, run.size, _amps(study, item, run)), "earth_size"
        )


def _least(study: Study, item: str, run: Run) -> Iterator[Remark]:
    limit = study.book.limit(SLUG, "bonding")
    if limit is not None:
        yield from _compare(study, item, run.size, (limit.value, limit.text), "bonding")


def _earth(study: Study, item: str, run: Run) -> Iterator[Remark]:
    """Of equipment: by the largest live conductor that arrives there."""
    for end in (run.from_end, run.to_end):
        record = study.snapshot.equipment[end.equipment]
        if record.ROLE in ("earth", "bus", "junction", "protection"):
            continue
        asked: list[tuple[float, str, str]] = []
        by_ac = _largest(study, end.equipment, ("ac",))
        if by_ac is not None:
            asked.append((*_stepped(study, by_ac[1].size, _amps(study, *by_ac)), "ac"))
        by_dc = _largest(study, end.equipment, ("dc pair", "dc positive"))
        steps, least = study.book.limit(SLUG, "dc_steps"), study.book.limit(SLUG, "dc_least")
        if by_dc is not None and steps is not None and least is not None:
            area = max(_down(by_dc[1].size, int(steps.value)), least.value)
            asked.append((area, _size_of(by_dc[1].size, area), "dc"))
        if asked:
            area, words, detail = max(asked)
            yield from _compare(study, item, run.size, (area, words), detail)
            return
    yield from _least(study, item, run)  # between buses and ground: a main earth


def _system(study: Study, item: str, run: Run) -> Iterator[Remark]:
    """From the negative to the boat's ground."""
    limit = study.book.limit(SLUG, "system")
    ends = [study.snapshot.equipment[end.equipment] for end in (run.from_end, run.to_end)]
    if limit is None or not any(end.is_ground() and end.ROLE == "earth" and not end.WITH_ENGINE for end in ends):
        return
    supplies = [
        largest
        for feed in study.circuit.feeds
        if feed.source.battery and (largest := _largest(study, feed.equipment, ("dc pair", "dc positive"))) is not None
    ]
    area = max((area_mm2(supply.size) for _item, supply in supplies), default=0.0)
    size = max((supply.size for _item, supply in supplies), key=area_mm2, default=limit.text)
    asked = (area, show_size(size)) if area > limit.value else (limit.value, limit.text)
    yield from _compare(study, item, run.size, asked, "system")


def _largest(study: Study, equipment: str, functions: tuple[str, ...]) -> tuple[str, Run] | None:
    """The largest run of these functions that arrives there, and its id; what cranks an engine is left out."""
    found = []
    for item, run in study.snapshot.runs.items():
        if run.function not in functions or not run.size or run.exempt == "cranking":
            continue
        if equipment in (run.from_end.equipment, run.to_end.equipment):
            try:
                found.append((area_mm2(run.size), item, run))
            except UnitError:
                continue
    return max(found, key=lambda one: one[:2])[1:] if found else None


def _amps(study: Study, item: str, run: Run) -> float | None:
    """Rating of the device nearest to the run, else what is let into it; `None` where nothing is known to limit it."""
    ratings = [
        trip.rating_a
        for end in (run.from_end, run.to_end)
        if (trip := study.snapshot.equipment[end.equipment].trip()) is not None and trip.rating_a is not None
    ]
    if ratings:
        return max(ratings)
    let_in = into_run(study, item)
    return let_in if math.isfinite(let_in) else None


def _stepped(study: Study, size: str, amps: float | None) -> tuple[float, str]:
    """Least area and its size for an AC earth beside live conductors of `size`."""
    steps, above = study.book.limit(SLUG, "ac_steps"), study.book.limit(SLUG, "ac_steps_above")
    if steps is not None and above is not None and amps is not None and amps > above.value:
        area = _down(size, int(steps.value))
        return area, _size_of(size, area)
    return area_mm2(size), show_size(size)


def _down(size: str, steps: int) -> float:
    """The area so many sizes below, of the same series."""
    series = AWG_SIZES if "AWG" in size else METRIC_SIZES
    at = series.index(size) if size in series else 0
    return area_mm2(series[max(0, at - steps)]) if size in series else area_mm2(size)


def _size_of(like: str, area: float) -> str:
    series = AWG_SIZES if "AWG" in like else METRIC_SIZES
    return show_size(next((s for s in series if area_mm2(s) >= area * (1 - 1e-3)), series[-1]))


def _compare(study: Study, item: str, size: str, asked: tuple[float, str], detail: str) -> Iterator[Remark]:
    name, (least, words) = study.name(item), asked
    try:
        area = area_mm2(size) if size else None
    except UnitError:
        area = None
    if area is None:
        yield left_open(
            study,
            SLUG,
            WORD,
            item,
            missing=(f"{name}.{'earth_size' if detail == 'earth_size' else 'size'}",),
            why=_("the size of the earth conductor is not recorded"),
        )
    elif area < least * (1 - 1e-3):
        clause, confirmed = study.book.cited(SLUG, LIMITS.get(detail, detail))
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(name,),
            ids=(item,),
            message=_("The earth of run {run} is {have}; {least} is the least here.").format(
                run=name, have=show_size(size), least=words
            )
            if detail in ("earth_size", "ac", "dc")
            else _("Run {run} is {have}; {least} is the least for a bonding or grounding conductor here.").format(
                run=name, have=show_size(size), least=words
            ),
            figures=(Figure("area", area, "mm2"), Figure("least", least, "mm2")),
            arithmetic=spelled(f"{area:.4g} mm² < {least:.4g} mm²"),
            fixes=(_("run an earth conductor of {least} or larger").format(least=words),),
            detail=detail,
            clause=clause,
            confirmed=confirmed,
            beyond_clause=not clause,
        )
    elif study.proving:
        yield proved(study, SLUG, item, found=("area", area), limit=("least", least), unit="mm2", at_least=True)


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The least the book asks."""
    item, least = finding.ids[0], finding.figures[1].value or 0.0
    run = study.snapshot.runs[item]
    have = run.earth_size if finding.detail == "earth_size" else run.size
    series = AWG_SIZES if "AWG" in have else METRIC_SIZES
    size = next((s for s in series if area_mm2(s) >= least * (1 - 1e-3)), None)
    if size is not None:
        field = "earth_size" if finding.detail == "earth_size" else "size"
        yield changed_run(finding.fixes[0], study, item, **{field: size, "status": "new"})


# -- examples -------------------------------------------------------------------------------------------------------
def _cable(live: str, earth: str, breaker_a: float = 15) -> Installation:
    b = alongside()
    circuit(b, "load", "E1")
    b.add("circuit_breaker", "F2", rating_a=breaker_a, poles=("L1", "N"))
    b.add("load", "E2", ac_v=120, power_w=100, exposed_metal=True)
    b.run("W30", "X2.bar", "F2.in", function="ac", size=live, length_m=0.2)
    b.run("W31", "F2.out", "E2.in", function="ac", size=live, earth_size=earth, length_m=3.0)
    return b.installation


def _bonding(size: str) -> Installation:
    b = boat()
    b.add("earth_point", "X9", form="ground plate")
    b.add("bonding_point", "X8", bonds="shaft", under_water=True)
    b.run("W1", "X9.at", "X8.at", function="bonding", size=size, length_m=2.0)
    return b.installation


def _case(size: str) -> Installation:
    """A DC load with a metal case, grounded by a run of its own."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=30)
    b.add("load", "E1", dc_v=12, current_a=20, exposed_metal=True)
    b.add("earth_point", "X9", form="ground plate")
    known: dict[str, Any] = {"function": "earth", "size": size, "length_m": 2.0}
    cable(b, "W1", "G1.pos", "F1.in", "10 AWG", 6)
    cable(b, "W2", "F1.out", "E1.in", "10 AWG", 60)
    b.run("W3", "E1.earth", "X9.at", **known)
    return b.installation


GOOD = (
    Example("an earth as large as the live", lambda: _cable("12 AWG", "12 AWG")),
    Example("one size smaller above 30 A", lambda: _cable("6 AWG", "8 AWG", 40)),
    Example("bonding of 8 AWG", lambda: _bonding("8 AWG")),
    Example("a DC case grounded by one size less", lambda: _case("12 AWG")),
)
BAD = (
    Example("one size smaller at 15 A", lambda: _cable("12 AWG", "14 AWG"), (("W31",),)),
    Example("two sizes smaller above 30 A", lambda: _cable("6 AWG", "10 AWG", 40), (("W31",),)),
    Example("bonding of 10 AWG", lambda: _bonding("10 AWG"), (("W1",),)),
    Example("a DC case grounded by two sizes less", lambda: _case("14 AWG"), (("W3",),)),
)
