"""Operating switches, with real mouse and keys."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

pytestmark = pytest.mark.qt
ALT = Qt.KeyboardModifier.AltModifier


def stands(hand, name: str) -> str:
    from engine.edits.operating import positions_in

    return positions_in(hand.document.snapshot(), hand.document.condition)[hand.id(name)]


def test_a_click_moves_a_switch_as_drawn(hand) -> None:
    hand.take("operate")
    assert hand.board.operating
    assert stands(hand, "Q1") == "closed"
    hand.click("Q1")
    assert stands(hand, "Q1") == "open"
    assert hand.document.snapshot().equipment[hand.id("Q1")].in_position == "open"
    assert hand.one_edit() == "Open Q1"
    hand.click("Q1")
    assert stands(hand, "Q1") == "closed"


def test_in_a_condition_only_that_condition_changes(hand) -> None:
    hand.document.set_condition(next(iter(hand.document.snapshot().conditions)))
    hand.take("operate")
    hand.click("Q1")
    assert stands(hand, "Q1") == "open"
    assert hand.document.snapshot().equipment[hand.id("Q1")].in_position == ""
    assert "Under way" in hand.one_edit()
    hand.document.set_condition("")
    assert stands(hand, "Q1") == "closed"


def test_quick_clicks_go_round_the_positions(hand) -> None:
    hand.take("operate")
    seen = [stands(hand, "S1")]
    for _n in range(2):
        hand.double("S1")
        seen.append(stands(hand, "S1"))
    assert seen == ["off", "both", "off"]
    hand.click("S1")
    assert stands(hand, "S1") == "1"


def test_what_an_interlock_forbids_does_not_move_and_says_why(hand) -> None:
    hand.take("operate")
    hand.click("Q2")
    hand.nothing_done()
    assert stands(hand, "Q2") == "open"
    assert hand.said == [
        "Q2 does not close: interlock “bypass” (mechanical) allows one of Q2 closed and Q3 closed, and Q3 is closed."
    ]
    assert hand.board.marks.is_flashing
    box = hand.board.marks._flash.path().boundingRect()
    finder = hand.board.finder()
    for name in ("Q2", "Q3"):  # the switch and what holds it are both marked
        b = finder.box_of(hand.id(name))
        assert b is not None
        assert box.contains(b.left, b.top)
        assert box.contains(b.right, b.bottom)
    hand.click("Q3")
    hand.click("Q2")
    assert (stands(hand, "Q2"), stands(hand, "Q3")) == ("closed", "open")


def test_alt_click_lets_one_choose_the_position(hand, qtbot) -> None:
    tool = hand.take("operate")
    hand.click("S1", ALT)
    assert tool.menu is not None
    actions = tool.menu.actions()
    assert [a.text() for a in actions] == ["&1  off", "&2  1", "&3  both", "&4  2"]
    assert [a.isChecked() for a in actions] == [True, False, False, False]
    qtbot.keyClick(tool.menu, Qt.Key.Key_3)
    assert stands(hand, "S1") == "both"
    hand.one_edit()
    qtbot.waitUntil(lambda: tool.menu is None)


def test_escape_closes_that_menu_and_moves_nothing(hand, qtbot) -> None:
    tool = hand.take("operate")
    hand.click("S1", ALT)
    qtbot.keyClick(tool.menu, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: tool.menu is None)
    hand.nothing_done()


def test_a_digit_names_the_position_of_the_switch_under_the_pointer(hand) -> None:
    hand.take("operate")
    hand.move("S1")
    hand.key(Qt.Key.Key_4)
    assert stands(hand, "S1") == "2"
    hand.one_edit()
    hand.key(Qt.Key.Key_9)
    assert hand.said == ["S1 has 4 positions: off, 1, both, 2."]


def test_tab_goes_from_switch_to_switch_and_space_moves_them(hand) -> None:
    hand.take("operate")
    seen = []
    for _n in range(4):
        hand.key(Qt.Key.Key_Tab)
        seen += hand.chosen()
    assert seen == ["Q2", "Q3", "Q1", "S1"]
    hand.key(Qt.Key.Key_Backtab)
    assert hand.chosen() == {"Q1"}
    hand.key(Qt.Key.Key_Space)
    assert stands(hand, "Q1") == "open"
    hand.key(Qt.Key.Key_Return)
    assert stands(hand, "Q1") == "closed"
    hand.key(Qt.Key.Key_1)
    assert stands(hand, "Q1") == "open"


def test_the_keyboards_pointer_moves_a_switch(hand) -> None:
    hand.take("operate")
    hand.go(20, 30)
    hand.key(Qt.Key.Key_Return)
    assert stands(hand, "Q1") == "open"
    hand.one_edit()


def test_what_is_no_switch_says_so_and_an_empty_place_says_nothing(hand) -> None:
    hand.take("operate")
    hand.click("F1")
    assert hand.said == ["F1 has no positions: it is not a switch."]
    hand.click((34, 40))
    hand.click((34, 26))
    assert len(hand.said) == 1
    hand.nothing_done()


def test_escape_goes_back_to_choosing_and_live_parts_are_told_no_more(hand) -> None:
    hand.take("operate")
    hand.take("operate")
    assert hand.board.operating
    hand.key(Qt.Key.Key_Escape)
    assert hand.board.tool.NAME == "choose"
    assert not hand.board.operating


def test_a_sheet_without_switches_says_so(hand_on) -> None:
    from engine.edits import Put, apply
    from engine.installation import Installation, Sheet

    installation = Installation()
    apply(installation, Put("sheets", "s1", Sheet()))
    hand = hand_on(installation)
    hand.take("operate")
    hand.key(Qt.Key.Key_Tab)
    hand.key(Qt.Key.Key_1)
    assert hand.said == ["There is no switch on this sheet."]
    hand.nothing_done()


def test_a_read_only_drawing_is_left_alone(hand) -> None:
    hand.document.read_only = "another window has it."
    hand.take("operate")
    hand.click("Q1")
    hand.nothing_done()
    assert len(hand.said) == 1


def test_a_right_click_names_the_position_of_a_switch_only(hand, qtbot) -> None:
    tool = hand.take("operate")
    board = hand.board
    fuse = board.spot_at(20, 20)
    assert not tool.context(fuse, board.hit(fuse))
    selector = board.spot(hand.pixel("S1"))
    assert tool.context(selector, board.hit(selector))
    assert hand.chosen() == {"S1"}
    qtbot.keyClick(tool.menu, Qt.Key.Key_4)
    assert stands(hand, "S1") == "2"
    hand.one_edit()
    qtbot.waitUntil(lambda: tool.menu is None)
    assert not hand.take("choose").context(selector, board.hit(selector))
