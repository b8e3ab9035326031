"""The board: the sheet on screen in a person's hands. Pointer and keys go to the tool in hand."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, Signal
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QFocusEvent, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from app.canvas.remarks import chosen_remarks, edit_remark
from app.canvas.surface import Surface
from app.canvas.telling import told, with_figure
from app.canvas.tool import Hit, Tool
from app.drawing.looks import STEP
from app.window.document import Document
from engine.picture import Box

__all__ = ["Board"]

_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}
_FAR = 10  # grid steps with Shift


class Board(Surface):
    """The sheet of a document, zoomed, panned and worked on. Tools hear its pointer and keys."""

    pointed = Signal(str)  # about what is under the pointer
    tool_changed = Signal(str)  # its NAME
    noted = Signal(int)  # a margin note or flag was clicked
    asked = Signal(str)  # show the particulars of this id
    followed = Signal(str)  # go to the other end of this run

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self.tool = Tool(self)
        self.cursor_column, self.cursor_row = 0, 0  # the keyboard's pointer, in grid steps
        self._cursor_shown = False
        self._been_here = False  # the mouse was over this sheet
        self._space = ""  # "down" while the space bar is held, "pans" once the sheet was pulled with it
        self._told = ""
        document.turned_to.connect(self._leave_sheet)
        self.take_up(_first_tool(self))

    # -- tools -----------------------------------------------------------------------------------------------
    def take_up(self, tool: Tool) -> None:
        """Work with another tool."""
        self.tool.put_down()
        self.settle()
        self.clear_preview()
        self.mark_terminals("none")
        self.tool = tool
        self.viewport().setCursor(tool.CURSOR)
        tool.take_up()
        self.tool_changed.emit(tool.NAME)

    def _say(self, hit: Hit) -> None:
        text = told(self.document.snapshot(), hit, self.document.judgement, self.live.live)
        text = with_figure(text, hit.item, self.document.layer)
        if text != self._told:
            self._told = text
            self.pointed.emit(text)

    # -- mouse -----------------------------------------------------------------------------------------------
    def mousePressEvent(self, event: QMouseEvent) -> None:
        """The middle button, or the left one with the space bar, takes hold of the sheet; else the tool is told."""
        left = event.button() == Qt.MouseButton.LeftButton
        if event.button() == Qt.MouseButton.MiddleButton or (left and self._space):
            self._space = "pans" if self._space else ""
            self.begin_pan(event)
        elif left:
            self._hide_cursor()
            spot = self.spot(event.position())
            hit = self.hit(spot)
            self.show_note(0)
            if hit.kind in ("note", "flag"):
                self.show_note(hit.number)
                self.noted.emit(hit.number)
            else:
                self.tool.press(spot, hit, event.modifiers())
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Pull the sheet along, or tell the tool."""
        if not self.pan_to(event):
            if event.buttons() & Qt.MouseButton.LeftButton:
                self._follow_out(event.position().toPoint())
            spot = self.spot(event.position())
            if not self._cursor_shown:  # what is done from the keyboard next is done where the pointer was
                self.cursor_column, self.cursor_row = spot.column, spot.row
                self._been_here = True
            hit = self.hit(spot)
            self._say(hit)
            self.tool.move(spot, hit, event.modifiers())
        event.accept()

    def _follow_out(self, at: QPoint) -> None:
        """A drag that leaves the window scrolls the sheet."""
        rect = self.viewport().rect()
        dx = min(at.x() - rect.left(), 0) or max(at.x() - rect.right(), 0)
        dy = min(at.y() - rect.top(), 0) or max(at.y() - rect.bottom(), 0)
        if dx or dy:
            self.scroll_by(max(-40, min(40, dx)), max(-40, min(40, dy)))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        if self.end_pan():
            self.viewport().setCursor(Qt.CursorShape.OpenHandCursor if self._space else self.tool.CURSOR)
        elif event.button() == Qt.MouseButton.LeftButton:
            spot = self.spot(event.position())
            self.tool.release(spot, self.hit(spot), event.modifiers())
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """A double click with the left button."""
        if event.button() == Qt.MouseButton.LeftButton and not self._space:
            spot = self.spot(event.position())
            self.tool.double(spot, self.hit(spot))
            event.accept()
        else:
            self.mousePressEvent(event)

    def leaveEvent(self, event: QEvent) -> None:
        """The pointer leaves."""
        super().leaveEvent(event)
        self.tool.leave()
        self._say(Hit())

    # -- keyboard --------------------------------------------------------------------------------------------
    def event(self, event: QEvent) -> bool:
        """Tab is the tool's where it wants it, before Qt gives the focus away."""
        if (
            event.type() == QEvent.Type.KeyPress
            and isinstance(event, QKeyEvent)
            and event.key() in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab)
            and self.tool.key(event)
        ):
            event.accept()
            return True
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_F2
            and len(self.document.selection) == 1
            and chosen_remarks(self)
        ):  # the page of that key is shown where nothing is to be written anew
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The tool first; then arrows move the keyboard's pointer, Enter and the space bar press there, Escape puts
        the tool down, + and - zoom.
        """
        if self.tool.key(event):
            event.accept()
            return
        key = Qt.Key(event.key())
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        plain = not event.modifiers() & (
            Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
        )
        if key in _ARROWS and plain:
            dx, dy = _ARROWS[key]
            self._move_cursor(dx * (_FAR if shift else 1), dy * (_FAR if shift else 1), event.modifiers())
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and plain:
            self._enter(event.modifiers())
        elif key == Qt.Key.Key_Space and plain:
            if not event.isAutoRepeat():
                self._space = "down"
                self.viewport().setCursor(Qt.CursorShape.OpenHandCursor)
        elif key == Qt.Key.Key_Escape:
            self._escape()
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal) and plain:
            self.zoom_by(1.25, self._zoom_middle())
        elif key in (Qt.Key.Key_Minus, Qt.Key.Key_Underscore) and plain:
            self.zoom_by(0.8, self._zoom_middle())
        else:
            event.ignore()
            return
        event.accept()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """The space bar let go: a press at the keyboard's pointer, unless the sheet was pulled with it."""
        if event.key() != Qt.Key.Key_Space or event.isAutoRepeat() or not self._space:
            super().keyReleaseEvent(event)
            return
        pulled, self._space = self._space == "pans", ""
        self.viewport().setCursor(self.tool.CURSOR)
        if not pulled:
            self.press_at_cursor(event.modifiers())
        event.accept()

    def _zoom_middle(self) -> QPointF | None:
        if not self._cursor_shown:
            return None
        spot = self.spot_at(self.cursor_column, self.cursor_row)
        return self.to_viewport(spot.x, spot.y)

    def show_cursor(self, column: int, row: int) -> None:
        """Put the keyboard's pointer on a point of the grid, in view."""
        width, height = self.shown.size()
        sight = self.finder().sight
        self.cursor_column = min(max(column, 0), int((width - sight.left) / STEP))
        self.cursor_row = min(max(row, 0), int((height - sight.top) / STEP))
        self._cursor_shown = True
        spot = self.spot_at(self.cursor_column, self.cursor_row)
        self.marks.show_pointer((spot.x, spot.y))
        self.show_box(Box(spot.x, spot.y, spot.x, spot.y).grown(4.0))

    def _leave_sheet(self) -> None:
        self._been_here = False
        self._hide_cursor()

    def _hide_cursor(self) -> None:
        self._cursor_shown = False
        self.marks.show_pointer(None)

    def _move_cursor(self, dx: int, dy: int, modifiers: Qt.KeyboardModifier) -> None:
        if self._cursor_shown:
            self.show_cursor(self.cursor_column + dx, self.cursor_row + dy)
        else:
            self.show_cursor(*self._cursor_start())
        spot = self.spot_at(self.cursor_column, self.cursor_row)
        hit = self.hit(spot)
        self._say(hit)
        self._announce(self._told)
        self.tool.move(spot, hit, modifiers)

    def _cursor_start(self) -> tuple[int, int]:
        """At what is selected, else where the mouse was, else in the middle of what is seen."""
        box = self.finder().box_of(self.document.selection[0]) if self.document.selection else None
        if box is None and self._been_here:
            return self.cursor_column, self.cursor_row
        if box is None:
            seen, (width, height) = self.seen_box(), self.shown.size()
            box = Box(max(seen.left, 0), max(seen.top, 0), min(seen.right, width), min(seen.bottom, height))
        spot = self.spot_mm((box.left + box.right) / 2, (box.top + box.bottom) / 2)
        return spot.column, spot.row

    def press_at_cursor(self, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """What a click at the keyboard's pointer does; the pointer is shown first where it is not."""
        if not self._cursor_shown:
            self.show_cursor(*self._cursor_start())
            return
        spot = self.spot_at(self.cursor_column, self.cursor_row)
        hit = self.hit(spot)
        if hit.kind in ("note", "flag"):
            self.noted.emit(hit.number)
            return
        self.tool.press(spot, hit, modifiers)
        self.tool.release(spot, self.hit(spot), modifiers)

    def _enter(self, modifiers: Qt.KeyboardModifier) -> None:
        """Press at the keyboard's pointer; on what is selected, or where that is not shown: its particulars."""
        chosen = self.document.selection
        if self.tool.NAME in ("", "choose") and chosen:
            item = chosen[0]
            if self._cursor_shown:
                item = self.hit(self.spot_at(self.cursor_column, self.cursor_row)).item
            if item in chosen and item in chosen_remarks(self):
                edit_remark(self, item)
                return
            if item in chosen:
                self.asked.emit(item)
                return
        self.press_at_cursor(modifiers)

    def _escape(self) -> None:
        """Leave a state that is shown; put the tool down; with nothing in hand, let go of what is selected."""
        if self.document.state is not None:
            self.document.end_state()
            return
        if self.tool.NAME not in ("", "choose"):
            self.take_up(_first_tool(self))
            return
        self.show_note(0)
        self._hide_cursor()
        self.grasp(())

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab goes through the things on the sheet as one reads; past the last it leaves the board."""
        order = self.finder().reading_order()
        chosen = self.document.selection
        at = order.index(chosen[0]) if chosen and chosen[0] in order else None
        if not order:
            return super().focusNextPrevChild(forward)
        wanted = (0 if forward else len(order) - 1) if at is None else at + (1 if forward else -1)
        if not 0 <= wanted < len(order):
            return super().focusNextPrevChild(forward)
        item = order[wanted]
        self.document.select(item)
        box = self.finder().box_of(item)
        if box is not None:
            self.show_box(box)
        text = told(self.document.snapshot(), Hit("equipment", item), None, self.live.live)
        text = with_figure(text, item, self.document.layer)
        self.pointed.emit(text)
        self._announce(text)
        return True

    def _announce(self, text: str) -> None:
        """Have a screen reader say it."""
        if text and QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, text))

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """A space bar let go elsewhere is not held any more."""
        super().focusOutEvent(event)
        self._space = ""
        self.viewport().setCursor(self.tool.CURSOR)


def _first_tool(board: Board) -> Tool:
    """What is in hand when nothing else is."""
    from app.canvas.tools import tools

    return tools()["choose"](board)
