"""What is offered for what is under the pointer, and choosing what was found elsewhere."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from app.canvas.tool import Hit

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["choose_items", "context_actions"]

_STATE = ("", "show_state", "keep_state", "end_state")
_ORDER = ("align_left", "align_right", "align_top", "align_bottom", "distribute_across", "distribute_down")
_ENDS = ("", "undo", "redo")


def context_actions(board: Board, hit: Hit) -> list[str]:
    """Names of what a right click on something offers, in order; "" parts groups.

    What cannot be done is left out by whoever shows them.
    """
    if hit.kind in ("note", "flag") and hit.number < 0:
        return ["deficiencies", *_ENDS]
    if hit.kind in ("note", "flag"):
        return ["notes", "why", "finding_deficiency", *_STATE]
    if hit.kind == "remark":
        return ["edit_remark", "point_remark", "particulars", "", "cut", "copy", "duplicate", "", "delete", *_ENDS]
    if hit.kind == "enclosure":
        return ["whole_enclosure", "", "particulars", "straighten", "tidy", "", "copy", "delete", *_ENDS]
    if hit.kind == "run":
        return [
            "particulars", "type_values", "", "lead_anew", "insert_into_run", "label_back", "", "far_end",
            "size_chosen", "make_dead", "mark_deficiency", "", "copy", "delete", *_ENDS, *_STATE,
        ]  # fmt: skip
    if hit.item:
        record = board.document.snapshot().equipment.get(hit.item)
        moves = ["operate", ""] if record is not None and record.positions() else []
        several = ["", *_ORDER] if len(board.grasped) > 1 else []
        return [
            "particulars", "type_values", "", *moves, "turn", "mirror", "swap", "lead_anew", "straighten",
            "whole_enclosure", "label_back", *several, "", "far_end", "size_chosen", "make_dead",
            "mark_deficiency", "", "cut", "copy", "duplicate", "delete", "delete_with_runs", *_ENDS, *_STATE,
        ]  # fmt: skip
    return [
        "paste", "repeat", "type_place", "place", "run", "remark", "mark_deficiency", "", "select_all", "tidy", "",
        "find", "fit", *_ENDS, *_STATE,
    ]  # fmt: skip


def choose_items(board: Board, items: str | Iterable[str]) -> None:
    """Choose things, wherever they are drawn; the first of them that is comes into view."""
    every = (items,) if isinstance(items, str) else tuple(items)
    here = [item for item in every if board.finder().box_of(item) is not None]
    if not here or here[0] != every[0]:
        here = [*here[:1], *every[:1]]
    for item in here:
        if board.reveal(item):
            break
    board.document.select(*every)
