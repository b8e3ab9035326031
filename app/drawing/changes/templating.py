"""A template drawn: laid out by itself, and set as a whole where a sheet has room; what it joins is led to."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise
from typing import Any

from app.drawing.area import drawing_area
from app.drawing.blocks import Part, Track
from app.drawing.changes.made import Made
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.ways import Ways
from app.drawing.layout import Drawn, laid, route_bends
from app.drawing.pieces import Family, Pieces
from engine.edits import Several
from engine.edits.draft import Draft
from engine.fixing.trial import after
from engine.geometry import Ground
from engine.installation import Placement, Route, Sheet, Snapshot
from engine.picture import Box, around
from engine.templates import Fitted

__all__ = ["draw_template"]

_FEW = 3  # symbols: so small a part stands beside the largest, whatever it carries
_ROUND = 5  # grid steps kept round what stands on a sheet already, for its labels


def draw_template(snapshot: Snapshot, fitted: Fitted, sheet: str = "", near: tuple[int, int] | None = None) -> Made:
    """The template's edit with its symbols and ways.

    Its largest part stands on `sheet` where that has room, its middle as near to `near` as may be; its other parts on
    sheets that hold the like (DC, AC) and have room, else on new ones. Runs to what the drawing had are led where both
    ends are on one sheet, else drawn with arrows.
    """
    now = after(snapshot, fitted.edit)
    draft = Draft(now, fitted.last_id)
    pieces, pages = laid(_alone(snapshot, now))
    tracks: dict[tuple[str, str], dict[Part, Track]] = {}
    pages_of: dict[tuple[str, str], set[int]] = {}
    used: list[str] = []
    for n, page in enumerate(sorted(pages, key=lambda p: -len(p.items))):
        box = _outline(page)
        wanted = used if n and len(page.items) <= _FEW else []
        target, left, top = _room(draft, page, box, wanted if n or not sheet else [sheet], near)
        if n == 0:  # what is small stands below it
            near = math.floor(left + (box.right - box.left) / 2), math.ceil(top + (box.bottom - box.top)) + _ROUND
        used.append(target)
        for track in _put(draft, pieces, page, target, left - math.floor(box.left), top - math.floor(box.top)):
            tracks.setdefault((track.run, target), {})[track.part] = track
            pages_of.setdefault((track.run, target), set()).add(n)
    parted = {run for run, of in pages_of.items() if len(of) > 1}
    _lead(draft, snapshot, now, tracks, parted)
    drawing = draft.done("").edits
    return Made(Several((*fitted.edit.edits, *drawing), fitted.edit.words), fitted.items)


def _alone(before: Snapshot, now: Snapshot) -> Snapshot:
    """What is new, by itself and undrawn."""
    equipment = {i: r for i, r in now.equipment.items() if i not in before.equipment}
    runs = {
        i: r
        for i, r in now.runs.items()
        if i not in before.runs and r.from_end.equipment in equipment and r.to_end.equipment in equipment
    }
    fresh: dict[str, dict[str, Any]] = {
        "equipment": equipment,
        "runs": runs,
        "sheets": {},
        "placements": {},
        "routes": {},
        "conditions": {},
    }
    return Snapshot(tables=now.tables | fresh, lone=now.lone)


def _outline(page: Drawn) -> Box:
    """Everything that a page shows, labels included, in grid steps."""
    boxes = [room.box for room in page.rooms]
    for track in page.tracks:
        boxes += [
            Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pairwise(track.points)
        ]
    boxes += [Box(item.x, item.y, item.x, item.y) for item in page.items]
    return around(boxes)


# -- where it stands --------------------------------------------------------------------------------------------------
def _room(draft: Draft, page: Drawn, box: Box, wanted: list[str], near: tuple[int, int] | None) -> tuple[str, int, int]:
    """Sheet and upper left corner for a page: one wanted, one that holds the like, an empty one, a new one."""
    sheets: dict[str, Sheet] = draft.table("sheets")
    order = sorted(sheets, key=lambda s: (sheets[s].number, s))
    kinds = {sheet: _family(draft, sheet) for sheet in order}
    alike = [s for s in order if kinds[s] == page.family] + [s for s in order if kinds[s] is None]
    for sheet in dict.fromkeys((*wanted, *alike)):
        found = _place_on(draft, sheet, box, near if sheet in wanted else None)
        if found is not None:
            return (sheet, *found)
    number = max((s.number for s in sheets.values()), default=0) + 1
    made = draft.add("sheets", Sheet(title=page.title, number=number, size=page.size))  # type: ignore[arg-type]
    found = _place_on(draft, made, box, None)
    area = drawing_area(page.size)
    return (made, *(found or (area.left, area.top)))


def _place_on(draft: Draft, sheet: str, box: Box, near: tuple[int, int] | None) -> tuple[int, int] | None:
    area = drawing_area(draft.get("sheets", sheet).size)
    ground = Ground(area.width, area.height)
    scene = scene_of(draft.snapshot(), sheet)
    taken = [piece.box for piece in scene.on(sheet)]
    for part in scene.parts_on(sheet):
        taken += [
            Box(*map(min, zip(a, b, strict=True)), *map(max, zip(a, b, strict=True))) for a, b in pairwise(part.points)
        ]
    for one in taken:
        grown = one.grown(_ROUND)
        ground.take(Box(grown.left - area.left, grown.top - area.top, grown.right - area.left, grown.bottom - area.top))
    width, height = math.ceil(box.right - box.left), math.ceil(box.bottom - box.top)
    if near is not None:
        beside = near[0] - area.left - width // 2, near[1] - area.top - height // 2
    elif not taken:
        beside = (area.width - width) // 2, (area.height - height) // 2
    else:
        beside = None
    found = ground.room(width, height, beside)
    return None if found is None else (found[0] + area.left, found[1] + area.top)


def _family(draft: Draft, sheet: str) -> Family | None:
    """What most runs of a sheet carry; `None` for a sheet without."""
    here = {p.equipment for p in draft.table("placements").values() if p.sheet == sheet}
    if not here:
        return None
    count = Counter(
        run.is_ac()
        for run in draft.table("runs").values()
        if run.from_end.equipment in here and run.to_end.equipment in here and run.function not in ("earth", "signal")
    )
    return "ac" if count[True] > count[False] else "dc"


# -- drawn ------------------------------------------------------------------------------------------------------------
def _put(draft: Draft, pieces: Pieces, page: Drawn, sheet: str, dx: int, dy: int) -> list[Track]:
    """Add the symbols of a page; returns its ways where they are now."""
    count = Counter(p.equipment for p in pieces.pieces.values())
    for each in page.items:
        piece = pieces.pieces[each.piece]
        draft.add(
            "placements",
            Placement(
                equipment=piece.equipment,
                sheet=sheet,
                terminals=() if count[piece.equipment] == 1 else piece.terminals,
                x=each.x + dx,
                y=each.y + dy,
                rotation=each.rotation,  # type: ignore[arg-type]  # quarter turns
                mirrored=each.mirrored,
                length=each.length,
            ),
        )
    return [track.moved(dx, dy) for track in page.tracks]


def _lead(
    draft: Draft,
    before: Snapshot,
    now: Snapshot,
    tracks: dict[tuple[str, str], dict[Part, Track]],
    parted: set[tuple[str, str]],
) -> None:
    """Keep the ways that the layout found; lead what joins two of its parts, or what the drawing had, on one sheet."""
    later: dict[str, list[str]] = {}
    for (run, sheet), of in tracks.items():
        if (run, sheet) in parted:
            later.setdefault(sheet, []).append(run)
        else:
            _keep(draft, run, sheet, of)
    joining = [
        item
        for item, run in now.runs.items()
        if item not in before.runs and {run.from_end.equipment, run.to_end.equipment} & before.equipment.keys()
    ]
    shown: dict[str, set[str]] = {}
    for symbol in draft.table("placements").values():
        shown.setdefault(symbol.sheet, set()).add(symbol.equipment)
    for sheet, here in shown.items():
        seen = [r for r in joining if {now.runs[r].from_end.equipment, now.runs[r].to_end.equipment} <= here]
        wanted = [*later.get(sheet, ()), *seen]
        if not wanted:
            continue
        ways = Ways(draft, sheet)
        for run in wanted:
            led = ways.lead(run) if ways.ends(draft.get("runs", run)) is not None else None
            if led is None and (run, sheet) in tracks:
                _keep(draft, run, sheet, tracks[run, sheet])


def _keep(draft: Draft, run: str, sheet: str, of: dict[Part, Track]) -> None:
    bends, gap = route_bends(of)
    draft.add("routes", Route(run=run, sheet=sheet, bends=bends, gap=gap))
