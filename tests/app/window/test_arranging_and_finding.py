"""Find, renumber, replace, arrange, enclosures and the other end, through the real window with mouse and keys."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.qt
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import QPoint, Qt  # noqa: E402
from PySide6.QtWidgets import QFileDialog, QMenu  # noqa: E402
from pytestqt.qtbot import QtBot  # noqa: E402

from app.window.main import Window  # noqa: E402
from app.window.start import Desk  # noqa: E402
from engine.edits import Put  # noqa: E402
from engine.installation import Revision  # noqa: E402

Shown = Callable[[Window | None], Window]
K, M = Qt.Key, Qt.KeyboardModifier
ALT_SHIFT = M.AltModifier | M.ShiftModifier


@pytest.fixture
def window(desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot) -> Window:
    """The ketch, the keyboard at the sheet."""
    made = shown(desk.open_path(ketch))
    made.resize(1300, 850)
    made.board.setFocus()
    qtbot.waitUntil(made.board.hasFocus)
    return made


def _id(window: Window, name: str) -> str:
    return window.document.installation.find(name)[0][1]


def _symbols(window: Window, *names: str) -> list[str]:
    ids = [_id(window, n) for n in names]
    sheet = window.document.sheet
    placements = window.document.snapshot().placements
    return [next(i for i, p in placements.items() if p.equipment == e and p.sheet == sheet) for e in ids]


def _sheet_of(window: Window, name: str) -> str:
    item = _id(window, name)
    return next(p.sheet for p in window.document.snapshot().placements.values() if p.equipment == item)


# -- find -------------------------------------------------------------------------------------------------------------
def test_find_as_one_types_and_walk_through(window: Window, qtbot: QtBot) -> None:
    first = window.document.sheet
    qtbot.keyClick(window.board, K.Key_F, M.ControlModifier)
    page: Any = window.pages.currentWidget()
    assert window.window().focusWidget() is page.line
    qtbot.waitUntil(lambda: not page._reading.isActive())
    qtbot.keyClicks(page.line, "300 a")
    assert page.head.text() == "2 things found"
    assert "sheet 1 / D4" in page.list.item(0).text()
    qtbot.keyClick(page.line, K.Key_Down)
    assert window.document.selection == (_id(window, "F1"),)
    assert window.document.sheet == first
    qtbot.keyClick(page.line, K.Key_Down)
    assert window.document.selection == (_id(window, "Q2"),)
    assert window.document.sheet == _sheet_of(window, "Q2") != first
    qtbot.keyClick(page.line, K.Key_Return)
    assert window.board.window().focusWidget() is window.board
    qtbot.keyClick(window.board, K.Key_Left, M.AltModifier)
    assert window.document.sheet == first
    # what was typed is typed over; everything found is chosen
    qtbot.keyClick(window.board, K.Key_F, M.ControlModifier)
    qtbot.keyClicks(page.line, "to remove")
    count = page.found.total
    qtbot.mouseClick(page.all, Qt.MouseButton.LeftButton)
    assert len(window.document.selection) == count > 3
    assert all(window.document.find(i)[1].status == "to remove" for i in window.document.selection)
    for words in ("<b>&=1+1", "zzz 😀", "أنوار" * 40):
        page.line.setText(words)
        assert page.found.total == 0
        assert not page.all.isEnabled()


# -- the other end ----------------------------------------------------------------------------------------------------
@pytest.mark.long
def test_to_the_other_end_and_back(window: Window, qtbot: QtBot) -> None:
    first, run = window.document.sheet, _id(window, "W4")
    window.board.grasp((), (run,))
    qtbot.keyClick(window.board, K.Key_F)
    second = window.document.sheet
    assert second != first
    assert window.document.selection == (run,)
    qtbot.keyClick(window.board, K.Key_F)
    assert window.document.sheet == first
    qtbot.keyClick(window.board, K.Key_Left, M.AltModifier)
    assert window.document.sheet == second
    # a double click on the arrow does the same
    part = next(p for p in window.board.scene_now().parts_on(second) if p.run == run)
    x, y = window.board.finder().sight.at(part.points[-1])
    at = window.board.to_viewport(x, y).toPoint()
    qtbot.mouseClick(window.board.viewport(), Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseDClick(window.board.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert window.document.sheet == first
    # equipment with several symbols: the next one
    window.document.turn_to(_sheet_of(window, "T1"))
    window.board.grasp(_symbols(window, "T1"))
    seen = []
    for _n in range(3):
        qtbot.keyClick(window.board, K.Key_F)
        seen.append(window.document.sheet)
    assert len(set(seen)) > 1
    assert window.document.selection == (_id(window, "T1"),)


# -- arrange ----------------------------------------------------------------------------------------------------------
def test_align_nudge_distribute_and_straighten_by_keys(window: Window, qtbot: QtBot) -> None:
    board, document = window.board, window.document
    before = document.snapshot()
    (item,) = _symbols(window, "Q8")
    board.grasp((item,))
    x = document.snapshot().placements[item].x
    qtbot.keyClick(board, K.Key_Right, M.ControlModifier)
    assert document.snapshot().placements[item].x == x + 1
    qtbot.keyClick(board, K.Key_Right, M.ControlModifier | M.ShiftModifier)
    assert document.snapshot().placements[item].x == x + 5
    for _n in range(2):
        qtbot.keyClick(board, K.Key_Z, M.ControlModifier)
    assert document.snapshot() == before
    qtbot.keyClick(board, K.Key_Right, M.ControlModifier)
    qtbot.keyClick(board, K.Key_D, M.ShiftModifier)
    assert document.snapshot().placements[item].x == x
    assert document.history.undo_words == "Straighten Q8"
    qtbot.keyClick(board, K.Key_D, M.ShiftModifier)
    pair = _symbols(window, "G5", "P1")
    board.grasp(pair)
    qtbot.keyClick(board, K.Key_Right, ALT_SHIFT)
    a, b = (document.snapshot().placements[p] for p in pair)
    assert a.x == b.x
    three = _symbols(window, "F9", "F8", "Q1")
    board.grasp(three)
    qtbot.keyClick(board, K.Key_Up, ALT_SHIFT)
    assert len({document.snapshot().placements[p].y for p in three}) == 1
    qtbot.keyClick(board, K.Key_H, M.ControlModifier | M.AltModifier)
    assert document.history.undo_words.startswith("Distribute")


# -- enclosures -------------------------------------------------------------------------------------------------------
def _panel_sheet(window: Window) -> str:
    document = window.document
    sheet = _sheet_of(window, "Q21")
    document.turn_to(sheet)
    return document.snapshot().equipment[_id(window, "Q21")].enclosure


def test_an_enclosure_is_chosen_by_a_key_and_by_its_name_and_moves_together(window: Window, qtbot: QtBot) -> None:
    board, document = window.board, window.document
    enclosure = _panel_sheet(window)
    board.grasp(_symbols(window, "Q21"))
    qtbot.keyClick(board, K.Key_B)
    here = {
        i for i, p in document.snapshot().placements.items()
        if p.sheet == document.sheet and document.snapshot().equipment[p.equipment].enclosure == enclosure
    }  # fmt: skip
    assert set(board.grasped) == here
    assert len(here) > 4
    board.grasp(())
    box = board.finder()._texts(enclosure)[0]
    middle = board.to_viewport((box.left + box.right) / 2, (box.top + box.bottom) / 2).toPoint()
    before = {i: document.snapshot().placements[i] for i in here}
    others = {i: p for i, p in document.snapshot().placements.items() if i not in here}
    port = board.viewport()
    qtbot.mousePress(port, Qt.MouseButton.LeftButton, pos=middle)
    assert set(board.grasped) == here
    down = QPoint(0, round(10 * board.pixels_per_mm))
    qtbot.mouseMove(port, middle + down / 2)
    qtbot.mouseMove(port, middle + down)
    qtbot.mouseRelease(port, Qt.MouseButton.LeftButton, pos=middle + down)
    after = document.snapshot().placements
    assert {after[i].y - p.y for i, p in before.items()} == {4}
    assert all(after[i] == p for i, p in others.items())


@pytest.mark.long
def test_without_an_enclosure_it_is_said(window: Window, qtbot: QtBot) -> None:
    window.board.grasp(_symbols(window, "G5"))
    said: list[str] = []
    window.board.refused.connect(said.append)
    qtbot.keyClick(window.board, K.Key_B)
    assert said == ["Nothing is chosen on this sheet that stands in an enclosure."]


# -- renumber ---------------------------------------------------------------------------------------------------------
def test_renumber_shows_first_then_does_as_one_change(
    window: Window, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = window.document
    before = document.snapshot()
    qtbot.keyClick(window.board, K.Key_N, M.ControlModifier | M.ShiftModifier)
    page: Any = window.pages.currentWidget()
    assert page.what.window().focusWidget() is page.what
    assert page.do.isEnabled()
    rows = page.changes.rowCount()
    assert rows > 100
    page.by.setCurrentIndex(1)
    page.reckon()
    names = {c.old: c.new for c, _w in page.changes.rows}
    assert names["F1"].startswith("F1")
    assert len(names["F1"]) == 4
    # one is to stay: the space bar ticks it off
    page.table.setCurrentIndex(page.changes.index(0, 0))
    stays = page.changes.rows[0][0]
    qtbot.keyClick(page.table, K.Key_Space)
    page.reckon()
    assert document.snapshot() is before, "nothing is done yet"
    path = tmp_path / "labels.csv"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(path), ""))
    qtbot.mouseClick(page.write, Qt.MouseButton.LeftButton)
    assert names["F1"] in path.read_text(encoding="utf-8-sig")
    qtbot.mouseClick(page.do, Qt.MouseButton.LeftButton)
    after = document.snapshot()
    assert document.history.undo_words.startswith("Renumber ")
    assert after.name(stays.item) == stays.old
    assert {i: r.KIND for i, r in after.equipment.items()} == {i: r.KIND for i, r in before.equipment.items()}
    document.undo()
    assert document.snapshot() == before


def test_an_issued_drawing_is_locked_on_every_page(window: Window, qtbot: QtBot) -> None:
    document = window.document
    document.do(Put("revisions", document.installation.new_id("revisions"), Revision(index="D", issued=True)))
    qtbot.keyClick(window.board, K.Key_N, M.ControlModifier | M.ShiftModifier)
    page: Any = window.pages.currentWidget()
    assert "revision D is issued" in page.head.text()
    assert not page.do.isEnabled()
    # the particulars refuse too
    item = _id(window, "F1")
    window.board.grasp(_symbols(window, "F1"))
    window.show_page("particulars")
    row = window.pages.particulars().form.rows["designation"]
    entry = row.first_stop()
    entry.setFocus()
    qtbot.keyClick(entry, K.Key_A, M.ControlModifier)
    qtbot.keyClicks(entry, "F77")
    qtbot.keyClick(entry, K.Key_Return)
    assert document.snapshot().name(item) == "F1"
    assert "revision D is issued" in row.fault
    qtbot.keyClick(entry, K.Key_Escape)
    document.undo()
    assert "F1" in {r.designation for r in document.snapshot().equipment.values()}


# -- replace ----------------------------------------------------------------------------------------------------------
def test_replace_the_kind_with_keys(window: Window, qtbot: QtBot) -> None:
    document, board = window.document, window.board
    item = _id(window, "F9")
    board.grasp(_symbols(window, "F9"))
    runs = {r: document.snapshot().runs[r] for r in document.installation.runs_at(item)}
    qtbot.keyClick(board, K.Key_R, M.ControlModifier)
    page: Any = window.pages.currentWidget()
    assert page.line.window().focusWidget() is page.line
    qtbot.keyClicks(page.line, "circuit breaker")
    assert "F9 loses: " in page.told.text()
    assert page.do.isEnabled()
    qtbot.keyClick(page.line, K.Key_Return)
    now = document.snapshot()
    assert now.equipment[item].KIND == "circuit_breaker"
    assert (now.equipment[item].rating_a, now.equipment[item].label) == (30, "24-hour circuits fuse")
    assert set(document.installation.runs_at(item)) == set(runs)
    assert board.window().focusWidget() is board
    qtbot.keyClick(board, K.Key_Z, M.ControlModifier)
    assert document.snapshot().equipment[item].KIND == "fuse"


@pytest.mark.long
def test_a_run_ends_loose_only_once_that_is_agreed_to(window: Window, qtbot: QtBot) -> None:
    document, board = window.document, window.board
    item = _id(window, "F9")
    board.grasp(_symbols(window, "F9"))
    window.show_page("swapping")
    page: Any = window.pages.currentWidget()
    qtbot.keyClicks(page.line, "Load")
    assert page.kind == "load"
    assert "ends loose" in page.told.text()
    qtbot.keyClick(page.line, K.Key_Return)
    assert document.snapshot().equipment[item].KIND == "fuse"
    assert page.agree.window().focusWidget() is page.agree
    qtbot.keyClick(page.agree, K.Key_Space)
    qtbot.mouseClick(page.do, Qt.MouseButton.LeftButton)
    assert document.snapshot().equipment[item].KIND == "load"


# -- the board's menu -------------------------------------------------------------------------------------------------
def _menu(window: Window, at: QPoint) -> list[str]:
    window.menus.at_board(at)
    menu = next(m for m in window.findChildren(QMenu) if m.isVisible() and m.parent() is window)
    names = [a.objectName() for a in menu.actions() if not a.isSeparator()]
    assert not menu.actions()[0].isSeparator()
    menu.close()
    return names


def test_the_menu_is_by_what_is_under_the_pointer(window: Window) -> None:
    from app.canvas.tool import Hit
    from app.canvas.tools.at_pointer import context_actions

    board = window.board
    (item,) = _symbols(window, "Q8")
    box = board.finder().box_of(item)
    names = _menu(window, board.to_viewport((box.left + box.right) / 2, (box.top + box.bottom) / 2).toPoint())
    assert {"swap", "turn", "delete_with_runs", "far_end"} <= set(names)
    assert "paste" not in names
    empty = _menu(window, QPoint(3, 3))
    assert {"find", "select_all"} <= set(empty)
    assert "swap" not in empty
    for kind in ("terminal", "equipment", "run", "remark", "enclosure", "note", ""):
        for name in context_actions(board, Hit(kind, _id(window, "Q8") if kind else "")):  # type: ignore[arg-type]
            assert not name or name in window.menus.of, name


# -- from drawing to drawing ----------------------------------------------------------------------------------------
def test_copied_into_another_window_with_its_place_and_panel(
    desk: Desk, shown: Shown, window: Window, tmp_path: Path, qtbot: QtBot
) -> None:
    from engine.builder import Builder
    from engine.files.drawing import save
    from engine.installation import Sheet

    b = Builder()
    b.add("fuse", "F3", rating_a=5)
    b._new("sheets", Sheet(number=1))
    path = tmp_path / "tern.linewright"
    save(b.installation, path)
    window.document.turn_to(_sheet_of(window, "F3"))
    board = window.board
    board.grasp(_symbols(window, "F3", "F5", "WC1"))
    first = window.document.snapshot()
    qtbot.keyClick(board, K.Key_C, M.ControlModifier)
    other = shown(desk.open_path(path))
    other.board.setFocus()
    qtbot.waitUntil(other.board.hasFocus)
    qtbot.keyClick(other.board, K.Key_V, M.ControlModifier)
    now = other.document.snapshot()
    named = {r.designation: r for r in now.equipment.values()}
    assert named["F3"].rating_a == 5, "what was there keeps its name"
    assert (named["F1"].rating_a, named["F5"].rating_a) == (200, 200)
    panel = now.enclosures[named["F5"].enclosure]
    old = first.enclosures[first.equipment[_id(window, "F5")].enclosure]
    assert (panel.name, now.places[panel.place].name) == (old.name, first.places[old.place].name)
    assert len(now.enclosures) == 1
    assert len(now.runs) == 2
    words = other.document.history.undo_words
    assert "F3 is called F1 here" in words
    assert f"new here: {', '.join((now.places[panel.place].name, panel.name))}" in words or panel.name in words
    qtbot.keyClick(other.board, K.Key_V, M.ControlModifier)
    assert len(other.document.snapshot().enclosures) == 1, "the second time it is there"
    qtbot.keyClick(other.board, K.Key_Z, M.ControlModifier)
    qtbot.keyClick(other.board, K.Key_Z, M.ControlModifier)
    assert set(other.document.snapshot().equipment) == set(b.installation.equipment)
    assert window.document.snapshot() is first
