"""A process of our own that is told and tells frames of bytes (`app.frames`): what takes too long for the window."""

from __future__ import annotations

import logging
import sys
import time
from collections.abc import Callable

from PySide6.QtCore import QObject, QProcess, Qt, QTimer

from app.frames import Frames
from app.window.surroundings import end_now, ended_words, environment, silent_words
from engine.words import _

__all__ = ["SLICE_S", "FramedProcess"]

SILENCE_MS = 180_000  # that it may say nothing while an answer is awaited
SLICE_S = 0.015  # of a turn of the event loop, for what the process tells
log = logging.getLogger(__name__)


class FramedProcess(QObject):
    """What a subclass gives: `hear(body)` for each frame, `fail(why)` for the end that nobody wished.

    `module` is what is run, `doing` a word for the log. `hear` raises `ValueError` for what it does not understand.
    """

    # a subclass's own: Qt's classes cannot be made abstract
    hear: Callable[[bytes], None]
    fail: Callable[[str], None]

    def __init__(self, parent: QObject, module: str, doing: str) -> None:
        super().__init__(parent)
        self.setObjectName("printing")  # by which the desk finds what is under way
        self.doing = doing
        self.is_over = False
        self._frames = Frames()
        self._more = self.timer(self._take, 0)
        self._silence = self.timer(self._lose_patience, SILENCE_MS)
        self._is_asked = False
        self.process = QProcess(self)
        self.process.setProcessEnvironment(environment())
        self.process.readyReadStandardOutput.connect(self._arrived)
        self.process.readyReadStandardError.connect(self._said)
        self.process.finished.connect(self._gone)
        # it may be told while it is being started, when a subclass is not yet all there
        self.process.errorOccurred.connect(self._not_started, Qt.ConnectionType.QueuedConnection)
        self.process.start(sys.executable, ["-P", "-m", module])

    def tell(self, frame: bytes) -> None:
        """Send a frame."""
        self.process.write(frame)
        self._is_asked = True
        self._silence.start()

    def is_awaiting(self) -> bool:
        """Whether something is still to be told of what was asked."""
        return self._is_asked

    def timer(self, call: object, rest_ms: int) -> QTimer:
        """One that goes off once, so long after it was started."""
        made = QTimer(self)
        made.setSingleShot(True)
        made.setInterval(rest_ms)
        made.timeout.connect(call)
        return made

    def end(self) -> None:
        """It is over: the process ends, nothing is heard of it any more."""
        self.is_over = True
        self._more.stop()
        self._silence.stop()
        end_now(self.process)
        self.setObjectName("")
        self.deleteLater()

    # -- hearing --------------------------------------------------------------------------------------------------
    def _arrived(self) -> None:
        self._frames.feed(self.process.readAllStandardOutput().data())
        if not self._more.isActive():
            self._take()

    def _take(self) -> None:
        """Frames for the time of a slice; the rest when the window has had its turn."""
        until = time.perf_counter() + SLICE_S
        try:
            while not self.is_over and (body := self._frames.take()) is not None:
                self._is_asked = False
                self.hear(body)
                if self.is_over:
                    return
                self._silence.start() if self.is_awaiting() else self._silence.stop()
                if time.perf_counter() > until:
                    self._more.start()
                    return
        except ValueError:
            log.exception("%s: the process says what nobody understands", self.doing)
            self.fail(_("the log tells why"))

    def _gone(self, code: int, _status: object) -> None:
        if not self.is_over:
            log.warning("%s: the process ended by itself (%d)", self.doing, code)
            self.fail(ended_words())

    def _lose_patience(self) -> None:
        if self.is_over or not self.is_awaiting() or self.process.waitForReadyRead(0):
            return
        log.warning("%s: the process says nothing", self.doing)
        self.fail(silent_words())

    def _not_started(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self.fail(_("no second process could be started"))

    def _said(self) -> None:
        said = bytes(self.process.readAllStandardError().data()).decode(errors="replace").strip()
        if said:
            log.warning("%s: %s", self.doing, said)
