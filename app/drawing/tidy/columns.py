"""The trees of one sheet as blocks: like those of a layout, with rows of like things level, columns further apart."""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from typing import NamedTuple

from app.drawing.blocks import Block, Track
from app.drawing.composing import CONTINUES, Composer, Some
from app.drawing.looks import Look, look
from app.drawing.pieces import Join, Pieces
from app.drawing.placed import Scene
from app.drawing.stances import FARTHEST_ZONE, WIDEST_SHEET, Mode, Stance
from app.drawing.texts import Words, device_words
from app.drawing.towers import Towers
from app.drawing.trees import Forest
from engine.pausing import pause
from engine.picture import Box
from engine.words import _

__all__ = ["Columns", "Memo", "Sheeted", "rows_level"]

_LEVEL = 10  # steps by which a run may grow so that what it leads to stands in a row
_OUT = 14  # steps a bar is drawn out at most for the arrow at its end
_TOPS = 14  # the same for what stands at the end of a column


class Memo:
    """What is the same in every plan of one sheet, worked out once."""

    def __init__(self) -> None:
        self.words: dict[str, Words] = {}
        self.stances: dict[Hashable, Stance] = {}
        self.branches: dict[Hashable, Block] = {}


class Columns(Towers):
    """Builds blocks of the symbols that stand on a sheet. `flipped`: runs whose branch hangs below its bus."""

    def __init__(self, scene: Scene, pieces: Pieces, forest: Forest, memo: Memo) -> None:
        self.scene = scene
        self.memo = memo
        super().__init__(scene.snapshot, pieces, forest)
        self.flipped: set[str] = set()
        self.broad = False  # what arrows say reads across wherever they stand
        self.extra: dict[str, int] = {}  # steps by which the run to a piece is longer, so that it stands in a row

    def begin(self, mode: Mode, least: int, flipped: set[str], *, broad: bool = False) -> None:
        """Other ways to use room: nothing of what was built before holds."""
        self.mode, self.least, self.flipped, self.broad = mode, least, flipped, broad
        self.forget()

    def forget(self) -> None:
        """Build anew."""
        self._made.clear()

    def branch(self, join: Join, forward: int) -> Block:
        """What a branch leads to, with the run to it; the same in every plan in which the same hangs on it."""
        if join.piece in self.rails or self.rails:
            return super().branch(join, forward)
        below = self.forest.under(join.piece)
        has_bus = any(self.forest.role(key) == "bus" for key in below)
        kept = (
            join.run,
            forward,
            self.mode,
            self.broad,
            (self.least, self.widest) if has_bus else (),
            tuple((key, self.extra.get(key, 0)) for key in below),
            tuple(j.run for key in below for j in self.forest.children[key] if j.run in self.flipped),
        )
        if kept not in self.memo.branches:
            pause()
            self.memo.branches[kept] = self._branch(join, forward)
        return self.memo.branches[kept].copy()

    def stand(self, key: str, entry: str, forward: int, pitch: int | None = None) -> Stance:
        """The turn in which a symbol stands, found once."""
        ahead = tuple(j.here for j in self.forest.children[key])
        kept = (key, entry, forward, pitch, ahead, tuple(j.here for j in self.stubs(key)))
        if kept not in self.memo.stances:
            self.memo.stances[kept] = super().stand(key, entry, forward, pitch)
        return self.memo.stances[kept]

    def seen(self, key: str, rotation: int = 0, mirrored: bool = False, length: int | None = None) -> Look:
        """The symbol a placement is drawn with."""
        piece = self.scene.pieces.get(key)
        symbol = "" if piece is None else piece.placement.symbol
        return look(self.record(key), self.standard, rotation, mirrored, length, symbol)

    def words(self, key: str) -> Words:
        """Label of a symbol as the sheet shows it."""
        if key not in self.memo.words:
            self.memo.words[key] = self._words(key)
        return self.memo.words[key]

    def _words(self, key: str) -> Words:
        piece = self.scene.pieces[key]
        also = ""
        if piece.several and not piece.is_bar:
            places = [f"{WIDEST_SHEET} / {FARTHEST_ZONE}"] * (len(self.scene.of[piece.equipment]) - 1)
            also = _("also {places}").format(places=", ".join(places))
        return device_words(self.snapshot, piece.equipment, repeated=not piece.first, also=also)

    def stub(self, join: Join, side: str, short: bool = False) -> Block:
        """An arrow that leaves to a side."""
        return super().stub(join, side, short and not self.broad)

    def hangs(self, join: Join) -> bool:
        """Whether a branch hangs below its bus: what does by its nature, and what was turned down for room."""
        return join.run in self.flipped or super().hangs(join)

    def apart(self, join: Join) -> int:
        """Steps by which a run is longer than its label needs."""
        return super().apart(join) + self.extra.get(join.piece, 0)


