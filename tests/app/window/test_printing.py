"""The drawing set as PDF out of the window: whole or not at all, never over a drawing, told as it is."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.start import Desk
from engine.edits import SetFields

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
LONG = 60_000


def chosen(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(path), ""))


def is_over(window: Window) -> bool:
    return not window.findChildren(QObject, "printing")


def test_what_is_on_the_screen_is_written(
    desk: Desk, shown: Shown, ketch: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(ketch))
    chosen(monkeypatch, tmp_path / "set")
    window.menus.call("write_pdf")
    qtbot.waitUntil(lambda: is_over(window), timeout=LONG)
    assert (tmp_path / "set.pdf").read_bytes().startswith(b"%PDF")
    assert window.foot.message == f"Written: {tmp_path / 'set.pdf'}"


def test_never_over_a_drawing(
    desk: Desk, shown: Shown, ketch: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot, answers: list[str]
) -> None:
    before = ketch.read_bytes()
    there = ketch.with_name("ketch.linewright.pdf")
    there.write_text("somebody's")
    window = shown(desk.open_path(ketch))
    chosen(monkeypatch, ketch)
    answers.append("stay")
    window.menus.call("write_pdf")
    assert is_over(window)
    assert there.read_text() == "somebody's"
    answers.append("over")
    window.menus.call("write_pdf")
    qtbot.waitUntil(lambda: is_over(window), timeout=LONG)
    assert ketch.read_bytes() == before
    assert there.read_bytes().startswith(b"%PDF")


@pytest.mark.says_in_log
@pytest.mark.parametrize("program", ["false", "/nowhere/python"])
def test_a_process_that_fails_leaves_the_old_one_and_says_so(
    desk: Desk,
    shown: Shown,
    ketch: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
    program: str,
) -> None:
    there = tmp_path / "set.pdf"
    there.write_text("the old one")
    window = shown(desk.open_path(ketch))
    chosen(monkeypatch, there)
    monkeypatch.setattr(sys, "executable", program)  # `false` ends with 1, as a set with findings does
    window.menus.call("write_pdf")
    qtbot.waitUntil(lambda: is_over(window), timeout=LONG)
    assert there.read_text() == "the old one"
    assert "set.pdf is not written" in window.foot.message


def test_a_folder_that_is_gone_is_told(
    desk: Desk, shown: Shown, ketch: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    window = shown(desk.open_path(ketch))
    chosen(monkeypatch, tmp_path / "gone" / "set.pdf")
    window.menus.call("write_pdf")
    qtbot.waitUntil(lambda: is_over(window), timeout=LONG)
    assert "set.pdf is not written: there is no such file or folder" in window.foot.message


def test_closed_meanwhile_nothing_is_left(
    desk: Desk, shown: Shown, ketch: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    room = tmp_path / "room"
    room.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(room))
    window = shown(desk.open_path(ketch))
    chosen(monkeypatch, tmp_path / "set.pdf")
    window.menus.call("write_pdf")
    assert list(room.iterdir())
    window.close()
    assert not list(room.iterdir())
    assert not (tmp_path / "set.pdf").exists()


def test_a_folder_elsewhere_cannot_stand_in_for_the_program(
    desk: Desk, shown: Shown, ketch: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    (tmp_path / "app").mkdir()
    (tmp_path / "app" / "cli.py").write_text("raise SystemExit(3)")
    monkeypatch.chdir(tmp_path)
    window = shown(desk.open_path(ketch))
    window.document.do(SetFields("vessel", "vessel", (("name", "Avocet"),)))
    chosen(monkeypatch, tmp_path / "set.pdf")
    window.menus.call("write_pdf")
    qtbot.waitUntil(lambda: is_over(window), timeout=LONG)
    assert (tmp_path / "set.pdf").is_file()
    window.document.undo()
