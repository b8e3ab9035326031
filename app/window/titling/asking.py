"""Questions about issues, answered by a process: what has changed since one, which copies are as they were issued."""

from __future__ import annotations

import contextlib
import json
import logging
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QProcess, QTimer

from app.window.document import Document
from app.window.surroundings import end_now, environment
from engine.files.drawing import dump_snapshot, record_text
from engine.files.errors import reason
from engine.words import _

__all__ = ["IssueQuestion", "ask_whole", "ask_words"]

log = logging.getLogger(__name__)
_PATIENCE_MS = 120_000
_SLICE_S = 0.01


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
        self._asked = asked
        self._written: Iterator[bytes] = iter(()) if newer is None else _in_parts(newer)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._write_on if newer is not None else self._start)
        self._soon.start(0)

    def _write_on(self) -> None:
        """The drawing is put down for the process, a slice of time at each turn of the event loop."""
        until = time.perf_counter() + _SLICE_S
        for data in self._written:
            if data:
                try:
                    self._folder = tempfile.TemporaryDirectory(prefix="linewright-")
                    path = Path(self._folder.name) / "newer.linewright"
                    path.write_bytes(data)
                except OSError as fault:
                    self._end({"fault": reason(fault)})
                    return
                self._asked = {**self._asked, "newer": str(path)}
                self._start()
                return
            if time.perf_counter() > until:
                break
        self._soon.start(0)

    def _start(self) -> None:
        self.process.start(sys.executable, ["-P", "-m", "app.window.titling.issue_process"])
        self.process.write(json.dumps(self._asked).encode())
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
            found = json.loads(said.strip().splitlines()[-1])
            told = found if isinstance(found, dict) else {}
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

    def _end(self, told: dict[str, Any]) -> None:
        then, self._then = self._then, None
        self._put_away()
        if then is not None:
            then(told)
        self.deleteLater()

    def _put_away(self) -> None:
        self._patience.stop()
        self._soon.stop()
        end_now(self.process)
        folder, self._folder = self._folder, None
        if folder is not None:
            with contextlib.suppress(OSError):
                folder.cleanup()


def _in_parts(document: Document) -> Iterator[bytes]:
    """The bytes of a drawing's file as it is now: nothing after every few records, all of it at last."""
    snapshot, installation = document.snapshot(), document.installation
    last_id, unknown = installation.last_id, installation.unknown
    texts = {}
    records = (record for table in snapshot.tables.values() for record in table.values())
    for n, record in enumerate(records):
        texts[id(record)] = record_text(record)
        if n % 50 == 49:
            yield b""
    yield dump_snapshot(snapshot, last_id, unknown, lambda record: texts.get(id(record)) or record_text(record))
