"""Primitives of a picture as entities of a DXF: lines, circles, arcs and polylines, not chains of curves.

DXF's y runs up. Arcs are found again in the cubic curves a picture holds them as; what is no arc becomes a spline.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from typing import Any, NamedTuple

from app.paper.escape import visible
from engine.picture import Path, Segment, Text, missing_box, text_pieces, text_width

__all__ = ["LINETYPES", "STYLES", "add_path", "add_text", "shown_text"]

STYLES = {False: "SHEET", True: "SHEET-BOLD"}
LINETYPES = {"solid": "BYLAYER", "dashed": "SHEET-DASHED", "dotted": "SHEET-DOTTED", "chain": "SHEET-CHAIN"}
# colours of the index that every program and every yard's plot table knows; black goes with the layer
_COLOURS = {"grey": 8, "light": 9, "red": 1, "blue": 5, "white": 255}
# hundredths of a millimetre a DXF may name (group code 370)
_WEIGHTS = (5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211)
_LIKE = 2e-3  # mm and radians by which a curve may miss an arc
_CHORDS = 24  # of a circle where only straight edges will do

XY = tuple[float, float]
At = Callable[[float, float], XY]


class _Step(NamedTuple):
    """From one point to the next: straight (bulge 0), an arc, or a curve (`curve`: its two control points)."""

    to: XY
    bulge: float = 0.0
    curve: tuple[XY, XY] | None = None


class _Line(NamedTuple):
    """One stroke without a gap."""

    start: XY
    steps: list[_Step]
    closed: bool


def add_path(space: Any, path: Path, at: At, layer: str) -> None:
    """Add the strokes and the area of a path. `at` leads from the picture to the drawing."""
    lines = list(_lines(path.segments, at))
    if path.fill is not None:
        _fill(space, [line for line in lines if line.steps], path.fill, layer)
    if path.width <= 0:
        return
    how = {"layer": layer, "lineweight": _weight(path.width), **_colour(path.ink)}
    if path.dash != "solid":
        how["linetype"] = LINETYPES[path.dash]
    for line in lines:
        _stroke(space, line, how)


def add_text(space: Any, text: Text, at: At, layer: str, mirrored: bool = False) -> None:
    """Add a line of type; what the font lacks is a box. `height` is that of a capital, in DXF too.

    Type is fitted between its two ends: where the font is not installed, another one does not run over its neighbours.
    """
    how: dict[str, Any] = {"layer": layer, "style": STYLES[text.bold], "height": text.height, **_colour(text.ink)}
    how["rotation"] = -text.rotation if mirrored else text.rotation
    along = {"start": 0.0, "middle": -0.5, "end": -1.0}[text.anchor] * text_width(text.text, text.height, text.bold)
    place = _beside(text, at)
    for piece, drawn in text_pieces(text.text):
        width = text_width(piece, text.height, text.bold)
        if not drawn:
            add_path(space, missing_box(along, 0.0, text.height, text.ink), place, layer)
        elif piece.strip():
            ends = {"insert": place(along, 0), "align_point": place(along + width, 0), "halign": _FITTED}
            if mirrored:
                ends = {"insert": place(along, 0), "text_generation_flag": 2}  # backward
            space.add_text(shown_text(piece), dxfattribs={**how, **ends})
        along += width


_FITTED = 5  # group code 72


def _beside(text: Text, at: At) -> At:
    """Where what is given along the base line of a text stands."""
    if text.rotation:
        return lambda x, y: at(text.x + y, text.y - x)
    return lambda x, y: at(text.x + x, text.y + y)


def shown_text(text: str) -> str:
    """A text so that a DXF reader shows just that: `%%c`, `^J` and `\\U+0041` are codes there."""
    kept = "".join("\ufffd" if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") else c for c in visible(text))
    kept = re.sub(r"%%+", lambda found: "%%%" * len(found[0]), kept)
    kept = re.sub(r"\\(?=[UuMm]\+)", lambda _found: "\\U+005C", kept.replace("^", "^ "))
    return kept + "\u00a0" if kept.endswith(" ") else kept  # readers drop blanks at the end, and the code with them


def _colour(ink: str) -> dict[str, int]:
    return {"color": _COLOURS[ink]} if ink in _COLOURS else {}


def _weight(width: float) -> int:
    return min(_WEIGHTS, key=lambda known: abs(known - width * 100))


# -- strokes --------------------------------------------------------------------------------------------------------
def _lines(segments: Sequence[Segment], at: At) -> Iterator[_Line]:
    now: _Line | None = None
    for letter, *numbers in segments:
        points = [at(numbers[n], numbers[n + 1]) for n in range(0, len(numbers), 2)]
        if letter == "M":
            if now is not None:
                yield now
            now = _Line(points[0], [], False)
            continue
        assert now is not None  # a path begins with a move
        here = now.steps[-1].to if now.steps else now.start
        if letter == "L":
            now.steps.append(_Step(points[0]))
        elif letter == "C":
            bulge = _bulge(here, *points)
            now.steps.append(_Step(points[2], bulge or 0.0, None if bulge is not None else (points[0], points[1])))
        else:
            yield now._replace(closed=True)
            now = _Line(now.start, [], False)
    if now is not None and now.steps:
        yield now


def _bulge(a: XY, b: XY, c: XY, d: XY) -> float | None:
    """Tangent of a quarter of the angle an arc sweeps, counted counter-clockwise; `None`: the curve is no arc."""
    chord, out, back = _from(a, d), _from(a, b), _from(c, d)
    long = math.hypot(*chord)
    if long < 1e-9:
        return None
    first, last = _turn(out, chord), _turn(chord, back)
    if abs(first - last) > _LIKE or not 1e-4 < abs(first) < math.pi / 2 + 0.1:
        return 0.0 if abs(first) <= 1e-4 and abs(last) <= 1e-4 else None
    radius = long / (2 * math.sin(abs(first)))
    reach = 4 / 3 * math.tan(abs(first) / 2) * radius
    if abs(math.hypot(*out) - reach) > _LIKE or abs(math.hypot(*back) - reach) > _LIKE:
        return None
    return math.tan(first / 2)


def _from(a: XY, b: XY) -> XY:
    return b[0] - a[0], b[1] - a[1]


def _turn(a: XY, b: XY) -> float:
    """From one direction to another, radians counter-clockwise."""
    return math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])


def _stroke(space: Any, line: _Line, how: dict[str, Any]) -> None:
    if not line.steps:
        return
    if any(step.curve for step in line.steps):
        _pieces(space, line, how)
        return
    if len(line.steps) == 1 and not line.closed and not line.steps[0].bulge:
        space.add_line(line.start, line.steps[0].to, dxfattribs=how)
        return
    if (found := _round(line)) is not None:
        centre, radius, sweep = found
        if line.closed:
            space.add_circle(centre, radius, dxfattribs=how)
        else:  # an arc runs counter-clockwise
            ends = [math.degrees(math.atan2(y - centre[1], x - centre[0])) for x, y in (line.start, line.steps[-1].to)]
            space.add_arc(centre, radius, *(ends if sweep > 0 else reversed(ends)), dxfattribs=how)
        return
    points = _corners(line)
    made = space.add_lwpolyline(points, format="xyb", close=line.closed, dxfattribs=how)
    made.dxf.flags |= 128  # dashes go on round the corners


def _pieces(space: Any, line: _Line, how: dict[str, Any]) -> None:
    """A stroke with curves that are no arcs: curves that follow each other as one, the other steps by themselves."""
    here = line.start
    points: list[XY] = []
    for step in line.steps:
        if step.curve is not None:
            points = points or [here]
            points.extend((*step.curve, step.to))
        else:
            _spline(space, points, how)
            points = []
            _stroke(space, _Line(here, [step], False), how)
        here = step.to
    _spline(space, points, how)
    if line.closed and math.dist(here, line.start) > 1e-6:
        space.add_line(here, line.start, dxfattribs=how)


def _spline(space: Any, points: list[XY], how: dict[str, Any]) -> None:
    """Cubic curves end to end, given by their ends and control points, as one spline with its corners kept."""
    if not points:
        return
    made = space.add_spline(dxfattribs=how)
    made.dxf.degree = 3
    made.control_points = [(*p, 0.0) for p in points]
    count = (len(points) - 1) // 3
    inner = [float(n) for n in range(1, count) for _times in range(3)]
    made.knots = [0.0] * 4 + inner + [float(count)] * 4


def _corners(line: _Line) -> list[tuple[float, float, float]]:
    """Points with the bulge of what follows each."""
    points = [line.start, *(step.to for step in line.steps)]
    bulges = [*(step.bulge for step in line.steps), 0.0]
    if line.closed and math.dist(points[-1], points[0]) < 1e-6:
        points.pop()
        bulges.pop()
    return [(x, y, bulge) for (x, y), bulge in zip(points, bulges, strict=True)]


def _middle(a: XY, b: XY, bulge: float) -> tuple[XY, float]:
    (dx, dy), off = _from(a, b), (1 - bulge * bulge) / (4 * bulge)
    centre = (a[0] + b[0]) / 2 - dy * off, (a[1] + b[1]) / 2 + dx * off
    return centre, math.dist(centre, a)


def _round(line: _Line) -> tuple[XY, float, float] | None:
    """Centre, radius and sweep (counter-clockwise positive) of a stroke that is one arc, or closed and all of it."""
    sweep = sum(4 * math.atan(step.bulge) for step in line.steps)
    if not all(step.bulge for step in line.steps) or line.closed != (abs(abs(sweep) - 2 * math.pi) < 0.01):
        return None
    if len({step.bulge > 0 for step in line.steps}) > 1:
        return None
    here, found = line.start, []
    for step in line.steps:
        found.append(_middle(here, step.to, step.bulge))
        here = step.to
    centre, radius = found[0]
    same = all(math.dist(c, centre) < _LIKE and abs(r - radius) < _LIKE for c, r in found)
    return (centre, radius, sweep) if same else None


# -- areas ----------------------------------------------------------------------------------------------------------
def _fill(space: Any, lines: list[_Line], ink: str, layer: str) -> None:
    if not lines:
        return
    if ink == "white":  # paper: what lies below is covered, on a dark screen too
        for line in lines:
            if len(edge := _straight(line)) > 2:
                space.add_wipeout(edge).dxf.layer = layer
        return
    hatch = space.add_hatch(dxfattribs={"layer": layer, **_colour(ink)})
    hatch.dxf.hatch_style = 0
    for line in lines:
        hatch.paths.add_polyline_path(
            _corners(line) if not any(step.curve for step in line.steps) else _straight(line), is_closed=True
        )


def _straight(line: _Line) -> list[XY]:
    """The edge of an area in straight steps."""
    points, here = [line.start], line.start
    for step in line.steps:
        if step.curve is not None:
            b, c = step.curve
            for n in range(1, _CHORDS // 2):
                t = n / (_CHORDS // 2)
                u = 1 - t
                parts = zip(here, b, c, step.to, strict=True)
                x, y = (u**3 * p + 3 * u * u * t * q + 3 * u * t * t * r + t**3 * s for p, q, r, s in parts)
                points.append((x, y))
        elif step.bulge:
            (cx, cy), radius = _middle(here, step.to, step.bulge)
            start, sweep = math.atan2(here[1] - cy, here[0] - cx), 4 * math.atan(step.bulge)
            count = max(2, math.ceil(abs(sweep) / (2 * math.pi) * _CHORDS))
            points.extend(
                (cx + radius * math.cos(start + sweep * n / count), cy + radius * math.sin(start + sweep * n / count))
                for n in range(1, count)
            )
        points.append(step.to)
        here = step.to
    if math.dist(points[0], points[-1]) < 1e-6:
        points.pop()
    return points
