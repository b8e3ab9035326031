"""Lists as a person types them aboard."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.equipment.base import Breaking
from engine.files.drawing import dump
from engine.files.lists import LISTS, ListResult, csv_text_rows, read_lists
from engine.installation import Installation, Passage

HEAD = "designation,kind\n"
PIECES = HEAD + "G1,battery bank\nF1,fuse\nQ1,battery switch\nWC1,bus bar\nU1,inverter/charger\nE1,load\n"


def read(**lists: str) -> ListResult:
    return read_lists(**{name: csv_text_rows(text.encode(), f"{name}.csv") for name, text in lists.items()})


def faults(**lists: str) -> list[str]:
    return [str(fault) for fault in read(**lists).faults]


def good(**lists: str) -> Installation:
    result = read(**lists)
    assert [str(fault) for fault in result.faults] == []
    return result.installation()


def piece(columns: str, cells: str, kind: str = "fuse") -> Any:
    """One piece of equipment from a list with these columns."""
    (record,) = good(equipment=f"designation,kind,{columns}\nX1,{kind},{cells}\n").equipment.values()
    return record


def refused(columns: str, cells: str, kind: str = "fuse") -> str:
    (fault,) = faults(equipment=f"designation,kind,{columns}\nX1,{kind},{cells}\n")
    return fault


# -- kinds and columns -------------------------------------------------------------------------------------------
@pytest.mark.parametrize("kind", ["inverter_charger", "Inverter/charger", "INVERTER CHARGER", " inverter-charger "])
def test_a_kind_by_its_name_in_files_or_for_people(kind: str) -> None:
    assert piece("label", "x", kind).KIND == "inverter_charger"


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        ("rating", "250"),
        ("rating_a", "250 A"),
        ("Rating A", "0.25 kA"),
        ("rating [A]", "250"),
        ("rating (kA)", "0.25"),
        ("rating (kA)", "250 A"),
        ("rating-a", '"250,0"'),
        (" RATING ", "250 A DC"),
    ],
)
def test_a_column_by_the_fields_name_with_or_without_unit(column: str, cell: str) -> None:
    assert piece(column, cell).rating_a == 250.0


def test_one_column_serves_several_kinds() -> None:
    x = good(equipment="designation,kind,rating\nF1,fuse,5 A\nF2,circuit breaker,10 A\n")
    assert [r.rating_a for r in x.equipment.values()] == [5.0, 10.0]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("columns", "cells", "kind", "fault"),
    [
        ("ratting", "5", "fuse", "1, ratting (column C): nothing has a field of this name; is it rating"),
        ("rating [V]", "5", "fuse", "1, rating [V] (column C): rating_a is in A, and V is no way"),
        ("unit_ah", "5", "fuse", "2, unit_ah (column C): Fuse has no such field"),
        ("unit", "5", "battery bank", "2, unit (column C): unit can be unit_v or unit_ah: head the"),
        ("rating", "much", "fuse", "2, rating (column C): expected a current such as 1.2 kA, found 'much'"),
        ("rating", "-5 A", "fuse", "2, rating (column C): expected 0 A or more, found -5 A"),
        ("rating", '"1,200 A"', "fuse", "2, rating (column C): '1,200 A' can be read as 1200 or as"),
        ("series", "2.5", "battery bank", "2, series (column C): expected a whole number, found '2.5'"),
        ("series", "0", "battery bank", "2, series (column C): expected 1 or more, found 0"),
        ("series", "unknown", "battery bank", "2, series (column C): a value is needed here"),
        ("status", "gone", "fuse", "2, status (column C): expected one of existing, new, to remove"),
        ("covered", "maybe", "fuse", "2, covered (column C): expected yes, no or unknown, found 'maybe'"),
        ("rated_dc_v", "230 VAC", "fuse", "2, rated_dc_v (column C): '230 VAC' says AC, which rated_dc_v"),
        ("rated_bare_v", "48 V DC", "fuse", "2, rated_bare_v (column C): '48 V DC' says DC, which"),
        ("breaking", "20 kA", "fuse", "2, breaking (column C): expected something like 20 kA at 32 V DC"),
        ("breaking", "20 kA at 32 V", "fuse", "2, breaking (column C): '20 kA at 32 V' does not say"),
        ("poles", "L1 X", "battery switch", "2, poles (column C): expected some of + - L1"),
        ("in_position", "ajar", "battery switch", "2, in_position (column C): X1 has no position 'ajar'"),
        ("in_position", "open", "fuse", "2, in_position (column C): X1 cannot be moved"),
        ("label", "a,b", "fuse", "2, column D: there are more cells than columns; a value that holds"),
        ("label,", "a,b", "fuse", "2, column D: the column has no heading"),
        ("label,label", "a,b", "fuse", "1, label (column D): two columns have this heading"),
        ("rating,rating_a", "5,6", "fuse", "2, rating_a (column D): rating_a is given twice in this row"),
        ("parallel_with", "T9", "inverter/charger", "2, parallel_with (column C): no equipment of these"),
    ],
)  # fmt: skip
def test_what_a_cell_may_not_say(columns: str, cells: str, kind: str, fault: str) -> None:
    assert refused(columns, cells, kind).startswith(f"equipment.csv line {fault}")


def test_an_unknown_kind_suggests_what_is_alike() -> None:
    assert faults(equipment=HEAD + "F1,fusee\n") == [
        "equipment.csv line 2, kind (column B): there is no kind 'fusee'; is it fuse or fuse_holder?"
    ]


def test_the_columns_that_must_be_there() -> None:
    assert faults(equipment="designation,label\nF1,x\n") == ["equipment.csv line 1: there is no column kind"]
    assert faults(equipment=HEAD, runs="designation,from\n") == ["runs.csv line 1: there is no column to"]


def test_what_is_unknown_stays_unknown() -> None:
    record = piece("rating,covered,fuse_class,price", "unknown,?,,not known")
    assert (record.rating_a, record.covered, record.fuse_class, record.price) == (None, None, "", None)


def test_yes_no_choices_and_marks() -> None:
    record = piece("covered,fuse class,rating,maker", "Yes,CLASS  t,250 A ~nameplate,Acme ~assumed")
    assert (record.covered, record.fuse_class) == (True, "class T")
    assert record.origins == (("maker", "assumed"), ("rating_a", "nameplate"))


def test_breaking_capacity() -> None:
    record = piece("breaking", "20 kA at 32 V DC; 6 kA at 240 VAC")
    assert record.breaking == (Breaking(20_000, 32, "DC"), Breaking(6000, 240, "AC"))


def test_records_in_one_cell() -> None:
    record = piece("channels", '"1: 20 A label=Nav lights; 2: 10 A override=yes; 3 label=""a;b"""', "switching module")
    assert [(c.number, c.rating_a, c.label, c.override) for c in record.channels] == [
        (1, 20.0, "Nav lights", None),
        (2, 10.0, "", True),
        (3, None, "a;b", None),
    ]


