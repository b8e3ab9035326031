"""Worked examples and clauses of published texts, one rule at a time. Each names its source beside the check."""

from __future__ import annotations

from typing import Any

import pytest

from engine.builder import Builder
from engine.check import check
from engine.colours import read_colours, show_colours
from engine.installation import Passage

INCH = 0.0254


def found(b: Builder, rule: str, book: str) -> list[tuple[str, ...]]:
    return [f.designations for f in check(b.installation.snapshot(), book, [rule]).findings]


def lamp(size: str, amps: float, *, sheath: str = "bare", tail_in: float = 0, service: str = "lighting") -> Builder:
    b = Builder(engine_fuel="petrol")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1", dc_v=12, current_a=amps, service=service)
    passage = Passage(place=b.place("saloon"), length_m=2.0, unsheathed_m=tail_in * INCH)
    b.run("W1", "G1.pos", "E1.in", size=size, length_m=2.0, sheath=sheath, places=(passage,))
    return b


# -- 33 CFR 183.425(d) to (g), 2015 edition -------------------------------------------------------------------------
def test_a_single_conductor_of_18_awg_is_too_small() -> None:
    """16 AWG is the least for conductors installed separately."""
    assert found(lamp("18 AWG", 3), "too-small", "us-33cfr183") == [("W1",)]
    assert found(lamp("16 AWG", 3), "too-small", "us-33cfr183") == []


@pytest.mark.parametrize(("tail_in", "passes"), [(30, True), (31, False)])
def test_a_core_of_18_awg_may_leave_its_sheath_by_30_in(tail_in: float, passes: bool) -> None:
    b = lamp("18 AWG", 3, sheath="sheathed", tail_in=tail_in)
    assert found(b, "too-small", "us-33cfr183") == ([] if passes else [("W1",)])


def test_a_radio_below_1_a_is_exempt() -> None:
    """183.425(g): communication and electronic navigation equipment, electronic circuits of less than 1 A."""
    assert found(lamp("20 AWG", 0.8, service="communication"), "too-small", "us-33cfr183") == []
    assert found(lamp("20 AWG", 0.8, service="electronics"), "too-small", "us-33cfr183") == []
    assert found(lamp("20 AWG", 1.2, service="electronics"), "too-small", "us-33cfr183") == [("W1",)]


# -- 33 CFR 183.410, 183.435(a), 183.445(b), 2015 edition -----------------------------------------------------------
@pytest.mark.parametrize(
    ("kind", "protected", "passes"),
    [
        ("petrol machinery", False, False),
        ("petrol machinery", True, True),
        ("accommodation", False, True),
    ],
)
def test_what_sparks_beside_a_petrol_engine_is_ignition_protected(kind: Any, protected: bool, passes: bool) -> None:
    b = Builder(engine_fuel="petrol")
    b.place("engine space", kind)
    b.add("charger", "T1", dc_v=12, place="engine space", ignition_protected=protected)
    result = check(b.installation.snapshot(), "us-33cfr183", ["ignition-unprotected"])
    assert [f.designations for f in result.findings] == ([] if passes else [("T1",)])
    assert all(f.law_here and f.clause == "33 CFR 183.410" for f in result.findings)


@pytest.mark.parametrize(
    ("insulation", "passes"), [("UL 1426", True), ("SJTO cord", True), ("THW", True), ("SPT-2", False)]
)
def test_conductors_of_50_v_are_of_a_listed_type(insulation: str, passes: bool) -> None:
    """183.435(a); designations accepted after the boatbuilder's handbook of the Coast Guard."""
    b = Builder(engine_fuel="petrol")
    b.add("shore_inlet", "X1", ac_v=120, supply_breaker_a=30)
    b.add("load", "E1", ac_v=120, power_w=500)
    b.run("W1", "X1.out", "E1.in", function="ac", size="14 AWG", insulation=insulation)
    assert found(b, "wrong-insulation", "us-33cfr183") == ([] if passes else [("W1",)])


