"""Leading a run over a sheet: by hand, or found again."""

from __future__ import annotations

from collections.abc import Iterable

from app.drawing.changes.room import area_of, inside, sheet_named, sheet_record
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.together import lead_together
from app.drawing.changes.ways import Ways, keep_route, route_of
from app.drawing.placed import Piece, Point, Scene
from engine.edits import EditError, Several
from engine.edits.draft import Draft, highest_id
from engine.edits.removing import named
from engine.geometry import squared, turns
from engine.installation import End, Snapshot
from engine.words import _

__all__ = ["check_corners", "lead", "lead_anew"]


def check_corners(snapshot: Snapshot, sheet: str, corners: Iterable[Point]) -> tuple[Point, ...]:
    """The corners, if all lie on the sheet. Raises `EditError`."""
    made = tuple((int(x), int(y)) for x, y in corners)
    area = area_of(snapshot, sheet)
    if not all(inside(p, area) for p in made):
        raise EditError(
            _("The run would leave the drawing area of {sheet}.").format(sheet=sheet_named(snapshot, sheet))
        )
    return made


def lead(snapshot: Snapshot, run: str, sheet: str, corners: Iterable[Point], *, last_id: int | None = None) -> Several:
    """Lead a run over these corners, from its `from` end to its `to` end; they stay when an end moves.

    Of a run that is broken off here, the corners of one part, its arrow's point last (of the part at the `to` end:
    first). `last_id` is the number of the last id made, the highest of the snapshot where it is not told.
    """
    sheet_record(snapshot, sheet)
    record = snapshot.runs.get(run)
    if record is None:
        raise EditError(_("There is no run {id!r}.").format(id=run))
    points = list(check_corners(snapshot, sheet, corners))
    scene = scene_of(snapshot, sheet)
    draft = Draft(snapshot, highest_id(snapshot) if last_id is None else last_id)
    starts, stops = (
        _here(scene.of.get(record.from_end.equipment, []), record.from_end, sheet),
        _here(scene.of.get(record.to_end.equipment, []), record.to_end, sheet),
    )
    words = _("Lead {run} by hand").format(run=named(snapshot, [run]))
    name = named(snapshot, [run])
    if not starts and not stops:
        raise EditError(_("{run} is not drawn on {sheet}.").format(run=name, sheet=sheet_named(snapshot, sheet)))
    known = route_of(draft, run, sheet)
    old = snapshot.routes.get(known)
    if starts and stops:
        part = next((p for p in scene.parts_on(sheet) if p.run == run), None)
        start = next((p for p in starts if part is not None and p.id in (part.near, part.far)), starts[0])
        stop = next((p for p in stops if part is not None and p.id in (part.near, part.far)), stops[0])
        first = points[0] if points else (stop.placement.x, stop.placement.y)
        last = points[-1] if points else (start.placement.x, start.placement.y)
        begin = start.meets(record.from_end.terminal, first)
        end = stop.meets(record.to_end.terminal, last)
        if old is not None and old.gap is not None and points:
            made = _one_part(points, begin, end, [(b.x, b.y) for b in old.bends], old.gap)
            if made is not None:
                keep_route(draft, run, sheet, made[0], gap=made[1], by_hand=True)
                return draft.done(words)
        made_points = turns(squared([begin, *points, end]))
        if len(made_points) < 2:
            raise EditError(_("{run} would have no length on the sheet.").format(run=name))
        bends = made_points[1:-1] or tuple(points[:1])
        keep_route(draft, run, sheet, bends, by_hand=True)
        return draft.done(words)
    if not points:
        raise EditError(_("{run} needs a point where it is broken off.").format(run=name))
    if starts:
        begin = starts[0].meets(record.from_end.terminal, points[0])
        made_points = turns(squared([begin, *points]))
        bends = made_points[1:]
    else:
        end = stops[0].meets(record.to_end.terminal, points[-1])
        made_points = turns(squared([end, *reversed(points)]))
        bends = made_points[:0:-1]
    if not bends:
        raise EditError(_("{run} would have no length on the sheet.").format(run=name))
    keep_route(draft, run, sheet, bends, by_hand=True)
    return draft.done(words)


def _here(pieces: list[Piece], end: End, sheet: str) -> list[Piece]:
    return [p for p in pieces if p.placement.sheet == sheet and p.shows(end.terminal)]


def _one_part(
    points: list[Point], begin: Point, end: Point, old: list[Point], gap: int
) -> tuple[list[Point], int] | None:
    """Corners of a run that stays broken, where `points` are those of one of its two parts; `None` for the whole."""
    at_begin = begin[0] == points[0][0] or begin[1] == points[0][1]
    at_end = end[0] == points[-1][0] or end[1] == points[-1][1]
    if at_begin == at_end:
        return None
    if at_begin:
        first = list(turns(squared([begin, *points]))[1:])
        return ([*first, *old[gap:]], len(first)) if first else None
    last = list(turns(squared([end, *reversed(points)]))[:0:-1])
    return ([*old[:gap], *last], gap) if last else None


def lead_anew(snapshot: Snapshot, runs: Iterable[str], sheet: str, *, last_id: int | None = None) -> Several:
    """Find runs a way again; what was set by hand is given up. One that finds none is drawn with arrows.

    A way that none is better than is kept.
    """
    sheet_record(snapshot, sheet)
    wanted = [item for item in dict.fromkeys(runs) if item in snapshot.runs]
    if not wanted:
        raise EditError(_("There is no run to lead anew."))
    draft = Draft(snapshot, highest_id(snapshot) if last_id is None else last_id)
    scene = scene_of(snapshot, sheet)
    # the arrow of one that leads to another sheet stays where it is
    there = {
        p.run for p in scene.parts_on(sheet) if p.kind != "whole" and p.run not in _both_here(scene, sheet, wanted)
    }
    leading = [item for item in wanted if item not in there]
    ways = Ways(draft, sheet, leading, scene=scene)
    now = {p.run: p.points for p in ways.scene.parts_on(sheet) if p.run in set(wanted) and p.kind == "whole"}
    lead_together(ways, leading, now=now, thorough=True)
    return draft.done(_("Lead {runs} anew").format(runs=named(snapshot, wanted)))


def _both_here(scene: Scene, sheet: str, runs: Iterable[str]) -> set[str]:
    """Runs that have symbols for both their ends on a sheet."""
    found: set[str] = set()
    for item in runs:
        run = scene.snapshot.runs[item]
        if all(_here(scene.of.get(end.equipment, []), end, sheet) for end in (run.from_end, run.to_end)):
            found.add(item)
    return found
