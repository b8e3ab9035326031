"""Runs between units: led across the sheet where there is a clear way, else two arrows stay."""

from __future__ import annotations

from collections.abc import Sequence

from app.drawing.across import first_free, words_spots
from app.drawing.area import Area
from app.drawing.blocks import Room, Track
from app.drawing.pieces import Pieces
from app.drawing.routes import pins
from app.drawing.texts import Words, run_words
from app.drawing.tidy.fixed import Fixed
from app.drawing.tidy.setting import Laid
from engine.geometry import EAST, NORTH, SOUTH, WEST, Pin, Roads
from engine.installation import Snapshot
from engine.pausing import pause
from engine.picture import Box

__all__ = ["lead_between"]

_MOST_BENDS, _MOST_CROSSINGS, _MOST = 4, 2, 220  # beyond, two arrows read better than a line
_DETOUR, _SHORT = 1.6, 12  # how much longer than the straight way, and steps on top of that
_TURNS = 4 * _MOST_BENDS + 6 * _MOST_CROSSINGS  # what bends and crossings add to a way's cost at most
_BESIDE = 4  # steps kept to where another run meets a bus
_STATES = 4000  # looked at for one way


def lead_between(snapshot: Snapshot, pieces: Pieces, area: Area, laid: Laid, fixed: Fixed) -> list[str]:
    """Replace pairs of arrows by a line, the nearest pairs first, and arrows that lead to what stays. Changes `laid`.

    Runs to what stays for which there is no way: they have no track any more.
    """
    arrows: dict[str, dict[str, Track]] = {}
    for track in laid.tracks:
        if track.part != "whole":
            arrows.setdefault(track.run, {})[track.part] = track
    order = {run: n for n, run in enumerate(pieces.edges)}
    wanted: list[tuple[int, int, str, list[Track]]] = []
    for run, of in arrows.items():
        edge = pieces.edges[run]
        if len(of) == 2:
            wanted.append((_apart(of["from"], of["to"].points[0]), order[run], run, [of["from"], of["to"]]))
            continue
        part, track = next(iter(of.items()))
        key, terminal = (edge.b, edge.at_b) if part == "from" else (edge.a, edge.at_a)
        if key in fixed.symbols:
            near = min(_apart(track, (p.x, p.y)) for p in pins(fixed.symbols[key], terminal))
            wanted.append((near, order[run], run, [track]))
    lost: list[str] = []
    for _near, _order, run, ends in sorted(wanted, key=lambda w: w[:2]):
        pause()
        edge = pieces.edges[run]
        if len(ends) == 2:
            there = _pins(pieces, laid, edge.b, ends[1])
        elif ends[0].part == "from":
            there = pins(fixed.symbols[edge.b], edge.at_b)
        else:
            there = pins(fixed.symbols[edge.a], edge.at_a)
        key = edge.a if ends[0].part == "from" else edge.b
        points = _way(area, run, ends, _pins(pieces, laid, key, ends[0]), there, laid, fixed)
        words = run_words(snapshot, run)
        tracks = [t for t in laid.tracks if t.run != run]
        rooms = [r for r in laid.rooms if r.owner != run]
        room = None
        if points is not None and words.lines:
            room = _label_room(points, words, tracks, rooms, area, fixed)
        if points is None or (words.lines and room is None and len(ends) == 2):
            if len(ends) == 1:
                lost.append(run)
                laid.tracks[:], laid.rooms[:] = tracks, rooms
            continue
        laid.tracks[:] = [*tracks, Track(run, "whole", points, ends[0].part == "from")]
        laid.rooms[:] = rooms
        if room is not None:
            laid.rooms.append(Room(room, run, "label"))
    return lost


def _apart(track: Track, to: tuple[int, int]) -> int:
    return abs(track.points[0][0] - to[0]) + abs(track.points[0][1] - to[1])


def _pins(pieces: Pieces, laid: Laid, key: str, track: Track) -> list[Pin]:
    """Where a run that ends in an arrow may leave instead: a bus anywhere that is free, the corner to either side."""
    (ax, ay), (bx, by) = track.points[-2], track.points[-1]
    out = (EAST if bx > ax else WEST) if ay == by else (SOUTH if by > ay else NORTH)
    if len(track.points) > 2:
        return [Pin(ax, ay, way) for way in (out, (out + 2) % 4)]
    bar = next((i for i in laid.items if i.piece == key and i.length and pieces.pieces[key].role == "bus"), None)
    if bar is None or bar.length is None or ay != bar.y:
        return [Pin(ax, ay, out)]
    met = [x for t in laid.tracks if t.run != track.run for x, y in (t.points[0], t.points[-1]) if y == bar.y]
    free = [x for x in range(bar.x + 2, bar.x + bar.length - 1) if all(abs(x - other) >= _BESIDE for other in met)]
    return [Pin(ax, ay, out), *(Pin(x, ay, way) for x in free if x != ax for way in (NORTH, SOUTH))]


def _way(
    area: Area,
    run: str,
    ends: Sequence[Track],
    starts: Sequence[Pin],
    there: Sequence[Pin],
    laid: Laid,
    fixed: Fixed,
) -> tuple[tuple[int, int], ...] | None:
    """From the first of `ends`, and to the other where there is one, by one of `starts` and one of the pins `there`."""
    left, top, width, height = area
    roads = Roads(left + width, top + height)
    for room in laid.rooms:
        if room.owner != run:
            roads.close(room.box.grown(0.3 if room.kind == "label" else 0.6))
    for box in fixed.boxes:
        roads.close(box.grown(0.3))
    for points in (*(t.points for t in laid.tracks if t.run != run), *fixed.lines):
        roads.run(points)
    for track in ends:
        if len(track.points) > 2:
            roads.run(track.points[:-1])
    longest = int(_DETOUR * min(_apart(ends[0], (p.x, p.y)) for p in there)) + _SHORT
    found = roads.find(
        starts,
        there,
        most=min(_MOST, longest + _TURNS),
        reach=Box(left, top, left + width, top + height),
        steps=_STATES,
    )
    if found is None or found.bends > _MOST_BENDS or found.crossings > _MOST_CROSSINGS:
        return None
    if found.length > longest:
        return None
    rest = ends[1].points[:-2][::-1] if len(ends) > 1 else ()
    return (*ends[0].points[:-2], *found.points, *rest)


def _label_room(
    points: tuple[tuple[int, int], ...],
    words: Words,
    tracks: Sequence[Track],
    rooms: Sequence[Room],
    area: Area,
    fixed: Fixed,
) -> Box | None:
    """The first place for the label that meets nothing."""
    boxes = [*(r.box for r in rooms), *fixed.boxes]
    return first_free(words_spots(points, words), boxes, [*(t.points for t in tracks), *fixed.lines, points], area)
