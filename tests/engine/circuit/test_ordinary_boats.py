"""Boats in order: no rule of conductor protection may say anything; each such boat spoilt in one place says it."""

from __future__ import annotations

from typing import Any

import pytest

from engine.books import load
from engine.builder import Builder
from engine.findings import Remark
from engine.rules import rules
from engine.study import Study

# rules of what protects a conductor, and where; what flows and what a fault brings have boats of their own
SLUGS = (
    "bypass-unprotected",
    "equipment-over-protected",
    "far-end-unprotected",
    "far-from-source",
    "no-protection",
    "rating-above-ampacity",
)
PROTECTION = [rules()[slug] for slug in SLUGS]


class Boat(Builder):
    """105 degC cable in the cabin, lengths in inches."""

    def __init__(self) -> None:
        super().__init__(book="trade-na")
        self.place("cabin", "accommodation")
        self.place("engine space", "diesel machinery", 55)

    def cable(self, name: str, start: str, end: str, size: str, inches: float, **facts: Any) -> None:
        known: dict[str, Any] = {"insulation_c": 105.0, "sheath": "bare", "bundle": 2, "places": ("cabin",)}
        self.run(name, start, end, size=size, length_m=inches * 0.0254, **(known | facts))

    def ac(self, name: str, start: str, end: str, size: str, inches: float, **facts: Any) -> None:
        known: dict[str, Any] = {"function": "ac", "sheath": "sheathed"}
        self.cable(name, start, end, size, inches, **(known | facts))

    def says(self, book: str = "trade-na") -> list[tuple[str, tuple[str, ...]]]:
        study = Study(self.installation.snapshot(), load(book))
        remarks: list[Remark] = [remark for rule in PROTECTION for remark in rule.check(study)]
        return [(remark.rule, remark.designations) for remark in remarks]


