"""What is looked up only when the pointer rests a moment, so that it never stutters while it moves."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Pause"]

_REST_MS = 40


class Pause:
    """Calls `look_up` once the pointer has rested since the last `begin`."""

    def __init__(self, board: Board, look_up: Callable[[], None]) -> None:
        self._board, self._look_up = board, look_up
        self._timer: QTimer | None = None

    def begin(self) -> None:
        """The pointer moved: wait from now on."""
        if self._timer is None:
            self._timer = QTimer(self._board)  # goes with the board, whatever becomes of the tool
            self._timer.setSingleShot(True)
            self._timer.setInterval(_REST_MS)
            self._timer.timeout.connect(self._look_up)
        self._timer.start()

    def end(self) -> None:
        """Nothing is to be looked up any more."""
        if self._timer is not None:
            self._timer.stop()
            self._timer.deleteLater()
            self._timer = None
