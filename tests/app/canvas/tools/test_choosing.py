"""Choosing and moving, with real mouse and keys."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

from app.canvas.tools import acts
from app.canvas.tools.at_pointer import context_actions

pytestmark = pytest.mark.qt
CTRL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


# -- choosing -----------------------------------------------------------------------------------------------------
def test_a_click_chooses_and_on_an_empty_place_lets_go(hand) -> None:
    hand.click("F1")
    assert hand.chosen() == {"F1"}
    hand.click("Q1")
    assert hand.chosen() == {"Q1"}
    hand.click((20, 25))
    assert hand.chosen() == {"W2"}
    hand.click((34, 40))
    assert hand.chosen() == set()
    hand.nothing_done()


@pytest.mark.parametrize("keys", [CTRL, SHIFT])
def test_ctrl_and_shift_add_and_take_away(hand, keys) -> None:
    hand.click("F1")
    hand.click("Q1", keys)
    hand.click((34, 26), keys)
    assert hand.chosen() == {"F1", "Q1", "W4"}
    hand.click("F1", keys)
    assert hand.chosen() == {"Q1", "W4"}
    hand.click((34, 26), keys)
    assert hand.chosen() == {"Q1"}
    hand.click((34, 40), keys)
    assert hand.chosen() == {"Q1"}
    hand.nothing_done()


def test_a_click_on_one_of_several_chooses_it_alone(hand) -> None:
    hand.click("F1")
    hand.click("Q1", SHIFT)
    hand.click("Q1")
    assert hand.chosen() == {"Q1"}


def test_a_rectangle_chooses_what_lies_wholly_inside(hand) -> None:
    hand.begin_drag((12, 14), (30, 30), (26, 36))
    assert hand.board.marks._band.isVisible()
    hand.release((26, 36))
    assert hand.chosen() == {"F1", "Q1", "W2"}
    hand.no_preview()
    hand.drag((60, 38), (46, 30), keys=SHIFT)  # from the right to the left, added
    assert hand.chosen() == {"F1", "Q1", "W2", "S1"}
    hand.drag((60, 38), (58, 30))
    assert hand.chosen() == set()
    hand.nothing_done()


def test_escape_gives_a_rectangle_up_and_keeps_what_was_chosen(hand) -> None:
    hand.click("F1")
    hand.begin_drag((12, 14), (26, 36))
    hand.key(Qt.Key.Key_Escape)
    hand.no_preview()
    hand.release((26, 36))
    assert hand.chosen() == {"F1"}
    hand.key(Qt.Key.Key_Escape)
    assert hand.chosen() == set()


def test_a_double_click_and_enter_ask_for_particulars(hand) -> None:
    hand.double("F1")
    assert hand.asked == [hand.id("F1")]
    hand.double((34, 26))
    assert hand.asked[1:] == [hand.id("W4")]
    hand.double((34, 40))
    assert len(hand.asked) == 2
    hand.click("Q1")
    hand.key(Qt.Key.Key_Return)
    assert hand.asked[2:] == [hand.id("Q1")]
    hand.nothing_done()


def test_space_chooses_at_the_keyboards_pointer(hand) -> None:
    hand.go(20, 20)
    hand.key(Qt.Key.Key_Space)
    assert hand.chosen() == {"F1"}
    hand.go(34, 26)
    hand.key(Qt.Key.Key_Space)
    assert hand.chosen() == {"W4"}
    hand.key(Qt.Key.Key_Return)
    assert hand.asked == [hand.id("W4")]
    hand.nothing_done()


# -- moving -------------------------------------------------------------------------------------------------------
def test_a_drag_moves_a_symbol_with_its_runs_in_one_edit(hand) -> None:
    hand.begin_drag("F1", (22, 20), (24, 21))
    assert hand.board._drag is not None
    assert hand.dump() == hand.at_first, "nothing changes while it is dragged"
    hand.release((25, 21))
    placement = hand.placement("F1")
    assert (placement.x, placement.y) == (25, 21)
    assert hand.line("W2")[-1] == (25, 23)
    assert hand.line("W3")[0] == (25, 19)
    assert hand.chosen() == {"F1"}
    hand.no_preview()
    assert hand.one_edit() == "Move F1"


def test_a_drag_moves_all_that_is_chosen(hand) -> None:
    hand.drag((12, 14), (26, 36))
    hand.drag("Q1", (24, 30), (30, 30))
    assert (hand.placement("Q1").x, hand.placement("F1").x, hand.placement("G1").x) == (30, 30, 20)
    assert hand.line("W2") == ((30, 28), (30, 22))
    assert hand.chosen() == {"F1", "Q1", "W2"}
    hand.one_edit()


def test_a_chosen_run_among_symbols_is_a_handle_to_move_them(hand) -> None:
    hand.drag((12, 14), (26, 36))
    hand.drag((20, 25), (24, 25), (30, 25))
    assert (hand.placement("Q1").x, hand.placement("F1").x) == (30, 30)
    hand.one_edit()


def test_shift_press_takes_another_one_along(hand) -> None:
    hand.click("Q1")
    hand.drag("F1", (24, 20), (30, 20), keys=SHIFT)
    assert (hand.placement("Q1").x, hand.placement("F1").x) == (30, 30)
    hand.one_edit()


def test_a_trembling_click_moves_nothing(hand) -> None:
    hand.drag("F1", (20.3, 20.2), (20.1, 20))
    hand.nothing_done()
    assert hand.chosen() == {"F1"}


def test_back_in_its_place_is_no_edit(hand) -> None:
    hand.drag("F1", (30, 20), (20, 20))
    hand.nothing_done()
    hand.no_preview()


def test_escape_puts_a_lifted_symbol_back(hand) -> None:
    hand.begin_drag("F1", (26, 24), (30, 25))
    hand.key(Qt.Key.Key_Escape)
    hand.no_preview()
    hand.move((33, 26))
    hand.release((34, 26))
    hand.nothing_done()
    assert hand.chosen() == {"F1"}


def test_a_drag_out_of_the_sheet_is_refused_with_a_sentence(hand) -> None:
    hand.drag("X1", (8, 9), (2, 2))
    hand.nothing_done()
    hand.no_preview()
    assert len(hand.said) == 1
    assert hand.said[0].startswith("X1 would stand outside the drawing area")


def test_a_change_from_elsewhere_ends_a_drag(hand) -> None:
    from engine.edits import SetFields

    hand.begin_drag("F1", (26, 24))
    hand.document.do(SetFields("equipment", hand.id("E1"), (("label", "Lamp"),), "Change E1"))
    hand.move((28, 24))
    hand.no_preview()
    hand.release((30, 24))
    assert hand.document.history.undo_words == "Change E1"


def test_ctrl_arrows_move_by_steps(hand) -> None:
    hand.click("F1")
    hand.key(Qt.Key.Key_Right, CTRL)
    assert hand.placement("F1").x == 21
    hand.key(Qt.Key.Key_Down, CTRL | SHIFT)
    assert hand.placement("F1").y == 24
    hand.document.undo()
    hand.one_edit()


def test_taking_hold_from_the_keyboard_moves_too(hand) -> None:
    hand.go(20, 20)
    hand.key(Qt.Key.Key_Space)
    hand.key(Qt.Key.Key_Return, SHIFT)
    hand.go(26, 22)
    assert hand.board._drag is not None
    hand.key(Qt.Key.Key_Return)
    assert (hand.placement("F1").x, hand.placement("F1").y) == (26, 22)
    assert hand.asked == []
    hand.one_edit()


def test_escape_lets_go_of_what_the_keyboard_holds(hand) -> None:
    hand.go(20, 20)
    hand.key(Qt.Key.Key_Return, SHIFT)
    hand.go(26, 22)
    hand.key(Qt.Key.Key_Escape)
    hand.no_preview()
    hand.nothing_done()


def test_a_rectangle_from_the_keyboard(hand) -> None:
    hand.go(12, 14)
    hand.key(Qt.Key.Key_Return, SHIFT)
    hand.go(26, 36)
    hand.key(Qt.Key.Key_Space)
    assert hand.chosen() == {"F1", "Q1", "W2"}
    hand.nothing_done()


# -- leading by hand ----------------------------------------------------------------------------------------------
def test_a_stretch_of_a_chosen_run_is_led_by_hand(hand) -> None:
    hand.click((34, 26))
    hand.begin_drag((34, 26), (34, 29))
    assert hand.board.marks._rubber.isVisible()
    hand.release((34, 30))
    assert hand.line("W4") == ((28, 10), (28, 30), (40, 30), (40, 22))
    route = next(r for r in hand.document.snapshot().routes.values() if r.run == hand.id("W4"))
    assert route.by_hand
    assert hand.chosen() == {"W4"}
    hand.no_preview()
    assert hand.one_edit() == "Lead W4 by hand"


def test_the_stretch_at_a_bus_slides_along_it(hand) -> None:
    hand.click((34, 26))
    hand.drag((28, 18), (26, 18), (24, 18))
    assert hand.line("W4") == ((24, 10), (24, 26), (40, 26), (40, 22))
    hand.one_edit()


def test_the_stretch_at_a_terminal_keeps_its_straight_piece(hand) -> None:
    hand.click((20, 25))
    hand.drag((20, 25), (23, 25), (26, 25))
    line = hand.line("W2")
    assert line[0] == (20, 28)
    assert line[-1] == (20, 22)
    assert (26, 27) in line or (26, 26) in line
    assert line[1][0] == 20, "it leaves its terminal straight"
    hand.one_edit()


def test_a_drag_along_a_stretch_is_no_edit(hand) -> None:
    hand.click((34, 26))
    hand.drag((34, 26), (37, 26))
    hand.nothing_done()
    hand.begin_drag((34, 26), (34, 32))
    hand.key(Qt.Key.Key_Escape)
    hand.release((34, 32))
    hand.no_preview()
    hand.nothing_done()


def test_a_drag_from_a_run_that_is_not_chosen_is_a_rectangle(hand) -> None:
    hand.drag((34, 26), (60, 38))
    assert hand.chosen() == {"S1"}
    hand.nothing_done()


def test_leading_by_hand_from_the_keyboard(hand) -> None:
    hand.go(34, 26)
    hand.key(Qt.Key.Key_Space)
    hand.key(Qt.Key.Key_Return, SHIFT)
    hand.go(34, 30)
    hand.key(Qt.Key.Key_Return)
    assert hand.line("W4")[1:3] == ((28, 30), (40, 30))
    hand.one_edit()


def test_a_run_led_off_the_sheet_is_refused(hand) -> None:
    hand.click((34, 26))
    hand.drag((28, 18), (20, 18), (1, 18))
    hand.nothing_done()
    assert len(hand.said) == 1


# -- ends put elsewhere -------------------------------------------------------------------------------------------
def test_an_end_is_put_on_another_terminal(hand) -> None:
    hand.click((20, 25))
    hand.begin_drag((20, 22), (30, 24), (50, 22))
    assert hand.board.marks._rings.isVisible()
    hand.release((50, 22))
    assert hand.ends("W2") == ("Q1.out", "Q2.in")
    assert not hand.board.marks._rings.isVisible()
    hand.no_preview()
    hand.one_edit()


def test_an_end_let_go_over_nothing_is_loose(hand) -> None:
    hand.click((20, 25))
    hand.drag((20, 22), (26, 24), (30, 34))
    snapshot = hand.document.snapshot()
    end = snapshot.runs[hand.id("W2")].to_end.equipment
    assert snapshot.equipment[end].KIND == "open_end"
    assert any((p.x, p.y) == (30, 34) for p in snapshot.placements.values() if p.equipment == end)
    hand.one_edit()


def test_an_end_let_go_over_a_run_makes_a_junction(hand) -> None:
    hand.click((20, 25))
    hand.drag((20, 22), (26, 24), (34, 26))
    snapshot = hand.document.snapshot()
    end = snapshot.runs[hand.id("W2")].to_end.equipment
    assert snapshot.equipment[end].KIND == "junction"
    assert len(snapshot.runs) == 5
    hand.one_edit()


def test_an_end_back_where_it_was_or_given_up_is_no_edit(hand) -> None:
    hand.click((20, 25))
    hand.drag((20, 22), (26, 24), (20, 22))
    hand.nothing_done()
    hand.begin_drag((20, 22), (26, 24))
    hand.key(Qt.Key.Key_Escape)
    hand.release((30, 34))
    hand.no_preview()
    assert not hand.board.marks._rings.isVisible()
    hand.nothing_done()


def test_an_end_is_shown_as_it_will_be_led_and_refused_before_it_is_let_go(hand) -> None:
    hand.click((34, 26))
    hand.begin_drag((40, 22), (44, 22), (56, 22))
    guess = hand.board.marks._rubber.path()
    hand.rest(lambda: hand.board.marks._rubber.path() != guess)
    path = hand.board.marks._rubber.path()
    shown = [(path.elementAt(n).x, path.elementAt(n).y) for n in range(path.elementCount())]
    hand.move((42, 19))  # the earth of the load
    assert hand.board.marks._crosses.isVisible()
    hand.rest(hand.board.marks._rubber_end.isVisible)
    hand.release((56, 22))
    sight = hand.board.finder().sight
    drawn = [sight.at(p) for p in hand.line("W4")]
    assert shown in (drawn, drawn[::-1])
    assert not hand.board.marks._crosses.isVisible()
    hand.one_edit()


def test_both_ends_on_one_terminal_are_refused(hand) -> None:
    hand.click((20, 25))
    hand.drag((20, 22), (26, 24), (20, 28))
    hand.nothing_done()
    assert len(hand.said) == 1


# -- a bus --------------------------------------------------------------------------------------------------------
def test_a_bus_is_drawn_out_by_its_ends(hand) -> None:
    hand.click((18, 10))
    hand.begin_drag((30, 10), (33, 10))
    assert hand.board.marks._rubber.isVisible()
    hand.release((36, 10))
    assert (hand.placement("X1").x, hand.placement("X1").length) == (14, 22)
    assert hand.one_edit() == "Stretch X1"
    hand.document.undo()
    hand.drag((14, 10), (12, 10), (10, 10))
    assert (hand.placement("X1").x, hand.placement("X1").length) == (10, 20)
    hand.one_edit()


def test_a_bus_that_is_not_chosen_is_moved_by_its_end(hand) -> None:
    hand.drag((30, 10), (30, 12), (30, 14))
    assert (hand.placement("X1").y, hand.placement("X1").length) == (14, 16)
    hand.one_edit()


def test_escape_gives_a_stretch_up(hand) -> None:
    hand.click((18, 10))
    hand.begin_drag((30, 10), (36, 10))
    hand.key(Qt.Key.Key_Escape)
    hand.release((36, 10))
    hand.no_preview()
    hand.nothing_done()


def test_a_bus_is_never_drawn_through_itself(hand) -> None:
    hand.click((18, 10))
    hand.drag((30, 10), (20, 10), (5, 10))
    placement = hand.placement("X1")
    assert placement.x == 14
    assert placement.length is not None
    assert placement.length >= 2
    hand.one_edit()


# -- acts ---------------------------------------------------------------------------------------------------------
def test_turn_and_mirror(hand) -> None:
    hand.click("S1")
    assert acts.turn_selection(hand.board)
    assert hand.placement("S1").rotation == 90
    hand.one_edit()
    hand.document.undo()
    hand.click("S1")
    assert acts.mirror_selection(hand.board)
    assert hand.placement("S1").mirrored
    hand.one_edit()


def test_delete_leaves_ends_loose_or_takes_runs_along(hand) -> None:
    hand.click("F1")
    assert acts.delete_selection(hand.board)
    snapshot = hand.document.snapshot()
    assert len(snapshot.runs) == 4
    assert sum(e.KIND == "open_end" for e in snapshot.equipment.values()) == 2
    assert hand.chosen() == set()
    hand.one_edit()
    hand.document.undo()
    hand.click("F1")
    assert acts.delete_selection(hand.board, with_runs=True)
    assert len(hand.document.snapshot().runs) == 2
    hand.one_edit()


def test_delete_a_run(hand) -> None:
    hand.click((34, 26))
    assert acts.delete_selection(hand.board)
    assert len(hand.document.snapshot().runs) == 3
    hand.one_edit()


def test_copy_and_paste_make_a_second_one(hand) -> None:
    hand.drag((12, 14), (26, 36))
    assert acts.copy_selection(hand.board)
    hand.nothing_done()
    hand.move((34, 38))
    assert acts.paste(hand.board)
    snapshot = hand.document.snapshot()
    assert len(snapshot.runs) == 5
    assert len(snapshot.equipment) == 10
    assert len(hand.document.selection) == 3
    pasted = [p for p in snapshot.placements.values() if p.equipment in hand.document.selection]
    assert {p.x for p in pasted} == {34}
    hand.one_edit()


def test_paste_where_nothing_was_copied_says_so(hand) -> None:
    from PySide6.QtGui import QGuiApplication

    QGuiApplication.clipboard().setText("some words")
    assert not acts.paste(hand.board)
    assert hand.said == ["There is nothing on the clipboard that was copied from a drawing."]
    hand.nothing_done()


def test_a_damaged_clipboard_is_refused(hand) -> None:
    from PySide6.QtCore import QMimeData
    from PySide6.QtGui import QGuiApplication

    data = QMimeData()
    data.setData(acts.CLIP_TYPE, b"\xff\x00{]")
    QGuiApplication.clipboard().setMimeData(data)
    assert not acts.paste(hand.board)
    assert len(hand.said) == 1
    hand.nothing_done()


def test_cut_and_duplicate(hand) -> None:
    hand.click("Q2")
    assert acts.duplicate(hand.board)
    assert len(hand.document.snapshot().equipment) == 9
    assert len(hand.document.selection) == 1
    assert hand.chosen() != {"Q2"}
    hand.one_edit()
    hand.document.undo()
    hand.click("E1")
    assert acts.cut(hand.board)
    assert not hand.document.installation.find("E1")
    hand.move((34, 38))
    hand.document.undo()
    hand.nothing_done()


def test_choose_everything_and_lead_anew(hand) -> None:
    acts.select_all(hand.board)
    assert len(hand.document.selection) == 12
    hand.nothing_done()
    hand.click((34, 26))
    hand.drag((34, 26), (34, 28), (34, 30))
    assert acts.lead_anew(hand.board)
    assert hand.line("W4") != ((28, 10), (28, 30), (40, 30), (40, 22))


def test_with_nothing_chosen_every_act_says_so(hand) -> None:
    for act in (
        acts.copy_selection,
        acts.cut,
        acts.duplicate,
        acts.turn_selection,
        acts.mirror_selection,
        acts.delete_selection,
        acts.lead_anew,
    ):
        hand.said.clear()
        assert not act(hand.board), act
        assert len(hand.said) == 1, act
    hand.nothing_done()


def test_a_drawing_that_is_read_only_is_never_changed(hand) -> None:
    hand.document.read_only = "another window has it."
    hand.drag("F1", (26, 20), (30, 20))
    hand.nothing_done()
    hand.no_preview()
    assert hand.said == ["The drawing is open to read only: another window has it."]


def test_what_a_right_click_offers(hand) -> None:
    board = hand.board
    at = {name: context_actions(board, board.hit(board.spot_at(*place)))
          for name, place in (("F1", (20, 20)), ("Q1", (20, 30)), ("W4", (34, 26)), ("", (34, 40)))}  # fmt: skip
    assert "turn" in at["F1"]
    assert "operate" not in at["F1"]
    assert "operate" in at["Q1"]
    assert "lead_anew" in at["W4"]
    assert "turn" not in at["W4"]
    assert "paste" in at[""]
    assert "delete" not in at[""]


# -- from the keyboard, and odd moments -----------------------------------------------------------------------------
def test_an_end_is_put_elsewhere_from_the_keyboard(hand) -> None:
    hand.go(20, 25)
    hand.key(Qt.Key.Key_Space)
    hand.go(20, 22)
    hand.key(Qt.Key.Key_Return, SHIFT)
    hand.go(50, 22)
    hand.key(Qt.Key.Key_Return)
    assert hand.ends("W2") == ("Q1.out", "Q2.in")
    hand.one_edit()


def test_a_bus_is_drawn_out_from_the_keyboard(hand) -> None:
    hand.go(18, 10)
    hand.key(Qt.Key.Key_Space)
    hand.go(30, 10)
    hand.key(Qt.Key.Key_Return, SHIFT)
    hand.go(34, 10)
    hand.key(Qt.Key.Key_Return)
    assert hand.placement("X1").length == 20
    assert hand.one_edit() == "Stretch X1"


def test_a_bus_that_stands_upright_is_drawn_out_too(hand) -> None:
    hand.click("Q2")
    hand.click("Q3", SHIFT)
    acts.delete_selection(hand.board, with_runs=True)
    hand.take("place", "bus_bar")
    hand.drag((56, 14), (56, 18), (56, 26))
    bus = hand.board.grasped[0]
    p = hand.document.snapshot().placements[bus]
    assert (p.rotation, p.length) == (90, 12)
    hand.drag((56, 26), (56, 28), (56, 30))
    p = hand.document.snapshot().placements[bus]
    assert (p.x, p.y, p.length) == (56, 14, 16)


def test_moving_from_the_keyboard_tells_how_far(hand) -> None:
    hand.click("Q2")
    hand.key(Qt.Key.Key_Left, CTRL)
    assert hand.document.history.undo_words == "Move Q2, 1 step to the left"
    hand.key(Qt.Key.Key_Up, CTRL | SHIFT)
    assert hand.document.history.undo_words == "Move Q2, 4 steps up"


def test_another_sheet_ends_a_drag(hand) -> None:
    from app.drawing.changes import add_sheet

    made = add_sheet(hand.document.snapshot(), hand.document.installation.last_id)
    hand.document.do(made.edit)
    hand.begin_drag("F1", (24, 20))
    hand.document.turn_to(made.items[0])
    hand.move((26, 20))
    hand.release((26, 20))
    hand.no_preview()
    assert hand.document.history.undo_words == made.edit.words


def test_delete_takes_only_the_symbol_where_there_is_another_one(hand) -> None:
    from engine.edits import Put

    first = hand.placement("X1")
    item = hand.document.installation.new_id("placements")
    hand.document.do(Put("placements", item, type(first)(equipment=first.equipment, sheet=first.sheet, x=34, y=44,
                                                         length=8), "A second symbol"))  # fmt: skip
    hand.click((36, 44))
    assert hand.board.grasped == (item,)
    assert acts.delete_selection(hand.board)
    assert hand.document.installation.find("X1")
    assert item not in hand.document.snapshot().placements
    assert len(hand.document.snapshot().runs) == 4


def test_without_a_sheet_nothing_breaks(hand_on) -> None:
    from engine.installation import Installation

    hand = hand_on(Installation())
    for name in ("choose", "run", "operate", "pan", "place"):
        hand.take(name, *(["fuse"] if name == "place" else []))
        hand.click((20, 20))
        hand.double((26, 26))
        hand.drag((10, 10), (20, 20), (30, 30))
        hand.key(Qt.Key.Key_Right, times=2)
        hand.key(Qt.Key.Key_Space)
        hand.key(Qt.Key.Key_Return)
        hand.key(Qt.Key.Key_Tab)
        hand.key(Qt.Key.Key_Escape, times=2)
    acts.select_all(hand.board)
    assert not acts.paste(hand.board)
    hand.nothing_done()
    assert hand.said
