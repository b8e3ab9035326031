"""What a view of the work hides and an edit would take along all the same."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["unseen_runs"]


def unseen_runs(board: Board, items: Iterable[str]) -> tuple[str, ...]:
    """Runs that arrive at these pieces or symbols and that the view does not show."""
    document = board.document
    if document.view == "all":
        return ()
    snapshot, shown = document.snapshot(), board.scene_now().snapshot
    going = {snapshot.placements[i].equipment if i in snapshot.placements else i for i in items}
    return tuple(
        item
        for item, run in snapshot.runs.items()
        if item not in shown.runs and (run.from_end.equipment in going or run.to_end.equipment in going)
    )
