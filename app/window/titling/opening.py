"""A double click on the title block of a sheet leads to the field that was clicked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QMouseEvent

from app.drawing.placed import paper
from app.drawing.title_block import TitleFields, field_boxes

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["BlockOpening"]


class BlockOpening(QObject):
    """Listens to the board, while nothing but the usual tool is in hand."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self._window = window
        window.board.viewport().installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Qt's own name."""
        if event.type() == QEvent.Type.MouseButtonDblClick and isinstance(event, QMouseEvent):
            board = self._window.board
            if event.button() == Qt.MouseButton.LeftButton and board.tool.NAME in ("", "choose"):
                spot = board.spot(event.position())
                name = self._field(spot.x, spot.y)
                if name:
                    board.tool.put_down()
                    open_title_block(self._window, name)
                    return True
        return super().eventFilter(watched, event)

    def _field(self, x: float, y: float) -> str:
        document = self._window.document
        record = document.installation.get("sheets", document.sheet)
        if record is None:
            return ""
        box = paper(record.size).title_box
        return next(
            (name for name, b in field_boxes(box, TitleFields()) if b.left <= x <= b.right and b.top <= y <= b.bottom),
            "",
        )


def open_title_block(window: Window, shown: str) -> None:
    """The page of the title block, the keyboard in a field."""
    page = window.pages.titling()
    page.go_to(shown)
    if window.page != "titling" and shown in ("sheet", "book", "open_findings", "waived", "not_judged"):
        return
    if window.page != "titling":
        window.show_page("titling")
    page.begin()
