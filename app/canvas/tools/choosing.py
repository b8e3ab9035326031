"""The tool one has in hand normally: choose, move, lead runs by hand, put ends elsewhere, stretch a bus."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.canvas.remarks import chosen_remarks, edit_remark
from app.canvas.tool import Hit, Spot, Tool
from app.canvas.tools import acts
from app.canvas.tools.arranging import choose_enclosure
from app.canvas.tools.at_arrow import is_on_arrow
from app.canvas.tools.dropping import drop_or_shift
from app.canvas.tools.gestures import ADDING, Band, Gesture, Lead, Reconnect, Shift, Stretch
from app.canvas.tools.grid import end_near, far_apart, parts_of, piece_at, steps_at, stretch_at
from app.canvas.tools.labelling import MoveLabel, is_of, label_at
from app.canvas.tools.typing_keys import opens_values
from engine.words import N_

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Choosing"]

_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}
_LINES = ("run", "remark")  # what is chosen by its own id, not by a placement's
_FAR = 4  # steps with Shift held


class _Press(NamedTuple):
    """The button went down here."""

    spot: Spot
    hit: Hit
    modifiers: Qt.KeyboardModifier
    special: Callable[[], Gesture] | None = None  # what a drag is, where it is neither a move nor a rectangle
    added: bool = False  # a symbol was added to what is chosen as the button went down


class Choosing(Tool):
    """Click chooses, Ctrl or Shift adds and takes away; a drag moves, or draws a rectangle from an empty place."""

    NAME = "choose"
    TITLE = N_("Choose and move")
    HINT = N_(
        "Click to choose, Shift adds; drag to move; a rectangle chooses what lies wholly inside. "
        "Keys: Space chooses, Ctrl+arrows move, Shift+Enter takes hold."
    )

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self._press: _Press | None = None
        self._gesture: Gesture | None = None
        self._carried = False  # taken hold of from the keyboard: no button is down

    # -- the pointer --------------------------------------------------------------------------------------------
    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Remember where; a symbol that is not chosen yet is chosen at once, so that a drag takes it along."""
        if self._carried and self._gesture is not None:
            self._let_go(spot, hit, modifiers)
            return
        self.put_down()
        adding = bool(modifiers & ADDING)
        special = None if adding else self._special(spot, hit)
        new = bool(hit.placement) and hit.placement not in self.board.grasped and special is None
        if hit.kind == "remark" and hit.item not in self.board.document.selection:
            self.board.grasp((), (hit.item,), add=adding)
            new = True
        elif hit.kind == "enclosure":
            choose_enclosure(self.board, hit.item, adding)
        elif new:
            self.board.grasp((hit.placement,), (), add=adding)
        self._press = _Press(spot, hit, modifiers, special, new and adding)

    def move(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Far enough from where the button went down it is a drag."""
        if self._gesture is None:
            if self._press is None or not far_apart(self.board, self._press.spot, spot):
                return
            self._gesture = self._begin(self._press)
            if self._gesture is None:
                return
        if self._gesture.is_stale:
            self.put_down()
        else:
            self._gesture.move(spot, hit)

    def release(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """The end of a drag, or a click."""
        if self._carried:
            return
        press, self._press = self._press, None
        if self._gesture is not None:
            self._let_go(spot, hit, modifiers)
        elif press is not None:
            self._click(press)

    def _let_go(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        gesture, self._gesture = self._gesture, None
        self._press, self._carried = None, False
        assert gesture is not None
        if gesture.is_stale:
            gesture.cancel()
        else:
            gesture.finish(spot, hit, modifiers)

    def _click(self, press: _Press) -> None:
        """Choose what was clicked, and nothing else unless Ctrl or Shift is held."""
        hit, board = press.hit, self.board
        placements, runs = list(board.grasped), [*acts.chosen_runs(board), *chosen_remarks(board)]
        if hit.kind in ("note", "flag", "enclosure") or press.added:
            return
        if press.modifiers & ADDING:
            for item, chosen in ((hit.placement, placements), (hit.item if hit.kind in _LINES else "", runs)):
                if item in chosen:
                    chosen.remove(item)
                elif item:
                    chosen.insert(0, item)
        else:
            placements = [hit.placement] if hit.placement else []
            runs = [hit.item] if hit.kind in _LINES else []
        board.grasp(tuple(placements), tuple(runs))

    def double(self, spot: Spot, hit: Hit) -> None:
        """Show its particulars; write a remark anew."""
        self.put_down()
        if hit.kind == "remark":
            edit_remark(self.board, hit.item)
            return
        if is_on_arrow(self.board, spot, hit):
            self.board.followed.emit(hit.item)
        elif hit.item and hit.kind not in ("note", "flag"):
            self.board.asked.emit(hit.item)

    # -- what a drag is -----------------------------------------------------------------------------------------
    def _begin(self, press: _Press) -> Gesture | None:
        if press.special is not None:
            return press.special()
        hit = press.hit
        if hit.kind in ("note", "flag"):
            return None
        if hit.placement:
            if hit.placement not in self.board.grasped:
                self.board.grasp((hit.placement,), (), add=bool(press.modifiers & ADDING))
            return drop_or_shift(self.board, press.spot)
        if hit.kind == "remark":
            if hit.item not in self.board.document.selection:
                self.board.grasp((), (hit.item,), add=bool(press.modifiers & ADDING))
            return Shift(self.board, press.spot)
        if hit.kind == "enclosure" and self.board.grasped:
            return Shift(self.board, press.spot)
        if hit.kind == "run" and hit.item in acts.chosen_runs(self.board) and self.board.grasped:
            return Shift(self.board, press.spot)
        return Band(self.board, press.spot)

    def _special(self, spot: Spot, hit: Hit) -> Callable[[], Gesture] | None:
        """What makes the drag of a chosen run or a chosen bus, `None` where the press is on neither."""
        board = self.board
        runs, placements = acts.chosen_runs(board), board.grasped
        label = label_at(board, spot, hit)
        if label is not None and not is_of(label, placements):
            return partial(MoveLabel, board, spot, label)
        if len(runs) == 1 and not placements:
            for part in parts_of(board, runs[0]):
                end = end_near(board, part, spot)
                if end:
                    return partial(Reconnect, board, spot, part, end)
            if hit.kind == "run" and hit.item == runs[0]:
                at = steps_at(board, spot)
                parts = parts_of(board, runs[0])
                (_far, stretch), n = min((stretch_at(p.points, *at), n) for n, p in enumerate(parts))
                return partial(Lead, board, spot, parts[n], stretch)
        if len(placements) == 1 and not runs and hit.placement == placements[0]:
            piece = piece_at(board, placements[0])
            if piece is not None and piece.is_bar:
                at = steps_at(board, spot)
                for outer, (ex, ey) in enumerate(piece.ends()):
                    if abs(at[0] - ex) + abs(at[1] - ey) <= 1.0:
                        return partial(Stretch, board, spot, piece, bool(outer))
        return None

    # -- keys ---------------------------------------------------------------------------------------------------
    def key(self, event: QKeyEvent) -> bool:
        """Escape gives up a drag; Shift+Enter takes hold and Enter lets go; Ctrl+arrows move."""
        key, modifiers = Qt.Key(event.key()), event.modifiers()
        shift = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        if key == Qt.Key.Key_Escape:
            busy = self._gesture is not None or self._press is not None
            self.put_down()
            return busy
        if key == Qt.Key.Key_F2 and len(chosen_remarks(self.board)) == len(self.board.document.selection) == 1:
            edit_remark(self.board, self.board.document.selection[0])
            return True
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            return self._enter(shift)
        if key in _ARROWS and modifiers & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier):
            dx, dy = _ARROWS[key]
            by = _FAR if shift else 1
            if self._gesture is None and (self.board.grasped or chosen_remarks(self.board)):
                acts.move_selection(self.board, dx * by, dy * by)
                return True
        return self._gesture is None and opens_values(self.board, event)

    def _enter(self, take_hold: bool) -> bool:
        board = self.board
        if self._carried and self._gesture is not None:
            spot = acts.cursor_spot(board)
            self._let_go(spot, board.hit(spot), Qt.KeyboardModifier.NoModifier)
            return True
        if self._gesture is not None:
            return True
        if take_hold:
            spot = acts.cursor_spot(board)
            board.show_cursor(spot.column, spot.row)
            hit = board.hit(spot)
            none = Qt.KeyboardModifier.NoModifier
            self._gesture = self._begin(_Press(spot, hit, none, self._special(spot, hit)))
            self._carried = self._gesture is not None
            if self._gesture is not None:
                self._gesture.move(spot, hit)
            return True
        return False

    def leave(self) -> None:
        """The pointer may come back with the button still down: nothing is given up."""

    def put_down(self) -> None:
        """Give up the drag; what was lifted is back in its place."""
        gesture, self._gesture = self._gesture, None
        self._press, self._carried = None, False
        if gesture is not None:
            gesture.cancel()