def test_poles_and_other_words() -> None:
    assert piece("poles", "+ -", "battery switch").poles == ("+", "-")
    assert piece("poles", '"+,-"', "battery switch").poles == ("+", "-")


def test_places_and_enclosures_are_made_when_first_named() -> None:
    x = good(
        equipment="designation,kind,place,enclosure\nF1,fuse,Engine room,Panel\nF2,fuse,engine  room,panel\n",
        places="name,kind,temperature\nBilge,wet,30 °C\n",
    )
    assert [(p.name, p.kind, p.temperature_c) for p in x.snapshot().places.values()] == [
        ("Bilge", "wet", 30.0),
        ("Engine room", "", None),
    ]
    assert [e.name for e in x.snapshot().enclosures.values()] == ["Panel"]
    assert len({r.place for r in x.equipment.values()}) == 1


def test_a_designation_given_twice_lets_neither_in_nor_a_run_that_means_either() -> None:
    lists = {
        "equipment": HEAD + "F1,fuse\nQ1,battery switch\nF1,fuse\n",
        "runs": "designation,from,to\nW1,F1.out,Q1.in\n",
    }
    assert faults(**lists) == [
        "equipment.csv line 4, designation (column A): 'F1' stands in line 2 already, so neither goes in",
        "runs.csv line 2, from (column B): needs the equipment of line 2, which was refused",
    ]
    assert [r.designation for r in read(**lists).installation().equipment.values()] == ["Q1"]


def test_what_has_no_designation_is_linked_by_a_name_that_is_not_kept() -> None:
    x = good(equipment=HEAD + "?1,junction\n?2,open end\n", runs="designation,from,to\nW1,?1.at,?2.at\n")
    assert [r.designation for r in x.equipment.values()] == ["", ""]
    assert len(x.runs) == 1
    assert "begins with ?" in faults(equipment=HEAD + ",junction\n")[0]


