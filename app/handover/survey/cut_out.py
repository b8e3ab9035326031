"""A cut-out of the drawing round a thing: at true size, so that its letters are as tall as on the sheet. In mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from app.drawing.placed import paper
from app.drawing.sheets import pictures
from app.drawing.squares.notes import targets
from app.drawing.squares.sign import half_of, square_sign
from app.handover.survey.clipping import CLEAR, clipped, reach
from app.paper.blocks import Figure
from engine.deficiencies import is_open
from engine.installation import Deficiency, Snapshot
from engine.naming import title_of
from engine.picture import Box, Picture, Primitive, Text, around, rectangle, transformed
from engine.words import _

__all__ = ["CutOuts"]

_ABOUT = 22.0  # of the drawing, round the thing
_LEAST = (110.0, 48.0)  # width and height
_HIGHEST = 85.0
_FURTHER = 16.0  # how far an edge may give way so that no label is cut
_LABEL = 2.0  # lines of one thing are one label where they are no further apart


class _Sheet(NamedTuple):
    item: str
    title: str
    size: str
    body: Box  # where anything is drawn
    drawn: list[tuple[Primitive, Box]]
    of: dict[str, Box]  # by owner, all it covers
    labels: list[tuple[str, Box]]  # lines that are read together, with whose they are


class CutOuts:
    """The sheets of a drawing, drawn once, with the squares of its deficiencies; cut-outs at most `wide` mm wide."""

    def __init__(self, snapshot: Snapshot, wide: float) -> None:
        self._snapshot, self._wide = snapshot, wide
        self._sheets = [_sheet(snapshot, picture) for picture in pictures(snapshot) if _id(picture)]

    def of(self, deficiency: Deficiency) -> Figure | None:
        """The drawing round what a deficiency speaks of; `None` where no sheet shows it."""
        owner = f"flag:{-(deficiency.number or 0)}" if deficiency.number else ""
        wanted = (owner, *targets(self._snapshot, deficiency))
        found = self._found(wanted)
        if found is None:
            return None
        sheet, thing = found
        window = self._whole_labels(sheet, self._window(sheet, thing, sheet.of.get(owner)))
        cut = [label for label in sheet.labels if label[0] not in wanted and _is_cut(label[1], window)]
        shown = (each for each in sheet.drawn if not _is_half_flag(*each, window) and not _is_of(*each, cut))
        made = list(clipped(shown, window))
        flag = sheet.of.get(owner)
        if deficiency.number and not any(p.owner == owner for p in made if isinstance(p, Text)):
            half = half_of(deficiency.number) + 1.0
            x, y = (window.left, window.top) if flag is None else _middle(flag)
            x = min(max(x, window.left + half), window.right - half)
            y = min(max(y, window.top + half), window.bottom - half)
            made.extend(square_sign(deficiency.number, x, y, settled=not is_open(deficiency)))
        made.append(rectangle(*window, width=0.25, ink="grey"))
        middle = _middle(thing)
        told = _("From {sheet}, {zone}, at the size it has there").format(
            sheet=sheet.title, zone=paper(sheet.size).zone(*middle)
        )
        return Figure(window.right - window.left, window.bottom - window.top, _drawer(made, window), told)

    def _found(self, owners: Sequence[str]) -> tuple[_Sheet, Box] | None:
        """The sheet that shows it, best one where its square stands too, and what it covers there."""
        flag, things = owners[0], owners[1:]
        for sheet in sorted(self._sheets, key=lambda sheet: flag not in sheet.of):
            boxes = [sheet.of[each] for each in things if each in sheet.of]
            if flag in sheet.of and not boxes:
                boxes = [sheet.of[flag]]
            if boxes:
                return sheet, around(boxes)
        return None

    def _window(self, sheet: _Sheet, thing: Box, flag: Box | None) -> Box:
        """What is shown: the thing and some of the drawing round it; of a long run, what lies about its square."""
        whole = around([thing, flag]) if flag is not None else thing
        widest = min(self._wide, sheet.body.right - sheet.body.left)
        highest = min(_HIGHEST, sheet.body.bottom - sheet.body.top)
        wide = min(max(whole.right - whole.left + 2 * _ABOUT, _LEAST[0]), widest)
        high = min(max(whole.bottom - whole.top + 2 * _ABOUT, _LEAST[1]), highest)
        fits = whole.right - whole.left <= wide - 8.0, whole.bottom - whole.top <= high - 8.0
        core = flag if flag is not None else Box(thing.left, thing.top, thing.left, thing.top)
        x = (whole.left + whole.right) / 2 if fits[0] else (core.left + core.right) / 2
        y = (whole.top + whole.bottom) / 2 if fits[1] else (core.top + core.bottom) / 2
        left = min(max(x - wide / 2, sheet.body.left), sheet.body.right - wide)
        top = min(max(y - high / 2, sheet.body.top), sheet.body.bottom - high)
        return Box(left, top, left + wide, top + high)

    def _whole_labels(self, sheet: _Sheet, window: Box) -> Box:
        """The window, wider where a label at its edge would lose a line: half a rating tells something else."""
        first = window
        for _again in range(3):
            for _owner, box in sorted(sheet.labels, key=lambda label: label[1]):
                if not _is_cut(box, window):
                    continue
                wider = around([window, box.grown(CLEAR)])
                further = max(first.left - wider.left, first.top - wider.top, wider.right - first.right,
                              wider.bottom - first.bottom)  # fmt: skip
                if (
                    further <= _FURTHER
                    and wider.right - wider.left <= self._wide
                    and wider.bottom - wider.top <= _HIGHEST
                ):
                    window = wider
        return window


def _middle(box: Box) -> tuple[float, float]:
    return (box.left + box.right) / 2, (box.top + box.bottom) / 2


def _is_cut(box: Box, window: Box) -> bool:
    """Whether it lies across the edge."""
    within = window.grown(-CLEAR + 0.01)
    inside = within.left <= box.left and box.right <= within.right
    outside = box.right <= window.left or window.right <= box.left
    return not (
        (inside and within.top <= box.top and box.bottom <= within.bottom)
        or outside or box.bottom <= window.top or window.bottom <= box.top
    )  # fmt: skip


def _is_of(primitive: Primitive, box: Box, labels: Sequence[tuple[str, Box]]) -> bool:
    """Whether it is a line of one of the labels."""
    return isinstance(primitive, Text) and any(
        primitive.owner == owner and label.left <= box.left and box.right <= label.right
        and label.top <= box.top and box.bottom <= label.bottom
        for owner, label in labels
    )  # fmt: skip


def _labels(kept: Sequence[tuple[Primitive, Box]]) -> list[tuple[str, Box]]:
    """Lines of words of one thing that stand close together."""
    made: list[tuple[str, Box]] = []
    for primitive, box in kept:
        if not isinstance(primitive, Text) or primitive.owner.startswith("flag:"):
            continue
        near = box.grown(_LABEL)
        for n, (owner, label) in enumerate(made):
            apart = near.right < label.left or label.right < near.left or near.bottom < label.top
            if owner == primitive.owner and not (apart or label.bottom < near.top):
                made[n] = (owner, around([label, box]))
                break
        else:
            made.append((primitive.owner, box))
    return made


def _is_half_flag(primitive: Primitive, box: Box, window: Box) -> bool:
    """Whether it is of a flag at the edge: without its number a square tells nothing."""
    inside = window.left <= box.left and box.right <= window.right
    return primitive.owner.startswith("flag:") and not (
        inside and window.top <= box.top and box.bottom <= window.bottom
    )


def _drawer(primitives: list[Primitive], window: Box) -> Callable[[float, float], Sequence[Primitive]]:
    def draw(x: float, y: float) -> Sequence[Primitive]:
        moved = transformed(primitives, x - window.left, y - window.top)
        return [p._replace(link="") if isinstance(p, Text) else p for p in moved]

    return draw


def _id(picture: Picture) -> str:
    anchors = picture.anchors
    return next((name[6:] for name, _x, _y in anchors[:1] if name.startswith("sheet:")), "")


def _sheet(snapshot: Snapshot, picture: Picture) -> _Sheet:
    item = _id(picture)
    skipped = picture.meaning.frame if picture.meaning is not None else 0
    primitives = picture.primitives[skipped:]
    size = _size_of(snapshot, item, picture)
    room = paper(size).drawing_box
    drawn = [(p, reach(p)) for p in primitives]
    kept = [(p, box) for p, box in drawn if not p.owner.startswith("note:") and box.left < room.right]
    of: dict[str, Box] = {}
    for primitive, box in kept:
        if primitive.owner:
            known = of.get(primitive.owner)
            of[primitive.owner] = box if known is None else around([known, box])
    title = title_of(snapshot, "sheets", item) if item in snapshot.sheets else _("the drawing")
    return _Sheet(item, title, size, room.grown(2.0), kept, of, _labels(kept))


def _size_of(snapshot: Snapshot, item: str, picture: Picture) -> str:
    if item in snapshot.sheets:
        return snapshot.sheets[item].size
    from app.drawing.frame import SIZES

    made = picture.width, picture.height
    return next(name for name, size in SIZES.items() if size == made)
