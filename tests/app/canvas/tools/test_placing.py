"""Placing equipment, with real mouse and keys."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

from app.canvas.tools import acts

pytestmark = pytest.mark.qt
SHIFT = Qt.KeyboardModifier.ShiftModifier


def ghost_box(hand):
    rects = [item.sceneBoundingRect() for item in hand.board.marks._ghost]
    united = rects[0]
    for rect in rects[1:]:
        united = united.united(rect)
    return united


def new_bus(hand):
    assert len(hand.document.selection) == 1
    placements = hand.document.snapshot().placements.values()
    return next(p for p in placements if p.equipment == hand.document.selection[0])


def test_a_click_places_and_goes_back_to_choosing(hand) -> None:
    hand.take("place", "fuse")
    hand.move((34, 38))
    assert hand.board.marks._ghost
    hand.nothing_done()
    hand.click((34, 38))
    assert hand.chosen() == {"F2"}
    p = hand.placement("F2")
    assert (p.x, p.y, p.rotation, p.mirrored) == (34, 38, 0, False)
    assert hand.board.tool.NAME == "choose"
    hand.no_preview()
    assert hand.one_edit() == "Place F2"


def test_it_snaps_to_the_grid(hand) -> None:
    hand.take("place", "fuse")
    hand.click((34.4, 37.6))
    p = hand.placement("F2")
    assert (p.x, p.y) == (34, 38)


def test_the_ghost_follows_turns_and_mirrors(hand) -> None:
    hand.take("place", "fuse")
    hand.move((34, 38))
    upright = ghost_box(hand)
    assert upright.height() > upright.width()
    hand.key(Qt.Key.Key_T)
    level = ghost_box(hand)
    assert level.width() > level.height()
    assert abs(level.center().x() - upright.center().x()) < 0.5
    hand.key(Qt.Key.Key_T, SHIFT)
    hand.move((36, 38))
    assert ghost_box(hand).center().x() == pytest.approx(level.center().x() + 5)
    hand.click((36, 38))
    p = hand.placement("F2")
    assert (p.rotation, p.mirrored) == (90, True)


def test_the_actions_turn_what_is_in_hand(hand) -> None:
    hand.click("S1")
    hand.take("place", "fuse")
    hand.move((34, 38))
    assert acts.turn_selection(hand.board)
    assert acts.mirror_selection(hand.board)
    hand.nothing_done()
    hand.click((34, 38))
    assert (hand.placement("F2").rotation, hand.placement("F2").mirrored) == (90, True)
    assert hand.placement("S1").rotation == 0


def test_shift_click_goes_on_placing(hand) -> None:
    hand.take("place", "fuse")
    hand.click((34, 38), SHIFT)
    hand.click((44, 38), SHIFT)
    assert hand.board.tool.NAME == "place"
    hand.click((54, 42))
    assert hand.board.tool.NAME == "choose"
    assert {(hand.placement(n).x, hand.placement(n).y) for n in ("F2", "F3", "F4")} == {(34, 38), (44, 38), (54, 42)}
    hand.document.undo()
    hand.document.undo()
    hand.document.undo()
    hand.nothing_done()


def test_escape_ends_without_placing(hand) -> None:
    hand.take("place", "fuse")
    hand.move((34, 38))
    hand.key(Qt.Key.Key_Escape)
    assert hand.board.tool.NAME == "choose"
    hand.no_preview()
    hand.nothing_done()


def test_over_a_run_it_is_inserted_and_the_run_is_split(hand) -> None:
    before = hand.document.snapshot().runs[hand.id("W2")]
    assert before.length_m == 2
    hand.take("place", "fuse")
    hand.move((20, 25))
    assert hand.board.marks._insert.isVisible()
    hand.click((20, 25))
    snapshot = hand.document.snapshot()
    assert len(snapshot.runs) == 5
    fuse = hand.id("F2")
    parts = [r for r in snapshot.runs.values() if fuse in (r.from_end.equipment, r.to_end.equipment)]
    assert len(parts) == 2
    assert {r.length_m for r in parts} == {None}
    assert hand.placement("F2").x == 20
    hand.no_preview()
    assert hand.one_edit() == "Place F2 in W2"


def test_over_a_level_stretch_it_lies_down_and_the_ghost_shows_it(hand) -> None:
    hand.take("place", "fuse")
    hand.move((34, 38))
    assert ghost_box(hand).height() > ghost_box(hand).width()
    hand.move((34, 26))
    assert ghost_box(hand).width() > ghost_box(hand).height()
    hand.click((34, 26))
    assert hand.placement("F2").rotation in (90, 270)
    assert hand.placement("F2").y == 26
    hand.one_edit()


@pytest.mark.parametrize("kind", ["isolation_transformer", "load", "battery_bank", "open_end"])
def test_what_does_not_fit_into_a_run_is_refused_before_and_at_the_click(hand, kind) -> None:
    told: list[str] = []
    hand.board.pointed.connect(told.append)
    hand.take("place", kind)
    hand.move((20, 25))
    hand.rest(hand.board.marks._rubber_end.isVisible)
    assert "W2" in told[-1]
    assert hand.board.marks._rubber_end.isVisible()
    hand.click((20, 25))
    hand.nothing_done()
    assert hand.said == [told[-1]]
    assert hand.board.tool.NAME == "place"


def test_outside_the_sheet_is_refused(hand) -> None:
    hand.take("place", "fuse")
    hand.click((1, 24))
    hand.nothing_done()
    assert len(hand.said) == 1
    assert "outside the drawing area" in hand.said[0]
    assert hand.board.tool.NAME == "place"
    hand.click((34, 38))
    assert hand.chosen() == {"F2"}


def test_a_bus_is_as_long_as_it_is_drawn(hand) -> None:
    hand.take("place", "bus_bar")
    hand.begin_drag((34, 40), (38, 40), (46, 41))
    hand.nothing_done()
    hand.release((46, 41))
    p = new_bus(hand)
    assert (p.x, p.y, p.rotation, p.length) == (34, 40, 0, 12)
    hand.one_edit()


@pytest.mark.parametrize(
    ("start", "stop", "expected"),
    [
        ((46, 40), (34, 41), (34, 40, 0, 12)),
        ((46, 30), (45, 44), (46, 30, 90, 14)),
        ((46, 44), (45, 30), (46, 30, 90, 14)),
    ],
)
def test_a_bus_is_drawn_any_way(hand, start, stop, expected) -> None:
    hand.take("place", "bus_bar")
    hand.drag(start, ((start[0] + stop[0]) / 2, (start[1] + stop[1]) / 2), stop)
    p = new_bus(hand)
    assert (p.x, p.y, p.rotation, p.length) == expected
    hand.one_edit()


def test_escape_gives_a_bus_up_that_is_being_drawn(hand) -> None:
    hand.take("place", "bus_bar")
    hand.begin_drag((34, 40), (38, 40), (46, 41))
    hand.key(Qt.Key.Key_Escape)
    hand.release((46, 41))
    hand.nothing_done()
    assert hand.board.tool.NAME == "place"
    hand.key(Qt.Key.Key_Escape)
    assert hand.board.tool.NAME == "choose"
    hand.no_preview()


def test_placing_from_the_keyboard(hand) -> None:
    hand.take("place", "battery_switch")
    hand.go(34, 38)
    assert hand.board.marks._ghost
    hand.key(Qt.Key.Key_T)
    hand.key(Qt.Key.Key_Return)
    p = hand.placement("Q4")
    assert (p.x, p.y, p.rotation) == (34, 38, 90)
    hand.one_edit()


def test_inserting_from_the_keyboard(hand) -> None:
    hand.take("place", "fuse")
    hand.go(34, 26)
    assert hand.board.marks._insert.isVisible()
    hand.key(Qt.Key.Key_Space)
    assert len(hand.document.snapshot().runs) == 5
    hand.one_edit()


def test_without_a_kind_a_click_says_so(hand) -> None:
    hand.take("place")
    hand.click((34, 38))
    hand.nothing_done()
    assert hand.said == ["No kind of equipment is chosen; choose one from the list."]
    hand.take("place", "no_such_kind")
    hand.click((34, 38))
    hand.nothing_done()
    assert len(hand.said) == 2


def test_the_ghost_goes_when_the_pointer_leaves(hand) -> None:
    from PySide6.QtCore import QEvent
    from PySide6.QtWidgets import QApplication

    hand.take("place", "fuse")
    hand.move((34, 38))
    QApplication.sendEvent(hand.board, QEvent(QEvent.Type.Leave))
    hand.no_preview()


def test_a_read_only_drawing_is_left_alone(hand) -> None:
    hand.document.read_only = "another window has it."
    hand.take("place", "fuse")
    hand.click((34, 38))
    hand.nothing_done()
    assert len(hand.said) == 1


def test_every_kind_has_a_ghost_and_is_placed(hand) -> None:
    from engine.equipment import kinds

    for kind in kinds():
        hand.take("place", kind)
        hand.move((40, 36))
        hand.move((44, 36))
        assert hand.board.marks._ghost, kind
        hand.click((44, 36))
        snapshot = hand.document.snapshot()
        assert [snapshot.equipment[i].KIND for i in hand.document.selection] == [kind], hand.said
        hand.document.undo()
    hand.nothing_done()


def test_equipment_that_is_on_no_sheet_is_given_a_symbol(hand, hand_on) -> None:
    from engine.edits import Put

    hand.document.do(Put("placements", hand.placed("S1"), None, "Take S1 off the sheet"))
    installation = hand.document.installation
    fresh = hand_on(installation)
    fresh.board.take_up(type(hand.take("place"))(fresh.board, "", fresh.id("S1")))
    fresh.click((34, 38))
    assert (fresh.placement("S1").x, fresh.placement("S1").y) == (34, 38)
    assert len(fresh.document.snapshot().equipment) == 8
    assert fresh.board.tool.NAME == "choose"
    fresh.one_edit()


def test_the_ghost_in_a_run_stands_as_it_will_be_placed(hand) -> None:
    """A selector's terminals do not lie in a line: it is shown where the edit will put it once the pointer rests."""
    for kind in ("fuse", "selector", "bus_bar", "junction"):
        hand.take("place", kind)
        hand.move((30, 40))
        hand.move((33, 26))
        tried = hand.board.tool._tried
        hand.rest(lambda tried=tried: bool(tried[1]))
        box = ghost_box(hand)
        hand.click((33, 26))
        assert len(hand.document.snapshot().runs) == 5, (kind, hand.said)
        placed = [
            p for p in hand.board.scene_now().on(hand.document.sheet) if p.equipment == hand.document.selection[0]
        ]
        sight = hand.board.finder().sight
        b = placed[0].box
        assert box.center().x() == pytest.approx(sight.left + (b.left + b.right) / 2 * 2.5, abs=0.6), kind
        assert box.center().y() == pytest.approx(sight.top + (b.top + b.bottom) / 2 * 2.5, abs=0.6), kind
        hand.document.undo()
    hand.nothing_done()
