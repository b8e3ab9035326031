"""The SVG as another program paints it, beside the PDF as a third one does."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest

from app.drawing.sheets import pictures
from app.paper.pdf import pdf_bytes
from app.paper.svg import svg_bytes
from engine.files.drawing import load
from engine.picture import Box, Picture, Text, circle, line, polyline, rectangle

pytestmark = pytest.mark.qt

SAMPLES = Path(__file__).resolve().parents[3] / "samples"
DOTS = 8.0  # a millimetre


def small() -> Picture:
    return Picture(
        150.0,
        100.0,
        (
            rectangle(5, 5, 145, 95, 0.7),
            line(10, 20, 140, 20, 0.7, dash="dashed"),
            line(10, 25, 140, 25, 0.7, "red", dash="chain"),
            line(10, 30, 140, 30, 1.4, dash="dotted", cap="round"),
            polyline(((20, 50), (30, 35), (40, 50)), 2.0, join="bevel", cap="square"),
            polyline(((60, 50), (70, 35), (80, 50)), 2.0),
            circle(110, 45, 8, 0.35, "blue", fill="light"),
            Text(75, 65, "Windlass 2/0 AWG Ω", 5.0, "middle", bold=True),
            Text(140, 75, "AVATAR ☃ 25,6 V", 3.5, "end", ink="red"),
            Text(15, 90, "upward", 2.5, rotation=90),
        ),
        "small",
    )


def clipped() -> Picture:
    return small()._replace(clip=Box(30, 15, 100, 70), around=(Text(10, 90, "row 1 of 2", 3.5),))


def mirrored() -> Picture:
    return small()._replace(mirrored=True)


def sheet() -> Picture:
    return pictures(load(SAMPLES / "launch/launch.linewright").installation.snapshot())[0]


def darkness_svg(picture: Picture, wide: int, high: int) -> Any:
    from PySide6.QtCore import QByteArray, QRectF
    from PySide6.QtGui import QImage, QPainter
    from PySide6.QtSvg import QSvgRenderer

    renderer = QSvgRenderer(QByteArray(svg_bytes(picture)))
    assert renderer.isValid()
    image = QImage(wide, high, QImage.Format.Format_Grayscale8)
    image.fill(255)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    renderer.render(painter, QRectF(0, 0, wide, high))
    painter.end()
    data = np.frombuffer(image.constBits(), np.uint8).reshape(high, image.bytesPerLine())
    return 1.0 - data[:, :wide] / 255


def darkness_pdf(picture: Picture, wide: int, high: int) -> Any:
    page = pypdfium2.PdfDocument(pdf_bytes((picture,), title="", author="")[0])[0]
    bitmap = page.render(scale=DOTS * 25.4 / 72, grayscale=True)
    data = np.frombuffer(bitmap.buffer, np.uint8).reshape(bitmap.height, bitmap.stride)
    return 1.0 - data[:high, :wide] / 255


def gaps(picture: Picture, other: Picture | None = None) -> Any:
    """The difference of darkness over squares of 2 mm; 1 is black against white."""
    wide, high = round(picture.width * DOTS), round(picture.height * DOTS)
    side = round(2 * DOTS)
    down, across = high // side, wide // side
    gap = darkness_svg(picture, wide, high) - darkness_pdf(other or picture, wide, high)
    return abs(gap[: down * side, : across * side].reshape(down, side, across, side).mean(axis=(1, 3)))


@pytest.mark.parametrize("made", [small, clipped, mirrored, sheet])
def test_svg_and_pdf_look_alike(qapp: object, made: Callable[[], Picture]) -> None:
    found = gaps(made())
    assert found.max() < 0.1
    assert found.mean() < 0.004


@pytest.mark.parametrize("gone", range(1, 10))
def test_the_measure_sees_what_is_missing(qapp: object, gone: int) -> None:
    made = small()
    lacking = made._replace(primitives=(*made.primitives[:gone], *made.primitives[gone + 1 :]))
    assert gaps(lacking, made).max() > 0.1
