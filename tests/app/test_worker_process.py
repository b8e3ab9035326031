"""The study process as a process: what it says on its pipes, and how it ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from app.worker_messages import (
    Answer,
    Begun,
    Done,
    Frames,
    OpenRequest,
    QuitRequest,
    Ready,
    ViewRequest,
    answer_of,
    packed,
)
from engine.files.drawing import load
from engine.files.edit_form import plain_snapshot
from engine.installation.model import Installation

ROOT = Path(__file__).parents[2]


def sample(name: str = "launch") -> Installation:
    return load(ROOT / "samples" / name / f"{name}.linewright").installation


def process(code: str = "", **more: Any) -> subprocess.Popen[bytes]:
    run = ["-c", code] if code else ["-m", "app.worker"]
    return subprocess.Popen(
        [sys.executable, "-P", *run],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        **more,
    )


def said(out: bytes) -> list[Answer]:
    frames, got = Frames(), []
    frames.feed(out)
    while (body := frames.take()) is not None:
        got.append(answer_of(body))
    assert not frames._bytes
    return got


def until(running: subprocess.Popen[bytes], wanted: type) -> list[Answer]:
    """Read until an answer of that kind has come."""
    frames, got = Frames(), []
    assert running.stdout is not None
    while not any(isinstance(a, wanted) for a in got):
        some = os.read(running.stdout.fileno(), 1 << 16)
        assert some, "it ended"
        frames.feed(some)
        while (body := frames.take()) is not None:
            got.append(answer_of(body))
    return got


def test_the_process_answers_on_stdout_in_frames_alone_and_ends_with_its_input() -> None:
    # what anything prints, even past Python, must not get between the frames
    loud = (
        "import os, app.worker as w; old = w.live_from\n"
        "def live(*s): print('chatter', flush=True); os.write(1, b'more of it'); return old(*s)\n"
        "w.live_from = live; w.main()"
    )
    running = process(loud)
    assert running.stdin is not None
    running.stdin.write(packed(OpenRequest(1, plain_snapshot(sample().snapshot()))))
    running.stdin.flush()
    got = until(running, Done)
    assert isinstance(got[0], Ready)
    out, err = running.communicate(timeout=30)
    assert running.returncode == 0
    assert said(out) == []
    assert b"chatter" in err
    assert b"more of it" in err


@pytest.mark.posix
def test_interrupted_from_the_terminal_it_goes_on_until_its_input_ends() -> None:
    running = process()
    until(running, Ready)
    running.send_signal(signal.SIGINT)
    assert running.stdin is not None
    running.stdin.write(packed(ViewRequest(1, "", "")))
    running.stdin.flush()
    until(running, Begun)
    _out, err = running.communicate(timeout=60)
    assert running.returncode == 0
    assert b"Traceback" not in err


def test_quit_ends_it_in_the_middle_of_a_study() -> None:
    slow = "import time, app.worker as w; w.check = lambda *a, **k: time.sleep(600); w.main()"
    running = process(slow)
    assert running.stdin is not None
    running.stdin.write(packed(OpenRequest(1, plain_snapshot(sample().snapshot()))))
    running.stdin.flush()
    until(running, Begun)
    running.stdin.write(packed(QuitRequest()))
    running.stdin.flush()
    assert running.wait(30) == 0
    running.communicate()


def test_nonsense_on_its_input_ends_it_and_is_told_in_words() -> None:
    running = process()
    _out, err = running.communicate(b"\x00\x00\x00\x05hello", timeout=30)
    assert running.returncode == 1
    assert b"nobody understands" in err


@pytest.mark.posix
def test_a_window_that_is_killed_leaves_no_process_behind() -> None:
    parent = (
        "import subprocess, sys, time\n"
        "p = subprocess.Popen([sys.executable, '-m', 'app.worker'], stdin=subprocess.PIPE, stdout=subprocess.PIPE)\n"
        "p.stdout.read(1); print(p.pid, flush=True); time.sleep(600)"
    )
    running = process(parent)
    assert running.stdout is not None
    assert int(running.stdout.readline())
    running.send_signal(signal.SIGKILL)
    running.wait(10)
    # both hold the same stderr: it ends when the last of them has
    assert running.communicate(timeout=30)[1] == b""


def test_it_loads_no_qt_and_no_printing() -> None:
    code = "import sys, app.worker; print([m for m in sys.modules if m.split('.')[0] in ('PySide6', 'reportlab')])"
    done = subprocess.run(
        [sys.executable, "-P", "-c", code], capture_output=True, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=True
    )
    assert done.stdout.strip() == b"[]"
