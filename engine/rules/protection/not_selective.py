"""A device nearer to the source may open before the one nearest to the fault.

What it checks
--------------
Every two devices one after the other, as a source sees them: at the largest fault current behind the second, the
soonest the first may open against the latest the second does. What flows through the first is its sources' part of
that current; where that is less than three quarters, others go on feeding what is behind. Devices of which a band is
not known are not judged.

Why it matters
--------------
A short circuit in one lamp darkens the panel, with the navigation lights and the pump that hang from it.

What to do
----------
A slower device before, a faster one behind, or a maker's table that says the two are selective at this current. Between
fast fuses and breakers on a large bank selectivity is seldom had at short-circuit currents; see that what the boat's
safety depends on does not share a device with the rest.

Limits read
-----------
None. Bands of the tables of devices, or the points of the maker's sheet.

References
----------
46 CFR 111.51-3, 2015 edition, asks it of vital circuits of inspected vessels. Bands from memory, not confirmed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.circuit.faults.curves import clearing
from engine.circuit.faults.results import Clearing, DeviceFault, Series
from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import cable
from engine.rules.protection._faults import ampere, bank, condition_of, gaps, rated, seconds
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import listed
from engine.study import Study
from engine.words import N_, _

SLUG = "not-selective"
WORD: Word = "notice"
TITLE = N_("device nearer to the source may open first")
LOOKS_AT = N_("protective devices that stand before others")
SOLVES = True  # rests on solved currents
MOST = 0.75  # share of a fault that passes the first device, for what is behind to hang from it


def check(study: Study) -> Iterator[Remark]:
    """At most one finding a device before others."""
    largest = {fault.equipment: fault for fault in study.faults.devices}
    behind: dict[str, list[Series]] = {}
    for series in study.faults.series:
        behind.setdefault(series.up, []).append(series)
    unknown: list[tuple[str, tuple[str, ...]]] = []
    for up in sorted(behind, key=lambda item: (study.name(item), item)):
        overlaps: list[tuple[DeviceFault, Clearing, Clearing]] = []
        apart: list[tuple[DeviceFault, Clearing, Clearing]] = []
        for series in sorted(behind[up], key=lambda series: (study.name(series.down), series.down)):
            fault = largest.get(series.down)
            if fault is None or not fault.parts or study.snapshot.equipment[series.down].status == "spare":
                continue
            before, after, missing = _opens(study, up, series, fault)
            if before is not None and after is not None:
                if (before.fastest_s or 0.0) < (after.slowest_s or 0.0):
                    overlaps.append((fault, before, after))
                else:
                    apart.append((fault, before, after))
            elif missing:
                unknown.append((series.down, missing))
        if overlaps:
            yield _finding(study, up, overlaps)
        elif study.proving:
            yield from (_proved(study, up, *one) for one in apart)
    yield from gaps(study, SLUG, WORD, unknown, _("how it opens, or the device before it, is not known"))


def _proved(study: Study, up: str, fault: DeviceFault, before: Clearing, after: Clearing) -> Remark:
    arithmetic = _("a fault behind {down} draws {amps}").format(
        down=study.name(fault.equipment), amps=ampere(fault.max_a or 0.0)
    )
    found, limit = (_("opens after"), before.fastest_s or 0.0), (_("the other by"), after.slowest_s or 0.0)
    return proved(
        study, SLUG, up, fault.equipment, found=found, limit=limit, unit="s", at_least=True, arithmetic=arithmetic
    )


def _opens(
    study: Study, up: str, series: Series, fault: DeviceFault
) -> tuple[Clearing | None, Clearing | None, tuple[str, ...]]:
    """How both open at the fault; fields that are missing for it."""
    if study.snapshot.equipment[series.down].trip() is None or study.snapshot.equipment[up].trip() is None:
        return None, None, ()  # electronics
    if fault.max_a is None:
        return None, None, fault.missing
    total = sum(part.amps for part in fault.parts)
    mine = sum(part.amps for part in fault.parts if part.equipment in series.sources)
    share = mine / total if total > 0 else 1.0
    if share < MOST:
        return None, None, ()  # other sources go on feeding what is behind
    before = clearing(study.snapshot.equipment[up], fault.max_a * share)
    after = clearing(study.snapshot.equipment[series.down], fault.max_a)
    if before.fastest_s is not None and math.isinf(before.fastest_s):
        return None, None, ()
    missing = [f"{study.name(up)}.{field}" for field in before.missing if before.fastest_s is None]
    missing += [f"{study.name(series.down)}.{field}" for field in after.missing if after.slowest_s is None]
    if missing:
        return None, None, tuple(missing)
    return before, after, ()


def _finding(study: Study, up: str, overlaps: list[tuple[DeviceFault, Clearing, Clearing]]) -> Finding:
    fault, before, after = max(overlaps, key=lambda found: found[0].max_a or 0.0)
    names = listed([rated(study, one.equipment) for one, _before, _after in overlaps])
    message = _("{up} may open before {down} when a fault behind draws {amps}.").format(
        up=rated(study, up), down=names, amps=ampere(fault.max_a or 0.0)
    )
    arithmetic = _("at {first} {up} opens after {soonest} at the soonest, {down} by {latest} at the latest").format(
        first=ampere(before.amps),
        up=study.name(up),
        soonest=seconds(before.fastest_s or 0.0),
        down=study.name(fault.equipment),
        latest=_("no time that is promised") if math.isinf(after.slowest_s or 0.0) else seconds(after.slowest_s or 0.0),
    )
    ids = tuple(one.equipment for one, _before, _after in overlaps)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(up), *(study.name(item) for item in ids)),
        ids=(up, *ids),
        message=message,
        condition=condition_of(study, fault.positions),
        positions=fault.positions,
        figures=(
            Figure(name=_("fault current"), value=fault.max_a, unit="A"),
            Figure(name=_("opens first after"), value=before.fastest_s, unit="s"),
        ),
        arithmetic=f"{arithmetic} ({'; '.join(dict.fromkeys((before.source, after.source)))})",
        fixes=(
            _("fit a slower device in place of {up}, or faster ones behind it").format(up=study.name(up)),
            _("ask the maker whether both are selective at {amps}").format(amps=ampere(fault.max_a or 0.0)),
        ),
        undecided=fault.undecided,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A smaller device behind, where one is enough; a larger one before."""
    from engine.fixing.ratings import larger_device, smaller_devices

    up, *behind = finding.ids
    if len(behind) == 1:
        yield from smaller_devices(study, finding, behind[0])
    trip = study.snapshot.equipment[up].trip()
    if trip is not None and trip.rating_a:
        yield from larger_device(study, finding, up, trip.rating_a * (1 + 1e-6))


