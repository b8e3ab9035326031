"""A sheet as it stands, taken apart: every symbol on it a piece, every run that is shown there a join."""

from __future__ import annotations

from collections.abc import Collection

from app.drawing.pieces import KINDS, Edge, Family, Join, Piece, Pieces
from app.drawing.placed import Piece as Symbol
from app.drawing.placed import RunPart, Scene

__all__ = ["family_of", "parts_of", "taken_apart"]


def parts_of(scene: Scene, sheet: str) -> dict[str, list[RunPart]]:
    """What the sheet shows of each run: the whole, or one or both of its ends; without a way where it has none yet."""
    found: dict[str, list[RunPart]] = {}
    for part in scene.parts_on(sheet):
        found.setdefault(part.run, []).append(part)
    for run in scene.unrouted:
        ends = _joined(scene, run)
        here = [p for p in ends if p is not None and p.placement.sheet == sheet]
        if run not in found and here:
            found[run] = _unled(run, sheet, *ends)
    return found


def _joined(scene: Scene, run: str) -> tuple[Symbol | None, Symbol | None]:
    """Which symbols a run without a way joins: two of one sheet if there are such, as `routes` chooses them."""
    made = scene.made[run]
    for one in made.starts:
        for other in made.stops:
            if one.placement.sheet == other.placement.sheet:
                return one, other
    return next(iter(made.starts), None), next(iter(made.stops), None)


def _unled(run: str, sheet: str, start: Symbol | None, stop: Symbol | None) -> list[RunPart]:
    """Parts without a way: only what they join counts."""
    if start is not None and stop is not None and start.placement.sheet == stop.placement.sheet:
        return [RunPart(run, sheet, "whole", ((0, 0), (0, 1)), start.id, stop.id)]
    far = stop.id if stop is not None else ""
    if start is not None and start.placement.sheet == sheet:
        return [RunPart(run, sheet, "from", ((0, 0), (0, 1)), start.id, far)]
    assert stop is not None
    return [RunPart(run, sheet, "to", ((0, 0), (0, 1)), stop.id, start.id if start is not None else "")]


def family_of(scene: Scene, sheet: str) -> Family:
    """Whether the sheet is one of AC: then any source is what a tree begins at."""
    functions = [scene.snapshot.runs[run].function for run in parts_of(scene, sheet)]
    power = [f for f in functions if KINDS[f] == "power"]
    return "ac" if power and all(f == "ac" for f in power) else "dc"


def taken_apart(scene: Scene, sheet: str, left_out: Collection[str] = ()) -> Pieces:
    """Pieces by placement, runs between them by the ends that the sheet shows. What is `left_out` is only led to.

    What stands on other sheets is a piece of the other family: nothing hangs on it here.
    """
    here = family_of(scene, sheet)
    other: Family = "dc" if here == "ac" else "ac"
    snapshot = scene.snapshot
    pieces: dict[str, Piece] = {}
    joins: dict[str, list[Join]] = {}
    edges: dict[str, Edge] = {}
    on_sheet = {p.id for p in scene.on(sheet)}
    parts = parts_of(scene, sheet)
    only_earth = dict.fromkeys(on_sheet, True)
    for run, of in parts.items():
        for part in of:
            for key in (part.near, part.far) if part.kind == "whole" else (part.near,):
                if KINDS[snapshot.runs[run].function] != "earth":
                    only_earth[key] = False
    for symbol in sorted(scene.on(sheet), key=_order):
        family = other if symbol.id in left_out else here
        pieces[symbol.id] = _piece(symbol, family, symbol.several and only_earth[symbol.id])
        joins[symbol.id] = []
    for run, of in sorted(parts.items(), key=lambda each: _number(each[0])):
        record = snapshot.runs[run]
        kind = KINDS[record.function]
        ends = {"from": "", "to": ""}
        for part in of:
            if part.kind == "whole":
                ends = {"from": part.near, "to": part.far}
            else:
                ends[part.kind] = part.near
                rest = "to" if part.kind == "from" else "from"
                ends[rest] = ends[rest] or part.far
        for side, end in (("from", record.from_end), ("to", record.to_end)):
            key = ends[side] = ends[side] or f"{run}:{side}"
            if key not in pieces:
                pieces[key] = Piece(key, end.equipment, other, (), snapshot.equipment[end.equipment].ROLE)
                joins[key] = []
        a, b = ends["from"], ends["to"]
        at_a, at_b = record.from_end.terminal, record.to_end.terminal
        edges[run] = Edge(run, kind, a, at_a, b, at_b)
        if a in on_sheet:
            joins[a].append(Join(run, kind, at_a, b, at_b, True))
        if b in on_sheet:
            joins[b].append(Join(run, kind, at_b, a, at_a, False))
    return Pieces(pieces, edges, joins, {})


def _piece(symbol: Symbol, family: Family, earth_only: bool) -> Piece:
    record = symbol.record
    terminals = symbol.placement.terminals or tuple(t.name for t in record.terminals())
    return Piece(symbol.id, symbol.equipment, family, terminals, record.ROLE, earth_only)


def _order(symbol: Symbol) -> tuple[int, int]:
    return _number(symbol.equipment), _number(symbol.id)


def _number(item: str) -> int:
    return int(item[1:]) if item[1:].isdecimal() and item[1:].isascii() else 0
