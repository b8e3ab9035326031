"""Photographs on their way into a window's drawing: each read by a process of its own, one after the other."""

from __future__ import annotations

import logging
import sys
from collections import deque
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QObject, QProcess, QTimer, Signal

from app.photographs import PhotographFault, Store, Taken
from app.photographs.faults import PATIENCE_S, sentence
from app.photographs.taking import LONGEST, MOST_BYTES, arguments_for, last_line, record_of, shown_name
from app.window.photographs.keeping import store_for
from app.window.surroundings import end_now, environment

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Takings", "Then", "takings_of"]

log = logging.getLogger(__name__)
Then = Callable[[Sequence[Taken], Sequence[str]], None]  # photographs, and a sentence for each that could not be taken


def takings_of(window: Window) -> Takings:
    """What takes photographs in a window; made when it is first wanted."""
    found = window.findChild(Takings)
    return found if isinstance(found, Takings) else Takings(window)


class _Batch(NamedTuple):
    """Files that were given together."""

    left: deque[Path]
    then: Then
    keep_location: bool
    taken: list[Taken]
    faults: list[str]


class Takings(QObject):
    """Reads files one at a time. They are kept beside the drawing by the time `then` hears of them; it records them."""

    going = Signal(int)  # how many are still to be read

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.setObjectName("printing")  # by which the desk finds what is under way
        self._window = window
        self._batches: deque[_Batch] = deque()
        self._process: QProcess | None = None
        self._store = Store(Path())  # where the one that is being read goes
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)

    def take(self, paths: Sequence[Path], then: Then, *, keep_location: bool = False) -> None:
        """Read some files; `then` is told of all of them at once, when the last one is read."""
        self._batches.append(_Batch(deque(paths), then, keep_location, [], []))
        if self._process is None and len(self._batches) == 1:
            QTimer.singleShot(0, self, self._next)

    @property
    def left(self) -> int:
        """How many are still to be read, the one under way among them."""
        return sum(len(batch.left) for batch in self._batches)

    def give_up(self) -> None:
        """Leave what is not read yet; nobody is told, and nothing of it is recorded."""
        self._batches.clear()
        self._away()
        self.going.emit(0)

    def stop(self) -> None:
        """The window goes."""
        self._batches.clear()
        self._away()

    def _next(self) -> None:
        while self._batches and not self._batches[0].left:
            batch = self._batches.popleft()
            batch.then(batch.taken, batch.faults)
        if not self._batches or self._process is not None:
            return
        batch = self._batches[0]
        path = batch.left[0]
        self._store = store_for(self._window)
        process = self._process = QProcess(self)
        process.setProcessEnvironment(environment())
        process.finished.connect(partial(self._finished, path))
        process.errorOccurred.connect(partial(self._failed, path))
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.timeout.connect(partial(self._slow, path))
        self._patience.start(PATIENCE_S * 1000)
        process.start(sys.executable, arguments_for(path, self._store.folder, LONGEST, MOST_BYTES, batch.keep_location))

    def _finished(self, path: Path, code: int, status: QProcess.ExitStatus) -> None:
        process = self._process
        if process is None or not self._batches:
            return
        told = last_line(bytes(process.readAllStandardOutput().data()))
        if code != 0 or status != QProcess.ExitStatus.NormalExit:
            said = bytes(process.readAllStandardError().data()).decode(errors="replace").strip()
            log.info("a photograph could not be read (%d): %s", code, said[-500:])
            told = {}
        name = shown_name(path)
        try:
            record = record_of(told, name)
            data = (self._store.folder / f"{record.sha256}.jpg").read_bytes()
        except PhotographFault as fault:
            self._one(str(fault))
        except OSError:
            self._one(sentence("ended", name))
        else:
            self._one(Taken(record, data))

    def _failed(self, path: Path, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._one(sentence("ended", shown_name(path)))

    def _slow(self, path: Path) -> None:
        self._one(sentence("slow", shown_name(path), seconds=PATIENCE_S))

    def _one(self, what: Taken | str) -> None:
        """One is read, or is not to be read."""
        self._away()
        if not self._batches:
            return
        batch = self._batches[0]
        batch.left.popleft()
        if isinstance(what, str):
            batch.faults.append(what)
        else:
            batch.taken.append(what)
        self.going.emit(self.left)
        QTimer.singleShot(0, self, self._next)

    def _away(self) -> None:
        self._patience.stop()
        process, self._process = self._process, None
        if process is not None:
            end_now(process)
            process.deleteLater()