def ketch() -> Boat:
    """A lithium house bank, a start bank, shore, inverter/charger with interlocked bypass, solar, switched circuits."""
    b = Boat()
    b.add("battery_bank", "G1", unit_v=12.8, series=2, chemistry="LFP")
    b.add("fuse", "F1", rating_a=400, fuse_class="class T")
    b.add("remote_battery_switch", "Q1", continuous_a=500)
    b.add("bus_bar", "W10", rating_a=600)
    b.cable("W1", "G1.pos", "F1.in", "4/0 AWG", 6)
    b.cable("W2", "F1.out", "Q1.in", "4/0 AWG", 30)
    b.cable("W3", "Q1.out", "W10.bar", "4/0 AWG", 30)
    # inverter/charger with its own fuse at the bus
    b.add("fuse", "F2", rating_a=300)
    b.add(
        "inverter_charger",
        "T1",
        dc_v=24,
        ac_v=120,
        power_w=3000,
        through_a=50,
        output_limit_a=25,
        charge_a=70,
        self_limiting=True,
    )
    b.cable("W11", "W10.bar", "F2.in", "4/0 AWG", 4)
    b.cable("W12", "F2.out", "T1.dc", "4/0 AWG", 60)
    # alternator through a fuse at the bus, its own end needs none
    b.add("alternator", "G2", dc_v=24, rating_a=110.0)
    b.add("fuse", "F3", rating_a=150)
    b.cable("W13", "W10.bar", "F3.in", "2 AWG", 5)
    b.cable("W14", "F3.out", "G2.pos", "2 AWG", 140, places=("engine space",), sheath="sheathed")
    # solar through a controller
    b.add("solar_array", "G4", module_short_a=9.5, open_cold_v=50.0, module_w=400.0)
    b.add("solar_controller", "T3", method="tracking", dc_v=24, charge_a=30, self_limiting=True)
    b.add("circuit_breaker", "F4", rating_a=40)
    b.cable("W15", "G4.pos", "T3.pv", "10 AWG", 300)
    b.cable("W16", "T3.dc", "F4.out", "8 AWG", 60)
    b.cable("W17", "F4.in", "W10.bar", "8 AWG", 5)
    # DC-DC to the start bank
    b.add("dc_dc_converter", "T2", in_v=24, out_v=12, output_a=30, self_limiting=True, bidirectional=False)
    b.add("fuse", "F5", rating_a=30)
    b.add("fuse", "F6", rating_a=40)
    b.add("battery_bank", "G3", unit_v=12.0)
    b.cable("W18", "W10.bar", "F5.in", "8 AWG", 6)
    b.cable("W19", "F5.out", "T2.in", "8 AWG", 40)
    b.cable("W20", "T2.out", "F6.out", "8 AWG", 100)
    b.cable("W21", "F6.in", "G3.pos", "8 AWG", 6)
    # start bank: cranking circuit
    b.add("battery_switch", "Q2", continuous_a=300)
    b.add("motor", "M1", dc_v=12, running_a=200.0)
    b.cable("W22", "G3.pos", "Q2.in", "2/0 AWG", 40, exempt="cranking")
    b.cable("W23", "Q2.out", "M1.in", "2/0 AWG", 80, exempt="cranking", places=("engine space",))
    # DC panel and a switching module
    b.add("circuit_breaker", "F7", rating_a=100)
    b.add("bus_bar", "W30")
    b.cable("W24", "W10.bar", "F7.in", "2 AWG", 6)
    b.cable("W25", "F7.out", "W30.bar", "2 AWG", 120)
    for number, (size, amps) in enumerate((("14 AWG", 15), ("12 AWG", 20), ("16 AWG", 10)), start=1):
        b.add("circuit_breaker", f"F3{number}", rating_a=amps)
        b.add("load", f"E{number}", dc_v=24, current_a=2.0)
        b.cable(f"W3{number}", "W30.bar", f"F3{number}.in", size, 4)
        b.cable(f"W4{number}", f"F3{number}.out", f"E{number}.in", size, 200, bundle=7)
    # AC: shore and generator behind a slide, inverter output or bypass behind a slide
    b.add("shore_supply", "G5", ac_v=120, breaker_a=30)
    b.add("shore_inlet", "X1", ac_v=120, rating_a=30)
    b.ac("W51", "G5.out", "X1.shore", "10 AWG", 600)
    b.add("circuit_breaker", "Q5", rating_a=30, poles=("L1", "N"))
    b.add("generator", "G6", ac_v=120, power_va=3600, self_limiting=False, breaker_a=30)
    b.add("circuit_breaker", "Q6", rating_a=30, poles=("L1", "N"), in_position="open")
    b.interlock("Q5", "Q6", name="source slide")
    b.add("bus_bar", "W50")
    b.ac("W52", "X1.out", "Q5.in", "10 AWG", 80)
    b.ac("W53", "Q5.out", "W50.bar", "10 AWG", 20)
    b.ac("W54", "G6.out", "Q6.in", "10 AWG", 120)
    b.ac("W55", "Q6.out", "W50.bar", "10 AWG", 20)
    b.ac("W56", "W50.bar", "T1.ac_in", "10 AWG", 60)
    b.add("bus_bar", "W60")
    b.add("circuit_breaker", "Q7", rating_a=30, poles=("L1", "N"), used_as_switch=True)
    b.add("circuit_breaker", "Q8", rating_a=30, poles=("L1", "N"), used_as_switch=True, in_position="open")
    b.interlock("Q7", "Q8", name="bypass slide")
    b.ac("W57", "T1.ac_out", "Q7.in", "10 AWG", 60)
    b.ac("W58", "Q7.out", "W60.bar", "10 AWG", 20)
    b.ac("W59", "W50.bar", "Q8.in", "10 AWG", 20)
    b.ac("W60a", "Q8.out", "W60.bar", "10 AWG", 20)
    for number in (1, 2):
        b.add("circuit_breaker", f"F6{number}", rating_a=15, poles=("L1",))
        b.add("socket_outlet", f"X6{number}", ac_v=120, rating_a=15, expected_w=500)
        b.ac(f"W6{number}", "W60.bar", f"F6{number}.in", "14 AWG", 6)
        b.ac(f"W7{number}", f"F6{number}.out", f"X6{number}.in", "14 AWG", 200)
    b.condition("Inverter bypassed", Q7="open", Q8="closed")
    return b


def test_a_ketch_in_order() -> None:
    assert ketch().says() == []


@pytest.mark.parametrize(
    ("change", "rule", "first"),
    [
        (("F1", {"rating_a": 700}), "rating-above-ampacity", "W2"),
        (("F2", {"rating_a": 500}), "", ""),  # 400 A of the main fuse are the most that can come
        (("F7", {"rating_a": 400}), "rating-above-ampacity", "W25"),
        (("F31", {"rating_a": 40}), "rating-above-ampacity", "W41"),
        (("Q7", {"rating_a": 50}), "", ""),  # the bridge limits itself to 25 A, the shore to 30 A
        (("X62", {"rating_a": 10}), "equipment-over-protected", "X62"),
        (("G5", {"breaker_a": 50}), "equipment-over-protected", "X1"),
        (("G2", {"self_limiting": False}), "far-end-unprotected", "W14"),
        (("T3", {"self_limiting": False}), "far-end-unprotected", "W16"),
    ],
    ids=str,
)
def test_a_ketch_spoilt_in_one_place(change: tuple[str, dict[str, Any]], rule: str, first: str) -> None:
    b = ketch()
    b.set(change[0], **change[1])
    said = [(slug, names[0]) for slug, names in b.says()]
    assert (rule, first) in said if rule else said == []


