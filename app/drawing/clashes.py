"""What stands in the way of what in a block, and which piece had better stand elsewhere."""

from __future__ import annotations

from itertools import combinations, pairwise

from app.drawing.blocks import Block
from app.drawing.trees import Forest
from engine.geometry import overlaps
from engine.picture import Box

__all__ = ["in_the_way"]


def in_the_way(block: Block, forest: Forest) -> str | None:
    """A piece that should stand elsewhere, because a run of it meets something or something stands on it."""
    ends = {}
    for track in block.tracks:
        edge = forest.pieces.edges[track.run]
        ends[track.run] = (edge.a, edge.b)
    boxes = [r.box for r in block.rooms]
    lines: list[Box] = []
    runs: list[str] = []
    for track in block.tracks:
        for (ax, ay), (bx, by) in pairwise(track.points):
            lines.append(Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)).grown(0.05))
            runs.append(track.run)
    for n, m in overlaps(boxes):
        a, b = block.rooms[n], block.rooms[m]
        if a.owner == b.owner and {a.kind, b.kind} != {"label", "symbol"}:
            continue
        found = _loser(block, forest, (a.owner, b.owner))
        if found:
            return found
    for n, m in overlaps(lines, boxes):
        room = block.rooms[m]
        if room.kind == "symbol" and room.owner in ends[runs[n]]:
            continue
        if room.kind in ("arrow", "way") and room.owner == runs[n]:
            continue
        found = _loser(block, forest, (runs[n], room.owner))
        if found:
            return found
    for one, other in _along(block, forest):
        found = _loser(block, forest, (one, other))
        if found:
            return found
    return None


def _along(block: Block, forest: Forest) -> list[tuple[str, str]]:
    """Pairs of runs that lie on each other without beginning at one terminal."""
    lines: dict[tuple[bool, int], list[tuple[int, int, str]]] = {}
    for track in block.tracks:
        for (ax, ay), (bx, by) in pairwise(track.points):
            upright = ax == bx
            low, high = sorted((ay, by) if upright else (ax, bx))
            lines.setdefault((upright, ax if upright else ay), []).append((low, high, track.run))
    found = []
    for of in lines.values():
        for (low, high, run), (start, stop, other) in combinations(of, 2):
            if run != other and min(high, stop) > max(low, start) and not _meet(forest, run, other):
                found.append((run, other))
    return found


def _meet(forest: Forest, run: str, other: str) -> bool:
    a, b = forest.pieces.edges[run], forest.pieces.edges[other]
    return bool({(a.a, a.at_a), (a.b, a.at_b)} & {(b.a, b.at_a), (b.b, b.at_b)})


def _loser(block: Block, forest: Forest, owners: tuple[str, str]) -> str | None:
    """The piece furthest from its root among what is in each other's way."""
    keys = []
    for owner in owners:
        if owner in forest.depth:
            keys.append(owner)
            continue
        edge = forest.pieces.edges.get(owner)
        if edge is None:
            continue
        keys.extend(k for k in (edge.a, edge.b) if k in forest.depth)
    here = {i.piece for i in block.items}
    keys = [k for k in keys if k in here and forest.parent.get(k) is not None]
    return max(keys, key=lambda k: (forest.depth[k], forest.order[k]), default=None)