def test_good_rows_go_in_without_bad_ones_and_what_needs_them() -> None:
    result = read(
        equipment="designation,kind,rating,parallel_with\nF1,fuse,x,\nF2,fuse,5,\nU1,inverter/charger,,U2\n"
        "U2,inverter/charger,,U3\nU3,inverter/charger,5,\n",
        runs="designation,from,to\nW1,F1.out,F2.in\nW2,F2.out,F2.in\n",
        states="condition,designation,position\nAt anchor,U1,off\n",
        interlocks='devices\n"U2:off"\n',
    )
    assert [str(f) for f in result.faults] == [
        "equipment.csv line 2, rating (column C): expected a current such as 1.2 kA, found 'x'",
        "equipment.csv line 4, parallel_with (column D): needs the equipment of line 5, which was refused",
        "equipment.csv line 5, parallel_with (column D): needs the equipment of line 6, which was refused",
        "equipment.csv line 6, rating (column C): Inverter/charger has no such field",
        "runs.csv line 2, from (column B): needs the equipment of line 2, which was refused",
        "states.csv line 2, designation (column B): needs the equipment of line 4, which was refused",
        "interlocks.csv line 2, devices (column A): needs the equipment of line 5, which was refused",
    ]
    x = result.installation()
    assert [r.designation for r in x.equipment.values()] == ["F2"]
    assert [r.designation for r in x.runs.values()] == ["W2"]


# -- runs --------------------------------------------------------------------------------------------------------
def run(columns: str, cells: str) -> Any:
    (record,) = good(equipment=PIECES, runs=f"designation,{columns}\nW1,{cells}\n").runs.values()
    return record


def refused_run(columns: str, cells: str) -> str:
    (fault,) = faults(equipment=PIECES, runs=f"designation,{columns}\nW1,{cells}\n")
    return fault


@pytest.mark.parametrize(
    ("text", "function", "terminal", "stud"),
    [
        ("F1.in", "", "in", None),
        ("G1", "", "pos", None),  # the only one that carries the pair
        ("G1", "dc negative", "neg", None),  # the one that carries nothing else
        ("WC1", "", "bar", None),
        ("WC1#3", "", "bar", 3),
        ("WC1.bar#12", "", "bar", 12),
        ("U1", "earth", "earth", None),
    ],
)
def test_ends(text: str, function: str, terminal: str, stud: int | None) -> None:
    end = run("from,to,function", f"{text},Q1.in,{function}").from_end
    assert (end.terminal, end.stud_number) == (terminal, stud)


@pytest.mark.parametrize(
    ("text", "function", "fault"),
    [
        ("", "", "is missing"),
        ("F9.in", "", "no equipment of these lists is called 'F9.in'"),
        ("F1.lid", "", "F1 has no terminal 'lid': it has in, out"),
        ("F1", "", "several terminals of F1 fit: write F1.in or F1.out"),
        ("G1", "ac", "no terminal of G1 carries L1 N PE: it has pos (+ -), neg (-)"),
        ("U1", "ac", "several terminals of U1 fit: write U1.ac_in or U1.ac_out"),
        ("WC1#0", "", "studs are counted from 1"),
    ],
)
def test_ends_that_lead_nowhere(text: str, function: str, fault: str) -> None:
    said = refused_run("from,to,function", f"{text},Q1.in,{function}")
    assert said.startswith(f"runs.csv line 2, from (column B): {fault}")


def test_a_designation_may_hold_a_point_or_a_number_sign() -> None:
    x = good(
        equipment=HEAD + "A1.F1,fuse\nW#1,bus bar\n",
        runs="designation,from,to\nW1,A1.F1.in,W#1\nW2,A1.F1.out,W#1#2\n",
    )
    ends = [r.to_end for r in x.runs.values()]
    assert [(e.terminal, e.stud_number) for e in ends] == [("bar", None), ("bar", 2)]


def test_a_run_with_everything() -> None:
    record = run(
        "from,to,function,size,length (ft),insulation,places,from torque,to marker,parallel",
        'G1,F1.in,DC pair,2/0,10 ft 6 in,105 °C,"Engine room 2 m; Bilge 1,5 m (unsheathed 0.3 m); Locker 2",12 Nm,X7,2',
    )
    assert (record.function, record.size, record.length_m, record.insulation_c) == ("dc pair", "2/0 AWG", 3.2004, 105)
    assert record.insulation == ""
    assert (record.from_end.torque_nm, record.to_end.marker, record.parallel) == (12.0, "X7", 2)
    assert [(p.length_m, p.unsheathed_m) for p in record.places] == [(2.0, None), (1.5, 0.3), (None, None)]
    assert isinstance(record.places[0], Passage)


def test_the_heading_gives_the_unit_of_bare_numbers_only() -> None:
    assert run("from,to,length [ft]", "G1,F1.in,10").length_m == 3.048
    assert run("from,to,length [ft]", "G1,F1.in,10 m").length_m == 10.0
    assert run("from,to,size [mm2]", "G1,F1.in,16").size == "16 mm2"
    assert run("from,to,size (AWG)", "G1,F1.in,16").size == "16 AWG"
    assert "'16' can be 16 AWG or 16 mm2" in refused_run("from,to,size", "G1,F1.in,16")


