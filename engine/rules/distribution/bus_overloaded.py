"""A bus carries more than it is rated for, or may.

What it checks
--------------
Every bus, conductor by conductor. *Danger*: what flows in any section between two studs in some operating condition,
every load drawing, is above its rating; the order of the studs counts, and where it is not recorded the worst order is
taken. *Warning*: what the devices let through any section, the lesser of what can come in and what can go out, is above
it, though the loads drawn are not: the bus then runs hot before a device opens. Where the loads are above it and the
devices let no more through than it may carry, they open first: a *caution*. Where a device at it whose rating is not
recorded decides, it is not judged.

Why it matters
--------------
A bar has no fuse of its own. Rearranging the studs, supply in the middle, often halves what its sections carry.

What to do
----------
A larger bus, the supplies between the loads, or a smaller main device.

Limits read
-----------
None of the book's: the rating stands in the record.

References
----------
Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec

from engine.books.ampacity import amps
from engine.circuit.flow.results import BusFlow, Flow
from engine.circuit.through_bus import through_bus
from engine.edits.edit import Put, SetFields, apply
from engine.equipment.base import LIVE
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.bounds import weighty
from engine.rules.example_boats import set_condition
from engine.rules.example_parts import boat, cable
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_operation
from engine.study import Study
from engine.units import spelled
from engine.words import N_, _

SLUG = "bus-overloaded"
WORD: Word = "danger"
LET: Word = "warning"  # what devices let through it
TITLE = N_("bus carries, or may carry, more than its rating")
LOOKS_AT = N_("buses")


def check(study: Study) -> Iterator[Remark]:
    """One remark a bus."""
    worst: dict[str, tuple[float, BusFlow, Flow]] = {}
    short: dict[str, tuple[str, ...]] = {}
    for flow in study.flows:
        for bus in flow.buses:
            if bus.at_least and (missing := weighty(bus.missing)):
                short.setdefault(bus.equipment, missing)
            most = max(bus.sections_a, default=0.0)
            if bus.equipment not in worst or most > worst[bus.equipment][0]:
                worst[bus.equipment] = most, bus, flow
    for item, (most, bus, flow) in sorted(worst.items()):
        carries = study.snapshot.equipment[item].carries()
        rating = None if carries is None else carries.continuous_a
        if rating is None:
            if most > 0:
                yield _gap(study, item, (f"{study.name(item)}.rating_a",), _("its rating is not recorded"))
            continue
        allowed = through_bus(study.coverage, study.operations, item)
        if most > rating * (1 + 1e-9):
            opens = allowed is not None and allowed.amps <= rating and bus.conductor in LIVE
            yield _solved(study, item, most, rating, bus, flow, opens_first=opens)
        else:
            if allowed is not None and math.isfinite(allowed.amps) and allowed.amps > rating * (1 + 1e-9):
                least = through_bus(study.coverage, study.operations, item, hopeful=True)
                if allowed.unknown and least is not None and least.amps <= rating * (1 + 1e-9):
                    why = _("what the devices at it let through it is not known")
                    yield _gap(study, item, allowed.unknown, why, LET)
                else:
                    yield _let_through(study, item, rating, allowed.amps, allowed.devices)
            elif item in short and (allowed is None or allowed.amps > rating):
                yield _gap(study, item, short[item], _("what flows in it is not known in full"))
            elif study.proving:
                is_bounded = allowed is not None and math.isfinite(allowed.amps) and allowed.amps > most
                found = ("let through", allowed.amps) if allowed is not None and is_bounded else ("current", most)
                where = "" if is_bounded else flow.name
                if found[1] > 0:
                    yield proved(study, SLUG, item, found=found, limit=("rating", rating), unit="A", condition=where)


def _gap(study: Study, item: str, missing: tuple[str, ...], why: str, would_be: Word = WORD) -> NotJudged:
    return NotJudged(
        rule=SLUG, would_be=would_be, designations=(study.name(item),), ids=(item,), missing=missing, why=why
    )


def _solved(
    study: Study, item: str, most: float, rating: float, bus: BusFlow, flow: Flow, *, opens_first: bool
) -> Finding:
    name = study.name(item)
    order = "" if bus.order_known else _(" with its studs in the worst order")
    return Finding(
        rule=SLUG,
        word="caution" if opens_first else WORD,
        designations=(name,),
        ids=(item,),
        message=_("Bus {bus} carries {carried} in a section {where}{order}; it is rated {rating}.").format(
            bus=name,
            carried=amps(most),
            where=in_operation(flow.condition, flow.name),
            order=order,
            rating=amps(rating),
        )
        + (_(" What protects it opens first.") if opens_first else ""),
        condition=flow.name,
        figures=(Figure("current", most, "A"), Figure("rating", rating, "A")),
        arithmetic=_("sections of {conductor}: {list} A").format(
            conductor=bus.conductor, list=", ".join(spelled(f"{a:.1f}") for a in bus.sections_a)
        ),
        fixes=(
            _("put the supply between the loads")
            if bus.order_known
            else _("record the stud of every run: the order decides"),
            _("fit a bus rated {amps} or more").format(amps=amps(most)),
        ),
    )


def _let_through(study: Study, item: str, rating: float, allowed: float, devices: tuple[str, ...]) -> Finding:
    name = study.name(item)
    return Finding(
        rule=SLUG,
        word=LET,
        designations=(name, *(study.name(device) for device in devices)),
        ids=(item, *devices),
        message=_("The devices at bus {bus} let {allowed} through it; it is rated {rating}.").format(
            bus=name, allowed=amps(allowed), rating=amps(rating)
        ),
        figures=(Figure("let through", allowed, "A"), Figure("rating", rating, "A")),
        arithmetic=f"{amps(allowed)} > {amps(rating)}",
        fixes=(
            _("fit a bus rated {amps} or more").format(amps=amps(allowed)),
            _("fit a main device of {rating} or less").format(rating=amps(rating)),
        ),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A bus rated for it."""
    from engine.fixing.ratings import larger_of

    if finding.figures[0].value is not None:
        yield from larger_of(study, finding, finding.ids[0], "rating_a", finding.figures[0].value)


