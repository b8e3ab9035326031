"""Find anything: what a person types, and what comes first."""

from __future__ import annotations

import msgspec
import pytest

from engine.builder import Builder
from engine.edits import Put, SetFields, apply
from engine.finding_things import Index
from engine.installation import Enclosure
from engine.installation.records import Remark, Sheet


def _boat() -> Builder:
    b = Builder()
    apply(b.installation, Put("enclosures", "b70", Enclosure(name="Hauptverteilung")))
    b.add("battery_bank", "G1", unit_v=12.8, label="House bank", place="Saloon, under the settee")
    b.add("fuse", "F3", rating_a=300, fuse_class="T", label="Café fuse", enclosure="b70", part_number="PN-77/4")
    b.add("fuse", "F30", rating_a=30, status="to remove", note="beißt <b>&=1+1 😀")
    b.add("load", "E1", dc_v=12, current_a=130, label="أنوار")
    b.run("W1", "G1.pos", "F3.in", size="2/0 AWG", length_m=3.5)
    b.run("W2", "F3.out", "F30.in", size="35 mm2")
    apply(b.installation, Put("sheets", "s80", Sheet(title="Engine room", number=1)))
    apply(b.installation, Put("remarks", "n81", Remark(sheet="s80", text="Spare way for the heater")))
    return b


@pytest.mark.parametrize(
    ("words", "first", "count"),
    [
        ("f3", "F3", 2), ("F30", "F30", 1), ("300 a", "F3", 1), ("300A", "F3", 1), ("30 A", "F30", 1),
        ("class t 300", "F3", 1), ("2/0", "W1", 1), ("35 mm2", "W2", 1), ("35mm²", "W2", 1), ("3,5 m", "W1", 1),
        ("11 ft", "W1", 1), ("settee", "G1", 1), ("hauptverteilung", "F3", 1), ("cafe", "F3", 1),
        ("to remove", "F30", 1),
        ("pn-77/4", "F3", 1), ("<b>", "F30", 1), ("BEISST", "F30", 1), ("أنوار", "E1", 1), ("😀", "F30", 1),
        ("fuse to remove", "F30", 1), ("heater", "Remark", 1), ("engine room", "sheet 1 Engine room", 1),
        ("house bank", "G1", 1),
    ],
)  # fmt: skip
def test_it_is_found_as_it_is_typed(words: str, first: str, count: int) -> None:
    found = Index(_boat().installation.snapshot()).find(words)
    assert found.hits[0].name == first
    assert found.total == count


@pytest.mark.parametrize("words", ["", "   ", "zzz", "00 a", ",", "300 v"])
def test_nothing_is_found_where_nothing_is(words: str) -> None:
    assert Index(_boat().installation.snapshot()).find(words) == ((), 0)


def test_the_fact_it_was_found_in_is_told() -> None:
    (hit,) = Index(_boat().installation.snapshot()).find("settee").hits
    assert hit.fact == "Place: Saloon, under the settee"
    assert Index(_boat().installation.snapshot()).find("F30").hits[0].fact == ""


def test_it_follows_edits_of_things_and_of_what_they_name_in_slices_too() -> None:
    b = _boat()
    i = b.installation
    index = Index()
    while not index.follow(i.snapshot(), 0.0):
        if index.find("f3").total == 0:
            break  # nothing can be read in no time at all; it says so and goes on when asked
    assert index.follow(i.snapshot())
    item = i.find("F3")[0][1]
    before = i.snapshot()
    undo = apply(i, SetFields("equipment", item, (("label", "Bow thruster"),)))
    index.follow(i.snapshot_after(before, [("equipment", item)]))
    assert index.find("thruster").total == 1
    assert index.find("cafe").total == 0
    apply(i, undo)
    apply(i, Put("enclosures", "b70", msgspec.structs.replace(i.tables["enclosures"]["b70"], name="Pult")))
    index.follow(i.snapshot())
    assert index.find("pult").total == 1
    assert index.find("verteilung").total == 0
    apply(i, SetFields("settings", "settings", (("units", "US"),)))
    index.follow(i.snapshot())
    assert index.find("11 ft").total == 1
