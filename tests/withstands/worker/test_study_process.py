"""The study process from outside: held to its memory, its pipes full, garbage on them, a rule that fails within it."""

from __future__ import annotations

import contextlib
import os
import select
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from app.worker_messages import (
    Answer,
    Done,
    EditRequest,
    Fault,
    Frames,
    Judged,
    OpenRequest,
    Ready,
    RuleStopped,
    Working,
    answer_of,
    framed,
    packed,
)
from engine.check import CheckResult, check
from engine.edits import SetFields, done
from engine.files.drawing import load
from engine.files.edit_form import plain_edit, plain_snapshot
from engine.installation.model import Installation
from engine.rules import rules

ROOT = Path(__file__).parents[3]
PATIENCE_S = 60.0
Started = Callable[..., "Studying"]


class Studying:
    """A study process and what it says."""

    def __init__(self, code: str, arguments: tuple[str, ...] = ()) -> None:
        run = ["-c", code] if code else ["-m", "app.worker"]
        self.process = subprocess.Popen(
            [sys.executable, "-P", *run, *arguments],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        self._frames = Frames()
        self.got: list[Answer] = []

    def tell(self, data: bytes) -> None:
        """Write, however long it is not read."""
        assert self.process.stdin is not None
        self.process.stdin.write(data)
        self.process.stdin.flush()

    def ends(self) -> tuple[int, str]:
        """Its exit code and what it had for the log, once it has ended by itself; its input stays open."""
        code = self.process.wait(PATIENCE_S)
        assert self.process.stderr is not None
        return code, self.process.stderr.read().decode(errors="replace")

    def close(self) -> None:
        """End it."""
        self.process.kill()
        self.process.wait(PATIENCE_S)
        for pipe in (self.process.stdin, self.process.stdout, self.process.stderr):
            assert pipe is not None
            with contextlib.suppress(BrokenPipeError):
                pipe.close()

    def until(self, wanted: Callable[[Answer], bool]) -> list[Answer]:
        """All that is said until something is."""
        assert self.process.stdout is not None
        out, until, from_here = self.process.stdout.fileno(), time.monotonic() + PATIENCE_S, len(self.got)
        while not any(wanted(answer) for answer in self.got[from_here:]):
            assert time.monotonic() < until, "it says nothing"
            if not select.select([out], [], [], 1.0)[0]:
                continue
            some = os.read(out, 1 << 16)
            assert some, "it ended"
            self._frames.feed(some)
            while (body := self._frames.take()) is not None:
                self.got.append(answer_of(body))
        return self.got[from_here:]

    def done(self, at: int) -> list[Answer]:
        """All that is said until that request is done."""
        return self.until(lambda answer: isinstance(answer, Done) and answer.at == at)


def last(answers: list[Answer]) -> CheckResult:
    return [answer for answer in answers if isinstance(answer, Judged)][-1].result


@pytest.fixture
def started() -> Iterator[Started]:
    running: list[Studying] = []

    def start(code: str = "") -> Studying:
        running.append(Studying(code))
        return running[-1]

    yield start
    for each in running:
        each.close()


def sample(name: str) -> Installation:
    return load(ROOT / "samples" / name / f"{name}.linewright").installation


SPOILT = """
import app.worker as worker
from engine.rules import rules
{head}
def check(study):
    {does}
    yield
rules()["over-stud"] = rules()["over-stud"]._replace(check=check)
worker.main()
"""
FAILING = {
    "raises": ("raise KeyError('W7')", "KeyError"),
    "recurses": ("f = lambda n: f(n + 1) + 1; f(0)", "RecursionError"),
    "takes all memory": ("x = [bytearray(1 << 22) for _n in range(1 << 20)]", "MemoryError"),
}


@pytest.mark.posix
@pytest.mark.parametrize("how", ["raises", *(pytest.param(h, marks=pytest.mark.long) for h in list(FAILING)[1:])])
def test_a_rule_that_fails_is_told_once_and_all_others_say_what_they_always_say(how: str, started: Started) -> None:
    does, why = FAILING[how]
    running = started(SPOILT.format(does=does, head="worker.MEMORY_BYTES = 700 << 20"))
    boat = sample("launch")
    running.tell(packed(OpenRequest(1, plain_snapshot(boat.snapshot()))))
    first = running.done(1)
    assert [(a.rule, a.words) for a in first if isinstance(a, RuleStopped)] == [("over-stud", why)]
    made = done(boat, SetFields("sheets", boat.ids("sheets")[0], (("title", "Another"),)))
    running.tell(packed(EditRequest(2, plain_edit(made.edit))))
    second = running.done(2)
    assert not [a for a in second if isinstance(a, RuleStopped)]
    assert not [a for a in second if isinstance(a, Working) and a.rule == "over-stud"], "it is not run again"
    assert not [a for a in (*first, *second) if isinstance(a, Fault)]
    others = check(boat.snapshot(), only=[slug for slug in rules() if slug != "over-stud"])
    for answers in (first, second):
        result = last(answers)
        assert result.stopped == ("over-stud",)
        assert result.findings == others.findings
        assert why in next(gap.why for gap in result.not_judged if gap.rule == "over-stud")
    # begun anew, without it from the start; or with it once more
    running.tell(packed(OpenRequest(3, plain_snapshot(boat.snapshot()), "", {"over-stud": "it hung"})))
    third = running.done(3)
    assert not [a for a in third if isinstance(a, Working) and a.rule == "over-stud"]
    assert "(it hung)" in next(gap.why for gap in last(third).not_judged if gap.rule == "over-stud")
    running.tell(packed(OpenRequest(4, plain_snapshot(boat.snapshot()))))
    assert [a for a in running.done(4) if isinstance(a, RuleStopped)]


@pytest.mark.posix
def test_what_is_said_before_every_rule_names_the_one_it_dies_in(started: Started) -> None:
    running = started(SPOILT.format(does="import os; os.kill(os.getpid(), 9)", head=""))
    running.tell(packed(OpenRequest(1, plain_snapshot(sample("launch").snapshot()))))
    with pytest.raises(AssertionError, match="it ended"):
        running.done(1)
    assert [answer for answer in running.got if isinstance(answer, Working)][-1].rule == "over-stud"


@pytest.mark.posix
def test_a_window_that_does_not_read_for_long_is_told_all_in_the_end(started: Started) -> None:
    running = started()
    boat = sample("workboat")
    running.tell(packed(OpenRequest(1, plain_snapshot(boat.snapshot()))))
    assert running.process.stdout is not None
    most = 1 << 16  # bytes a pipe holds: fill it, and only then go on
    out = running.process.stdout.fileno()
    _wait_until_full(out, most)
    sheet = boat.ids("sheets")[0]
    for n in range(2, 202):
        made = done(boat, SetFields("sheets", sheet, (("title", f"Title {n}"),)))
        running.tell(packed(EditRequest(n, plain_edit(made.edit))))
    answers = running.done(201)
    assert last(answers) == check(boat.snapshot())
    assert not [a for a in answers if isinstance(a, Fault)]


def _wait_until_full(out: int, most: int) -> None:
    import fcntl
    import termios

    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        held = struct.unpack("i", fcntl.ioctl(out, termios.FIONREAD, b"\0" * 4))[0]
        if held >= most - 4096:
            return
        select.select([], [], [], 0.02)
    raise AssertionError("the pipe does not fill")


GARBAGE = {
    "a frame of 4 GB": b"\xff\xff\xff\xff" + b"x" * 1000,
    "a frame longer than any": struct.pack(">I", (1 << 28) + 1),
    "no message": struct.pack(">I", 5) + b"hello",
    "an answer": packed(Ready()),
    "a request without its parts": framed(b"\x81\xa4type\xa4open"),
}


@pytest.mark.parametrize(
    "what", ["a frame of 4 GB", *(pytest.param(w, marks=pytest.mark.long) for w in list(GARBAGE)[1:])]
)
def test_garbage_on_its_input_ends_it_at_once(what: str, started: Started) -> None:
    running = started()
    running.until(lambda answer: isinstance(answer, Ready))
    running.tell(GARBAGE[what])
    code, err = running.ends()
    assert code == 1
    assert "nobody understands" in err


@pytest.mark.posix
def test_a_request_there_is_no_memory_for_ends_it_rather_than_leaving_it_deaf(started: Started) -> None:
    running = started("import app.worker as worker; worker.MEMORY_BYTES = 150 << 20; worker.main()")
    running.until(lambda answer: isinstance(answer, Ready))
    some: Any = b"\0" * (1 << 20)
    with contextlib.suppress(BrokenPipeError):
        running.tell(struct.pack(">I", 250 << 20))
        for _n in range(250):
            running.tell(some)
    code, err = running.ends()
    assert code == 1
    assert "no memory" in err


@pytest.mark.posix
def test_it_is_held_to_its_memory_and_leaves_no_image_of_itself(started: Started) -> None:
    running = started(
        "import resource, app.worker as worker\n"
        "def told(*_some):\n"
        "    print(*(resource.getrlimit(w)[0] for w in (resource.RLIMIT_DATA, resource.RLIMIT_CORE)), flush=True)\n"
        "    raise SystemExit\n"
        "worker.serve = told; worker.main()"
    )
    _code, err = running.ends()
    assert err.split() == [str(4 << 30), "0"]
