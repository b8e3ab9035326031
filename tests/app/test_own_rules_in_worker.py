"""A person's own rules in the study process of the window: told last, and never in the way of anything else."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from app.judging_own import OwnJudging
from app.own_rules_runner import OwnRules
from app.worker import Worker
from app.worker_messages import Answer, Begun, Done, EditRequest, Fault, Judged, OpenRequest, packed
from engine.builder import Builder
from engine.check import CheckResult
from engine.edits import SetFields, done
from engine.files.edit_form import plain_edit, plain_snapshot
from engine.installation.model import Installation
from engine.rules import own as engine_own
from engine.rules import rules
from engine.rules.own import find

ROOT = Path(__file__).parents[2]
HEAD = (
    '"""A fuse."""\nimport os, time\nfrom engine.findings import Finding\n'
    'SLUG, WORD, TITLE = "a-fuse", "caution", "a fuse"\n'
    "def check(study):\n"
)
FUSES = (
    "    for item, record in study.snapshot.equipment.items():\n"
    "        if record.KIND == 'fuse':\n"
    "            names = (study.name(item),)\n"
    "            yield Finding(rule=SLUG, word=WORD, designations=names, ids=(item,), message='A fuse.')\n"
)


def boat() -> Installation:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1)
    b.waive("a-fuse", "F7", reason="as it came", who="A. Tern", date="2026-01-15")
    return b.installation


class Window:
    """What the window would do with a study process."""

    def __init__(self, own: OwnRules) -> None:
        self.heard: list[Answer] = []
        self.newer: Callable[[], bool] = lambda: False
        self.boat = boat()
        self._number = 0
        self._worker = Worker(self.heard.append, lambda: self.newer(), OwnJudging(own))
        self.open()

    def open(self) -> None:
        self._take(OpenRequest(1, plain_snapshot(self.boat.snapshot())))

    def _take(self, request: OpenRequest | EditRequest) -> None:
        self._number = request.number
        self._worker.take(request)

    def edit(self, table: str, item: str, **fields: object) -> None:
        made = done(self.boat, SetFields(table, item, tuple(fields.items())))
        self._take(EditRequest(self._number + 1, plain_edit(made.edit)))

    def study(self) -> list[CheckResult]:
        """The judgements it is told, in their order."""
        self.heard.clear()
        self._worker.study()
        return [answer.result for answer in self.heard if isinstance(answer, Judged)]


@pytest.fixture
def window(tmp_path: Path) -> Iterator[Callable[..., Window]]:
    opened: list[OwnRules] = []

    def made(limit_s: float = 5.0, **files: str) -> Window:
        for name, text in files.items():
            (tmp_path / f"{name}.py").write_text(text)
        own = OwnRules(*find(str(tmp_path)), limit_s=limit_s)
        opened.append(own)
        return Window(own)

    yield made
    for own in opened:
        own.close()
    engine_own.announce((), are_all=True)


def of_own(result: CheckResult) -> list[str]:
    return [finding.designations[0] for finding in result.findings if finding.rule not in rules()]


def needless(result: CheckResult) -> list[str]:
    return [finding.message for finding in result.findings if finding.rule == "needless-waiver"]


def test_what_they_say_is_told_after_all_the_rest_and_stands_until_they_say_otherwise(window) -> None:
    w = window(fuses=HEAD + FUSES)
    first, second = w.study()
    assert isinstance(w.heard[-1], Done)
    assert (of_own(first), of_own(second)) == ([], ["F1"])
    assert [f for f in second.findings if f.rule in rules() and f.rule != "needless-waiver"] == list(first.findings)
    # nobody knew yet whether that rule exists; now that it does its waiver is known to be of no use
    assert needless(first) == []
    assert needless(second) == ["The waiver of a-fuse for F7 no longer hides anything."]
    # nothing new is said of what is as it was
    assert w.study() == []
    (fuse,) = (item for item, record in w.boat.items("equipment") if record.KIND == "fuse")
    w.edit("equipment", fuse, designation="F2")
    told = w.study()
    assert of_own(told[0]) == ["F1"]  # until they have judged anew
    assert of_own(told[-1]) == ["F2"]
    assert told[-1].disabled == ()


def test_one_that_loops_is_named_and_nothing_else_is_lost(window) -> None:
    w = window(0.8, fuses=HEAD + FUSES, loops=HEAD.replace("a-fuse", "a-loop") + "    while True: pass\n")
    told = w.study()
    assert isinstance(w.heard[-1], Done)
    assert of_own(told[-1]) == ["F1"]
    assert told[-1].stopped == ("a-loop",)
    assert [fault.rule for fault in told[-1].disabled] == ["a-loop"]


def test_one_that_raises_is_off_until_the_window_begins_anew(window, tmp_path: Path) -> None:
    log = tmp_path / "runs.log"
    raises = HEAD.replace("a-fuse", "a-raise") + f"    open({str(log)!r}, 'a').write('x')\n    yield 1 / 0\n"
    w = window(fuses=HEAD + FUSES, raises=raises)
    (fuse,) = (item for item, record in w.boat.items("equipment") if record.KIND == "fuse")
    for name in ("F1", "F2", "F3"):
        w.edit("equipment", fuse, designation=name)
        told = w.study()
        assert of_own(told[-1]) == [name]
        assert [fault.rule for fault in told[-1].disabled] == ["a-raise"]
        assert "ZeroDivisionError" in told[-1].disabled[0].why
    assert log.read_text() == "x"
    w.open()
    w.study()
    assert log.read_text() == "xx"


def test_what_they_said_is_not_shown_as_true_when_they_cannot_be_asked(
    window, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    w = window(fuses=HEAD + FUSES)
    assert of_own(w.study()[-1]) == ["F1"]

    def nothing_left(*_some: object, **_more: object) -> None:
        raise MemoryError

    monkeypatch.setattr(OwnRules, "judge", nothing_left)
    (fuse,) = (item for item, record in w.boat.items("equipment") if record.KIND == "fuse")
    w.edit("equipment", fuse, designation="F2")
    last = w.study()[-1]
    caplog.clear()
    assert of_own(last) == []
    assert last.stopped == ("a-fuse",)
    assert [fault.why for fault in last.disabled] == ["there is not enough memory for it"]
    assert [gap.rule for gap in last.not_judged if gap.rule == "a-fuse"] == ["a-fuse"]
    assert isinstance(w.heard[-2], Fault)
    monkeypatch.undo()
    w.edit("equipment", fuse, designation="F3")
    assert of_own(w.study()[-1]) == ["F3"]


def test_a_newer_request_is_not_kept_waiting_for_them(window) -> None:
    w = window(fuses=HEAD + "    time.sleep(1.0)\n" + FUSES)
    asked: list[float] = []

    def newer() -> bool:
        # as soon as the first judgement is told something newer comes
        if any(isinstance(answer, Judged) for answer in w.heard) and not asked:
            asked.append(time.monotonic())
        return bool(asked) and time.monotonic() > asked[0] + 0.3

    w.newer = newer
    assert len(w.study()) == 1
    assert not isinstance(w.heard[-1], Done)
    w.newer = lambda: False
    (last,) = w.study()
    assert of_own(last) == ["F1"]
    assert isinstance(w.heard[0], Begun)


@pytest.mark.long
@pytest.mark.posix
def test_they_end_with_the_study_process_however_that_ends(tmp_path: Path) -> None:
    mark = tmp_path / "pid"
    place = tmp_path / "rules"
    place.mkdir()
    loop = f"    open({str(mark)!r}, 'w').write(str(os.getpid()))\n    while True: pass\n"
    (place / "loops.py").write_text(HEAD + loop)
    config = tmp_path / "config" / "linewright"
    config.mkdir(parents=True)
    (config / "settings.json").write_text(json.dumps({"rules_folder": str(place), "rules_limit_s": 600}))
    more = {"XDG_CONFIG_HOME": str(tmp_path / "config"), "PYTHONPATH": str(ROOT)}
    running = subprocess.Popen(
        [sys.executable, "-P", "-m", "app.worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env={**os.environ, **more},
    )
    assert running.stdin is not None
    running.stdin.write(packed(OpenRequest(1, plain_snapshot(boat().snapshot()))))
    running.stdin.flush()
    until = time.monotonic() + 30
    while not (mark.is_file() and mark.read_text()):
        assert time.monotonic() < until, "the rule was never run"
        time.sleep(0.02)
    pid = int(mark.read_text())
    running.send_signal(signal.SIGKILL)
    running.wait()
    running.stdin.close()
    while _is_running(pid):
        assert time.monotonic() < until, "it outlived whoever started it"
        time.sleep(0.02)


def _is_running(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    stat = Path(f"/proc/{pid}/stat")
    return not stat.is_file() or stat.read_text().rpartition(")")[2].split()[0] != "Z"
