"""The strokes of a symbol file, read into primitives.

A stroke is a small table with exactly one of the shapes below, coordinates in grid steps (2.5 mm), x right, y down::

    { line = [x1, y1, x2, y2] }                 { circle = [x, y, radius] }
    { polyline = [x1, y1, x2, y2, ...] }        { ellipse = [x, y, radius across, radius down] }
    { polygon = [x1, y1, x2, y2, ...] }         { arc = [x, y, radius, from, to] }     degrees clockwise, 0 to the right
    { rectangle = [left, top, right, bottom] }  { curve = [x0, y0, x1, y1, x2, y2, x3, y3, ...] }     cubic curves
    { segments = [["M", x, y], ["L", x, y], ["C", x1, y1, x2, y2, x, y], ["Z"]] }       a path of several pieces
    { link = [x1, y1, x2, y2] }                 a mechanical or electrical linkage, in short dashes
    { text = "G", at = [x, y] }                 `at` is the middle of the capital; `height` in mm, 2.5 unless said;
                                                `turns = true`: a word that stands on end in a symbol turned by 90
    { mark = "direct_current", at = [x, y] }    a small sign from `symbols/marks`, upright however the symbol is turned

Any stroke but the last two may have `weight` (outline 0.35 mm, path 0.7, plate 1.0, bus 1.4; none where it is only
filled) and `fill` (an ink). An x
may be "left" or "right" where the symbol stretches, "first" or "last" where it has ways.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple, cast

from engine import picture
from engine.picture import INKS, Path, Primitive, Text
from engine.toml_text import InShort
from engine.words import _

__all__ = ["STEP", "WEIGHTS", "Piece", "Span", "StrokeFault", "draw", "turn"]

STEP = 2.5  # mm: the grid of sheets and symbols
# mm, widths of ISO 128 (from memory, not confirmed)
WEIGHTS = {"outline": 0.35, "path": 0.7, "plate": 1.0, "bus": 1.4, "none": 0.0}
LARGEST = 1000  # number in a file: what is longer is no symbol
LONGEST_TEXT = 24
_DASH, _GAP = 1.0, 0.6  # mm, of a linkage


class StrokeFault(ValueError):
    """A stroke that cannot be drawn; the message names the key."""


class Span(NamedTuple):
    """What the words for an x stand for, in grid steps."""

    left: float
    right: float
    first: float  # the outer ways
    last: float


class Piece(NamedTuple):
    """Primitives of one stroke in mm. `upright`: they stand about this point and are moved, never turned.

    `on_end`: what stands about that point instead when the symbol is turned by 90 or 270.
    """

    primitives: tuple[Primitive, ...]
    upright: tuple[float, float] | None = None
    on_end: tuple[Primitive, ...] = ()


def turn(x: float, y: float, rotation: int, mirrored: bool) -> tuple[float, float]:
    """A point mirrored left to right, then rotated clockwise about (0, 0) by a quarter-turn multiple."""
    if mirrored:
        x = -x
    for _quarter in range(rotation // 90 % 4):
        x, y = -y, x
    return x + 0.0, y + 0.0  # no negative zero


# shape: how many numbers, and whether exactly so many or more of them in whole points
_COUNTS: dict[str, tuple[int, bool]] = {
    "line": (4, True),
    "polyline": (4, False),
    "polygon": (6, False),
    "rectangle": (4, True),
    "circle": (3, True),
    "ellipse": (4, True),
    "arc": (5, True),
    "curve": (8, False),
    "link": (4, True),
}
_EXTRAS = {"text": {"at", "height", "turns"}, "mark": {"at"}, "link": set[str]()}
_LENGTHS = {"circle": {2}, "ellipse": {2, 3}, "arc": {2}}  # places of radii, which must be above 0


def draw(stroke: Mapping[str, Any], span: Span | None, mark: Callable[[str], tuple[Primitive, ...]]) -> Piece:
    """One stroke as primitives; `mark` gives a sign's primitives by name. Raises `StrokeFault`."""
    if not isinstance(stroke, dict):
        raise StrokeFault(_("expected a table, found {found!r}").format(found=InShort(stroke)))
    shapes = [name for name in stroke if name in _COUNTS or name in ("text", "mark", "segments")]
    if len(shapes) != 1:
        raise StrokeFault(
            _("expected exactly one shape, found {found}").format(
                found=InShort(", ".join(map(str, stroke)) or _("none"))
            )
        )
    shape = shapes[0]
    strange = sorted(set(stroke) - {shape} - _EXTRAS.get(shape, {"weight", "fill"}))
    if strange:
        raise StrokeFault(_("{shape} has no {key}").format(shape=shape, key=InShort(", ".join(strange))))
    if shape in ("text", "mark"):
        x, y = _numbers("at", stroke.get("at"), (2, True), span)
        at = (x * STEP, y * STEP)
        name = stroke[shape]
        if not isinstance(name, str) or not name:
            raise StrokeFault(_("{shape}: expected a word, found {found!r}").format(shape=shape, found=InShort(name)))
        if shape == "mark":
            return Piece(mark(name), at)
        height = _number("height", stroke.get("height", 2.5))
        if len(name) > LONGEST_TEXT:
            raise StrokeFault(
                _("text: {count} characters; {most} are the most").format(count=len(name), most=LONGEST_TEXT)
            )
        if height < 2.5:
            raise StrokeFault(_("height: expected 2.5 mm or more, found {found:g} mm").format(found=height))
        turns = stroke.get("turns", False)
        if not isinstance(turns, bool):
            raise StrokeFault(_("turns: expected true or false, found {found!r}").format(found=InShort(turns)))
        on_end = (Text(height / 2, 0.0, name, height, "middle", rotation=90),) if turns else ()
        return Piece((Text(0.0, height / 2, name, height, "middle"),), at, on_end)
    if shape == "segments":
        path = Path(tuple(_segments(stroke[shape])))
    else:
        values = _numbers(shape, stroke[shape], _COUNTS[shape], span)
        for place in _LENGTHS.get(shape, ()):
            if values[place] <= 0:
                raise StrokeFault(
                    _("{shape}: expected a radius above 0, found {found:g}").format(shape=shape, found=values[place])
                )
        path = _path(shape, [v if shape == "arc" and i > 2 else v * STEP for i, v in enumerate(values)])
    weight = stroke.get("weight", "outline")
    if not isinstance(weight, str) or weight not in WEIGHTS:
        raise StrokeFault(
            _("weight: expected one of {known}, found {found!r}").format(
                known=", ".join(WEIGHTS), found=InShort(weight)
            )
        )
    fill = stroke.get("fill")
    if fill is not None and (not isinstance(fill, str) or fill not in INKS):
        raise StrokeFault(
            _("fill: expected one of {known}, found {found!r}").format(known=", ".join(INKS), found=InShort(fill))
        )
    if weight == "none" and fill is None:
        raise StrokeFault(_("weight: none is for what is filled"))
    round_ends = weight == "path"  # blades and leads meet at any angle
    path = path._replace(
        width=WEIGHTS[weight],
        fill=fill,
        cap="round" if round_ends else "butt",
        join="round" if round_ends else "miter",
    )
    return Piece((path,))


