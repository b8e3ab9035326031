"""The sheets of two drawings that are compared, each with its clouds, tags and what is gone. In mm on the sheet."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from typing import Literal, NamedTuple

from app.drawing.added.remarks import remark_box
from app.drawing.frame import Frame, frame
from app.drawing.hand.labels import sight_of
from app.drawing.labels import Sight
from app.drawing.placed import Scene, paper, set_scene
from app.drawing.redlines.entries import Entry
from app.drawing.redlines.over import sheets_over
from app.drawing.redlines.signs import (
    OWNER,
    ghost_line,
    ghost_symbol,
    half_of,
    marked_cloud,
    sign_text,
    struck,
    struck_line,
    tag,
)
from app.drawing.revisions import stands
from app.drawing.routes import find_missing
from app.drawing.sheet import Body, draw_sheet
from app.drawing.sheets import grid_of, laid_out, sheet_fields
from app.drawing.strokes import symbol_strokes
from engine.clouds import outlines
from engine.comparing import Differences
from engine.comparing.telling import How
from engine.geometry import choose_places
from engine.installation import Snapshot
from engine.picture import Box, Primitive, around, line, path_box, polyline, rectangle

__all__ = ["Redlined", "Redlines", "Side"]

Side = Literal["newer", "older"]
_CLOUDED: dict[Side, tuple[How, ...]] = {"newer": ("added", "changed"), "older": ("changed",)}
_LEADER = 1.5  # mm: a tag farther from what it means has a line to it


class Redlined(NamedTuple):
    """A sheet of one of the two with what is marked on it.

    `under` lies under what is drawn, `over` over it. `boxes`: where each numbered difference stands.
    """

    side: Side
    sheet: str
    frame: Frame
    body: Body
    under: tuple[Primitive, ...]
    over: tuple[Primitive, ...]
    boxes: dict[int, Box]


class _Mark(NamedTuple):
    """Something to be tagged: its entry and where it is, its most telling box first."""

    entry: Entry
    boxes: list[Box]


class Redlines:
    """Draws the sheets of a comparison. `go_on` is called now and then and may raise to stop.

    `bodies`: those of the older drawing's sheets that were drawn before; those drawn now join them.
    """

    def __init__(
        self,
        before: Snapshot,
        after: Snapshot,
        made: Differences,
        entries: Sequence[Entry],
        go_on: Callable[[], object] | None = None,
        bodies: dict[str, Body] | None = None,
    ) -> None:
        # a drawing that has no sheets yet is laid out to be looked at, as it is to be printed
        self.before = before if before.sheets or not before.equipment else laid_out(before)
        self.after = after if after.sheets or not after.equipment else laid_out(after)
        self.made, self.entries = made, tuple(entries)
        self._go_on = go_on
        self._bodies = {} if bodies is None else bodies
        self.over = sheets_over(self.before, self.after, made.same, made.matched == "ids")

    @cached_property
    def newer(self) -> Scene:
        """What stands where in the newer drawing."""
        return _scene(self.after)

    @cached_property
    def older(self) -> Scene:
        """What stands where in the older drawing."""
        return _scene(self.before)

    # -- which sheets -----------------------------------------------------------------------------------------------
    def sheets(self, side: Side) -> tuple[str, ...]:
        """The sheets of one drawing, in order."""
        return tuple(item for item, _sheet in (self.newer if side == "newer" else self.older).sheets)

    def marked_sheets(self, side: Side) -> tuple[str, ...]:
        """Those on which something is marked."""
        shown = _shown(self.newer if side == "newer" else self.older)
        wanted: set[str] = set()
        for entry in self.entries:
            if not entry.marked:
                continue
            for item in entry.shown_new if side == "newer" else entry.shown_old:
                wanted |= shown.get(item, set())
        if side == "newer":
            old = _shown(self.older)
            for entry in self._ghostly():
                for item in entry.shown_old:
                    wanted |= {self.over[sheet] for sheet in old.get(item, ()) if sheet in self.over}
        return tuple(sheet for sheet in self.sheets(side) if sheet in wanted)

    def alone(self) -> tuple[str, ...]:
        """Sheets of the older drawing that show what is gone or was otherwise, and lie over no newer one."""
        return tuple(sheet for sheet in self.marked_sheets("older") if sheet not in self.over)

    def _gone(self) -> Iterable[Entry]:
        return (entry for entry in self.entries if entry.how == "removed" and entry.marked)

    def _ghostly(self) -> Iterable[Entry]:
        """What is gone and had strokes of its own."""
        return (entry for entry in self._gone() if entry.table != "interlocks")

    def whole_frame(self, side: Side, sheet: str) -> Frame:
        """The frame of a sheet with its title block filled in."""
        scene = self.newer if side == "newer" else self.older
        record = dict(scene.sheets)[sheet]
        fields = sheet_fields(scene, None, record.title, scene.number[sheet], len(scene.sheets))
        return frame(record.size, fields)

    # -- one sheet --------------------------------------------------------------------------------------------------
    def redlined(self, side: Side, sheet: str, *, labels_stay: bool = False) -> Redlined:
        """A sheet with its marks. Raises `KeyError` for one that there is not.

        `labels_stay`: those of the newer drawing stand where they do without marks, as the board shows them; else they
        keep off what is gone.
        """
        scene = self.newer if side == "newer" else self.older
        made = paper(dict(scene.sheets)[sheet].size)
        sight = sight_of(sheet, made)
        under: list[Primitive] = []
        over: list[Primitive] = []
        marks: list[_Mark] = []
        if side == "newer":
            for was, now in self.over.items():
                if now == sheet:
                    marks.extend(self._ghosts(was, sight, under))
        else:
            marks.extend(self._struck(scene, sheet, sight, over))
        gone = [box for mark in marks for box in mark.boxes]
        kept_off = side == "newer" and not labels_stay
        body = self._bodies.get(sheet) if side == "older" else None
        if body is None:
            body = draw_sheet(scene, sheet, made, self._go_on, gone if kept_off else ())
        if side == "older":
            self._bodies[sheet] = body
        for how in _CLOUDED[side]:
            boxes: list[Box] = []
            for entry in self.entries:
                if entry.how == how and entry.marked:
                    here = _boxes(body.places, entry.shown_new if side == "newer" else entry.shown_old)
                    if here:
                        marks.append(_Mark(entry, here))
                        boxes.extend(here)
            under.extend(marked_cloud(each, how) for each in outlines(boxes, made.drawing_box.grown(1.0)))
        if side == "newer":  # what a lock that is gone held has a tag alone
            locks = [entry for entry in self._gone() if entry.table == "interlocks"]
            marks.extend(_Mark(entry, here) for entry in locks if (here := _boxes(body.places, entry.shown_new)))
        over.extend(_tags(marks, [*body.taken, *gone], made.drawing_box))
        boxes_of = {mark.entry.number: around(mark.boxes) for mark in marks}
        return Redlined(side, sheet, made, body, tuple(under), tuple(over), boxes_of)

    def _ghosts(self, was: str, sight: Sight, into: list[Primitive]) -> list[_Mark]:
        """What is gone, drawn where the older sheet had it."""
        made: list[_Mark] = []
        for entry in self._ghostly():
            boxes: list[Box] = []
            for item in entry.shown_old:
                strokes = self._ghost(item, was, sight)
                into.extend(strokes)
                boxes.extend(path_box(p) for p in strokes if not hasattr(p, "text"))
            if boxes:
                # beside what strikes a run, not beside the box round all its bends
                made.append(_Mark(entry, boxes[1:] or boxes if entry.table == "runs" else [around(boxes)]))
        return made

    def _ghost(self, item: str, sheet: str, sight: Sight) -> list[Primitive]:
        made: list[Primitive] = []
        remark = self.before.remarks.get(item)
        if remark is not None and remark.sheet == sheet:
            box = remark_box(sight, remark)
            made.extend(ghost_symbol([rectangle(*box)], box))
        for piece in self.older.of.get(item, ()):
            if piece.placement.sheet == sheet:
                box = sight.box(piece.box)
                at = sight.at((piece.placement.x, piece.placement.y))
                strokes = symbol_strokes(piece.look.shape.primitives, at, box, "existing", OWNER)
                made.extend(ghost_symbol(strokes, box))
        for part in self.older.parts_on(sheet):
            if part.run == item:
                made.extend(ghost_line([sight.at(p) for p in part.points]))
        return made

    def _struck(self, scene: Scene, sheet: str, sight: Sight, into: list[Primitive]) -> list[_Mark]:
        """What is gone, struck on the sheet that had it."""
        made: list[_Mark] = []
        for entry in self._gone():
            boxes: list[Box] = []
            wanted = set(entry.shown_old)
            for piece in scene.on(sheet):
                if piece.equipment in wanted:
                    box = sight.box(piece.box)
                    boxes.append(box)
                    into.extend(struck(box) if entry.table == "equipment" else ())
            for part in scene.parts_on(sheet):
                if part.run in wanted:
                    points = [sight.at(p) for p in part.points]
                    boxes.append(path_box(polyline(points)))
                    into.extend(struck_line(points))
            for item, remark in self.before.remarks.items():
                if item in wanted and remark.sheet == sheet:
                    boxes.append(remark_box(sight, remark))
                    into.extend(struck(boxes[-1]))
            if boxes:
                made.append(_Mark(entry, boxes))
        return made


def _scene(snapshot: Snapshot) -> Scene:
    scene = set_scene(snapshot)
    find_missing(scene, {item: grid_of(sheet) for item, sheet in scene.sheets})
    return scene


def _shown(scene: Scene) -> dict[str, set[str]]:
    """Things with the sheets that show them."""
    shown: dict[str, set[str]] = {}
    for piece in scene.pieces.values():
        shown.setdefault(piece.equipment, set()).add(piece.placement.sheet)
    for part in scene.parts:
        shown.setdefault(part.run, set()).add(part.sheet)
    for item, remark in scene.snapshot.remarks.items():
        shown.setdefault(item, set()).add(remark.sheet)
    return shown


def _boxes(places: Mapping[str, Sequence[Box]], items: Iterable[str]) -> list[Box]:
    return [box for item in items for box in places.get(item, ())]


def _tags(marks: Sequence[_Mark], taken: Sequence[Box], bounds: Box) -> list[Primitive]:
    """A tag at everything that is marked, off what is drawn where there is room; none is ever left out."""
    texts = [sign_text(mark.entry.how, mark.entry.number) for mark in marks]
    wishes: list[list[Box]] = []
    for mark, text in zip(marks, texts, strict=True):
        wide, high = half_of(text)
        box = mark.boxes[0].grown(1.6)
        corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
        wishes.append(stands(corners, wide + 0.3, high + 0.3))
    made: list[Primitive] = []
    for mark, text, wished, chosen in zip(marks, texts, wishes, choose_places(wishes, taken, bounds), strict=True):
        at = wished[0 if chosen is None else chosen]
        owner = f"{OWNER}:{mark.entry.number}"
        made.extend(_leader(at, mark.boxes[0], owner))
        made.extend(tag((at.left + at.right) / 2, (at.top + at.bottom) / 2, text, owner))
    return made


def _leader(at: Box, box: Box, owner: str) -> list[Primitive]:
    """A thin line from a tag that stands off to what it means."""
    x, y = (
        min(max((at.left + at.right) / 2, box.left), box.right),
        min(max((at.top + at.bottom) / 2, box.top), box.bottom),
    )
    from_x, from_y = min(max(x, at.left), at.right), (at.top + at.bottom) / 2
    if at.top <= y <= at.bottom:
        from_y = y
    elif at.left < x < at.right:
        from_y = at.top if y < at.top else at.bottom
    if math.hypot(x - from_x, y - from_y) <= _LEADER:
        return []
    return [line(from_x, from_y, x, y, 0.2, "red", owner=owner)]
