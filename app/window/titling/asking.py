"""Questions about issues, answered by a process: what has changed since one, which copies are as they were issued."""

from __future__ import annotations

import contextlib
import json
import logging
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QProcess, QTimer

from app.window.document import Document
from app.window.surroundings import end_now, environment
from engine.files.drawing import dump
from engine.files.errors import reason
from engine.words import _

__all__ = ["IssueQuestion", "ask_whole", "ask_words"]

log = logging.getLogger(__name__)
_PATIENCE_MS = 120_000


def ask_words(parent: QObject, older: Path, document: Document, then: Callable[[str, str], None]) -> IssueQuestion:
    """What has changed since a file: `then(words, "")`, or `then("", why)` where it cannot be told."""
    return IssueQuestion(parent, {"older": str(older)}, document, lambda told: then(*_words_of(told)))


def ask_whole(parent: QObject, copies: list[tuple[Path, str]], then: Callable[[list[bool]], None]) -> IssueQuestion:
    """Whether each file has its checksum."""
    asked = {"copies": [[str(path), sha256] for path, sha256 in copies]}
    return IssueQuestion(parent, asked, None, lambda told: then([bool(each) for each in told.get("whole", ())]))


def _words_of(told: dict[str, Any]) -> tuple[str, str]:
    if "words" in told:
        return str(told["words"]), ""
    return "", str(told.get("fault") or _("what has changed could not be told: that ended before its time"))


class IssueQuestion(QObject):
    """One question under way; a newer one takes its place."""

    def __init__(
        self,
        parent: QObject,
        asked: dict[str, Any],
        newer: Document | None,
        then: Callable[[dict[str, Any]], None],
    ) -> None:
        super().__init__(parent)
        self.setObjectName("printing")  # by which the desk finds what is under way
        self._then: Callable[[dict[str, Any]], None] | None = then
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.timeout.connect(self._slow)
        self.process = QProcess(self)
        self.process.setProcessEnvironment(environment())
        self.process.finished.connect(self._finished)
        self.process.errorOccurred.connect(self._failed)
        if newer is not None:
            try:
                self._folder = tempfile.TemporaryDirectory(prefix="linewright-")
                path = Path(self._folder.name) / "newer.linewright"
                path.write_bytes(dump(newer.installation))
            except OSError as fault:
                self._fault = reason(fault)
                QTimer.singleShot(0, self, self._no_room)
                return
            asked = {**asked, "newer": str(path)}
        self.process.start(sys.executable, ["-P", "-m", "app.window.titling.issue_process"])
        self.process.write(json.dumps(asked).encode())
        self.process.closeWriteChannel()
        self._patience.start(_PATIENCE_MS)

    def stop(self) -> None:
        """Nobody wants the answer any more."""
        self._then = None
        self._put_away()

    def _finished(self, code: int, status: QProcess.ExitStatus) -> None:
        told: dict[str, Any] = {}
        with contextlib.suppress(ValueError, IndexError):
            said = bytes(self.process.readAllStandardOutput().data()).decode("utf-8", "replace")
            told = json.loads(said.strip().splitlines()[-1])
        if code != 0 or status != QProcess.ExitStatus.NormalExit:
            said = bytes(self.process.readAllStandardError().data()).decode(errors="replace").strip()
            log.info("a question about issues was not answered (%d): %s", code, said[-500:])
            told = {}
        self._end(told)

    def _failed(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._end({})

    def _slow(self) -> None:
        self._end({"fault": _("what has changed takes too long to tell; it was given up")})

    def _no_room(self) -> None:
        self._end({"fault": self._fault})

    def _end(self, told: dict[str, Any]) -> None:
        then, self._then = self._then, None
        self._put_away()
        if then is not None:
            then(told)
        self.deleteLater()

    def _put_away(self) -> None:
        self._patience.stop()
        end_now(self.process)
        folder, self._folder = self._folder, None
        if folder is not None:
            with contextlib.suppress(OSError):
                folder.cleanup()
