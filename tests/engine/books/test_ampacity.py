"""A recorded temperature counts where the book says so, and never as law.

33 CFR 183.425 Table 5, 2015 edition: AWG 14 carries 35 A at 105 degC insulation, AWG 6 carries 120 A; note 1 has one
fixed factor for engine spaces (0.85 at 105 degC) and no other temperature.
"""

from __future__ import annotations

import pytest

from engine.books import load
from engine.builder import Builder
from engine.circuit.conductors import Limits
from engine.study import Study

PLACES = [
    # place, kind, temperature: by the law, by the trade (square root: common practice, from memory, not confirmed)
    ("saloon", "accommodation", 40.0, 1.0, ((105 - 40) / (105 - 30)) ** 0.5),
    ("engine space", "petrol machinery", 60.0, 0.85, ((105 - 60) / (105 - 30)) ** 0.5),
    ("engine space", "petrol machinery", 50.0, 0.85, 0.85),
    ("engine space", "petrol machinery", 40.0, 0.85, 0.85),
    ("cool box", "accommodation", 10.0, 1.0, 1.0),
]


def _limits(book: str, size: str, place: str, kind: str, temperature_c: float | None) -> Limits:
    b = Builder(book=book)
    b.place(place, kind, temperature_c)
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("bus_bar", "X1")
    run = b.run(
        "W1", "G1.pos", "X1.bar", function="dc positive", size=size, insulation_c=105, bundle=1, places=(place,)
    )
    study = Study(b.installation.snapshot(), load(book))
    node = study.circuit.node(study.snapshot.runs[run].from_end.equipment, "pos", "+")
    assert node is not None
    return study.coverage.conductors.limits(run, node)


@pytest.mark.parametrize(("place", "kind", "temperature_c", "law", "trade"), PLACES)
@pytest.mark.parametrize(("size", "table_a"), [("14 AWG", 35), ("6 AWG", 120)])
def test_a_temperature_derates_by_the_trade_and_not_by_the_law(
    size: str, table_a: float, place: str, kind: str, temperature_c: float, law: float, trade: float
) -> None:
    for book, factor in (("us-33cfr183", law), ("trade-na", trade)):
        limits = _limits(book, size, place, kind, temperature_c)
        assert limits.low == limits.high == pytest.approx(table_a * factor, rel=2e-3)


def test_of_a_place_without_a_kind_the_law_asks_the_kind_whatever_its_temperature() -> None:
    limits = _limits("us-33cfr183", "14 AWG", "locker", "", 20.0)
    assert (limits.low, limits.high) == (pytest.approx(35 * 0.85), 35)
    assert limits.ampacity.missing == ("locker.kind",)
    known = _limits("trade-na", "14 AWG", "locker", "", 20.0)
    assert known.low == known.high == 35


def test_every_book_says_whether_a_temperature_counts() -> None:
    for name, derates in (("trade-na", True), ("k1", True), ("us-33cfr183", False)):
        assert load(name).option("rating-above-ampacity", "temperature_derates") is derates
