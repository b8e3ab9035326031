"""What conducts to what, seen through the circuit that `engine.circuit.expand` makes of a drawing."""

from __future__ import annotations

from typing import Any

import pytest

from engine.builder import Builder
from engine.circuit.expand import Circuit, expand
from engine.equipment import kinds
from engine.equipment.base import Protection


def around(kind: str, runs: dict[str, dict[str, Any]], **fields: Any) -> Circuit:
    """One piece of equipment `X` with a run at each terminal named, to a bus bar of its own."""
    b = Builder()
    b.add(kind, "X", **fields)
    for terminal, run in runs.items():
        b.add("bus_bar", f"B-{terminal}")
        b.run(f"W-{terminal}", f"X.{terminal}", f"B-{terminal}.bar", **run)
    return expand(b.installation.snapshot())


def paths(circuit: Circuit, position: str = "") -> set[tuple[str, str, str, str]]:
    """`(terminal, conductor, terminal, conductor)` that conduct in a position, both ways round."""
    found = set()
    for link in circuit.links:
        if link.positions is None or position in link.positions:
            a, b = circuit.nodes[link.a], circuit.nodes[link.b]
            found.add((a.terminal, a.conductor, b.terminal, b.conductor))
            if not link.one_way:
                found.add((b.terminal, b.conductor, a.terminal, a.conductor))
    return found


def trips(circuit: Circuit) -> dict[str, Protection]:
    """The protective device on each conductor."""
    return {link.conductor: link.protection for link in circuit.links if link.protection is not None}


DC: dict[str, Any] = {}
NEGATIVE = {"function": "dc negative"}
AC = {"function": "ac"}
SPLIT = {"function": "ac", "phases": "L1 L2"}


def test_a_breaker_opens_its_poles_and_passes_the_rest() -> None:
    circuit = around("circuit_breaker", {"in": AC, "out": AC}, poles=("L1", "N"), untripped=("N",), rating_a=16)
    assert paths(circuit, "open") == {("in", "PE", "out", "PE"), ("out", "PE", "in", "PE")}
    assert {p[1] for p in paths(circuit, "closed")} == {"L1", "N", "PE"}
    assert trips(circuit) == {"L1": Protection(16, "breaker")}


def test_a_fuse_in_a_pair_protects_the_positive_only() -> None:
    circuit = around("fuse", {"in": DC, "out": DC}, rating_a=40)
    assert {p[1] for p in paths(circuit)} == {"+", "-"}
    assert trips(circuit) == {"+": Protection(40, "fuse")}


def test_an_empty_holder_is_a_device_of_unknown_rating() -> None:
    assert trips(around("fuse_holder", {"in": DC, "out": DC})) == {"+": Protection(None, "fuse", "link_a")}


@pytest.mark.parametrize(("combined", "rating"), [(True, 25), (False, None), (None, None)])
def test_a_residual_current_device_trips_on_overcurrent_only_when_combined(
    combined: bool | None, rating: float | None
) -> None:
    circuit = around("residual_current_device", {"in": AC, "out": AC}, overcurrent=combined, rating_a=25)
    assert trips(circuit).get("L1", Protection(None)).rating_a == rating
    assert {p[1] for p in paths(circuit, "open")} == {"PE"}
    assert kinds()["residual_current_device"](overcurrent=combined, rating_a=25).through_limit("in") == (  # type: ignore[call-arg]
        None if combined else 25
    )


def test_a_selector_joins_both_banks_in_both_only() -> None:
    circuit = around("selector", {"one": DC, "two": DC, "common": DC})
    ends = {
        position: {a for a, conductor, b, _c in paths(circuit, position) if conductor == "+" and b == "common"}
        for position in ("off", "1", "both", "2")
    }
    assert ends == {"off": set(), "1": {"one"}, "both": {"one", "two"}, "2": {"two"}}


def test_a_selector_turns_in_a_ring() -> None:
    moves = set(kinds()["selector"]().moves())
    assert ("off", "1") in moves
    assert ("2", "off") in moves
    assert ("1", "2") not in moves
    assert ("off", "both") not in moves


def test_a_changeover_passes_through_off_where_it_has_one() -> None:
    with_off, without = kinds()["changeover"](), kinds()["changeover"](has_off=False)  # type: ignore[call-arg]
    assert with_off.positions() == ("0", "1", "2")
    assert ("1", "2") not in with_off.moves()
    assert without.positions() == ("1", "2")
    assert set(without.moves()) == {("1", "2"), ("2", "1")}
    circuit = around("changeover", {"one": AC, "two": AC, "common": AC}, poles=("L1", "N"))
    assert {p[1] for p in paths(circuit, "0")} == {"PE"}
    assert ("one", "L1", "common", "L1") in paths(circuit, "1")
    assert ("two", "L1", "common", "L1") not in paths(circuit, "1")


def test_a_diode_isolator_lets_no_bank_feed_another() -> None:
    circuit = around("diode_isolator", {"in": DC, "out1": DC, "out2": DC})
    positive = {(a, b) for a, conductor, b, _c in paths(circuit) if conductor == "+"}
    assert positive == {("in", "out1"), ("in", "out2")}
    assert ("out1", "-", "in", "-") in paths(circuit)


