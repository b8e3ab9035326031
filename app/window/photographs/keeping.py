"""Where the photographs of a window's drawing are, and that they come along when it is saved elsewhere."""

from __future__ import annotations

import json
import logging
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QProcess

from app.photographs import Store, store_of
from app.photographs.store import waiting_folder
from app.window.surroundings import end_now, environment, patience
from engine.files.issues import copy_of
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.document import Document
    from app.window.main import Window

__all__ = ["Carrying", "carry", "missing_at", "moved_from", "store_for", "tell_missing"]

log = logging.getLogger(__name__)
_LEAVE_MS = 10_000  # that a window which closes waits for photographs on their way
_WORDS = 3  # sentences told at most


def store_for(window: Window) -> Store:
    """The store of a window's drawing; one that still lies where the drawing was before is found there."""
    return _store(window.document)


def _store(document: Document) -> Store:
    return store_of(document.path, also=(*document.photographs_at, waiting_folder()))


def missing_at(document: Document) -> int:
    """How many photographs have no file where they are looked for."""
    store = _store(document)
    return sum(not store.has(record) for record in document.installation.tables["photographs"].values())


def tell_missing(window: Window) -> None:
    """Say it where photographs of the drawing are not there."""
    count = missing_at(window.document)
    if count:
        window.banner.tell("photographs-missing", ngettext(
            "{n} photograph of this drawing is missing in {folder}.",
            "{n} photographs of this drawing are missing in {folder}.",
            count,
        ).format(n=count, folder=_store(window.document).folder))  # fmt: skip


def moved_from(document: Document, path: Path) -> None:
    """Before a drawing is saved as `path`: its photographs are still where they were."""
    before = _store(document).folder
    if before != store_of(path).folder and before not in document.photographs_at:
        document.photographs_at = (before, *document.photographs_at)


def carry(window: Window) -> None:
    """After the drawing is saved: photographs and issues not beside it yet are copied there, by a process."""
    document = window.document
    beside, tables = store_of(document.path), document.installation.tables
    copies = (copy_of(document.folder, record) for record in tables["revisions"].values())
    if all(beside.has(record) for record in tables["photographs"].values()) and all(
        path is None or path.exists() for path in copies
    ):
        return
    Carrying(window)


class Carrying(QObject):
    """Photographs on their way to where the drawing now is; belongs to its window."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.setObjectName("printing")  # by which the desk finds what is under way
        self._window = window
        document = window.document
        self.process = QProcess(self)
        self.process.setProcessEnvironment(environment())
        self.process.finished.connect(self._finished)
        self.process.errorOccurred.connect(self._failed)
        self._patience = patience(self.process, self._slow)
        sources = [str(folder) for folder in _store(document).also]
        self.process.start(sys.executable, ["-P", "-m", "app.photographs.carrying", str(document.path), *sources])

    def stop(self) -> None:
        """The window goes; what is nearly copied is waited for."""
        self.process.blockSignals(True)
        if self.process.state() != QProcess.ProcessState.NotRunning:
            self.process.waitForFinished(_LEAVE_MS)
        end_now(self.process)

    def _finished(self, code: int, status: QProcess.ExitStatus) -> None:
        try:
            told = json.loads(bytes(self.process.readAllStandardOutput().data()).decode("utf-8", "replace"))
        except ValueError:
            told = None
        is_told = isinstance(told, list) and all(isinstance(each, str) for each in told)
        if code != 0 or status != QProcess.ExitStatus.NormalExit or not is_told:
            said = bytes(self.process.readAllStandardError().data()).decode(errors="replace").strip()
            log.info("photographs were not carried over (%d): %s", code, said[-500:])
            self._not_copied()
        elif told:
            more = len(told) - _WORDS
            rest = [ngettext("... and {n} more.", "... and {n} more.", more).format(n=more)] if more > 0 else []
            self._window.banner.tell("photographs-missing", " ".join([*map(str, told[:_WORDS]), *rest]))
            self.deleteLater()
        else:
            self._window.banner.drop("photographs-missing")
            self.deleteLater()

    def _slow(self) -> None:
        end_now(self.process)
        self._not_copied()

    def _failed(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._not_copied()

    def _not_copied(self) -> None:
        self._window.banner.tell(
            "photographs-missing",
            _("Photographs and issues were not copied to {folder}; saving the drawing again tries again.").format(
                folder=self._window.document.folder
            ),
        )
        self.deleteLater()