class Sheeted(Composer):
    """Composes the blocks; a bus that goes on elsewhere keeps room for the arrows at its ends."""

    def __init__(self, towers: Columns) -> None:
        super().__init__(towers)
        self.columns = towers
        self.is_sorted = False  # what meets a bus in the order of `entries`, its label not beyond its ends

    def compose(self, root: str, some: Some | None = None) -> Block:
        """The block of a tree."""
        if self.is_sorted and some is None and self.forest.role(root) == "bus":
            some = Some(0, len(self.entries(root)))
        block = super().compose(root, some)
        piece = self.columns.scene.pieces[root]
        if piece.is_bar and piece.several:
            every = self.columns.scene.of[piece.equipment]
            at = next(n for n, p in enumerate(every) if p.id == root)
            if at:
                _drawn_out(block, root, -1)
            if at + 1 < len(every):
                _drawn_out(block, root, 1)
        return block


def _drawn_out(block: Block, bar: str, out: int) -> None:
    """Room for the arrow at an end of a bar that goes on; the bar is drawn out to where it is free."""
    n = next(n for n, item in enumerate(block.items) if item.piece == bar)
    item = block.items[n]
    for far in range(0, _OUT, 2):
        left, right = item.x - far * (out < 0), item.x + (item.length or 0) + far * (out > 0)
        room = Box(right + 1, item.y - 1.1, right + CONTINUES, item.y + 1.1)
        if out < 0:
            room = Box(left - CONTINUES, item.y - 1.1, left - 1, item.y + 1.1)
        if far + 2 >= _OUT or not any(room.meets(r.box) for r in block.rooms if r.kind != "symbol" or r.owner != bar):
            break
    if far:
        block.items[n] = item._replace(x=left, length=right - left)
        block.add(Box(left - 0.3, item.y - 0.3, right + 0.3, item.y + 0.3), bar, "symbol")
    block.add(room, bar, "arrow")


class _Column(NamedTuple):
    """Pieces straight above (or below) each other, and how far from the bus each is entered."""

    keys: list[str]
    at: list[int]
    is_whole: bool  # the last one has nothing further on it


def rows_level(towers: Columns, block: Block) -> bool:
    """Lengthen runs so that in the columns of every bus like things stand in a row; whether any was."""
    tracks = {track.run: track for track in (*block.tracks, *block.open)}
    grown = False
    for key in dict.fromkeys(item.piece for item in block.items):
        if towers.forest.role(key) != "bus":
            continue
        for side in (-1, 1):
            columns = [c for join in towers.forest.children[key] if (c := _column(towers, tracks, join, side))]
            grown |= _level(towers, columns)
    return grown


def _column(towers: Columns, tracks: dict[str, Track], join: Join, side: int) -> _Column | None:
    """The column of a branch, where it stands straight on its bus on that side."""
    keys: list[str] = []
    at: list[int] = []
    start: int | None = None
    while True:
        track = tracks.get(join.run)
        if track is None or len(track.points) != 2 or track.points[0][0] != track.points[1][0]:
            break
        first, last = track.points[0][1], track.points[1][1]
        if (last - first) * side <= 0 or towers.forest.role(join.piece) == "bus":
            break
        start = first if start is None else start
        keys.append(join.piece)
        at.append(abs(last - start))
        ahead = towers.forest.children[join.piece]
        if len(ahead) != 1:
            return _Column(keys, at, not ahead)
        join = ahead[0]
    return _Column(keys, at, False) if keys else None


def _level(towers: Columns, columns: Sequence[_Column]) -> bool:
    """What stands first in its column, then what stands between of one kind, then what ends it."""
    if len(columns) < 2:
        return False
    grown = False
    moved = [0] * len(columns)
    deepest = max(len(c.keys) for c in columns)
    for level in range(deepest):
        groups: dict[str, list[int]] = {}
        for n, column in enumerate(columns):
            if level < len(column.keys) and not _is_end(column, level):
                key = column.keys[level]
                kind = towers.forest.role(key) if not level else f"{level} {towers.record(key).KIND}"
                groups.setdefault(kind, []).append(n)
        for of in groups.values():
            grown |= _row(towers, columns, moved, dict.fromkeys(of, level), _LEVEL)
    ends = {n: len(c.keys) - 1 for n, c in enumerate(columns) if _is_end(c, len(c.keys) - 1)}
    return _row(towers, columns, moved, ends, _TOPS) or grown


def _is_end(column: _Column, level: int) -> bool:
    return column.is_whole and level == len(column.keys) - 1 and level > 0


def _row(towers: Columns, columns: Sequence[_Column], moved: list[int], of: dict[int, int], most: int) -> bool:
    """Bring symbols, `of` column -> level, that nearly stand in a row into it."""
    order = sorted(of, key=lambda n: -(columns[n].at[of[n]] + moved[n]))
    grown = False
    target = -math.inf
    for n in order:
        here = columns[n].at[of[n]] + moved[n]
        if target - here > most or target < 0:
            target = here
        by = int(target - here)
        if by:
            key = columns[n].keys[of[n]]
            towers.extra[key] = towers.extra.get(key, 0) + by
            moved[n] += by
            grown = True
    return grown
