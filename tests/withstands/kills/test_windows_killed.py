"""Windows killed while they are worked with keys: the next start offers just what was kept, and goes on from there."""

from __future__ import annotations

import hashlib
import os
import random
import select
import signal
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from engine.files.drawing import load

pytestmark = [pytest.mark.qt, pytest.mark.posix]

HAND = Path(__file__).with_name("window_hand.py")
SAMPLE = Path(__file__).parents[3] / "samples" / "launch" / "launch.linewright"


def windows(folder: Path, nursery_of: Callable[..., Any], count: int) -> Counter[str]:
    """So many windows one after the other on one drawing, each killed."""
    file = folder / "launch.linewright"
    file.write_bytes(SAMPLE.read_bytes())
    states = {hashlib.sha256(file.read_bytes()).hexdigest()}  # one of these must come back
    edits = 0
    came: Counter[str] = Counter()
    with nursery_of(HAND) as nursery:
        for seed in range(count):
            dice = random.Random(seed)
            judging = seed % 5 == 4
            child = nursery.child(
                "live", {"home": str(folder / "home"), "file": str(file), "seed": seed, "judging": judging}
            )
            heard = child.line.hear()
            if heard[0] == "offered":
                came["offered"] += 1
                assert len(heard[1]) == 1
                assert str(file) in heard[1][0]
                heard = child.line.hear()
            else:
                assert states & {hashlib.sha256(file.read_bytes()).hexdigest()}, "work is gone"
            what, state, judge = heard
            assert what == "ready"
            assert state in states, f"seed {seed}: what came back was never there"
            messages = []
            wanted = dice.randint(0, 24)
            while len(messages) < wanted:
                messages.append(child.line.hear())
            until = time.perf_counter_ns() + dice.randint(0, 5_000_000)
            while time.perf_counter_ns() < until:
                pass
            child.kill()
            messages.extend(child.line.rest())
            assert child.ended() == -signal.SIGKILL, seed
            states = _states(state, messages)
            came += Counter(told for what, told in messages if what == "done")
            edits += sum(what == "done" for what, _words in messages)
            came["killed amid an edit"] += len(states) > 1
            came["saved"] += any(what == "saved" for what, _told in messages)
            assert load(file)
            if judging:
                came["study process gone"] += not hasattr(os, "pidfd_open") or _gone(judge)
    came["edits"] = edits
    print(dict(came))
    return came


def _states(state: str, messages: list[list[str]]) -> set[str]:
    """What the last edit that was kept has left, and what the one in flight would have."""
    doing = ""
    for what, told in messages:
        if what == "doing":
            doing = told
        elif what == "done":
            state, doing = doing, ""
    return {state, doing} - {""}


def _gone(process: int) -> bool:
    """The study process has heard that nobody listens any more."""
    try:
        handle = os.pidfd_open(process)
    except ProcessLookupError:
        return True
    try:
        return bool(select.select([handle], [], [], 30)[0])
    finally:
        os.close(handle)


def test_a_window_is_killed_and_the_next_goes_on(tmp_path: Path, nursery_of: Callable[..., Any]) -> None:
    came = windows(tmp_path, nursery_of, 3)
    assert came["edits"] > 5


@pytest.mark.long
def test_thirty_windows_are_killed(tmp_path: Path, nursery_of: Callable[..., Any]) -> None:
    came = windows(tmp_path, nursery_of, 30)
    assert came["offered"] > 6
    assert came["edits"] > 100
    assert came["study process gone"] == 6
