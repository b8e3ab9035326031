"""Going to the other end of a reference: of a run that goes on elsewhere, of equipment with several symbols."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.drawing.changes import scene_of
from app.drawing.placed import RunPart, Scene
from engine.picture import Box
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["go_to_far_end", "has_far_end"]

_AROUND = 12.0  # mm shown about the far end


def has_far_end(window: Window) -> bool:
    """Whether something is chosen that a reference could lead on from."""
    document = window.document
    item = document.selection[0] if document.selection else ""
    tables = document.installation.get("equipment", item) or document.installation.get("runs", item)
    return bool(document.sheet) and tables is not None


def go_to_far_end(window: Window, item: str = "") -> None:
    """To the next symbol of the equipment that is chosen first, or to the other end of that run; told where not.

    `item`: of this instead.
    """
    board, document = window.board, window.document
    item = item or (document.selection[0] if document.selection else "")
    snapshot = document.snapshot()
    scene = scene_of(snapshot, document.sheet)
    if item in snapshot.equipment:
        every = scene.of.get(item, [])
        if len(every) < 2:
            window.foot.say(_("{name} has one symbol only.").format(name=snapshot.name(item)))
            return
        held = next((n for n, p in enumerate(every) if p.id in board.grasped), -1)
        piece = every[(held + 1) % len(every)]
        window.going.remember()
        document.turn_to(piece.placement.sheet)
        board.grasp((piece.id,))
        _show(window, piece.id)
        return
    run = snapshot.runs.get(item)
    if run is None:
        window.foot.say(_("A run, or equipment with several symbols, has another end to go to."))
        return
    here = [part for part in scene.parts_on(document.sheet) if part.run == item]
    target = _other(window, scene, here)
    if target is None:
        window.foot.say(_("Both ends of {name} are on this sheet.").format(name=snapshot.name(item)))
        return
    sheet, symbol = target
    window.going.remember()
    document.turn_to(sheet)
    board.grasp((), (item,))
    arrow = next((p for p in board.scene_now().parts_on(sheet) if p.run == item and p.near == symbol), None)
    if arrow is not None:
        points = [board.finder().sight.at(p) for p in arrow.points]
        xs, ys = [x for x, _y in points], [y for _x, y in points]
        box = Box(min(xs), min(ys), max(xs), max(ys)).grown(1.5)
        board.show_box(box.grown(_AROUND))
        board.marks.flash(box)
    else:
        _show(window, symbol)


def _other(window: Window, scene: Scene, here: list[RunPart]) -> tuple[str, str] | None:
    """Sheet and symbol of the other end; `None` where the run is drawn whole."""
    broken = [part for part in here if part.kind != "whole" and part.far in scene.pieces]
    if not broken:
        return None
    if len(broken) == 1:
        far = scene.pieces[broken[0].far]
        return far.placement.sheet, far.id
    # both ends on this sheet, the line broken: from the one that is nearer to where one is
    board = window.board
    at = (board.cursor_column, board.cursor_row)
    near = min(broken, key=lambda part: min(abs(x - at[0]) + abs(y - at[1]) for x, y in part.points))
    tip = scene.pieces[near.far]
    board.cursor_column, board.cursor_row = tip.placement.x, tip.placement.y
    return tip.placement.sheet, tip.id


def _show(window: Window, item: str) -> None:
    box = window.board.finder().box_of(item)
    if box is not None:
        window.board.show_box(box)
        window.board.marks.flash(box)
