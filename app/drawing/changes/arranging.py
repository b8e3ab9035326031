"""Align, distribute, straighten: chosen symbols put in order on their sheet as one edit; their runs follow."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from itertools import pairwise
from typing import Literal, NamedTuple

import msgspec

from app.drawing.changes.moving import carried
from app.drawing.changes.scenes import scene_of
from app.drawing.placed import Piece, Point, Scene
from engine.edits import EditError, Several
from engine.edits.removing import named
from engine.installation import Snapshot
from engine.picture import Box
from engine.words import N_, _

__all__ = ["Side", "align", "distribute", "straighten"]

Side = Literal["left", "right", "top", "bottom"]
_LITTLE = 4  # grid steps a symbol may be moved so that a run becomes straight
_WORDS: dict[Side, str] = {
    "left": N_("Align {names} at the left"),
    "right": N_("Align {names} at the right"),
    "top": N_("Align {names} at the top"),
    "bottom": N_("Align {names} at the bottom"),
}


class _Group(NamedTuple):
    """Chosen symbols of one sheet."""

    sheet: str
    scene: Scene
    pieces: dict[str, Piece]


def align(snapshot: Snapshot, placements: Iterable[str], side: Side) -> Several:
    """Bring the chosen symbols to one line: that of the outermost on that side.

    At the left and right their origins are aligned where all are the same upright or lying; else their strokes' edges.
    """
    group = _group(snapshot, placements, 2)
    words = _(_WORDS[side]).format(names=_names(snapshot, group))
    across = side in ("left", "right")
    spots = {item: _edge(piece, side, group) for item, piece in group.pieces.items()}
    wanted = min(spots.values()) if side in ("left", "top") else max(spots.values())
    shifts = {item: (wanted - at, 0) if across else (0, wanted - at) for item, at in spots.items()}
    return _shifted(snapshot, group, shifts, words)


def distribute(snapshot: Snapshot, placements: Iterable[str], across: bool) -> Several:
    """Stand the chosen symbols at equal distances, side by side (`across`) or one below the other; the two outer stay.

    As near as whole grid steps let it.
    """
    group = _group(snapshot, placements, 3)
    words = (_("Distribute {names} side by side") if across else _("Distribute {names} one below the other")).format(
        names=_names(snapshot, group)
    )
    axis = 0 if across else 1
    order = sorted(group.pieces.values(), key=lambda p: (_middle(p)[axis], _middle(p)[1 - axis], p.id))
    spans = [(p.box.left, p.box.right) if across else (p.box.top, p.box.bottom) for p in order]
    room = spans[-1][0] - spans[0][1] - sum(b - a for a, b in spans[1:-1])
    if room < 0:
        raise EditError(_("{names} need more room than there is between the first and the last.").format(
            names=_names(snapshot, group)))  # fmt: skip
    each = room / (len(order) - 1)
    shifts: dict[str, Point] = {order[0].id: (0, 0), order[-1].id: (0, 0)}
    at = spans[0][1]
    for n, piece in enumerate(order[1:-1], 1):
        at += each
        by = math.floor(at - spans[n][0] + 0.5)
        shifts[piece.id] = (by, 0) if across else (0, by)
        at += spans[n][1] - spans[n][0]
    return _shifted(snapshot, group, shifts, words)


def straighten(snapshot: Snapshot, placements: Iterable[str]) -> Several:
    """Move the chosen symbols by little so that runs between them, and to what is not chosen, become straight.

    Of two chosen ends the one with fewer runs moves; a run set by hand is left as it is.
    """
    group = _group(snapshot, placements, 1)
    words = _("Straighten {names}").format(names=_names(snapshot, group))
    shifts = dict.fromkeys(group.pieces, (0, 0))
    fixed: set[tuple[str, int]] = set()  # symbol and axis that a straight run holds
    wishes = _wishes(snapshot, group)
    for wish in wishes:
        if not wish.off:
            fixed.update({(wish.one, wish.axis), (wish.other, wish.axis)})
    for wish in wishes:
        off = wish.off + _at(shifts, wish.one, wish.axis) - _at(shifts, wish.other, wish.axis)
        if not off or abs(off) > _LITTLE:
            continue
        for item, by in ((wish.one, -off), (wish.other, off)):
            if item in shifts and (item, wish.axis) not in fixed:
                before = shifts[item]
                shifts[item] = _plus(before, wish.axis, by)
                if shifts[item] != (0, 0) and _clash(group, shifts, item):
                    shifts[item] = before
                    continue
                fixed.update({(wish.one, wish.axis), (wish.other, wish.axis)})
                break
    if not any(shift != (0, 0) for shift in shifts.values()):
        raise EditError(
            _("No run of {names} becomes straight by moving something by a few steps.").format(
                names=_names(snapshot, group)
            )
        )
    return _shifted(snapshot, group, shifts, words)


class _Wish(NamedTuple):
    """A run between two symbols that would be straight were they level (axis 1) or upright (axis 0)."""

    run: str
    one: str
    other: str
    axis: int
    off: int  # where the end at `one` is, seen from that at `other`


def _wishes(snapshot: Snapshot, group: _Group) -> list[_Wish]:
    by_hand = {r.run for r in snapshot.routes.values() if r.sheet == group.sheet and r.by_hand}
    busy: dict[str, int] = {}
    made: list[_Wish] = []
    for part in group.scene.parts_on(group.sheet):
        for item in (part.near, part.far):
            busy[item] = busy.get(item, 0) + 1
        if part.kind != "whole" or part.run in by_hand or not {part.near, part.far} & group.pieces.keys():
            continue
        run = snapshot.runs[part.run]
        a, b = group.scene.pieces[part.near], group.scene.pieces[part.far]
        if a.is_bar and b.is_bar:
            continue
        ends = []
        for piece, terminal in ((a, run.from_end.terminal), (b, run.to_end.terminal)):
            ends.append(None if piece.is_bar else piece.port(terminal))
        axes = {0 if port.side in ("top", "bottom") else 1 for port in ends if port is not None}
        if len(axes) != 1:
            continue
        axis = axes.pop()
        if ends[0] is None or ends[1] is None:  # a bus is met wherever the run comes from, as far as it is long
            bar, port = (a, ends[1]) if ends[0] is None else (b, ends[0])
            assert port is not None
            low, high = (end[axis] for end in bar.ends())
            at = (port.x, port.y)[axis]
            off = at - min(max(at, low), high)
            off = off if ends[0] is not None else -off
            if low == high or (low <= at <= high):
                continue
        else:
            off = (ends[0].x, ends[0].y)[axis] - (ends[1].x, ends[1].y)[axis]
        made.append(_Wish(part.run, part.near, part.far, axis, off))

    def heavy(wish: _Wish) -> _Wish:
        """The end with fewer runs first: it is moved sooner."""
        if busy[wish.one] <= busy[wish.other]:
            return wish
        return _Wish(wish.run, wish.other, wish.one, wish.axis, -wish.off)

    return sorted(map(heavy, made), key=lambda w: (abs(w.off), w.run))


# -- what is chosen ---------------------------------------------------------------------------------------------------
def _group(snapshot: Snapshot, placements: Iterable[str], least: int) -> _Group:
    wanted = [i for i in dict.fromkeys(placements) if i in snapshot.placements]
    sheets = {snapshot.placements[i].sheet for i in wanted}
    if len(wanted) < least:
        raise EditError(
            _("Choose at least {count} symbols of one sheet.").format(count=least)
            if least > 1
            else _("There is no symbol chosen.")
        )
    if len(sheets) != 1:
        raise EditError(_("The chosen symbols stand on several sheets."))
    sheet = sheets.pop()
    scene = scene_of(snapshot, sheet)
    pieces = {i: scene.pieces[i] for i in wanted if i in scene.pieces}
    return _Group(sheet, scene, pieces)


def _names(snapshot: Snapshot, group: _Group) -> str:
    return named(snapshot, [piece.equipment for piece in group.pieces.values()])


def _middle(piece: Piece) -> tuple[float, float]:
    return (piece.box.left + piece.box.right) / 2, (piece.box.top + piece.box.bottom) / 2


def _edge(piece: Piece, side: Side, group: _Group) -> int:
    """What is brought to one line: origins where all symbols are of one width there, else edges."""
    boxes = {i: p.box for i, p in group.pieces.items()}
    across = side in ("left", "right")
    at = piece.placement.x if across else piece.placement.y
    sizes = {
        (round(b.left - p.placement.x, 2), round(b.right - p.placement.x, 2))
        if across
        else (round(b.top - p.placement.y, 2), round(b.bottom - p.placement.y, 2))
        for b, p in ((boxes[i], group.pieces[i]) for i in boxes)
    }
    if len(sizes) == 1 or not any(p.is_bar for p in group.pieces.values()):
        return at  # lines through the origins are what runs leave along
    box = piece.box
    return round({"left": box.left, "right": box.right, "top": box.top, "bottom": box.bottom}[side])


# -- moving ------------------------------------------------------------------------------------------------------------
def _at(shifts: Mapping[str, Point], item: str, axis: int) -> int:
    return shifts.get(item, (0, 0))[axis]


def _plus(shift: Point, axis: int, by: int) -> Point:
    return (shift[0] + by, shift[1]) if axis == 0 else (shift[0], shift[1] + by)


def _shifted(snapshot: Snapshot, group: _Group, shifts: Mapping[str, Point], words: str) -> Several:
    """The edit. Raises `EditError` where things would stand on each other that do not now."""
    clash = _clash(group, shifts)
    if clash:
        raise EditError(
            _("{one} and {other} would stand on each other.").format(
                one=named(snapshot, [clash[0]]), other=named(snapshot, [clash[1]])
            )
        )
    new = {}
    carries: dict[str, Callable[[Point], Point]] = {}
    known: dict[Point, Callable[[Point], Point]] = {}
    for item, piece in group.pieces.items():
        shift = shifts.get(item, (0, 0))
        if shift == (0, 0):
            continue
        new[item] = msgspec.structs.replace(
            piece.placement, x=piece.placement.x + shift[0], y=piece.placement.y + shift[1]
        )
        carries[item] = known.setdefault(shift, _carry(*shift))
    if not new:
        return Several((), words)
    return carried(snapshot, new, carries, words)


def _carry(dx: int, dy: int) -> Callable[[Point], Point]:
    return lambda p: (p[0] + dx, p[1] + dy)


def _clash(group: _Group, shifts: Mapping[str, Point], only: str = "") -> tuple[str, str] | None:
    """Two things that would stand on each other and do not now: a symbol that moves (`only` one), and what is met."""
    before = {piece.id: piece.box for piece in group.scene.on(group.sheet)}
    moved = {item for item, shift in shifts.items() if shift != (0, 0)}
    after = before | {item: _shift(before[item], shifts[item]) for item in moved}
    lines = [
        (part.run, Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)))
        for part in group.scene.parts_on(group.sheet)
        if part.near not in moved and part.far not in moved
        for (ax, ay), (bx, by) in pairwise(part.points)
    ]
    for item in (only,) if only else moved:
        for other, box in after.items():
            if other != item and _meet(after[item], box) and not _meet(before[item], before[other]):
                pieces = group.scene.pieces
                return pieces[item].equipment, pieces[other].equipment
        for run, box in lines:
            if _meet(after[item], box) and not _meet(before[item], box):
                return group.scene.pieces[item].equipment, run
    return None


def _shift(box: Box, by: Point) -> Box:
    return Box(box.left + by[0], box.top + by[1], box.right + by[0], box.bottom + by[1])


def _meet(a: Box, b: Box) -> bool:
    less = 0.2  # strokes that touch do not stand on each other
    return a.left < b.right - less and b.left < a.right - less and a.top < b.bottom - less and b.top < a.bottom - less
