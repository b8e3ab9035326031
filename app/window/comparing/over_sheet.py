"""The marks of a comparison on the board, under and over what is drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QGraphicsItem, QGraphicsScene

from app.canvas.items import make_item, merged
from app.canvas.sheet_items import MARKS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from app.canvas.surface import Surface
    from app.window.comparing.comparing import Comparing
    from engine.picture import Primitive

__all__ = ["OVER", "UNDER", "Marks", "put_strokes"]

UNDER, OVER = 1.5, MARKS - 1.0  # over the frame and under runs; over all that is drawn and under what is selected


def put_strokes(scene: QGraphicsScene, primitives: Iterable[Primitive], level: float) -> list[QGraphicsItem]:
    """Items of primitives on a scene."""
    made = []
    for strokes in merged(primitives):
        item = make_item(strokes, level)
        scene.addItem(item)
        made.append(item)
    return made


class Marks(QObject):
    """What is shown over the sheet that the board shows; follows the comparison and the sheet."""

    def __init__(self, board: Surface, comparing: Comparing) -> None:
        super().__init__(comparing)
        self._board, self._comparing = board, comparing
        self.items: list[QGraphicsItem] = []
        comparing.marked.connect(self._came)
        comparing.ended.connect(self.clear)
        board.document.turned_to.connect(self.show)

    def show(self) -> None:
        """The marks of the sheet that is shown now."""
        self.clear()
        if self._comparing.is_over:
            return
        sheet = self._comparing.sheets.get(("newer", self._board.document.sheet))
        if sheet is not None:
            strokes = sheet.strokes()
            self.items = put_strokes(self._board.scene(), strokes["under"], UNDER)
            self.items += put_strokes(self._board.scene(), strokes["over"], OVER)

    def clear(self) -> None:
        """Take them off."""
        for item in self.items:
            self._board.scene().removeItem(item)
        self.items.clear()

    def _came(self, side: str, sheet: str) -> None:
        if side == "newer" and sheet == self._board.document.sheet:
            self.show()
