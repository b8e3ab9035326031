"""Branches open one pole of a polarised supply, and nothing tells when live and neutral are exchanged.

What it checks
--------------
Every shore supply recorded as polarised: where an overcurrent device behind it opens the live and leaves the neutral,
a polarity indicator must stand on the same conductors. Behind a transformer the boat's own polarity holds.

Why it matters
--------------
A cord wired the wrong way round makes the neutral live. A breaker that opens one pole then cuts the harmless one, and
what is "off" is live.

What to do
----------
A reverse-polarity indicator at the panel, or breakers that open both poles, or a transformer.

Limits read
-----------
None.

References
----------
E-11 11.6.3.3 and 11.10.2.6.1, secondary copy. ISO 13297:2020 6.8 to 6.10, secondary copy.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.circuit.ways import Step
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.safety._shore import Inlet, inlets, is_live_step
from engine.rules.wording import listed, named
from engine.study import Study
from engine.words import N_, _, ngettext

SLUG = "no-polarity-indication"
WORD: Word = "warning"
TITLE = N_("nothing tells reversed polarity")
LOOKS_AT = N_("polarised shore supplies with branches that open one pole")


def check(study: Study) -> Iterator[Remark]:
    """One remark an inlet."""
    for inlet in inlets(study):
        yield from _inlet(study, inlet)


def _inlet(study: Study, inlet: Inlet) -> Iterator[Remark]:
    circuit, equipment = study.circuit, study.snapshot.equipment
    reached = study.ways.reach(inlet.live, lambda step: is_live_step(study, step))
    single = _single_pole(study, reached)
    if not single or inlet.told.polarised is False:
        return
    name = study.name(inlet.item)
    shows = [i for i in dict.fromkeys(circuit.nodes[n].equipment for n in reached) if equipment[i].shows_polarity()]
    if shows:
        if study.proving:
            yield proved(
                study,
                SLUG,
                inlet.item,
                shows[0],
                message=_("{shows} tells reversed polarity of {inlet}.").format(
                    shows=study.name(shows[0]), inlet=named(study, inlet.item)
                ),
            )
    elif inlet.told.polarised is None:
        yield left_open(
            study,
            SLUG,
            WORD,
            inlet.item,
            missing=(f"{name}.polarised",),
            why=_("whether live and neutral can be exchanged is not recorded"),
        )
    else:
        names = [study.name(item) for item in single]
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(name,),
            ids=(inlet.item, *single),
            message=ngettext(
                "{devices} opens one pole of {inlet}, and nothing tells reversed polarity.",
                "{devices} open one pole of {inlet}, and nothing tells reversed polarity.",
                len(names),
            ).format(
                devices=listed(names if len(names) < 5 else [*names[:4], _("more")]), inlet=named(study, inlet.item)
            ),
            fixes=(
                _("fit a reverse-polarity indicator at the panel"),
                _("or fit breakers that open both poles"),
            ),
        )


def _single_pole(study: Study, reached: dict[int, Step | None]) -> tuple[str, ...]:
    """Overcurrent devices that open the live and leave the neutral that passes them."""
    opens: dict[str, set[str]] = {}
    through: dict[str, set[str]] = {}
    for link in study.circuit.links:
        if link.a in reached or study.circuit.nodes[link.a].conductor == "N":
            name = study.circuit.nodes[link.a].conductor
            (through if link.positions is None else opens).setdefault(link.equipment, set()).add(name)
    protecting = {link.equipment for link in study.circuit.links if link.protection is not None and link.a in reached}
    return tuple(
        sorted(item for item in protecting if "N" in through.get(item, set()) and "N" not in opens.get(item, set()))
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Breakers that open the neutral with the live."""
    from engine.fixing.leading import all_poles

    yield from all_poles(study, finding, finding.ids[1:])


# -- examples -------------------------------------------------------------------------------------------------------
def _branch(poles: Any, *, indicator: bool = False, polarised: bool = True) -> Installation:
    b = alongside(polarised=polarised)
    circuit(b, "load", "E1", poles=poles)
    if indicator:
        b.add("polarity_indicator", "P1", impedance_ohm=25000)
        b.run("W20", "X2.bar", "P1.sense", function="ac", earth=True, size="14 AWG", length_m=0.3)
    return b.installation


GOOD = (
    Example("an indicator at the panel", lambda: _branch(("L1",), indicator=True)),
    Example("branches that open both poles", lambda: _branch(("L1", "N"))),
)
BAD = (
    Example("a branch that opens one pole", lambda: _branch(("L1",)), (("X1",),)),
    Example("a fuse in the live alone", lambda: _fused(), (("X1",),)),
)


def _fused() -> Installation:
    b = alongside()
    b.add("fuse", "F1", rating_a=10, conductor="L1")
    b.add("load", "E1", ac_v=120, power_w=500, exposed_metal=True)
    b.run("W3", "X2.bar", "F1.in", function="ac", size="14 AWG", length_m=0.1)
    b.run("W4", "F1.out", "E1.in", function="ac", size="14 AWG", length_m=3.0)
    return b.installation
