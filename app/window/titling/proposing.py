"""What has changed since the last issue, proposed in the field for it until a person writes there or it is issued."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from app.window.document import Document
from app.window.titling.asking import IssueQuestion, ask_words
from app.window.titling.fields import Text
from engine.edits.issuing import begun, in_order
from engine.files.issues import copy_of
from engine.installation import Snapshot
from engine.installation.records import Revision
from engine.words import _

__all__ = ["Proposing", "copy_path", "kept_copy"]

_REST_MS = 700  # after a change, before what has changed is asked anew


def copy_path(path: Path, index: str) -> Path:
    """Where a copy was kept by a drawing that does not record it: beside it, with the index in its name."""
    safe = "".join(c if c.isalnum() or c in "-_." else "-" for c in index) or "-"
    return path.with_name(f"{path.stem} revision {safe}{path.suffix}")


def kept_copy(document: Document, record: Revision) -> Path | None:
    """The file of an issue, recorded or kept as drawings did that record none; `None` where there is none."""
    for path in (
        copy_of(document.folder, record),
        None if document.path is None or record.copy else copy_path(document.path, record.index),
    ):
        if path is not None and os.path.isfile(path):  # a name too long for the disk is none
            return path
    return None


class Proposing(QObject):
    """Keeps a proposal in a field while that is empty and may be written. `told`: what there is to say about it."""

    told = Signal(str)

    def __init__(self, document: Document, field: Text, may: Callable[[], bool]) -> None:
        super().__init__(field)
        self.document, self.field, self._may = document, field, may
        self._question: IssueQuestion | None = None
        self._for: Snapshot | None = None  # the drawing as the proposal tells of it
        self._words = ""
        self._after: list[Callable[[], None]] = []
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.timeout.connect(self.propose)
        document.changed.connect(self._changed)

    @property
    def older(self) -> Path | None:
        """The drawing as last issued, `None` where no copy of it is there."""
        issued = [record for _item, record in in_order(self.document.snapshot()) if record.issued]
        return kept_copy(self.document, issued[-1]) if issued else None

    @property
    def is_wanted(self) -> bool:
        """Whether the field is free for a proposal: nothing is recorded there and nobody has written."""
        if not self._may() or not self.field.is_free:
            return False
        item = begun(self.document.snapshot())
        return bool(item) and not self.document.snapshot().revisions[item].text

    @property
    def is_due(self) -> bool:
        """Whether a proposal is wanted and what stands there is none of the drawing as it is."""
        return self.is_wanted and self.older is not None and self._for is not self.document.snapshot()

    def propose(self) -> None:
        """Ask what has changed, if the field is free for it."""
        if self.is_due and self.field.isVisible():
            self._ask()

    def show_again(self) -> None:
        """Another revision was looked at meanwhile."""
        if self.is_wanted and self._for is self.document.snapshot():
            self.field.propose(self._words)

    def then(self, does: Callable[[], None]) -> None:
        """Do something once the field holds what has changed, at once where nothing is to be waited for."""
        if self.is_due:
            self._after.append(does)
            self._ask()
        else:
            does()

    def _changed(self, _change: object) -> None:
        self._rest.start(_REST_MS)

    def _ask(self) -> None:
        older = self.older
        if older is None:
            return
        if self._question is not None:
            self._question.stop()
        snapshot = self.document.snapshot()

        def answered(words: str, why: str) -> None:
            self._question = None
            if why:
                self.told.emit(why)
            elif self.is_wanted:
                self.field.propose(words)
                if words:
                    told = _("Proposed from what differs from {name}; write over it as you like.")
                    self.told.emit(told.format(name=older.name))
            self._for, self._words = snapshot, words
            after, self._after = self._after, []
            for does in after:
                does()

        self._question = ask_words(self, older, self.document, answered)
