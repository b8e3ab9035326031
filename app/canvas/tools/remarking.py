"""Writing a remark: one click where it is to begin, then the words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

from app.canvas.remarks import edit_remark, new_remark
from app.canvas.tool import Hit, Spot, Tool
from engine.words import N_

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Remarking"]


class Remarking(Tool):
    """A click begins a remark, or writes anew the one that is clicked."""

    NAME = "remark"
    TITLE = N_("Write a remark")
    HINT = N_(
        "Click where the remark is to begin, then type; Enter ends it, Shift+Enter begins a new line. Escape ends."
    )
    CURSOR = Qt.CursorShape.IBeamCursor

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self._at: tuple[Spot, Hit] | None = None

    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """The words are typed as soon as the button has come up."""
        self._at = (spot, hit)

    def release(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Begin to write; the tool for choosing is in hand again."""
        if self._at is None:
            return
        from app.canvas.tools.choosing import Choosing

        (begun, on), board = self._at, self.board
        self._at = None
        board.take_up(Choosing(board))
        if on.kind == "remark":
            edit_remark(board, on.item)
        else:
            new_remark(board, begun.column, begun.row)
