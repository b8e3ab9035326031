"""Sources that meet, against truth tables over whole installations made of real kinds.

Up to 12 switches (breakers used as switches, changeovers with and without off, contactors, transfer relays), two or
three AC sources of which at least two are of one kind, interlocks of any k. The oracle counts every state.
"""

from __future__ import annotations

import itertools
import random

import pytest

from engine.builder import Builder
from engine.circuit.expand import Circuit, expand
from engine.circuit.meeting import AC_LIVE, Conflict, Meeting, Party, meet
from engine.installation.model import Snapshot

BOATS = 500
AC = {"function": "ac", "size": "10 AWG", "length_m": 1.0}


def met(b: Builder) -> tuple[Snapshot, Circuit, Meeting]:
    snapshot = b.installation.snapshot()
    circuit = expand(snapshot)
    return snapshot, circuit, meet(snapshot, circuit)


def boat(seed: int) -> Builder:
    pick = random.Random(seed)
    b = Builder()
    kind = pick.choice(("generator", "shore_inlet", "inverter"))
    sources = []
    for number in range(pick.randint(2, 3)):
        one_kind = kind if number < 2 else pick.choice(("generator", "shore_inlet", "inverter_charger"))
        fields = {"dc_v": 24} if "inverter" in one_kind else {}
        sources.append((f"G{number}", one_kind, b.add(one_kind, f"G{number}", ac_v=230, **fields)))
    if kind != "shore_inlet" and pick.random() < 0.3:
        b.set("G0", parallel_with=(sources[1][2],))
        if pick.random() < 0.5:
            b.set("G1", parallel_with=(sources[0][2],))
    buses = [f"B{number}" for number in range(pick.randint(3, 7))]
    for name in buses:
        b.add("bus_bar", name)
    runs = itertools.count()

    def join(start: str, end: str) -> None:
        b.run(f"W{next(runs)}", start, end, **AC)

    for name, source_kind, _id in sources:
        terminal = {"generator": "out", "shore_inlet": "out"}.get(source_kind, "ac_out")
        join(f"{name}.{terminal}", f"{pick.choice(buses)}.bar")
        if source_kind == "inverter_charger":
            join(f"{pick.choice(buses)}.bar", f"{name}.ac_in")
    rows = 3
    held = []
    poles = ("L1", "N")
    for number in range(pick.randint(2, 10)):
        sort = pick.choice(("circuit_breaker", "circuit_breaker", "changeover", "no off", "contactor"))
        positions = {"circuit_breaker": 2, "contactor": 2, "changeover": 3, "no off": 2}[sort]
        if rows * positions > 10_000:
            break
        rows *= positions
        name = f"Q{number}"
        if sort in ("changeover", "no off"):
            b.add("changeover", name, poles=poles, has_off=sort == "changeover")
            for terminal in ("one", "two", "common"):
                join(f"{name}.{terminal}", f"{pick.choice(buses)}.bar")
            held.append(f"{name}:{pick.choice('12')}")
        else:
            fields = {"used_as_switch": True, "rating_a": 30} if sort == "circuit_breaker" else {}
            b.add(sort, name, poles=poles, **fields)
            for terminal, bus in zip(("in", "out"), pick.sample(buses, 2), strict=True):
                join(f"{name}.{terminal}", f"{bus}.bar")
            held.append(name)
    for _ in range(pick.randint(0, 3)):
        chosen = pick.sample(held, min(len(held), pick.randint(2, 4)))
        b.interlock(*chosen, at_most=pick.choice((1, 1, 2)))
    return b


