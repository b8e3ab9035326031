"""Records from plain values and back: every fault with its path, nothing lost."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.equipment import kind_named, kinds
from engine.equipment.base import Equipment
from engine.equipment.storage.battery_bank import BatteryBank
from engine.installation import LONE, TABLES, Placement, Run
from engine.record import FieldFault, Part, Record, field_specs, from_builtins, to_builtins
from engine.units import UNITS

CLASSES: list[Any] = [*kinds().values(), *(cls for cls, _letter in TABLES.values()), *LONE.values()]
ENDS = {"from": {"equipment": "e1", "terminal": "pos"}, "to": {"equipment": "e2", "terminal": "in"}}


def faults_of(cls: Any, data: Any, path: str = "x") -> list[str]:
    faults: list[FieldFault] = []
    from_builtins(cls, data, path, faults)
    return [f"{f.path}: {f.why}" for f in faults]


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        ({"length_m": -3}, "x.length_m: expected 0 m or more, found -3 m"),
        ({"length_m": "long"}, "x.length_m: expected a number (m) or null, found 'long'"),
        ({"length_m": True}, "x.length_m: expected a number (m) or null, found true"),
        ({"length_m": [1]}, "x.length_m: expected a number (m) or null, found a list"),
        ({"length_m": 10**400}, "x.length_m: expected a number, found a number beyond all use"),
        ({"length_m": float("nan")}, "x.length_m: expected a number, found nan"),
        ({"insulation_c": 301}, "x.insulation_c: expected 300 degC or less, found 301 degC"),
        ({"bundle": 0}, "x.bundle: expected 1 or more, found 0"),
        ({"bundle": 1.5}, "x.bundle: expected a whole number or null, found 1.5"),
        ({"parallel": None}, "x.parallel: expected a whole number, found null"),
        ({"designation": 7}, "x.designation: expected a text, found 7"),
        ({"neutral": "yes"}, "x.neutral: expected true or false, found 'yes'"),
        ({"status": "odd"}, "x.status: expected one of existing, new, to remove, by others, spare, found 'odd'"),
        ({"status": ["new"]}, "x.status: expected one of existing, new, to remove, by others, spare, found a list"),
        ({"exempt": "x"}, "x.exempt: expected one of nothing, cranking, pigtail, found 'x'"),
        ({"size": "2/0"}, "x.size: expected the size written '2/0 AWG', found '2/0'"),
        ({"size": "thick"}, "x.size: expected a conductor size such as 2/0 AWG or 35 mm2, found 'thick'"),
        ({"places": {}}, "x.places: expected a list, found an object"),
        ({"places": [{"place": "p1", "length_m": -1}]}, "x.places[0].length_m: expected 0 m or more, found -1 m"),
        ({"places": [{}]}, "x.places[0].place: is missing"),
        ({"places": [5]}, "x.places[0]: expected an object, found 5"),
        ({"to": None}, "x.to: expected an object, found null"),
        ({"origins": {"size": "x"}}, "x.origins.size: expected one of measured, nameplate, typed, assumed, found 'x'"),
        ({"origins": []}, "x.origins: expected an object, found a list"),
    ],
)  # fmt: skip
def test_a_fault_names_its_path_what_was_expected_and_what_was_found(data: dict[str, Any], fault: str) -> None:
    assert faults_of(Run, ENDS | data) == [fault]


def test_all_faults_of_a_record_come_together() -> None:
    assert faults_of(Run, {"from": {"equipment": "e1"}, "length_m": -1, "status": 3}, 'runs["r7"]') == [
        'runs["r7"].from.terminal: is missing',
        'runs["r7"].length_m: expected 0 m or more, found -1 m',
        'runs["r7"].status: expected one of existing, new, to remove, by others, spare, found 3',
        'runs["r7"].to: is missing',
    ]


@pytest.mark.parametrize("value", [0, 0.0, -3])
def test_a_protective_device_of_no_amperes_is_refused(value: float) -> None:
    """A 0 that stands for "not known" would be the best of all devices: everything behind it would pass."""
    for kind, field in (("fuse", "rating_a"), ("circuit_breaker", "rating_a"), ("fuse_holder", "link_a")):
        told = "-3" if value else "0"
        why = f"x.{field}: expected more than 0 A, found {told} A; where it is not known, leave it empty"
        if value < 0:
            why = f"x.{field}: expected 0 A or more, found {told} A"
        assert faults_of(kinds()[kind], {field: value}) == [why]
        assert faults_of(kinds()[kind], {field: 0.5}) == []


def test_a_refused_field_keeps_its_default_and_the_rest_is_taken() -> None:
    faults: list[FieldFault] = []
    made = from_builtins(BatteryBank, {"unit_v": -1, "unit_ah": 200}, "x", faults)
    assert len(faults) == 1
    assert (made.unit_v, made.unit_ah) == (None, 200.0)


def test_words_from_a_fixed_set() -> None:
    faults: list[FieldFault] = []
    made = from_builtins(kinds()["battery_switch"], {"poles": ["+", "-"]}, "x", faults)
    assert not faults
    assert made.poles == ("+", "-")
    assert faults_of(kinds()["battery_switch"], {"poles": ["plus"]}) == [
        "x.poles: expected a list of +, -, L1, L2, L3, N, PE, found a list"
    ]


def test_a_literal_that_is_a_number_is_not_a_text() -> None:
    place = {"equipment": "e1", "sheet": "s1"}
    assert faults_of(Placement, place | {"rotation": 90}) == []
    assert faults_of(Placement, place | {"rotation": "90"}) == [
        "x.rotation: expected one of 0, 90, 180, 270, found '90'"
    ]
    assert faults_of(Placement, place | {"rotation": True}) != []


def test_unknown_members_survive() -> None:
    faults: list[FieldFault] = []
    data = {"unit_v": 12.8, "smell": {"b": [1.0, 10**30], "a": None}, "zeal": "é"}
    record = from_builtins(BatteryBank, data, "x", faults)
    assert faults == []
    assert to_builtins(record) == data
    assert [name for name, _text in record.unknown] == ["smell", "zeal"]


def test_where_a_value_comes_from_survives() -> None:
    data = {"unit_v": 12.8, "origins": {"unit_v": "nameplate", "unit_ah": "assumed"}}
    record = from_builtins(BatteryBank, data, "x", [])
    assert record.origin("unit_v") == "nameplate"
    assert record.origin("series") is None
    assert to_builtins(record) == data


def test_defaults_are_left_out_and_numbers_are_written_one_way() -> None:
    assert to_builtins(BatteryBank()) == {}
    assert to_builtins(BatteryBank(unit_v=12)) == to_builtins(BatteryBank(unit_v=12.0)) == {"unit_v": 12}


@pytest.mark.parametrize("cls", CLASSES, ids=lambda c: c.__name__)
def test_every_field_has_help_a_known_unit_and_a_shape(cls: Any) -> None:
    assert field_specs(cls)
    for spec in field_specs(cls):
        assert spec.fact.help, spec.name
        assert spec.fact.unit in UNITS or spec.fact.unit == "size", spec.name
        assert spec.shape != "other", spec.name
        # a changing default would be shared by all records
        assert spec.default is msgspec.NODEFAULT or hash(spec.default) is not None
        if spec.shape in ("record", "records"):
            assert all(inner.fact.help for inner in field_specs(spec.item))


def test_no_field_stands_in_the_way_of_what_the_file_adds() -> None:
    for cls in CLASSES:
        assert not {"origins", "unknown"} & {spec.file_name for spec in field_specs(cls)}
        if issubclass(cls, Equipment):
            assert "kind" not in {spec.file_name for spec in field_specs(cls)}, cls


@pytest.mark.parametrize("cls", CLASSES, ids=lambda c: c.__name__)
def test_fields_are_those_msgspec_sees(cls: Any) -> None:
    seen = {f.name: f.default for f in msgspec.structs.fields(cls)}
    assert {s.name: s.default for s in field_specs(cls)} == {
        name: default for name, default in seen.items() if name not in ("origins", "unknown")
    }


def test_one_kind_is_found_as_all_are() -> None:
    assert {name: kind_named(name) for name in kinds()} == kinds()
    for name in ("", "no such kind", "_facts", "../storage/battery_bank", "base"):
        assert kind_named(name) is None


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)


@given(st.sampled_from(CLASSES), st.data())
def test_no_plain_value_raises(cls: Any, data: st.DataObject) -> None:
    names = [s.file_name for s in field_specs(cls)]
    made = data.draw(st.dictionaries(st.sampled_from([*names, "origins", "odd"]), PLAIN, max_size=6) | PLAIN)
    faults: list[FieldFault] = []
    record = from_builtins(cls, made, "x", faults)
    if not faults:
        assert isinstance(record, Record)
        again = from_builtins(cls, to_builtins(record), "x", faults)
        assert not faults
        assert again == record


def test_what_a_part_of_a_record_does_not_know_is_kept() -> None:
    faults: list[FieldFault] = []
    run = {"from": {"equipment": "e1", "terminal": "a", "odd": [1.5, None]}, "to": {"equipment": "e2", "terminal": "b"}}
    record = from_builtins(Run, run, "x", faults)
    assert not faults
    assert record.from_end.unknown == (("odd", "[1.5,null]"),)
    assert to_builtins(record) == run


def test_every_part_of_a_record_can_keep_what_it_does_not_know() -> None:
    parts = {spec.item for cls in CLASSES for spec in field_specs(cls) if spec.item is not None}
    parts |= {spec.item for cls in parts for spec in field_specs(cls) if spec.item is not None}
    assert len(parts) > 10
    assert all(issubclass(part, Part) for part in parts)
