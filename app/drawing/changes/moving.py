"""Moving, turning, mirroring symbols and stretching a bus; the runs follow."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from itertools import pairwise

import msgspec

from app.drawing.changes.room import area_of, inside, piece_of, refuse_outside
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.together import lead_together
from app.drawing.changes.ways import Ways, pins_at, route_of
from app.drawing.placed import Piece, Point, RunPart, Scene
from engine.edits import EditError, Several
from engine.edits.draft import Draft, highest_id
from engine.edits.removing import named
from engine.geometry import Pin
from engine.installation import Bend, Placement, Route, Snapshot
from engine.words import _

__all__ = ["carried", "mirror", "move", "stretch", "turn"]

Carry = Callable[[Point], Point]  # where a point of a group goes


def move(snapshot: Snapshot, placements: Iterable[str], dx: int, dy: int) -> Several:
    """Move symbols by grid steps. Runs within the group go along, others are led anew, save those set by hand."""
    wanted = _chosen(snapshot, placements)
    words = _("Move {names}").format(names=_names(snapshot, wanted))
    new = {i: msgspec.structs.replace(p, x=p.x + dx, y=p.y + dy) for i, p in wanted.items()}
    return _changed(snapshot, new, lambda p: (p[0] + dx, p[1] + dy), words)


def turn(snapshot: Snapshot, placements: Iterable[str], quarters: int = 1) -> Several:
    """Turn symbols clockwise by quarters: one about its origin, a bus and a group about the middle."""
    wanted = _chosen(snapshot, placements)
    quarters %= 4
    words = _("Turn {names}").format(names=_names(snapshot, wanted))
    if not quarters:
        return Several((), words)
    cx2, cy2 = _twice_middle(snapshot, wanted)
    if (cx2 + cy2) % 2:  # no quarter turn about this point keeps to the grid: half a step aside, to where it began
        first = min(wanted, key=lambda i: (_is_bar(snapshot, wanted[i]), _number(i)))
        ax, ay = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[wanted[first].rotation]
        cx2, cy2 = cx2 - ax, cy2 - ay

    def carry(p: Point) -> Point:
        x2, y2 = 2 * p[0] - cx2, 2 * p[1] - cy2
        for _n in range(quarters):
            x2, y2 = -y2, x2
        return (x2 + cx2) // 2, (y2 + cy2) // 2

    new: dict[str, Placement] = {}
    for item, p in wanted.items():
        x, y = carry((p.x, p.y))
        rotation = (p.rotation + 90 * quarters) % 360
        new[item] = msgspec.structs.replace(p, x=x, y=y, rotation=rotation)
        if _is_bar(snapshot, p):
            new[item] = _bar_between(p, *(carry(end) for end in _piece(snapshot, p).ends()))
    return _changed(snapshot, new, carry, words)


def mirror(snapshot: Snapshot, placements: Iterable[str]) -> Several:
    """Mirror symbols left to right: one about its origin, a bus and a group about the middle."""
    wanted = _chosen(snapshot, placements)
    cx2, _cy2 = _twice_middle(snapshot, wanted)

    def carry(p: Point) -> Point:
        return cx2 - p[0], p[1]

    new: dict[str, Placement] = {}
    for item, p in wanted.items():
        x, y = carry((p.x, p.y))
        new[item] = msgspec.structs.replace(p, x=x, y=y, rotation=-p.rotation % 360, mirrored=not p.mirrored)
        if _is_bar(snapshot, p):
            new[item] = _bar_between(p, *(carry(end) for end in _piece(snapshot, p).ends()))
    return _changed(snapshot, new, carry, _("Mirror {names}").format(names=_names(snapshot, wanted)))


def stretch(snapshot: Snapshot, placement: str, length: int, column: int, row: int) -> Several:
    """Give a bus another length and its first end another point. Runs keep their place on it where they can."""
    wanted = _chosen(snapshot, [placement])
    p = wanted[placement]
    name = _names(snapshot, wanted)
    if not _is_bar(snapshot, p):
        raise EditError(_("{name} has one size only: a bus can be stretched.").format(name=name))
    if length < 2:
        raise EditError(_("{name} must be at least 2 grid steps long.").format(name=name))
    across = p.rotation in (0, 180)
    new = _bar_between(p, (column, row), (column + length, row) if across else (column, row + length))
    return _changed(snapshot, {placement: new}, lambda q: q, _("Stretch {names}").format(names=name))


# -- what is chosen -------------------------------------------------------------------------------------------------
def _chosen(snapshot: Snapshot, placements: Iterable[str]) -> dict[str, Placement]:
    found = {i: snapshot.placements[i] for i in dict.fromkeys(placements) if i in snapshot.placements}
    if not found:
        raise EditError(_("There is no symbol chosen."))
    return found


def _names(snapshot: Snapshot, wanted: dict[str, Placement]) -> str:
    return named(snapshot, [p.equipment for p in wanted.values()])


def _piece(snapshot: Snapshot, placement: Placement, item: str = "") -> Piece:
    return piece_of(snapshot, placement, snapshot.equipment[placement.equipment], item)


def _is_bar(snapshot: Snapshot, placement: Placement) -> bool:
    return _piece(snapshot, placement).is_bar


def _bar_between(placement: Placement, one: Point, other: Point) -> Placement:
    """A bus between two points: it has no back and no front, so it lies rightward or hangs downward."""
    (ax, ay), (bx, by) = min(one, other), max(one, other)
    return msgspec.structs.replace(
        placement, x=ax, y=ay, length=(bx - ax) + (by - ay), rotation=0 if ay == by else 90, mirrored=False
    )


def _twice_middle(snapshot: Snapshot, wanted: dict[str, Placement]) -> Point:
    """Twice the middle of origins and bus ends, so that it is whole."""
    points: list[Point] = []
    for p in wanted.values():
        piece = _piece(snapshot, p)
        points.extend(piece.ends() if piece.is_bar else [(p.x, p.y)])
    xs, ys = [x for x, _y in points], [y for _x, y in points]
    return min(xs) + max(xs), min(ys) + max(ys)


def _number(item: str) -> int:
    return int(item[1:]) if item[1:].isdecimal() else 0


# -- the runs follow ------------------------------------------------------------------------------------------------
def _changed(snapshot: Snapshot, new: dict[str, Placement], carry: Carry, words: str) -> Several:
    return carried(snapshot, new, dict.fromkeys(new, carry), words)


def carried(snapshot: Snapshot, new: Mapping[str, Placement], carries: Mapping[str, Carry], words: str) -> Several:
    """Symbols in other places; the runs follow. `carries`: where points go that go along with a symbol.

    Runs between symbols of the very same function go along as they are.
    """
    draft = Draft(snapshot, highest_id(snapshot))
    for item, placement in new.items():
        if placement != snapshot.placements[item]:
            after, before = (
                _piece(snapshot, placement, item),
                _piece(snapshot, snapshot.placements[item], item),
            )
            refuse_outside(snapshot, placement.sheet, after, before)
            draft.put("placements", item, placement)
    for sheet in dict.fromkeys(p.sheet for p in new.values()):
        if sheet in snapshot.sheets:
            _follow(draft, sheet, {i: carries[i] for i, p in new.items() if p.sheet == sheet})
    return draft.done(words)


def _follow(draft: Draft, sheet: str, group: Mapping[str, Carry]) -> None:
    """Lead the runs of a group of symbols that has been carried elsewhere."""
    scene = scene_of(draft.first, sheet)
    area = area_of(draft.first, sheet)
    anew: dict[str, list[RunPart]] = {}
    of_run: dict[str, list[RunPart]] = {}
    for part in scene.parts_on(sheet):
        of_run.setdefault(part.run, []).append(part)
    by_run = {r.run: i for i, r in draft.table("routes").items() if r.sheet == sheet}
    for run, parts in of_run.items():
        known = by_run.get(run)
        if known is None or not any(_inside(part, group) for part in parts):
            continue
        route: Route = draft.get("routes", known)
        ends = {end for part in parts for end in ((part.near, part.far) if part.kind == "whole" else (part.near,))}
        carry = group.get(next(iter(ends)))
        if carry is not None and all(group.get(end) is carry for end in ends):
            bends = [carry((b.x, b.y)) for b in route.bends]
            if all(inside(b, area) for b in bends):
                _put_bends(draft, known, bends)
                continue
        elif route.by_hand and parts[0].kind == "whole":
            continue
        anew[run] = parts
    if not anew:
        return
    after = scene_of(draft.snapshot(), sheet)
    for run in [run for run, parts in anew.items() if _stays(after, parts, group)]:
        del anew[run]
    if not anew:
        return
    ways = Ways(draft, sheet, anew, scene=after)
    order = sorted(anew, key=lambda run: _length(anew[run]))
    whole = [run for run in order if anew[run][0].kind == "whole" or len(anew[run]) == 2]
    lost = lead_together(ways, whole, wishes={run: _ends_on_bars(ways, anew[run], run, group) for run in whole})
    for run in order:
        if (run in lost or run not in whole) and anew[run][0].kind != "whole":
            _carry_arrows(draft, sheet, run, by_run[run], scene, anew[run], group)


def _inside(part: RunPart, group: Mapping[str, Carry]) -> bool:
    return part.near in group or (part.kind == "whole" and part.far in group)


def _length(parts: list[RunPart]) -> int:
    return sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for part in parts for a, b in pairwise(part.points))


def _put_bends(draft: Draft, route: str, bends: Iterable[Point]) -> None:
    draft.change("routes", route, bends=tuple(Bend(x=x, y=y) for x, y in bends))


def _stays(after: Scene, parts: list[RunPart], group: Mapping[str, Carry]) -> bool:
    """Whether a run is led as before although its symbol changed: a bus grew, a junction turned."""
    now = [p for p in after.parts_on(parts[0].sheet) if p.run == parts[0].run]
    if [p.points for p in now] != [p.points for p in parts]:
        return False
    for part in parts:
        run = after.snapshot.runs[part.run]
        for item, first in ((part.near, True), (part.far, False)):
            if item not in group or (part.kind != "whole" and not first):
                continue
            piece = after.pieces[item]
            terminal = (run.from_end if (part.kind != "to") == first else run.to_end).terminal
            tip, inner = (part.points[0], part.points[1]) if first else (part.points[-1], part.points[-2])
            out = _out(tip, inner)
            if not any((pin.x, pin.y) == tip and pin.out == out for pin in pins_at(piece, terminal, tip)):
                return False
    return True


def _out(tip: Point, inner: Point) -> int:
    """Which way a line leaves its end."""
    if tip[0] == inner[0]:
        return 0 if inner[1] < tip[1] else 2
    return 1 if inner[0] > tip[0] else 3


def _ends_on_bars(
    ways: Ways, parts: list[RunPart], run: str, group: Mapping[str, Carry]
) -> tuple[list[Pin], list[Pin]]:
    """Where a run keeps its place along a bus that was carried; nothing told where it may choose."""
    record = ways.draft.get("runs", run)
    first, last = parts[0], parts[-1]
    tips = (
        (first.near, first.points[0], record.from_end.terminal),
        (
            (last.far, last.points[-1], record.to_end.terminal)
            if last.kind == "whole"
            else (last.near, last.points[0], record.to_end.terminal)
        ),
    )
    made: list[list[Pin]] = []
    for item, tip, terminal in tips:
        piece = ways.scene.pieces.get(item)
        if item in group and piece is not None and piece.is_bar:
            made.append(pins_at(piece, terminal, group[item](tip)))
        else:
            made.append([])
    return made[0], made[1]


def _carry_arrows(
    draft: Draft,
    sheet: str,
    run: str,
    known: str,
    scene: Scene,
    parts: list[RunPart],
    group: Mapping[str, Carry],
) -> None:
    """Arrows go along with the symbol they stand at; where they would leave the sheet, a new place is found later."""
    route: Route = scene.snapshot.routes[known]
    bends = [(b.x, b.y) for b in route.bends]
    cut = route.gap if route.gap is not None else len(bends)
    for part in parts:
        if part.near in group:
            of = slice(0, cut) if route.gap is not None and part.kind == "from" else slice(cut, None)
            if route.gap is None:
                of = slice(None)
            bends[of] = [group[part.near](b) for b in bends[of]]
    area = area_of(draft.first, sheet)
    if not all(inside(b, area) for b in bends):
        if route_of(draft, run, sheet):
            draft.put("routes", known, None)
        return
    draft.put("routes", known, msgspec.structs.replace(route, bends=tuple(Bend(x=x, y=y) for x, y in bends)))
