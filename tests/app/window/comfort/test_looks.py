"""Looks: whatever is written can be read in each of them; the sheet on the screen goes with them when asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication, QCheckBox, QGraphicsPathItem, QLineEdit, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.canvas.inks import colour_of, contrast, use_inks, visible
from app.canvas.live_marks import SOURCE_COLOURS
from app.window.comfort import looks
from app.window.main import Window
from app.window.notes.drawing import word_colour
from app.window.start import Desk
from engine.picture import INKS

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
Role = QPalette.ColorRole
WORDS = (
    (Role.WindowText, Role.Window),
    (Role.Text, Role.Base),
    (Role.Text, Role.AlternateBase),
    (Role.ButtonText, Role.Button),
    (Role.ToolTipText, Role.ToolTipBase),
    (Role.HighlightedText, Role.Highlight),
    (Role.Link, Role.Base),
    (Role.Link, Role.Window),
    (Role.LinkVisited, Role.Base),
    (Role.BrightText, Role.Base),
    (Role.BrightText, Role.Window),
    (Role.PlaceholderText, Role.Base),
    (Role.PlaceholderText, Role.Window),
)


@pytest.fixture
def as_before(qapp: QApplication) -> Iterator[QApplication]:
    """The program looks afterwards as it did."""
    palette, font, sheet = qapp.palette(), qapp.font(), qapp.styleSheet()
    yield qapp
    use_inks("paper")
    qapp.styleHints().unsetColorScheme()
    qapp.setStyleSheet(sheet)
    qapp.setPalette(palette)
    for name in looks.FRAMED:
        qapp.setPalette(palette, name)
    qapp.setFont(font)


@pytest.fixture
def launch(tmp_path: Path) -> Path:
    path = tmp_path / "launch.linewright"
    path.write_bytes((Path(__file__).parents[4] / "samples" / "launch" / "launch.linewright").read_bytes())
    return path


@pytest.mark.parametrize("look", ["light", "dark", "contrast"])
def test_what_is_written_can_be_read(look: looks.Look) -> None:
    palette = looks.palette_of(look)
    least = 7.0 if look == "contrast" else 4.5
    for fore, back in WORDS:
        found = contrast(palette.color(fore), palette.color(back))
        assert found >= least, (look, fore, back, round(found, 2))
    for word in ("danger", "warning", "caution", "notice"):
        colour = word_colour(word, palette)
        assert contrast(colour, palette.color(Role.Base)) >= 4.5, (look, word)
    off = palette.color(QPalette.ColorGroup.Disabled, Role.ButtonText)
    assert (
        3.0
        <= contrast(off, palette.color(Role.Button))
        < contrast(palette.color(Role.ButtonText), palette.color(Role.Button))
    )


def test_the_contrast_of_known_colours() -> None:
    """W3C, WCAG 2.2, Understanding SC 1.4.3: black on white 21:1, #777777 on white 4.47:1 (published example)."""
    assert contrast(QColor("black"), QColor("white")) == pytest.approx(21.0)
    assert contrast(QColor("#777777"), QColor("white")) == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("inks", ["paper", "dark", "contrast"])
def test_every_ink_is_seen_on_its_sheet(inks: str) -> None:
    try:
        use_inks(inks)  # type: ignore[arg-type]
        paper = colour_of("white")
        for ink in INKS:
            if ink not in ("white", "light"):
                assert contrast(colour_of(ink), paper) >= 4.5, ink
        assert contrast(colour_of("light"), paper) >= 1.5
        for colour in SOURCE_COLOURS:
            assert contrast(visible(colour), paper) >= 1.25, colour
    finally:
        use_inks("paper")


def test_the_window_changes_at_once_and_the_sheet_goes_along_when_asked(
    desk: Desk, shown: Shown, launch: Path, as_before: QApplication
) -> None:
    window = shown(desk.open_path(launch))
    board = window.board
    desk.settings.set("look", "dark")
    desk.wear_look()
    as_before.processEvents()  # Qt hands a palette on when it has its turn
    assert window.palette().color(Role.Window).lightness() < 80
    middle = board.to_viewport(5.0, 5.0).toPoint()  # of the sheet's margin, where nothing stands
    assert board.viewport().grab().toImage().pixelColor(middle).lightness() > 240
    desk.settings.set("sheet_in", "look")
    desk.wear_look()
    seen = board.viewport().grab().toImage()
    assert seen.pixelColor(middle).lightness() < 60
    every = [item for items in board.shown.items.items.values() for item, _style in items]
    pens = [item.pen() for item in every if isinstance(item, QGraphicsPathItem)]
    inked = {pen.color().name() for pen in pens if pen.style() != Qt.PenStyle.NoPen}
    assert colour_of("black").name() in inked
    assert "#000000" not in inked
    desk.settings.set("look", "light")
    desk.wear_look()
    as_before.processEvents()
    assert board.viewport().grab().toImage().pixelColor(middle).lightness() > 240


@pytest.mark.parametrize("look", ["contrast", "dark", "light"])
def test_fields_and_boxes_to_tick_have_a_frame_one_sees(
    look: str, desk: Desk, as_before: QApplication, qtbot: QtBot
) -> None:
    """W3C, WCAG 2.2, SC 1.4.11: what shows where a control is, 3:1; in the light look a field is white on grey."""
    for worn in ("contrast", look):  # frames go with the look, to and fro
        desk.settings.set("look", worn)
        desk.wear_look()
    around = QWidget()
    qtbot.addWidget(around)
    box = QVBoxLayout(around)
    for each in (QLineEdit(), QCheckBox()):
        box.addWidget(each)
    around.show()
    seen = around.grab().toImage()
    ground = seen.pixelColor(1, 1)
    assert ground == looks.palette_of(look).color(Role.Window)  # type: ignore[arg-type]
    for each in (around.findChild(QLineEdit), around.findChild(QCheckBox)):
        assert each is not None
        row = each.geometry().center().y()
        across = [seen.pixelColor(x, row) for x in range(each.x(), each.x() + 24)]
        best = max(contrast(colour, ground) for colour in across)
        assert best >= (3.0 if look != "light" else 1.5), (type(each).__name__, round(best, 2))


def test_text_grows_with_what_is_asked(desk: Desk, as_before: QApplication) -> None:
    desk.wear_look()
    usual = as_before.font().pointSizeF()
    for asked, percent in ((200, 200), (150, 150), (30, 100), (900, 200)):  # settings are a file that people edit
        desk.settings.set("text_percent", asked)
        desk.wear_look()
        assert as_before.font().pointSizeF() == pytest.approx(usual * percent / 100)


def test_with_reduced_motion_nothing_blinks(desk: Desk, as_before: QApplication) -> None:
    desk.wear_look()
    usual = as_before.styleHints().cursorFlashTime()
    desk.settings.set("reduced_motion", True)
    desk.wear_look()
    assert as_before.styleHints().cursorFlashTime() == 0
    assert looks.is_still()
    desk.settings.set("reduced_motion", False)
    desk.wear_look()
    assert as_before.styleHints().cursorFlashTime() == usual
