"""Twelve small networks with their variants, each with the class of every end that is not covered.

Judged by the book of the tests: a conductor carries 1 A a mm2, devices no more than that; 7 in bare, 40 in sheathed,
72 in sheathed at a battery. Rings, parallel conductors, sums of feeds, back-feed and far ends are what walking to the
nearest fuse gets wrong.
"""

from __future__ import annotations

from typing import Any

import pytest

from engine.books import load
from engine.builder import Builder
from engine.circuit.coverage import Uncovered
from engine.study import Study

RATING = "rating-above-ampacity"
FAR = "far-from-source"
FAR_END = "far-end-unprotected"
NONE = "no-protection"
BYPASS = "bypass-unprotected"


class Net(Builder):
    """A 12 V boat in inches and amperes."""

    def __init__(self) -> None:
        super().__init__(book="k1")

    def bank(self, name: str) -> None:
        self.add("battery_bank", name, unit_v=12.8)

    def fuse(self, name: str, amps: float | None) -> None:
        self.add("fuse", name, rating_a=amps)

    def wire(
        self, name: str, a: str, b: str, amps: float | None, inches: float | None, sheath: Any = "bare", **more: Any
    ) -> None:
        more.setdefault("function", "dc positive")
        self.run(
            name,
            a,
            b,
            size="" if amps is None else f"{amps:g} mm2",
            length_m=None if inches is None else inches * 0.0254,
            sheath=sheath,
            **more,
        )

    def load(self, name: str, at: str, amps: float, fuse: float, inches: float = 2, far: float = 100) -> None:
        """A load behind a fuse close to `at`."""
        self.fuse(f"F{name}", fuse)
        self.add("load", name, dc_v=12.0, current_a=1.0)
        self.wire(f"W{name}1", at, f"F{name}.in", amps, inches)
        self.wire(f"W{name}2", f"F{name}.out", f"{name}.in", amps, far)

    def study(self, book: str = "k1") -> Study:
        return Study(self.installation.snapshot(), load(book))

    def uncovered(self, book: str = "k1") -> tuple[Uncovered, ...]:
        return self.study(book).coverage.uncovered

    def found(self, book: str = "k1") -> set[tuple[str, str, str]]:
        """(rule, run, end) of everything uncovered; a rule in brackets could not be judged."""
        study = self.study(book)
        return {(u.slug if u.judged else f"({u.slug})", study.name(u.run), u.end) for u in study.coverage.uncovered}


# T1: one bank, one main fuse
def t1(inches: float, sheath: str) -> Net:
    net = Net()
    net.bank("B")
    net.fuse("F1", 200)
    net.add("bus_bar", "X1")
    net.wire("W1", "B.pos", "F1.in", 250, inches, sheath)
    net.wire("W2", "F1.out", "X1.bar", 250, 60)
    net.load("E1", "X1.bar", 20, 15)
    return net


@pytest.mark.parametrize(
    ("inches", "sheath", "expected"),
    [
        (4, "bare", set()),
        (7, "bare", set()),
        (7.1, "bare", {(FAR, "W1", "from")}),
        (30, "bare", {(FAR, "W1", "from")}),
        (30, "sheathed", set()),
        (72, "sheathed", set()),
        (72.1, "enclosed", {(FAR, "W1", "from")}),
        (80, "sheathed", {(FAR, "W1", "from")}),
    ],
)
def test_t1_distance_from_the_battery(inches: float, sheath: str, expected: set[tuple[str, str, str]]) -> None:
    assert t1(inches, sheath).found() == expected


# T2: two banks and a link
def t2(second_fuse: bool) -> Net:
    net = Net()
    net.bank("A")
    net.bank("B")
    net.fuse("F1", 100)
    net.wire("W1", "A.pos", "F1.in", 120, 6)
    if second_fuse:
        net.fuse("F2", 100)
        net.wire("W2", "F1.out", "F2.in", 120, 80)
        net.wire("W3", "F2.out", "B.pos", 120, 6)
    else:
        net.wire("W2", "F1.out", "B.pos", 120, 80)
    return net


