"""What the protection findings say in cases that are not a rule's first example."""

from __future__ import annotations

from typing import Any

import pytest

from engine.books import load
from engine.books.ampacity import amps
from engine.builder import Builder
from engine.check import check
from engine.equipment.switching.switching_module import Channel
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


OF_CURRENTS = {
    "cannot-break-fault",
    "not-selective",
    "rating-below-load",
    "slow-to-clear",
    "source-device-too-large",
    "stalled-motor-held",
}


def remarks(b: Builder, book: str = "trade-na", family: str = "protection") -> list[Remark]:
    study = Study(b.installation.snapshot(), load(book))
    return [r for rule in rules().values() if rule.family == family for r in rule.check(study)]


def findings(b: Builder, book: str = "trade-na", family: str = "protection") -> list[Finding]:
    return [r for r in remarks(b, book, family) if isinstance(r, Finding)]


def gaps(b: Builder, book: str = "trade-na") -> list[NotJudged]:
    """Of the rules of what protects a conductor, and where."""
    return [r for r in remarks(b, book) if isinstance(r, NotJudged) and r.rule not in OF_CURRENTS]


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


def test_a_machine_has_its_own_clause_and_at_most_120_percent() -> None:
    """33 CFR 183.460(b), 2015 edition: at most 120 % of the rated current of an alternator or generator."""
    b = boat("us-33cfr183")
    b.add("alternator", "G2", dc_v=12.0, rating_a=80.0, self_limiting=False)
    b.add("load", "E1", dc_v=12.0)
    dc(b, "W1", "G2.pos", "E1.in", "4 AWG", 60)
    (found,) = findings(b, "us-33cfr183")
    assert found.rule == "no-protection"
    assert found.clause == "33 CFR 183.455(a), 183.460(b)"
    assert found.confirmed
    assert found.fixes[0] == "fit a device of 96 A or less within 1.02 m (40 in) of G2"


def ring(second: bool) -> Builder:
    """A ring of three runs, fed by one fuse or by two."""
    b = boat("us-33cfr183")
    for n in range(3):
        b.add("bus_bar", f"X{n}")
    for n in range(3):
        dc(b, f"W1{n}", f"X{n}.bar", f"X{(n + 1) % 3}.bar", "8 AWG", 120)
    for n in range(2 if second else 1):
        b.add("battery_bank", f"G{n}", unit_v=12.8)
        b.add("fuse", f"F{n}", rating_a=60.0)
        dc(b, f"W2{n}", f"G{n}.pos", f"F{n}.in", "4 AWG", 6)
        dc(b, f"W3{n}", f"F{n}.out", f"X{n}.bar", "4 AWG", 30)
    b.add("load", "E1", dc_v=12.0)
    dc(b, "W40", "X2.bar", "E1.in", "4 AWG", 60)
    return b


def test_a_sum_is_no_breach_of_the_clause_on_one_device() -> None:
    """33 CFR 183.455(c)(1), 2015 edition, limits each device; that devices add up is good practice."""
    assert findings(ring(False), "us-33cfr183") == []
    made = findings(ring(True), "us-33cfr183")
    assert made
    for found in made:
        assert (found.beyond_clause, found.clause) == (True, "")
        assert not any("move F" in fix for fix in found.fixes)  # the fuses feed the ring, they do not end a run


def test_a_tap_whose_own_fuse_is_too_far_says_so() -> None:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=150.0)
    b.add("fuse", "F2", rating_a=15.0)
    b.add("bus_bar", "X1")
    b.add("load", "E1", dc_v=12.0)
    dc(b, "W1", "G1.pos", "F1.in", "2 AWG", 6)
    dc(b, "W2", "F1.out", "X1.bar", "2 AWG", 60)
    dc(b, "W3", "X1.bar", "F2.in", "14 AWG", 60)
    dc(b, "W4", "F2.out", "E1.in", "14 AWG", 60)
    (found,) = findings(b)
    assert found.message == (
        "Run W3 is 14 AWG, good for 35 A; F1 (150 A) protects it. "
        "Its own F2 (15 A) stands 1.52 m from X1; 1.02 m (40 in) is allowed."
    )


