"""Digits typed on the board begin a line of values for what is chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["opens_values"]

_COMMAND = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier


def opens_values(board: Board, event: QKeyEvent) -> bool:
    """Whether a key is a digit and something is chosen: then the line is open with it."""
    text = event.text()
    if event.modifiers() & _COMMAND or len(text) != 1 or text not in "0123456789" or not board.document.selection:
        return False
    from app.window.quick.fast import fast_of

    fast = fast_of(board)
    if not fast.settable:
        return False
    fast.set(text)
    return True
