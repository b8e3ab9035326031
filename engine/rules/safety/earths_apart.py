"""The AC protective earth is not joined to the boat's ground.

What it checks
--------------
Where the book requires it and the boat has both: the protective conductor of every place AC comes from must meet,
through earth conductors, an earth point, or an engine block that is the ground of the DC system. A galvanic isolator
joins. The shore's earth is left alone where all that the shore feeds are transformers: there it is kept apart on
purpose.

Why it matters
--------------
AC that strays into the DC wiring finds its way to earth only over the sea: the whole boat stands at the shore's volts,
and no breaker trips.

What to do
----------
One conductor from the AC earth bus to the main DC negative bus or the engine's negative stud.

Limits read
-----------
`required`.

References
----------
E-11 11.5.5.3, secondary copy: the main AC grounding bus is tied to the engine's negative terminal or the main DC
negative bus, where the DC system is grounded. 46 CFR 183.372, 2015 edition.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import lamp
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.safety._earth import is_return_step
from engine.rules.safety._shore import Inlet, inlets, is_live_step, uses
from engine.rules.wording import listed, named
from engine.study import Study
from engine.words import N_, _

SLUG = "earths-apart"
WORD: Word = "warning"
TITLE = N_("AC protective earth not joined to the boat's ground")
LOOKS_AT = N_("AC protective earths and the boat's ground")


def check(study: Study) -> Iterator[Remark]:
    """One remark for all AC earths apart from the ground."""
    if not study.book.option(SLUG, "required", False):
        return
    equipment, circuit = study.snapshot.equipment, study.circuit
    grounds = {item: told for item in circuit.joined if (told := equipment[item].is_ground()) is not False}
    apart_by_intent = {inlet.item for inlet in inlets(study) if _separated(study, inlet)}
    buses = [
        item
        for item in circuit.joined
        if equipment[item].is_earth_bus() or (equipment[item].ashore() is not None and item not in apart_by_intent)
    ]
    feeding = {feed.equipment for feed in circuit.feeds if feed.source.system == "ac"} - apart_by_intent
    sources = sorted(feeding | set(buses))
    earths = {
        item: nodes
        for item in sources
        if (nodes := [n for t in circuit.joined.get(item, ()) if (n := circuit.node(item, t, "PE")) is not None])
    }
    systems = {feed.source.system for feed in circuit.feeds if feed.source.battery or feed.source.system == "ac"}
    if not grounds or not earths or len(systems) < 2:
        return
    apart, unsure = [], []
    for item, nodes in earths.items():
        reached = study.ways.reach(nodes, lambda step: is_return_step(study, step))
        met = {told for node in reached if (told := grounds.get(circuit.nodes[node].equipment, False)) is not False}
        if not met:
            apart.append(item)
        elif True not in met:
            unsure.append(item)
    if apart:
        names = [study.name(item) for item in apart]
        ground = sorted(grounds)[0]
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=tuple(names),
            ids=(*apart, ground),
            message=_("The AC protective earth of {names} is not joined to the boat's ground at {ground}.").format(
                names=listed(names), ground=named(study, ground)
            ),
            fixes=(_("run an earth conductor from there to {ground}").format(ground=study.name(ground)),),
        )
    if unsure:
        yield left_open(
            study,
            SLUG,
            WORD,
            *unsure,
            missing=tuple(
                f"{study.name(item)}.{equipment[item].GROUND_FIELD}" for item, told in grounds.items() if told is None
            ),
            why=_("whether the engine's block is the boat's ground is not recorded"),
        )
    elif not apart and study.proving:
        yield proved(study, SLUG, *earths, message=_("The AC protective earth is joined to the boat's ground."))


def _separated(study: Study, inlet: Inlet) -> bool:
    """Whether all that the shore feeds are transformers that keep its earth apart."""
    reached = study.ways.reach(inlet.live, lambda step: is_live_step(study, step))
    fed = {item for node in reached if (item := uses(study, node)) and item != inlet.item}
    equipment = study.snapshot.equipment
    return bool(fed) and all(any(c.both_ways for c in equipment[item].conversions()) for item in fed)


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """An earth conductor from each to the boat's ground."""
    from engine.fixing.leading import earth_joined

    *apart, ground = finding.ids
    yield from earth_joined(study, finding, apart, ground)


# -- examples -------------------------------------------------------------------------------------------------------
def _boat(*, joined: bool, ground: str = "earth_point") -> Installation:
    b = alongside()
    circuit(b, "load", "E1")
    b.add("battery_bank", "G1", unit_v=12)
    lamp(b, "E9", "G1.pos")
    if ground == "engine":
        b.add("engine", "M1", purpose="propulsion", return_path="block")
        b.run("W30", "G1.neg", "M1.block", function="dc negative", size="2 AWG", length_m=2.0)
        b.run("W31", "X9.at", "M1.block", function="earth", size="8 AWG", length_m=2.0)
    if not joined:
        b.add("bus_bar", "X8", purpose="protective earth")
        b.add("generator", "G2", ac_v=120, rating_a=30, exposed_metal=True)
        b.add("load", "E2", ac_v=120, power_w=100)
        b.run("W32", "G2.out", "E2.in", function="ac", size="10 AWG", length_m=2.0)
        b.run("W33", "G2.earth", "X8.bar", function="earth", size="10 AWG", length_m=1.0)
    return b.installation


def _inlet_alone() -> Installation:
    b = alongside(ground=False)
    circuit(b, "load", "E1")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("engine", "M1", purpose="propulsion", return_path="block")
    b.run("W30", "G1.neg", "M1.block", function="dc negative", size="2 AWG", length_m=2.0)
    lamp(b, "E9", "G1.pos")
    return b.installation


GOOD = (
    Example("the AC earth bus meets the earth point", lambda: _boat(joined=True)),
    Example("the AC earth meets the engine block", lambda: _boat(joined=True, ground="engine")),
)
BAD = (
    Example("a generator earthed to a bus of its own", lambda: _boat(joined=False), (("X8", "G2"),)),
    Example("shore's earth ends at the panel, the engine is the ground", _inlet_alone, (("X1",),)),
)
