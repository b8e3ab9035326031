"""A picture of the sheet: whole, or only what is chosen; copied dark on white whatever the look; written as a file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QObject
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.canvas.inks import use_inks
from app.picture_file import main
from app.window.comfort import sheet_picture
from app.window.comfort.sheet_picture import PX_PER_MM, picture_of
from app.window.main import Window
from app.window.start import Desk
from engine.picture import Path as Stroke
from engine.picture import Text

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
LONG = 60_000


@pytest.fixture
def window(desk: Desk, shown: Shown, tmp_path: Path) -> Window:
    path = tmp_path / "launch.linewright"
    path.write_bytes((Path(__file__).parents[4] / "samples" / "launch" / "launch.linewright").read_bytes())
    return shown(desk.open_path(path))


def answering(monkeypatch: pytest.MonkeyPatch, key: str) -> list[list[str]]:
    asked: list[list[str]] = []

    def answer(_parent: object, question: object) -> str:
        asked.append([a.key for a in question.answers])  # type: ignore[attr-defined]
        return key

    monkeypatch.setattr(sheet_picture, "ask", answer)
    return asked


def words(primitives: object) -> set[str]:
    return {p.text for p in primitives if isinstance(p, Text)}  # type: ignore[attr-defined]


def test_what_is_chosen_alone_is_in_the_picture_cut_close(window: Window) -> None:
    snapshot = window.document.snapshot()
    item = next(i for i, e in snapshot.equipment.items() if e.designation == "F1")
    assert picture_of(window.board, chosen=True) is None
    window.document.select(item)
    whole, part = picture_of(window.board), picture_of(window.board, chosen=True)
    assert whole is not None
    assert part is not None
    assert (whole.width, whole.height) == window.board.shown.size()
    assert part.width < whole.width / 3
    assert "F1" in words(part.primitives)
    assert words(part.primitives) < words(whole.primitives)
    for p in part.primitives:
        if isinstance(p, Stroke):
            points = [at for _letter, *at in p.segments if at]
            assert all(-0.1 <= at[-2] <= part.width + 0.1 and -0.1 <= at[-1] <= part.height + 0.1 for at in points)


def test_a_copy_is_dark_on_white_whatever_the_screen_shows(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = answering(monkeypatch, "copy")
    try:
        use_inks("dark")
        window.menus.call("picture")
    finally:
        use_inks("paper")
    assert asked == [["copy", "write", "stay"]]
    image = QGuiApplication.clipboard().image()
    width, height = window.board.shown.size()
    assert (image.width(), image.height()) == (round(width * PX_PER_MM), round(height * PX_PER_MM))
    assert image.pixelColor(2, 2).lightness() == 255
    assert window.foot.message.startswith("Copied: a picture of sheet 1")


@pytest.mark.long
@pytest.mark.parametrize(("name", "begins"), [("a.svg", b"<?xml"), ("b.dxf", b"  0"), ("c", b"\x89PNG")])
def test_a_file_is_written_in_the_form_of_its_ending(
    window: Window, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, name: str, begins: bytes
) -> None:
    answering(monkeypatch, "write")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(tmp_path / name), "PNG picture (*.png)"))
    window.menus.call("picture")
    qtbot.waitUntil(lambda: not window.findChildren(QObject, "printing"), timeout=LONG)
    made = tmp_path / (name if "." in name else f"{name}.png")
    assert window.foot.message == f"Written: {made}"
    assert made.read_bytes().startswith(begins)


def test_what_is_no_picture_is_not_written(tmp_path: Path) -> None:
    import pickle

    (tmp_path / "p").write_bytes(pickle.dumps({"a": 1}))
    assert main([str(tmp_path / "p"), str(tmp_path / "out.svg")]) == 2
    assert not (tmp_path / "out.svg").exists()
