"""Undo and redo without limit, in words."""

from __future__ import annotations

from collections.abc import Iterator

from engine.edits.edit import Done, Edit, apply, done
from engine.installation.model import Installation

__all__ = ["History"]


class History:
    """Does edits on one installation and remembers how to take them back."""

    def __init__(self, installation: Installation) -> None:
        self.installation = installation
        self._done: list[Done] = []
        self._undone: list[Done] = []

    def do(self, edit: Edit) -> Edit:
        """Apply first, record after: an edit that fails leaves no trace. Raises `EditError`.

        Returns what was done, as whole records: done again on the same installation it does the same.
        """
        made = done(self.installation, edit)
        self._done.append(made)
        self._undone.clear()
        return made.edit

    def undo(self) -> Edit | None:
        """Take back the last edit and return what took it back; `None` when there is none."""
        if not self._done:
            return None
        last = self._done[-1]
        apply(self.installation, last.inverse, again=True)
        self._undone.append(self._done.pop())
        return last.inverse

    def redo(self) -> Edit | None:
        """Do again what was taken back and return it; `None` when there is none."""
        if not self._undone:
            return None
        last = self._undone[-1]
        apply(self.installation, last.edit, again=True)
        self._done.append(self._undone.pop())
        return last.edit

    @property
    def mark(self) -> Done | None:
        """Stands for the present state: the same object whenever undo and redo come back to it."""
        return self._done[-1] if self._done else None

    @property
    def undo_words(self) -> str:
        """What `undo` would take back, `""` for nothing."""
        return self._done[-1].edit.words if self._done else ""

    @property
    def redo_words(self) -> str:
        """What `redo` would do again, `""` for nothing."""
        return self._undone[-1].edit.words if self._undone else ""

    # -- the whole of it, in words ------------------------------------------------------------------------------
    @property
    def at(self) -> int:
        """How many edits lie behind the present state, 0 as it was at first."""
        return len(self._done)

    def __len__(self) -> int:
        """All edits, those taken back and not done otherwise since included."""
        return len(self._done) + len(self._undone)

    def __bool__(self) -> bool:
        """A history is there, also while it is empty."""
        return True

    def newest(self) -> Iterator[Done]:
        """What was done, the last first."""
        return reversed(self._done)

    def words_at(self, n: int) -> str:
        """What the `n`-th edit does, counted from 1. Raises `IndexError`."""
        if not 1 <= n <= len(self):
            raise IndexError(n)
        done = self._done[n - 1] if n <= len(self._done) else self._undone[len(self) - n]
        return done.edit.words

    def step_of(self, mark: Done | None) -> int | None:
        """After how many edits the state that a `mark` stands for is reached; `None`: by none of these."""
        if mark is None:
            return 0
        for n in range(len(self._done), 0, -1):
            if self._done[n - 1] is mark:
                return n
        for n, each in enumerate(self._undone):
            if each is mark:
                return len(self) - n
        return None