def test_t2_the_far_end_of_a_link() -> None:
    assert t2(False).found() == {(FAR_END, "W2", "to")}
    assert t2(True).found() == set()


# T3: two fused banks on one feeder
def t3(joint: str, drawn: str = "", lock: bool = False) -> Net:
    net = Net()
    for side in ("A", "B"):
        net.bank(side)
        net.fuse(f"F{side}", 100)
        net.wire(f"W{side}1", f"{side}.pos", f"F{side}.in", 100, 6)
    if joint == "bus":
        net.add("bus_bar", "X1")
        for side in ("A", "B"):
            net.wire(f"W{side}2", f"F{side}.out", "X1.bar", 100, 30)
        start = "X1.bar"
    elif joint in ("selector", "changeover"):
        net.add(joint, "S1", in_position=drawn)
        net.wire("WA2", "FA.out", "S1.one", 100, 30)
        net.wire("WB2", "FB.out", "S1.two", 100, 30)
        start = "S1.common"
    else:
        net.add("bus_bar", "X1")
        for side in ("A", "B"):
            net.add("battery_switch", f"Q{side}", in_position=drawn if side == "B" else "closed")
            net.wire(f"W{side}2", f"F{side}.out", f"Q{side}.in", 100, 30)
            net.wire(f"W{side}3", f"Q{side}.out", "X1.bar", 100, 30)
        if lock:
            net.interlock("QA", "QB")
        start = "X1.bar"
    net.fuse("FL", 20)
    net.add("load", "E1", dc_v=12.0, current_a=1.0)
    net.wire("W9", start, "FL.in", 150, 120)
    net.wire("W10", "FL.out", "E1.in", 20, 50)
    return net


def test_t3_a_sum_of_feeds() -> None:
    assert t3("bus").found() == {(RATING, "W9", "from")}
    (end,) = t3("bus").uncovered()
    assert end.amps == 200
    assert end.allowed_a == 150
    assert t3("changeover").found() == set()


@pytest.mark.parametrize(("drawn", "rule"), [("1", BYPASS), ("both", RATING), ("off", RATING)])
def test_t3_a_selector_that_joins_both(drawn: str, rule: str) -> None:
    net = t3("selector", drawn)
    assert net.found() == {(rule, "W9", "from")}
    (end,) = net.uncovered()
    named = {net.study().name(item): position for item, position in end.positions}
    assert named == ({} if drawn == "both" else {"S1": "both"})


def test_t3_two_switches_with_and_without_interlock() -> None:
    assert t3("switches", "open", lock=True).found() == set()
    net = t3("switches", "open")
    assert net.found() == {(BYPASS, "W9", "from")}
    (end,) = net.uncovered()
    assert {net.study().name(item): position for item, position in end.positions} == {"QA": "closed", "QB": "closed"}


# T4: an alternator that limits itself
def t4(fuse_at: str, charger: bool = False, limiting: bool | None = True) -> Net:
    net = Net()
    net.bank("B")
    net.fuse("F1", 80)
    net.add("alternator", "G2", dc_v=12.0, rating_a=60, self_limiting=limiting)
    if fuse_at == "battery":
        net.wire("W1", "B.pos", "F1.in", 80, 6)
        net.wire("W2", "F1.out", "G2.pos", 80, 80)
    else:
        net.wire("W2", "B.pos", "F1.in", 80, 80)
        net.wire("W1", "F1.out", "G2.pos", 80, 6)
    if charger:
        net.add("charger", "T1", dc_v=12.0, charge_a=40, self_limiting=True)
        net.wire("W3", "G2.pos", "T1.dc", 60, 90)
    return net


def test_t4_a_self_limited_source_needs_no_device() -> None:
    assert t4("battery").found() == set()
    assert t4("alternator").found() == {(FAR, "W2", "from")}


def test_t4_but_self_limited_sources_add() -> None:
    net = t4("battery", charger=True)
    # the battery's own lead is fed 60 + 40 A too, through its fuse no more than 80
    assert net.found() == {(RATING, "W2", "to"), (RATING, "W3", "from")}
    amps = {net.study().name(u.run): u.amps for u in net.uncovered()}
    assert amps == {"W2": 100, "W3": 140}


