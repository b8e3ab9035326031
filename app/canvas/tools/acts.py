"""What one does with what is chosen: copy, paste, turn, mirror, delete, move, lead anew. For tools and actions alike.

Each does one edit through the board, which tells why where it cannot be done, and says whether something was done.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Protocol, runtime_checkable

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QGuiApplication

from app.canvas.remarks import chosen_remarks
from app.canvas.tool import Spot
from app.canvas.tools.grid import middle, told_way
from app.canvas.tools.unseen import unseen_runs
from app.drawing import changes
from app.drawing.added.remarks import remarks_on
from app.drawing.changes import Made
from app.drawing.changes.remarking import things_to_sheet
from engine.edits import EditError, Several
from engine.edits.copying import Clip, copy
from engine.installation import Placement
from engine.words import _

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = [
    "CLIP_TYPE",
    "bring_here",
    "chosen_runs",
    "copy_selection",
    "cut",
    "delete_selection",
    "duplicate",
    "elsewhere",
    "lead_anew",
    "make",
    "mirror_selection",
    "move_selection",
    "paste",
    "place_chosen",
    "select_all",
    "to_be_placed",
    "turn_selection",
]

CLIP_TYPE = "application/x-linewright-clip"
_ASIDE = 2  # grid steps a duplicate stands off


@runtime_checkable
class InHand(Protocol):
    """A tool that holds something one may turn before it stands."""

    def turn(self, quarters: int = 1) -> None:
        """Clockwise by quarters."""

    def mirror(self) -> None:
        """Left to right."""


# -- what is chosen -------------------------------------------------------------------------------------------------
def chosen_runs(board: Board) -> tuple[str, ...]:
    """Runs among what is chosen."""
    runs = board.document.snapshot().runs
    return tuple(item for item in board.document.selection if item in runs)


def _chosen_items(board: Board) -> tuple[str, ...]:
    """Symbols of this sheet, runs, and equipment that is chosen without being on this sheet.

    Of equipment with symbols elsewhere only what is chosen here is meant.
    """
    snapshot = board.document.snapshot()
    here = {snapshot.placements[p].equipment for p in board.grasped}
    chosen = board.document.selection
    rest = (
        i for i in chosen
        if i in snapshot.runs or i in snapshot.remarks or (i in snapshot.equipment and i not in here)
    )  # fmt: skip
    return (*board.grasped, *rest)


def _say(board: Board, sentence: str) -> bool:
    board.refused.emit(sentence)
    return False


def _nothing(board: Board) -> bool:
    return _say(board, _("Nothing is chosen on this sheet."))


def _do(board: Board, edit: Callable[[], object]) -> bool:
    """One edit; whether the drawing is another afterwards."""
    before = board.document.snapshot()
    board.try_edit(edit)
    return board.document.snapshot() is not before


def make(board: Board, making: Callable[[], Made]) -> tuple[str, ...]:
    """Do what makes something; ids of the equipment and runs made, `()` where it could not be done."""
    made: list[Made] = []

    def edit() -> object:
        made.append(making())
        return made[-1].edit

    return made[-1].items if _do(board, edit) and made else ()


def grasp_items(board: Board, items: tuple[str, ...]) -> None:
    """Choose equipment, runs and remarks as this sheet shows them."""
    snapshot, sheet = board.document.snapshot(), board.document.sheet
    placements = tuple(
        item for item, p in snapshot.placements.items() if p.sheet == sheet and p.equipment in set(items)
    )
    board.grasp(placements, tuple(item for item in items if item in snapshot.runs or item in snapshot.remarks))


def select_all(board: Board) -> None:
    """Everything on the sheet that is shown."""
    scene, sheet = board.scene_now(), board.document.sheet
    runs = dict.fromkeys(part.run for part in scene.parts_on(sheet))
    board.grasp(tuple(piece.id for piece in scene.on(sheet)), (*runs, *remarks_on(scene.snapshot, sheet)))


# -- the clipboard --------------------------------------------------------------------------------------------------
def copy_selection(board: Board) -> bool:
    """What is chosen, for pasting here or in another window."""
    items = _chosen_items(board)
    if not items:
        return _nothing(board)
    snapshot = board.document.snapshot()
    try:
        clip = copy(snapshot, items)
    except EditError as fault:
        return _say(board, str(fault))
    data = QMimeData()
    data.setData(CLIP_TYPE, clip.to_text().encode())
    texts = (snapshot.remarks[i].text if i in snapshot.remarks else snapshot.name(i) for i in board.document.selection)
    data.setText(", ".join(texts))
    QGuiApplication.clipboard().setMimeData(data)
    return True


def cut(board: Board) -> bool:
    """Copy, then take it off the drawing."""
    return copy_selection(board) and delete_selection(board)


def paste(board: Board) -> bool:
    """What was copied, its middle where the pointer or the cross is."""
    data = QGuiApplication.clipboard().mimeData()
    if data is None or not data.hasFormat(CLIP_TYPE):
        return _say(board, _("There is nothing on the clipboard that was copied from a drawing."))
    try:
        clip = Clip.from_text(bytes(data.data(CLIP_TYPE).data()).decode(errors="replace"))
    except EditError as fault:
        return _say(board, str(fault))
    return _paste(board, clip, board.cursor_column, board.cursor_row)


def duplicate(board: Board) -> bool:
    """The same once more, a little aside."""
    snapshot = board.document.snapshot()
    pieces = [p for p in board.scene_now().on(board.document.sheet) if p.id in board.grasped]
    remarks = chosen_remarks(board)
    if not pieces and not remarks:
        return _nothing(board)
    try:
        clip = copy(snapshot, board.grasped + chosen_runs(board) + remarks)
    except EditError as fault:
        return _say(board, str(fault))
    words = [snapshot.remarks[i] for i in remarks]
    column, row = middle(pieces) if pieces else (min(r.x for r in words), min(r.y for r in words))
    return _paste(board, clip, column + _ASIDE, row + _ASIDE)


def _paste(board: Board, clip: Clip, column: int, row: int) -> bool:
    document = board.document
    items = make(
        board,
        partial(changes.paste, document.snapshot(), document.installation.last_id, clip, document.sheet, column, row),
    )
    if items:
        grasp_items(board, items)
    return bool(items)


# -- turning, moving, deleting --------------------------------------------------------------------------------------
def move_selection(board: Board, dx: int, dy: int) -> bool:
    """By grid steps; the undo list tells how far."""
    remarks = chosen_remarks(board)
    if not board.grasped and not remarks:
        return _nothing(board)

    def edit() -> Several:
        made = changes.move_things(board.document.snapshot(), board.grasped, remarks, dx, dy)
        return Several(made.edits, _("{words}, {way}").format(words=made.words, way=told_way(dx, dy)))

    return _do(board, edit)


def turn_selection(board: Board, quarters: int = 1) -> bool:
    """Clockwise by quarters; several turn about their middle. What is about to be placed turns instead."""
    if isinstance(board.tool, InHand):
        board.tool.turn(quarters)
        return True
    if not board.grasped:
        return _nothing(board)
    return _do(board, partial(changes.turn, board.document.snapshot(), board.grasped, quarters))


def mirror_selection(board: Board) -> bool:
    """Left to right. What is about to be placed instead, where something is."""
    if isinstance(board.tool, InHand):
        board.tool.mirror()
        return True
    if not board.grasped:
        return _nothing(board)
    return _do(board, partial(changes.mirror, board.document.snapshot(), board.grasped))


def delete_selection(board: Board, with_runs: bool = False) -> bool:
    """Take what is chosen off the drawing; runs of what goes end loose, or go too."""
    document = board.document
    snapshot, items = document.snapshot(), _chosen_items(board)
    if not items:
        return _nothing(board)
    unseen = unseen_runs(board, items) if with_runs else ()
    if unseen:
        names = ", ".join(snapshot.name(run) for run in unseen)
        return _say(board, _("{names} would go too and is not shown; show everything first.").format(names=names))
    last_id = document.installation.last_id
    return _do(board, partial(changes.remove_drawn, snapshot, last_id, items, with_runs=with_runs))


# -- from sheet to sheet --------------------------------------------------------------------------------------------
def to_be_placed(board: Board) -> str:
    """The chosen equipment that may get a symbol on this sheet: it is on none, is a bus, or has terminals not shown."""
    document = board.document
    snapshot = document.snapshot()
    symbols: dict[str, list[Placement]] = {item: [] for item in document.selection if item in snapshot.equipment}
    for placement in snapshot.placements.values() if symbols else ():
        if placement.equipment in symbols:
            symbols[placement.equipment].append(placement)
    for item, others in symbols.items():
        record = snapshot.equipment[item]
        if not record.KIND or any(p.sheet == document.sheet for p in others):
            continue
        every = {t.name for t in record.terminals()}
        shown = {t for p in others for t in (p.terminals or every)}
        if not others or record.ROLE == "bus" or every - shown:
            return item
    return ""


def place_chosen(board: Board) -> None:
    """Take that equipment in hand, to be put on this sheet."""
    from app.canvas.tools.placing import Placing

    item = to_be_placed(board)
    if item:
        board.take_up(Placing(board, equipment=item))
        board.setFocus()


def elsewhere(board: Board) -> tuple[str, ...]:
    """Symbols of what is chosen that stand on other sheets, where none stands on this one."""
    document = board.document
    snapshot, chosen = document.snapshot(), set(document.selection)
    found = {i: p for i, p in snapshot.placements.items() if p.equipment in chosen}
    here = {p.equipment for p in found.values() if p.sheet == document.sheet}
    return tuple(i for i, p in found.items() if p.equipment not in here)


def _remarks_elsewhere(board: Board) -> tuple[str, ...]:
    remarks, sheet = board.document.snapshot().remarks, board.document.sheet
    return tuple(i for i in board.document.selection if i in remarks and remarks[i].sheet != sheet)


def bring_here(board: Board) -> bool:
    """Put what is chosen on other sheets onto this one."""
    document = board.document
    items = document.selection
    remarks = _remarks_elsewhere(board)
    done = _do(board, partial(things_to_sheet, document.snapshot(), elsewhere(board), remarks, document.sheet))
    if done:
        grasp_items(board, items)
    return done


def lead_anew(board: Board) -> bool:
    """Find the chosen runs a way again; of chosen symbols all their runs."""
    document = board.document
    runs = dict.fromkeys(chosen_runs(board))
    for item in document.selection:
        runs.update(dict.fromkeys(document.installation.runs_at(item)))
    shown = {part.run for part in board.scene_now().parts_on(document.sheet)}
    wanted = tuple(run for run in runs if run in shown)
    if not wanted:
        return _say(board, _("No run of this sheet is chosen."))
    return _do(board, partial(changes.lead_anew, document.snapshot(), wanted, document.sheet))


# -- for menus and keys ---------------------------------------------------------------------------------------------
def cursor_spot(board: Board) -> Spot:
    """Where the keyboard's pointer is, or the mouse where that is not shown."""
    return board.spot_at(board.cursor_column, board.cursor_row)
