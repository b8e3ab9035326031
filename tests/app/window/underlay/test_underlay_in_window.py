"""A picture under the sheet in the window: laid, placed by mouse and keys, hidden, saved elsewhere, hostile."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QFileDialog, QLineEdit, QSlider
from pytestqt.qtbot import QtBot

from app.window.files import save_as
from app.window.main import Window
from app.window.underlay import lay
from engine.files.drawing import load
from engine.installation import Underlay

pytestmark = pytest.mark.qt
K = Qt.Key
LEFT = Qt.MouseButton.LeftButton
CTRL = Qt.KeyboardModifier.ControlModifier


def record(window: Window) -> Underlay:
    found = window.underlays.record
    assert found is not None
    return found


def pixel(window: Window, x: float, y: float) -> QPoint:
    return window.board.to_viewport(x, y).toPoint()


def drag(window: Window, qtbot: QtBot, a: tuple[float, float], b: tuple[float, float]) -> None:
    view = window.board.viewport()
    qtbot.mousePress(view, LEFT, pos=pixel(window, *a))
    for share in (0.3, 0.7, 1.0):
        at = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
        qtbot.mouseMove(view, pixel(window, *at))
    qtbot.mouseRelease(view, LEFT, pos=pixel(window, *b))


def colour(window: Window, x: float, y: float) -> QColor:
    return window.board.viewport().grab().toImage().pixelColor(pixel(window, x, y))


def test_laid_it_is_fitted_dimmed_and_the_tool_is_in_hand(laid: Window) -> None:
    under = record(laid)
    assert under.file == "photo.png"
    assert len(under.sha256) == 64
    assert laid.board.tool.NAME == "underlay"
    assert "photo.png" in laid.document.history.undo_words
    wide = 800 * under.mm_per_unit
    seen = colour(laid, under.left_mm + wide * 0.04, under.top_mm + 400 * under.mm_per_unit / 2)
    assert seen.red() > 200
    assert 150 < seen.green() < 200  # 35 % of red over white paper
    laid.document.undo()
    assert laid.underlays.record is None
    assert not laid.underlays.under.is_shown


@pytest.mark.long
def test_it_is_hidden_and_shown_by_its_key(laid: Window, qtbot: QtBot) -> None:
    qtbot.keyClick(laid.board, K.Key_Escape)
    assert laid.board.tool.NAME == "choose"
    qtbot.keyClick(laid.board, K.Key_U)
    assert not laid.underlays.under.is_shown
    qtbot.keyClick(laid.board, K.Key_U)
    assert laid.underlays.under.is_shown
    assert not [w for w in ("undo", "redo") if "Show" in laid.document.history.undo_words]


def test_two_points_and_a_distance_set_its_scale(laid: Window, qtbot: QtBot) -> None:
    view = laid.board.viewport()
    before = record(laid).mm_per_unit
    for at in ((100.0, 100.0), (200.0, 100.0)):
        qtbot.mouseClick(view, LEFT, pos=pixel(laid, *at))
    (a, b) = laid.board.tool.points  # type: ignore[attr-defined]  # the tool in hand
    line = view.findChild(QLineEdit, "apart")
    assert isinstance(line, QLineEdit)
    assert line.window().focusWidget() is line
    qtbot.keyClicks(line, "many")
    qtbot.keyClick(line, K.Key_Return)
    assert record(laid).mm_per_unit == before
    line.clear()
    qtbot.keyClicks(line, "2.5 m 1:50")
    qtbot.keyClick(line, K.Key_Return)
    assert record(laid).mm_per_unit == pytest.approx(before * 50.0 / math.dist(a, b), rel=1e-6)
    qtbot.waitUntil(laid.board.hasFocus)
    laid.document.undo()
    assert record(laid).mm_per_unit == before


@pytest.mark.long
def test_dragged_turned_nudged_and_its_points_put_on_the_grid(laid: Window, qtbot: QtBot) -> None:
    before = record(laid)
    drag(laid, qtbot, (120, 120), (140, 130))
    assert record(laid).left_mm == pytest.approx(before.left_mm + 20, abs=1.0)
    assert record(laid).mm_per_unit == before.mm_per_unit
    moved = record(laid)
    qtbot.keyClick(laid.board, K.Key_Right, CTRL)
    assert record(laid).left_mm == pytest.approx(moved.left_mm + 2.5, abs=1e-3)
    qtbot.keyClick(laid.board, K.Key_T)
    assert record(laid).turned_deg == 90
    view = laid.board.viewport()
    for at in ((100.0, 100.0), (200.0, 100.0)):
        qtbot.mouseClick(view, LEFT, pos=pixel(laid, *at))
    tool = laid.board.tool
    drag(laid, qtbot, tool.points[0], (80, 90))  # type: ignore[attr-defined]
    first, second = tool.points  # type: ignore[attr-defined]
    turned = record(laid)
    drag(laid, qtbot, second, (first[0], first[1] + 50))
    assert record(laid).turned_deg == pytest.approx(180, abs=0.1) or record(laid).turned_deg == pytest.approx(
        -180, abs=0.1
    )
    assert record(laid).mm_per_unit == pytest.approx(turned.mm_per_unit * 50 / math.dist(first, second), rel=0.02)
    sight = laid.board.finder().sight
    for x, y in tool.points:  # type: ignore[attr-defined]
        assert (x - sight.left) / 2.5 == pytest.approx(round((x - sight.left) / 2.5), abs=1e-6)
        assert (y - sight.top) / 2.5 == pytest.approx(round((y - sight.top) / 2.5), abs=1e-6)


@pytest.mark.long
def test_its_strength_is_one_edit(laid: Window, qtbot: QtBot) -> None:
    slider = laid.findChild(QSlider)
    assert isinstance(slider, QSlider)
    assert slider.isVisible()
    slider.setFocus()
    for _n in range(4):
        qtbot.keyClick(slider, K.Key_Right)
    qtbot.waitUntil(lambda: record(laid).strength_percent == 55)
    laid.document.undo()
    assert record(laid).strength_percent == 35
    assert slider.value() == 35


def test_saved_elsewhere_its_file_is_still_found(laid: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    far = tmp_path / "copies" / "gull.linewright"
    far.parent.mkdir()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(far), ""))
    assert save_as(laid)
    stored = load(far).installation
    sheet = next(s for s in stored.tables["sheets"].values() if s.underlay is not None)
    assert sheet.underlay.file == "../photo.png"
    assert laid.underlays.under.is_shown
    assert "underlay" not in laid.banner.told()


@pytest.mark.long
def test_a_file_that_is_another_or_gone_is_told_and_drawing_works_on(
    laid: Window, photograph: Path, qtbot: QtBot
) -> None:
    image = QImage(90, 90, QImage.Format.Format_RGB32)
    image.fill(QColor("blue"))
    assert image.save(str(photograph))
    laid.underlays.look_again()
    qtbot.waitUntil(lambda: "underlay" in laid.banner.told(), timeout=20_000)
    assert "photo.png" in laid.banner.told()["underlay"]
    laid.underlays.take_as_it_is()
    qtbot.waitUntil(lambda: "underlay" not in laid.banner.told())
    photograph.unlink()
    laid.underlays.look_again()
    qtbot.waitUntil(lambda: "is not there" in laid.banner.told().get("underlay", ""), timeout=20_000)
    assert not laid.underlays.under.is_shown
    assert record(laid).file == "photo.png"
    laid.board.grasp(tuple(laid.board.scene_now().pieces)[:1])
    qtbot.keyClick(laid.board, K.Key_Escape)
    qtbot.keyClick(laid.board, K.Key_Escape)
    laid.document.undo()


@pytest.mark.long
@pytest.mark.parametrize("data", [b"", b"hello", b"\x89PNG\r\n\x1a\n broken", b"%PDF-1.4\nnothing"])
def test_what_is_no_picture_is_told_in_a_sentence(window: Window, tmp_path: Path, qtbot: QtBot, data: bytes) -> None:
    path = tmp_path / "bad.jpg"
    path.write_bytes(data)
    lay(window, path)
    qtbot.waitUntil(lambda: "bad.jpg is no picture" in window.foot.message, timeout=20_000)
    assert window.underlays.record is None
    assert not window.document.is_dirty
