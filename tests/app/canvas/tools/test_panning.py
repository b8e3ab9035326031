"""Moving the sheet about, and the reckoning on the grid that tools share."""

from __future__ import annotations

import pytest

pytest.importorskip("PySide6")

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt

from app.canvas.tools import tools
from app.canvas.tools.grid import elbow, shifted_stretch, straightened, stretch_at

pytestmark = pytest.mark.qt


def test_a_drag_pulls_the_sheet_along(hand) -> None:
    hand.take("pan")
    at = hand.pixel("F1")
    hand.drag("F1", (23, 22), (26, 24))
    assert (hand.pixel("F1") - at).manhattanLength() > 30
    hand.nothing_done()
    assert hand.chosen() == set()


def test_the_point_held_stays_under_the_pointer(hand) -> None:
    hand.take("pan")
    hand.press((34, 24))
    at = hand.pixel((34, 24))
    for place in ((36, 25), (42, 30), (24, 40)):
        there = hand.pixel(place)
        hand.move(place)
        assert (hand.pixel((34, 24)) - there).manhattanLength() <= 2
    assert there != at
    hand.release((34, 24))
    hand.move((30, 20))
    assert (hand.pixel((34, 24)) - there).manhattanLength() <= 2
    hand.nothing_done()


def test_arrow_keys_look_farther_that_way(hand) -> None:
    hand.take("pan")
    hand.board.zoom_by(3.0)
    for key, other in (
        (Qt.Key.Key_Right, Qt.Key.Key_Left),
        (Qt.Key.Key_Down, Qt.Key.Key_Up),
        (Qt.Key.Key_PageDown, Qt.Key.Key_PageUp),
    ):
        start = hand.pixel("F1")
        hand.key(key)
        by = hand.pixel("F1") - start
        assert min(by.x(), by.y()) < -20, "the sheet goes the other way"
        assert max(by.x(), by.y()) == 0
        hand.key(other)
        assert (hand.pixel("F1") - start).manhattanLength() <= 2
    hand.nothing_done()


def test_escape_goes_back_to_choosing(hand) -> None:
    hand.take("pan")
    hand.key(Qt.Key.Key_Escape)
    assert hand.board.tool.NAME == "choose"


def test_every_tool_has_words_and_its_own_name() -> None:
    every = tools()
    assert set(every) == {"choose", "place", "run", "operate", "pan", "set", "remark", "underlay"}
    for name, cls in every.items():
        assert name == cls.NAME
        assert cls.TITLE
        assert cls.HINT.endswith(".")
        assert len(cls.HINT) < 240


# -- on the grid --------------------------------------------------------------------------------------------------
points = st.tuples(st.integers(0, 40), st.integers(0, 40))


@st.composite
def lines(draw):
    """A line of level and upright stretches."""
    made = [draw(points)]
    upright = draw(st.booleans())
    for step in draw(st.lists(st.integers(-12, 12).filter(bool), min_size=1, max_size=6)):
        x, y = made[-1]
        made.append((x, y + step) if upright else (x + step, y))
        upright = not upright
    return made


@given(lines(), st.data())
def test_a_shifted_stretch_keeps_the_ends_and_stays_level_and_upright(line, data) -> None:
    stretch = data.draw(st.integers(0, len(line) - 2))
    by = data.draw(st.tuples(st.integers(-9, 9), st.integers(-9, 9)))
    slides = data.draw(st.tuples(st.booleans(), st.booleans()))
    made = shifted_stretch(line, stretch, by, slides)
    assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(made))
    if not slides[0]:
        assert made[0] == line[0]
    if not slides[1]:
        assert made[-1] == line[-1]


@given(lines())
def test_a_straightened_line_goes_the_same_way(line) -> None:
    made = straightened(line)
    assert made[0] == line[0]
    assert made[-1] == line[-1] or len(made) == 1
    for a, b, c in zip(made, made[1:], made[2:], strict=False):
        assert not a[0] == b[0] == c[0]
        assert not a[1] == b[1] == c[1]


@given(points, points, st.sampled_from(["", "top", "left"]), st.sampled_from(["", "top", "left"]))
def test_an_elbow_joins_two_points_squarely(a, b, leaves, arrives) -> None:
    corner = elbow(a, b, leaves, arrives)
    if corner is None:
        assert a[0] == b[0] or a[1] == b[1]
        return
    assert corner in ((a[0], b[1]), (b[0], a[1]))
    if leaves == "top":
        assert corner[0] == a[0]
    if leaves == "left":
        assert corner[1] == a[1]


@given(lines(), points)
def test_the_nearest_stretch_is_the_nearest(line, at) -> None:
    far, n = stretch_at(line, *at)
    assert 0 <= n < len(line) - 1
    assert far >= 0
    assert far <= min(abs(at[0] - x) + abs(at[1] - y) for x, y in line)
