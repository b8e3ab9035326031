"""What the protection findings say in cases that are not a rule's first example."""

from __future__ import annotations

from typing import Any

import pytest

from engine.books import load
from engine.books.ampacity import amps
from engine.builder import Builder
from engine.findings import Finding, NotJudged, Remark
from engine.rules import rules
from engine.study import Study

INCH = 0.0254


def boat(book: str = "trade-na") -> Builder:
    b = Builder(book=book, engine_fuel="petrol")
    b.place("saloon", "accommodation")
    return b


def dc(b: Builder, name: str, start: str, end: str, size: str, inches: float | None, **facts: Any) -> str:
    known: dict[str, Any] = {
        "function": "dc positive",
        "insulation_c": 105.0,
        "bundle": 1,
        "sheath": "sheathed",
        "places": ("saloon",),
        "away_reason": "no room",
    }
    length_m = None if inches is None else inches * INCH
    return b.run(name, start, end, size=size or "", length_m=length_m, **(known | facts))


def remarks(b: Builder, book: str = "trade-na", family: str = "protection") -> list[Remark]:
    study = Study(b.installation.snapshot(), load(book))
    return [r for rule in rules().values() if rule.family == family for r in rule.check(study)]


def findings(b: Builder, book: str = "trade-na", family: str = "protection") -> list[Finding]:
    return [r for r in remarks(b, book, family) if isinstance(r, Finding)]


def gaps(b: Builder, book: str = "trade-na") -> list[NotJudged]:
    return [r for r in remarks(b, book) if isinstance(r, NotJudged)]


@pytest.mark.parametrize(("value", "shown"), [(45 * 0.85, "38.3 A"), (245 * 0.85, "208.3 A"), (31.04, "31 A")])
def test_amperes_are_rounded_half_up(value: float, shown: str) -> None:
    """33 CFR 183.425 Table 5 with note 1, 2015 edition, as the tables of the trade print it."""
    assert amps(value) == shown


def test_a_run_without_designation_is_named_as_everywhere_else() -> None:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=100.0)
    b.add("load", "E1", dc_v=12.0)
    run = dc(b, "", "G1.pos", "F1.in", "2 AWG", None)
    dc(b, "W2", "F1.out", "E1.in", "2 AWG", 60)
    (gap,) = gaps(b)
    assert gap.missing == (f"{run}.length_m",)


def test_a_distance_with_an_unknown_part_is_at_least_the_rest() -> None:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("battery_switch", "Q1")
    b.add("fuse", "F1", rating_a=100.0)
    b.add("load", "E1", dc_v=12.0)
    dc(b, "W1", "G1.pos", "Q1.in", "2 AWG", None)
    dc(b, "W2", "Q1.out", "F1.in", "2 AWG", 90)
    dc(b, "W3", "F1.out", "E1.in", "2 AWG", 60)
    (found,) = findings(b)
    assert found.message == ("F1 (100 A) stands at least 2.29 m from G1 along W1 and W2; 1.83 m (72 in) is allowed.")
    assert found.arithmetic == "W1 ? + W2 2.29 m"
