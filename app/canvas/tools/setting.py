"""Setting a whole template on the sheet: one click where its middle is to be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

from app.canvas.tool import Hit, Spot, Tool
from app.canvas.tools import acts
from app.canvas.tools.grid import mm
from app.drawing.changes import Made
from engine.words import N_, _

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Setting", "show_set"]

_MARK = 8  # grid steps from the middle to the edge of the mark that goes with the pointer


def show_set(board: Board, items: tuple[str, ...]) -> None:
    """Turn to the sheet that shows most of what was made, and choose it there."""
    document = board.document
    count = Counter(p.sheet for p in document.snapshot().placements.values() if p.equipment in set(items))
    most = max(sorted(count), key=lambda sheet: (count[sheet], sheet == document.sheet), default="")
    if most and most != document.sheet:
        document.turn_to(most)
    acts.grasp_items(board, items)


class Setting(Tool):
    """`making` makes the edit for a column and a row; it stands as near to them as there is room."""

    NAME = "set"
    TITLE = N_("Place a template")
    HINT = N_("Click where the middle of the template is to be; it stands as near as there is room. Escape ends.")
    CURSOR = Qt.CursorShape.CrossCursor

    def __init__(self, board: Board, making: Callable[[int, int], Made] | None = None) -> None:
        super().__init__(board)
        self.making = making
        self._held = False

    def take_up(self) -> None:
        """Show the mark at once where the pointer is over the sheet already."""
        if self.board.underMouse():
            self._show(acts.cursor_spot(self.board))

    def _show(self, spot: Spot) -> None:
        self.board.clear_preview()
        left, top = mm(self.board, spot.column - _MARK, spot.row - _MARK)
        right, bottom = mm(self.board, spot.column + _MARK, spot.row + _MARK)
        self.board.show_rubber([(left, top), (right, top), (right, bottom), (left, bottom), (left, top)])

    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """It is set when the button comes up."""
        self._held = True

    def move(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """The mark goes along."""
        self._show(spot)

    def release(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Set it; what cannot be is told, and the tool stays in hand."""
        if not self._held:
            return
        self._held = False
        self.board.clear_preview()
        if self.making is None:
            self.board.refused.emit(_("No template is chosen; choose one on its page."))
            return
        items = acts.make(self.board, partial(self.making, spot.column, spot.row))
        if not items:
            self._show(spot)
            return
        from app.canvas.tools.choosing import Choosing

        show_set(self.board, items)
        self.board.take_up(Choosing(self.board))

    def leave(self) -> None:
        """The pointer is elsewhere."""
        self.board.clear_preview()

    def put_down(self) -> None:
        """Without the mark."""
        self._held = False
        self.board.clear_preview()
