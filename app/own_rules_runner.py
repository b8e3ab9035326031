"""A person's own rules as the program has them judge: found, run in a process of their own, ended when they take long.

What goes wrong with one is told of that one and ends nothing else: the process is started anew for the next. Nothing of
an own rule is ever run here, and where there is none no process is started.
"""

from __future__ import annotations

import contextlib
import logging
import os
import queue
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

from app.frames import Frames
from app.own_rules_messages import (
    Answer,
    Broken,
    DrawingRequest,
    JudgeRequest,
    Loaded,
    LoadRequest,
    Ready,
    Request,
    Spoken,
    Taken,
    answer_of,
    packed,
)
from app.settings import DEFAULTS
from engine.books import Book
from engine.files.edit_form import plain_snapshot
from engine.installation.model import Snapshot
from engine.rules.own import Heard, OwnFault, OwnRule, Said, Source, announce, name_of, strange, taken, without_twins
from engine.study import Outcome
from engine.words import _

__all__ = ["OwnRules"]

log = logging.getLogger(__name__)

START_S = 60.0  # how long the process may take to start
LOOK_S = 0.02  # between two looks whether to go on
CHUNK = 1 << 16
LOGGED = 2_000  # characters of what a process that ended had said

GoOn = Callable[[], object]


class OwnRules:
    """The own rules of a set of sources, and the process they run in."""

    def __init__(
        self,
        sources: tuple[Source, ...],
        faults: tuple[OwnFault, ...] = (),
        limit_s: float = DEFAULTS["rules_limit_s"],
        start_s: float = DEFAULTS["rules_start_s"],
    ) -> None:
        self.sources = sources
        self._limit_s = limit_s
        self._start_s = start_s
        self._unfound = faults
        self._rules: dict[Source, OwnRule] = {}  # what each is, once that is known
        self._broken: dict[Source, OwnFault] = {}  # disabled as long as this lasts
        self._raised: dict[Source, OwnFault] = {}  # they are rules, and do not run as long as this lasts
        self._process: _Process | None = None

    def allow_again(self) -> None:
        """Run again what was disabled."""
        self._broken.clear()
        self._raised.clear()

    @property
    def is_empty(self) -> bool:
        """Whether there are none, broken or not."""
        return not self.sources and not self._unfound

    def describe(self, go_on: GoOn = bool) -> Heard:
        """What each is, none run on any drawing. `go_on` is called while that takes, and may raise to stop."""
        for source in self.sources:
            if source not in self._rules and source not in self._broken:
                self._load(source, go_on)
        kept, twins = without_twins((s, rule) for s, rule in self._rules.items() if s not in self._broken)
        faults = (*self._unfound, *self._broken.values(), *twins)
        made = Heard(tuple(sorted((rule for _source, rule in kept), key=lambda r: r.slug)), {}, _in_order(faults))
        known = {rule.slug for rule in self._rules.values()}
        announce(known, are_all=made.is_complete)
        return made

    def judge(self, snapshot: Snapshot, book: Book, proving: bool = False, go_on: GoOn = bool) -> Heard:
        """What they say of a drawing. `go_on` is called while that takes, and may raise to stop."""
        before = self.describe(go_on)
        source_of = {rule.slug: source for source, rule in self._rules.items()}
        said: dict[str, Outcome] = {}
        faults = list(before.faults)
        for rule in before.rules:
            told = self._judge(source_of[rule.slug], rule, _Task(snapshot, book, proving), go_on)
            if isinstance(told, OwnFault):
                faults.append(told)
            else:
                said[rule.slug] = told.outcome()
        stopped = {fault.rule: Outcome((), RuntimeError(fault.why)) for fault in faults if fault.is_known}
        ran = tuple(rule for rule in before.rules if rule.slug in said)
        return Heard(ran, said | stopped, _in_order(faults))

    def close(self) -> None:
        """End the process."""
        process, self._process = self._process, None
        if process is not None:
            process.end()

    # -- one rule -------------------------------------------------------------------------------------------------
    def _load(self, source: Source, go_on: GoOn) -> None:
        """Learn what a rule is, or that it is disabled. In a process started anew it is read anew."""
        known = self._rules.get(source)
        slow = _("reading its file took longer than the {limit:g} s of the setting rules_start_s")
        request = LoadRequest(source.where, source.module, source.file, self._start_s)
        try:
            process = self._ready(go_on)
            answer = process.ask(request, self._start_s, source, slow.format(limit=self._start_s), go_on)
        except _Gone as gone:
            if self._disable(gone, source) != source:
                self._load(source, go_on)
            return
        if isinstance(answer, Loaded):
            why = taken(answer.rule)
            if known is not None and answer.rule != known:
                why = _("its file has changed since the program started")
            if not why:
                self._rules[source] = answer.rule
                process.loaded.add(source)
                return
        else:
            why = answer.why if isinstance(answer, Broken) else _("it spoke out of turn")
        self._broken[source] = self._fault(source, why)
        if not isinstance(answer, Broken) or answer.is_spoilt:
            self.close()

    def _judge(self, source: Source, rule: OwnRule, task: _Task, go_on: GoOn) -> Said | OwnFault:
        """One rule on one drawing. What was disabled is not tried again (`allow_again`)."""
        slow = _("it took longer than the {limit:g} s that the setting rules_limit_s gives a rule")
        try:
            process = self._ready(go_on)
            if source not in process.loaded:
                self._load(source, go_on)
                process = self._ready(go_on)
            if source in self._broken or source in self._raised:
                return self._broken.get(source) or self._raised[source]
            process.give(task, source, go_on)
            request = JudgeRequest(source.where, self._limit_s)
            answer = process.ask(request, self._limit_s, source, slow.format(limit=self._limit_s), go_on)
        except _Gone as gone:
            if self._disable(gone, source) != source:
                return self._judge(source, rule, task, go_on)
            return self._broken[source]
        if isinstance(answer, Spoken):
            some = (*answer.said.findings, *answer.said.gaps, *answer.said.passed)
            why = next(filter(None, (strange(remark, rule.slug, task.snapshot) for remark in some)), "")
            return self._fault(source, why) if why else answer.said
        made = self._fault(source, answer.why if isinstance(answer, Broken) else _("it spoke out of turn"))
        if not isinstance(answer, Broken) or answer.is_spoilt:
            self._broken[source] = made
            self.close()
        else:
            self._raised[source] = made
        return made

    def _disable(self, gone: _Gone, source: Source) -> Source:
        """The process is of no use any more, on account of a source: the one named, else the one asked for."""
        self.close()
        blamed = gone.source or source
        self._broken[blamed] = self._fault(blamed, gone.why)
        return blamed

    def _fault(self, source: Source, why: str) -> OwnFault:
        rule = self._rules.get(source)
        if rule is None:
            return OwnFault(source.where, why, name_of(source))
        return OwnFault(source.where, why, rule.slug, rule.word, is_known=True)

    def _ready(self, go_on: GoOn) -> _Process:
        """The process, started where there is none. Raises `_Gone`."""
        if self._process is not None and self._process.is_over:
            self.close()  # between two questions: on nobody's account
        if self._process is None:
            try:
                self._process = _Process()
            except OSError as fault:
                raise _Gone(_("its process cannot be started ({why})").format(why=fault.strerror), None) from None
        if not self._process.is_ready:
            self._process.wait_ready(go_on)
        return self._process


