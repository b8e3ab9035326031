"""What published rules say of single cases. Each names its source."""

from __future__ import annotations

import pytest

from engine.builder import Builder
from engine.check import check


def found(b: Builder, rule: str, book: str) -> list[tuple[str, ...]]:
    return [f.designations for f in check(b.installation.snapshot(), book, [rule]).findings]


@pytest.mark.parametrize(("rated_v", "passes"), [(32, False), (47, False), (48, True), (58, True)])
def test_a_48_v_circuit_needs_a_fuse_of_48_v(rated_v: float, passes: bool) -> None:
    """33 CFR 183.455(d), 2015 edition: voltage rating not less than the nominal circuit voltage."""
    b = Builder(engine_fuel="petrol")
    b.add("battery_bank", "G1", unit_v=12, series=4)
    b.add("fuse", "F1", rating_a=100, rated_dc_v=rated_v)
    b.add("load", "E1", dc_v=48)
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="2 AWG", length_m=2)
    assert found(b, "rated-below-voltage", "us-33cfr183") == ([] if passes else [("F1", "G1")])


def test_an_ac_rating_does_not_count_for_dc_nor_the_reverse() -> None:
    """Good practice: a breaker of 250 V AC is not shown to break 48 V DC, so it is not judged; it is no pass either."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, series=4, charge_v=57.6)
    b.add("circuit_breaker", "F1", rating_a=10, rated_ac_v=250)
    b.add("load", "E1", dc_v=48)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=2)
    result = check(b.installation.snapshot(), "trade-na", ["rated-below-voltage"])
    assert result.findings == ()
    assert [g.missing for g in result.not_judged] == [("F1.rated_dc_v",)]
    assert result.fails("danger")


def test_a_bare_volt_is_not_judged() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, charge_v=14.4)
    b.add("fuse", "F1", rating_a=10, rated_bare_v=32)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=2)
    (gap,) = check(b.installation.snapshot(), "trade-na", ["rated-below-voltage"]).not_judged
    assert gap.why == "its plate says 32 V and not whether AC or DC"


def test_the_coldest_open_circuit_voltage_of_an_array_counts() -> None:
    """Common practice, no source: 2 x 24 V in series at -10 degC against a breaker of 63 V DC."""
    b = Builder()
    b.add("solar_array", "G2", module_power_v=20, module_short_a=9, series=2, open_cold_v=66)
    b.add("circuit_breaker", "Q1", rating_a=15, rated_dc_v=63)
    b.add("solar_controller", "T1", dc_v=12, charge_v=14.4)
    b.run("W1", "G2.pos", "Q1.in", size="10 AWG", length_m=2)
    b.run("W2", "Q1.out", "T1.pv", size="10 AWG", length_m=2)
    assert found(b, "rated-below-voltage", "trade-na") == [("Q1", "G2")]
    b.set("Q1", rated_dc_v=66)
    assert found(b, "rated-below-voltage", "trade-na") == []


def test_an_unknown_charging_voltage_is_not_judged_where_it_decides() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10, rated_dc_v=14)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=2)
    result = check(b.installation.snapshot(), "trade-na", ["rated-below-voltage"])
    (gap,) = result.not_judged
    assert gap.missing == ("G1.charge_v",)
    assert gap.designations == ("G1", "F1")
    b.set("F1", rated_dc_v=32)  # above anything a 12 V bank rises to: known without the figure
    assert check(b.installation.snapshot(), "trade-na", ["rated-below-voltage"]).not_judged == ()


def shore_and_generator() -> Builder:
    b = Builder(use="small passenger")
    b.add("shore_inlet", "X1", ac_v=120, frequency_hz=60)
    b.add("generator", "G1", ac_v=120, frequency_hz=60)
    b.add("bus_bar", "WC1")
    for name, source in (("Q1", "X1"), ("Q2", "G1")):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"), rated_ac_v=240)
        b.run(f"W{name}", f"{source}.out", f"{name}.in", function="ac", size="10 AWG", length_m=1)
        b.run(f"V{name}", f"{name}.out", "WC1.bar", function="ac", size="10 AWG", length_m=1)
    return b


def test_shore_power_and_generator_must_be_interlocked() -> None:
    """46 CFR 183.390(d), 2015 edition: both may not feed at once. The book cites E-11 11.5.5.6, secondary copy."""
    b = shore_and_generator()
    result = check(b.installation.snapshot(), "trade-na", ["sources-meet"])
    (finding,) = result.findings
    assert finding.word == "danger"
    assert finding.designations == ("X1", "G1")
    assert finding.condition == "Q1 closed, Q2 closed"
    assert finding.clause.startswith("E-11 11.5.5.6")
    b.interlock("Q1", "Q2")
    assert found(b, "sources-meet", "trade-na") == []


def test_generators_not_made_to_run_in_parallel_must_be_interlocked() -> None:
    """46 CFR 183.322, 2015 edition: breakers interlocked unless the generators are designed to run in parallel."""
    b = shore_and_generator()
    other = b.add("generator", "G2", ac_v=120)
    b.add("circuit_breaker", "Q3", rating_a=30, poles=("L1", "N"))
    b.run("WQ3", "G2.out", "Q3.in", function="ac", size="10 AWG", length_m=1)
    b.run("VQ3", "Q3.out", "WC1.bar", function="ac", size="10 AWG", length_m=1)
    b.interlock("Q1", "Q2")
    b.interlock("Q1", "Q3")
    assert found(b, "sources-meet", "trade-na") == [("G1", "G2")]
    (first,) = [item for _table, item in b.installation.find("G1")]
    b.set("G1", parallel_with=(other,))
    b.set("G2", parallel_with=(first,))
    assert found(b, "sources-meet", "trade-na") == []


def test_a_finding_names_the_conditions_it_holds_in() -> None:
    b = shore_and_generator()
    for name in ("Q1", "Q2"):
        b.set(name, used_as_switch=True)
    b.condition("Alongside", Q1="closed", Q2="open")
    b.condition("Changing over", Q1="closed", Q2="closed")
    (finding,) = check(b.installation.snapshot(), "trade-na", ["sources-meet"]).findings
    assert finding.condition == "Changing over: Q1 closed, Q2 closed"
    assert [position for _item, position in finding.positions] == ["closed", "closed"]


def test_equipment_without_volts_is_not_judged_and_says_which_field() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1")
    b.run("W1", "G1.pos", "E1.in", size="14 AWG", length_m=1)
    result = check(b.installation.snapshot(), "trade-na", ["voltage-mismatch"])
    assert [g.missing for g in result.not_judged] == [("E1.dc_v",)]
    b.set("E1", dc_v=12)
    b.set("G1", unit_v=None)
    result = check(b.installation.snapshot(), "trade-na", ["voltage-mismatch"])
    assert [g.missing for g in result.not_judged] == [("G1.unit_v",)]


def test_a_dc_consumer_on_an_ac_run_is_of_another_kind() -> None:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "X1.out", "E1.in", function="ac", size="14 AWG", length_m=1)
    (finding,) = check(b.installation.snapshot(), "trade-na", ["voltage-mismatch"]).findings
    assert finding.message == "E1 (load) is made for 12 V DC and stands on AC."


def test_a_240_v_heater_between_120_v_lines_is_right() -> None:
    """A split-phase supply is recorded line to neutral; between its lines stands twice that."""
    b = Builder()
    b.add("generator", "G1", ac_v=120, phases="L1 L2")
    b.add("load", "E1", ac_v=240, phases="L1 L2")
    b.run("W1", "G1.out", "E1.in", function="ac", phases="L1 L2", size="10 AWG", length_m=1)
    assert found(b, "voltage-mismatch", "trade-na") == []


def test_control_runs_are_no_loose_ends() -> None:
    b = Builder()
    b.add("contactor", "K1", poles=("+",))
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "K1.in", size="6 AWG", length_m=1)
    b.run("W2", "K1.out", "E1.in", size="6 AWG", length_m=1)
    b.run("W3", "G1.pos", "K1.coil", function="dc pair", size="16 AWG", length_m=1)
    assert found(b, "voltage-mismatch", "trade-na") == []
    assert found(b, "unconnected", "trade-na") == []
