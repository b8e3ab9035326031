"""What the three parts of the page have in common: they ask while they are seen, and what they show knows its age."""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.window.document import Document
from app.window.printing import Paper
from engine.installation.model import Snapshot
from engine.words import _

__all__ = ["MORE", "Names", "Part", "push_button", "text_line"]

TICK_MS = 1_000
MORE = 10  # times as much is tried


class Names(NamedTuple):
    """What calls the things of a drawing by name."""

    snapshot: Snapshot

    def name(self, item: str) -> str:
        """Designation of equipment or run."""
        return self.snapshot.name(item)


class Part(QWidget):
    """One part. `wake` when it comes to be seen, `sleep` when it does no longer, `changed` after an edit."""

    reveal = Signal(str)  # id
    refused = Signal(str)  # a sentence
    paper_wanted = Signal(object)  # Paper

    def __init__(self, document: Document, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.is_awake = False
        self.is_given_up = False  # the person wants no answer to what would be asked by itself
        self._seconds = 0
        self._so_far = ""
        self._working = ""  # what is said while it is being worked out
        self.setAccessibleName(name)
        self.head = text_line(_("What is said about it"))
        self.stop = push_button(_("Give up"), _("Stop working it out"))
        self.stop.clicked.connect(self._stop)
        self.stop.hide()
        self.more = push_button(_("Search further"), _("What is not decided: look on, ten times as far"))
        self.more.clicked.connect(self.ask_more)
        self.more.hide()
        self.write = push_button(_("Write as PDF…"), _("Write this on paper, as the drawing is now"))
        self.write.clicked.connect(self._write)
        self._tick = QTimer(self)
        self._tick.setInterval(TICK_MS)
        self._tick.timeout.connect(self._count)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(2, 6, 2, 2)
        self.column.setSpacing(6)

    # -- for the page ---------------------------------------------------------------------------------------------
    def wake(self) -> None:
        """It is seen now."""
        self.is_awake = True

    def sleep(self) -> None:
        """It is seen no longer: what it asked is not wanted any more."""
        self.is_awake = False
        if self._working:
            self.give_up()

    def changed(self) -> None:
        """The drawing is another."""

    def begin(self) -> None:
        """Take the focus."""
        self.head.setFocus(Qt.FocusReason.TabFocusReason)

    def give_up(self) -> None:
        """What was asked is not wanted any more."""
        self.rest()

    def ask_more(self) -> None:
        """Ask again, what is not decided to be looked for further."""

    def paper(self) -> Paper | None:
        """What can be written of what is shown."""
        return None

    # -- waiting --------------------------------------------------------------------------------------------------
    @property
    def is_working(self) -> bool:
        """Whether something is being worked out."""
        return bool(self._working)

    def work(self, words: str) -> None:
        """Something is being worked out: say so, with a way to stop it."""
        self._working, self._so_far, self._seconds, self.is_given_up = words, "", 0, False
        self.head.setText(words)
        self.stop.show()
        self._tick.start()

    def rest(self, words: str = "") -> None:
        """Nothing is being worked out any more."""
        if self.stop.hasFocus():
            self.focusNextChild()
        self._working = ""
        self._tick.stop()
        self.stop.hide()
        self.head.setText(words)

    def _stop(self) -> None:
        self.give_up()
        self.is_given_up = True

    def hear(self, done: int, of: int) -> None:
        """How far it is."""
        if self._working:
            self._so_far = _("{done} of {all}").format(done=done, all=of)
            self._tell_progress()

    def _count(self) -> None:
        self._seconds += TICK_MS // 1000
        if self._seconds > 1:
            self._tell_progress()

    def _tell_progress(self) -> None:
        parts = [self._working, self._so_far, _("{n} s").format(n=self._seconds) if self._seconds > 1 else ""]
        self.head.setText(" ".join(part for part in parts if part))

    # -- making ---------------------------------------------------------------------------------------------------
    def row(self, *some: QWidget) -> QHBoxLayout:
        """Parts side by side at the left."""
        made = QHBoxLayout()
        made.setSpacing(6)
        for each in some:
            made.addWidget(each)
        made.addStretch(1)
        return made

    def _write(self) -> None:
        paper = self.paper()
        if paper is not None:
            self.paper_wanted.emit(paper)


def text_line(description: str) -> QLabel:
    """A text of as many lines as it needs."""
    made = QLabel()
    made.setWordWrap(True)
    made.setMinimumWidth(1)
    made.setTextFormat(Qt.TextFormat.PlainText)
    made.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    made.setAccessibleDescription(description)
    return made


def push_button(text: str, tip: str) -> QPushButton:
    """A button that says what it does."""
    made = QPushButton(text)
    made.setAccessibleName(text.removesuffix("…"))
    made.setToolTip(tip)
    made.setAccessibleDescription(tip)
    return made