def test_words_and_a_quantity_of_one_name() -> None:
    assert run("from,to,insulation", "G1,F1.in,PVC").insulation == "PVC"
    assert run("from,to,insulation", "G1,F1.in,105").insulation_c == 105.0
    assert run("from,to,insulation", "G1,F1.in,'105").insulation == "105"


def test_places_that_need_quotes() -> None:
    places = '"""Deck 3 m"" 2 m; Cabin: 4 m; x length=5 m unsheathed=1 m"'
    x = good(equipment=PIECES, runs=f"designation,from,to,places\nW1,G1,F1.in,{places}\n")
    (record,) = x.runs.values()
    named = [(x.snapshot().places[p.place].name, p.length_m, p.unsheathed_m) for p in record.places]
    assert named == [("Deck 3 m", 2.0, None), ("Cabin", 4.0, None), ("x", 5.0, 1.0)]


@pytest.mark.parametrize(
    ("cell", "fault"),
    [
        ('"Bilge ""2 m"', "a quotation mark is never closed"),
        ("Bilge length=x", "length_m in 'Bilge length=x': expected a length such as"),
        ("Bilge -1 m", "length_m in 'Bilge -1 m': expected 0 m or more, found -1 m"),
        ("Bilge 1 m length=2 m", "length_m is given twice"),
        ("length=2 m", "place is missing in 'length=2 m'"),
    ],
)
def test_places_that_cannot_be_read(cell: str, fault: str) -> None:
    said = refused_run("from,to,places", f"G1,F1.in,{cell}")
    assert said.startswith("runs.csv line 2, places (column D): ")
    assert fault in said


# -- the other lists ---------------------------------------------------------------------------------------------
def test_operating_conditions_and_interlocks() -> None:
    x = good(
        equipment=PIECES + "E2,load\n",
        states="condition,designation,position,running,hours_a_day\nAt anchor,Q1,CLOSED,,\nat anchor,U1,,yes,\n"
        "At anchor,E1,,,4 h\nAlongside,Q1,open,,\n",
        conditions="name,order,required_hours\nAt anchor,2,12 h\n",
        interlocks='name,kind,at_most,devices\nslide,captive key,1,"Q1:closed; U1:pass,invert"\n',
    )
    anchor, alongside = x.snapshot().conditions.values()
    ids = {r.designation: i for i, r in x.equipment.items()}
    assert (anchor.name, anchor.order, anchor.required_hours) == ("At anchor", 2, 12.0)
    assert [(s.equipment, s.position) for s in anchor.settings] == [(ids["Q1"], "closed")]
    assert anchor.running == (ids["U1"],)
    assert [(d.equipment, d.hours_a_day) for d in anchor.duties] == [(ids["E1"], 4.0)]
    assert [(s.equipment, s.position) for s in alongside.settings] == [(ids["Q1"], "open")]
    (lock,) = x.snapshot().interlocks.values()
    assert (lock.name, lock.kind) == ("slide", "captive key")
    assert [(h.equipment, h.positions) for h in lock.held] == [
        (ids["Q1"], ("closed",)),
        (ids["U1"], ("pass", "invert")),
    ]


def test_hours_of_a_load_by_the_name_of_a_condition() -> None:
    x = good(
        equipment="designation,kind,duty\nE1,load,At anchor 4 h; Alongside 30 min\nQ1,battery switch,\n",
        states="condition,designation,position\nAt anchor,Q1,open\nAlongside,Q1,closed\n",
    )
    (load, _switch) = x.equipment.values()
    names = x.snapshot().conditions
    assert [(names[d.condition].name, d.hours_a_day) for d in load.duty] == [("At anchor", 4.0), ("Alongside", 0.5)]  # type: ignore[attr-defined]
    assert "no operating condition of these lists is called 'At sea'" in refused("duty", "At sea 4 h", "load")


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        (",Q1,open", "states.csv line 2, condition (column A): is missing"),
        ("A,,open", "states.csv line 2, designation (column B): is missing"),
        ("A,Q7,open", "states.csv line 2, designation (column B): no equipment of these lists is called 'Q7'"),
        ("A,Q1,", "states.csv line 2, position (column C): is missing"),
        ("A,Q1,ajar", "states.csv line 2, position (column C): Q1 has no position 'ajar': it has open, closed"),
        ("A,F1,open", "states.csv line 2, position (column C): F1 cannot be moved: it has no positions"),
        ("A,Q1,open\nA,Q1,closed", "states.csv line 3, position (column C): Q1 has a position in 'A' already"),
    ],
)  # fmt: skip
def test_states_that_cannot_be(row: str, fault: str) -> None:
    assert faults(equipment=PIECES, states=f"condition,designation,position\n{row}\n") == [fault]


