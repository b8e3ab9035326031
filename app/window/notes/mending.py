"""The button that puts a finding right: a menu of the edits offered, each done as one that can be undone."""

from __future__ import annotations

from functools import partial

import msgspec
from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QMenu, QPushButton, QWidget

from app.window.document import Document
from app.worker_messages import Offered
from engine.edits import EditError
from engine.files.edit_form import edit_of
from engine.findings import Finding
from engine.fixing.pieces import renumbered
from engine.rules import rules
from engine.words import _

__all__ = ["MendButton"]

PAUSE_MS = 150  # whoever walks through the list asks for nothing on the way


class MendButton(QPushButton):
    """Asks the study process for the edits of the finding that is looked at; they are tried there, which takes time."""

    refused = Signal(str)  # a sentence
    mended = Signal()  # an edit was done

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(_("Put it right"), parent)
        self.document = document
        self.key = ""  # of the finding it is for, "" for none
        self.words = ""  # why there is nothing to choose
        self.edits: QMenu = QMenu(self)
        self.edits.setToolTipsVisible(True)
        self.setMenu(self.edits)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(PAUSE_MS)
        self._soon.timeout.connect(self._ask)
        document.offered.connect(self._take)
        self._tell(_("Being worked out…"))
        self.hide()

    def show_for(self, finding: Finding | None, *, stale: bool) -> None:
        """Be for a finding; hidden where no edit can be offered. A judgement that is `stale` is waited for."""
        rule = None if finding is None else rules().get(finding.rule)
        may = finding is not None and rule is not None and rule.fixes is not None and not finding.undecided
        wanted = "" if not may or finding is None or finding.waived else finding.key
        self.setVisible(bool(wanted))
        if stale or wanted != self.key:
            self.key = "" if stale else wanted
            self._soon.stop()
            self.edits.clear()
            self._tell(_("Being worked out…"))
            if self.key:
                self._soon.start()

    def _ask(self) -> None:
        if self.key and self.document.judge is not None:
            self.document.judge.mend(self.key)
        elif self.key:
            self._tell(_("Edits cannot be worked out: there is no study process."))

    def _take(self, offered: Offered) -> None:
        if not self.key or offered.key != self.key:
            return
        self.edits.clear()
        for text, plain in offered.edits:
            action = self.edits.addAction(_sentence(text).replace("&", "&&"))
            action.setToolTip(_("Done on the drawing at once; Undo takes it back"))
            action.triggered.connect(partial(self._do, plain))
        if offered.words:
            self._tell(_("Edits could not be worked out: {fault}").format(fault=offered.words))
        elif not offered.edits:
            self._tell(_("No edit of the drawing puts this right without another danger or warning."))
        else:
            self._tell("")

    def _tell(self, words: str) -> None:
        """Why there is nothing to choose, "" where there is."""
        self.words = words
        self.setEnabled(not words and not self.document.read_only)
        told = words or _("Edits that put it right, each tried on a copy; Undo takes one back")
        self.setToolTip(told)
        self.setAccessibleName(_("Put it right"))
        self.setAccessibleDescription(told)

    def _do(self, plain: dict[str, object], _checked: bool = False) -> None:
        try:
            edit = renumbered(edit_of(plain), self.document.snapshot(), self.document.installation.last_id)
            self.document.do(msgspec.structs.replace(edit, words=_sentence(edit.words)))
        except (EditError, ValueError) as fault:
            self.refused.emit(str(fault))
            return
        self.mended.emit()


def _sentence(text: str) -> str:
    """As the undo list has it: with a capital letter."""
    return text[:1].upper() + text[1:]
