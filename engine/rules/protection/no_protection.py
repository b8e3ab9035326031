"""A conductor that a source can feed has no protective device suited to it on the way.

What it checks
--------------
Every live conductor end that some source can feed in some permitted switch state with nothing before it, where no way
on from it meets a device small enough: it ends at a consumer, at another source, nowhere, or at a device too large for
it. Where a suited device stands, only too far away, the finding is `far-from-source`; where it stands at the other end
of a conductor fed from both, `far-end-unprotected`.

Exempt are cranking circuits, a component's own short lead, and the lead of a source that limits itself at or below the
ampacity. Where two unprotected conductors follow each other, the one at the end of the way is named.

Why it matters
--------------
A short circuit in it is fed by the battery until something burns through.

What to do
----------
Fit a device at the source. If it is a cranking circuit or a component's own lead, record it on the run.

Limits read
-----------
`pigtail` (m), `ordinary_alternator_limits_itself`; sizes as for `rating-above-ampacity`, distances as for
`far-from-source`.

References
----------
33 CFR 183.455(a) and (e), 183.460, 2015 edition. E-11, secondary copy.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.circuit.coverage import Uncovered
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable, lamp
from engine.rules.protection import _covered as in_order
from engine.rules.protection import _telling as telling
from engine.rules.rule import Example
from engine.study import Study
from engine.words import N_, _

SLUG = "no-protection"
WORD: Word = "danger"
TITLE = N_("conductor without a protective device on the way")
LOOKS_AT = N_("conductors that a source can feed")


def check(study: Study) -> Iterator[Remark]:
    """One finding an end."""
    yield from telling.remarks(study, SLUG, WORD, _bare)
    if study.proving:
        yield from in_order.devices(study, SLUG)


def _bare(study: Study, end: Uncovered) -> Finding:
    placed = end.placed
    assert placed is not None  # a judged end is always placed
    items = list(telling.equipment_of(end.supplied))
    run, source = study.name(end.run), telling.source_name(study, end)
    if placed.too_large >= 0:
        items.append(telling.device_at(study, placed.too_large))
        message = _("Nothing suited protects run {run} ({sized}): {source} feeds it, and {device} is too large for it.")
        text = message.format(
            run=run, sized=telling.sized(study, end), source=source, device=telling.rated(study, placed.too_large)
        )
    elif placed.reached:
        message = _("Nothing protects run {run}: {source} feeds it, and no protective device stands before {reached}.")
        text = message.format(run=run, source=source, reached=study.name(placed.reached))
    elif placed.reason == "far" and any(ending.feed >= 0 for ending in placed.endings):
        feeds = [study.coverage.mirror.feeds[e.feed].equipment for e in placed.endings if e.feed >= 0]
        message = _(
            "Nothing protects run {run}: {source} feeds it, and {limited} at its end, which limits itself, stands "
            "{distance} from {origin}; {allowed} is allowed without a device."
        )
        text = message.format(
            run=run,
            source=source,
            limited=telling.listed([study.name(item) for item in dict.fromkeys(feeds)]),
            distance=telling.length(study, placed.distance_m),
            origin=study.name(placed.origin),
            allowed=telling.allowed_distance(study, telling.distance_limit(study, end)),
        )
    else:
        message = _("Nothing protects run {run}: {source} feeds it, and no protective device stands on its way.")
        text = message.format(run=run, source=source)
    clause, confirmed = telling.bare_clause(study, end, SLUG)
    named = tuple(dict.fromkeys(items))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(run, *(study.name(item) for item in named)),
        ids=(end.run, *named),
        message=text,
        condition=telling.condition(study, end.positions),
        positions=end.positions,
        figures=telling.figures(end),
        arithmetic=telling.arithmetic(study, end),
        fixes=tuple(_fixes(study, end)),
        detail=telling.detail(end),
        clause=clause,
        confirmed=confirmed,
    )


def _fixes(study: Study, end: Uncovered) -> Iterator[str]:
    placed = end.placed
    if placed is None:
        return
    within = telling.allowed_distance(study, telling.distance_limit(study, end))
    yield _("fit {device} within {allowed} of {origin}").format(
        device=telling.a_device(telling.suited_a(study, end)), allowed=within, origin=study.name(placed.origin)
    )
    yield from telling.recording(end)
    run = study.snapshot.runs[end.run]
    if not run.exempt and run.function != "ac":
        yield _("if it is part of a cranking circuit or a component's own lead, record that on the run")


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A device put in at the source; one that suits in place of one too large."""
    from engine.fixing import covering

    end = covering.the_end(study, finding)
    if end is not None:
        yield from covering.device_in(study, finding, end)
        yield from covering.larger_conductor(study, finding, end)


# -- examples -------------------------------------------------------------------------------------------------------
def _pump(*, fuse_a: float | None, inches: float = 5) -> Installation:
    """A bilge pump straight from the battery."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("load", "M1", dc_v=12, current_a=8.0)
    if fuse_a is None:
        cable(b, "W11", "G1.pos", "M1.in", "14 AWG", 120)
    else:
        b.add("fuse", "F1", rating_a=fuse_a)
        cable(b, "W11", "G1.pos", "F1.in", "14 AWG", inches)
        cable(b, "W12", "F1.out", "M1.in", "10 AWG", 120)
    return b.installation


def _start(exempt: str) -> Installation:
    """A starting circuit."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("motor", "M1", dc_v=12, running_a=150.0)
    cable(b, "W11", "G1.pos", "M1.in", "1/0 AWG", 90, exempt=exempt)
    return b.installation


def _lead(inches: float, exempt: str) -> Installation:
    """A sensor's own lead, thinner than what feeds its bus allows."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("battery_switch", "Q1")
    b.add("load", "P1", dc_v=12, current_a=0.1)
    cable(b, "W11", "G1.pos", "Q1.in", "1/0 AWG", 5, exempt="cranking")
    b.add("motor", "M1", dc_v=12, running_a=150.0)
    cable(b, "W12", "Q1.out", "M1.in", "1/0 AWG", 60, exempt="cranking")
    cable(b, "W13", "Q1.out", "P1.in", "18 AWG", inches, exempt=exempt)
    return b.installation


def _unfused_panel() -> Installation:
    """A switch panel without any fuse on its main, its lamp fused."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("bus_bar", "X1")
    b.add("load", "E2", dc_v=12, current_a=3.0)
    cable(b, "W11", "G1.pos", "X1.bar", "6 AWG", 5)
    cable(b, "W12", "X1.bar", "E2.in", "14 AWG", 60)
    lamp(b, "E1", "X1.bar")
    b.run("W13", "G1.pos", "X1.bar", function="dc negative", size="6 AWG", length_m=0.1)
    return b.installation


GOOD = (
    Example("a pump with its fuse at the battery", lambda: _pump(fuse_a=15)),
    Example("a fuse of just 150 % of the ampacity", lambda: _pump(fuse_a=52.5)),
    Example("the main feed of a cranking motor is exempt", lambda: _start("cranking")),
    Example("a component's own lead of 7 in is exempt", lambda: _lead(7, "pigtail")),
)
BAD = (
    Example("a pump straight from the battery", lambda: _pump(fuse_a=None), (("W11", "G1"),)),
    Example("the only device is just too large", lambda: _pump(fuse_a=53), (("W11", "G1", "F1"),)),
    Example("a feed that is not marked as cranking", lambda: _start(""), (("W11", "G1"),)),
    Example("a component's own lead of 8 in", lambda: _lead(8, "pigtail"), (("W13", "G1"),)),
    Example("one circuit of a panel without a device, nor the panel", _unfused_panel, (("W12", "G1"),)),
)
