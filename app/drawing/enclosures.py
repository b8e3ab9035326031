"""Outlines of enclosures on a sheet: a thin chain line round what stands together in one, its name at the upper left.

The line is the boundary line of IEC 61082-1 (from memory, not confirmed). It is drawn after labels have found their
places and lies where it crosses none of them; where there is no such place it is broken for them. Nothing that is in
another enclosure, or in none, stands inside it; where that cannot be, there are several outlines, or none.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from app.drawing.hand.labels import Sight
from app.drawing.placed import Piece, Scene
from app.drawing.texts import BODY
from engine.picture import Box, Primitive, Text, around, cut_text, line, text_box

__all__ = ["Drawn", "clusters", "draw_enclosures", "kept_free", "outline_strokes", "redrawn_enclosures"]

_TOGETHER = 20.0  # grid steps between members that stand together
_LEAST, _MOST, _STEP = 1.2, 40.0, 0.2  # mm from a member to the line; in what steps places are tried
_FAR = 0.05  # what a millimetre further out costs
_TIGHT, _KEPT = 14.0, 0.6  # mm: where a stranger is so near, room for the line is kept so far from it
_WIDTH = 0.25  # mm
_OFF = 1.2  # mm between the line and its name
_LONGEST = 90.0  # mm, of a name
_AIR = 0.3  # mm about a label


class Drawn(NamedTuple):
    """Lines and names, and the room they take: what is placed later keeps off."""

    primitives: list[Primitive]
    room: list[Box]


def clusters(scene: Scene, sheet: str) -> dict[str, list[tuple[str, ...]]]:
    """Enclosure -> the symbols that one outline goes round, by placement; two at least."""
    enclosures = scene.snapshot.tables.get("enclosures", {})
    pieces = scene.on(sheet)
    of: dict[str, list[Piece]] = {}
    for piece in pieces:
        record = enclosures.get(piece.record.enclosure)
        if record is not None and record.outline:
            of.setdefault(piece.record.enclosure, []).append(piece)
    made: dict[str, list[tuple[str, ...]]] = {}
    for item, members in of.items():
        if len(members) < 2:
            continue
        strangers = [p.box for p in pieces if _is_stranger(p, item)]
        groups = [g for g in _grouped(members, strangers) if len(g) > 1]
        if groups:
            made[item] = [tuple(sorted(p.id for p in group)) for group in groups]
    return made


def _is_stranger(piece: Piece, enclosure: str) -> bool:
    """What must not stand inside: all but members, and joints of lines of which nothing is said."""
    joint = piece.record.ROLE == "junction" and not piece.record.enclosure
    return piece.record.enclosure != enclosure and not joint


def _grouped(members: Sequence[Piece], strangers: Sequence[Box]) -> list[list[Piece]]:
    """What stands together, the nearest first, as long as no stranger comes to stand inside."""
    group = {p.id: [p] for p in members}
    pairs = sorted(
        (_apart(a.box, b.box), a.id, b.id)
        for n, a in enumerate(members)
        for b in members[n + 1 :]
        if _apart(a.box, b.box) <= _TOGETHER
    )
    for _far, a, b in pairs:
        one, other = group[a], group[b]
        if one is other:
            continue
        box = around(p.box for p in (*one, *other)).grown(_LEAST / 2.5)
        if any(box.meets(stranger) for stranger in strangers):
            continue
        one.extend(other)
        for p in other:
            group[p.id] = one
    made: list[list[Piece]] = []
    for each in group.values():
        if not any(each is known for known in made):
            made.append(each)
    return made


def kept_free(scene: Scene, sight: Sight) -> list[Box]:
    """Where labels must leave room for a line: between members and strangers that stand near."""
    made: list[Box] = []
    for item, groups in clusters(scene, sight.sheet).items():
        pieces = scene.on(sight.sheet)
        strangers = [sight.box(p.box).grown(0.4) for p in pieces if _is_stranger(p, item)]
        for group in groups:
            inner = around(sight.box(p.box) for p in pieces if p.id in group)
            for side in range(4):
                reach = [*inner.grown(_LEAST)]
                reach[side] += -_TIGHT if side < 2 else _TIGHT
                near = [s[(side + 2) % 4] for s in strangers if Box(*reach).meets(s)]
                if near:
                    at = max(near) + _KEPT if side < 2 else min(near) - _KEPT
                    box = Box(*(at if k == side else inner[k] for k in range(4)))
                    made.append(_sides(box)[side])
    return made


def draw_enclosures(scene: Scene, sight: Sight, labels: Sequence[tuple[Box, str]], taken: Sequence[Box]) -> Drawn:
    """Every outline of a sheet. `labels`: where labels are, by owner; `taken`: all that a name must not cover."""
    primitives: list[Primitive] = []
    room: list[Box] = []
    for item, groups in clusters(scene, sight.sheet).items():
        made = outline_strokes(scene, sight, item, groups, labels, [*taken, *room])
        primitives.extend(made.primitives)
        room.extend(made.room)
    return Drawn(primitives, room)


def redrawn_enclosures(
    before: Scene,
    now: Scene,
    sight: Sight,
    of: Mapping[str, tuple[Primitive, ...]],
    made: Mapping[str, tuple[Primitive, ...] | None],
) -> dict[str, tuple[Primitive, ...] | None]:
    """Enclosures whose outlines differ after an edit, with what is drawn for them at once; `None`: without any now.

    `of`: what was drawn, by owner; `made`: what takes its place.
    """
    old, new = clusters(before, sight.sheet), clusters(now, sight.sheet)
    names = before.snapshot.tables.get("enclosures", {}), now.snapshot.tables.get("enclosures", {})
    changed: dict[str, tuple[Primitive, ...] | None] = dict.fromkeys(old.keys() - new.keys())
    labels: list[tuple[Box, str]] | None = None
    for item, groups in new.items():
        same = old.get(item) == groups and names[0].get(item) is names[1].get(item)
        if same and _boxes(before, sight, groups) == _boxes(now, sight, groups):
            continue
        if labels is None:
            shown = {owner: made.get(owner, drawn) or () for owner, drawn in (dict(of) | dict(made)).items()}
            labels = [
                (text_box(p), owner)
                for owner, drawn in shown.items()
                if owner and ":" not in owner and owner not in names[1]
                for p in drawn
                if isinstance(p, Text)
            ]
        changed[item] = tuple(outline_strokes(now, sight, item, groups, labels, ()).primitives)
    return changed


def _boxes(scene: Scene, sight: Sight, groups: Iterable[tuple[str, ...]]) -> list[Box]:
    """What decides where outlines lie: their members, and strangers near them."""
    made = []
    for group in groups:
        boxes = [scene.pieces[i].box for i in group if i in scene.pieces]
        near = around(boxes).grown(_MOST / 2.5) if boxes else None
        made += boxes
        made += [p.box for p in scene.on(sight.sheet) if near is not None and p.id not in group and near.meets(p.box)]
    return made


def outline_strokes(
    scene: Scene,
    sight: Sight,
    item: str,
    groups: Iterable[tuple[str, ...]],
    labels: Sequence[tuple[Box, str]],
    taken: Sequence[Box],
) -> Drawn:
    """The outlines of one enclosure, owned by its id."""
    name = " ".join(scene.snapshot.enclosures[item].name.split())
    pieces = scene.on(sight.sheet)
    strangers = [sight.box(p.box).grown(0.4) for p in pieces if _is_stranger(p, item)]
    lines = [
        Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))
        for part in scene.parts_on(sight.sheet)
        for a, b in zip(map(sight.at, part.points), map(sight.at, part.points[1:]), strict=False)
    ]
    made: list[Primitive] = []
    room: list[Box] = []
    for group in groups:
        members = [p for p in pieces if p.id in group]
        box = _outline(sight, members, strangers, labels, lines)
        made.extend(_strokes(box, [text.grown(_AIR) for text, _owner in labels], item))
        room.extend(_sides(box))
        if name:
            text = _name(item, name, box, sight.bounds, [*taken, *room[:-4], *(b for b, _o in labels)], strangers)
            made.append(text)
            room.append(text_box(text).grown(0.3))
    return Drawn(made, room)


# -- where the line lies ---------------------------------------------------------------------------------------------
def _outline(
    sight: Sight,
    members: Sequence[Piece],
    strangers: Sequence[Box],
    labels: Sequence[tuple[Box, str]],
    lines: Sequence[Box],
) -> Box:
    """Round the members, each side where it crosses least and has most of their labels inside."""
    inner = around(sight.box(p.box) for p in members)
    mine = {p.equipment for p in members}
    sides = [inner.left - _LEAST, inner.top - _LEAST, inner.right + _LEAST, inner.bottom + _LEAST]
    reach = inner.grown(_MOST + 1.0)
    texts = [(box.grown(_AIR), owner in mine) for box, owner in labels if box.meets(reach)]
    lines = [run for run in lines if run.grown(0.1).meets(reach)]
    strangers = [stranger for stranger in strangers if stranger.meets(reach)]
    for _round in range(2):
        for side in range(4):
            out = -1 if side < 2 else 1
            start = inner[side] + out * _LEAST
            far = min(_MOST - _LEAST, max((sight.bounds[side] - start) * out, 0.0))
            at = _Side(side, start, out, sides[(side + 1) % 2], sides[(side + 1) % 2 + 2])
            for stranger in strangers:
                near, _end = at.reach(stranger)
                if at.faces(stranger) and near > 0:
                    far = min(far, near)
            costs = _costs(at, int(far / _STEP + 1e-9) + 1, texts, lines)
            best = min(range(len(costs)), key=lambda n: costs[n] + n * _STEP * _FAR)
            sides[side] = start + out * best * _STEP
    return Box(*sides)


class _Side(NamedTuple):
    """A side of an outline as it is moved outward from `start`; `low`, `high`: how far it goes across."""

    side: int
    start: float
    out: int
    low: float
    high: float

    def reach(self, box: Box) -> tuple[float, float]:
        """Where a box begins and ends, in mm outward from the start."""
        a, b = box[self.side % 2], box[self.side % 2 + 2]
        one, other = (a - self.start) * self.out, (b - self.start) * self.out
        return min(one, other), max(one, other)

    def faces(self, box: Box) -> bool:
        """Whether a box lies where the side goes."""
        across = (self.side + 1) % 2
        return box[across] < self.high and self.low < box[across + 2]


def _costs(at: _Side, count: int, texts: Sequence[tuple[Box, bool]], lines: Sequence[Box]) -> list[float]:
    """What is wrong with a side in each of so many places: labels crossed, runs it lies upon, members' labels outside.

    Where each begins and ends to matter is noted, then summed up along the way.
    """
    change = [0.0] * (count + 1)

    def add(low: float, high: float, cost: float) -> None:
        """Of places more than `low` and less than `high` mm out."""
        first, last = max(math.floor(low / _STEP) + 1, 0), min(math.ceil(high / _STEP) - 1, count - 1)
        if first <= last:
            change[first] += cost
            change[last + 1] -= cost

    for text, is_mine in texts:
        near, far = at.reach(text)
        if at.faces(text):
            add(near - _WIDTH, far + _WIDTH, 3.0)
        if is_mine:
            add(-_STEP, far, 0.3)
    for run in lines:
        along = run.left == run.right if at.side % 2 == 0 else run.top == run.bottom
        if along and at.faces(run.grown(0.1)):
            near, far = at.reach(run)
            add(near - 0.7 - _WIDTH, far + 0.7 + _WIDTH, 2.0)
    return list(itertools.accumulate(change[:-1]))


def _strokes(box: Box, texts: Sequence[Box], owner: str) -> Iterator[Primitive]:
    """The four sides; where a label has no other place the line is broken for it."""
    for side, edge in enumerate(_sides(box)):
        upright = side in (0, 2)
        low, high = (box.top, box.bottom) if upright else (box.left, box.right)
        at = box[side]
        for text in sorted((t for t in texts if edge.meets(t)), key=lambda t: t.top if upright else t.left):
            start, stop = (text.top, text.bottom) if upright else (text.left, text.right)
            if start > low:
                yield _stroke(upright, at, low, min(start, high), owner)
            low = max(low, stop)
        if low < high:
            yield _stroke(upright, at, low, high, owner)


def _stroke(upright: bool, at: float, low: float, high: float, owner: str) -> Primitive:
    one, other = ((at, low), (at, high)) if upright else ((low, at), (high, at))
    return line(*one, *other, _WIDTH, dash="chain", owner=owner)


def _sides(box: Box) -> list[Box]:
    """Left, top, right, bottom as thin boxes."""
    half = _WIDTH
    return [
        Box(box.left - half, box.top, box.left + half, box.bottom),
        Box(box.left, box.top - half, box.right, box.top + half),
        Box(box.right - half, box.top, box.right + half, box.bottom),
        Box(box.left, box.bottom - half, box.right, box.bottom + half),
    ]


# -- its name --------------------------------------------------------------------------------------------------------
def _name(item: str, name: str, box: Box, bounds: Box, taken: Sequence[Box], strangers: Sequence[Box]) -> Text:
    """At the upper left: over the line, else under it, else along it, where it covers least."""
    told = cut_text(name, min(_LONGEST, bounds.right - box.left), BODY)
    over = Box(box.left - 1.0, box.top - 5.0, box.right + _LONGEST, box.top + 6.0)
    taken = [t for t in taken if t.meets(over)]
    strangers = [s for s in strangers if s.meets(over)]
    best: tuple[float, Text] | None = None
    for n, (x, y) in enumerate(_places(box)):
        text = Text(x, y, told, BODY, owner=item)
        at = text_box(text)
        if at.right > bounds.right or at.top < bounds.top or at.left < bounds.left:
            continue
        cost = sum(at.meets(t) for t in taken) + 3 * sum(at.meets(s) for s in strangers) + 0.01 * n
        if best is None or cost < best[0]:
            best = cost, text
        if cost < 1:
            break
    return best[1] if best is not None else Text(box.left, box.top - _OFF, told, BODY, owner=item)


def _places(box: Box) -> Iterator[tuple[float, float]]:
    over, under, below = box.top - _OFF, box.top + BODY + _OFF, box.bottom + BODY + _OFF
    x = box.left
    while x < max(box.right - 6.0, box.left + 0.1):
        yield x, over
        if x == box.left:
            yield x + 1.0, under
        x += 4.0
    x = box.left + 5.0
    while x < box.right - 6.0:
        yield x, under
        x += 4.0
    yield box.left, below


# -- boxes -----------------------------------------------------------------------------------------------------------
def _apart(a: Box, b: Box) -> float:
    return max(a.left - b.right, b.left - a.right, 0.0) + max(a.top - b.bottom, b.top - a.bottom, 0.0)
