"""Which record of one drawing is which of another, where ids do not tell: two lists of one boat, made apart.

Things are scored by what is recorded of them (designation, kind, label, ratings, place, status) and by what their runs
lead to; which is taken for which is the assignment of the greatest sum of scores, so that no greedy choice takes a
thing from where it fits better. Only pairs that share something telling are scored. Every pair carries its score, 0 to
1, and the reasons in words; where another candidate was nearly as like, it says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from engine.comparing.assigning import best_assignment
from engine.comparing.traits import Traits, designation_key, table_traits
from engine.installation.model import Snapshot
from engine.words import _

__all__ = ["LEAST", "Pair", "matched_by_likeness"]

LEAST = 0.35  # a pair less alike is none
CLOSE = 0.05  # another candidate this near makes a pair unsure
_MOST = 12  # candidates of one thing
_ROUNDS = 2  # times neighbours are looked at anew
_NEAR = 0.25  # weight of what its runs lead to, beside what is recorded of it


class Pair(NamedTuple):
    """What was taken for what. `score` 0 to 1; `why` in sentences; `unsure`: another was nearly as like."""

    table: str
    before: str
    after: str
    score: float
    why: tuple[str, ...] = ()
    unsure: bool = False


def matched_by_likeness(before: Snapshot, after: Snapshot) -> tuple[Pair, ...]:
    """Pairs of every table, equipment and runs first; ids without one are in no pair."""
    found: dict[str, str] = {}  # id in `before` -> id in `after`
    pairs: list[Pair] = []

    def take(made: Iterable[Pair]) -> None:
        for pair in made:
            pairs.append(pair)
            found[pair.before] = pair.after

    for table in ("places", "enclosures", "sheets"):
        take(_named(table, before, after, found))
    take(_equipment(before, after, found))
    take(_runs(before, after, found))
    for table in ("conditions", "interlocks", "revisions", "surveys", "instruments", "photographs"):
        take(_named(table, before, after, found))
    for table in ("placements", "routes", "remarks", "waivers", "deficiencies", "inspections", "readings"):
        take(_by_content(table, before, after, found))
    return tuple(pairs)


# -- equipment --------------------------------------------------------------------------------------------------------
def _equipment(before: Snapshot, after: Snapshot, found: Mapping[str, str]) -> list[Pair]:
    mine = table_traits("equipment", before, found)
    theirs = table_traits("equipment", after, {})
    near_mine, near_theirs = _neighbours(before), _neighbours(after)
    candidates = _candidates(mine, theirs)
    own = {(a, b): mine[a].likeness(theirs[b]) for a, some in candidates.items() for b in some}
    matched: dict[str, str] = {}
    scores = dict(own)
    for _round in range(_ROUNDS + 1):
        matched = best_assignment({pair: s for pair, s in scores.items() if s >= LEAST})
        if _round == _ROUNDS:
            break
        fresh = {
            (a, b): _with_neighbours(own[a, b], near_mine.get(a, ()), near_theirs.get(b, ()), matched) for a, b in own
        }
        if fresh == scores:
            break
        scores = fresh
    return _told(
        "equipment", matched, scores, mine, theirs, lambda a, b: _near_words(a, b, near_mine, near_theirs, matched)
    )


def _neighbours(snapshot: Snapshot) -> dict[str, list[tuple[str, str]]]:
    """Of each piece: what its runs lead to, with the terminal at either end."""
    found: dict[str, list[tuple[str, str]]] = {}
    for run in snapshot.runs.values():
        a, b = run.from_end, run.to_end
        found.setdefault(a.equipment, []).append((a.terminal, b.equipment))
        found.setdefault(b.equipment, []).append((b.terminal, a.equipment))
    return found


def _with_neighbours(
    own: float,
    mine: Sequence[tuple[str, str]],
    theirs: Sequence[tuple[str, str]],
    matched: Mapping[str, str],
) -> float:
    """A score that counts what the runs lead to; as it was where neither has a run."""
    most = max(len(mine), len(theirs))
    if not most:
        return own
    return (1 - _NEAR) * own + _NEAR * _shared(mine, theirs, matched) / most


def _shared(mine: Sequence[tuple[str, str]], theirs: Sequence[tuple[str, str]], matched: Mapping[str, str]) -> float:
    """How many runs lead to the same: one counts half where it arrives at another terminal."""
    exact: dict[tuple[str, str], int] = {}
    loose: dict[str, int] = {}
    for terminal, other in theirs:
        exact[terminal, other] = exact.get((terminal, other), 0) + 1
        loose[other] = loose.get(other, 0) + 1
    count = 0.0
    for terminal, other in mine:
        there = matched.get(other, "")
        if exact.get((terminal, there), 0):
            exact[terminal, there] -= 1
            loose[there] -= 1
            count += 1.0
        elif loose.get(there, 0):
            loose[there] -= 1
            count += 0.5
    return count


def _near_words(
    a: str,
    b: str,
    mine: Mapping[str, Sequence[tuple[str, str]]],
    theirs: Mapping[str, Sequence[tuple[str, str]]],
    matched: Mapping[str, str],
) -> list[str]:
    one, other = mine.get(a, ()), theirs.get(b, ())
    if not one and not other:
        return []
    n = int(_shared([("", o) for _t, o in one], [("", o) for _t, o in other], matched))
    return [_("{n} of {count} runs lead to the same").format(n=n, count=max(len(one), len(other)))]


# -- runs -------------------------------------------------------------------------------------------------------------
def _runs(before: Snapshot, after: Snapshot, found: Mapping[str, str]) -> list[Pair]:
    """Runs between the same two pieces first of all; what is recorded decides between parallel ones."""
    mine, theirs = table_traits("runs", before, found), table_traits("runs", after, {})
    between: dict[frozenset[str], list[str]] = {}
    at: dict[str, list[str]] = {}
    for item, run in after.runs.items():
        between.setdefault(frozenset((run.from_end.equipment, run.to_end.equipment)), []).append(item)
        for end in (run.from_end.equipment, run.to_end.equipment):
            at.setdefault(end, []).append(item)
    called: dict[str, list[str]] = {}
    for item, run in after.runs.items():
        if key := designation_key(run.designation):
            called.setdefault(key, []).append(item)
    scores: dict[tuple[str, str], float] = {}
    ends: dict[tuple[str, str], float] = {}
    for item, run in before.runs.items():
        a, b = found.get(run.from_end.equipment, ""), found.get(run.to_end.equipment, "")
        some = dict.fromkeys(between.get(frozenset((a, b)), ())) if a and b else {}
        some |= dict.fromkeys(called.get(designation_key(run.designation), ())[:_MOST])
        if not some:
            for end in (a, b):
                some |= dict.fromkeys(at.get(end, ())[: _MOST // 2])
        for other in some:
            there = after.runs[other]
            share = _ends_alike(run, there, a, b)
            ends[item, other] = share
            scores[item, other] = 0.5 * share + 0.5 * mine[item].likeness(theirs[other])
    matched = best_assignment({pair: s for pair, s in scores.items() if s >= LEAST})

    def words(a: str, b: str) -> list[str]:
        share = ends[a, b]
        if share >= 0.75:
            return [_("both run between the same two things")]
        return [_("one end is at the same thing")] if share >= 0.4 else []

    return _told("runs", matched, scores, mine, theirs, words)


def _ends_alike(run: Any, there: Any, a: str, b: str) -> float:
    """0 to 1: how far both ends are at the same things and terminals, in whichever order."""

    def one(here: Any, at: str, end: Any) -> float:
        if not at or at != end.equipment:
            return 0.0
        return 0.5 if here.terminal == end.terminal else 0.4

    straight = one(run.from_end, a, there.from_end) + one(run.to_end, b, there.to_end)
    turned = one(run.from_end, a, there.to_end) + one(run.to_end, b, there.from_end)
    return max(straight, turned)


# -- all others -------------------------------------------------------------------------------------------------------
def _named(table: str, before: Snapshot, after: Snapshot, found: Mapping[str, str]) -> list[Pair]:
    """Records that people call by a name: places, conditions, sheets."""
    mine, theirs = table_traits(table, before, found), table_traits(table, after, {})
    candidates = _candidates(mine, theirs)
    if len(mine) * len(theirs) <= 4096:  # few: each is asked against each
        candidates = {a: list(theirs) for a in mine}
    scores = {(a, b): mine[a].likeness(theirs[b]) for a, some in candidates.items() for b in some}
    matched = best_assignment({pair: s for pair, s in scores.items() if s >= LEAST})
    return _told(table, matched, scores, mine, theirs, lambda _a, _b: [])


def _by_content(table: str, before: Snapshot, after: Snapshot, found: Mapping[str, str]) -> list[Pair]:
    """Records without a name: by what they speak of, in the ids of the newer drawing; then by the rest of them."""
    mine, theirs = table_traits(table, before, found), table_traits(table, after, {})
    groups: dict[Any, list[str]] = {}
    for item, traits in theirs.items():
        groups.setdefault(traits.about, []).append(item)
    pairs: list[Pair] = []
    left: dict[Any, list[str]] = {}
    for item, traits in mine.items():
        left.setdefault(traits.about, []).append(item)
    for about, items in left.items():
        there = groups.get(about, [])
        if not there:
            continue
        if len(items) == len(there) == 1:
            matched, scores = {items[0]: there[0]}, {}
        else:
            scores = {(a, b): max(LEAST, mine[a].likeness(theirs[b])) for a in items[:200] for b in there[:200]}
            matched = best_assignment(scores)
        for a, b in matched.items():
            score = scores.get((a, b), 1.0)
            pairs.append(Pair(table, a, b, round(score, 3), (_("both speak of the same"),)))
    return pairs


# -- together ---------------------------------------------------------------------------------------------------------
def _candidates(mine: Mapping[str, Traits], theirs: Mapping[str, Traits]) -> dict[str, list[str]]:
    """For each thing those it may be: what shares its rarest marks, the most telling first."""
    having: dict[Any, list[str]] = {}
    for item, traits in theirs.items():
        for mark in traits.marks:
            having.setdefault(mark, []).append(item)
    found: dict[str, list[str]] = {}
    for item, traits in mine.items():
        worth: dict[str, float] = {}
        for mark in sorted(traits.marks, key=lambda m: (len(having.get(m, ())), str(m))):
            there = having.get(mark, ())
            if not there:
                continue
            if len(there) > 60 and len(worth) >= _MOST:
                break  # a mark of so many tells little, and there are enough
            for other in there[:400]:
                worth[other] = worth.get(other, 0.0) + 1.0 / len(there)
        ranked = sorted(worth.items(), key=lambda w: (-w[1], w[0]))
        found[item] = [other for other, _w in ranked[:_MOST]]
    return found


def _told(
    table: str,
    matched: Mapping[str, str],
    scores: Mapping[tuple[str, str], float],
    mine: Mapping[str, Traits],
    theirs: Mapping[str, Traits],
    more: Callable[[str, str], list[str]],
) -> list[Pair]:
    best: dict[str, list[float]] = {}
    for (a, _b), score in scores.items():
        best.setdefault(a, []).append(score)
    made = []
    for a, b in matched.items():
        score = scores[a, b]
        rivals = sorted(best[a], reverse=True)
        unsure = score < 0.5 or (len(rivals) > 1 and rivals[1] > score - CLOSE)
        made.append(Pair(table, a, b, round(score, 3), (*mine[a].why(theirs[b]), *more(a, b)), unsure))
    return made
