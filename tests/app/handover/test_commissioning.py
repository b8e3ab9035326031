"""The commissioning sheet: every test the drawing asks for, with what is expected, and nothing invented."""

from __future__ import annotations

import pytest

from app.handover.documents.commissioning import make
from app.handover.job import Job
from app.paper.table import Table, as_rows
from engine.builder import Builder
from engine.circuit.neutrals import bonded_in, neutrals
from engine.installation import Condition, Setting
from engine.picture import Text
from engine.rules.example_boats import set_condition

Rows = list[dict[str, object]]


def made(b: Builder) -> dict[str, Table]:
    return {table.name: table for table in make(Job.of(b.installation.snapshot())).tables}


def rows(b: Builder, name: str) -> Rows:
    return as_rows(made(b)[name])


def ac_boat(*, bonds_neutral: bool | None = True) -> Builder:
    """Shore or inverter by a changeover of both poles, one socket, residual-current protection."""
    b = Builder(name="Sandling")
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, neutral_earthed=True)
    b.add("shore_inlet", "X1", ac_v=230, rating_a=16)
    b.add("generator", "G2", ac_v=230, rating_a=20, bonds_neutral=bonds_neutral)
    b.add("changeover", "S1", poles=("L1", "N"), has_off=True)
    b.add("residual_current_device", "Q1", rating_a=16, residual_ma=30, residual_ms=100, poles=("L1", "N"))
    b.add("socket_outlet", "X2", ac_v=230, rating_a=16, quantity=2, label="Galley", expected_w=500)
    b.run("W1", "G9.out", "X1.shore", function="ac", size="2.5 mm2", length_m=10)
    b.run("W2", "X1.out", "S1.one", function="ac", size="2.5 mm2", length_m=2)
    b.run("W3", "G2.out", "S1.two", function="ac", size="2.5 mm2", length_m=2)
    b.run("W4", "S1.common", "Q1.in", function="ac", size="2.5 mm2", length_m=1)
    b.run("W5", "Q1.out", "X2.in", function="ac", size="2.5 mm2", length_m=4)
    return b


def _condition(b: Builder, name: str, position: str, *running: str) -> None:
    ids = {r.designation: i for i, r in b.installation.snapshot().equipment.items()}
    b._new(
        "conditions",
        Condition(
            name=name,
            settings=(Setting(equipment=ids["S1"], position=position),),
            running=tuple(ids[r] for r in running),
        ),
    )


def test_the_bond_of_each_source_is_asked_where_it_feeds() -> None:
    b = ac_boat()
    _condition(b, "Alongside", "1", "G9")
    _condition(b, "At sea", "2", "G2")
    told = {(r["condition"], str(r["source"])[:2]): str(r["expected"]) for r in rows(b, "neutral-bonds")}
    assert told == {
        ("Alongside", "G9"): "bonded once, at G9 Shore supply",
        ("At sea", "G2"): "bonded once, at G2 Generator",
    }


def test_a_source_without_a_bond_and_one_with_two_are_told() -> None:
    b = ac_boat(bonds_neutral=False)
    _condition(b, "At sea", "2", "G2")
    (row,) = rows(b, "neutral-bonds")
    assert "no bond is drawn" in str(row["expected"])
    b = ac_boat()
    b.set("S1", poles=("L1",))  # the neutral passes straight: both bonds meet
    _condition(b, "At sea", "2", "G2")
    (row,) = rows(b, "neutral-bonds")
    assert "more than one" in str(row["expected"])


def test_where_the_neutral_is_bonded_follows_the_switches() -> None:
    b = ac_boat()
    study = Job.of(b.installation.snapshot()).study
    ids = {r.designation: i for i, r in study.snapshot.equipment.items()}
    (shore,) = [n for n in neutrals(study) if n.item == ids["G9"]]
    closed = {item: "closed" for item, r in study.snapshot.equipment.items() if "closed" in r.positions()}
    assert bonded_in(study, shore, closed | {ids["S1"]: "1"}) == (ids["G9"],)
    straight = ac_boat()
    straight.set("S1", poles=("L1",))
    study = Job.of(straight.installation.snapshot()).study
    (shore,) = [n for n in neutrals(study) if n.item == ids["G9"]]
    assert bonded_in(study, shore, closed | {ids["S1"]: "2"}) == (ids["G2"], ids["G9"])


def test_every_outlet_of_a_symbol_is_a_test_of_its_own() -> None:
    told = [str(r["outlet"]) for r in rows(ac_boat(), "polarity")]
    assert told == ["X1 Shore inlet", "X2 Galley, outlet 1 of 2", "X2 Galley, outlet 2 of 2"]


def test_residual_current_is_asked_with_the_recorded_limits() -> None:
    (row,) = rows(ac_boat(), "residual-current")
    assert (row["trips"], row["within"], row["ma"], row["ms"]) == ("30 mA", "100 ms", None, None)
    b = ac_boat()
    b.set("Q1", residual_ma=None)
    told = rows(b, "residual-current")
    assert not told or told[0]["trips"] is None


def test_the_wrong_order_is_tried_both_ways_against_each_interlock() -> None:
    b = Builder()
    for name in ("Q1", "Q2", "Q3"):
        b.add("circuit_breaker", name, rating_a=16)
    b.interlock("Q1", "Q2", name="slide")
    b.interlock("Q1", "Q2", "Q3", at_most=2, name="three")
    told = [(r["interlock"], r["first"], r["then"]) for r in rows(b, "interlocks")]
    assert len([t for t in told if t[0] == "slide"]) == 2
    three = [t for t in told if t[0] == "three"]
    assert len(three) == 3
    assert all("and" in str(first) for _n, first, _t in three)


