"""What no boat has, drawn all the same: never an exception, and a sentence where something cannot be solved."""

from __future__ import annotations

import math
from typing import Any

import msgspec
import pytest

from engine.books import load
from engine.circuit.expand import expand
from engine.circuit.flow.flow import flow
from engine.circuit.flow.operating import operation
from engine.circuit.flow.results import Flow
from engine.circuit.flow.starting import starts


def _with(yard: Any, equipment: dict[str, dict[str, Any]], runs: dict[str, dict[str, Any]]) -> Flow:
    """The yard's boat with fields that a file would not be let in with."""
    snapshot = yard.installation.snapshot()
    for table, changes in (("equipment", equipment), ("runs", runs)):
        for item, record in list(snapshot.tables[table].items()):
            if record.designation in changes:
                snapshot.tables[table][item] = msgspec.structs.replace(record, **changes[record.designation])
    circuit, book = expand(snapshot), load("trade-na")
    found = flow(snapshot, circuit, operation(snapshot), book)
    starts(snapshot, circuit, (operation(snapshot),), book)
    assert all(sentence and "\n" not in sentence for _item, sentence in found.not_solved)
    return found


def _boat(yard: Any) -> Any:
    yard.add("battery_bank", "G1", unit_v=12.0, internal_resistance_ohm=0.010)
    yard.add("fuse", "F1", rating_a=50)
    yard.add("motor", "M1", dc_v=12, power_w=100, starting_a=60, essential=True)
    yard.cable("W1", "G1.pos", "F1.in", "10 mm2", 1)
    yard.cable("W2", "F1.out", "M1.in", "10 mm2", 5)
    return yard


CASES: dict[str, tuple[dict[str, dict[str, Any]], dict[str, dict[str, Any]]]] = {
    "0 V nominal": ({"G1": {"unit_v": 0.0}}, {}),
    "negative volts": ({"G1": {"unit_v": -12.0}}, {}),
    "no volts": ({"G1": {"unit_v": None}}, {}),
    "volts that are no number": ({"G1": {"unit_v": math.nan}}, {}),
    "negative resistance": ({"G1": {"internal_resistance_ohm": -0.01}}, {}),
    "1e-9 ohm": ({"G1": {"internal_resistance_ohm": 1e-9}}, {}),
    "1e6 A": ({"M1": {"power_w": None, "running_a": 1e6, "starting_a": 1e6}}, {}),
    "1e9 W": ({"M1": {"power_w": 1e9}}, {}),
    "infinite power": ({"M1": {"power_w": math.inf}}, {}),
    "negative power": ({"M1": {"power_w": -100.0}}, {}),
    "no power": ({"M1": {"power_w": 0.0}}, {}),
    "power not known": ({"M1": {"power_w": None, "starting_a": None}}, {}),
    "0 V load": ({"M1": {"dc_v": 0.0}}, {}),
    "volts of both kinds": ({"M1": {"ac_v": 230.0}}, {}),
    "an AC motor on a DC run": ({"M1": {"dc_v": None, "ac_v": 230.0}}, {}),
    "rating 0": ({"F1": {"rating_a": 0.0}}, {}),
    "rating not known": ({"F1": {"rating_a": None}}, {}),
    "no length": ({}, {"W2": {"length_m": None}}),
    "negative length": ({}, {"W2": {"length_m": -5.0}}),
    "length 0": ({}, {"W1": {"length_m": 0.0}, "W2": {"length_m": 0.0}}),
    "1e9 m": ({}, {"W2": {"length_m": 1e9}}),
    "1e-9 m": ({}, {"W2": {"length_m": 1e-9}}),
    "no size": ({}, {"W2": {"size": ""}}),
    "a size that cannot be read": ({}, {"W2": {"size": "thick"}}),
    "no parallel conductor": ({}, {"W2": {"parallel": 0}}),
    "no place": ({}, {"W2": {"places": ()}}),
    "a run from a terminal to itself": ({}, {"W2": {"to_end": None}}),
}


@pytest.mark.parametrize("case", CASES)
def test_absurd_figures(yard: Any, case: str) -> None:
    equipment, runs = CASES[case]
    boat = _boat(yard)
    if case == "a run from a terminal to itself":
        record = next(r for r in boat.installation.snapshot().runs.values() if r.designation == "W2")
        runs = {"W2": {"to_end": record.from_end}}
    found = _with(boat, equipment, runs)
    whole = max(1.0, found.sources_w)
    assert abs(found.sources_w - found.loads_w - found.losses_w) <= 1e-6 * whole
    for told in (*found.runs, *found.loads):
        for figure in (told.amps, told.drop_v, told.drop_pct):
            assert figure is None or math.isfinite(figure)


def test_a_battery_of_no_volts_is_told(yard: Any) -> None:
    found = _with(_boat(yard), {"G1": {"unit_v": 0.0}}, {})
    assert "G1 has 0 V, so nothing flows from it" in [said for _item, said in found.contradictions]
    assert found.loads[0].collapsed


def test_a_negative_load_is_told_by_its_label(yard: Any) -> None:
    found = _with(_boat(yard), {"M1": {"power_w": -100.0}}, {})
    assert "M1 takes -100 W, which nothing can; it is left out" in [said for _item, said in found.not_solved]


def test_a_negative_resistance_is_told(yard: Any) -> None:
    found = _with(_boat(yard), {"G1": {"internal_resistance_ohm": -0.01}}, {})
    assert "G1 has a negative resistance; it is taken as none" in [said for _item, said in found.not_solved]


def test_an_empty_drawing(yard: Any) -> None:
    told = yard.flow()
    assert told.flow.converged
    assert told.flow.runs == told.flow.nodes == told.flow.not_solved == ()
    assert yard.study().starts == ()


def test_a_ring_of_conductors(yard: Any) -> None:
    boat = _boat(yard)
    boat.add("bus_bar", "WC1")
    boat.add("bus_bar", "WC2")
    for name, start, end in (("W3", "WC1.bar", "WC2.bar"), ("W4", "WC2.bar", "WC1.bar"), ("W5", "WC2.bar", "M1.in")):
        boat.cable(name, start, end, "10 mm2", 3)
    told = boat.flow()
    assert told.run("W3").amps == pytest.approx(0, abs=1e-6)
    assert told.flow.converged


def test_two_supplies_on_one_bus(yard: Any) -> None:
    for number, volts in ((1, 120.0), (2, 230.0)):
        yard.add("shore_supply", f"G{number}", ac_v=volts, frequency_hz=50)
    yard.cable("W1", "G1.out", "G2.out", "2.5 mm2", 10, function="ac")
    told = yard.flow()
    assert told.flow.converged
    assert told.run("W1").amps > 100


def test_a_live_conductor_without_return(yard: Any) -> None:
    yard.add("shore_supply", "G1", ac_v=230, frequency_hz=50)
    yard.add("load", "E1", ac_v=230, power_w=100, power_factor=1.0)
    yard.cable("W1", "G1.out", "E1.in", "2.5 mm2", 10, function="ac", neutral=False)
    told = yard.flow()
    assert [said for _item, said in told.flow.not_solved] == ["E1: no return arrives at it, so nothing flows"]
