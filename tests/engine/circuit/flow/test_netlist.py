"""Where the drawing stands in the networks: points, branches, temperatures, what is left out and said so."""

from __future__ import annotations

from typing import Any

import pytest

from engine.circuit.flow.netlist import Netlist, netlist
from engine.circuit.flow.operating import operation


def _netlist(yard: Any, **facts: Any) -> Netlist:
    study = yard.study()
    return netlist(study.snapshot, study.circuit, operation(study.snapshot), study.book, **facts)


def _pair(yard: Any) -> Any:
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.010)
    yard.add("battery_switch", "Q1")
    yard.add("load", "E1", dc_v=12, current_a=10.0)
    yard.cable("W1", "G1.pos", "Q1.in", "10 mm2", 5, insulation_c=105)
    yard.cable("W2", "Q1.out", "E1.in", "10 mm2", 5, insulation_c=105)
    return yard


def test_every_conductor_but_earth_has_its_point_and_branch(yard: Any) -> None:
    _pair(yard)
    yard.add("earth_point", "X9")
    yard.cable("W3", "G1.neg", "X9.at", "10 mm2", 1, function="dc negative")
    yard.add("bonding_point", "X8")
    yard.cable("W4", "X9.at", "X8.at", "10 mm2", 1, function="bonding")
    built = _netlist(yard)
    for node, (system, point) in zip(built.circuit.nodes, built.at, strict=True):
        assert (system, point) == ("", -1) if node.conductor == "PE" else (system == "dc" and point >= 0)
    power = [number for number, wire in enumerate(built.circuit.wires) if wire.conductor != "PE"]
    assert sorted(built.wire) == power
    for number in power:
        system, branch = built.wire[number]
        wire, net = built.circuit.wires[number], built.nets[system]
        assert (net.a[branch], net.b[branch]) == (built.at[wire.a][1], built.at[wire.b][1])


@pytest.mark.parametrize(("temperature", "factor"), [("cold", 1.0), ("working", 1.0), ("hot", 1 + 0.00393 * 85)])
def test_conductors_by_temperature(yard: Any, temperature: str, factor: float) -> None:
    built = _netlist(_pair(yard), temperature=temperature)
    system, branch = built.wire[0]
    # 5 m x 1.91 mohm/m (IEC 60228, class 5) at the cabin's 20 degC; at the class of the insulation 85 K more
    assert built.nets[system].z[branch] == pytest.approx(5 * 1.91e-3 * factor)


def test_an_open_switch_is_no_branch(yard: Any) -> None:
    _pair(yard)
    closed = _netlist(yard)
    yard.set("Q1", in_position="open")
    assert len(closed.link) == len(_netlist(yard).link) + 1


def test_without_loads_and_with_every_source(yard: Any) -> None:
    _pair(yard)
    yard.add("alternator", "G2", dc_v=12, rating_a=60, hot_a=40, charge_v=14.4)
    yard.cable("W5", "G2.pos", "Q1.in", "10 mm2", 1)
    at_rest = _netlist(yard, loads=False)
    every = _netlist(yard, loads=False, sources="all")
    assert at_rest.loads == every.loads == []
    assert [built.name(s.equipment) for built in (at_rest,) for s in built.sources] == ["G1"]
    assert [(every.name(s.equipment), s.limit_a) for s in every.sources if not s.battery] == [("G2", 60)]


def test_a_generator_behind_its_reactance_or_regulated(yard: Any) -> None:
    yard.add("generator", "G1", ac_v=230, power_va=6900, frequency_hz=50, subtransient_pu=0.12)
    yard.add("load", "E1", ac_v=230, power_w=100, power_factor=1.0)
    yard.cable("W1", "G1.out", "E1.in", "2.5 mm2", 5, function="ac")
    # 6900 VA / 230 V = 30 A; 0.12 x 230 V / 30 A = 0.92 ohm
    assert _netlist(yard).nets["ac"].source_z == [pytest.approx(0.92j)]
    assert abs(_netlist(yard, regulated=True).nets["ac"].source_z[0]) < 1e-3


def test_three_phases_stand_a_third_of_a_turn_apart(yard: Any) -> None:
    yard.add("generator", "G1", ac_v=230, phases="L1 L2 L3", power_va=6900, frequency_hz=50)
    yard.add("load", "E1", ac_v=400, phases="L1 L2 L3", power_w=100, power_factor=1.0)
    yard.cable("W1", "G1.out", "E1.in", "2.5 mm2", 5, function="ac", phases="L1 L2 L3", neutral=False)
    net = _netlist(yard).nets["ac"]
    assert sum(net.emf) == pytest.approx(0, abs=1e-9)
    assert abs(net.emf[0] - net.emf[1]) == pytest.approx(398.37, abs=0.01)
    assert len(set(net.source_neg)) == 1  # one star point, though no neutral is drawn


def test_what_is_not_known_to_be_there_is_left_out_and_said(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=120, frequency_hz=60)
    yard.add("shore_adapter", "X1")
    yard.add("load", "E1", ac_v=120, phases="L2", power_w=100, power_factor=1.0)
    yard.cable("W1", "G1.out", "X1.in", "8 AWG", 1, function="ac")
    yard.cable("W2", "X1.out", "E1.in", "8 AWG", 1, function="ac", phases="L2")
    built = _netlist(yard)
    assert "X1: X1.feeds_both_legs is not recorded; the flow is told without that path" in built.assumed


def test_an_undrawn_negative_returns_to_the_nearest_drawn_one(yard: Any) -> None:
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.0)
    yard.add("bus_bar", "WC1")
    item = yard.add("load", "E1", dc_v=12, current_a=1.0)
    yard.cable("W1", "G1.pos", "WC1.bar", "50 mm2", 1)
    yard.cable("W2", "WC1.bar", "E1.in", "10 mm2", 4, function="dc positive")
    built = _netlist(yard)
    system, branch = built.returns[item]
    net = built.nets[system]
    assert net.z[branch] == pytest.approx(4 * 1.91e-3)
    assert {net.a[branch], net.b[branch]} == {built.undrawn[item], built.point(yard._ids["WC1"], "bar", "-")[1]}
