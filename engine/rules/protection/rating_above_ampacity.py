"""What feeds a conductor lets through more than it may carry.

What it checks
--------------
Every live conductor, at both of its ends. With the conductor itself taken away, the rule finds the largest current that
can flow into the end in any permitted switch state: protective devices let their rating through, self-limited sources
their limit, and everything that can feed the end adds up, from whichever side. That current is compared with the
conductor's ampacity, corrected for insulation, hottest place, bundle and parallel conductors. Where one single device
separates the end from all sources, the book's multiple counts (150 %, or the next standard size); a sum of feeds is
compared with the ampacity itself.

A tap of reduced size passes where every way on from it meets a device small enough within the book's distance, as does
a component's own short lead. Cranking conductors are exempt.

Why it matters
--------------
The device opens only after the conductor has become the fuse. Two devices that each suit a feeder let the sum through
when both feed it.

What to do
----------
Fit a smaller device, or a conductor that carries what the device lets through, or a device of its own where the
conductor becomes thinner.

Limits read
-----------
`split` (volts), `below_split` and `from_split` (multiples for one device), `next_size_limit`, `next_standard_size`,
`place_factor`, `temperature_derates`; distances as for `far-from-source`.

References
----------
33 CFR 183.455(c), 183.425 Table 5 with notes 1 and 2, 2015 edition. NFPA 70 240.6(A), secondary copy: standard ratings.
E-11 11.10.2.3 and .6, secondary copy.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.books.ampacity import amps, at_least
from engine.circuit.coverage import Uncovered
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import ac_cable, boat, cable, lamp
from engine.rules.protection import _covered as in_order
from engine.rules.protection import _telling as telling
from engine.rules.protection._devices import device, replaced
from engine.rules.rule import Example
from engine.study import Study
from engine.words import N_, _

SLUG = "rating-above-ampacity"
WORD: Word = "danger"
TITLE = N_("what feeds a conductor lets through more than it may carry")
LOOKS_AT = N_("conductors that a source can feed")


def check(study: Study) -> Iterator[Remark]:
    """One finding an end."""
    yield from telling.remarks(study, SLUG, WORD, _too_much)
    if study.proving:
        yield from in_order.ratings(study, SLUG)


def _too_much(study: Study, end: Uncovered) -> Finding:
    clause, confirmed = telling.rating_clause(study, end)
    by = telling.feeders(study, end.supplied, end)
    run = study.name(end.run)
    if len(by) == 1 and end.supplied is not None and end.supplied.devices:
        one = device(study, *end.supplied.devices[0], end)
        if one.ratio == 1.0:
            message = _("Run {run} is {sized}; {device} protects it.")
        else:
            message = _("Run {run} is {sized}; {first} lets {amps} into it.")
        message = message.format(
            run=run, sized=telling.sized(study, end), device=by[0], first=one.name, amps=amps(end.amps)
        )
    else:
        if len(by) == 1:
            message = _("Run {run} is {sized}; {devices} can feed that much into it at {end}.")
        else:
            message = _("Run {run} is {sized}; {devices} together can feed {amps} into it at {end}.")
        message = message.format(
            run=run,
            sized=telling.sized(study, end),
            devices=telling.listed(by),
            amps=amps(end.amps),
            end=telling.end_name(study, end),
        )
    ids = telling.involved(study, end.supplied)
    message += _own_device(study, end)
    is_sum = telling.is_sum(end)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(run, *(study.name(item) for item in ids)),
        ids=(end.run, *ids),
        message=message,
        condition=telling.condition(study, end.positions),
        positions=end.positions,
        figures=telling.figures(end),
        arithmetic=telling.arithmetic(study, end),
        fixes=tuple(_fixes(study, end)),
        detail=telling.detail(end),
        clause="" if is_sum else clause,
        confirmed=confirmed and not is_sum,
        beyond_clause=is_sum,
    )


def _own_device(study: Study, end: Uncovered) -> str:
    """Why the device that stands on a run itself does not count: it stands too far along."""
    placed = end.placed
    own = telling.own_devices(study, end)
    if placed is None or placed.reason != "far" or not own:
        return ""
    text = _(" Its own {devices} stands {distance} from {origin}; {allowed} is allowed.")
    return text.format(
        devices=telling.listed([telling.rated(study, edge) for edge in own]),
        distance=telling.length(study, placed.distance_m),
        origin=study.name(placed.origin),
        allowed=telling.allowed_distance(study, telling.distance_limit(study, end)),
    )


def _fixes(study: Study, end: Uncovered) -> Iterator[str]:
    if telling.own_devices(study, end):
        yield from telling.move_nearer(study, end)
    supplied = end.supplied
    if supplied is not None and len(supplied.devices) == 1 and not supplied.sources:
        yield replaced(study, device(study, *supplied.devices[0], end), telling.sure_a(end))
        yield from telling.recording(end)
        needed = end.amps * end.limits.high / end.allowed_a if end.allowed_a > 0 else end.amps
        yield _("run a conductor good for {amps} or more").format(amps=at_least(needed))
    else:
        yield telling.fit_at(study, end)
        yield _("run a conductor good for {amps} or more").format(amps=at_least(end.amps))
    if end.positions:
        yield _("interlock the switches so that they cannot stand so")


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A smaller device, a larger conductor, its own device nearer or the way covered, one of its own."""
    from engine.fixing import covering

    end = covering.the_end(study, finding)
    if end is not None:
        yield from covering.smaller_device(study, finding, end)
        yield from covering.larger_conductor(study, finding, end)
        yield from covering.moved_nearer(study, finding, end)
        yield from covering.sheathed(study, finding, end)
        yield from covering.device_in(study, finding, end)
        yield from covering.locked_out(study, finding)


