"""What tools reckon on a sheet: grid steps and mm, where a run goes, what stands where. No tool, no item."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QApplication

from app.canvas.tool import Spot
from app.drawing.looks import STEP, Look
from app.drawing.placed import Piece, RunPart
from engine.picture import Primitive, transformed
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.canvas.board import Board

__all__ = [
    "Point",
    "box_between",
    "elbow",
    "end_near",
    "far_apart",
    "ghost_of",
    "is_on_line",
    "is_on_symbol",
    "middle",
    "mm",
    "mm_line",
    "nearest_on",
    "parts_of",
    "piece_at",
    "shifted_stretch",
    "steps_at",
    "steps_between",
    "straightened",
    "stretch_at",
    "told_way",
    "viewport_point",
]

Point = tuple[int, int]
_NEAR_PX = 9.0  # how near the pointer must be to an end that it takes hold of


def mm(board: Board, column: float, row: float) -> tuple[float, float]:
    """A point of the grid in mm on the sheet that is shown."""
    sight = board.finder().sight
    return sight.left + column * STEP, sight.top + row * STEP


def mm_line(board: Board, points: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Points of the grid in mm."""
    return [mm(board, column, row) for column, row in points]


def steps_at(board: Board, spot: Spot) -> tuple[float, float]:
    """Where a point of the sheet is on the grid, not rounded."""
    left, top = mm(board, 0, 0)
    return (spot.x - left) / STEP, (spot.y - top) / STEP


def far_apart(board: Board, a: Spot, b: Spot) -> bool:
    """Whether the pointer went so far that it is a drag and no click that trembled."""
    return _apart_px(board, (a.x, a.y), (b.x, b.y)) >= QApplication.startDragDistance()


def viewport_point(board: Board, spot: Spot) -> QPoint:
    """Where a point of the sheet is in the window."""
    return board.to_viewport(spot.x, spot.y).toPoint()


def _apart_px(board: Board, a: tuple[float, float], b: tuple[float, float]) -> float:
    return (abs(a[0] - b[0]) + abs(a[1] - b[1])) * board.pixels_per_mm


def steps_between(a: Spot, b: Spot) -> Point:
    """Whole grid steps from one point to another: the way the pointer went, wherever it took hold."""
    return round((b.x - a.x) / STEP), round((b.y - a.y) / STEP)


def box_between(a: Spot, b: Spot) -> tuple[float, float, float, float]:
    """Left, top, right, bottom in mm."""
    return min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y)


# -- what stands where ----------------------------------------------------------------------------------------------
def piece_at(board: Board, placement: str) -> Piece | None:
    """A symbol of the sheet that is shown."""
    return board.scene_now().pieces.get(placement)


def parts_of(board: Board, run: str) -> list[RunPart]:
    """What the sheet shows of a run."""
    return [part for part in board.scene_now().parts_on(board.document.sheet) if part.run == run]


def stretch_at(points: Sequence[Point], column: float, row: float) -> tuple[float, int]:
    """How far a point of the grid is from a line, and from which of its stretches."""
    return min((_off(points[n : n + 2], column, row), n) for n in range(len(points) - 1))


def is_on_line(board: Board, spot: Spot, run: str) -> bool:
    """Whether the pointer is on the line of a run rather than on its label."""
    at = steps_at(board, spot)
    return any(stretch_at(part.points, *at)[0] <= 1.0 for part in parts_of(board, run))


def is_on_symbol(board: Board, spot: Spot, piece: Piece) -> bool:
    """Whether the pointer is on the strokes of a symbol rather than on its label."""
    column, row = steps_at(board, spot)
    box = piece.box.grown(0.7)
    return box.left <= column <= box.right and box.top <= row <= box.bottom


def told_way(dx: int, dy: int) -> str:
    """So many grid steps to the right and down, in words."""
    told = []
    if dx:
        words = ngettext("{n} step to the right", "{n} steps to the right", dx) if dx > 0 else ngettext(
            "{n} step to the left", "{n} steps to the left", -dx)  # fmt: skip
        told.append(words.format(n=abs(dx)))
    if dy:
        words = ngettext("{n} step down", "{n} steps down", dy) if dy > 0 else ngettext(
            "{n} step up", "{n} steps up", -dy)  # fmt: skip
        told.append(words.format(n=abs(dy)))
    return _(", ").join(told) if told else _("back in its place")


