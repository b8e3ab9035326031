"""Allowable current against the published tables, every cell.

Sources: 33 CFR 183.425 Table 5 with notes 1 and 2 and 183.435(b), 2015 edition; the E-11 table for 105 degC cable by
bundle and place, secondary copy.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from engine.books import load
from engine.books.ampacity import Ampacity, ampacity
from engine.builder import Builder
from engine.installation import Installation, Run

CLASSES = (60, 75, 80, 90, 105, 125, 200)

# 33 CFR 183.425 Table 5, 2015 edition: size, then amperes at 60, 75, 80, 90, 105, 125, 200 degC
TABLE_5 = """
18 10 10 15 20 20 25 25
16 15 15 20 25 25 30 35
14 20 20 25 30 35 40 45
12 25 25 35 40 45 50 55
10 40 40 50 55 60 70 70
8 55 65 70 70 80 90 100
6 80 95 100 100 120 125 135
4 105 125 130 135 160 170 180
3 120 145 150 155 180 195 210
2 140 170 175 180 210 225 240
1 165 195 210 210 245 265 280
1/0 195 230 245 245 285 305 325
2/0 225 265 285 285 330 355 370
3/0 260 310 330 330 385 410 430
4/0 300 360 385 385 445 475 510
"""
# note 1: factor in an engine space
NOTE_1 = dict(zip(CLASSES, (0.58, 0.75, 0.78, 0.82, 0.85, 0.89, 1.00), strict=True))
# note 2: current-carrying conductors in one bundle, fewest and most, factor
NOTE_2 = ((1, 2, 1.0), (3, 3, 0.70), (4, 6, 0.60), (7, 24, 0.50), (25, 60, 0.40))
CELLS = [
    (f"{size} AWG", class_c, float(amps))
    for size, *row in (line.split() for line in TABLE_5.split("\n") if line)
    for class_c, amps in zip(CLASSES, row, strict=True)
]

# E-11, secondary copy: 105 degC, sizes 18 16 14 12 10 8 6 4 2 1 1/0 2/0 3/0 4/0
TRADE_105 = {
    (2, "outside"): "20 25 35 45 60 80 120 160 210 245 285 330 385 445",
    (2, "engine"): "17 21.3 29.8 38.3 51 68 102 136 178.5 208.3 242.3 280.5 327.3 378.3",
    (3, "outside"): "14 17.5 24.5 31.5 42 56 84 112 147 171.5 199.5 231 269.5 311.5",
    (3, "engine"): "11.9 14.9 20.8 26.8 35.7 47.6 71.4 95.2 125 145.8 169.6 196.4 229.1 264.8",
    (5, "outside"): "12 15 21 27 36 48 72 96 126 147 171 198 231 267",
    (5, "engine"): "10.2 12.8 17.9 23 30.6 40.8 61.2 81.6 107.1 125 145.4 168.3 196.4 227",
    (10, "outside"): "10 12.5 17.5 22.5 30 40 60 80 105 122.5 142.5 165 192.5 222.5",
    (10, "engine"): "8.5 10.6 14.9 19.1 25.5 34 51 68 89.3 104.1 121.1 140.3 163.6 189.1",
}
TRADE_SIZES = ["18", "16", "14", "12", "10", "8", "6", "4", "2", "1", "1/0", "2/0", "3/0", "4/0"]

Ask = Callable[..., Ampacity]


@pytest.fixture(scope="module")
def boat() -> Installation:
    made = Builder()
    made.add("junction", "X1")
    made.place("outside", "accommodation")
    made.place("engine", "petrol machinery")
    made.place("hot locker", "other", 45)
    made.place("hot engine", "diesel machinery", 70)
    made.place("unsaid")
    return made.installation


@pytest.fixture
def ask(boat: Installation) -> Ask:
    """Ampacity of a run with these facts, in this place, by this book."""

    def asked(book: str, place: str | None = "outside", volts: float | None = 12.0, **facts: Any) -> Ampacity:
        from engine.installation import End, Passage

        ids = {p.name: item for item, p in boat.snapshot().places.items()}
        end = End(equipment=boat.ids("equipment")[0], terminal="at")
        places = () if place is None else (Passage(place=ids[place]),)
        run = Run(designation="W1", from_end=end, to_end=end, places=places, **facts)
        return ampacity(load(book), run, boat.snapshot(), volts)

    return asked


@pytest.mark.parametrize(("size", "class_c", "amps"), CELLS)
def test_table_5(ask: Ask, size: str, class_c: int, amps: float) -> None:
    got = ask("us-33cfr183", size=size, insulation_c=class_c)
    assert (got.low_a, got.high_a) == (amps, amps)
    assert got.arithmetic == f"{size} {class_c} °C, {amps:g} A"


@pytest.mark.parametrize(("size", "class_c", "amps"), CELLS)
def test_table_5_note_1_in_an_engine_space(ask: Ask, size: str, class_c: int, amps: float) -> None:
    got = ask("us-33cfr183", "engine", size=size, insulation_c=class_c)
    assert got.known
    assert got.low_a == pytest.approx(amps * NOTE_1[class_c])


@pytest.mark.parametrize(("size", "class_c", "amps"), CELLS)
def test_table_5_note_2_in_bundles(ask: Ask, size: str, class_c: int, amps: float) -> None:
    """33 CFR 183.435(b): counted only from 50 V up."""
    for fewest, most, factor in NOTE_2:
        for bundle in (fewest, most):
            at_120 = ask("us-33cfr183", volts=120, size=size, insulation_c=class_c, bundle=bundle)
            assert at_120.known
            assert at_120.low_a == pytest.approx(amps * factor)
            at_12 = ask("us-33cfr183", volts=12, size=size, insulation_c=class_c, bundle=bundle)
            assert at_12.low_a == at_12.high_a == amps


@pytest.mark.parametrize(("bundle", "place"), TRADE_105)
def test_trade_table_for_105_degrees(ask: Ask, bundle: int, place: str) -> None:
    """The trade counts bundles at every voltage; its table is rounded to 0.1 A."""
    for size, amps in zip(TRADE_SIZES, TRADE_105[bundle, place].split(), strict=True):
        got = ask("trade-na", place, size=f"{size} AWG", insulation_c=105, bundle=bundle)
        assert got.known
        assert got.low_a == pytest.approx(float(amps), abs=0.0501)


# worked examples W01-W06 of the published tables
@pytest.mark.parametrize(
    ("book", "place", "volts", "facts", "amps"),
    [
        # 33 CFR 183.425 Table 5: 10 AWG, 105 degC, outside engine space
        ("us-33cfr183", "outside", 12, {"size": "10 AWG", "insulation_c": 105}, 60.0),
        # the same in an engine space, note 1
        ("us-33cfr183", "engine", 12, {"size": "10 AWG", "insulation_c": 105}, 51.0),
        # 14 AWG, 60 degC, engine space: 20 x 0.58
        ("us-33cfr183", "engine", 12, {"size": "14 AWG", "insulation_c": 60}, 11.6),
        # 33 CFR 183.435(b): 12 AWG, 90 degC, 120 V, eight conductors in one bundle: 40 x 0.50
        ("us-33cfr183", "outside", 120, {"size": "12 AWG", "insulation_c": 90, "bundle": 8, "function": "ac"}, 20.0),
        # E-11, secondary copy: 10 AWG, 105 degC, five bundled, engine space
        ("trade-na", "engine", 12, {"size": "10 AWG", "insulation_c": 105, "bundle": 5}, 30.6),
        # E-11, secondary copy: 4/0, 105 degC, ten bundled, engine space
        ("trade-na", "engine", 12, {"size": "4/0 AWG", "insulation_c": 105, "bundle": 10}, 189.1),
    ],
    ids=["W01", "W02", "W03", "W04", "W05", "W06"],
)
def test_worked_examples(ask: Ask, book: str, place: str, volts: float, facts: dict[str, Any], amps: float) -> None:
    got = ask(book, place, volts, **facts)
    assert got.known
    assert round(got.low_a, 1) == amps


@pytest.mark.parametrize("class_c", [60, 75, 80, 90, 105, 125])
def test_temperature_formula_gives_note_1(class_c: int) -> None:
    """sqrt((Tc - 50)/(Tc - 30)), from memory, against note 1. At 200 degC the table is more generous (1.00)."""
    assert math.sqrt((class_c - 50) / (class_c - 30)) == pytest.approx(NOTE_1[class_c], abs=0.01)


def test_arithmetic_shows_the_factors(ask: Ask) -> None:
    got = ask("us-33cfr183", "engine", size="6 AWG", insulation_c=105)
    assert got.arithmetic == "6 AWG 105 °C, 120 × 0.85 = 102 A"
    twice = ask("us-33cfr183", "engine", size="6 AWG", insulation_c=105, parallel=2)
    assert twice.arithmetic == "2 × 6 AWG 105 °C, 2 × 120 × 0.85 = 204 A"


def test_a_recorded_temperature_derates(ask: Ask) -> None:
    got = ask("us-33cfr183", "hot locker", size="6 AWG", insulation_c=105)
    assert got.low_a == pytest.approx(120 * math.sqrt(60 / 75))
    # hotter than note 1 supposes: the lesser of the two
    got = ask("us-33cfr183", "hot engine", size="6 AWG", insulation_c=105)
    assert got.low_a == pytest.approx(120 * math.sqrt(35 / 75))
    assert got.low_a < 120 * NOTE_1[105]


def test_metric_sizes_count_as_the_next_smaller_of_the_table(ask: Ask) -> None:
    """Common practice, no source: 16 mm2 lies between 6 AWG (13.3) and 4 AWG (21.2)."""
    got = ask("trade-na", size="16 mm2", insulation_c=105, bundle=2)
    assert got.low_a == got.high_a == 120
    assert got.arithmetic == "16 mm² (as 6 AWG) 105 °C, 120 A"
    assert ask("trade-na", size="120 mm2", insulation_c=105, bundle=2).low_a == 445
    small = ask("trade-na", size="0.75 mm2", insulation_c=105, bundle=2)
    assert (small.low_a, small.high_a) == (0, 25)
    assert "smaller than any size" in small.why


def test_a_class_between_two_columns_counts_as_the_lower(ask: Ask) -> None:
    assert ask("us-33cfr183", size="6 AWG", insulation_c=85).low_a == 100
    assert ask("us-33cfr183", size="6 AWG", insulation_c=250).low_a == 135
    below = ask("us-33cfr183", size="6 AWG", insulation_c=55)
    assert (below.low_a, below.high_a) == (0, 80)
    assert below.why


def test_what_is_not_recorded_gives_a_range_and_its_names(ask: Ask) -> None:
    got = ask("us-33cfr183", None, size="6 AWG", insulation_c=105)
    assert (got.low_a, got.high_a, got.missing) == (102, 120, ("W1.places",))
    got = ask("us-33cfr183", "unsaid", size="6 AWG", insulation_c=105)
    assert (got.low_a, got.high_a, got.missing) == (102, 120, ("unsaid.kind",))
    got = ask("us-33cfr183", size="6 AWG")
    assert (got.low_a, got.high_a, got.missing) == (80, 135, ("W1.insulation_c",))
    got = ask("trade-na", size="6 AWG", insulation_c=105)
    assert (got.low_a, got.high_a, got.missing) == (48, 120, ("W1.bundle",))
    got = ask("us-33cfr183", volts=None, size="6 AWG", insulation_c=105, bundle=4)
    assert (got.low_a, got.high_a) == (72, 120)
    got = ask("us-33cfr183", size="", insulation_c=105)
    assert (got.low_a, got.high_a, got.missing) == (0, math.inf, ("W1.size",))
    assert ask("us-33cfr183", size="6 AWG", insulation_c=105).missing == ()


def test_the_tables_are_for_copper(ask: Ask) -> None:
    got = ask("trade-na", size="6 AWG", insulation_c=105, bundle=1, conductor="aluminium")
    assert (got.low_a, got.high_a) == (0, 120)
    assert "copper" in got.why


def test_the_book_of_the_tests_carries_one_ampere_a_square_millimetre(ask: Ask) -> None:
    got = ask("k1", None, size="250 mm2")
    assert (got.low_a, got.high_a, got.missing) == (250, 250, ())
