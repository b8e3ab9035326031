"""A day's state of charge by step, added up by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.circuit.energy.charging import Taper
from engine.circuit.energy.day import STEP_H, a_day, sun_shares
from engine.circuit.energy.refill import Refill

NOTHING = Refill(
    charging=(),
    amps=None,
    limited_by="",
    hours=None,
    curve=(),
    start=0.5,
    end=1.0,
    sun_wh=0.0,
    steady_wh=0.0,
    steady_a=0.0,
    is_kept=False,
    taper=None,
    efficiency=1.0,
    bank_limit_a=None,
    assumed=(),
    missing=(),
    missing_weather=(),
    arithmetic=(),
)


def test_the_suns_day_is_a_half_sine_about_noon() -> None:
    shares = sun_shares()
    assert len(shares) == 48
    assert sum(shares) == pytest.approx(1)
    assert shares[:12] == (0.0,) * 12  # dark until six
    assert shares[::-1] == pytest.approx(shares)
    # the half hour before noon: a quarter of pi times its sine, 1/24 of the twelve hours
    assert shares[23] == pytest.approx((math.cos(math.pi * 11 / 24) - math.cos(math.pi / 2)) / 2)


def test_without_sun_it_falls_evenly() -> None:
    """240 Wh a day from 12 V, 200 Ah: 20 Ah, 10 %."""
    day = a_day(NOTHING, 200, 12, 240)
    assert [step.hour for step in day] == [STEP_H * n for n in range(1, 49)]
    assert day[23].soc == pytest.approx(0.95)
    assert day[-1].soc == pytest.approx(0.90)
    assert {step.load_w for step in day} == {10.0}
    assert {step.charge_w for step in day} == {0.0}


def test_with_the_suns_day_it_ends_at_the_balance() -> None:
    """600 Wh taken, 360 Wh brought: 20 Ah short of 400; lowest before the morning's sun overtakes the load."""
    day = a_day(NOTHING._replace(sun_wh=360.0), 400, 12, 600)
    assert day[-1].soc == pytest.approx(1 - 20 / 400)
    assert sum(step.charge_w * STEP_H for step in day) == pytest.approx(360)


def test_a_full_bank_takes_no_more_than_the_load() -> None:
    day = a_day(NOTHING._replace(steady_a=50.0), 400, 12, 240)
    assert {step.soc for step in day} == {1.0}
    assert {step.charge_w for step in day} == {10.0}


def test_an_empty_bank_stays_empty() -> None:
    assert a_day(NOTHING, 10, 12, 2400)[-1].soc == 0.0


def test_the_banks_limit_holds_in_every_step() -> None:
    known = NOTHING._replace(sun_wh=6000.0, taper=Taper(100, 0, 1.1, 0.01, 0.9), efficiency=0.9, bank_limit_a=10.0)
    assert all(step.charge_w <= 10 * 12 + 1200 / 24 + 1e-9 for step in a_day(known, 100, 12, 1200))


@pytest.mark.parametrize(("capacity", "volts"), [(None, 12), (0, 12), (100, None), (100, 0)])
def test_no_bank_no_curve(capacity: float | None, volts: float | None) -> None:
    assert a_day(NOTHING, capacity, volts, 100) == ()


@given(st.floats(1, 2000), st.floats(0, 1e5), st.floats(0, 1e5), st.floats(0, 1000), st.none() | st.floats(0, 500))
def test_it_stays_between_empty_and_full(
    capacity: float, load_wh: float, sun_wh: float, steady_a: float, limit: float | None
) -> None:
    known = NOTHING._replace(
        sun_wh=sun_wh, steady_a=steady_a, bank_limit_a=limit, taper=Taper(capacity, 0, 1.1, 0.01, 0.93), efficiency=0.93
    )
    day = a_day(known, capacity, 12, load_wh)
    assert len(day) == 48
    assert all(0 <= step.soc <= 1 and step.charge_w >= 0 for step in day)
