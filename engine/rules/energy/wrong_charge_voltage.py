"""A charging source is set to volts outside the range of the battery it charges.

What it checks
--------------
Every bank with every charging source that can reach it. The source's highest charging volts, and the volts it
equalises at, must not exceed what the bank's record allows; its highest must reach what charges it fully. Where the
bank's record is silent, the range of its chemistry is taken, cell by cell, and said so. An alternator's regulator
counts in its stead.

Why it matters
--------------
Too high boils a lead battery dry and makes the management of a lithium bank open; too low sulphates the one and never
fills the other.

What to do
----------
Set the source to the profile of the battery, or charge it through a converter of its own.

Limits read
-----------
The bank's own record; else the table of battery chemistries.

References
----------
The maker's instructions count. Volts by chemistry: from memory, not confirmed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.books.batteries import Chemistry, cells, defaults
from engine.circuit.expand import Feed
from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation.model import Installation
from engine.rules.energy._charging import Bank, banks, regulator_of
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.units import number, show
from engine.words import N_, _

SLUG = "wrong-charge-voltage"
WORD: Word = "warning"
TITLE = N_("charging voltage outside the battery's range")
LOOKS_AT = N_("charging sources and the banks they reach")
SOLVES = False


class _Range(NamedTuple):
    low_v: float | None
    high_v: float | None
    how_low: str = ""
    how_high: str = ""
    equalise_v: float | None = None  # what it may be equalised at; `None`: not known


def check(study: Study) -> Iterator[Remark]:
    """One remark a bank and source."""
    for bank in banks(study):
        allowed = _range(bank)
        done: set[str] = set()
        for feed in bank.sources:
            if feed.equipment in done:
                continue
            done.add(feed.equipment)
            yield from _pair(study, bank, feed, allowed)


def _range(bank: Bank) -> _Range:
    store = bank.store
    kind, count = defaults(store.chemistry), cells(store)
    low, high = store.lowest_charge_v, store.charge_v
    if kind is None or count is None or (low is not None and high is not None):
        return _Range(low, high, equalise_v=_equalise(kind, count, high))
    how = _("{count} cells of {chemistry}, {low} to {high} each").format(
        count=count, chemistry=store.chemistry, low=show(kind.charge_low_v, "V"), high=show(kind.charge_high_v, "V")
    )
    return _Range(
        kind.charge_low_v * count if low is None else low,
        kind.charge_high_v * count if high is None else high,
        how if low is None else "",
        how if high is None else "",
        _equalise(kind, count, high),
    )


def _equalise(kind: Chemistry | None, count: int | None, high: float | None) -> float | None:
    """Cells that may be equalised take more now and then than they are charged with; others no more than that."""
    if kind is None or count is None:
        return high
    if kind.equalise_v > kind.charge_high_v:
        return kind.equalise_v * count
    return kind.equalise_v * count if high is None else high


def _pair(study: Study, bank: Bank, feed: Feed, allowed: _Range) -> Iterator[Remark]:
    source = feed.equipment
    record = study.snapshot.equipment[source]
    told = record.charging()
    if told is None or any((c.source, c.target) == (feed.source.terminal, told.terminal) for c in record.conversions()):
        return  # what it gives backwards is set elsewhere, and no field tells to what
    setter = source
    by = regulator_of(study, source)
    if by is not None:
        setter, told = by
    names = (study.name(setter), study.name(bank.item))
    ids = (setter, bank.item)
    missing = []
    if told.highest_v is None:
        missing.append(f"{names[0]}.charge_v")
    if allowed.high_v is None:
        missing.append(f"{names[1]}.charge_v")
    if missing:
        why = _("its charging volts, or those of the bank, are not recorded")
        yield left_open(study, SLUG, WORD, *ids, missing=tuple(missing), why=why)
        return
    assert told.highest_v is not None
    assert allowed.high_v is not None
    equalise = max(allowed.high_v, allowed.equalise_v or 0.0)
    if told.highest_v > allowed.high_v * (1 + 1e-9):
        yield _finding(study, ids, allowed, told.highest_v, allowed.high_v, _("charges"), _("no more than"), "high")
    elif told.equalise_v is not None and told.equalise_v > equalise * (1 + 1e-9):
        most = _("no more than")
        yield _finding(study, ids, allowed, told.equalise_v, equalise, _("equalises"), most, "high")
    elif allowed.low_v is not None and told.highest_v < allowed.low_v * (1 - 1e-9):
        verb, least = _("charges"), _("no less than")
        yield _finding(study, ids, allowed, told.highest_v, allowed.low_v, verb, least, "low")
    elif study.proving:
        yield proved(
            study,
            SLUG,
            *ids,
            found=("charge_v", told.highest_v),
            limit=("highest", allowed.high_v),
            unit="V",
            arithmetic=allowed.how_high,
        )


def _finding(
    study: Study, ids: tuple[str, str], allowed: _Range, found: float, limit: float, verb: str, bound: str, which: str
) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=tuple(study.name(item) for item in ids),
        ids=ids,
        message=_("{source} {verb} {bank} at {found}; {bound} {limit} is right for it.").format(
            source=named(study, ids[0]),
            verb=verb,
            bank=named(study, ids[1]),
            found=show(found, "V", digits=4),
            bound=bound,
            limit=show(limit, "V", digits=4),
        ),
        figures=(Figure("charge_v", found, "V"), Figure("limit", limit, "V")),
        arithmetic=": ".join(
            text
            for text in (
                allowed.how_low if which == "low" else allowed.how_high,
                f"{number(found, 4)} V {'<' if which == 'low' else '>'} {number(limit, 4)} V",
            )
            if text
        ),
        fixes=(
            _("set {source} to {limit}").format(source=study.name(ids[0]), limit=show(limit, "V", digits=4)),
            _("or charge {bank} through a converter of its own").format(bank=study.name(ids[1])),
        ),
        detail=which,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """The source set to the limit; what it equalises at no higher."""
    source, limit = finding.ids[0], finding.figures[1].value
    told = study.snapshot.equipment[source].charging()
    if told is None or limit is None:
        return
    values: dict[str, Any] = {}
    if finding.detail == "low" or (told.highest_v or 0.0) > limit:
        values["charge_v"] = limit
    if told.equalise_v is not None and told.equalise_v > limit:
        values["equalise_v"] = None
    yield set_fields(finding.fixes[0], "equipment", source, values)


# -- examples -------------------------------------------------------------------------------------------------------
def _charged(volts: float, chemistry: str = "AGM", equalise: float | None = None, **bank: Any) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8 if chemistry == "LFP" else 12, chemistry=chemistry, **bank)
    b.add("charger", "T1", dc_v=12, charge_a=30, self_limiting=True, charge_v=volts, equalise_v=equalise)
    b.add("fuse", "F1", rating_a=50)
    cable(b, "W1", "G1.pos", "F1.in", "6 AWG", 6)
    cable(b, "W2", "F1.out", "T1.dc", "6 AWG", 60)
    return b.installation


def _both_ways() -> Installation:
    """A converter that charges a 24 V bank and can give back to the 12 V one."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("battery_bank", "G2", unit_v=12, series=2, chemistry="AGM")
    b.add(
        "dc_dc_converter",
        "T1",
        in_v=12,
        out_v=24,
        output_a=15,
        reverse_a=30,
        self_limiting=True,
        bidirectional=True,
        charges_battery=True,
        charge_v=28.8,
    )
    for n, end in (("1", "in"), ("2", "out")):
        b.add("fuse", f"F{n}", rating_a=50)
        cable(b, f"W1{n}", f"G{n}.pos", f"F{n}.in", "6 AWG", 6)
        cable(b, f"W2{n}", f"F{n}.out", f"T1.{end}", "6 AWG", 60)
    return b.installation


