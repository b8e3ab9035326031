"""Primitives of the display list as items: one for every style of an owner. Scene units are mm.

Paths of one style are merged where that changes nothing that can be seen: what lies between them meets them nowhere,
or is painted in the same single ink.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem

from app.canvas.glyphs import box_paths
from app.canvas.inks import Inks, colour_of, inks_now
from app.canvas.type_item import TypeItem
from engine.picture import DASHES, Box, Path, Primitive, Text, path_box, text_box

__all__ = ["Strokes", "Style", "brush_of", "colour_of", "dress", "make_item", "merged", "pen_of", "to_painter_path"]

_CAPS = {
    "butt": Qt.PenCapStyle.FlatCap,
    "round": Qt.PenCapStyle.RoundCap,
    "square": Qt.PenCapStyle.SquareCap,
}
_JOINS = {
    "miter": Qt.PenJoinStyle.SvgMiterJoin,  # the mitre PDF and SVG know
    "round": Qt.PenJoinStyle.RoundJoin,
    "bevel": Qt.PenJoinStyle.BevelJoin,
}


class Style(NamedTuple):
    """How a path is painted, or `type`."""

    width: float
    ink: str
    fill: str | None
    dash: str
    cap: str
    join: str
    type: bool = False

    @property
    def inks(self) -> frozenset[str]:
        """The inks it paints with."""
        return frozenset(i for i in (self.ink if self.width > 0 else None, self.fill) if i is not None)


class Strokes(NamedTuple):
    """A path ready to be painted, or lines of type."""

    style: Style
    path: QPainterPath
    texts: tuple[Text, ...] = ()


def to_painter_path(path: Path, into: QPainterPath | None = None) -> QPainterPath:
    """The segments of a path, added to `into` where there is one."""
    made = QPainterPath() if into is None else into
    for letter, *at in path.segments:
        if letter == "L":
            made.lineTo(*at)
        elif letter == "M":
            made.moveTo(*at)
        elif letter == "C":
            made.cubicTo(*at)
        else:
            made.closeSubpath()
    return made


class _Group:
    """Primitives of one style that are painted as one."""

    def __init__(self, style: Style) -> None:
        self.style = style
        self.inks = style.inks
        self.boxes: list[Box] = []
        self.around: Box | None = None
        self.path = QPainterPath()
        self.texts: list[Text] = []

    def meets(self, box: Box) -> bool:
        """Whether something of the group shares room with `box`."""
        return self.around is not None and self.around.meets(box) and any(box.meets(b) for b in self.boxes)

    def add(self, primitive: Primitive, box: Box) -> None:
        """Take one more."""
        if isinstance(primitive, Text):
            self.texts.append(primitive)
        else:
            to_painter_path(primitive, self.path)
        self.boxes.append(box)
        a = self.around
        self.around = box if a is None else Box(
            min(a.left, box.left), min(a.top, box.top), max(a.right, box.right), max(a.bottom, box.bottom)
        )  # fmt: skip


def merged(primitives: Iterable[Primitive]) -> list[Strokes]:
    """What is to be painted, in order, in as few paths as may be."""
    groups: list[_Group] = []
    for primitive in _with_boxes(primitives):
        if isinstance(primitive, Text):
            style, box = Style(0.0, "black", primitive.ink, "solid", "butt", "miter", True), text_box(primitive)
        else:
            width = primitive.width
            style = Style(
                width, primitive.ink, primitive.fill, primitive.dash if width > 0 else "solid", primitive.cap,
                primitive.join,
            )  # fmt: skip
            if not style.inks or not primitive.segments:
                continue
            box = path_box(primitive).grown(2.0 * width if primitive.join == "miter" else 0.01)  # mitred tips
        _home(groups, style, box).add(primitive, box)
    return [Strokes(group.style, group.path, tuple(group.texts)) for group in groups]


def _home(groups: list[_Group], style: Style, box: Box) -> _Group:
    """The group a primitive may join without anything being painted over that was not."""
    inks = style.inks
    for group in reversed(groups):
        if group.style == style and (style.fill is None or style.type or not group.meets(box)):
            return group
        if (len(inks) != 1 or group.inks != inks) and group.meets(box):
            break
    groups.append(_Group(style))
    return groups[-1]


def _with_boxes(primitives: Iterable[Primitive]) -> Iterable[Primitive]:
    """The primitives, with a box after a line of type for every character its font lacks."""
    for primitive in primitives:
        yield primitive
        if isinstance(primitive, Text):
            yield from box_paths(primitive)


def pen_of(style: Style) -> QPen:
    """Width in mm; dashes, told in mm, as Qt wants them: in widths."""
    return _pen(style, inks_now())


@cache
def _pen(style: Style, _inks: Inks) -> QPen:
    if style.width <= 0:
        return QPen(Qt.PenStyle.NoPen)
    pen = QPen(colour_of(style.ink), style.width, Qt.PenStyle.SolidLine, _CAPS[style.cap], _JOINS[style.join])
    pen.setMiterLimit(10.0)
    if DASHES[style.dash]:  # type: ignore[index]  # a `Dash`
        pen.setDashPattern([length / style.width for length in DASHES[style.dash]])  # type: ignore[index]
    return pen


def brush_of(style: Style) -> QBrush:
    """The fill, none where there is none."""
    return _brush(style, inks_now())


@cache
def _brush(style: Style, _inks: Inks) -> QBrush:
    return QBrush(Qt.BrushStyle.NoBrush) if style.fill is None else QBrush(colour_of(style.fill))


def make_item(strokes: Strokes, z: float) -> QGraphicsItem:
    """An item that paints a path or type; it takes no part in events, the board hears them."""
    item: QGraphicsItem
    if strokes.texts:
        item = TypeItem(strokes.texts, colour_of(strokes.style.fill or "black"))
    else:
        item = QGraphicsPathItem(strokes.path)
        dress(item, pen_of(strokes.style), brush_of(strokes.style))
    item.setZValue(z)
    item.setAcceptedMouseButtons(Qt.MouseButton.NoButton)
    return item


def dress(item: QGraphicsItem, pen: QPen, brush: QBrush) -> None:
    """Paint an item with another pen and brush; type takes the brush's colour."""
    if isinstance(item, TypeItem):
        item.set_colour(brush.color())
    elif isinstance(item, QGraphicsPathItem):
        item.setPen(pen)
        item.setBrush(brush)
