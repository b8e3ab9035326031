"""Labels moved on the board, with real mouse and keys."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

from app.canvas.tools.labelling import back, has_label, may_go_back, take_label
from app.drawing.hand.labels import HALF
from engine.picture import Box, Text, text_box

pytestmark = pytest.mark.qt
SHIFT = Qt.KeyboardModifier.ShiftModifier


def _box(hand, name: str) -> Box:
    """Where a label is written."""
    of = hand.board.shown.items.of[hand.id(name)]
    boxes = [text_box(p) for p in of if isinstance(p, Text)]
    return Box(
        min(b.left for b in boxes), min(b.top for b in boxes), max(b.right for b in boxes), max(b.bottom for b in boxes)
    )


def _at(hand, name: str) -> tuple[float, float]:
    """A point on a label, in grid steps."""
    box, sight = _box(hand, name), hand.board.finder().sight
    return ((box.left + box.right) / 2 - sight.left) / 2.5, ((box.top + 1.5) - sight.top) / 2.5


def test_a_label_is_dragged_and_its_symbol_stays(hand) -> None:
    before, (x, y) = _box(hand, "F1"), _at(hand, "F1")
    hand.begin_drag((x, y), (x - 2, y - 3))
    assert hand.board.marks._ghost
    assert hand.dump() == hand.at_first
    hand.release((x - 2, y - 3))
    hand.no_preview()
    assert hand.one_edit() == "Move the label of F1"
    after = _box(hand, "F1")
    assert (after.left - before.left, after.top - before.top) == pytest.approx((-5, -7.5), abs=0.3)
    placement = hand.placement("F1")
    assert (placement.x, placement.y) == (20, 20)
    sight = hand.board.finder().sight
    corner = sight.left + 50 + placement.label.x * HALF, sight.top + 50 + placement.label.y * HALF
    assert (after.left, after.top) == pytest.approx(corner, abs=1.0)


def test_the_label_of_a_run_is_dragged_and_its_line_stays(hand) -> None:
    line, (x, y) = hand.line("W4"), _at(hand, "W4")
    hand.drag((x, y), (x + 3, y + 3))
    assert hand.one_edit() == "Move the label of W4"
    assert hand.line("W4") == line
    assert _at(hand, "W4") == pytest.approx((x + 3, y + 3), abs=0.3)


def test_a_label_put_by_hand_goes_along_with_its_symbol(hand) -> None:
    x, y = _at(hand, "F1")
    hand.drag((x, y), (x - 2, y - 3))
    before, placed = _box(hand, "F1"), hand.placement("F1").label
    hand.drag("F1", (22, 20), (24, 21))
    after = _box(hand, "F1")
    assert hand.placement("F1").label == placed
    assert (after.left - before.left, after.top - before.top) == pytest.approx((10.0, 2.5))


def test_of_several_symbols_that_are_chosen_the_label_does_not_go_alone(hand) -> None:
    x, y = _at(hand, "F1")
    hand.click("F1")
    hand.click("Q1", SHIFT)
    hand.drag((x, y), (x + 3, y), (x + 4, y))
    assert hand.placement("F1").label is None
    assert (hand.placement("F1").x, hand.placement("Q1").x) == (24, 24)


def test_a_click_on_a_label_still_chooses_what_it_belongs_to(hand) -> None:
    hand.click(_at(hand, "F1"))
    assert hand.chosen() == {"F1"}
    hand.nothing_done()


def test_escape_gives_the_drag_of_a_label_up(hand) -> None:
    x, y = _at(hand, "F1")
    hand.begin_drag((x, y), (x - 2, y - 3))
    hand.key(Qt.Key.Key_Escape)
    hand.no_preview()
    hand.release((x - 2, y - 3))
    hand.nothing_done()


def test_what_a_label_would_lie_on_is_told_while_it_is_dragged(hand) -> None:
    told: list[str] = []
    hand.board.pointed.connect(told.append)
    x, y = _at(hand, "F1")
    hand.drag((x, y), (34, 25.5), (34, 26))
    assert any("F1" in text and "W4" in text for text in told), told
    assert hand.placement("F1").label is not None, "it is put there all the same"


def test_a_label_is_not_put_off_the_sheet(hand) -> None:
    x, y = _at(hand, "X1")
    hand.drag((x, y), (x, 2), (x, -4))
    hand.nothing_done()
    assert hand.said == ["The label of X1 would leave the drawing area of sheet 1."]


def test_from_the_keyboard_by_half_millimetres(hand) -> None:
    before = _box(hand, "F1")
    hand.click("F1")
    assert has_label(hand.board)
    take_label(hand.board)
    assert hand.board.tool.NAME == "label"
    hand.key(Qt.Key.Key_Left, times=3)
    hand.key(Qt.Key.Key_Up, SHIFT)
    hand.key(Qt.Key.Key_Return)
    assert hand.board.tool.NAME == "choose"
    hand.no_preview()
    assert hand.one_edit() == "Move the label of F1"
    after = _box(hand, "F1")
    assert (after.left - before.left, after.top - before.top) == pytest.approx((-1.5, -5), abs=0.3)
    take_label(hand.board)
    hand.key(Qt.Key.Key_Left, times=3)
    hand.key(Qt.Key.Key_Escape)
    assert hand.board.tool.NAME == "choose"
    assert _box(hand, "F1") == after


def test_shift_enter_takes_hold_of_a_label_at_the_keyboards_pointer(hand) -> None:
    x, y = _at(hand, "F1")
    hand.go(round(x), round(y))
    assert hand.board.hit(hand.board.spot_at(round(x), round(y))).label
    hand.key(Qt.Key.Key_Return, SHIFT)
    hand.key(Qt.Key.Key_Up, times=2)
    hand.key(Qt.Key.Key_Return)
    assert hand.one_edit() == "Move the label of F1"


def test_labels_go_back_to_their_own_place_in_one_edit(hand) -> None:
    at_first = {name: _box(hand, name) for name in ("F1", "W4")}
    hand.click("F1")
    assert not may_go_back(hand.board)
    back(hand.board)
    assert hand.said == ["No label of what is chosen was put by hand."]
    for name in at_first:
        x, y = _at(hand, name)
        hand.drag((x, y), (x + 1, y - 3), (x + 2, y - 4))
    hand.click("F1")
    hand.click((34, 26), SHIFT)
    assert may_go_back(hand.board)
    back(hand.board)
    assert hand.document.history.undo_words == "Labels back to their own place: F1 and 1 more"
    assert hand.placement("F1").label is None
    assert all(route.label is None for route in hand.document.snapshot().routes.values())
    for name, box in at_first.items():
        assert _box(hand, name) == box


def test_with_nothing_or_two_things_chosen_there_is_no_label_to_take(hand) -> None:
    assert not has_label(hand.board)
    take_label(hand.board)
    assert hand.said == ["Choose one symbol or run, to move its label."]
    assert hand.board.tool.NAME == "choose"
