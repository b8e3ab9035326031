"""Every process beside the window killed, hung, out of memory, talking nonsense: a sentence, and the page goes on."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import NamedTuple

import pytest

pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from app.window import surroundings
from app.window.beside import framed
from app.window.comfort import dropping
from app.window.comfort.sheet_picture import _Writing, picture_of
from app.window.comparing.comparing import Comparing
from app.window.handover.making import Making
from app.window.main import Window
from app.window.merging.merging import Merging
from app.window.photographs import taking
from app.window.photographs.keeping import Carrying
from app.window.photographs.taking import takings_of
from app.window.printing import Paper, Printing
from app.window.start import Desk
from app.window.titling import asking
from app.window.underlay import lay, laying
from engine.edits import SetFields

pytestmark = [pytest.mark.qt, pytest.mark.posix, pytest.mark.says_in_log]
Shown = Callable[[Window | None], Window]
LONG = 30_000

WAYS = {
    "killed": "kill -9 $$",
    "hung up": "kill -1 $$",  # ends with the number 1, as a document with findings does
    "refusing": "exit 3",
    "saying nothing": "exit 0",
    "garbage": "head -c 100000 /dev/urandom; exit 0",
    "a frame of 4 GB": "printf '\\377\\377\\377\\377and so on'; exit 0",
    "half a frame": "printf '\\000\\000\\001\\000half'; exit 0",
    "other JSON": "echo '[1, 2]'; exit 0",
    "JSON that is nearly it": 'echo \'{"levels": [["../x", 9, 9]], "width": "wide", "whole": 3}\'; exit 0',
    "out of memory": 'ulimit -v 30000; exec "%(python)s" "$@"',  # kilobytes: it is too little to start
    "hangs": "exec sleep 600",
    "hangs in a frame": "printf '\\000\\000\\001\\000half'; exec sleep 600",
}


class Beside(NamedTuple):
    """A process: what has it work, and what the sentence about it says whatever became of it."""

    begin: Callable[[Window, Path, list[str]], object]
    says: tuple[str, ...]  # one of these


def _print(window: Window, room: Path, heard: list[str]) -> object:
    window.foot.say("")
    return Printing(window, room / "set.pdf", Paper("print", (), "Write"))


def _picture(window: Window, room: Path, heard: list[str]) -> object:
    window.foot.say("")
    made = picture_of(window.board)
    assert made is not None
    return _Writing(window, made, room / "sheet.png")


def _lists(window: Window, room: Path, heard: list[str]) -> object:
    window.foot.say("")
    (room / "runs.csv").write_text("id\n")
    return dropping.Bringing(window, [room / "runs.csv"])


def _making(window: Window, room: Path, heard: list[str]) -> object:
    made = Making(window, window.document)
    made.failed.connect(heard.append)
    made.failed.connect(lambda _why: made.put_away())
    made.start(("print",), "set.pdf", ())
    return made


def _underlay(window: Window, room: Path, heard: list[str]) -> object:
    window.foot.say("")
    (room / "photo.png").write_bytes(b"no picture at all")
    lay(window, room / "photo.png")
    return None


def _photograph(window: Window, room: Path, heard: list[str]) -> object:
    (room / "IMG_1.jpg").write_bytes(b"no picture at all")
    takings_of(window).take([room / "IMG_1.jpg"], lambda _taken, faults: heard.extend(faults))
    return None


def _carrying(window: Window, room: Path, heard: list[str]) -> object:
    window.banner.drop("photographs-missing")
    return Carrying(window)


def _comparing(window: Window, room: Path, heard: list[str]) -> object:
    assert window.document.path is not None
    made = Comparing(window, window.document, window.document.path)
    made.failed.connect(heard.append)
    return made


def _merging(window: Window, room: Path, heard: list[str]) -> object:
    path = window.document.path
    assert path is not None
    made = Merging(window, window.document, path, path)
    made.failed.connect(heard.append)
    return made


def _issue(window: Window, room: Path, heard: list[str]) -> object:
    assert window.document.path is not None
    path = window.document.path
    return asking.ask_words(window, path, window.document, lambda said, fault: heard.append(fault or said))


BESIDE = {
    "printing": Beside(_print, ("set.pdf is not written: ",)),
    "picture of the sheet": Beside(_picture, ("sheet.png is not written: ",)),
    "lists": Beside(_lists, ("runs.csv cannot be read: ",)),
    "a document": Beside(_making, ("the log tells why", "the process that works it out ", "not enough memory")),
    "underlay": Beside(_underlay, ("photo.png could not be read", "photo.png takes longer", "photo.png is larger")),
    "photograph": Beside(_photograph, ("IMG_1.jpg ",)),
    "carrying": Beside(_carrying, ("Photographs and issues were not copied to",)),
    "comparing": Beside(_comparing, ("ketch.linewright cannot be compared: ",)),
    "merging": Beside(_merging, ("ketch.linewright cannot be brought in: ",)),
    "issue": Beside(_issue, ("what has changed could not be told", "what has changed takes too long")),
}


def said(window: Window, heard: list[str]) -> list[str]:
    """Everything that was told a person, anywhere."""
    return [*heard, window.foot.message, *window.banner.told().values()]


def working(window: Window) -> list[QObject]:
    return [each for each in window.findChildren(QObject, "printing") if type(each).__name__ != "Takings"]


def children() -> set[int]:
    """Processes started by this one that have not been taken in."""
    if sys.platform != "linux":
        return set()
    return {int(n) for n in Path(f"/proc/{os.getpid()}/task/{os.getpid()}/children").read_text().split()}


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where temporary folders are made."""
    made = tmp_path / "temporary"
    made.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(made))
    return made


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """Makes the patience with what hangs short."""

    def make() -> None:
        for where in (surroundings, laying):
            monkeypatch.setattr(where, "PATIENCE_MS", 400)
        monkeypatch.setattr(framed, "SILENCE_MS", 400)
        monkeypatch.setattr(asking, "_PATIENCE_MS", 400)
        monkeypatch.setattr(taking, "PATIENCE_S", 1)

    return make


