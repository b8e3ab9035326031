"""Moving switches in the operating condition that is shown; what an interlock forbids does not move and says why."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QMenu

from app.canvas.tool import Hit, Spot, Tool
from app.canvas.tools.acts import cursor_spot, grasp_items
from app.canvas.tools.grid import viewport_point
from app.canvas.view import SheetView
from engine.edits import SetFields
from engine.edits.operating import operate, positions_in
from engine.installation import Snapshot
from engine.words import N_, _

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Operating"]


class Operating(Tool):
    """A click moves a switch on; a right click, Alt+click or a digit names the position."""

    NAME = "operate"
    TITLE = N_("Operate switches")
    HINT = N_(
        "Click a switch to move it in the chosen condition; a right click or a digit names its position. "
        "Tab goes from switch to switch, Space moves it."
    )
    CURSOR = Qt.CursorShape.PointingHandCursor

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self._at = ""  # the switch last pointed at
        self.menu: QMenu | None = None

    def take_up(self) -> None:
        """Show what is live."""
        self.board.operating = True

    # -- switches -----------------------------------------------------------------------------------------------
    def positions_at(self, item: str) -> tuple[str, ...]:
        """The positions a piece of equipment can stand in, `()` for what is no switch."""
        record = self.board.document.snapshot().equipment.get(item)
        return record.positions() if record is not None else ()

    def operate(self, item: str, position: str | None = None) -> bool:
        """Move a switch on, or to a position; whether it moved."""
        board, document = self.board, self.board.document
        if document.state is not None:
            return self._operate_in_state(item, position)
        snapshot = document.snapshot()
        moved = operate(snapshot, item, document.condition, position)
        if moved.edit is None:
            if moved.why:
                board.refused.emit(moved.why)
                board.flash((item, *_holding(snapshot, item, document.condition)))
            return False
        board.try_edit(moved.edit)
        return document.snapshot() is not snapshot

    def _operate_in_state(self, item: str, position: str | None) -> bool:
        """The same in a state that no condition stores: it moves there, the drawing stays as it is."""
        board = self.board
        snapshot = board.shown.snapshot()
        moved = operate(snapshot, item, "", position)
        if moved.edit is None:
            if moved.why:
                board.refused.emit(moved.why)
                board.flash((item, *_holding(snapshot, item, "")))
            return False
        assert isinstance(moved.edit, SetFields)  # as drawn it is one field
        ((_field, wanted),) = moved.edit.values
        board.document.move_in_state(item, str(wanted))
        return True

    def switches(self) -> list[str]:
        """Switches of the sheet that is shown, row by row."""
        pieces = sorted(
            (p for p in self.board.scene_now().on(self.board.document.sheet) if p.record.positions()),
            key=lambda p: (p.placement.y, p.placement.x, p.id),
        )
        return list(dict.fromkeys(p.equipment for p in pieces))

    # -- the pointer --------------------------------------------------------------------------------------------
    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Move the switch; with Alt ask which position."""
        if not hit.placement:
            return
        positions = self.positions_at(hit.item)
        if positions:
            self._at = hit.item
            grasp_items(self.board, (hit.item,))
        if positions and modifiers & Qt.KeyboardModifier.AltModifier:
            self._ask(hit.item, spot)
        else:
            self.operate(hit.item)

    def context(self, spot: Spot, hit: Hit) -> bool:
        """A right click asks for the position of a switch."""
        if not hit.placement or not self.positions_at(hit.item):
            return False
        self._at = hit.item
        grasp_items(self.board, (hit.item,))
        self._ask(hit.item, spot)
        return True

    def move(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Remember the switch under the pointer, for digits."""
        if hit.placement and self.positions_at(hit.item):
            self._at = hit.item

    def _ask(self, item: str, spot: Spot) -> None:
        """A menu of the positions."""
        standing = self.board.document.standing().get(item, "")
        self.menu = QMenu(self.board)
        self.menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.menu.destroyed.connect(self._menu_gone)
        self.menu.setAccessibleName(_("Positions"))
        for n, position in enumerate(self.positions_at(item), 1):
            action = QAction(f"&{n}  {position}" if n < 10 else position, self.menu)
            action.setCheckable(True)
            action.setChecked(position == standing)
            action.triggered.connect(partial(self._chosen, item, position))
            self.menu.addAction(action)
        self.menu.popup(self.board.viewport().mapToGlobal(viewport_point(self.board, spot)))

    def _chosen(self, item: str, position: str, _checked: bool = False) -> None:
        self.operate(item, position)

    def _menu_gone(self) -> None:
        self.menu = None

    # -- keys ---------------------------------------------------------------------------------------------------
    def key(self, event: QKeyEvent) -> bool:
        """Tab goes to the next switch, a digit names a position of the one last pointed at."""
        key, modifiers = event.key(), event.modifiers()
        if key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            return self._next(-1 if key == Qt.Key.Key_Backtab else 1)
        plain = not modifiers & ~Qt.KeyboardModifier.KeypadModifier
        if plain and Qt.Key.Key_1 <= key <= Qt.Key.Key_9:
            item = self._pointed()
            positions = self.positions_at(item)
            which = key - Qt.Key.Key_1
            if which < len(positions):
                self.operate(item, positions[which])
            elif positions:
                self.board.refused.emit(
                    _("{name} has {count} positions: {positions}.").format(
                        name=self.board.document.snapshot().name(item),
                        count=len(positions),
                        positions=", ".join(positions),
                    )
                )
            return bool(positions)
        return False

    def _pointed(self) -> str:
        spot = cursor_spot(self.board)
        hit = self.board.hit(spot)
        if self._at and self.positions_at(self._at):
            return self._at
        return hit.item if hit.placement else ""

    def _next(self, step: int) -> bool:
        every = self.switches()
        if not every:
            self.board.refused.emit(_("There is no switch on this sheet."))
            return True
        at = every.index(self._at) if self._at in every else (-1 if step > 0 else 0)
        if not 0 <= at + step < len(every) and self._at in every:
            SheetView.focusNextPrevChild(self.board, step > 0)  # past the last one Tab leaves the board
            return True
        self._at = every[(at + step) % len(every)]
        grasp_items(self.board, (self._at,))
        scene, sheet = self.board.scene_now(), self.board.document.sheet
        placement = next(p.placement for p in scene.of[self._at] if p.placement.sheet == sheet)
        self.board.show_cursor(placement.x, placement.y)
        return True

    def double(self, spot: Spot, hit: Hit) -> None:
        """Clicks in quick succession move it on and on."""
        self.press(spot, hit, Qt.KeyboardModifier.NoModifier)

    def put_down(self) -> None:
        """Live and dead are told no more."""
        self.board.operating = False


def _holding(snapshot: Snapshot, item: str, condition: str) -> list[str]:
    """What stands in a position that an interlock of a switch counts."""
    standing = positions_in(snapshot, condition)
    locks = [lock for lock in snapshot.interlocks.values() if any(held.equipment == item for held in lock.held)]
    return [h.equipment for lock in locks for h in lock.held if standing.get(h.equipment, "") in h.positions]
