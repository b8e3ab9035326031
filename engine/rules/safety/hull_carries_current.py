"""The hull or a bonding conductor is the normal way back for a DC current.

What it checks
--------------
Every DC consumer, converter and source whose negative is drawn: through negative conductors alone it must meet the
negative of a battery. Where it does so only over earth or bonding conductors, or over the hull between two points of
it, the hull carries its current. Excepted is what the book permits: what stands on an engine whose block is its
return, starting circuits.

Why it matters
--------------
Current in hull and fittings eats them away, gives every bonded thing another voltage, and makes a loose bonding
connection a source of heat.

What to do
----------
Run a negative conductor of its own back to the negative bus.

Limits read
-----------
`engine_mounted`, `engine_starting` (whether these are permitted).

References
----------
E-11 11.5.4.1 and .2, secondary copy: DC is two-wire; hull, bonding and grounding never carry return current, engine-
mounted gear excepted. 46 CFR 183.370, 2015 edition: nor the hull, impressed-current protection and engine starting
excepted.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.circuit.ways import Step
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._earth import is_return_step
from engine.rules.wording import named
from engine.study import Study
from engine.words import N_, _

SLUG = "hull-carries-current"
WORD: Word = "danger"
TITLE = N_("hull or bonding carries return current")
LOOKS_AT = N_("DC equipment whose negative is drawn")


def check(study: Study) -> Iterator[Remark]:
    """One remark a piece of equipment."""
    circuit, ways = study.circuit, study.ways
    batteries = {
        circuit.nodes[node].equipment for node in (feed.node for feed in study.circuit.feeds if feed.source.battery)
    }
    starts = [n for item in batteries for t in circuit.joined[item] if (n := circuit.node(item, t, "-")) is not None]
    if not starts:
        return
    # what a converter gives returns to its own output
    given = {
        n
        for item in circuit.joined
        for c in study.snapshot.equipment[item].conversions()
        if (n := circuit.node(item, c.target, "-")) is not None
    }
    equipment = study.snapshot.equipment

    def along(step: Step) -> bool:
        # two negatives at one point of the hull: the way between them is the hull
        over_hull = equipment[circuit.nodes[step.start].equipment].is_hull()
        return not over_hull and ways.conductor(step.start) == ways.conductor(step.to) == "-"

    by_negative = ways.reach([*starts, *given], along)
    hull = _hull(study)
    by_any = set(ways.reach(starts, lambda step: is_return_step(study, step)))
    if by_any & hull:
        by_any |= set(ways.reach([*starts, *hull], lambda step: is_return_step(study, step)))
    by_battery = set(ways.reach(starts, along))
    sources = {feed.equipment for feed in circuit.feeds}
    for item in circuit.joined:
        record = study.snapshot.equipment[item]
        nodes = [n for t in circuit.joined[item] if (n := circuit.node(item, t, "-")) is not None]
        if not nodes or item in batteries or record.status in ("spare", "to remove"):
            continue
        if not (record.draws() or record.conversions() or item in sources):
            continue
        if any(node in by_negative and node not in (given - by_battery) for node in nodes):
            if study.proving:
                yield proved(
                    study,
                    SLUG,
                    item,
                    message=_("{item} returns to its battery by negative conductors alone.").format(
                        item=named(study, item)
                    ),
                )
        elif any(node in by_any for node in nodes):
            yield from _found(study, item)


def _hull(study: Study) -> set[int]:
    """Nodes of all points on a hull that conducts: one body of metal."""
    circuit = study.circuit
    return {
        n
        for item in circuit.joined
        if study.snapshot.equipment[item].is_ground() and study.snapshot.equipment[item].touches_sea()
        for t in circuit.joined[item]
        for c in ("-", "PE")
        if (n := circuit.node(item, t, c)) is not None
    }


def _found(study: Study, item: str) -> Iterator[Remark]:
    record, name = study.snapshot.equipment[item], study.name(item)
    use = record.use()
    if use is not None and use.starts and study.book.option(SLUG, "engine_starting", False):
        return
    engine = study.snapshot.equipment.get(record.engine_mounted())
    if engine is not None and study.book.option(SLUG, "engine_mounted", False):
        grounded = engine.is_ground()
        if grounded is None:
            yield left_open(
                study,
                SLUG,
                WORD,
                item,
                missing=(f"{study.name(record.engine_mounted())}.{engine.GROUND_FIELD}",),
                why=_("whether the engine it stands on is its return is not recorded"),
            )
        if grounded is not False:
            return
    yield Finding(
        rule=SLUG,
        word=WORD,
        designations=(name,),
        ids=(item,),
        message=_("{item} returns to its battery through the hull or bonding conductors.").format(
            item=named(study, item)
        ),
        fixes=(_("run a negative conductor from {item} back to the negative bus").format(item=name),),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Its negative led to a bus of negatives."""
    from engine.fixing.leading import returned

    yield from returned(study, finding, finding.ids[0])


# -- examples -------------------------------------------------------------------------------------------------------
def _pump(returns: str, kind: str = "motor") -> Installation:
    b = boat(hull="steel")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10)
    b.add("bus_bar", "X1", purpose="negative")
    b.add("earth_point", "X8", form="hull")
    b.add("earth_point", "X9", form="hull")
    if kind == "motor":
        b.add("motor", "M1", dc_v=12, running_a=5)
    else:
        b.add("load", "M1", dc_v=12, current_a=5)
    cable(b, "W1", "G1.pos", "F1.in", "14 AWG", 6)
    cable(b, "W2", "F1.out", "M1.in", "14 AWG", 100)
    negative = {"function": "dc negative"}
    cable(b, "W3", "G1.neg", "X1.bar", "2 AWG", 20, **negative)
    cable(b, "W4", "X1.bar", "X8.at", "8 AWG", 20, **negative)
    cable(b, "W5", "M1.neg", returns, "14 AWG", 100, **negative)
    return b.installation


def _starter(*, engine: bool) -> Installation:
    """Battery negative on the hull; the starter's block bolted to it."""
    b = boat(hull="steel")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("engine", "M1", purpose="propulsion", return_path="block")
    b.add("earth_point", "X8", form="hull")
    motor = b.add("motor", "M2", dc_v=12, running_a=150, service="engine starter")
    if engine:
        ids = {r.designation: i for i, r in b.installation.snapshot().equipment.items()}
        b.set("M2", engine=ids["M1"])
        assert motor
    cable(b, "W1", "G1.pos", "M2.in", "2/0 AWG", 60, exempt="cranking")
    cable(b, "W2", "M2.neg", "M1.block", "2/0 AWG", 10, function="dc negative")
    cable(b, "W3", "G1.neg", "X8.at", "2/0 AWG", 20, function="dc negative")
    return b.installation


GOOD = (
    Example("a pump with a negative of its own; the bus meets the hull once", lambda: _pump("X1.bar")),
    Example("a starter on an engine whose block is its return", lambda: _starter(engine=True)),
)
BAD = (
    Example("a pump that returns through the hull", lambda: _pump("X9.at"), (("M1",),)),
    Example("a lamp that returns through the hull", lambda: _pump("X9.at", "load"), (("M1",),)),
    Example("and to the same point of the hull", lambda: _pump("X8.at"), (("M1",),)),
)
