"""The recovery journal of an open drawing: every edit is in a file before the screen shows it.

One file for each process and drawing (`engine.files.frames` says how it lies on the disk): the whole drawing as it was
opened, every edit as whole records, and the whole drawing again after every `EVERY` edits. Nothing that goes wrong here
stops the person: it is logged, `fault` says it in a sentence, and a new file is tried again later.
`engine.files.recovery` reads what a process that died has left.
"""

from __future__ import annotations

import collections
import contextlib
import datetime
import json
import logging
import os
import socket
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec

from engine.edits import Edit
from engine.files.drawing import dump_snapshot, record_text
from engine.files.edit_form import plain_edit
from engine.files.errors import reason
from engine.files.frames import EDIT, HEADER, MARK, SNAPSHOT, frame
from engine.files.migrations import CURRENT
from engine.files.tape import Tape
from engine.installation.model import Installation, Snapshot
from engine.record import Record
from engine.version import version
from engine.words import _

__all__ = ["EVERY", "FORMAT", "Journal"]

FORMAT = 1  # of what the frames hold
EVERY = 200  # edits between two snapshots
RETRY = 20  # edits until a new file is tried after one failed
WORDS = 5  # of so many last edits the words are carried over
TRIES = 5

_log = logging.getLogger(__name__)


