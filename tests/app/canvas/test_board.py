from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.canvas.tool import Hit, Tool
from engine.edits import EditError, Put
from engine.picture import Box

pytestmark = pytest.mark.qt

LEFT = Qt.MouseButton.LeftButton
SHIFT = Qt.KeyboardModifier.ShiftModifier


def test_the_tool_hears_where_the_pointer_is_and_on_what(ketch: Any, notebook: Any) -> None:
    at = ketch.middle(ketch.placed("M21"))
    ketch.move(at)
    QTest.mousePress(ketch.board.viewport(), LEFT, pos=at)
    QTest.mouseRelease(ketch.board.viewport(), LEFT, pos=at)
    assert [told for told, _s, _h in notebook.heard] == ["move", "press", "release"]
    spot, hit = notebook.last("press")
    assert (hit.kind, hit.item, hit.placement) == ("equipment", ketch.id("M21"), ketch.placed("M21"))
    placement = ketch.document.snapshot().placements[ketch.placed("M21")]
    assert (spot.column, spot.row) == (placement.x, placement.y)
    sight = ketch.board.finder().sight
    assert abs(spot.x - sight.left - spot.column * 2.5) <= 1.25
    QTest.mouseDClick(ketch.board.viewport(), LEFT, pos=at)
    assert notebook.last("double")[1].item == ketch.id("M21")


def test_what_is_under_the_pointer_is_told_in_a_sentence(ketch: Any) -> None:
    ketch.move(ketch.middle(ketch.placed("M21")))
    assert ketch.pointed[-1].startswith("M21: Bilge pump 1")
    line = max(ketch.board.finder().lines(ketch.id("W60")), key=lambda b: b.bottom - b.top)
    ketch.move(ketch.pixel(line.left, (line.top + line.bottom) / 2))
    assert ketch.pointed[-1].startswith("W60 ")
    assert "from F23, terminal" in ketch.pointed[-1]
    assert ketch.pointed[-1].endswith("to P23") or "P23, terminal" in ketch.pointed[-1]
    ketch.move(ketch.pixel(30, 250))
    assert ketch.pointed[-1] == ""


def test_selection_is_marked_by_lines_and_in_step_both_ways(ketch: Any) -> None:
    board, document = ketch.board, ketch.document
    m21, w60 = ketch.id("M21"), ketch.id("W60")
    board.grasp((ketch.placed("M21"),), (w60,))
    assert set(document.selection) == {m21, w60}
    assert board.grasped == (ketch.placed("M21"),)
    marks = board.marks
    around = marks._halo.path().boundingRect()
    box = board.finder().boxes[ketch.placed("M21")]
    assert around.left() < box.left
    assert around.right() > box.right
    assert marks._ticks.isVisible()
    assert marks._run_ends.isVisible()
    document.select(ketch.id("M22"))
    assert board.grasped == (ketch.placed("M22"),)
    assert not marks._run_halo.isVisible()
    assert board.accessibleDescription().startswith("Selected: M22")
    board.grasp((ketch.placed("M21"),), add=True)
    assert set(document.selection) == {m21, ketch.id("M22")}
    assert "and 1 more" in board.accessibleDescription()
    document.select()
    assert not marks._halo.isVisible()
    assert board.accessibleDescription() == "Nothing is selected."
    document.select(ketch.id("G10"))
    assert board.grasped == (), "it is on another sheet"


def test_one_of_two_symbols_stays_the_one_that_is_held(ketch: Any) -> None:
    document = ketch.document
    item = ketch.id("M21")
    old = document.snapshot().placements[ketch.placed("M21")]
    import msgspec

    twin = f"a{document.installation.last_id + 1}"
    document.do(Put("placements", twin, msgspec.structs.replace(old, x=old.x + 30), "Twin"))
    ketch.board.grasp((twin,))
    assert ketch.board.grasped == (twin,)
    assert document.selection == (item,)
    document.select(ketch.id("M22"))
    document.select(item)
    assert set(ketch.board.grasped) == {twin, ketch.placed("M21")}


