"""What faults tell: sides of a device, states of switches, what is not known, what is weakest."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from engine.books import load
from engine.circuit.faults.faults import faults
from engine.files import drawing
from engine.installation import Installation
from engine.study import Study

SAMPLES = Path(__file__).parents[4] / "samples"


def two_banks(yard: Any) -> None:
    """Two banks, 12 V nominal without chemistry: 12 V behind 4 and 6 milliohm, a fuse each, one bus."""
    for name, short in (("1", 3000), ("2", 2000)):
        yard.add("battery_bank", f"G{name}", unit_v=12, short_circuit_a=short)
        yard.add("fuse", f"F{name}", rating_a=200)
    yard.add("bus_bar", "X1")
    for name in ("1", "2"):
        yard.join(f"G{name}.pos", f"F{name}.in", "dc pair")
        yard.join(f"F{name}.out", "X1.bar", "dc pair")


def test_a_fuse_between_two_banks_breaks_what_either_side_gives(yard: Any) -> None:
    two_banks(yard)
    told = yard.told()
    assert told.bus("X1").max_a > 4000  # less than 5000: the fuses are in the way
    for name, mine, others in (("F1", 3000, 2000), ("F2", 2000, 3000)):
        fault = told.device(name)
        # the one of both sides that gives more: without its own resistance, the other bank's through the other's fuse
        assert fault.max_a == pytest.approx(max(mine, others * 0.9), rel=0.11)
        assert fault.other_a < fault.max_a
        assert len(fault.parts) == 1
        assert fault.here_a > 4000


def test_a_device_is_judged_by_the_prospective_current_without_its_own_resistance(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12, short_circuit_a=3000)
    yard.add("fuse", "F1", rating_a=5)  # 20 milliohm, by its drop at rated current
    yard.add("load", "E1", dc_v=12, current_a=1)
    yard.join("G1.pos", "F1.in", "dc pair")
    yard.join("F1.out", "E1.in", "dc pair")
    fault = yard.told().device("F1")
    assert fault.max_a == pytest.approx(3000, rel=1e-3)
    assert fault.here_a < 600
    assert fault.other_a == 0


def test_two_ways_side_by_side_count_as_one_open(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12, short_circuit_a=3000)
    yard.add("bus_bar", "X1")
    yard.add("bus_bar", "X2")
    yard.join("G1.pos", "X1.bar", "dc pair")
    for name in ("F1", "F2"):
        yard.add("fuse", name, rating_a=100)
        yard.join("X1.bar", f"{name}.in", "dc pair")
        yard.join(f"{name}.out", "X2.bar", "dc pair")
    assert yard.told().device("F1").max_a == pytest.approx(3000, rel=0.01)


def test_a_charger_gives_its_limit_and_no_more(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12, short_circuit_a=3000)
    yard.add("charger", "T1", dc_v=12, charge_v=14.4, charge_a=50, self_limiting=True)
    yard.add("bus_bar", "X1")
    yard.add("fuse", "F1", rating_a=60)
    yard.join("G1.pos", "X1.bar", "dc pair")
    yard.join("X1.bar", "F1.in", "dc pair")
    yard.join("F1.out", "T1.dc", "dc pair")
    told = yard.told()
    assert told.bus("X1").max_a == pytest.approx(3050, rel=1e-3)
    assert told.device("F1").max_a == pytest.approx(3000, rel=2e-3)  # a fault in the charger, fed by the bank
    assert told.device("F1").other_a == pytest.approx(50, rel=1e-3)
    assert "limits itself to 50 A" in {part.designation: part.how for part in told.bus("X1").parts}["T1"]


def alternatives(yard: Any) -> None:
    """Shore of 1000 A, a generator of 347 A, a breaker each onto one bus."""
    yard.add("shore_supply", "G1", ac_v=240, breaker_a=50, fault_a=1000)
    yard.add("generator", "G2", power_va=10_000, ac_v=240, subtransient_pu=0.12, self_limiting=False)
    yard.add("bus_bar", "X1")
    for name in ("1", "2"):
        yard.add("circuit_breaker", f"Q{name}", rating_a=50, poles=("L1", "N"))
        yard.join(f"G{name}.out", f"Q{name}.in", "ac")
        yard.join(f"Q{name}.out", "X1.bar", "ac")


def test_sources_that_an_interlock_keeps_apart_do_not_add_up(yard: Any) -> None:
    alternatives(yard)
    yard.interlock("Q1", "Q2")
    told = yard.told()
    bus = told.bus("X1")
    assert bus.max_a == pytest.approx(1000, rel=0.02)
    assert [part.designation for part in bus.parts] == ["G1"]
    assert told.positions(bus) == {"Q1": "closed", "Q2": "open"}
    assert told.device("Q2").max_a == pytest.approx(347.2, rel=0.01)
    assert told.positions(told.device("Q2")) == {"Q1": "open", "Q2": "closed"}
    assert not bus.undecided


def test_without_an_interlock_they_add_up_as_phasors(yard: Any) -> None:
    alternatives(yard)
    bus = yard.told().bus("X1")
    assert bus.max_a == pytest.approx((1000**2 + 347.2**2) ** 0.5, rel=0.02)  # a quarter of a period apart
    assert sum(part.amps for part in bus.parts) == pytest.approx(bus.max_a, rel=1e-6)


def test_a_selector_feeds_from_one_bank_at_a_time(yard: Any) -> None:
    yard.add("selector", "S1")
    positions = yard.installation.equipment[yard._ids["S1"]].positions()
    assert len(positions) > 2
    for number, short in ((1, 3000), (2, 2000)):
        yard.add("battery_bank", f"G{number}", unit_v=12, short_circuit_a=short)
    yard.add("fuse", "F1", rating_a=100)
    yard.add("bus_bar", "X1")
    terminals = [terminal.name for terminal in yard.installation.equipment[yard._ids["S1"]].terminals()]
    ins = [name for name in terminals if name not in ("com", "common", "out")][:2]
    out = next(name for name in terminals if name in ("com", "common", "out"))
    yard.join("G1.pos", f"S1.{ins[0]}")
    yard.join("G2.pos", f"S1.{ins[1]}")
    yard.join(f"S1.{out}", "F1.in")
    yard.join("F1.out", "X1.bar")
    fault = yard.told().device("F1")
    both = any("both" in position for position in positions)
    assert fault.max_a == pytest.approx(5000 if both else 3000, rel=0.05)


def test_more_states_than_can_be_looked_at_give_an_upper_bound_that_says_so(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=240, breaker_a=50, fault_a=1000)
    yard.add("bus_bar", "X1")
    yard.add("circuit_breaker", "Q0", rating_a=50, poles=("L1", "N"))
    yard.join("G1.out", "Q0.in", "ac")
    yard.join("Q0.out", "X1.bar", "ac")
    for number in range(1, 15):
        yard.add("circuit_breaker", f"Q{number}", rating_a=20, poles=("L1", "N"))
        yard.add("load", f"E{number}", ac_v=240, power_w=100, power_factor=1.0)
        yard.join("X1.bar", f"Q{number}.in", "ac")
        yard.join(f"Q{number}.out", f"E{number}.in", "ac")
    for number in range(1, 15, 2):
        yard.interlock(f"Q{number}", f"Q{number + 1}")
    fault = yard.told().device("Q0")
    assert fault.undecided
    assert fault.max_a == pytest.approx(1000, rel=0.01)


# -- what is not known ----------------------------------------------------------------------------------------------
def test_a_supply_of_unknown_fault_current_leaves_the_fault_unknown(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=240, breaker_a=50)
    yard.add("circuit_breaker", "Q1", rating_a=20, poles=("L1", "N"))
    yard.add("load", "E1", ac_v=240, power_w=100, power_factor=1.0)
    yard.join("G1.out", "Q1.in", "ac")
    yard.join("Q1.out", "E1.in", "ac")
    fault = yard.told().device("Q1")
    assert fault.max_a is None
    assert fault.min_a is None
    assert fault.missing == ("G1.fault_a",)


def test_an_unknown_source_stops_only_what_it_feeds(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12)
    yard.add("battery_bank", "G2", unit_v=12, short_circuit_a=2000)
    for name in ("1", "2"):
        yard.add("fuse", f"F{name}", rating_a=100)
        yard.add("load", f"E{name}", dc_v=12, current_a=1)
        yard.join(f"G{name}.pos", f"F{name}.in", "dc pair")
        yard.join(f"F{name}.out", f"E{name}.in", "dc pair")
    told = yard.told()
    assert told.device("F1").max_a is None
    assert "G1.short_circuit_a" in told.device("F1").missing
    assert told.device("F2").max_a == pytest.approx(2000, rel=1e-3)


def test_a_bank_without_a_figure_is_taken_by_its_chemistry_and_said_so(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12, unit_ah=100, chemistry="AGM")
    yard.add("fuse", "F1", rating_a=100)
    yard.add("load", "E1", dc_v=12, current_a=1)
    yard.join("G1.pos", "F1.in", "dc pair")
    yard.join("F1.out", "E1.in", "dc pair")
    (part,) = yard.told().device("F1").parts
    assert part.assumed
    assert "AGM" in part.how


def test_a_length_that_is_not_recorded_leaves_an_upper_bound_and_no_lower(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12, short_circuit_a=3000)
    yard.add("fuse", "F1", rating_a=20)
    yard.add("load", "E1", dc_v=12, current_a=1)
    yard.lay("W1", "G1.pos", "F1.in", "10 AWG", None, function="dc pair")
    yard.lay("W2", "F1.out", "E1.in", "14 AWG", 3.0, function="dc pair")
    told = yard.told()
    fault = told.device("F1")
    assert fault.max_a == pytest.approx(3000, rel=1e-3)
    assert fault.bounded == ("W1.length_m",)
    assert fault.min_a is None
    assert told.far("F1", "W2").missing == ("W1.length_m",)


def test_a_transformer_is_limited_by_its_winding_and_by_what_feeds_it(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=240, breaker_a=50, fault_a=1000)
    yard.add("isolation_transformer", "T1", primary_v=240, secondary_v=120, power_va=3600, impedance_percent=4)
    yard.add("circuit_breaker", "Q1", rating_a=30, poles=("L1",))
    yard.add("load", "E1", ac_v=120, power_w=100, power_factor=1.0)
    yard.join("G1.out", "T1.primary", "ac")
    yard.join("T1.secondary", "Q1.in", "ac")
    yard.join("Q1.out", "E1.in", "ac")
    # 240 V / 1000 A is 240 milliohm, a quarter of it behind 2:1; 4 % of 120 V / 30 A is 160 milliohm
    assert yard.told().device("Q1").max_a == pytest.approx(120 / (0.060 + 0.160), rel=1e-3)


def test_a_transformer_of_unknown_impedance_leaves_an_upper_bound(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=240, breaker_a=50, fault_a=1000)
    yard.add("isolation_transformer", "T1", primary_v=240, secondary_v=120, power_va=3600)
    yard.add("circuit_breaker", "Q1", rating_a=30, poles=("L1",))
    yard.add("load", "E1", ac_v=120, power_w=100, power_factor=1.0)
    yard.join("G1.out", "T1.primary", "ac")
    yard.join("T1.secondary", "Q1.in", "ac")
    yard.join("Q1.out", "E1.in", "ac")
    fault = yard.told().device("Q1")
    assert fault.max_a == pytest.approx(2000, rel=1e-3)
    assert fault.bounded == ("T1.impedance_percent",)
    assert fault.min_a is None
    assert fault.min_missing == ("T1.impedance_percent",)


# -- the smallest ---------------------------------------------------------------------------------------------------
def test_the_smallest_is_the_weakest_source_at_the_far_end(yard: Any) -> None:
    two_banks(yard)
    yard.add("fuse", "F3", rating_a=20)
    yard.add("load", "E1", dc_v=12, current_a=1)
    yard.join("X1.bar", "F3.in", "dc pair")
    yard.lay("W1", "F3.out", "E1.in", "10 mm2", 10, function="dc pair", insulation_c=70.0)
    end = yard.told().far("F3", "W1")
    # the bank of 2000 A behind its fuse, F3, and 20 m of 1.91 mohm/m at 70 degC; contacts by their drop at rating
    loop = 12 / 2000 + 0.1 / 200 + 0.1 / 20 + 20 * 1.91e-3 * (1 + 0.00393 * 50)
    assert end.min_a == pytest.approx(12 / loop, rel=0.02)
    assert end.lasts is True


def test_a_source_whose_way_another_device_opens_is_not_the_weakest(yard: Any) -> None:
    """A house bank reaches the bow bank's circuit through its own small fuse: that fuse opens, the bow bank stays."""
    for name, short in (("1", 3000), ("2", 2000)):
        yard.add("battery_bank", f"G{name}", unit_v=12, short_circuit_a=short)
    yard.add("bus_bar", "X1")
    yard.add("fuse", "F1", rating_a=60, fuse_class="blade ISO 8820-3")
    yard.add("fuse", "F2", rating_a=150, fuse_class="class T")
    yard.add("load", "E1", dc_v=12, current_a=1)
    yard.join("G1.pos", "F1.in", "dc pair")
    yard.lay("W1", "F1.out", "X1.bar", "16 mm2", 15, function="dc pair")
    yard.join("G2.pos", "X1.bar", "dc pair")
    yard.join("X1.bar", "F2.in", "dc pair")
    yard.lay("W2", "F2.out", "E1.in", "50 mm2", 2, function="dc pair")
    told = yard.told()
    alone = 12 / (12 / 3000 + 30 * 1.21e-3)  # the house bank through W1, at the most
    assert told.far("F2", "W2").min_a > 2 * alone
    assert told.far("F2", "W2").lasts is True


