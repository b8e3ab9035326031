"""A load marked essential can be fed from a single source.

What it checks
--------------
Every load recorded as essential, and from how many sources it can be fed, each in some permitted position of the
switches that joins no two sources that must not meet. Sources that count are those that stand alone: battery banks,
generators, the shore. An alternator, sun, wind, and what a charger gives keep a battery full and are no second supply
by themselves, unless the charger is recorded as working without a battery. Breakers and fuses count as closed; that
the load has one breaker and one cable of its own is not told here.

From one source only: a *notice*. Where that one is a bank that its management can shut off, or the management of a bank
opens every way at once: a *warning*. So too where no source that stands alone can feed it.

Why it matters
--------------
A battery management shuts off without asking, at the moment something else is already wrong, and then the bilge pump,
the radio and the lights are gone together.

What to do
----------
A second supply by a switch that stands open: another bank, a converter from the starting battery, a small battery of
its own.

Limits read
-----------
None.

References
----------
E-13, secondary copy: with a lithium-ion bank critical electronics should have another source. Common practice, no
source, for the rest.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.builder import Builder
from engine.circuit.switching.failing import failures
from engine.circuit.switching.feeding import Feeding, Through
from engine.circuit.switching.results import Failure
from engine.findings import Finding, Remark, Word
from engine.installation.model import Installation
from engine.rules.energy.charge_too_high import LEAD
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.words import N_, _

SLUG = "no-alternative"
WORD: Word = "notice"
TITLE = N_("an essential load has a single way to be fed")
LOOKS_AT = N_("loads marked essential")
SEARCHES = True


class _Fault(NamedTuple):
    """What several loads have in common: one remark for all of them."""

    kind: str  # "none", "single", "shut off", "open"
    source: str = ""
    missing: tuple[str, ...] = ()
    failure: Failure | None = None


def check(study: Study) -> Iterator[Remark]:
    """One remark for all loads that hang on the same source."""
    loads = [item for item, use in _uses(study) if use.essential and item in study.circuit.joined]
    if not loads:
        return
    sure = Feeding(
        study.snapshot, study.circuit, study.budget, passes=lambda through: _supplies(study, through) is True
    )
    maybe: Feeding | None = None
    trips = [f for f in failures(study.snapshot, sure, tuple(loads)) if f.kind == "bank"]
    groups: dict[_Fault, list[str]] = {}
    for item in loads:
        sources, undecided = _sources(study, sure, item)
        if undecided and len(sources) < 2:
            yield _undecided(study, item)
            continue
        if len(sources) < 2:
            maybe = maybe or Feeding(
                study.snapshot, study.circuit, study.budget, passes=lambda t: _supplies(study, t) is not False
            )
            if len(_sources(study, maybe, item)[0]) > 1:
                yield _depends(study, maybe, item)
                continue
        fault = _fault(study, sure, item, sources, trips)
        if fault is not None:
            groups.setdefault(fault, []).append(item)
        elif study.proving:
            text = _("It can be fed from {sources}.").format(sources=listed([study.name(s) for s in sources]))
            yield proved(study, SLUG, item, message=text)
    for fault, some in groups.items():
        yield _remark(study, fault, some)


def _uses(study: Study) -> Iterator[tuple[str, Any]]:
    for item, record in study.snapshot.equipment.items():
        use = record.use()
        if use is not None and record.status not in ("spare", "to remove"):
            yield item, use


def _supplies(study: Study, through: Through) -> bool | None:
    """Whether a converter feeds without a battery beside it: yes, no or not known."""
    nodes, record = study.circuit.nodes, study.snapshot.equipment[through.equipment]
    lost = record.battery_lost()
    if lost is None or not any(nodes[n].conductor == "+" for n in through.outputs):
        return True
    if lost.harmed is False:
        return True
    return None if lost.harmed is None and lost.form == "battery" else False


def _sources(study: Study, feeding: Feeding, item: str, failure: Failure | None = None) -> tuple[list[str], bool]:
    """Sources that stand alone, in order, and whether there may be more."""
    fed = feeding.fed(item, failure)
    charging = {
        (supply.equipment, supply.line)
        for supply in feeding.supplies
        if not supply.battery
        and study.snapshot.equipment[supply.equipment].battery_lost() is not None
        and any(study.circuit.nodes[n].conductor == "+" for n in supply.live)
    }
    found = [way.source for way in fed.ways if way.stands_alone and (way.source, way.line) not in charging]
    return sorted(set(found)), bool(set(fed.undecided) - set(found))


def _fault(study: Study, feeding: Feeding, item: str, sources: list[str], trips: list[Failure]) -> _Fault | None:
    if not sources:
        return _Fault("none")
    for trip in trips:
        shuts = _shuts_off(study, trip.item)
        if shuts is False:
            continue
        if _sources(study, feeding, item, trip) == ([], False):
            if shuts:
                return _Fault("shut off", trip.item, failure=trip)
            return _Fault("open", trip.item, _unsaid(study, trip.item))
    return _Fault("single", sources[0]) if len(sources) == 1 else None


def _shuts_off(study: Study, bank: str) -> bool | None:
    """Whether a management can shut a bank off."""
    store = study.snapshot.equipment[bank].store()
    if _opened_by_management(study, bank):
        return True
    if store is None or store.disconnects is not None:
        return None if store is None else store.disconnects
    return False if not store.bms and store.chemistry in LEAD else None


def _opened_by_management(study: Study, bank: str) -> bool:
    every = (record.governs() for record in study.snapshot.equipment.values())
    return any(governs is not None and bank in governs.banks and governs.opens for governs in every)


def _unsaid(study: Study, bank: str) -> tuple[str, ...]:
    store = study.snapshot.equipment[bank].store()
    field = "bms_disconnects" if store is not None and store.bms else "bms"
    return (f"{study.name(bank)}.{field}",)


# -- words ------------------------------------------------------------------------------------------------------------
def _undecided(study: Study, item: str) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=_(
            "Whether {item} has a second supply is not decided: the search was stopped before it could tell."
        ).format(item=named(study, item)),
        fixes=(_("split the network so that fewer switches lie between the load and its sources"),),
        undecided=True,
    )


def _depends(study: Study, maybe: Feeding, item: str) -> Remark:
    through = {t.equipment for t in maybe.through if _supplies(study, t) is None}
    crossed = dict.fromkeys(i for way in maybe.fed(item).ways for i in way.through if i in through)
    fields = tuple(
        f"{study.name(i)}.{lost.field}" for i in crossed if (lost := study.snapshot.equipment[i].battery_lost())
    )
    why = _("whether what feeds it a second time works without a battery is not recorded")
    return left_open(study, SLUG, WORD, item, missing=fields, why=why)


def _remark(study: Study, fault: _Fault, loads: list[str]) -> Remark:
    names = [named(study, item) for item in loads]
    if fault.kind == "open":
        why = _("all that feeds them goes by {bank}; whether its management can shut it off is not recorded").format(
            bank=study.name(fault.source)
        )
        return left_open(study, SLUG, "warning", *loads, fault.source, missing=fault.missing, why=why)
    ids = tuple(dict.fromkeys((*loads, *((fault.source,) if fault.source else ()))))
    held = () if fault.failure is None else fault.failure.held
    if fault.kind == "none":
        message = _("No source that stands alone can feed {loads}.").format(loads=listed(names))
        mend = _("lead a supply from a battery bank to {loads}")
    elif fault.kind == "single":
        source = named(study, fault.source)
        message = _("{loads} can be fed from {source} alone.").format(loads=listed(names), source=source)
        mend = _("give {loads} a second supply, by a switch that stands open")
    else:
        message = _("Nothing feeds {loads} once the management of {bank} has shut it off.").format(
            loads=listed(names), bank=named(study, fault.source)
        )
        mend = _("give {loads} a second supply that this management does not open")
    return Finding(
        rule=SLUG,
        word=WORD if fault.kind == "single" else "warning",
        designations=tuple(study.name(item) for item in ids),
        ids=ids,
        message=message,
        condition=in_condition(study, held) if held else "",
        positions=tuple((item, every[0]) for item, every in held),
        fixes=(mend.format(loads=listed([study.name(item) for item in loads])),),
    )


# -- examples -------------------------------------------------------------------------------------------------------
def _boat(*, second: str = "", **bank: Any) -> Builder:
    """A bank and its switch, an essential radio on it; `second`: what else can feed the radio's bus."""
    b = Builder()
    known: dict[str, Any] = {"unit_v": 12.0, "chemistry": "AGM"}
    b.add("battery_bank", "G1", **(known | bank))
    b.add("battery_switch", "Q1")
    b.add("bus_bar", "X1")
    b.add("load", "A1", dc_v=12, power_w=60, essential=True, label="radio")
    b.run("W1", "G1.pos", "Q1.in", function="dc positive", size="2 AWG", length_m=1)
    b.run("W2", "Q1.out", "X1.bar", function="dc positive", size="2 AWG", length_m=1)
    b.run("W3", "X1.bar", "A1.in", function="dc positive", size="12 AWG", length_m=3)
    if second == "switch":
        b.add("battery_bank", "G2", **known)
        b.add("battery_switch", "Q2", in_position="open")
        b.run("W4", "G2.pos", "Q2.in", function="dc positive", size="2 AWG", length_m=1)
        b.run("W5", "Q2.out", "X1.bar", function="dc positive", size="2 AWG", length_m=1)
    elif second == "alternator":
        b.add("alternator", "G3", dc_v=12, rating_a=60)
        b.run("W4", "G3.pos", "X1.bar", function="dc positive", size="2 AWG", length_m=1)
    return b


