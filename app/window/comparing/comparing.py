"""A comparison of the open drawing with a file, kept in step with every edit by a process of its own."""

from __future__ import annotations

import logging
import sys
import time
from pathlib import Path
from typing import NamedTuple

from PySide6.QtCore import QObject, QProcess, QTimer, Signal

from app.drawing.redlines.messages import (
    Answer,
    Compared,
    Done,
    Failed,
    Follow,
    Marked,
    Open,
    answer_of,
    boxes_of,
    packed,
    strokes_of,
)
from app.frames import Frames
from app.window.document import Change, Document
from app.window.surroundings import end_now, environment
from engine.edits import Put, Several
from engine.files.edit_form import plain_edit, plain_snapshot
from engine.installation.model import LONE
from engine.picture import Box, Primitive
from engine.words import _

__all__ = ["Comparing", "Sheet"]

REST_MS = 300  # after the last edit, until it is compared anew
SLICE_S = 0.015  # of a turn of the event loop, for what the process tells
log = logging.getLogger(__name__)


class Sheet(NamedTuple):
    """What is shown of a sheet: strokes under and over what is drawn, of the older one what is drawn too."""

    under: tuple[Primitive, ...] = ()
    drawn: tuple[Primitive, ...] = ()
    over: tuple[Primitive, ...] = ()
    boxes: dict[int, Box] = {}  # number of a difference -> where it stands, mm


class Comparing(QObject):
    """One comparison. Nothing of it changes the drawing; it ends with its window."""

    told = Signal()  # `compared` is another
    marked = Signal(str, str)  # side, sheet: its marks have come
    aged = Signal()  # `is_behind` or `is_working` is another
    failed = Signal(str)  # why, a sentence
    ended = Signal()

    def __init__(self, parent: QObject, document: Document, older: Path, match: str = "auto") -> None:
        super().__init__(parent)
        self.setObjectName("printing")  # by which the desk finds what is under way
        self.document, self.older, self.match = document, older, match
        self.compared: Compared | None = None
        self.sheets: dict[tuple[str, str], Sheet] = {}  # by side and sheet
        self.is_behind = False  # the drawing is another than what was compared
        self.is_working = False
        self.is_over = False
        self.done = 0  # sheets whose marks have come
        self._at = 0
        self._behind: dict[tuple[str, str], None] = {}  # what has changed and was not told yet
        self._fresh: dict[tuple[str, str], Sheet] = {}  # of the comparison under way
        self._part = Sheet()
        self._frames = Frames()
        self._rest = _timer(self, self._catch_up, REST_MS)
        self._more = _timer(self, self._take, 0)
        self.process = QProcess(self)
        self.process.setProcessEnvironment(environment())
        self.process.readyReadStandardOutput.connect(self._arrived)
        self.process.readyReadStandardError.connect(self._log)
        self.process.finished.connect(self._gone)
        self.process.errorOccurred.connect(self._not_started)
        document.changed.connect(self._changed)
        self.process.start(sys.executable, ["-P", "-m", "app.drawing.redlines.process"])
        self._ask(None)

    # -- for the window -------------------------------------------------------------------------------------------
    @property
    def name(self) -> str:
        """The file the drawing is compared with."""
        return self.older.name

    def set_match(self, match: str) -> None:
        """Match by ids, by likeness, or as the drawings tell."""
        if match != self.match:
            self.match = match
            self._age()

    def stop(self) -> None:
        """It is over: the process ends, nothing of it is shown any more."""
        if self.is_over:
            return
        self.is_over = True
        self.document.changed.disconnect(self._changed)
        self._rest.stop()
        self._more.stop()
        end_now(self.process)
        self.setObjectName("")
        self.ended.emit()
        self.deleteLater()

    # -- asking ---------------------------------------------------------------------------------------------------
    def _ask(self, edit: Several | None) -> None:
        self._at += 1
        self.is_working, self.done = True, 0
        self._fresh = {}
        if self._at == 1:
            newer = plain_snapshot(self.document.snapshot())
            request: Open | Follow = Open(self._at, str(self.older), self.match, self.document.sheet, newer)
        else:
            plain = None if edit is None else plain_edit(edit)
            request = Follow(self._at, self.match, self.document.sheet, plain)
        self.process.write(packed(request))
        self.aged.emit()

    def _changed(self, change: Change) -> None:
        self._behind.update(dict.fromkeys(change.items))
        self._age()

    def _age(self) -> None:
        if not self.is_behind:
            self.is_behind = True
            self.aged.emit()
        self._rest.start()

    def _catch_up(self) -> None:
        """Tell the process what has changed, as soon as it listens."""
        if self.is_working or self.is_over:
            return  # `_hear` starts the timer again
        snapshot = self.document.snapshot()
        puts = []
        for table, item in self._behind:
            record = snapshot.lone[table] if table in LONE else snapshot.tables[table].get(item)
            puts.append(Put(table, item, record))
        self._behind.clear()
        self.is_behind = False
        self._ask(Several(tuple(puts)) if puts else None)

    # -- hearing --------------------------------------------------------------------------------------------------
    def _arrived(self) -> None:
        self._frames.feed(self.process.readAllStandardOutput().data())
        if not self._more.isActive():
            self._take()

    def _take(self) -> None:
        """Messages for the time of a slice; the rest when the window has had its turn."""
        until = time.perf_counter() + SLICE_S
        try:
            while not self.is_over and (body := self._frames.take()) is not None:
                self._hear(answer_of(body))
                if time.perf_counter() > until:
                    self._more.start()
                    return
        except ValueError:
            log.exception("the process that compares says what nobody understands")
            self._fail(_("the log tells why"))

    def _hear(self, answer: Answer) -> None:
        if isinstance(answer, Compared):
            self.compared = answer
            self.told.emit()
        elif isinstance(answer, Marked):
            self._hear_marked(answer)
        elif isinstance(answer, Failed):
            self._fail(answer.words)
        elif isinstance(answer, Done):
            self.is_working = False
            for key in self.sheets.keys() - self._fresh.keys():
                del self.sheets[key]
                self.marked.emit(*key)
            self.aged.emit()
            if self.is_behind:
                self._rest.start()

    def _hear_marked(self, answer: Marked) -> None:
        part = Sheet() if answer.first else self._part
        of = strokes_of(answer)
        self._part = Sheet(
            part.under + of.get("under", ()),
            part.drawn + of.get("drawn", ()),
            part.over + of.get("over", ()),
            boxes_of(answer) if answer.first else part.boxes,
        )
        if answer.more:
            return
        key = answer.side, answer.sheet
        self._fresh[key] = self._part
        self.done += 1
        if self.sheets.get(key) != self._part:
            self.sheets[key] = self._part
            self.marked.emit(*key)
        self.aged.emit()

    def _fail(self, why: str) -> None:
        if not self.is_over:
            self.failed.emit(_("{name} cannot be compared: {why}").format(name=self.name, why=why))
            self.stop()

    def _gone(self, code: int, _status: object) -> None:
        if not self.is_over:
            log.warning("the process that compares ended by itself (%d)", code)
            self._fail(_("the process that compares ended"))

    def _not_started(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._fail(_("no second process could be started"))

    def _log(self) -> None:
        said = bytes(self.process.readAllStandardError().data()).decode(errors="replace").strip()
        if said:
            log.warning("comparing: %s", said)


def _timer(parent: QObject, call: object, rest_ms: int) -> QTimer:
    made = QTimer(parent)
    made.setSingleShot(True)
    made.setInterval(rest_ms)
    made.timeout.connect(call)
    return made