SOME = ("killed", "JSON that is nearly it", "out of memory", "hangs")


@pytest.mark.parametrize("ways", [SOME, pytest.param(tuple(WAYS), marks=pytest.mark.long)], ids=["some", "all"])
@pytest.mark.parametrize("name", BESIDE)
def test_whatever_becomes_of_it_is_told_and_nothing_is_left(
    desk: Desk,
    shown: Shown,
    ketch: Path,
    tmp_path: Path,
    place: Path,
    impatient: Callable[[], None],
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
    name: str,
    ways: tuple[str, ...],
) -> None:
    window = shown(desk.open_path(ketch))
    room = tmp_path / "room"
    room.mkdir()
    real, before, there = sys.executable, children(), ketch.read_bytes()
    for way in ways:
        program, lines = tmp_path / "program", WAYS[way]
        program.write_text("#!/bin/sh\n" + (lines.replace("%(python)s", real)) + "\n")
        program.chmod(0o755)
        monkeypatch.setattr(sys, "executable", str(program))
        if way.startswith("hangs"):  # these come last
            impatient()
        heard: list[str] = []
        window.foot.say("")
        begun = BESIDE[name].begin(window, room, heard)
        for n in range(3):  # meanwhile the drawing is worked on
            window.try_edit(SetFields("sheets", window.document.sheet, (("title", f"{way} {n}"),), "Title"))
        qtbot.waitUntil(partial(_over, window, before, heard, name), timeout=LONG)
        told = " ".join(said(window, heard))
        assert any(words in told for words in BESIDE[name].says), (way, told)
        assert "Traceback" not in told, (way, told)
        assert "Error" not in told, (way, told)
        assert "Written" not in told, way
        assert list(place.iterdir()) == [], way
        assert [path.name for path in room.iterdir() if path.suffix in (".pdf", ".png") and path.stem != "photo"] == []
        assert window.document.history.undo_words == "Title"
        for _n in range(3):
            window.document.undo()
        del begun
    assert ketch.read_bytes() == there
    assert not window.document.is_dirty


def _over(window: Window, before: set[int], heard: list[str], name: str) -> bool:
    is_told = bool(heard) or name != "photograph"  # of several photographs it is told when the last is read
    return is_told and not working(window) and not takings_of(window).left and children() <= before
