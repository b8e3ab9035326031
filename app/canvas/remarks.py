"""Remarks on the board: chosen, and written in place in a small editor that stands where the words will."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QFocusEvent, QFont, QKeyEvent, QTextOption
from PySide6.QtWidgets import QFrame, QPlainTextEdit

from app.drawing.added.remarks import HEIGHTS, PAD
from app.drawing.looks import STEP
from engine.edits import EditError
from engine.installation import Remark
from engine.picture import CAP_HEIGHT, Box
from engine.words import _

if TYPE_CHECKING:
    from app.canvas.board import Board
    from app.canvas.surface import Surface

__all__ = ["RemarkEditor", "chosen_remarks", "edit_remark", "end_writing", "new_remark", "writing"]

_NAME = "remark-editor"
_LEAST_PX = 13  # a letter's em while it is typed, however far away the sheet is looked at
_OF_BOARD = (Qt.Key.Key_D, Qt.Key.Key_T, Qt.Key.Key_R)  # with Ctrl: double, tidy, replace
_MOST_LINES = 12  # before it scrolls


def chosen_remarks(board: Surface) -> tuple[str, ...]:
    """Remarks of this sheet among what is chosen."""
    document = board.document
    remarks = document.installation.tables["remarks"]
    return tuple(i for i in document.selection if i in remarks and remarks[i].sheet == document.sheet)


class RemarkEditor(QPlainTextEdit):
    """Words being typed on the sheet. Enter ends, Shift+Enter begins a new line, Escape leaves all as it was."""

    def __init__(self, board: Board, remark: Remark, item: str = "") -> None:
        super().__init__(board.viewport())
        self.board, self.remark, self.item = board, remark, item
        self.sheet = board.document.sheet
        self._ended = False
        self.setObjectName(_NAME)
        self.setAccessibleName(_("Words of the remark"))
        self.setAccessibleDescription(_("Enter ends, Shift+Enter begins a new line, Escape leaves it as it was."))
        self.setFrameShape(QFrame.Shape.Box)
        self.setTabChangesFocus(True)
        self.setWordWrapMode(QTextOption.WrapMode.WordWrap)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setPlainText(remark.text)
        self.selectAll()
        self.document().setDocumentMargin(2)
        self.textChanged.connect(self._stand)
        board.viewport().installEventFilter(self)
        board.document.changed.connect(self._drawing_changed)
        board.document.turned_to.connect(self._drawing_changed)
        self._stand()
        self.show()
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    # -- where it stands --------------------------------------------------------------------------------------------
    def _stand(self) -> None:
        """Over the place of the words, as large as they are and never too small to be read."""
        board = self.board
        scale = board.pixels_per_mm
        em = max(HEIGHTS[self.remark.height] / CAP_HEIGHT * scale, _LEAST_PX)
        font = QFont(self.font())
        if abs(font.pixelSize() - em) >= 1.0:
            font.setPixelSize(round(em))
            self.setFont(font)
        spot = board.spot_at(self.remark.x, self.remark.y)
        pad = PAD if self.remark.framed else 0.0
        corner = board.to_viewport(spot.x + pad, spot.y + pad)
        line = self.fontMetrics().lineSpacing()
        wide = max(round(self.remark.width * STEP * scale), 10 * round(em)) + 10
        lines = min(max(int(self.document().size().height()), 1), _MOST_LINES)
        high = lines * line + 12
        room = board.viewport().rect()
        left = max(0, min(round(corner.x()) - 4, room.width() - wide))
        top = max(0, min(round(corner.y()) - 4, room.height() - high))
        if (left, top, wide, high) != self.geometry().getRect():
            self.setGeometry(left, top, wide, high)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Qt's own name. Follows the sheet when that is zoomed or pulled."""
        if event.type() in (QEvent.Type.Paint, QEvent.Type.Resize) and not self._ended:
            QTimer.singleShot(0, self, self._follow)
        return super().eventFilter(watched, event)

    def _follow(self) -> None:
        if not self._ended:
            self._stand()

    def _drawing_changed(self, _change: object = None) -> None:
        """Another sheet, or the remark is gone: what was typed is kept where it can be."""
        if self._ended:
            return
        document = self.board.document
        if document.sheet != self.sheet:
            self.end()
        elif self.item and self.item not in document.installation.tables["remarks"]:
            self.leave()

    def event(self, event: QEvent) -> bool:
        """Qt's own name. While one types, keys of the board do nothing to the board."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            ctrl = event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier == Qt.KeyboardModifier.ControlModifier
            if ctrl and event.key() in _OF_BOARD:
                event.accept()
                return True
        return super().event(event)

    # -- ending -----------------------------------------------------------------------------------------------------
    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
                self.textCursor().insertText("\n")
                self.ensureCursorVisible()
            else:
                self.end(focus=True)
        elif event.key() == Qt.Key.Key_Escape:
            self.leave()
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Qt's own name. Who goes on elsewhere has ended; a menu that opens, or another window, is no end."""
        super().focusOutEvent(event)
        if event.reason() not in (Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason):
            self.end()

    def end(self, focus: bool = False) -> None:
        """Take what was typed, as one edit; what cannot be taken is told."""
        if self._ended:
            return
        text = self.toPlainText().replace("\u2029", "\n").rstrip()
        self._close(focus)
        board = self.board
        if self.item:
            if text != self.remark.text:
                board.try_edit(partial(_rewritten, board, self.item, text))
        elif text.strip():
            item = _written(board, msgspec.structs.replace(self.remark, text=text))
            if item and board.document.sheet == self.sheet:
                board.grasp((), (item,))

    def leave(self) -> None:
        """Leave everything as it was."""
        if not self._ended:
            self._close(True)

    def _close(self, focus: bool) -> None:
        self._ended = True
        self.board.viewport().removeEventFilter(self)
        if focus or self.hasFocus():
            self.board.setFocus()  # before it is hidden: Qt would look for the next thing to give the focus to
        self.hide()
        self.setObjectName("")
        self.deleteLater()


