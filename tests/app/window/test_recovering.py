"""Work left behind by a stopped program: offered, recovered, thrown away only when it was said."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.window.main import Window
from app.window.recovering import LeftBehind, folder, offer_left_behind
from app.window.start import Desk
from engine.edits import SetFields
from engine.files.drawing import dump, load
from engine.files.recovery import left_behind
from engine.files.tape import Tape

pytestmark = pytest.mark.qt
Shown = Callable[[Window | None], Window]
Dialog = Callable[[Callable[[LeftBehind], None]], None]

# a program with a window that makes edits and then waits to be killed
PROGRAM = """
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from app.window.start import Desk, set_up
from engine.edits import SetFields
application = QApplication([])
set_up(application)
desk = Desk(judging=False)
window = desk.open_path(sys.argv[1]) if sys.argv[1] else desk.new()
def edit():
    if window.document.journal is None:
        return QTimer.singleShot(20, edit)
    for n in range(int(sys.argv[2])):
        window.document.do(SetFields("vessel", "vessel", (("name", f"Avocet {n}"),), f"Name her Avocet {n}"))
    if sys.argv[3]:
        from app.window import crash
        crash.install(desk)
    print("ready", flush=True)
QTimer.singleShot(0, edit)
application.exec()
"""


def killed(path: Path | str, edits: int) -> None:
    program = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, str(path), str(edits), ""],
        stdout=subprocess.PIPE, text=True, env=dict(os.environ),
    )  # fmt: skip
    assert program.stdout is not None
    assert program.stdout.readline() == "ready\n"
    program.send_signal(signal.SIGKILL)
    program.wait(20)
    program.stdout.close()


def test_what_was_not_saved_is_offered_and_comes_back(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, answers: list[str], dialog: Dialog
) -> None:
    before = ketch.read_bytes()
    killed(ketch, 7)
    assert ketch.read_bytes() == before
    shown(desk.new())

    def recover(offer: LeftBehind) -> None:
        text = offer.list.item(0).text()
        assert str(ketch) in text
        assert "7 changes" in text
        assert "Name her Avocet 6" in text
        qtbot.mouseClick(offer.recover, Qt.MouseButton.LeftButton)

    dialog(recover)
    offer_left_behind(desk)
    window = shown(desk.windows[-1])
    assert window.document.installation.vessel.name == "Avocet 6"
    assert window.document.path == ketch
    assert window.document.is_dirty
    assert "7 changes" in window.banner.told()["recovered"]
    window.menus.call("save")
    assert load(ketch).installation.vessel.name == "Avocet 6"
    assert not left_behind(folder())


def test_recovered_work_that_is_lost_again_comes_back_again(
    desk: Desk, shown: Shown, ketch: Path, dialog: Dialog
) -> None:
    killed(ketch, 3)
    shown(desk.new())
    dialog(lambda offer: offer.recover.click())
    offer_left_behind(desk)
    window = desk.windows[-1]
    assert window.document.journal is not None
    window.document.journal.close(keep=True)  # as if the program were killed now
    window.document.journal = None
    window.leaving = True
    window.close()
    (left,) = left_behind(folder())
    assert left.recover().installation.vessel.name == "Avocet 2"
    left.discard()


def test_left_for_later_it_is_offered_again(
    desk: Desk, shown: Shown, ketch: Path, qtbot: QtBot, dialog: Dialog
) -> None:
    killed(ketch, 2)
    shown(desk.new())
    dialog(lambda offer: qtbot.keyClick(offer, Qt.Key.Key_Escape))
    offer_left_behind(desk)
    (left,) = left_behind(folder())
    assert left.edits == 2
    left.discard()


def test_thrown_away_only_when_it_was_said(
    desk: Desk, shown: Shown, ketch: Path, answers: list[str], dialog: Dialog
) -> None:
    killed(ketch, 2)
    shown(desk.new())

    def throw(offer: LeftBehind) -> None:
        answers.append("stay")
        offer.discard.click()
        assert offer.list.count() == 1
        answers.append("drop")
        offer.discard.click()

    dialog(throw)
    offer_left_behind(desk)
    assert not left_behind(folder())


def test_a_drawing_that_never_had_a_file_comes_back_too(desk: Desk, shown: Shown, dialog: Dialog) -> None:
    killed("", 1)
    shown(desk.new())
    dialog(lambda offer: offer.recover.click())
    offer_left_behind(desk)
    window = desk.windows[-1]
    assert window.document.path is None
    assert window.document.installation.vessel.name == "Avocet 0"
    assert len(window.document.sheets()) == 1


def test_a_program_that_changed_nothing_leaves_nothing(desk: Desk, shown: Shown, ketch: Path) -> None:
    killed(ketch, 0)
    shown(desk.new())
    offer_left_behind(desk)  # no dialog: it would never return
    assert not left_behind(folder())


def test_the_file_was_changed_meanwhile(
    desk: Desk, shown: Shown, ketch: Path, answers: list[str], monkeypatch: pytest.MonkeyPatch, dialog: Dialog
) -> None:
    killed(ketch, 1)
    ketch.write_bytes(ketch.read_bytes() + b"\n")
    shown(desk.new())
    dialog(lambda offer: offer.recover.click())
    offer_left_behind(desk)
    window = desk.windows[-1]
    assert "changed" in window.banner.told()["recovered"]
    answers.append("stay")
    window.menus.call("save")
    assert load(ketch).installation.vessel.name != "Avocet 0"


def test_recovered_work_takes_the_place_of_its_file_that_is_open(
    desk: Desk, shown: Shown, ketch: Path, dialog: Dialog, qtbot: QtBot
) -> None:
    killed(ketch, 2)
    shown(desk.open_path(ketch))
    dialog(lambda offer: offer.recover.click())
    offer_left_behind(desk)
    qtbot.waitUntil(lambda: len(desk.windows) == 1)
    (window,) = desk.windows
    assert window.document.path == ketch
    assert window.document.installation.vessel.name == "Avocet 1"
    window.menus.call("save")
    assert load(ketch).installation.vessel.name == "Avocet 1"


def test_recovered_work_does_not_take_the_place_of_other_work(
    desk: Desk, shown: Shown, ketch: Path, dialog: Dialog
) -> None:
    killed(ketch, 2)
    here = shown(desk.open_path(ketch))
    here.document.do(SetFields("vessel", "vessel", (("name", "Skua"),)))
    dialog(lambda offer: offer.recover.click())
    offer_left_behind(desk)
    assert len(desk.windows) == 2
    assert here.document.path == ketch
    assert not here.document.read_only
    assert desk.windows[1].document.path is None


@pytest.mark.says_in_log
def test_recovered_work_that_cannot_reach_the_disk_stays_where_it_was(
    desk: Desk, shown: Shown, ketch: Path, dialog: Dialog, monkeypatch: pytest.MonkeyPatch
) -> None:
    killed(ketch, 2)
    shown(desk.new())

    def no_room(_tape: Tape) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Tape, "flush", no_room)
    before = set(folder().iterdir())
    dialog(lambda offer: offer.recover.click())
    offer_left_behind(desk)
    assert before <= set(folder().iterdir())
    desk.windows[-1].leaving = True
    desk.windows[-1].close()
    (left,) = left_behind(folder())
    left.discard()


def test_while_it_is_open_elsewhere_recovered_work_is_a_drawing_of_its_own(
    desk: Desk, shown: Shown, ketch: Path, dialog: Dialog
) -> None:
    from engine.files.lock import Lock, take

    killed(ketch, 1)
    lock = take(ketch)
    assert isinstance(lock, Lock)
    shown(desk.new())
    dialog(lambda offer: offer.recover.click())
    offer_left_behind(desk)
    window = desk.windows[-1]
    assert window.document.path is None
    assert not window.document.read_only
    assert window.document.installation.vessel.name == "Avocet 0"
    lock.release()


@pytest.mark.says_in_log
def test_where_no_journal_can_be_written_the_person_is_told_once_and_works_on(
    desk: Desk, ketch: Path, qtbot: QtBot
) -> None:
    place = folder()
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text("a file where the folder should be")
    window = desk.open_path(ketch)
    assert window is not None
    qtbot.waitUntil(lambda: "journal" in window.banner.told())
    window.document.do(SetFields("vessel", "vessel", (("name", "Avocet"),)))
    window.document.do(SetFields("vessel", "vessel", (("name", "Skua"),)))
    assert list(window.banner.told()).count("journal") == 1
    assert b"Skua" in dump(window.document.installation)
