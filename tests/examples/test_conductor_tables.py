"""Conductor sizes by voltage drop against published tables, misprints left where they are.

46 CFR 183.340(p): one-way lengths. The trade's 12 V chart: lengths there and back. AC 43.13-1B tables 11-7 to 11-9. The
W numbers count worked examples, each with its source beside it.
"""

from __future__ import annotations

import math

import pytest

from engine.books import load
from engine.books.resistances import ohm_per_m
from engine.builder import Builder
from engine.circuit.solve.network import CURRENT, Network
from engine.circuit.solve.solver import solve
from engine.sizing import size
from engine.study import Study
from engine.units import area_mm2

FT = 0.3048
CMIL_MM2 = math.pi / 4 * 0.0254**2  # a circular mil
K_FT = 10.75  # ohm-cmil/ft of 46 CFR 183.340(p)
# 46 CFR table 183.340(p): 12 V two-wire, 10 %; one way, feet
FEET = (10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60)
CFR = {
    5: (14, 14, 14, 14, 14, 14, 14, 14, 12, 12, 12),
    10: (14, 14, 14, 12, 12, 12, 10, 10, 10, 10, 8),
    15: (14, 14, 12, 10, 10, 10, 8, 8, 8, 8, 8),
    20: (12, 12, 10, 10, 8, 8, 8, 8, 6, 6, 6),
    25: (10, 10, 10, 8, 8, 8, 6, 6, 6, 6, 4),
}
FLOORS = {(20, 10): "14 AWG", (25, 10): "12 AWG"}  # what the formula alone gives there; the table prints 12 and 10


def _k(temperature_c: float) -> float:
    """Our copper in ohm-cmil/ft."""
    return ohm_per_m("10 AWG", "", temperature_c) * area_mm2("10 AWG") / CMIL_MM2 * FT


def test_k_of_the_formula_is_copper_at_29_degrees() -> None:
    assert _k(20) == pytest.approx(10.371, rel=1e-4)
    assert _k(29.3) == pytest.approx(K_FT, rel=1e-3)


def test_k_for_metres_is_not_the_misprinted_one() -> None:
    """46 CFR 183.340(p) prints 3.28 for metres; that is 10.75 x 0.3048, and 10.75 / 0.3048 = 35.27 is right."""
    k_m = ohm_per_m("10 AWG", "", 29.3) * area_mm2("10 AWG") / CMIL_MM2
    assert k_m == pytest.approx(35.27, rel=1e-3)
    assert k_m > 10 * 3.28
    # 10 A, 35 ft one way, 1.2 V: 6271 cmil; with 3.28 it would be 583 cmil, 22 AWG for a 12 AWG circuit
    metres = 35 * FT
    assert 35.27 * 10 * 2 * metres / 1.2 == pytest.approx(6271, rel=1e-3)
    assert 3.28 * 10 * 2 * metres / 1.2 == pytest.approx(583, rel=1e-2)


def _study(
    amps: float, feet: float, volts: float = 12.0, drop_class: str = "other", **run: object
) -> tuple[Study, str]:
    """A bank, one pair, one load of constant current; the conductor at 29.3 degC, nothing else on the way."""
    b = Builder(book="trade-na")
    b.place("hold", "other", 29.3)
    b.add("battery_bank", "G1", unit_v=volts, unit_ah=400.0, chemistry="AGM", internal_resistance_ohm=1e-6)
    b.add("load", "E1", dc_v=volts, current_a=amps, drop_class=drop_class)
    facts: dict[str, object] = {"size": "2 AWG", "insulation_c": 105.0, "bundle": 2, "sheath": "sheathed"}
    item = b.run("W1", "G1.pos", "E1.in", length_m=feet * FT, places=("hold",), **(facts | run))
    return Study(b.installation.snapshot(), load("trade-na")), item


def _by_drop(study: Study, item: str) -> str:
    (answer,) = size(study, item)
    return next(reason.needs for reason in answer.reasons if reason.name == "voltage drop")


