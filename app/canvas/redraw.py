"""What a sheet looks like before the study process has drawn it: at opening, and right after an edit. No Qt.

After an edit only what differs is drawn: strokes exactly, labels near where they were. What the study process draws
then takes its place.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import pairwise

from app.canvas.quick_labels import Room, device_label, run_label, words_of
from app.drawing.added.remarks import draw_remarks, remarks_on, set_remark
from app.drawing.changes import scene_of
from app.drawing.enclosures import draw_enclosures, redrawn_enclosures
from app.drawing.frame import frame
from app.drawing.labels import Sight, arrow_box
from app.drawing.looks import STEP
from app.drawing.placed import Piece, RunPart, Scene, paper
from app.drawing.routes import find_missing, junctions
from app.drawing.sheet import draw_sheet
from app.drawing.sheets import grid_of
from app.drawing.strokes import run_strokes, symbol_strokes
from app.drawing.texts import Words, run_words
from app.drawing.title_block import title_fields
from engine.installation import Snapshot
from engine.picture import Box, Path, Primitive, Text, circle, text_box, transformed
from symbols import catalogue

__all__ = ["DOTS", "FIND_STEPS", "by_owner", "dotted", "first_picture", "piece_strokes", "redrawn", "sight_of"]

DOTS = "dots"  # owner of the dots where lines join; the display list has them with the frame
_DOT = 0.9  # radius, mm
_LINK_WIDTH = 0.25  # of an interlock's link, which is led anew and not moved
_MOST_ROUTES = 40  # found here where none are stored; more would be felt
FIND_STEPS = 1500  # for each of them: without a clear way the whole sheet would be searched, at every edit
_ORDINARY = 90  # symbols and runs of a sheet whose labels are placed as on paper at once
_NEAR = 3.0  # mm: a label so near its run still belongs there

Of = dict[str, tuple[Primitive, ...]]


def sight_of(scene: Scene, sheet: str) -> Sight:
    """Where the grid of a sheet lies."""
    made = paper(_size(scene, sheet))
    return Sight(sheet, made.size, made.border.left, made.border.top, made.drawing_box)


def _size(scene: Scene, sheet: str) -> str:
    return next((record.size for item, record in scene.sheets if item == sheet), "A3")


def by_owner(primitives: Iterable[Primitive]) -> Of:
    """A display list by owner, in order."""
    made: dict[str, list[Primitive]] = {"": []}
    for primitive in primitives:
        made.setdefault(primitive.owner, []).append(primitive)
    return {owner: tuple(of) for owner, of in made.items()}


def dotted(of: Mapping[str, tuple[Primitive, ...]]) -> Of:
    """The same with the dots where lines join apart from the frame."""
    every = of.get("", ())
    dots = tuple(p for p in every if _is_dot(p))
    made = dict(of)
    made[""] = tuple(p for p in every if not _is_dot(p)) if dots else tuple(every)
    made[DOTS] = dots
    return made


def _is_dot(p: Primitive) -> bool:
    return isinstance(p, Path) and p.width == 0 and p.fill == "black" and len(p.segments) == 6


def first_picture(snapshot: Snapshot, sheet: str) -> Of:
    """Frame, title block, symbols, runs and labels of a sheet; no notes, no links of interlocks.

    A sheet of ordinary size looks as it will on paper; on a crowded one labels are placed quickly.
    """
    tables = dict(snapshot.tables) | {"interlocks": {}}
    scene = scene_of(Snapshot(tables=tables, lone=snapshot.lone), sheet)
    if scene.unrouted:
        scene.unrouted = scene.unrouted[:_MOST_ROUTES]
        find_missing(scene, {item: grid_of(record) for item, record in scene.sheets}, FIND_STEPS)
    record = snapshot.sheets[sheet]
    fields = title_fields(snapshot, record.title)._replace(sheet=scene.number[sheet], sheets=len(scene.sheets))
    made = frame(record.size, fields)
    if len(scene.on(sheet)) + len(scene.parts_on(sheet)) <= _ORDINARY:
        return by_owner((*made.primitives, *draw_sheet(scene, sheet, made).primitives))
    return by_owner((*made.primitives, *_quick_body(scene, sheet)))


def _quick_body(scene: Scene, sheet: str) -> list[Primitive]:
    sight = sight_of(scene, sheet)
    parts, pieces = scene.parts_on(sheet), scene.on(sheet)
    made = [p for part in parts for p in _part_strokes(sight, scene, part)]
    made += [p for piece in pieces for p in piece_strokes(sight, piece)]
    made += [circle(*sight.at(p), _DOT, 0.0, fill="black") for p in junctions(scene, sheet)]
    made += draw_remarks(scene, sight).primitives
    room, sides = Room.of(scene, sight), _sides(scene, sheet)
    for piece in pieces:
        made += device_label(scene, sight, piece, room, sides.get(piece.id, ()))
    for part in parts:
        made += run_label(scene, sight, part, room)
    labels = [(text_box(p), p.owner) for p in made if isinstance(p, Text)]
    return made + draw_enclosures(scene, sight, labels, ()).primitives


def piece_strokes(sight: Sight, piece: Piece) -> list[Primitive]:
    """The symbol of a placement where it stands, in mm."""
    at = sight.at((piece.placement.x, piece.placement.y))
    strokes = piece.look.shape.primitives
    return symbol_strokes(strokes, at, sight.box(piece.box), piece.record.status, piece.equipment)


def _part_strokes(sight: Sight, scene: Scene, part: RunPart) -> list[Primitive]:
    run = scene.snapshot.runs[part.run]
    points = [sight.at(p) for p in part.points]
    made = run_strokes(points, run.status, run.function, part.run)
    if part.kind != "whole":
        turn = {"top": 0, "right": 90, "bottom": 180, "left": 270}[part.side]
        mark = catalogue.mark("cross_reference", rotation=turn).primitives
        made.extend(transformed(mark, *points[-1], owner=part.run))
    return made


def redrawn(
    of: Of, before: Scene, now: Scene, sheet: str, texts: Callable[[str], list[Box]] | None = None
) -> dict[str, tuple[Primitive, ...] | None]:
    """Owners of a sheet that differ, with what is drawn for them at once; `None`: no longer on the sheet.

    `texts` knows the boxes of an owner's type in `of`, where somebody does.
    """
    made: dict[str, tuple[Primitive, ...] | None] = {}
    sight = sight_of(now, sheet)
    old_pieces, new_pieces = _grouped(before.on(sheet)), _grouped(now.on(sheet))
    old_parts, new_parts = _led(before.parts_on(sheet)), _led(now.parts_on(sheet))
    labels = _Labels(now, sight, of, texts)
    for item in old_pieces.keys() | new_pieces.keys():
        old, new = old_pieces.get(item, []), new_pieces.get(item, [])
        if not new:
            made[item] = None
        elif not _same_pieces(old, new):
            made[item] = _equipment(of.get(item, ()), before, now, labels, old, new)
    runs_before, runs_now = before.snapshot.runs, now.snapshot.runs
    for item in old_parts.keys() | new_parts.keys():
        olds, news = old_parts.get(item, []), new_parts.get(item, [])
        if not news:
            made[item] = None
        elif olds != news or not _same(runs_before.get(item), runs_now.get(item)):
            made[item] = _run(of.get(item, ()), before, now, labels, olds, news)
    dots = tuple(circle(*sight.at(p), _DOT, 0.0, fill="black") for p in junctions(now, sheet))
    if dots != of.get(DOTS, ()):
        made[DOTS] = dots
    made.update(redrawn_enclosures(before, now, sight, of, made))
    words = remarks_on(now.snapshot, sheet)
    for item, remark in words.items():
        drawn = tuple(set_remark(now, sight, item, remark).primitives)
        if drawn != of.get(item, ()):
            made[item] = drawn
    made.update({item: None for item in remarks_on(before.snapshot, sheet) if item not in words})
    return made


class _Labels:
    """Places for labels that must be written anew, found only when there is one."""

    def __init__(self, scene: Scene, sight: Sight, of: Of, texts: Callable[[str], list[Box]] | None) -> None:
        self.scene, self.sight, self._of = scene, sight, of
        self._texts = texts or self._text_boxes
        self._room: Room | None = None
        self._around: dict[str, set[str]] = {}

    @property
    def room(self) -> Room:
        """What is taken on the sheet as it now is."""
        if self._room is None:
            texts = [box for owner in self._of for box in self._texts(owner)]
            self._room = Room.of(self.scene, self.sight, texts)
            self._around = _sides(self.scene, self.sight.sheet)
        return self._room

    def _text_boxes(self, owner: str) -> list[Box]:
        return [text_box(p) for p in self._of[owner] if isinstance(p, Text)]

    def device(self, piece: Piece) -> list[Text]:
        """The label of a symbol."""
        room = self.room
        return device_label(self.scene, self.sight, piece, room, self._around.get(piece.id, ()))

    def run(self, part: RunPart) -> list[Text]:
        """The label of a run."""
        return run_label(self.scene, self.sight, part, self.room)


def _grouped(pieces: Iterable[Piece]) -> dict[str, list[Piece]]:
    made: dict[str, list[Piece]] = {}
    for piece in pieces:
        made.setdefault(piece.equipment, []).append(piece)
    return made


def _led(parts: Iterable[RunPart]) -> dict[str, list[RunPart]]:
    made: dict[str, list[RunPart]] = {}
    for part in parts:
        made.setdefault(part.run, []).append(part)
    return made


def _same(one: object, other: object) -> bool:
    return one is other or one == other


def _same_pieces(old: Sequence[Piece], new: Sequence[Piece]) -> bool:
    return len(old) == len(new) and all(
        a.id == b.id
        and _same(a.placement, b.placement)
        and _same(a.record, b.record)
        and _same(a.look, b.look)
        and (a.first, a.several) == (b.first, b.several)
        for a, b in zip(old, new, strict=True)
    )


# -- equipment --------------------------------------------------------------------------------------------------------
def _equipment(
    drawn: Sequence[Primitive], before: Scene, now: Scene, labels: _Labels, old: list[Piece], new: list[Piece]
) -> tuple[Primitive, ...]:
    """Symbols exactly; the label moved along, or written anew where it reads differently or was not there."""
    sight = labels.sight
    made = [p for piece in new for p in piece_strokes(sight, piece)]
    rest = _without(drawn, (p for piece in old for p in piece_strokes(sight, piece)))
    was = {piece.id: piece for piece in old}
    kept: dict[str, list[Primitive]] = {piece.id: [] for piece in old}
    for p in rest:
        kept[_nearest(sight, old, p)].append(p)
    for piece in new:
        earlier = was.get(piece.id)
        words = words_of(now, piece)
        mine = kept.get(piece.id, [])
        if (
            earlier is None
            or not mine
            or earlier.placement.rotation != piece.placement.rotation
            or earlier.placement.label != piece.placement.label
            or (piece.placement.label is not None and words != words_of(before, earlier))
        ):
            made.extend(labels.device(piece))
            continue
        dx = (piece.placement.x - earlier.placement.x) * STEP
        dy = (piece.placement.y - earlier.placement.y) * STEP
        if dx or dy:
            mine = list(transformed((p for p in mine if not _is_link(p)), dx, dy))
        if words != words_of(before, earlier):
            mine = _reworded(mine, words, sight.box(piece.box), piece.equipment)
        made.extend(mine)
    return tuple(made)


def _without(drawn: Iterable[Primitive], gone: Iterable[Primitive]) -> list[Primitive]:
    count = Counter(gone)
    rest: list[Primitive] = []
    for p in drawn:
        if count[p] > 0:
            count[p] -= 1
        else:
            rest.append(p)
    return rest


def _nearest(sight: Sight, pieces: Sequence[Piece], p: Primitive) -> str:
    if len(pieces) == 1:
        return pieces[0].id
    x, y = (p.x, p.y) if isinstance(p, Text) else p.segments[0][1:3]  # type: ignore[misc]

    def far(piece: Piece) -> float:
        b = sight.box(piece.box)
        return max(b.left - x, x - b.right, 0.0) + max(b.top - y, y - b.bottom, 0.0)

    return min(pieces, key=far).id


def _is_link(p: Primitive) -> bool:
    return isinstance(p, Path) and p.dash == "dashed" and p.width == _LINK_WIDTH


def _sides(scene: Scene, sheet: str) -> dict[str, set[str]]:
    """The sides of every symbol by which runs leave it."""
    made: dict[str, set[str]] = {}
    for part in scene.parts_on(sheet):
        ends = [(part.near, part.points)] + ([(part.far, part.points[::-1])] if part.kind == "whole" else [])
        for placement, points in ends:
            (ax, ay), (bx, by) = points[0], points[1]
            side = ("top" if by < ay else "bottom") if ax == bx else ("left" if bx < ax else "right")
            made.setdefault(placement, set()).add(side)
    return made


def _reworded(mine: Sequence[Primitive], words: Words, symbol: Box, owner: str) -> list[Primitive]:
    """Other words where the old ones stood, on the same side of the symbol."""
    texts = [p for p in mine if isinstance(p, Text)]
    rest: list[Primitive] = [p for p in mine if not isinstance(p, Text)]
    if not texts or not words.lines:
        return rest
    boxes = [text_box(t) for t in texts]
    left, right, top = min(b.left for b in boxes), max(b.right for b in boxes), min(b.top for b in boxes)
    if right <= symbol.left:
        box = words.box(right - words.width, top)
        return [*rest, *words.texts(box, "end", texts[0].ink, owner)]
    return [*rest, *words.texts(words.box(left, top), "start", texts[0].ink, owner)]


# -- runs -------------------------------------------------------------------------------------------------------------
def _run(
    drawn: Sequence[Primitive], before: Scene, now: Scene, labels: _Labels, old: list[RunPart], new: list[RunPart]
) -> tuple[Primitive, ...]:
    """The line exactly; its label where it was, moved along, or written anew."""
    item, sight = new[0].run, labels.sight
    made = [p for part in new for p in _part_strokes(sight, now, part)]
    rest = _without(drawn, (p for part in old for p in _part_strokes(sight, before, part)))
    words = run_words(now.snapshot, item)
    same_place = [part.label for part in old] == [part.label for part in new]
    same_words = bool(old) and same_place and words == run_words(before.snapshot, item)
    moved = _moved(old, new)
    if same_words and moved is not None:
        dx, dy = moved
        return (*made, *(transformed(rest, dx * STEP, dy * STEP) if dx or dy else rest))
    if same_words and rest and all(part.label is None for part in new) and _still_beside(rest, sight, new):
        return (*made, *rest)
    for part in new:
        made.extend(labels.run(part))
    return tuple(made)


def _moved(old: Sequence[RunPart], new: Sequence[RunPart]) -> tuple[int, int] | None:
    """By how much all of a run was moved, `None` where its shape is another."""
    if len(old) != len(new):
        return None
    steps = {
        (b[0] - a[0], b[1] - a[1])
        for one, other in zip(old, new, strict=True)
        for a, b in zip(one.points, other.points, strict=False)
    }
    if len(steps) != 1 or any(len(a.points) != len(b.points) for a, b in zip(old, new, strict=True)):
        return None
    return steps.pop()


def _still_beside(rest: Iterable[Primitive], sight: Sight, parts: Iterable[RunPart]) -> bool:
    """Whether every line of the label stands beside what is now drawn, and on none of it."""
    lines = [pair for part in parts for pair in pairwise(sight.at(p) for p in part.points)]
    tips = [arrow_box(sight.at(part.points[-1]), part.side) for part in parts if part.kind != "whole"]
    stretches = [Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])).grown(0.1) for a, b in lines]
    for p in rest:
        if isinstance(p, Text):
            box = text_box(p)
            if any(box.meets(b) for b in stretches):
                return False
            if not any(box.grown(_NEAR).meets(b) for b in (*stretches, *tips)):
                return False
        elif p.ink != "grey" and not any(_touches(p, b) for b in stretches):  # strokes across the line
            return False
    return True


def _touches(path: Path, box: Box) -> bool:
    xs = [s[-2] for s in path.segments if len(s) > 2]
    ys = [s[-1] for s in path.segments if len(s) > 2]
    return Box(min(xs), min(ys), max(xs), max(ys)).grown(0.01).meets(box)
