"""Sheets: one more, one less, and what stands on which."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import msgspec

from app.drawing.changes.made import Made
from app.drawing.changes.room import area_of, overhang, piece_of, sheet_named, sheet_record
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.ways import Ways, route_of
from app.drawing.frame import SIZES
from engine.edits import EditError, Several
from engine.edits.draft import Draft, highest_id
from engine.edits.removing import drop, drop_symbol, named
from engine.installation import Bend, Placement, Sheet, Snapshot
from engine.picture import Box, around
from engine.words import _, ngettext

__all__ = ["add_sheet", "remove_sheet", "to_sheet"]


def add_sheet(snapshot: Snapshot, last_id: int, title: str = "", size: str | None = None) -> Made:
    """A new sheet after the last, of the size the drawing's settings name."""
    paper: Any = size or snapshot.settings.sheet_size
    if paper not in SIZES:
        raise EditError(
            _("There is no paper size “{size}”: sheets are {sizes}.").format(size=paper, sizes=", ".join(SIZES))
        )
    draft = Draft(snapshot, last_id)
    _number_anew(draft)
    number = len(snapshot.sheets) + 1
    item = draft.add("sheets", Sheet(title=title, number=number, size=paper))
    return Made(draft.done(_("Add sheet {number}").format(number=number)), (item,))


def remove_sheet(snapshot: Snapshot, sheet: str) -> Several:
    """Take a sheet away, with the symbols and ways on it; what had a symbol only there is on no sheet then.

    Raises `EditError` for the only sheet.
    """
    record = sheet_record(snapshot, sheet)
    name = sheet_named(snapshot, sheet)
    if len(snapshot.sheets) == 1:
        raise EditError(_("{sheet} is the only one: a drawing needs a sheet.").format(sheet=name.capitalize()))
    draft = Draft(snapshot)
    here = [i for i, p in snapshot.placements.items() if p.sheet == sheet]
    for item in here:
        drop_symbol(draft, item)
    for item, route in list(draft.table("routes").items()):
        if route.sheet == sheet:
            draft.put("routes", item, None)
    drop(draft, [sheet])
    _number_anew(draft)
    shown = {p.equipment for p in draft.table("placements").values()}
    lost = {snapshot.placements[i].equipment for i in here} - shown
    words = _("Remove sheet {number}").format(number=record.number)
    if lost:
        text = ngettext("{words}; {count} piece is on no sheet", "{words}; {count} pieces are on no sheet", len(lost))
        words = text.format(words=words, count=len(lost))
    return draft.done(words)


def _number_anew(draft: Draft) -> None:
    """Sheets are numbered 1 to n in the order they are in."""
    order = sorted(draft.table("sheets").items(), key=lambda s: (s[1].number, _number(s[0])))
    for number, (item, record) in enumerate(order, 1):
        if record.number != number:
            draft.change("sheets", item, number=number)


def _number(item: str) -> int:
    return int(item[1:]) if item[1:].isdecimal() and item[1:].isascii() else 0


def to_sheet(snapshot: Snapshot, placements: Iterable[str], sheet: str) -> Several:
    """Put symbols on another sheet, where they stood as far as they fit. Runs between them go along.

    Runs to what is there already are led; those to what stays behind end in arrows.
    """
    sheet_record(snapshot, sheet)
    wanted = {
        i: snapshot.placements[i]
        for i in dict.fromkeys(placements)
        if i in snapshot.placements and snapshot.placements[i].sheet != sheet
    }
    if not wanted:
        raise EditError(
            _("There is no symbol chosen that is not on {sheet}.").format(sheet=sheet_named(snapshot, sheet))
        )
    dx, dy = fitting_shift(snapshot, wanted, sheet)
    draft = Draft(snapshot, highest_id(snapshot))
    together: set[str] = set()
    attached = _arriving(snapshot, wanted)
    for old in dict.fromkeys(p.sheet for p in wanted.values()):
        both = {
            part.run
            for part in scene_of(snapshot, old).parts_on(old)
            if all(end in wanted and wanted[end].sheet == old for end in (part.near, part.far))
        }
        for run in attached:
            known = route_of(draft, run, old)
            if not known or run in together:
                continue
            if run in both and not route_of(draft, run, sheet):
                together.add(run)
                bends = tuple(Bend(x=b.x + dx, y=b.y + dy) for b in snapshot.routes[known].bends)
                draft.change("routes", known, sheet=sheet, bends=bends)
            else:
                draft.put("routes", known, None)
    for item, p in wanted.items():
        draft.put("placements", item, msgspec.structs.replace(p, sheet=sheet, x=p.x + dx, y=p.y + dy))
    # what was led from the other sheet to an arrow there goes straight now
    anew = [run for run in attached if run not in together]
    ways = Ways(draft, sheet, anew)
    for run in anew:
        if ways.ends(draft.get("runs", run)) is None:
            known = route_of(draft, run, sheet)
            if known:
                draft.put("routes", known, None)
            continue
        for item, route in list(draft.table("routes").items()):
            if route.run == run and route.sheet != sheet:
                draft.put("routes", item, None)
        ways.lead(run)
    names = named(snapshot, [p.equipment for p in wanted.values()])
    return draft.done(_("Put {names} on {sheet}").format(names=names, sheet=sheet_named(snapshot, sheet)))


def _arriving(snapshot: Snapshot, wanted: dict[str, Placement]) -> list[str]:
    """Runs that arrive at a terminal which one of these symbols shows."""
    shown: dict[str, list[Placement]] = {}
    for p in wanted.values():
        shown.setdefault(p.equipment, []).append(p)
    return [
        run
        for run, record in snapshot.runs.items()
        if any(
            not p.terminals or end.terminal in p.terminals
            for end in (record.from_end, record.to_end)
            for p in shown.get(end.equipment, ())
        )
    ]


def fitting_shift(
    snapshot: Snapshot, wanted: dict[str, Placement], sheet: str, records: dict[str, Any] | None = None
) -> tuple[int, int]:
    """How far a group must be moved to stand inside a sheet: (0, 0) where it does. Raises `EditError` if it cannot."""
    equipment = snapshot.equipment if records is None else records
    boxes = [piece_of(snapshot, p, equipment[p.equipment]).box for p in wanted.values()]
    whole = around(boxes)
    area = area_of(snapshot, sheet)
    dx = _into(whole.left, whole.right, area.left, area.right)
    dy = _into(whole.top, whole.bottom, area.top, area.bottom)
    moved = Box(whole.left + dx, whole.top + dy, whole.right + dx, whole.bottom + dy)
    if overhang(moved, area):
        raise EditError(
            _("There is no room for it on {sheet}: it is larger than the drawing area.").format(
                sheet=sheet_named(snapshot, sheet)
            )
        )
    return dx, dy


def _into(low: float, high: float, least: float, most: float) -> int:
    if low < least - 0.5:
        return math.ceil(least - 0.5 - low)
    if high > most + 0.5:
        return -math.ceil(high - most - 0.5)
    return 0
