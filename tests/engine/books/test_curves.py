"""Time-current bands: by class, by the maker's points, and what is not known."""

from __future__ import annotations

import itertools
import math
import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.books import FOLDER
from engine.books.curves import band_of, classes
from engine.circuit.faults.curves import band, clearing
from engine.equipment import kinds
from engine.equipment._facts import TimePoint
from engine.equipment.base import Equipment
from engine.equipment.behaviour import Trip

CURVES = ("B", "C", "D", "K", "Z", "thermal", "hydraulic-magnetic")


def fuse(rating: float | None, form: str = "blade ISO 8820-3", **facts: Any) -> Equipment:
    return kinds()["fuse"](rating_a=rating, fuse_class=form, **facts)


def breaker(rating: float | None, curve: str = "C", **facts: Any) -> Equipment:
    return kinds()["circuit_breaker"](rating_a=rating, curve=curve, **facts)


def test_every_class_tells_where_it_is_from() -> None:
    with (FOLDER / "tables" / "time-current.toml").open("rb") as file:
        data = tomllib.load(file)
    for name, entry in data.items():
        for made in (entry, *entry.get("larger", ())):
            assert made["source"], name
            assert isinstance(made["confirmed"], bool), name
            assert made["beyond"] in ("energy", "time"), name


def test_every_class_a_device_can_be_recorded_as_has_a_band_or_asks_for_points() -> None:
    forms = {"class T", "class J", "NH", "blade ISO 8820-3", "bolt-in ISO 8820-5", "terminal-stud", "strip"}
    assert forms | {"glass cartridge"} | set(CURVES) == set(classes())
    for form in ("other", "magnetic", "electronic"):
        assert band_of(Trip(10.0, form)) is None


@pytest.mark.parametrize(
    ("multiple", "fastest_s", "slowest_s"),
    [(1.35, 0.75, 600), (1.6, 0.25, 50), (2.0, 0.15, 5), (3.5, 0.08, 0.5)],
)
def test_blade_fuses_open_within_iso_8820_3(multiple: float, fastest_s: float, slowest_s: float) -> None:
    # ISO 8820-3 table of operating times, from memory, not confirmed
    found = clearing(fuse(10), 10 * multiple)
    assert found.fastest_s == pytest.approx(fastest_s)
    assert found.slowest_s == pytest.approx(slowest_s)
    assert not found.confirmed
    assert "ISO 8820-3" in found.source


def test_a_blade_fuse_carries_110_percent_for_100_hours() -> None:
    found = clearing(fuse(10), 11)
    assert found.fastest_s == 360_000
    assert found.slowest_s == math.inf


@pytest.mark.parametrize(("curve", "low", "high"), [("B", 3, 5), ("C", 5, 10), ("D", 10, 20)])
def test_breakers_open_at_once_where_iec_60898_1_has_them(curve: str, low: float, high: float) -> None:
    # IEC 60898-1 table 7: no trip at once below the first multiple, a trip within 0.1 s from the second
    device = breaker(16, curve)
    assert (clearing(device, 16 * low * 0.99).fastest_s or 0) >= 0.1
    assert clearing(device, 16 * low).fastest_s == 0
    assert (clearing(device, 16 * high * 0.99).slowest_s or 0) > 0.1
    assert clearing(device, 16 * high).slowest_s == pytest.approx(0.1)
    assert clearing(device, 16 * 1.13).slowest_s == math.inf
    assert clearing(device, 16 * 1.45).slowest_s == pytest.approx(3600)
    assert clearing(breaker(40, curve), 40 * 1.45).slowest_s == pytest.approx(3600 if curve == "" else 7200)


def test_between_two_points_the_edge_is_straight_in_log_log() -> None:
    # 135 % 600 s, 160 % 50 s: at the geometric mean of the currents the geometric mean of the times
    middle = math.sqrt(1.35 * 1.6)
    assert clearing(fuse(10), 10 * middle).slowest_s == pytest.approx(math.sqrt(600 * 50))


def test_past_the_last_point_a_fuse_melts_with_the_same_energy_and_a_mechanism_takes_its_time() -> None:
    assert clearing(fuse(10), 350).slowest_s == pytest.approx(0.5 * (3.5 / 35) ** 2)
    assert clearing(breaker(10, "thermal"), 1000).slowest_s == pytest.approx(2.0)


