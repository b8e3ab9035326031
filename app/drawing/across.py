"""Runs that are no branches: led across the finished sheet where there is a clear way, else two arrows stay."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from app.drawing.blocks import Item, Room, Track
from app.drawing.looks import STEP
from app.drawing.pieces import Pieces
from app.drawing.spots import run_spots
from app.drawing.texts import run_words
from engine.geometry import EAST, NORTH, SOUTH, WEST, Pin, Roads, overlaps
from engine.installation import Snapshot
from engine.picture import Box

__all__ = ["first_free", "lead_across"]

_MOST_BENDS, _MOST_CROSSINGS, _MOST = 4, 2, 150  # beyond, two arrows read better than a line
_DETOUR = 1.4  # how much longer than the straight way


def lead_across(
    snapshot: Snapshot,
    pieces: Pieces,
    area: tuple[int, int, int, int],
    items: list[Item],
    tracks: list[Track],
    rooms: list[Room],
) -> None:
    """Replace pairs of arrows on one sheet by a line, the nearest pairs first. Changes `tracks` and `rooms`."""
    left, top, width, height = area
    pairs: dict[str, dict[str, Track]] = {}
    for track in tracks:
        if track.part != "whole":
            pairs.setdefault(track.run, {})[track.part] = track
    both = [(run, of["from"], of["to"]) for run, of in pairs.items() if len(of) == 2]
    order = list(pieces.edges)
    both.sort(key=lambda p: (_apart(p[1], p[2]), order.index(p[0])))
    for run, first, last in both:
        found = _way(area, run, first, last, tracks, rooms)
        if found is None:
            continue
        points = (*first.points[:-2], *found, *last.points[:-2][::-1])
        words = run_words(snapshot, run)
        others = [t for t in tracks if t.run != run]
        own = [r for r in rooms if r.owner != run]
        room = None
        if words.lines:
            room = _label_room(points, words_spots(points, words), others, own, (left, top, width, height))
            if room is None:
                continue
        tracks[:] = [*others, Track(run, "whole", points, True)]
        rooms[:] = own
        if room is not None:
            rooms.append(Room(room, run, "label"))


def words_spots(points: tuple[tuple[int, int], ...], words: object) -> list[Box]:
    """Where the label of a run could stand, in steps."""
    from app.drawing.texts import Words

    assert isinstance(words, Words)
    spots = run_spots([(x * STEP, y * STEP) for x, y in points], words)
    return [Box(*(v / STEP for v in s.box)) for s in spots]


def _apart(a: Track, b: Track) -> int:
    return abs(a.points[0][0] - b.points[0][0]) + abs(a.points[0][1] - b.points[0][1])


def _pin(track: Track) -> Pin:
    (ax, ay), (bx, by) = track.points[-2], track.points[-1]
    out = (EAST if bx > ax else WEST) if ay == by else (SOUTH if by > ay else NORTH)
    return Pin(ax, ay, out)


def _way(
    area: tuple[int, int, int, int], run: str, first: Track, last: Track, tracks: list[Track], rooms: list[Room]
) -> tuple[tuple[int, int], ...] | None:
    left, top, width, height = area
    roads = Roads(left + width, top + height)
    for room in rooms:
        if room.owner != run:
            roads.close(room.box.grown(0.3 if room.kind == "label" else 0.6))
    for track in tracks:
        if track.run != run:
            roads.run(track.points)
    for track in (first, last):
        if len(track.points) > 2:
            roads.run(track.points[:-1])
    found = roads.find([_pin(first)], [_pin(last)], most=_MOST, reach=Box(left, top, left + width, top + height))
    if found is None or found.bends > _MOST_BENDS or found.crossings > _MOST_CROSSINGS:
        return None
    if found.length > _DETOUR * _apart(first, last) + 8:
        return None
    return found.points


def _label_room(
    points: tuple[tuple[int, int], ...],
    spots: list[Box],
    tracks: list[Track],
    rooms: list[Room],
    area: tuple[int, int, int, int],
) -> Box | None:
    """The first place for the label that meets nothing."""
    return first_free(spots, [r.box for r in rooms], [*(t.points for t in tracks), points], area)


def first_free(
    spots: Sequence[Box],
    boxes: Iterable[Box],
    lines: Iterable[Sequence[tuple[int, int]]],
    area: tuple[int, int, int, int],
) -> Box | None:
    """The first of the spots that lies in the area (left, top, width, height) and meets neither boxes nor lines."""
    left, top, width, height = area
    boxes = list(boxes)
    for line in lines:
        for (ax, ay), (bx, by) in pairwise(line):
            boxes.append(Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)).grown(0.2))
    taken = {n for n, _m in overlaps(spots, boxes)}
    for n, spot in enumerate(spots):
        inside = spot.left >= left and spot.top >= top and spot.right <= left + width and spot.bottom <= top + height
        if n not in taken and inside:
            return spot
    return None
