from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QPalette
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

pytestmark = pytest.mark.qt

LEFT, MIDDLE = Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton


def near(a: QPointF, b: QPointF, pixels: float = 1.0) -> bool:
    return abs(a.x() - b.x()) <= pixels and abs(a.y() - b.y()) <= pixels


def test_the_whole_sheet_is_seen_at_first_and_after_the_window_was_resized(ketch: Any) -> None:
    for size in ((1200, 800), (700, 900), (300, 200)):
        ketch.board.resize(*size)
        seen = ketch.board.seen_box()
        assert seen.left <= 0
        assert seen.top <= 0
        assert seen.right >= 420
        assert seen.bottom >= 297
        room = ketch.board.viewport().rect()
        drawn = 420 * ketch.board.pixels_per_mm, 297 * ketch.board.pixels_per_mm
        assert drawn[0] >= room.width() * 0.85 or drawn[1] >= room.height() * 0.85, "it fills the window one way"


def test_the_wheel_zooms_about_the_pointer(ketch: Any) -> None:
    at = QPoint(410, 333)
    for notches in (1, 3, -1, 0.25, 30, -30):
        ketch.board.fit()
        before, scale = ketch.board.to_sheet(at), ketch.board.pixels_per_mm
        ketch.wheel(at, notches)
        assert (ketch.board.pixels_per_mm > scale) == (notches > 0)
        assert near(ketch.board.to_viewport(before.x(), before.y()), QPointF(at)), notches


def test_zoom_ends_somewhere(ketch: Any) -> None:
    fits = ketch.board.pixels_per_mm
    ketch.wheel(QPoint(500, 400), 400)
    nearest = ketch.board.pixels_per_mm
    ketch.wheel(QPoint(500, 400), 1)
    assert ketch.board.pixels_per_mm == pytest.approx(nearest)
    ketch.wheel(QPoint(500, 400), -900)
    farthest = ketch.board.pixels_per_mm
    assert fits / 4 < farthest < fits / 2
    ketch.wheel(QPoint(500, 400), -1)
    assert ketch.board.pixels_per_mm == pytest.approx(farthest)
    assert nearest > 20 * fits


def test_the_sheet_cannot_be_lost(ketch: Any) -> None:
    board = ketch.board
    for _n in range(200):
        ketch.wheel(QPoint(600, 400), pixels=QPoint(300, 200))
    seen = board.seen_box()
    assert seen.left < 0 < seen.right, "its left edge is still in the window"
    assert seen.top < 0 < seen.bottom
    for _n in range(200):
        ketch.wheel(QPoint(600, 400), pixels=QPoint(-300, -200))
    seen = board.seen_box()
    assert seen.left < 420 < seen.right
    assert seen.top < 297 < seen.bottom


def test_two_fingers_pan_and_with_ctrl_they_zoom(ketch: Any) -> None:
    ketch.board.zoom_by(3)
    at = QPoint(600, 400)
    point, scale = ketch.board.to_sheet(at), ketch.board.pixels_per_mm
    ketch.wheel(at, pixels=QPoint(30, -50))
    assert ketch.board.pixels_per_mm == scale
    assert near(ketch.board.to_viewport(point.x(), point.y()), QPointF(630, 350))
    ketch.wheel(at, pixels=QPoint(0, 120), keys=Qt.KeyboardModifier.ControlModifier)
    assert ketch.board.pixels_per_mm > scale


def test_shift_and_wheel_pan_across(ketch: Any) -> None:
    ketch.board.zoom_by(3)
    point, scale = ketch.board.to_sheet(QPoint(600, 400)), ketch.board.pixels_per_mm
    ketch.wheel(QPoint(600, 400), 1, keys=Qt.KeyboardModifier.ShiftModifier)
    there = ketch.board.to_viewport(point.x(), point.y())
    assert ketch.board.pixels_per_mm == scale
    assert there.x() > 620
    assert there.y() == pytest.approx(400, abs=1)


def test_the_middle_button_pulls_the_sheet_and_the_tool_hears_nothing(ketch: Any, notebook: Any) -> None:
    board = ketch.board
    board.zoom_by(3)
    point = board.to_sheet(QPoint(600, 400))
    notebook.heard.clear()
    QTest.mousePress(board.viewport(), MIDDLE, pos=QPoint(600, 400))
    ketch.move(QPoint(500, 460), MIDDLE)
    QTest.mouseRelease(board.viewport(), MIDDLE, pos=QPoint(500, 460))
    assert near(board.to_viewport(point.x(), point.y()), QPointF(500, 460))
    assert notebook.heard == []
    ketch.move(QPoint(300, 300))
    assert near(board.to_viewport(point.x(), point.y()), QPointF(500, 460)), "it was let go"


