"""A symbol that no run arrives at, moved onto a run: it is put into it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

from app.canvas.tool import Hit, Spot
from app.canvas.tools.gestures import Shift
from app.canvas.tools.grid import is_on_line, mm, nearest_on, steps_between
from app.drawing import changes
from app.drawing.changes.inserting import is_alone, passes
from app.drawing.placed import RunPart
from engine.words import _

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["Drop", "drop_or_shift"]


def drop_or_shift(board: Board, start: Spot) -> Shift:
    """The drag of what is chosen: one symbol that stands alone may be dropped onto a run."""
    alone = len(board.grasped) == 1 and is_alone(board.document.snapshot(), board.grasped[0])
    return Drop(board, start) if alone else Shift(board, start)


class Drop(Shift):
    """As a move; over a run that it can be put into, let go there, it is."""

    def __init__(self, board: Board, start: Spot) -> None:
        super().__init__(board, start)
        self.last_id = board.document.installation.last_id
        self._passes: dict[str, bool] = {}

    def _over(self, spot: Spot) -> tuple[RunPart, tuple[int, int]] | None:
        """The run under the pointer and the nearest point of the grid on it."""
        for part in self.board.scene_now().parts_on(self.sheet):
            if is_on_line(self.board, spot, part.run):
                return part, nearest_on(part.points, spot.column, spot.row)
        return None

    def _fits(self, run: str) -> bool:
        """Whether the run can pass through it; asked with every step of the pointer."""
        if run not in self._passes:
            self._passes[run] = passes(self.snapshot, self.placements[0], run)
        return self._passes[run]

    def move(self, spot: Spot, hit: Hit) -> None:
        """Lift it to where the pointer is; over a run a mark tells that it goes into it."""
        super().move(spot, hit)
        self.board.clear_preview()
        over = self._over(spot)
        if over is None or steps_between(self.start, spot) == (0, 0):
            return
        part, at = over
        if not self._fits(part.run):
            return
        self.board.show_insert(*mm(self.board, *at), self._is_upright(part, at))
        self.board.pointed.emit(
            _("Inserts it into {run}; the lengths of its two parts are unknown then").format(
                run=self.snapshot.name(part.run)
            )
        )

    def _is_upright(self, part: RunPart, at: tuple[int, int]) -> bool:
        for (ax, ay), (bx, by) in zip(part.points, part.points[1:], strict=False):
            if min(ax, bx) <= at[0] <= max(ax, bx) and min(ay, by) <= at[1] <= max(ay, by):
                return ax == bx
        return True

    def finish(self, spot: Spot, hit: Hit, modifiers: Qt.KeyboardModifier) -> None:
        """One edit: into the run, or to its new place."""
        over = self._over(spot)
        if over is not None and steps_between(self.start, spot) != (0, 0):
            part, at = over
            if self._fits(part.run):
                self.board.settle()
                self.board.clear_preview()
                self.board.try_edit(
                    partial(changes.insert, self.snapshot, self.last_id, self.placements[0], part.run, at)
                )
                return
        self.board.clear_preview()
        super().finish(spot, hit, modifiers)

    def cancel(self) -> None:
        """Back to its place."""
        self.board.clear_preview()
        super().cancel()
