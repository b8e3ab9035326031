"""What goes wrong with the study process: how long it may say nothing, and the rule that is to blame for it."""

from __future__ import annotations

import contextlib
import logging
from collections.abc import Mapping

from PySide6.QtCore import QObject, QProcess, QTimer, Signal

from app.frames import Frames
from app.worker_messages import Working, answer_of
from engine.words import _

__all__ = ["Dying", "Watch", "close_down", "off", "switch_on", "trouble_words"]

SILENCE_MS = 60_000  # that a study may go on without a word, where it ended in a reasonable time before
STUDIES = 3  # of the longest study seen, where that is longer
CLOSING_MS = (400, 400, 2_000)  # after asking it to quit, after asking the system to end it, after killing it
TIMES = 2  # that the process ends or hangs within one rule, before that rule is disabled
log = logging.getLogger(__name__)

_OFF: dict[str, str] = {}  # rules that are disabled as long as the program runs, in whatever window, and why


def off() -> Mapping[str, str]:
    """The rules that are disabled in this session, and why."""
    return _OFF


def switch_on() -> None:
    """Run all rules again."""
    _OFF.clear()


def trouble_words(has_started: bool) -> str:
    """What is told when the study process is of no use any more."""
    if has_started:
        return _("Findings and labels may be behind the drawing: the process that works them out was started anew.")
    return _(
        "Findings and labels may be behind the drawing: the process that works them out does not start. It is tried "
        "again now and then."
    )


def close_down(process: QProcess, last: bytes) -> None:
    """End a process: told `last`, then asked by the system, then killed. It has surely ended when this returns."""
    if process.state() != QProcess.ProcessState.NotRunning:
        process.write(last)
        process.closeWriteChannel()
        for end, patience in zip((None, process.terminate, process.kill), CLOSING_MS, strict=True):
            if end is not None:
                end()
            if process.waitForFinished(patience) or process.state() == QProcess.ProcessState.NotRunning:
                break
    process.deleteLater()


class Watch(QObject):
    """Of one study process after the other."""

    silent = Signal()  # it has said nothing for too long

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.rule = ""  # that runs
        self._ended_in: dict[str, int] = {}
        self._silence = QTimer(self)
        self._silence.setSingleShot(True)
        self._silence.timeout.connect(self.silent)

    def heard(self, longest_s: float) -> None:
        """It has said something, and is to say more."""
        self._silence.start(max(SILENCE_MS, int(STUDIES * 1000 * longest_s)))

    def rest(self) -> None:
        """Nothing is to be said."""
        self._silence.stop()
        self.rule = ""

    def finished(self) -> None:
        """A study came to its end: what happened before was nothing that happens always."""
        self._ended_in.clear()
        self.rest()

    def stopped(self, rule: str, words: str) -> None:
        """A fault of the program stopped a rule."""
        log.warning("the rule %s is disabled: %s", rule, words)
        _OFF.setdefault(rule, words)

    def lost(self, frames: Frames) -> None:
        """The process ended or was ended; `frames`: what it had told and nobody has heard yet.

        Where that happens again in one rule, it is disabled.
        """
        with contextlib.suppress(ValueError):
            while (body := frames.take()) is not None:
                answer = answer_of(body)
                if isinstance(answer, Working):
                    self.rule = answer.rule
        rule = self.rule
        self.rest()
        if rule:
            self._ended_in[rule] = self._ended_in.get(rule, 0) + 1
            if self._ended_in[rule] >= TIMES:
                self.stopped(rule, _("the process that ran it hung or ended"))


class Dying:
    """Processes that were killed and are not yet seen to have ended."""

    def __init__(self) -> None:
        self._ending: list[QProcess] = []

    def kill(self, process: QProcess) -> None:
        """End one at once; it is put away when it has ended."""
        if process.state() == QProcess.ProcessState.NotRunning:
            process.deleteLater()
            return
        self._ending.append(process)
        process.finished.connect(self._forget_ended)
        process.kill()

    def wait(self) -> None:
        """Until all have ended."""
        for killed in self._ending:
            killed.waitForFinished(CLOSING_MS[-1])
        self._ending.clear()

    def _forget_ended(self) -> None:
        for process in list(self._ending):
            if process.state() == QProcess.ProcessState.NotRunning:
                self._ending.remove(process)
                process.deleteLater()
