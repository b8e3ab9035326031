"""The set of sheets: their order, their titles, their paper. References follow: sheet numbers are counted."""

from __future__ import annotations

from typing import Any

from app.drawing.changes.room import area_of, sheet_named, sheet_record
from app.drawing.changes.scenes import scene_of
from app.drawing.frame import SIZES
from app.drawing.whole.on_paper import off_paper as reaching_out
from engine.edits import EditError, Several
from engine.edits.draft import Draft
from engine.installation import Snapshot
from engine.picture import Box
from engine.words import _

__all__ = ["in_order", "move_sheet", "off_paper", "resize_sheet", "retitle_sheet", "room_taken"]


def in_order(snapshot: Snapshot) -> list[str]:
    """Ids of the sheets as they are numbered."""
    return sorted(snapshot.sheets, key=lambda s: (snapshot.sheets[s].number, _number(s)))


def move_sheet(snapshot: Snapshot, sheet: str, place: int) -> Several:
    """Give a sheet another place in the set, counted from 1; past either end it is the first or the last.

    Raises `EditError` where it stands there already.
    """
    sheet_record(snapshot, sheet)
    order = in_order(snapshot)
    before = order.index(sheet) + 1
    place = min(max(place, 1), len(order))
    if place == before:
        if place == 1:
            words = _("{sheet} is the first of the set.")
        elif place == len(order):
            words = _("{sheet} is the last of the set.")
        else:
            words = _("{sheet} stands there already.")
        raise EditError(words.format(sheet=sheet_named(snapshot, sheet).capitalize()))
    order.insert(place - 1, order.pop(before - 1))
    draft = Draft(snapshot)
    for number, item in enumerate(order, 1):
        if snapshot.sheets[item].number != number:
            draft.change("sheets", item, number=number)
    return draft.done(_("Make sheet {before} sheet {after}").format(before=before, after=place))


def retitle_sheet(snapshot: Snapshot, sheet: str, title: str) -> Several:
    """Another title; what is written on several lines becomes one. Nothing where it is the same."""
    record = sheet_record(snapshot, sheet)
    title = " ".join(title.split())
    draft = Draft(snapshot)
    if title != record.title:
        draft.change("sheets", sheet, title=title)
    number = in_order(snapshot).index(sheet) + 1
    words = _("Name sheet {number} “{title}”") if title else _("Take the title of sheet {number} away")
    return draft.done(words.format(number=number, title=title))


def resize_sheet(snapshot: Snapshot, sheet: str, size: str) -> Several:
    """Other paper; what stands on the sheet stays where it is (`off_paper` tells what does not fit then)."""
    sheet_record(snapshot, sheet)
    if size not in SIZES:
        raise EditError(
            _("There is no paper size “{size}”: sheets are {sizes}.").format(size=size, sizes=", ".join(SIZES))
        )
    draft = Draft(snapshot)
    paper_size: Any = size
    draft.change("sheets", sheet, size=paper_size)
    number = in_order(snapshot).index(sheet) + 1
    return draft.done(_("Make sheet {number} {size}").format(number=number, size=size))


def off_paper(snapshot: Snapshot, sheet: str, size: str = "") -> list[str]:
    """Names of equipment and runs that reach out of the drawing area of a sheet, were its paper `size`."""
    return reaching_out(scene_of(snapshot, sheet), sheet, size or snapshot.sheets[sheet].size)


def room_taken(snapshot: Snapshot, sheet: str) -> float:
    """What share of the drawing area lies within the reach of what stands on a sheet; more than 1 reaches out of it."""
    scene = scene_of(snapshot, sheet)
    boxes = [piece.box for piece in scene.on(sheet)]
    boxes += [Box(x, y, x, y) for part in scene.parts_on(sheet) for x, y in part.points]
    if not boxes:
        return 0.0
    area = area_of(snapshot, sheet)
    wide = max(b.right for b in boxes) - min(b.left for b in boxes)
    high = max(b.bottom for b in boxes) - min(b.top for b in boxes)
    return max(wide, 1.0) * max(high, 1.0) / ((area.right - area.left) * (area.bottom - area.top))


def _number(item: str) -> int:
    return int(item[1:]) if item[1:].isdecimal() and item[1:].isascii() else 0
