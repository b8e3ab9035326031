"""What the rules of measured values share: the remarks of one quantity, and the boats of their examples."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from engine.builder import Builder
from engine.edits import Put, apply
from engine.findings import Figure, Finding, Remark, Word
from engine.installation.model import Installation
from engine.installation.surveying import Instrument, Reading
from engine.rules.example_boats import set_condition
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.study import Study
from engine.survey.readings import compared
from engine.survey.results import Quantity, ReadingResult

__all__ = ["lit", "one", "take", "told"]


def told(study: Study, slug: str, word: Word, quantity: Quantity, fixes: tuple[str, ...]) -> Iterator[Remark]:
    """One remark a reading of that quantity: a finding where it is off, not judged where nothing can be compared."""
    for result in compared(study):
        if result.quantity != quantity or not result.newest or result.detail == "no limit":
            continue
        if result.verdict == "off":
            yield _finding(study, slug, word, result, fixes)
        elif result.verdict == "not known":
            yield left_open(study, slug, word, result.at, missing=result.missing, why=result.why, detail=result.reading)
        elif study.proving:
            yield proved(study, slug, result.at, message=result.words, detail=result.reading)


def _finding(study: Study, slug: str, word: Word, result: ReadingResult, fixes: tuple[str, ...]) -> Finding:
    figures = [Figure("measured", result.measured, result.unit)]
    for name, value in (
        ("at_full_load", result.reckoned),
        ("expected", result.expected),
        ("least", result.low),
        ("most", result.high),
    ):
        if value is not None and math.isfinite(value):
            figures.append(Figure(name, value, result.unit))
    return Finding(
        rule=slug,
        word=word,
        designations=(study.name(result.at),),
        ids=(result.at,),
        message=result.words,
        condition=result.condition,
        figures=tuple(figures),
        arithmetic=result.arithmetic,
        fixes=fixes,
        detail=result.reading,
    )


# -- examples -------------------------------------------------------------------------------------------------------
def take(b: Builder, at: str, **values: Any) -> Builder:
    """A reading at what is called so, taken with an instrument in date."""
    made = b.installation
    meter = next(iter(made.ids("instruments")), "")
    if not meter:
        meter = made.new_id("instruments")
        apply(made, Put("instruments", meter, Instrument(name="meter 3", calibrated_until="2027-05-31")))
    item = next(i for t in ("equipment", "runs") for i, r in made.items(t) if r.designation == at)
    known: dict[str, Any] = {"date": "2026-05-02", "instrument": meter}
    apply(made, Put("readings", made.new_id("readings"), Reading(at=item, **known | values)))
    return b


def lit(amps: float | None = 10.0, inches: float | None = 240) -> Builder:
    """A 12 V bank, a fuse and a lamp at the end of a pair, with one condition in which it burns."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=200.0, chemistry="AGM", internal_resistance_ohm=0.004)
    b.add("fuse", "F1", rating_a=20, fuse_class="blade ISO 8820-3")
    b.add("load", "E1", dc_v=12, current_a=amps)
    cable(b, "W1", "G1.pos", "F1.in", "8 AWG", 6, function="dc pair")
    cable(b, "W2", "F1.out", "E1.in", "12 AWG", inches, function="dc pair")
    set_condition(b, "At anchor", {"E1": 5.0})
    return b


def one(b: Builder, at: str, **values: Any) -> Installation:
    """The boat with one reading, in its one condition where it has one."""
    condition = next(iter(b.installation.ids("conditions")), "")
    return take(b, at, **{"condition": condition, **values}).installation