def test_expected_ohms_are_those_of_the_conductor() -> None:
    """1.5 mm² copper: at most 12.1 Ω/km at 20 °C (IEC 60228:2004 table 2, class 2); twice the length twice the ohms."""
    b = Builder()
    b.add("bus_bar", "WE1")
    b.add("earth_point", "X9")
    b.run("W1", "WE1.bar", "X9.at", function="earth", size="1.5 mm2", length_m=100)
    (row,) = rows(b, "continuity")
    ohms = float(str(row["expected"]).split()[0])
    assert 1.1 < ohms < 1.35


def test_torque_is_asked_where_it_is_recorded_and_the_rest_is_counted() -> None:
    b = ac_boat()
    table = made(b).get("torque")
    assert table is None
    document = make(Job.of(b.installation.snapshot()))
    assert any("torques to be checked are not known" in gap for gap in document.gaps)


@pytest.mark.parametrize("part", ["polarity", "residual-current", "neutral-bonds", "insulation", "interlocks"])
def test_an_empty_drawing_has_no_such_test_and_says_so(part: str) -> None:
    document = make(Job.of(Builder().installation.snapshot()))
    assert part not in {table.name for table in document.tables}
    assert document.gaps


def test_what_goes_is_not_tested() -> None:
    b = ac_boat()
    b.set("X2", status="to remove")
    assert [str(r["outlet"]) for r in rows(b, "polarity")] == ["X1 Shore inlet"]


def test_no_reading_is_filled_in_and_nothing_certifies() -> None:
    document = make(Job.of(ac_boat().installation.snapshot()))
    for table in document.tables:
        for column, values in zip(table.columns, zip(*table.rows, strict=True), strict=True):
            if column.blank or column.tick:
                assert set(values) <= {None, ""}
    words = " ".join(p.text for page in document.pictures for p in page.primitives if isinstance(p, Text))
    assert "Nothing here certifies anything" in words
    assert "Signature" in words


def test_floats_name_the_pump_they_start() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.8, unit_ah=100)
    b.add("float_switch", "B1", label="Low float")
    b.add("motor", "M1", label="Bilge pump", dc_v=12, power_w=60)
    b.run("W1", "G1.pos", "B1.in", size="14 AWG", length_m=1)
    b.run("W2", "B1.out", "M1.in", size="14 AWG", length_m=1)
    (row,) = rows(b, "floats")
    assert (row["float"], row["starts"]) == ("B1 Low float", "M1 Bilge pump")
    (drop,) = rows(b, "voltage-drop")
    assert drop["found_a"] is None
    assert float(str(drop["drop"])) > 0


def _bow(**load: object) -> Builder:
    """A lamp with hours in the only condition, and beside it what has none."""
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12.8, unit_ah=100, chemistry="LFP")
    b.add("bus_bar", "X1", purpose="pair")
    b.add("load", "E1", dc_v=12, power_w=60, label="Lamp")
    b.add("motor", "M3", label="Windlass", dc_v=12, running_a=40, power_w=480, **load)
    b.run("W1", "G1.pos", "X1.bar", size="2 AWG", length_m=1)
    b.run("W2", "X1.bar", "E1.in", size="12 AWG", length_m=2)
    b.run("W3", "X1.bar", "M3.in", size="6 AWG", length_m=4)
    set_condition(b, "At anchor", {"E1": 5.0})
    return b


def test_a_load_without_hours_is_measured_as_drawn_and_each_row_names_its_source() -> None:
    told = {str(r["load"]): r for r in rows(_bow(), "voltage-drop")}
    assert told["E1 Lamp"]["condition"] == "At anchor"
    windlass = told["M3 Windlass"]
    assert windlass["condition"] == "as drawn, every load on"
    assert float(str(windlass["amps"])) > 30
    assert {r["source"] for r in told.values()} == {"G1"}
    volts = float(str(windlass["source_v"])) - float(str(windlass["load_v"]))
    assert abs(volts / 12 - float(str(windlass["drop"])) / 100) < 0.01


def test_a_load_in_no_row_is_named_with_the_reason() -> None:
    b = _bow(service="engine starter")
    b.add("load", "E2", dc_v=12, power_w=10, label="Loose lamp")
    b.add("load", "E3", dc_v=12, power_w=10, label="Old lamp", status="to remove")
    table = made(b)["voltage-drop"]
    assert [row[0] for row in table.rows] == ["E1 Lamp"]
    said = "\n".join(table.notes)
    assert "M3 Windlass is in no row: it draws only while the engine starts" in said
    assert "E2 Loose lamp is in no row: nothing feeds it" in said
    assert "E3 Old lamp" in said


def test_no_more_than_its_rating_is_held_for_an_hour() -> None:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12.8, unit_ah=100, chemistry="LFP")
    for n, rating in ((1, 10.0), (2, 40.0)):
        b.add("fuse", f"F{n}", rating_a=rating)
        b.add("load", f"E{n}", dc_v=12, current_a=20.0)
        b.run(f"W{n}1", "G1.pos", f"F{n}.in", size="6 AWG", length_m=1)
        b.run(f"W{n}2", f"F{n}.out", f"E{n}.in", size="6 AWG", length_m=1)
    table = made(b)["hot-spots"]
    told = {str(r["place"]).split()[0]: r for r in as_rows(table)}
    assert told["F1"]["share"] == "200"
    assert told["F1"]["test"] == "≤ 10"
    assert told["F2"]["test"] == told["F2"]["amps"]
    (over,) = [note for note in table.notes if "not to be held" in note]
    assert over.startswith("F1: ")
