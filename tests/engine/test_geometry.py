"""Overlaps, places for labels, free room and routes over plain boxes."""

from __future__ import annotations

import random
from itertools import pairwise

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from engine.geometry import EAST, NORTH, SOUTH, WEST, Ground, Pin, Roads, choose_places, overlaps, struck, turns, within
from engine.picture import Box

BOXES = st.lists(
    st.builds(
        lambda x, y, w, h: Box(x, y, x + w, y + h),
        st.integers(0, 20),
        st.integers(0, 20),
        st.integers(1, 6),
        st.integers(1, 6),
    ),
    max_size=12,
)


@settings(deadline=None)
@given(BOXES)
def test_overlaps_are_those_a_plain_comparison_finds(boxes: list[Box]) -> None:
    expected = [(a, b) for a in range(len(boxes)) for b in range(a + 1, len(boxes)) if boxes[a].meets(boxes[b])]
    assert overlaps(boxes) == expected


@settings(deadline=None)
@given(BOXES, BOXES)
def test_overlaps_of_two_lists(boxes: list[Box], others: list[Box]) -> None:
    expected = [(a, b) for a, box in enumerate(boxes) for b, other in enumerate(others) if box.meets(other)]
    assert overlaps(boxes, others) == expected


def test_touching_boxes_do_not_overlap() -> None:
    assert overlaps([Box(0, 0, 1, 1), Box(1, 0, 2, 1), Box(0, 1, 1, 2)]) == []


def test_a_line_strikes_a_box_it_passes_through_and_not_one_it_touches() -> None:
    assert struck([Box(0, 0, 2, 2)], [[(1, -1), (1, 3)], [(2, -1), (2, 3)], [(5, 5), (6, 6), (1, 1)]]) == [
        (0, 0),
        (0, 2),
    ]


def test_a_box_of_no_width_is_within() -> None:
    assert within(Box(1, 1, 1, 2), Box(0, 0, 2, 2))
    assert not within(Box(1, 1, 3, 2), Box(0, 0, 2, 2))


# -- labels ---------------------------------------------------------------------------------------------------------
SHEET = Box(0, 0, 100, 100)


def test_the_first_free_place_is_chosen() -> None:
    wishes = [[Box(0, 0, 10, 5), Box(20, 0, 30, 5), Box(40, 0, 50, 5)]]
    assert choose_places(wishes, [Box(5, 0, 12, 5)], SHEET) == [1]


def test_a_place_off_the_sheet_is_none() -> None:
    assert choose_places([[Box(95, 0, 105, 5)]], [], SHEET) == [None]


def test_who_has_one_place_chooses_before_who_has_two() -> None:
    near, far = Box(0, 0, 10, 5), Box(20, 0, 30, 5)
    assert choose_places([[near, far], [near]], [], SHEET) == [1, 0]


def test_a_label_makes_room_for_one_that_finds_none() -> None:
    a, b, c = Box(0, 0, 10, 5), Box(20, 0, 30, 5), Box(40, 0, 50, 5)
    # both have two places; the first takes `a` and leaves it for `b` when the second has neither `a` nor `c`
    assert choose_places([[a, b], [a, c]], [c], SHEET) == [1, 0]


@settings(deadline=None)
@given(st.lists(BOXES, max_size=6), BOXES)
def test_chosen_places_never_overlap(wishes: list[list[Box]], taken: list[Box]) -> None:
    chosen = choose_places(wishes, taken, SHEET)
    boxes = [wishes[n][at] for n, at in enumerate(chosen) if at is not None]
    assert overlaps(boxes) == []
    assert overlaps(boxes, taken) == []


# -- room -----------------------------------------------------------------------------------------------------------
def test_room_is_found_as_high_and_as_far_left_as_it_is() -> None:
    ground = Ground(10, 10)
    assert ground.room(10, 10) == (0, 0)
    assert ground.room(11, 1) is None
    ground.take(Box(0, 0, 4, 3))
    assert ground.room(6, 3) == (4, 0)
    assert ground.room(7, 3) == (0, 3)
    ground.take(Box(-5, -5, 99, 99))
    assert ground.room(1, 1) is None


# -- routes ---------------------------------------------------------------------------------------------------------
def test_turns_leaves_out_what_changes_nothing() -> None:
    assert turns([(0, 0), (0, 2), (0, 2), (0, 5), (3, 5)]) == ((0, 0), (0, 5), (3, 5))


def test_a_route_goes_straight_where_it_can() -> None:
    found = Roads(20, 20).find([Pin(5, 2, SOUTH)], [Pin(5, 12, NORTH)])
    assert found is not None
    assert (found.points, found.bends, found.crossings, found.length) == (((5, 2), (5, 12)), 0, 0, 10)


def test_a_route_goes_round_a_box() -> None:
    roads = Roads(20, 20)
    box = Box(2, 5, 9, 8)
    roads.close(box)
    found = roads.find([Pin(5, 2, SOUTH)], [Pin(5, 12, NORTH)])
    assert found is not None
    assert found.bends == 4
    for a, b in pairwise(found.points):
        assert not box.grown(-0.1).meets(
            Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])).grown(0.05)
        )


