"""Moving labels: dragged by the pointer, or from the keyboard in steps of half a millimetre."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.canvas.tool import Hit, Spot, Tool
from app.canvas.tools.acts import chosen_runs
from app.canvas.tools.gestures import Gesture
from app.drawing.changes.labelling import Written, labels_back, put_label, put_labels_of, written
from app.drawing.hand.labels import HALF, aside_at, met, put_spot
from app.drawing.placed import Piece, RunPart
from engine.picture import Box
from engine.words import N_, _

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = [
    "LabelTool",
    "MoveLabel",
    "back",
    "chosen_label",
    "has_label",
    "is_of",
    "label_at",
    "may_go_back",
    "take_label",
]

XY = tuple[float, float]
_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}
_FAR = 10  # half millimetres with Shift held
_ALIKE = 0.2  # mm: a label as large as that is in the form it is put down in


def label_at(board: Board, spot: Spot, hit: Hit) -> Written | None:
    """The label that is under the pointer, `None` where there is none."""
    if not hit.label:
        return None
    scene, sheet = board.scene_now(), board.document.sheet
    if hit.placement:
        return written(scene, sheet, hit.placement)
    parts = [part for part in scene.parts_on(sheet) if part.run == hit.item]
    if not parts:
        return None
    finder = board.finder()
    near = min(parts, key=lambda part: min(_off(line, spot) for line in finder.lines_of_part(part)))
    return written(scene, sheet, hit.item, near.kind)


def _off(box: Box, spot: Spot) -> float:
    return max(box.left - spot.x, spot.x - box.right, 0.0) + max(box.top - spot.y, spot.y - box.bottom, 0.0)


class _Held:
    """A label in hand: what is shown of it, and the edit that puts it down."""

    def __init__(self, board: Board, label: Written, at: XY | None) -> None:
        """`at`: where the pointer took hold of it, `None` from the keyboard."""
        self.board, self.label = board, label
        self.snapshot, self.sheet = board.document.snapshot(), board.document.sheet
        what, words = label.what, label.words
        aside = what.label if isinstance(what, RunPart) else what.placement.label
        box = board.finder().label_box(what, words.lines[0].text, at)
        if aside is not None:
            box = put_spot(label.sight, what, aside, words).box
        width, height = words.width, words.height
        if box is None:
            x, y = board.finder().middle_of(what) if at is None else at
            self.corner = (x - width / 2, y - height / 2)
        elif at is None or (abs(box.right - box.left - width) < _ALIKE and abs(box.bottom - box.top - height) < _ALIKE):
            self.corner = (box.left, box.top)
        else:  # it is in another form there: the one it will have, under the pointer
            self.corner = (at[0] - width / 2, at[1] - height / 2)

    def show(self, corner: XY) -> None:
        """As it would stand."""
        label = self.label
        spot = put_spot(label.sight, label.what, aside_at(label.sight, label.what, corner), label.words)
        self.board.show_ghost(spot.words.texts(spot.box, spot.align))
        self.board.show_band(spot.box)
        self.board.pointed.emit(" ".join(met(self.board.scene_now(), label.sight, [(label.item, spot.box)])))

    def put(self, corner: XY) -> bool:
        """One edit."""
        what = self.label.what
        item, part = (what.run, what.kind) if isinstance(what, RunPart) else (what.id, "")
        last_id = self.board.document.installation.last_id
        make = partial(put_label, self.snapshot, self.sheet, item, corner, part, last_id=last_id)
        return self.board.try_edit(make)


class MoveLabel(Gesture):
    """A label is dragged to where it is to stand."""

    def __init__(self, board: Board, start: Spot, label: Written) -> None:
        super().__init__(board, start)
        self.held = _Held(board, label, (start.x, start.y))

    def _corner(self, spot: Spot) -> XY:
        x, y = self.held.corner
        return x + spot.x - self.start.x, y + spot.y - self.start.y

    def move(self, spot: Spot, hit: Hit) -> None:
        """It goes along."""
        self.held.show(self._corner(spot))

    def finish(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """One edit."""
        self.board.clear_preview()
        if (spot.x, spot.y) != (self.start.x, self.start.y):
            self.held.put(self._corner(spot))


class LabelTool(Tool):
    """A label in hand: arrow keys or the pointer bring it to its place, Enter or a click leaves it there."""

    NAME = "label"
    TITLE = N_("Move a label")
    HINT = N_("Arrow keys move the label by half a millimetre, with Shift by five; Enter or a click leaves it there.")
    CURSOR = Qt.CursorShape.SizeAllCursor

    def __init__(self, board: Board, label: Written | None = None) -> None:
        super().__init__(board)
        self._held = _Held(board, label, None) if label is not None else None
        self._pressed = False

    def take_up(self) -> None:
        """Show it where it is."""
        if self._held is not None:
            self._held.show(self._held.corner)

    def key(self, event: QKeyEvent) -> bool:
        """Arrows move it, Enter leaves it there."""
        key, modifiers = Qt.Key(event.key()), event.modifiers()
        held = self._held
        if held is None or modifiers & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier):
            return False
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._leave_it()
            return True
        if key not in _ARROWS:
            return False
        by = HALF * (_FAR if modifiers & Qt.KeyboardModifier.ShiftModifier else 1)
        dx, dy = _ARROWS[key]
        held.corner = (held.corner[0] + dx * by, held.corner[1] + dy * by)
        held.show(held.corner)
        return True

    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """It is left there when the button comes up."""
        self._pressed = True
        self.move(spot, hit, modifiers)

    def move(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Its middle goes with the pointer."""
        if self._held is not None:
            words = self._held.label.words
            self._held.corner = (spot.x - words.width / 2, spot.y - words.height / 2)
            self._held.show(self._held.corner)

    def release(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Leave it there."""
        if self._pressed:
            self._pressed = False
            self._leave_it()

    def _leave_it(self) -> None:
        from app.canvas.tools.choosing import Choosing

        held, board = self._held, self.board
        board.clear_preview()
        if held is None or board.document.snapshot() is not held.snapshot or held.put(held.corner):
            board.take_up(Choosing(board))
        else:
            held.show(held.corner)

    def put_down(self) -> None:
        """It is back where it was."""
        self._pressed = False
        self.board.clear_preview()


# -- what is chosen --------------------------------------------------------------------------------------------------
def chosen_label(board: Board) -> Written | None:
    """The label of what is chosen, where that is one thing of this sheet."""
    items = (*board.grasped, *chosen_runs(board))
    return written(board.scene_now(), board.document.sheet, items[0]) if len(items) == 1 else None


def has_label(board: Board) -> bool:
    """Whether one thing of this sheet is chosen and written beside."""
    return bool(board.document.sheet) and chosen_label(board) is not None


def take_label(board: Board) -> None:
    """Take the label of what is chosen in hand."""
    label = chosen_label(board)
    if label is None:
        board.refused.emit(_("Choose one symbol or run, to move its label."))
    else:
        board.take_up(LabelTool(board, label))


def may_go_back(board: Board) -> bool:
    """Whether a label of what is chosen on this sheet was put by hand."""
    items = (*board.grasped, *chosen_runs(board))
    return any(put_labels_of(board.document.snapshot(), board.document.sheet, items).values()) if items else False


def back(board: Board) -> None:
    """Let the labels of what is chosen find their own places again."""
    items = (*board.grasped, *chosen_runs(board))
    board.try_edit(partial(labels_back, board.document.snapshot(), board.document.sheet, items))


def is_of(label: Written, placements: tuple[str, ...]) -> bool:
    """Whether a label belongs to one of several symbols that are chosen, and so moves with them."""
    return isinstance(label.what, Piece) and len(placements) > 1 and label.what.id in placements
