"""The books disagree where the standards do: one boat, another answer by each."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from engine.books import load
from engine.books.ampacity import ampacity
from engine.builder import Builder
from engine.check import check
from engine.edits import Put, apply
from engine.findings import Finding
from engine.installation import ConditionDuty, Passage, Vessel
from engine.installation.model import Snapshot

FOOT = 0.3048
INCH = 0.0254


def _lit(
    book: str, size: str, *, fuse_a: float = 30, amps: float = 5, metres: float = 0.0, **load_facts: Any
) -> Snapshot:
    """A bank, a fuse beside it, a 12 V load some way along a pair of conductors at 30 degC."""
    facts: dict[str, Any] = {"service": "navigation lights", "essential": True} | load_facts
    b = Builder(book, engine_fuel="petrol")
    saloon = b.place("saloon", "accommodation", 30)
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100, chemistry="AGM", internal_resistance_ohm=1e-6)
    b.add("fuse", "F1", rating_a=fuse_a)
    b.add("load", "E1", dc_v=12, current_a=amps, **facts)
    cable: dict[str, Any] = {"insulation_c": 105.0, "bundle": 1, "sheath": "sheathed"}
    b.run("W1", "G1.pos", "F1.in", size="4/0 AWG", length_m=0.01, places=(Passage(place=saloon),), **cable)
    length = metres or 20 * FOOT
    b.run(
        "W2",
        "F1.out",
        "E1.in",
        size=size,
        length_m=length,
        function="dc positive",
        places=(Passage(place=saloon),),
        **cable,
    )
    b.run(
        "W3",
        "G1.neg",
        "E1.neg",
        size=size,
        length_m=length,
        function="dc negative",
        places=(Passage(place=saloon),),
        **cable,
    )
    item = b.condition("Under way")
    record = b.installation.get("conditions", item)
    duty = (ConditionDuty(equipment=b._ids["E1"], hours_a_day=4),)
    apply(b.installation, Put("conditions", item, msgspec.structs.replace(record, duties=duty)))
    return b.installation.snapshot()


def _found(snapshot: Snapshot, *rules: str) -> tuple[Finding, ...]:
    return check(snapshot, only=rules).findings


@pytest.mark.parametrize(
    ("book", "amps"),
    [
        # 33 CFR 183.455(c)(1), 2015 edition: 150 % of 25 A is 37.5 A
        ("us-33cfr183", None),
        ("trade-na", None),
        # ISO 13297:2020 13.1.5, secondary copy: no more than the conductor carries; 16 AWG counts as 1 mm2
        ("metric", 20.0),
    ],
)
def test_w42_a_30_a_fuse_on_16_awg(book: str, amps: float | None) -> None:
    """12 V, 16 AWG of 105 degC fused at 30 A: US law lets it pass, ISO 13297 does not."""
    found = _found(_lit(book, "16 AWG", fuse_a=30, metres=1), "rating-above-ampacity", "no-protection")
    if amps is None:
        assert found == ()
    else:
        (danger,) = found
        assert (danger.rule, danger.word) == ("rating-above-ampacity", "danger")
        assert {f.name: f.value for f in danger.figures}["ampacity"] == amps
        assert "13.1.5" in danger.clause
        assert danger.law_here is False


@pytest.mark.parametrize(
    ("size", "drops"),
    [
        ("12 AWG", False),  # 6530 cmil by ASTM B258; 5972 are needed
        ("2.956 mm2", True),  # the SAE wire called 12 has 5833 cmil
        ("4.734 mm2", False),  # the SAE wire called 10 has 9343
    ],
)
def test_w23_5_a_over_40_ft_there_and_back(size: str, drops: bool) -> None:
    """12 V, 3 %: 12 AWG by the trade's chart, 10 by the areas of SAE wire; secondary copies of both."""
    found = _found(_lit("trade-na", size), "drop-too-high")
    assert bool(found) is drops
    if drops:
        assert found[0].clause.startswith("E-11")


