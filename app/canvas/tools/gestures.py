"""What the pointer does while its button is down: a rectangle, a move, a run led by hand, an end put elsewhere.

A gesture shows a preview and ends in one edit, or in none when it is given up.
"""

from __future__ import annotations

from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import Qt

from app.canvas.remarks import chosen_remarks
from app.canvas.tool import Hit, Spot
from app.canvas.tools.grid import (
    Point,
    box_between,
    is_on_line,
    is_on_symbol,
    mm_line,
    nearest_on,
    shifted_stretch,
    steps_between,
    straightened,
    told_way,
)
from app.canvas.tools.pause import Pause
from app.drawing import changes
from app.drawing.changes import Grip
from app.drawing.placed import Piece, RunPart
from engine.edits import EditError, Put, Several
from engine.installation import Route
from engine.picture import Box
from engine.words import ngettext

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = [
    "ADDING",
    "LEAST_BUS",
    "Band",
    "Gesture",
    "Lead",
    "Reconnect",
    "Shift",
    "Stretch",
    "bar_at",
    "grip_of",
    "led_line",
    "unfit",
]

LEAST_BUS = 2  # grid steps
ADDING = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier


class Gesture:
    """One drag, from where the button went down."""

    def __init__(self, board: Board, start: Spot) -> None:
        self.board = board
        self.start = start
        self.snapshot = board.document.snapshot()
        self.sheet = board.document.sheet

    @property
    def is_stale(self) -> bool:
        """Whether the drawing was changed meanwhile or another sheet is shown, so that what is held may be gone."""
        document = self.board.document
        return document.snapshot() is not self.snapshot or document.sheet != self.sheet

    def move(self, spot: Spot, hit: Hit) -> None:
        """The pointer moves: show what would be."""

    def finish(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """The button comes up: do it."""

    def cancel(self) -> None:
        """Leave everything as it was."""
        self.board.clear_preview()


class Band(Gesture):
    """A rectangle: what lies wholly inside is chosen."""

    def move(self, spot: Spot, hit: Hit) -> None:
        """Show the rectangle."""
        self.board.show_band(Box(*box_between(self.start, spot)))

    def finish(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Choose what is inside; with Ctrl or Shift beside what is chosen already."""
        self.board.clear_preview()
        placements, runs = self.board.within(Box(*box_between(self.start, spot)))
        self.board.grasp(placements, runs, add=bool(modifiers & ADDING))


class Shift(Gesture):
    """Chosen symbols and remarks move; the ends of their runs stretch along and are routed at the end."""

    def __init__(self, board: Board, start: Spot) -> None:
        super().__init__(board, start)
        self.placements = tuple(board.grasped)
        self.remarks = chosen_remarks(board)
        self.by: Point = (0, 0)

    def move(self, spot: Spot, hit: Hit) -> None:
        """Lift them to where the pointer is."""
        by = steps_between(self.start, spot)
        if by != self.by:
            self.by = by
            self.board.lift(self.placements, *by, self.remarks)
            self.board.pointed.emit(told_way(*by))

    def finish(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """One edit, or none where they are back in their place."""
        by = steps_between(self.start, spot)
        self.board.settle()
        if by != (0, 0):
            self.board.try_edit(partial(changes.move_things, self.snapshot, self.placements, self.remarks, *by))

    def cancel(self) -> None:
        """Back to their places."""
        self.board.settle()


class Lead(Gesture):
    """A stretch of a run is moved across its own way; the corners are by hand from then on."""

    def __init__(self, board: Board, start: Spot, part: RunPart, stretch: int) -> None:
        super().__init__(board, start)
        self.part, self.stretch = part, stretch
        pieces = board.scene_now().pieces
        ends = [pieces.get(part.near), pieces.get(part.far) if part.kind == "whole" else None]
        self.slides = (
            ends[0] is not None and ends[0].is_bar,
            part.kind != "whole" or (ends[1] is not None and ends[1].is_bar),
        )

    def _points(self, spot: Spot) -> list[Point]:
        return shifted_stretch(self.part.points, self.stretch, steps_between(self.start, spot), self.slides)

    def move(self, spot: Spot, hit: Hit) -> None:
        """Show the line as it would be."""
        self.board.show_rubber(mm_line(self.board, self._points(spot)), True)

    def finish(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """One edit, or none where the line is as it was."""
        self.board.clear_preview()
        points = self._points(spot)
        if points == straightened(self.part.points):
            return
        corners = points[1:-1]
        if self.part.kind == "from":
            corners = points[1:]
        elif self.part.kind == "to":
            corners = points[:0:-1]
        self.board.try_edit(partial(changes.lead, self.snapshot, self.part.run, self.part.sheet, corners))


class Reconnect(Gesture):
    """An end of a run is put on another terminal, on another run, or ends loose."""

    def __init__(self, board: Board, start: Spot, part: RunPart, end: Literal["from", "to"]) -> None:
        super().__init__(board, start)
        self.part, self.end = part, end
        points = part.points if end == "from" or part.kind == "to" else part.points[::-1]
        self.rest = points[1:]  # from the corner next to the end that is held
        self.last_id = board.document.installation.last_id
        self._last: tuple[Spot, Hit] | None = None
        self._tried: dict[Grip, tuple[list[Point], str]] = {}  # ends looked at: the way, or why not
        self._pause = Pause(board, self._look_up)
        board.mark_terminals("all", unfit(board, Grip(run=part.run)))

    def move(self, spot: Spot, hit: Hit) -> None:
        """A line from the next corner to the pointer; where the pointer rests, the run as it will be led."""
        self._last = (spot, hit)
        grip = grip_of(self.board, spot, hit)
        points, why = self._tried.get(grip) or (self._line(grip), "")
        self.board.show_rubber(mm_line(self.board, points), not why)
        if why:
            self.board.pointed.emit(why)
        if grip not in self._tried and (grip.placement or grip.run):
            self._pause.begin()

    def _line(self, grip: Grip) -> list[Point]:
        return straightened([*reversed(self.rest), (self.rest[0][0], grip.row), (grip.column, grip.row)])

    def _edit(self, grip: Grip) -> Several:
        sheet = self.board.document.sheet
        return changes.reconnect(self.snapshot, self.last_id, self.part.run, self.end, sheet, grip)

    def _look_up(self) -> None:
        if self._last is None or self.is_stale:
            return
        grip = grip_of(self.board, *self._last)
        try:
            edit = self._edit(grip)
        except EditError as fault:
            self._tried[grip] = self._line(grip), str(fault)
        else:
            ends = (self.rest[-1], (grip.column, grip.row))
            far = self.part.near if self.end == "to" and self.part.kind == "whole" else self.part.far
            bars = (bar_at(self.board, far), bar_at(self.board, grip.placement))
            if self.end == "from":
                ends, bars = ends[::-1], bars[::-1]
            found = led_line(edit, self.part.run, *ends, bars)
            self._tried[grip] = found or self._line(grip), ""
        self.move(*self._last)

    def finish(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """One edit; none where it is let go over the place it was taken from."""
        self.cancel()
        grip = grip_of(self.board, spot, hit)
        run = self.snapshot.runs[self.part.run]
        held = run.from_end if self.end == "from" else run.to_end
        piece = self.board.scene_now().pieces.get(grip.placement)
        if grip.run == self.part.run:
            return
        if piece is not None and not piece.is_bar and (piece.equipment, grip.terminal) == (
            held.equipment,
            held.terminal,
        ):  # fmt: skip
            return
        self.board.try_edit(partial(self._edit, grip))

    def cancel(self) -> None:
        """Take rings and line away."""
        self._pause.end()
        self.board.mark_terminals("none")
        self.board.clear_preview()


class Stretch(Gesture):
    """A bus is drawn out by one of its ends."""

    def __init__(self, board: Board, start: Spot, piece: Piece, outer: bool) -> None:
        super().__init__(board, start)
        self.piece, self.outer = piece, outer  # outer: the end away from its first point

    def _ends(self, spot: Spot) -> tuple[Point, Point]:
        dx, dy = steps_between(self.start, spot)
        a, b = self.piece.ends()
        level = a[1] == b[1]
        by = (dx, 0) if level else (0, dy)
        if self.outer:
            b = (max(b[0] + by[0], a[0] + LEAST_BUS), b[1]) if level else (b[0], max(b[1] + by[1], a[1] + LEAST_BUS))
        else:
            a = (min(a[0] + by[0], b[0] - LEAST_BUS), a[1]) if level else (a[0], min(a[1] + by[1], b[1] - LEAST_BUS))
        return a, b

    def move(self, spot: Spot, hit: Hit) -> None:
        """Show its new length."""
        a, b = self._ends(spot)
        self.board.show_rubber(mm_line(self.board, (a, b)), True)
        self.board.pointed.emit(_told_length(abs(b[0] - a[0]) + abs(b[1] - a[1])))

    def finish(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """One edit, or none where it is as long as it was."""
        self.board.clear_preview()
        a, b = self._ends(spot)
        if (a, b) == self.piece.ends():
            return
        length = abs(b[0] - a[0]) + abs(b[1] - a[1])
        self.board.try_edit(partial(changes.stretch, self.snapshot, self.piece.id, length, *a))


def grip_of(board: Board, spot: Spot, hit: Hit) -> Grip:
    """Where an end of a run would be put: a terminal, the one terminal of a symbol, a bus, a run, or an empty place."""
    pieces = board.scene_now().pieces
    piece = pieces.get(hit.placement) if hit.placement else None
    if piece is not None and is_on_symbol(board, spot, piece):
        shown = [t.name for t in piece.record.terminals() if piece.shows(t.name)]
        terminal = hit.terminal
        if not terminal and shown:
            terminal = min(shown, key=lambda t: _off(piece, t, spot))
        if terminal:
            column, row = piece.meets(terminal, (spot.column, spot.row))
            return Grip(piece.id, terminal, "", column, row)
    if hit.kind == "run" and is_on_line(board, spot, hit.item):
        for part in board.scene_now().parts_on(board.document.sheet):
            if part.run == hit.item:
                column, row = nearest_on(part.points, spot.column, spot.row)
                return Grip("", "", hit.item, column, row)
    return Grip("", "", "", spot.column, spot.row)


def unfit(board: Board, start: Grip) -> list[tuple[str, str]]:
    """Terminals (placement, name) that no run from `start` can join: no conductor in common, or `start` itself."""
    scene = board.scene_now()
    piece = scene.pieces.get(start.placement)
    carried: set[str] | None = None  # anything
    if piece is not None:
        carried = {c for t in piece.record.terminals() if t.name == start.terminal for c in t.conductors}
    elif start.run:
        carried = set(board.document.snapshot().runs[start.run].conductors())
    return [
        (other.id, t.name)
        for other in scene.on(board.document.sheet)
        for t in other.record.terminals()
        if (other.id, t.name) == (start.placement, start.terminal)
        or (carried is not None and carried.isdisjoint(t.conductors))
    ]


def led_line(
    edit: Several, run: str, start: Point, stop: Point, bars: tuple[Piece | None, Piece | None] = (None, None)
) -> list[Point]:
    """The line an edit stores for a run between its two ends; `[]` where it stores none, or one that is broken off.

    `bars`: the buses it begins and ends on, where it meets them opposite its next corner.
    """
    for put in edit.edits:
        if isinstance(put, Put) and isinstance(put.record, Route) and put.record.run == run:
            if put.record.gap is not None:
                return []
            bends = [(b.x, b.y) for b in put.record.bends]
            if bars[0] is not None:
                start = bars[0].meets("", bends[0] if bends else stop)
            if bars[1] is not None:
                stop = bars[1].meets("", bends[-1] if bends else start)
            line = straightened([start, *bends, stop])
            return line if all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(line)) else []
    return []


def bar_at(board: Board, placement: str) -> Piece | None:
    """The bus of a placement, `None` for anything else."""
    piece = board.scene_now().pieces.get(placement)
    return piece if piece is not None and piece.is_bar else None


def _off(piece: Piece, terminal: str, spot: Spot) -> int:
    x, y = piece.meets(terminal, (spot.column, spot.row))
    return abs(x - spot.column) + abs(y - spot.row)


def _told_length(steps: int) -> str:
    return ngettext("{n} step long", "{n} steps long", steps).format(n=steps)
