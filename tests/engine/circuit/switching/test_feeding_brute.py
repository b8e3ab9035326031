"""From which source a load can be fed, against every state of small boats counted one by one.

The oracle floods energy forward, state by state: from each source along closed contacts and through converters, the way
back likewise. A hand-moved position counts only if no position of what moves by itself lets two AC sources meet.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterable

import pytest

from engine.builder import Builder
from engine.circuit.expand import Circuit, Link, expand
from engine.circuit.switching.feeding import Feeding
from engine.circuit.switching.results import Failure
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot

BOATS = 300
AC = {"function": "ac", "size": "10 AWG", "length_m": 1.0}
DC = {"function": "dc pair", "size": "6 AWG", "length_m": 1.0}


def boat(seed: int) -> Builder:
    """AC and DC buses with banks, inlets, generators, inverters and chargers between, and up to 9 switches."""
    pick = random.Random(seed)
    b = Builder()
    runs = itertools.count()

    def join(start: str, end: str, facts: dict) -> None:
        b.run(f"W{next(runs)}", start, end, **facts)

    ac = [f"WA{n}" for n in range(pick.randint(2, 3))]
    dc = [f"WC{n}" for n in range(pick.randint(1, 3))]
    for name in (*ac, *dc):
        b.add("bus_bar", name)
    rows = 1
    held: list[str] = []

    def between(start: str, end: str, facts: dict) -> None:
        """Joined by a switch of some kind, or by a run where there are enough switches."""
        nonlocal rows
        kind = pick.choice(("circuit_breaker", "battery_switch", "contactor", "run"))
        if kind == "run" or rows * 2 > 700:
            join(start, end, facts)
            return
        rows *= 2
        name = f"Q{next(runs)}"
        is_ac = facts is AC
        poles = pick.choice((("L1", "N"), ("L1",))) if is_ac else pick.choice((("+", "-"), ("+",)))
        fields = {"rating_a": 30, "used_as_switch": True} if kind == "circuit_breaker" else {}
        b.add(kind, name, poles=poles, **fields)
        join(start, f"{name}.in", facts)
        join(f"{name}.out", end, facts)
        held.append(name)

    for n in range(pick.randint(1, 2)):
        b.add("battery_bank", f"G{n}", unit_v=24, unit_ah=100)
        between(f"G{n}.pos", f"{pick.choice(dc)}.bar", DC)
    for n in range(2, 2 + pick.randint(1, 2)):
        b.add(pick.choice(("generator", "shore_inlet")), f"G{n}", ac_v=230)
        between(f"G{n}.out", f"{pick.choice(ac)}.bar", AC)
    if pick.random() < 0.7:
        rows *= 3
        b.add("inverter_charger", "T1", dc_v=24, ac_v=230)
        between("T1.dc", f"{pick.choice(dc)}.bar", DC)
        join(f"{pick.choice(ac)}.bar", "T1.ac_in", AC)
        between("T1.ac_out", f"{pick.choice(ac)}.bar", AC)
    if pick.random() < 0.5:
        b.add("charger", "T2", dc_v=24, ac_v=230)
        join(f"{pick.choice(ac)}.bar", "T2.ac", AC)
        between("T2.dc", f"{pick.choice(dc)}.bar", DC)
    if pick.random() < 0.4 and rows * 2 < 700:
        rows *= 2
        b.add("changeover", "S1", poles=("L1", "N"), has_off=pick.random() < 0.5, automatic=pick.random() < 0.3)
        for terminal in ("one", "two", "common"):
            join(f"S1.{terminal}", f"{pick.choice(ac)}.bar", AC)
    for _ in range(pick.randint(0, 2)):
        between(f"{pick.choice(dc)}.bar", f"{pick.choice(dc)}.bar", DC)
    b.add("load", "E1", ac_v=230, power_w=100, essential=True)
    between(f"{pick.choice(ac)}.bar", "E1.in", AC)
    b.add("load", "E2", dc_v=24, power_w=50, essential=True)
    between(f"{pick.choice(dc)}.bar", "E2.in", DC)
    for _ in range(pick.randint(0, 2)):
        if len(held) > 1:
            b.interlock(*pick.sample(held, min(len(held), pick.randint(2, 3))), at_most=pick.choice((1, 1, 2)))
    return b


class Oracle:
    """Every state, one by one."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit, failure: Failure | None) -> None:
        self.snapshot, self.circuit = snapshot, circuit
        self.gone = failure.gone if failure else frozenset()
        self.silent = (failure.silent if failure else frozenset()) | self.gone
        self.held = dict(failure.held) if failure else {}
        self.acting = {link.equipment for link in circuit.links if self.acts(link)}
        moved = {i: r.positions() for i, r in snapshot.equipment.items() if r.positions() and circuit.switchable(i)}
        self.hands = [i for i in moved if not snapshot.equipment[i].moves_itself()]
        every = [dict(zip(moved, chosen, strict=True)) for chosen in itertools.product(*moved.values())]
        self.allowed = [state for state in every if self._allows(state)]
        self.safe: dict[tuple, bool] = {}
        for state in self.allowed:
            key = self.key(state)
            self.safe[key] = self.safe.get(key, True) and not self._meet(state)

    @staticmethod
    def acts(link: Link) -> bool:
        """A contact, not a conductor that passes straight."""
        return link.protection is not None or link.positions is not None

    def key(self, state: dict[str, str]) -> tuple:
        return tuple(state[i] for i in self.hands)

    def _allows(self, state: dict[str, str]) -> bool:
        for lock in self.snapshot.interlocks.values():
            if sum(state.get(h.equipment) in h.positions for h in lock.held) > lock.at_most:
                return False
        return True

    def _closed(self, item: str, positions: Iterable[str] | None, state: dict[str, str]) -> bool:
        return positions is None or item not in state or state[item] in positions

    def flood(self, starts: Iterable[int], state: dict[str, str], names: tuple[str, ...], converts: bool) -> set[int]:
        nodes, gone = self.circuit.nodes, self.gone if converts else frozenset()  # meeting: of the whole boat
        ways: dict[int, list[int]] = {}
        for wire in self.circuit.wires:
            ways.setdefault(wire.a, []).append(wire.b)
            ways.setdefault(wire.b, []).append(wire.a)
        for link in self.circuit.links:
            if link.equipment in gone and (self.acts(link) or link.equipment not in self.acting):
                continue
            if self._closed(link.equipment, link.positions, state):
                ways.setdefault(link.a, []).append(link.b)
                if not link.one_way:
                    ways.setdefault(link.b, []).append(link.a)
        if converts:
            for item, conversion in self.circuit.conversions:
                if item in gone:
                    continue
                sources = self.snapshot.equipment[item].sources(self.circuit.joined.get(item, frozenset()))
                for source in sources:
                    if source.terminal != conversion.target or source.in_step:
                        continue
                    if not (
                        self._closed(item, source.positions, state) and self._closed(item, conversion.positions, state)
                    ):
                        continue
                    for into in names:
                        for out in names:
                            a, z = (
                                self.circuit.node(item, conversion.source, into),
                                self.circuit.node(item, conversion.target, out),
                            )
                            if a is not None and z is not None:
                                ways.setdefault(a, []).append(z)
        seen = set(starts)
        todo = list(seen)
        while todo:
            for to in ways.get(todo.pop(), ()):
                if to not in seen and nodes[to].conductor in names:
                    seen.add(to)
                    todo.append(to)
        return seen

    def _meet(self, state: dict[str, str]) -> bool:
        feeds = [f for f in self.circuit.feeds if f.source.system == "ac"]
        on = [f for f in feeds if self._closed(f.equipment, f.source.positions, state)]
        for one, other in itertools.combinations(on, 2):
            if one.equipment != other.equipment and other.node in self.flood(
                [one.node], state, ("L1", "L2", "L3"), converts=False
            ):
                return True
        return False

    def sources(self, load: str) -> set[str]:
        """Sources that feed it in some state that is permitted and safe."""
        node = self.circuit.node
        live = [n for c in LIVE if (n := node(load, "in", c)) is not None]
        back = [n for c in ("-", "N") if (n := node(load, "in", c)) is not None]
        always = not any(self.safe.values())
        found = set()
        for item, record in self.snapshot.equipment.items():
            if record.conversions() or item in self.silent or not record.sources(frozenset()):
                continue
            terminal, live_name, back_name = ("pos", "+", "-") if record.KIND == "battery_bank" else ("out", "L1", "N")
            start, home = node(item, terminal, live_name), node(item, terminal, back_name)
            if start is None:
                continue
            drawn = any(set(back) <= self.flood([home], s, ("-", "N"), converts=True) for s in self._whole().allowed)
            for state in self.allowed:
                if any(state[i] not in positions for i, positions in self.held.items() if i in state):
                    continue
                if not (always or self.safe[self.key(state)]):
                    continue
                if set(live) <= self.flood([start], state, LIVE, converts=True) and (
                    not drawn or set(back) <= self.flood([home], state, ("-", "N"), converts=True)
                ):
                    found.add(item)
                    break
        return found

    def _whole(self) -> Oracle:
        if not (self.gone or self.silent or self.held):
            return self
        if not hasattr(self, "_unbroken"):
            self._unbroken = Oracle(self.snapshot, self.circuit, None)
        return self._unbroken