def _off(stretch: Sequence[Point], column: float, row: float) -> float:
    (ax, ay), (bx, by) = stretch
    x = min(max(column, min(ax, bx)), max(ax, bx))
    y = min(max(row, min(ay, by)), max(ay, by))
    return abs(column - x) + abs(row - y)


def nearest_on(points: Sequence[Point], column: int, row: int) -> Point:
    """The point of a line that is nearest to a point of the grid."""
    _far, n = stretch_at(points, column, row)
    (ax, ay), (bx, by) = points[n], points[n + 1]
    return min(max(column, min(ax, bx)), max(ax, bx)), min(max(row, min(ay, by)), max(ay, by))


def end_near(board: Board, part: RunPart, spot: Spot) -> Literal["from", "to", ""]:
    """ "from" or "to" where the pointer is at that end of a run, else ""."""
    ends: list[tuple[Literal["from", "to"], Point]] = [("from", part.points[0]), ("to", part.points[-1])]
    if part.kind == "from":
        ends = ends[:1]
    elif part.kind == "to":
        ends = [("to", part.points[0])]
    found = [(_apart_px(board, (spot.x, spot.y), mm(board, *point)), which) for which, point in ends]
    apart, which = min(found)
    return which if apart <= _NEAR_PX else ""


def ghost_of(board: Board, seen: Look, column: int, row: int) -> tuple[Primitive, ...]:
    """The strokes of a symbol at a point of the grid, in mm."""
    return tuple(transformed(seen.shape.primitives, *mm(board, column, row)))


def middle(pieces: Iterable[Piece]) -> Point:
    """The middle of symbols, on the grid."""
    boxes = [piece.box for piece in pieces]
    left, right = min(b.left for b in boxes), max(b.right for b in boxes)
    top, bottom = min(b.top for b in boxes), max(b.bottom for b in boxes)
    return round((left + right) / 2), round((top + bottom) / 2)


# -- leading a run by hand ------------------------------------------------------------------------------------------
def shifted_stretch(
    points: Sequence[Point], stretch: int, by: Point, slides: tuple[bool, bool] = (False, False)
) -> list[Point]:
    """A line whose stretch is moved across its own way.

    The two ends of the line stay, a short piece before a moved outer stretch leaves them straight; where `slides`
    (along a bus, at an arrow) the end goes along.
    """
    line = list(points)
    a, b = line[stretch], line[stretch + 1]
    upright = a[0] == b[0]
    dx, dy = (by[0], 0) if upright else (0, by[1])
    if (dx, dy) == (0, 0):
        return line
    along = ((b[0] > a[0]) - (b[0] < a[0]), (b[1] > a[1]) - (b[1] < a[1]))
    long = abs(b[0] - a[0]) + abs(b[1] - a[1])
    stub = 2 if long >= 6 else 1 if long >= 3 else 0
    first, last = stretch == 0 and not slides[0], stretch == len(line) - 2 and not slides[1]
    made = line[:stretch]
    if first:
        made.append(a)
        a = (a[0] + along[0] * stub, a[1] + along[1] * stub)
        if stub:
            made.append(a)
    made.append((a[0] + dx, a[1] + dy))
    tail: list[Point] = []
    if last:
        tail = [b]
        b = (b[0] - along[0] * stub, b[1] - along[1] * stub)
        if stub:
            tail.insert(0, b)
    made.append((b[0] + dx, b[1] + dy))
    made += tail
    made += line[stretch + 2 :]
    return straightened(made)


def straightened(points: Sequence[Point]) -> list[Point]:
    """The same line without points that are no corner."""
    made: list[Point] = []
    for point in points:
        if made and made[-1] == point:
            continue
        while len(made) > 1 and _in_line(made[-2], made[-1], point):
            made.pop()
        if made and made[-1] == point:
            continue
        made.append(point)
    return made


def _in_line(a: Point, b: Point, c: Point) -> bool:
    return (a[0] == b[0] == c[0]) or (a[1] == b[1] == c[1])


def elbow(a: Point, b: Point, leaves: str = "", arrives: str = "") -> Point | None:
    """The corner between two points, `None` where a straight line joins them.

    `leaves`, `arrives`: the sides by which a run leaves `a` and `b` ("top", "left", ...), "" for any.
    """
    if a[0] == b[0] or a[1] == b[1]:
        return None
    upright_first, level_first = (a[0], b[1]), (b[0], a[1])
    if leaves:
        return upright_first if leaves in ("top", "bottom") else level_first
    if arrives:
        return level_first if arrives in ("top", "bottom") else upright_first
    return level_first
