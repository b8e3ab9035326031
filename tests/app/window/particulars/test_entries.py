"""What stands in an entry is read back as what it was: any number, any unit, metric and US."""

from __future__ import annotations

import math
from typing import Annotated

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.window.entries import CellError, Reading, describe, label_of, nothing_of, says_its_unit, title_of
from engine.builder import Builder
from engine.conductor_sizes import AWG_SIZES, METRIC_SIZES
from engine.edits import SetFields, apply
from engine.equipment import kinds
from engine.installation import Run
from engine.installation.model import LONE, TABLES
from engine.record import Fact, field_specs
from engine.units import UNITS

EVERY = [*kinds().values(), *(cls for cls, _letter in TABLES.values()), *LONE.values()]


def reading(units: str = "metric") -> Reading:
    b = Builder(name="Sandling")
    b.add("fuse", "F1")
    b.add("fuse", "F 2")
    b.add("fuse", "F3")
    b.add("fuse", "F3")
    apply(b.installation, SetFields("settings", "settings", (("units", units),)))
    return Reading(b.installation.snapshot())


METRIC, US = reading(), reading("US")


def number_spec(unit: str) -> object:
    made = msgspec.defstruct("Made", [("held", Annotated[float | None, Fact("held", unit)], None)], module=__name__)
    (spec,) = field_specs(made)
    return spec


@given(st.sampled_from(sorted(UNITS)), st.floats(-1e9, 1e9, allow_nan=False).map(lambda v: float(f"{v:.9g}")))
def test_a_number_is_read_back_as_it_stands(unit: str, value: float) -> None:
    spec = number_spec(unit)
    value = abs(value)
    if value and value < 1e-8:
        return
    text = METRIC.text(spec, value)
    assert METRIC.value(spec, text).value == pytest.approx(value, rel=1e-9)
    read = US.value(spec, US.text(spec, value)).value
    if unit in ("m", "mm"):  # shown to a tenth of an inch, under two feet to twelve figures
        assert math.isclose(read, value, rel_tol=1e-9, abs_tol=0.0013 if unit == "m" else 1.3)
    else:
        assert read == pytest.approx(value, rel=1e-9)


def test_the_unit_behind_an_entry_is_the_one_a_bare_number_is_in() -> None:
    for unit in UNITS:
        spec = number_spec(unit)
        for told in (METRIC, US):
            behind = told.unit(spec)
            with_unit = told.value(spec, f"7 {behind}".strip()).value
            assert told.value(spec, "7").value == with_unit, unit


@pytest.mark.parametrize("size", [*AWG_SIZES, *METRIC_SIZES])
def test_a_size_is_read_back_as_it_stands(size: str) -> None:
    spec = next(s for s in field_specs(Run) if s.name == "size")
    assert METRIC.value(spec, METRIC.text(spec, size)).value == size


def test_names_of_equipment_are_read_back_even_with_spaces_in_them() -> None:
    spec = next(s for cls in kinds().values() for s in field_specs(cls) if s.shape == "words" and s.fact.refers)
    ids = [item for item, record in METRIC.snapshot.equipment.items() if record.designation in ("F1", "F 2")]
    text = METRIC.text(spec, tuple(ids))
    assert text == 'F1, "F 2"'
    assert METRIC.value(spec, text).value == tuple(ids)
    assert METRIC.value(spec, "f1").value == (ids[0],)
    with pytest.raises(CellError, match="2 things are called 'F3'"):
        METRIC.value(spec, "F3")
    with pytest.raises(CellError, match="nothing here is called 'F9'"):
        METRIC.value(spec, "F9")


def test_every_field_of_every_record_is_described_in_sentences() -> None:
    for cls in EVERY:
        for spec in field_specs(cls):
            told = describe(spec)
            assert told.endswith("."), (cls, spec.name)
            assert told[0].isupper() or not told[0].isalpha(), told
            assert ".." not in told
            assert label_of(cls, spec)
            nothing = nothing_of(spec)
            assert nothing is None or METRIC.text(spec, nothing) == "" or nothing == spec.default


def test_a_mark_says_where_a_value_comes_from_but_is_part_of_a_free_text() -> None:
    fuse = {s.name: s for s in field_specs(kinds()["fuse"])}
    assert METRIC.value(fuse["rating_a"], "250 A ~nameplate") == (250.0, "nameplate")
    assert METRIC.value(fuse["label"], "pump ~nameplate") == ("pump ~nameplate", "")
    assert METRIC.value(fuse["rating_a"], " ") == (None, "")


def test_what_has_no_name_is_told_by_what_it_is() -> None:
    b = Builder(name="Sandling")
    fuse = b.add("fuse", "")
    load = b.add("load", "")
    b.set("", label="Anchor light")
    snapshot = b.installation.snapshot()
    assert title_of(snapshot, "equipment", fuse) == f"Fuse {fuse}"
    assert title_of(snapshot, "equipment", load) == "Anchor light"
    assert title_of(snapshot, "equipment", "e99") == "e99"
    assert title_of(snapshot, "vessel", "vessel") == "the vessel"


def test_only_a_bare_number_needs_the_unit_behind_it() -> None:
    assert not any(says_its_unit(text) for text in ("", "12", "3,5", "-4.25", "1 200"))
    assert all(says_its_unit(text) for text in ("10 ft", "1.2 kA", "5m", "2/0", "abc"))
