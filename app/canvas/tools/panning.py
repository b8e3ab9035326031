"""Moving the sheet about by hand."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QKeyEvent

from app.canvas.tool import Hit, Spot, Tool
from app.canvas.tools.grid import viewport_point
from engine.words import N_

__all__ = ["Panning"]


# which way one looks on, in steps
_WAYS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
    Qt.Key.Key_PageUp: (0, -9),
    Qt.Key.Key_PageDown: (0, 9),
}


class Panning(Tool):
    """Drag, and the sheet goes along; arrow keys do it too."""

    NAME = "pan"
    TITLE = N_("Move the sheet")
    HINT = N_("Drag the sheet about, or use the arrow keys, with Shift farther. The wheel zooms; Escape goes back.")
    CURSOR = Qt.CursorShape.OpenHandCursor

    _held: QPoint | None = None  # where in the window the sheet is held

    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Take hold."""
        self._held = viewport_point(self.board, spot)

    def move(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Pull it along."""
        if self._held is None:
            return
        now = viewport_point(self.board, spot)
        by = self._held - now
        self.board.scroll_by(by.x(), by.y())
        self._held = now

    def release(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Let go."""
        self._held = None

    def double(self, spot: Spot, hit: Hit) -> None:
        """Take hold again."""
        self.press(spot, hit, Qt.KeyboardModifier.NoModifier)

    def key(self, event: QKeyEvent) -> bool:
        """Arrows look farther that way, Page Up and Page Down by nearly a window."""
        if event.modifiers() & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier):
            return False
        way = _WAYS.get(Qt.Key(event.key()))
        if way is None:
            return False
        room = self.board.viewport().rect()
        share = 0.5 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 0.1
        self.board.scroll_by(round(way[0] * share * room.width()), round(way[1] * share * room.height()))
        return True

    def put_down(self) -> None:
        """Let go."""
        self._held = None