class Journal:
    """What `begin` gives. `fault` is a sentence while nothing can be kept, else ""."""

    def __init__(self, folder: Path | str, path: Path | None, sha256: str) -> None:
        self.folder = Path(folder)
        self.path = path
        self.sha256 = sha256
        self.fault = ""
        self._unknown: tuple[tuple[str, str], ...] = ()
        self._takes_over = ""
        self._edits = 0  # that the drawing's file does not hold
        self._words: collections.deque[str] = collections.deque(maxlen=WORDS)
        self._tape: Tape | None = None
        self._ending: list[Tape] = []  # let go of, their threads not yet over
        self._is_whole = False  # every edit so far is in the tape
        self._retry_at = 0
        self._since_snapshot = 0
        self._is_closed = False
        self._texts: dict[
            int, tuple[Record, msgspec.Raw]
        ] = {}  # by the record's id(): only what changed is written anew

    @classmethod
    def begin(
        cls,
        folder: Path | str,
        drawing: Installation | Snapshot,
        last_id: int,
        path: Path | None,
        sha256: str,
        *,
        unknown: tuple[tuple[str, str], ...] = (),
        edits: int = 0,
        words: tuple[str, ...] = (),
        takes_over: str = "",
    ) -> Journal:
        """A journal in `folder` for a drawing as it is now. Never raises; see `fault`.

        `path` and `sha256` are of the drawing's file (`None`, "" without one). `edits` and `words` tell what the
        drawing holds already that its file does not: pass those of a recovery, and end that journal only afterwards.
        `takes_over` is its file's name where all that it holds is in this one: where both are left, it goes.
        `unknown` are `Installation.unknown`, for a snapshot that comes without.
        """
        journal = cls(folder, path, sha256)
        snapshot = drawing
        if isinstance(drawing, Installation):
            snapshot, unknown = drawing.snapshot(), drawing.unknown
        journal._unknown = unknown
        journal._edits = edits
        journal._words.extend(words)
        journal._takes_over = takes_over
        assert isinstance(snapshot, Snapshot)
        journal._guarded(journal._start, snapshot, last_id)
        return journal

    @property
    def file(self) -> Path | None:
        """The file in use, `None` while there is none."""
        return None if self._tape is None else self._tape.path

    def record(self, edit: Edit, snapshot: Callable[[], Snapshot], last_id: int, how: str = "do") -> None:
        """Keep an edit of whole records that was just done. `snapshot` is asked only when one is due.

        `how` is "do", "undo" or "redo". When this returns the edit outlives the program. Never raises; see `fault`.
        """
        if self._is_closed:
            return
        self._edits += 1
        self._words.append(_told(edit.words, how))
        if self._guarded(self._keep, edit, snapshot, last_id) and self._since_snapshot >= EVERY:
            self._since_snapshot = 0
            try:
                self._write(SNAPSHOT, self._dumped(snapshot(), last_id))
            except Exception:  # the edits go on from the snapshot before
                _log.exception("no snapshot in %s", self.file)

    def rebase(self, path: Path, sha256: str, snapshot: Snapshot, last_id: int) -> None:
        """The drawing was saved as it is now: nothing before this need be recovered. Never raises; see `fault`."""
        if self._is_closed:
            return
        self.path, self.sha256 = path, sha256
        self._edits = 0
        self._words.clear()
        old = self._tape
        if not self._guarded(self._start, snapshot, last_id) and old is not None:
            self._end(old)  # all that it holds is in the file
            self._tape = None

    def flush(self) -> None:
        """Return when everything kept has reached the disk: before what may end the program. Never raises."""
        if self._tape is not None and not self._is_closed:
            self._guarded(self._tape.flush)

    def close(self, keep: bool = False) -> None:
        """The drawing is closed: saved, or its changes given up. `keep` leaves the file for the next start."""
        if self._is_closed:
            return
        self._is_closed = True
        if self._tape is not None:
            self._end(self._tape, remove=not keep)
        for tape in self._ending:
            tape.join()

    # -- the file -----------------------------------------------------------------------------------------------
    def _keep(self, edit: Edit, snapshot: Callable[[], Snapshot], last_id: int) -> None:
        if self._tape is None or not self._is_whole or self._tape.is_lost():
            if self._is_whole or self._edits >= self._retry_at:
                self._start(snapshot(), last_id)
            return
        self._write(EDIT, msgspec.json.encode({"last_id": last_id, **plain_edit(edit), "words": self._words[-1]}))
        self._since_snapshot += 1
        if self._tape.sync_fault is not None:  # it outlives the program, but maybe not the power
            if not self.fault:
                _log.error("%s: %s", self._tape.path, self._tape.sync_fault)
                self._tell(self._tape.sync_fault)
            elif self._edits >= self._retry_at:
                self._start(snapshot(), last_id)

    def _start(self, snapshot: Snapshot, last_id: int) -> None:
        """Begin a new file, and only then let go of the old one."""
        self._is_whole = False
        now = datetime.datetime.now(datetime.UTC)
        header = {
            "program": version(),
            "format": FORMAT,
            "drawing_format": CURRENT,
            "name": snapshot.lone["vessel"].name,
            "path": "" if self.path is None else os.path.abspath(self.path),
            "sha256": self.sha256,
            "host": socket.gethostname(),
            "pid": os.getpid(),
            "begun": now.isoformat(timespec="seconds"),
            "edits": self._edits,
            "words": list(self._words),
            "takes_over": self._takes_over if self._tape is None else self._tape.path.name,
        }
        beginning = (
            MARK
            + frame(HEADER, self._edits, json.dumps(header).encode())
            + frame(SNAPSHOT, self._edits, self._dumped(snapshot, last_id))
        )
        made = self._new_tape(beginning, f"{now:%Y%m%d-%H%M%S}")
        old, self._tape = self._tape, made
        self._is_whole = True
        self._since_snapshot = 0
        self.fault = ""
        if old is not None:
            self._end(old)

    def _end(self, tape: Tape, remove: bool = True) -> None:
        tape.end(remove)
        self._ending = [each for each in self._ending if not each.is_closed]
        self._ending.append(tape)

    def _new_tape(self, beginning: bytes, stem: str) -> Tape:
        for _try in range(TRIES):
            with contextlib.suppress(FileNotFoundError):  # a start of the program tidied up at this very moment
                return Tape(self.folder, beginning, stem)
        return Tape(self.folder, beginning, stem)

    def _write(self, tag: bytes, payload: bytes) -> None:
        assert self._tape is not None
        self._tape.write(frame(tag, self._edits, payload))

    def _dumped(self, snapshot: Snapshot, last_id: int) -> bytes:
        fresh: dict[int, tuple[Record, msgspec.Raw]] = {}

        def text_of(record: Record) -> msgspec.Raw:
            kept = self._texts.get(id(record)) or (record, record_text(record))
            fresh[id(record)] = kept
            return kept[1]

        data = dump_snapshot(snapshot, last_id, self._unknown, text_of)
        self._texts = fresh
        return data

    def _guarded(self, work: Callable[..., None], *arguments: Any) -> bool:
        """Do it; whatever goes wrong is told in `fault`, for the person's work must go on."""
        try:
            work(*arguments)
        except Exception as fault:
            _log.exception("the recovery journal in %s", self.folder)
            self._is_whole = False
            self._tell(fault)
            return False
        return True

    def _tell(self, fault: Exception) -> None:
        self._retry_at = self._edits + RETRY
        why = reason(fault) if isinstance(fault, OSError) else _("the log says why")
        self.fault = _("Changes are not kept for recovery: {why}.").format(why=why)


def _told(words: str, how: str) -> str:
    if how == "undo":
        return _("Undo: {words}").format(words=words)
    if how == "redo":
        return _("Redo: {words}").format(words=words)
    return words
