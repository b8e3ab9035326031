"""Systems of voltage: in words, on the cover, and what aboard is made for none of them."""

from __future__ import annotations

import msgspec

from app.drawing.layout import lay_out
from app.drawing.whole.voltage_systems import nominal_offers, systems_words, unlike, unlike_systems
from app.handover.drawings.whole import drawing_set
from engine.builder import Builder
from engine.edits import Put, apply
from engine.installation.model import Installation
from engine.installation.records import Settings, VoltageSystem
from engine.picture import Text

HOUSE = VoltageSystem(kind="DC", nominal_v=24, note="two-wire")
SHORE = VoltageSystem(kind="AC", nominal_v=230, frequency_hz=50)


def boat(*systems: VoltageSystem) -> Installation:
    b = Builder(name="Whimbrel")
    b.add("battery_bank", "G1", unit_v=12.8, series=2, unit_ah=100)
    b.add("dc_dc_converter", "T1", in_v=24, out_v=12)
    b.add("load", "E1", dc_v=24)
    made = b.installation
    settings = msgspec.structs.replace(made.settings, systems=systems)
    apply(made, Put("settings", "settings", settings))
    return made


def test_systems_in_words() -> None:
    assert systems_words(Settings(systems=(HOUSE, SHORE))) == "24 V DC, two-wire; 230 V 50 Hz"
    assert systems_words(Settings(systems=(VoltageSystem(name="start"),))) == "start, volts not recorded DC"
    assert systems_words(Settings()) == ""


def test_what_fits_none_is_told_and_nothing_where_none_is_declared() -> None:
    assert unlike(boat().snapshot()) == []
    told = unlike_systems(boat(HOUSE).snapshot())
    assert told == ["T1 has a nominal voltage of 12 V DC, which is that of no system declared."]
    start = VoltageSystem(kind="DC", nominal_v=12)
    assert unlike_systems(boat(HOUSE, start).snapshot()) == []
    assert unlike_systems(boat(SHORE).snapshot()), "a DC boat that declares AC alone"


def test_a_system_without_volts_says_nothing_of_anything() -> None:
    assert unlike(boat(VoltageSystem(kind="DC")).snapshot()) == []


def test_a_phase_to_neutral_belongs_to_the_system_between_lines() -> None:
    b = Builder()
    b.add("generator", "G1", ac_v=230)
    made = b.installation
    settings = msgspec.structs.replace(made.settings, systems=(VoltageSystem(kind="AC", nominal_v=400),))
    apply(made, Put("settings", "settings", settings))
    assert unlike(made.snapshot()) == []


def test_they_are_offered_by_kind() -> None:
    settings = Settings(systems=(HOUSE, SHORE))
    assert [volts for volts, _words in nominal_offers(settings)] == [24, 230]
    assert [volts for volts, _words in nominal_offers(settings, "DC")] == [24]


def test_the_cover_says_them() -> None:
    made = boat(HOUSE, SHORE)
    apply(made, lay_out(made.snapshot()))
    texts = " ".join(p.text for p in drawing_set(made.snapshot(), None)[0].primitives if isinstance(p, Text))
    assert "24 V DC, two-wire" in texts
    assert "T1 has a nominal voltage of 12 V DC" in texts
