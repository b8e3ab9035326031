"""What a calculation sheet says of a circuit, against published figures; each names its source."""

from __future__ import annotations

import math
import re
from typing import Any

import msgspec
import pytest

from engine.builder import Builder
from engine.calculations.load import stages
from engine.calculations.results import Calculation, Check, Formula
from engine.calculations.sheets import calculations, worst_first
from engine.check import check
from engine.installation.model import Installation
from engine.rules.example_boats import set_condition
from engine.study import Study

FT = 0.3048


def study_of(installation: Installation, book: str) -> Study:
    from engine.books import load

    return Study(installation.snapshot(), load(book), proving=True)


def sheet(installation: Installation, book: str = "trade-na") -> tuple[Calculation, ...]:
    study = study_of(installation, book)
    return calculations(study, check(study.snapshot, study=study, proving=True))


def named(made: tuple[Calculation, ...], section: str, name: str) -> Calculation:
    return next(one for one in made if one.section == section and one.designation == name)


def checked(one: Calculation, what: str) -> Check:
    return next(each for each in one.checks if each.what == what)


def printed(one: Calculation) -> str:
    return "\n".join(f.text for each in one.checks for f in each.formulas)


def recomputed(formula: Formula) -> float:
    """The printed numbers, worked out as a person with a pocket calculator would."""
    numbers = formula.text.split(" = ")[-2]
    assert re.fullmatch(r"[0-9e.()+\-/·√² ]+", numbers), formula.text
    return float(eval(numbers.replace("·", "*").replace("²", "**2").replace("√", "sqrt"), {"sqrt": math.sqrt}))


def one_circuit(
    amps: float = 10.0,
    size: str = "12 AWG",
    feet: float = 35.0,
    *,
    place: tuple[str, float | None] = ("other", None),
    volts: float = 12.0,
    fuse: dict[str, Any] | None = None,
    **run: Any,
) -> Installation:
    """A bank, a fuse at it, one pair, one load of constant current."""
    b = Builder(book="trade-na")
    b.place("hold", *place)
    b.add("battery_bank", "G1", unit_v=volts, unit_ah=400.0, chemistry="AGM", internal_resistance_ohm=1e-6)
    facts: dict[str, Any] = {"insulation_c": 105.0, "bundle": 1, "sheath": "sheathed", "places": ("hold",)}
    start = "G1.pos"
    if fuse is not None:
        b.add("fuse", "F1", **fuse)
        b.run("W0", "G1.pos", "F1.in", function="dc pair", size="2 AWG", length_m=0.1, **facts)
        start = "F1.out"
    b.add("load", "E1", dc_v=volts, current_a=amps, drop_class="other")
    b.run("W1", start, "E1.in", function="dc pair", size=size, length_m=feet * FT, **{**facts, **run})
    set_condition(b, "At anchor", {"E1": 5.0})
    return b.installation


@pytest.mark.parametrize(
    ("amps", "feet", "size", "cmil"),
    # 46 CFR 183.340(p), 2015 edition: 12 V, 10 %, K = 10.75, feet one way; circular mils by its formula
    [(10, 35, "12 AWG", 6271), (25, 60, "4 AWG", 26_875), (5, 45, "14 AWG", 4031), (5, 50, "12 AWG", 4479)],
)
def test_least_area_by_46_cfr_183_340(amps: float, feet: float, size: str, cmil: float) -> None:
    made = sheet(one_circuit(amps, size, feet), "us-46cfr")
    drop = checked(named(made, "cables", "E1"), "Voltage drop")
    assert drop.clause == "46 CFR 183.340(p)"
    assert drop.confirmed
    least = next(f for f in drop.formulas if f.symbol == "CM")
    assert least.value == pytest.approx(cmil, abs=0.5)
    assert least.text == f"CM = K · I · L / E = 10.75 · {amps} · {2 * feet} / 1.2 = {cmil} cmil"
    assert next(f for f in drop.formulas if f.symbol == "E").text.startswith("46 CFR 183.340(p): E = K · I · L / CM")
    # with the size its table prints the boat passes, by its formula and by ours
    assert drop.verdict == "in order"


def test_a_size_below_the_table_of_46_cfr_183_340_fails() -> None:
    drop = checked(named(sheet(one_circuit(10, "14 AWG", 40), "us-46cfr"), "cables", "E1"), "Voltage drop")
    assert drop.verdict == "fails"
    assert drop.margin is not None
    assert drop.margin < 0


