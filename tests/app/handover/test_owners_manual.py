"""The owner's manual: plain sentences from the drawing, nothing claimed that is not drawn."""

from __future__ import annotations

from typing import Any

import msgspec

from app.handover.document import Document
from app.handover.documents.owners_manual import make
from app.handover.job import Job
from app.paper.table import as_rows
from engine.builder import Builder
from engine.edits.edit import Put, apply
from engine.installation import TitleBlock
from engine.picture import Text
from engine.rules.example_boats import set_condition

CABLE: dict[str, Any] = {"insulation_c": 105, "bundle": 1, "conductor": "tinned copper", "sheath": "sheathed"}


def boat(**bank: Any) -> Builder:
    """A bank behind a switch, a lamp; two conditions."""
    b = Builder(name="Sandling", hin="INV-1", build_year=2001)
    b.place("Locker", "battery", 30)
    known: dict[str, Any] = {"unit_v": 12.0, "unit_ah": 100.0, "chemistry": "LFP", "usable_percent": 80.0}
    b.add("battery_bank", "G1", label="House bank", marking="HOUSE", place="Locker", **(known | bank))
    b.add("fuse", "F1", rating_a=100, fuse_class="T")
    b.add("battery_switch", "Q1", marking="MAIN", place="Locker", continuous_a=200, breaks_load=True)
    b.add("bus_bar", "X9", purpose="pair", label="Panel bus")
    b.add("fuse", "F2", rating_a=10)
    b.add("load", "E1", dc_v=12, power_w=48, label="Cabin lights", essential=True)
    wire = CABLE | {"places": ("Locker",), "size": "2 AWG"}
    b.run("W1", "G1.pos", "F1.in", length_m=0.2, **wire)
    b.run("W2", "F1.out", "Q1.in", length_m=1, **wire)
    b.run("W3", "Q1.out", "X9.bar", length_m=1, **wire)
    b.run("W4", "X9.bar", "F2.in", length_m=0.1, **wire)
    b.run("W5", "F2.out", "E1.in", length_m=1, **wire)
    set_condition(b, "At anchor", {"E1": 10.0}, positions={"Q1": "closed"}, note="Swinging")
    set_condition(b, "Laid up", {}, positions={"Q1": "open"})
    return b


def with_shore(b: Builder) -> Builder:
    """A cord, an inlet, a residual-current breaker, a socket."""
    b.add("shore_supply", "G9", ac_v=230, breaker_a=16, frequency_hz=50)
    b.add("shore_inlet", "X1", ac_v=230, rating_a=16, frequency_hz=50, marking="SHORE 230 V")
    b.add(
        "residual_current_device", "Q10", rating_a=16, overcurrent=True, residual_ma=30, residual_ms=40, marking="SHORE"
    )
    b.add("bus_bar", "X2", label="AC panel")
    b.add("socket_outlet", "X3", ac_v=230, rating_a=16, expected_w=500)
    for name, start, end in (
        ("W91", "G9.out", "X1.shore"),
        ("W92", "X1.out", "Q10.in"),
        ("W93", "Q10.out", "X2.bar"),
        ("W94", "X2.bar", "X3.in"),
    ):
        b.run(name, start, end, function="ac", size="2.5 mm2", length_m=3, **CABLE)
    return b


def made(b: Builder) -> Document:
    return make(Job.of(b.installation.snapshot()))


def said(b: Builder) -> str:
    """All the words on its pages, broken lines put together."""
    found = [p.text for pic in made(b).pictures for p in pic.primitives if isinstance(p, Text)]
    return " ".join(" ".join(found).split())


def table(b: Builder, name: str) -> list[dict[str, Any]]:
    return next(as_rows(t) for t in made(b).tables if t.name == name)


def test_it_says_of_which_boat_and_drawing_it_is() -> None:
    b = boat()
    apply(b.installation, Put("title_block", "title_block", TitleBlock(number="TY-7", revision="B", date="2026-05-04")))
    text = said(b)
    assert "Electrical installation of Sandling" in text
    assert "hull identification: INV-1" in text
    assert "year built: 2001" in text
    assert "Made from drawing TY-7, revision B, dated 2026-05-04. The drawing prevails." in text
    assert "The drawing was judged by North American small-craft trade practice" in text


def test_systems_sources_and_main_disconnects() -> None:
    b = with_shore(boat())
    systems = {row["source"]: row for row in table(b, "systems")}
    assert systems["HOUSE (G1)"]["system"] == "12 V DC"
    assert any(row["system"] == "230 V AC" and row["frequency"] == "50 Hz" for row in systems.values())
    switches = {row["switch"]: row for row in table(b, "disconnects")}
    assert switches["MAIN (Q1)"]["where"] == "Locker"
    assert switches["MAIN (Q1)"]["position"] == "open"
    assert "SHORE (Q10)" in switches


def test_in_an_emergency_the_shore_goes_before_the_battery() -> None:
    text = said(with_shore(boat()))
    assert "1. SHORE: open" in text
    assert "2. MAIN: open" in text
    assert text.index("In an emergency") < text.index("Main disconnects")


def test_shore_power_is_connected_at_the_boat_first() -> None:
    text = said(with_shore(boat()))
    assert "Switch off SHORE (Q10)." in text
    assert text.index("Plug the cord into the boat first") < text.index("Pull the plug ashore first")
    assert "No indicator of wrong polarity is drawn" in text
    assert "No shore supply is drawn." in said(boat())


