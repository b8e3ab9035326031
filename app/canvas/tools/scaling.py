"""Placing the picture under the sheet: pulled along, turned, and scaled by two of its points."""

from __future__ import annotations

import math
import re
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit

from app.canvas.tool import Hit, Spot, Tool
from app.canvas.tools.grid import far_apart
from app.drawing.added.underlay import LEAST_APART_MM, pinned, scaled, shifted, turned
from app.drawing.changes.underlaying import set_under
from app.drawing.looks import STEP
from engine.units import UnitError, read
from engine.words import N_, _

if TYPE_CHECKING:
    from app.canvas.board import Board
    from app.window.underlay.laying import Underlays
    from engine.installation import Underlay

__all__ = ["Scaling", "apart_mm"]

XY = tuple[float, float]
_NEAR_PX = 9.0  # a point is taken hold of from so near
_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}
_FAR = 4  # steps with Shift held
_SCALE = re.compile(r"(.*?)\s+1\s*[:/]\s*(\d+(?:[.,]\d+)?)\s*", re.DOTALL)


def apart_mm(text: str) -> float:
    """How far apart two points lie on the sheet, in mm: "80 mm", or in truth and to which scale: "3.2 m 1:50".

    Raises `UnitError` for anything else.
    """
    found = _SCALE.fullmatch(text.strip())
    length, of = (found[1], float(found[2].replace(",", "."))) if found else (text, 1.0)
    if of <= 0:
        raise UnitError(_("a scale is 1 to something more than nothing"))
    apart = read(length, "m", "mm") * 1000.0 / of
    if not LEAST_APART_MM <= apart <= 100_000.0:
        raise UnitError(_("two points lie from 1 mm to 100 m apart on a sheet"))
    return apart


