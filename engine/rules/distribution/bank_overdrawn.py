"""More is drawn of a bank than it may give.

What it checks
--------------
Every bank in every operating condition, at its lowest volts, every load of the condition drawing: the current it gives
against its continuous limit, the least of its units', its BMS's and its battery management's; and against what is left
of that with one of several parallel units out.

Why it matters
--------------
The BMS opens under full load, and everything on the bank goes dark at once.

What to do
----------
More units in parallel, a larger bank, or fewer loads at the same time.

Limits read
-----------
None of the book's: the limits stand in the record.

References
----------
Common practice, no source: the maker's limit of the bank counts.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.books.ampacity import amps
from engine.circuit.energy.supply import discharge_limit_a, one_out_a
from engine.circuit.flow.results import Flow, SourceFlow
from engine.equipment.behaviour import Store
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_boats import anchored, set_condition
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_operation
from engine.study import Study
from engine.words import N_, _

SLUG = "bank-overdrawn"
WORD: Word = "warning"
TITLE = N_("more is drawn of a bank than it may give")
LOOKS_AT = N_("battery banks")


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank: the condition that draws most."""
    banks = {
        feed.equipment: store
        for feed in study.circuit.feeds
        if (store := study.snapshot.equipment[feed.equipment].store()) is not None
    }
    limits = {item: discharge_limit_a(study.snapshot, item, store) for item, store in banks.items()}
    for item, limit in sorted(limits.items()):
        if limit is None:
            yield _gap(
                study,
                item,
                (f"{study.name(item)}.unit_discharge_limit_a",),
                _("what it may give continuously is not recorded"),
            )
    if not any(limit is not None for limit in limits.values()):
        return
    worst: dict[str, tuple[float, Flow, SourceFlow]] = {}
    for made in study.operations:
        flow = study.flow(made.condition, "lowest")
        for source in flow.sources:
            if limits.get(source.equipment) is not None:
                before = worst.get(source.equipment)
                if before is None or source.amps > before[0]:
                    worst[source.equipment] = source.amps, flow, source
    for item, (drawn, flow, source) in sorted(worst.items()):
        limit, store = limits[item], banks[item]
        assert limit is not None  # only those with a limit were looked at
        left = one_out_a(limit, store.discharge_limit_a, store) or 0.0
        if drawn > left * (1 + 1e-9):
            yield _finding(study, item, store, drawn, limit, left, flow)
        elif source.at_least and source.missing:
            yield _gap(study, item, source.missing, _("what is drawn of it is not known in full"))
        elif study.proving and drawn > 0:
            may = ("limit", left)
            yield proved(study, SLUG, item, found=("current", drawn), limit=may, unit="A", condition=flow.name)


def _gap(study: Study, item: str, missing: tuple[str, ...], why: str) -> NotJudged:
    return NotJudged(rule=SLUG, would_be=WORD, designations=(study.name(item),), ids=(item,), missing=missing, why=why)


def _finding(study: Study, item: str, store: Store, drawn: float, limit: float, left: float, flow: Flow) -> Finding:
    name = study.name(item)
    one_out = drawn <= limit
    counted = left if one_out else limit
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(name,),
        ids=(item,),
        message=_("Bank {bank} gives {drawn} {where}; it may give {limit}{one_out}.").format(
            bank=name,
            drawn=amps(drawn),
            where=in_operation(flow.condition, flow.name),
            limit=amps(counted),
            one_out=_(" with one of its {count} units out").format(count=store.strings) if one_out else "",
        ),
        condition=flow.name,
        figures=(Figure("current", drawn, "A"), Figure("limit", counted, "A")),
        arithmetic=_("at its lowest volts, every load at the same time: {drawn} > {limit}").format(
            drawn=amps(drawn), limit=amps(counted)
        ),
        fixes=(
            _("fit more units in parallel"),
            _("use the loads one after the other"),
        ),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """More units in parallel."""
    from engine.fixing.ratings import more_units

    yield from more_units(study, finding, finding.ids[0])


# -- examples -------------------------------------------------------------------------------------------------------
def _drawn(watts: float, limit: float | None = 100, **bank: Any) -> Installation:
    """At 2.8 V a cell a bank of 12.8 V has 11.2 V."""
    known: dict[str, Any] = {"unit_v": 12.8, "chemistry": "LFP", "internal_resistance_ohm": 0.001}
    b = anchored(watts, 100, unit_discharge_limit_a=limit, **(known | bank))
    set_condition(b, "At anchor", {"E1": 1.0})
    return b.installation


GOOD = (
    Example("a third of its limit", lambda: _drawn(400)),
    Example("just within its limit", lambda: _drawn(1050)),
    Example("two units, one out: still enough", lambda: _drawn(1050, parallel=2)),
)
BAD = (
    Example("twice its limit", lambda: _drawn(1600), (("G1",),), condition="At anchor"),
    Example("just above its limit at its lowest volts", lambda: _drawn(1120), (("G1",),)),
    Example("enough with two units, too much for one", lambda: _drawn(1300, parallel=2), (("G1",),)),
)
