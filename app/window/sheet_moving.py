"""What is chosen goes to another sheet: a list of the sheets, a new one last."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMenu

from app.canvas.remarks import chosen_remarks
from app.drawing.changes import add_sheet
from app.drawing.changes.remarking import things_to_sheet
from engine.edits import EditError, Several
from engine.installation import Snapshot
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["choose_sheet", "move_chosen"]


def choose_sheet(window: Window) -> QMenu:
    """Show the list; a key or a click moves what is chosen there."""
    document = window.document
    menu = QMenu(window)
    menu.setObjectName("sheets_to_move_to")
    menu.setAccessibleName(_("Sheets to move to"))
    menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    sheets = document.installation.tables["sheets"]
    for n, item in enumerate(document.sheets(), 1):
        if item != document.sheet:
            title = sheets[item].title or _("without a title")
            made = menu.addAction(f"{n}  {title}".replace("&", "&&"))
            made.triggered.connect(partial(_chosen, window, item))
    menu.addSeparator()
    menu.addAction(_("A new sheet")).triggered.connect(partial(_chosen, window, ""))
    board = window.board
    box = next((b for p in board.grasped if (b := board.finder().box_of(p)) is not None), None)
    at = board.viewport().rect().center() if box is None else board.to_viewport(box.right, box.bottom).toPoint()
    if not board.viewport().rect().contains(at):
        at = board.viewport().rect().center()
    menu.popup(board.viewport().mapToGlobal(at))
    menu.setActiveAction(menu.actions()[0])
    return menu


def _chosen(window: Window, sheet: str, _checked: bool = False) -> None:
    move_chosen(window, sheet)


def move_chosen(window: Window, sheet: str) -> bool:
    """Put what is chosen on this sheet onto another, "" a new one, as one edit; then show it there, still chosen."""
    document, board = window.document, window.board
    placements, remarks = board.grasped, chosen_remarks(board)
    chosen = document.selection
    before = document.sheets()
    if not window.try_edit(partial(_moving, window, placements, remarks, sheet)):
        return False
    there = sheet or next(item for item in document.sheets() if item not in before)
    document.turn_to(there)
    document.select(*chosen)
    board.setFocus(Qt.FocusReason.OtherFocusReason)
    return True


def _moving(window: Window, placements: tuple[str, ...], remarks: tuple[str, ...], sheet: str) -> Several:
    document = window.document
    snapshot = document.snapshot()
    if not placements and not remarks:
        raise EditError(_("Nothing is chosen on this sheet."))
    if sheet:
        return things_to_sheet(snapshot, placements, remarks, sheet)
    made = add_sheet(snapshot, document.installation.last_id, size=snapshot.sheets[document.sheet].size)
    sheets = snapshot.sheets | {put.id: put.record for put in made.edit.edits if put.table == "sheets"}
    later = Snapshot(snapshot.tables | {"sheets": sheets}, snapshot.lone)
    moved = things_to_sheet(later, placements, remarks, made.items[0])
    return Several((*made.edit.edits, *moved.edits), moved.words)
