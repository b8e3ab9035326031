"""Schedules: what each row says of a small boat, and what is said where something is not recorded."""

from __future__ import annotations

from typing import Any

import msgspec

from app.handover.documents.schedules import SCHEDULES, make
from app.handover.job import Job, Options
from app.handover.parts.wanted import PartsWanted
from app.paper.table import Table, as_rows
from engine.builder import Builder
from engine.edits.edit import Put, apply
from engine.equipment.base import Breaking
from engine.installation import Condition, ConditionDuty
from engine.installation.records import Enclosure, End
from engine.rules.example_boats import set_condition

CABLE: dict[str, Any] = {"insulation_c": 105, "bundle": 1, "conductor": "tinned copper", "sheath": "sheathed"}
CABLE["places"] = ("Saloon",)


def boat(**vessel: Any) -> Builder:
    """A 12 V bank, its main fuse, a bus, a lamp and a pump behind fuses of their own, an alternator."""
    b = Builder(book="us-33cfr183", name="Sandling", hull="steel", **vessel)
    b.place("Saloon", "accommodation", 30)
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=100.0, chemistry="AGM", short_circuit_a=1200.0, usable_percent=50)
    b.add("fuse", "F1", rating_a=100, fuse_class="T", breaking=(Breaking(amps=20000, volts=125),))
    b.add("bus_bar", "X1", rating_a=200, purpose="pair", studs=4, stud_size="M8", label="Main bus")
    b.add("fuse", "F10", rating_a=15, rated_dc_v=32)
    b.add("fuse", "F2", rating_a=15, rated_dc_v=32)
    b.add("load", "E1", dc_v=12, current_a=10.0, label="Cabin lights", essential=False, service="lighting", quantity=1)
    b.add("load", "E2", dc_v=12, power_w=60.0, label="Bilge pump", essential=True, service="bilge pump")
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.2, **CABLE)
    b.run("W2", "F1.out", "X1.bar", size="2 AWG", length_m=1, **CABLE)
    b.run("W3", "X1.bar", "F2.in", size="10 AWG", length_m=0.1, **CABLE)
    b.run("W10", "X1.bar", "F10.in", size="10 AWG", length_m=0.1, **CABLE)
    b.run("W4", "F2.out", "E1.in", size="14 AWG", length_m=4, **CABLE)
    b.run("W11", "F10.out", "E2.in", size="14 AWG", length_m=6, **CABLE)
    set_condition(b, "At anchor", {"E1": 5.0, "E2": 0.5})
    return b


def tables(b: Builder, *only: str, options: Options | None = None) -> dict[str, Table]:
    options = (options or Options())._replace(schedules=only)
    return {table.name: table for table in make(Job.of(b.installation.snapshot(), options=options)).tables}


def rows(b: Builder, name: str, key: str) -> dict[str, dict[str, Any]]:
    return {row[key]: row for row in as_rows(tables(b, name)[name])}


def notes(b: Builder, name: str) -> str:
    return "\n".join(tables(b, name)[name].notes)


def changed(b: Builder, table: str, item: str, **fields: Any) -> None:
    record = b.installation.get(table, item)
    apply(b.installation, Put(table, item, msgspec.structs.replace(record, **fields)))


def run_id(b: Builder, designation: str) -> str:
    return next(i for i, r in b.installation.snapshot().runs.items() if r.designation == designation)


# -- devices ---------------------------------------------------------------------------------------------------------
def test_a_device_says_what_it_protects_and_feeds() -> None:
    told = rows(boat(), "devices", "device")
    assert list(told) == ["F1", "F2", "F10"]
    assert told["F2"]["protects"] == "W4 14 AWG"
    assert told["F2"]["ampacity_a"] == 35  # 33 CFR 183.425, Table 5: 14 AWG, 105 degC
    assert told["F2"]["feeds"] == "E1 Cabin lights"
    assert told["F2"]["rating_a"] == 15
    assert told["F2"]["system"] == "12 V DC"
    assert told["F2"]["poles"] == "1 (+)"
    # the short conductors to the next fuses hang on the main fuse too, which is too large for them
    assert told["F1"]["protects"].split("\n") == ["W2 2 AWG", "not by it: W3 10 AWG, W10 10 AWG"]
    assert told["F1"]["ampacity_a"] == 210  # Table 5: 2 AWG, 105 degC
    assert "each has one of its own near enough" in notes(boat(), "devices")
    assert told["F1"]["feeds"] == "X1 Main bus"
    assert (told["F1"]["breaks_a"], told["F1"]["breaks_v"]) == (20000, 125)