def test_a_ketch_without_its_slides() -> None:
    b = ketch()
    for lock in list(b.installation.ids("interlocks")):
        b.installation._put("interlocks", lock, None)
    slugs = {slug for slug, _names in b.says()}
    assert slugs <= {"bypass-unprotected", "equipment-over-protected", "rating-above-ampacity"}
    assert "bypass-unprotected" in slugs


def test_two_banks_behind_a_diode_isolator() -> None:
    """The alternator's lead to the isolator is fed by the alternator only; a battery does not reach it."""
    b = Boat()
    b.add("alternator", "G1", dc_v=12, rating_a=80.0, self_limiting=True)
    b.add("diode_isolator", "R1", rating_a=100)
    b.cable("W1", "G1.pos", "R1.in", "4 AWG", 100)
    for number in (1, 2):
        b.add("battery_bank", f"G1{number}", unit_v=12.0)
        b.add("fuse", f"F{number}", rating_a=100)
        b.cable(f"W{number}1", f"R1.out{number}", f"F{number}.out", "4 AWG", 100)
        b.cable(f"W{number}2", f"F{number}.in", f"G1{number}.pos", "4 AWG", 6)
    assert b.says() == []
    # a charger close to one bank needs no device: it limits itself; one on the alternator's stud adds to the alternator
    b.add("charger", "T1", dc_v=12, charge_a=40, self_limiting=True)
    b.cable("W3", "T1.dc", "G11.pos", "6 AWG", 5)
    assert b.says() == []
    b.add("charger", "T2", dc_v=12, charge_a=100, self_limiting=True)
    b.cable("W4", "T2.dc", "G1.pos", "2 AWG", 100)
    assert ("rating-above-ampacity", ("W1", "G1", "T2")) in b.says()


def test_a_charging_relay_between_two_fused_banks() -> None:
    b = Boat()
    b.add("charging_relay", "K1", dc_v=12, continuous_a=140)
    for number, terminal in ((1, "a"), (2, "b")):
        b.add("battery_bank", f"G{number}", unit_v=12.0)
        b.add("fuse", f"F{number}", rating_a=100)
        b.cable(f"W{number}1", f"G{number}.pos", f"F{number}.in", "4 AWG", 6)
        b.cable(f"W{number}2", f"F{number}.out", f"K1.{terminal}", "4 AWG", 60)
    assert b.says() == []
    b.set("K1", continuous_a=80)
    assert [slug for slug, _names in b.says()] == ["equipment-over-protected"]


def transformer(shore_a: float, secondary: str, primary_v: float = 240) -> Boat:
    b = Boat()
    b.add("shore_supply", "G1", ac_v=240, breaker_a=shore_a)
    b.add("isolation_transformer", "T1", primary_v=primary_v, secondary_v=120, power_va=12000)
    b.add("load", "E1", ac_v=120, power_w=1000, power_factor=1.0)
    b.ac("W1", "G1.out", "T1.primary", "6 AWG", 100)
    b.ac("W2", "T1.secondary", "E1.in", secondary, 100)
    return b


def test_a_secondary_gets_what_its_primary_is_fed_times_the_ratio() -> None:
    """30 A at 240 V are 60 A at 120 V."""
    assert transformer(30, "10 AWG").says() == []  # 60 A
    said = transformer(30, "12 AWG").says()  # 45 A
    assert said == [("rating-above-ampacity", ("W2", "T1", "G1"))]
    assert transformer(30, "12 AWG", primary_v=120).says() == []


def test_a_transformer_of_unknown_ratio_is_not_judged() -> None:
    b = transformer(30, "10 AWG")
    b.set("T1", primary_v=None)
    study = Study(b.installation.snapshot(), load("trade-na"))
    (end,) = study.coverage.uncovered
    assert not end.judged
    assert end.missing == ("T1.primary_v",)


def test_interlocks_that_allow_no_position_prove_nothing() -> None:
    """A changeover without an off position, both of whose positions are forbidden: never taken for safe."""
    b = Boat()
    b.add("changeover", "S1", has_off=False, in_position="1")
    for number, terminal in ((1, "one"), (2, "two")):
        b.add("battery_bank", f"G{number}", unit_v=12.8)
        b.add("fuse", f"F{number}", rating_a=400)
        b.cable(f"W{number}1", f"G{number}.pos", f"F{number}.in", "4/0 AWG", 6)
        b.cable(f"W{number}2", f"F{number}.out", f"S1.{terminal}", "4/0 AWG", 40)
    b.add("load", "E1", dc_v=12, current_a=1.0)
    b.cable("W3", "S1.common", "E1.in", "10 AWG", 100)
    assert [slug for slug, names in b.says() if names[0] == "W3"] == ["rating-above-ampacity"]
    b.interlock("S1:1,2", at_most=0)
    study = Study(b.installation.snapshot(), load("trade-na"))
    (end,) = [end for end in study.coverage.uncovered if study.name(end.run) == "W3"]
    assert end.undecided