def test_a_channel_of_a_module_is_set_not_replaced() -> None:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=50.0)
    b.add("switching_module", "A1", channels=(Channel(number=3, rating_a=35.0), Channel(number=4, rating_a=25.0)))
    b.add("load", "E1", dc_v=12.0)
    dc(b, "W1", "G1.pos", "F1.in", "6 AWG", 6)
    dc(b, "W2", "F1.out", "A1.supply", "6 AWG", 30)
    dc(b, "W3", "A1.ch3", "E1.in", "18 AWG", 60)
    (found,) = findings(b)
    assert found.message == "Run W3 is 18 AWG, good for 20 A; channel 3 of A1 (35 A) protects it."
    assert found.fixes[0].startswith("set channel 3 of A1 to ")


def test_contradictory_interlocks_are_said_and_hide_nothing_that_no_switch_changes() -> None:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=181.0)
    b.add("bus_bar", "X1")
    b.add("battery_switch", "Q9")
    b.add("load", "E1", dc_v=12.0)
    b.add("load", "E9", dc_v=12.0)
    dc(b, "W1", "G1.pos", "F1.in", "1/0 AWG", 6)
    dc(b, "W2", "F1.out", "X1.bar", "6 AWG", 60)
    dc(b, "W3", "X1.bar", "E1.in", "1/0 AWG", 60)
    dc(b, "W4", "X1.bar", "Q9.in", "1/0 AWG", 20)
    dc(b, "W5", "Q9.out", "E9.in", "14 AWG", 60)
    b.interlock("Q9:open,closed", at_most=0)
    firm = {f.designations[0]: f for f in findings(b)}
    assert not firm["W2"].undecided
    assert firm["W5"].undecided
    assert firm["W5"].fixes == ("correct the interlocks: some position of every switch must be allowed",)


def test_the_lines_of_one_source_joined_are_to_be_parted() -> None:
    b = boat()
    b.add("generator", "G1", ac_v=120.0, phases="L1 L2", self_limiting=False, breaker_a=30.0)
    b.add("shore_adapter", "X1", rating_a=30.0, feeds_both_legs=True)
    b.add("load", "E1", ac_v=240.0, phases="L1 L2")
    for name, start, end in (("W1", "G1.out", "X1.in"), ("W2", "X1.out", "E1.in")):
        dc(b, name, start, end, "10 AWG", 60, function="ac", phases="L1 L2")
    (found,) = findings(b, family="transfer")
    assert found.fixes == ("part L1 from L2: join each conductor to its like only",)


@pytest.mark.parametrize(("inches", "law", "trade"), [(6.9, False, False), (7.0, True, False), (7.1, True, True)])
def test_a_pigtail_is_by_law_less_than_7_in(inches: float, law: bool, trade: bool) -> None:
    """33 CFR 183.455(e), 2015 edition: less than 7 inches."""
    for book, said in (("us-33cfr183", law), ("trade-na", trade)):
        b = boat(book)
        b.add("battery_bank", "G1", unit_v=12.8)
        b.add("load", "E1", dc_v=12.0)
        dc(b, "W1", "G1.pos", "E1.in", "16 AWG", inches, exempt="pigtail")
        assert bool(findings(b, book)) is said


def test_the_lead_of_a_limited_source_says_its_distance() -> None:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("motor", "M1", dc_v=12.0)
    b.add("alternator", "G2", dc_v=12.0, rating_a=60.0, self_limiting=True)
    dc(b, "W1", "G1.pos", "M1.in", "2/0 AWG", 60, exempt="cranking")
    dc(b, "W2", "M1.in", "G2.pos", "6 AWG", 41)
    (found,) = findings(b)
    assert found.message == (
        "Nothing protects run W2: G1 feeds it, and G2 at its end, which limits itself, stands 1.04 m from M1; "
        "1.02 m (40 in) is allowed without a device."
    )


