"""What is taken, asked one box at a time, against the plain comparison of all."""

from __future__ import annotations

import hypothesis.strategies as st
from hypothesis import given

from app.drawing.room import Room
from engine.geometry import overlaps
from engine.picture import Box

SIZES = st.sampled_from((0.0, 0.5e-6, 1e-6, 3e-6, 0.5, 4.0, 12.0, 12.0 + 1e-6, 37.0))
PLACES = st.one_of(st.integers(-40, 80).map(float), st.floats(-40, 80, width=32))
BOXES = st.lists(st.builds(lambda x, y, w, h: Box(x, y, x + w, y + h), PLACES, PLACES, SIZES, SIZES), max_size=14)


@given(BOXES, BOXES, BOXES)
def test_a_box_is_free_where_it_overlaps_nothing(taken: list[Box], more: list[Box], asked: list[Box]) -> None:
    room = Room(taken)
    room.take(more)
    blocked = {n for n, _m in overlaps(asked, [*taken, *more])}
    assert [room.is_free(box) for box in asked] == [n not in blocked for n in range(len(asked))]


def test_touching_is_no_overlap() -> None:
    room = Room([Box(0, 0, 10, 10)])
    assert room.is_free(Box(10, 0, 20, 10))
    assert not room.is_free(Box(9.99, 0, 20, 10))
    assert room.is_free(Box(0, -5, 10, 0))
    assert Room().is_free(Box(0, 0, 1, 1))