class Scaling(Tool):
    """A drag moves the picture. Two clicks mark two of its points; their distance is typed, or they are dragged."""

    NAME = "underlay"
    TITLE = N_("Place the picture under the sheet")
    HINT = N_(
        "Drag to move; click two points, then type how far apart they are or drag them to their place. "
        "T turns, Ctrl+arrows move."
    )
    CURSOR = Qt.CursorShape.CrossCursor

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self.points: list[XY] = []  # that were marked, in mm on the sheet
        self._put: set[int] = set()  # of these, those that were dragged to where they belong
        self._press: Spot | None = None
        self._held: int | None = None  # the point that is being dragged
        self._dragged = False
        self.line: _Apart | None = None

    @property
    def _underlays(self) -> Underlays | None:
        return getattr(self.board.window(), "underlays", None)

    @property
    def record(self) -> Underlay | None:
        """The picture under the sheet."""
        sheet = self.board.document.installation.get("sheets", self.board.document.sheet)
        return None if sheet is None else sheet.underlay

    def take_up(self) -> None:
        """Without a picture there is nothing to place."""
        if self.record is None:
            self.board.refused.emit(_("No picture lies under this sheet; lay one there first."))

    # -- the pointer ------------------------------------------------------------------------------------------------
    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """On a point that was marked: it is taken hold of; elsewhere: the picture, or a point to be marked."""
        if self.record is None:
            self.take_up()
            return
        self._press, self._dragged = spot, False
        near = _NEAR_PX / self.board.pixels_per_mm
        far = [math.dist(p, (spot.x, spot.y)) for p in self.points]
        self._held = min(range(len(far)), key=far.__getitem__) if far and min(far) <= near else None

    def move(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Show the picture where it would lie."""
        record, press = self.record, self._press
        if press is None or record is None:
            return
        if not self._dragged and not far_apart(self.board, press, spot):
            return
        self._dragged = True
        self._end_line()
        made = self._moved(record, press, spot)
        if self._underlays is not None:
            self._underlays.under.place(made[0])
        self._mark(made[1])

    def _moved(self, record: Underlay, press: Spot, spot: Spot) -> tuple[Underlay, list[XY]]:
        """The picture and the points marked, were the button let go at `spot`."""
        if self._held is None:
            dx, dy = spot.x - press.x, spot.y - press.y
            return shifted(record, dx, dy), [(x + dx, y + dy) for x, y in self.points]
        target = self.board.spot_at(spot.column, spot.row)
        to = (target.x, target.y)
        now = self.points[self._held]
        other = 1 - self._held
        if other not in self._put or len(self.points) < 2:
            dx, dy = to[0] - now[0], to[1] - now[1]
            return shifted(record, dx, dy), [(x + dx, y + dy) for x, y in self.points]
        fixed = self.points[other]
        points = [to if n == self._held else fixed for n in range(2)]
        if math.dist(fixed, to) < LEAST_APART_MM or math.dist(fixed, now) < 1e-6:
            return record, list(self.points)
        return pinned(record, (fixed, now), (fixed, to)), points

    def release(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """The end of a drag is one edit; a click marks a point."""
        press, self._press = self._press, None
        record = self.record
        if press is None or record is None:
            return
        if self._dragged:
            self._dragged = False
            made, points = self._moved(record, press, spot)
            if self._held is not None and len(self.points) == 2:
                self._put.add(self._held)
            self.points = points
            turning = abs(made.mm_per_unit - record.mm_per_unit) > 1e-12
            self._change(_("Scale the picture by two points") if turning else _("Move the picture"), made)
            self._mark()
            if self._held is not None and len(self.points) == 2:
                self._ask()
        elif self._held is None:
            self._point((spot.x, spot.y))
        self._held = None

    def _point(self, at: XY) -> None:
        if len(self.points) == 2:
            self.points, self._put = [], set()
        if self.points and math.dist(self.points[0], at) < LEAST_APART_MM:
            self.board.refused.emit(_("The two points lie too near each other to scale by."))
            return
        self.points.append(at)
        self._mark()
        if len(self.points) == 2:
            self._ask()
        else:
            self._end_line()
            self.board.pointed.emit(_("One point is marked; click the other."))

    def double(self, spot: Spot, hit: Hit) -> None:
        """A second click so soon is a click."""
        self.press(spot, hit, Qt.KeyboardModifier.NoModifier)

    # -- marks -------------------------------------------------------------------------------------------------------
    def _mark(self, points: list[XY] | None = None) -> None:
        """Rings round the points that are marked, a line between them."""
        board, shown = self.board, self.points if points is None else points
        board.clear_preview()
        board.marks.ring_terminals(shown, ())
        if len(shown) == 2:
            board.show_rubber(shown, True)

    # -- how far apart -----------------------------------------------------------------------------------------------
    def _ask(self) -> None:
        self._end_line()
        self.line = _Apart(self)

    def _end_line(self) -> None:
        line, self.line = self.line, None
        if line is not None:
            line.put_away()

    def take_apart(self, text: str) -> bool:
        """Scale by what was typed; whether that could be read."""
        record = self.record
        if record is None or len(self.points) != 2:
            return True
        try:
            apart = apart_mm(text)
        except UnitError as fault:
            self.board.refused.emit(str(fault))
            return False
        a, b = self.points
        far = math.dist(a, b)
        made = scaled(record, a, b, apart)
        self.points[1] = (a[0] + (b[0] - a[0]) * apart / far, a[1] + (b[1] - a[1]) * apart / far)
        self._change(_("Scale the picture by two points"), made)
        self._mark()
        return True

    def _change(self, words: str, made: Underlay) -> None:
        if made != self.record:
            document = self.board.document
            at = {name: getattr(made, name) for name in ("left_mm", "top_mm", "mm_per_unit", "turned_deg")}
            self.board.try_edit(partial(set_under, document.snapshot(), document.sheet, words, **at))
        if self._underlays is not None:  # what was shown while it was dragged
            self._underlays.look_again()

    # -- keys --------------------------------------------------------------------------------------------------------
    def turn(self, quarters: int = 1) -> None:
        """A quarter clockwise about its middle."""
        record, underlays = self.record, self._underlays
        picture = None if underlays is None else underlays.picture
        if record is None or picture is None:
            self.board.refused.emit(_("No picture is shown under this sheet."))
            return
        self._forget()
        made = turned(record, picture.pixels.width, picture.pixels.height, quarters)
        self._change(_("Turn the picture by a quarter"), made)

    def mirror(self) -> None:
        """A picture is traced as it was taken."""
        self.board.refused.emit(_("A picture is not mirrored: what is traced would not be what is aboard."))

    def key(self, event: QKeyEvent) -> bool:
        """Ctrl+arrows move; Escape lets go of what is held, then of the points."""
        key, modifiers = Qt.Key(event.key()), event.modifiers()
        if key == Qt.Key.Key_Escape:
            busy = self._press is not None or bool(self.points)
            self._give_up()
            return busy
        if key in _ARROWS and modifiers & Qt.KeyboardModifier.ControlModifier:
            dx, dy = _ARROWS[key]
            by = STEP * (_FAR if modifiers & Qt.KeyboardModifier.ShiftModifier else 1)
            record = self.record
            if record is not None:
                self.points = [(x + dx * by, y + dy * by) for x, y in self.points]
                self._change(_("Move the picture"), shifted(record, dx * by, dy * by))
                self._mark()
            return True
        return False

    def _forget(self) -> None:
        self.points, self._put, self._held = [], set(), None
        self._end_line()
        self.board.clear_preview()
        self.board.mark_terminals("none")

    def _give_up(self) -> None:
        dragged, self._press, self._dragged = self._dragged, None, False
        self._forget()
        if dragged and self._underlays is not None:
            self._underlays.look_again()

    def put_down(self) -> None:
        """Everything as the drawing has it."""
        self._give_up()


class _Apart(QLineEdit):
    """How far apart the two points are. Enter takes it, Escape leaves it."""

    def __init__(self, tool: Scaling) -> None:
        board = tool.board
        super().__init__(board.viewport())
        self.tool = tool
        self.setObjectName("apart")
        self.setAccessibleName(_("How far apart the two points are"))
        told = _("On the sheet, such as 80 mm, or in truth and to which scale, such as 3.2 m 1:50")
        self.setAccessibleDescription(told)
        self.setToolTip(told)
        self.setPlaceholderText(_("80 mm, or 3.2 m 1:50"))
        wide = self.fontMetrics().horizontalAdvance(self.placeholderText()) + 30
        (ax, ay), (bx, by) = tool.points
        at = board.to_viewport((ax + bx) / 2, (ay + by) / 2)
        room = board.viewport().rect()
        high = self.sizeHint().height()
        left = max(0, min(round(at.x()) + 12, room.width() - wide))
        top = max(0, min(round(at.y()) + 12, room.height() - high))
        self.setGeometry(left, top, wide, high)
        self.show()
        self.setFocus()
        board.pointed.emit(_("Type how far apart the two points are, or drag them to where they belong."))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.tool.take_apart(self.text()):
                QTimer.singleShot(0, self.tool.board, partial(_back, self.tool))
        elif event.key() == Qt.Key.Key_Escape:
            QTimer.singleShot(0, self.tool.board, partial(_back, self.tool))
        else:
            super().keyPressEvent(event)

    def put_away(self) -> None:
        """It has done its work."""
        if self.hasFocus():
            self.tool.board.setFocus()
        self.hide()
        self.setObjectName("")
        self.deleteLater()


def _back(tool: Scaling) -> None:
    tool._end_line()
    tool.board.setFocus()