def test_each_channel_of_a_module_has_a_trip_of_its_own() -> None:
    cls = kinds()["switching_module"]
    channels = [{"number": 1, "rating_a": 20}, {"number": 4, "rating_a": 20, "fuse_a": 15}, {"number": 5}]
    b = Builder()
    b.add("switching_module", "X")
    b.set("X", channels=channels)
    record = next(iter(b.installation.equipment.values()))
    assert isinstance(record, cls)
    assert [t.name for t in record.terminals()] == ["supply", "ch1", "ch4", "ch5", "neg"]
    protections = {c.b: c.protection for c in record.contacts() if c.protection is not None}
    assert protections == {
        "ch1": Protection(20, "electronic", "channels[0].rating_a"),
        "ch4": Protection(15, "fuse", "channels[1].fuse_a"),
        "ch5": Protection(None, "electronic", "channels[2].rating_a"),
    }


def test_a_transfer_relay_passes_no_line_it_does_not_have() -> None:
    circuit = around("inverter_charger", {"ac_in": SPLIT, "ac_out": SPLIT}, phases="L1")
    assert {p[1] for p in paths(circuit, "pass")} == {"L1", "N", "PE"}
    assert {p[1] for p in paths(circuit, "invert")} == {"PE"}
    assert {p[1] for p in paths(circuit, "off")} == {"PE"}


def test_an_inverter_charger_bonds_its_neutral_only_when_inverting() -> None:
    circuit = around("inverter_charger", {"ac_in": AC, "ac_out": AC}, bonds_neutral=True)
    bond = ("ac_out", "N", "ac_out", "PE")
    assert bond in paths(circuit, "invert")
    assert bond not in paths(circuit, "pass")
    assert bond not in paths(around("inverter_charger", {"ac_in": AC, "ac_out": AC}), "invert")


def test_a_single_line_feeds_both_legs_of_a_combined_inverter() -> None:
    leg2 = {"function": "ac", "phases": "L2"}
    runs = {"ac_in": AC, "leg1": AC, "leg2": leg2}
    circuit = around("combined_inverter", runs, input_phases="L1")
    assert ("ac_in", "L1", "leg1", "L1") in paths(circuit, "pass")
    assert ("ac_in", "L1", "leg2", "L2") in paths(circuit, "pass")
    assert not [p for p in paths(circuit, "invert") if p[1].startswith("L")]
    split = around("combined_inverter", {**runs, "ac_in": SPLIT})
    assert ("ac_in", "L2", "leg2", "L2") in paths(split, "pass")
    assert ("ac_in", "L1", "leg2", "L2") not in paths(split, "pass")


@pytest.mark.parametrize("passes", [True, False, None])
def test_an_isolation_transformer_passes_earth_only_where_recorded(passes: bool | None) -> None:
    circuit = around("isolation_transformer", {"primary": AC, "secondary": AC}, passes_earth=passes)
    assert {p[1] for p in paths(circuit)} == ({"PE"} if passes else set())


def test_a_transformer_passes_no_live_conductor() -> None:
    circuit = around("polarisation_transformer", {"primary": AC, "secondary": AC}, passes_earth=True)
    assert {p[1] for p in paths(circuit)} == {"PE"}


@pytest.mark.parametrize(("isolated", "joined"), [(True, set()), (None, set()), (False, {"-"})])
def test_a_converter_shares_its_negative_only_where_it_is_not_isolated(isolated: bool | None, joined: set[str]) -> None:
    assert {p[1] for p in paths(around("dc_dc_converter", {"in": DC, "out": DC}, isolated=isolated))} == joined


def test_an_adapter_that_feeds_both_legs_puts_one_line_on_two() -> None:
    circuit = around("shore_adapter", {"in": AC, "out": SPLIT}, feeds_both_legs=True)
    assert ("in", "L1", "out", "L2") in paths(circuit)
    no_earth = around("shore_adapter", {"in": AC, "out": AC}, passes_earth=False)
    assert {p[1] for p in paths(no_earth)} == {"L1", "N"}


def test_an_earthed_block_joins_negative_and_bonding() -> None:
    b = Builder()
    b.add("engine", "M1", return_path="block")
    b.add("engine", "M2", return_path="isolated")
    for number in ("1", "2"):
        b.add("bus_bar", f"N{number}")
        b.add("bus_bar", f"E{number}")
        b.run(f"W{number}", f"M{number}.block", f"N{number}.bar", function="dc negative")
        b.run(f"V{number}", f"M{number}.block", f"E{number}.bar", function="bonding")
    circuit = expand(b.installation.snapshot())
    assert [b.installation.equipment[link.equipment].designation for link in circuit.links] == ["M1"]


def test_a_shunt_opens_nothing() -> None:
    circuit = around("shunt", {"in": DC, "out": DC}, rating_a=500, drop_mv=50)
    assert {p[1] for p in paths(circuit)} == {"+", "-"}
    assert trips(circuit) == {}


def test_a_galvanic_isolator_carries_a_fault() -> None:
    earth = {"function": "earth"}
    assert {p[1] for p in paths(around("galvanic_isolator", {"in": earth, "out": earth}))} == {"PE"}


def test_a_negative_drawn_apart_is_the_negative_of_the_pair() -> None:
    for kind, terminal in (("battery_bank", "pos"), ("load", "in"), ("charger", "dc"), ("solar_array", "pos")):
        assert (terminal, "-", "neg", "-") in paths(around(kind, {terminal: DC, "neg": NEGATIVE}))
