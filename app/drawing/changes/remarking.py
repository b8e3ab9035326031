"""Remarks on a sheet: written, written anew, moved with what else is chosen."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from app.drawing.added.remarks import words_box
from app.drawing.changes.made import Made
from app.drawing.changes.moving import move
from app.drawing.changes.room import area_of, inside, sheet_named, sheet_record
from app.drawing.changes.sheeting import to_sheet
from app.drawing.looks import STEP
from engine.edits import Edit, EditError, Put, SetFields, Several
from engine.edits.draft import Draft
from engine.edits.removing import drop, named
from engine.installation import Remark, Snapshot
from engine.naming import called_remark, title_of
from engine.words import _

__all__ = ["LEAST_WIDTH", "move_things", "point_at", "remark_at", "remarks_to_sheet", "rewrite", "things_to_sheet",
           "write"]  # fmt: skip

LEAST_WIDTH = 6  # grid steps a new remark is wide at least


def remark_at(snapshot: Snapshot, sheet: str, column: int, row: int, text: str = "") -> Remark:
    """A remark as it would stand: its corner inside the drawing area, not wider than what is left of that."""
    sheet_record(snapshot, sheet)
    area = area_of(snapshot, sheet)
    made = Remark(sheet=sheet, text=text)
    x = min(max(column, int(area.left)), int(area.right) - LEAST_WIDTH)
    y = min(max(row, int(area.top)), int(area.bottom) - 2)
    return msgspec.structs.replace(made, x=x, y=y, width=min(made.width, int(area.right) - x))


def write(snapshot: Snapshot, last_id: int, remark: Remark) -> Made:
    """Put a new remark on its sheet. Raises `EditError` where it says nothing, or there is no sheet."""
    sheet_record(snapshot, remark.sheet)
    if not remark.text.strip():
        raise EditError(_("A remark that says nothing is not written."))
    draft = Draft(snapshot, last_id)
    item = draft.add("remarks", remark)
    return Made(draft.done(_("Write {remark}").format(remark=called_remark(remark.text))), (item,))


def rewrite(snapshot: Snapshot, item: str, text: str) -> Edit | None:
    """Give a remark other words, `None` where they are the same; one that says nothing any more goes."""
    remark = snapshot.remarks.get(item)
    if remark is None:
        raise EditError(_("The remark is no longer on the drawing."))
    if text == remark.text:
        return None
    if not text.strip():
        draft = Draft(snapshot)
        drop(draft, [item])
        return draft.done(_("Remove {names}").format(names=called_remark(remark.text)))
    words = _("Rewrite {remark}").format(remark=called_remark(text))
    return SetFields("remarks", item, (("text", text),), words)


def move_things(snapshot: Snapshot, placements: Iterable[str], remarks: Iterable[str], dx: int, dy: int) -> Several:
    """Move symbols and remarks by grid steps, as one edit; runs follow as they do when symbols alone move."""
    symbols = tuple(placements)
    wanted = {i: snapshot.remarks[i] for i in dict.fromkeys(remarks) if i in snapshot.remarks}
    if not wanted:
        return move(snapshot, symbols, dx, dy)
    edits: list[Edit] = []
    for item, remark in wanted.items():
        moved = msgspec.structs.replace(remark, x=remark.x + dx, y=remark.y + dy)
        _refuse_outside(snapshot, moved, remark)
        edits.append(Put("remarks", item, moved))
    moving = move(snapshot, symbols, dx, dy).edits if symbols else ()
    names = named(snapshot, [*(snapshot.placements[i].equipment for i in symbols if i in snapshot.placements), *wanted])
    return Several((*moving, *edits), _("Move {names}").format(names=names))


def remarks_to_sheet(snapshot: Snapshot, remarks: Iterable[str], sheet: str) -> Several:
    """Put remarks on another sheet, where they stood as far as that sheet reaches."""
    sheet_record(snapshot, sheet)
    wanted = [i for i in dict.fromkeys(remarks) if i in snapshot.remarks and snapshot.remarks[i].sheet != sheet]
    edits = []
    for item in wanted:
        old = snapshot.remarks[item]
        at = remark_at(snapshot, sheet, old.x, old.y)
        edits.append(Put("remarks", item, msgspec.structs.replace(old, sheet=sheet, x=at.x, y=at.y)))
    names = named(snapshot, wanted)
    words = _("Put {names} on {sheet}").format(names=names, sheet=sheet_named(snapshot, sheet))
    return Several(tuple(edits), words)


def things_to_sheet(snapshot: Snapshot, placements: Iterable[str], remarks: Iterable[str], sheet: str) -> Several:
    """Put symbols and remarks on another sheet, as one edit."""
    symbols, words = tuple(placements), tuple(remarks)
    if not words:
        return to_sheet(snapshot, symbols, sheet)
    moved = remarks_to_sheet(snapshot, words, sheet)
    if not symbols:
        return moved
    with_symbols = to_sheet(snapshot, symbols, sheet)
    return Several((*with_symbols.edits, *moved.edits), with_symbols.words)


def point_at(snapshot: Snapshot, item: str, target: str) -> Edit:
    """Have a remark point at equipment or a run, "" at nothing."""
    words = _("Have {remark} point at {name}") if target else _("Have {remark} point at nothing")
    remark = called_remark(snapshot.remarks[item].text)
    name = title_of(snapshot, "runs" if target in snapshot.runs else "equipment", target) if target else ""
    return SetFields("remarks", item, (("points_at", target),), words.format(remark=remark, name=name))


def _refuse_outside(snapshot: Snapshot, remark: Remark, before: Remark) -> None:
    """A remark stays inside the drawing area; one that reaches past it may still be moved inward."""
    if remark.sheet not in snapshot.sheets:
        return
    area = area_of(snapshot, remark.sheet)
    box = words_box(remark)
    low = (round(remark.x + box.right / STEP), round(remark.y + box.bottom / STEP))
    stands = inside((remark.x, remark.y), area) and inside((min(low[0], int(area.right)), low[1]), area)
    stood = inside((before.x, before.y), area)
    if not stands and stood:
        raise EditError(
            _("It would stand outside the drawing area of {sheet}: {remark}.").format(
                remark=called_remark(remark.text), sheet=sheet_named(snapshot, remark.sheet)
            )
        )
