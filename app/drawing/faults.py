"""What a draughtsman would not let pass: type on type, type on lines, runs over symbols. For tests and benchmarks.

A picture is judged by its strokes alone; which run leads where needs the placements behind it.
"""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import NamedTuple

from app.drawing.placed import RunPart, Scene, paper, set_scene
from app.drawing.routes import find_missing
from app.drawing.sheet import draw_sheet
from app.drawing.sheets import grid_of
from engine.geometry import overlaps, struck, within
from engine.installation import Snapshot
from engine.picture import Box, Path, Picture, Text, text_box

__all__ = ["Score", "faults", "scene_faults", "score"]

_AIR = 0.15  # mm by which the box of a line of type may be touched: its descenders seldom reach


class Score(NamedTuple):
    """How easy a drawing is to read."""

    sheets: int
    bends: int
    crossings: int
    arrows: int
    unwritten: int  # labels that found no place


def faults(picture: Picture) -> list[str]:
    """Type that touches type, type that a stroke passes through, and what leaves the sheet, each in words."""
    found: list[str] = []
    # letters within a symbol, figures in a circle and zone names are centred, and part of what is round them
    texts = [p for p in picture.primitives if isinstance(p, Text) and p.text.strip() and p.anchor != "middle"]
    boxes = [text_box(t).grown(-_AIR) for t in texts]
    for n, m in overlaps(boxes):
        found.append(f"{texts[n].text!r} on {texts[m].text!r}")
    lines, owners = _lines(picture)
    for n, m in struck(boxes, lines):
        found.append(f"{texts[n].text!r} on a line of {owners[m] or 'the sheet'} at {lines[m][0]}")
    sheet = Box(0, 0, picture.width, picture.height)
    found.extend(f"{t.text!r} leaves the sheet" for t, b in zip(texts, boxes, strict=True) if not within(b, sheet))
    for line, owner in zip(lines, owners, strict=True):
        if not all(-1e-6 <= x <= picture.width + 1e-6 and -1e-6 <= y <= picture.height + 1e-6 for x, y in line):
            found.append(f"a line of {owner or 'the sheet'} leaves the sheet")
    return found


def _lines(picture: Picture) -> tuple[list[list[tuple[float, float]]], list[str]]:
    """Every stroke as points, curves as eight chords."""
    lines: list[list[tuple[float, float]]] = []
    owners: list[str] = []
    for p in picture.primitives:
        if not isinstance(p, Path) or not p.width:
            continue
        points: list[tuple[float, float]] = []
        start = (0.0, 0.0)
        for s in p.segments:
            v = [float(x) for x in s[1:]]
            if s[0] == "M":
                if len(points) > 1:
                    lines.append(points)
                    owners.append(p.owner)
                start = (v[0], v[1])
                points = [start]
            elif s[0] == "L":
                points.append((v[0], v[1]))
            elif s[0] == "C":
                points.extend(_chords(points[-1], v))
            else:
                points.append(start)
        if len(points) > 1:
            lines.append(points)
            owners.append(p.owner)
    return lines, owners


def _chords(start: tuple[float, float], v: list[float]) -> list[tuple[float, float]]:
    made = []
    for n in range(1, 9):
        t = n / 8
        a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
        made.append((a * start[0] + b * v[0] + c * v[2] + d * v[4], a * start[1] + b * v[1] + c * v[3] + d * v[5]))
    return made


# -- what stands behind a picture -----------------------------------------------------------------------------------
def _scene(snapshot: Snapshot) -> Scene:
    scene = set_scene(snapshot)
    find_missing(scene, {item: grid_of(sheet) for item, sheet in scene.sheets})
    return scene


def scene_faults(snapshot: Snapshot) -> list[str]:
    """Symbols on symbols, runs through symbols, runs along runs, what is shown twice or not at all, each in words."""
    scene = _scene(snapshot)
    found: list[str] = []
    name = snapshot.name
    for item, _sheet in scene.sheets:
        pieces = scene.on(item)
        boxes = [p.box for p in pieces]
        for n, m in overlaps(boxes):
            found.append(f"{name(pieces[n].equipment)} stands on {name(pieces[m].equipment)}")
        area = grid_of(dict(scene.sheets)[item])
        for piece in pieces:
            if not within(piece.box, area):
                found.append(f"{name(piece.equipment)} stands outside the drawing area")
        parts = scene.parts_on(item)
        for part in parts:
            found.extend(_through(scene, part, area))
        for a, b in combinations(parts, 2):
            if _along(scene, a, b):
                found.append(f"{name(a.run)} runs along {name(b.run)}")
    found.extend(_shown(scene))
    return found


