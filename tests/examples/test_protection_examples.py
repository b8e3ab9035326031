"""Overcurrent protection against published rules and numbers. Each case names its source."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from engine.books import load
from engine.builder import Builder
from engine.circuit.conductors import BookLimits
from engine.study import Study

LAW = "us-33cfr183"


def classes(b: Builder, book: str = LAW) -> set[str]:
    coverage = Study(b.installation.snapshot(), load(book)).coverage
    return {u.slug for u in coverage.uncovered if u.judged}


def gaps(b: Builder, book: str = LAW) -> set[str]:
    coverage = Study(b.installation.snapshot(), load(book)).coverage
    return {field for u in coverage.uncovered if not u.judged for field in u.missing}


def boat() -> Builder:
    b = Builder(book=LAW, engine_fuel="petrol")
    b.place("cabin", "accommodation")
    return b


def cable(b: Builder, name: str, start: str, end: str, size: str, inches: float, **facts: Any) -> None:
    known: dict[str, Any] = {
        "function": "dc positive",
        "insulation_c": 105.0,
        "sheath": "bare",
        "bundle": 1,
        "places": ("cabin",),
    }
    b.run(name, start, end, size=size, length_m=inches * 0.0254, **(known | facts))


def circuit(size: str, insulation_c: float, device_a: float, volts: float) -> Builder:
    """One conductor behind one device at its source."""
    b = boat()
    if volts < 50:
        b.add("battery_bank", "G1", unit_v=volts)
        b.add("fuse", "F1", rating_a=device_a)
        b.add("load", "E1", dc_v=volts, current_a=1.0)
        cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 12)
        cable(b, "W2", "F1.out", "E1.in", size, 100, insulation_c=insulation_c)
    else:
        b.add("shore_supply", "G1", ac_v=volts, breaker_a=device_a)
        b.add("load", "E1", ac_v=volts, current_a=1.0)
        cable(b, "W2", "G1.out", "E1.in", size, 100, insulation_c=insulation_c, function="ac", bundle=2)
    return b


@pytest.mark.parametrize(
    ("size", "insulation_c", "device_a", "volts", "passes"),
    [
        # 33 CFR 183.455(c)(1), 2015 edition: 12 V, 16 AWG 105 degC (25 A): 37.5 A at most
        pytest.param("16 AWG", 105, 35, 12, True, id="W07 35 A"),
        pytest.param("16 AWG", 105, 37.5, 12, True, id="W07 37.5 A"),
        pytest.param("16 AWG", 105, 40, 12, False, id="W07 40 A"),
        # 183.455(c)(2), and NFPA 70 240.6(A), secondary copy: 65 A is no standard size, the next is 70 A
        pytest.param("8 AWG", 75, 70, 120, True, id="W08 70 A"),
        pytest.param("8 AWG", 75, 80, 120, False, id="W08 80 A"),
        # 25 A is a standard size
        pytest.param("12 AWG", 75, 25, 120, True, id="W09 25 A"),
        pytest.param("12 AWG", 75, 30, 120, False, id="W09 30 A"),
        # 10 A is a standard size of fuses
        pytest.param("18 AWG", 60, 10, 120, True, id="10 A"),
        pytest.param("18 AWG", 60, 15, 120, False, id="15 A"),
    ],
)
def test_how_large_a_device_may_be(size: str, insulation_c: float, device_a: float, volts: float, passes: bool) -> None:
    assert classes(circuit(size, insulation_c, device_a, volts)) == (set() if passes else {"rating-above-ampacity"})


def test_a_48_v_lithium_bank_counts_as_48_v() -> None:
    """33 CFR 183.455(c), 2015 edition, divides at 50 V nominal; sixteen cells of 3.2 V are a 48 V system."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=51.2)
    b.add("fuse", "F1", rating_a=90)
    b.add("load", "E1", dc_v=48, current_a=1.0)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 12)
    cable(b, "W2", "F1.out", "E1.in", "10 AWG", 100)  # 60 A, 90 A at 150 %
    assert classes(b) == set()


def test_the_next_size_is_never_more_than_150_percent() -> None:
    """33 CFR 183.455(c)(2), 2015 edition."""
    values = BookLimits(load(LAW))
    assert values.single(65, low_volts=False) == 70
    assert values.single(25, low_volts=False) == 25
    assert values.single(6.5, low_volts=False) == 6.5 * 1.5  # the next standard size is 10 A
    assert values.single(6.5, low_volts=True) == 6.5 * 1.5


# 33 CFR 183.455(c)(1), 2015 edition: 1.5 times Table 5, size and amperes at 60, 75, 80, 90, 105, 125, 200 degC
CEILING = """
18 15 15 22.5 30 30 37.5 37.5
16 22.5 22.5 30 37.5 37.5 45 52.5
14 30 30 37.5 45 52.5 60 67.5
12 37.5 37.5 52.5 60 67.5 75 82.5
10 60 60 75 82.5 90 105 105
8 82.5 97.5 105 105 120 135 150
6 120 142.5 150 150 180 187.5 202.5
4 157.5 187.5 195 202.5 240 255 270
3 180 217.5 225 232.5 270 292.5 315
2 210 255 262.5 270 315 337.5 360
1 247.5 292.5 315 315 367.5 397.5 420
1/0 292.5 345 367.5 367.5 427.5 457.5 487.5
2/0 337.5 397.5 427.5 427.5 495 532.5 555
3/0 390 465 495 495 577.5 615 645
4/0 450 540 577.5 577.5 667.5 712.5 765
"""


