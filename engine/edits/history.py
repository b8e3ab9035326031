"""Undo and redo without limit, in words."""

from __future__ import annotations

from engine.edits.edit import Edit, apply
from engine.installation.model import Installation

__all__ = ["History"]


class History:
    """Does edits on one installation and remembers how to take them back."""

    def __init__(self, installation: Installation) -> None:
        self.installation = installation
        self._done: list[tuple[Edit, Edit]] = []  # (edit, its inverse)
        self._undone: list[Edit] = []

    def do(self, edit: Edit) -> None:
        """Apply first, record after: an edit that fails leaves no trace. Raises `EditError`."""
        inverse = apply(self.installation, edit)
        self._done.append((edit, inverse))
        self._undone.clear()

    def undo(self) -> str:
        """Take back the last edit and return its words; `""` when there is none."""
        if not self._done:
            return ""
        edit, inverse = self._done[-1]
        apply(self.installation, inverse)
        self._done.pop()
        self._undone.append(edit)
        return edit.words

    def redo(self) -> str:
        """Do again what was taken back and return its words; `""` when there is none."""
        if not self._undone:
            return ""
        edit = self._undone[-1]
        inverse = apply(self.installation, edit)
        self._undone.pop()
        self._done.append((edit, inverse))
        return edit.words

    @property
    def undo_words(self) -> str:
        """What `undo` would take back."""
        return self._done[-1][0].words if self._done else ""

    @property
    def redo_words(self) -> str:
        """What `redo` would do again."""
        return self._undone[-1].words if self._undone else ""
