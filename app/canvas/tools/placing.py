"""Putting equipment on the sheet: a ghost on the grid, into a run that it is over; a bus is drawn as long as wanted."""

from __future__ import annotations

from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.canvas.tool import Hit, Spot, Tool
from app.canvas.tools import acts
from app.canvas.tools.gestures import LEAST_BUS
from app.canvas.tools.grid import Point, far_apart, ghost_of, mm, nearest_on, parts_of
from app.drawing import changes
from app.drawing.changes import Made
from app.drawing.looks import Look, look
from engine.edits import SetFields, Several, touched
from engine.equipment import kind_named
from engine.words import N_, _

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Placing"]


class _Stand(NamedTuple):
    """How it would stand."""

    column: int
    row: int
    rotation: int
    mirrored: bool
    length: int | None = None
    on_run: str = ""
    upright: bool = True  # the stretch of that run


class Placing(Tool):
    """Click places; over a run it is inserted. Shift keeps the same kind in hand."""

    NAME = "place"
    TITLE = N_("Place equipment")
    HINT = N_(
        "Click to place, over a run to insert it there; R turns, M mirrors, Shift+click places another one too. "
        "A bus is drawn from end to end. Escape ends."
    )
    CURSOR = Qt.CursorShape.CrossCursor

    def __init__(self, board: Board, kind: str = "") -> None:
        super().__init__(board)
        self.kind = kind
        self.keep = False  # places another one after each, without Shift
        self.rotation = 0
        self.mirrored = False
        self._turned = False  # by hand: a run no longer says how it stands
        self._last: tuple[Spot, Hit] | None = None
        self._held: Spot | None = None  # the button is down here

    # -- how it would stand -------------------------------------------------------------------------------------
    def _look(self, rotation: int = 0, mirrored: bool = False, length: int | None = None) -> Look | None:
        cls = kind_named(self.kind)
        if cls is None:
            return None
        return look(cls(), self.board.document.installation.settings.symbols, rotation, mirrored, length)

    def _stand(self, spot: Spot, hit: Hit) -> _Stand:
        seen = self._look()
        if seen is not None and seen.stretches:
            return self._bus(spot)
        if hit.kind == "run" and seen is not None and len(seen.ports) > 1:
            found = self._over(spot, hit.item)
            if found is not None:
                return found
        return _Stand(spot.column, spot.row, self.rotation, self.mirrored)

    def _bus(self, spot: Spot) -> _Stand:
        """From where the button went down to the pointer, the longer way of the two; at least two steps."""
        held = self._held
        if held is None or not far_apart(self.board, held, spot):
            return _Stand(spot.column, spot.row, 90 if self.rotation % 180 else 0, False)
        dx, dy = spot.column - held.column, spot.row - held.row
        if abs(dx) >= abs(dy):
            return _Stand(min(held.column, spot.column), held.row, 0, False, max(abs(dx), LEAST_BUS))
        return _Stand(held.column, min(held.row, spot.row), 90, False, max(abs(dy), LEAST_BUS))

    def _over(self, spot: Spot, run: str) -> _Stand | None:
        """On a stretch of a run, turned so that its terminals lie along it."""
        lines = [(a, b) for part in parts_of(self.board, run) for a, b in pairwise(part.points)]
        if not lines:
            return None
        (column, row), (a, b) = min(
            ((nearest_on((a, b), spot.column, spot.row), (a, b)) for a, b in lines),
            key=lambda f: abs(f[0][0] - spot.column) + abs(f[0][1] - spot.row),
        )
        upright = a[0] == b[0]
        rotation = self.rotation
        if not self._turned and self._lies_along(rotation, upright) is None:
            rotation = next((r for r in (0, 90, 180, 270) if self._lies_along(r, upright) is not None), rotation)
        return _Stand(column, row, rotation, self.mirrored, None, run, upright)

    def _lies_along(self, rotation: int, upright: bool) -> tuple[str, ...] | None:
        """The terminals that lie on an upright or level line through the symbol, `None` for fewer than two."""
        seen = self._look(rotation, self.mirrored)
        assert seen is not None
        on = tuple(name for name, port in seen.ports.items() if (port.x if upright else port.y) == 0)
        places: set[Point] = {(seen.ports[name].x, seen.ports[name].y) for name in on}
        return on if len(places) > 1 else None

    def _show(self, spot: Spot, hit: Hit) -> None:
        self._last = (spot, hit)
        self.board.clear_preview()
        stand = self._stand(spot, hit)
        seen = self._look(stand.rotation, stand.mirrored, stand.length)
        if seen is None:
            return
        self.board.show_ghost(ghost_of(self.board, seen, stand.column, stand.row))
        if stand.on_run:
            self.board.show_insert(*mm(self.board, stand.column, stand.row), stand.upright)
            self.board.pointed.emit(
                _("Inserts it into {run}, whose two parts then have no length").format(
                    run=self.board.document.snapshot().name(stand.on_run)
                )
            )

    # -- the pointer --------------------------------------------------------------------------------------------
    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """A bus begins here; all else is placed when the button comes up."""
        self._held = spot
        self._show(spot, hit)

    def move(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """The ghost goes along."""
        self._show(spot, hit)

    def release(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Place it."""
        if self._held is None:
            return
        stand = self._stand(spot, hit)
        self._held = None
        self.board.clear_preview()
        if not self.kind:
            self.board.refused.emit(_("No kind of equipment is chosen; choose one from the list."))
            return
        items = acts.make(self.board, partial(self._made, stand))
        if not items:
            self._show(spot, hit)
            return
        acts.grasp_items(self.board, items[:1])
        if self.keep or modifiers & Qt.KeyboardModifier.ShiftModifier:
            self._show(spot, Hit())
        else:
            self._end()

    def _made(self, stand: _Stand) -> Made:
        document = self.board.document
        made = changes.place(
            document.snapshot(),
            document.installation.last_id,
            self.kind,
            document.sheet,
            stand.column,
            stand.row,
            rotation=stand.rotation,
            mirrored=stand.mirrored,
            on_run=stand.on_run,
        )
        if stand.length is None:
            return made
        longer = tuple(
            SetFields("placements", item, (("length", stand.length),))
            for table, item in touched(made.edit)
            if table == "placements"
        )
        return made._replace(edit=Several((*made.edit.edits, *longer), made.edit.words))

    def double(self, spot: Spot, hit: Hit) -> None:
        """The second click of a double one places nothing."""

    def leave(self) -> None:
        """No ghost where the pointer is not."""
        self.board.clear_preview()

    # -- keys ---------------------------------------------------------------------------------------------------
    def turn(self, quarters: int = 1) -> None:
        """Turn what is in hand."""
        self.rotation = (self.rotation + 90 * quarters) % 360
        self._turned = True
        self._again()

    def mirror(self) -> None:
        """Mirror what is in hand."""
        self.mirrored = not self.mirrored
        self._again()

    def _again(self) -> None:
        if self._last is not None:
            self._show(*self._last)

    def key(self, event: QKeyEvent) -> bool:
        """R turns, M mirrors, Escape ends."""
        if event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier:
            return False
        if event.key() == Qt.Key.Key_R:
            self.turn(-1 if event.modifiers() else 1)
            return True
        if event.key() == Qt.Key.Key_M:
            self.mirror()
            return True
        if event.key() == Qt.Key.Key_Escape:
            if self._held is not None:
                self._held = None
                self._again()
            else:
                self._end()
            return True
        return False

    def _end(self) -> None:
        from app.canvas.tools.choosing import Choosing

        self.board.take_up(Choosing(self.board))

    def put_down(self) -> None:
        """Take the ghost away."""
        self._held = self._last = None
        self.board.clear_preview()
