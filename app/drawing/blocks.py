"""A block: symbols, runs and the room they need, fixed to each other. In grid steps about where it is joined on."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Literal, NamedTuple

from engine.picture import Box, around

__all__ = ["GAP", "Block", "Item", "Part", "Pending", "Point", "Room", "Track", "arrange", "separation"]

GAP = 1.0  # between neighbours, across
_OVER = 0.2  # room kept above and below a box
_FINE = 2  # outline rows in a step
_COLUMN = 12  # about half of what a column is wide
Point = tuple[int, int]
Part = Literal["whole", "from", "to"]


class Item(NamedTuple):
    """A symbol in its place. `length` of a bus, pitch of a module."""

    piece: str
    x: int
    y: int
    rotation: int = 0
    mirrored: bool = False
    length: int | None = None


class Track(NamedTuple):
    """Where a run goes, from the near piece outward. `part` "whole": to another piece; else it ends in an arrow."""

    run: str
    part: Part
    points: tuple[Point, ...]
    forward: bool  # the run's `from` end comes first

    def moved(self, dx: int, dy: int) -> Track:
        """The track at another place."""
        return Track(self.run, self.part, tuple([(x + dx, y + dy) for x, y in self.points]), self.forward)


class Room(NamedTuple):
    """A box that is taken. `owner` is a piece or run, `kind` what stands there."""

    box: Box
    owner: str
    kind: Literal["symbol", "label", "arrow", "way"]


class Pending(NamedTuple):
    """A block that grows the other way, to be set beside this one when all of it is known; `way` leads to it."""

    way: tuple[Point, ...]
    block: Block
    out: int = 1  # to the right, -1: to the left

    def moved(self, dx: int, dy: int) -> Pending:
        """The same at another place."""
        return self._replace(way=tuple((x + dx, y + dy) for x, y in self.way))


class Block:
    """Grows by adding; two blocks are set side by side by their outlines."""

    def __init__(self) -> None:
        self.items: list[Item] = []
        self.tracks: list[Track] = []
        self.rooms: list[Room] = []
        self.entry: Track | None = None  # the run it is joined on by, from (0, 0) to its own piece
        self.open: list[Track] = []  # runs that go on straight down to the negative bus
        self.pending: list[Pending] = []
        self.rows: dict[int, tuple[float, float]] = {}
        self.simple = True  # a single column
        self.key = ""

    def copy(self) -> Block:
        """The same again, to be changed."""
        made = Block()
        made.items, made.tracks, made.rooms = list(self.items), list(self.tracks), list(self.rooms)
        made.entry, made.open, made.pending = self.entry, list(self.open), list(self.pending)
        made.rows, made.simple, made.key = dict(self.rows), self.simple, self.key
        return made

    # -- adding -----------------------------------------------------------------------------------------------------
    def add(self, box: Box, owner: str, kind: Literal["symbol", "label", "arrow", "way"]) -> None:
        """Take room."""
        self.rooms.append(Room(box, owner, kind))
        self._outline(box)

    def _outline(self, box: Box) -> None:
        first = math.floor((box.top - _OVER) * _FINE + 1e-6)
        last = math.ceil((box.bottom + _OVER) * _FINE - 1e-6)
        for row in range(first, max(last, first + 1)):
            lo, hi = self.rows.get(row, (box.left, box.right))
            self.rows[row] = (min(lo, box.left), max(hi, box.right))

    def run(self, track: Track) -> None:
        """A run, its outline taken."""
        self.tracks.append(track)
        self._trace(track)

    def enter(self, track: Track) -> None:
        """The run the block is joined on by."""
        self.entry = track
        self._trace(track)

    def leave_open(self, track: Track) -> None:
        """A run that goes on to the negative bus, and the room below it."""
        self.open.append(track)
        self._trace(track)

    def _trace(self, track: Track) -> None:
        for (ax, ay), (bx, by) in pairwise(track.points):
            self._outline(Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)))

    def put(self, other: Block, dx: int, dy: int, before: tuple[Point, ...] = ()) -> None:
        """Take over another block, moved; `before` leads from here to where it is joined on."""
        self.items.extend(Item(i.piece, i.x + dx, i.y + dy, i.rotation, i.mirrored, i.length) for i in other.items)
        self.tracks.extend(t.moved(dx, dy) for t in other.tracks)
        self.open.extend(t.moved(dx, dy) for t in other.open)
        self.rooms.extend(
            Room(Box(b.left + dx, b.top + dy, b.right + dx, b.bottom + dy), owner, kind)
            for b, owner, kind in other.rooms
        )
        rows = self.rows
        for row, (lo, hi) in other.rows.items():
            at = row + dy * _FINE
            mine = rows.get(at)
            rows[at] = (lo + dx, hi + dx) if mine is None else (min(mine[0], lo + dx), max(mine[1], hi + dx))
        self.pending.extend(p.moved(dx, dy) for p in other.pending)
        if other.entry is not None:
            moved = other.entry.moved(dx, dy)
            whole = moved._replace(points=(*before, *moved.points))
            if other.entry in other.open:
                self.open = [t for t in self.open if t != moved]
                self.open.append(whole)
                self._trace(whole)
            else:
                self.run(whole)

    def lengthen(self, by: int, forward: int) -> None:
        """Move everything away from where the block is joined on; the run that joins it grows."""
        entry = self.entry
        whole = Block()
        self.entry = None
        was_open = entry is not None and entry in self.open
        whole.put(self, 0, forward * by)
        if entry is not None:
            moved = entry.moved(0, forward * by)
            longer = moved._replace(points=((0, 0), *moved.points))
            if was_open:
                whole.open = [longer if t == moved else t for t in whole.open]
            whole.enter(longer)
        self.items, self.tracks, self.rooms, self.open = whole.items, whole.tracks, whole.rooms, whole.open
        self.pending, self.rows, self.entry = whole.pending, whole.rows, whole.entry

    def seen_from(self, y: int) -> Block:
        """Its outline alone, counted from a row of it."""
        seen = Block()
        seen.rows = {row - y * _FINE: edge for row, edge in self.rows.items()}
        return seen

    def reach(self, top: int, bottom: int, out: int) -> int:
        """How far the outline goes to the right (`out` 1) or left (-1, counted to the left) between two rows."""
        rows = (self.rows.get(row) for row in range(top * _FINE, bottom * _FINE))
        return math.ceil(
            max((edge[1] if out > 0 else -edge[0] for edge in rows if edge is not None), default=-1000) - 0.3
        )

    # -- measuring --------------------------------------------------------------------------------------------------
    @property
    def box(self) -> Box:
        """The whole extent."""
        boxes = [room.box for room in self.rooms]
        for track in (*self.tracks, *self.open, *((self.entry,) if self.entry else ())):
            boxes.extend(Box(x, y, x, y) for x, y in track.points)
        if not boxes:
            return Box(0, 0, 0, 0)
        return around(boxes)


def separation(left: Block, right: Block, dy: int = 0, gap: float = GAP) -> int:
    """How far right of `left`'s origin `right`'s must stand, `right` moved down by `dy`; large negative: anywhere."""
    need = -10_000.0
    for row, (lo, _hi) in right.rows.items():
        mine = left.rows.get(row + dy * _FINE)
        if mine is not None:
            need = max(need, mine[1] + gap - lo)
    return math.ceil(need - 1e-9)


def arrange(blocks: list[Block], widest: int, least: int = 0) -> list[int]:
    """Where blocks stand side by side: columns evenly spaced, less evenly where that takes more than `widest`.

    `least`: steps from column to column that are wished for at least.
    """
    needs = {separation(a, b) for a, b in pairwise(blocks) if a.simple and b.simple}
    needs |= {max(least, need) for need in needs} if least else set()
    pairs = sum(a.simple and b.simple for a, b in pairwise(blocks))
    for pitch in sorted(needs, reverse=True):
        if pitch * pairs + 2 * _COLUMN > widest:
            continue
        even = _side_by_side(blocks, pitch)
        if even[-1] - even[0] + 2 * _COLUMN <= widest:
            return even
    return _side_by_side(blocks, 0)


def _side_by_side(blocks: list[Block], pitch: int) -> list[int]:
    xs: list[int] = []
    so_far = Block()
    for n, made in enumerate(blocks):
        at = 0
        if n:
            at = max(xs[-1] + 3, separation(so_far, made))
            if made.simple and blocks[n - 1].simple:
                at = max(at, xs[-1] + pitch)
        xs.append(at)
        for row, (lo, hi) in made.rows.items():
            mine = so_far.rows.get(row)
            so_far.rows[row] = (lo + at, hi + at) if mine is None else (min(mine[0], lo + at), max(mine[1], hi + at))
    return xs
