"""The systems of one sheet: every bus with what stands on it, in one of several ways to use the room."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import NamedTuple

from app.drawing.area import Area
from app.drawing.blocks import Block
from app.drawing.clashes import in_the_way
from app.drawing.pieces import Pieces
from app.drawing.placed import Scene
from app.drawing.room import Room
from app.drawing.stances import Mode
from app.drawing.systems import own_system, rail_groups
from app.drawing.tidy.columns import Columns, Memo, Sheeted, rows_level
from app.drawing.tidy.fixed import Fixed, anchored
from app.drawing.tidy.taking import family_of
from app.drawing.trees import Forest, grow
from engine.pausing import pause

__all__ = ["Plan", "Unit", "plans", "units_of"]


class Plan(NamedTuple):
    """A way to use a sheet's room."""

    mode: Mode = Mode()
    parted: bool = False  # every bus further up a tree stands for itself
    sorted_: bool = False  # what comes to a bus from elsewhere first, then what hangs, then what stands
    turned: bool = False  # of a bus with many branches half hang below it
    railed: bool = True  # batteries are let down to their negative bus
    shed: bool = False  # what is too large loses branches, which stand for themselves
    broad: bool = False  # what arrows say reads across even where many stand together
    down: bool = False  # and comes to a bus from below
    least: int = 0  # steps from column to column that are wished for


class Unit(NamedTuple):
    """What stands on the sheet as a whole. `root`: where its tree begins. `is_set`: counted from the frame already.

    `stores`: whether a battery, or on an AC sheet any source, is among it.
    """

    block: Block
    root: str
    is_set: bool = False
    stores: bool = False


_PITCHES = (
    24,
    18,
    0,
)  # steps from column to column: as in a sheet with few of them, with more, as narrow as labels allow
_BETWEEN = 1.0  # steps between branches on what stays
_TURN = 3  # branches from which on half of them may hang


def plans(*, crowded: bool = False) -> Iterator[tuple[Plan, ...]]:
    """Ways to use a sheet, in stages: the next is gone to only where nothing of one before fits.

    Where very much stands on a sheet (`crowded`) each takes its time, and fewer are worth it.
    """
    ways = [Plan(parted=parted, sorted_=sorted_) for parted in (False, True) for sorted_ in (False, True)]
    tight = (Mode(airy=True), Mode(compact=True), Mode(compact=True, beyond=True))
    if crowded:
        for least in _PITCHES[1:]:
            yield tuple(way._replace(least=least) for way in ways)
    else:
        yield tuple(
            way._replace(least=least, broad=broad, down=down)
            for least in _PITCHES
            for broad, down in ((True, True), (True, False), (False, False))
            for way in ways
        )
    yield tuple(way._replace(mode=mode) for mode in tight for way in ways)
    turned = [Plan(parted=True, turned=True, sorted_=sorted_) for sorted_ in (False, True)]
    yield tuple(way._replace(mode=mode, railed=railed) for railed in (True, False) for mode in tight for way in turned)
    yield tuple(
        Plan(mode, parted=True, turned=turned, sorted_=True, railed=False, shed=True)
        for mode in (Mode(), *tight)
        for turned in (False, True)
    )


def units_of(scene: Scene, sheet: str, pieces: Pieces, plan: Plan, area: Area, fixed: Fixed, memo: Memo) -> list[Unit]:
    """Everything on a sheet that is not fixed, as units to be set on it, the main one first.

    Nothing where the plan would come to the same as a plainer one.
    """
    size = area.width, area.height
    forest = grow(scene.snapshot, pieces, family_of(scene, sheet))
    parts, borders = _keep_apart(scene, forest, plan, fixed.symbols)
    if plan.parted and not parts and not (plan.turned or plan.shed):
        return []
    towers = Columns(scene, pieces, forest, memo)
    towers.widest = size[0] - 4
    composer = Sheeted(towers)
    for key in [k for k in forest.nodes if forest.role(k) == "bus"]:
        is_free = key not in fixed.symbols and forest.parent.get(key) is not None and key not in borders
        if is_free and own_system(towers, key):
            forest.cut(key)
    units: list[Unit] = []
    done: set[str] = set(fixed.symbols)
    room = Room(fixed.taken)
    towers.begin(plan.mode, 0, set())
    for key in sorted(borders, key=lambda k: scene.pieces[k].placement.x):
        pause()
        back = forest.parent[key]
        assert back is not None
        join = next(j for j in forest.children[back.piece] if j.run == back.run)
        found = anchored(towers, fixed, room, area, join, scene.pieces[key], back.piece)
        if found is None:
            forest.cut(key)
            continue
        block = Block()
        block.put(found.block, *found.at)
        room.take([r.box.grown(_BETWEEN) for r in block.rooms])
        units.append(Unit(block, key, True))
    groups = rail_groups(forest) if plan.railed and not fixed.symbols else {}
    for rail, roots in groups.items():
        units.append(_unit(composer, plan, size, roots, rail))
        done.update([rail, *roots])
    while todo := [r for r in forest.roots if r not in done]:  # cutting makes further roots
        for root in todo:
            done.add(root)
            pause()
            units.append(_unit(composer, plan, size, [root], ""))
    weights = {u.root: len({i.piece for i in u.block.items}) for u in units}
    units = [u._replace(stores=any(forest.is_storage(i.piece) for i in u.block.items)) for u in units]
    return sorted(units, key=lambda u: (not u.is_set, not u.stores, -weights[u.root], forest.order[u.root]))


