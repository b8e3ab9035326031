"""A protective device stands farther along the conductor than the book allows.

What it checks
--------------
Every live conductor end that a source can feed with nothing before it. The rule measures from the source to the first
protective device, along the conductor: unprotected runs, buses and switches in between add up, and where two such ways
meet the shorter counts. How far is allowed depends on the supply (a battery, or any other supply point) and on whether
every run on the way is in a sheath or enclosure all along. A run that is too long already passes no distance on: it is
the one to mend.

A self-limited source that ends the run takes the place of a device, within the distance of any other supply point.
Cranking circuits are exempt; a tap off one begins anew there, as at any other supply point.

Where the book ties a distance to a reason ("not practicable at the source") and the run records none, it is not judged.
A missing length or sheath is not judged either, unless the answer is the same whatever it is.

Why it matters
--------------
Everything between the source and the device is unprotected. The longer it is, the likelier it chafes through, and a
battery drives thousands of amperes through the spot.

What to do
----------
Move the device towards the source, or run the conductor in a sheath or conduit where that is allowed farther.

Limits read
-----------
`bare`, `sheathed`, `battery` (m), `charging` and `ac` (m, from a charging source whatever the covering, and on AC,
where a book sets them; `ac_sheathed_to_panel`: in a sheath as far as the panel), `battery_needs_sheath`,
`needs_reason`, `limited_source_may_end_run`, and `danger_beyond`: so many times the limit make it a danger.

References
----------
33 CFR 183.455(b) and 183.460(a), 2015 edition: 7 in, 40 in sheathed, 72 in at a battery. E-11 11.10.2.8.1, secondary
copy; the sheath condition on the 72 in from memory, not confirmed.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.circuit.coverage import Uncovered
from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable, lamp
from engine.rules.protection import _covered as in_order
from engine.rules.protection import _telling as telling
from engine.rules.rule import Example
from engine.study import Study
from engine.words import N_, _

SLUG = "far-from-source"
WORD: Word = "warning"
TITLE = N_("protective device too far from the source")
LOOKS_AT = N_("conductors that a source can feed, and where their protective devices stand")


def check(study: Study) -> Iterator[Remark]:
    """One finding an end."""
    yield from telling.remarks(study, SLUG, WORD, _too_far)
    if study.proving:
        yield from in_order.distances(study, SLUG)


def _too_far(study: Study, end: Uncovered) -> Finding:
    placed = end.placed
    assert placed is not None  # a judged end is always placed
    which = telling.distance_limit(study, end)
    clause, confirmed = telling.cited(study, SLUG, which)
    devices = telling.far_devices(study, end)
    allowed = telling.allowed_distance(study, which)
    if devices:
        message = _("{devices} stands {distance} from {origin} along {run}; {allowed} is allowed.")
    else:
        message = _("No protective device stands within {distance} of {origin} along {run}; {allowed} is allowed.")
    runs = [study.name(study.circuit.wires[study.coverage.mirror.wire[edge]].run) for edge in placed.path]
    beyond = study.coverage.values.danger_beyond
    is_danger = placed.is_bare or (beyond is not None and placed.distance_m > beyond * placed.allowed_m * (1 + 1e-9))
    distance = telling.length(study, placed.distance_m)
    if any(study.snapshot.runs[run].length_m is None for run in _passed(study, end)):
        distance = _("at least {distance}").format(distance=distance)
    items = tuple(dict.fromkeys(telling.device_at(study, edge) for edge in devices))
    return Finding(
        rule=SLUG,
        word="danger" if is_danger else study.book.word(SLUG, WORD),
        designations=(study.name(end.run), *(study.name(item) for item in items)),
        ids=(end.run, *items),
        message=message.format(
            devices=telling.listed([telling.rated(study, edge) for edge in devices]),
            distance=distance,
            origin=study.name(placed.origin),
            run=telling.listed(runs),
            allowed=allowed,
        ),
        condition=telling.condition(study, end.positions),
        positions=end.positions,
        figures=(
            Figure("distance", round(placed.distance_m, 4), "m"),
            Figure("allowed", round(placed.allowed_m, 4), "m"),
        ),
        arithmetic=_sum(study, end),
        fixes=tuple(telling.move_nearer(study, end)),
        detail=telling.detail(end),
        clause=clause,
        confirmed=confirmed,
    )


def _passed(study: Study, end: Uncovered) -> list[str]:
    """The runs that the distance is made of."""
    placed = end.placed
    if placed is None:
        return []
    edges = [*placed.path]
    for ending in placed.endings:
        if ending.distance_m == placed.distance_m:
            edges += ending.through
            break
    return [study.circuit.wires[study.coverage.mirror.wire[edge]].run for edge in edges]


def _sum(study: Study, end: Uncovered) -> str:
    """*W1 0.1 m + W2 0.13 m = 0.23 m*; a length that is not recorded is *?*, and the sum then leaves it out."""
    runs = _passed(study, end)
    lengths = [study.snapshot.runs[run].length_m for run in runs]
    shown = ["?" if known is None else telling.length(study, known) for known in lengths]
    parts = [f"{study.name(run)} {length}" for run, length in zip(runs, shown, strict=True)]
    if len(parts) < 2 or end.placed is None:
        return "".join(parts)
    if None in lengths:
        return " + ".join(parts)
    return f"{' + '.join(parts)} = {telling.length(study, end.placed.distance_m)}"


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The device nearer, the way covered; a device of its own where none stands on it."""
    from engine.fixing import covering

    end = covering.the_end(study, finding)
    if end is not None:
        yield from covering.moved_nearer(study, finding, end)
        yield from covering.sheathed(study, finding, end)
        yield from covering.device_in(study, finding, end)