def test_a_source_that_limits_itself_does_not_last_above_what_a_run_carries(yard: Any) -> None:
    yard.add("solar_array", "G1", module_short_a=6, module_open_v=40, module_power_v=32, module_power_a=5.6)
    yard.add("fuse", "F1", rating_a=15)
    yard.add("solar_controller", "T1", dc_v=12)
    yard.join("G1.pos", "F1.in", "dc pair")
    yard.lay("W1", "F1.out", "T1.pv", "10 AWG", 5, function="dc pair")
    end = yard.told().far("F1", "W1")
    assert end.min_a == pytest.approx(6)
    assert end.lasts is False


def test_a_generator_of_unknown_sustained_current_leaves_the_smallest_unknown(yard: Any) -> None:
    alternatives(yard)
    yard.add("load", "E1", ac_v=240, power_w=100, power_factor=1.0)
    yard.lay("W1", "X1.bar", "E1.in", "10 AWG", 5, function="ac")
    end = yard.told().far("Q2", "W1")
    assert end.min_a is None
    assert end.missing == ("G2.short_circuit_a",)
    assert end.lasts is None


@pytest.mark.parametrize("name", ["launch", "ketch", "workboat"])
def test_in_the_samples_the_smallest_is_never_above_the_largest(name: str) -> None:
    snapshot = drawing.load(SAMPLES / name / f"{name}.linewright").installation.snapshot()
    told = Study(snapshot, load(snapshot.settings.book)).faults
    assert told.devices
    assert told.buses
    largest = {}
    for fault in (*told.devices, *told.buses):
        if fault.max_a is not None and fault.min_a is not None:
            assert fault.min_a <= fault.max_a * (1 + 1e-6), fault.designation
        if fault.max_a is not None and fault.parts:
            assert sum(part.amps for part in fault.parts) == pytest.approx(fault.max_a, rel=2e-3), fault.designation
        largest[fault.equipment] = fault
    for fault in told.devices:
        # as if the device were no resistance: what stands before it, and no more
        if fault.other_a == 0 and fault.max_a and fault.there_a:
            assert fault.max_a == pytest.approx(max(fault.here_a or 0.0, fault.there_a), rel=1e-3), fault.designation
    for end in told.far_ends:
        most = largest[end.device].max_a
        if end.min_a is not None and most is not None:
            assert end.min_a <= most * (1 + 1e-6)


