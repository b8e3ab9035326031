"""Runs between units: led across the sheet where there is a clear way, else two arrows stay."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from app.drawing.area import Area
from app.drawing.blocks import Room, Track
from app.drawing.looks import STEP
from app.drawing.pieces import Pieces
from app.drawing.spots import run_spots
from app.drawing.texts import Words, run_words
from app.drawing.tidy.setting import Laid
from engine.geometry import EAST, NORTH, SOUTH, WEST, Pin, Roads, overlaps
from engine.installation import Snapshot
from engine.pausing import pause
from engine.picture import Box

__all__ = ["lead_between"]

_MOST_BENDS, _MOST_CROSSINGS, _MOST = 4, 2, 220  # beyond, two arrows read better than a line
_DETOUR, _SHORT = 1.6, 12  # how much longer than the straight way, and steps on top of that
_TURNS = 4 * _MOST_BENDS + 6 * _MOST_CROSSINGS  # what bends and crossings add to a way's cost at most
_STATES = 8000  # looked at for one way


def lead_between(snapshot: Snapshot, pieces: Pieces, area: Area, laid: Laid) -> None:
    """Replace pairs of arrows by a line, the nearest pairs first. Changes `laid`."""
    pairs: dict[str, dict[str, Track]] = {}
    for track in laid.tracks:
        if track.part != "whole":
            pairs.setdefault(track.run, {})[track.part] = track
    both = [(run, of["from"], of["to"]) for run, of in pairs.items() if len(of) == 2]
    order = {run: n for n, run in enumerate(pieces.edges)}
    both.sort(key=lambda p: (_apart(p[1], p[2]), order[p[0]]))
    for run, first, last in both:
        pause()
        points = _way(area, run, first, last, laid)
        if points is None:
            continue
        words = run_words(snapshot, run)
        tracks = [t for t in laid.tracks if t.run != run]
        rooms = [r for r in laid.rooms if r.owner != run]
        room = _label_room(points, words, tracks, rooms, area) if words.lines else None
        if words.lines and room is None:
            continue
        laid.tracks[:] = [*tracks, Track(run, "whole", points, True)]
        laid.rooms[:] = rooms
        if room is not None:
            laid.rooms.append(Room(room, run, "label"))


def _apart(a: Track, b: Track) -> int:
    return abs(a.points[0][0] - b.points[0][0]) + abs(a.points[0][1] - b.points[0][1])


def _pin(track: Track) -> Pin:
    (ax, ay), (bx, by) = track.points[-2], track.points[-1]
    out = (EAST if bx > ax else WEST) if ay == by else (SOUTH if by > ay else NORTH)
    return Pin(ax, ay, out)


def _way(area: Area, run: str, first: Track, last: Track, laid: Laid) -> tuple[tuple[int, int], ...] | None:
    left, top, width, height = area
    roads = Roads(left + width, top + height)
    for room in laid.rooms:
        if room.owner != run:
            roads.close(room.box.grown(0.3 if room.kind == "label" else 0.6))
    for track in laid.tracks:
        if track.run != run:
            roads.run(track.points)
    for track in (first, last):
        if len(track.points) > 2:
            roads.run(track.points[:-1])
    longest = int(_DETOUR * _apart(first, last)) + _SHORT
    found = roads.find(
        [_pin(first)],
        [_pin(last)],
        most=min(_MOST, longest + _TURNS),
        reach=Box(left, top, left + width, top + height),
        steps=_STATES,
    )
    if found is None or found.bends > _MOST_BENDS or found.crossings > _MOST_CROSSINGS:
        return None
    if found.length > longest:
        return None
    return (*first.points[:-2], *found.points, *last.points[:-2][::-1])


def _label_room(
    points: tuple[tuple[int, int], ...], words: Words, tracks: Sequence[Track], rooms: Sequence[Room], area: Area
) -> Box | None:
    """The first place for the label that meets nothing."""
    left, top, width, height = area
    spots = [Box(*(v / STEP for v in s.box)) for s in run_spots([(x * STEP, y * STEP) for x, y in points], words)]
    boxes = [r.box for r in rooms]
    for line in (*(t.points for t in tracks), points):
        for (ax, ay), (bx, by) in pairwise(line):
            boxes.append(Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)).grown(0.2))
    taken = {n for n, _m in overlaps(spots, boxes)}
    for n, spot in enumerate(spots):
        inside = spot.left >= left and spot.top >= top and spot.right <= left + width and spot.bottom <= top + height
        if n not in taken and inside:
            return spot
    return None
