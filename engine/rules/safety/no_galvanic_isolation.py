"""The shore's earth meets the boat's underwater metal with nothing that blocks the current of corrosion.

What it checks
--------------
From the earth conductor of every shore inlet, through earth and bonding conductors, to whatever of the boat touches the
sea. On the way stands a galvanic isolator, or an isolation transformer that keeps the earths apart; else it is found.
On a hull of steel or aluminium it is a *warning*.

Why it matters
--------------
Over the shore's earth the boat is joined to every other boat on the pontoon: a battery of hulls and propellers in one
sea, and the least noble metal goes.

What to do
----------
A galvanic isolator in the earth conductor beside the inlet, or an isolation transformer.

Limits read
-----------
`metal_hulls` (hulls on which it is a warning).

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.circuit.ways import Step
from engine.findings import Finding, NotJudged, Remark, Word
from engine.installation.model import Installation
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.safety._earth import is_return_step
from engine.rules.safety._shore import Inlet, inlets, is_live_step, uses
from engine.rules.wording import named
from engine.study import Study
from engine.words import N_, _

SLUG = "no-galvanic-isolation"
WORD: Word = "caution"
TITLE = N_("shore earth meets underwater metal without galvanic isolation")
LOOKS_AT = N_("shore inlets whose earth is brought aboard")


def check(study: Study) -> Iterator[Remark]:
    """One remark an inlet."""
    for inlet in inlets(study):
        if inlet.earth is not None:
            yield from _inlet(study, inlet, inlet.earth)


def _inlet(study: Study, inlet: Inlet, earth: int) -> Iterator[Remark]:
    circuit, equipment = study.circuit, study.snapshot.equipment

    def passes(step: Step) -> bool:
        item = study.ways.equipment(step)
        return is_return_step(study, step) and not (item and equipment[item].blocks_corrosion())

    reached = study.ways.reach([earth], passes)
    met = {circuit.nodes[node].equipment: None for node in reached}
    sea = {item: told for item in met if (told := equipment[item].touches_sea()) is not False}
    wet = [item for item, told in sea.items() if told]
    name = study.name(inlet.item)
    if wet:
        metal = study.snapshot.vessel.hull in study.book.option(SLUG, "metal_hulls", ())
        touched = next((item for item in wet if not equipment[item].is_ground()), wet[0])
        yield Finding(
            rule=SLUG,
            word="warning" if metal else WORD,
            designations=(name,),
            ids=(inlet.item, touched),
            message=_("The earth of {inlet} meets the sea at {touched} with nothing to block galvanic current.").format(
                inlet=named(study, inlet.item), touched=named(study, touched)
            ),
            fixes=(
                _("fit a fail-safe galvanic isolator in the earth conductor of {inlet}").format(inlet=name),
                _("or fit an isolation transformer that keeps the earths apart"),
            ),
        )
    elif unsaid := [item for item in _fed(study, inlet) if equipment[item].unsaid_earth()]:
        yield NotJudged(
            rule=SLUG,
            would_be=WORD,
            designations=(name,),
            ids=(inlet.item, *unsaid),
            missing=tuple(f"{study.name(item)}.{equipment[item].unsaid_earth()}" for item in unsaid),
            why=_("whether its earth goes on to the boat's is not recorded"),
        )
    elif sea:
        yield NotJudged(
            rule=SLUG,
            would_be=WORD,
            designations=(name,),
            ids=(inlet.item, *sea),
            missing=tuple(f"{study.name(i)}.{equipment[i].SEA_FIELD}" for i in sea),
            why=_("whether what its earth meets touches the sea is not recorded"),
        )
    elif study.proving:
        yield proved(
            study,
            SLUG,
            inlet.item,
            message=_("The earth of {inlet} meets nothing that touches the sea.").format(
                inlet=named(study, inlet.item)
            ),
        )


def _fed(study: Study, inlet: Inlet) -> list[str]:
    """What takes the shore's power."""
    reached = study.ways.reach(inlet.live, lambda step: is_live_step(study, step))
    return sorted({item for node in reached if (item := uses(study, node)) and item != inlet.item})


# -- examples -------------------------------------------------------------------------------------------------------
def _isolator(*, fitted: bool, hull: str = "glass fibre") -> Installation:
    b = alongside(ground=False, vessel={"hull": hull})
    circuit(b, "load", "E1")
    b.add("earth_point", "X9", form="hull" if hull == "steel" else "ground plate")
    start = "X2.bar"
    if fitted:
        b.add("galvanic_isolator", "R1", rating_a=30, fail_safe=True)
        b.run("W8", "X2.bar", "R1.in", function="earth", size="8 AWG", length_m=0.5)
        start = "R1.out"
    b.run("W9", start, "X9.at", function="earth", size="8 AWG", length_m=1.0)
    return b.installation


def _transformer() -> Installation:
    b = alongside(ground=False)
    known: dict[str, Any] = {
        "power_va": 3600,
        "primary_v": 120,
        "secondary_v": 120,
        "bonds_neutral": True,
        "passes_earth": False,
    }
    b.add("isolation_transformer", "T1", **known)
    b.run("W3", "X2.bar", "T1.primary", function="ac", size="10 AWG", length_m=1.0)
    b.add("bus_bar", "X3")
    b.run("W4", "T1.secondary", "X3.bar", function="ac", size="10 AWG", length_m=1.0)
    b.add("earth_point", "X9", form="ground plate")
    b.run("W9", "X3.bar", "X9.at", function="earth", size="8 AWG", length_m=1.0)
    circuit(b, "load", "E1", "X3.bar")
    return b.installation


GOOD = (
    Example("a galvanic isolator in the earth", lambda: _isolator(fitted=True)),
    Example("an isolation transformer keeps the earths apart", _transformer),
)
BAD = (
    Example("the shore's earth goes to the ground plate", lambda: _isolator(fitted=False), (("X1",),)),
    Example("and on a steel hull", lambda: _isolator(fitted=False, hull="steel"), (("X1",),)),
)