# -- examples -------------------------------------------------------------------------------------------------------
def _two(up_a: float, up: str, down_a: float, down: str, inches: float = 60) -> Installation:
    """A bank, a main fuse, a branch fuse."""
    b = bank(3000)
    b.add("fuse", "F1", rating_a=up_a, fuse_class=up)
    b.add("fuse", "F2", rating_a=down_a, fuse_class=down)
    b.add("load", "E1", dc_v=12, current_a=2.0)
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", 6)
    cable(b, "W2", "F1.out", "F2.in", "8 AWG", inches)
    cable(b, "W3", "F2.out", "E1.in", "14 AWG", 120)
    return b.installation


GOOD = (
    Example(
        "a large slow fuse before a small fast one", lambda: _two(250, "bolt-in ISO 8820-5", 10, "blade ISO 8820-3")
    ),
    Example("a 100 A fuse before one of 5 A", lambda: _two(100, "bolt-in ISO 8820-5", 5, "blade ISO 8820-3")),
)
BAD = (
    Example(
        "equal fuses one after the other", lambda: _two(30, "blade ISO 8820-3", 30, "blade ISO 8820-3"), (("F1", "F2"),)
    ),
    Example(
        "a fast 40 A fuse before a blade fuse of 15 A",
        lambda: _two(40, "class T", 15, "blade ISO 8820-3"),
        (("F1", "F2"),),
    ),
    Example("the class of the first is not recorded", lambda: _two(100, "", 5, "blade ISO 8820-3"), (("F2",),)),
)
