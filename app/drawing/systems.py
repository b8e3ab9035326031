"""What a sheet is made of: a bus with everything on it, batteries let down to the negative bus, lone pieces.

A system that is larger than a sheet loses branches, which become systems of their own, until it fits.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Literal, get_args

from app.drawing.blocks import Block
from app.drawing.clashes import in_the_way
from app.drawing.composing import Composer, Some
from app.drawing.pieces import Join
from app.drawing.stances import Mode
from app.drawing.towers import Towers
from app.drawing.trees import Forest

__all__ = ["CATEGORIES", "Category", "Limits", "System", "make_systems", "own_system", "rail_groups"]

Category = Literal["dc main", "ac main", "dc panel", "ac panel", "charging", "bonding", "loose"]
CATEGORIES: tuple[Category, ...] = get_args(Category)  # in the order of their sheets
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


class _Maker(Composer):
    def __init__(self, towers: Towers, limits: Limits) -> None:
        super().__init__(towers)
        self.limits = limits
        # buses next to those the batteries feed, from which others are fed: main distribution as well
        self.next_in_line = {
            k
            for k in self.forest.nodes
            if self.forest.role(k) == "bus"
            and sum(self.forest.role(a) == "bus" for a in _up(self.forest.parent, k)) == 2
            and sum(self.forest.role(b) == "bus" for b in self.forest.under(k)) > 1
        }
        self.apart: set[str] = set()  # batteries' trees and negative buses that do not fit beside the main one

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
        if some is not None:  # however little of it is on its first sheet
            made.category = self.category(self.forest.under(root), root)
        parts = [made, *self._rest(root, some)]
        for before, part in pairwise(parts):  # a bus goes on in the order of the sheets
            part.category = max(before.category, part.category, key=CATEGORIES.index)
        return parts

    def made(self, root: str, block: Block) -> System:
        """A block as a system."""
        return System(block, root, self.category([i.piece for i in block.items], root))

    def _stands(self, made: System) -> bool:
        return made.fits(self.limits) and in_the_way(made.block, self.forest) is None

    def _fit(self, root: str, rail: str) -> System | Some:
        """The whole tree, lightened until it fits, or as many of its branches as fit."""
        while True:
            self.towers.mode = Mode()
            made = self.made(root, self.block(root, rail))
            wrong = in_the_way(made.block, self.forest)
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

    def category(self, keys: list[str], root: str) -> Category:
        """Which part of the drawing set pieces belong to."""
        forest = self.forest
        roles = {forest.role(k) for k in keys}
        pieces = self.towers.pieces.pieces
        if len(keys) == 1 and not self.towers.pieces.joins[root]:
            return "loose"
        if forest.family == "ac":
            return "ac main" if roles & {"source", "converter"} else "ac panel"
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
        if forest.parent.get(key) is not None and own_system(towers, key):
            forest.cut(key)
    groups = rail_groups(towers.forest)
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


def own_system(towers: Towers, key: str) -> bool:
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


def rail_groups(forest: Forest) -> dict[str, list[str]]:
    """Every negative bus that batteries reach, with the trees these batteries are in, the largest first."""
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
