"""Rows as they are typed, and which ends are then still to be traced."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.builder import Builder
from engine.edits import EditError, apply
from engine.installation.model import Installation, Snapshot
from engine.tracing import count_ends, to_be_traced
from engine.tracing.cells import COLUMNS, row_of
from engine.tracing.rows import RowFault, cells_of_block, end_means, row_edit, rows_edit


def trace(boat: Installation, run: str = "", **cells: str) -> str:
    typed = {key.removesuffix("_"): text for key, text in cells.items()}
    made = row_edit(boat.snapshot(), boat.last_id, typed, run)
    apply(boat, made.edit)
    return made.run


def ends(snapshot: Snapshot) -> list[tuple[str, str, str]]:
    return [(p.heading, e.name, e.why) for p in to_be_traced(snapshot) for e in p.ends]


def named(boat: Installation) -> dict[str, str]:
    return {r.designation: r.KIND for r in boat.snapshot().equipment.values()}


def test_what_does_not_exist_is_made_on_the_spot_with_its_values_and_place() -> None:
    boat = Installation()
    run = trace(boat, from_="G1 battery 12 V 100 Ah in Bilge", to="F1 class t 200", origin="nameplate", size="35 mm2")
    snapshot = boat.snapshot()
    assert named(boat) == {"G1": "battery_bank", "F1": "fuse"}
    fuse = next(r for r in snapshot.equipment.values() if r.designation == "F1")
    bank = next(r for r in snapshot.equipment.values() if r.designation == "G1")
    assert (fuse.rating_a, fuse.origin("rating_a")) == (200, "nameplate")
    assert snapshot.places[bank.place].name == "Bilge"
    assert (snapshot.runs[run].size, snapshot.runs[run].origin("size")) == ("35 mm2", "nameplate")
    assert not snapshot.placements


def test_words_that_name_nothing_become_an_open_end_that_keeps_them() -> None:
    boat = Installation()
    trace(boat, from_="F1 fuse", to="grey box behind the galley", from_seen="yes")
    assert [(why, name) for _place, name, why in ends(boat.snapshot()) if why == "open end"] == [("open end", "W1")]
    every = [end for place in to_be_traced(boat.snapshot()) for end in place.ends]
    assert [end.hint for end in every if end.run] == ["grey box behind the galley"]


def test_an_end_is_to_be_traced_until_it_was_seen() -> None:
    boat = Installation()
    run = trace(boat, from_="Q1 switch", to="Q2 switch", from_seen="y")
    only = [why for _p, name, why in ends(boat.snapshot()) if name == "W1"]
    assert only == ["one end seen"]
    trace(boat, run, from_="Q1", to="Q2", from_seen="y", to_seen="n")
    assert [why for _p, name, why in ends(boat.snapshot()) if name == "W1"] == ["not seen"]
    trace(boat, run, from_="Q1", to="Q2", from_seen="y", to_seen="y")
    assert [why for _p, name, why in ends(boat.snapshot()) if name == "W1"] == []
    assert count_ends(boat.snapshot()) == (1, 1, 0)


def test_an_open_end_that_is_resolved_goes() -> None:
    boat = Installation()
    run = trace(boat, from_="Q1 switch", to="", from_seen="y")
    assert len(boat.snapshot().equipment) == 2
    trace(boat, run, from_="Q1", to="E1 lamp", from_seen="y", to_seen="y")
    assert sorted(named(boat)) == ["E1", "Q1"]


def test_what_nobody_ever_traced_is_counted_and_not_listed() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "E1.in", function="dc positive")
    snapshot = b.installation.snapshot()
    assert ends(snapshot) == []
    assert count_ends(snapshot) == (1, 0, 1)


def test_places_come_in_the_order_they_were_recorded_in() -> None:
    boat = Installation()
    for place in ("Wheelhouse", "Bilge"):
        trace(boat, from_=f"switch in {place}", to="", from_seen="y")
    trace(boat, from_="switch", to="", places="Bilge 2 m")
    assert [h for h, _n, why in ends(boat.snapshot()) if why == "open end"] == ["Wheelhouse", "Bilge", "Bilge"]


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ({"from": "F1 fuse", "to": "", "length_m": "long"}, "length_m"),
        ({"from": "F1 fuse", "to": "", "size": "17 turtles"}, "size"),
        ({"from": "F1 fuse", "to": "", "from_seen": "perhaps"}, "from_seen"),
        ({"from": "F1 fuse", "to": "", "function": "water"}, "function"),
        ({"from": "F1 fuse", "to": "", "origin": "guessed"}, "origin"),
        ({"from": "E1 lamp", "to": "", "function": "signal"}, "from"),
    ],
)
def test_a_cell_that_cannot_be_taken_is_named_and_nothing_changes(cells: dict[str, str], column: str) -> None:
    boat = Installation()
    with pytest.raises(RowFault) as caught:
        row_edit(boat.snapshot(), boat.last_id, cells)
    assert caught.value.column == column
    assert str(caught.value)
    assert not boat.snapshot().equipment


def test_rows_of_a_spreadsheet_are_one_edit_or_none() -> None:
    boat = Installation()
    block = [["To", "From", "Size"], ["F1 fuse 30 A", "G1 battery", "10 mm2"], ["E1 lamp", "F1", "2.5 mm2"]]
    made = rows_edit(boat.snapshot(), boat.last_id, cells_of_block(block))
    before = boat.snapshot()
    inverse = apply(boat, made.edit)
    assert [r.size for r in boat.snapshot().runs.values()] == ["10 mm2", "2.5 mm2"]
    assert sorted(named(boat)) == ["E1", "F1", "G1"]
    apply(boat, inverse)
    assert boat.snapshot().tables == before.tables
    with pytest.raises(EditError, match="row 2"):
        rows_edit(boat.snapshot(), boat.last_id, cells_of_block([*block[:2], ["E1 lamp", "F1", "tiny"]]))


CELL = st.text(st.characters(blacklist_categories=("Cs",)), max_size=24)
ROW: Any = st.fixed_dictionaries(
    {},
    optional={key: CELL for key, _h, _t in COLUMNS}
    | {
        "from": st.sampled_from(["F1", "G1.pos", "F9 class t 300", "a box", "", "G1.neg"]) | CELL,
        "to": st.sampled_from(["E1", "E1.in", "bilge pump 5 A in Bilge", "", "W1"]) | CELL,
        "length_m": st.sampled_from(["2 m", "3 ft ~assumed", "", "1,5 m"]),
        "size": st.sampled_from(["6 AWG", "16 mm2 ~measured", ""]),
        "places": st.sampled_from(["Bilge 2 m; Saloon", "Saloon", ""]),
        "from_seen": st.sampled_from(["y", "n", ""]),
        "to_seen": st.sampled_from(["yes", "no", "?"]),
        "function": st.sampled_from(["+", "-", "dc pair", ""]),
        "origin": st.sampled_from(["measured", "a", ""]),
    },
)


@given(ROW)
def test_any_row_is_taken_whole_or_refused_in_a_sentence_and_reads_back_as_it_is(cells: dict[str, str]) -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=30)
    b.add("load", "E1", dc_v=12)
    boat = b.installation
    before = boat.snapshot()
    assert end_means(before, cells.get("from", ""))
    try:
        made = row_edit(before, boat.last_id, cells)
    except RowFault as fault:
        why = str(fault)
        assert why
        return
    inverse = apply(boat, made.edit)
    after = boat.snapshot()
    again = row_edit(after, boat.last_id, row_of(after, made.run), made.run)
    apply(boat, again.edit)
    assert boat.snapshot().tables == after.tables  # a row that is not touched changes nothing
    apply(boat, inverse)
    assert boat.snapshot().tables == before.tables
