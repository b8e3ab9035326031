"""The middle of the window: the sheet, or in its place a document as it will lie on the table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QStackedWidget

from app.canvas.board import Board

if TYPE_CHECKING:
    from app.canvas.view import SheetView
    from app.window.comparing.older_view import OlderView
    from app.window.handover.paper_view import PaperView
    from app.window.handover.preview import Preview
    from app.window.print_view.view import PrintView

__all__ = ["Middle"]


class Middle(QStackedWidget):
    """Whatever has to do with the sheet brings it back: a tool is taken up, a thing is shown, another sheet."""

    def __init__(self, board: Board) -> None:
        super().__init__()
        self.setObjectName("middle")
        self.board = board
        self._preview: Preview | None = None
        self._print_view: PrintView | None = None
        self._older: OlderView | None = None
        self.addWidget(board)
        board.tool_changed.connect(self.show_board)
        board.revealing.connect(self.show_board)
        board.document.turned_to.connect(self.show_board)

    @property
    def preview(self) -> Preview:
        """Made when first asked for."""
        if self._preview is None:
            from app.window.handover.preview import Preview

            self._preview = Preview()
            self._preview.left.connect(self._back)
            self.addWidget(self._preview)
        return self._preview

    @property
    def print_view(self) -> PrintView:
        """What one prints from. Made when first asked for."""
        if self._print_view is None:
            from app.window.print_view.view import PrintView

            window = self.window()
            self._print_view = PrintView(window)  # type: ignore[arg-type]  # the `Window` this stands in
            self._print_view.left.connect(self._back)
            self.addWidget(self._print_view)
        return self._print_view

    def show_print(self) -> None:
        """The drawing set as it prints."""
        self.setCurrentWidget(self.print_view)
        self.print_view.show_set()
        self.print_view.view.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def paper(self) -> Preview:
        """The preview that is seen, else the one that documents to hand over are shown in."""
        shown = self.currentWidget()
        return self._print_view if self._print_view is not None and shown is self._print_view else self.preview

    @property
    def is_paper(self) -> bool:
        """Whether a document stands in the place of the sheet."""
        return self.currentWidget() is not self.board

    @property
    def seen(self) -> Board | PaperView | SheetView:
        """What is looked at: it can be larger, smaller, whole."""
        if self.is_older and self._older is not None:
            return self._older.view
        return self.paper.view if self.is_paper else self.board

    def turn_pages(self, by: int) -> bool:
        """So many pages on, where a document or the older drawing is seen."""
        if self.is_older and self._older is not None:
            self._older.turn(by)
        elif self.is_paper:
            self.paper.view.go_to(self.paper.view.page + by)
        return self.is_paper

    def show_paper(self) -> None:
        """A document in the place of the sheet."""
        self.setCurrentWidget(self.preview)

    @property
    def is_older(self) -> bool:
        """Whether a sheet of the older drawing of a comparison stands in the place of the sheet."""
        return self._older is not None and self.currentWidget() is self._older

    def show_older(self, view: OlderView | None) -> None:
        """A sheet of the older drawing; `None`: there is no comparison any more."""
        if view is not self._older and self._older is not None:
            if self.is_older:
                self._back()
            self.removeWidget(self._older)
            self._older.deleteLater()
            self._older = None
        if view is not None:
            if self._older is None:
                self._older = view
                view.left.connect(self._back)
                self.addWidget(view)
            self.setCurrentWidget(view)

    def show_board(self, _why: object = None) -> None:
        """The sheet."""
        self.setCurrentWidget(self.board)

    def take_focus(self) -> None:
        """Give the focus to what is seen."""
        self.seen.setFocus(Qt.FocusReason.TabFocusReason)

    def close_pages(self) -> None:
        """The window goes: give back what is open."""
        for preview in (self._preview, self._print_view):
            if preview is not None:
                preview.clear()

    def _back(self) -> None:
        self.show_board()
        self.board.setFocus(Qt.FocusReason.OtherFocusReason)

    def minimumSizeHint(self) -> QSize:
        """As small as the sheet may be."""
        return self.board.minimumSizeHint()
