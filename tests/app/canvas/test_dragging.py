from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication, QGraphicsPathItem

from app.canvas.dragging import stretched
from app.drawing.changes import move

pytestmark = pytest.mark.qt


def standing(eye: Any, owner: str) -> set[tuple[float, float, bool]]:
    return {(i.pos().x(), i.pos().y(), i.isVisible()) for i, _s in eye.board.shown.items.items[owner]}


def lines(eye: Any) -> list[list[tuple[float, float]]]:
    """The stand-ins of stretched runs, as points."""
    drag = eye.board._drag
    assert drag is not None
    made = []
    for item, *_rest in drag._lines:
        assert isinstance(item, QGraphicsPathItem)
        path = item.path()
        made.append([(path.elementAt(n).x, path.elementAt(n).y) for n in range(path.elementCount())])
    return made


def test_symbol_and_label_move_runs_stretch_and_nothing_is_left(ketch: Any) -> None:
    board = ketch.board
    board.grasp((ketch.placed("F21"),))
    QApplication.processEvents()
    count, before = ketch.items(), ketch.image()
    board.lift((ketch.placed("F21"),), 4, -3)
    assert standing(ketch, ketch.id("F21")) == {(10.0, -7.5, True)}
    assert standing(ketch, ketch.id("F22")) == {(0.0, 0.0, True)}
    for run in ("W53", "W54"):
        assert {v for _x, _y, v in standing(ketch, ketch.id(run))} == {False}
    finder = board.finder()
    piece = next(p for p in board.scene_now().on(ketch.document.sheet) if p.id == ketch.placed("F21"))
    ends = {(x + 10.0, y - 7.5) for x, y in (finder.port(piece, n) for n in piece.look.ports)}
    drawn = lines(ketch)
    assert len(drawn) == 2
    assert {p for points in drawn for p in (points[0], points[-1])} & ends == ends
    for points in drawn:
        assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(points)), "level and upright"
    assert ketch.image() != before
    board.lift((ketch.placed("F21"),), 0, 0)
    board.lift((ketch.placed("F21"),), -2, 1)
    board.settle()
    assert ketch.items() == count
    assert ketch.image() == before
    assert ketch.document.history.undo_words == ""


def test_what_joins_only_what_is_lifted_moves_whole(ketch: Any) -> None:
    board = ketch.board
    board.lift((ketch.placed("M21"), ketch.placed("B1")), 5, 5)
    assert standing(ketch, ketch.id("W55")) == {(12.5, 12.5, True)}
    assert {v for *_p, v in standing(ketch, ketch.id("W54"))} == {False}
    board.settle()
    assert standing(ketch, ketch.id("W55")) == {(0.0, 0.0, True)}


def test_no_item_is_made_from_frame_to_frame(ketch: Any) -> None:
    board = ketch.board
    lifted = (ketch.placed("WC4"),)
    board.lift(lifted, 1, 0)
    count = ketch.items()
    drag = board._drag
    for n in range(20):
        board.lift(lifted, n, n % 3)
    assert ketch.items() == count
    assert board._drag is drag
    board.lift((ketch.placed("M21"),), 1, 1)
    assert standing(ketch, ketch.id("WC4")) == {(0.0, 0.0, True)}, "another drag ends the first"
    board.settle()


def test_a_picture_that_comes_during_a_drag_waits(ketch: Any) -> None:
    board = ketch.board
    ketch.draw()
    board.lift((ketch.placed("M21"),), 3, 3)
    items = list(board.shown.items.items[ketch.id("M21")])
    ketch.draw()
    assert board.shown.items.items[ketch.id("M21")] == items
    assert standing(ketch, ketch.id("M21")) == {(7.5, 7.5, True)}
    board.settle()
    ketch.document.do(move(ketch.document.snapshot(), (ketch.placed("M21"),), 3, 3))
    assert standing(ketch, ketch.id("M21")) == {(0.0, 0.0, True)}


def test_marks_go_along(ketch: Any) -> None:
    board = ketch.board
    board.grasp((ketch.placed("M21"),), (ketch.id("W60"),))
    board.lift((ketch.placed("M21"),), 2, 2)
    assert (board.marks._halo.pos().x(), board.marks._ticks.pos().y()) == (5.0, 5.0)
    board.settle()
    assert board.marks._halo.pos().isNull()
    assert board.marks._run_halo.isVisible()


def test_a_stretched_line_has_its_ends_and_no_slant() -> None:
    lines = [
        [(0, 0), (0, 20)],
        [(0, 0), (20, 0)],
        [(0, 0), (0, 10), (20, 10)],
        [(0, 0), (0, 10), (20, 10), (20, 30)],
        [(0, 0), (10, 0), (10, 10), (20, 10), (20, 5)],
    ]
    moves = [(5, 0, 0, 0), (0, 7, 0, 0), (3, 4, 0, 0), (0, 0, -6, 2), (1, 2, 3, 4), (5, 5, 5, 5)]
    for points in lines:
        for by in moves:
            made = stretched(points, *by)
            assert made[0] == (points[0][0] + by[0], points[0][1] + by[1])
            assert made[-1] == (points[-1][0] + by[2], points[-1][1] + by[3])
            assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(made)), (points, by)
