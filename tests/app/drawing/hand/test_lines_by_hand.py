"""Corners that a person set stay; only the two end stretches follow."""

from __future__ import annotations

from itertools import pairwise

import hypothesis.strategies as st
from hypothesis import given, settings

from app.drawing.hand.lines import WAY, line_over

POINT = st.tuples(st.integers(0, 30), st.integers(0, 30))
SIDES = st.sampled_from([("top",), ("right",), ("bottom",), ("left",), (), ("top", "bottom"), ("left", "right")])


@st.composite
def corners(draw: st.DrawFn) -> list[tuple[int, int]]:
    """Corners as they are kept: from one to the next level or upright."""
    made = [draw(POINT)]
    for _n in range(draw(st.integers(0, 3))):
        x, y = made[-1]
        value = draw(st.integers(0, 30))
        made.append((value, y) if draw(st.booleans()) else (x, value))
    return made


def _way(a: tuple[int, int], b: tuple[int, int]) -> tuple[int, int]:
    return (b[0] > a[0]) - (b[0] < a[0]), (b[1] > a[1]) - (b[1] < a[1])


def _passes(line: tuple[tuple[int, int], ...], point: tuple[int, int]) -> bool:
    return any(
        min(a[0], b[0]) <= point[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= point[1] <= max(a[1], b[1])
        for a, b in pairwise(line)
    )


@settings(deadline=None, max_examples=60)
@given(POINT, SIDES, corners(), POINT, SIDES)
def test_the_line_goes_over_every_corner_and_ends_at_its_terminals(begin, leaves, bends, end, arrives) -> None:
    line = line_over(begin, leaves, bends, end, arrives)
    if len(line) < 2:
        assert begin == end
        return
    assert (line[0], line[-1]) == (begin, end)
    assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(line))
    assert all(_passes(line, bend) for bend in bends)


@settings(deadline=None, max_examples=60)
@given(POINT, SIDES, corners(), POINT, SIDES, POINT)
def test_an_end_that_moves_leaves_the_middle_as_it_was(begin, leaves, bends, end, arrives, elsewhere) -> None:
    before, after = (line_over(at, leaves, bends, end, arrives) for at in (begin, elsewhere))
    for a, b in pairwise(bends):
        for line in (before, after):
            assert all(_passes(line, p) for p in (a, b, ((a[0] + b[0]) // 2, (a[1] + b[1]) // 2)))


@settings(deadline=None, max_examples=60)
@given(POINT, st.sampled_from(["top", "right", "bottom", "left"]), POINT)
def test_it_never_goes_back_through_the_symbol_it_leaves(begin, side, bend) -> None:
    line = line_over(begin, (side,), [bend], (40, 40), ())
    if begin != bend:
        out = WAY[side]
        assert _way(line[0], line[1]) != (-out[0], -out[1])


def test_a_terminal_that_moved_aside_gets_one_corner_before_the_first_that_was_set() -> None:
    assert line_over((10, 10), ("bottom",), [(10, 20), (30, 20)], (30, 30), ("top",)) == (
        (10, 10), (10, 20), (30, 20), (30, 30),
    )  # fmt: skip
    assert line_over((4, 10), ("bottom",), [(10, 20), (30, 20)], (30, 30), ("top",)) == (
        (4, 10), (4, 20), (30, 20), (30, 30),
    )  # fmt: skip