@pytest.mark.parametrize("line", [line for line in CEILING.split("\n") if line])
def test_150_percent_of_table_5_below_50_v(line: str) -> None:
    size, *row = line.split()
    for insulation_c, amps in zip((60, 75, 80, 90, 105, 125, 200), row, strict=True):
        for over, passes in ((0.0, True), (0.5, False)):
            b = boat()
            b.add("battery_bank", "G1", unit_v=12.8)
            b.add("fuse", "F1", rating_a=float(amps) + over)
            b.add("load", "E1", dc_v=12, current_a=1.0)
            # four conductors of 4/0 in parallel before the fuse, so that only the conductor after it is in question
            cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 12, parallel=4)
            cable(b, "W2", "F1.out", "E1.in", f"{size} AWG", 100, insulation_c=float(insulation_c))
            assert classes(b) == (set() if passes else {"rating-above-ampacity"}), (size, insulation_c, over)


def tap(inches: float, sheath: str, reason: str = "no room at the bus") -> Builder:
    """A fuse away from a bus that a main breaker feeds."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=300)
    b.add("bus_bar", "X1")
    b.add("fuse", "F2", rating_a=15)
    b.add("load", "E1", dc_v=12, current_a=1.0)
    cable(b, "W1", "G1.pos", "F1.in", "2/0 AWG", 12)
    cable(b, "W2", "F1.out", "X1.bar", "2/0 AWG", 60)
    cable(b, "W3", "X1.bar", "F2.in", "14 AWG", inches, sheath=sheath, away_reason=reason)
    cable(b, "W4", "F2.out", "E1.in", "14 AWG", 100)
    return b


@pytest.mark.parametrize(
    ("inches", "sheath", "passes"),
    [
        # 33 CFR 183.455(b)(1), 2015 edition: 7 in
        pytest.param(8, "bare", False, id="W10 8 in bare"),
        pytest.param(7, "bare", True, id="7 in bare"),
        # 183.455(b)(2): 40 in in a sheath or enclosure over the whole distance
        pytest.param(39, "sheathed", True, id="W11 39 in sheathed"),
        pytest.param(40, "enclosed", True, id="40 in enclosed"),
        pytest.param(41, "sheathed", False, id="W11 41 in sheathed"),
    ],
)
def test_fuse_away_from_the_bus(inches: float, sheath: str, passes: bool) -> None:
    assert classes(tap(inches, sheath)) == (set() if passes else {"rating-above-ampacity"})
    assert gaps(tap(inches, sheath)) == set()


def test_only_where_it_is_not_practicable_at_the_source() -> None:
    """33 CFR 183.455(b), 2015 edition: 7 in and 40 in only for that reason; without it recorded, not judged."""
    assert gaps(tap(6, "bare", reason="")) == {"W3.away_reason"}
    assert gaps(tap(39, "sheathed", reason="")) == {"W3.away_reason"}
    # the trade asks for no reason
    assert gaps(tap(6, "bare", reason=""), "trade-na") == set()


@pytest.mark.parametrize(("inches", "passes"), [(72, True), (73, False)])
@pytest.mark.parametrize("sheath", ["bare", "sheathed"])
def test_w12_battery_lead(inches: float, sheath: str, passes: bool) -> None:
    """33 CFR 183.460(a), 2015 edition: 72 in, whatever the covering, and no reason asked."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=100)
    b.add("load", "E1", dc_v=12, current_a=1.0)
    cable(b, "W1", "G1.pos", "F1.in", "2 AWG", inches, sheath=sheath)
    cable(b, "W2", "F1.out", "E1.in", "2 AWG", 100)
    assert classes(b) == (set() if passes else {"far-from-source"})
    assert gaps(b) == set()


def test_w13_main_feed_of_a_cranking_motor() -> None:
    """33 CFR 183.455(e) and 183.460(a), 2015 edition: exempt."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("battery_switch", "Q1")
    b.add("motor", "M1", dc_v=12, running_a=200.0)
    cable(b, "W1", "G1.pos", "Q1.in", "1/0 AWG", 48, exempt="cranking")
    cable(b, "W2", "Q1.out", "M1.in", "1/0 AWG", 90, exempt="cranking")
    assert classes(b) == set()
    assert classes(b, "trade-na") == set()


def test_pigtails_up_to_7_in() -> None:
    """33 CFR 183.455(e), 2015 edition."""
    for inches, passes in ((6.9, True), (7.5, False)):
        b = boat()
        b.add("battery_bank", "G1", unit_v=12.8)
        b.add("load", "E1", dc_v=12, current_a=1.0)
        cable(b, "W1", "G1.pos", "E1.in", "16 AWG", inches, exempt="pigtail")
        assert classes(b) == (set() if passes else {"no-protection"})


def test_note_1_may_be_left_out_of_the_150_percent() -> None:
    """33 CFR 183.455(c) says "Table 5" not whether note 1 belongs to it: an option, applied unless a book says no."""
    b = boat()
    b.place("engine", "petrol machinery")
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=90)
    b.add("load", "E1", dc_v=12, current_a=1.0)
    cable(b, "W1", "G1.pos", "F1.in", "4/0 AWG", 12)
    cable(b, "W2", "F1.out", "E1.in", "10 AWG", 100, places=("engine",))
    law = load(LAW)
    snapshot = b.installation.snapshot()
    assert [u.slug for u in Study(snapshot, law).coverage.uncovered] == ["rating-above-ampacity"]  # 60 x 0.85 x 1.5
    rules = {**law.rules}
    rules["rating-above-ampacity"] = {
        **rules["rating-above-ampacity"],
        "options": {"next_standard_size": True, "place_factor": False},
    }
    without = msgspec.structs.replace(law, rules=rules)
    assert Study(snapshot, without).coverage.uncovered == ()
