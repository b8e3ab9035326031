"""Pasting what was copied, here or in another drawing."""

from __future__ import annotations

import math

import msgspec

from app.drawing.changes.made import Made
from app.drawing.changes.remarking import remark_at
from app.drawing.changes.room import piece_of, sheet_record
from app.drawing.changes.sheeting import fitting_shift
from engine.edits.copying import Clip, renewed
from engine.edits.draft import Draft
from engine.edits.removing import named
from engine.installation import Bend, Placement, Snapshot
from engine.picture import Box
from engine.words import _

__all__ = ["paste"]

_TOLD = 3  # designations that are told one by one
_ASIDE = 2  # grid steps, where it would stand exactly on its like


def paste(snapshot: Snapshot, last_id: int, clip: Clip, sheet: str, column: int, row: int) -> Made:
    """What was copied, under new ids and designations, its middle at `column`, `row` or as near as the sheet lets it.

    Where it would stand exactly on its like it stands a little aside.
    """
    sheet_record(snapshot, sheet)
    draft = Draft(snapshot, last_id)
    new = renewed(draft, clip, sheet)
    placed: dict[str, Placement] = {
        made: draft.get("placements", made) for (table, _old), made in new.items() if table == "placements"
    }
    shift = (0, 0)
    if placed:
        records = draft.table("equipment")
        middle = _middle([piece_of(snapshot, p, records[p.equipment]).box for p in placed.values()])
        dx, dy = column - middle[0], row - middle[1]
        taken = {(_kind(draft, p), p.x, p.y) for p in snapshot.placements.values() if p.sheet == sheet}
        for _n in range(len(taken) + 1):
            if not any((_kind(draft, p), p.x + dx, p.y + dy) in taken for p in placed.values()):
                break
            dx, dy = dx + _ASIDE, dy + _ASIDE
        moved = {i: msgspec.structs.replace(p, x=p.x + dx, y=p.y + dy) for i, p in placed.items()}
        ex, ey = fitting_shift(snapshot, moved, sheet, records)
        shift = dx + ex, dy + ey
        for item, p in moved.items():
            draft.put("placements", item, msgspec.structs.replace(p, x=p.x + ex, y=p.y + ey))
        for (table, _old), made in new.items():
            route = draft.get("routes", made) if table == "routes" else None
            if route is not None:
                bends = tuple(Bend(x=b.x + dx + ex, y=b.y + dy + ey) for b in route.bends)
                draft.change("routes", made, bends=bends)
    words = {made: draft.get("remarks", made) for (table, _old), made in new.items() if table == "remarks"}
    if words:
        if not placed:
            left, top = min(r.x for r in words.values()), min(r.y for r in words.values())
            shift = column - left, row - top
            there = {(r.text, r.x, r.y) for r in snapshot.remarks.values() if r.sheet == sheet}
            for _n in range(len(there) + 1):
                if not any((r.text, r.x + shift[0], r.y + shift[1]) in there for r in words.values()):
                    break
                shift = shift[0] + _ASIDE, shift[1] + _ASIDE
        for item, remark in words.items():  # inside the sheet, whatever its size
            at = remark_at(snapshot, sheet, remark.x + shift[0], remark.y + shift[1])
            draft.change("remarks", item, x=at.x, y=at.y)
    items = tuple(made for table in ("equipment", "runs", "remarks") for (t, _old), made in new.items() if t == table)
    return Made(draft.done(_told(draft, clip, new, items)), items)


def _told(draft: Draft, clip: Clip, new: dict[tuple[str, str], str], items: tuple[str, ...]) -> str:
    """*Paste F7 and 2 more*; from another drawing also *F3 is called F7 here; new here: Galley*."""
    told = _("Paste {names}").format(names=named(draft.snapshot(), items))
    other = [
        _("{old} is called {new} here").format(old=clip.tables[table][old].designation, new=now)
        for (table, old), made in new.items()
        if table in ("equipment", "runs")
        and clip.tables[table][old].designation
        and (now := draft.get(table, made).designation) != clip.tables[table][old].designation
        and getattr(draft.first.tables[table].get(old), "designation", "") != clip.tables[table][old].designation
    ]
    if len(other) > _TOLD:
        other = [*other[:_TOLD], _("{n} more have other designations too").format(n=len(other) - _TOLD)]
    made_too = [draft.get(t, made).name for (t, _old), made in new.items() if t in ("places", "enclosures")]
    if made_too:
        other.append(_("new here: {names}").format(names=", ".join(made_too)))
    return "; ".join([told, *other])


def _kind(draft: Draft, placement: Placement) -> str:
    kind: str = draft.get("equipment", placement.equipment).KIND
    return kind


def _middle(boxes: list[Box]) -> tuple[int, int]:
    left, right = min(b.left for b in boxes), max(b.right for b in boxes)
    top, bottom = min(b.top for b in boxes), max(b.bottom for b in boxes)
    return math.floor((left + right) / 2 + 0.5), math.floor((top + bottom) / 2 + 0.5)
