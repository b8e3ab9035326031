"""Rules of neutrals against a plain walk over every permitted state of random boats (`small_boats`)."""

from __future__ import annotations

import itertools

import pytest
from small_boats import Boat, Part, State, Supply, boat, built, groups, states

from engine.books import load
from engine.findings import Finding
from engine.study import Study

SEEDS = range(100)
LONG = range(100, 1500)


def study_of(one: Boat, book: str = "trade-na") -> Study:
    return Study(built(one).installation.snapshot(), load(book))


def gives(supply: Supply, state: State) -> bool:
    return supply.positions is None or state[supply.part] in supply.positions


def pairs_that_meet(one: Boat, conductor: str) -> dict[frozenset[str], list[State]]:
    met: dict[frozenset[str], list[State]] = {}
    for state in states(one):
        number = groups(one, state)
        for a, b in itertools.combinations([s for s in one.supplies if gives(s, state)], 2):
            if number[a.point, conductor] == number[b.point, conductor]:
                met.setdefault(frozenset((a.name, b.name)), []).append(state)
    return met


def neutrals_left(one: Boat) -> set[frozenset[str]]:
    """Pairs whose neutrals some permitted state joins with the lives apart, but for those that share one bond."""
    lives = pairs_that_meet(one, "L1")
    line = {s.name: s for s in one.supplies}
    left = set()
    for pair, found in pairs_that_meet(one, "N").items():
        apart = [state for state in found if state not in lives.get(pair, [])]
        may_share = all(line[name].line != "shore" for name in pair) and not all(line[name].bonded for name in pair)
        if apart and not may_share:
            left.add(pair)
    return left


def unbonded(one: Boat, supply: Supply, state: State) -> bool:
    """Whether a source feeds a consumer in a state in which its neutral meets no bond."""
    if not gives(supply, state):
        return False
    number = groups(one, state)
    # the charger of an inverter/charger takes power too, its own bridge's excepted
    takes = [*one.loads, *(p.ends["ac_in"] for p in one.parts if "ac_in" in p.ends and p.name != supply.name)]
    if not any(number[point, "L1"] == number[supply.point, "L1"] for point in takes):
        return False
    bonds = list(one.bonds)
    bonds += [s.point for s in one.supplies if s.bonded and gives(s, state) and (s.line != "shore" or s is supply)]
    return all(number[point, "N"] != number[supply.point, "N"] for point in bonds)


def compare(seed: int) -> None:
    one = boat(seed)
    study = study_of(one)
    if not list(states(one)):
        return
    name = study.name
    told = study.outcome("neutral-not-switched")
    assert told.fault is None
    assert {frozenset(f.designations) for f in told.remarks} == neutrals_left(one), seed
    outcome = study.outcome("wrong-neutral-bond")
    assert outcome.fault is None
    lost = {f.designations[0]: f for f in outcome.remarks if isinstance(f, Finding) and f.detail == "lost"}
    never = {f.designations[0] for f in outcome.remarks if isinstance(f, Finding) and f.detail == "none"}
    for supply in one.supplies:
        bad = [state for state in states(one) if unbonded(one, supply, state)]
        if bad:
            assert supply.name in lost or supply.name in never, seed
        else:
            assert supply.name not in lost, seed
        if supply.name in lost:
            witness_holds_and_is_smallest(one, supply, lost[supply.name], name, seed)


def witness_holds_and_is_smallest(one: Boat, supply: Supply, finding: Finding, name: object, seed: int) -> None:
    """In every permitted state with these positions the bond is lost; no fewer devices are enough."""
    assert callable(name)
    held = {name(item): position for item, position in finding.positions}
    every = list(states(one))
    within = [s for s in every if all(s[d] == p for d, p in held.items())]
    assert within, seed
    assert all(unbonded(one, supply, s) for s in within), seed
    devices = [p for p in one.parts if p.positions]
    for size in range(len(held)):
        for some in itertools.combinations(devices, size):
            for choice in itertools.product(*(p.positions for p in some)):
                fixed = {p.name: at for p, at in zip(some, choice, strict=True)}
                inside = [s for s in every if all(s[d] == p for d, p in fixed.items())]
                assert not inside or not all(unbonded(one, supply, s) for s in inside), (seed, fixed, held)


def on_its_way(one: Boat, part: Part) -> Boat:
    """The boat while a changeover has both its contacts closed; a lock that counts either position counts it."""
    joins = tuple((a, b, c, None if at is None else frozenset({"between"})) for a, b, c, at in part.joins)
    parts = tuple(p._replace(positions=("between",), joins=joins) if p is part else p for p in one.parts)
    locks = []
    for lock in one.locks:
        held = tuple((n, "between") if n == part.name and at != "0" else (n, at) for n, at in lock)
        if (part.name, "0") not in held:
            locks.append((held[0], held[1]))
    return one._replace(parts=parts, locks=tuple(locks))


def joined_on_the_way(one: Boat) -> set[tuple[str, frozenset[str]]]:
    """Changeover and pair of sources that it joins on its way, and no permitted position does."""
    stands = pairs_that_meet(one, "L1")
    return {
        (part.name, pair)
        for part in one.parts
        if part.kind == "changeover"
        for pair in pairs_that_meet(on_its_way(one, part), "L1")
        if pair not in stands
    }


def compare_ways(seed: int) -> int:
    one = boat(seed)
    if not list(states(one)):
        return 0
    b = built(one)
    for part in one.parts:
        if part.kind == "changeover":
            b.set(part.name, makes_before_breaks=True)
    study = Study(b.installation.snapshot(), load("trade-na"))
    outcome = study.outcome("make-before-break")
    assert outcome.fault is None
    told = {(f.designations[0], frozenset(f.designations[1:])) for f in outcome.remarks}
    assert told == joined_on_the_way(one), seed
    return len(told)


@pytest.mark.parametrize("seed", SEEDS)
def test_neutrals_and_bonds_of_a_random_boat(seed: int) -> None:
    compare(seed)


@pytest.mark.long
def test_neutrals_and_bonds_of_many_random_boats() -> None:
    for seed in LONG:
        compare(seed)
        compare_ways(seed)


def test_what_a_changeover_joins_on_its_way() -> None:
    assert sum(compare_ways(seed) for seed in SEEDS) > 10


def test_the_random_boats_have_every_kind_of_fault() -> None:
    """Not a check that cannot fail: each outcome occurs often enough."""
    left = lost = kept = 0
    for seed in SEEDS:
        one = boat(seed)
        left += bool(neutrals_left(one))
        for supply in one.supplies:
            bad = [unbonded(one, supply, state) for state in states(one)]
            lost += any(bad) and not all(bad)
            kept += bool(bad) and not any(bad)
    assert min(left, lost, kept) > 15
