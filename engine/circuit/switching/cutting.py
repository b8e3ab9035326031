"""The cheapest set of acts that parts some points from every origin, in whatever state everything else may stand.

Every way found is one more set of acts of which one at least must be done; the cheapest choice that meets all sets is
made anew until no way is left. What is chosen is never dearer than any choice that parts the points, since that one
meets the same sets; so it is a cheapest one when the last search finds nothing. An origin that has a way no act parts
remains. After `ROUNDS` rounds acts are only added, then what proves needless is taken away: the answer parts the
points then as well, though it may not be the cheapest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from engine.circuit.switching.upstream import Act, Upstream
from engine.pausing import pause

__all__ = ["Cut", "cheapest", "cut_off"]

ROUNDS = 120
NODES = 4000  # choices looked at for one cheapest set


class Cut(NamedTuple):
    """What is done, origins (by number) that reached a point before, that still do, that the search could not tell."""

    acts: frozenset[Act]
    reached: frozenset[int]
    remains: frozenset[int]
    undecided: frozenset[int]
    cuts: dict[Act, frozenset[int]]  # of each act: origins on the ways it parts


def cut_off(upstream: Upstream, targets: Iterable[int], cost: Callable[[Act], float]) -> Cut:
    """The cheapest acts by `cost` after which no origin reaches a target, but for those that remain."""
    goals = list(targets)
    found, undecided = upstream.ways(goals, frozenset())
    reached = frozenset(found)
    remains: set[int] = set()
    wanted: list[tuple[int, frozenset[Act]]] = []  # (origin, acts of which one must be done)
    cuts: dict[Act, set[int]] = {}
    cut: frozenset[Act] = frozenset()
    rounds = 0
    while found:
        pause()
        rounds += 1
        for n, way in found.items():
            ended = upstream.origins[n].act
            acts = frozenset(act for arc in way for act in arc.acts) | (frozenset() if ended is None else {ended})
            for act in acts:
                cuts.setdefault(act, set()).add(n)
            met = None
            if acts:
                every = [one for of, one in wanted if of not in remains]
                met = cheapest([*every, acts], cost, upstream.allows) if rounds <= ROUNDS else None
                met = met or _more(cut, acts, cost, upstream.allows)
            if met is None:  # nothing parts it that may be done with the rest
                remains.add(n)
            else:
                wanted.append((n, acts))
                cut = met
        found, undecided = upstream.ways(goals, cut, frozenset(remains))
    if rounds > ROUNDS:
        cut = _fewer(upstream, goals, cut, remains, cost)
    return Cut(cut, reached, frozenset(remains), frozenset(undecided), {a: frozenset(cuts.get(a, ())) for a in cut})


def cheapest(
    sets: Iterable[frozenset[Act]],
    cost: Callable[[Act], float],
    allows: Callable[[Iterable[Act]], bool] = lambda _acts: True,
) -> frozenset[Act] | None:
    """The acts of least cost of which one at least is in each set; no device in two positions.

    `None` where there is none. Where it takes too long to try all, the best of those tried.
    """
    kept: list[frozenset[Act]] = []
    for one in sorted(set(sets), key=lambda s: (len(s), sorted(s))):
        if not any(other <= one for other in kept):
            kept.append(one)
    costs = {act: cost(act) for one in kept for act in one}
    best: tuple[float, frozenset[Act]] | None = None
    left = [NODES]

    def bound(open_sets: list[frozenset[Act]]) -> float:
        """Sets without an act in common each cost at least their cheapest."""
        total, used = 0.0, set[Act]()
        for one in open_sets:
            if not one & used:
                total += min(costs[act] for act in one)
                used |= one
        return total

    def choose(chosen: frozenset[Act], spent: float, barred: frozenset[Act], open_sets: list[frozenset[Act]]) -> None:
        nonlocal best
        left[0] -= 1
        if left[0] < 0:
            return
        if not open_sets:
            if (best is None or (spent, sorted(chosen)) < (best[0], sorted(best[1]))) and allows(chosen):
                best = spent, chosen
            return
        if best is not None and spent + bound(open_sets) > best[0]:
            return
        one = min(open_sets, key=lambda s: (len(s - barred), sorted(s)))
        stands = {act.item for act in chosen if act.position}
        for act in sorted(one - barred, key=lambda a: (costs[a], a)):
            if not (act.position and act.item in stands):
                rest = [s for s in open_sets if act not in s]
                choose(chosen | {act}, spent + costs[act], barred, rest)
            barred |= {act}  # what is left to try does without it

    choose(frozenset(), 0.0, frozenset(), kept)
    return None if best is None else best[1]


def _more(
    cut: frozenset[Act], acts: frozenset[Act], cost: Callable[[Act], float], allows: Callable[[Iterable[Act]], bool]
) -> frozenset[Act] | None:
    """`cut` and the cheapest of `acts` that may be done with it."""
    if acts & cut:
        return cut
    stands = {act.item for act in cut if act.position}
    for act in sorted(acts, key=lambda a: (cost(a), a)):
        if not (act.position and act.item in stands) and allows(cut | {act}):
            return cut | {act}
    return None


def _fewer(
    upstream: Upstream, goals: list[int], cut: frozenset[Act], remains: set[int], cost: Callable[[Act], float]
) -> frozenset[Act]:
    """Without what is not needed, the dearest first."""
    for act in sorted(cut, key=lambda a: (-cost(a), a)):
        less = cut - {act}
        found, undecided = upstream.ways(goals, less, frozenset(remains))
        if not found and not undecided:
            cut = less
    return cut