def _path(shape: str, v: list[float]) -> Path:
    points = list(zip(v[0::2], v[1::2], strict=False))
    match shape:
        case "line" | "polyline":
            return picture.polyline(points)
        case "polygon":
            return picture.polygon(points)
        case "rectangle":
            return picture.rectangle(v[0], v[1], v[2], v[3])
        case "circle":
            return picture.circle(v[0], v[1], v[2])
        case "ellipse":
            return _ellipse(*v)
        case "arc":
            return picture.arc(v[0], v[1], v[2], v[3], v[4])
        case "curve":
            segments: list[picture.Segment] = [("M", v[0], v[1])]
            segments.extend(("C", *v[i : i + 6]) for i in range(2, len(v), 6))
            return Path(tuple(segments))
        case _:
            return Path(tuple(_dashes(*v)))


def _segments(value: Any) -> Iterator[picture.Segment]:
    """Moves, lines, curves and closings as they stand."""
    if not isinstance(value, list) or not value:
        raise StrokeFault(_("segments: expected a list, found {found!r}").format(found=InShort(value)))
    for number, each in enumerate(value):
        letter = each[0] if isinstance(each, list) and each else None
        count = {"M": 2, "L": 2, "C": 6, "Z": 0}.get(letter) if isinstance(letter, str) else None
        if count is None or len(each) != count + 1 or (number == 0 and letter != "M"):
            raise StrokeFault(
                _("segments: expected M, L, C or Z with its numbers, found {found!r}").format(found=InShort(each))
            )
        yield cast(picture.Segment, (letter, *(_number("segments", v) * STEP for v in each[1:])))


