"""Tidy: a sheet, or what is chosen on it, laid out so that it reads easily. One edit, or a sentence why not.

Sources below, buses across, devices over them, loads on top, as in a layout of a whole drawing; but everything stays
on its sheet and keeps its id, and what was not chosen stays where it is. Several ways to use the room are tried, and
the best by score is compared with what stands there: where that is no worse, nothing is changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

import msgspec

from app.drawing.area import Area, drawing_area
from app.drawing.blocks import Part, Track
from app.drawing.changes.scenes import scene_of
from app.drawing.layout import route_bends
from app.drawing.pieces import Pieces
from app.drawing.placed import Piece, RunPart, Scene
from app.drawing.routes import find_missing
from app.drawing.sheets import grid_of
from app.drawing.tidy.columns import Memo
from app.drawing.tidy.fixed import Fixed, what_stays
from app.drawing.tidy.leading import lead_between
from app.drawing.tidy.plans import Unit, plans, units_of
from app.drawing.tidy.score import BEND, BROKEN, EMPTY, LENGTH, UPRIGHT, Score, score_of
from app.drawing.tidy.setting import Laid, set_apart, set_in_rows
from app.drawing.tidy.taking import parts_of, taken_apart
from engine.edits import EditError, Several
from engine.edits.draft import Draft, highest_id
from engine.edits.removing import named
from engine.geometry import overlaps
from engine.installation import Bend, Route, Snapshot
from engine.pausing import giving_way, pause
from engine.words import _

__all__ = ["AlreadyTidy", "Tidied", "standing", "tidied", "tidy_sheet"]

_SCORED = 4  # plans that are drawn with their labels; the others are left by a rougher measure
_MANY = 80  # symbols from which on half as many are drawn
_RATHER = 1e-6


class AlreadyTidy(EditError):
    """What stands there is as good as anything that was tried: not a fault, and nothing is changed."""


class Tidied(NamedTuple):
    """The edit, and the sheet after it as numbers."""

    edit: Several
    after: Score


def tidied(
    snapshot: Snapshot,
    sheet: str,
    placements: Iterable[str] | None = None,
    go_on: Callable[[], object] | None = None,
) -> Several:
    """The edit that lays out a sheet, or of it the symbols that are given, anew. `go_on` may raise to stop.

    Raises `EditError` where it finds no room, `AlreadyTidy` where what stands there is no worse.
    """
    return tidy_sheet(snapshot, sheet, placements, go_on).edit


def tidy_sheet(
    snapshot: Snapshot,
    sheet: str,
    placements: Iterable[str] | None = None,
    go_on: Callable[[], object] | None = None,
) -> Tidied:
    """The same with the score it was chosen by."""
    record = snapshot.sheets.get(sheet)
    if record is None:
        raise EditError(_("There is no sheet to tidy."))
    here = [item for item, p in snapshot.placements.items() if p.sheet == sheet and p.equipment in snapshot.equipment]
    if not here:
        raise EditError(_("There is nothing on sheet {number} to tidy.").format(number=record.number))
    wanted = set(here) if placements is None else set(placements) & set(here)
    if not wanted:
        raise EditError(_("Nothing on sheet {number} is chosen.").format(number=record.number))
    if go_on is None:  # who has it done has said already what is called now and then
        return _best(snapshot, sheet, wanted)
    with giving_way(go_on):
        return _best(snapshot, sheet, wanted)


def standing(snapshot: Snapshot, sheet: str) -> Scene:
    """A sheet as it is drawn: runs without a way have found one."""
    scene = scene_of(snapshot, sheet)
    find_missing(scene, {item: grid_of(record) for item, record in scene.sheets})
    return scene


def _best(snapshot: Snapshot, sheet: str, wanted: set[str]) -> Tidied:
    scene = scene_of(snapshot, sheet)
    area = drawing_area(snapshot.sheets[sheet].size)
    pieces = taken_apart(scene, sheet)
    fixed = what_stays(scene, sheet, wanted)
    tried = _tried(scene, sheet, pieces, area, fixed)
    if not tried and score_of(standing(snapshot, sheet), sheet, pause).overlaps:
        raise EditError(
            _(
                "There is no room on sheet {number} to lay it out anew: it needs a larger sheet, or fewer things on it."
            ).format(number=snapshot.sheets[sheet].number)
        )
    best: Tidied | None = None
    words = _("Tidy sheet {number}").format(number=snapshot.sheets[sheet].number)
    if fixed.symbols:
        names = named(snapshot, [snapshot.placements[i].equipment for i in snapshot.placements if i in wanted])
        words = _("Tidy {names}").format(names=names)
    joined = _ends_of(scene, sheet)
    scored = _SCORED if len(wanted) < _MANY else _SCORED // 2
    for n, laid in enumerate(tried[:scored]):
        pause(n, scored)
        lost = lead_between(snapshot, pieces, area, laid, fixed)
        draft = _drafted(snapshot, sheet, laid, lost)
        after = standing(draft.snapshot(), sheet)
        if _ends_of(after, sheet) != joined:
            continue
        score = score_of(after, sheet, pause)
        if not score.overlaps and (best is None or score.cost < best.after.cost - _RATHER):
            best = Tidied(draft.done(words), score)
    if best is None or not _is_worse(snapshot, scene, sheet, best.after.cost):
        raise AlreadyTidy(_("This is already as tidy as this program can make it; nothing is changed."))
    return best


def _is_worse(snapshot: Snapshot, scene: Scene, sheet: str, cost: float) -> bool:
    """Whether what stands there costs more: first by what is quickly found, which is never more than the whole."""
    if score_of(scene, sheet, labels=False).cost + _unled_cost(scene, sheet) > cost + _RATHER:
        return True
    whole = standing(snapshot, sheet)
    if score_of(whole, sheet, labels=False).cost > cost + _RATHER:
        return True
    return score_of(whole, sheet, pause).cost > cost + _RATHER


def _unled_cost(scene: Scene, sheet: str) -> float:
    """What runs without a way will cost at least, however they are led: the straight way, or two arrows."""
    total = 0.0
    for run in scene.unrouted:
        starts = [p for p in scene.made[run].starts if p.placement.sheet == sheet]
        stops = [p for p in scene.made[run].stops if p.placement.sheet == sheet]
        record = scene.snapshot.runs[run]
        ways = [_apart(a, record.from_end.terminal, b, record.to_end.terminal) for a in starts for b in stops]
        total += min([BROKEN, *(LENGTH * way for way in ways)]) if ways else 0.0
    return total


def _apart(one: Piece, at_one: str, other: Piece, at_other: str) -> int:
    """Steps between two terminals, along the grid."""
    b = other.placement
    x, y = one.meets(at_one, (b.x, b.y))
    to_x, to_y = other.meets(at_other, (x, y))
    x, y = one.meets(at_one, (to_x, to_y))
    return abs(x - to_x) + abs(y - to_y)


def _tried(scene: Scene, sheet: str, pieces: Pieces, area: Area, fixed: Fixed) -> list[Laid]:
    """The ways in which everything has room, the best by a rough measure first."""
    near = {p.id: (p.placement.x, p.placement.y) for p in scene.on(sheet)} if fixed.symbols else None
    memo = Memo()
    for stage in plans(crowded=len(scene.on(sheet)) >= _MANY):
        found: list[Laid] = []
        for n, plan in enumerate(stage):
            pause(n, len(stage))
            units = units_of(scene, sheet, pieces, plan, area, fixed, memo)
            for laid in _set(units, area, fixed, near) if units else ():
                if all(laid.items != other.items for other in found):
                    found.append(laid)
        if found:
            return sorted(found, key=_roughly(area))
    return []


def _set(units: Sequence[Unit], area: Area, fixed: Fixed, near: dict[str, tuple[int, int]] | None = None) -> list[Laid]:
    made = []
    if not fixed.symbols:
        # what feeds stands below; parts of a panel are read downward
        ways = (True, False) if units[0].stores else (False, True)
        made = [set_in_rows(units, area, main_below=below) for below in ways[: len(units)]]
        made = [laid for laid in made if laid is not None and not overlaps([r.box for r in laid.rooms], fixed.boxes)]
    if not made:
        made = [set_apart(units, area, fixed.taken, near)]
    return [laid for laid in made if laid is not None]


def _roughly(area: Area) -> Callable[[Laid], float]:
    """About what a layout will cost, labels and crossings aside."""

    def cost(laid: Laid) -> float:
        lines = [pair for t in laid.tracks for pair in pairwise(t.points)]
        length = sum(abs(ax - bx) + abs(ay - by) for (ax, ay), (bx, by) in lines)
        bends = sum(len(t.points) - 2 for t in laid.tracks)
        ends = [t.run for t in laid.tracks if t.part != "whole"]
        boxes = [r.box for r in laid.rooms]
        wide = max(b.right for b in boxes) - min(b.left for b in boxes)
        high = max(b.bottom for b in boxes) - min(b.top for b in boxes)
        use = (min(1.0, wide / area.width) + min(1.0, high / area.height)) / 2
        upright = sum(r.kind == "label" and r.box.bottom - r.box.top > r.box.right - r.box.left for r in laid.rooms)
        return (
            LENGTH * length
            + UPRIGHT * upright
            + BEND * bends
            + BROKEN * (len(ends) - len(set(ends)))
            + EMPTY * 100 * (1 - use)
        )

    return cost


# -- the edit -------------------------------------------------------------------------------------------------------
def _drafted(snapshot: Snapshot, sheet: str, laid: Laid, lost: Sequence[str]) -> Draft:
    """The edit. Runs that were `lost` are led as they would be if they had no route."""
    draft = Draft(snapshot, highest_id(snapshot))
    for item in laid.items:
        old = snapshot.placements[item.piece]
        draft.put(
            "placements",
            item.piece,
            msgspec.structs.replace(
                old,
                x=item.x,
                y=item.y,
                rotation=item.rotation,
                mirrored=item.mirrored,
                length=old.length if item.length is None else item.length,
                label=None,
            ),
        )
    known = {r.run: i for i, r in snapshot.routes.items() if r.sheet == sheet}
    of: dict[str, dict[Part, Track]] = {}
    for track in laid.tracks:
        of.setdefault(track.run, {})[track.part] = track
    for run, tracks in of.items():
        bends, gap = route_bends(tracks)
        _lead(draft, sheet, known, run, bends, gap)
    if lost:
        bare = Draft(draft.snapshot())
        for run in lost:
            if run in known:
                bare.put("routes", known[run], None)
        found = parts_of(standing(bare.snapshot(), sheet), sheet)
        for run in lost:
            if run in found:
                _lead(draft, sheet, known, run, *_as_routed(found[run]))
    return draft


def _as_routed(parts: Sequence[RunPart]) -> tuple[tuple[Bend, ...], int | None]:
    """Corners of a run that is drawn so, and how many stand before a gap."""
    of: dict[Part, Track] = {part.kind: Track(part.run, part.kind, part.points, True) for part in parts}
    return route_bends(of)


def _lead(draft: Draft, sheet: str, known: dict[str, str], run: str, bends: tuple[Bend, ...], gap: int | None) -> None:
    if run in known:
        draft.change("routes", known[run], bends=bends, gap=gap, by_hand=False, label=None)
    else:
        draft.add("routes", Route(run=run, sheet=sheet, bends=bends, gap=gap))


def _ends_of(scene: Scene, sheet: str) -> dict[str, set[tuple[str, str]]]:
    """Which symbols each run of a sheet joins: as before, or something has come loose."""
    found: dict[str, set[tuple[str, str]]] = {}
    for run, parts in parts_of(scene, sheet).items():
        for part in parts:
            other = "to" if part.kind == "from" else "from"
            ends = {("from", part.near), ("to", part.far)}
            if part.kind != "whole":
                ends = {(part.kind, part.near), *([(other, part.far)] if part.far else [])}
            found.setdefault(run, set()).update(ends)
    return found