def test_a_live_stud_is_booted_or_protected_at_the_source() -> None:
    b = Builder(engine_fuel="petrol")
    b.add("battery_bank", "G1", unit_v=12, covered=True)
    b.add("bus_bar", "X1", covered=False)
    b.add("fuse", "F1", rating_a=10)
    b.run("W1", "G1.pos", "X1.bar", size="4 AWG", length_m=0.2)
    b.run("W2", "X1.bar", "F1.in", size="14 AWG", length_m=0.1)
    assert found(b, "live-stud-bare", "us-33cfr183") == [("X1",)]
    b.set("X1", covered=True)
    assert found(b, "live-stud-bare", "us-33cfr183") == []


# -- breaking capacity by cranking amperes: trade table, secondary copy ----------------------------------------------
def start_bank(amps: float, *, branch: bool) -> Builder:
    """A 12 V lead bank of 900 CCA, a main fuse, a branch fuse behind it."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100, chemistry="flooded", cca_a=900)
    big = ({"amps": 20000.0, "volts": 32.0, "kind": "DC"},)
    own = ({"amps": amps, "volts": 32.0, "kind": "DC"},)
    b.add("fuse", "F1", rating_a=100, breaking=_breaking(big if branch else own))
    b.add("fuse", "F2", rating_a=10, breaking=_breaking(own if branch else big))
    b.add("load", "E1", dc_v=12, current_a=5)
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    b.run("W2", "F1.out", "F2.in", size="2 AWG", length_m=0.1)
    b.run("W3", "F2.out", "E1.in", size="14 AWG", length_m=3.0)
    return b


def _breaking(given: tuple[dict[str, Any], ...]) -> tuple[Any, ...]:
    from engine.equipment.base import Breaking

    return tuple(Breaking(**each) for each in given)


@pytest.mark.parametrize(
    ("amps", "branch", "passes"),
    [
        (3000, False, True),
        (2900, False, False),
        (1500, True, True),
        (1400, True, False),
    ],
)
def test_a_bank_of_900_cranking_amperes(amps: float, branch: bool, passes: bool) -> None:
    """651 to 1100 CCA: 3000 A for the main device, 1500 A for a branch."""
    device = "F2" if branch else "F1"
    assert found(start_bank(amps, branch=branch), "cannot-break-fault", "trade-na") == ([] if passes else [(device,)])


def six_batteries(amps: float) -> Builder:
    b = Builder()
    known: dict[str, Any] = {"unit_v": 6, "series": 2, "parallel": 3, "short_circuit_a": 2400, "chemistry": "AGM"}
    b.add("battery_bank", "G1", **known)
    b.add("fuse", "F1", rating_a=100, breaking=_breaking(({"amps": amps, "volts": 32.0, "kind": "DC"},)))
    b.add("load", "E1", dc_v=12, current_a=5)
    b.run("W1", "G1.pos", "F1.in", size="4/0 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="2 AWG", length_m=3.0)
    return b


def test_strings_in_parallel_add_their_fault_current_units_in_series_do_not() -> None:
    """Six 6 V batteries of 2400 A as a 12 V bank: 7200 A (E-11, secondary copy)."""
    store = next(iter(six_batteries(1000).installation.snapshot().equipment.values())).store()
    assert store is not None
    assert store.short_circuit_a == 7200


@pytest.mark.parametrize(("amps", "passes"), [(1000, False), (2000, False), (20000, True)])
def test_fuses_at_that_bank(amps: float, passes: bool) -> None:
    """A blade fuse of 1 kA and a bolt-in one of 2 kA will not do, a class of 20 kA will."""
    assert found(six_batteries(amps), "cannot-break-fault", "trade-na") == ([] if passes else [("F1",)])


# -- residual current, E-11 11.11.1, secondary copy ------------------------------------------------------------------
@pytest.mark.parametrize(("ma", "ms", "passes"), [(30, 120, False), (30, 90, True), (40, 50, False)])
def test_shore_power_is_cut_at_30_ma_within_100_ms(ma: float, ms: float, passes: bool) -> None:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120, supply_breaker_a=30)
    b.add("residual_current_device", "Q1", rating_a=30, overcurrent=True, residual_ma=ma, residual_ms=ms)
    b.add("load", "E1", ac_v=120, power_w=500)
    b.run("W1", "X1.out", "Q1.in", function="ac", size="10 AWG", length_m=1.0)
    b.run("W2", "Q1.out", "E1.in", function="ac", size="10 AWG", length_m=1.0)
    assert found(b, "no-residual-current", "trade-na") == ([] if passes else [("X1", "Q1")])


# -- lighting branches, 46 CFR 111.75-5(b), 2015 edition -------------------------------------------------------------
@pytest.mark.parametrize(("amps", "passes"), [(16, True), (17, False)])
def test_a_lighting_branch_of_20_a_carries_16_a(amps: float, passes: bool) -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=200, chemistry="AGM")
    b.add("circuit_breaker", "F1", rating_a=20)
    b.add("load", "E1", dc_v=12, current_a=amps, service="lighting")
    b.run("W1", "G1.pos", "F1.in", size="8 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="8 AWG", length_m=2.0)
    assert found(b, "rating-below-load", "trade-na") == ([] if passes else [("F1", "E1")])


# -- ventilation, 46 CFR 111.15-10(c), 2015 edition ------------------------------------------------------------------
def locker(m3_h: float, amps: float, volts: float = 12, kind: Any = "battery") -> Builder:
    b = Builder(use="small passenger")
    b.place("locker", kind)
    known: dict[str, Any] = {"chemistry": "flooded", "ventilation_m3_h": m3_h, "place": "locker"}
    b.add("battery_bank", "G1", unit_v=12, series=round(volts / 12), **known)
    b.add("charger", "T1", dc_v=volts, charge_a=amps, self_limiting=True)
    b.run("W1", "T1.dc", "G1.pos", size="2/0 AWG", length_m=1.0)
    return b


@pytest.mark.parametrize(("cubic_feet", "passes"), [(233.4, True), (232, False)])
def test_a_charger_of_40_a_on_six_cells_asks_for_233_cubic_feet_an_hour(cubic_feet: float, passes: bool) -> None:
    """q = 3.89 i n, i a quarter of 40 A, n = 6: 233.4 ft3/h."""
    b = locker(cubic_feet * 0.3048**3, 40)
    assert found(b, "too-little-ventilation", "trade-na") == ([] if passes else [("G1",)])


# -- the neutral's bond: ISO 13297:2020 6.8, secondary copy; 46 CFR 183.376(a), 2015 edition --------------------------
def shore_and_generator(poles: tuple[str, ...]) -> Builder:
    b = Builder()
    b.add("shore_supply", "G9", ac_v=120, breaker_a=30, neutral_earthed=True)
    b.add("generator", "G2", ac_v=120, rating_a=30, bonds_neutral=True)
    b.add("changeover", "S1", poles=poles)
    b.add("load", "E1", ac_v=120, power_w=500)
    for number, (start, end) in enumerate((("G9.out", "S1.one"), ("G2.out", "S1.two"), ("S1.common", "E1.in")), 1):
        b.run(f"W{number}", start, end, function="ac", size="10 AWG", length_m=2.0)
    return b


def test_a_changeover_that_leaves_the_neutral_makes_two_connections_to_ground() -> None:
    """46 CFR 183.376(a): exactly one, however many sources. Where neutrals must be switched, that is the fault."""
    for poles, met in ((("L1",), [("G9", "G2")]), (("L1", "N"), [])):
        assert found(shore_and_generator(poles), "wrong-neutral-bond", "us-46cfr") == met
        assert found(shore_and_generator(poles), "neutral-not-switched", "trade-na") == met
        assert found(shore_and_generator(poles), "wrong-neutral-bond", "trade-na") == []


def test_behind_an_isolation_transformer_the_bond_stands_at_its_secondary() -> None:
    b = Builder()
    b.add("shore_supply", "G9", ac_v=120, breaker_a=30, neutral_earthed=True)
    b.add("isolation_transformer", "T1", primary_v=120, secondary_v=120, bonds_neutral=True)
    b.add("load", "E1", ac_v=120, power_w=500)
    b.run("W1", "G9.out", "T1.primary", function="ac")
    b.run("W2", "T1.secondary", "E1.in", function="ac")
    assert found(b, "wrong-neutral-bond", "trade-na") == []


# -- colours, IEC 60757, secondary copy ------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("red with blue stripe", "RDBU"),
        ("blue/red", "RDBU"),
        ("brown, blue, green/yellow", "BN+BU+GNYE"),
        ("black + black + brown + blue + green-yellow", "BK+BK+BN+BU+GNYE"),
        ("yellow and green", "GNYE"),
        ("GNYE", "GNYE"),
        ("RD", "RD"),
    ],
)
def test_colour_codes(text: str, code: str) -> None:
    """Colours of one core in the standard's order, cores joined by +, GN and YE only ever as GNYE."""
    assert show_colours(read_colours(text) or ()) == code


