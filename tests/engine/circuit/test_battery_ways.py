"""Batteries and switches against every position of every switch, tried one by one.

The oracle shares nothing with the engine but the drawing: it enumerates all positions the interlocks allow and walks
the runs and contacts as a person would with a meter.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator
from typing import Any

import pytest

from engine.books import load
from engine.builder import Builder
from engine.circuit.battery_ways import BatteryWays
from engine.findings import Finding
from engine.installation.model import Snapshot
from engine.rules.distribution import banks_joined
from engine.rules.energy import alternator_cut_off
from engine.rules.protection import breaker_one_way
from engine.study import Study

KINDS = {  # kind -> terminals, contacts by position
    "battery_switch": (("in", "out"), {"open": (), "closed": (("in", "out"),)}),
    "circuit_breaker": (("in", "out"), {"open": (), "closed": (("in", "out"),)}),
    "contactor": (("in", "out"), {"open": (), "closed": (("in", "out"),)}),
    "charging_relay": (("a", "b"), {"open": (), "closed": (("a", "b"),)}),
    "selector": (
        ("one", "two", "common"),
        {
            "off": (),
            "1": (("one", "common"),),
            "both": (("one", "common"), ("two", "common")),
            "2": (("two", "common"),),
        },
    ),
    "changeover": (("one", "two", "common"), {"0": (), "1": (("one", "common"),), "2": (("two", "common"),)}),
    "no off": (("one", "two", "common"), {"1": (("one", "common"),), "2": (("two", "common"),)}),
}
NOWHERE = "nowhere"  # no position at all: the device joins nothing
RINGS = {
    "selector": ("off", "1", "both", "2", "off"),
    "changeover": ("1", "0", "2"),
    "no off": ("1", "2"),
}
FACTS: dict[str, dict[str, Any]] = {
    "battery_switch": {"field_contact": False},
    "contactor": {"field_contact": False, "polarised": False},
    "charging_relay": {"limits_current": False},
    "circuit_breaker": {"polarised": False, "used_as_switch": True},
    "selector": {"field_contact": False},
    "changeover": {},
    "no off": {"has_off": False},
}


class Boat:
    """Buses, an alternator, banks, and switches at random between the buses."""

    def __init__(self, seed: int) -> None:
        rng = random.Random(seed)
        b = Builder()
        self.kinds: dict[str, str] = {}
        self.makes_first: dict[str, bool] = {}
        self.wires: list[tuple[tuple[str, str], tuple[str, str]]] = []
        count = rng.randint(3, 5)
        buses = [f"X{n}" for n in range(count)]
        for bus in buses:
            b.add("bus_bar", bus, purpose="positive")
        self.number = 0
        b.add("alternator", "G9", dc_v=12, survives_cut_off=False, field_opens_first=False, obeys_stop=False)
        self._run(b, ("G9", "pos"), ("X0", "bar"))
        self.banks = [f"G{n}" for n in range(1, rng.randint(2, 3) + 1)]
        self.chemistry = {bank: rng.choice(("AGM", "LFP")) for bank in self.banks}
        for bank in self.banks:
            b.add("battery_bank", bank, unit_v=12, chemistry=self.chemistry[bank], bms="none")
            self._run(b, (bank, "pos"), (rng.choice(buses[1:]), "bar"))
        for n in range(rng.randint(2, 5)):
            kind = rng.choice(list(KINDS))
            name = f"Q{n}"
            self.kinds[name] = kind
            facts = dict(FACTS[kind])
            if kind in RINGS:
                self.makes_first[name] = facts["makes_before_breaks"] = rng.random() < 0.5
            b.add("changeover" if kind == "no off" else kind, name, **facts)
            for terminal in KINDS[kind][0]:
                self._run(b, (name, terminal), (rng.choice(buses), "bar"))
        self.locks: list[tuple[int, tuple[tuple[str, tuple[str, ...]], ...]]] = []
        two = [name for name, kind in self.kinds.items() if kind not in RINGS]
        if len(two) > 1 and rng.random() < 0.5:
            held = tuple(rng.sample(two, 2))
            b.interlock(*held)
            self.locks.append((1, tuple((name, ("closed",)) for name in held)))
        self.builder = b
        self.snapshot: Snapshot = b.installation.snapshot()
        self.id = {record.designation: item for item, record in self.snapshot.equipment.items()}

    def _run(self, b: Builder, one: tuple[str, str], other: tuple[str, str]) -> None:
        self.number += 1
        b.run(f"W{self.number}", ".".join(one), ".".join(other), function="dc positive", size="2 AWG", length_m=1)
        self.wires.append((one, other))

    def states(self) -> Iterator[dict[str, str]]:
        """Every combination of positions that the interlocks allow."""
        names = list(self.kinds)
        for positions in itertools.product(*(KINDS[self.kinds[name]][1] for name in names)):
            state = dict(zip(names, positions, strict=True))
            if self.permits(state):
                yield state

    def permits(self, state: dict[str, str]) -> bool:
        """Whether at most so many are held."""
        return all(sum(state[n] in ps for n, ps in held) <= most for most, held in self.locks)

    def reached(self, start: str, state: dict[str, str], without: str = "") -> set[str]:
        """Names joined to `start`; `without`: a device that joins nothing."""
        pairs = list(self.wires)
        for name, kind in self.kinds.items():
            if name != without:
                pairs += [((name, a), (name, c)) for a, c in KINDS[kind][1].get(state[name], ())]
        seen = {point for pair in self.wires for point in pair if point[0] == start}
        grown = True
        while grown:
            grown = False
            for a, c in pairs:
                if (a in seen) != (c in seen):
                    seen |= {a, c}
                    grown = True
        return {name for name, _terminal in seen}

    def moves(self, name: str) -> list[tuple[str, str]]:
        """Neighbouring positions, both ways."""
        ring = RINGS.get(self.kinds[name], ("open", "closed"))
        steps = list(itertools.pairwise(ring))
        return steps + [(c, a) for a, c in steps]

    def has_battery(self, state: dict[str, str], without: str = "") -> bool:
        """Whether the alternator has one."""
        return bool(self.reached("G9", state, without) & set(self.banks))

    def cuts_off(self) -> set[str]:
        """Devices that leave the running alternator with no battery by a single move."""
        found = set()
        for state in self.states():
            if not self.has_battery(state):
                continue
            for name in self.kinds:
                for before, after in self.moves(name):
                    if state[name] != before:
                        continue
                    moved = state | {name: after}
                    if not self.permits(moved):
                        continue
                    breaks = name in self.makes_first and not self.makes_first[name]
                    if not self.has_battery(moved) or (breaks and not self.has_battery(moved, name)):
                        # breaks and the way does not go through it before: the other contact carries nothing
                        found.add(name)
        return found


def _told(boat: Boat) -> Finding | None:
    remarks = list(alternator_cut_off.check(Study(boat.snapshot, load("trade-na"))))
    assert all(isinstance(remark, Finding) for remark in remarks)
    assert len(remarks) < 2
    return remarks[0] if remarks and isinstance(remarks[0], Finding) else None


def _cut_off(seed: int) -> bool:
    boat = Boat(seed)
    finding = _told(boat)
    named = set() if finding is None else set(finding.designations[1:])
    assert named == boat.cuts_off(), seed
    if finding is not None and "breaks before" not in finding.message.partition(" or when ")[0]:
        names = {item: name for name, item in boat.id.items()}
        witness = {names[item]: position for item, position in finding.positions}
        within = [s for s in boat.states() if witness.items() <= s.items()]
        assert within
        assert not any(boat.has_battery(state) for state in within), seed  # the positions alone do it
        for name in witness:  # and none of them is needless
            rest = {n: p for n, p in witness.items() if n != name}
            assert any(boat.has_battery(s) for s in boat.states() if rest.items() <= s.items()), seed
    return finding is not None


def test_what_can_cut_off_an_alternator_against_every_position() -> None:
    found = [_cut_off(seed) for seed in range(30)]
    assert 5 < sum(found) < 30


@pytest.mark.long
def test_what_can_cut_off_an_alternator_against_every_position_of_many_boats() -> None:
    for seed in range(30, 1000):
        _cut_off(seed)


def _joined(seed: int) -> int:
    boat = Boat(seed)
    told = {
        frozenset(remark.designations[:2])
        for remark in banks_joined.check(Study(boat.snapshot, load("trade-na")))
        if isinstance(remark, Finding) and remark.detail != "rating"
    }
    expected = set()
    for one, other in itertools.combinations(boat.banks, 2):
        if boat.chemistry[one] == boat.chemistry[other]:
            continue
        joined = [other in boat.reached(one, state) for state in boat.states()]
        for_good = other in boat.reached(one, dict.fromkeys(boat.kinds, NOWHERE))  # banks-mixed
        if any(joined) and not for_good:
            expected.add(frozenset((one, other)))
    assert told == expected, seed
    return len(expected)


def test_every_way_is_found_and_no_other() -> None:
    """The conditions under which an alternator has each battery, as a truth table."""
    for seed in range(20):
        boat = Boat(seed)
        study = Study(boat.snapshot, load("trade-na"))
        ways: BatteryWays = study.battery_ways
        node = study.circuit.node(boat.id["G9"], "pos", "+")
        assert node is not None
        joined = ways.joined(boat.id["G9"], node, ways.banks)
        for state in boat.states():
            full = ways.states.of_positions((boat.id[name], position) for name, position in state.items())
            reached = boat.reached("G9", state)
            for bank in boat.banks:
                cubes = joined[boat.id[bank]].cubes if boat.id[bank] in joined else ()
                assert any(cube & ~full == 0 for cube in cubes) == (bank in reached), (seed, bank, state)


def test_unlike_banks_against_every_position() -> None:
    assert sum(_joined(seed) for seed in range(40)) > 5


def _backwards(seed: int) -> int:
    boat = Boat(seed)
    name = next((n for n, kind in boat.kinds.items() if kind == "circuit_breaker"), "")
    if not name:
        return 0
    boat.builder.set(name, polarised=True, line_terminal="in")
    study = Study(boat.builder.installation.snapshot(), load("trade-na"))
    told = [remark for remark in breaker_one_way.check(study) if isinstance(remark, Finding)]
    bus = next(at for start, (at, _bar) in boat.wires if start == (name, "out"))
    backwards = any(
        state[name] == "closed" and boat.reached(bus, state, name) & {*boat.banks, "G9"} for state in boat.states()
    )
    assert bool(told) == backwards, seed
    return backwards


def test_what_drives_current_backwards_against_every_position() -> None:
    """A breaker that breaks one way: does a battery or the alternator reach its load side while it is closed?"""
    assert sum(_backwards(seed) for seed in range(200, 240)) > 5


@pytest.mark.long
def test_unlike_banks_and_backward_currents_of_many_boats() -> None:
    for seed in range(1000, 1400):
        _joined(seed)
        _backwards(seed)
