"""One line stands for several conductors: what the circuit of a drawing is made of."""

from __future__ import annotations

import dis

import pytest

from engine.builder import Builder
from engine.circuit.expand import expand
from engine.equipment import kinds


@pytest.mark.parametrize("kind", kinds())
def test_a_kind_says_when_its_terminals_depend_on_its_fields(kind: str) -> None:
    """`expand` asks a kind once where they do not."""
    cls = kinds()[kind]
    reads_fields = any(
        i.opname.startswith("LOAD_FAST") and i.argval == "self" for i in dis.get_instructions(cls.terminals)
    )
    assert reads_fields == cls.TERMINALS_VARY


def test_a_run_joins_the_conductors_its_function_lists() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.0)
    b.add("load", "E1", dc_v=12.0)
    b.run("W1", "G1.pos", "E1.in")
    circuit = expand(b.installation.snapshot())
    assert [(w.conductor, circuit.nodes[w.a].terminal, circuit.nodes[w.b].terminal) for w in circuit.wires] == [
        ("+", "pos", "in"),
        ("-", "pos", "in"),
    ]
    assert circuit.refused == []
    assert circuit.assumed_returns == []


def test_a_positive_without_a_negative_returns_undrawn() -> None:
    b = Builder()
    bank = b.add("battery_bank", "G1", unit_v=12.0)
    load = b.add("load", "E1", dc_v=12.0)
    b.run("W1", "G1.pos", "E1.in", function="dc positive")
    assert expand(b.installation.snapshot()).assumed_returns == [bank, load]


def test_a_conductor_that_a_terminal_does_not_carry_is_refused() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.0)
    b.add("load", "E1", dc_v=12.0)
    item = b.run("W1", "E1.in", "G1.neg", function="dc positive")
    circuit = expand(b.installation.snapshot())
    assert circuit.refused == [(item, "to", "+")]
    assert len(circuit.wires) == 1  # drawn all the same, to a node of its own
    assert circuit.node(*circuit.nodes[circuit.wires[0].b]) == circuit.wires[0].b


def test_a_signal_is_no_part_of_the_power_circuit() -> None:
    b = Builder()
    b.add("alternator", "G1", dc_v=12.0)
    b.add("alternator_regulator", "A1")
    b.run("W1", "A1.field", "G1.field", function="signal")
    circuit = expand(b.installation.snapshot())
    assert circuit.wires == []
    assert circuit.nodes == []


def test_poles_open_and_other_conductors_pass_straight() -> None:
    b = Builder()
    b.add("shore_supply", "G1", ac_v=230.0)
    b.add("circuit_breaker", "Q1", rating_a=16, poles=("L1", "N"))
    b.add("load", "E1", ac_v=230.0)
    b.run("W1", "G1.out", "Q1.in", function="ac")
    b.run("W2", "Q1.out", "E1.in", function="ac")
    circuit = expand(b.installation.snapshot())
    links = {link.conductor: link for link in circuit.links if circuit.nodes[link.a].terminal == "in"}
    assert links["L1"].positions == links["N"].positions == frozenset({"closed"})
    assert links["L1"].protection is not None
    assert links["N"].protection is None  # a neutral is opened with the line, not protected by it
    assert links["PE"].positions is None
