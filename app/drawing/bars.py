"""A bus with its branches: a bar across, columns over and under it. In grid steps; the bar lies at y 0."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from app.drawing.blocks import Block, Item, Track, arrange
from app.drawing.looks import STEP
from app.drawing.spots import bar_spots
from engine.picture import Box

if TYPE_CHECKING:
    from app.drawing.pieces import Join
    from app.drawing.towers import Towers

__all__ = ["branch_bar", "compose_bar", "label_bar"]

_END = 2  # steps a bar reaches beyond its outermost run
_SHORTEST = 6


def compose_bar(
    towers: Towers,
    key: str,
    over: Sequence[Block],
    under: Sequence[Block],
    *,
    align: str = "middle",
    goes_on: bool = False,
) -> Block:
    """A bar with `over` and `under` side by side; `align` says where `under` stands. `goes_on`: arrows at its ends."""
    block = Block()
    block.key, block.simple = key, False
    for made, forward in (*((b, -1) for b in over), *((b, 1) for b in under)):
        _keep_off(made, forward)
    above = arrange(list(over), towers.widest, towers.least)
    below = arrange(list(under), towers.widest, towers.least)
    shift = 0
    if above and below:
        if align == "left":
            between = (above[1] - above[0]) // 2 if len(above) > 1 else 0
            shift = above[0] + between - below[0]
        else:
            shift = (above[0] + above[-1]) // 2 - (below[0] + below[-1]) // 2
    below = [x + shift for x in below]
    for made, x in zip((*over, *under), (*above, *below), strict=True):
        block.put(made, x, 0)
    attached = [*above, *below] or [0]
    left, right = min(attached) - _END, max(attached) + _END
    if right - left < _SHORTEST:
        right = left + _SHORTEST
    lay(block, key, left, right, 0)
    label_bar(towers, block, key, beyond=not goes_on)
    return block


def _keep_off(made: Block, forward: int) -> None:
    """Lengthen the run to a bar where a label would reach it."""
    if made.entry is None:
        return
    nearest = min((r.box.top if forward > 0 else -r.box.bottom for r in made.rooms if r.kind != "way"), default=1.0)
    if nearest < 0.5:
        made.lengthen(math.ceil(0.5 - nearest), forward)


def lay(block: Block, key: str, left: int, right: int, y: int) -> None:
    """The bar itself."""
    block.items.append(Item(key, left, y, length=right - left))
    block.add(Box(left - 0.3, y - 0.3, right + 0.3, y + 0.3), key, "symbol")


def label_bar(towers: Towers, block: Block, key: str, *, beyond: bool = True) -> None:
    """Room for the label of a bar: the bar is drawn out to the left where it finds none beside the runs."""
    at = next(n for n, item in enumerate(block.items) if item.piece == key)
    item = block.items[at]
    words = towers.words(key)
    for out in range(0, 40, 2):
        left, right = item.x - out, item.x + (item.length or 0)
        spots = bar_spots((left * STEP, item.y * STEP), (right * STEP, item.y * STEP), words, beyond=beyond)
        for spot in spots:
            box = Box(*(v / STEP for v in spot.box))
            if _is_free(block, box, key):
                if out:
                    block.items[at] = item._replace(x=left, length=right - left)
                    block.add(Box(left - 0.3, item.y - 0.3, right + 0.3, item.y + 0.3), key, "symbol")
                block.add(box, key, "label")
                return


def _is_free(block: Block, box: Box, key: str) -> bool:
    wide = box.grown(0.3)
    if any(wide.meets(r.box) for r in block.rooms if not (r.owner == key and r.kind == "symbol")):
        return False
    if any(box.meets(r.box) for r in block.rooms):
        return False
    return all(not crosses(track, wide) for track in (*block.tracks, *block.open))


def crosses(track: Track, box: Box) -> bool:
    """Whether a run passes through a box."""
    return any(
        (min(ax, bx) < box.right and box.left < max(ax, bx) and min(ay, by) < box.bottom and box.top < max(ay, by))
        or (ax == bx and box.left < ax < box.right and min(ay, by) < box.bottom and box.top < max(ay, by))
        or (ay == by and box.top < ay < box.bottom and min(ax, bx) < box.right and box.left < max(ax, bx))
        for (ax, ay), (bx, by) in zip(track.points, track.points[1:], strict=False)
    )


def branch_bar(towers: Towers, join: Join, forward: int) -> Block:
    """A bus further up (or down) a tree, with the run that feeds it; joined on at (0, 0)."""
    key = join.piece
    side = "top" if forward < 0 else "bottom"
    stubs = towers.stubs(key)
    ahead = [j for j in towers.forest.children[key] if towers.hangs(j) == (forward > 0)]
    other = [j for j in towers.forest.children[key] if towers.hangs(j) != (forward > 0)]
    front = [towers.branch(j, forward) for j in ahead]
    for made in front:
        towers.settle(made, forward)
    front += [towers.stub(j, side, short=len(stubs) > 2) for j in stubs]
    behind = [towers.branch(j, -forward) for j in other]
    for made in behind:
        towers.settle(made, -forward)
    feed = Block()
    deep = max((math.ceil(b.box.bottom if forward < 0 else -b.box.top) for b in behind), default=0)
    length = max(towers.need(join.run), deep + 3)
    track = Track(join.run, "whole", ((0, 0), (0, forward * length)), join.forward)
    feed.enter(Track(join.run, "whole", ((0, 0), (0, -forward * length)), join.forward))
    assert feed.entry is not None
    towers.label_run(feed, feed.entry)
    over, under = (front, [feed, *behind]) if forward < 0 else ([feed, *behind], front)
    bar = compose_bar(towers, key, over, under)
    # the feed was set like any branch; from here on it is what the whole is joined on by
    at = next(t for t in bar.tracks if t.run == join.run)
    bar.tracks.remove(at)
    block = Block()
    block.key, block.simple = key, False
    block.put(bar, -at.points[0][0], forward * length)
    block.enter(track)
    return block
