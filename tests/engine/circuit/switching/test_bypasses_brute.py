"""Bypasses against every position of every switch, on small networks made at random; reachability by hand."""

from __future__ import annotations

import itertools
import random
from typing import Any

import pytest

from engine.builder import Builder
from engine.circuit.expand import expand
from engine.circuit.switching.bypasses import Bypass, bypasses
from engine.installation.model import Snapshot

PLACES = ("X1.bar", "X2.bar", "X3.bar")  # the shore's bus, the loads' bus, one between
UNIT = ("T1.ac_in", "T1.ac_out")


def _boat(seed: int) -> tuple[Snapshot, list[tuple[str, str, str]]]:
    """Shore on X1, a load on X2, an inverter/charger, breakers between at random; some interlocks."""
    pick = random.Random(seed)
    b = Builder()
    b.add("shore_inlet", "X9", ac_v=120)
    b.add("inverter_charger", "T1", dc_v=24, ac_v=120)
    b.add("load", "E1", ac_v=120, power_w=500)
    for place in PLACES:
        b.add("bus_bar", place.split(".")[0])
    _run(b, "W1", "X9.out", "X1.bar")
    _run(b, "W2", "X2.bar", "E1.in")
    switches = []
    for n in range(pick.randint(4, 7)):
        start, end = pick.sample((*PLACES, *UNIT), 2)
        if n == 0:
            start, end = "X1.bar", "T1.ac_in"
        elif n == 1:
            start, end = "T1.ac_out", "X2.bar"
        if n == 0 and pick.random() < 0.3:
            _run(b, "W3", start, end)
            continue
        name = f"Q{n}"
        known: dict[str, Any] = {"rating_a": 30, "poles": ("L1", "N"), "used_as_switch": True}
        b.add("circuit_breaker", name, in_position=pick.choice(("open", "closed")), **known)
        _run(b, f"W{n}1", start, f"{name}.in")
        _run(b, f"W{n}2", f"{name}.out", end)
        switches.append((name, start, end))
    names = [name for name, _start, _end in switches]
    for _n in range(pick.randint(0, 2)):
        if len(names) > 1:
            b.interlock(*pick.sample(names, 2))
    return b.installation.snapshot(), switches


def _run(b: Builder, name: str, start: str, end: str) -> None:
    b.run(name, start, end, function="ac", size="10 AWG", length_m=1.0)


class _Truth:
    """What each set of positions joins."""

    def __init__(self, snapshot: Snapshot, switches: list[tuple[str, str, str]]) -> None:
        self.ids = {snapshot.name(item): item for item in snapshot.equipment}
        self.always = [("X9.out", "X1.bar"), ("X2.bar", "E1.in")]
        self.always += [("X1.bar", "T1.ac_in")] if any(r.designation == "W3" for r in snapshot.runs.values()) else []
        self.switches = switches
        self.locks = [{h.equipment for h in lock.held} for lock in snapshot.interlocks.values()]

    def states(self) -> list[dict[str, str]]:
        """Permitted: by the interlocks, and without shore on the bridge, which may invert at any time."""
        names = [name for name, _start, _end in self.switches]
        made = []
        for some in itertools.product(("open", "closed"), repeat=len(names)):
            state = dict(zip(names, some, strict=True))
            closed = {self.ids[name] for name in names if state[name] == "closed"}
            if all(len(lock & closed) < 2 for lock in self.locks) and not self.joined(state, "X9.out", "T1.ac_out"):
                made.append(state)
        return made

    def joined(self, state: dict[str, str], one: str, other: str) -> bool:
        """By wires and closed switches, not through the unit."""
        pairs = self.always + [(a, b) for name, a, b in self.switches if state[name] == "closed"]
        seen, todo = {one}, [one]
        for place in todo:
            for a, b in pairs:
                for to in (b,) if a == place else (a,) if b == place else ():
                    if to not in seen:
                        seen.add(to)
                        todo.append(to)
        return other in seen


def _agrees(found: Bypass, truth: _Truth) -> None:
    witness = dict(found.witness)
    within = [s for s in truth.states() if all(s[n] == witness.get(truth.ids[n], s[n]) for n in s)]
    assert within  # told of a permitted state only
    assert all(truth.joined(state, "X9.out", "E1.in") for state in within)
    out = [s for s in within if not any(truth.joined(s, "X9.out", side) for side in UNIT)]
    assert bool(out) is (found.out is not None)
    if found.out is not None:
        stands = dict(found.out)
        agreeing = [s for s in within if all(stands.get(truth.ids[n], s[n]) == s[n] for n in s)]
        assert agreeing
        assert all(state in out for state in agreeing)  # whatever is not named does not matter
        assert found.live == ()
    else:
        alone = {
            side.partition(".")[2] for side in UNIT if all(truth.joined(state, "X9.out", side) for state in within)
        }
        assert set(found.live) == (alone or {"ac_in", "ac_out"})


@pytest.mark.parametrize("seeds", [range(40), pytest.param(range(40, 400), marks=pytest.mark.long)], ids=str)
def test_the_same_as_trying_everything(seeds: range) -> None:
    complete = incomplete = 0
    for seed in seeds:
        snapshot, switches = _boat(seed)
        truth = _Truth(snapshot, switches)
        found = bypasses(snapshot, expand(snapshot))
        for one in found:
            _agrees(one, truth)
            complete += one.out is not None
            incomplete += one.out is None
        drawn = {name: snapshot.equipment[truth.ids[name]].drawn_position() for name, _a, _b in switches}
        served = truth.joined(drawn, "T1.ac_out", "E1.in") and not truth.joined(drawn, "X9.out", "E1.in")
        round_it = any(truth.joined(state, "X9.out", "E1.in") for state in truth.states())
        feeds = any(truth.joined(state, "X9.out", "T1.ac_in") for state in truth.states())
        if served and round_it and feeds:
            assert found, seed
        if not round_it:
            assert not found, seed
    assert complete > 3
    assert incomplete > 3
