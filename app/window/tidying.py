"""Tidying in the window: asked of the study process, told while it lasts, given up by Escape, done as one edit.

While it is worked out the drawing can be changed: then what comes of it would be of another drawing, and is not done.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QKeySequence, QShortcut

from app.tidying_messages import TidyAnswer, TidyQuestion, TidyRequest, TidySoFar, TidyTold
from app.window.document import Change
from engine.edits import EditError
from engine.files.edit_form import edit_of
from engine.fixing.pieces import renumbered
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Tidying", "tidying_of"]


def tidying_of(window: Window) -> Tidying:
    """What tidies in a window: one for each."""
    found = window.findChild(Tidying)
    return found if isinstance(found, Tidying) else Tidying(window)


class Tidying(QObject):
    """Asks, waits, and does what comes of it where the drawing is still as it was."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window
        self.question: TidyQuestion | None = None  # asked and not yet answered
        self._escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), window)
        self._escape.setEnabled(False)
        self._escape.activated.connect(self.give_up)
        window.document.changed.connect(self._changed)
        self._judge: QObject | None = None  # that is listened to

    @property
    def is_waiting(self) -> bool:
        """Whether something is being worked out."""
        return self.question is not None

    def start(self) -> None:
        """Tidy what is chosen on the sheet that is shown, else all of it."""
        document, foot = self.window.document, self.window.foot
        judge = document.judge
        if document.read_only:
            foot.refuse(document.read_only)
            return
        if document.sheet not in document.snapshot().sheets:
            foot.refuse(_("There is no sheet to tidy."))
            return
        if judge is None:
            foot.refuse(_("Nothing can be tidied: there is no study process."))
            return
        self._put(TidyQuestion(document.sheet, self._chosen()))

    def put_on_sheets(self) -> None:
        """What is on no sheet goes onto sheets of its own."""
        document, foot = self.window.document, self.window.foot
        judge = document.judge
        if document.read_only:
            foot.refuse(document.read_only)
        elif judge is None:
            foot.refuse(_("Nothing can be put on sheets: there is no study process."))
        else:
            self._put(TidyQuestion("", (), True))

    def _put(self, question: TidyQuestion) -> None:
        judge = self.window.document.judge
        assert judge is not None
        if self._judge is not judge:
            judge.tidied.connect(self._heard)
            self._judge = judge
        self.question = question
        self._escape.setEnabled(True)
        self._say(0, 0)
        self.window.menus.refresh()
        judge.tidy(question)

    def _chosen(self) -> tuple[str, ...]:
        """Symbols on the sheet that are chosen."""
        document = self.window.document
        placements = document.snapshot().placements
        return tuple(i for i in self.window.board.grasped if i in placements and placements[i].sheet == document.sheet)

    def _say(self, done: int, of: int) -> None:
        if self.question is not None and self.question.unplaced:
            self.window.foot.say(_("Being drawn… Escape gives it up."))
            return
        if not of:
            self.window.foot.say(_("Tidying… Escape gives it up."))
            return
        self.window.foot.say(_("Tidying, {share} % done… Escape gives it up.").format(share=round(100 * done / of)))

    def give_up(self) -> None:
        """Nobody wants it any more: nothing is changed."""
        if self._end():
            self.window.foot.say(_("Tidying was given up; nothing is changed."))

    def _end(self) -> bool:
        """Wait no more; whether anything was waited for."""
        was = self.question is not None
        self.question = None
        self._escape.setEnabled(False)
        judge = self.window.document.judge
        if was and judge is not None:
            judge.forget(TidyRequest)
        self.window.menus.refresh()
        return was

    def _changed(self, _change: Change) -> None:
        if self._end():
            self.window.foot.refuse(_("Tidying was given up: the drawing has changed meanwhile."))

    def _heard(self, answer: TidyAnswer) -> None:
        if self.question is None:
            return
        if isinstance(answer, TidySoFar):
            self._say(answer.done, answer.of)
            return
        if answer.question != self.question:
            return
        self._end()
        if answer.edit is None:
            self.window.foot.refuse(answer.words)
        else:
            self._do(answer)

    def _do(self, told: TidyTold) -> None:
        document, foot = self.window.document, self.window.foot
        assert told.edit is not None
        try:
            document.do(renumbered(edit_of(told.edit), document.snapshot(), document.installation.last_id))
        except (EditError, ValueError) as fault:
            foot.refuse(str(fault))
            return
        if told.question.unplaced:
            foot.say(_("{told}. Undo brings back what was.").format(told=told.words))
        else:
            foot.say(_("Tidied: {told}. Undo brings back what was.").format(told=told.words))
