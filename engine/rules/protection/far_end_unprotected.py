"""A conductor with energy at both ends is protected at one of them only.

What it checks
--------------
A live conductor that a source can feed at one end with nothing before it, while a protective device of suitable size
stands at its other end. That device guards against what comes from its own side. It cannot stop what comes from the far
source through a fault in the conductor between. The rule speaks only where both sides can drive more than the
conductor's ampacity: an end whose source limits itself at or below the ampacity needs no device, and where nothing
feeds the device from its other side the finding is `far-from-source`.

Why it matters
--------------
The fuse at a charger or at the other bank looks like protection and is none. A chafed link between two banks is fed by
both, and only one of them is cut off.

What to do
----------
Fit a second device, at the unprotected source.

Limits read
-----------
Distances as for `far-from-source`, sizes as for `rating-above-ampacity`, `ordinary_alternator_limits_itself`.

References
----------
33 CFR 183.455(a), 183.460(a) and (b), 2015 edition: every ungrounded output conductor of a battery, an alternator or a
generator, self-limiting ones excepted. E-11, secondary copy.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.circuit.coverage import Uncovered
from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.protection import _covered as in_order
from engine.rules.protection import _telling as telling
from engine.rules.rule import Example
from engine.study import Study
from engine.words import N_, _

SLUG = "far-end-unprotected"
WORD: Word = "danger"
TITLE = N_("conductor fed from both ends, protected at one")
LOOKS_AT = N_("conductors fed at both ends")


def check(study: Study) -> Iterator[Remark]:
    """One finding an end."""
    yield from telling.remarks(study, SLUG, WORD, _one_sided)
    if study.proving:
        yield from in_order.far_ends(study, SLUG)


def _one_sided(study: Study, end: Uncovered) -> Finding:
    placed = end.placed
    assert placed is not None  # a judged end is always placed
    devices = telling.far_devices(study, end)
    source = telling.equipment_of(end.supplied)
    clause, confirmed = telling.bare_clause(study, end, SLUG)
    items = tuple(dict.fromkeys((*source, *(telling.device_at(study, edge) for edge in devices))))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(end.run), *(study.name(item) for item in items)),
        ids=(end.run, *items),
        message=_(
            "{source} feeds run {run} at {end} with nothing before it; {devices} guards the end at {far} only."
        ).format(
            source=telling.source_name(study, end),
            run=study.name(end.run),
            end=telling.end_name(study, end),
            devices=telling.listed([telling.rated(study, edge) for edge in devices]),
            far=telling.far_name(study, end),
        ),
        condition=telling.condition(study, end.positions),
        positions=end.positions,
        figures=(
            *telling.figures(end),
            Figure("distance", round(placed.distance_m, 4), "m"),
            Figure("allowed distance", round(placed.allowed_m, 4), "m"),
        ),
        arithmetic=telling.arithmetic(study, end),
        fixes=(
            _("fit {device} within {allowed} of {origin}").format(
                device=telling.a_device(telling.suited_a(study, end)),
                allowed=telling.allowed_distance(study, telling.distance_limit(study, end)),
                origin=study.name(placed.origin),
            ),
        ),
        detail=telling.detail(end),
        clause=clause,
        confirmed=confirmed,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A second device at the unprotected source; the way covered where that is enough."""
    from engine.fixing import covering

    end = covering.the_end(study, finding)
    if end is not None:
        yield from covering.device_in(study, finding, end)
        yield from covering.sheathed(study, finding, end)


# -- examples -------------------------------------------------------------------------------------------------------
def _link(*, second: bool = False, inches: float = 80, sheath: str = "bare") -> Installation:
    """Two banks and a link, fused at the first, and at the second or not."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("battery_bank", "G2", unit_v=12.8)
    b.add("fuse", "F1", rating_a=150)
    cable(b, "W11", "G1.pos", "F1.in", "2 AWG", 6)
    if second:
        b.add("fuse", "F2", rating_a=150)
        cable(b, "W12", "F1.out", "F2.in", "2 AWG", inches, sheath=sheath)
        cable(b, "W13", "F2.out", "G2.pos", "2 AWG", 6)
    else:
        cable(b, "W12", "F1.out", "G2.pos", "2 AWG", inches, sheath=sheath)
    return b.installation


def _alternator(*, limits_itself: bool) -> Installation:
    """An alternator on the bank, fused at the bank only."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("alternator", "G2", dc_v=12, rating_a=110.0, self_limiting=limits_itself)
    b.add("fuse", "F1", rating_a=150)
    cable(b, "W11", "G1.pos", "F1.in", "2 AWG", 6)
    cable(b, "W12", "F1.out", "G2.pos", "2 AWG", 90, sheath="sheathed")
    return b.installation


GOOD = (
    Example("a link between banks, fused at both", lambda: _link(second=True)),
    Example("a link fused at one bank, 72 in from the other in a sheath", lambda: _link(inches=72, sheath="sheathed")),
    Example("a self-limited alternator needs no device of its own", lambda: _alternator(limits_itself=True)),
)
BAD = (
    Example("a link between banks, fused at one", lambda: _link(), (("W12", "G2", "F1"),)),
    Example(
        "a link fused at one bank, 73 in from the other in a sheath",
        lambda: _link(inches=73, sheath="sheathed"),
        (("W12", "G2", "F1"),),
    ),
    Example(
        "an alternator that does not limit itself, fused at the bank only",
        lambda: _alternator(limits_itself=False),
        (("W12", "G2", "F1"),),
    ),
)
