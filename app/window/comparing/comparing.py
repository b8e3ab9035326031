"""A comparison of the open drawing with a file, kept in step with every edit by a process of its own."""

from __future__ import annotations

import time
from pathlib import Path
from typing import NamedTuple

import msgspec
from PySide6.QtCore import QObject, Signal

from app.drawing.redlines.messages import (
    Compared,
    Done,
    Failed,
    Follow,
    Marked,
    More,
    Open,
    answer_of,
    boxes_of,
    packed,
    strokes_of,
)
from app.window.beside.framed import SLICE_S, FramedProcess
from app.window.document import Change, Document
from engine.edits import Put, Several
from engine.files.edit_form import plain_edit, plain_parts
from engine.installation.model import LONE
from engine.picture import Box, Primitive
from engine.words import _

__all__ = ["Comparing", "Sheet"]

REST_MS = 300  # after the last edit, until it is compared anew


class Sheet(NamedTuple):
    """What is shown of a sheet, packed, and where each numbered difference stands on it, in mm."""

    packed: bytes = b""
    boxes: dict[int, Box] = {}

    def strokes(self) -> dict[str, tuple[Primitive, ...]]:
        """Strokes `under` and `over` what is drawn, of the older drawing what is `drawn` too."""
        return strokes_of(self.packed) if self.packed else {}


class Comparing(FramedProcess):
    """One comparison. Nothing of it changes the drawing; it ends with its window."""

    told = Signal()  # `compared` is another
    marked = Signal(str, str)  # side, sheet: its marks have come
    aged = Signal()  # `is_behind` or `is_working` is another
    failed = Signal(str)  # why, a sentence
    ended = Signal()

    def __init__(self, parent: QObject, document: Document, older: Path, match: str = "auto") -> None:
        super().__init__(parent, "app.drawing.redlines.process", "comparing")
        self.document, self.older, self.match = document, older, match
        self.compared: Compared | None = None
        self.sheets: dict[tuple[str, str], Sheet] = {}  # by side and sheet
        self.is_behind = False  # the drawing is another than what was compared
        self.is_working = False
        self.done = 0  # sheets whose marks have come
        self._at = 0
        self._behind: dict[tuple[str, str], None] = {}  # what has changed and was not told yet
        self._fresh: dict[tuple[str, str], Sheet] = {}  # of the comparison under way
        self._coming: Compared | None = None  # of which more follows
        self._rest = self.timer(self._catch_up, REST_MS)
        document.changed.connect(self._changed)
        self.is_working = True
        self._packing = plain_parts(document.snapshot())  # of this moment: what changes meanwhile is told after
        self._pack = self.timer(self._pack_on, 0)
        self._pack.start()

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

    def is_awaiting(self) -> bool:
        """Whether something is still to be told of what was asked."""
        return self.is_working

    def stop(self) -> None:
        """It is over: the process ends, nothing of it is shown any more."""
        if self.is_over:
            return
        self.document.changed.disconnect(self._changed)
        for timer in (self._rest, self._pack):
            timer.stop()
        self.end()
        self.ended.emit()

    # -- asking ---------------------------------------------------------------------------------------------------
    def _pack_on(self) -> None:
        """The whole drawing is made ready to be sent, a slice of time at each turn of the event loop."""
        until = time.perf_counter() + SLICE_S
        for plain in self._packing:
            if plain is not None:
                self._at = 1
                self._send(Open(1, str(self.older), self.match, self.document.sheet, plain))
                return
            if time.perf_counter() > until:
                break
        self._pack.start()

    def _ask(self, edit: Several | None) -> None:
        self._at += 1
        self._send(Follow(self._at, self.match, self.document.sheet, None if edit is None else plain_edit(edit)))

    def _send(self, request: Open | Follow) -> None:
        self.is_working, self.done = True, 0
        self._fresh = {}
        self.tell(packed(request))
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
    def hear(self, body: bytes) -> None:
        """An answer, or a part of one, has come."""
        answer = answer_of(body)
        if isinstance(answer, (Compared, More)):
            self._hear_compared(answer)
        elif isinstance(answer, Marked):
            self._hear_marked(answer)
        elif isinstance(answer, Failed):
            self.fail(answer.words)
        elif isinstance(answer, Done):
            self.is_working = False
            for key in self.sheets.keys() - self._fresh.keys():
                del self.sheets[key]
                self.marked.emit(*key)
            self.aged.emit()
            if self.is_behind:
                self._rest.start()

    def _hear_compared(self, answer: Compared | More) -> None:
        if isinstance(answer, Compared):
            self._coming = answer
        elif self._coming is not None:
            self._coming = msgspec.structs.replace(
                self._coming,
                entries=self._coming.entries + answer.entries,
                matches=self._coming.matches + answer.matches,
                where=self._coming.where | answer.where,
            )
        if not answer.more:
            self.compared, self._coming = self._coming, None
            self.told.emit()

    def _hear_marked(self, answer: Marked) -> None:
        key, made = (answer.side, answer.sheet), Sheet(answer.strokes, boxes_of(answer))
        if answer.same:
            made = self.sheets[key]._replace(boxes=made.boxes)
        self._fresh[key] = made
        self.done += 1
        if self.sheets.get(key) != made:
            self.sheets[key] = made
            self.marked.emit(*key)
        self.aged.emit()

    def fail(self, why: str) -> None:
        """It cannot be compared."""
        if not self.is_over:
            self.failed.emit(_("{name} cannot be compared: {why}").format(name=self.name, why=why))
            self.stop()
