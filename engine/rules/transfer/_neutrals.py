"""What the rules of neutrals share."""

from __future__ import annotations

from collections.abc import Iterable

from engine.circuit.meeting import AC_LIVE, Conflict, Point
from engine.circuit.neutrals import Neutral
from engine.circuit.paths import Net, search, walk
from engine.circuit.states import States, TooManyStates, states_of
from engine.study import Study

__all__ = ["joined_apart", "told_of_neutrals"]

MANY = 100  # smallest sets of positions in which two sources meet


def told_of_neutrals(study: Study) -> set[frozenset[str]]:
    """Pairs of sources of which `neutral-not-switched` says that their neutrals stay joined."""
    return {frozenset(remark.ids[:2]) for remark in study.outcome("neutral-not-switched").remarks}


def joined_apart(
    study: Study, here: Point, there: Point, one: Iterable[Neutral], other: Iterable[Neutral]
) -> Conflict | None:
    """The smallest condition under which two neutrals meet in some state in which the live conductors stay apart.

    Sources whose live conductors meet too are told of by `sources-meet`; where this cannot be told, so they are.
    """
    circuit = study.circuit
    states = states_of(study.snapshot, circuit)
    lives, neutral = Net(circuit, states, AC_LIVE), Net(circuit, states, ("N",))
    starts = [lives.terminal(n, s.item, s.positions) for s in one for n in s.live]
    targets = [lives.terminal(n, s.item, s.positions) for s in other for n in s.live]
    meet: list[int] = []
    for start in starts:
        found = search(lives, start, targets, MANY)
        if found.undecided or found.truncated:
            return None
        meet += [cube for some in found.cubes.values() for cube in some]
    start, target = neutral.terminal(*here), neutral.terminal(*there)
    try:
        for cube in search(neutral, start, [target], MANY).cubes.get(target, ()):
            state = states.outside(meet, cube)
            if state is not None:
                return _told(study, states, here, there, cube, state)
    except TooManyStates:
        pass
    return None


def _told(study: Study, states: States, here: Point, there: Point, cube: int, state: dict[str, str]) -> Conflict:
    way = walk(study.circuit, here.node, there.node, state, ("N",)) or []
    positions = states.positions(cube)
    protection = {x.equipment: min(x.positions) for x in way if x.positions and x.equipment not in states.number}
    return Conflict(
        positions=positions,
        automatic=tuple(sorted(item for item, _every in positions if states.is_automatic(item))),
        protection=tuple(sorted(protection.items())),
        state=tuple(sorted(state.items())),
        way=tuple(dict.fromkeys(x.equipment for x in way)),
    )
