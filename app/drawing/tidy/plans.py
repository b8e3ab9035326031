"""The systems of one sheet: every bus with what stands on it, in one of several ways to use the room."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import NamedTuple

from app.drawing.blocks import Block
from app.drawing.clashes import in_the_way
from app.drawing.pieces import Pieces
from app.drawing.placed import Scene
from app.drawing.stances import Mode
from app.drawing.systems import own_system, rail_groups
from app.drawing.tidy.columns import Columns, Sheeted, rows_level
from app.drawing.tidy.taking import family_of
from app.drawing.trees import Forest, grow
from engine.pausing import pause

__all__ = ["Plan", "Unit", "plans", "units_of"]


class Plan(NamedTuple):
    """A way to use a sheet's room."""

    mode: Mode = Mode()
    parted: bool = False  # every bus further up a tree stands for itself
    turned: bool = False  # of a bus with many branches half hang below it
    least: int = 0  # steps from column to column that are wished for
    railed: bool = True  # batteries are let down to their negative bus


class Unit(NamedTuple):
    """What stands on the sheet as a whole. `root`: where its tree begins."""

    block: Block
    root: str


_TURN = 4  # branches from which on half of them may hang


def plans() -> Iterator[Plan]:
    """Ways to use a sheet, the plainest first."""
    for least in (24, 18, 0):
        yield Plan(least=least)
        yield Plan(parted=True, least=least)
    for mode in (Mode(airy=True), Mode(compact=True), Mode(compact=True, beyond=True)):
        yield Plan(mode)
        yield Plan(mode, parted=True)
    for mode in (Mode(), Mode(airy=True), Mode(compact=True)):
        yield Plan(mode, turned=True)
        yield Plan(mode, parted=True, turned=True)
        yield Plan(mode, parted=True, turned=True, railed=False)


def units_of(
    scene: Scene, sheet: str, pieces: Pieces, plan: Plan, size: tuple[int, int], fixed: Collection[str] = ()
) -> list[Unit]:
    """Everything on a sheet that is not `fixed`, as units to be set on it, the main one first."""
    forest = grow(scene.snapshot, pieces, family_of(scene, sheet))
    _keep_apart(scene, forest, plan, fixed)
    towers = Columns(scene, pieces, forest)
    towers.widest = size[0] - 4
    composer = Sheeted(towers)
    for key in [k for k in forest.nodes if forest.role(k) == "bus"]:
        if forest.parent.get(key) is not None and own_system(towers, key):
            forest.cut(key)
    units: list[Unit] = []
    done: set[str] = set(fixed)
    groups = rail_groups(forest) if plan.railed and not fixed else {}
    for rail, roots in groups.items():
        units.append(_unit(composer, plan, size, roots, rail))
        done.update([rail, *roots])
    while todo := [r for r in forest.roots if r not in done]:  # cutting makes further roots
        for root in todo:
            done.add(root)
            pause()
            units.append(_unit(composer, plan, size, [root], ""))
    weights = {u.root: len({i.piece for i in u.block.items}) for u in units}
    stores = {u.root: any(forest.is_storage(i.piece) for i in u.block.items) for u in units}
    return sorted(units, key=lambda u: (not stores[u.root], -weights[u.root], forest.order[u.root]))


def _keep_apart(scene: Scene, forest: Forest, plan: Plan, fixed: Collection[str]) -> None:
    """Cut what is fixed from what is not, buses that go on elsewhere, and all buses where they are to be parted."""
    for key in forest.nodes:
        if forest.parent.get(key) is None:
            continue
        symbol = scene.pieces[key]
        back = forest.parent[key]
        assert back is not None
        at_border = (key in fixed) != (back.piece in fixed)
        goes_on = symbol.is_bar and symbol.several
        if at_border or goes_on or (plan.parted and symbol.is_bar):
            forest.cut(key)


def _unit(composer: Sheeted, plan: Plan, size: tuple[int, int], roots: list[str], rail: str) -> Unit:
    """One tree, or the trees of a negative bus, built so that nothing of it is in the way of anything."""
    towers, forest = composer.columns, composer.forest
    towers.extra = {}
    towers.begin(plan.mode, plan.least, set())
    if plan.turned:
        for root in roots:
            towers.flipped |= _turned(composer, root)
    for _round in range(len(forest.nodes) + 1):
        block = _composed(composer, roots, rail)
        wrong = in_the_way(block, forest)
        if wrong is None:
            break
        forest.cut(wrong)
        towers.forget()
    if rows_level(towers, block):
        towers.forget()
        level = _composed(composer, roots, rail)
        if in_the_way(level, forest) is None:
            block = level
    return Unit(block, roots[0])


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