class _Task(NamedTuple):
    """What is judged, and by what."""

    snapshot: Snapshot
    book: Book
    proving: bool


# -- the process ------------------------------------------------------------------------------------------------------
class _Gone(Exception):
    """The process has ended or takes too long, on account of `source` if that is known: it is of no use any more."""

    def __init__(self, why: str, source: Source | None) -> None:
        super().__init__(why)
        self.why = why
        self.source = source


class _Due(NamedTuple):
    """An answer that is to come."""

    until_s: float
    source: Source | None  # on whose account it does not
    slow: str


class _Process:
    """`app.own_rules_process`, asked one thing at a time."""

    def __init__(self) -> None:
        self.loaded: set[Source] = set()
        self.is_ready = False
        self._task: _Task | None = None
        self._due: _Due | None = None  # the answer that is still to come, perhaps one nobody waits for any more
        self._said = tempfile.TemporaryFile()  # noqa: SIM115  # closed by `end`; what it has to tell when it ends
        self._answers: queue.SimpleQueue[bytes | None] = queue.SimpleQueue()
        more: dict[str, Any] = {}
        if sys.platform == "win32":
            more["creationflags"] = subprocess.CREATE_NO_WINDOW
        else:
            more["start_new_session"] = True  # what a rule starts ends with it
        self._popen = subprocess.Popen(  # this program itself
            [sys.executable, "-P", "-m", "app.own_rules_process"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._said,
            env=_environment(),
            **more,
        )
        threading.Thread(target=self._read, daemon=True).start()

    @property
    def is_over(self) -> bool:
        """Whether it has ended while nothing was asked."""
        return self._due is None and self.is_ready and self._popen.poll() is not None

    def _read(self) -> None:
        frames = Frames()
        assert self._popen.stdout is not None
        with contextlib.suppress(OSError, ValueError):
            while some := os.read(self._popen.stdout.fileno(), CHUNK):
                frames.feed(some)
                while (body := frames.take()) is not None:
                    self._answers.put(body)
        self._answers.put(None)

    def wait_ready(self, go_on: GoOn) -> None:
        """Until it has started. Raises `_Gone`."""
        due = _Due(time.monotonic() + START_S, None, _("the process of own rules does not start"))
        if not isinstance(self._wait(due, go_on), Ready):
            raise _Gone(due.slow, None)
        self.is_ready = True

    def give(self, task: _Task, source: Source, go_on: GoOn) -> None:
        """Hand over a drawing, if that is not the one it has. Raises as `ask` does."""
        if self._task is None or any(a is not b for a, b in zip(task, self._task, strict=True)):
            request = DrawingRequest(plain_snapshot(task.snapshot), task.book, task.proving)
            self._task = None
            slow = _("the process of own rules does not take the drawing")
            if not isinstance(self.ask(request, START_S, source, slow, go_on), Taken):
                raise _Gone(slow, source)
            self._task = task

    def ask(self, request: Request, limit_s: float, source: Source, slow: str, go_on: GoOn) -> Answer:
        """The answer to a request about a source; `slow` is told where it takes longer than `limit_s`.

        Raises `_Gone`, and what `go_on` raises: the answer is then waited for before anything else is asked.
        """
        if self._due is not None:
            self._wait(self._due, go_on)
        self._due = _Due(time.monotonic() + limit_s, source, slow)
        # a process that does not read must not hold up this one
        threading.Thread(target=self._write, args=(packed(request),), daemon=True).start()
        return self._wait(self._due, go_on)

    def _write(self, data: bytes) -> None:
        assert self._popen.stdin is not None
        with contextlib.suppress(OSError, ValueError):
            self._popen.stdin.write(data)
            self._popen.stdin.flush()

    def _wait(self, due: _Due, go_on: GoOn) -> Answer:
        while True:
            go_on()
            left_s = due.until_s - time.monotonic()
            try:
                body = self._answers.get(timeout=max(0.0, min(LOOK_S, left_s)))
            except queue.Empty:
                if left_s <= 0:
                    raise _Gone(due.slow, due.source) from None
                continue
            if body is None:
                raise _Gone(self._ended(), due.source)
            try:
                answer = answer_of(body)
            except ValueError:
                raise _Gone(_("it wrote where only this program writes"), due.source) from None
            self._due = None
            return answer

    def _ended(self) -> str:
        """How it ended, in words."""
        try:
            code = self._popen.wait(1.0)
        except subprocess.TimeoutExpired:
            return _("it closed what it answers by")
        with contextlib.suppress(OSError, ValueError):
            self._said.seek(0)
            text = self._said.read().decode("utf-8", "replace").strip()
            log.warning("the process of own rules ended (%s): %s", code, text[-LOGGED:])
        if code < 0:
            return _("its process was ended by the signal {number}").format(number=-code)
        return _("it ended its process (exit code {code})").format(code=code)

    def end(self) -> None:
        """End it and whatever it started."""
        popen = self._popen
        with contextlib.suppress(OSError):
            if sys.platform != "win32":
                os.killpg(popen.pid, signal.SIGKILL)
            else:
                popen.kill()
        with contextlib.suppress(OSError, subprocess.TimeoutExpired):
            popen.wait(START_S)
        for stream in (popen.stdin, popen.stdout):
            with contextlib.suppress(OSError, ValueError):
                if stream is not None:
                    stream.close()
        with contextlib.suppress(OSError):
            self._said.close()


def _environment() -> dict[str, str]:
    """That of this process, with the folder this program's packages stand in first."""
    import app

    assert app.__file__ is not None
    root = str(Path(app.__file__).parents[1])
    known = os.environ.get("PYTHONPATH", "")
    return {**os.environ, "PYTHONPATH": os.pathsep.join(part for part in (root, known) if part)}


def _in_order(faults: list[OwnFault] | tuple[OwnFault, ...]) -> tuple[OwnFault, ...]:
    return tuple(sorted(faults, key=lambda f: (f.rule, f.where)))
