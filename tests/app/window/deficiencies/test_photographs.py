"""Photographs of a deficiency: dropped, pasted, with the typed line, captioned, taken off; hostile ones told."""

from __future__ import annotations

import datetime
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication, QImage
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.photographs import store_of
from app.window.deficiencies.entry import marking_of
from app.window.deficiencies.page import DeficienciesPage
from app.window.main import Window
from app.window.quick.fast import fast_of
from app.window.start import Desk
from engine.installation import Deficiency

pytestmark = pytest.mark.qt
Show = Callable[[Window | None], Window]
LAUNCH = Path(__file__).parents[4] / "samples" / "launch" / "launch.linewright"
WAIT = 30_000


@pytest.fixture
def launch(tmp_path: Path) -> Path:
    path = tmp_path / "boat" / "launch.linewright"
    path.parent.mkdir()
    path.write_bytes(LAUNCH.read_bytes())
    return path


@pytest.fixture
def window(desk: Desk, launch: Path, shown: Show) -> Window:
    made = shown(desk.open_path(str(launch)))
    marking_of(made).today = lambda: datetime.date(2026, 5, 1)
    return made


def jpeg(path: Path, colour: str = "red", size: tuple[int, int] = (320, 240)) -> Path:
    Image.new("RGB", size, colour).save(path, "JPEG")
    return path


def mark(qtbot: QtBot, window: Window, designation: str, text: str) -> None:
    board = window.board
    window.document.select(window.document.installation.find(designation)[0][1])
    board.setFocus()
    qtbot.keyClick(board, Qt.Key.Key_M)
    focus = window.focusWidget()
    assert focus is not None
    qtbot.keyClicks(focus, text)


def enter(qtbot: QtBot, window: Window) -> str:
    focus = window.focusWidget()
    assert focus is not None
    qtbot.keyClick(focus, Qt.Key.Key_Return)
    return newest(window)


def newest(window: Window) -> str:
    every = window.document.snapshot().deficiencies
    return max(every, key=lambda i: every[i].number or 0)


def of(window: Window, item: str) -> Deficiency:
    return window.document.snapshot().deficiencies[item]


def page_at(window: Window, item: str) -> DeficienciesPage:
    window.show_page("deficiencies")
    page = window.pages.deficiencies()
    page.show_item(item)
    return page


def drop(widget: object, at: QPoint, paths: list[Path]) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enters = QDragEnterEvent(at, Qt.DropAction.CopyAction, data, left, none)
    QApplication.sendEvent(widget, enters)  # type: ignore[call-overload]
    assert enters.isAccepted()
    falls = QDropEvent(QPointF(at), Qt.DropAction.CopyAction, data, left, none)
    QApplication.sendEvent(widget, falls)  # type: ignore[call-overload]


def in_clipboard(image: QImage | None = None, paths: list[Path] | None = None) -> None:
    data = QMimeData()
    if image is not None:
        data.setImageData(image)
    if paths:
        data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    QGuiApplication.clipboard().setMimeData(data)


def blue() -> QImage:
    image = QImage(400, 300, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.blue)
    return image


