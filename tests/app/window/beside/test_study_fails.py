"""The study process killed, hung, starved, unable to start: the window says so, works on, and is right afterwards."""

from __future__ import annotations

import os
import random
import signal
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from app.window import judge as judge_module
from app.window.beside import watching
from app.window.main import Window
from app.window.start import Desk
from engine.check import CheckResult, check
from engine.edits import SetFields
from engine.rules.disabled import only_disabled

pytestmark = [pytest.mark.qt, pytest.mark.says_in_log]
Shown = Callable[[Window | None], Window]
LONG = 60_000
LAUNCH = Path(__file__).parents[4] / "samples/launch/launch.linewright"

# the study process with one of our rules spoilt from the moment `spoilt` exists; each run of it is noted
CHILD = """
import os, pathlib, time
import app.worker as worker, app.worker_guard as guard
from engine.rules import rules
worker.MEMORY_BYTES = {memory}
rule = rules()[{rule!r}]
def check(study):
    yield from rule.check(study)
    if pathlib.Path({spoilt!r}).exists():
        with open({noted!r}, "a") as file:
            file.write("x")
        {does}
rules()[{rule!r}] = rule._replace(check=check)
worker.main()
"""


@pytest.fixture(autouse=True)
def _all_rules() -> Iterator[None]:
    yield
    watching.switch_on()
    only_disabled({})


class Man:
    """Somebody at a window whose drawing is judged."""

    def __init__(self, window: Window, qtbot: QtBot) -> None:
        self.window, self._qtbot, self._n = window, qtbot, 0

    def begin(self) -> None:
        self.until(lambda: self.window.document.judge is not None)
        self.idle()

    def edit(self) -> None:
        self._n += 1
        sheet = self.window.document.sheet
        title = f"Title {self._n}"
        self.window.try_edit(SetFields("sheets", sheet, (("title", title),), "Change a title"))
        record = self.window.document.installation.get("sheets", sheet)
        assert record is not None
        assert record.title == title

    @property
    def process(self) -> int:
        assert self.window.document.judge is not None
        return self.window.document.judge.process_id

    @property
    def result(self) -> CheckResult:
        assert self.window.document.judgement is not None
        return self.window.document.judgement.result

    def until(self, call: Callable[[], bool]) -> None:
        self._qtbot.waitUntil(call, timeout=LONG)

    def idle(self) -> None:
        judge = self.window.document.judge
        assert judge is not None
        self.until(lambda: not judge._is_busy)

    def told(self, key: str) -> str:
        return self.window.banner.told().get(key, "")

    def try_again(self, qtbot: QtBot) -> None:
        """Have all rules run again, by the keyboard."""
        again = next(b for b in self.window.banner.findChildren(QPushButton) if b.text() == "Try again")
        again.setFocus()
        qtbot.keyClick(again, Qt.Key.Key_Space)
        assert self.told("rules") == ""

    def right(self) -> None:
        """What is shown is what a fresh check of the drawing says, and nothing is told any more."""
        assert self.result == check(self.window.document.snapshot())
        assert self.told("judge") == ""


@pytest.fixture
def man(judging_desk: Desk, shown: Shown, tmp_path: Path, qtbot: QtBot) -> Callable[[], Man]:
    def make() -> Man:
        path = tmp_path / "launch.linewright"
        path.write_bytes(LAUNCH.read_bytes())
        made = Man(shown(judging_desk.open_path(path)), qtbot)
        made.begin()
        return made

    return make