def compare(seeds: range) -> tuple[int, int]:
    fed_count = dark_count = 0
    for seed in seeds:
        b = boat(seed)
        snapshot = b.installation.snapshot()
        circuit = expand(snapshot)
        pick = random.Random(seed)
        ids = {r.designation: i for i, r in snapshot.equipment.items()}
        some = [i for i in snapshot.equipment if i not in (ids["E1"], ids["E2"])]
        out = pick.choice(some)
        for failure in (None, Failure("device", out, gone=frozenset({out}))):
            feeding = Feeding(snapshot, circuit)
            oracle = Oracle(snapshot, circuit, failure)
            if feeding.forbidden.always:
                continue  # every state joins two sources: then nothing is asked of them
            for load in (ids["E1"], ids["E2"]):
                fed = feeding.fed(load, failure)
                assert not fed.undecided, seed
                assert set(fed.sources) == oracle.sources(load), (
                    seed,
                    snapshot.name(load),
                    failure and snapshot.name(out),
                )
                fed_count += len(fed.sources)
                dark_count += not fed.sources
                for way in fed.ways:
                    state = dict(way.state)
                    assert oracle._allows(state), seed
                    assert oracle.safe[oracle.key(state)], seed
                    for item, positions in way.positions:
                        assert state[item] in positions
                    assert way.through[0] == way.source
                    assert way.through[-1] == load
    return fed_count, dark_count


def test_what_every_state_says() -> None:
    """Every twenty-fifth of the boats; all of them in the long run."""
    fed, dark = compare(range(0, BOATS, 25))
    assert fed > 15
    assert dark > 5


@pytest.mark.long
@pytest.mark.parametrize("block", range(6))
def test_what_every_state_says_of_all(block: int) -> None:
    fed, dark = compare(range(block * BOATS // 6, (block + 1) * BOATS // 6))
    assert fed > 40
    assert dark > 10