def _rewritten(board: Board, item: str, text: str) -> object:
    from app.drawing.changes.remarking import rewrite

    return rewrite(board.document.snapshot(), item, text)


def _written(board: Board, remark: Remark) -> str:
    """Write a new remark; its id, "" where that could not be done."""
    from app.drawing.changes.remarking import write

    document = board.document
    made: list[str] = []

    def edit() -> object:
        done = write(document.snapshot(), document.installation.last_id, remark)
        made.extend(done.items)
        return done.edit

    return made[0] if board.try_edit(edit) and made else ""


# -- beginning ------------------------------------------------------------------------------------------------------
def writing(board: Surface) -> RemarkEditor | None:
    """The editor that stands on the board, `None` where nothing is being written."""
    found = board.viewport().findChild(QPlainTextEdit, _NAME)
    return found if isinstance(found, RemarkEditor) else None


def end_writing(board: Surface) -> None:
    """Before saving and leaving: take what is half typed."""
    editor = writing(board)
    if editor is not None:
        editor.end()


def new_remark(board: Board, column: int, row: int) -> RemarkEditor | None:
    """Begin to write at a grid point; where nothing may be written it is told why."""
    from app.drawing.changes.remarking import remark_at

    end_writing(board)
    document = board.document
    if document.read_only:
        board.refused.emit(_("The drawing is open to read only: {why}").format(why=document.read_only))
        return None
    try:
        remark = remark_at(document.snapshot(), document.sheet, column, row)
    except EditError as fault:
        board.refused.emit(str(fault))
        return None
    return _begin(board, remark)


def edit_remark(board: Board, item: str) -> RemarkEditor | None:
    """Begin to write a remark anew."""
    end_writing(board)
    document = board.document
    remark = document.snapshot().remarks.get(item)
    if remark is None:
        return None
    if document.read_only:
        board.refused.emit(_("The drawing is open to read only: {why}").format(why=document.read_only))
        return None
    document.select(item)
    return _begin(board, remark, item)


def _begin(board: Board, remark: Remark, item: str = "") -> RemarkEditor:
    box = board.finder().remark_boxes.get(item)
    spot = board.spot_at(remark.x, remark.y)
    board.show_box(box or Box(spot.x, spot.y, spot.x + 10.0, spot.y + 5.0))
    return RemarkEditor(board, remark, item)
