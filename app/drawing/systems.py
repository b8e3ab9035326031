"""What a sheet is made of: a bus with everything on it, batteries let down to the negative bus, lone pieces.

A system that is larger than a sheet loses branches, which become systems of their own, until it fits.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Literal, NamedTuple, get_args

from app.drawing.bars import compose_bar, label_bar, lay
from app.drawing.blocks import Block, arrange, separation
from app.drawing.pieces import Join
from app.drawing.stances import Mode
from app.drawing.towers import Towers
from engine.geometry import overlaps
from engine.picture import Box

__all__ = ["CATEGORIES", "CONTINUES", "Category", "Limits", "System", "make_systems"]

Category = Literal["dc main", "ac main", "dc panel", "ac panel", "charging", "bonding", "loose"]
CATEGORIES: tuple[Category, ...] = get_args(Category)  # in the order of their sheets
CONTINUES = 13  # steps at the end of a bar that goes on elsewhere
Limits = tuple[int, int]  # width and height of a sheet's drawing area, in steps


class System:
    """A block that stands on one sheet as a whole."""

    def __init__(self, block: Block, root: str, category: Category) -> None:
        self.block, self.root, self.category = block, root, category

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in steps."""
        b = self.block.box
        return math.ceil(b.right) - math.floor(b.left), math.ceil(b.bottom) - math.floor(b.top)

    def fits(self, limits: Limits) -> bool:
        """Whether it stands on an empty sheet."""
        return self.size[0] <= limits[0] and self.size[1] <= limits[1]


_BETWEEN_ROWS = 4  # steps between the parts of a bus that stand above each other
# ways to draw a tree that is too high, or too wide, before anything of it goes elsewhere
_LOWER = (Mode(compact=True), Mode(beyond=True), Mode(compact=True, beyond=True))
_NARROWER = (Mode(airy=True),)


class Some(NamedTuple):
    """Entries of a bus, from the first to before the last."""

    first: int
    last: int


