"""What may be moved besides what differs between two conditions, and how far from its source everything stands."""

from __future__ import annotations

import itertools
from collections import deque
from typing import TYPE_CHECKING

from engine.circuit.switching._hands import OFF, RUNS, STANDS, Hands, State, Thing
from engine.equipment.base import LIVE
from engine.study import Study

if TYPE_CHECKING:
    from engine.circuit.switching._moving import Block, Moving

__all__ = ["core", "depths", "reliefs"]

BLOCKED = 4  # states in which a device carried current that are looked into
PAIRS_OF = 12  # devices of which pairs are tried


def depths(study: Study, hands: Hands) -> dict[str, int]:
    """Steps of every piece of equipment from the nearest source that is started or stores energy, live side only."""
    near = _near(study)
    starts = {f.equipment for f in study.circuit.feeds if not study.snapshot.equipment[f.equipment].conversions()}
    seen = dict.fromkeys(sorted(starts), 0)
    todo = deque(seen)
    while todo:
        here = todo.popleft()
        for to in near.get(here, ()):
            if to not in seen:
                seen[to] = seen[here] + 1
                todo.append(to)
    return seen


def _near(study: Study) -> dict[str, list[str]]:
    """Equipment joined by live conductors."""
    made: dict[str, dict[str, None]] = {}
    nodes = study.circuit.nodes
    for wire in study.circuit.wires:
        one, other = nodes[wire.a], nodes[wire.b]
        if one.conductor in LIVE and other.conductor in LIVE and one.equipment != other.equipment:
            made.setdefault(one.equipment, {})[other.equipment] = None
            made.setdefault(other.equipment, {})[one.equipment] = None
    return {item: sorted(every) for item, every in made.items()}


def core(study: Study, hands: Hands, keep: tuple[str, ...]) -> set[int]:
    """Things that can lie on a way between two sources, or a source and a load to be kept; all sources and units.

    A device with nothing behind it but loads parts nothing that must be apart and feeds nothing that must be fed.
    """
    near = {item: set(every) for item, every in _near(study).items()}
    ends = {f.equipment for f in study.circuit.feeds} | set(keep)
    todo = [item for item in near if item not in ends and len(near[item]) <= 1]
    gone = set()
    while todo:
        item = todo.pop()
        if item in gone:
            continue
        gone.add(item)
        for other in near[item]:
            near[other].discard(item)
            if other not in ends and other not in gone and len(near[other]) <= 1:
                todo.append(other)
    return {n for n, t in enumerate(hands.things) if t.kind != "switch" or (t.item in near and t.item not in gone)}


def reliefs(moving: Moving, blocks: tuple[Block, ...]) -> set[int]:
    """Fewest things that take the current off a device which must not break it, in some states in which it carries."""
    made: set[int] = set()
    looked: dict[str, int] = {}
    for block in blocks:
        if block.fault.kind != "current" or looked.get(block.thing.item, 0) >= BLOCKED:
            continue
        looked[block.thing.item] = looked.get(block.thing.item, 0) + 1
        made |= _relief(moving, block)
    return made


def _relief(moving: Moving, block: Block) -> set[int]:
    hands, current, thing = moving.hands, moving.current, block.thing
    moved = hands.number[thing.item]
    after = (*block.state[:moved], block.to, *block.state[moved + 1 :])
    state = block.state if not current.through(thing, block.state).is_nil else after
    carrying = current.carrying(state)
    can = [
        n
        for n, other in enumerate(hands.things)
        if n != moved and _rests(other, state[n]) is not None and (other.kind != "switch" or other.item in carrying)
    ]

    def is_nil(some: tuple[int, ...]) -> bool:
        return all(current.through(thing, _resting(hands, s, some)).is_nil for s in (block.state, after))

    singles = {n for n in can if is_nil((n,))}
    if singles:
        return singles
    pairs = [pair for pair in itertools.combinations(can[:PAIRS_OF], 2) if is_nil(pair)]
    if pairs:
        return {n for pair in pairs for n in pair}
    if not is_nil(tuple(can)):
        return set()
    kept = list(can)
    for n in can:
        fewer = tuple(x for x in kept if x != n)
        if is_nil(fewer):
            kept.remove(n)
    return set(kept)


def _rests(thing: Thing, position: str) -> str | None:
    """The position in which it carries nothing, where it may be brought there under load and is not there."""
    if thing.kind == "unit":
        return OFF if position != OFF else None
    if thing.kind == "source":
        return STANDS if position == RUNS else None
    if thing.breaks_load is not True:
        return None
    rest = next((p for p in ("open", "0", "off") if p in thing.positions), None)
    return rest if rest != position else None


def _resting(hands: Hands, state: State, some: tuple[int, ...]) -> State:
    made = list(state)
    for n in some:
        made[n] = _rests(hands.things[n], state[n]) or state[n]
    return tuple(made)
