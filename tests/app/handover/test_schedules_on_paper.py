"""Schedules on paper: fuses still to be bought, volts of an array, how tables share a page."""

from __future__ import annotations

from typing import Any

from app.handover.documents.schedules import make
from app.handover.job import Job, Options
from app.paper.table import as_rows
from engine.builder import Builder
from engine.picture import Text

CABLE: dict[str, Any] = {"insulation_c": 105, "bundle": 1, "conductor": "tinned copper", "sheath": "sheathed"}


def boat() -> Builder:
    b = Builder(book="us-33cfr183", name="Sandling")
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=100.0, chemistry="AGM", short_circuit_a=1200.0)
    b.add("bus_bar", "X1", purpose="pair")
    b.run("W1", "G1.pos", "X1.bar", size="2 AWG", length_m=1, **CABLE)
    return b


def tables(b: Builder, *only: str) -> Any:
    made = make(Job.of(b.installation.snapshot(), options=Options(schedules=only)))
    return {table.name: table for table in made.tables}


def rows(b: Builder, name: str, key: str) -> dict[str, dict[str, Any]]:
    return {row[key]: row for row in as_rows(tables(b, name)[name])}


def test_a_class_without_a_name_is_what_its_note_says_and_what_no_list_orders_is_still_to_be_bought() -> None:
    b = boat()
    b.add("fuse", "F21", rating_a=10, fuse_class="other", note="cylindrical link 10.3 × 38 mm")
    b.run("W30", "X1.bar", "F21.in", size="10 AWG", length_m=0.1, **CABLE)
    b.add("fuse", "F22", rating_a=10, fuse_class="other", status="new")
    b.add("fuse", "F23", rating_a=3, fuse_class="blade ISO 8820-3", status="existing")
    table = tables(b, "fuses")["fuses"]
    told = {row["where"]: row["class"] for row in as_rows(table)}
    assert told["F21"] == "cylindrical link 10.3 × 38 mm"
    assert told["F22"] == "other, not said which"
    assert "cylindrical link" in rows(b, "devices", "device")["F21"]["kind"]
    (short,) = [note for note in table.notes if note.startswith("Still to be bought")]
    assert "2 of blade ISO 8820-3, 3 A (F23)" in short
    assert "F22" not in short


def test_an_array_is_told_by_its_own_volts_not_by_a_class() -> None:
    b = Builder(name="Sandling")
    b.add("solar_array", "G5", module_w=360, module_power_v=37.8, module_open_v=45.5, module_short_a=10.0, series=2)
    b.add("circuit_breaker", "Q8", rating_a=16)
    b.add("solar_controller", "T4", dc_v=24)
    b.run("W1", "G5.pos", "Q8.in", size="10 AWG", length_m=2, **CABLE)
    b.run("W2", "Q8.out", "T4.pv", size="10 AWG", length_m=2, **CABLE)
    assert rows(b, "devices", "device")["Q8"]["system"] == "75.6 V DC"
    assert rows(b, "runs", "run")["W2"]["system"] == "75.6 V DC"


def test_a_schedule_begins_on_the_page_that_the_one_before_left() -> None:
    b = boat()
    for n in range(20, 45):
        b.add("load", f"E{n}", dc_v=12, power_w=10.0)
    document = make(Job.of(b.installation.snapshot(), options=Options(schedules=("equipment", "loads", "states"))))
    titles = ("Equipment: ", "Loads: ", "Switching states")
    pages = [
        {t.text.split(":")[0] for t in page.primitives if isinstance(t, Text) and t.text.startswith(titles)}
        for page in document.pictures
    ]
    assert any(len(page) > 1 for page in pages)