def test_the_keyboard_goes_over_the_grid_and_presses(ketch: Any, notebook: Any) -> None:
    board = ketch.board
    placement = ketch.document.snapshot().placements[ketch.placed("M21")]
    ketch.document.select(ketch.id("M21"))
    ketch.key(Qt.Key.Key_Right)
    assert board.marks._pointer.isVisible()
    assert (board.cursor_column, board.cursor_row) == (placement.x, placement.y), "it begins at what is selected"
    ketch.key(Qt.Key.Key_Right)
    ketch.key(Qt.Key.Key_Down, SHIFT)
    assert (board.cursor_column, board.cursor_row) == (placement.x + 1, placement.y + 10)
    ketch.key(Qt.Key.Key_Up, SHIFT)
    ketch.key(Qt.Key.Key_Left)
    assert notebook.last("move")[1].placement == ketch.placed("M21")
    assert ketch.pointed[-1].startswith("M21")
    notebook.heard.clear()
    ketch.key(Qt.Key.Key_Space)
    assert [t for t, _s, _h in notebook.heard] == ["press", "release"]
    assert notebook.last("press")[1].item == ketch.id("M21")
    ketch.key(Qt.Key.Key_Return)
    assert len(notebook.heard) == 4
    for _n in range(60):
        ketch.key(Qt.Key.Key_Left, SHIFT)
    assert board.cursor_column == 0, "it stays on the sheet"
    QTest.mouseClick(board.viewport(), LEFT, pos=QPoint(600, 700))
    assert not board.marks._pointer.isVisible()


def test_the_cursor_is_kept_in_view(ketch: Any) -> None:
    board = ketch.board
    board.zoom_by(8)
    ketch.key(Qt.Key.Key_Right)
    for _n in range(8):
        ketch.key(Qt.Key.Key_Down, SHIFT)
        spot = board.spot_at(board.cursor_column, board.cursor_row)
        assert board.viewport().rect().contains(board.to_viewport(spot.x, spot.y).toPoint())


def test_enter_on_what_is_selected_asks_for_its_particulars(ketch: Any) -> None:
    ketch.document.select(ketch.id("M21"))
    ketch.key(Qt.Key.Key_Return)
    assert ketch.asked == [ketch.id("M21")]


def test_tab_reads_the_sheet_and_leaves_it_at_the_end(ketch: Any) -> None:
    board, document = ketch.board, ketch.document
    order = board.finder().reading_order()
    ketch.key(Qt.Key.Key_Tab)
    assert document.selection == (order[0],)
    ketch.key(Qt.Key.Key_Tab)
    assert document.selection == (order[1],)
    assert ketch.pointed[-1] != ""
    QTest.keyClick(board, Qt.Key.Key_Backtab, SHIFT)
    assert document.selection == (order[0],)
    assert board.focusNextPrevChild(False) is False or document.selection == (order[0],)
    document.select(order[-1])
    board.focusNextPrevChild(True)
    assert document.selection == (order[-1],), "past the last it goes elsewhere"


def test_escape_puts_the_tool_down_and_then_lets_go_of_the_selection(ketch: Any, notebook: Any) -> None:
    named: list[str] = []
    ketch.board.tool_changed.connect(named.append)
    ketch.document.select(ketch.id("M21"))
    ketch.key(Qt.Key.Key_Escape)
    assert notebook.heard[-1][0] == "put down"
    assert named == ["choose"]
    assert ketch.document.selection != ()
    ketch.key(Qt.Key.Key_Escape)
    assert ketch.document.selection == ()


