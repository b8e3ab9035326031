"""Which pairs of two drawings are worth scoring: things that share something telling, the rarest of it first.

Both drawings are treated alike, so that a comparison the other way round asks about the same pairs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from engine.comparing.assigning import by_number
from engine.comparing.traits import Traits

__all__ = ["Leads", "behind", "beside", "candidates", "leads", "shared", "telling"]

_MOST = 6  # candidates of one thing
_ALL = 400  # pairs of a mark up to which each is asked against each
_REACH = 4  # of a mark of more: how far apart in their lists
_WORTH = 1_000_000
_HUB = 450  # pairs behind one terminal up to which what its runs lead to is asked each against each


def candidates(mine: Mapping[str, Traits], theirs: Mapping[str, Traits]) -> set[tuple[str, str]]:
    """Pairs (left, right): of each thing on either side those that share most of what few others have."""
    left, right = _having(mine), _having(theirs)
    marks = [(len(left[mark]) * len(right[mark]), mark) for mark in left.keys() & right.keys()]
    marks.sort(key=lambda each: each[0])
    worth: dict[tuple[str, str], int] = {}
    count: dict[str, int] = {}
    for size, same_size in groupby(marks, key=lambda each: each[0]):
        made: dict[tuple[str, str], int] = {}
        for _size, mark in same_size:
            for pair in _pairs(left[mark], right[mark]):
                if pair in worth or count.get(f"<{pair[0]}", 0) < _MOST or count.get(f">{pair[1]}", 0) < _MOST:
                    made[pair] = made.get(pair, 0) + _WORTH // size
        for pair, more in made.items():
            if pair not in worth:
                for side in (f"<{pair[0]}", f">{pair[1]}"):
                    count[side] = count.get(side, 0) + 1
                worth[pair] = 0
            worth[pair] += more
    return _best(worth, mine, theirs)


def _having(things: Mapping[str, Traits]) -> dict[str, list[str]]:
    """Mark -> those that have it, in the order of their ids."""
    having: dict[str, list[str]] = {}
    for item in sorted(things, key=by_number):
        for mark in things[item].marks:
            having.setdefault(mark, []).append(item)
    return having


def _pairs(left: Sequence[str], right: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Each with each where they are few; else with those about as far down the other list."""
    m, t = len(left), len(right)
    if m * t <= _ALL:
        yield from ((a, b) for a in left for b in right)
        return
    reach = _REACH * max(m, t)
    for i, a in enumerate(left):
        for j in range(max(0, -((reach - i * t) // m)), min(t - 1, (i * t + reach) // m) + 1):
            yield a, right[j]


def _best(
    worth: Mapping[tuple[str, str], int], mine: Mapping[str, Traits], theirs: Mapping[str, Traits]
) -> set[tuple[str, str]]:
    """What is among the best for one of the two at least."""
    rank = [{item: n for n, item in enumerate(sorted(side, key=by_number))} for side in (mine, theirs)]
    of_left: dict[str, list[tuple[int, int, int, str]]] = {}
    of_right: dict[str, list[tuple[int, int, int, str]]] = {}
    for (a, b), value in worth.items():
        ra, rb = rank[0][a], rank[1][b]
        apart = abs(ra * len(theirs) - rb * len(mine))
        of_left.setdefault(a, []).append((-value, apart, rb, b))
        of_right.setdefault(b, []).append((-value, apart, ra, a))
    found = {(a, some[3]) for a, all_of in of_left.items() for some in sorted(all_of)[:_MOST]}
    return found | {(some[3], b) for b, all_of in of_right.items() for some in sorted(all_of)[:_MOST]}


def telling(
    matched: Mapping[str, str], mine: Mapping[str, Traits], theirs: Mapping[str, Traits]
) -> set[tuple[str, str]]:
    """Matched pairs that share something nothing else has: a designation, a word, a value, a place."""
    left, right = _having(mine), _having(theirs)
    return {
        (a, b)
        for a, b in matched.items()
        if any(
            mark[0] != "figure" and len(left[mark]) == len(right[mark]) == 1 for mark in mine[a].marks & theirs[b].marks
        )
    }


def beside(
    matched: Mapping[str, str],
    near: tuple[Mapping[str, Sequence[tuple[str, str]]], Mapping[str, Sequence[tuple[str, str]]]],
    kinds: tuple[Mapping[str, Traits], Mapping[str, Traits]],
    open_: tuple[set[str], set[str]],
) -> set[tuple[str, str]]:
    """What hangs at the same terminal of two that are taken for one, of one kind: the doubtful (`open_`) of either."""
    found: set[tuple[str, str]] = set()
    for a, b in matched.items():
        for some, others in behind(a, b, near, kinds):
            found |= {(x, y) for x in some for y in others if x in open_[0] or y in open_[1]}
    return found


def behind(
    a: str,
    b: str,
    near: tuple[Mapping[str, Sequence[tuple[str, str]]], Mapping[str, Sequence[tuple[str, str]]]],
    kinds: tuple[Mapping[str, Traits], Mapping[str, Traits]],
) -> Iterator[tuple[list[str], list[str]]]:
    """What hangs at the same terminal of either, kind by kind; none where there are too many to ask about each."""
    there = _behind(near[1].get(b, ()), kinds[1])
    for key, some in _behind(near[0].get(a, ()), kinds[0]).items():
        others = there.get(key, [])
        if 0 < len(some) * len(others) <= _HUB:
            yield some, others


def _behind(near: Sequence[tuple[str, str]], things: Mapping[str, Traits]) -> dict[tuple[str, str], list[str]]:
    made: dict[tuple[str, str], list[str]] = {}
    for terminal, other in near:
        if other in things:
            made.setdefault((terminal, things[other].kind), []).append(other)
    return made


class Leads(NamedTuple):
    """What the runs of one thing lead to: how many there are, and how often to what, with its terminal and without."""

    runs: int
    exact: Mapping[tuple[str, str], int]
    loose: Mapping[str, int]


def leads(near: Mapping[str, Sequence[tuple[str, str]]], matched: Mapping[str, str] | None = None) -> dict[str, Leads]:
    """Of each thing; of the older drawing in the ids of the newer, as they are `matched`."""
    made: dict[str, Leads] = {}
    for item, some in near.items():
        exact: dict[tuple[str, str], int] = {}
        loose: dict[str, int] = {}
        for terminal, other in some:
            there = other if matched is None else matched.get(other, "")
            if there:
                exact[terminal, there] = exact.get((terminal, there), 0) + 1
                loose[there] = loose.get(there, 0) + 1
        made[item] = Leads(len(some), exact, loose)
    return made


def shared(mine: Leads, theirs: Leads) -> tuple[int, int]:
    """How many runs lead to the same at the same terminal, and how many to the same at whichever."""
    if not mine.loose or not theirs.loose:
        return 0, 0
    every = sum(min(n, theirs.loose[there]) for there, n in mine.loose.items() if there in theirs.loose)
    if not every:
        return 0, 0
    return sum(min(n, theirs.exact[key]) for key, n in mine.exact.items() if key in theirs.exact), every
