"""A stalled motor is held by its device without opening.

What it checks
--------------
Every motor that does not open by itself when too hot: its current when stalled against the time-current band of the
device it hangs from. It is held where the device may never open at that current, or later than the motor withstands
where that time is recorded. Where it is not recorded whether the motor protects itself, a motor that would be held is
not judged.

Why it matters
--------------
A bilge pump jammed by a rag draws less than many fuses open at. Its winding burns behind a device that sees nothing
wrong.

What to do
----------
A device nearer to the running current, a motor with built-in thermal protection, or a motor protection of its own.

Limits read
-----------
None. Bands of the tables of devices, or the points of the maker's sheet.

References
----------
E-11, from memory, not confirmed: a motor circuit does no harm when stalled. ISO 13297:2020 13.1.3 and 13.1.4, secondary
copy: each motor individually protected, or by integral protection.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.circuit.faults.curves import clearing
from engine.circuit.faults.results import Clearing, FarEnd
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import cable
from engine.rules.protection._faults import ampere, bank, condition_of, rated, seconds
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.units import spelled
from engine.words import N_, _

SLUG = "stalled-motor-held"
WORD: Word = "warning"
TITLE = N_("stalled motor held by its device")
LOOKS_AT = N_("motors behind a protective device")
SOLVES = True  # rests on solved currents


def check(study: Study) -> Iterator[Remark]:
    """At most one remark a motor."""
    before: dict[str, dict[str, FarEnd]] = {}
    for end in study.faults.far_ends:
        before.setdefault(end.at, {})[end.device] = end
    for item, record in study.snapshot.equipment.items():
        use = record.use()
        if use is None or not use.is_motor or item not in before or use.soft_start:
            continue
        if use.thermal_protection:
            if study.proving:
                by_itself = _("{motor} opens by itself when too hot.").format(motor=named(study, item))
                yield proved(study, SLUG, item, message=by_itself)
            continue
        devices = [
            end for device, end in sorted(before[item].items()) if study.snapshot.equipment[device].trip() is not None
        ]
        if devices:
            yield from _motor(study, item, devices)


def _motor(study: Study, item: str, devices: list[FarEnd]) -> Iterator[Remark]:
    use = study.snapshot.equipment[item].use()
    assert use is not None
    name = study.name(item)
    unsure = () if use.thermal_protection is False else (f"{name}.thermal_protection",)
    if use.stalled_a is None:
        yield _gap(study, item, (f"{name}.stalled_a", *unsure))
        return
    missing: list[str] = []
    opening: list[tuple[float, str]] = []
    for end in devices:
        device = end.device
        clears = clearing(study.snapshot.equipment[device], use.stalled_a)
        if clears.slowest_s is None:
            missing += [f"{study.name(device)}.{field}" for field in clears.missing]
        elif _holds(clears, use.stalled_s):
            if unsure:
                missing += unsure
                continue
            yield _finding(study, item, end, clears)
            return
        else:
            opening.append((clears.slowest_s, device))
    if missing:
        yield _gap(study, item, tuple(dict.fromkeys((*missing, *unsure))))
    elif study.proving and opening:
        yield _proved(study, item, *max(opening))


def _proved(study: Study, item: str, slowest_s: float, device: str) -> Remark:
    use = study.snapshot.equipment[item].use()
    if use is not None and use.stalled_s:
        found, limit = (_("opens after"), slowest_s), (_("withstands"), use.stalled_s)
        return proved(study, SLUG, item, device, found=found, limit=limit, unit="s")
    message = _("{device} opens within {time} when {motor} is stalled.").format(
        device=rated(study, device), time=seconds(slowest_s), motor=named(study, item)
    )
    return proved(study, SLUG, item, device, message=message)


def _holds(clears: Clearing, withstands_s: float | None) -> bool:
    assert clears.slowest_s is not None
    if math.isinf(clears.slowest_s):
        return True
    return withstands_s is not None and clears.slowest_s > withstands_s


def _gap(study: Study, item: str, missing: tuple[str, ...]) -> NotJudged:
    return NotJudged(
        rule=SLUG,
        would_be=WORD,
        designations=(study.name(item),),
        ids=(item,),
        missing=missing,
        why=_("whether its device holds it when stalled is not known"),
    )


def _finding(study: Study, item: str, end: FarEnd, clears: Clearing) -> Finding:
    device = end.device
    use = study.snapshot.equipment[item].use()
    assert use is not None
    assert use.stalled_a is not None
    assert clears.slowest_s is not None
    if math.isinf(clears.slowest_s):
        message = _("{motor} draws {amps} when stalled, and {device} may never open.")
    else:
        message = _(
            "{motor} draws {amps} when stalled; {device} takes up to {time} to open, and the motor withstands {most}."
        )
    message = message.format(
        motor=named(study, item),
        amps=ampere(use.stalled_a),
        device=rated(study, device),
        time=seconds(clears.slowest_s),
        most=seconds(use.stalled_s or 0.0),
    )
    trip = study.snapshot.equipment[device].trip()
    rating = trip.rating_a if trip is not None and trip.rating_a else 0.0
    times = spelled(f"{use.stalled_a / rating:.2f}") if rating else "?"
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item), study.name(device)),
        ids=(item, device),
        message=message,
        condition=condition_of(study, end.positions),
        positions=end.positions,
        figures=(
            Figure(name=_("current when stalled"), value=use.stalled_a, unit="A"),
            Figure(name=_("rating"), value=rating or None, unit="A"),
        ),
        arithmetic=_("{amps} / {rating} = {times} times the rating ({source})").format(
            amps=ampere(use.stalled_a), rating=ampere(rating), times=times, source=clears.source
        ),
        fixes=(
            _("fit a smaller device that still carries {amps}").format(amps=ampere(use.running_a))
            if use.running_a
            else _("fit a smaller device"),
            _("fit a motor that opens by itself when too hot"),
        ),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The largest smaller device that opens, and stays closed while the motor starts."""
    from engine.fixing.ratings import smaller_devices

    for item in finding.ids[1:]:
        yield from smaller_devices(study, finding, item)


# -- examples -------------------------------------------------------------------------------------------------------
def _pump(
    rating: float, stalled_a: float | None, thermal: bool | None = False, stalled_s: float | None = None
) -> Installation:
    """A bilge pump behind a blade fuse."""
    b = bank(3000)
    b.add("fuse", "F1", rating_a=rating, fuse_class="blade ISO 8820-3")
    b.add(
        "motor",
        "M1",
        service="bilge pump",
        dc_v=12,
        running_a=4,
        stalled_a=stalled_a,
        stalled_s=stalled_s,
        thermal_protection=thermal,
    )
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6)
    cable(b, "W2", "F1.out", "M1.in", "14 AWG", 240)
    return b.installation


GOOD = (
    Example("14 A stalled behind a fuse of 7.5 A", lambda: _pump(7.5, 14)),
    Example("just at the current that is promised to open the fuse", lambda: _pump(10, 13.5)),
    Example("it opens by itself when too hot", lambda: _pump(15, 14, thermal=True)),
)
BAD = (
    Example("14 A stalled behind a fuse of 15 A", lambda: _pump(15, 14), (("M1", "F1"),)),
    Example("just below the current that is promised to open the fuse", lambda: _pump(10, 13.4), (("M1", "F1"),)),
    Example("it opens later than the motor withstands", lambda: _pump(10, 14, stalled_s=60), (("M1", "F1"),)),
    Example("its current when stalled is not recorded", lambda: _pump(10, None), (("M1",),)),
    Example("whether it protects itself is not recorded", lambda: _pump(15, 14, thermal=None), (("M1",),)),
)