def test_t4_one_that_does_not_and_one_of_which_nobody_knows() -> None:
    assert t4("battery", limiting=False).found() == {(FAR_END, "W2", "to")}
    net = t4("battery", limiting=None)
    assert net.found() == {(f"({FAR_END})", "W2", "to")}
    assert net.uncovered()[0].missing == ("G2.self_limiting",)
    # the trade takes an ordinary alternator as limiting itself
    wide = Net()
    wide.bank("B")
    wide.fuse("F1", 80)
    wide.add("alternator", "G2", dc_v=12.0, rating_a=60)
    place = {"places": ("cabin",), "insulation_c": 105.0, "bundle": 1}
    wide.place("cabin", "accommodation")
    wide.run("W1", "B.pos", "F1.in", size="4 AWG", length_m=0.1, sheath="bare", function="dc positive", **place)
    wide.run("W2", "F1.out", "G2.pos", size="4 AWG", length_m=3, sheath="bare", function="dc positive", **place)
    assert wide.found("trade-na") == set()
    assert wide.found("us-33cfr183") == {(f"({FAR_END})", "W2", "to")}


# T5: taps of a cranking circuit
def t5(inches: float, sheath: str, alternator: bool = False) -> Net:
    net = Net()
    net.bank("B")
    net.add("battery_switch", "Q1")
    net.add("motor", "M1", dc_v=12.0)
    net.wire("W1", "B.pos", "Q1.in", 50, 40, exempt="cranking")
    net.wire("W2", "Q1.out", "M1.in", 50, 60, exempt="cranking")
    if alternator:
        net.add("alternator", "G2", dc_v=12.0, rating_a=60, self_limiting=True)
        net.wire("W3", "M1.in", "G2.pos", 60, inches, sheath)
    else:
        net.fuse("F1", 15)
        net.add("load", "E1", dc_v=12.0, current_a=1.0)
        net.wire("W3", "Q1.out", "F1.in", 25, inches, sheath)
        net.wire("W4", "F1.out", "E1.in", 25, 100)
    return net


@pytest.mark.parametrize(
    ("inches", "sheath", "alternator", "expected"),
    [
        (30, "bare", False, {(FAR, "W3", "from")}),
        (30, "sheathed", False, set()),
        (41, "sheathed", False, {(FAR, "W3", "from")}),
        (30, "sheathed", True, set()),
        (60, "sheathed", True, {(NONE, "W3", "from")}),  # no device anywhere, and too long to do without
    ],
)
def test_t5_taps_of_a_cranking_circuit(
    inches: float, sheath: str, alternator: bool, expected: set[tuple[str, str, str]]
) -> None:
    assert t5(inches, sheath, alternator).found() == expected


# T6: a ring main
def t6(cable: float, feeds: dict[str, float]) -> Net:
    net = Net()
    for name in ("R0", "R1", "R2"):
        net.add("junction", name)
    for point, amps in feeds.items():
        net.bank(f"B{point}")
        net.fuse(f"F{point}", amps)
        net.wire(f"W{point}1", f"B{point}.pos", f"F{point}.in", 200, 4)
        net.wire(f"W{point}2", f"F{point}.out", f"{point}.at", 200, 50)
    for a, b in (("R0", "R1"), ("R1", "R2"), ("R2", "R0")):
        net.wire(f"{a}-{b}", f"{a}.at", f"{b}.at", cable, 100)
    return net


def test_t6_a_ring() -> None:
    ring = {"R0-R1", "R1-R2", "R2-R0"}
    assert t6(100, {"R0": 100}).found() == set()
    small = t6(60, {"R0": 100}).found()
    assert {run for _rule, run, _end in small} == ring
    assert {rule for rule, _run, _end in small} == {RATING}
    # 60 A from both ways
    both = t6(100, {"R0": 60, "R1": 60})
    assert {run for _rule, run, _end in both.found()} == ring
    assert {u.amps for u in both.uncovered()} == {120}


