"""How readable a sheet is, as numbers a person can check by eye.

Every part of the cost says what it is worth against the others: a bend as much as 8 steps of run, a crossing as much as
24 (weights are this program's own, no source; they are near what a route itself costs in `engine.geometry`). Whatever
overlaps costs more than any way round it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

from app.drawing.added.remarks import remark_box, remarks_on
from app.drawing.area import drawing_area
from app.drawing.choosing import Labelled
from app.drawing.labels import Sight, label_sheet
from app.drawing.looks import STEP
from app.drawing.placed import Piece, RunPart, Scene, paper
from app.drawing.routes import arrow_box
from engine.geometry import overlaps
from engine.picture import Box, Text
from engine.words import _

__all__ = ["Score", "score_of"]

LENGTH = 0.5  # a step of run: half, so that room for labels is worth having
BEND, CROSSING = 4.0, 12.0
OVERLAP = 1000.0
UNLABELLED = 200.0  # a label that is cut short or finds no place at all
UPRIGHT = 5.0  # a label that reads upward
LEADER = 10.0  # a label that stands off, with a leader
BROKEN = 60.0  # a run between two symbols of this sheet that ends in two arrows
ASKEW = 3.0  # two symbols that nearly stand in one row or column
EMPTY = 1.0  # for every hundredth of the sheet's width and height that lies outside all that is drawn
NEARLY = 2  # steps by which symbols miss a row or column that they nearly stand in
NEAR = 40  # steps within which that shows


class Score(NamedTuple):
    """What makes a sheet easy or hard to read. The lower `cost`, the easier."""

    crossings: int  # places where one run passes over another
    bends: int  # corners of runs
    overlaps: int  # symbols, runs and labels that lie on each other, or outside the drawing area
    length_mm: float  # of all runs, as drawn
    unlabelled: int  # labels cut short or left out
    leaders: int  # labels that stand off
    upright: int  # labels that read upward
    broken: int  # runs that end in two arrows though both their symbols are on the sheet
    askew: int  # pairs of symbols that nearly stand in a row
    use: float  # share of the sheet's drawing area that what is drawn spans, 0 to 1

    @property
    def cost(self) -> float:
        """All of it as one number."""
        return (
            LENGTH * self.length_mm / STEP
            + BEND * self.bends
            + CROSSING * self.crossings
            + OVERLAP * self.overlaps
            + UNLABELLED * self.unlabelled
            + UPRIGHT * self.upright
            + LEADER * self.leaders
            + BROKEN * self.broken
            + ASKEW * self.askew
            + EMPTY * 100 * (1 - self.use)
        )

    def brief(self) -> str:
        """The three numbers that are looked at first."""
        return _("{crossings} crossings, {bends} bends, {overlaps} overlaps").format(
            crossings=self.crossings, bends=self.bends, overlaps=self.overlaps
        )

    def told(self) -> str:
        """The numbers in a sentence."""
        return _(
            "{crossings} crossings, {bends} bends, {overlaps} overlaps, {length} mm of runs, {broken} broken runs, "
            "{off} labels that stand off, {cut} cut short, {use} % of the sheet"
        ).format(
            crossings=self.crossings,
            bends=self.bends,
            overlaps=self.overlaps,
            length=round(self.length_mm),
            broken=self.broken,
            off=self.leaders,
            cut=self.unlabelled,
            use=round(100 * self.use),
        )


def score_of(scene: Scene, sheet: str, go_on: Callable[[], object] | None = None, *, labels: bool = True) -> Score:
    """The score of one sheet of a scene all runs of which have their way. `go_on` may raise to stop.

    Without `labels` as if the sheet had none: never worse than with them, and found much sooner.
    """
    pieces, parts = scene.on(sheet), scene.parts_on(sheet)
    size = scene.snapshot.sheets[sheet].size
    made = paper(size)
    sight = Sight(sheet, made.size, made.border.left, made.border.top, made.drawing_box.grown(2.5))
    taken: list[Box] = [sight.box(p.box) for p in pieces]
    for part in parts:
        air = 0.8 if scene.snapshot.runs[part.run].is_ac() else 0.35
        for a, b in pairwise(sight.at(p) for p in part.points):
            taken.append(Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])).grown(air))
        if part.kind != "whole":
            taken.append(sight.box(arrow_box(part.points[-1], part.side)))
    taken.extend(remark_box(sight, remark) for remark in remarks_on(scene.snapshot, sheet).values())
    labelled = label_sheet(scene, sight, taken, go_on) if labels else Labelled([], [], [], [], [])
    boxes = [box for box, _owner in labelled.boxes]
    by_hand = len(overlaps(boxes, taken)) + sum(
        labelled.boxes[n][1] != labelled.boxes[m][1] for n, m in overlaps(boxes)
    )
    crossed, along = _meetings(scene, parts)
    wrong = _standing_on(scene, pieces, parts) + along + _outside(pieces, parts, size) + by_hand
    runs = {part.run for part in parts if part.kind == "from"} & {part.run for part in parts if part.kind == "to"}
    return Score(
        crossings=crossed,
        bends=sum(len(part.points) - 2 for part in parts),
        overlaps=wrong,
        length_mm=STEP * sum(abs(ax - bx) + abs(ay - by) for p in parts for (ax, ay), (bx, by) in pairwise(p.points)),
        unlabelled=len(labelled.untold) + len(labelled.missing),
        leaders=sum(not isinstance(p, Text) for p in labelled.primitives),
        upright=len({p.owner for p in labelled.primitives if isinstance(p, Text) and p.rotation}),
        broken=len(runs),
        askew=_askew(pieces),
        use=_use([*taken, *boxes], size) if labels else 1.0,
    )


def _standing_on(scene: Scene, pieces: Sequence[Piece], parts: Sequence[RunPart]) -> int:
    """Symbols that overlap each other; runs that pass over a symbol they do not end at, or come back over their own."""
    boxes = [p.box.grown(-0.05) for p in pieces]
    found = len(overlaps(boxes))
    lines: list[Box] = []
    of: list[RunPart] = []
    for part in parts:
        last = len(part.points) - 2
        for n, (a, b) in enumerate(pairwise(part.points)):
            lines.append(_shortened(a, b, n == 0, n == last and part.kind == "whole"))
            of.append(part)
    met = {(of[n], m) for n, m in overlaps(lines, boxes)}
    return found + sum(not (pieces[m].is_bar and pieces[m].id in (part.near, part.far)) for part, m in met)


def _shortened(a: tuple[int, int], b: tuple[int, int], first: bool, last: bool) -> Box:
    """A stretch of a run as a box, without the half step at a terminal, where strokes of the symbol meet it."""
    dx, dy = (b[0] > a[0]) - (b[0] < a[0]), (b[1] > a[1]) - (b[1] < a[1])
    ax, ay = (a[0] + 0.5 * dx, a[1] + 0.5 * dy) if first else a
    bx, by = (b[0] - 0.5 * dx, b[1] - 0.5 * dy) if last else b
    return Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)).grown(0.02)


def _meetings(scene: Scene, parts: Sequence[RunPart]) -> tuple[int, int]:
    """Where runs cross, and how many pairs of runs lie on each other that do not leave one terminal."""
    level: list[tuple[int, int, int, RunPart]] = []  # row, first and last column
    upright: list[tuple[int, int, int, RunPart]] = []
    for part in parts:
        for (ax, ay), (bx, by) in pairwise(part.points):
            if ay == by:
                level.append((ay, min(ax, bx), max(ax, bx), part))
            else:
                upright.append((ax, min(ay, by), max(ay, by), part))
    crossed = sum(
        low < x < high and top < y < bottom and one.run != other.run
        for x, top, bottom, one in upright
        for y, low, high, other in level
    )
    along: set[tuple[RunPart, RunPart]] = set()
    for lines in (level, upright):
        lines.sort(key=lambda each: each[:3])
        for n, (at, start, stop, one) in enumerate(lines):
            for at_other, first, last, other in lines[n + 1 :]:
                if at_other != at or first >= stop:
                    break
                if (
                    min(stop, last) > max(start, first)
                    and one.run != other.run
                    and not _one_terminal(scene, one, other)
                ):
                    along.add((one, other))
    return crossed, len(along)


def _one_terminal(scene: Scene, one: RunPart, other: RunPart) -> bool:
    """Whether two runs share a terminal: near it they may lie on each other."""
    a, b = scene.snapshot.runs[one.run], scene.snapshot.runs[other.run]
    ends = {(e.equipment, e.terminal) for e in (a.from_end, a.to_end)}
    return any((e.equipment, e.terminal) in ends for e in (b.from_end, b.to_end))


def _outside(pieces: Sequence[Piece], parts: Sequence[RunPart], size: str) -> int:
    """What stands outside the drawing area, half a step of a stroke aside."""
    area = drawing_area(size)
    whole = Box(area.left - 0.5, area.top - 0.5, area.left + area.width + 0.5, area.top + area.height + 0.5)

    def out(b: Box) -> bool:
        return b.left < whole.left or b.top < whole.top or b.right > whole.right or b.bottom > whole.bottom

    return sum(out(p.box) for p in pieces) + sum(any(out(Box(*p, *p)) for p in part.points) for part in parts)


def _askew(pieces: Sequence[Piece]) -> int:
    """Pairs of neighbours of one role that miss each other's row or column by a step or two."""
    found = 0
    upright = sorted((p for p in pieces if not p.is_bar), key=lambda p: (p.placement.x, p.placement.y))
    for n, one in enumerate(upright):
        for other in upright[n + 1 :]:
            dx, dy = other.placement.x - one.placement.x, abs(other.placement.y - one.placement.y)
            if dx > NEAR:
                break
            if one.record.KIND == other.record.KIND:
                found += (0 < dy <= NEARLY and dx > NEARLY) or (0 < dx <= NEARLY and NEARLY < dy <= NEAR)
    return found


def _use(taken: Sequence[Box], size: str) -> float:
    """How much of the drawing area's width and height all that is drawn spans, the mean of the two."""
    if not taken:
        return 1.0
    area = paper(size).drawing_box
    wide = max(b.right for b in taken) - min(b.left for b in taken)
    high = max(b.bottom for b in taken) - min(b.top for b in taken)
    return min(1.0, (wide / (area.right - area.left) + high / (area.bottom - area.top)) / 2)