# -- examples -------------------------------------------------------------------------------------------------------
def _bank(inches: float | None, sheath: str, book: str = "trade-na", second: float | None = None) -> Installation:
    """A bank, its fuse at some distance, a lamp; `second` inserts a stud and another length."""
    b = boat(book=book, engine_fuel="petrol")
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=150)
    b.add("bus_bar", "X1")
    if second is None:
        cable(b, "W11", "G1.pos", "F1.in", "2 AWG", inches, sheath=sheath)
    else:
        b.add("terminal", "X2")
        cable(b, "W11", "G1.pos", "X2.at", "2 AWG", inches, sheath=sheath)
        cable(b, "W15", "X2.at", "F1.in", "2 AWG", second, sheath=sheath)
    cable(b, "W12", "F1.out", "X1.bar", "2 AWG", 60)
    lamp(b, "E1", "X1.bar", away_reason="no room at the bus" if book == "us-33cfr183" else "")
    return b.installation


def _starter(tap: float, exempt: str = "cranking") -> Installation:
    """A starting circuit with a fused tap at its battery switch."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("battery_switch", "Q1")
    b.add("motor", "M1", dc_v=12, running_a=150.0)
    cable(b, "W11", "G1.pos", "Q1.in", "1/0 AWG", 40, exempt=exempt)
    cable(b, "W12", "Q1.out", "M1.in", "1/0 AWG", 60, exempt=exempt)
    b.add("fuse", "F1", rating_a=15)
    b.add("load", "E1", dc_v=12, current_a=2.0)
    cable(b, "W13", "Q1.out", "F1.in", "14 AWG", tap, sheath="sheathed")
    cable(b, "W14", "F1.out", "E1.in", "14 AWG", 120)
    return b.installation


GOOD = (
    Example("a fuse 6 in from the battery, bare", lambda: _bank(6, "bare")),
    Example("in a sheath at a battery, just within 72 in", lambda: _bank(72, "sheathed")),
    Example(
        "by law 72 in at a battery whatever the covering", lambda: _bank(72, "bare", "us-33cfr183"), book="us-33cfr183"
    ),
    Example("two lengths that add up to 7 in", lambda: _bank(4, "bare", second=3)),
    Example("a tap off a cranking circuit begins anew, 40 in in a sheath", lambda: _starter(40)),
)
BAD = (
    Example("a bare fuse lead just over 7 in", lambda: _bank(7.1, "bare"), (("W11", "F1"),)),
    Example("a bare fuse lead of 30 in", lambda: _bank(30, "bare"), (("W11", "F1"),)),
    Example("in a sheath at a battery, 73 in", lambda: _bank(73, "sheathed"), (("W11", "F1"),)),
    Example(
        "by law 73 in at a battery", lambda: _bank(73, "bare", "us-33cfr183"), (("W11", "F1"),), book="us-33cfr183"
    ),
    Example("two lengths that add up to 9 in", lambda: _bank(4, "bare", second=5), (("W15", "F1"),)),
    Example("a tap off a cranking circuit, 41 in in a sheath", lambda: _starter(41), (("W13", "F1"),)),
)