def _keep_apart(scene: Scene, forest: Forest, plan: Plan, fixed: Collection[str]) -> tuple[int, list[str]]:
    """Cut what is fixed from what is not, buses that go on elsewhere, and all buses where they are to be parted.

    How many were parted, and what hangs on something that is fixed: that is still joined to it.
    """
    parted, borders = 0, []
    for key in forest.nodes:
        back = forest.parent.get(key)
        if back is None:
            continue
        symbol = scene.pieces[key]
        if (key in fixed and back.piece not in fixed) or (symbol.is_bar and symbol.several):
            forest.cut(key)
        elif plan.parted and symbol.is_bar and key not in fixed:
            forest.cut(key)
            parted += 1
        elif key not in fixed and back.piece in fixed:
            borders.append(key)
    return parted, borders


def _unit(composer: Sheeted, plan: Plan, size: tuple[int, int], roots: list[str], rail: str) -> Unit:
    """One tree, or the trees of a negative bus, built so that nothing of it is in the way of anything."""
    towers, forest = composer.columns, composer.forest
    towers.extra = {}
    towers.begin(plan.mode, plan.least, set(), broad=plan.broad)
    composer.is_sorted, composer.arrows_down = plan.sorted_, plan.down
    if plan.turned:
        for root in roots:
            towers.flipped |= _turned(composer, root)
    for _round in range(len(forest.nodes) + 1):
        block = _composed(composer, roots, rail)
        wrong = in_the_way(block, forest)
        if wrong is None and plan.shed and not _fits(block, size):
            wrong = _spare(forest, block, size)
        if wrong is None:
            break
        forest.cut(wrong)
        towers.forget()
    if rows_level(towers, block):
        towers.forget()
        level = _composed(composer, roots, rail)
        if in_the_way(level, forest) is None and (_fits(level, size) or not _fits(block, size)):
            block = level
    return Unit(block, roots[0])


def _fits(block: Block, size: tuple[int, int]) -> bool:
    box = block.box
    return box.right - box.left <= size[0] - 4 and box.bottom - box.top <= size[1] - 4


def _spare(forest: Forest, block: Block, size: tuple[int, int]) -> str | None:
    """What had better stand for itself: of a block too wide its smallest branch, of one too high half a long one."""
    here = [i.piece for i in block.items if forest.parent[i.piece] is not None]
    if block.box.right - block.box.left > size[0] - 4:
        first = [k for k in here if forest.depth[k] == 1 and forest.role(k) != "bus"]
        return min(first or here, key=lambda k: (len(forest.under(k)), -forest.order[k]), default=None)
    deep = max(here, key=lambda k: (forest.depth[k], -forest.order[k]), default=None)
    for _step in range(forest.depth[deep] // 2 if deep is not None else 0):
        back = forest.parent[deep] if deep is not None else None
        if back is None or forest.parent[back.piece] is None:
            break
        deep = back.piece
    return deep


def _composed(composer: Sheeted, roots: list[str], rail: str) -> Block:
    return composer.with_rail(rail, roots) if rail else composer.compose(roots[0])


def _turned(composer: Sheeted, root: str) -> set[str]:
    """Branches that hang so that as many stand over a bus as under it: the last ones."""
    towers, forest = composer.columns, composer.forest
    if forest.role(root) != "bus":
        return set()
    branches = forest.children[root]
    standing = [j for j in branches if not towers.hangs(j)]
    hanging = len(branches) - len(standing)
    if len(standing) < _TURN:
        return set()
    count = max(0, (len(standing) + len(towers.stubs(root)) - hanging) // 2)
    return {j.run for j in standing[-count:]} if count else set()
