"""Recharge in closed form against numeric integration, and five recharges worked out by hand.

The figures of the worked recharges are computed here (the same formula, integrated); no publication prints them.
"""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.circuit.energy.charging import Taper, curve, hours_between, state_after

AGM = Taper(400, 72, 1.1, 0.01, 0.93)
FLOODED = Taper(220, 44, 0.9, 0.01, 0.87)
LFP = Taper(560, 185, 8, 0.02, 0.99)


def integrated(taper: Taper, start: float, end: float, step_h: float = 2e-4) -> float:
    """Hours by integrating dS/dt = efficiency x I(S) / C (fourth order, Runge and Kutta) until S reaches `end`."""

    def rate(soc: float) -> float:
        return taper.efficiency * taper.taken_a(soc) / taper.capacity_ah

    soc, hours = start, 0.0
    while True:
        one = rate(soc)
        two = rate(soc + step_h / 2 * one)
        three = rate(soc + step_h / 2 * two)
        four = rate(soc + step_h * three)
        gained = step_h / 6 * (one + 2 * two + 2 * three + four)
        if soc + gained >= end:
            return hours + step_h * (end - soc) / gained
        soc, hours = soc + gained, hours + step_h


@pytest.mark.parametrize(
    ("taper", "start", "end", "hours"),
    [
        # alternator 120 A x 0.70 hot - 12 A load into 400 Ah AGM
        (AGM, 0.5, 0.8, 1.7921),
        (AGM, 0.5, 0.9, 2.4600),
        (AGM, 0.5, 0.95, 3.0593),
        (AGM, 0.5, 1.0, 4.8890),
        # shore, charger limited by 0.20 C of a flooded bank of 220 Ah
        (FLOODED, 0.4, 0.9, 3.1202),
        # a pedestal of 6 A: (1380 - 1000) VA x 0.95 x 0.88 / 14.2 V - 8 A
        (FLOODED._replace(amps=380 * 0.95 * 0.88 / 14.2 - 8), 0.4, 0.9, 8.7975),
        # bus fuse 250 A x 0.8 - 15 A into 560 Ah LFP; then limited by the bank, 280 A
        (LFP, 0.2, 0.95, 2.2932),
        (LFP, 0.2, 0.9, 2.1403),
        (LFP, 0.2, 1.0, 2.6816),
        (LFP._replace(amps=280), 0.2, 0.95, 1.5170),
    ],
)
def test_closed_form_is_the_integral(taper: Taper, start: float, end: float, hours: float) -> None:
    assert hours_between(taper, start, end) == pytest.approx(hours, abs=5e-5)
    assert integrated(taper, start, end) == pytest.approx(hours, abs=5e-5)


def test_without_the_taper_it_would_look_far_too_short() -> None:
    linear = 0.5 * AGM.capacity_ah / (AGM.efficiency * AGM.amps)
    assert linear == pytest.approx(2.9869, abs=5e-5)
    assert hours_between(AGM, 0.5, 1.0) > 1.6 * linear
    assert AGM.begins() == pytest.approx(0.8455, abs=5e-5)


def test_nothing_that_reaches_the_bank_never_fills_it() -> None:
    assert hours_between(AGM._replace(amps=0.0), 0.5, 1.0) == math.inf
    assert hours_between(AGM._replace(floor=0.0), 0.5, 1.0) == math.inf
    assert hours_between(AGM, 0.9, 0.9) == 0.0
    assert curve(AGM._replace(amps=0.0), 0.5, 1.0) == ()


@given(
    st.floats(10, 1000),
    st.floats(1, 500),
    st.floats(0.1, 10),
    st.floats(0.005, 0.1),
    st.floats(0.5, 1),
    st.floats(0, 1),
)
def test_a_curve_rises_and_ends_where_the_time_says(
    capacity: float, amps: float, slope: float, floor: float, efficiency: float, start: float
) -> None:
    taper = Taper(capacity, amps, slope, floor, efficiency)
    points = curve(taper, start, 1.0)
    assert all(a[0] <= b[0] + 1e-9 and a[1] <= b[1] for a, b in itertools.pairwise(points))
    if points:
        assert points[-1][0] == pytest.approx(hours_between(taper, start, 1.0))
        half = points[-1][0] / 2
        assert hours_between(taper, start, state_after(taper, start, half)) == pytest.approx(half, abs=1e-6)
