from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QPointF
from PySide6.QtWidgets import QGraphicsPathItem

from app.canvas.items import pen_of
from app.canvas.redraw import DOTS
from app.drawing.changes import move
from app.judgement import LiveParts
from engine.picture import Box

pytestmark = pytest.mark.qt


def pens(eye: Any, name: str) -> list[Any]:
    items = eye.board.shown.items.items[eye.id(name)]
    return [i.pen() for i, s in items if isinstance(i, QGraphicsPathItem) and s.width > 0]


def light(eye: Any, live: tuple[str, ...], doubtful: tuple[str, ...] = ()) -> None:
    parts = LiveParts(1, "", frozenset(map(eye.id, live)), frozenset(map(eye.id, doubtful)))
    eye.document._lit(parts)


def test_live_dead_and_doubtful_are_told_by_form(ketch: Any) -> None:
    board = ketch.board
    plain = [pen_of(s) for i, s in board.shown.items.items[ketch.id("M22")] if s.width > 0]
    light(ketch, ("M21", "W55", "WC1"), ("F22", "W56"))
    assert not board.live._bolts.isVisible(), "only while operating"
    board.operating = True
    assert all(not p.dashPattern() for p in pens(ketch, "M21")), "live: as drawn"
    assert all(p.dashPattern() and p.widthF() < 0.35 for p in pens(ketch, "M22")), "dead: thin and dashed"
    assert all(p.dashPattern() and p.widthF() >= 0.35 for p in pens(ketch, "F22")), "doubtful: dotted"
    bolts, doubts = board.live._bolts.path(), board.live._doubts.path()
    lines = board.finder().lines(ketch.id("W55"))
    beside = max(lines, key=lambda b: b.bottom - b.top)
    where = bolts.intersected(bolts)  # the outline, holes closed
    y = (beside.top + beside.bottom) / 2
    assert where.contains(QPointF(beside.left - 2.0, y))
    assert not doubts.isEmpty()
    board.operating = False
    assert pens(ketch, "M22") == plain
    assert not board.live._bolts.isVisible()
    assert not board.live._doubts.isVisible()


def test_signs_cover_no_label_and_dots_of_dead_lines_are_dead(ketch: Any) -> None:
    board, document = ketch.board, ketch.document
    board.operating = True
    every = frozenset((*document.snapshot().equipment, *document.snapshot().runs))
    document._lit(LiveParts(1, "", every))
    assert board.live._dots.path().isEmpty()
    finder, covered = board.finder(), 0
    signs = [polygon.boundingRect() for polygon in board.live._bolts.path().toSubpathPolygons()]
    for sign in signs:
        inner = sign.adjusted(0.1, 0.1, -0.1, -0.1)  # touching is no covering
        covered += finder.covered(Box(inner.left(), inner.top(), inner.right(), inner.bottom())) > 1.0
    assert len(signs) > 20
    assert covered <= len(signs) // 20, f"{covered} of {len(signs)}"
    document._lit(LiveParts(2, "", frozenset()))
    dots = [p.boundingRect().center() for p in board.live._dots.path().toSubpathPolygons()]
    assert len(dots) == len(board.shown.items.of[DOTS])
    assert dots


def test_what_is_drawn_anew_is_dressed_too_and_signs_follow(ketch: Any) -> None:
    board = ketch.board
    board.operating = True
    light(ketch, ("M21", "W55"))
    before = board.live._bolts.path()
    ketch.document.do(move(ketch.document.snapshot(), (ketch.placed("M22"),), 2, 0))
    assert all(p.dashPattern() for p in pens(ketch, "M22"))
    ketch.document.do(move(ketch.document.snapshot(), (ketch.placed("M21"), ketch.placed("B1")), 2, 0))
    assert board.live._bolts.path() != before
    ketch.draw()
    assert all(p.dashPattern() for p in pens(ketch, "M22"))


def test_another_condition_tells_nothing_until_it_is_known(ketch: Any) -> None:
    board, document = ketch.board, ketch.document
    board.operating = True
    light(ketch, ("M21",))
    document.set_condition(next(iter(document.snapshot().conditions)))
    assert not board.live._bolts.isVisible()
    assert all(not p.dashPattern() for p in pens(ketch, "M22"))


def test_the_pointer_says_it_in_words(ketch: Any) -> None:
    ketch.board.operating = True
    light(ketch, ("M21",), ("M22",))
    for name, word in (("M21", "(live)"), ("M22", "(may be live"), ("P23", "(dead)")):
        ketch.move(ketch.middle(ketch.placed(name)))
        assert word in ketch.pointed[-1]
