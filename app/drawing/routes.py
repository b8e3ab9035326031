"""The way of every run on its sheets: stored routes are kept, missing ones found, so that every run is shown.

Routes keep to the grid and off symbols, cross others only at right angles and never run along them. A run for which
there is no clear way on a sheet is broken off: two arrows name its far ends.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Literal

from app.drawing.placed import Piece, Point, RunPart, Scene
from engine.geometry import EAST, NORTH, SOUTH, WEST, Pin, Roads
from engine.installation import Aside
from engine.picture import Box

__all__ = ["arrow_box", "find_missing", "junctions", "pins"]

_OUT = {"top": NORTH, "right": EAST, "bottom": SOUTH, "left": WEST}
_WAY = {"top": (0, -1), "right": (1, 0), "bottom": (0, 1), "left": (-1, 0)}
_MOST_BENDS, _MOST_CROSSINGS = 4, 3


def find_missing(scene: Scene, areas: dict[str, Box], steps: int | None = None) -> None:
    """Give every run that is listed as without a route its parts. `areas` bounds each sheet, in steps.

    `steps` bounds the work for one run, where somebody waits: what is not found by then is broken off.
    """
    todo, scene.unrouted = scene.unrouted, []
    roads: dict[str, Roads] = {}
    for item in todo:
        run = scene.snapshot.runs[item]
        starts = [p for p in scene.of.get(run.from_end.equipment, ()) if p.shows(run.from_end.terminal)]
        stops = [p for p in scene.of.get(run.to_end.equipment, ()) if p.shows(run.to_end.terminal)]
        same = next(((a, b) for a in starts for b in stops if a.placement.sheet == b.placement.sheet), None)
        if same is not None:
            a, b = same
            grid = _roads(scene, roads, areas, a.placement.sheet)
            found = None
            if (a.id, run.from_end.terminal) != (b.id, run.to_end.terminal):
                found = grid.find(pins(a, run.from_end.terminal), pins(b, run.to_end.terminal), most=300, steps=steps)
            if found is not None and found.bends <= _MOST_BENDS and found.crossings <= _MOST_CROSSINGS:
                sheet = a.placement.sheet
                _add(scene, grid, RunPart(item, sheet, "whole", found.points, a.id, b.id, _label(scene, item, sheet)))
                continue
        start = same[0] if same is not None else next(iter(starts), None)
        stop = same[1] if same is not None else next(iter(stops), None)
        for piece, other, kind, terminal in (
            (start, stop, "from", run.from_end.terminal),
            (stop, start, "to", run.to_end.terminal),
        ):
            if piece is None:
                continue
            grid = _roads(scene, roads, areas, piece.placement.sheet)
            points = _stub(grid, piece, terminal)
            far = other.id if other is not None else ""
            _add(scene, grid, RunPart(item, piece.placement.sheet, _word(kind), points, piece.id, far))


def _label(scene: Scene, run: str, sheet: str) -> Aside | None:
    """Where the label of a run was put by hand, though its way is of no use."""
    made = scene.made.get(run)
    route = None if made is None else made.routes.get(sheet)
    return None if route is None else route.label


def _word(kind: str) -> Literal["from", "to"]:
    return "from" if kind == "from" else "to"


def _add(scene: Scene, grid: Roads, part: RunPart) -> None:
    scene.lead(part)
    grid.run(part.points)
    if part.kind != "whole":
        grid.close(arrow_box(part.points[-1], part.side))


def arrow_box(at: Point, side: str) -> Box:
    """The room of the arrow a broken run ends in, in steps."""
    dx, dy = _WAY[side]
    x, y = at[0] + dx * 1.0, at[1] + dy * 1.0
    return Box(x - 1.1, y - 1.1, x + 1.1, y + 1.1)


def _roads(scene: Scene, have: dict[str, Roads], areas: dict[str, Box], sheet: str) -> Roads:
    if sheet not in have:
        area = areas[sheet]
        grid = Roads(int(area.right), int(area.bottom))
        for piece in scene.on(sheet):
            grid.close(piece.box.grown(0.6))
        for part in scene.parts_on(sheet):
            grid.run(part.points)
            if part.kind != "whole":
                grid.close(arrow_box(part.points[-1], part.side))
        have[sheet] = grid
    return have[sheet]


def pins(piece: Piece, terminal: str) -> list[Pin]:
    """Where a run may meet a terminal, and which way it leaves."""
    if not piece.is_bar:
        port = piece.port(terminal)
        if piece.record.ROLE == "junction" and len(piece.look.ports) == 1:
            return [Pin(port.x, port.y, out) for out in (NORTH, EAST, SOUTH, WEST)]
        return [Pin(port.x, port.y, _OUT[port.side])]
    (ax, ay), (bx, by) = piece.ends()
    if ay == by:
        return [Pin(x, ay, out) for x in range(ax + 1, bx) for out in (NORTH, SOUTH)]
    return [Pin(ax, y, out) for y in range(ay + 1, by) for out in (EAST, WEST)]


def _stub(grid: Roads, piece: Piece, terminal: str) -> tuple[Point, ...]:
    """A short line that ends in an arrow: straight out, further or round a corner where something is in the way."""
    ways = pins(piece, terminal)
    tries: list[tuple[Point, ...]] = []
    for pin in ways:
        side = next(s for s, out in _OUT.items() if out == pin.out)
        dx, dy = _WAY[side]
        for length in (3, 2, 4, 5):
            tries.append(((pin.x, pin.y), (pin.x + dx * length, pin.y + dy * length)))
        for length in (1, 2, 3, 4):
            corner = (pin.x + dx * length, pin.y + dy * length)
            for turn in (1, -1):
                tx, ty = dy * turn, -dx * turn
                tries.append(((pin.x, pin.y), corner, (corner[0] + 2 * tx, corner[1] + 2 * ty)))
    for room in (4, 2, 0) if piece.is_bar else (0,):  # along a bus as far from other lines as may be
        for points in tries:
            (ax, ay), (bx, by) = points[-2], points[-1]
            dx, dy = (bx > ax) - (bx < ax), (by > ay) - (by < ay)
            beyond = (bx + 2 * dx, by + 2 * dy)
            if not grid.free((*points[:-1], beyond)):
                continue
            if all(_clear(grid, (ax + dx, ay + dy), beyond, off * dy, off * dx) for off in (-room, room) if off):
                return points
    return tries[0]


def _clear(grid: Roads, a: Point, b: Point, dx: int, dy: int) -> bool:
    return grid.free(((a[0] + dx, a[1] + dy), (b[0] + dx, b[1] + dy)))


def junctions(scene: Scene, sheet: str) -> list[Point]:
    """Where three or more lines of one terminal meet; at a bus nothing is marked."""
    groups: dict[tuple[str, str], list[RunPart]] = {}
    for part in scene.parts_on(sheet):
        run = scene.snapshot.runs[part.run]
        near, far = run.from_end, run.to_end
        if part.kind == "to":
            near, far = far, near
        groups.setdefault((part.near, near.terminal), []).append(part)
        if part.kind == "whole":
            groups.setdefault((part.far, far.terminal), []).append(part)
    found: set[Point] = set()
    for (placement, terminal), parts in groups.items():
        piece = scene.pieces[placement]
        if piece.is_bar or len(parts) < 2:
            continue
        port = piece.port(terminal)
        ways: dict[Point, set[Point]] = {}
        lines = [pair for part in parts for pair in pairwise(part.points)]
        corners = {p for part in parts for p in part.points}
        for corner in corners:
            ways[corner] = {d for a, b in lines for d in _directions(corner, a, b)}
        dx, dy = _WAY[port.side]
        ways.setdefault((port.x, port.y), set()).add((-dx, -dy))
        found.update(p for p, d in ways.items() if len(d) > 2)
    return sorted(found)


def _directions(p: Point, a: Point, b: Point) -> list[Point]:
    """Which ways a stretch leads from a point on it."""
    on = min(a[0], b[0]) <= p[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= p[1] <= max(a[1], b[1])
    if not on:
        return []
    made = []
    for end in (a, b):
        step = ((end[0] > p[0]) - (end[0] < p[0]), (end[1] > p[1]) - (end[1] < p[1]))
        if step != (0, 0):
            made.append(step)
    return made
