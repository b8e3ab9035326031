"""The system ends the program: nobody is asked, nothing is lost, files and processes are let go of."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from app.window.main import Window
from app.window.recovering import folder
from app.window.start import Desk
from engine.edits import SetFields
from engine.files.lock import Lock, take
from engine.files.recovery import left_behind

pytestmark = [
    pytest.mark.qt,
    pytest.mark.posix,
]
Shown = Callable[[Window | None], Window]

# the whole program, which makes its edits once it stands, then tells how it may be ended
PROGRAM = """
import signal
for name in ("SIGTERM", "SIGHUP", "SIGINT"):  # whoever runs the tests may ignore them, and that is inherited
    signal.signal(getattr(signal, name), signal.SIG_DFL)
import sys
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from app.window import start
from engine.edits import SetFields
made = []
class Noted(start.Desk):
    def __init__(self):
        super().__init__()
        made.append(self)
        QTimer.singleShot(0, begin)
start.Desk = Noted
def begin():
    window = made[0].windows[0] if made[0].windows else None
    judge = window.document.judge if window is not None else None
    if judge is None or window.document.journal is None or not judge.process_id:
        return QTimer.singleShot(20, begin)
    for n in range(int(sys.argv[2])):
        window.document.do(SetFields("vessel", "vessel", (("name", f"Avocet {n}"),), f"Name her Avocet {n}"))
    if sys.argv[3] == "typing":
        window.show_record("vessel", "vessel")
        entry = window.pages.particulars().whole.forms["vessel"].rows["name"].entry
        entry.setFocus()
        entry.setText("Half Typed")
    if sys.argv[3] == "asking":
        QTimer.singleShot(0, window.close)
        QTimer.singleShot(0, tell_asked)
        return
    print("ready", judge.process_id, flush=True)
def tell_asked():
    if QApplication.activeModalWidget() is None:
        return QTimer.singleShot(20, tell_asked)
    print("ready", made[0].windows[0].document.judge.process_id, flush=True)
sys.exit(start.run([sys.argv[1]]))
"""


class Ended(NamedTuple):
    code: int
    worker: int
    said: str


def ended(path: Path, edits: int, by: int, how: str = "") -> Ended:
    program = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, str(path), str(edits), how],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=dict(os.environ),
    )  # fmt: skip
    assert program.stdout is not None
    words = program.stdout.readline().split()
    assert words, program.communicate(timeout=20)[1]
    program.send_signal(by)
    _out, said = program.communicate(timeout=30)
    return Ended(program.returncode, int(words[1]), said)


def is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return Path(f"/proc/{process}/stat").read_text().split(") ")[1][0] != "Z" if Path("/proc").is_dir() else True


def assert_nobody_has(path: Path) -> None:
    assert not list(path.parent.glob(".*.lock"))
    lock = take(path)
    assert isinstance(lock, Lock)
    lock.release()


@pytest.mark.parametrize("by", ["SIGTERM", "SIGHUP", "SIGINT"])
def test_unsaved_work_is_kept_and_the_file_let_go_of(ketch: Path, by: str) -> None:
    before = ketch.read_bytes()
    number = getattr(signal, by)
    found = ended(ketch, 3, number)
    assert found.code == 128 + number
    assert "Traceback" not in found.said
    assert ketch.read_bytes() == before
    assert_nobody_has(ketch)
    assert not is_there(found.worker)
    (left,) = left_behind(folder())
    assert left.recover().installation.vessel.name == "Avocet 2"
    left.discard()


def test_what_is_half_typed_is_kept_too(ketch: Path) -> None:
    assert ended(ketch, 0, signal.SIGTERM, "typing").code == 128 + signal.SIGTERM
    (left,) = left_behind(folder())
    assert left.recover().installation.vessel.name == "Half Typed"
    left.discard()


def test_while_a_question_stands(ketch: Path) -> None:
    found = ended(ketch, 1, signal.SIGTERM, "asking")
    assert found.code == 128 + signal.SIGTERM
    assert "Traceback" not in found.said
    assert_nobody_has(ketch)
    (left,) = left_behind(folder())
    assert left.recover().installation.vessel.name == "Avocet 0"
    left.discard()


def test_nothing_changed_nothing_left(ketch: Path) -> None:
    ended(ketch, 0, signal.SIGTERM)
    assert not list(folder().iterdir())
    assert_nobody_has(ketch)


def test_killed_outright_the_study_process_ends_too_and_the_file_can_be_had(ketch: Path) -> None:
    found = ended(ketch, 1, signal.SIGKILL)
    lock = take(ketch)
    assert isinstance(lock, Lock)
    lock.release()
    assert not wait_until_gone(found.worker)
    (left,) = left_behind(folder())
    left.discard()


def wait_until_gone(process: int) -> bool:
    """Whether it is still there after a while."""
    import time

    until = time.monotonic() + 20
    while is_there(process) and time.monotonic() < until:
        os.sched_yield()
    return is_there(process)


def test_a_session_that_ends_brings_everything_to_the_disk(desk: Desk, shown: Shown, ketch: Path) -> None:
    window = shown(desk.open_path(ketch))
    window.document.do(SetFields("vessel", "vessel", (("name", "Avocet"),)))
    desk.session_ends()
    assert window in desk.windows
    assert window.document.journal is not None
    assert window.document.journal.file is not None
    assert b"Avocet" in window.document.journal.file.read_bytes()


def test_work_is_kept_whatever_ended_the_loop(desk: Desk, shown: Shown, ketch: Path) -> None:
    window = shown(desk.open_path(ketch))
    window.document.do(SetFields("vessel", "vessel", (("name", "Avocet"),)))
    desk.end()
    window.close()
    (left,) = left_behind(folder())
    assert left.recover().installation.vessel.name == "Avocet"
    left.discard()
