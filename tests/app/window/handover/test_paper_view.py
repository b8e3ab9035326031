"""Paper on the screen: true size, sharp, white, piece by piece, in bounded memory; keys, wheel and links."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QColor, QImage, QPalette, QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.handover import paper_view
from app.window.handover.paper_view import GAP, PaperView
from app.window.handover.pdf_pages import Link, PdfPages, Unreadable

pytestmark = pytest.mark.qt


@pytest.fixture
def pages(three_pages: bytes) -> Iterator[PdfPages]:
    made = PdfPages(three_pages)
    yield made
    made.close()


@pytest.fixture
def view(pages: PdfPages, qtbot: QtBot) -> Iterator[PaperView]:
    made = PaperView()
    qtbot.addWidget(made)
    made.resize(500, 400)
    made.show_pages(pages)
    with qtbot.waitExposed(made):
        made.show()
    qtbot.waitUntil(lambda: made.is_drawn)
    yield made
    made.show_pages(None)


def seen(view: PaperView) -> QImage:
    return view.viewport().grab().toImage()


def test_pieces_make_up_the_page(pages: PdfPages) -> None:
    whole = pages.picture(0, 600, 849, QRect(0, 0, 600, 849))
    for piece in (QRect(0, 0, 256, 256), QRect(256, 256, 256, 256), QRect(512, 768, 88, 81)):
        assert pages.picture(0, 600, 849, piece) == whole.copy(piece)
    assert whole.pixelColor(20, 20) == QColor("black")  # the square of 10 mm
    assert whole.pixelColor(40, 20) == QColor("white")


def test_names_words_and_links_are_read(pages: PdfPages) -> None:
    assert pages.titles == {0: "Sheet 1", 1: "Sheet 2", 2: "Sheet 3"}
    assert "page 2" in pages.text(1)
    from_top = pages.sizes[0][1]
    assert pages.link_at(0, 150, from_top - 710) == Link(2)
    assert pages.link_at(0, 150, from_top - 610) == Link(-1, "https://example.org/a")
    assert pages.link_at(0, 10, 10) is None
    assert pages.link_at(1, 150, from_top - 710) is None


@pytest.mark.parametrize("data", [b"", b"no paper at all", b"%PDF-1.4\n%%EOF\n"])
def test_what_is_no_pdf_is_told(data: bytes) -> None:
    with pytest.raises(Unreadable, match="cannot be shown"):
        PdfPages(data)


def test_true_size_is_that_of_iso_216(view: PaperView) -> None:
    view.show_true_size()
    rect = view._rect(0)
    per_mm = view.logicalDpiX() / 25.4
    assert rect.width() == pytest.approx(210 * per_mm, abs=1)  # ISO 216:2007, A4
    assert rect.height() == pytest.approx(297 * per_mm, abs=1)


def test_paper_is_white_whatever_the_palette(view: PaperView, qtbot: QtBot) -> None:
    dark = QPalette()
    dark.setColor(QPalette.ColorRole.Window, QColor("#202020"))
    view.setPalette(dark)
    qtbot.waitUntil(lambda: view.is_drawn)
    middle = view._rect(0).center()
    picture = seen(view)
    assert picture.pixelColor(middle + QPoint(20, 0)) == QColor("white")
    assert picture.pixelColor(2, 2).lightness() < 0x30
    assert picture.pixelColor(view._rect(0).topLeft() + QPoint(4, 4)) == QColor("black")


def test_the_whole_page_fits_and_goes_on_to_when_the_window_changes(view: PaperView, qtbot: QtBot) -> None:
    for size in ((500, 400), (300, 700)):
        view.resize(*size)
        qtbot.waitUntil(lambda: view.is_drawn)
        rect = view._rect(view.page)
        assert view.viewport().rect().adjusted(GAP - 2, GAP - 2, 2 - GAP, 2 - GAP).contains(rect)


def test_keys_go_through_pages_and_sizes(view: PaperView, qtbot: QtBot) -> None:
    view.setFocus()
    before = view.scale
    qtbot.keyClick(view, Qt.Key.Key_PageDown)
    assert view.page == 1
    qtbot.keyClick(view, Qt.Key.Key_End)
    assert view.page == 2
    qtbot.keyClick(view, Qt.Key.Key_Plus)
    assert view.page == 2
    assert view.scale > before
    qtbot.keyClick(view, Qt.Key.Key_Minus)
    assert view.scale == pytest.approx(before)
    qtbot.keyClick(view, Qt.Key.Key_2)
    assert view._rect(2).width() == pytest.approx(view.viewport().width() - 2 * GAP, abs=1)
    assert view.page == 2
    qtbot.keyClick(view, Qt.Key.Key_1)
    assert view.scale == 1.0
    qtbot.keyClick(view, Qt.Key.Key_0)
    assert view.scale == pytest.approx(before)
    qtbot.keyClick(view, Qt.Key.Key_Home)
    assert view.page == 0


def test_the_wheel_with_ctrl_keeps_what_is_under_the_pointer(view: PaperView) -> None:
    at = QPointF(view._rect(0).center()) + QPointF(-30, 40)
    kept = view._place(at)
    assert kept is not None
    for turn in (120, 120, 120, -120):
        event = QWheelEvent(
            at,
            view.viewport().mapToGlobal(at),
            QPoint(),
            QPoint(0, turn),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.ControlModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(view.viewport(), event)
    now = view._place(at)
    assert now is not None
    assert view.scale > 0
    assert now[0] == kept[0]
    assert now[2] == pytest.approx(kept[2], abs=0.01)


def test_a_click_follows_a_link_and_a_pull_does_not(view: PaperView, qtbot: QtBot) -> None:
    unit = view._unit * view.scale
    rect = view._rect(0)
    at = QPoint(round(rect.x() + 150 * unit), round(rect.y() + (view.pages.sizes[0][1] - 710) * unit))  # type: ignore[union-attr]
    qtbot.mousePress(view.viewport(), Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseMove(view.viewport(), at + QPoint(0, -30))
    qtbot.mouseRelease(view.viewport(), Qt.MouseButton.LeftButton, pos=at + QPoint(0, -30))
    assert view.page == 0
    view.go_to(0)
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert view.page == 2


def test_only_what_is_in_sight_is_drawn_and_old_pieces_go(
    view: PaperView, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(paper_view, "MOST_BYTES", 6 * 2**20)
    view.set_scale(8.0)
    for _step in range(12):
        view.verticalScrollBar().setValue(view.verticalScrollBar().value() + 500)
        qtbot.waitUntil(lambda: view.is_drawn)
        assert view._bytes <= 6 * 2**20
        assert view._bytes == sum(p.width() * p.height() * 4 for p in view._kept.values())
    assert {piece.page for piece in view._kept} == {0}


def test_what_is_wider_than_the_view_can_be_scrolled(view: PaperView, qtbot: QtBot) -> None:
    across = view.horizontalScrollBar()
    assert not across.isVisible()
    view.set_scale(3.0)
    qtbot.waitUntil(across.isVisible)
    assert across.maximum() >= view._rect(0).width() - view.viewport().width()
    across.setValue(across.maximum())
    assert view._rect(0).right() < view.viewport().width()
    view.fit_width()
    qtbot.waitUntil(lambda: not across.isVisible())
    qtbot.waitUntil(lambda: view.is_drawn)
