"""What is on no sheet put on sheets of its own in one go, behind those there are."""

from __future__ import annotations

import msgspec

from app.drawing.layout import lay_out, sheet_records
from engine.edits import EditError, Put, Several
from engine.installation import Snapshot
from engine.words import _, ngettext

__all__ = ["on_no_sheet", "put_on_sheets"]


def on_no_sheet(snapshot: Snapshot) -> tuple[str, ...]:
    """Ids of the equipment that has no symbol on any sheet."""
    placed = {placement.equipment for placement in snapshot.placements.values()}
    return tuple(item for item, record in snapshot.equipment.items() if item not in placed and record.KIND)


def put_on_sheets(snapshot: Snapshot, last_id: int) -> Several:
    """The edit; what is drawn stays as it is. Runs to what is drawn lead there by reference.

    Raises `EditError` where everything is on a sheet.
    """
    items = on_no_sheet(snapshot)
    if not items:
        raise EditError(_("Everything is on a sheet."))
    words = ngettext(
        "Put {n} piece of equipment on sheets", "Put {n} pieces of equipment on sheets", len(items)
    ).format(n=len(items))
    if not snapshot.placements:
        return Several((lay_out(snapshot, last_id),), words)
    alone = set(items)
    tables = snapshot.tables | {
        "equipment": {item: snapshot.equipment[item] for item in items},
        "runs": {
            item: run
            for item, run in snapshot.runs.items()
            if run.from_end.equipment in alone and run.to_end.equipment in alone
        },
        "sheets": {},
        "placements": {},
        "routes": {},
        "remarks": {},
    }
    highest = max(sheet.number for sheet in snapshot.sheets.values())
    edits = []
    for put in sheet_records(Snapshot(tables=tables, lone=snapshot.lone), last_id):
        if put.table == "sheets" and put.record is not None:
            moved = msgspec.structs.replace(put.record, number=put.record.number + highest)
            put = Put("sheets", put.id, moved)
        edits.append(put)
    return Several(tuple(edits), words)