@given(
    form=st.sampled_from(classes()),
    rating=st.floats(0.5, 2000),
    one=st.floats(0, 1e6),
    other=st.floats(0, 1e6),
)
def test_more_current_never_opens_a_device_later(form: str, rating: float, one: float, other: float) -> None:
    made = band_of(Trip(rating, form))
    assert made is not None
    low, high = sorted((one, other))
    for edge in (made.fastest_s, made.slowest_s):
        early, late = edge(low), edge(high)
        assert early is not None
        assert late is not None
        assert late <= early * (1 + 1e-9)
    assert (made.fastest_s(low) or 0) <= (made.slowest_s(low) or 0) * (1 + 1e-9)


def test_the_points_of_the_makers_sheet_come_first() -> None:
    points = (TimePoint(multiple=2, fastest_s=1, slowest_s=3), TimePoint(multiple=4, fastest_s=0.1, slowest_s=0.4))
    found = clearing(fuse(10, time_points=points), 20)
    assert (found.fastest_s, found.slowest_s) == (1, 3)
    assert found.confirmed
    only_latest = fuse(10, "", time_points=(TimePoint(multiple=2, slowest_s=3),))
    found = clearing(only_latest, 20)
    assert found.slowest_s == 3
    assert found.fastest_s is None
    assert found.missing == ("time_points",)


def test_recorded_instantaneous_multiples_come_before_those_of_the_curve() -> None:
    device = breaker(16, "C", instant_low_multiple=7, instant_high_multiple=8)
    assert (clearing(device, 16 * 6.9).fastest_s or 0) > 0
    assert clearing(device, 16 * 8).slowest_s == pytest.approx(0.1)
    assert band(breaker(16, "magnetic", instant_high_multiple=8)) is not None


def test_what_is_not_known_is_named() -> None:
    assert clearing(fuse(None), 50).missing == ("rating_a",)
    assert clearing(fuse(10, ""), 50).missing == ("fuse_class",)
    assert clearing(fuse(10, "other"), 50).missing == ("time_points",)
    assert clearing(breaker(10, ""), 50).missing == ("curve",)
    holder = kinds()["fuse_holder"]()
    assert clearing(holder, 50).missing == ("link_a", "link_class")
    residual = kinds()["residual_current_device"](rating_a=30)
    assert clearing(residual, 50).missing == ("overcurrent", "curve")
    assert kinds()["residual_current_device"](rating_a=30, overcurrent=False).trip() is None
    for found in (clearing(fuse(10, "other"), 50), clearing(fuse(None), 50)):
        assert found.fastest_s is None
        assert found.slowest_s is None


def test_gg_links_stand_within_their_gates() -> None:
    # IEC 60269-1 table 3 for 100 A: 290 A not within 10 s, 580 A within 5 s; from memory, not confirmed
    link = fuse(100, "NH")
    assert (clearing(link, 290).fastest_s or 0) == pytest.approx(10)
    assert (clearing(link, 580).slowest_s or 0) == pytest.approx(5)
    assert clearing(link, 130).slowest_s == math.inf
    assert (clearing(link, 160).slowest_s or 0) < math.inf


def test_bands_of_equal_class_grow_with_the_rating() -> None:
    for small, large in itertools.pairwise((16, 25, 40, 63, 100, 160, 250, 400)):
        assert (clearing(fuse(small, "NH"), 600).slowest_s or 0) <= (clearing(fuse(large, "NH"), 600).slowest_s or 0)


def test_a_breaker_far_above_its_trip_opens_almost_at_once() -> None:
    """Half a cycle for a miniature breaker, little more for a hydraulic-magnetic one: a thin tap withstands that."""
    miniature = band_of(Trip(16, "C"))
    assert miniature is not None
    assert miniature.slowest_s(16 * 10) == pytest.approx(0.1)  # at its trip the standard promises no more
    assert miniature.slowest_s(16 * 20) == pytest.approx(0.01)
    slow = band_of(Trip(30, "hydraulic-magnetic"))
    assert slow is not None
    assert slow.slowest_s(1384) == pytest.approx(0.02)
