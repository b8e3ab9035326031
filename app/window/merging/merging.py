"""A merge under way: a process of its own works it out; every decision and every edit has it worked out anew."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.merging.messages import Failed, Merge, Question, Told, answer_of, packed
from app.window.beside.framed import FramedProcess
from app.window.document import Document
from engine.edits import Several
from engine.files.edit_form import edit_of, plain_parts
from engine.installation import Snapshot
from engine.merging import Choice
from engine.words import _

__all__ = ["Merging"]

REST_MS = 300  # after the last edit, until it is worked out anew
SLICE_S = 0.008


class Merging(FramedProcess):
    """Nothing of it changes the drawing before `edit` is done."""

    told = Signal()  # `answer` is another
    failed = Signal(str)  # why, a sentence; it is over

    def __init__(self, parent: QObject, document: Document, base: Path, other: Path) -> None:
        super().__init__(parent, "app.merging.process", "merging")
        self.document, self.base, self.other = document, base, other
        self.answer: Told | None = None
        self.chosen: dict[str, Choice] = {}
        self._at = 0
        self._rest = self.timer(self._ask, REST_MS)
        self._sent: Snapshot | None = None  # the drawing that the process has
        self._packed: Snapshot | None = None  # the one that is being made ready for it
        self._packing: Iterator[dict[str, Any] | None] = iter(())
        self._pack = self.timer(self._pack_on, 0)
        document.changed.connect(self._changed)
        self._ask()

    @property
    def is_behind(self) -> bool:
        """Whether something was decided or changed since the answer that is at hand."""
        return self.answer is None or self.answer.at != self._at or self._rest.isActive()

    @property
    def is_ready(self) -> bool:
        """Whether nothing is open and something is to be changed."""
        return not self.is_behind and self.answer is not None and self.answer.edit is not None

    @property
    def edit(self) -> Several | None:
        """What makes the open drawing into the whole; `None` while something is open or nothing is to be changed."""
        if self.is_behind or self.answer is None or self.answer.edit is None:
            return None
        edit = edit_of(self.answer.edit)
        return edit if isinstance(edit, Several) else Several((edit,), edit.words)

    @property
    def questions(self) -> tuple[Question, ...]:
        """All of them, decided or not."""
        return () if self.answer is None else self.answer.questions

    def decide(self, key: str, side: Choice | None) -> None:
        """Whose is taken; `None`: it is open again."""
        if side is None:
            self.chosen.pop(key, None)
        else:
            self.chosen[key] = side
        self._ask()

    def is_awaiting(self) -> bool:
        """Whether something is still to be told of what was asked."""
        return self.answer is None or self.answer.at != self._at

    def stop(self) -> None:
        """It is over: the process ends."""
        if not self.is_over:
            self.document.changed.disconnect(self._changed)
            self._rest.stop()
            self._pack.stop()
            self.end()

    # -- asking and hearing ---------------------------------------------------------------------------------------
    def _ask(self) -> None:
        if self.is_over:
            return
        self._at += 1
        now = self.document.snapshot()
        if now is self._sent:
            self._pack.stop()
            self._packed = None
            self._send(None)
        elif now is not self._packed:
            self._packed, self._packing = now, plain_parts(now)
            self._pack.start()

    def _pack_on(self) -> None:
        """The drawing is made ready to be sent, a slice of time at each turn of the event loop."""
        until = time.perf_counter() + SLICE_S
        for plain in self._packing:
            if plain is not None:
                self._sent, self._packed = self._packed, None
                self._send(plain)
                return
            if time.perf_counter() > until:
                break
        self._pack.start()

    def _send(self, mine: dict[str, Any] | None) -> None:
        last_id = self.document.installation.last_id
        request = Merge(self._at, str(self.base), str(self.other), mine, dict(self.chosen), last_id)
        self.tell(packed(request))

    def _changed(self, _change: object) -> None:
        self._rest.start()
        self.told.emit()

    def hear(self, body: bytes) -> None:
        """An answer has come."""
        answer = answer_of(body)
        if isinstance(answer, Failed):
            self.fail(answer.words)
        else:
            self.answer = answer
            self.told.emit()

    def fail(self, why: str) -> None:
        """It cannot be brought in."""
        if not self.is_over:
            self.stop()
            self.failed.emit(_("{name} cannot be brought in: {why}").format(name=self.other.name, why=why))