def test_a_route_crosses_a_line_at_a_right_angle_and_never_runs_along_it() -> None:
    roads = Roads(20, 20)
    roads.run(((0, 6), (19, 6)))
    found = roads.find([Pin(5, 2, SOUTH)], [Pin(9, 12, NORTH)])
    assert found is not None
    assert found.crossings == 1
    for a, b in pairwise(found.points):
        assert not (a[1] == b[1] == 6)


def test_corners_of_a_line_are_not_crossed() -> None:
    roads = Roads(10, 10)
    roads.run(((0, 5), (5, 5), (5, 9)))
    assert roads.free(((5, 1), (5, 4)))
    assert not roads.free(((5, 1), (5, 8)))
    assert roads.free(((3, 1), (3, 8)))
    assert not roads.free(((3, 1), (3, 5), (8, 5)))


def test_no_way_is_no_route() -> None:
    roads = Roads(10, 10)
    roads.close(Box(-1, 4, 11, 6))
    assert roads.find([Pin(5, 2, SOUTH)], [Pin(5, 8, NORTH)]) is None
    assert roads.find([], [Pin(5, 8, NORTH)]) is None
    assert Roads(10, 10).find([Pin(5, 2, SOUTH)], [Pin(5, 9, NORTH)], most=5) is None


@pytest.mark.parametrize("out", [NORTH, EAST, SOUTH, WEST])
def test_a_route_leaves_the_way_its_terminal_points(out: int) -> None:
    found = Roads(40, 40).find([Pin(20, 20, out)], [Pin(30, 30, NORTH)])
    assert found is not None
    (ax, ay), (bx, by) = found.points[:2]
    assert ((bx > ax) - (bx < ax), (by > ay) - (by < ay)) == ((0, -1), (1, 0), (0, 1), (-1, 0))[out]


def _crowded(dice: random.Random) -> tuple[Roads, list[Pin], list[Pin]]:
    roads = Roads(dice.randint(4, 14), dice.randint(4, 14))
    for _ in range(dice.randint(0, 8)):
        x, y = dice.randint(0, 12), dice.randint(0, 12)
        roads.close(Box(x - 0.5, y - 0.5, x + dice.randint(0, 4) + 0.5, y + dice.randint(0, 3) + 0.5))
    for _ in range(dice.randint(0, 4)):
        x, y, other = dice.randint(0, roads.width - 2), dice.randint(0, roads.height - 1), roads.width - 1
        roads.run(((x, y), (other, y)) if dice.random() < 0.5 else ((x, 0), (x, roads.height - 1)))

    def pins() -> list[Pin]:
        return [
            Pin(dice.randint(0, roads.width - 1), dice.randint(0, roads.height - 1), dice.randint(0, 3))
            for _ in range(dice.randint(1, 3))
        ]

    return roads, pins(), pins()


@pytest.mark.parametrize("seed", range(4))
def test_looking_back_from_the_goals_never_loses_a_route(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    walled = Roads._walled_in
    dice = random.Random(seed)
    none = 0
    for _ in range(250):
        roads, starts, goals = _crowded(dice)
        monkeypatch.setattr(Roads, "_walled_in", lambda *_rest: False)
        searched = roads.find(starts, goals)
        monkeypatch.setattr(Roads, "_walled_in", walled)
        assert roads.find(starts, goals) == searched
        none += searched is None
    assert 20 < none < 230


def test_a_goal_that_is_walled_in_is_found_to_be_so_at_once() -> None:
    roads = Roads(400, 400)
    roads.close(Box(195.5, 195.5, 204.5, 196.5))
    roads.close(Box(195.5, 203.5, 204.5, 204.5))
    roads.close(Box(195.5, 195.5, 196.5, 204.5))
    roads.close(Box(203.5, 195.5, 204.5, 204.5))
    goal = (200, 200, SOUTH)
    assert roads._walled_in({goal}, {(5, 5, EAST)}, (0, 0, 400, 400))
    assert roads.find([Pin(5, 5, EAST)], [Pin(200, 200, NORTH)]) is None
    assert not roads._walled_in({(300, 300, SOUTH)}, {(5, 5, EAST)}, (0, 0, 400, 400))


def test_a_whole_stretch_is_asked_at_once() -> None:
    roads = Roads(20, 20)
    roads.run([(5, 0), (5, 10)])
    roads.close(Box(9, 1, 12, 4))
    assert roads.crossed((2, 6), (8, 6)) == 1, "one line crossed"
    assert roads.crossed((8, 6), (2, 6)) == 1
    assert roads.crossed((2, 3), (14, 3)) is None, "something stands there"
    assert roads.crossed((5, 2), (5, 8)) is None, "along another line"
    assert roads.crossed((4, 6), (5, 6)) == 0, "its two ends do not count"
    assert roads.vacant((4, 6))
    assert not roads.vacant((5, 6))
    assert not roads.vacant((-1, 6))


def test_a_search_gives_up_after_so_many_steps() -> None:
    roads = Roads(60, 60)
    start, stop = [Pin(5, 5, EAST)], [Pin(50, 50, WEST)]
    assert roads.find(start, stop) is not None
    assert roads.find(start, stop, steps=5) is None