def _lithium(**facts: Any) -> dict[str, Any]:
    return {"chemistry": "LFP", "unit_v": 12.8, "bms": "one for the bank", "bms_disconnects": True} | facts


def _converter(**facts: Any) -> Installation:
    """From the starting battery, by a converter."""
    b = _boat(**_lithium())
    b.add("battery_bank", "G2", unit_v=12.0, chemistry="AGM")
    b.add("dc_dc_converter", "T1", in_v=12, out_v=12, output_a=20, bidirectional=False, **facts)
    b.run("W4", "G2.pos", "T1.in", function="dc positive", size="8 AWG", length_m=1)
    b.run("W5", "T1.out", "X1.bar", function="dc positive", size="8 AWG", length_m=1)
    return b.installation


GOOD = (
    Example("a second bank by a switch that stands open", lambda: _boat(second="switch").installation),
    Example(
        "a bank that its management may shut off, and a second one",
        lambda: _boat(second="switch", **_lithium()).installation,
    ),
    Example("a converter that needs no battery", lambda: _converter(charges_battery=False)),
)
BAD = (
    Example("one bank", lambda: _boat().installation, (("A1", "G1"),)),
    Example("one bank and an alternator", lambda: _boat(second="alternator").installation, (("A1", "G1"),)),
    Example("one bank that its management can shut off", lambda: _boat(**_lithium()).installation, (("A1", "G1"),)),
    Example(
        "a converter that only charges",
        lambda: _converter(charges_battery=True, needs_battery=True),
        (("A1", "G1"),),
    ),
)