def test_a_small_source_does_not_protect_what_the_main_fuse_is_too_large_for() -> None:
    b = boat()
    b.add("alternator", "G2", dc_v=12, rating_a=20)
    b.add("fuse", "F8", rating_a=30)
    b.run("W6", "G2.pos", "F8.in", size="10 AWG", length_m=1, **CABLE)
    b.run("W7", "F8.out", "X1.bar", size="10 AWG", length_m=0.1, **CABLE)
    assert "W3 10 AWG" not in rows(b, "devices", "device")["F8"]["protects"].split("not by it")[0]
    assert rows(b, "runs", "run")["W3"]["device"] == "placed at F2"


def test_a_conductor_in_a_finding_is_not_told_as_protected() -> None:
    b = boat()
    b.run("W5", "X1.bar", "E2.in", size="16 AWG", length_m=4, **CABLE)
    told = rows(b, "devices", "device")["F1"]
    assert "NOT PROTECTED, see the findings: W5 16 AWG" in told["protects"]
    assert told["ampacity_a"] == 210
    assert rows(b, "runs", "run")["W5"]["device"] == "not protected: see the findings"


def test_the_fault_is_that_of_the_study() -> None:
    b = boat()
    job = Job.of(b.installation.snapshot())
    found = {one.designation: one for one in job.study.faults.devices}
    told = rows(b, "devices", "device")
    for name, one in found.items():
        assert one.max_a is not None
        assert abs(float(told[name]["fault_a"]) - one.max_a) <= 0.5 + 0.005 * one.max_a
    assert told["F1"]["fault_a"] > told["F2"]["fault_a"] > 0


def test_a_device_fed_from_both_sides_protects_both() -> None:
    b = boat()
    b.add("alternator", "G2", dc_v=12, rating_a=40)
    b.run("W5", "G2.pos", "X1.bar", size="6 AWG", length_m=2, **CABLE)
    told = rows(b, "devices", "device")["F1"]
    assert "W1 2 AWG" in told["protects"]
    assert "W5 6 AWG" in told["protects"]
    assert "G1" in told["feeds"]


def test_what_the_study_cannot_say_is_not_known_and_named() -> None:
    b = boat()
    b.set("F2", rating_a=None)
    changed(b, "runs", run_id(b, "W4"), size="")
    told = rows(b, "devices", "device")["F2"]
    assert told["rating_a"] is None
    assert told["ampacity_a"] is None
    assert told["breaks_a"] is None
    assert told["protects"] == "W4 (size not known)"
    said = notes(b, "devices")
    assert "rated current of the link of F2" in said
    assert "conductor size of W4" in said
    assert "breaking capacity of F2, F10" in said


def test_a_device_that_nothing_feeds_does_not_look_settled() -> None:
    b = Builder(name="Sandling")
    b.add("fuse", "F1", rating_a=10)
    b.add("load", "E1", dc_v=12, power_w=5)
    b.run("W1", "F1.out", "E1.in", size="14 AWG", length_m=1, **CABLE)
    told = rows(b, "devices", "device")["F1"]
    assert told["fault_a"] is None
    assert told["protects"] is None
    assert "F1: nothing drawn feeds it" in notes(b, "devices")


def test_the_breaker_ashore_is_a_device_too() -> None:
    b = Builder(name="Sandling")
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, frequency_hz=50)
    b.add("shore_inlet", "X1", ac_v=230, rating_a=16)
    b.run("W1", "G9.out", "X1.shore", function="ac", size="2.5 mm2", length_m=10, **CABLE)
    told = rows(b, "devices", "device")["in G9"]
    assert told["kind"] == "circuit breaker, ashore"
    assert told["rating_a"] == 16
    assert told["protects"] == "W1 2.5 mm²"
    assert told["system"] == "230 V AC"


def test_split_phase_and_three_phases_are_told_by_both_their_volts() -> None:
    # a source records line to neutral, a plate what is between the lines
    made = ((120, 240, "L1 L2", "120/240 V AC"), (230, 400, "L1 L2 L3", "230/400 V AC"))
    for volts, between, phases, told in made:
        b = Builder(name="Sandling")
        b.add("generator", "G2", ac_v=volts, rating_a=30, phases=phases)
        b.add("circuit_breaker", "Q1", rating_a=30, poles=tuple(phases.split()))
        b.add("load", "E1", ac_v=between, power_w=1000, phases=phases, power_factor=1.0)
        b.run("W1", "G2.out", "Q1.in", function="ac", phases=phases, size="6 mm2", length_m=2, **CABLE)
        b.run("W2", "Q1.out", "E1.in", function="ac", phases=phases, size="6 mm2", length_m=2, **CABLE)
        assert rows(b, "devices", "device")["Q1"]["system"] == told
        assert rows(b, "runs", "run")["W2"]["system"] == told


