"""Blocks that a sheet is made of: a bus with all or some of its branches, batteries let down to a negative bus."""

from __future__ import annotations

import math
from typing import NamedTuple

from app.drawing.bars import compose_bar, label_bar, lay
from app.drawing.blocks import Block, arrange, separation
from app.drawing.pieces import Join
from app.drawing.towers import Towers
from engine.picture import Box

__all__ = ["CONTINUES", "Composer", "Some"]

CONTINUES = 13  # steps at the end of a bar that goes on elsewhere


class Some(NamedTuple):
    """Entries of a bus, from the first to before the last."""

    first: int
    last: int


class Composer:
    """Puts the towers of one forest together."""

    def __init__(self, towers: Towers) -> None:
        self.towers, self.forest = towers, towers.forest
        self.arrows_down = False  # what comes to a bus from elsewhere comes from below

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
            down = towers.hangs(join) if branch else earth or self.arrows_down
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