def _smallest(amps: float, loop_ft: float, drop_v: float, areas: dict[int, float] | None = None) -> int:
    """The smallest even gauge (1/0 is 0, 4/0 is -3) that loses no more."""
    for gauge in (18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3):
        name = f"{gauge} AWG" if gauge > 0 else f"{1 - gauge}/0 AWG"
        ohm = ohm_per_m(name, "", 29.3)
        if areas is not None:
            ohm *= area_mm2(name) / (areas[gauge] * CMIL_MM2)
        if amps * ohm * loop_ft * FT <= drop_v * (1 + 1e-3):
            return gauge
    return -99


@pytest.mark.parametrize("amps", CFR)
def test_table_of_46_cfr_183_340(amps: int) -> None:
    """53 cells follow the formula; the two others are floors by ampacity and taken as such."""
    for feet, printed in zip(FEET, CFR[amps], strict=True):
        study, item = _study(amps, feet)
        area = max(area_mm2(_by_drop(study, item)), area_mm2("14 AWG"))
        wanted = FLOORS.get((amps, feet), f"{printed} AWG")
        assert area == pytest.approx(area_mm2(wanted)), (amps, feet)


# W18 to W20, W22 and W24 of the worked examples
@pytest.mark.parametrize(
    ("amps", "feet", "kind", "wanted"),
    [
        (10, 35, "other", "12 AWG"),  # 46 CFR 183.340(p): 6271 cmil
        (25, 60, "other", "4 AWG"),  # 46 CFR 183.340(p): 26875 cmil, more than 6 AWG
        (5, 45, "other", "14 AWG"),  # 46 CFR 183.340(p): 4031 cmil
        (5, 50, "other", "12 AWG"),  # 4479 cmil
        (20, 25, "essential", "4 AWG"),  # 12 V 3 % chart, 50 ft there and back: 29861 cmil
    ],
)
def test_worked_examples_by_drop(amps: float, feet: float, kind: str, wanted: str) -> None:
    study, item = _study(amps, feet, drop_class=kind)
    assert _by_drop(study, item) == wanted


# the trade's 12 V 3 % chart (secondary copy), rows feet there and back, columns amperes
AMPS = (5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100)
TRADE = {
    10: "18 14 12 12 10 10 8 8 6 6 6 4 4",
    15: "16 12 10 10 8 8 6 6 4 4 4 2 2",
    20: "14 12 10 8 8 6 6 4 4 4 2 2 2",
    25: "14 10 8 8 6 6 4 4 2 2 2 1 1",
    30: "12 10 8 6 6 4 4 2 2 2 1 0 0",
    40: "12 8 6 6 4 4 2 2 1 0 0 -1 -1",
    50: "10 8 6 4 4 2 2 1 0 0 -1 -2 -2",
    60: "10 6 6 4 2 2 1 0 -1 -1 -2 -2 -3",
    70: "10 6 4 2 2 2 0 -1 -1 -2 -2 -3 -3",
    80: "8 6 4 2 2 1 0 -1 -2 -2 -3",
}
CHART_CMIL = {
    18: 1600, 16: 2600, 14: 4100, 12: 6500, 10: 10500, 8: 16800, 6: 26600, 4: 42000, 2: 66500, 1: 83690,
    0: 105600, -1: 133100, -2: 167800, -3: 211600,
}  # fmt: skip
SAE_CMIL = {
    18: 1537, 16: 2336, 14: 3702, 12: 5833, 10: 9343, 8: 14810, 6: 24538, 4: 37360, 2: 62450, 1: 77790,
    0: 98980, -1: 125100, -2: 158600, -3: 205500,
}  # fmt: skip
# (feet, amperes): formula; the chart differs there, safer but for 60 ft / 15 A
DIFFER = {(15, 90): 4, (30, 90): 1, (40, 70): 1, (70, 40): 1, (70, 50): 0, (60, 15): 4, (70, 20): 4}