class _Maker:
    def __init__(self, towers: Towers, limits: Limits) -> None:
        self.towers, self.forest, self.limits = towers, towers.forest, limits
        # buses next to those the batteries feed, from which others are fed: main distribution as well
        self.next_in_line = {
            k
            for k in self.forest.nodes
            if self.forest.role(k) == "bus"
            and sum(self.forest.role(a) == "bus" for a in _up(self.forest.parent, k)) == 2
            and sum(self.forest.role(b) == "bus" for b in self.forest.under(k)) > 1
        }
        self.apart: set[str] = set()  # batteries' trees and negative buses that do not fit beside the main one

    # -- composing --------------------------------------------------------------------------------------------------
    def entries(self, root: str) -> list[tuple[Join, bool]]:
        """What meets a bus, runs that are no branches first, then sources, then branches, chargers last."""
        towers, forest = self.towers, self.forest
        branches = forest.children[root]
        hanging = [j for j in branches if towers.hangs(j)]
        standing = [j for j in branches if j not in hanging]
        standing.sort(key=self._charges)
        return [*((j, False) for j in towers.stubs(root)), *((j, True) for j in (*hanging, *standing))]

    def _charges(self, join: Join) -> bool:
        roles = {self.forest.role(k) for k in self.forest.under(join.piece)}
        return "source" in roles and "load" not in roles

    def compose(self, root: str, some: Some | None = None) -> Block:
        """The block of a tree; `some`: a bus with these alone, that goes on elsewhere."""
        forest, towers = self.forest, self.towers
        if forest.role(root) != "bus":
            return towers.root(root)
        every = self.entries(root)
        if some is None:
            order = forest.children[root]
            every.sort(key=lambda e: order.index(e[0]) if e[1] else -1)
        chosen = every if some is None else every[some.first : some.last]
        short = sum(not branch for _j, branch in chosen) > 2
        earth = not forest.degree(root)
        over: list[Block] = []
        under: list[Block] = []
        for join, branch in chosen:
            down = towers.hangs(join) if branch else earth
            if branch:
                made = towers.branch(join, 1 if down else -1)
                if not towers.mode.beyond:
                    towers.settle(made, 1 if down else -1)
            else:
                made = towers.stub(join, "bottom" if down else "top", short=short)
            (under if down else over).append(made)
        align = "left" if towers.rails else "middle"
        block = compose_bar(towers, root, over, under, align=align, goes_on=some is not None)
        towers.settle(block, 0)
        if some is not None:
            bar = next(i for i in block.items if i.piece == root)
            right = bar.x + (bar.length or 0)
            if some.first:
                block.add(Box(bar.x - CONTINUES, bar.y - 1.1, bar.x - 1, bar.y + 1.1), root, "arrow")
            if some.last < len(every):
                block.add(Box(right + 1, bar.y - 1.1, right + CONTINUES, bar.y + 1.1), root, "arrow")
        return block

    def with_rail(self, rail: str, roots: list[str], some: Some | None = None, under: bool = True) -> Block:
        """The main tree, the other batteries beside its sources, all let down to the negative bus.

        `under`: the others stay below the main bar; else they may stand as high as they are, beside its end.
        """
        towers = self.towers
        towers.rails = {rail}
        block = Block()
        block.key, block.simple = rail, False
        for n, root in enumerate(roots):
            made = self.compose(root, None if n else some)
            if not n:
                block.put(made, 0, 0)
                continue
            ends = [t.points[-1][1] for t in block.open]
            mine = [t.points[-1][1] for t in made.open]
            level = max(ends, default=0) - max(mine, default=0)
            dy = max(level, math.ceil(3 - made.box.top)) if under else level
            block.put(made, separation(block, made, dy, gap=3.0), dy)
        low = max((t.points[-1][1] for t in block.open), default=0)
        low = max(low, math.ceil(max((r.box.bottom for r in block.rooms), default=0.0)) + 1)
        attached = []
        for track in block.open:
            x = track.points[-1][0]
            attached.append(x)
            block.run(track._replace(points=(*track.points[:-1], (x, low))))
        led = {t.run for t in block.open}
        block.open = []
        hung = []
        for join in self.forest.children[rail]:
            made = towers.branch(join, 1)
            towers.settle(made, 1)
            hung.append(made)
        stubs = [j for j in towers.stubs(rail) if j.run not in led]
        hung += [towers.stub(j, "bottom", short=len(stubs) > 1) for j in stubs]
        left = min(attached, default=0)
        for made, x in zip(hung, arrange(hung, towers.widest), strict=True):
            at = left + 4 + x - math.floor(hung[0].box.left)
            block.put(made, at, low)
            attached.append(at)
        start, stop = min(attached, default=0) - 2, max(attached, default=0) + 2
        lay(block, rail, start, max(stop, start + 8), low)
        label_bar(towers, block, rail)
        towers.rails = set()
        return block

    def block(self, root: str, rail: str, some: Some | None = None) -> Block:
        """A tree with its negative bus, where it has one."""
        return self.with_rail(rail, [root], some) if rail else self.compose(root, some)

    # -- fitting ----------------------------------------------------------------------------------------------------
    def system(self, root: str, rail: str = "", others: tuple[str, ...] = ()) -> list[System]:
        """Systems that fit a sheet, from one tree. Of `others` those stand beside it that there is room for."""
        self.towers.mode = Mode()
        some: Some | None = None
        made = self._fit(root, rail)
        if isinstance(made, Some):
            some, made = made, self.made(root, self.block(root, rail, made))
        if rail in self.apart:
            rail = ""
        mode = self.towers.mode
        beside: list[str] = []
        for other in others if rail else ():
            for under, compact in ((True, mode.compact), (False, mode.compact), (True, True), (False, True)):
                self.towers.mode = mode._replace(compact=compact)
                more = self.made(root, self.with_rail(rail, [root, *beside, other], some, under))
                if self._stands(more):
                    beside.append(other)
                    made = more
                    break
        self.apart.update(o for o in others if o not in beside)
        parts = [made, *self._rest(root, some)]
        for before, part in pairwise(parts):  # a bus goes on in the order of the sheets
            part.category = max(before.category, part.category, key=CATEGORIES.index)
        return parts

    def made(self, root: str, block: Block) -> System:
        """A block as a system."""
        return System(block, root, self.category(block, root))

    def _stands(self, made: System) -> bool:
        return made.fits(self.limits) and self._in_the_way(made.block) is None

    def _fit(self, root: str, rail: str) -> System | Some:
        """The whole tree, lightened until it fits, or as many of its branches as fit."""
        while True:
            self.towers.mode = Mode()
            made = self.made(root, self.block(root, rail))
            wrong = self._in_the_way(made.block)
            if wrong is not None:
                self.forest.cut(wrong)
                continue
            if made.fits(self.limits):
                return made
            high = made.size[1] > self.limits[1]
            for mode in _LOWER if high else _NARROWER:
                self.towers.mode = mode
                other = self.made(root, self.block(root, rail))
                if self._stands(other):
                    return other
            self.towers.mode = Mode(compact=high)
            made = self.made(root, self.block(root, rail))
            if self._lose_bus(root, made):
                continue
            if made.size[1] > self.limits[1] and self._lose_height(root, made):
                continue
            if self.forest.role(root) == "bus" and len(self.entries(root)) > 1:
                last = self._as_many(root, rail, 0)
                if last:
                    return Some(0, last)
                first, branch = self.entries(root)[0]
                if branch and self._halve(self.forest.under(first.piece), 2):
                    continue
            if rail:
                self.apart.add(rail)
                rail = ""
                continue
            if not self._lose_largest(root, made):
                return made

    def _as_many(self, root: str, rail: str, first: int) -> int:
        """Up to which entry the branches from `first` on fit a sheet; `first` where not even one does.

        Columns may be drawn higher, so that more stand side by side, where that brings more of them on a sheet.
        """
        mode = self.towers.mode
        best = (0, first, mode)
        for airy in (False, True):
            self.towers.mode = mode._replace(airy=airy)
            last, high = self._last_that_fits(root, rail, first)
            rows = 1 if rail else max(1, (self.limits[1] + _BETWEEN_ROWS) // max(1, high + _BETWEEN_ROWS))
            if (last - first) * rows > best[0]:
                best = ((last - first) * rows, last, self.towers.mode)
        self.towers.mode = best[2]
        return best[1]

    def _last_that_fits(self, root: str, rail: str, first: int) -> tuple[int, int]:
        """Up to which entry a part fits, and how high it is."""
        low, high, best = first + 1, len(self.entries(root)), (first, 0)
        while low <= high:
            middle = (low + high) // 2
            part = self.made(root, self.block(root, rail, Some(first, middle)))
            if part.fits(self.limits):
                best, low = (middle, part.size[1]), middle + 1
            else:
                high = middle - 1
        return best

    def _rest(self, root: str, some: Some | None) -> list[System]:
        """The further parts of a bus that goes on."""
        made: list[System] = []
        first = len(self.entries(root)) if some is None else some.last
        while first < len(self.entries(root)):
            self.towers.mode = Mode()
            last = self._as_many(root, "", first)
            if last == first:
                join, branch = self.entries(root)[first]
                if branch and self._halve(self.forest.under(join.piece), 2):
                    continue
                last += 1
            made.append(self.made(root, self.compose(root, Some(first, last))))
            first = last
        return made

    def _inner(self, root: str, made: System) -> list[str]:
        forest = self.forest
        keys = dict.fromkeys(i.piece for i in made.block.items)
        return [k for k in keys if forest.parent.get(k) is not None and forest.root_of[k] == root]

    def _weight(self, key: str) -> tuple[int, int]:
        return len(self.forest.under(key)), -self.forest.order[key]

    def _lose_bus(self, root: str, made: System) -> bool:
        """The largest bus further up becomes a system of its own; of very many the larger ones at once."""
        buses = [k for k in self._inner(root, made) if self.forest.role(k) == "bus"]
        buses.sort(key=self._weight, reverse=True)
        for key in buses[: max(1, len(buses) // 4)]:
            if self.forest.root_of[key] == root:  # else it went with a larger one
                self.forest.cut(key)
        return bool(buses)

    def _lose_height(self, root: str, made: System) -> bool:
        """What stands up between the bars, else half of the longest chain, becomes a system of its own."""
        forest = self.forest
        inner = self._inner(root, made)
        aside = [k for k in inner if self._stands_aside(k)]
        if aside:
            forest.cut(max(aside, key=self._weight))
            return True
        return self._halve(inner, 5)

    def _halve(self, among: list[str], least: int) -> bool:
        """Cut the longest chain in its middle, if it is at least so many pieces long."""
        forest = self.forest
        deep = max(among, key=lambda k: (forest.depth[k], -forest.order[k]), default=None)
        if deep is None or forest.depth[deep] < least:
            return False
        path = _up(forest.parent, deep)[:-1]
        forest.cut(path[len(path) // 2 - 1])
        return True

    def _lose_largest(self, root: str, made: System) -> bool:
        inner = self._inner(root, made)
        if inner:
            self.forest.cut(max((k for k in inner if self.forest.depth[k] == 1), key=self._weight))
        return bool(inner)

    def _stands_aside(self, key: str) -> bool:
        """Whether a piece begins a column that stands up beside the sources, between the bars."""
        forest, towers = self.forest, self.towers
        back = forest.parent[key]
        if back is None or back.kind != "power" or forest.parent[back.piece] is None:
            return False
        if towers.hangs(next(j for j in forest.children[back.piece] if j.run == back.run)):
            return False
        path = _up(forest.parent, key)
        return towers.hangs(next(j for j in forest.children[path[-1]] if j.piece == path[-2]))

    # -- judging ----------------------------------------------------------------------------------------------------
    def _in_the_way(self, block: Block) -> str | None:
        """A piece that should stand elsewhere, because a run of it meets something or something stands on it."""
        ends = {}
        for track in block.tracks:
            edge = self.towers.pieces.edges[track.run]
            ends[track.run] = (edge.a, edge.b)
        boxes = [r.box for r in block.rooms]
        lines: list[Box] = []
        runs: list[str] = []
        for track in block.tracks:
            for (ax, ay), (bx, by) in zip(track.points, track.points[1:], strict=False):
                lines.append(Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)).grown(0.05))
                runs.append(track.run)
        for n, m in overlaps(boxes):
            a, b = block.rooms[n], block.rooms[m]
            if a.owner == b.owner and {a.kind, b.kind} != {"label", "symbol"}:
                continue
            found = self._loser(block, (a.owner, b.owner))
            if found:
                return found
        for n, m in overlaps(lines, boxes):
            room = block.rooms[m]
            if room.kind == "symbol" and room.owner in ends[runs[n]]:
                continue
            if room.kind in ("arrow", "way") and room.owner == runs[n]:
                continue
            found = self._loser(block, (runs[n], room.owner))
            if found:
                return found
        return None

    def _loser(self, block: Block, owners: tuple[str, str]) -> str | None:
        """The piece furthest from its root among what is in each other's way."""
        forest = self.forest
        keys = []
        for owner in owners:
            if owner in forest.depth:
                keys.append(owner)
                continue
            edge = self.towers.pieces.edges.get(owner)
            if edge is None:
                continue
            keys.extend(k for k in (edge.a, edge.b) if k in forest.depth)
        here = {i.piece for i in block.items}
        keys = [k for k in keys if k in here and forest.parent.get(k) is not None]
        return max(keys, key=lambda k: (forest.depth[k], forest.order[k]), default=None)

    def category(self, block: Block, root: str) -> Category:
        """Which part of the drawing set it belongs to."""
        forest = self.forest
        keys = [i.piece for i in block.items]
        roles = {forest.role(k) for k in keys}
        pieces = self.towers.pieces.pieces
        if forest.family == "ac":
            return "ac main" if roles & {"source", "converter"} else "ac panel" if len(keys) > 1 else "loose"
        if len(keys) == 1 and not self.towers.pieces.joins[root]:
            return "loose"
        if all(pieces[k].earth_only or forest.role(k) in ("earth",) or not forest.degree(k) for k in keys):
            return "bonding"
        if any(forest.is_storage(k) for k in keys) or root in self.next_in_line:
            return "dc main"
        if roles & {"source"} and "load" not in roles:
            return "charging"
        return "dc panel"


def make_systems(towers: Towers, limits: Limits) -> list[System]:
    """Everything of a forest as systems that fit a sheet, the main one first."""
    forest = towers.forest
    towers.widest = limits[0] - 8
    maker = _Maker(towers, limits)
    for key in [k for k in forest.nodes if forest.role(k) == "bus"]:
        if forest.parent.get(key) is not None and _own_system(towers, key):
            forest.cut(key)
    groups = _rail_groups(towers)
    made: list[System] = []
    done: set[str] = set()
    for rail, roots in groups.items():
        main, *others = roots
        made.extend(maker.system(main, rail, tuple(others)))
        done.update([rail, *roots])
        done -= maker.apart
    while todo := [r for r in forest.roots if r not in done]:
        for root in todo:
            done.add(root)
            made.extend(maker.system(root))
    return made


def _own_system(towers: Towers, key: str) -> bool:
    """A bus with a battery of its own, below another, or of negatives: drawn for itself."""
    forest = towers.forest
    if forest.is_return_bus(key) or any(forest.is_storage(k) for k in forest.under(key)):
        return True
    at = key
    while (back := forest.parent[at]) is not None:
        seen = next(j for j in forest.children[back.piece] if j.run == back.run)
        if back.kind != "power" or (forest.parent[back.piece] is None and towers.hangs(seen)):
            return True
        at = back.piece
    return False


def _rail_groups(towers: Towers) -> dict[str, list[str]]:
    """Every negative bus that batteries reach, with the trees these batteries are in, the largest first."""
    forest = towers.forest
    groups: dict[str, list[str]] = {}
    taken: set[str] = set()
    rails = [k for k in forest.nodes if forest.is_return_bus(k) and forest.role(k) == "bus"]
    for rail in rails:
        roots = []
        for join in forest.joins(rail, "return"):
            at = join.piece
            root = forest.root_of[at]
            if root in taken or root in roots or root == rail:
                continue
            if any(forest.is_storage(k) for k in _up(forest.parent, at)):
                roots.append(root)
        if roots:
            taken.update(roots)
            groups[rail] = sorted(roots, key=lambda r: (-len(forest.under(r)), forest.order[r]))
    return groups


def _up(parent: dict[str, Join | None], key: str) -> list[str]:
    found = [key]
    while (back := parent.get(found[-1])) is not None:
        found.append(back.piece)
    return found