def test_w23_where_10_percent_are_allowed_the_thin_wire_will_do() -> None:
    """46 CFR 183.340(p), 2015 edition: 10 %; its smallest wire is 14 AWG all the same (183.340(c))."""
    lamp = {"service": "lighting", "essential": False}
    assert _found(_lit("us-46cfr", "2.956 mm2", **lamp), "drop-too-high") == ()
    (small,) = {f.designations for f in _found(_lit("us-46cfr", "16 AWG", **lamp), "too-small")} & {("W2",)}
    assert small == ("W2",)
    assert _found(_lit("trade-na", "16 AWG", **lamp), "too-small") == ()


@pytest.mark.parametrize(
    ("book", "size", "class_c", "bundle", "amps"),
    [
        # one conductor of 105 degC, single: 33 CFR 183.425 Table 5; NFPA 70 310.16 stops at 90 degC
        ("us-33cfr183", "10 AWG", 105, 1, 60),
        ("us-46cfr", "10 AWG", 105, 1, 40),
        # five in a bundle at 12 V: the law does not count them, the trade by 0.60, NFPA 70 by 0.80
        ("us-33cfr183", "10 AWG", 90, 5, 55),
        ("trade-na", "10 AWG", 90, 5, 33),
        ("us-46cfr", "10 AWG", 90, 5, 32),
        # by cross-section, ISO 13297 from memory: five by 0.70
        ("metric", "6 mm2", 105, 5, 42),
    ],
)
def test_what_a_conductor_carries(book: str, size: str, class_c: float, bundle: int, amps: float) -> None:
    b = Builder(book)
    saloon = b.place("saloon", "accommodation", 30)
    b.add("fuse", "F1")
    b.add("fuse", "F2")
    places = (Passage(place=saloon),)
    item = b.run("W1", "F1.out", "F2.in", size=size, insulation_c=float(class_c), bundle=bundle, places=places)
    snapshot = b.installation.snapshot()
    told = ampacity(load(book), snapshot.runs[item], snapshot, 12.0)
    assert told.low_a == told.high_a == pytest.approx(amps)


def test_a_machinery_space_at_50_degrees_by_nfpa_70() -> None:
    """Ambient correction of table 310.16, 46 to 50 degC, secondary copy: 0.75 at 75 degC."""
    b = Builder("us-46cfr")
    space = b.place("engine space", "diesel machinery", 50)
    b.add("fuse", "F1")
    b.add("fuse", "F2")
    places = (Passage(place=space),)
    item = b.run("W1", "F1.out", "F2.in", size="8 AWG", insulation_c=75.0, bundle=1, places=places)
    snapshot = b.installation.snapshot()
    told = ampacity(load("us-46cfr"), snapshot.runs[item], snapshot, 12.0)
    assert told.low_a == told.high_a == pytest.approx(50 * 0.75, rel=0.01)


def _lead(book: str, metres: float, sheath: str) -> Snapshot:
    """A battery and its fuse."""
    b = Builder(book, engine_fuel="petrol")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=20)
    b.add("load", "E1", dc_v=12, current_a=5.0)
    cable: dict[str, Any] = {"size": "10 AWG", "insulation_c": 105.0, "bundle": 1}
    b.run("W1", "G1.pos", "F1.in", length_m=metres, sheath=sheath, **cable)
    b.run("W2", "F1.out", "E1.in", length_m=2, sheath=sheath, **cable)
    return b.installation.snapshot()


@pytest.mark.parametrize(
    ("book", "metres", "sheath", "found"),
    [
        # 7 in against 200 mm; 72 in against 1.8 m
        ("trade-na", 0.19, "bare", True),
        ("metric", 0.19, "bare", False),
        ("metric", 0.21, "bare", True),
        ("trade-na", 1.81, "sheathed", False),
        ("metric", 1.79, "sheathed", False),
        ("metric", 1.81, "sheathed", True),
        # 33 CFR 183.460(a), 2015 edition: 72 in whatever the covering; the trade asks for a sheath
        ("us-33cfr183", 1.8, "bare", False),
        ("trade-na", 1.8, "bare", True),
        ("us-46cfr", 1.8, "bare", True),
    ],
)
def test_how_far_from_a_battery(book: str, metres: float, sheath: str, found: bool) -> None:
    assert bool(_found(_lead(book, metres, sheath), "far-from-source")) is found


