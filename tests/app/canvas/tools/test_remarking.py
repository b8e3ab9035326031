"""Remarks on the board: written with mouse and keys, chosen, moved, copied, taken away, taken back."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.canvas.remarks import RemarkEditor, end_writing, writing
from app.canvas.tools import acts
from engine.picture import Text

pytestmark = pytest.mark.qt
K = Qt.Key
SHIFT, CTRL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier


def words(hand: Any) -> list[str]:
    return [r.text for r in hand.board.document.snapshot().remarks.values()]


def editor(hand: Any) -> RemarkEditor:
    found = writing(hand.board)
    assert found is not None, "nothing is being written"
    return found


def write(hand: Any, qtbot: QtBot, text: str, at: tuple[float, float] = (30.0, 45.0)) -> str:
    hand.take("remark")
    hand.click(at)
    qtbot.keyClicks(editor(hand), text)
    qtbot.keyClick(editor(hand), K.Key_Return)
    (chosen,) = hand.board.document.selection
    return chosen


def test_a_click_and_words_and_enter_are_one_edit(hand: Any, qtbot: QtBot) -> None:
    item = write(hand, qtbot, "Spare way")
    remark = hand.board.document.snapshot().remarks[item]
    assert (remark.text, remark.x, remark.y) == ("Spare way", 30, 45)
    assert hand.board.tool.NAME == "choose"
    assert writing(hand.board) is None
    drawn = [p.text for p in hand.board.shown.items.of[item] if isinstance(p, Text)]
    assert drawn == ["Spare way"]
    hand.board.document.undo()
    assert words(hand) == []
    assert item not in hand.board.shown.items.of


def test_shift_enter_begins_a_line_and_escape_leaves_all_as_it_was(hand: Any, qtbot: QtBot) -> None:
    hand.take("remark")
    hand.click((30, 45))
    qtbot.keyClicks(editor(hand), "one")
    qtbot.keyClick(editor(hand), K.Key_Return, SHIFT)
    qtbot.keyClicks(editor(hand), "two")
    qtbot.keyClick(editor(hand), K.Key_Return)
    assert words(hand) == ["one\ntwo"]
    hand.double((30.5, 45.5))
    qtbot.keyClicks(editor(hand), "other")
    qtbot.keyClick(editor(hand), K.Key_Escape)
    assert words(hand) == ["one\ntwo"]
    assert hand.board.window().focusWidget() is hand.board


def test_by_keys_alone(hand: Any, qtbot: QtBot) -> None:
    hand.take("remark")
    hand.go(32, 44)
    hand.key(K.Key_Return)
    qtbot.keyClicks(editor(hand), "By hand")
    qtbot.keyClick(editor(hand), K.Key_Return)
    hand.key(K.Key_F2)
    qtbot.keyClicks(editor(hand), "By keys")  # all of it was chosen
    qtbot.keyClick(editor(hand), K.Key_Return)
    assert words(hand) == ["By keys"]
    hand.key(K.Key_Right, CTRL, times=3)
    (remark,) = hand.board.document.snapshot().remarks.values()
    assert remark.x == 35


def test_what_says_nothing_is_not_written_and_goes_when_emptied(hand: Any, qtbot: QtBot) -> None:
    hand.take("remark")
    hand.click((30, 45))
    qtbot.keyClick(editor(hand), K.Key_Return)
    hand.nothing_done()
    write(hand, qtbot, "Soon gone")
    hand.key(K.Key_F2)
    qtbot.keyClick(editor(hand), K.Key_Delete)
    qtbot.keyClick(editor(hand), K.Key_Return)
    assert words(hand) == []
    assert "Soon gone" in hand.board.document.history.undo_words


def test_it_is_dragged_and_keeps_off_the_frame(hand: Any, qtbot: QtBot) -> None:
    item = write(hand, qtbot, "Move me")
    hand.board.grasp(())
    hand.drag((30.5, 45.5), (34.5, 47.5))
    remark = hand.board.document.snapshot().remarks[item]
    assert (remark.x, remark.y) == (34, 47)
    told: list[str] = []
    hand.board.refused.connect(told.append)
    acts.move_selection(hand.board, -200, 0)
    assert told
    assert "Move me" in told[0]
    assert hand.board.document.snapshot().remarks[item].x == 34


def test_it_goes_with_everything_that_is_chosen(hand: Any, qtbot: QtBot) -> None:
    item = write(hand, qtbot, "With the rest")
    before = hand.placement("F1").x
    acts.select_all(hand.board)
    assert item in hand.board.document.selection
    acts.move_selection(hand.board, 1, 0)
    assert hand.placement("F1").x == before + 1
    assert hand.board.document.snapshot().remarks[item].x == 31
    assert acts.delete_selection(hand.board)
    assert words(hand) == []
    hand.board.document.undo()
    assert words(hand) == ["With the rest"]


def test_copied_pasted_doubled(hand: Any, qtbot: QtBot) -> None:
    write(hand, qtbot, "Twice")
    assert acts.copy_selection(hand.board)
    assert "Twice" in QApplication.clipboard().text()
    assert acts.paste(hand.board)
    assert words(hand) == ["Twice", "Twice"]
    assert acts.duplicate(hand.board)
    assert words(hand) == ["Twice"] * 3
    assert len({(r.x, r.y) for r in hand.board.document.snapshot().remarks.values()}) == 3


def test_what_is_half_typed_is_taken_before_saving(hand: Any, qtbot: QtBot) -> None:
    hand.take("remark")
    hand.click((30, 45))
    qtbot.keyClicks(editor(hand), "half ty")
    end_writing(hand.board)
    assert words(hand) == ["half ty"]


def test_a_drawing_to_read_only_says_so(hand: Any, qtbot: QtBot) -> None:
    hand.board.document.read_only = "it is somebody else's"
    told: list[str] = []
    hand.board.refused.connect(told.append)
    hand.take("remark")
    hand.click((30, 45))
    assert writing(hand.board) is None
    assert told
    assert "somebody else" in told[0]


@pytest.mark.parametrize("text", ["<b>&=1+1", "😀 лодка", "مرحبا", "x" * 400])
def test_any_words_stand_as_they_are(hand: Any, qtbot: QtBot, text: str) -> None:
    hand.take("remark")
    hand.click((30, 45))
    editor(hand).setPlainText(text)
    qtbot.keyClick(editor(hand), K.Key_Return)
    assert words(hand) == [text]
    (item,) = hand.board.document.snapshot().remarks
    assert "".join(p.text for p in hand.board.shown.items.of[item] if isinstance(p, Text)) == text.replace("\n", "")


def test_letters_that_are_keys_of_the_board_are_only_letters(hand: Any, qtbot: QtBot) -> None:
    hand.take("remark")
    hand.click((30, 45))
    qtbot.keyClicks(editor(hand), "NUdlstRei / = 1")
    qtbot.keyClick(editor(hand), K.Key_D, CTRL)
    assert editor(hand).toPlainText() == "NUdlstRei / = 1"
    qtbot.keyClick(editor(hand), K.Key_Return)
    assert words(hand) == ["NUdlstRei / = 1"]
