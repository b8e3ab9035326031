"""A process is killed while it edits: at most the edit in flight is lost, whatever it was doing."""

from __future__ import annotations

import importlib.util
import random
import signal
import subprocess
import sys
import time
from pathlib import Path
from types import ModuleType

import pytest

from engine.edits import History
from engine.files.drawing import dump, load
from engine.files.recovery import left_behind

pytestmark = pytest.mark.posix

SCRIPT = Path(__file__).with_name("busy_hand.py")


def busy_hand() -> ModuleType:
    spec = importlib.util.spec_from_file_location("busy_hand", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def states_after(edits: int, seed: int) -> tuple[bytes, bytes]:
    """What a hand that is not killed would have after so many edits, and after one more."""
    hand = busy_hand()
    x = hand.drawing()
    strokes = hand.strokes(History(x), seed)
    for _each in range(edits):
        next(strokes)
    before = dump(x)
    next(strokes)
    return before, dump(x)


def killed(folder: Path, seed: int, dice: random.Random) -> int:
    """Kill a hand at a random moment; the count of edits it told."""
    with subprocess.Popen(
        [sys.executable, str(SCRIPT), str(folder / "recovery"), str(folder / "sandpiper.linewright"), str(seed)],
        stdout=subprocess.PIPE,
        bufsize=0,
    ) as child:
        assert child.stdout is not None
        told = child.stdout.readline()
        assert told == b"0\n"
        # often where the journal is begun anew after a save, or writes the whole drawing again
        round_ = 200 if seed % 2 else 83
        wanted = dice.choice((dice.randint(0, 450), round_ * dice.randint(1, 2), round_ * dice.randint(1, 2) - 1))
        while int(told) < wanted:
            told = child.stdout.readline()
        until = time.perf_counter_ns() + dice.randint(0, 2_000_000)  # the kill falls anywhere in an edit
        while time.perf_counter_ns() < until:
            pass
        child.send_signal(signal.SIGKILL)
        rest = child.stdout.read()
        assert child.wait() == -signal.SIGKILL
    lines = (told + rest).split(b"\n")
    return int(lines[-2])


def check(folder: Path, seed: int) -> str:
    """Kill, recover, compare; where the state came from."""
    told = killed(folder, seed, random.Random(seed))
    found = left_behind(folder / "recovery")
    after = states_after(told, seed)
    # a rebase begins the new journal before it lets the old one go: both may be there, the newest first
    states = [left.recover() for left in found]
    try:
        assert all(not left.why and not left.missing for left in found)
        if not states:
            assert dump(load(folder / "sandpiper.linewright").installation) in after
            return "file"
        assert dump(states[0].installation) in after, f"told {told}, recovered {states[0].edits}"
        assert states[0].path == folder / "sandpiper.linewright"
        assert states[0].edits > 0
        assert not states[0].base_changed
        return "journal"
    finally:
        for left in found:
            assert left.discard()
        assert left_behind(folder / "recovery") == ()
        assert list((folder / "recovery").iterdir()) == []


def test_at_most_the_edit_in_flight_is_lost(tmp_path: Path) -> None:
    came = [check(tmp_path, seed) for seed in range(10)]
    assert "journal" in came


@pytest.mark.long
def test_killed_at_a_hundred_points(tmp_path: Path) -> None:
    came = [check(tmp_path, seed) for seed in range(100, 200)]
    assert came.count("journal") > 50