class Oracle:
    """Every state of an installation as one bit of a big integer."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit) -> None:
        self.circuit = circuit
        moved = {i: r.positions() for i, r in snapshot.equipment.items() if r.positions()}
        self.where: dict[tuple[str, str], int] = {}
        count = 0
        for row, chosen in enumerate(itertools.product(*moved.values())):
            count = row + 1
            for item, position in zip(moved, chosen, strict=True):
                self.where[item, position] = self.where.get((item, position), 0) | 1 << row
        self.every = self.allowed = (1 << count) - 1
        for lock in snapshot.interlocks.values():
            for too_many in itertools.combinations(lock.held, lock.at_most + 1):
                rows = self.every
                for each in too_many:
                    rows &= self.of(each.equipment, each.positions)
                self.allowed &= ~rows

    def of(self, item: str, positions) -> int:
        rows = 0
        for position in positions:
            rows |= self.where[item, position]
        return rows

    def bad(self, snapshot: Snapshot) -> dict[frozenset[Party], int]:
        """For each pair of sources the permitted states in which they meet and may not."""
        found: dict[frozenset[Party], int] = {}
        feeds = [f for f in self.circuit.feeds if f.source.system == "ac"]
        for one, other in itertools.combinations(feeds, 2):
            a, c = one.equipment, other.equipment
            together = c in getattr(snapshot.equipment[a], "parallel_with", ()) and a in getattr(
                snapshot.equipment[c], "parallel_with", ()
            )
            if together or a == c:
                continue
            rows = self.reach(one.node)[other.node] & self.allowed
            for feed in (one, other):
                if feed.source.positions is not None:
                    rows &= self.of(feed.equipment, feed.source.positions)
            pair = frozenset((Party(a, one.source.line), Party(c, other.source.line)))
            found[pair] = found.get(pair, 0) | rows
        return {pair: rows for pair, rows in found.items() if rows}

    def reach(self, start: int) -> list[int]:
        nodes = self.circuit.nodes
        ways = [(w.a, w.b, self.every) for w in self.circuit.wires if w.conductor in AC_LIVE]
        ways += [
            (k.a, k.b, self.every if k.positions is None else self.of(k.equipment, k.positions))
            for k in self.circuit.links
            if nodes[k.a].conductor in AC_LIVE and nodes[k.b].conductor in AC_LIVE
        ]
        got = [0] * len(nodes)
        got[start] = self.every
        grown = True
        while grown:
            grown = False
            for a, b, rows in ways:
                for u, v in ((a, b), (b, a)):
                    if got[u] & rows & ~got[v]:
                        got[v] |= got[u] & rows
                        grown = True
        return got

    def rows_of(self, conflict: Conflict, without: str = "") -> int:
        rows = self.allowed
        for item, positions in conflict.positions:
            if item != without:
                rows &= self.of(item, positions)
        return rows


@pytest.mark.parametrize("block", range(5))
def test_meeting_is_what_the_truth_table_says(block: int) -> None:
    conflicts = apart = 0
    for seed in range(block * BOATS // 5, (block + 1) * BOATS // 5):
        snapshot, circuit, meeting = met(boat(seed))
        oracle = Oracle(snapshot, circuit)
        assert not meeting.undecided, seed
        bad = oracle.bad(snapshot)
        found = {frozenset((c.one, c.other)): c for c in meeting.conflicts}
        assert found.keys() == bad.keys(), f"boat {seed}"
        pairs = {frozenset(pair) for pair in itertools.combinations(meeting.sources, 2)}
        apart += len(pairs - bad.keys())
        for pair, conflict in found.items():
            conflicts += 1
            rows = oracle.rows_of(conflict)
            assert rows, f"boat {seed}: the witness is a permitted state"
            assert rows & ~bad[pair] == 0, f"boat {seed}: the witness always joins them"
            for item, _positions in conflict.positions:
                assert oracle.rows_of(conflict, without=item) & ~bad[pair], f"boat {seed}: {item} is needless"
            state = oracle.allowed
            for item, position in conflict.state:
                state &= oracle.where[item, position]
            assert state & bad[pair], f"boat {seed}: the full state joins them"
    assert conflicts > 40
    assert apart > 15  # neither answer is the only one


# -- cases that are easy to get wrong -------------------------------------------------------------------------------
def names(snapshot: Snapshot, meeting: Meeting) -> set[tuple[str, str]]:
    return {(snapshot.name(c.one.equipment), snapshot.name(c.other.equipment)) for c in meeting.conflicts}


def two_breakers(**fields) -> Builder:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("generator", "G1", ac_v=120)
    b.add("bus_bar", "B1")
    for name, source in (("Q1", "X1"), ("Q2", "G1")):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"), **fields)
        b.run(f"W{name}", f"{source}.out", f"{name}.in", **AC)
        b.run(f"V{name}", f"{name}.out", "B1.bar", **AC)
    return b


def test_plain_breakers_are_taken_as_closed_and_named() -> None:
    """46 CFR 183.390(d), 2015 edition: shore feed and generator breakers without interlock do not pass."""
    snapshot, _circuit, meeting = met(two_breakers())
    (conflict,) = meeting.conflicts
    assert conflict.positions == ()
    assert {(snapshot.name(e), p) for e, p in conflict.witness()} == {("Q1", "closed"), ("Q2", "closed")}
    assert [snapshot.name(e) for e in conflict.way] == ["Q1", "Q2"]


def test_an_interlock_makes_them_switches() -> None:
    b = two_breakers()
    b.interlock("Q1", "Q2")
    assert met(b)[2].conflicts == ()


def test_two_of_three_keys() -> None:
    """At most two of three breakers: two sources on one bus still meet; through all three they cannot."""
    b = two_breakers()
    b.add("circuit_breaker", "Q3", rating_a=30, poles=("L1", "N"))
    b.interlock("Q1", "Q2", "Q3", at_most=2, kind="captive key")
    assert len(met(b)[2].conflicts) == 1
    b = Builder()
    b.add("generator", "G1", ac_v=120)
    b.add("generator", "G2", ac_v=120)
    for name in ("Q1", "Q2", "Q3"):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"))
    b.run("W1", "G1.out", "Q1.in", **AC)
    b.run("W2", "Q1.out", "Q2.in", **AC)
    b.run("W3", "Q2.out", "Q3.in", **AC)
    b.run("W4", "Q3.out", "G2.out", **AC)
    b.interlock("Q1", "Q2", "Q3", at_most=2, kind="captive key")
    assert met(b)[2].conflicts == ()


def test_interlocks_that_allow_nothing_prove_nothing() -> None:
    b = two_breakers()
    b.interlock("Q1:open,closed", "Q2:open,closed", at_most=0)
    _snapshot, _circuit, meeting = met(b)
    assert meeting.conflicts == ()
    assert len(meeting.undecided) == 1
    assert meeting.locked


def test_two_lines_of_one_source_shorted_by_a_wrong_tie() -> None:
    b = Builder()
    b.add("generator", "G1", ac_v=120, phases="L1 L2")
    b.add("combined_inverter", "T1", dc_v=24, ac_v=120, leg2_phase="L1")
    b.run("W1", "G1.out", "T1.ac_in", **AC | {"phases": "L1 L2"})
    assert met(b)[2].conflicts == ()
    b.run("W2", "T1.leg1", "T1.leg2", **AC)
    snapshot, _circuit, meeting = met(b)
    short = next(c for c in meeting.conflicts if c.one == c.other)
    assert names(snapshot, meeting) == {("G1", "G1"), ("T1", "T1")}
    assert short.conductors == ("L1", "L2")
    assert [p for _e, p in short.positions] == [("pass",)]


def test_two_bridges_of_one_unit_never_meet_unless_tied() -> None:
    b = Builder()
    b.add("combined_inverter", "T1", dc_v=24, ac_v=120, leg2_phase="L1")
    b.add("bus_bar", "B1")
    b.run("W1", "T1.leg1", "B1.bar", **AC)
    assert met(b)[2].conflicts == ()
    b.run("W2", "T1.leg2", "B1.bar", **AC)
    snapshot, _circuit, meeting = met(b)
    (conflict,) = meeting.conflicts
    assert names(snapshot, meeting) == {("T1", "T1")}
    assert {conflict.one.line, conflict.other.line} == {"leg1", "leg2"}
    assert conflict.positions == ((conflict.one.equipment, ("invert",)),)
    assert conflict.automatic == (conflict.one.equipment,)


def test_passing_shore_through_is_no_meeting_even_beside_a_bypass() -> None:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("inverter_charger", "T1", dc_v=24, ac_v=120)
    b.run("W1", "X1.out", "T1.ac_in", **AC)
    assert met(b)[2].conflicts == ()
    b.add("load", "E1", ac_v=120)
    b.run("W2", "T1.ac_out", "E1.in", **AC)
    assert met(b)[2].conflicts == ()
    b.run("W3", "X1.out", "E1.in", **AC)  # a bypass that nothing opens
    snapshot, _circuit, meeting = met(b)
    (conflict,) = meeting.conflicts
    assert conflict.positions == ((conflict.other.equipment, ("invert",)),)
    assert names(snapshot, meeting) == {("X1", "T1")}


def test_only_both_records_together_allow_parallel_running() -> None:
    for both in (False, True):
        b = Builder()
        first = b.add("inverter", "T1", dc_v=24, ac_v=230)
        second = b.add("inverter", "T2", dc_v=24, ac_v=230, parallel_with=(first,))
        if both:
            b.set("T1", parallel_with=(second,))
        b.run("W1", "T1.ac_out", "T2.ac_out", **AC)
        assert len(met(b)[2].conflicts) == (0 if both else 1)
