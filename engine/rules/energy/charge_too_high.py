"""More charging current can reach a bank than it may be given.

What it checks
--------------
Every bank: the full output of all charging sources that some switch position joins to it, against the bank's limit,
the least of its units', its BMS's and its battery management's; and against what is left of it with one of several
parallel units out. Sources whose current the battery management sets, or that stop when the battery says so, do not
count as long as the others alone stay within the limit: then the bank depends on that link.

Why it matters
--------------
A lithium bank charged above its limit is disconnected by its BMS at best, under running sources; a lead-acid bank
gasses and ages.

What to do
----------
Let the battery management set the current of the sources, fit smaller ones, or lock them against each other.

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

from engine.equipment.behaviour import Store
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.installation.model import Installation
from engine.rules.energy._boats import anchored, finished
from engine.rules.rule import Example
from engine.rules.wording import listed
from engine.study import Study
from engine.units import show
from engine.words import N_, _

SLUG = "charge-too-high"
WORD: Word = "danger"
TITLE = N_("more charging current than the bank may be given")

LEAD = ("flooded", "AGM", "gel", "carbon", "nickel")


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank."""
    for feed in study.circuit.feeds:
        store = study.snapshot.equipment[feed.equipment].store()
        if store is None:
            continue
        others = [
            one
            for one in study.volts.at(feed.node).feeds
            if one.equipment != feed.equipment and not one.source.battery and one.source.system == "dc"
        ]
        if others:
            yield from _bank(study, feed.equipment, store, [(o.equipment, o.source.limit_a, o.source) for o in others])


def _bank(study: Study, bank: str, store: Store, sources: list[tuple[str, float | None, Any]]) -> Iterator[Remark]:
    name = study.name(bank)
    word: Word = "caution" if store.chemistry in LEAD else "danger"
    governed, limit = _governed(study, bank, store)
    held = {item for item, _amps, _source in sources if item in governed or _obeys(study, item)}
    free = {item: amps for item, amps, _source in sources if item not in held}
    every = {item: amps for item, amps, _source in sources}
    unknown = [
        f"{study.name(item)}.{next(iter(source.missing), 'rating_a')}"
        for item, amps, source in sources
        if amps is None and item in free
    ]
    if limit is None:
        if free:
            yield _gap(study, bank, word, (f"{name}.unit_charge_limit_a",), _("what it may be given is not recorded"))
        return
    left = (
        limit * (store.strings - 1) / store.strings if store.strings > 1 and store.bms != "one for the bank" else limit
    )
    counted = free if held else every
    total = sum(amps for amps in counted.values() if amps is not None)
    if total > left * (1 + 1e-9):
        yield _finding(study, bank, store, word, limit, left, counted, total)
    elif unknown:
        yield _gap(study, bank, word, tuple(unknown), _("what charges it is not known in full"))


def _governed(study: Study, bank: str, store: Store) -> tuple[frozenset[str], float | None]:
    """Sources a battery management of the bank sets, and the least limit there is."""
    limits = [store.charge_limit_a]
    sets: set[str] = set()
    for record in study.snapshot.equipment.values():
        governs = record.governs()
        if governs is not None and bank in governs.banks:
            limits.append(governs.charge_limit_a)
            sets.update(governs.sets)
    return frozenset(sets), min((v for v in limits if v is not None), default=None)


def _obeys(study: Study, item: str) -> bool:
    return getattr(study.snapshot.equipment[item], "obeys_stop", None) is True


def _gap(study: Study, bank: str, word: Word, missing: tuple[str, ...], why: str) -> NotJudged:
    return NotJudged(rule=SLUG, would_be=word, designations=(study.name(bank),), ids=(bank,), missing=missing, why=why)


def _finding(
    study: Study,
    bank: str,
    store: Store,
    word: Word,
    limit: float,
    left: float,
    counted: dict[str, float | None],
    total: float,
) -> Finding:
    name = study.name(bank)
    parts = [f"{study.name(item)} {show(amps, 'A')}" for item, amps in sorted(counted.items()) if amps]
    one_out = total <= limit
    message = _("{sources} can give bank {bank} {total} together; it may be given {limit}{one_out}.").format(
        sources=listed([study.name(item) for item, amps in sorted(counted.items()) if amps]),
        bank=name,
        total=show(total, "A"),
        limit=show(left if one_out else limit, "A"),
        one_out=_(" with one of its {count} units out").format(count=store.strings) if one_out else "",
    )
    return Finding(
        rule=SLUG,
        word=word,
        designations=(name, *(study.name(item) for item, amps in sorted(counted.items()) if amps)),
        ids=(bank, *(item for item, amps in sorted(counted.items()) if amps)),
        message=message,
        figures=(Figure("charging current", total, "A"), Figure("limit", left if one_out else limit, "A")),
        arithmetic=f"{' + '.join(parts)} = {show(total, 'A')} > {show(left if one_out else limit, 'A')}",
        fixes=(
            _("let the battery management set the current of these sources"),
            _("fit sources of {limit} together").format(limit=show(left, "A")),
        ),
    )


# -- examples -------------------------------------------------------------------------------------------------------
def _charged(amps: float, limit: float | None = 50, **bank: Any) -> Installation:
    b = anchored(5, 100, unit_charge_limit_a=limit, **bank)
    return finished(b, amps)


def _obeying(amps: float) -> Installation:
    b = anchored(5, 100, unit_charge_limit_a=50.0, chemistry="LFP", unit_v=12.8)
    return finished(b, amps, obeys_stop=True)


GOOD = (
    Example("a charger well within the limit", lambda: _charged(25)),
    Example("just at the limit", lambda: _charged(50)),
    Example("two units, one out: half the limit", lambda: _charged(50, parallel=2)),
    Example("a larger charger that the battery tells to stop", lambda: _obeying(80)),
)
BAD = (
    Example("a charger far too large", lambda: _charged(120, chemistry="LFP", unit_v=12.8), (("G1", "T1"),)),
    Example("an ampere above the limit", lambda: _charged(51), (("G1", "T1"),)),
    Example("within the limit of two units, above that of one", lambda: _charged(51, parallel=2), (("G1", "T1"),)),
)