@pytest.mark.parametrize(
    ("size", "insulation_c", "kind", "volts", "bundle", "amps"),
    # 33 CFR 183.425 Table 5 with notes 1 and 2, 2015 edition
    [
        ("10 AWG", 105.0, "other", 12.0, 1, "It · kb = 60 · 1 = 60 A"),
        ("10 AWG", 105.0, "petrol machinery", 12.0, 1, "It · kb · kp = 60 · 1 · 0.85 = 51 A"),
        ("14 AWG", 60.0, "petrol machinery", 12.0, 1, "It · kb · kp = 20 · 1 · 0.58 = 11.6 A"),
        ("12 AWG", 90.0, "other", 120.0, 8, "It · kb = 40 · 0.5 = 20 A"),
    ],
)
def test_ampacity_of_table_5(size: str, insulation_c: float, kind: str, volts: float, bundle: int, amps: str) -> None:
    boat = one_circuit(5, size, 5, place=(kind, None), volts=volts, insulation_c=insulation_c, bundle=bundle)
    ampacity = checked(named(sheet(boat, "us-33cfr183"), "cables", "W1"), "Ampacity")
    assert ampacity.formulas[0].text == f"Iz = {amps}"


def test_largest_device_before_16_awg() -> None:
    # 33 CFR 183.455(c)(1), 2015 edition: 150 % of 25 A: 35 A passes, 40 A does not
    for rating, verdict in ((35.0, "in order"), (40.0, "fails")):
        boat = one_circuit(5, "16 AWG", 5, fuse={"rating_a": rating})
        device = checked(named(sheet(boat, "us-33cfr183"), "cables", "W1"), "Device before it")
        assert device.formulas[0].text == "Imax = m · Iz = 1.5 · 25 = 37.5 A"
        assert (device.found, device.limit, device.verdict) == (rating, 37.5, verdict)
        assert device.clause == "33 CFR 183.455(c)" or device.clause == "33 CFR 183.455(c)(1)"


def test_warmer_copper_shortens_a_wire_as_ac_43_13_1b_says() -> None:
    # AC 43.13-1B chapter 11: L2 = 254.5 x L1 / (234.5 + T2): 39 ft at 20 degC are 33.7 ft at 60 degC
    lost = []
    for feet, degrees in ((39.0, 20.0), (33.7, 60.0)):
        boat = one_circuit(20, "10 AWG", feet, place=("other", degrees))
        lost.append(checked(named(sheet(boat), "cables", "W1"), "Lost in it").formulas[-1].value)
    assert lost[0] == pytest.approx(lost[1], rel=1e-3)


def test_six_units_of_2400_a() -> None:
    # E-11, newer wording, secondary copy: six 6 V units of 2400 A in series-parallel to 12 V give 7200 A
    b = Builder(book="trade-na")
    b.add("battery_bank", "G1", unit_v=6, series=2, parallel=3, short_circuit_a=2400)
    b.add("fuse", "F1", rating_a=100)
    b.add("bus_bar", "X1")
    facts: dict[str, Any] = {"function": "dc pair", "size": "4/0 AWG", "length_m": 1e-6}
    b.run("W1", "G1.pos", "F1.in", **facts)
    b.run("W2", "F1.out", "X1.bar", **facts)
    made = sheet(b.installation)
    largest = checked(named(made, "short-circuit", "F1"), "Largest")
    assert largest.found == pytest.approx(7200, rel=5e-3)
    assert largest.formulas[0].terms == "I(G1)"
    breaking = checked(named(made, "devices", "F1"), "Breaking capacity")
    assert breaking.verdict == "not judged"
    assert breaking.missing == ("F1.breaking",)


def test_a_generator_and_a_motor_by_46_cfr_111_52_3() -> None:
    # 46 CFR 111.52-3, 2015 edition: 10 kVA 230 V and a motor of 10 A: 10 x 43.48 + 4 x 10 = 474.8 A
    b = Builder(book="us-46cfr")
    b.add("generator", "G1", power_va=10_000, ac_v=230, self_limiting=False, frequency_hz=50)
    b.add("circuit_breaker", "Q1", rating_a=45, poles=("L1",))
    b.add("bus_bar", "X1")
    b.add("motor", "M1", ac_v=230, running_a=10, phases="L1")
    facts: dict[str, Any] = {"function": "ac", "size": "4/0 AWG", "length_m": 1e-6}
    b.run("W1", "G1.out", "Q1.in", **facts)
    b.run("W2", "Q1.out", "X1.bar", **facts)
    b.run("W3", "X1.bar", "M1.in", **facts)
    largest = checked(named(sheet(b.installation, "us-46cfr"), "short-circuit", "X1"), "Largest")
    assert largest.formulas[0].text == "Ik = I(G1) + I(M1) = 434.8 + 40 = 474.8 A"


