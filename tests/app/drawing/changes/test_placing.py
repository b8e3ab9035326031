"""Placing: new, into a run, and what is aboard already."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from app.drawing import changes
from engine.edits import EditError, Put, apply
from engine.installation import Passage


def test_new_equipment_has_the_next_designation_and_stands_where_it_was_put(bench: Any) -> None:
    d = bench()
    made = d.do(changes.place(d.snapshot, d.last_id, "fuse", d.sheet, 60, 40, rotation=90))
    assert made.edit.words == "Place F2"
    assert d.at("F2") == made.items[0]
    symbol = d.x.get("placements", d.symbol("F2"))
    assert (symbol.x, symbol.y, symbol.rotation) == (60, 40, 90)
    assert d.x.get("equipment", made.items[0]).rating_a is None, "nothing is guessed"


def test_outside_and_unknown_are_refused_in_a_sentence(bench: Any) -> None:
    d = bench()
    with pytest.raises(EditError, match=r"^F2 would stand outside the drawing area of sheet 1\.$"):
        changes.place(d.snapshot, d.last_id, "fuse", d.sheet, 0, 0)
    with pytest.raises(EditError, match="There is no sheet to draw on"):
        changes.place(d.snapshot, d.last_id, "fuse", "s99", 40, 40)
    with pytest.raises(EditError, match="no kind of equipment “tap”"):
        changes.place(d.snapshot, d.last_id, "tap", d.sheet, 40, 40)


def test_into_a_run_it_is_parted_and_no_length_is_known_any_more(bench: Any) -> None:
    d = bench()
    run = d.run("W4")
    ends = (
        msgspec.structs.replace(run.from_end, lug="ring", stud="M8"),
        msgspec.structs.replace(run.to_end, marker="E1/1", torque_nm=3.0),
    )
    run = msgspec.structs.replace(
        run,
        from_end=ends[0],
        to_end=ends[1],
        size="14 AWG",
        insulation_c=105.0,
        places=(Passage(place=d.b.place("Locker"), length_m=2.0, unsheathed_m=1.0),),
        origins=(("insulation_c", "nameplate"), ("length_m", "measured"), ("places", "measured"), ("to_end", "typed")),
    )
    apply(d.x, Put("runs", d.at("W4"), run))
    points = d.part("W4").points
    made = d.do(changes.place(d.snapshot, d.last_id, "fuse", d.sheet, 41, 37, on_run=d.at("W4")))
    assert made.edit.words == "Place F2 in W4"
    assert made.items == (d.at("F2"), d.at("W5"))
    old, new = d.run("W4"), d.run("W5")
    assert (d.ends("W4"), d.ends("W5")) == (("Q1.out", "F2.in"), ("F2.out", "E1.in"))
    for each in (old, new):
        assert (each.size, each.insulation_c, each.length_m) == ("14 AWG", 105.0, None)
        assert each.places == (Passage(place=d.b.place("Locker")),)
    assert (old.from_end, new.to_end) == ends, "what is known of an end stays with it"
    assert (old.to_end.lug, new.from_end.marker) == ("", "")
    assert old.origins == (("insulation_c", "nameplate"),)
    assert new.origins == (("insulation_c", "nameplate"), ("to_end", "typed"))
    assert (d.part("W4").points[0], d.part("W5").points[-1]) == (points[0], points[-1])
    assert d.part("W4").points[-1][0] == points[0][0], "it stands on the line"


@pytest.mark.parametrize(
    ("kind", "terminals"),
    [
        ("junction", ("at", "at")),
        ("terminal", ("at", "at")),
        ("bus_bar", ("bar", "bar")),
        ("dc_dc_converter", ("in", "out")),
    ],
)
def test_what_may_stand_in_a_run(bench: Any, kind: str, terminals: tuple[str, str]) -> None:
    d = bench()
    made = d.do(changes.place(d.snapshot, d.last_id, kind, d.sheet, 40, 37, on_run=d.at("W4")))
    name = d.snapshot.name(made.items[0])
    assert d.ends("W4")[1] == f"{name}.{terminals[0]}"
    assert d.ends(d.snapshot.name(made.items[1]))[0] == f"{name}.{terminals[1]}"


@pytest.mark.parametrize("kind", ["load", "meter", "open_end", "anode"])
def test_what_no_run_passes_through_is_refused(bench: Any, kind: str) -> None:
    d = bench()
    with pytest.raises(EditError, match="no run passes through it, so it cannot be put into W4"):
        changes.place(d.snapshot, d.last_id, kind, d.sheet, 40, 37, on_run=d.at("W4"))


def test_what_does_not_carry_it_is_refused(bench: Any) -> None:
    d = bench()
    for kind in ("galvanic_isolator", "isolation_transformer", "charger"):
        with pytest.raises(EditError, match="cannot be put into W4"):
            changes.place(d.snapshot, d.last_id, kind, d.sheet, 40, 37, on_run=d.at("W4"))


def test_a_run_on_another_sheet_is_not_parted_here(bench: Any) -> None:
    d = bench()
    other = d.do(changes.add_sheet(d.snapshot, d.last_id)).items[0]
    with pytest.raises(EditError, match=r"^W4 is not drawn on sheet 2\.$"):
        changes.place(d.snapshot, d.last_id, "fuse", other, 40, 37, on_run=d.at("W4"))


def test_into_the_arrow_of_a_run_to_another_sheet(bench: Any) -> None:
    d = bench()
    other = d.do(changes.add_sheet(d.snapshot, d.last_id)).items[0]
    d.do(changes.to_sheet(d.snapshot, [d.symbol("E1")], other))
    d.do(changes.lead(d.snapshot, d.at("W4"), d.sheet, [(40, 20)], last_id=d.last_id))
    d.do(changes.lead(d.snapshot, d.at("W4"), other, [(40, 60)], last_id=d.last_id))
    d.do(changes.place(d.snapshot, d.last_id, "fuse", d.sheet, 40, 32, on_run=d.at("W4")))
    assert (d.ends("W4"), d.ends("W5")) == (("Q1.out", "F2.in"), ("F2.out", "E1.in"))
    assert d.part("W4").kind == "whole"
    assert (d.part("W5").kind, d.part("W5").points[-1]) == ("from", (40, 20))
    far = [p for p in changes.scene_of(d.snapshot, other).parts_on(other) if p.run == d.at("W5")]
    assert [(p.kind, p.points[-1]) for p in far] == [("to", (40, 60))]


def test_equipment_on_no_sheet_is_placed_and_its_runs_are_led(bench: Any) -> None:
    d = bench()
    d.b.add("load", "E2")
    d.b.run("W9", "WC1.bar", "E2.in")
    made = d.do(changes.place_existing(d.snapshot, d.last_id, d.at("E2"), d.sheet, 46, 40))
    assert made.items == (d.at("E2"), d.symbol("E2"))
    assert d.part("W9").points[-1] == (46, 42)
    with pytest.raises(EditError, match="Every terminal of E2 is shown already"):
        changes.place_existing(d.snapshot, d.last_id, d.at("E2"), d.sheet, 60, 40)


def test_a_further_symbol_takes_its_terminals_from_the_first(bench: Any) -> None:
    d = bench()
    other = d.do(changes.add_sheet(d.snapshot, d.last_id)).items[0]
    made = d.do(changes.place_existing(d.snapshot, d.last_id, d.at("E1"), other, 46, 40, terminals=("neg", "earth")))
    assert d.x.get("placements", made.items[1]).terminals == ("neg", "earth")
    assert d.x.get("placements", d.symbol("E1")).terminals == ("in",)
    with pytest.raises(EditError, match="E1 has no terminal “out”: it has in, neg, earth"):
        changes.place_existing(d.snapshot, d.last_id, d.at("E1"), other, 46, 40, terminals=("out",))
    with pytest.raises(EditError, match="would show no terminal any more"):
        changes.place_existing(d.snapshot, d.last_id, d.at("E1"), other, 46, 40, terminals=("in",))
