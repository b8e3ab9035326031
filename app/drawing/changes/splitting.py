"""A run parted in two by what is put into it. Both lengths are unknown then: what is drawn is no cable length."""

from __future__ import annotations

from typing import NamedTuple

import msgspec

from app.drawing.changes.room import sheet_named
from app.drawing.changes.ways import Ways, bring_on_line, keep_route, route_of
from app.drawing.placed import Point, RunPart, Scene
from engine.edits import EditError
from engine.edits.designations import next_designation
from engine.edits.draft import Draft
from engine.edits.removing import named
from engine.installation import End, Route, Run
from engine.words import _

__all__ = ["Cut", "cut_at", "split"]


class Cut(NamedTuple):
    """A point on a run as a sheet shows it."""

    part: RunPart
    stretch: int  # of `part.points`
    at: Point
    upright: bool
    to_from: Point  # the step along the line towards the run's `from` end

    @property
    def ends(self) -> tuple[Point, Point]:
        """The two ends of the stretch, the one towards the run's `from` end first."""
        a, b = self.part.points[self.stretch], self.part.points[self.stretch + 1]
        return (b, a) if self.part.kind == "to" else (a, b)


def cut_at(scene: Scene, sheet: str, run: str, at: Point) -> Cut:
    """The point of a run nearest to `at`. Raises `EditError` where the sheet does not show the run."""
    best: tuple[int, Cut] | None = None
    for part in scene.parts_on(sheet):
        if part.run != run:
            continue
        n, near = bring_on_line(part.points, at)
        (ax, ay), (bx, by) = part.points[n], part.points[n + 1]
        step = ((ax > bx) - (ax < bx), (ay > by) - (ay < by))
        if part.kind == "to":
            step = -step[0], -step[1]
        far = abs(near[0] - at[0]) + abs(near[1] - at[1])
        if best is None or far < best[0]:
            best = far, Cut(part, n, near, ax == bx, step)
    if best is None:
        raise EditError(
            _("{run} is not drawn on {sheet}.").format(
                run=named(scene.snapshot, [run]), sheet=sheet_named(scene.snapshot, sheet)
            )
        )
    return best[1]


def split(draft: Draft, sheet: str, cut: Cut, near: End, far: End, near_tip: Point, far_tip: Point) -> str:
    """Part a run at what stands between: it ends at `near` now, a new run goes on from `far`; returns the new id.

    The tips are where those two terminals are drawn. Everything else recorded of the run holds for both, except the
    lengths.
    """
    item = cut.part.run
    old: Run = draft.get("runs", item)
    parted = msgspec.structs.replace(
        old,
        length_m=None,
        places=tuple(msgspec.structs.replace(p, length_m=None, unsheathed_m=None) for p in old.places),
        origins=tuple(
            (field, origin)
            for field, origin in old.origins
            if not field.startswith(("length_m", "places")) or (field == "places" and not _measured(old))
        ),
    )
    draft.put("runs", item, msgspec.structs.replace(parted, to_end=near, origins=_without(parted, "to")))
    new = draft.add(
        "runs",
        msgspec.structs.replace(
            parted,
            from_end=far,
            designation=next_designation(draft.snapshot(), "W"),
            origins=_without(parted, "from"),
        ),
    )
    _share_ways(draft, sheet, cut, item, new, near_tip, far_tip)
    return new


def _measured(run: Run) -> bool:
    return any(p.length_m is not None or p.unsheathed_m is not None for p in run.places)


def _without(run: Run, end: str) -> tuple[tuple[str, object], ...]:
    """Where values come from, those of an end that is another one now left out."""
    return tuple((field, origin) for field, origin in run.origins if field.split(".")[0] not in (end, f"{end}_end"))


def _share_ways(draft: Draft, sheet: str, cut: Cut, old: str, new: str, near_tip: Point, far_tip: Point) -> None:
    """What was the way of one run becomes the ways of two."""
    part, n = cut.part, cut.stretch
    here = route_of(draft, old, sheet)
    route: Route | None = draft.get("routes", here) if here else None
    by_hand = route is not None and route.by_hand
    bends = [(b.x, b.y) for b in route.bends] if route is not None else []
    gap = route.gap if route is not None else None
    if part.kind != "to" and gap is None:  # the other end, and its arrow on another sheet, belong to the new run
        for item, other in list(draft.table("routes").items()):
            if other.run == old and other.sheet != sheet:
                draft.put("routes", item, msgspec.structs.replace(other, run=new))
    tips = (near_tip, far_tip) if part.kind != "to" else (far_tip, near_tip)
    pointlike = near_tip == far_tip
    first = _reaching(part.points[: n + 1], tips[0], part.points[n + 1], pointlike)
    rest = _reaching(part.points[n + 1 :][::-1], tips[1], part.points[n], pointlike)
    if first is None or rest is None:
        _drop(draft, here)
        ways = Ways(draft, sheet, (old, new))
        for item in (old, new):
            if ways.ends(draft.get("runs", item)) is not None:
                ways.lead(item)
        return
    if part.kind == "whole":
        keep_route(draft, old, sheet, first[1:-1], by_hand=by_hand)
        keep_route(draft, new, sheet, rest[-2:0:-1], by_hand=by_hand)
    elif part.kind == "from":
        stub = rest[-2::-1]  # from the device to the arrow, its first point left out
        after = bends[gap:] if gap is not None else []
        keep_route(draft, old, sheet, first[1:-1], by_hand=by_hand)
        keep_route(draft, new, sheet, [*stub, *after], gap=len(stub) if after else None, by_hand=by_hand)
    else:
        stub = rest[:-1]  # from the arrow to the device, its last point left out
        before = bends[:gap] if gap is not None else []
        keep_route(draft, new, sheet, first[-2:0:-1], by_hand=by_hand)
        keep_route(draft, old, sheet, [*before, *stub], gap=len(before) or None, by_hand=by_hand)


def _reaching(points: tuple[Point, ...], tip: Point, ahead: Point, pointlike: bool) -> list[Point] | None:
    """The points on to a tip, `None` where the tip does not lie between their last and the next corner `ahead`."""
    corner = points[-1]
    if tip == corner:  # a junction may stand on a corner of the run
        return list(points) if pointlike and len(points) > 1 else None
    low, high = (
        (min(corner[0], ahead[0]), min(corner[1], ahead[1])),
        (max(corner[0], ahead[0]), max(corner[1], ahead[1])),
    )
    on = all(low[axis] <= tip[axis] <= high[axis] for axis in (0, 1))
    return [*points, tip] if on else None


def _drop(draft: Draft, route: str) -> None:
    if route:
        draft.put("routes", route, None)