# -- runs ------------------------------------------------------------------------------------------------------------
def test_a_run_says_where_it_goes_and_what_it_carries() -> None:
    told = rows(boat(), "runs", "run")
    assert list(told) == ["W1", "W2", "W3", "W4", "W10", "W11"]
    w4 = told["W4"]
    assert (w4["from"], w4["to"]) == ("F2.out", "E1.in")
    assert (w4["size"], w4["length"], w4["ampacity_a"]) == ("14 AWG", 4.0, 35)
    assert w4["current_a"] == 10
    assert w4["current_when"] == "At anchor"
    assert w4["device"] == "F2"
    assert w4["label"] == "Cabin lights"
    assert w4["conductors"] == "+ -"
    assert told["W1"]["device"] == "none drawn"  # between battery and main fuse, with no other source
    assert told["W3"]["device"] == "placed at F2"  # 0.1 m of 10 AWG behind 100 A
    assert told["W1"]["current_a"] > 14  # both loads
    assert w4["drop_percent"] > told["W3"]["drop_percent"] > 0


def test_a_run_that_carries_in_no_condition_is_told_as_drawn_and_drops_name_their_source() -> None:
    b = boat()
    b.add("motor", "M3", dc_v=12, running_a=40, starting_a=160, label="Windlass")
    b.run("W20", "X1.bar", "M3.in", size="6 AWG", length_m=4, **CABLE)
    told = rows(b, "runs", "run")
    assert told["W20"]["current_a"] == 40
    assert told["W20"]["current_when"] == "as drawn, every load on; 160 A while M3 starts"
    assert told["W20"]["drop_percent"] > 2
    assert told["W20"]["drop_when"] == "as drawn, every load on"
    assert {told[run]["drop_from"] for run in ("W2", "W4", "W20")} == {"G1"}
    assert told["W4"]["drop_when"] == "At anchor"


def test_a_current_that_may_be_more_says_so() -> None:
    b = boat()
    b.set("E2", power_w=None)
    told = rows(b, "runs", "run")
    assert told["W4"]["current_a"] == 10  # its own load is known
    assert told["W11"]["current_a"] is None  # nothing of its load is
    assert str(told["W1"]["current_a"]).startswith("≥ 10")
    assert "power of one of E2" in notes(b, "runs")


def test_a_run_of_unknown_size_is_not_known_and_a_starter_tells_its_start() -> None:
    b = boat()
    b.add("engine", "M9")
    b.add("motor", "M1", dc_v=12, starting_a=300, service="engine starter", label="Starter")
    b.run("W6", "X1.bar", "M1.in", size="2 AWG", length_m=2, exempt="cranking", **CABLE)
    changed(b, "runs", run_id(b, "W11"), length_m=None)
    told = rows(b, "runs", "run")
    assert told["W11"]["length"] is None
    assert "length, one way of W11" in notes(b, "runs") or "length of W11" in notes(b, "runs")
    assert told["W6"]["label"] == "Starter"


def test_lengths_are_in_feet_where_the_drawing_is() -> None:
    b = boat()
    changed(b, "settings", "settings", units="US")
    table = tables(b, "runs")["runs"]
    assert next(c for c in table.columns if c.name == "length").unit == "ft"
    assert {row["run"]: row for row in as_rows(table)}["W4"]["length"] == 13.1  # 4 m / 0.3048


def test_bonding_carries_nothing_and_does_not_look_unknown() -> None:
    b = boat()
    b.add("anode", "F91", metal="zinc", mass_kg=2.0)
    b.add("earth_point", "X90", form="hull")
    b.run("W90", "X90.at", "F91.at", function="bonding", size="8 AWG", length_m=2, colour="green")
    told = rows(b, "runs", "run")["W90"]
    assert told["system"] == "earth and bonding"
    assert told["current_a"] == told["ampacity_a"] == told["drop_percent"] == told["device"] == "n/a"
    earth = rows(b, "earth-runs", "run")["W90"]
    assert (earth["size"], earth["to"]) == ("8 AWG", "F91 Anode")
    pieces = rows(b, "bonding", "item")
    assert pieces["F91"]["does"] == "protects bonded metal in the sea by dissolving"
    assert pieces["F91"]["joined"] == "W90"
    assert pieces["X90"]["sea"] is True
    assert "Hull: steel." in notes(b, "bonding")


