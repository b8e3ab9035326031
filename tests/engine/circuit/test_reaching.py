"""Which sources can feed a point: in some permitted state, not with every contact closed at once."""

from __future__ import annotations

import pytest

from engine.books import load
from engine.builder import Builder
from engine.study import Study


def _feeding(b: Builder, designation: str, terminal: str, conductor: str) -> set[str]:
    snapshot = b.installation.snapshot()
    study = Study(snapshot, load("trade-na"))
    item = next(i for i, record in snapshot.equipment.items() if record.designation == designation)
    node = study.circuit.node(item, terminal, conductor)
    assert node is not None
    return {snapshot.name(feed.equipment) for feed in study.reaching.feeds(node)}


def _two_banks(kind: str) -> Builder:
    """Two banks on a switch, a bus behind it."""
    b = Builder()
    for n in ("1", "2"):
        b.add("battery_bank", f"G{n}", unit_v=12)
    b.add(kind, "Q1")
    b.add("bus_bar", "X1")
    b.run("W1", "G1.pos", "Q1.one", size="2 AWG", length_m=1)
    b.run("W2", "G2.pos", "Q1.two", size="2 AWG", length_m=1)
    b.run("W3", "Q1.common", "X1.bar", size="2 AWG", length_m=1)
    return b


def test_a_selector_joins_its_banks_in_both() -> None:
    assert _feeding(_two_banks("selector"), "G1", "pos", "+") == {"G1", "G2"}


def test_a_changeover_never_joins_its_sides() -> None:
    b = _two_banks("changeover")
    assert _feeding(b, "G1", "pos", "+") == {"G1"}
    assert _feeding(b, "X1", "bar", "+") == {"G1", "G2"}


@pytest.mark.parametrize("held", [True, False], ids=["slide", "no slide"])
def test_a_slide_parts_shore_and_generator(held: bool) -> None:
    b = Builder()
    b.add("shore_supply", "G1", ac_v=120, breaker_a=30)
    b.add("generator", "G2", ac_v=120, rating_a=30)
    b.add("bus_bar", "X1")
    for n in ("1", "2"):
        b.add("circuit_breaker", f"Q{n}", rating_a=30, poles=("L1", "N"), used_as_switch=True)
        b.run(f"W1{n}", f"G{n}.out", f"Q{n}.in", function="ac")
        b.run(f"W2{n}", f"Q{n}.out", "X1.bar", function="ac")
    if held:
        b.interlock("Q1", "Q2")
    assert _feeding(b, "Q1", "in", "L1") == ({"G1"} if held else {"G1", "G2"})
    assert _feeding(b, "X1", "bar", "L1") == {"G1", "G2"}


def test_a_bridge_does_not_feed_its_own_input() -> None:
    """An inverter/charger passes its input or inverts, never both."""
    b = Builder()
    b.add("shore_supply", "G1", ac_v=120, breaker_a=30)
    b.add("battery_bank", "G2", unit_v=12)
    b.add("inverter_charger", "T1", dc_v=12, ac_v=120, output_limit_a=20)
    b.add("load", "E1", ac_v=120, power_w=500)
    b.run("W1", "G1.out", "T1.ac_in", function="ac")
    b.run("W2", "G2.pos", "T1.dc", size="2/0 AWG", length_m=1)
    b.run("W3", "T1.ac_out", "E1.in", function="ac")
    assert _feeding(b, "T1", "ac_in", "L1") == {"G1"}
    assert _feeding(b, "E1", "in", "L1") == {"G1", "T1"}
