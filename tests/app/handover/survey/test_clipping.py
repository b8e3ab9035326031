"""Strokes cut at an edge: shapely, which knows nothing of ours, says what of a line or an area lies inside a box."""

from __future__ import annotations

import itertools

import shapely
from hypothesis import given
from hypothesis import strategies as st

from app.handover.survey.clipping import clipped, reach
from engine.picture import Box, Path, Text, circle, polygon, polyline

WINDOW = Box(10.0, 10.0, 60.0, 40.0)
INSIDE = shapely.box(*WINDOW)
PLACE = st.tuples(st.integers(-20, 90), st.integers(-20, 70))


def _cut(primitive: Path | Text) -> list[Path | Text]:
    return list(clipped([(primitive, reach(primitive))], WINDOW))


def _strokes(paths: list[Path]) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    made, at = [], (0.0, 0.0)
    for path in paths:
        for segment in path.segments:
            to = (segment[1], segment[2])
            if segment[0] == "L":
                made.append((at, to))
            at = to
    return made


@given(st.lists(PLACE, min_size=2, max_size=8))
def test_of_a_line_there_is_what_lies_inside(points: list[tuple[int, int]]) -> None:
    made = _cut(polyline(points, width=0.01))
    length = sum(shapely.LineString(pair).length for pair in _strokes(made))
    wanted = sum(
        shapely.LineString(pair).intersection(INSIDE).length
        for pair in itertools.pairwise(points)
        if pair[0] != pair[1]
    )
    assert abs(length - wanted) < 1e-6
    for a, b in _strokes(made):
        assert INSIDE.buffer(0.02).covers(shapely.LineString([a, b]))


@given(st.tuples(PLACE, PLACE, PLACE))
def test_of_an_area_there_is_what_lies_inside(corners: tuple[tuple[int, int], ...]) -> None:
    made = _cut(polygon(corners, width=0.0, fill="black"))
    area = 0.0
    for path in made:
        ring = [(s[1], s[2]) for s in path.segments if s[0] != "Z"]
        area += shapely.Polygon(ring).area
    assert abs(area - shapely.Polygon(corners).intersection(INSIDE).area) < 1e-6


@given(PLACE, st.integers(2, 30))
def test_a_circle_keeps_to_the_window(centre: tuple[int, int], radius: int) -> None:
    made = _cut(circle(*centre, radius, width=0.01))
    for path in made:
        for segment in path.segments:
            if segment[0] in "ML":
                assert INSIDE.buffer(0.02).covers(shapely.Point(segment[1], segment[2]))
    if not made:
        assert not INSIDE.buffer(-0.2).intersects(shapely.Point(centre).buffer(radius, 64).exterior)


def test_words_are_whole_or_not_there() -> None:
    whole, half = Text(20, 20, "F3 200 A"), Text(55, 20, "F4 100 A class T")
    assert _cut(whole) == [whole]
    assert _cut(half) == []
    assert _cut(Text(200, 20, "far")) == []
