"""The whole program, opened, worked and left at any moment: it ends as it should, and nothing stays behind."""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.window.recovering import folder

pytestmark = [pytest.mark.qt, pytest.mark.posix]

HARMLESS = ("propagateSizeHints", "does not support raise()", "XDG_RUNTIME_DIR", "grabbing the keyboard")
LONGEST_S = 90
WAYS = ("quit", "close", "key", "twice", "term", "hup")

PROGRAM = """
import os, random, sys
from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtTest import QTest
from app.window import files, start
from engine.edits import SetFields
path, way, seed = sys.argv[1:]
chance = random.Random(int(seed))
files.ask = lambda _parent, question: chance.choice(["save", "drop"]) if "save" in [
    a.key for a in question.answers] else "drop"
made = []
class Noted(start.Desk):
    def __init__(self):
        super().__init__()
        made.append(self)
        QTimer.singleShot(chance.choice([0, 5, 50, 200, 600, 1500, 3000]), leave)
        QTimer.singleShot(0, work)
start.Desk = Noted
def work():
    desk = made[0]
    if not desk.windows:
        return
    window = desk.windows[0]
    does = chance.randrange(8)
    if does == 0:
        window.show_page(chance.choice(["", "particulars", "kinds", "notes", "table"]))
    elif does == 1:
        window.document.undo()
    elif does == 2:
        desk.new()
    elif does == 3:
        window.board.grasp(tuple(list(window.document.snapshot().placements)[:3]))
    elif does == 4:  # in the middle of a drag
        view = window.board.viewport()
        at = QPoint(chance.randrange(view.width()), chance.randrange(view.height()))
        QTest.mousePress(view, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at)
        QTest.mouseMove(view, at + QPoint(40, 30))
    elif does == 5:
        window.document.turn_to(chance.choice(window.document.sheets()))
    else:
        for n in range(chance.randrange(30)):
            window.document.do(SetFields("vessel", "vessel", (("name", f"Avocet {n}"),), "Name her"))
    QTimer.singleShot(chance.randrange(60), work)
def leave():
    desk = made[0]
    if not desk.windows:
        return QTimer.singleShot(5, leave)
    judge = desk.windows[0].document.judge
    print("worker", judge.process_id if judge is not None else 0, flush=True)
    if way == "quit":
        desk.leave()
    elif way == "close":
        for window in list(desk.windows):
            window.close()
    elif way == "key":
        QTest.keyClick(desk.windows[-1], Qt.Key.Key_Q, Qt.KeyboardModifier.ControlModifier)
    elif way == "twice":
        windows = list(desk.windows)
        for window in windows + windows:
            window.close()
        desk.leave()
    else:
        print("now", flush=True)
        return
    if desk.windows:
        QTimer.singleShot(50, desk.leave)
sys.exit(start.run([path]))
"""


@pytest.fixture(scope="module")
def screen() -> Iterator[dict[str, str]]:
    """Where the windows stand: a real X server where there is one to be had, else nowhere."""
    program = shutil.which("Xvfb")
    if program is None:
        yield {"QT_QPA_PLATFORM": "offscreen"}
        return
    reads, writes = os.pipe()
    server = subprocess.Popen(
        [program, "-displayfd", str(writes), "-screen", "0", "1600x1200x24", "-nolisten", "tcp"],
        pass_fds=(writes,),
        stderr=subprocess.DEVNULL,
    )
    os.close(writes)
    with os.fdopen(reads) as told:
        number = told.readline().strip()
    try:
        yield {"QT_QPA_PLATFORM": "xcb", "DISPLAY": f":{number}"}
    finally:
        server.terminate()
        server.wait(20)


def is_there(process: int) -> bool:
    with contextlib.suppress(OSError):
        os.kill(process, 0)
        stat = Path(f"/proc/{process}/stat")
        return not stat.exists() or stat.read_text().rpartition(") ")[2][0] != "Z"
    return False


def opened_and_left(path: Path, screen: dict[str, str], way: str, seed: int) -> None:
    program = subprocess.Popen(
        [sys.executable, "-X", "faulthandler", "-c", PROGRAM, str(path), way, str(seed)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=os.environ | screen,
    )  # fmt: skip
    assert program.stdout is not None
    words = program.stdout.readline().split()
    wanted = 0
    if way in ("term", "hup") and words:
        program.stdout.readline()
        number = signal.SIGTERM if way == "term" else signal.SIGHUP
        program.send_signal(number)
        wanted = 128 + number
    try:
        _out, said = program.communicate(timeout=LONGEST_S)
    except subprocess.TimeoutExpired:
        program.send_signal(signal.SIGABRT)  # where it stands
        pytest.fail(f"{way} {seed}: it does not end\n{program.communicate()[1]}")
    told = [line for line in said.splitlines() if line and not any(each in line for each in HARMLESS)]
    assert (program.returncode, told) == (wanted, []), (way, seed)
    assert words, (way, seed)
    assert words[0] == "worker"
    until = time.monotonic() + 20
    while words[1] != "0" and is_there(int(words[1])) and time.monotonic() < until:
        os.sched_yield()
    assert words[1] == "0" or not is_there(int(words[1])), (way, seed)
    assert [each.name for each in path.parent.iterdir()] == [path.name], (way, seed)
    left = list(folder().iterdir()) if folder().is_dir() else []
    if way in ("term", "hup"):
        for journal in left:
            journal.unlink()
    else:
        assert left == [], (way, seed)


@pytest.mark.parametrize("way", ["quit", "twice", "term"])
def test_it_ends_as_it_should(ketch: Path, screen: dict[str, str], way: str) -> None:
    opened_and_left(ketch, screen, way, 7)


@pytest.mark.long
def test_it_ends_as_it_should_at_any_moment(ketch: Path, screen: dict[str, str]) -> None:
    whole = ketch.read_bytes()
    chance = random.Random(20)
    for n in range(50):
        ketch.write_bytes(whole)
        opened_and_left(ketch, screen, WAYS[n % len(WAYS)], chance.randrange(10**6))