@pytest.mark.parametrize(("metres", "limiting", "found"), [(1.9, False, True), (1.7, False, False), (1.9, True, False)])
def test_w41_the_device_of_a_charger(metres: float, limiting: bool, found: bool) -> None:
    """ISO 13297:2020 12.3, secondary copy: within 1.8 m of a 40 A charger, none where it limits itself."""
    b = Builder("metric")
    b.add("charger", "T1", dc_v=12, charge_a=40, self_limiting=limiting)
    b.add("fuse", "F1", rating_a=50)
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F2", rating_a=50)
    cable: dict[str, Any] = {"size": "16 mm2", "insulation_c": 105.0, "bundle": 1, "sheath": "bare"}
    b.run("W1", "T1.dc", "F1.in", length_m=metres, **cable)
    b.run("W2", "F1.out", "F2.in", length_m=2, **cable)
    b.run("W3", "F2.out", "G1.pos", length_m=0.1, **cable)
    far = [f for f in _found(b.installation.snapshot(), "far-from-source") if "W1" in f.designations]
    assert bool(far) is found
    if found:
        assert far[0].clause == "ISO 13297:2020 12.3 (secondary copy)"


@pytest.mark.parametrize(
    ("metres", "sheath", "found"), [(0.6, "bare", True), (0.4, "bare", False), (3, "sheathed", False)]
)
def test_ac_within_half_a_metre_or_in_a_sheath_to_the_panel(metres: float, sheath: str, found: bool) -> None:
    """ISO 13297:2020 13.2, secondary copy."""
    b = Builder("metric")
    b.add("generator", "G7", ac_v=230, frequency_hz=50, self_limiting=False, rating_a=20)
    b.add("circuit_breaker", "F1", rating_a=16, poles=("L1", "N"))
    b.add("load", "E1", ac_v=230, power_w=100)
    cable: dict[str, Any] = {"size": "4 mm2", "insulation_c": 70.0, "bundle": 2, "sheath": sheath, "function": "ac"}
    b.run("W1", "G7.out", "F1.in", length_m=metres, **cable)
    b.run("W2", "F1.out", "E1.in", length_m=2, **cable)
    found_here = _found(b.installation.snapshot(), "far-from-source")
    assert bool(found_here) is found
    if found:
        assert found_here[0].clause == "ISO 13297:2020 13.2 (secondary copy)"


def test_whom_they_bind() -> None:
    """46 CFR subchapter T small passenger vessels; nobody is bound by ISO 13297 as such."""
    law = load("us-46cfr")
    assert law.law_for(Vessel(use="small passenger")) is True
    assert law.law_for(Vessel(use="fishing")) is False
    assert law.law_for(Vessel()) is None
    assert load("metric").law_for(Vessel(use="small passenger", flag="NL")) is False


def test_part_111_is_good_practice_on_a_vessel_that_part_183_binds() -> None:
    """46 CFR 111.15-10(c) against 183.352, 2015 edition: the air of a small battery, the space of a large one."""
    b = Builder("us-46cfr", use="small passenger")
    b.place("locker", "other")
    b.add("battery_bank", "G1", unit_v=24, chemistry="flooded", ventilation_m3_h=1, place="locker")
    b.add("charger", "T1", dc_v=24, charge_a=100, self_limiting=True)
    b.run("W1", "G1.pos", "T1.dc", size="2/0 AWG", length_m=1)
    air, large = sorted(_found(b.installation.snapshot(), "too-little-ventilation"), key=lambda f: f.clause)
    assert (air.clause, air.law_here, air.confirmed) == ("46 CFR 111.15-10(c)", False, True)
    assert (large.clause, large.law_here, large.confirmed) == ("46 CFR 183.352, 183.354", True, True)
