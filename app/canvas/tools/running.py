"""Drawing a run: from a terminal over corners to another terminal, to a run, or to an end that stays loose."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.canvas.tool import Hit, Spot, Tool
from app.canvas.tools import acts
from app.canvas.tools.gestures import bar_at, grip_of, led_line, unfit
from app.canvas.tools.grid import Point, elbow, far_apart, mm_line, straightened
from app.canvas.tools.pause import Pause
from app.canvas.tools.typing_keys import opens_values
from app.drawing import changes
from app.drawing.changes import Grip, Made
from engine.edits import EditError
from engine.words import N_, _

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Running"]


class Running(Tool):
    """Click terminal after terminal, or drag from one to the other; clicks between set corners."""

    NAME = "run"
    TITLE = N_("Draw a run")
    HINT = N_(
        "Click a terminal, then another; between them clicks set corners, on a run a junction. A drag to an empty "
        "place, or /, asks what comes next. Double click or Enter ends loose, Backspace takes a corner back."
    )
    CURSOR = Qt.CursorShape.CrossCursor

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self._start: Grip | None = None
        self._clicks: list[list[Point]] = []  # corners by hand, those of each click
        self._held: Spot | None = None  # the button that began the run is still down
        self._last: tuple[Spot, Hit] | None = None
        self._tried: dict[Grip, tuple[list[Point], str]] = {}  # ends looked at: the way, or why not

        self._snapshot, self._sheet = board.document.snapshot(), board.document.sheet
        self._pause = Pause(board, self._look_up)

    def take_up(self) -> None:
        """Show where runs may begin."""
        self.board.mark_terminals("all")

    @property
    def _is_abroad(self) -> bool:
        """Whether the run began at a terminal of another sheet than the one that is shown."""
        start = self._start
        return start is not None and bool(start.placement) and self._sheet != self.board.document.sheet

    @property
    def _corners(self) -> list[Point]:
        """Corners by hand, upright and level from the start on."""
        return [corner for click in self._clicks for corner in click]

    # -- the line -----------------------------------------------------------------------------------------------
    def _side(self, grip: Grip) -> str:
        """The way a run leaves a terminal: "top", "left", ..., "" for any."""
        piece = self.board.scene_now().pieces.get(grip.placement)
        if piece is None or (piece.record.ROLE == "junction" and len(piece.look.ports) == 1):
            return ""
        if piece.is_bar:
            (_ax, ay), (_bx, by) = piece.ends()
            return "bottom" if ay == by else "right"
        return piece.port(grip.terminal).side

    def _points(self) -> list[Point]:
        """The start and the corners so far."""
        assert self._start is not None
        return [(self._start.column, self._start.row), *self._corners]

    def _corner_to(self, stop: Grip) -> Point | None:
        """The corner on the way to `stop`, where it must turn."""
        assert self._start is not None
        so_far = self._points()
        leaves = _turned(so_far) if len(so_far) > 1 else self._side(self._start)
        return elbow(so_far[-1], (stop.column, stop.row), leaves, self._side(stop))

    def _line(self, stop: Grip) -> list[Point]:
        """From the start over the corners to `stop`."""
        corner = self._corner_to(stop)
        return straightened([*self._points(), *([] if corner is None else [corner]), (stop.column, stop.row)])

    def _is_stale(self) -> bool:
        """After a change from elsewhere: look everything up anew, and give the run up where its start is gone."""
        now = self.board.document.snapshot()
        if self._start is None:
            return False
        if self._sheet != self.board.document.sheet and not self._is_abroad:
            self.put_down()
            return True
        if now is self._snapshot:
            return False
        self._snapshot = now
        self._tried.clear()
        start = self._start
        if (start.placement and start.placement not in now.placements) or (start.run and start.run not in now.runs):
            self.put_down()
            return True
        return False

    def _look_up(self) -> None:
        """The way of the run to where the pointer rests, as the edit would lead it, or why it could not be drawn."""
        if self._start is None or self._last is None or self._is_abroad:
            return
        stop = grip_of(self.board, *self._last)
        try:
            made = self._made(stop)
        except EditError as fault:
            self._tried[stop] = self._line(stop), str(fault)
        else:
            bars = (bar_at(self.board, self._start.placement), bar_at(self.board, stop.placement))
            ends = ((self._start.column, self._start.row), (stop.column, stop.row))
            found = led_line(made.edit, made.items[0], *ends, bars)
            self._tried[stop] = found or self._line(stop), ""
        self._show(*self._last)

    def _show(self, spot: Spot, hit: Hit) -> None:
        self._last = (spot, hit)
        if self._start is None or self._is_stale():
            return
        stop = grip_of(self.board, spot, hit)
        if self._is_abroad:
            self.board.clear_preview()
            if stop.placement:
                self.board.pointed.emit(self._told_abroad())
            return
        points, why = self._tried.get(stop) or (self._line(stop), "")
        self.board.show_rubber(mm_line(self.board, points), not why)
        if why:
            self.board.pointed.emit(why)
        if stop not in self._tried and (stop.placement or stop.run):
            self._pause.begin()

    def _made(self, stop: Grip) -> Made:
        assert self._start is not None
        document = self.board.document
        return changes.connect(
            document.snapshot(),
            document.installation.last_id,
            document.sheet,
            self._start,
            stop,
            self._line(stop)[1:-1] if self._corners and not self._is_abroad else (),
        )

    def _told_abroad(self) -> str:
        assert self._start is not None
        snapshot = self.board.document.snapshot()
        placement = snapshot.placements[self._start.placement]
        return _("A click here ends the run from {name} “{terminal}” on sheet {number}").format(
            name=snapshot.name(placement.equipment),
            terminal=self._start.terminal,
            number=snapshot.sheets[placement.sheet].number,
        )

    # -- the pointer --------------------------------------------------------------------------------------------
    def press(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """Begin, or go on."""
        if (
            self._start is None
            or self._is_stale()
            or (self._is_abroad and not grip_of(self.board, spot, hit).placement)
        ):
            self._begin(spot, hit)
            self._held = spot
        else:
            self._go_on(spot, hit)

    def move(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """The line goes along."""
        self._show(spot, hit)

    def release(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """After a drag the run goes on, or ends, where the button comes up."""
        held, self._held = self._held, None
        if held is None or self._start is None or not far_apart(self.board, held, spot):
            return
        stop = grip_of(self.board, spot, hit)
        if stop.placement or stop.run or not self.open_onward(spot, partial(self._go_on, spot, hit)):
            self._go_on(spot, hit)

    def open_onward(self, spot: Spot, leave: Callable[[], None] | None = None) -> bool:
        """Ask what comes next at a place, joined by the run that is under way; whether one is. `leave`: given up."""
        from app.window.quick.fast import fast_of

        start = self._start
        if start is None or not (start.placement or start.run) or self._is_abroad or self._is_stale():
            return False
        self._show(spot, Hit())
        fast_of(self.board).join(spot, start, tuple(self._corners), self._joined, leave or self.board.setFocus)
        return True

    def _joined(self) -> None:
        """What was typed is placed and joined: the next run may begin."""
        self.put_down()
        self.board.setFocus()

    def double(self, spot: Spot, hit: Hit) -> None:
        """On an empty place the run ends loose."""
        if self._start is None:
            return
        stop = grip_of(self.board, spot, hit)
        if not stop.placement and not stop.run:
            self._finish(stop)

    def _begin(self, spot: Spot, hit: Hit) -> None:
        self.put_down()
        self._snapshot, self._sheet = self.board.document.snapshot(), self.board.document.sheet
        self._start = grip_of(self.board, spot, hit)
        start = self._start
        self.board.mark_terminals("all", unfit(self.board, start))
        self._show(spot, hit)

    def _go_on(self, spot: Spot, hit: Hit) -> None:
        assert self._start is not None
        stop = grip_of(self.board, spot, hit)
        if stop.placement or stop.run:
            self._finish(stop)
            return
        corner = self._corner_to(stop)
        end = (stop.column, stop.row)
        if end != self._points()[-1]:
            self._clicks.append([end] if corner is None else [corner, end])
            self._tried.clear()
        self._show(spot, hit)

    def _finish(self, stop: Grip) -> None:
        if self._start is None or self._is_start(stop):
            return
        if self._is_abroad and not stop.placement:
            self.board.refused.emit(_("A run that began on another sheet ends at a terminal here."))
            return
        clicks = self._clicks
        if not stop.placement and not stop.run and self._points()[-1] == (stop.column, stop.row):
            self._clicks = _without_last(clicks)  # the first click of the double one set it
        items = acts.make(self.board, partial(self._made, stop))
        if items:
            self.put_down()
            acts.grasp_items(self.board, items[:1])
        else:
            self._clicks = clicks
            if self._last is not None:
                self._show(*self._last)

    def _is_start(self, stop: Grip) -> bool:
        """Whether nothing would lie between: a double click on the first terminal, Enter without a move."""
        return stop == self._start and not self._clicks

    def leave(self) -> None:
        """The line stays: the pointer may come back."""

    # -- keys ---------------------------------------------------------------------------------------------------
    def key(self, event: QKeyEvent) -> bool:
        """Backspace takes a corner back, Enter ends, Escape gives up; with nothing under way it ends the tool."""
        if event.key() == Qt.Key.Key_Escape:
            if self._start is None:
                from app.canvas.tools.choosing import Choosing

                self.board.take_up(Choosing(self.board))
            else:
                self.put_down()
            return True
        if self._start is None:
            return opens_values(self.board, event)
        if event.key() == Qt.Key.Key_Backspace:
            if self._clicks:
                self._clicks.pop()
                self._tried.clear()
            else:
                self.put_down()
            if self._last is not None:
                self._show(*self._last)
            return True
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            spot, hit = self._last or (acts.cursor_spot(self.board), Hit())
            if self._is_abroad:  # what was pointed at last may be on the other sheet
                spot = acts.cursor_spot(self.board)
                hit = self.board.hit(spot)
            self._finish(grip_of(self.board, spot, hit))
            return True
        return False

    def put_down(self) -> None:
        """Give the run up; rings show where the next may begin while the tool is in hand."""
        self._pause.end()
        self._start = self._held = self._last = None
        self._clicks = []
        self._tried.clear()
        self.board.clear_preview()
        self.board.mark_terminals("all" if self.board.tool is self else "none")


def _turned(points: list[Point]) -> str:
    """The way one turns after the last stretch: upright after a level one."""
    (ax, _ay), (bx, _by) = points[-2], points[-1]
    return "left" if ax == bx else "top"


def _without_last(clicks: list[list[Point]]) -> list[list[Point]]:
    """The clicks without the very last point."""
    kept = [list(click) for click in clicks]
    kept[-1].pop()
    return kept if kept[-1] else kept[:-1]
