"""One small installation, recorded in full, passes every rule of the catalogue by every book, and is fully judged."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from engine.books import book_names, load
from engine.builder import Builder
from engine.check import check
from engine.edits import Put, apply
from engine.equipment.base import Breaking
from engine.installation import ConditionDuty, Installation, Passage

# the vessel that each book binds, and how her negative conductors look where the book asks for it
VESSELS: dict[str, dict[str, Any]] = {
    "us-33cfr183": {"engine_fuel": "petrol", "use": "pleasure"},
    "us-46cfr": {"engine_fuel": "diesel", "use": "small passenger"},
    "trade-na": {"engine_fuel": "diesel", "use": "pleasure"},
    "metric": {"engine_fuel": "diesel", "use": "pleasure"},
}


def _boat(book: str) -> Installation:
    """A bank, its fuse, a switch, a panel with two circuits; everything recorded."""
    b = Builder(book, name="Dunlin", hull="glass fibre", coldest_c=0, **VESSELS[book])
    box, saloon = b.place("battery box", "battery", 30), b.place("saloon", "accommodation", 30)

    def wire(name: str, start: str, end: str, size: str, metres: float, where: str, **facts: Any) -> None:
        known: dict[str, Any] = {"insulation_c": 105.0, "insulation": "UL 1426", "conductor": "tinned copper"}
        known |= {"sheath": "sheathed", "supported": True, "chafe_protected": True, "separated": True, "bundle": 2}
        known |= {"function": "dc pair", "colour": "red + black", "away_reason": "no room at the source"}
        passage = Passage(place=where, length_m=metres, unsheathed_m=0.0)
        b.run(name, start, end, size=size, length_m=metres, places=(passage,), label=name, **(known | facts))

    b.add(
        "battery_bank", "G1", place="battery box", chemistry="AGM", unit_v=12, unit_ah=100, rated_hours_h=20,
        cells_per_unit=6, parallel=1, year=2024, short_circuit_a=1800, internal_resistance_ohm=0.006, cca_a=600,
        charge_v=14.4, float_v=13.6, cut_off_v=10.8, unit_charge_limit_a=30, unit_discharge_limit_a=300, bms="none",
        usable_percent=50, covered=True, midpoint_used=False,
    )  # fmt: skip
    broken = (Breaking(10000, 32),)
    b.add("fuse", "F1", place="battery box", rating_a=60, fuse_class="class T", rated_dc_v=125, breaking=broken,
          marking="MAIN", ignition_protected=True, covered=True)  # fmt: skip
    b.add("battery_switch", "Q1", place="battery box", poles=("+", "-"), continuous_a=200, five_minute_a=300,
          cranking_a=500, rated_dc_v=32, breaks_load=True, emergency_access=True, marking="BATTERY", covered=True,
          in_position="closed")  # fmt: skip
    b.add("bus_bar", "X1", place="saloon", rating_a=150, purpose="pair", studs=8, rated_dc_v=32, covered=True)
    wire("W1", "G1.pos", "F1.in", "1/0 AWG", 0.15, box, function="dc positive", colour="red")
    wire("W2", "F1.out", "Q1.in", "1/0 AWG", 0.3, box, function="dc positive", colour="red")
    wire("W3", "G1.neg", "Q1.in", "1/0 AWG", 0.4, box, function="dc negative", colour="black")
    wire("W4", "Q1.out", "X1.bar", "1/0 AWG", 2.0, saloon)
    for n, service, watts in ((2, "navigation lights", 25), (3, "lighting", 40)):
        b.add("fuse", f"F{n}", place="saloon", rating_a=10, fuse_class="blade ISO 8820-3", rated_dc_v=32,
              breaking=broken, marking=service.upper(), covered=True)  # fmt: skip
        b.add("load", f"E{n}", place="saloon", service=service, dc_v=12, power_w=watts, minimum_v=9, highest_v=16,
              essential=n == 2, marking=service.upper())  # fmt: skip
        wire(f"W{n}1", "X1.bar", f"F{n}.in", "10 AWG", 0.15, saloon)
        wire(f"W{n}2", f"F{n}.out", f"E{n}.in", "10 AWG", 4.0, saloon)
    item = b.condition("At anchor")
    lit = tuple(ConditionDuty(equipment=b._ids[name], hours_a_day=4) for name in ("E2", "E3"))
    record = msgspec.structs.replace(b.installation.get("conditions", item), duties=lit, required_hours=8)
    apply(b.installation, Put("conditions", item, record))
    return b.installation


def test_there_is_a_boat_for_every_book() -> None:
    assert set(VESSELS) == set(book_names())


@pytest.mark.parametrize("book", book_names())
def test_nothing_is_found_and_everything_is_judged(book: str) -> None:
    result = check(_boat(book).snapshot())
    # she has one bank: that is noticed, and no book asks for another
    assert {(f.word, f.rule) for f in result.findings} <= {("notice", "no-alternative")}
    assert [f"{g.rule} {g.missing}: {g.why}" for g in result.not_judged] == []
    assert result.stopped == ()
    assert result.law is bool(load(book).binds_when)


def test_the_same_boat_unmended_is_found_by_every_book() -> None:
    """The check is not blind: without its fuse each book finds the danger."""
    for book in book_names():
        boat = _boat(book)
        fuse = next(i for i in boat.ids("equipment") if boat.get("equipment", i).designation == "F1")
        apply(boat, Put("equipment", fuse, msgspec.structs.replace(boat.get("equipment", fuse), rating_a=600)))
        found = check(boat.snapshot(), only=["no-protection", "rating-above-ampacity"])
        assert "danger" in {f.word for f in found.findings}, book