def _ellipse(x: float, y: float, across: float, down: float) -> Path:
    """A circle pressed flat."""
    made: list[picture.Segment] = []
    for s in picture.circle(0.0, 0.0, 1.0).segments:
        flat: list[float] = []
        for i in range(1, len(s), 2):
            flat += [x + across * float(s[i]), y + down * float(s[i + 1])]
        made.append((s[0], *flat))
    return Path(tuple(made))


def _dashes(x1: float, y1: float, x2: float, y2: float) -> Iterator[picture.Segment]:
    """Dashes as strokes of their own: a whole number of them, whatever line form the status of the piece asks for."""
    length = math.hypot(x2 - x1, y2 - y1)
    if not length:
        raise StrokeFault(_("link: it ends where it begins"))
    count = max(1, round((length + _GAP) / (_DASH + _GAP)))
    dash = (length + _GAP) / count - _GAP if count > 1 else length
    for n in range(count):
        start = n * (dash + _GAP) / length
        end = (n * (dash + _GAP) + dash) / length
        yield ("M", x1 + (x2 - x1) * start, y1 + (y2 - y1) * start)
        yield ("L", x1 + (x2 - x1) * end, y1 + (y2 - y1) * end)


def _numbers(key: str, value: Any, count: tuple[int, bool], span: Span | None) -> list[float]:
    """The numbers of a shape: exactly so many, or so many and more in pairs (a curve: in threes of pairs)."""
    wanted, exact = count
    if not isinstance(value, list):
        raise StrokeFault(_("{key}: expected a list of numbers, found {found!r}").format(key=key, found=InShort(value)))
    step = 6 if key == "curve" else 2
    if len(value) < wanted or (exact and len(value) != wanted) or (not exact and (len(value) - wanted) % step):
        raise StrokeFault(
            _("{key}: expected {wanted} numbers, found {found}").format(
                key=key, wanted=wanted if exact else f"{wanted} + {step} n", found=len(value)
            )
        )
    pairs = 2 if key in ("circle", "ellipse", "arc") else len(value)  # what comes after the centre is no place
    return [_number(key, v, span if i % 2 == 0 and i < pairs else None) for i, v in enumerate(value)]


def _number(key: str, value: Any, span: Span | None = None) -> float:
    if span is not None and value in Span._fields:
        return float(getattr(span, value))
    if isinstance(value, bool) or not isinstance(value, (int, float)) or value != value:  # nan
        raise StrokeFault(_("{key}: expected a number, found {found!r}").format(key=key, found=InShort(value)))
    if abs(value) > LARGEST:
        found = float(value) if abs(value) < 1e300 else math.inf  # a whole number may be longer than any float
        raise StrokeFault(_("{key}: {found:g} is beyond {most}").format(key=key, found=found, most=LARGEST))
    return float(value)
