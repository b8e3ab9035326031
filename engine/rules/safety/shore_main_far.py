"""The first overcurrent device of shore power stands farther from the inlet than allowed.

What it checks
--------------
From every shore inlet along the live conductors to the first overcurrent device on each way. The longest of these
lengths is compared with the book's. Where the book lets a conductor in a sheath go as far as the panel, its bare part
counts alone.

Why it matters
--------------
Only the breaker ashore stands behind the inlet, larger than the boat's wiring as often as not, and nobody aboard knows
how it is kept.

What to do
----------
Move the shore main nearer, or fit a device of its own beside the inlet.

Limits read
-----------
`most_m` (length along the conductor), `sheathed_to_panel` (whether a sheathed conductor may go on).

References
----------
E-11 11.10.2.8.2 and .3, secondary copy: 10 ft (3 m). ISO 13297:2020 13.2, secondary copy: 0.5 m, or sheathed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from engine.circuit.ways import Reached, Step
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.safety._shore import Inlet, inlets, is_live_step, uses
from engine.rules.wording import named
from engine.study import Study
from engine.units import show
from engine.words import N_, _

SLUG = "shore-main-far"
WORD: Word = "warning"
TITLE = N_("first overcurrent device too far from the shore inlet")
LOOKS_AT = N_("shore inlets, and the first overcurrent device after each")


class _First(NamedTuple):
    device: str  # or what takes power, where none stands before it
    way: Reached
    runs: tuple[str, ...]
    bare: bool = False  # no device stands there


def check(study: Study) -> Iterator[Remark]:
    """One remark an inlet: its farthest first device."""
    limit = study.book.limit(SLUG, "most_m")
    if limit is None:
        return
    for inlet in inlets(study):
        first = _farthest(study, inlet)
        if first is None:
            continue
        name = study.name(inlet.item)
        if first.way.low_m > limit.value * (1 + 1e-9):
            yield _finding(study, inlet, first, limit.value)
        elif first.way.high_m > limit.value * (1 + 1e-9):
            missing = tuple(f"{study.name(r)}.length_m" for r in first.runs if study.snapshot.runs[r].length_m is None)
            yield NotJudged(
                rule=SLUG,
                would_be=WORD,
                designations=(name,),
                ids=(inlet.item, *first.runs),
                missing=missing,
                why=_("how far the first overcurrent device is from the inlet is not recorded"),
            )
        elif study.proving:
            yield proved(
                study,
                SLUG,
                inlet.item,
                first.device,
                found=("distance", first.way.high_m),
                limit=("limit", limit.value),
                unit="m",
            )


def _farthest(study: Study, inlet: Inlet) -> _First | None:
    links, ways = study.circuit.links, study.ways
    sheathed = study.book.option(SLUG, "sheathed_to_panel", False)
    runs = study.snapshot.runs

    def passes(step: Step) -> bool:
        return is_live_step(study, step) and (step.link < 0 or links[step.link].protection is None)

    found = ways.distances(inlet.live, passes)
    firsts = []
    for node, way in found.items():
        for step in ways.steps[node]:
            if step.link >= 0 and links[step.link].protection is not None:
                on_the_way = ways.runs_to(found, node)
                if sheathed and all(runs[r].sheath in ("sheathed", "enclosed") for r in on_the_way):
                    way = Reached(0.0, 0.0, way.by)
                firsts.append(_First(links[step.link].equipment, way, on_the_way))
        item = uses(study, node)
        if item and item != inlet.item and way.by is not None:
            firsts.append(_First(item, way, ways.runs_to(found, node), bare=True))
    return max(firsts, key=lambda f: (f.way.low_m, f.way.high_m, f.device), default=None)


def _finding(study: Study, inlet: Inlet, first: _First, limit_m: float) -> Finding:
    units = study.snapshot.settings.units
    far, allowed = show(first.way.low_m, "m", units), show(limit_m, "m", units)
    if first.bare:
        message = _("No overcurrent device stands between {inlet} and {device}, {far} along; {allowed} is allowed.")
    else:
        message = _("{device} is the first overcurrent device after {inlet}, {far} along; {allowed} is allowed.")
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(inlet.item), study.name(first.device)),
        ids=(inlet.item, first.device, *first.runs),
        message=message.format(
            device=named(study, first.device), inlet=named(study, inlet.item), far=far, allowed=allowed
        ),
        figures=(Figure("distance", first.way.low_m, "m"), Figure("limit", limit_m, "m")),
        arithmetic=_("{runs}: {far} > {allowed}").format(
            runs=" + ".join(study.name(r) for r in first.runs), far=far, allowed=allowed
        ),
        fixes=(
            *(
                ()
                if first.bare
                else (
                    _("move {device} to within {allowed} of {inlet}").format(
                        device=study.name(first.device), allowed=allowed, inlet=study.name(inlet.item)
                    ),
                )
            ),
            _("fit an overcurrent device of its own beside the inlet"),
        ),
        detail="none" if first.bare else "",
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The device nearer; one of its own beside the inlet."""
    from engine.fixing.leading import beside, moved_along

    inlet, device, *runs = finding.ids
    if finding.detail == "none":
        return
    far, limit = (figure.value or 0.0 for figure in finding.figures[:2])
    yield from moved_along(study, finding, device, runs, far, limit)
    trip = study.snapshot.equipment[device].trip()
    if trip is not None and trip.rating_a:
        yield from beside(study, finding, inlet, runs, trip.rating_a)


# -- examples -------------------------------------------------------------------------------------------------------
def _main(metres: float) -> Installation:
    b = alongside(metres=metres)
    circuit(b, "load", "E1")
    return b.installation


GOOD = (
    Example("a main close to the inlet", lambda: _main(1.0)),
    Example("a main just 10 ft along the conductor", lambda: _main(3.048)),
)


def _no_main(metres: float) -> Installation:
    b = alongside()
    b.add("charger", "T1", dc_v=12, ac_v=120, charge_a=40)
    b.run("W30", "X1.out", "T1.ac", function="ac", size="10 AWG", length_m=metres)
    return b.installation


BAD = (
    Example("a main far from the inlet", lambda: _main(8.0), (("X1", "Q1"),)),
    Example("a main just beyond 10 ft", lambda: _main(3.1), (("X1", "Q1"),)),
    Example("a charger 20 m from the inlet and no device before it", lambda: _no_main(20.0), (("X1", "T1"),)),
)