def test_batteries_tell_their_limits_and_what_is_not_known() -> None:
    b = boat(charge_v=14.4, unit_charge_limit_a=50.0, lowest_charge_c=0.0, bms="in every unit", bms_disconnects=True)
    facts = {row["fact"]: row["bank_1"] for row in table(b, "batteries")}
    assert facts["Highest charging volts"] == "14.4 V"
    assert facts["Largest charging current"] == "50 A"
    assert facts["Charge only from"] == "0 °C"
    assert facts["Charge only up to"] == "not known"
    assert facts["Capacity"] == "100 Ah"
    text = said(b)
    assert "HOUSE (G1): management may disconnect it at sea." in text
    assert "explosive gas" not in text
    assert "explosive gas" in said(boat(chemistry="flooded"))
    assert "its kind is not recorded" in said(boat(chemistry=""))


def test_many_banks_stand_three_by_three() -> None:
    b = Builder(name="Sandling")
    for n in range(1, 6):
        b.add("battery_bank", f"G{n}", unit_v=12.0, unit_ah=100.0)
    names = [t.name for t in made(b).tables if t.name.startswith("batteries")]
    assert names == ["batteries", "batteries-2"]


def test_conditions_tell_switches_and_how_long_it_lasts() -> None:
    b = boat()
    text = said(b)
    assert "Swinging" in text
    assert "Switches: MAIN (Q1) closed; the others as drawn." in text
    assert "Which sources run or are plugged in is not recorded." in text
    # 100 Ah x 80 % = 80 Ah; 48 W x 10 h = 480 Wh a day, of 960 Wh: two days
    assert "HOUSE (G1): lasts 48 h." in text
    rows = {row["condition"]: row for row in table(b, "energy")}
    assert rows["At anchor"]["usable_ah"] == 80
    assert rows["At anchor"]["load_wh"] == 480


def test_too_short_is_said_loudly() -> None:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=10.0, chemistry="LFP", usable_percent=80.0)
    b.add("load", "E1", dc_v=12, power_w=48)
    b.run("W1", "G1.pos", "E1.in", size="10 AWG", length_m=1)
    set_condition(b, "At anchor", {"E1": 24.0}, required_hours=24.0)
    assert "24 h are asked for: TOO SHORT." in said(b)


def test_residual_current_is_tried_every_month() -> None:
    b = with_shore(boat())
    (row,) = table(b, "residual-current")
    assert (row["device"], row["trips"], row["within"]) == ("SHORE (Q10)", "30 mA", "40 ms")
    assert "Press its test button once a month" in said(b)
    bare = Builder(name="Sandling")
    bare.add("shore_inlet", "X1", ac_v=230, rating_a=16)
    assert "nobody is protected against a shock" in said(bare)
    assert "None is drawn, and no alternating current either." in said(boat())


def test_what_never_to_do_and_where_it_is_from() -> None:
    text = said(boat())
    for words in (
        "Do not work on the installation while it is live.",
        "qualified marine electrician",
        "Do not fit a fuse or breaker of another rating or class",
        "bilge pumps, fire and gas alarms",
        "ISO 10133:2012 annex B and ISO 13297:2020 (from memory, not confirmed)",
        "Battery fault currents and AC on boats kill.",
        "Received by, for the owner",
    ):
        assert words in text


def test_open_dangers_are_not_hidden() -> None:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=100.0)
    b.add("load", "E1", dc_v=12, power_w=48)
    b.run("W1", "G1.pos", "E1.in", size="18 AWG", length_m=5, **CABLE)
    document = made(b)
    assert any(gap.startswith("Dangers are open") for gap in document.gaps)


def test_gaps_of_an_empty_drawing_are_told() -> None:
    gaps = "\n".join(made(Builder()).gaps)
    for words in ("No battery is drawn", "No source of energy is drawn", "shows no switch", "No operating condition"):
        assert words in gaps


def test_an_inlet_too_small_for_the_supply_is_told_beside_its_rating() -> None:
    b = with_shore(boat())
    assert "Not as it is to be" not in said(b)
    for item, record in b.installation.snapshot().equipment.items():
        if record.designation == "G9":
            apply(b.installation, Put("equipment", item, msgspec.structs.replace(record, breaker_a=32.0)))
    text = said(b)
    assert "32 A can pass through it from the breaker ashore of G9" in text
    assert "Use no outlet ashore whose breaker is larger than the inlet allows." in text
    assert "made for a supply of" not in text


def test_management_that_is_not_recorded_is_not_told_as_if_it_were() -> None:
    assert "HOUSE (G1): whether it has management that may disconnect it is not recorded." in said(boat())
    assert "HOUSE (G1): management may disconnect it at sea." in said(boat(bms="internal", bms_disconnects=True))
    none = said(boat(bms="none"))
    assert "may disconnect it" not in none


def test_a_bank_that_nothing_draws_from_and_nothing_charges() -> None:
    text = said(boat())
    assert "nothing is recorded that draws from it, and nothing charges it" in text
    assert "what it gives is made good" not in text


def test_banks_joined_by_a_switch_are_told_as_joined() -> None:
    b = boat()
    b.add("battery_bank", "G2", marking="START", unit_v=12.0, unit_ah=50.0, chemistry="AGM", usable_percent=50.0)
    b.add("battery_switch", "Q2", continuous_a=200, breaks_load=True)
    wire = CABLE | {"places": ("Locker",), "size": "2 AWG", "length_m": 1}
    b.run("W6", "G2.pos", "Q2.in", **wire)
    b.run("W7", "Q2.out", "X9.bar", **wire)
    set_condition(b, "Joined", {"E1": 10.0}, positions={"Q1": "closed", "Q2": "closed"})
    set_condition(b, "Apart", {"E1": 10.0}, positions={"Q1": "closed", "Q2": "open"})
    text = said(b)
    assert "joined with G2 by Q1, Q2 (At anchor, Joined): 150 Ah together, worked out; used of it 105 Ah." in text
    assert "Apart): 150 Ah" not in text