def test_the_faults_of_one_condition_are_those_of_its_positions(yard: Any) -> None:
    alternatives(yard)
    told = yard.told()
    study, ids = told.study, yard._ids
    held = {ids["Q1"]: "open", ids["Q2"]: "closed"}
    found = faults(study.snapshot, study.circuit, study.book, held)
    (bus,) = found.buses
    assert bus.max_a == pytest.approx(347.2, rel=0.01)
    assert bus.min_missing == ("G2.short_circuit_a",)
    assert [fault.designation for fault in found.devices] == ["Q2"]


def test_nothing_drawn_and_nothing_fed_give_nothing(yard: Any) -> None:
    assert Study(Installation().snapshot(), load("trade-na")).faults.devices == ()
    yard.add("fuse", "F1", rating_a=10)
    yard.add("load", "E1", dc_v=12, current_a=1)
    yard.join("F1.out", "E1.in", "dc pair")
    assert yard.told().faults.devices == ()


@pytest.mark.parametrize("facts", [{"short_circuit_a": 0.0}, {"short_circuit_a": 1e9}, {"unit_v": 0.0}])
def test_senseless_figures_raise_nothing(yard: Any, facts: dict[str, float]) -> None:
    yard.add("battery_bank", "G1", **({"unit_v": 12.0} | facts))
    yard.add("fuse", "F1", rating_a=10)
    yard.add("bus_bar", "X1")
    yard.join("G1.pos", "F1.in", "dc pair")
    yard.join("F1.out", "X1.bar", "dc pair")
    yard.join("X1.bar", "X1.bar", "dc pair")
    told = yard.told()
    for fault in told.faults.devices:
        assert fault.max_a is None or fault.max_a >= 0