# -- the ways in -------------------------------------------------------------------------------------------------------
def test_a_typical_one_with_a_photograph_takes_its_words_and_six_acts(qtbot: QtBot, window: Window) -> None:
    """Choose, M, the line, paste, Enter: five acts beside the words that are typed."""
    in_clipboard(blue())
    board = window.board
    box = board.finder().box_of(window.document.installation.find("Q1")[0][1])
    assert box is not None
    text, acts = "a burnt lug; fire; renew lug and torque", 0
    middle = board.to_viewport((box.left + box.right) / 2, (box.top + box.bottom) / 2).toPoint()
    qtbot.mouseClick(board.viewport(), Qt.MouseButton.LeftButton, pos=middle)
    acts += 1
    qtbot.keyClick(board, Qt.Key.Key_M)
    acts += 1
    focus = window.focusWidget()
    assert focus is not None
    qtbot.keyClicks(focus, text)
    qtbot.keyClick(focus, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    acts += 1
    assert "1 photograph" in fast_of(board).line.title.text()
    item = enter(qtbot, window)
    acts += 1
    qtbot.waitUntil(lambda: len(of(window, item).photographs) == 1, timeout=WAIT)
    assert acts + len(text.split()) <= len(text.split()) + 6
    record = window.document.snapshot().photographs[of(window, item).photographs[0]]
    data = store_of(window.document.path).read(record)
    assert Image.open(io.BytesIO(data)).getpixel((10, 10))[2] > 200  # read with Pillow: it is the blue one


def test_files_dropped_on_the_strip_are_kept_once_and_one_undo_takes_them_back(
    qtbot: QtBot, window: Window, tmp_path: Path
) -> None:
    mark(qtbot, window, "Q1", "b loose")
    item = enter(qtbot, window)
    page = page_at(window, item)
    strip = page.strips[0]
    files = [jpeg(tmp_path / "a.jpg"), jpeg(tmp_path / "b.jpg", "green"), jpeg(tmp_path / "same.jpg")]
    drop(strip, QPoint(20, 20), files)
    qtbot.waitUntil(lambda: len(of(window, item).photographs) == 2, timeout=WAIT)
    assert len(window.document.snapshot().photographs) == 2
    assert strip.row.count() == 2
    qtbot.waitUntil(lambda: all(not strip.row.item(n).icon().isNull() for n in range(2)), timeout=WAIT)
    assert not strip.keep_location.isChecked()
    window.document.undo()
    assert of(window, item).photographs == ()
    assert strip.row.count() == 0
    window.document.redo()
    assert strip.row.count() == 2


def test_a_file_dropped_on_the_square_belongs_to_it(
    qtbot: QtBot, judging_desk: Desk, launch: Path, shown: Show, tmp_path: Path
) -> None:
    window = shown(judging_desk.open_path(str(launch)))
    mark(qtbot, window, "Q1", "b loose")
    item = enter(qtbot, window)
    board = window.board
    qtbot.waitUntil(lambda: -1 in board.finder().flag_boxes, timeout=WAIT)
    box = board.finder().flag_boxes[-1]
    at = board.to_viewport((box.left + box.right) / 2, (box.top + box.bottom) / 2).toPoint()
    drop(window, board.viewport().mapTo(window, at), [jpeg(tmp_path / "a.jpg")])
    qtbot.waitUntil(lambda: len(of(window, item).photographs) == 1, timeout=WAIT)
    assert window.document.snapshot().sheets[window.document.sheet].underlay is None


def test_a_caption_is_written_and_one_is_taken_off_by_keys(qtbot: QtBot, window: Window, tmp_path: Path) -> None:
    mark(qtbot, window, "Q1", "b loose")
    item = enter(qtbot, window)
    strip = page_at(window, item).strips[0]
    in_clipboard(paths=[jpeg(tmp_path / "a.jpg"), jpeg(tmp_path / "b.jpg", "green")])
    strip.paste()
    qtbot.waitUntil(lambda: len(of(window, item).photographs) == 2, timeout=WAIT)
    strip.row.setFocus()
    strip.row.setCurrentRow(0)
    strip.caption.setFocus()
    qtbot.keyClicks(strip.caption, "the lug")
    qtbot.keyClick(strip.caption, Qt.Key.Key_Return)
    first = of(window, item).photographs[0]
    assert window.document.snapshot().photographs[first].caption == "the lug"
    strip.row.setFocus()
    qtbot.keyClick(strip.row, Qt.Key.Key_Return)
    assert strip.large is not None
    assert strip.large.isVisible()
    assert not strip.large.picture.isNull()
    qtbot.keyClick(strip.large, Qt.Key.Key_Right)
    assert strip.large.item == of(window, item).photographs[1]
    qtbot.keyClick(strip.large, Qt.Key.Key_Escape)
    assert not strip.large.isVisible()
    strip.row.setCurrentRow(0)
    qtbot.keyClick(strip.row, Qt.Key.Key_Delete)
    assert first not in of(window, item).photographs
    assert first in window.document.snapshot().photographs  # record and file stay
    assert store_of(window.document.path).path(window.document.snapshot().photographs[first]).is_file()


def test_a_picture_is_pasted_from_wherever_one_is_in_the_list(qtbot: QtBot, window: Window) -> None:
    mark(qtbot, window, "Q1", "b loose")
    item = enter(qtbot, window)
    page = page_at(window, item)
    in_clipboard(blue())
    page.list.setFocus()
    qtbot.keyClick(page.list, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: len(of(window, item).photographs) == 1, timeout=WAIT)
    in_clipboard()
    qtbot.keyClick(page.list, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert "no picture" in window.foot.message


def test_files_let_go_over_the_form_are_photographs(qtbot: QtBot, window: Window, tmp_path: Path) -> None:
    mark(qtbot, window, "Q1", "b loose")
    item = enter(qtbot, window)
    page = page_at(window, item)
    drop(page, QPoint(30, 30), [jpeg(tmp_path / "a.jpg")])
    qtbot.waitUntil(lambda: len(of(window, item).photographs) == 1, timeout=WAIT)
    qtbot.keyClick(page.form.status, Qt.Key.Key_C)
    drop(page, QPoint(30, 30), [jpeg(tmp_path / "b.jpg", "green")])
    qtbot.waitUntil(lambda: len(of(window, item).evidence_photographs) == 1, timeout=WAIT)
    assert page.form.is_closing  # what was begun goes on
    page.form.closed_by.setText("R. Tern")
    qtbot.keyClick(page.form.record_button, Qt.Key.Key_Space)
    assert of(window, item).status == "closed"  # a photograph is evidence


# -- hostile ones --------------------------------------------------------------------------------------------------
def test_hostile_files_are_told_and_the_drawing_stays_as_it_was(qtbot: QtBot, window: Window, tmp_path: Path) -> None:
    mark(qtbot, window, "Q1", "b loose")
    item = enter(qtbot, window)
    strip = page_at(window, item).strips[0]
    whole = jpeg(tmp_path / "whole.jpg", size=(800, 600)).read_bytes()
    (tmp_path / "cut.jpg").write_bytes(whole[: len(whole) // 2])
    (tmp_path / "text.jpg").write_text("not a photograph at all\n" * 40)
    (tmp_path / "empty.jpg").write_bytes(b"")
    Image.new("1", (30_000, 30_000)).save(tmp_path / "huge.png")
    frames = [Image.new("RGB", (60, 60), colour) for colour in ("red", "green", "blue")]
    frames[0].save(tmp_path / "moving.gif", save_all=True, append_images=frames[1:])
    before = window.document.snapshot()
    bad = ["cut.jpg", "text.jpg", "empty.jpg", "huge.png", "moving.gif"]
    strip.add([tmp_path / name for name in bad])
    qtbot.waitUntil(lambda: "moving.gif" in " ".join(window.banner.told().values()), timeout=WAIT)
    told = " ".join(window.banner.told().values())
    for name in bad:
        assert name in told
    assert "Traceback" not in told
    assert window.document.snapshot() is before
    strip.add([tmp_path / "text.jpg", tmp_path / "whole.jpg"])  # a good one beside a bad one is taken
    qtbot.waitUntil(lambda: len(of(window, item).photographs) == 1, timeout=WAIT)


def test_one_that_is_gone_is_told_in_its_place(qtbot: QtBot, window: Window, tmp_path: Path) -> None:
    mark(qtbot, window, "Q1", "b loose")
    item = enter(qtbot, window)
    strip = page_at(window, item).strips[0]
    strip.add([jpeg(tmp_path / "a.jpg")])
    qtbot.waitUntil(lambda: len(of(window, item).photographs) == 1, timeout=WAIT)
    record = window.document.snapshot().photographs[of(window, item).photographs[0]]
    store_of(window.document.path).path(record).unlink()
    strip._shown = ()
    strip.look_again()
    qtbot.waitUntil(lambda: strip.row.item(0).text() == "missing or altered", timeout=WAIT)
    assert "missing" in strip.row.item(0).toolTip()