@pytest.mark.parametrize("text", ["", "sheath", "RDX", "rot", "7"])
def test_what_is_no_colour_is_not_read_as_one(text: str) -> None:
    assert read_colours(text) is None


# -- small passenger vessels: 46 CFR parts 28, 111 and 183, 2015 edition ---------------------------------------------
@pytest.mark.parametrize(("amps", "passes"), [(45, True), (50, False)])
def test_the_breaker_of_a_generator_of_10_kw_is_47_9_a_at_most(amps: float, passes: bool) -> None:
    """28.365(a), 183.320: 115 % of the rating; 10 kW at 240 V one-phase: 41.67 A x 1.15 = 47.9 A."""
    b = Builder(use="small passenger")
    known: dict[str, Any] = {"ac_v": 240, "power_va": 10000, "rating_a": 41.67, "self_limiting": False}
    b.add("generator", "G2", **known)
    b.add("circuit_breaker", "Q2", rating_a=amps, poles=("L1", "N"))
    b.add("load", "E1", ac_v=240, power_w=3000)
    b.run("W1", "G2.out", "Q2.in", function="ac", size="4 AWG", insulation_c=75.0, length_m=0.5)
    b.run("W2", "Q2.out", "E1.in", function="ac", size="4 AWG", insulation_c=75.0, length_m=2.0)
    found_here = [name for names in found(b, "source-device-too-large", "us-46cfr") for name in names]
    assert ("Q2" in found_here) is not passes


