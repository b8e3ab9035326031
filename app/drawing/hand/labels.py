"""Labels that a person put where they stand: beside what they belong to, wherever that goes. In mm.

Such a label is drawn whatever it meets; other labels keep off it, and what it meets is told. It is set level, in the
form it has beside its symbol; where it stands left of that, flush right.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from app.drawing.frame import Frame
from app.drawing.looks import STEP
from app.drawing.placed import Piece, Point, RunPart, Scene, paper
from app.drawing.spots import Spot, joined_across
from app.drawing.texts import Align, Line, Words, device_words, on_one_line, reference_words, run_words, title_of
from engine.geometry import overlaps, within
from engine.installation import Aside
from engine.picture import Box
from engine.words import _

__all__ = [
    "HALF",
    "Sight",
    "anchor_of",
    "aside_at",
    "device_form",
    "lines_of",
    "met",
    "put_spot",
    "reference",
    "run_form",
    "sight_of",
    "zone_of",
]

HALF = 0.5  # mm: the step in which such a place is kept
XY = tuple[float, float]


class Sight(NamedTuple):
    """A sheet as labels see it: where the grid begins, in mm, and where labels may stand."""

    sheet: str
    size: str
    left: float
    top: float
    bounds: Box

    def at(self, p: Point) -> XY:
        """A grid point in mm."""
        return self.left + p[0] * STEP, self.top + p[1] * STEP

    def box(self, b: Box) -> Box:
        """A box in steps in mm."""
        return Box(
            self.left + b.left * STEP, self.top + b.top * STEP, self.left + b.right * STEP, self.top + b.bottom * STEP
        )

    def steps(self, b: Box) -> Box:
        """A box in mm in steps."""
        return Box(*((v - left) / STEP for v, left in zip(b, (self.left, self.top, self.left, self.top), strict=True)))


def sight_of(sheet: str, made: Frame) -> Sight:
    """Where labels may stand on a sheet: a little past the drawing area, as symbols may."""
    return Sight(sheet, made.size, made.border.left, made.border.top, made.drawing_box.grown(2.5))


def zone_of(scene: Scene, sheet: str, at: XY) -> str:
    """The zone of a point in steps, "" where sheets have no frame that shows zones."""
    if not scene.has_zones:
        return ""
    made = paper(dict(scene.sheets)[sheet].size)
    return made.zone(made.border.left + at[0] * STEP, made.border.top + at[1] * STEP)


def reference(scene: Scene, part: RunPart, *, label: bool) -> Words:
    """What the arrow of a broken run says; `label`: of a bus also what it is called."""
    run = scene.snapshot.runs[part.run]
    far = run.to_end if part.kind == "from" else run.from_end
    piece = scene.pieces.get(part.far)
    at = scene.far_point(part)
    if piece is None or at is None:
        name = title_of(scene.snapshot.equipment[far.equipment])
        return Words((Line(_("{name}, not drawn").format(name=name)),))
    sheet = piece.placement.sheet
    return reference_words(scene.snapshot, far.equipment, scene.number[sheet], zone_of(scene, sheet, at), label=label)


# -- the form it has -------------------------------------------------------------------------------------------------
def device_form(scene: Scene, piece: Piece) -> Words:
    """What is written at a symbol: as beside it, of a bus on one line."""
    words = device_words(scene.snapshot, piece.equipment, repeated=not piece.first)
    return Words((on_one_line(words),)) if piece.is_bar and words.lines else words


def run_form(scene: Scene, part: RunPart) -> Words:
    """What is written at a run, or at the arrow in which it ends here; nothing where it has neither name nor size."""
    words = run_words(scene.snapshot, part.run)
    return words if part.kind == "whole" else joined_across(words, reference(scene, part, label=False))


# -- the place it has ------------------------------------------------------------------------------------------------
def anchor_of(sight: Sight, what: Piece | RunPart) -> XY:
    """What the place of a label is reckoned from: the origin of a symbol, the first point of what is drawn of a run."""
    return sight.at(what.points[0] if isinstance(what, RunPart) else (what.placement.x, what.placement.y))


def aside_at(sight: Sight, what: Piece | RunPart, corner: XY) -> Aside:
    """The record of a label whose upper left corner is there."""
    x, y = anchor_of(sight, what)
    return Aside(x=round((corner[0] - x) / HALF), y=round((corner[1] - y) / HALF))


def put_spot(sight: Sight, what: Piece | RunPart, aside: Aside, words: Words) -> Spot:
    """The place a label was given, and how its lines are set there."""
    x, y = anchor_of(sight, what)
    box = words.box(x + aside.x * HALF, y + aside.y * HALF)
    if isinstance(what, RunPart):
        near = min(lines_of(sight, what), key=lambda line: _apart(box, line))
        align: Align = "end" if box.right <= near.left else "start"
    else:
        symbol = sight.box(what.box)
        align = "end" if box.right <= symbol.left else "start" if box.left >= symbol.right else "middle"
    return Spot(box, align, words=words)


def lines_of(sight: Sight, part: RunPart) -> list[Box]:
    """The stretches of a run, as boxes without width."""
    points = [sight.at(p) for p in part.points]
    return [Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pairwise(points)]


def _apart(box: Box, other: Box) -> float:
    return max(other.left - box.right, box.left - other.right, 0.0) + max(
        other.top - box.bottom, box.top - other.bottom, 0.0
    )


# -- what it meets ---------------------------------------------------------------------------------------------------
def met(scene: Scene, sight: Sight, labels: Sequence[tuple[str, Box]]) -> list[str]:
    """A sentence for every label (owner, where it was put) that lies on something or passes the drawing area."""
    if not labels:
        return []
    there: list[tuple[str, Box]] = [(p.equipment, sight.box(p.box)) for p in scene.on(sight.sheet)]
    for part in scene.parts_on(sight.sheet):
        there.extend((part.run, line) for line in lines_of(sight, part))
    boxes = [box for _owner, box in labels]
    meets: dict[int, dict[str, None]] = {}
    for n, m in overlaps(boxes, [box for _owner, box in there]):
        meets.setdefault(n, {})[there[m][0]] = None
    for n, m in overlaps(boxes):
        meets.setdefault(n, {})[labels[m][0]] = None
        meets.setdefault(m, {})[labels[n][0]] = None
    told: list[str] = []
    for n, (owner, box) in enumerate(labels):
        name = scene.snapshot.name(owner)
        if n in meets:
            others = _names(scene, owner, meets[n])
            told.append(_("The label of {name}, put there by hand, meets {others}.").format(name=name, others=others))
        if not within(box, sight.bounds):
            told.append(_("The label of {name}, put there by hand, leaves the drawing area.").format(name=name))
    return list(dict.fromkeys(told))


def _names(scene: Scene, owner: str, others: Iterable[str]) -> str:
    return ", ".join(_("what it belongs to") if item == owner else scene.snapshot.name(item) for item in others)
