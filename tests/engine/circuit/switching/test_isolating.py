"""What a person is told who wants something dead: order, what holds charge, what stays joined, what nothing parts."""

from __future__ import annotations

from pathlib import Path

from engine.books import load
from engine.builder import Builder
from engine.circuit.switching.isolating import isolate
from engine.circuit.switching.results import Isolation
from engine.files import drawing
from engine.study import Study

SAMPLES = Path(__file__).parents[4] / "samples"


def of(b: Builder, name: str) -> tuple[Isolation, list[tuple[str, str, str]]]:
    """What is told of an item, and its steps as (kind, designation, position)."""
    study = Study(b.installation.snapshot(), load("k1"))
    tables = (study.snapshot.equipment, study.snapshot.runs)
    item = next(i for table in tables for i, record in table.items() if record.designation == name)
    told = isolate(study, item)
    return told, [(s.kind, study.name(s.item), s.position) for s in told.steps]


def inverter(**switch: object) -> Builder:
    """Shore through a breaker, an inverter/charger, a bank behind a disconnect, a load."""
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=230)
    b.add("circuit_breaker", "Q1", rating_a=16, poles=("L1", "N"))
    b.add("inverter_charger", "T1", dc_v=12, ac_v=230)
    b.add("battery_switch", "Q2", **switch)
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1", ac_v=230, power_w=100)
    b.run("W1", "X1.out", "Q1.in", function="ac")
    b.run("W2", "Q1.out", "T1.ac_in", function="ac")
    b.run("W3", "T1.dc", "Q2.out", function="dc pair")
    b.run("W4", "Q2.in", "G1.pos", function="dc pair")
    b.run("W5", "T1.ac_out", "E1.in", function="ac")
    return b


def test_alternating_current_first_then_loads_the_unit_its_battery_its_capacitors() -> None:
    told, steps = of(inverter(), "T1")
    assert steps == [
        ("switch", "Q1", "open"),
        ("unload", "Q2", ""),
        ("stop", "T1", ""),
        ("switch", "Q2", "open"),
        ("wait", "T1", ""),
    ]
    assert told.remains == ()
    assert {(p.terminal, p.conductors) for p in told.prove} == {
        ("ac_in", ("L1", "N")), ("dc", ("+", "-")), ("ac_out", ("L1", "N"))
    }  # fmt: skip
    assert any("negative stays joined to G1" in note for note in told.notes)
    assert not any("neutral" in note for note in told.notes)  # Q1 opens it too
    assert "Q2.lockable" in told.missing


def test_what_breaks_load_needs_nothing_switched_off_before() -> None:
    _told, steps = of(inverter(breaks_load=True), "T1")
    assert steps == [("switch", "Q1", "open"), ("switch", "Q2", "open"), ("wait", "T1", "")]


def test_a_lock_is_told_as_it_is_recorded() -> None:
    told, _steps = of(inverter(breaks_load=True, lockable=True), "T1")
    assert [lock.can for lock in told.locks] == [None, True]


def test_a_bank_is_parted_by_nothing_and_that_is_said() -> None:
    told, _steps = of(inverter(), "G1")
    assert len(told.remains) == 1
    assert any("always live" in note for note in told.notes)


def test_both_ends_of_a_tie_are_opened() -> None:
    b = Builder()
    for n in ("1", "2"):
        b.add("battery_bank", f"G{n}", unit_v=12)
        b.add("battery_switch", f"Q{n}", breaks_load=True)
        b.run(f"W{n}", f"G{n}.pos", f"Q{n}.in")
    b.run("W3", "Q1.out", "Q2.out")
    told, steps = of(b, "W3")
    assert steps == [("switch", "Q1", "open"), ("switch", "Q2", "open")]
    assert {p.terminal for p in told.prove} == {"out"}


def test_an_array_is_covered_where_no_switch_parts_it() -> None:
    b = Builder()
    b.add("solar_array", "G1")
    b.add("solar_controller", "T1", dc_v=12, method="tracking")
    b.add("battery_switch", "Q1", breaks_load=True)
    b.add("battery_bank", "G2", unit_v=12)
    b.run("W1", "G1.pos", "T1.pv")
    b.run("W2", "T1.dc", "Q1.out")
    b.run("W3", "Q1.in", "G2.pos")
    _told, steps = of(b, "T1")
    assert steps == [("cover", "G1", ""), ("switch", "Q1", "open"), ("wait", "T1", "")]


def test_an_automatic_start_is_barred_before_the_generator_is_stopped() -> None:
    b = Builder()
    b.add("generator", "G1", ac_v=230, starting="automatic", manual_panel=True)
    b.add("load", "E1", ac_v=230)
    b.run("W1", "G1.out", "E1.in", function="ac")
    assert of(b, "E1")[1] == [("disable", "G1", ""), ("stop", "G1", "")]
    b.set("G1", manual_panel=False)
    told, steps = of(b, "E1")
    assert told.remains
    assert steps == []


def test_the_engine_stops_before_its_alternator_loses_the_battery() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("alternator", "G2", dc_v=12)
    b.add("battery_switch", "Q1", breaks_load=True)
    b.add("bus_bar", "W9")
    b.run("W1", "G1.pos", "Q1.in")
    b.run("W2", "Q1.out", "W9.bar")
    b.run("W3", "G2.pos", "W9.bar")
    _told, steps = of(b, "Q1")
    assert steps[0] == ("stop", "G2", "")
    _told, steps = of(b, "G1")  # the switch parts both; the machine must not be left without a battery
    assert steps == [("stop", "G2", ""), ("disable", "G2", ""), ("switch", "Q1", "open")]


def test_a_fuse_is_drawn_without_current_where_there_is_nothing_else() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "F1.in")
    b.run("W2", "F1.out", "E1.in")
    assert of(b, "E1")[1] == [("unload", "F1", ""), ("draw", "F1", "")]


def test_the_windings_of_a_transformer_feed_back() -> None:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=230)
    b.add("isolation_transformer", "T1", primary_v=230, secondary_v=230)
    b.add("circuit_breaker", "Q1", rating_a=16, poles=("L1", "N"))
    b.add("generator", "G1", ac_v=230, starting="by hand")
    b.run("W1", "X1.out", "T1.primary", function="ac")
    b.run("W2", "T1.secondary", "Q1.in", function="ac")
    b.run("W3", "Q1.out", "G1.out", function="ac")
    _told, steps = of(b, "X1")
    assert steps == [("switch", "Q1", "open"), ("unplug", "X1", "")]


def test_nothing_that_can_be_drawn_stops_it() -> None:
    """Every item of every sample: told, decided, and what is told as open stands so in the state given."""
    for name in ("launch", "ketch", "workboat"):
        snapshot = drawing.load(SAMPLES / name / f"{name}.linewright").installation.snapshot()
        study = Study(snapshot, load(snapshot.settings.book))
        for item in (*snapshot.equipment, *snapshot.runs):
            told = isolate(study, item)
            assert told.undecided == ()
            state = dict(told.state)
            assert all(state[s.item] == s.position for s in told.steps if s.kind == "switch")
