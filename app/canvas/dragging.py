"""Equipment on the move: symbols and labels are moved, ends of runs stretch. Nothing is built anew from frame to frame.

Runs are led anew when the drag ends, by the edit; here they only follow.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtGui import QPainterPath
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene

from app.canvas.items import Strokes, Style, make_item, merged
from app.canvas.redraw import piece_strokes, sight_of
from app.canvas.sheet_items import MARKS, SheetItems
from app.drawing.looks import STEP
from app.drawing.placed import RunPart, Scene
from engine.picture import Path

__all__ = ["Drag", "stretched"]

XY = tuple[float, float]


class Drag:
    """One drag of some placements and remarks. `move` shows where they would stand, `end` leaves all as it was."""

    def __init__(
        self,
        scene: QGraphicsScene,
        items: SheetItems,
        drawn: Scene,
        sheet: str,
        placements: Iterable[str],
        remarks: tuple[str, ...] = (),
    ) -> None:
        self.placements, self.remarks = tuple(placements), remarks
        self._scene, self._items = scene, items
        self._moving: list[str] = list(remarks)  # owners that move as a whole
        self._hidden: list[str] = []  # owners that others stand for
        self._stand_ins: list[QGraphicsItem] = []
        self._loose: list[QGraphicsItem] = []  # of the stand-ins, those that move
        self._lines: list[tuple[QGraphicsPathItem, list[XY], bool, bool]] = []
        self._sight = sight_of(drawn, sheet)
        lifted = set(self.placements)
        self._lift_symbols(drawn, sheet, lifted)
        self._lift_runs(drawn, sheet, lifted)
        items.hide(self._hidden, True)

    def _lift_symbols(self, drawn: Scene, sheet: str, lifted: set[str]) -> None:
        for owner in dict.fromkeys(drawn.pieces[p].equipment for p in self.placements if p in drawn.pieces):
            here = [p for p in drawn.of[owner] if p.placement.sheet == sheet]
            if all(p.id in lifted for p in here):
                self._moving.append(owner)
                continue
            self._hidden.append(owner)  # one of several symbols: plain strokes stand for all of them
            for piece in here:
                for strokes in merged(piece_strokes(self._sight, piece)):
                    self._stand_in(strokes, piece.id in lifted)

    def _lift_runs(self, drawn: Scene, sheet: str, lifted: set[str]) -> None:
        of: dict[str, list[RunPart]] = {}
        for part in drawn.parts_on(sheet):
            of.setdefault(part.run, []).append(part)
        for run, parts in of.items():
            held = [(p.near in lifted, p.kind == "whole" and p.far in lifted) for p in parts]
            if not any(a or b for a, b in held):
                continue
            if all(a and (b or p.kind != "whole") for p, (a, b) in zip(parts, held, strict=True)):
                self._moving.append(run)
                continue
            self._hidden.append(run)
            style = self._style(run)
            for part, (a, b) in zip(parts, held, strict=True):
                points = [self._sight.at(p) for p in part.points]
                item = self._stand_in(Strokes(style, QPainterPath()), False)
                assert isinstance(item, QGraphicsPathItem)
                self._lines.append((item, points, a, b or (a and part.kind != "whole")))

    def _style(self, run: str) -> Style:
        for p in self._items.of.get(run, ()):
            if isinstance(p, Path) and p.fill is None:
                return Style(p.width, p.ink, None, p.dash, p.cap, p.join)
        return Style(0.35, "black", None, "solid", "square", "miter")

    def _stand_in(self, strokes: Strokes, moves: bool) -> QGraphicsItem:
        item = make_item(strokes, MARKS - 1)
        self._scene.addItem(item)
        self._stand_ins.append(item)
        if moves:
            self._loose.append(item)
        return item

    def move(self, dx: float, dy: float) -> None:
        """Show everything so many grid steps away from where it stands."""
        x, y = dx * STEP, dy * STEP
        self._items.shift(self._moving, x, y)
        for item in self._loose:
            item.setPos(x, y)
        for item, points, start, stop in self._lines:
            path = QPainterPath()
            (ax, ay), *rest = stretched(points, x if start else 0.0, y if start else 0.0, x if stop else 0.0,
                                        y if stop else 0.0)  # fmt: skip
            path.moveTo(ax, ay)
            for bx, by in rest:
                path.lineTo(bx, by)
            item.setPath(path)

    def end(self) -> None:
        """Take the preview away."""
        for item in self._stand_ins:
            self._scene.removeItem(item)
        self._stand_ins.clear()
        self._loose.clear()
        self._lines.clear()
        self._items.hide(self._hidden, False)
        self._items.shift(self._moving, 0.0, 0.0)


def stretched(points: Sequence[XY], ax: float, ay: float, bx: float, by: float) -> list[XY]:
    """A line whose first point has moved by (ax, ay) and whose last by (bx, by), its stretches level and upright."""
    if (ax, ay) == (bx, by):
        return [(x + ax, y + ay) for x, y in points]
    made = list(points)
    if len(made) == 2:  # straight: a corner is needed in the middle
        (x1, y1), (x2, y2) = made
        first, last = (x1 + ax, y1 + ay), (x2 + bx, y2 + by)
        if x1 == x2:
            mid = (first[1] + last[1]) / 2
            return [first, (first[0], mid), (last[0], mid), last]
        mid = (first[0] + last[0]) / 2
        return [first, (mid, first[1]), (mid, last[1]), last]
    for end, beside, dx, dy in ((0, 1, ax, ay), (-1, -2, bx, by)):
        (x, y), (cx, cy) = made[end], made[beside]
        upright = points[end][0] == points[beside][0]
        made[end] = (x + dx, y + dy)
        made[beside] = (cx + dx, cy) if upright else (cx, cy + dy)
    return made
