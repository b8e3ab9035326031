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

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.circuit.energy.supply import charge_limit_a, one_out_a, rating_field
from engine.equipment.behaviour import Store
from engine.findings import Figure, Finding, NotJudged, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_boats import anchored, finished
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import listed
from engine.study import Study
from engine.units import show
from engine.words import N_, _

SLUG = "charge-too-high"
WORD: Word = "danger"
TITLE = N_("more charging current than the bank may be given")
LOOKS_AT = N_("banks, and the charging sources that can reach them")

LEAD = ("flooded", "AGM", "gel", "carbon", "nickel")


class _Charged(NamedTuple):
    """A bank and what can charge it: (equipment, its full current, what is not recorded of it)."""

    bank: str
    store: Store
    limit: float | None
    left: float | None  # with one of several parallel units out
    held: frozenset[str]  # sources that battery management holds back
    sources: tuple[tuple[str, float | None, str], ...]

    def total(self, *, every: bool) -> float:
        """What all of them, or those that nothing holds back, can give together, A."""
        return sum(amps or 0.0 for item, amps, _lacks in self.sources if every or item not in self.held)


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank."""
    for charged in _banks(study):
        yield from _bank(study, charged)


def dependences(study: Study) -> Iterator[str]:
    """Banks that stay within their limit only as long as something holds charging sources back, in sentences."""
    for one in _banks(study):
        if one.left is not None and one.total(every=False) <= one.left < one.total(every=True):
            yield _(
                "{bank}: charged within {limit} only as long as battery management holds {sources} back,"
                " {total} together with the rest"
            ).format(
                bank=study.name(one.bank),
                limit=show(one.left, "A"),
                sources=listed(sorted(study.name(item) for item in one.held)),
                total=show(one.total(every=True), "A"),
            )


def _banks(study: Study) -> Iterator[_Charged]:
    for feed in study.circuit.feeds:
        store = study.snapshot.equipment[feed.equipment].store()
        if store is None:
            continue
        sources = {
            one.equipment: (
                one.equipment,
                one.source.limit_a,
                f"{study.name(one.equipment)}.{rating_field(one.source, 'rating_a')}",
            )
            for one in study.reaching.feeds(feed.node)
            if one.equipment != feed.equipment and not one.source.battery and one.source.system == "dc"
        }
        if not sources:
            continue
        bank = feed.equipment
        limit = charge_limit_a(study.snapshot, bank, store)
        sets = {
            item
            for record in study.snapshot.equipment.values()
            if (governs := record.governs()) is not None and bank in governs.banks
            for item in governs.sets
        }
        held = frozenset(item for item in sources if item in sets or _obeys(study, item))
        yield _Charged(bank, store, limit, one_out_a(limit, store.charge_limit_a, store), held, tuple(sources.values()))


def _bank(study: Study, charged: _Charged) -> Iterator[Remark]:
    name, store = study.name(charged.bank), charged.store
    word: Word = "caution" if store.chemistry in LEAD else "danger"
    free = [source for source in charged.sources if source[0] not in charged.held]
    limit, left = charged.limit, charged.left
    if limit is None or left is None:
        if free:
            missing = (f"{name}.unit_charge_limit_a",)
            yield _gap(study, charged.bank, word, missing, _("what it may be given is not recorded"))
        return
    total = charged.total(every=False)
    unknown = tuple(lacks for _item, amps, lacks in free if amps is None)
    if total > left * (1 + 1e-9):
        counted = {item: amps for item, amps, _lacks in free if amps}
        yield _finding(study, charged.bank, store, word, limit, left, counted, total)
    elif unknown:
        yield _gap(study, charged.bank, word, unknown, _("what charges it is not known in full"))
    elif study.proving:
        held = sorted(study.name(item) for item in charged.held)
        back = _("battery management holds {sources} back").format(sources=listed(held)) if held else ""
        found, may = ("charging current", total), ("limit", left)
        yield proved(study, SLUG, charged.bank, found=found, limit=may, unit="A", arithmetic=back)


def _obeys(study: Study, item: str) -> bool:
    record = study.snapshot.equipment[item]
    told = record.converter() or record.machine()
    return told is not None and told.obeys_stop is True


def _gap(study: Study, bank: str, word: Word, missing: tuple[str, ...], why: str) -> NotJudged:
    return NotJudged(rule=SLUG, would_be=word, designations=(study.name(bank),), ids=(bank,), missing=missing, why=why)


def _finding(
    study: Study,
    bank: str,
    store: Store,
    word: Word,
    limit: float,
    left: float,
    counted: dict[str, float],
    total: float,
) -> Finding:
    name = study.name(bank)
    parts = [f"{study.name(item)} {show(amps, 'A')}" for item, amps in sorted(counted.items()) if amps]
    names = listed([study.name(item) for item, amps in sorted(counted.items()) if amps])
    one_out = total <= limit
    sum_of = " + ".join(parts) + (f" = {show(total, 'A')}" if len(parts) > 1 else "")
    if len(parts) > 1:
        text = _("{sources} can give bank {bank} {total} together; it may be given {limit}{one_out}.")
    else:
        text = _("{sources} can give bank {bank} {total}; it may be given {limit}{one_out}.")
    message = text.format(
        sources=names,
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
        arithmetic=f"{sum_of} > {show(left if one_out else limit, 'A')}",
        fixes=(
            _("let the battery management set the current of {sources}").format(sources=names),
            _("charge with {limit} or less").format(limit=show(left, "A")),
        ),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The largest source that charges within the limit with the others, in place of the one there is."""
    from engine.fixing.ratings import another_figure

    total, limit = (figure.value for figure in finding.figures[:2])
    if total is None or limit is None:
        return
    for item in finding.ids[1:]:
        own = getattr(study.snapshot.equipment[item], "charge_a", None)
        left = None if own is None else math.floor(limit - (total - own))
        if left is not None and left > 0:
            yield from another_figure(study, finding, item, "charge_a", "A", [float(left)])


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
