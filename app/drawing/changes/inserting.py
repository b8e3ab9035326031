"""What stands on the sheet without a run put into one; the lengths of a parted run, where they are known."""

from __future__ import annotations

from collections.abc import Callable

import msgspec

from app.drawing.changes.made import Made
from app.drawing.changes.placing import into_run, pairs_through
from app.drawing.changes.room import sheet_record
from app.drawing.placed import Point
from engine.edits import EditError, Put, Several
from engine.edits.draft import Draft
from engine.edits.removing import named
from engine.installation import Placement, Run, Snapshot
from engine.words import _

__all__ = ["insert", "is_alone", "parted_known", "passes"]


def is_alone(snapshot: Snapshot, placement: str) -> bool:
    """Whether no run arrives at the equipment of a symbol, and it has no other."""
    symbol = snapshot.placements.get(placement)
    if symbol is None:
        return False
    item = symbol.equipment
    if any(item in (r.from_end.equipment, r.to_end.equipment) for r in snapshot.runs.values()):
        return False
    return sum(p.equipment == item for p in snapshot.placements.values()) == 1


def passes(snapshot: Snapshot, placement: str, run: str) -> bool:
    """Whether a run can pass through the equipment of a symbol."""
    try:
        return bool(pairs_through(snapshot, snapshot.equipment[snapshot.placements[placement].equipment], run))
    except EditError:
        return False


def insert(snapshot: Snapshot, last_id: int, placement: str, run: str, at: Point) -> Made:
    """Move a symbol that no run arrives at onto a run: the run is parted at it, both parts of unknown length.

    Raises `EditError` where the run cannot pass through it.
    """
    symbol: Placement | None = snapshot.placements.get(placement)
    if symbol is None:
        raise EditError(_("There is no such symbol."))
    sheet_record(snapshot, symbol.sheet)
    record = snapshot.equipment[symbol.equipment]
    if not is_alone(snapshot, placement):
        raise EditError(
            _("{name} is joined already; only what no run arrives at can be put into one.").format(
                name=named(snapshot, [symbol.equipment])
            )
        )
    draft = Draft(snapshot, last_id)
    made = into_run(draft, symbol.equipment, record, symbol.sheet, at, 0, False, run, placement)
    words = _("Put {name} into {run}").format(name=named(snapshot, [symbol.equipment]), run=named(snapshot, [run]))
    return made._replace(edit=Several(made.edit.edits, words))


def parted_known(snapshot: Snapshot, made: Made, run: str, change: Callable[[Run], Run]) -> Made:
    """After a run was parted: `change` says what is known of the part from its `from` end to the device.

    Where that part's length is told and the whole length was known, the other part has the rest; else it stays unknown.
    """
    whole: Run = snapshot.runs[run]
    edits = list(made.edit.edits)
    places = {
        put.id: n
        for n, put in enumerate(edits)
        if isinstance(put, Put) and put.table == "runs" and put.record is not None
    }
    near = edits[places[run]]
    told = change(near.record)
    edits[places[run]] = Put("runs", run, told, near.words)
    rest = next((item for item in places if item != run and item in made.items), "")
    if told.length_m is not None and whole.length_m is not None and rest:
        if told.length_m >= whole.length_m:
            raise EditError(
                _("{run} is not that long: the part up to the device is shorter than the whole.").format(
                    run=named(snapshot, [run])
                )
            )
        far = edits[places[rest]]
        origins = dict(far.record.origins)
        if whole.origin("length_m"):
            origins["length_m"] = whole.origin("length_m")
        left = msgspec.structs.replace(
            far.record, length_m=whole.length_m - told.length_m, origins=tuple(sorted(origins.items()))
        )
        edits[places[rest]] = Put("runs", rest, left, far.words)
    return made._replace(edit=Several(tuple(edits), made.edit.words))