def _emergency(kind: str) -> Installation:
    """A load on two banks by a switch, an alternator at 14.8 V on the lead one; the other is lithium."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8, chemistry="LFP", charge_v=14.4)
    b.add("battery_bank", "G2", unit_v=12, chemistry="flooded", charge_v=14.8)
    b.add("alternator", "G3", dc_v=12, rating_a=60, self_limiting=True, charge_v=14.8)
    b.add(kind, "Q1")
    b.add("load", "E1", dc_v=12, current_a=5)
    for n, end in (("1", "one"), ("2", "two")):
        b.add("fuse", f"F{n}", rating_a=30)
        cable(b, f"W1{n}", f"G{n}.pos", f"F{n}.in", "6 AWG", 6)
        cable(b, f"W2{n}", f"F{n}.out", f"Q1.{end}", "6 AWG", 60)
    cable(b, "W3", "Q1.common", "E1.in", "6 AWG", 60)
    b.add("fuse", "F3", rating_a=80)
    cable(b, "W4", "G2.pos", "F3.in", "4 AWG", 6)
    cable(b, "W5", "F3.out", "G3.pos", "4 AWG", 60)
    return b.installation


GOOD = (
    Example("a flooded bank equalised at 15.5 V", lambda: _charged(14.4, "flooded", equalise=15.5)),
    Example("an alternator's 14 V on a flooded bank", lambda: _charged(14.0, "flooded")),
    Example("a changeover that never joins the two banks", lambda: _emergency("changeover")),
    Example("a charger of 14.4 V on an AGM bank", lambda: _charged(14.4)),
    Example("a converter that works both ways: its volts are those of its output", _both_ways),
    Example("just what the maker of the bank allows", lambda: _charged(14.2, charge_v=14.2)),
)
BAD = (
    Example("a selector that can join them in both", lambda: _emergency("selector"), (("G3", "G1"),)),
    Example(
        "14.4 V on a gel bank whose maker allows 14.1 V", lambda: _charged(14.4, "gel", charge_v=14.1), (("T1", "G1"),)
    ),
    Example("it equalises an AGM bank", lambda: _charged(14.4, equalise=15.5), (("T1", "G1"),)),
    Example("a lead-acid float charger on LFP", lambda: _charged(13.5, "LFP"), (("T1", "G1"),)),
)
