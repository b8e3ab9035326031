"""The board shows what paper shows; painting loses nothing."""

from __future__ import annotations

import sys
from typing import Any

import numpy as np
import pypdfium2
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from app.drawing.screen import Screen
from app.paper.pdf import pdf_bytes
from engine.check import check
from engine.picture import Picture

pytestmark = pytest.mark.qt

DOTS = 6  # a mm


@pytest.mark.parametrize("number", [0, 2, 4])
def test_a_sheet_on_the_board_is_the_sheet_on_paper(ketch: Any, number: int) -> None:
    document, board = ketch.document, ketch.board
    sheet = document.sheets()[number]
    document.turn_to(sheet)
    picture = ketch.draw(result=check(document.snapshot()))
    width, height = round(picture.width * DOTS), round(picture.height * DOTS)
    image = QImage(width, height, QImage.Format.Format_Grayscale8)
    image.fill(255)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    board.scene().render(
        painter, QRectF(0, 0, width, height), QRectF(0, 0, picture.width, picture.height)
    )  # fmt: skip
    painter.end()
    shown = np.frombuffer(image.constBits(), np.uint8).reshape(height, image.bytesPerLine())[:, :width]
    flat = tuple(p for primitives in picture.of.values() for p in primitives)
    data, _written = pdf_bytes([Picture(picture.width, picture.height, flat)], title="", author="")
    page = pypdfium2.PdfDocument(data)[0]
    printed = page.render(scale=DOTS * 25.4 / 72, grayscale=True).to_numpy()
    printed = printed.reshape(printed.shape[0], -1)[:height, :width]
    # coarsely: the share of ink in fields of 1 mm
    rows, columns = height // DOTS, width // DOTS
    a, b = (
        255 - x[: rows * DOTS, : columns * DOTS].reshape(rows, DOTS, columns, DOTS).mean(axis=(1, 3))
        for x in (shown, printed)
    )
    a, b = a[1:-1, 1:-1], b[1:-1, 1:-1]  # the board's sheet has an edge
    off = np.abs(a - b)
    assert off.max() < 80
    for rolled in (np.roll(a, 1, 0), np.roll(a, 1, 1)):  # a mm aside would be seen
        assert off.mean() < np.abs(rolled - b).mean() / 3
    assert a.mean() == pytest.approx(b.mean(), rel=0.06), "as much ink"
    assert a.mean() > 3, "there is something"


def test_painting_a_thousand_times_gives_no_none_away(ketch: Any) -> None:
    ketch.board.resize(240, 170)
    viewport = ketch.board.viewport()
    viewport.repaint()
    before = sys.getrefcount(None)  # from 3.12 on it never changes: there nothing can be given away
    for _n in range(1000):
        viewport.repaint()
    QApplication.processEvents()
    assert abs(sys.getrefcount(None) - before) < 200


def test_the_picture_by_owner_holds_every_primitive(ketch: Any) -> None:
    screen = Screen()
    screen.set(ketch.document.snapshot())
    ketch.draw()
    made = screen.picture(ketch.document.sheet, 1)
    shown = ketch.board.shown.items.of
    assert sum(len(p) for p in made.of.values()) == sum(len(p) for p in shown.values())