@pytest.mark.parametrize(
    ("devices", "fault"),
    [
        ("", "is missing"),
        ("Q9:closed", "equipment in 'Q9:closed': no equipment of these lists is called 'Q9'"),
        ("Q1:ajar", "Q1 has no position 'ajar'"),
        (":closed", "expected something like Q1:closed, found ':closed'"),
    ],
)
def test_interlocks_that_cannot_be(devices: str, fault: str) -> None:
    (said,) = faults(equipment=PIECES, interlocks=f"name,devices\nslide,{devices}\n")
    assert said.startswith(f"interlocks.csv line 2, devices (column B): {fault}")


def test_the_vessel_and_the_settings_of_the_drawing() -> None:
    x = good(
        equipment=PIECES,
        vessel="field,value\nname,Dunlin\nlength,40 ft ~measured\nbook,k1\ntitle,Wiring\nbuild year,1988\nlanguage,'\n",
    )
    assert (x.vessel.name, x.vessel.length_m, x.vessel.build_year) == ("Dunlin", 12.192, 1988)
    assert x.vessel.origins == (("length_m", "measured"),)
    assert (x.settings.book, x.title_block.title, x.title_block.language) == ("k1", "Wiring", "")


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        ("nam,x", "field (column A): neither vessel, title block nor settings have a field 'nam'; is it name"),
        ("length,long", "value (column B): expected a length such as"),
        ("name,x\nname,y", "field (column A): name is given twice"),
        ("units,furlongs", "value (column B): expected one of metric, US, found 'furlongs'"),
    ],
)
def test_a_vessel_that_cannot_be(row: str, fault: str) -> None:
    (said,) = faults(equipment=PIECES, vessel=f"field,value\n{row}\n")
    assert fault in said


def test_what_is_named_twice_is_told() -> None:
    assert faults(equipment=PIECES, places="name\nBilge\nbilge\n") == [
        "places.csv line 3, name (column A): 'bilge' is given twice"
    ]


def test_the_same_lists_give_the_same_bytes() -> None:
    lists = {"equipment": PIECES, "runs": "designation,from,to\nW1,G1,F1.in\n", "vessel": "field,value\nname,Dunlin\n"}
    assert dump(good(**lists)) == dump(good(**lists))


def test_good_rows_are_counted() -> None:
    assert read(equipment=PIECES, runs="from,to\nG1,F1.in\nG1,F9\n").counts == {"equipment": 6, "runs": 1}


# -- whatever comes ----------------------------------------------------------------------------------------------
PARTS = st.sampled_from(
    [*"abF1Q.,;:#'\"~?=+-@()[] 0123\n", "designation", "kind", "fuse", "load", "from", "to", "places", "Q1", "F1",
     "name", "rating", "unknown", "measured", "1 m", "at", "VAC", "condition", "position", "devices", "field", "value",
     "duty"]
)  # fmt: skip


@given(st.dictionaries(st.sampled_from(LISTS), st.lists(PARTS, max_size=40).map("".join), max_size=8))
def test_no_lists_raise(texts: dict[str, str]) -> None:
    result = read(**{"equipment": PIECES} | texts)
    dump(result.installation())


CELLS = st.lists(PARTS, max_size=4).map(
    lambda parts: "".join(parts).replace("\n", " ").replace(",", ";").replace('"', "")
)
COLUMNS = {
    "equipment": ("designation", "kind", "place", "rating", "breaking", "duty", "in_position", "channels"),
    "runs": ("from", "to", "places", "size", "length", "insulation", "from_torque", "function"),
    "states": ("condition", "designation", "position", "running", "hours_a_day"),
    "interlocks": ("name", "at_most", "devices"),
}  # fmt: skip


@given(st.sampled_from(sorted(COLUMNS)), st.data())
def test_no_row_raises(name: str, data: st.DataObject) -> None:
    columns = COLUMNS[name]
    row = ",".join(data.draw(CELLS) for _c in columns)
    if name == "equipment":
        row = (
            row
            + "\n"
            + ",".join(["X", data.draw(st.sampled_from(["fuse", "load", "switching module"])), *row.split(",")[2:]])
        )
    result = read(**{"equipment": PIECES} | {name: ",".join(columns) + "\n" + row + "\n"})
    dump(result.installation())
