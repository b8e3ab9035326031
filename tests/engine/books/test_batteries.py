"""What stands behind a battery's terminals: recorded figures first, then a stated method, then nothing."""

from __future__ import annotations

from typing import get_args

import pytest

from engine.books.batteries import cells, defaults, emf_v, resistance_ohm, short_circuit_a
from engine.equipment.behaviour import Store
from engine.equipment.storage.battery_bank import BatteryBank, Chemistry

FIGURES = ("cell_full_v", "cell_nominal_v", "cell_lowest_v", "volts", "milliohm_ah", "usable", "peukert", "rate")


@pytest.mark.parametrize("chemistry", [c for c in get_args(Chemistry) if c])
def test_every_chemistry_has_figures_that_hang_together_each_with_its_source(chemistry: str) -> None:
    kind = defaults(chemistry)
    assert kind is not None
    assert kind.cell_lowest_v < kind.cell_nominal_v < kind.cell_full_v
    assert kind.cell_lowest_v <= kind.volts <= kind.cell_full_v
    assert 0 < kind.usable < 1 <= kind.peukert < 1.5
    assert 0 < kind.efficiency < 1
    assert 0 < kind.floor < kind.rate < kind.slope
    for figure in FIGURES:
        assert kind.origin[figure].source
        assert not kind.origin[figure].confirmed  # none of them was read in its own text


def test_cells_follow_from_the_nominal_volts() -> None:
    for chemistry, volts, count in (
        ("flooded", 12.0, 6),
        ("AGM", 24.0, 12),
        ("gel", 6.0, 3),
        ("LFP", 12.8, 4),
        ("LFP", 25.6, 8),
        ("LFP", 51.2, 16),
        ("NMC", 14.6, 4),
        ("nickel", 12.0, 10),
    ):
        assert cells(Store(chemistry=chemistry, nominal_v=volts)) == count
    assert cells(Store(chemistry="LFP", nominal_v=12.8, cells=5)) == 5
    assert cells(Store(chemistry="", nominal_v=12.0)) is None
    assert cells(Store(chemistry="LFP")) is None


def test_open_circuit_volts_of_a_12_volt_flooded_battery() -> None:
    """Six cells: 12.72 V rested and full, 12 V at its nominal, 11.58 V empty."""
    store = Store(chemistry="flooded", nominal_v=12.0)
    assert emf_v(store, "full").value == pytest.approx(12.72)
    assert emf_v(store, "nominal").value == 12.0
    assert emf_v(store, "lowest").value == pytest.approx(11.58)
    assert emf_v(store, "full").assumed
    assert not emf_v(store, "nominal").assumed


def test_the_cut_off_counts_where_it_is_the_higher() -> None:
    store = Store(chemistry="LFP", nominal_v=25.6, cut_off_v=24.0)
    assert emf_v(store, "lowest") == (24.0, "cut-off", False, ())
    assert emf_v(store._replace(cut_off_v=20.0), "lowest").value == pytest.approx(8 * 2.8)


def test_an_unknown_chemistry_gives_nominal_volts_and_says_so() -> None:
    told = emf_v(Store(nominal_v=12.0), "full")
    assert (told.value, told.assumed, told.missing) == (12.0, True, ("chemistry",))
    assert emf_v(Store(nominal_v=12.0, cut_off_v=10.5), "lowest").value == 10.5
    assert emf_v(Store(), "full").value is None
    assert emf_v(Store(), "full").missing == ("unit_v",)
    assert emf_v(Store(nominal_v=0.0, chemistry="AGM"), "full").missing == ("unit_v",)


def test_resistance_recorded_then_by_fault_current_then_by_chemistry() -> None:
    known = Store(chemistry="flooded", nominal_v=12.0, capacity_ah=100.0, short_circuit_a=2544.0, resistance_ohm=0.004)
    assert resistance_ohm(known).value == 0.004
    by_fault = resistance_ohm(known._replace(resistance_ohm=None))
    assert by_fault.value == pytest.approx(12.72 / 2544)
    by_method = resistance_ohm(known._replace(resistance_ohm=None, short_circuit_a=None))
    assert by_method.value == pytest.approx(6 * 0.083 / 100)
    assert by_method.assumed
    assert "83 mΩ·Ah" in by_method.how


def test_resistance_by_method_lies_in_the_usual_range() -> None:
    """12 V 100 Ah flooded 5 to 8 mOhm, AGM 3 to 5 (from memory, not confirmed); LFP cells 0.5 to 1 mOhm each."""
    for chemistry, volts, low, high in (("flooded", 12.0, 4.9e-3, 8e-3), ("AGM", 12.0, 3e-3, 5e-3)):
        ohm = resistance_ohm(Store(chemistry=chemistry, nominal_v=volts, capacity_ah=100.0)).value
        assert ohm is not None
        assert low <= ohm <= high
    ohm = resistance_ohm(Store(chemistry="LFP", nominal_v=12.8, capacity_ah=100.0)).value
    assert ohm == pytest.approx(4 * 0.5e-3)


def test_what_is_lacking_is_named() -> None:
    told = resistance_ohm(Store(chemistry="AGM", nominal_v=12.0))
    assert told.value is None
    assert told.missing == ("short_circuit_a", "unit_ah")
    assert short_circuit_a(Store()).missing == ("short_circuit_a", "chemistry", "unit_ah", "unit_v")


def test_six_units_of_6_volts_make_7200_amperes() -> None:
    """Six 6 V units of 2400 A, two in series, three strings: 7200 A (trade table, secondary copy)."""
    bank = BatteryBank(chemistry="flooded", unit_v=6.0, series=2, parallel=3, short_circuit_a=2400.0)
    assert short_circuit_a(bank.store()).value == 7200
    assert not short_circuit_a(bank.store()).assumed


def test_fault_current_from_resistance() -> None:
    """110 cells of 0.5 mOhm, 240 V: 4.364 kA, four side by side 17.45 kA (printed 4.37 and 17.5; secondary copy)."""
    store = Store(nominal_v=240.0, resistance_ohm=0.055)
    assert short_circuit_a(store).value == pytest.approx(4363.6, abs=0.1)
    assert short_circuit_a(store._replace(resistance_ohm=0.055 / 4)).value == pytest.approx(17454.5, abs=0.1)


def test_by_chemistry_it_is_flagged() -> None:
    told = short_circuit_a(Store(chemistry="AGM", nominal_v=12.0, capacity_ah=100.0))
    assert told.value == pytest.approx(6 * 2.14 / (6 * 0.060 / 100))
    assert told.assumed


def test_no_resistance_at_all_is_a_contradiction_that_is_named() -> None:
    told = short_circuit_a(Store(chemistry="AGM", nominal_v=12.0, capacity_ah=100.0, resistance_ohm=0.0))
    assert told.value is None
    assert told.missing == ("internal_resistance_ohm",)
