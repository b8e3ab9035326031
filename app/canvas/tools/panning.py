"""Moving the sheet about by hand."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt

from app.canvas.tool import Hit, Spot, Tool
from app.canvas.tools.grid import viewport_point
from engine.words import N_

__all__ = ["Panning"]


class Panning(Tool):
    """Drag, and the sheet goes along."""

    NAME = "pan"
    TITLE = N_("Move the sheet")
    HINT = N_("Drag the sheet about. The wheel zooms; Escape goes back to choosing.")
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

    def put_down(self) -> None:
        """Let go."""
        self._held = None