# T7: conductors in parallel
def t7(cables: int, fused_each: bool, declared: bool = False) -> Net:
    net = Net()
    net.bank("B")
    net.fuse("F0", 200)
    net.add("bus_bar", "X1")
    net.add("bus_bar", "X2")
    net.wire("W0", "B.pos", "F0.in", 300, 4)
    net.wire("W1", "F0.out", "X1.bar", 300, 40)
    if declared:
        net.wire("P1", "X1.bar", "X2.bar", 110, 120, parallel=cables)
    else:
        for i in range(1, cables + 1):
            start = "X1.bar"
            if fused_each:
                net.fuse(f"F{i}", 100)
                net.wire(f"V{i}", start, f"F{i}.in", 300, 4)
                start = f"F{i}.out"
            net.wire(f"P{i}", start, "X2.bar", 110, 120)
    net.load("E1", "X2.bar", 60, 50)
    return net


def test_t7_parallel_conductors() -> None:
    assert t7(2, False, declared=True).found() == set()
    bad = t7(2, False).found()
    assert bad == {(RATING, "P1", "from"), (RATING, "P1", "to"), (RATING, "P2", "from"), (RATING, "P2", "to")}
    assert t7(2, True).found() == set()
    # the far end of each sees the other two
    assert t7(3, True).found() == {(RATING, f"P{i}", "to") for i in (1, 2, 3)}


# T8: taps of reduced size
def t8(inches: float, device: float | None = 40, exempt: str = "") -> Net:
    net = Net()
    net.bank("B")
    net.fuse("F1", 200)
    net.add("bus_bar", "X1")
    net.wire("W1", "B.pos", "F1.in", 220, 5)
    net.wire("W2", "F1.out", "X1.bar", 220, 60)
    net.add("load", "E1", dc_v=12.0, current_a=1.0)
    if device is None:
        net.wire("W3", "X1.bar", "E1.in", 50, inches, exempt=exempt)
    else:
        net.fuse("F2", device)
        net.wire("W3", "X1.bar", "F2.in", 50, inches, exempt=exempt)
        net.wire("W4", "F2.out", "E1.in", 50, 90)
    return net


def test_t8_taps() -> None:
    bad = {(RATING, "W3", "from")}
    assert t8(5).found() == set()
    assert t8(12).found() == bad
    assert t8(5, None).found() == bad
    assert t8(5, None, "pigtail").found() == set()
    assert t8(7, None, "pigtail").found() == set()
    assert t8(9, None, "pigtail").found() == bad
    assert t8(5, 60).found() == bad | {(RATING, "W4", "from")}


def test_t8_a_tap_that_goes_on_in_a_thicker_conductor() -> None:
    """The thicker one is covered by the main fuse; the tap is not, and its way adds up."""

    def net(inches: float, device: float) -> Net:
        made = Net()
        made.bank("B")
        made.fuse("F1", 200)
        made.fuse("F2", device)
        made.add("bus_bar", "X1")
        made.add("terminal", "X2")
        made.add("load", "E1", dc_v=12.0, current_a=1.0)
        made.wire("W1", "B.pos", "F1.in", 220, 5)
        made.wire("W2", "F1.out", "X1.bar", 220, 60)
        made.wire("W3", "X1.bar", "X2.at", 50, 3)
        made.wire("W4", "X2.at", "F2.in", 220, inches)
        made.wire("W5", "F2.out", "E1.in", 220, 90)
        return made

    assert net(3, 40).found() == set()
    assert net(5, 40).found() == {(RATING, "W3", "from")}
    assert net(3, 60).found() == {(RATING, "W3", "from")}


# T9: an inverter and its bypass
def t9(lock: bool, bypass_fuse: bool = False) -> Net:
    net = Net()
    net.add("inverter", "T1", ac_v=230.0, output_limit_a=20)
    net.add("shore_supply", "G3", ac_v=230.0, breaker_a=50)
    net.add("circuit_breaker", "QIO", rating_a=63, poles=("L1", "N"), used_as_switch=True, in_position="closed")
    net.add("circuit_breaker", "QBP", rating_a=63, poles=("L1", "N"), used_as_switch=True, in_position="open")
    net.add("junction", "X1")
    net.add("load", "E1", ac_v=230.0, current_a=1.0)
    ac = {"function": "ac"}
    net.wire("W1", "T1.ac_out", "QIO.in", 63, 40, **ac)
    net.wire("W2", "QIO.out", "X1.at", 63, 40, **ac)
    start = "G3.out"
    if bypass_fuse:
        net.fuse("F1", 25)
        net.set("F1", conductor="L1")
        net.wire("W3", start, "F1.in", 63, 40, **ac)
        start = "F1.out"
    net.wire("W4", start, "QBP.in", 63, 40, **ac)
    net.wire("W5", "QBP.out", "X1.at", 63, 40, **ac)
    net.wire("W6", "X1.at", "E1.in", 25, 40, **ac)
    if lock:
        net.interlock("QIO", "QBP")
    return net