def test_a_thing_on_another_sheet_is_revealed_there_and_ringed_a_moment(ketch: Any) -> None:
    board, document = ketch.board, ketch.document
    board.zoom_by(6)
    for name in ("G10", "W210", "M21"):
        assert board.reveal(ketch.id(name))
        box = board.finder().box_of(ketch.id(name))
        assert box is not None, name
        there = board.to_viewport((box.left + box.right) / 2, (box.top + box.bottom) / 2)
        assert board.viewport().rect().contains(there.toPoint())
        assert board.marks.is_flashing
    assert document.sheet == document.sheets()[2]
    ketch.qtbot.waitUntil(lambda: not board.marks.is_flashing, timeout=5000)
    assert board.reveal("nothing") is False
    assert board.reveal(document.sheets()[0])
    assert document.sheet == document.sheets()[0]
    assert board.accessibleName().startswith("Sheet 1: ")


def test_terminals_are_ringed_while_a_run_is_drawn(ketch: Any) -> None:
    board = ketch.board
    board.mark_terminals("all")
    rings = board.marks._rings.path()
    for piece in board.scene_now().on(ketch.document.sheet):
        for name in piece.look.ports:
            if piece.shows(name) and not piece.is_bar:
                x, y = board.finder().port(piece, name)
                assert rings.contains(QPointF(x, y))
    board.mark_terminals((ketch.placed("M21"),))
    assert board.marks._rings.path().boundingRect().width() < 20
    board.take_up(Tool(board))
    assert not board.marks._rings.isVisible()


def test_previews_come_and_go_and_leave_nothing(ketch: Any) -> None:
    board = ketch.board
    count, before = ketch.items(), ketch.image()
    piece = board.scene_now().on(ketch.document.sheet)[0]
    board.show_ghost(piece.look.shape.primitives)
    board.show_rubber([(100, 100), (100, 150), (130, 150)], False)
    board.show_insert(60, 60, True)
    board.show_band(Box(10, 10, 50, 50))
    QApplication.processEvents()
    assert ketch.image() != before
    assert board.marks._rubber_end.isVisible(), "a line that will not do ends in a cross"
    board.show_rubber([(10, 10), (30, 10), (30, 40), (10, 40), (10, 10)])
    assert board.marks._band.path().boundingRect().height() == 30
    board.clear_preview()
    assert ketch.items() == count
    assert ketch.image() == before


def test_an_edit_that_cannot_be_done_is_told(ketch: Any) -> None:
    def cannot() -> object:
        raise EditError("It cannot be.")

    assert ketch.board.try_edit(cannot) is False
    assert ketch.board.try_edit(Put("equipment", ketch.id("M21"), None, "Remove")) is False
    assert ketch.refused[0] == "It cannot be."
    assert len(ketch.refused) == 2
    assert ketch.board.try_edit(Put("sheets", "s900", ketch.document.snapshot().sheets[ketch.document.sheet], "Add"))


def test_a_drag_out_of_the_window_scrolls(ketch: Any, notebook: Any) -> None:
    board = ketch.board
    board.zoom_by(6)
    seen = board.seen_box()
    QTest.mousePress(board.viewport(), LEFT, pos=QPoint(600, 400))
    for _n in range(5):
        ketch.move(QPoint(1300, 400), LEFT)
    QTest.mouseRelease(board.viewport(), LEFT, pos=QPoint(1100, 400))
    assert board.seen_box().left > seen.left
    assert board.seen_box().top == pytest.approx(seen.top)


def test_notes_are_pointed_at_by_number(ketch: Any) -> None:
    from app.judgement import Judgement
    from engine.check import check

    result = check(ketch.document.snapshot())
    ketch.document.turn_to(ketch.document.sheets()[0])
    picture = ketch.draw(result=result)
    number = next(iter(picture.note_boxes))
    finding = result.findings[0]
    ketch.document._judged(Judgement(1, result, {finding.key: number}, {}))
    box = picture.note_boxes[number]
    ketch.move(ketch.pixel((box.left + box.right) / 2, (box.top + box.bottom) / 2))
    assert ketch.pointed[-1] == finding.message
    assert ketch.board.hit(ketch.board.spot_mm(box.left + 1, box.top + 1)) == Hit("note", number=number)
