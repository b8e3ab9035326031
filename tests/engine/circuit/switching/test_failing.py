"""What a failure leaves of the supply of essential loads."""

from __future__ import annotations

from engine.books import load
from engine.builder import Builder
from engine.circuit.switching.results import Cell, FailureTable
from engine.equipment.switching.switching_module import Channel
from engine.study import Study

AC = {"function": "ac", "size": "10 AWG", "length_m": 1.0}
DC = {"function": "dc pair", "size": "6 AWG", "length_m": 1.0}


def study(b: Builder) -> Study:
    return Study(b.installation.snapshot(), load("trade-na"))


def cell(made: Study, load_name: str, kind: str, failed: str) -> Cell:
    table = made.failure_table
    names = [made.name(item) for item in table.loads]
    for j, failure in enumerate(table.failures):
        if failure.kind == kind and made.name(failure.item) == failed:
            return table.cells[names.index(load_name)][j]
    raise AssertionError(f"no failure {kind} of {failed}: {failed_names(made, table)}")


def failed_names(made: Study, table: FailureTable) -> list[tuple[str, str]]:
    return [(f.kind, made.name(f.item)) for f in table.failures]


def sources(made: Study, of: Cell) -> list[str]:
    return [made.name(way.source) for way in of.ways]


def two_banks(**relay: object) -> Builder:
    """A service bank with a panel, a start bank, a charging relay between, one essential load each way."""
    b = Builder()
    for name in ("G1", "G2"):
        b.add("battery_bank", name, unit_v=12, unit_ah=100)
    b.add("battery_switch", "Q1", poles=("+",))
    b.add("charging_relay", "K1", poles=("+",), **relay)
    b.add("bus_bar", "W1")
    b.run("R1", "G1.pos", "Q1.in", **DC)
    b.run("R2", "Q1.out", "W1.bar", **DC)
    b.run("R3", "W1.bar", "K1.a", **DC)
    b.run("R4", "K1.b", "G2.pos", **DC)
    for n in (1, 2):
        b.add("circuit_breaker", f"F{n}", rating_a=10, poles=("+",))
        b.add("load", f"E{n}", dc_v=12, power_w=30, essential=True)
        b.run(f"R1{n}", "W1.bar", f"F{n}.in", **DC)
        b.run(f"R2{n}", f"F{n}.out", f"E{n}.in", **DC)
    return b


def test_a_flat_bank_leaves_the_other_through_the_relay() -> None:
    made = study(two_banks())
    left = cell(made, "E1", "bank", "G1")
    assert sources(made, left) == ["G2"]
    (way,) = left.ways
    assert [(made.name(item), every) for item, every in way.positions] == [("K1", ("closed",))]
    assert way.automatic  # the relay moves by itself
    assert not left.is_dark


def test_a_switch_that_stays_open_darkens_what_hangs_behind_it() -> None:
    b = two_banks()
    made = study(b)
    assert sources(made, cell(made, "E1", "device", "Q1")) == ["G2"]
    assert sources(made, cell(made, "E1", "device", "K1")) == ["G1"]


def test_what_one_load_alone_hangs_on_is_its_own_circuit() -> None:
    made = study(two_banks())
    table = made.failure_table
    assert [[made.name(i) for i in own] for own in table.own] == [["F1"], ["F2"]]
    assert ("device", "F1") not in failed_names(made, table)
    from engine.circuit.switching.failing import failure_table

    everything = failure_table(made.snapshot, made.feeding, everything=True)
    j = failed_names(made, everything).index(("device", "F1"))
    assert everything.cells[0][j].is_dark
    assert everything.cells[1][j].unchanged


def test_control_lost_does_what_is_recorded() -> None:
    opens = study(two_banks(on_loss="opens"))
    assert sources(opens, cell(opens, "E1", "control", "K1")) == ["G1"]
    closes = study(two_banks(on_loss="closes"))
    assert sources(closes, cell(closes, "E1", "control", "K1")) == ["G1", "G2"]
    by_hand = study(two_banks(on_loss="opens", manual_override=True))
    assert cell(by_hand, "E1", "control", "K1").unchanged


def test_what_is_not_recorded_is_named_and_taken_as_opening() -> None:
    made = study(two_banks())
    left = cell(made, "E1", "control", "K1")
    assert left.failure.missing == ("K1.on_loss",)
    assert "K1.on_loss" in left.failure.taken
    assert sources(made, left) == ["G1"]