# -- examples -------------------------------------------------------------------------------------------------------
def _feeder(fuse_a: float, size: str = "6 AWG") -> Installation:
    """A bank, its fuse close to it, a feeder to a panel."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F3", rating_a=fuse_a)
    b.add("bus_bar", "X1")
    cable(b, "W11", "G1.pos", "F3.in", "4/0 AWG", 6)
    cable(b, "W12", "F3.out", "X1.bar", size, 120)
    lamp(b, "E1", "X1.bar")
    return b.installation


def _two_feeds(size: str) -> Installation:
    """Bank and charger behind fuses of their own on one panel feeder: together, not each."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("charger", "T1", dc_v=12, charge_a=50, self_limiting=True)
    b.add("fuse", "F1", rating_a=80)
    b.add("bus_bar", "X1")
    b.add("bus_bar", "X2")
    cable(b, "W11", "G1.pos", "F1.in", "2 AWG", 6)
    cable(b, "W12", "F1.out", "X1.bar", "2 AWG", 40)
    cable(b, "W13", "T1.dc", "X1.bar", "2 AWG", 60)
    cable(b, "W14", "X1.bar", "X2.bar", size, 120)
    lamp(b, "E1", "X2.bar")
    return b.installation


def _branch_120(size: str, breaker_a: float) -> Installation:
    """A 120 V circuit of 75 degC conductors behind one breaker."""
    b = boat(book="us-33cfr183", engine_fuel="petrol")
    b.add("shore_supply", "X1", ac_v=120, breaker_a=breaker_a)
    b.add("load", "E1", ac_v=120, power_w=1000, power_factor=1.0)
    ac_cable(b, "W11", "X1.out", "E1.in", size, 200, insulation_c=75.0)
    return b.installation


def _tap(inches: float) -> Installation:
    """A thin tap to a fuse from a bus that 200 A feeds."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=200)
    b.add("fuse", "F2", rating_a=20)
    b.add("bus_bar", "X1")
    b.add("load", "E1", dc_v=12, current_a=5.0)
    cable(b, "W11", "G1.pos", "F1.in", "1/0 AWG", 6)
    cable(b, "W12", "F1.out", "X1.bar", "1/0 AWG", 40)
    cable(b, "W13", "X1.bar", "F2.in", "12 AWG", inches)
    cable(b, "W14", "F2.out", "E1.in", "12 AWG", 120)
    return b.installation


GOOD = (
    Example("one device at 150 % of the ampacity below 50 V", lambda: _feeder(180)),
    Example("bank and charger together within the ampacity", lambda: _two_feeds("4 AWG")),
    Example("120 V: 65 A is no standard size, the next is 70 A", lambda: _branch_120("8 AWG", 70), book="us-33cfr183"),
    Example("a thin tap whose fuse stands 7 in from the bus", lambda: _tap(7)),
)
BAD = (
    Example("a fuse far above the ampacity", lambda: _feeder(200), (("W12", "F3"),)),
    Example("a fuse just above 150 % of the ampacity", lambda: _feeder(181), (("W12", "F3"),)),
    Example(
        "each feed suits the conductor, the sum does not: no multiple for a sum",
        lambda: _two_feeds("6 AWG"),
        (("W14", "F1", "T1"),),
    ),
    Example(
        "120 V: 25 A is a standard size, so 30 A is too much",
        lambda: _branch_120("12 AWG", 30),
        (("W11", "X1"),),
        book="us-33cfr183",
    ),
    Example("a thin tap whose fuse stands 8 in from the bus", lambda: _tap(8), (("W13", "F1"),)),
)
