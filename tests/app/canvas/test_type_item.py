from __future__ import annotations

import itertools

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QGraphicsScene

from app.canvas.glyphs import text_path
from app.canvas.items import make_item, merged
from app.canvas.type_item import TypeItem, type_runs
from engine.picture import Path, Text, text_box, text_width

pytestmark = [pytest.mark.qt, pytest.mark.usefixtures("qapp")]

LINES = [
    "F3",
    "Cable 35 mm² × 2, 1,5 Ω, ≤ 3 %",
    "fi ffl AVATAR To. W12",  # what another font engine would join or draw together
    "Ærøskøbing naïve Ÿ – “quoted”",
    "  two  spaces  ",
]


def test_a_line_is_as_wide_as_it_is_measured() -> None:
    for text, (height, bold) in itertools.product(LINES, [(2.5, False), (3.5, True), (1.8, False)]):
        line = Text(10, 20, text + "x", height, bold=bold)
        (run,) = type_runs([line])
        last = run.placed.map(run.glyphs.positions()[-1])
        assert last.x() - 10 == pytest.approx(text_width(text, height, bold), abs=0.01)
        assert last.y() == pytest.approx(20)
        outline = text_path(line).boundingRect()
        assert outline.right() - 10 == pytest.approx(text_width(text + "x", height, bold), abs=0.3)


def test_anchors_and_upright_lines() -> None:
    for anchor, share in (("start", 0.0), ("middle", 0.5), ("end", 1.0)):
        text = Text(100, 50, "W12 16 mm²", anchor=anchor)  # type: ignore[arg-type]
        width = text_width(text.text)
        (level,) = type_runs([text])
        first = level.placed.map(level.glyphs.positions()[0])
        assert (first.x(), first.y()) == pytest.approx((100 - share * width, 50))
        (upright,) = type_runs([text._replace(rotation=90)])
        first = upright.placed.map(upright.glyphs.positions()[0])
        last = upright.placed.map(upright.glyphs.positions()[-1])
        assert (first.x(), first.y()) == pytest.approx((100, 50 + share * width))
        assert last.y() < first.y(), "it reads upward"
        assert last.x() == pytest.approx(100)


def ink_of(primitives: list[Path | Text]) -> QRectF:
    """The box of all that is painted, in mm, ten pixels a mm."""
    scene = QGraphicsScene()
    for strokes in merged(primitives):
        scene.addItem(make_item(strokes, 0))
    image = QImage(1200, 600, QImage.Format.Format_Grayscale8)
    image.fill(255)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    scene.render(painter, QRectF(0, 0, 1200, 600), QRectF(0, 0, 120, 60))
    painter.end()
    grey = np.frombuffer(image.constBits(), np.uint8).reshape(600, image.bytesPerLine())[:, :1200]
    ys, xs = np.nonzero(grey < 128)
    left, top = xs.min() / 10, ys.min() / 10
    return QRectF(left, top, xs.max() / 10 - left + 0.1, ys.max() / 10 - top + 0.1)


@pytest.mark.parametrize("rotation", [0, 90])
def test_what_is_painted_stands_where_the_list_says(rotation: int) -> None:
    text = Text(50, 40, "HE14.5 A", 2.5, rotation=rotation)  # type: ignore[arg-type]
    drawn, box = ink_of([text]), text_box(text)
    assert drawn.left() == pytest.approx(box.left + (0.1 if rotation == 90 else 0.3), abs=0.25)
    if rotation == 0:
        assert drawn.width() == pytest.approx(text_width(text.text), abs=0.6)
        assert drawn.height() == pytest.approx(2.5, abs=0.3), "the height of a capital"
        assert drawn.bottom() == pytest.approx(40, abs=0.2)
    else:
        assert drawn.height() == pytest.approx(text_width(text.text), abs=0.6)
        assert drawn.right() == pytest.approx(50, abs=0.2)


def test_nothing_is_painted_outside_the_bounds() -> None:
    for text in (Text(50, 40, "Åjg|Ç_", 3.5, bold=True), Text(50, 40, "Åjg|Ç_", 3.5, rotation=90)):
        item = TypeItem([text], QColor(0, 0, 0))
        assert item.boundingRect().contains(text_path(text).boundingRect())


def test_a_character_the_font_lacks_is_a_box_among_the_glyphs() -> None:
    text = Text(10, 20, "A漢B", 2.5)
    groups = merged([text])
    assert [bool(g.texts) for g in groups] == [True, False]
    box = groups[1].path.boundingRect()
    assert box.left() > 10 + text_width("A")
    assert box.right() < 10 + text_width("A漢")
    (run,) = type_runs([text])
    assert len(run.glyphs.glyphIndexes()) == 2
    last = run.placed.map(run.glyphs.positions()[-1])
    assert last.x() == pytest.approx(10 + text_width("A漢"))


def test_texts_without_glyphs_make_no_trouble() -> None:
    for text in ("", " ", "漢"):
        assert type_runs([Text(0, 0, text)]) == []
        for strokes in merged([Text(0, 0, text)]):
            make_item(strokes, 0)