class Spoilt:
    """One of our rules, spoilt when asked for."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch, does: str, memory: int) -> None:
        from engine.files.drawing import load

        snapshot = load(LAUNCH).installation.snapshot()
        self.rule = check(snapshot).findings[0].rule
        self._mark, self._noted = folder / "spoilt", folder / "noted"
        code = CHILD.format(memory=memory, rule=self.rule, spoilt=str(self._mark), noted=str(self._noted), does=does)
        monkeypatch.setattr(judge_module, "ARGUMENTS", ("-P", "-c", code))

    def spoil(self) -> None:
        self._mark.touch()

    def mend(self) -> None:
        self._mark.unlink()

    @property
    def runs(self) -> int:
        return len(self._noted.read_text()) if self._noted.exists() else 0


@pytest.mark.parametrize(
    ("does", "times", "why"),
    [
        ("raise LookupError('F9')", 1, "LookupError"),
        pytest.param(
            "kept = []\n        while True: kept.append(bytearray(1 << 22))",
            1,
            "MemoryError",
            marks=pytest.mark.skipif(sys.platform == "win32", reason="the system holds no process to its memory"),
        ),
        ("while True: pass", 2, "hung or ended"),
        pytest.param("time.sleep(600)", 2, "hung or ended", marks=pytest.mark.long),
        pytest.param("os.kill(os.getpid(), 19)", 2, "hung or ended", marks=[pytest.mark.long, pytest.mark.posix]),
        pytest.param("os.abort()", 2, "hung or ended", marks=pytest.mark.long),
        pytest.param("os._exit(0)", 2, "hung or ended", marks=pytest.mark.long),
        pytest.param("os.kill(os.getpid(), 9)", 2, "hung or ended", marks=[pytest.mark.long, pytest.mark.posix]),
    ],
    ids=[
        "raises",
        "takes all memory",
        "goes round",
        "sleeps",
        "stands still",
        "aborts",
        "exits",
        "is killed for its memory",
    ],
)
def test_a_rule_that_fails_is_named_and_off_until_tried_again_and_all_others_judge(
    man: Callable[[], Man],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
    does: str,
    times: int,
    why: str,
) -> None:
    spoilt = Spoilt(tmp_path, monkeypatch, does, 900 << 20)
    monkeypatch.setattr(watching, "SILENCE_MS", 1_500)
    at = man()
    at.right()
    assert any(finding.rule == spoilt.rule for finding in at.result.findings)
    spoilt.spoil()
    at.edit()
    at.until(lambda: bool(at.told("rules")))
    at.edit()  # the window goes on
    at.idle()
    assert spoilt.runs == times
    assert spoilt.rule in at.told("rules")
    assert at.told("judge") == ""  # it is over
    assert at.result.faulted == (spoilt.rule,)
    assert not [finding for finding in at.result.findings if finding.rule == spoilt.rule]
    (gap,) = [gap for gap in at.result.not_judged if gap.rule == spoilt.rule and gap.detail == "stopped"]
    assert why in gap.why
    assert at.result.fails("danger", allow_unknown=True) or gap.would_be != "danger"
    fresh = check(at.window.document.snapshot())
    assert [f for f in fresh.findings if f.rule != spoilt.rule] == list(at.result.findings)
    for _n in range(3):
        at.edit()
        at.idle()
    assert spoilt.runs == times  # it is not run again by itself
    spoilt.mend()
    at.try_again(qtbot)
    at.idle()
    at.right()


@pytest.mark.posix
def test_killed_whenever_it_starts_studies_or_rests_it_is_told_and_all_is_right_in_the_end(
    man: Callable[[], Man], monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    _kill_again_and_again(man(), monkeypatch, qtbot, 4, random.Random(7))


@pytest.mark.long
@pytest.mark.posix
def test_killed_forty_times(man: Callable[[], Man], monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> None:
    seed = random.randrange(10**6)
    print("seed", seed)
    _kill_again_and_again(man(), monkeypatch, qtbot, 40, random.Random(seed))


def _kill_again_and_again(
    at: Man, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot, times: int, dice: random.Random
) -> None:
    monkeypatch.setattr(judge_module, "PAUSES_MS", (0, 20))
    for _n in range(times):
        at.until(lambda: bool(at.process))
        first = at.process
        if dice.random() < 0.3:
            at.idle()
        else:
            at.edit()
            qtbot.wait(dice.randrange(400))  # some moment of its start or its study
        if at.process != first:
            continue
        os.kill(first, signal.SIGKILL)
        at.until(lambda first=first: at.process != first)
        at.edit()
        at.window.document.undo()
    at.edit()
    at.idle()
    if watching.off():  # twice in one rule by chance: it is off, which is told, and can be tried again
        assert set(watching.off()) == set(at.result.faulted)
        at.try_again(qtbot)
        at.idle()
    at.right()
    if sys.platform == "linux":
        mine = Path(f"/proc/{os.getpid()}/task/{os.getpid()}/children").read_text().split()
        assert [int(n) for n in mine].count(at.process) == 1
        zombies = [n for n in mine if "Z (zombie)" in Path(f"/proc/{n}/status").read_text()]
        assert zombies == []


HALF = """
import pathlib, os, signal
import app.worker as worker, app.worker_messages as messages
mark, old = pathlib.Path({mark!r}), worker.packed
def packed(answer):
    whole = old(answer)
    if isinstance(answer, messages.{of}) and not mark.exists():
        mark.touch()
        os.write(1, whole[: len(whole) // 2])
        os.kill(os.getpid(), signal.SIGKILL)
    return whole
worker.packed = packed
streams = worker.streams
def plain():
    incoming, outgoing = streams()
    os.dup2(outgoing.fileno(), 1)
    return incoming, outgoing
worker.streams = plain
worker.main()
"""


@pytest.mark.posix
@pytest.mark.parametrize(
    "of", ["Judged", *(pytest.param(each, marks=pytest.mark.long) for each in ("Ready", "Drawn", "Lit", "EnergyTold"))]
)
def test_killed_in_the_middle_of_a_frame(
    man: Callable[[], Man], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, of: str
) -> None:
    mark = tmp_path / "half"
    monkeypatch.setattr(judge_module, "ARGUMENTS", ("-P", "-c", HALF.format(mark=str(mark), of=of)))
    at = man()
    assert mark.exists()
    at.right()
    at.edit()
    at.idle()
    at.right()


@pytest.mark.posix
@pytest.mark.parametrize(
    "lacks",
    ["a module", *(pytest.param(each, marks=pytest.mark.long) for each in ("the program", "the right to run it"))],
)
def test_unable_to_start_it_says_so_until_it_can(
    judging_desk: Desk,
    shown: Shown,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
    lacks: str,
) -> None:
    program = tmp_path / "python"
    program.write_text("#!/bin/sh\n")
    program.chmod(0o644)
    if lacks == "a module":
        monkeypatch.setattr(judge_module, "ARGUMENTS", ("-P", "-m", "app.of_the_sea"))
    else:
        monkeypatch.setattr(sys, "executable", str(program if lacks == "the right to run it" else tmp_path / "none"))
    monkeypatch.setattr(judge_module, "PAUSES_MS", (0, 20, 50))
    path = tmp_path / "launch.linewright"
    path.write_bytes(LAUNCH.read_bytes())
    at = Man(shown(judging_desk.open_path(path)), qtbot)
    at.until(lambda: "does not start" in at.told("judge"))
    judge = at.window.document.judge
    assert judge is not None
    at.until(lambda: judge._troubles > 3)
    at.edit()
    at.window.document.undo()
    assert "does not start" in at.told("judge")
    monkeypatch.undo()
    judge._again.start(0)
    at.until(lambda: bool(at.window.document.judgement))
    at.idle()
    at.right()
