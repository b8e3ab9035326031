"""More is wanted of an AC source than it gives continuously.

What it checks
--------------
In every operating condition: what each generator, shore supply, inverter and transformer gives when every load of the
condition draws at the same time, against its continuous rating.

Why it matters
--------------
The breaker ashore opens, the inverter shuts down, the generator's winding ages; and always when the most is switched
on.

What to do
----------
Use the loads one after the other, or fit a larger source. Where they are never on together, give them different
operating conditions.

Limits read
-----------
None of the book's: the rating stands in the record. Diversity: none, every load with hours counts as on at once.

References
----------
46 CFR 183.320, secondary copy: generators by their continuous rating.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.circuit.energy.supply import continuous_va
from engine.circuit.flow.results import Flow, SourceFlow
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_boats import set_condition
from engine.rules.example_parts import ac_cable, boat, cable
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_operation
from engine.study import Study
from engine.units import number, show
from engine.words import N_, _

SLUG = "source-overloaded"
WORD: Word = "warning"
TITLE = N_("more is wanted of an AC source than it gives continuously")
LOOKS_AT = N_("sources of alternating current")

LINES = ("L1", "L2", "L3")


def check(study: Study) -> Iterator[Remark]:
    """One remark a source: the condition that asks for most."""
    worst: dict[str, tuple[float, Flow]] = {}
    short: dict[str, tuple[str, ...]] = {}
    for flow in study.flows:
        for item, va in wanted_va(flow.sources).items():
            if va > worst.get(item, (0.0, flow))[0]:
                worst[item] = va, flow
        for source in flow.sources:
            if source.conductor in LINES and source.missing:
                short[source.equipment] = source.missing
    for item, (va, flow) in sorted(worst.items()):
        record = study.snapshot.equipment[item]
        rated = continuous_va(record, study.circuit.joined.get(item, frozenset()))
        if rated is None:
            field = "breaker_a" if record.machine() is not None else "power_va"
            yield _gap(study, item, (f"{study.name(item)}.{field}",), _("its continuous rating is not recorded"))
        elif va > rated * (1 + 1e-9):
            yield _finding(study, item, va, rated, flow)
        elif item in short:
            yield _gap(study, item, short[item], _("what it feeds is not known in full"))
        elif study.proving:
            may = ("continuous rating", rated)
            yield proved(study, SLUG, item, found=("wanted", va), limit=may, unit="VA", condition=flow.name)


def wanted_va(sources: tuple[SourceFlow, ...]) -> dict[str, float]:
    """Volt-amperes that each AC source gives, or is asked for where it stands at its limit."""
    made: dict[str, float] = {}
    for source in sources:
        if source.conductor in LINES and source.amps > 0:
            made[source.equipment] = made.get(source.equipment, 0.0) + _asked(source)
    return made


def _asked(source: SourceFlow) -> float:
    return abs(source.volts * source.amps)


def _gap(study: Study, item: str, missing: tuple[str, ...], why: str) -> NotJudged:
    return NotJudged(rule=SLUG, would_be=WORD, designations=(study.name(item),), ids=(item,), missing=missing, why=why)


def _finding(study: Study, item: str, va: float, rated: float, flow: Flow) -> Finding:
    name = study.name(item)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(name,),
        ids=(item,),
        message=_("{wanted} are wanted of {source} {where}; it gives {rated} continuously.").format(
            wanted=f"{number(round(va), 6)} VA",
            source=name,
            where=in_operation(flow.condition, flow.name),
            rated=f"{number(round(rated), 6)} VA",
        ),
        condition=flow.name,
        figures=(Figure("wanted", va, "VA"), Figure("continuous rating", rated, "VA")),
        arithmetic=_("every load of the condition at the same time: {va} > {rated}").format(
            va=show(round(va), "VA"), rated=show(round(rated), "VA")
        ),
        fixes=(
            _("use the loads one after the other"),
            _("fit a source of {va} or more").format(va=show(round(va), "VA")),
        ),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A larger source; what is given ashore is not the boat's to change."""
    from engine.fixing.ratings import another_figure

    item, wanted = finding.ids[0], finding.figures[0].value or 0.0
    record = study.snapshot.equipment[item]
    if record.ashore() is not None:
        return
    least = math.ceil(wanted / 500) * 500.0
    for field, unit in (("power_va", "VA"), ("power_w", "W")):
        if getattr(record, field, None):
            yield from another_figure(study, finding, item, field, unit, [least, least + 500, least + 1000, 2 * least])


# -- examples -------------------------------------------------------------------------------------------------------
def _ashore(watts: float) -> Installation:
    """A 16 A supply of 230 V: 3680 VA; a heater near it, 14 mV a metre there and back."""
    b = boat()
    b.add("shore_supply", "G1", ac_v=230, breaker_a=16, frequency_hz=50, fault_a=6000)
    b.add("load", "E1", ac_v=230, power_w=watts, behaves="constant power", power_factor=1.0)
    ac_cable(b, "W1", "G1.out", "E1.in", "10 AWG", 4)
    set_condition(b, "Alongside", {"E1": 2.0}, running=("G1",))
    return b.installation


def _inverting(watts: float) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=25.6, unit_ah=200.0, chemistry="LFP")
    b.add("fuse", "F1", rating_a=200)
    b.add("inverter", "T1", dc_v=24, ac_v=230, power_w=2000, efficiency=0.9, standby_w=10, output_limit_a=20)
    b.add("load", "E1", ac_v=230, power_w=watts, power_factor=1.0)
    cable(b, "W1", "G1.pos", "F1.in", "2/0 AWG", 6)
    cable(b, "W2", "F1.out", "T1.dc", "2/0 AWG", 40)
    ac_cable(b, "W3", "T1.ac_out", "E1.in", "10 AWG", 40)
    set_condition(b, "At anchor", {"E1": 1.0}, running=("G1",))
    return b.installation


GOOD = (
    Example("a kettle on shore", lambda: _ashore(2000)),
    Example("just under 16 A", lambda: _ashore(3670)),
    Example("1.9 kW of 2 kW", lambda: _inverting(1900)),
)
BAD = (
    Example("heater and more on 16 A", lambda: _ashore(5000), (("G1",),), condition="Alongside"),
    Example("just above 16 A", lambda: _ashore(3690), (("G1",),)),
    Example("an inverter asked for 2.5 kW", lambda: _inverting(2500), (("T1",),)),
)