# -- loads and energy ------------------------------------------------------------------------------------------------
def test_a_load_has_hours_in_every_condition() -> None:
    b = boat()
    set_condition(b, "Under way", {"E1": 2.0})
    table = tables(b, "loads")["loads"]
    heads = {c.name: c.heading() for c in table.columns}
    assert (heads["hours_1"], heads["energy_2"]) == ("At anchor, h a day", "Under way, Wh a day")
    told = {row["load"]: row for row in as_rows(table)}
    assert (told["E1"]["power_w"], told["E1"]["current_a"]) == (120, 10)
    assert (told["E2"]["power_w"], told["E2"]["current_a"]) == (60, 5)
    assert (told["E1"]["hours_1"], told["E1"]["energy_1"]) == (5, 600)
    assert (told["E2"]["hours_2"], told["E2"]["energy_2"]) == (0, 0)
    assert (told["E1"]["essential"], told["E2"]["essential"]) == (False, True)


def test_power_and_current_follow_from_each_other_by_the_lines_of_a_load() -> None:
    b = Builder(name="Sandling")
    b.add("load", "E1", ac_v=240, phases="L1 L2", power_w=2400, power_factor=1.0)
    b.add("load", "E2", ac_v=400, phases="L1 L2 L3", current_a=10, power_factor=0.8)
    b.add("load", "E3", ac_v=230, power_w=460)
    told = rows(b, "loads", "load")
    assert told["E1"]["current_a"] == 10  # 2400 W / 240 V between the lines
    assert told["E2"]["power_w"] == 5543  # sqrt 3 x 400 V x 10 A x 0.8
    assert told["E3"]["current_a"] == "≥ 2"  # 460 W / 230 V, more where the power factor is less than 1
    assert "power factor of E3" in notes(b, "loads")


def test_hours_nobody_recorded_are_not_nought() -> None:
    b = boat()
    for item in list(b.installation.snapshot().conditions):
        changed(b, "conditions", item, duties=())
    told = rows(b, "loads", "load")
    assert told["E1"]["hours_1"] is None
    assert told["E1"]["energy_1"] is None
    assert "At anchor: no hours of any load are recorded." in notes(b, "loads")


def test_the_energy_of_a_bank_is_the_study_s() -> None:
    b = boat()
    told = rows(b, "energy", "bank")["G1 Battery bank"]
    found = Job.of(b.installation.snapshot()).study.energies[0].banks[0]
    assert told["usable_ah"] == 50  # 50 % of 100 Ah
    assert told["load_wh"] == 630  # 120 W x 5 h + 60 W x 0.5 h
    assert found.autonomy_h is not None
    assert abs(told["lasts_h"] - found.autonomy_h) < 0.05
    assert told["charge_a"] == "nothing charges it"


# -- studs, switches, interlocks, fuses ------------------------------------------------------------------------------
def test_studs_in_order_with_what_shares_them() -> None:
    b = boat()
    ends = {"W2": 1, "W3": 2, "W10": 2}
    for name, number in ends.items():
        item = run_id(b, name)
        run = b.installation.get("runs", item)
        side = "to_end" if run.to_end.terminal == "bar" else "from_end"
        end = End(
            equipment=getattr(run, side).equipment, terminal="bar", stud_number=number, torque_nm=9.0, lug="M8 ring"
        )
        changed(b, "runs", item, **{side: end})
    told = rows(b, "studs", "run")
    assert list(told) == ["W2", "W3", "W10"]
    assert [row["together"] for row in told.values()] == [1, 2, 2]
    assert told["W2"]["stud"] == "M8"  # recorded with the bus
    assert told["W2"]["torque_nm"] == 9
    assert "X1: 4 studs, no run recorded on 3, 4." in notes(b, "studs")


def test_switches_stand_in_every_condition_and_breakers_that_never_move_are_a_note() -> None:
    b = Builder(name="Sandling")
    b.add("battery_switch", "Q1", marking="HOUSE")
    b.add("circuit_breaker", "Q2", rating_a=10)
    b.add("circuit_breaker", "Q3", rating_a=10, used_as_switch=True)
    b.add("generator", "G2", ac_v=230, rating_a=20)
    b.condition("Alongside", Q1="open")
    set_condition(b, "At sea", {}, running=("G2",))
    table = tables(b, "states")["states"]
    told = {row["item"]: row for row in as_rows(table)}
    assert list(told) == ["Q1", "Q3", "G2"]
    assert (told["Q1"]["condition_1"], told["Q1"]["condition_2"]) == ("open *", "closed")
    assert told["G2"]["condition_2"] == "runs"
    assert told["G2"]["condition_1"] is None  # nobody recorded what runs alongside
    said = "\n".join(table.notes)
    assert "In every condition closed: Q2." in said
    assert "sources that run of Alongside" in said