def test_the_trades_chart_agrees_in_121_of_128_cells() -> None:
    seen: dict[tuple[int, int], int] = {}
    cells = 0
    for feet, row in TRADE.items():
        for amps, printed in zip(AMPS, map(int, row.split()), strict=False):
            cells += 1
            found = _smallest(amps, feet, 0.36, CHART_CMIL)
            if found != printed:
                seen[feet, amps] = found
    assert cells == 128
    assert seen == DIFFER


def test_area_by_awg_or_by_sae_changes_the_size() -> None:
    """W23: 5 A, 40 ft there and back, 12 V 3 %: 5972 cmil. 12 AWG by AWG areas; the SAE wire called 12 has 5833."""
    assert _smallest(5, 40, 0.36) == 12
    assert _smallest(5, 40, 0.36, SAE_CMIL) == 10
    study, item = _study(5, 20, drop_class="essential")
    assert _by_drop(study, item) == "12 AWG"


def test_length_is_one_way() -> None:
    """20 A over 50 ft there and back is a run of 25 ft (4 AWG); a run of 50 ft is the chart's 100 ft: 2 AWG."""
    study, item = _study(20, 50, drop_class="essential")
    assert _by_drop(study, item) == "2 AWG"


# -- AC 43.13-1B -----------------------------------------------------------------------------------------------------
def _lost(ohm: float, amps: float) -> float:
    """The solver's drop over a resistance."""
    net = Network(3)
    net.source(1, 0, 28.0, 1e-9)
    net.branch(1, 2, ohm)
    net.load(2, 0, CURRENT, amps, 0.0)
    done = solve(net)
    return float(abs(done.volts[1] - done.volts[2]))


# table 11-7: allowed V, run ft, A, ohm/ft, printed V, recomputed V
TABLE_11_7 = [
    (1.0, 107, 20, 0.00044, 0.942, 0.942),
    (0.5, 90, 20, 0.00028, 0.504, 0.504),
    (4.0, 88, 20, 0.00202, 3.60, 3.555),
    (7.0, 100, 20, 0.00306, 6.12, 6.12),
]
# table 11-8: 10 AWG, 20 A: allowed V, most ft, printed V, recomputed V
TABLE_11_8 = [(1.0, 39, 0.98, 0.983), (0.5, 19.5, 0.366, 0.491), (4.0, 156, 3.93, 3.931), (7.0, 273, 6.88, 6.880)]


def test_table_11_7() -> None:
    for allowed, feet, amps, ohm, _printed, recomputed in TABLE_11_7:
        lost = _lost(ohm * feet, amps)
        assert lost == pytest.approx(recomputed, abs=6e-4)
        # 4 AWG over 90 ft loses more than its own row allows: 0.504 V of 0.5 V
        assert (lost > allowed) == (feet == 90)


def test_table_11_8_without_its_misprint() -> None:
    for _allowed, feet, printed, recomputed in TABLE_11_8:
        lost = _lost(0.00126 * feet, 20)
        assert lost == pytest.approx(recomputed, abs=6e-4)
        assert (abs(lost - printed) > 0.1) == (printed == 0.366)


def test_first_example_of_ac_43_13() -> None:
    """W24: 28 V, 20 A, 50 ft in all, 1 V: 8 AWG loses 0.70 V, 10 AWG 1.26 V (aircraft wire, table 11-9)."""
    assert _lost(0.00070 * 50, 20) == pytest.approx(0.70)  # of 1 V
    assert _lost(0.00126 * 50, 20) == pytest.approx(1.26)  # too much


def test_lengths_at_temperature() -> None:
    """W26: 254.5 x 39 / 294.5 = 33.7 ft. W27: 50 + 150 x sqrt(20 / 26) = 182 degC, so 15.5 ft become 9.5 ft."""

    def length(feet: float, degrees: float) -> float:
        return feet * ohm_per_m("10 AWG", "", 20) / ohm_per_m("10 AWG", "", degrees)

    assert length(39, 60) == pytest.approx(33.7, abs=0.05)
    hot = 50 + 150 * math.sqrt(20 / 26)
    assert hot == pytest.approx(182, abs=0.5)
    assert length(15.5, hot) == pytest.approx(9.5, abs=0.05)