def module(**channel: object) -> Builder:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12, unit_ah=100)
    b.add(
        "switching_module",
        "K1",
        network="boat",
        channels=(Channel(number=1, rating_a=10, **channel), Channel(number=2, rating_a=10, on_network_loss="on")),
    )
    b.run("R1", "G1.pos", "K1.supply", **DC)
    for n in (1, 2):
        b.add("load", f"E{n}", dc_v=12, power_w=30, essential=True)
        b.run(f"R1{n}", f"K1.ch{n}", f"E{n}.in", **DC)
    return b


def test_a_network_lost_takes_the_channels_that_go_off() -> None:
    made = study(module(on_network_loss="off"))
    assert cell(made, "E1", "network", "K1").is_dark
    assert cell(made, "E2", "network", "K1").unchanged
    by_hand = study(module(on_network_loss="off", override=True))
    assert cell(by_hand, "E1", "network", "K1").unchanged
    unsaid = study(module())
    assert cell(unsaid, "E1", "network", "K1").is_dark
    assert cell(unsaid, "E1", "network", "K1").failure.missing == ("K1.channels[0].on_network_loss",)


def test_a_management_that_shuts_its_bank_off_opens_its_contactor() -> None:
    b = Builder()
    bank = b.add("battery_bank", "G1", unit_v=24, unit_ah=100, chemistry="LFP")
    b.add("alternator", "G3", dc_v=24, rating_a=50)
    contactor = b.add("contactor", "K1", poles=("+",))
    b.add("battery_management", "A1", batteries=(bank,), opens=(contactor,))
    b.add("bus_bar", "W1")
    b.add("load", "E1", dc_v=24, power_w=30, essential=True)
    b.run("R1", "G1.pos", "K1.in", **DC)
    b.run("R2", "K1.out", "W1.bar", **DC)
    b.run("R3", "G3.pos", "W1.bar", **DC)
    b.run("R4", "W1.bar", "E1.in", **DC)
    made = study(b)
    left = cell(made, "E1", "bank", "G1")
    assert left.failure.held == ((contactor, ("open",)),)
    assert left.is_dark  # an alternator wants a battery beside it
    assert [way.source for way in left.fed.ways] == [
        next(i for i, r in made.snapshot.equipment.items() if r.designation == "G3")
    ]


def test_no_state_told_joins_two_sources() -> None:
    """Both breakers closed would join shore and generator: neither way names that."""
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=230)
    b.add("generator", "G1", ac_v=230)
    b.add("bus_bar", "W1")
    b.add("load", "E1", ac_v=230, power_w=100, essential=True)
    for name, source in (("Q1", "X1"), ("Q2", "G1")):
        b.add("circuit_breaker", name, rating_a=16, poles=("L1", "N"), used_as_switch=True)
        b.run(f"V{name}", f"{source}.out", f"{name}.in", **AC)
        b.run(f"U{name}", f"{name}.out", "W1.bar", **AC)
    b.run("R9", "W1.bar", "E1.in", **AC)
    made = study(b)
    (fed,) = made.failure_table.normal
    assert {made.name(way.source) for way in fed.ways} == {"X1", "G1"}
    for way in fed.ways:
        assert list(dict(way.state).values()).count("closed") == 1
    assert sources(made, cell(made, "E1", "unit", "X1")) == ["G1"]


def test_a_search_cut_short_is_not_decided() -> None:
    """With a budget of one condition nothing is decided, and nothing is called dark."""
    made = study(two_banks())
    made.budget = 1
    left = cell(made, "E1", "bank", "G1") if made.failure_table.failures else None
    (first, _second) = made.failure_table.normal
    assert set(map(made.name, first.undecided)) == {"G1", "G2"}
    assert left is None or not left.is_dark


def test_a_converter_that_follows_charging_brings_nothing_from_a_bank() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=24, unit_ah=100)
    b.add("alternator", "G3", dc_v=24, rating_a=50)
    b.add("dc_dc_converter", "T2", in_v=24, out_v=12, output_a=20, runs_when="input is charging")
    b.add("load", "E1", dc_v=12, power_w=30, essential=True)
    b.run("R1", "G1.pos", "T2.in", **DC)
    b.run("R2", "G3.pos", "T2.in", **DC)
    b.run("R3", "T2.out", "E1.in", **DC)
    made = study(b)
    (fed,) = made.failure_table.normal
    assert [made.name(way.source) for way in fed.ways] == ["G3"]
    b.set("T2", runs_when="always")
    made = study(b)
    (fed,) = made.failure_table.normal
    assert {made.name(way.source) for way in fed.ways} == {"G1", "G3"}
