"""Fault currents against published examples; each names its source."""

from __future__ import annotations

import math
from typing import Any

import pytest

from engine.books.resistances import withstand_k
from engine.circuit.faults.sources import assumed_fault_a


def bank(yard: Any, **facts: Any) -> None:
    """A bank behind a fuse and a bus."""
    yard.add("battery_bank", "G1", **facts)
    yard.add("fuse", "F1", rating_a=100)
    yard.add("bus_bar", "X1")
    yard.join("G1.pos", "F1.in", "dc pair")


def test_units_in_series_and_parallel_give_the_sum_of_their_strings(yard: Any) -> None:
    # E-11, newer wording, secondary copy: six 6 V units of 2400 A in series-parallel to 12 V give 7200 A
    bank(yard, unit_v=6, series=2, parallel=3, short_circuit_a=2400)
    yard.join("F1.out", "X1.bar", "dc pair")
    assert yard.told().device("F1").max_a == pytest.approx(7200, rel=5e-3)  # links of no length are 1 microhm


@pytest.mark.parametrize(("parallel", "amps"), [(1, 4364), (4, 17_455)])
def test_volts_over_resistance(yard: Any, parallel: int, amps: float) -> None:
    # simple battery method, secondary copy: 240 V behind 55 mohm, printed 4.36 kA; four in parallel 17.5 kA
    bank(yard, unit_v=240, internal_resistance_ohm=0.055, parallel=parallel)
    yard.join("F1.out", "X1.bar", "dc pair")
    assert yard.told().device("F1").max_a == pytest.approx(amps, rel=1e-3)


def test_sixty_cells_lie_between_the_quasi_steady_current_and_the_peak_of_iec_61660_1(yard: Any) -> None:
    # IEC 61660-1 worked example, secondary copy: 60 cells, 120 V, 18.6 mohm, links 1.498 and cable 5 mohm: peak 5422 A
    # of 1.05 x 120 V behind 0.9 RB; quasi-steady 0.95 x 126 V / (25.098 mohm) = 4769 A, computed. Ours is the rested
    # volts of 60 full cells, 127.2 V, over all of the resistance.
    yard.add(
        "battery_bank",
        "G1",
        unit_v=2,
        series=60,
        cells_per_unit=1,
        chemistry="flooded",
        internal_resistance_ohm=0.0186 / 60,
    )
    yard.add("fuse", "F1", rating_a=1000)
    yard.add("bus_bar", "X1")
    # 25 mm2 of IEC 60228 class 5: 0.780 ohm/km, there and back
    yard.lay("W1", "G1.pos", "F1.in", "25 mm2", (1.498 + 5) / 0.780 / 2, function="dc pair")
    yard.join("F1.out", "X1.bar", "dc pair")
    amps = yard.told().device("F1").max_a
    assert 4769 < amps < 5422
    assert amps == pytest.approx(127.2 / 0.025098, rel=1e-3)


def test_a_generator_gives_its_rated_current_over_its_subtransient_reactance(yard: Any) -> None:
    # Isc = In / x''d, secondary copy: 10 kVA, 240 V, x''d 0.12: In 41.7 A, 347 A
    yard.add("generator", "G1", power_va=10_000, ac_v=240, subtransient_pu=0.12, self_limiting=False)
    yard.add("circuit_breaker", "Q1", rating_a=45, poles=("L1",))
    yard.add("bus_bar", "X1")
    yard.join("G1.out", "Q1.in", "ac")
    yard.join("Q1.out", "X1.bar", "ac")
    fault = yard.told().device("Q1")
    assert fault.max_a == pytest.approx(347.2, abs=0.1)
    assert "41.7 A / x''d 0.12" in fault.parts[0].how
    assert not fault.parts[0].assumed


def test_a_generator_without_reactance_and_a_motor_by_46_cfr_111_52_3(yard: Any) -> None:
    # 46 CFR 111.52-3, 2015 edition: 10 kVA 230 V and a motor of 10 A: 10 x 43.48 + 4 x 10 = 474.8 A
    yard.add("generator", "G1", power_va=10_000, ac_v=230, self_limiting=False, frequency_hz=50)
    yard.add("circuit_breaker", "Q1", rating_a=45, poles=("L1",))
    yard.add("bus_bar", "X1")
    yard.add("motor", "M1", ac_v=230, running_a=10, phases="L1")
    yard.join("G1.out", "Q1.in", "ac")
    yard.join("Q1.out", "X1.bar", "ac")
    yard.join("X1.bar", "M1.in", "ac")
    told = yard.told()
    assert told.bus("X1").max_a == pytest.approx(474.8, abs=0.05)
    assert {part.designation for part in told.bus("X1").parts} == {"G1", "M1"}
    assert all(part.assumed and "46 CFR 111.52-3" in part.how for part in told.bus("X1").parts)
    assert told.device("Q1").max_a == pytest.approx(434.8, abs=0.05)  # the motor stands behind the breaker
    assert told.device("Q1").other_a == pytest.approx(40, abs=0.05)


def test_the_average_of_46_cfr_111_52_3_and_its_dc_multiples() -> None:
    # 46 CFR 111.52-3, 2015 edition
    rated = 10_000 / 230
    assert assumed_fault_a("ac", rated, 10) == pytest.approx(474.8, abs=0.05)
    assert assumed_fault_a("ac", rated, 10, average=True) == pytest.approx(404.6, abs=0.05)
    assert assumed_fault_a("dc", 100, 20) == pytest.approx(10 * 100 + 6 * 20)


def test_what_a_conductor_withstands() -> None:
    # IEC 60364, secondary copy: 16 mm2 of copper in PVC at 5 kA, 0.135 s; 2500 A for 0.1 s, 6.87 mm2
    k = withstand_k("copper", "PVC")
    assert (k * 16) ** 2 == pytest.approx(3.3856e6)
    assert (k * 16) ** 2 / 5000**2 == pytest.approx(0.135, abs=5e-4)
    assert math.sqrt(2500**2 * 0.1) / k == pytest.approx(6.874, abs=1e-3)