def test_an_interlock_is_told_in_words() -> None:
    b = Builder(name="Sandling")
    for name in ("Q1", "Q2", "Q3"):
        b.add("battery_switch", name)
    b.interlock("Q1", "Q2", name="Slide")
    b.interlock("Q1", "Q2", "Q3", at_most=2, name="Key")
    told = rows(b, "interlocks", "name")
    assert told["Slide"]["rule"] == "Not both at the same time: Q1 closed; Q2 closed."
    assert told["Key"]["rule"] == "At most 2 of these 3 at the same time: Q1 closed; Q2 closed; Q3 closed."


def test_fuses_to_carry_by_class_and_rating() -> None:
    b = boat()
    for n in range(20, 30):
        b.add("fuse", f"F{n}", rating_a=15, rated_dc_v=32)
    b.add("fuse", "F30", rating_a=80, status="to remove")
    b.add("fuse_holder", "F31")
    table = tables(b, "fuses")["fuses"]
    told = {(row["class"], row["rating_a"]): row for row in as_rows(table)}
    assert list(told) == [("T", 100), (None, 15), (None, None)]
    assert told[None, 15]["fitted"] == 12
    assert told[None, 15]["carry"] == 3  # 20 % of 12, rounded up
    assert told["T", 100]["carry"] == 2  # at least
    assert told[None, None]["carry"] is None
    assert told[None, 15]["where"].startswith("F2, F10, F20")
    assert "common practice, no source" in table.notes[0]
    assert "Of 1 the rating is not known" in "\n".join(table.notes)


def test_how_many_to_carry_may_be_asked_for() -> None:
    table = tables(boat(), "fuses", options=Options(parts=PartsWanted(spare_least=5)))["fuses"]
    assert [row["carry"] for row in as_rows(table)] == [5, 5]
    assert "as asked for" in table.notes[0]


def test_equipment_has_its_panel_and_what_its_plate_says() -> None:
    b = boat()
    apply(b.installation, Put("enclosures", "b1", Enclosure(name="Main box")))
    b.set("F1", enclosure="b1", position="3", maker="Invented Works", part_number="T-100", old_marking="MAIN 1")
    told = rows(b, "equipment", "item")
    assert told["F1"]["panel"] == "Main box 3"
    assert told["F1"]["marking"] == "(MAIN 1)"
    assert (told["F1"]["maker"], told["F1"]["part_number"]) == ("Invented Works", "T-100")
    assert told["E1"]["panel"] == "none recorded"
    assert told["G1"]["year"] is None
    assert told["G1"]["system"] == "12 V DC"


# -- the document ----------------------------------------------------------------------------------------------------
def test_every_schedule_of_an_empty_drawing_says_that_there_is_nothing() -> None:
    document = make(Job.of(Builder().installation.snapshot()))
    assert [table.name for table in document.tables] == list(SCHEDULES)
    assert all(table.notes for table in document.tables)
    assert document.pictures


def test_order_of_entry_and_ids_make_no_difference() -> None:
    def made(backwards: bool) -> Builder:
        b = Builder(name="Sandling")
        b.place("Saloon", "accommodation", 30)
        loads = list(range(1, 6))
        b.add("battery_bank", "G1", unit_v=12.0, unit_ah=100.0)
        b.add("bus_bar", "X1", purpose="pair")
        b.run("W0", "G1.pos", "X1.bar", size="2 AWG", length_m=1, **CABLE)
        for n in reversed(loads) if backwards else loads:
            b.add("load", f"E{n}", dc_v=12, power_w=10.0 * n)
            b.add("fuse", f"F{n}", rating_a=5.0)
            b.run(f"W{n}1", "X1.bar", f"F{n}.in", size="14 AWG", length_m=1, **CABLE)
            b.run(f"W{n}2", f"F{n}.out", f"E{n}.in", size="14 AWG", length_m=n, **CABLE)
        ids = {r.designation: i for i, r in b.installation.snapshot().equipment.items()}
        duties = tuple(ConditionDuty(equipment=ids[f"E{n}"], hours_a_day=1.0) for n in loads)
        apply(
            b.installation,
            Put("conditions", "c1", Condition(name="At anchor", duties=duties)),
        )
        return b

    one, other = (make(Job.of(made(backwards).installation.snapshot())) for backwards in (False, True))
    assert one.tables == other.tables
    assert one.pictures == other.pictures
