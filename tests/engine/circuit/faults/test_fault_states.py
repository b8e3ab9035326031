"""Which states of the switches a fault is looked at in, and the path of a weakest source."""

from __future__ import annotations

from typing import Any

import pytest

from engine.circuit.expand import expand
from engine.circuit.faults._paths import reach, ways
from engine.circuit.faults.states import choices
from engine.circuit.solve.network import Network


def told(yard: Any) -> Any:
    snapshot = yard.installation.snapshot()
    return choices(snapshot, expand(snapshot))


def panel(yard: Any, *breakers: str) -> None:
    yard.add("shore_supply", "G1", ac_v=240, breaker_a=50, fault_a=1000)
    yard.add("bus_bar", "X1")
    yard.join("G1.out", "X1.bar", "ac")
    for number, name in enumerate(breakers):
        yard.add("circuit_breaker", name, rating_a=20, poles=("L1", "N"))
        yard.add("load", f"E{number}", ac_v=240, power_w=100, power_factor=1.0)
        yard.join("X1.bar", f"{name}.in", "ac")
        yard.join(f"{name}.out", f"E{number}.in", "ac")


def test_what_no_interlock_holds_stands_closed_and_makes_one_state(yard: Any) -> None:
    panel(yard, "Q1", "Q2")
    found = told(yard)
    assert {found.fixed[yard._ids[name]] for name in ("Q1", "Q2")} == {"closed"}
    assert found.of_system == {"dc": [()], "ac": [()]}


def test_devices_that_interlocks_tie_together_are_looked_at_together(yard: Any) -> None:
    panel(yard, "Q1", "Q2", "Q3")
    yard.interlock("Q1", "Q2")
    yard.interlock("Q2", "Q3")
    states = [dict(state) for state in told(yard).of_system["ac"]]
    q1, q2, q3 = (yard._ids[name] for name in ("Q1", "Q2", "Q3"))
    # of the five that are permitted, the two that no other contains; nearest to the drawing first
    assert states == [
        {q1: "closed", q2: "open", q3: "closed"},
        {q1: "open", q2: "closed", q3: "open"},
    ]


def test_two_of_three_may_stand_closed(yard: Any) -> None:
    panel(yard, "Q1", "Q2", "Q3")
    yard.interlock("Q1", "Q2", "Q3", at_most=2)
    states = told(yard).of_system["ac"]
    assert len(states) == 3
    assert all(sum(position == "closed" for _item, position in state) == 2 for state in states)


def test_an_inverter_with_a_relay_is_looked_at_in_both_its_positions(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12, short_circuit_a=1000)
    yard.add("inverter_charger", "T1", dc_v=12, ac_v=120)
    yard.add("load", "E1", ac_v=120, power_w=100, power_factor=1.0)
    yard.join("G1.pos", "T1.dc", "dc pair")
    yard.join("T1.ac_out", "E1.in", "ac")
    found = told(yard)
    assert {position for state in found.of_system["ac"] for _item, position in state} == {"invert", "pass"}


def test_too_many_states_are_not_looked_at_one_by_one(yard: Any) -> None:
    names = [f"Q{number}" for number in range(1, 15)]
    panel(yard, *names)
    for one, other in zip(names[::2], names[1::2], strict=True):
        yard.interlock(one, other)
    assert told(yard).of_system["ac"] is None  # 2 to the power of 7
    assert told(yard).of_system["dc"] == [()]


def test_the_path_of_least_impedance_tells_what_it_passes() -> None:
    net = Network(4)
    net.branch(0, 1, 0.01)
    net.branch(1, 2, 0.02)
    direct = net.branch(0, 2, 0.05)
    dark = net.branch(2, 3, 0.0)
    found = reach(ways(net), 0, {dark: ("W4.size",)}, {})
    assert found.ohms[2] == pytest.approx(0.03)
    assert found.gaps == {3: ("W4.size",)}
    # a contact that stands open is passed only where there is no other way
    shut = {1: ("Q1", "closed")}
    assert reach(ways(net), 0, {}, shut).branch[2] == direct
    alone = Network(2)
    alone.branch(0, 1, 0.01)
    assert reach(ways(alone), 0, {}, {0: ("Q1", "closed")}).positions == {1: (("Q1", "closed"),)}


def test_a_diode_is_passed_one_way_and_senseless_ohms_are_no_way() -> None:
    net = Network(3)
    net.diode(0, 1, 0.001)
    net.branch(0, 2, float("nan"))
    assert set(reach(ways(net), 0, {}, {}).ohms) == {0, 1}
    assert set(reach(ways(net), 1, {}, {}).ohms) == {1}