# -- examples -------------------------------------------------------------------------------------------------------
def _bus(
    rating: float | None, loads: tuple[float, ...], fuse_a: float = 150, in_the_middle: bool = False
) -> Installation:
    """A bus fed at one end, or in the middle, with a fused load on every other stud."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=400.0, chemistry="AGM", internal_resistance_ohm=0.0005)
    b.add("fuse", "F1", rating_a=fuse_a)
    b.add("bus_bar", "X1", rating_a=rating)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 6)
    cable(b, "W2", "F1.out", "X1.bar", "4/0 AWG", 40)
    places = [1, 3] if in_the_middle else [2, 3]
    for number, load_a in enumerate(loads, start=1):
        b.add("fuse", f"F1{number}", rating_a=max(10.0, load_a * 1.25))
        b.add("load", f"E{number}", dc_v=12, current_a=load_a)
        cable(b, f"W1{number}", "X1.bar", f"F1{number}.in", "2 AWG", 5)
        cable(b, f"W2{number}", f"F1{number}.out", f"E{number}.in", "2 AWG", 20)
    _number_studs(b.installation, {"W2": 2 if in_the_middle else 1} | {f"W1{n}": s for n, s in enumerate(places, 1)})
    set_condition(b, "Under way", {f"E{n}": 5.0 for n in range(1, len(loads) + 1)})
    return b.installation


def _unrated() -> Installation:
    """One of the two fuses is not read yet: with 60 A in it the bus is well protected."""
    b = _bus(100, (40, 40))
    item = next(i for i, r in b.snapshot().equipment.items() if r.designation == "F12")
    apply(b, SetFields("equipment", item, (("rating_a", None),)))
    return b


def _number_studs(installation: Installation, studs: dict[str, int]) -> None:
    for item, run in installation.snapshot().runs.items():
        number = studs.get(run.designation)
        for side in ("from_end", "to_end") if number is not None else ():
            end = getattr(run, side)
            if end.terminal == "bar":
                run = msgspec.structs.replace(run, **{side: msgspec.structs.replace(end, stud_number=number)})
        apply(installation, Put("runs", item, run))


GOOD = (
    Example("well within its rating", lambda: _bus(150, (40, 40))),
    Example("100 A through a bus of 60 A: fed in the middle", lambda: _bus(62.5, (50, 50), in_the_middle=True)),
    Example("the main device suits it", lambda: _bus(150, (60, 60), fuse_a=150)),
)
BAD = (
    Example(
        "100 A through a bus of 60 A, fed at its end", lambda: _bus(60, (50, 50)), (("X1",),), condition="Under way"
    ),
    Example("an ampere above", lambda: _bus(99, (50, 50)), (("X1",),)),
    Example("two loads of 50 A, the fuse of 90 A opens first", lambda: _bus(95, (50, 50), fuse_a=90), (("X1",),)),
    Example("a fuse at it has no rating recorded", _unrated, (("X1",),)),
    Example("the loads are well, the devices are not: 2 × 62.5 A", lambda: _bus(100, (50, 50)), (("X1",),)),
)
