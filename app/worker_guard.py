"""Where the study process is, told as it goes: so that the window knows what it was at when it ends or hangs."""

from __future__ import annotations

import time
from collections.abc import Callable

from app.worker_messages import Answer, RuleStopped, Working
from engine.check import CheckResult, why_stopped
from engine.rules.disabled import disable, disabled
from engine.study import Study

__all__ = ["BEAT_S", "MEMORY_BYTES", "Guard"]

BEAT_S = 5.0  # while something long gives way now and then, the window is told so often that it goes on
MEMORY_BYTES = 4 << 30  # of data: a study of 5000 pieces takes 0.28 GB, figures, layer and pictures included


class Guard:
    """Tells which rule runs, and disables those that a fault of the program stops."""

    def __init__(self, send: Callable[[Answer], None]) -> None:
        self._send = send
        self._rule = ""
        self._told_s = time.monotonic()

    def enter(self, rule: str) -> None:
        """A rule begins to run."""
        self._rule = rule
        self._tell()

    def leave(self) -> None:
        """No rule runs any more."""
        if self._rule:
            self.enter("")

    def beat(self) -> None:
        """Called at every turn of what is long."""
        if time.monotonic() > self._told_s + BEAT_S:
            self._tell()

    def heed(self, study: Study, result: CheckResult, at: int) -> None:
        """What a fault stopped is not run again before the window says so."""
        self.leave()
        for slug in result.faulted:
            fault = study.outcome(slug).fault
            if slug not in disabled() and fault is not None:
                disable(slug, why_stopped(fault))
                self._send(RuleStopped(at, slug, why_stopped(fault)))

    def _tell(self) -> None:
        self._told_s = time.monotonic()
        self._send(Working(self._rule))