def solar_on_the_bus() -> Builder:
    """A battery switch drawn open, a solar controller on the bus, a lamp without a fuse."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("battery_switch", "Q1", in_position="open")
    b.add("bus_bar", "X1")
    b.add("charger", "T1", dc_v=12.0, charge_a=20.0, self_limiting=True)
    b.add("load", "E1", dc_v=12.0)
    dc(b, "W1", "G1.pos", "Q1.in", "6 AWG", 10)
    dc(b, "W2", "Q1.out", "X1.bar", "6 AWG", 10)
    dc(b, "W3", "X1.bar", "E1.in", "14 AWG", 60)
    b.add("fuse", "F1", rating_a=100.0)
    dc(b, "W4", "T1.dc", "F1.in", "6 AWG", 30)
    dc(b, "W5", "F1.out", "X1.bar", "6 AWG", 30)
    return b


def test_the_ordinary_feed_is_no_bypass_though_its_switch_is_drawn_open() -> None:
    (found,) = (f for f in findings(solar_on_the_bus()) if f.designations[0] == "W3")
    assert found.rule == "no-protection"
    assert found.condition == "Q1 closed"
    assert found.message == "Nothing protects run W3: G1 feeds it, and no protective device stands before E1."


def test_an_unknown_limit_is_asked_for_in_words() -> None:
    b = boat("us-33cfr183")
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=100.0)
    b.add("alternator", "G2", dc_v=12.0, rating_a=80.0)
    dc(b, "W1", "G1.pos", "F1.in", "2 AWG", 6)
    dc(b, "W7", "F1.out", "G2.pos", "4 AWG", 120)
    (gap,) = gaps(b, "us-33cfr183")
    assert gap.missing == ("G2.self_limiting",)
    assert gap.why == "whether G2 limits itself is not recorded; if it does not, run W7 needs a device at G2"


def test_a_source_that_suits_nothing_is_named_once_with_all_it_feeds() -> None:
    b = boat()
    b.add("shore_inlet", "X1", ac_v=230.0, supply_breaker_a=16.0, rating_a=16.0)
    b.add("bus_bar", "X2")
    dc(b, "W1", "X1.out", "X2.bar", "10 AWG", 60, function="ac")
    for n in (1, 2, 3):
        b.add("socket_outlet", f"X1{n}", ac_v=120.0, rating_a=16.0)
        dc(b, f"W1{n}", "X2.bar", f"X1{n}.in", "10 AWG", 60, function="ac")
    (found,) = findings(b, family="voltage")
    assert found.designations == ("X1", "X11", "X12", "X13")
    b.add("load", "E1", ac_v=230.0)
    dc(b, "W2", "X2.bar", "E1.in", "10 AWG", 60, function="ac")
    # now it suits something, and each socket is the odd one
    assert [f.designations for f in findings(b, family="voltage")] == [("X11", "X1"), ("X12", "X1"), ("X13", "X1")]


def test_advice_is_sure_whatever_is_not_recorded() -> None:
    """Bundle and insulation not recorded: the device advised suits the least the conductor may carry."""
    b = Builder(engine_fuel="diesel")
    b.add("battery_bank", "G1", unit_v=12.8, charge_v=14.4)
    b.add("fuse", "F1", rating_a=200, rated_dc_v=32)
    b.add("bus_bar", "X1")
    b.run("W1", "G1.pos", "F1.in", size="4/0 AWG", length_m=0.05, insulation_c=105.0, bundle=2, sheath="bare")
    b.run("W2", "F1.out", "X1.bar", size="14 AWG", length_m=2.0, sheath="bare")
    result = check(b.installation.snapshot(), only=["rating-above-ampacity"])
    (finding,) = result.findings
    # 14 AWG of the lowest class in a machinery space among 25 or more: 20 × 0.58 × 0.40 = 4.64 A, and 1.5 times that
    # (33 CFR 183.425 Table 5, notes 1 and 2, 2015 edition)
    assert "replace F1 by one of 6.9 A or less" in finding.fixes
    assert any(fix.startswith("record ") and "W2.bundle" in fix for fix in finding.fixes)


def test_what_is_to_be_removed_is_not_moved() -> None:
    b = Builder(engine_fuel="diesel")
    b.add("battery_bank", "G1", unit_v=12.8, charge_v=14.4)
    b.add("fuse", "F1", rating_a=10, rated_dc_v=32, status="to remove")
    b.add("load", "E1", dc_v=12.0, power_w=20.0)
    facts = {"size": "14 AWG", "insulation_c": 105.0, "bundle": 2, "sheath": "bare", "status": "to remove"}
    b.run("W1", "G1.pos", "F1.in", length_m=3.0, **facts)
    b.run("W2", "F1.out", "E1.in", length_m=1.0, **facts)
    result = check(b.installation.snapshot(), only=["far-from-source"])
    (finding,) = result.findings
    assert finding.fixes[0] == "take run W1 out, as recorded"
    assert not any("move" in fix for fix in finding.fixes)
