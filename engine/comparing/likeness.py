"""Which record of one drawing is which of another, where ids do not tell: two lists of one boat, made apart.

Things are scored by what is recorded of them (designation, kind, label, ratings, place, status) and by what their runs
lead to; which is taken for which is the assignment of the greatest sum of scores, so that no greedy choice takes a
thing from where it fits better. Only pairs that share something telling are scored. Every pair carries its score, 0 to
1, and the reasons in words; where another candidate was nearly as like, it says so.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import Any, NamedTuple, TypeAlias

from engine.comparing.assigning import best_assignment, by_number
from engine.comparing.candidates import Leads, behind, beside, candidates, leads, shared, telling
from engine.comparing.fields import gone
from engine.comparing.traits import Traits, designation_key, table_traits
from engine.installation.model import Snapshot
from engine.words import _

__all__ = ["LEAST", "Pair", "matched_by_likeness"]

LEAST = 0.35  # a pair less alike is none
_SURE = 0.5  # a pair less alike is not sure
CLOSE = 0.05  # another candidate this near makes a pair unsure
_FEW = 4096  # pairs of a table up to which each is asked against each
_PARALLEL = 144  # runs called alike, or between the same two, up to which each is asked against each
_ASKED = 6  # runs at an end that a run is asked against where nothing better is known of it
_ROUNDS = 2  # times neighbours are looked at anew: more of it and mistakes begin to speak for each other
_NEAR = 0.25  # weight of what its runs lead to, beside what is recorded of it


class Pair(NamedTuple):
    """What was taken for what. `score` 0 to 1; `why` in sentences; `unsure`: another was nearly as like."""

    table: str
    before: str
    after: str
    score: float
    why: tuple[str, ...] = ()
    unsure: bool = False


_NONE = Leads(0, {}, {})
_Near: TypeAlias = Mapping[str, Sequence[tuple[str, str]]]  # of each piece: what its runs lead to, by its terminal


def matched_by_likeness(before: Snapshot, after: Snapshot) -> tuple[Pair, ...]:
    """Pairs of every table, equipment and runs first; ids without one are in no pair.

    The other way round the same pairs are found: which of two drawings is gone through first is told by what they hold.
    """
    if not _first(before, after):
        pairs = [pair._replace(before=pair.after, after=pair.before) for pair in _matched(after, before)]
        order = {table: n for n, table in enumerate(dict.fromkeys(pair.table for pair in pairs))}
        return tuple(sorted(pairs, key=lambda pair: (order[pair.table], by_number(pair.before))))
    return _matched(before, after)


def _first(one: Snapshot, other: Snapshot) -> bool:
    for table in ("equipment", "runs", "places", "placements"):
        mine, theirs = one.tables[table], other.tables[table]
        if len(mine) != len(theirs):
            return len(mine) < len(theirs)
        for a, b in zip(sorted(mine, key=by_number), sorted(theirs, key=by_number), strict=True):
            if a != b:
                return by_number(a) < by_number(b)
            if mine[a] is not theirs[b] and mine[a] != theirs[b]:
                return repr(mine[a]) < repr(theirs[b])
    return True


def _matched(before: Snapshot, after: Snapshot) -> tuple[Pair, ...]:
    found: dict[str, str] = {}  # id in `before` -> id in `after`
    pairs: list[Pair] = []

    def take(table: str, made: Iterable[Pair]) -> None:
        found.update((item, gone(item)) for item in before.tables[table])  # an id of one drawing is none of the other
        for pair in made:
            pairs.append(pair)
            found[pair.before] = pair.after

    for table in ("places", "enclosures"):
        take(table, _named(table, before, after, found))
    take("equipment", _equipment(before, after, found))
    certain = {pair.before for pair in pairs if not pair.unsure}
    take("runs", _runs(before, after, found, certain))
    take("sheets", _sheets(before, after, found))
    for table in ("conditions", "interlocks", "revisions", "surveys", "instruments", "photographs"):
        take(table, _named(table, before, after, found))
    for table in ("placements", "routes", "remarks", "waivers", "deficiencies", "inspections", "readings"):
        take(table, _by_content(table, before, after, found))
    return tuple(pairs)


# -- equipment --------------------------------------------------------------------------------------------------------
def _equipment(before: Snapshot, after: Snapshot, found: Mapping[str, str]) -> list[Pair]:
    mine = table_traits("equipment", before, found)
    theirs = table_traits("equipment", after, {})
    near = _neighbours(before), _neighbours(after)
    leads_there = leads(near[1])
    own = _scored(candidates(mine, theirs), mine, theirs)
    scores: dict[tuple[str, str], float] = dict(own)
    matched = best_assignment({pair: s for pair, s in scores.items() if s >= LEAST})
    for _round in range(_ROUNDS):
        doubtful = _unsure(matched, scores)
        open_ = (
            mine.keys() - matched.keys() | {a for a, _b in doubtful},
            theirs.keys() - set(matched.values()) | {b for _a, b in doubtful},
        )
        own |= _scored(beside(matched, near, (mine, theirs), open_) - own.keys(), mine, theirs)
        scores = _near_scores(own, leads(near[0], matched), leads_there)
        was = matched
        matched = best_assignment({pair: s for pair, s in scores.items() if s >= LEAST})
        if matched == was:
            break
    sure = _sure(matched, own, near, (mine, theirs)) - {p for p in matched.items() if scores[p] < _SURE}
    lead = leads(near[0], matched)

    def words(a: str, b: str) -> list[str]:
        return _near_words(lead.get(a, _NONE), leads_there.get(b, _NONE))

    return _told("equipment", matched, scores, mine, theirs, sure, words)


def _near_scores(
    own: Mapping[tuple[str, str], float], mine: Mapping[str, Leads], theirs: Mapping[str, Leads]
) -> dict[tuple[str, str], float]:
    return {(a, b): _with_neighbours(s, mine.get(a, _NONE), theirs.get(b, _NONE)) for (a, b), s in own.items()}


def _sure(
    matched: Mapping[str, str],
    own: Mapping[tuple[str, str], float],
    near: tuple[_Near, _Near],
    kinds: tuple[Mapping[str, Traits], Mapping[str, Traits]],
) -> set[tuple[str, str]]:
    """Pairs that fit better than any other, and have a mark of their own or hang at a pair that is sure.

    What a thing's runs lead to speaks for it only where that is sure itself: two circuits taken for each other bear
    each other out.
    """
    asked: dict[str, list[tuple[str, str]]] = {}
    for pair in own:
        for side in (f"<{pair[0]}", f">{pair[1]}"):
            asked.setdefault(side, []).append(pair)
    there = leads(near[1])
    sure: set[tuple[str, str]] = set()
    waiting = telling(matched, *kinds)
    while waiting:
        here = leads(near[0], dict(sure))
        grown = set()
        for a, b in waiting:
            rivals = {*asked[f"<{a}"], *asked[f">{b}"]}
            scores = _near_scores({pair: own[pair] for pair in rivals}, here, there)
            best = scores.pop((a, b))
            if all(score <= best - CLOSE for score in scores.values()):
                grown.add((a, b))
        sure |= grown
        waiting = {
            (x, matched[x])
            for a, b in grown
            for some, others in behind(a, b, near, kinds)
            for x in some
            if matched.get(x, "") in others
        } - sure
    return sure


def _scored(
    pairs: Collection[tuple[str, str]], mine: Mapping[str, Traits], theirs: Mapping[str, Traits]
) -> dict[tuple[str, str], float]:
    """How like each pair is, by what is recorded of the two alone."""
    return {(a, b): mine[a].likeness(theirs[b]) for a, b in pairs}


def _neighbours(snapshot: Snapshot) -> dict[str, list[tuple[str, str]]]:
    """Of each piece: what its runs lead to, with the terminal at either end."""
    found: dict[str, list[tuple[str, str]]] = {}
    for run in snapshot.runs.values():
        a, b = run.from_end, run.to_end
        found.setdefault(a.equipment, []).append((a.terminal, b.equipment))
        found.setdefault(b.equipment, []).append((b.terminal, a.equipment))
    return found


def _with_neighbours(own: float, mine: Leads, theirs: Leads) -> float:
    """A score that counts what the runs lead to, half where at another terminal; as it was where neither has a run."""
    most = max(mine.runs, theirs.runs)
    if not most:
        return own
    exact, every = shared(mine, theirs)
    return (1 - _NEAR) * own + _NEAR * (exact + every) / (2 * most)


def _near_words(mine: Leads, theirs: Leads) -> list[str]:
    _exact, every = shared(mine, theirs)
    if not every:
        return []
    most = max(mine.runs, theirs.runs)
    return [_("{n} of {count} runs lead to the same").format(n=every, count=most)]


# -- runs -------------------------------------------------------------------------------------------------------------
def _runs(before: Snapshot, after: Snapshot, found: Mapping[str, str], certain: set[str]) -> list[Pair]:
    """Runs between the same two pieces first of all; what is recorded decides between parallel ones.

    A run is no surer than what it runs between (`certain`, in the older drawing), unless it has a mark of its own.
    """
    mine, theirs = table_traits("runs", before, found), table_traits("runs", after, {})
    there: dict[Any, tuple[list[str], list[str]]] = {}  # what may hold two together -> runs of either side
    at: tuple[dict[str, list[str]], dict[str, list[str]]] = ({}, {})
    ends_of: tuple[dict[str, tuple[str, str]], dict[str, tuple[str, str]]] = ({}, {})
    for side, (runs, same) in enumerate(((before.runs, found), (after.runs, {}))):
        for item in sorted(runs, key=by_number):
            run = runs[item]
            a, b = (same.get(end.equipment, end.equipment) for end in (run.from_end, run.to_end))
            ends_of[side][item] = (a, b)
            there.setdefault(frozenset((a, b)), ([], []))[side].append(item)
            for end in (a, b):
                at[side].setdefault(end, []).append(item)
            if key := designation_key(run.designation):
                there.setdefault(key, ([], []))[side].append(item)
    asked: set[tuple[str, str]] = set()
    for one, other in there.values():
        if len(one) * len(other) <= _PARALLEL:
            asked |= {(a, b) for a in one for b in other}
        else:
            asked |= set(zip(one, other, strict=False))
    lonely = mine.keys() - {a for a, _b in asked}, theirs.keys() - {b for _a, b in asked}
    for a in lonely[0]:
        asked |= {(a, b) for end in ends_of[0][a] for b in at[1].get(end, ())[:_ASKED]}
    for b in lonely[1]:
        asked |= {(a, b) for end in ends_of[1][b] for a in at[0].get(end, ())[:_ASKED]}
    ends = {(a, b): _ends_alike(before.runs[a], after.runs[b], *ends_of[0][a]) for a, b in asked}
    scores = {pair: 0.5 * ends[pair] + 0.5 * mine[pair[0]].likeness(theirs[pair[1]]) for pair in asked}
    matched = best_assignment({pair: s for pair, s in scores.items() if s >= LEAST})

    def words(a: str, b: str) -> list[str]:
        share = ends[a, b]
        if share >= 0.75:
            return [_("both run between the same two things")]
        return [_("one end is at the same thing")] if share >= 0.4 else []

    own = telling(matched, mine, theirs)
    held = {
        (a, b)
        for a, b in matched.items()
        if (a, b) in own or all(end.equipment in certain for end in (before.runs[a].from_end, before.runs[a].to_end))
    }
    return _told("runs", matched, scores, mine, theirs, held - _unsure(matched, scores), words)


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
    few = len(mine) * len(theirs) <= _FEW
    scores = _scored({(a, b) for a in mine for b in theirs} if few else candidates(mine, theirs), mine, theirs)
    matched = best_assignment({pair: s for pair, s in scores.items() if s >= LEAST})
    sure = set(matched.items()) - _unsure(matched, scores)
    return _told(table, matched, scores, mine, theirs, sure, lambda _a, _b: [])


def _sheets(before: Snapshot, after: Snapshot, found: Mapping[str, str]) -> list[Pair]:
    """Sheets by their titles and numbers, and as much by what is drawn on them."""
    mine, theirs = table_traits("sheets", before, found), table_traits("sheets", after, {})
    on: tuple[dict[str, set[str]], dict[str, set[str]]] = ({}, {})
    for side, (placements, same) in enumerate(((before.placements, found), (after.placements, {}))):
        for placement in placements.values():
            on[side].setdefault(placement.sheet, set()).add(same.get(placement.equipment, placement.equipment))
    scores: dict[tuple[str, str], float] = {}
    both: dict[tuple[str, str], tuple[int, int]] = {}
    for a in mine:
        for b in theirs:
            one, other = on[0].get(a, set()), on[1].get(b, set())
            every = len(one | other)
            both[a, b] = len(one & other), every
            own = mine[a].likeness(theirs[b])
            scores[a, b] = 0.5 * own + 0.5 * both[a, b][0] / every if every else own
    matched = best_assignment({pair: s for pair, s in scores.items() if s >= LEAST})
    sure = set(matched.items()) - _unsure(matched, scores)

    def words(a: str, b: str) -> list[str]:
        n, every = both[a, b]
        return [_("{n} of {count} things on them are the same").format(n=n, count=every)] if n else []

    return _told("sheets", matched, scores, mine, theirs, sure, words)


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
def _unsure(matched: Mapping[str, str], scores: Mapping[tuple[str, str], float]) -> set[tuple[str, str]]:
    """Pairs of which either might nearly as well be paired with another, or that are little alike."""
    rival: tuple[dict[str, float], dict[str, float]] = ({}, {})
    for (a, b), score in scores.items():
        if matched.get(a) != b:
            rival[0][a] = max(score, rival[0].get(a, 0.0))
            rival[1][b] = max(score, rival[1].get(b, 0.0))
    return {
        (a, b)
        for a, b in matched.items()
        if scores[a, b] < _SURE or max(rival[0].get(a, 0.0), rival[1].get(b, 0.0)) > scores[a, b] - CLOSE
    }


def _told(
    table: str,
    matched: Mapping[str, str],
    scores: Mapping[tuple[str, str], float],
    mine: Mapping[str, Traits],
    theirs: Mapping[str, Traits],
    sure: set[tuple[str, str]],
    more: Callable[[str, str], list[str]],
) -> list[Pair]:
    return [
        Pair(table, a, b, round(scores[a, b], 3), (*mine[a].why(theirs[b]), *more(a, b)), (a, b) not in sure)
        for a, b in matched.items()
    ]