def _through(scene: Scene, part: RunPart, area: Box) -> list[str]:
    found: list[str] = []
    own = {part.near, part.far if part.kind == "whole" else ""}
    for (ax, ay), (bx, by) in pairwise(part.points):
        line = Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
        if ax != bx and ay != by:
            found.append(f"{scene.snapshot.name(part.run)} runs askew")
        if not within(line, area):
            found.append(f"{scene.snapshot.name(part.run)} leaves the drawing area")
        for piece in scene.on(part.sheet):
            inside = piece.box.grown(-0.15)
            if piece.id not in own and inside.left < inside.right and inside.meets(line.grown(0.01)):
                found.append(f"{scene.snapshot.name(part.run)} runs over {scene.snapshot.name(piece.equipment)}")
    return found


def _along(scene: Scene, a: RunPart, b: RunPart) -> bool:
    """Whether two runs that share no terminal lie on each other."""
    if _ends(scene, a) & _ends(scene, b):
        return False
    for (ax, ay), (bx, by) in pairwise(a.points):
        for (cx, cy), (dx, dy) in pairwise(b.points):
            if ax == bx == cx == dx and min(max(ay, by), max(cy, dy)) > max(min(ay, by), min(cy, dy)):
                return True
            if ay == by == cy == dy and min(max(ax, bx), max(cx, dx)) > max(min(ax, bx), min(cx, dx)):
                return True
    return False


def _ends(scene: Scene, part: RunPart) -> set[tuple[str, str]]:
    run = scene.snapshot.runs[part.run]
    ends = {"from": run.from_end, "to": run.to_end}
    return {(e.equipment, e.terminal) for k, e in ends.items() if part.kind in ("whole", k)}


def _shown(scene: Scene) -> list[str]:
    """Every terminal of what is placed on exactly one symbol, a bus that goes on aside; every run on both its ends."""
    found: list[str] = []
    name = scene.snapshot.name
    for item, record in scene.snapshot.equipment.items():
        pieces = scene.of.get(item, [])
        if not pieces:
            found.append(f"{name(item)} is not drawn")
        for terminal in record.terminals():
            count = sum(p.shows(terminal.name) for p in pieces)
            if count != 1 and not (pieces and pieces[0].is_bar):
                found.append(f"{name(item)}.{terminal.name} is shown {count} times")
    for item in scene.snapshot.runs:
        kinds = sorted(p.kind for p in scene.parts if p.run == item)
        if kinds not in (["whole"], ["from", "to"]):
            found.append(f"{name(item)} is shown as {kinds}")
    return found


def score(snapshot: Snapshot) -> Score:
    """Counts over all sheets."""
    scene = _scene(snapshot)
    bends = sum(len(p.points) - 2 for p in scene.parts)
    crossings = 0
    unwritten = 0
    for item, sheet in scene.sheets:
        parts = scene.parts_on(item)
        crossings += sum(_crossings(a, b) for a, b in combinations(parts, 2))
        unwritten += len(draw_sheet(scene, item, paper(sheet.size)).labelled.missing)
    arrows = sum(p.kind != "whole" for p in scene.parts)
    return Score(len(scene.sheets), bends, crossings, arrows, unwritten)


def _crossings(a: RunPart, b: RunPart) -> int:
    count = 0
    for (ax, ay), (bx, by) in pairwise(a.points):
        for (cx, cy), (dx, dy) in pairwise(b.points):
            if (ax == bx) == (cx == dx):
                continue
            x, (lo, hi) = (ax, sorted((ay, by))) if ax == bx else (cx, sorted((cy, dy)))
            y, (left, right) = (cy, sorted((cx, dx))) if ax == bx else (ay, sorted((ax, bx)))
            count += lo < y < hi and left < x < right
    return count
