from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QGraphicsScene

from app.canvas.items import Style, brush_of, make_item, merged, pen_of, to_painter_path
from engine.picture import INKS, Path, Primitive, Text, arc, circle, line, polygon, rectangle

pytestmark = [pytest.mark.qt, pytest.mark.usefixtures("qapp")]


def painted(primitives: list[Primitive], one_by_one: bool = False) -> QImage:
    scene = QGraphicsScene()
    groups = [g for p in primitives for g in merged([p])] if one_by_one else merged(primitives)
    for n, strokes in enumerate(groups):
        scene.addItem(make_item(strokes, n))
    image = QImage(600, 400, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    scene.render(painter, QRectF(0, 0, 600, 400), QRectF(0, 0, 60, 40))
    painter.end()
    return image


def greys(image: QImage) -> np.ndarray:
    plain = image.convertToFormat(QImage.Format.Format_Grayscale8)
    return np.frombuffer(plain.constBits(), np.uint8).reshape(400, plain.bytesPerLine())[:, :600].astype(int)


def test_pens_say_everything() -> None:
    pen = pen_of(Style(0.35, "grey", None, "dashed", "round", "bevel"))
    assert pen.widthF() == 0.35
    assert pen.color().getRgb()[:3] == INKS["grey"]
    assert [round(d * 0.35, 6) for d in pen.dashPattern()] == [3.0, 1.5], "dashes in mm"
    assert pen.capStyle() == Qt.PenCapStyle.RoundCap
    assert pen.joinStyle() == Qt.PenJoinStyle.BevelJoin
    assert not pen.isCosmetic()
    assert pen_of(Style(0.0, "black", "black", "solid", "butt", "miter")).style() == Qt.PenStyle.NoPen
    assert brush_of(Style(0.35, "black", None, "solid", "butt", "miter")).style() == Qt.BrushStyle.NoBrush
    assert pen_of(Style(0.7, "black", None, "solid", "butt", "miter")).capStyle() == Qt.PenCapStyle.FlatCap


def test_every_segment_comes_over() -> None:
    made = to_painter_path(Path((("M", 1, 2), ("L", 3, 4), ("C", 5, 6, 7, 8, 9, 10), ("Z",))))
    assert made.elementCount() == 6
    assert (made.elementAt(0).x, made.elementAt(0).y) == (1, 2)
    assert (made.elementAt(4).x, made.elementAt(4).y) == (9, 10)


def test_strokes_of_one_style_are_one_item() -> None:
    made = merged([line(n, 0, n, 10) for n in range(50)] + [Text(n, 20, "A") for n in range(20)])
    assert [bool(g.texts) for g in made] == [False, True]
    assert len(made[1].texts) == 20


def test_merging_changes_nothing_that_is_seen() -> None:
    every: list[list[Primitive]] = [
        # a white area over a line, and a line over it: three layers must stay three
        [line(5, 20, 55, 20, 1.0), rectangle(20, 10, 40, 30, 0.35, fill="white"), line(5, 22, 55, 22, 1.0)],
        # black strokes and black type commute
        [line(5, 20, 55, 20), Text(10, 20, "Over"), line(5, 25, 55, 25), Text(10, 25, "again")],
        # another ink over the first
        [line(5, 20, 55, 20, 2.0, "red"), line(30, 5, 30, 35, 2.0), line(5, 30, 55, 30, 2.0, "red")],
        # areas of one style that overlap must not cut holes into each other
        [circle(25, 20, 8, 0.0, fill="black"), circle(32, 20, 8, 0.0, fill="black"), circle(50, 10, 4, 0, fill="grey")],
        # dashes begin anew with every stroke
        [line(5, 10 + n, 55, 10 + n, 0.5, dash="dashed") for n in range(5)],
        [arc(30, 20, 10, 0, 270, 0.7, cap="round", join="round"), polygon(((5, 5), (15, 5), (10, 15)), 0.7)],
    ]
    for primitives in every:
        a, b = painted(primitives), painted(primitives, one_by_one=True)
        assert np.abs(greys(a) - greys(b)).max() <= 60
        assert len(merged(primitives)) <= len(primitives)


def test_what_paints_nothing_makes_no_item() -> None:
    assert merged([Path(()), Path((("M", 0, 0), ("L", 5, 5)), 0.0)]) == []
