"""A save that the system refuses: one sentence, still unsaved, still in the journal; the next one works."""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.start import Desk
from engine.edits import SetFields
from engine.files import atomic
from engine.files.drawing import load
from engine.files.recovery import left_behind

pytestmark = [pytest.mark.qt, pytest.mark.posix]
Shown = Callable[[Window | None], Window]
Undo = Callable[[], object]


def on_small_disk(path: Path, options: str) -> None:
    """The folder of a drawing is a disk of its own."""
    held = path.read_bytes()
    told = subprocess.run(["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(path.parent)], check=False)
    if told.returncode != 0:
        pytest.skip("no file system can be mounted here")
    path.write_bytes(held)


def fill_up(handle: int) -> None:
    while True:
        os.write(handle, b"x" * 4096)


def fill(path: Path, _patch: pytest.MonkeyPatch) -> Undo:
    filler = path.with_name("filler")
    handle = os.open(filler, os.O_WRONLY | os.O_CREAT)
    with pytest.raises(OSError, match="No space left"):
        fill_up(handle)
    os.close(handle)
    return filler.unlink


def take_folder_away(path: Path, _patch: pytest.MonkeyPatch) -> Undo:
    away = path.parent.with_name("away")
    path.parent.rename(away)
    return lambda: away.rename(path.parent)


def file_in_place_of_folder(path: Path, patch: pytest.MonkeyPatch) -> Undo:
    back = take_folder_away(path, patch)
    path.parent.write_bytes(b"notes")

    def undo() -> None:
        path.parent.unlink()
        back()

    return undo


def folder_in_place_of_file(path: Path, _patch: pytest.MonkeyPatch) -> Undo:
    path.rename(path.with_name("aside"))
    path.mkdir()

    def undo() -> None:
        path.rmdir()
        path.with_name("aside").rename(path)

    return undo


def pipe_in_place_of_file(path: Path, _patch: pytest.MonkeyPatch) -> Undo:
    path.unlink()
    os.mkfifo(path)
    return path.unlink


def failing(code: int) -> Callable[[Path, pytest.MonkeyPatch], Undo]:
    def make(_path: Path, patch: pytest.MonkeyPatch) -> Undo:
        def replace(*_paths: object) -> None:
            raise OSError(code, os.strerror(code))

        patch.setattr(atomic.os, "replace", replace)
        return lambda: patch.setattr(atomic.os, "replace", os.rename)

    return make


OBSTACLES = {
    "the folder is gone": (take_folder_away, "there is no such file or folder"),
    "a file in place of the folder": (file_in_place_of_folder, "a part of the path is no folder"),
    "a folder in place of the file": (folder_in_place_of_file, "it is a folder, not a file"),
    "a pipe in place of the file": (pipe_in_place_of_file, "nobody reads from it"),
    "a fault of the disk": (failing(errno.EIO), "Input/output error"),
    "a disk that can only be read by now": (failing(errno.EROFS), "Read-only file system"),
    "the quota is used up": (failing(errno.EDQUOT), "the disk is full"),
}


def stands_in_the_way(
    window: Window,
    path: Path,
    make: Callable[[Path, pytest.MonkeyPatch], Undo],
    told: str,
    answers: list[str],
    qtbot: QtBot,
    patch: pytest.MonkeyPatch,
) -> None:
    asked = answers.asked  # type: ignore[attr-defined]  # the fixture's own
    before = path.read_bytes()
    name = f"{window.document.installation.vessel.name} II"
    window.document.do(SetFields("vessel", "vessel", (("name", name),), "Name the vessel"))
    undo = make(path, patch)
    there = len(asked)
    answers.append("close")
    qtbot.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    (question,) = asked[there:]
    assert question.text == f"{path}: it cannot be saved: {told}"
    assert window.isWindowModified()
    recovered = in_the_journal(window, path.parent.with_name("journals"))
    assert recovered == name
    undo()
    if path.exists():
        assert path.read_bytes() == before
    assert not [p.name for p in path.parent.iterdir() if p.name.endswith(".part")]
    qtbot.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert not window.isWindowModified()
    assert load(path).installation.vessel.name == name


def in_the_journal(window: Window, folder: Path) -> str:
    """What the vessel is called in a recovery from the journal as it is now."""
    journal = window.document.journal
    assert journal is not None
    journal.flush()
    assert journal.file is not None
    folder.mkdir()
    shutil.copy(journal.file, folder)
    (left,) = left_behind(folder)
    name = left.recover().installation.vessel.name
    left.close()
    shutil.rmtree(folder)
    return name


@pytest.fixture
def there(tmp_path: Path, ketch: Path) -> Path:
    """A drawing in a folder of its own."""
    path = tmp_path / "room" / "ketch.linewright"
    path.parent.mkdir()
    path.write_bytes(ketch.read_bytes())
    return path


def test_an_obstacle_is_told_and_the_next_save_works(
    desk: Desk,
    shown: Shown,
    there: Path,
    answers: list[str],
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    window = shown(desk.open_path(there))
    for make, told in OBSTACLES.values():
        stands_in_the_way(window, there, make, told, answers, qtbot, monkeypatch)


@pytest.mark.root
def test_a_full_disk_is_told_and_the_next_save_works(
    desk: Desk,
    shown: Shown,
    there: Path,
    answers: list[str],
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    on_small_disk(there, "size=2m")
    try:
        window = shown(desk.open_path(there))
        stands_in_the_way(window, there, fill, "the disk is full", answers, qtbot, monkeypatch)
        window.leaving = True
        window.close()
    finally:
        subprocess.run(["umount", "-l", str(there.parent)], check=True)


def test_saved_elsewhere_an_obstacle_leaves_the_drawing_with_its_file(
    desk: Desk, shown: Shown, there: Path, tmp_path: Path, answers: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    window = shown(desk.open_path(there))
    before = there.read_bytes()
    window.document.do(SetFields("vessel", "vessel", (("name", "Avocet"),), "Name the vessel"))
    folder = tmp_path / "other"
    folder.mkdir()
    (folder / "a.linewright").mkdir()
    os.mkfifo(folder / "b.linewright")
    for name in ("a.linewright", "b.linewright", "gone/c.linewright", "x" * 260 + ".linewright"):
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, name=name, **_k: (str(folder / name), ""))
        answers.append("close")
        window.menus.call("save_as")
        assert "it cannot be saved: " in answers.asked[-1].text  # type: ignore[attr-defined]  # the fixture's own
        assert window.document.path == there
        assert window.isWindowModified()
        assert there.read_bytes() == before
        assert in_the_journal(window, tmp_path / "journals") == "Avocet"
    assert sorted(p.name for p in folder.iterdir() if not p.name.startswith(".")) == ["a.linewright", "b.linewright"]
    window.menus.call("save")
    assert load(there).installation.vessel.name == "Avocet"
    assert not window.isWindowModified()


def test_a_second_name_of_the_file_is_told_when_it_stays_behind(
    desk: Desk, shown: Shown, there: Path, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(there))
    backup = there.with_name("backup")
    os.link(there, backup)
    before = backup.read_bytes()
    window.document.do(SetFields("vessel", "vessel", (("name", "Avocet"),), "Name the vessel"))
    qtbot.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert "had another name on this disk (a hard link)" in window.foot._line.whole
    assert backup.read_bytes() == before
    assert load(there).installation.vessel.name == "Avocet"
