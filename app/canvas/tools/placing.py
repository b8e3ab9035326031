"""Putting equipment on the sheet: a ghost on the grid, into a run that it is over; a bus is drawn as long as wanted."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, NamedTuple

import msgspec
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.canvas.tool import Hit, Spot, Tool
from app.canvas.tools import acts
from app.canvas.tools.gestures import LEAST_BUS
from app.canvas.tools.grid import far_apart, ghost_of, is_on_line, mm, nearest_on, parts_of
from app.canvas.tools.pause import Pause
from app.drawing import changes
from app.drawing.changes import Made
from app.drawing.looks import Look, look
from engine.edits import EditError, Put, Several
from engine.equipment import kind_named
from engine.equipment.base import Equipment
from engine.installation import Placement, Snapshot
from engine.words import N_, _

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Placing"]


class _Stand(NamedTuple):
    """How it would stand."""

    column: int
    row: int
    rotation: int = 0
    mirrored: bool = False
    length: int | None = None
    on_run: str = ""
    upright: bool = True  # the stretch of that run
    why: str = ""  # why it cannot stand there


class Placing(Tool):
    """Click places; over a run it is inserted. Shift keeps the same kind in hand."""

    NAME = "place"
    TITLE = N_("Place equipment")
    HINT = N_(
        "Click to place, on a run to insert; T turns, Shift+T mirrors, Shift+click places one more. "
        "A bus is drawn from end to end. Escape ends."
    )
    CURSOR = Qt.CursorShape.CrossCursor

    def __init__(self, board: Board, kind: str = "", equipment: str = "", record: Equipment | None = None) -> None:
        """A new piece of a kind, with what is known of it in `record`, or a symbol for equipment there is already."""
        super().__init__(board)
        self.kind = kind
        self.equipment = equipment
        self.record = record
        self.keep = False  # places another one after each, without Shift
        self.rotation = 0
        self.mirrored = False
        self._last: tuple[Spot, Hit] | None = None
        self._held: Spot | None = None  # the button is down here
        self._tried: tuple[Snapshot, dict[_Stand, _Stand]] | None = None  # wishes looked up, and how they stand
        self._wish: _Stand | None = None  # to be looked up when the pointer rests
        self._pause = Pause(board, self._look_up)

    def take_up(self) -> None:
        """Show the ghost at once where the pointer is over the sheet already."""
        if self.board.underMouse():
            spot = acts.cursor_spot(self.board)
            self._show(spot, self.board.hit(spot))

    # -- how it would stand -------------------------------------------------------------------------------------
    def _record(self) -> Equipment | None:
        if self.equipment:
            return self.board.document.snapshot().equipment.get(self.equipment)
        if self.record is not None:
            return self.record
        cls = kind_named(self.kind)
        return None if cls is None else cls()

    def _look(self, stand: _Stand) -> Look | None:
        record = self._record()
        if record is None:
            return None
        symbols = self.board.document.installation.settings.symbols
        return look(record, symbols, stand.rotation, stand.mirrored, stand.length)

    def _stand(self, spot: Spot, hit: Hit) -> _Stand:
        record = self._record()
        plain = _Stand(spot.column, spot.row, self.rotation, self.mirrored)
        if record is None:
            return plain
        is_bus = record.ROLE == "bus"
        if is_bus and self._held is not None and far_apart(self.board, self._held, spot):
            return _drawn_out(self._held, spot)
        if hit.kind == "run" and not self.equipment and is_on_line(self.board, spot, hit.item):
            return self._into(spot, hit.item)
        return plain._replace(rotation=90 if self.rotation % 180 else 0, mirrored=False) if is_bus else plain

    def _into(self, spot: Spot, run: str) -> _Stand:
        """In a run, as the edit would put it there."""
        lines = [(part.points[n], part.points[n + 1]) for part in parts_of(self.board, run)
                 for n in range(len(part.points) - 1)]  # fmt: skip
        near = [(nearest_on(line, spot.column, spot.row), line) for line in lines]
        at, (a, b) = min(near, key=lambda n: abs(n[0][0] - spot.column) + abs(n[0][1] - spot.row))
        wish = _Stand(*at, self.rotation, self.mirrored, None, run, a[0] == b[0])
        snapshot = self.board.document.snapshot()
        if self._tried is None or self._tried[0] is not snapshot:
            self._tried = (snapshot, {})
        known = self._tried[1].get(wish)
        if known is None:
            self._wish = wish
            self._pause.begin()
        return known or self._guess(wish)

    def _guess(self, wish: _Stand) -> _Stand:
        """At once, until the pointer rests: turned so that two of its terminals lie along the run."""
        for rotation in (0, 90, 180, 270) if not wish.rotation else ():
            seen = self._look(wish._replace(rotation=rotation))
            ports = [] if seen is None else list(seen.ports.values())
            across = {(p.x if wish.upright else p.y) for p in ports}
            sides = {p.side for p in ports}
            if across == {0} and sides == ({"top", "bottom"} if wish.upright else {"left", "right"}):
                return wish._replace(rotation=rotation)
        return wish

    def _look_up(self) -> None:
        """Exactly as the edit would put it into the run, or why it cannot."""
        wish, last = self._wish, self._last
        if wish is None or last is None or self._tried is None:
            return
        if self._tried[0] is not self.board.document.snapshot() or wish.on_run not in self._tried[0].runs:
            return
        try:
            made = self._made(wish)
        except EditError as fault:
            self._tried[1][wish] = wish._replace(why=str(fault))
        else:
            p = _placement_in(made)
            self._tried[1][wish] = wish._replace(
                column=p.x, row=p.y, rotation=p.rotation, mirrored=p.mirrored, length=p.length
            )
        self._show(*last)

    def _show(self, spot: Spot, hit: Hit) -> None:
        self._last = (spot, hit)
        self.board.clear_preview()
        stand = self._stand(spot, hit)
        seen = self._look(stand)
        if seen is None:
            return
        self.board.show_ghost(ghost_of(self.board, seen, stand.column, stand.row))
        if stand.why:
            self.board.show_rubber([mm(self.board, stand.column, stand.row)], False)
            self.board.pointed.emit(stand.why)
        elif stand.on_run:
            self.board.show_insert(*mm(self.board, stand.column, stand.row), stand.upright)
            self.board.pointed.emit(
                _("Inserts it into {run}; the lengths of its two parts are unknown then").format(
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
        if stand.on_run:  # as it was wished: the edit turns it itself
            stand = stand._replace(rotation=self.rotation, mirrored=self.mirrored, length=None)
        self._held = None
        self.board.clear_preview()
        if self._record() is None:
            self.board.refused.emit(_("No kind of equipment is chosen; choose one from the list."))
            return
        items = acts.make(self.board, partial(self._made, stand))
        if not items:
            self._show(spot, hit)
            return
        acts.grasp_items(self.board, items[:1])
        if not self.equipment and (self.keep or modifiers & Qt.KeyboardModifier.ShiftModifier):
            if self.record is not None and self.record.designation:  # borne by what was just placed
                self.record = msgspec.structs.replace(self.record, designation="")
            self._show(spot, Hit())
        else:
            self._end()

    def _made(self, stand: _Stand) -> Made:
        document = self.board.document
        snapshot, last_id, sheet = document.snapshot(), document.installation.last_id, document.sheet
        at = (sheet, stand.column, stand.row)
        if self.equipment:
            made = changes.place_existing(
                snapshot, last_id, self.equipment, *at, rotation=stand.rotation, mirrored=stand.mirrored
            )
        else:
            made = changes.place(
                snapshot,
                last_id,
                self.kind,
                *at,
                rotation=stand.rotation,
                mirrored=stand.mirrored,
                on_run=stand.on_run,
                record=self.record,
            )
        if stand.length is None:
            return made
        edits = tuple(
            Put(e.table, e.id, msgspec.structs.replace(e.record, length=stand.length), e.words)
            if isinstance(e, Put) and isinstance(e.record, Placement)
            else e
            for e in made.edit.edits
        )
        return made._replace(edit=Several(edits, made.edit.words))

    def double(self, spot: Spot, hit: Hit) -> None:
        """The second click of a double one places nothing."""

    def leave(self) -> None:
        """No ghost where the pointer is not."""
        self._pause.end()
        self.board.clear_preview()

    # -- keys ---------------------------------------------------------------------------------------------------
    def turn(self, quarters: int = 1) -> None:
        """Turn what is in hand."""
        self.rotation = (self.rotation + 90 * quarters) % 360
        self._again()

    def mirror(self) -> None:
        """Mirror what is in hand."""
        self.mirrored = not self.mirrored
        self._again()

    def _again(self) -> None:
        if self._last is not None:
            self._show(*self._last)

    def key(self, event: QKeyEvent) -> bool:
        """T turns, with Shift it mirrors, Escape ends."""
        if event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier:
            return False
        if event.key() == Qt.Key.Key_T:
            if event.modifiers():
                self.mirror()
            else:
                self.turn()
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
        self._pause.end()
        self._held = self._last = None
        self.board.clear_preview()


def _drawn_out(start: Spot, spot: Spot) -> _Stand:
    """A bus from where the button went down to the pointer, the longer way of the two."""
    dx, dy = spot.column - start.column, spot.row - start.row
    if abs(dx) >= abs(dy):
        return _Stand(min(start.column, spot.column), start.row, length=max(abs(dx), LEAST_BUS))
    return _Stand(start.column, min(start.row, spot.row), 90, length=max(abs(dy), LEAST_BUS))


def _placement_in(made: Made) -> Placement:
    """The symbol an edit stores for the equipment it makes."""
    for put in made.edit.edits:
        if isinstance(put, Put) and isinstance(put.record, Placement) and put.record.equipment == made.items[0]:
            return put.record
    raise AssertionError("equipment was placed without a symbol")