def test_energy_of_a_day_behind_an_inverter() -> None:
    # published: 500 Wh a day, inverter 0.9, 12 V, 3 days, 20 % more: 166.5 Ah (exact 166.7)
    b = Builder(book="trade-na")
    b.add("battery_bank", "G1", unit_v=12, unit_ah=200.0, chemistry="AGM")
    b.add("inverter", "T1", dc_v=12, ac_v=120, power_w=1000, efficiency=0.9, standby_w=0.0)
    b.add("load", "E1", ac_v=120, power_w=100.0, power_factor=1.0)
    b.run("W1", "G1.pos", "T1.dc", function="dc pair", size="2 AWG", length_m=1.0)
    b.run("W2", "T1.ac_out", "E1.in", function="ac", size="12 AWG", length_m=1.0)
    set_condition(b, "At anchor", {"E1": 5.0})
    study = study_of(b.installation, "trade-na")
    (stage,) = stages(study)
    load = next(each for each in stage.loads if each.designation == "E1")
    assert (load.wh_a_day, load.chain[0][1]) == (500.0, 0.9)
    inverter = next(each for each in stage.demands if each.designation == "T1")
    assert (inverter.connected_w, inverter.day_wh, inverter.rated) == (100.0, 500.0, 1000.0)
    assert inverter.margin == pytest.approx(0.9, abs=0.01)
    bank = next(each for each in stage.demands if each.designation == "G1")
    assert bank.day_wh == pytest.approx(500 / 0.9)
    account = checked(named(sheet(b.installation), "load-analysis", "G1"), "Account")
    assert account.formulas[0].value * 3 * 1.2 == pytest.approx(166.7, abs=0.05)


def test_a_part_of_the_rating_for_hours() -> None:
    made = sheet(one_circuit(15, "10 AWG", 5, fuse={"rating_a": 20.0}))
    load = checked(named(made, "devices", "F1"), "Rating, load")
    assert load.formulas[0].text == "Ic = s · In = 0.8 · 20 = 16 A"
    assert load.verdict == "in order"
    assert load.margin == pytest.approx(1 - 15 / 16, abs=1e-3)


def test_what_fails_stands_before_what_is_not_judged_and_what_passes() -> None:
    made = worst_first(sheet(one_circuit(60, "14 AWG", 5, fuse={"rating_a": 100.0})))
    verdicts = [one.verdict for one in made]
    assert verdicts[0] == "fails"
    order = ["fails", "not judged", "waived", "in order", "not compared"]
    assert verdicts == sorted(verdicts, key=order.index)
    first = named(made, "cables", "W1")
    assert first.verdict == "fails"
    assert first.margin == pytest.approx(min(m for c in first.checks if (m := c.margin) is not None))


def test_what_is_not_recorded_is_said_to_be_missing() -> None:
    boat = one_circuit(10, "", 5, fuse={"rating_a": 20.0})
    cable = named(sheet(boat), "cables", "W1")
    assert next(i for i in cable.inputs if i.name == "conductor").mark == "not known"
    assert cable.verdict == "not judged"
    assert "W1.size" in {field for each in cable.checks for field in each.missing}


def test_stages_of_the_work_come_after_the_conditions_of_use() -> None:
    boat = one_circuit(5, "10 AWG", 5)
    b = Builder(book="trade-na")
    b.installation = boat
    set_condition(b, "While the panel is out", {"E1": 1.0}, work_stage=True, order=-1)
    made = stages(study_of(boat, "trade-na"))
    assert [(stage.name, stage.is_work) for stage in made] == [("At anchor", False), ("While the panel is out", True)]
    # E = P h s: 60 W for an hour
    assert [load.wh_a_day for load in made[1].loads] == [pytest.approx(60.0)]


def test_what_is_waived_is_told_as_waived_with_its_clause() -> None:
    study = study_of(one_circuit(60, "14 AWG", 5, fuse={"rating_a": 100.0}), "us-33cfr183")
    result = check(study.snapshot, study=study, proving=True)
    moved = msgspec.structs.replace(result, findings=(), waived=result.findings)
    cable = named(calculations(study, moved), "cables", "W1")
    ampacity = checked(cable, "Ampacity")
    assert ampacity.verdict == "waived"
    assert ampacity.clause.startswith("33 CFR 183.425")


def test_every_printed_formula_gives_what_is_printed() -> None:
    """In symbols, in numbers: worked out again from the numbers as printed."""
    boats = [
        one_circuit(10, "12 AWG", 35, fuse={"rating_a": 20.0}),
        one_circuit(37.5, "16 mm2", 17, parallel=2, place=("diesel machinery", 60.0), fuse={"rating_a": 200.0}),
    ]
    seen = set()
    for boat in boats:
        for book in ("us-46cfr", "trade-na"):
            for one in sheet(boat, book):
                for formula in (f for each in one.checks for f in each.formulas):
                    if formula.numbers == formula.terms:
                        continue
                    seen.add(formula.symbol)
                    value = float(formula.text.split(" = ")[-1].split()[0])
                    assert recomputed(formula) == pytest.approx(value, rel=1.5e-3), formula.text
    assert seen >= {"Iz", "Imax", "U", "u", "E", "Ik", "Ic", "Q"}
