"""Photographs in the window: read beside it, kept beside the drawing, carried along when that is saved elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

pytest.importorskip("PySide6")

from PIL import Image
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.photographs import Store, Taken, recorded, store_of
from app.window.files import save, save_as
from app.window.main import Window
from app.window.photographs.keeping import store_for
from app.window.photographs.taking import takings_of
from app.window.start import Desk
from engine.edits.draft import Draft

pytestmark = pytest.mark.qt


@pytest.fixture
def window(desk: Desk, shown: Callable[[Window | None], Window], ketch: Path) -> Window:
    return shown(desk.open_path(ketch))


@pytest.fixture
def photographs(tmp_path: Path) -> list[Path]:
    folder = tmp_path / "camera"
    folder.mkdir()
    made = []
    for n, shade in enumerate(("darkred", "navy", "olive")):
        made.append(folder / f"IMG_{n}.jpg")
        Image.new("RGB", (300, 200), shade).save(made[-1])
    return made


class Heard:
    def __init__(self) -> None:
        self.taken: list[Taken] = []
        self.faults: list[str] = []
        self.times = 0

    def __call__(self, taken: Sequence[Taken], faults: Sequence[str]) -> None:
        self.taken += taken
        self.faults += faults
        self.times += 1


def take_in(window: Window, paths: list[Path], qtbot: QtBot) -> Heard:
    heard = Heard()
    takings_of(window).take(paths, heard)
    qtbot.waitUntil(lambda: bool(heard.times), timeout=30_000)
    return heard


def put_in(window: Window, taken: Sequence[Taken]) -> None:
    document = window.document
    draft = Draft(document.snapshot(), document.installation.last_id)
    for one in taken:
        recorded(draft, one)
    document.do(draft.done("Photographs"))


def test_good_and_bad_ones_together(window: Window, photographs: list[Path], qtbot: QtBot) -> None:
    bad = photographs[0].with_name("page.jpg")
    bad.write_bytes(b"%PDF-1.7\n")
    before = window.document.path.read_bytes()
    heard = take_in(window, [photographs[0], bad, photographs[1]], qtbot)
    assert [one.record.name for one in heard.taken] == ["IMG_0.jpg", "IMG_1.jpg"]
    assert len(heard.faults) == 1
    assert heard.faults[0].startswith("page.jpg is a PDF")
    store = store_of(window.document.path)
    assert all(store.state(one.record) == "there" for one in heard.taken)
    assert window.document.path.read_bytes() == before
    assert not window.document.is_dirty, "whoever asked for them records them"


def test_two_lots_come_in_turn(window: Window, photographs: list[Path], qtbot: QtBot) -> None:
    first, second = Heard(), Heard()
    left: list[int] = []
    takings_of(window).going.connect(left.append)
    takings_of(window).take(photographs[:2], first)
    takings_of(window).take(photographs[2:], second)
    assert takings_of(window).left == 3
    qtbot.waitUntil(lambda: bool(second.times), timeout=30_000)
    assert (len(first.taken), len(second.taken), left) == (2, 1, [2, 1, 0])


def test_given_up_nothing_is_told(window: Window, photographs: list[Path], qtbot: QtBot) -> None:
    heard = Heard()
    takings = takings_of(window)
    takings.take(photographs, heard)
    qtbot.waitUntil(lambda: takings._process is not None)
    takings.give_up()
    assert takings.left == 0
    later = take_in(window, photographs[:1], qtbot)
    assert (heard.times, len(later.taken)) == (0, 1)


def test_nobody_reads_on_when_the_window_goes(window: Window, photographs: list[Path], qtbot: QtBot) -> None:
    takings_of(window).take(photographs * 5, Heard())
    qtbot.waitUntil(lambda: takings_of(window)._process is not None)
    window.leaving = True
    window.close()


def test_a_folder_in_the_way_is_told(window: Window, photographs: list[Path], qtbot: QtBot) -> None:
    (window.document.path.parent / "photographs").write_text("no folder")
    heard = take_in(window, photographs[:1], qtbot)
    assert heard.taken == []
    assert "IMG_0.jpg cannot be kept in" in heard.faults[0]


def test_a_drawing_without_a_file_has_them_until_it_is_saved(
    desk: Desk,
    shown: Callable[[Window | None], Window],
    photographs: list[Path],
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    window = shown(desk.new())
    heard = take_in(window, photographs, qtbot)
    put_in(window, heard.taken)
    waiting = store_for(window)
    assert all(waiting.state(one.record) == "there" for one in heard.taken)
    target = tmp_path / "elsewhere" / "new.linewright"
    target.parent.mkdir()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(target), ""))
    assert save_as(window)
    beside = Store(target.parent / "photographs")
    qtbot.waitUntil(lambda: all(beside.state(one.record) == "there" for one in heard.taken), timeout=30_000)


def test_saved_as_another_it_has_them_there_and_here(
    window: Window, photographs: list[Path], qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = store_for(window)
    heard = take_in(window, photographs[:2], qtbot)
    put_in(window, heard.taken)
    assert save(window)
    here.path(heard.taken[1].record).unlink()  # somebody took it away
    target = tmp_path / "elsewhere" / "other.linewright"
    target.parent.mkdir()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(target), ""))
    assert save_as(window)
    first, second = (one.record for one in heard.taken)
    assert store_for(window).read(first), "it is found where it was until it is copied"
    qtbot.waitUntil(lambda: bool(window.banner.told().get("photographs-missing", "")), timeout=30_000)
    assert "IMG_1.jpg" in window.banner.told().get("photographs-missing", "")
    beside = Store(target.parent / "photographs")
    assert [beside.state(first), beside.state(second), here.state(first)] == ["there", "missing", "there"]


def test_what_is_missing_is_told_when_a_drawing_is_opened(
    window: Window,
    photographs: list[Path],
    qtbot: QtBot,
    desk: Desk,
    shown: Callable[[Window | None], Window],
) -> None:
    heard = take_in(window, photographs[:2], qtbot)
    put_in(window, heard.taken)
    assert save(window)
    path, store = window.document.path, store_for(window)
    window.close()
    qtbot.waitUntil(lambda: not desk.windows)
    store.path(heard.taken[0].record).unlink()
    again = shown(desk.open_path(path))
    qtbot.waitUntil(lambda: bool(again.banner.told().get("photographs-missing", "")))
    assert again.banner.told().get("photographs-missing", "").startswith("1 photograph of this drawing is missing")
