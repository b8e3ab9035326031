"""Small boats on which a rule once passed what was wrong, or warned of what was right."""

from __future__ import annotations

from typing import Any

from engine.builder import Builder
from engine.check import CheckResult, check
from engine.rules.example_parts import boat, cable
from engine.rules.safety._boats import alongside, circuit


def judged(b: Builder, rule: str, book: str = "trade-na") -> CheckResult:
    return check(b.installation.snapshot(), book, [rule], proving=True)


def found(b: Builder, rule: str) -> list[tuple[str, ...]]:
    return [f.designations for f in judged(b, rule).findings]


def test_an_earth_bus_that_leads_nowhere_is_no_earth() -> None:
    b = alongside(ground=False)
    circuit(b, "load", "E1", earth=False)
    b.add("bus_bar", "X8", purpose="protective earth")
    b.run("W20", "E1.earth", "X8.bar", function="earth", size="10 AWG", length_m=1.0)
    assert found(b, "no-protective-earth") == [("E1",)]


def test_an_autotransformer_separates_nothing() -> None:
    b = alongside(ma=100)
    b.add("autotransformer", "T1", in_v=120, out_v=230)
    b.add("socket_outlet", "X5", ac_v=230, rating_a=10)
    b.run("W20", "X2.bar", "T1.in", function="ac", size="10 AWG", length_m=0.3)
    b.run("W21", "T1.out", "X5.in", function="ac", size="10 AWG", length_m=2.0)
    assert found(b, "no-residual-current") == [("X1", "Q1")]


def test_the_earth_of_a_transformer_that_keeps_it_apart_is_left_apart() -> None:
    b = alongside(ground=False)
    volts: dict[str, Any] = {"primary_v": 120, "secondary_v": 120, "passes_earth": False}
    b.add("isolation_transformer", "T1", bonds_neutral=True, **volts)
    b.run("W20", "X2.bar", "T1.primary", function="ac", size="10 AWG", length_m=0.3)
    b.add("load", "E1", ac_v=120, power_w=500, exposed_metal=True)
    b.run("W21", "T1.secondary", "E1.in", function="ac", size="10 AWG", length_m=3.0)
    b.add("earth_point", "X9", form="ground plate")
    b.run("W22", "T1.earth", "X9.at", function="earth", size="8 AWG", length_m=1.0)
    b.add("battery_bank", "G1", unit_v=12)
    b.run("W23", "G1.neg", "X9.at", function="dc negative", size="2 AWG", length_m=1.0)
    assert found(b, "earths-apart") == []
    assert found(b, "no-galvanic-isolation") == []


def test_whether_a_transformer_passes_the_earth_is_asked() -> None:
    b = alongside(ground=False)
    b.add("polarisation_transformer", "T1", primary_v=120, secondary_v=120, bonds_neutral=True)
    b.run("W20", "X2.bar", "T1.primary", function="ac", size="10 AWG", length_m=0.3)
    b.add("load", "E1", ac_v=120, power_w=500)
    b.run("W21", "T1.secondary", "E1.in", function="ac", size="10 AWG", length_m=3.0)
    result = judged(b, "no-galvanic-isolation")
    assert [g.missing for g in result.not_judged] == [("T1.passes_earth",)]
    assert result.passed == ()


def test_what_an_isolated_converter_feeds_returns_to_it() -> None:
    b = boat(hull="steel")
    b.add("battery_bank", "G1", unit_v=12, series=2)
    b.add("fuse", "F1", rating_a=30)
    b.add("dc_dc_converter", "T1", in_v=24, out_v=12, output_a=20, isolated=True)
    b.add("load", "E1", dc_v=12, current_a=5)
    b.add("bus_bar", "X6", purpose="negative")
    b.add("earth_point", "X8", form="hull")
    b.add("earth_point", "X9", form="hull")
    cable(b, "W1", "G1.pos", "F1.in", "10 AWG", 6)
    cable(b, "W2", "F1.out", "T1.in", "10 AWG", 40)
    cable(b, "W3", "T1.out", "E1.in", "14 AWG", 40, function="dc pair")
    for name, start, end in (
        ("W4", "G1.neg", "X9.at"),
        ("W5", "T1.neg", "G1.neg"),
        ("W6", "T1.out", "X6.bar"),
        ("W7", "X6.bar", "X8.at"),
    ):
        cable(b, name, start, end, "8 AWG", 40, function="dc negative")
    assert found(b, "hull-carries-current") == []


def test_several_arrays_on_one_controller_add_up() -> None:
    b = boat(coldest_c=-10)
    known: dict[str, Any] = {"module_open_v": 22.0, "open_v_percent_per_c": -0.3, "module_short_a": 8.0}
    b.add("solar_array", "G3", **known)
    b.add("solar_array", "G4", **known)
    b.add("solar_controller", "T3", method="tracking", dc_v=12, highest_input_v=75, largest_input_a=15)
    cable(b, "W1", "G3.pos", "T3.pv", "10 AWG", 100)
    cable(b, "W2", "G4.pos", "T3.pv", "10 AWG", 100)
    (finding,) = judged(b, "solar-over-input").findings
    assert finding.designations == ("G3", "T3")
    assert finding.arithmetic == "(8 A + 8 A) × 1.25 > 15 A"
    b.set("G3", quantity=3)
    b.set("G4", module_short_a=0.0)
    assert found(b, "solar-over-input") == [("G3", "T3")]


def test_a_bank_has_a_post_for_every_string_and_one_negative_wherever_it_is_drawn() -> None:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12)
    for number in range(3):
        b.add("fuse", f"F{number}", rating_a=10)
        cable(b, f"W{number}", "G1.pos", f"F{number}.in", "14 AWG", 6, function="dc pair")
        b.add("bus_bar", f"X{number}", purpose="negative")
        cable(b, f"V{number}", "G1.neg", f"X{number}.bar", "14 AWG", 6, function="dc negative")
    assert found(b, "over-stud") == [("G1",)]
    b.set("G1", parallel=2)
    assert found(b, "over-stud") == []


def test_an_interlocked_generator_without_bond_is_not_bonded_by_the_shore() -> None:
    b = Builder()
    b.add("shore_supply", "G9", ac_v=120, breaker_a=30, neutral_earthed=True)
    b.add("generator", "G2", ac_v=120, rating_a=30, bonds_neutral=False)
    b.add("bus_bar", "X2")
    for name, source in (("F2", "G9"), ("F3", "G2")):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"), used_as_switch=True)
        b.run(f"W{name}", f"{source}.out", f"{name}.in", function="ac")
        b.run(f"V{name}", f"{name}.out", "X2.bar", function="ac")
    b.add("load", "E1", ac_v=120, power_w=500)
    b.run("W9", "X2.bar", "E1.in", function="ac")
    b.interlock("F2", "F3")
    assert found(b, "wrong-neutral-bond") == [("G2",)]
