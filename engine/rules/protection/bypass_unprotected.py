"""In another switch position a path goes round what protects a conductor.

What it checks
--------------
Every live conductor end that is fed and covered with the switches as drawn. If some permitted state of the switches
feeds it with more than it may carry (a bypass closed, a selector in *both*, a second bank switched on), the rule names
the smallest current too much, the positions, and what lets it through. Interlocks are obeyed, breakers that merely
protect are taken as closed, and what a controller moves may stand in any of its positions.

Why it matters
--------------
The bypass is closed on the day something else has failed, and then the conductor's protection is a device chosen for
something larger, or none.

What to do
----------
Put a device suited to the conductor into the way round, or behind the point where both ways meet, or interlock the
switches.

Limits read
-----------
As for `rating-above-ampacity` and `far-from-source`.

References
----------
33 CFR 183.455(a), 2015 edition: every ungrounded conductor, whatever the switches do. E-11, secondary copy.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.books.ampacity import amps
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

SLUG = "bypass-unprotected"
WORD: Word = "danger"
TITLE = N_("a path goes round what protects a conductor")
LOOKS_AT = N_("conductors that a source can feed, where there are switches")


def check(study: Study) -> Iterator[Remark]:
    """One finding an end."""
    yield from telling.remarks(study, SLUG, WORD, _round)
    if study.proving:
        yield from in_order.bypasses(study, SLUG)


def _round(study: Study, end: Uncovered) -> Finding:
    run = study.name(end.run)
    if end.amps == math.inf:
        text = _("Run {run} is {sized}, and protected as drawn; otherwise {source} feeds it with nothing before it.")
    else:
        text = _("Run {run} is {sized}, and protected as drawn; otherwise {devices} can feed {amps} into it at {end}.")
    clause, confirmed = telling.cited(study, SLUG, "")
    items = telling.involved(study, end.supplied)
    is_sum = telling.is_sum(end)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(run, *(study.name(item) for item in items)),
        ids=(end.run, *items),
        message=text.format(
            run=run,
            sized=telling.sized(study, end),
            source=telling.source_name(study, end),
            devices=telling.listed(telling.feeders(study, end.supplied, end)),
            amps="" if end.amps == math.inf else amps(end.amps),
            end=telling.end_name(study, end),
        ),
        condition=telling.condition(study, end.positions),
        positions=end.positions,
        figures=telling.figures(end),
        arithmetic=telling.arithmetic(study, end),
        fixes=tuple(_fixes(study, end)),
        detail=telling.detail(end),
        clause="" if is_sum else clause,
        confirmed=confirmed and bool(clause) and not is_sum,
        beyond_clause=is_sum,
    )


def _fixes(study: Study, end: Uncovered) -> Iterator[str]:
    moved = [item for item, _position in end.positions if not study.snapshot.equipment[item].moves_itself()]
    supplied = end.supplied
    if supplied is not None and len(supplied.devices) == 1 and not supplied.sources:
        yield replaced(study, device(study, *supplied.devices[0], end), telling.sure_a(end))
    yield telling.fit_at(study, end)
    if len(moved) > 1:
        names = telling.listed([study.name(item) for item in moved])
        yield _("interlock {names} so that they cannot stand so at once").format(names=names)


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A smaller device, an interlock, a device of its own, a larger conductor."""
    from engine.fixing import covering

    end = covering.the_end(study, finding)
    if end is not None:
        yield from covering.smaller_device(study, finding, end)
        yield from covering.locked_out(study, finding)
        yield from covering.device_in(study, finding, end)
        yield from covering.larger_conductor(study, finding, end)


# -- examples -------------------------------------------------------------------------------------------------------
def _inverter_bypass(bypass_a: float, *, interlocked: bool = True) -> Installation:
    """An inverter of 20 A and its bypass from shore, both onto one branch conductor of 60 A."""
    b = boat()
    b.add("inverter", "T1", ac_v=120, output_limit_a=20)
    b.add("shore_supply", "X1", ac_v=120, breaker_a=100)
    b.add("circuit_breaker", "Q1", rating_a=100, poles=("L1", "N"), used_as_switch=True)
    b.add("circuit_breaker", "Q2", rating_a=bypass_a, poles=("L1", "N"), used_as_switch=True, in_position="open")
    b.add("bus_bar", "X2")
    b.add("load", "E1", ac_v=120, power_w=500, power_factor=1.0)
    ac_cable(b, "W11", "T1.ac_out", "Q1.in", "4 AWG", 40)
    ac_cable(b, "W12", "Q1.out", "X2.bar", "4 AWG", 40)
    ac_cable(b, "W13", "X1.out", "Q2.in", "4 AWG", 40)
    ac_cable(b, "W14", "Q2.out", "X2.bar", "4 AWG", 40)
    ac_cable(b, "W15", "X2.bar", "E1.in", "10 AWG", 90)
    if interlocked:
        b.interlock("Q1", "Q2", name="slide")
    b.condition("Inverter bypassed", Q1="open", Q2="closed")
    return b.installation


def _selector(kind: str, size: str) -> Installation:
    """Two fused banks on one feeder through a switch, bank 1 as drawn."""
    b = boat()
    b.add(kind, "S1", in_position="1")
    for number, terminal in ((1, "one"), (2, "two")):
        b.add("battery_bank", f"G{number}", unit_v=12.8)
        b.add("fuse", f"F{number}", rating_a=100)
        cable(b, f"W{number}1", f"G{number}.pos", f"F{number}.in", "2 AWG", 6)
        cable(b, f"W{number}2", f"F{number}.out", f"S1.{terminal}", "2 AWG", 40)
    b.add("bus_bar", "X1")
    cable(b, "W13", "S1.common", "X1.bar", size, 90)
    lamp(b, "E1", "X1.bar")
    return b.installation


GOOD = (
    Example("an inverter's bypass with a device of its own, interlocked", lambda: _inverter_bypass(60)),
    Example("a changeover that never joins the banks", lambda: _selector("changeover", "4 AWG")),
    Example("a selector that joins them onto a conductor for both", lambda: _selector("selector", "2 AWG")),
)
BAD = (
    Example(
        "a bypass breaker too large for the branch",
        lambda: _inverter_bypass(100),
        (("W15", "Q2"),),
        condition="Inverter bypassed: Q2 closed",
    ),
    Example(
        "a suited bypass breaker, but both ways at once",
        lambda: _inverter_bypass(60, interlocked=False),
        (("W15", "Q2", "T1"),),
        condition="Q1 closed, Q2 closed",
    ),
    Example(
        "a selector that joins two banks onto a conductor for one",
        lambda: _selector("selector", "4 AWG"),
        (("W13", "F1", "F2"),),
        condition="S1 in both",
    ),
)
