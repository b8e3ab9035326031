"""Arcs against true circles, and the box of a path against points along it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.picture import Path, arc, circle, line, path_box, polygon

degrees = st.floats(-720, 720)
near = st.floats(-100, 100)


def along(path: Path) -> list[tuple[float, float]]:
    """Points of a path of moves and cubic curves."""
    here = (0.0, 0.0)
    found = []
    for letter, *v in path.segments:
        if letter == "Z":
            continue
        ends = list(zip(v[0::2], v[1::2], strict=True))
        for n in range(33 if letter == "C" else 1):
            t, u = n / 32, 1 - n / 32
            p = [here, *ends] if letter == "C" else [ends[-1]] * 4
            weights = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
            found.append(tuple(sum(w * q[i] for w, q in zip(weights, p, strict=True)) for i in (0, 1)))
        here = ends[-1]
    return found  # type: ignore[return-value]


@given(near, near, st.floats(0.1, 100), degrees, st.floats(-360, 360).filter(lambda a: abs(a) > 1))
def test_an_arc_lies_on_its_circle(x: float, y: float, radius: float, start: float, sweep: float) -> None:
    path = arc(x, y, radius, start, start + sweep)
    points = along(path)
    for p in points:
        assert math.dist(p, (x, y)) == pytest.approx(radius, rel=3e-4)
    for angle, p in ((start, points[0]), (start + sweep, points[-1])):
        a = math.radians(angle)
        assert math.dist(p, (x + radius * math.cos(a), y + radius * math.sin(a))) < 1e-9 * (radius + 1)
    assert len(path.segments) == 1 + math.ceil(abs(sweep) / 90 - 1e-9)


def test_an_arc_runs_clockwise_from_the_right() -> None:
    box = path_box(arc(0, 0, 2, 0, 90, width=0))
    assert box == pytest.approx((0, 0, 2, 2))  # y down: the lower right quarter


@given(st.lists(st.tuples(near, near), min_size=4, max_size=4), st.floats(0, 3))
def test_a_box_holds_a_curve_closely(p: list[tuple[float, float]], width: float) -> None:
    path = Path((("M", *p[0]), ("C", *p[1], *p[2], *p[3])), width)
    box = path_box(path)
    points = along(path)
    for x, y in points:
        assert box.left + width / 2 - 1e-9 <= x <= box.right - width / 2 + 1e-9
        assert box.top + width / 2 - 1e-9 <= y <= box.bottom - width / 2 + 1e-9
    # and no looser than the sampling
    assert box.left + width / 2 >= min(x for x, _y in points) - 0.5
    assert box.bottom - width / 2 <= max(y for _x, y in points) + 0.5


def test_boxes_of_plain_paths() -> None:
    assert path_box(line(0, 0, 10, 0, width=0.7)) == pytest.approx((-0.35, -0.35, 10.35, 0.35))
    assert path_box(circle(1, 2, 3, width=0)) == pytest.approx((-2, -1, 4, 5))
    assert path_box(polygon([(0, 0), (4, 0), (4, 3)], width=0)) == pytest.approx((0, 0, 4, 3))
