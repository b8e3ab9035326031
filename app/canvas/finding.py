"""What is where on a sheet: by its geometry, not by painted items, so that a thin line can be met. No Qt. In mm."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from itertools import pairwise

from app.canvas.redraw import sight_of
from app.canvas.tool import Hit
from app.drawing.added.remarks import remark_box, remarks_on
from app.drawing.figures import FIGURE
from app.drawing.hand.labels import lines_of
from app.drawing.labels import arrow_box
from app.drawing.placed import Piece, RunPart, Scene
from engine.picture import Box, Primitive, Text, around, path_box, text_box

__all__ = ["Finder"]

_CELL = 12.5  # mm, five grid steps
_BAND = 25.0  # what stands so level is read from left to right
# farthest from what is meant, in mm on the sheet, however far away it is looked at
_TERMINAL, _RUN = 1.6, 2.4
_TOGETHER = 1.1  # mm: lines of one label are no further apart
_ON_LINE = 0.7  # so near a run it is meant, even on a label

_Stretch = tuple[float, float, float, float, str, int]


class Finder:
    """Geometry of one sheet at one moment. What is asked for seldom or never is not reckoned before it is."""

    def __init__(
        self,
        scene: Scene,
        sheet: str,
        of: Mapping[str, tuple[Primitive, ...]],
        note_boxes: Mapping[int, Box],
        texts: Callable[[str], list[Box]],
    ) -> None:
        self.scene, self.sheet = scene, sheet
        self.sight = sight_of(scene, sheet)
        self._of, self._note_boxes, self._texts = of, note_boxes, texts

    @cached_property
    def boxes(self) -> dict[str, Box]:
        """Room of every symbol, by placement."""
        return {p.id: self.sight.box(p.box) for p in self.scene.on(self.sheet)}

    @cached_property
    def remark_boxes(self) -> dict[str, Box]:
        """Room of every remark's words, by id."""
        remarks = remarks_on(self.scene.snapshot, self.sheet)
        return {item: remark_box(self.sight, remark) for item, remark in remarks.items()}

    @cached_property
    def flag_boxes(self) -> dict[int, Box]:
        """The circle of every flag, by number."""
        flags = [owner for owner in self._of if owner.startswith("flag:")]
        return {int(owner[5:]): _around(self._of[owner]) for owner in flags}

    @cached_property
    def _figure_boxes(self) -> list[Box]:
        """Room of what lies over the sheet."""
        return [_around(self._of[owner]) for owner in self._of if owner.startswith(FIGURE)]

    @cached_property
    def _pieces(self) -> dict[tuple[int, int], list[Piece]]:
        made: dict[tuple[int, int], list[Piece]] = {}
        for piece in self.scene.on(self.sheet):
            for cell in _cells(self.boxes[piece.id].grown(_TERMINAL)):
                made.setdefault(cell, []).append(piece)
        return made

    @cached_property
    def _stretches(self) -> dict[tuple[int, int], list[_Stretch]]:
        made: dict[tuple[int, int], list[_Stretch]] = {}
        for part in self.scene.parts_on(self.sheet):
            points = [self.sight.at(p) for p in part.points]
            for n, ((ax, ay), (bx, by)) in enumerate(pairwise(points)):
                stretch = (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by), part.run, n)
                for cell in _cells(Box(*stretch[:4]).grown(_RUN)):
                    made.setdefault(cell, []).append(stretch)
        return made

    @cached_property
    def _labels(self) -> dict[tuple[int, int], list[tuple[Box, str]]]:
        made: dict[tuple[int, int], list[tuple[Box, str]]] = {}
        for owner in self._of:
            if owner and ":" not in owner:
                for box in self._texts(owner):
                    for cell in _cells(box):
                        made.setdefault(cell, []).append((box, owner))
        return made

    @cached_property
    def _obstacles(self) -> dict[tuple[int, int], list[Box]]:
        """What no sign is to cover."""
        made: dict[tuple[int, int], list[Box]] = {}
        labels = (box for some in self._labels.values() for box, _owner in some)
        arrows = [
            arrow_box(self.sight.at(part.points[-1]), part.side)
            for part in self.scene.parts_on(self.sheet)
            if part.kind != "whole"
        ]
        for piece in self.scene.on(self.sheet):
            if piece.is_bar and piece.several:  # it may go on at either end
                (ax, ay), (bx, by) = (self.sight.at(p) for p in piece.ends())
                arrows += [arrow_box((ax, ay), "left"), arrow_box((bx, by), "right")]
        every = (*self.boxes.values(), *self.flag_boxes.values(), *self._figure_boxes, *labels, *arrows)
        for box in dict.fromkeys(every):
            for cell in _cells(box):
                made.setdefault(cell, []).append(box)
        return made

    # -- at a point -----------------------------------------------------------------------------------------------
    def at(self, x: float, y: float, pixel_mm: float) -> Hit:
        """What is at a point; `pixel_mm` is how large a pixel of the screen is on the sheet."""
        for number, box in self.flag_boxes.items():
            if _inside(box, x, y):
                return Hit("flag", number=number)
        cell = (int(x // _CELL), int(y // _CELL))
        pieces = self._pieces.get(cell, ())
        hit = self._terminal(pieces, x, y, min(max(7 * pixel_mm, 0.8), _TERMINAL))
        if hit is not None:
            return hit
        grow = min(2 * pixel_mm, 1.0)
        inside = [p for p in pieces if _inside(self.boxes[p.id].grown(grow), x, y)]
        if inside:
            piece = min(inside, key=lambda p: _area(self.boxes[p.id]))
            return Hit("equipment", piece.equipment, piece.id)
        hit = self._run(cell, x, y, min(max(5 * pixel_mm, 0.7), _RUN))
        if hit is not None:
            return hit
        for item, box in self.remark_boxes.items():
            if _inside(box.grown(grow), x, y):
                return Hit("remark", item)
        for box, owner in self._labels.get(cell, ()):
            if _inside(box, x, y):
                hit = self._labelled(owner, x, y)
                if hit is not None:
                    return hit
        for number, box in self._note_boxes.items():
            if _inside(box, x, y):
                return Hit("note", number=number)
        return Hit()

    def _terminal(self, pieces: Iterable[Piece], x: float, y: float, near: float) -> Hit | None:
        best: tuple[float, Hit] | None = None
        for piece in pieces:
            if piece.is_bar:
                (ax, ay), (bx, by) = (self.sight.at(p) for p in piece.ends())
                far = max(ax - x, x - bx, 0.0) + max(ay - y, y - by, 0.0)
                names: Iterable[str] = list(piece.look.ports)[:1]
            else:
                far, names = near, piece.look.ports
            for name in names:
                if not piece.shows(name):
                    continue
                if not piece.is_bar:
                    px, py = self.port(piece, name)
                    far = max(abs(px - x), abs(py - y))
                if far <= near and (best is None or far < best[0]):
                    best = (far, Hit("terminal", piece.equipment, piece.id, name))
        return None if best is None else best[1]

    def port(self, piece: Piece, terminal: str) -> tuple[float, float]:
        """Where a terminal is."""
        port = piece.port(terminal)
        return self.sight.at((port.x, port.y))

    def _run(self, cell: tuple[int, int], x: float, y: float, near: float) -> Hit | None:
        best: tuple[float, Hit] | None = None
        for left, top, right, bottom, run, n in self._stretches.get(cell, ()):
            far = max(left - x, x - right, 0.0) + max(top - y, y - bottom, 0.0)
            if far <= near and (best is None or far < best[0]):
                best = (far, Hit("run", run, segment=n))
        return None if best is None else best[1]

    def runs_at(self, x: float, y: float) -> set[str]:
        """Runs whose line goes through a point."""
        stretches = self._stretches.get((int(x // _CELL), int(y // _CELL)), ())
        return {
            run for left, top, right, bottom, run, _n in stretches if _off(Box(left, top, right, bottom), x, y) < 0.1
        }

    def _labelled(self, owner: str, x: float, y: float) -> Hit | None:
        """What a label belongs to: the nearest of its symbols, or its run."""
        pieces = [p for p in self.scene.of.get(owner, ()) if p.placement.sheet == self.sheet]
        if pieces:
            piece = min(pieces, key=lambda p: _off(self.boxes[p.id], x, y))
            return Hit("equipment", owner, piece.id, label=True)
        lines = self.lines(owner)
        if not lines:
            return Hit("enclosure", owner, label=True) if owner in self.scene.snapshot.enclosures else None
        near = min(range(len(lines)), key=lambda n: _off(lines[n], x, y))
        return Hit("run", owner, segment=near, label=True)

    def covered(self, box: Box) -> float:
        """How much of labels, flags and symbols a box would cover, in mm²."""
        left, top, right, bottom = box.left, box.top, box.right, box.bottom
        met: set[Box] = set()
        for cell in _cells(box):
            for o in self._obstacles.get(cell, ()):
                if o.left < right and left < o.right and o.top < bottom and top < o.bottom:
                    met.add(o)
        return sum((min(right, o.right) - max(left, o.left)) * (min(bottom, o.bottom) - max(top, o.top)) for o in met)

    def crossed(self, box: Box, run: str) -> int:
        """How many stretches of other runs go through a box."""
        met = {
            stretch
            for cell in _cells(box)
            for stretch in self._stretches.get(cell, ())
            if stretch[4] != run
            and stretch[0] < box.right
            and box.left < stretch[2] + 1e-6
            and stretch[1] < box.bottom
            and box.top < stretch[3] + 1e-6
        }
        return len(met)

    def label_box(self, what: Piece | RunPart, first: str, at: tuple[float, float] | None = None) -> Box | None:
        """The room of the label of a symbol or run; `None` where none is drawn. `first`: what its first line says.

        All the lines that stand together: about the point `at`, else about the nearest line that says the first.
        """
        owner = what.run if isinstance(what, RunPart) else what.equipment
        symbols = [self.boxes[p.id] for p in self.scene.of.get(owner, ()) if p.id in self.boxes]
        rest = [box for box in self._texts(owner) if not any(_holds(symbol, box) for symbol in symbols)]
        if at is not None:
            seeds = [box for box in rest if _inside(box, *at)]
        else:
            says = [text_box(p) for p in self._of.get(owner, ()) if isinstance(p, Text) and p.text == first]
            middle = self.middle_of(what)
            seeds = sorted(says, key=lambda box: _off(box, *middle))
        if not seeds:
            return None
        made = seeds[0]
        while True:
            more = [box for box in rest if not _holds(made, box) and made.grown(_TOGETHER).meets(box)]
            if not more:
                return made
            made = around((made, *more))

    def middle_of(self, what: Piece | RunPart) -> tuple[float, float]:
        """The middle of a symbol, or of what is drawn of a run."""
        box = self.boxes[what.id] if not isinstance(what, RunPart) else around(self.lines_of_part(what))
        return (box.left + box.right) / 2, (box.top + box.bottom) / 2

    def lines_of_part(self, part: RunPart) -> list[Box]:
        """The stretches of what is drawn of a run, as boxes without width."""
        return lines_of(self.sight, part)

    # -- by name --------------------------------------------------------------------------------------------------
    def parts(self, run: str) -> list[RunPart]:
        """What the sheet shows of a run."""
        return [part for part in self.scene.parts_on(self.sheet) if part.run == run]

    def lines(self, run: str) -> list[Box]:
        """The stretches of a run, as boxes without width."""
        return [line for part in self.parts(run) for line in lines_of(self.sight, part)]

    def box_of(self, item: str) -> Box | None:
        """Room that equipment, a placement, a run or a remark takes on the sheet; `None` where it is not shown."""
        piece = self.scene.pieces.get(item)
        here = [piece] if piece is not None else self.scene.of.get(item, ())
        if item in self.remark_boxes:
            return self.remark_boxes[item]
        boxes = [self.sight.box(p.box) for p in here if p.placement.sheet == self.sheet] or self.lines(item)
        return around(boxes) if boxes else None

    def within(self, box: Box) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Placements, and runs and remarks, that lie in a box as a whole."""
        placements = tuple(item for item, b in self.boxes.items() if _holds(box, b))
        whole: dict[str, bool] = {}
        for part in self.scene.parts_on(self.sheet):
            points = [self.sight.at(p) for p in part.points]
            whole[part.run] = whole.get(part.run, True) and all(_inside(box, x, y) for x, y in points)
        remarks = (item for item, b in self.remark_boxes.items() if _holds(box, b))
        return placements, (*(run for run, yes in whole.items() if yes), *remarks)

    def reading_order(self) -> list[str]:
        """Equipment, runs and remarks of the sheet as one reads: band by band, from the left."""
        order: dict[str, tuple[float, float]] = {}
        for piece in self.scene.on(self.sheet):
            b = self.boxes[piece.id]
            order.setdefault(piece.equipment, ((b.top + b.bottom) / 2 // _BAND, b.left))
        for part in self.scene.parts_on(self.sheet):
            xs, ys = zip(*(self.sight.at(p) for p in part.points), strict=True)
            order.setdefault(part.run, ((min(ys) + max(ys)) / 2 // _BAND, min(xs)))
        for item, b in self.remark_boxes.items():
            order[item] = ((b.top + b.bottom) / 2 // _BAND, b.left)
        return sorted(order, key=lambda item: (*order[item], item))


def _cells(box: Box) -> Iterable[tuple[int, int]]:
    for column in range(int(box.left // _CELL), int(box.right // _CELL) + 1):
        for row in range(int(box.top // _CELL), int(box.bottom // _CELL) + 1):
            yield column, row


def _inside(box: Box, x: float, y: float) -> bool:
    return box.left <= x <= box.right and box.top <= y <= box.bottom


def _holds(outer: Box, box: Box) -> bool:
    return outer.left <= box.left and outer.top <= box.top and box.right <= outer.right and box.bottom <= outer.bottom


def _area(box: Box) -> float:
    return (box.right - box.left) * (box.bottom - box.top)


def _off(box: Box, x: float, y: float) -> float:
    return max(box.left - x, x - box.right, 0.0) + max(box.top - y, y - box.bottom, 0.0)


def _around(primitives: Iterable[Primitive]) -> Box:
    """The circle of a flag, without its leader."""
    closed = [p for p in primitives if not isinstance(p, Text) and p.segments[-1][0] == "Z"]
    return around(path_box(p) for p in closed) if closed else Box(0.0, 0.0, 0.0, 0.0)