@pytest.mark.parametrize(
    ("volts", "amps", "kind", "passes"),
    [
        (24, 100, "accommodation", False),  # 2.4 kW: large
        (24, 100, "battery", True),
        (12, 100, "accommodation", True),  # 1.2 kW: small
    ],
)
def test_a_battery_charged_with_more_than_2_kw_has_a_space_of_its_own(
    volts: float, amps: float, kind: Any, passes: bool
) -> None:
    """183.352, 183.354: highest charging current times rated volts."""
    b = locker(100, amps, volts, kind)
    assert found(b, "too-little-ventilation", "us-46cfr") == ([] if passes else [("G1",)])


def test_air_for_a_battery_that_gasses() -> None:
    """111.15-10(c): 40 A on six cells, 233.4 ft3/h."""
    assert found(locker(233.4 * 0.3048**3, 40), "too-little-ventilation", "us-46cfr") == []
    assert found(locker(232 * 0.3048**3, 40), "too-little-ventilation", "us-46cfr") == [("G1",)]


@pytest.mark.parametrize(
    ("supply", "ground", "passes"),
    [
        ("2/0 AWG", "2/0 AWG", True),
        ("2/0 AWG", "1/0 AWG", False),
        ("10 AWG", "8 AWG", True),
        ("10 AWG", "10 AWG", False),
    ],
)
def test_the_ground_of_a_dc_system(supply: str, ground: str, passes: bool) -> None:
    """111.05-31(a): as large as the largest conductor of the supply, no smaller than 8 AWG."""
    b = Builder(use="small passenger")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=20)
    b.add("earth_point", "X9", form="ground plate")
    b.run("W1", "G1.pos", "F1.in", function="dc positive", size=supply, length_m=0.2)
    b.run("W2", "G1.neg", "X9.at", function="dc negative", size=ground, length_m=1.0)
    assert found(b, "earth-conductor-too-small", "us-46cfr") == ([] if passes else [("W2",)])
