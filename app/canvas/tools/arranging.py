"""Putting chosen symbols in order, and choosing all that stands in an enclosure. For tools and actions alike."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from app.drawing.changes.arranging import Side, align, distribute, straighten
from engine.words import _

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = ["align_chosen", "choose_enclosure", "choose_enclosures", "distribute_chosen", "straighten_chosen"]


def align_chosen(board: Board, side: Side) -> None:
    """Bring the chosen symbols to one line."""
    board.try_edit(partial(align, board.document.snapshot(), board.grasped, side))


def distribute_chosen(board: Board, across: bool) -> None:
    """Stand the chosen symbols at equal distances."""
    board.try_edit(partial(distribute, board.document.snapshot(), board.grasped, across))


def straighten_chosen(board: Board) -> None:
    """Move the chosen symbols by little so that their runs become straight."""
    board.try_edit(partial(straighten, board.document.snapshot(), board.grasped))


def choose_enclosure(board: Board, enclosure: str, add: bool = False) -> None:
    """Choose everything of this sheet that stands in an enclosure."""
    scene, sheet = board.scene_now(), board.document.sheet
    members = tuple(p.id for p in scene.on(sheet) if p.record.enclosure == enclosure)
    board.grasp(members, (), add=add)


def choose_enclosures(board: Board) -> None:
    """Choose everything of this sheet that stands in the enclosures of what is chosen; told where it is in none."""
    scene, sheet = board.scene_now(), board.document.sheet
    chosen = set(board.document.selection)
    wanted = {p.record.enclosure for p in scene.on(sheet) if p.equipment in chosen and p.record.enclosure}
    if not wanted:
        board.refused.emit(_("Nothing is chosen on this sheet that stands in an enclosure."))
        return
    members = tuple(p.id for p in scene.on(sheet) if p.record.enclosure in wanted)
    board.grasp(members)
    snapshot = board.document.snapshot()
    names = ", ".join(sorted(snapshot.name(item) for item in wanted))
    elsewhere = {
        p.equipment
        for p in snapshot.placements.values()
        if p.sheet != sheet and snapshot.equipment[p.equipment].enclosure in wanted
    } - set(board.document.selection)
    if elsewhere:
        text = _("{names}: chosen is what stands on this sheet; {count} more on other sheets stay.")
    else:
        text = _("{names}: chosen is all that stands in it.")
    board.pointed.emit(text.format(names=names, count=len(elsewhere)))