def test_t9_a_bypass_with_nothing_suited_to_the_conductor() -> None:
    net = t9(lock=True)
    assert net.found() == {(BYPASS, "W6", "from")}
    (end,) = net.uncovered()
    assert end.amps == 50
    assert {net.study().name(item): position for item, position in end.positions}["QBP"] == "closed"
    assert t9(lock=True, bypass_fuse=True).found() == set()
    without = t9(lock=False, bypass_fuse=True)
    assert without.found() == {(BYPASS, "W6", "from")}
    assert without.uncovered()[0].amps == 45


# T10: solar strings in parallel
def t10(strings: int) -> Net:
    net = Net()
    net.add("junction", "X1")
    for i in range(1, strings + 1):
        net.add("solar_array", f"G{i}", module_short_a=10.0, open_cold_v=44.0)
        net.wire(f"W{i}", f"G{i}.pos", "X1.at", 25, 100)
    return net


def test_t10_solar_strings() -> None:
    assert t10(3).found() == set()
    assert t10(4).found() == {(RATING, f"W{i}", "to") for i in range(1, 5)}


# T11: fused at both ends and still too thin
def test_t11_a_tie_fused_at_both_ends() -> None:
    net = Net()
    for side in ("A", "B"):
        net.bank(side)
        net.fuse(f"F{side}", 300)
        net.wire(f"W{side}", f"{side}.pos", f"F{side}.in", 300, 5)
    net.wire("W1", "FA.out", "FB.out", 100, 60)
    assert net.found() == {(RATING, "W1", "from"), (RATING, "W1", "to")}


def test_t11_a_tie_behind_a_selector_that_never_joins_the_banks() -> None:
    """Each bank alone is fused to suit; only both together would be too much, and 1-0-2 has no both."""
    assert t3("changeover", "1").found() == set()
    assert t3("changeover", "0").found() == set()


# T12: distances add up
@pytest.mark.parametrize(("first", "second", "bad"), [(4, 5, True), (4, 3, False), (2, 5, False), (3.5, 3.6, True)])
def test_t12_distances_add_up(first: float, second: float, bad: bool) -> None:
    net = Net()
    net.bank("B")
    net.add("terminal", "X1")
    net.fuse("F1", 40)
    net.add("load", "E1", dc_v=12.0, current_a=1.0)
    net.wire("W1", "B.pos", "X1.at", 250, first)
    net.wire("W2", "X1.at", "F1.in", 50, second)
    net.wire("W3", "F1.out", "E1.in", 50, 100)
    assert net.found() == ({(FAR, "W2", "from")} if bad else set())
    if bad:
        (end,) = net.uncovered()
        assert end.placed is not None
        assert end.placed.distance_m == pytest.approx((first + second) * 0.0254)
        assert len(end.placed.path) == 2


def test_t12_through_a_switch_and_a_bus() -> None:
    net = Net()
    net.bank("B")
    net.add("battery_switch", "Q1")
    net.add("bus_bar", "X1")
    net.fuse("F1", 40)
    net.add("load", "E1", dc_v=12.0, current_a=1.0)
    net.wire("W1", "B.pos", "Q1.in", 250, 4)
    net.wire("W2", "Q1.out", "X1.bar", 250, 2)
    net.wire("W3", "X1.bar", "F1.in", 50, 2)
    net.wire("W4", "F1.out", "E1.in", 50, 100)
    assert net.found() == {(FAR, "W3", "from")}