def test_the_space_bar_and_the_left_button_pull_it_too(ketch: Any, notebook: Any) -> None:
    board = ketch.board
    board.zoom_by(3)
    point = board.to_sheet(QPoint(600, 400))
    board.show_cursor(60, 40)
    notebook.heard.clear()
    QTest.keyPress(board, Qt.Key.Key_Space)
    assert board.viewport().cursor().shape() == Qt.CursorShape.OpenHandCursor
    QTest.mousePress(board.viewport(), LEFT, pos=QPoint(600, 400))
    ketch.move(QPoint(650, 300), LEFT)
    QTest.mouseRelease(board.viewport(), LEFT, pos=QPoint(650, 300))
    QTest.keyRelease(board, Qt.Key.Key_Space)
    assert near(board.to_viewport(point.x(), point.y()), QPointF(650, 300))
    assert notebook.heard == [], "neither the pull nor the space bar was a press"
    assert board.viewport().cursor().shape() == notebook.CURSOR


def test_fit_width_true_size_and_the_zoom_keys(ketch: Any) -> None:
    board = ketch.board
    board.fit_width()
    seen = board.seen_box()
    assert seen.left == pytest.approx(420 - seen.right, abs=1)
    assert -10 < seen.top < 0
    board.show_true_size()
    assert board.pixels_per_mm == pytest.approx(board.logicalDpiX() / 25.4)
    assert board.zoom_percent == pytest.approx(100)
    ketch.key(Qt.Key.Key_Plus)
    assert board.zoom_percent == pytest.approx(125)
    ketch.key(Qt.Key.Key_Minus)
    assert board.zoom_percent == pytest.approx(100)
    board.fit()
    board.resize(640, 480)
    assert board.seen_box().right >= 420


def test_a_box_out_of_view_is_brought_to_the_middle_and_one_in_view_stays(ketch: Any) -> None:
    from engine.picture import Box

    board = ketch.board
    board.zoom_by(6)
    board.show_box(Box(30, 200, 40, 210))
    assert near(board.to_viewport(35, 205), QPointF(board.viewport().rect().center()), 2)
    before = board.to_viewport(35, 205)
    board.show_box(Box(40, 205, 42, 207))
    assert board.to_viewport(35, 205) == before


def test_the_sheet_stays_white_on_a_dark_desk(ketch: Any) -> None:
    board = ketch.board
    dark = QPalette()
    dark.setColor(QPalette.ColorRole.Window, QColor(30, 30, 30))
    board.setPalette(dark)
    QApplication.processEvents()
    image = ketch.image()
    desk = image.pixelColor(2, 2)
    paper = image.pixelColor(ketch.pixel(6, 6))
    assert desk.lightness() < 60
    assert paper.lightness() == 255
    board.setPalette(QPalette(QColor(240, 240, 240)))
    QApplication.processEvents()
    assert ketch.image().pixelColor(2, 2).lightness() > 150
    assert ketch.image().pixelColor(ketch.pixel(6, 6)).lightness() == 255


def test_no_name_of_qt_is_taken() -> None:
    from PySide6.QtCore import QObject
    from PySide6.QtWidgets import QGraphicsItem, QGraphicsView

    from app.canvas.board import Board
    from app.canvas.marks import Marks
    from app.canvas.shown import Shown
    from app.canvas.type_item import TypeItem

    meant = {  # Qt's own, written anew on purpose
        "changeEvent", "resizeEvent", "wheelEvent", "viewportEvent", "mousePressEvent", "mouseMoveEvent",
        "mouseReleaseEvent", "mouseDoubleClickEvent", "leaveEvent", "event", "keyPressEvent", "keyReleaseEvent",
        "focusNextPrevChild", "focusOutEvent", "boundingRect", "paint",
    }  # fmt: skip
    for ours, qts in ((Board, QGraphicsView), (Marks, QObject), (Shown, QObject), (TypeItem, QGraphicsItem)):
        for cls in ours.__mro__[: ours.__mro__.index(qts)]:
            names = {n for n in vars(cls) if not n.startswith("__")} - {"staticMetaObject"}
            assert not (names & set(dir(qts))) - meant, cls
    instance = {"document", "tool", "shown", "marks", "live", "cursor_column", "cursor_row"}
    assert not instance & set(dir(QGraphicsView))
