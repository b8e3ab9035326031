"""What stands in a cell to be changed, read again, is the very same value: for every cell of every sample."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.window.document import Document
from app.window.table.block import block_from_text, block_to_text, cell_text
from app.window.table.columns import choices
from app.window.table.model import RowsModel
from engine.edits import SetFields
from engine.files.drawing import load
from engine.files.lists.cells import CellError

pytestmark = pytest.mark.qt
SAMPLES = Path(__file__).parents[4] / "samples"


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("boat", ["launch", "ketch", "workboat"])
def test_no_cell_changes_by_being_looked_at(boat: str, units: str) -> None:
    document = Document(load(SAMPLES / boat / f"{boat}.linewright").installation)
    document.do(SetFields("settings", "", (("units", units),)))
    seen = 0
    for choice in choices(document.snapshot()):
        rows = RowsModel(document, choice)
        reading = rows.facts.reading
        for row in rows.rows:
            for column in rows.columns:
                spec = rows.facts.spec(row, column)
                if spec is None:
                    continue
                text = rows.facts.edit_text(row, column)
                assert reading.edit(row.table, row.item, row.record, spec, text) is None, (row.item, spec.name, text)
                copied = cell_text(text, is_word=True)
                edit = reading.edit(row.table, row.item, row.record, spec, copied, copied=True)
                assert edit is None, (row.item, spec.name, copied)
                seen += 1
    assert seen > 1000


def test_a_bare_number_is_in_the_unit_of_the_heading() -> None:
    document = Document(load(SAMPLES / "ketch" / "ketch.linewright").installation)
    rows = RowsModel(document, next(c for c in choices(document.snapshot()) if c.key == "runs"))
    assert rows.columns[rows.column_number("length_m")].unit == "m"
    document.do(SetFields("settings", "", (("units", "US"),)))
    rows.follow()
    n = rows.column_number("length_m")
    assert rows.columns[n].unit == "ft"
    index = rows.index(0, n)
    assert rows.setData(index, "10")
    rows.follow()  # the page does this after every edit
    assert rows.record_at(index).length_m == pytest.approx(3.048)
    assert index.data() == "10 ft"


@pytest.mark.parametrize(
    "block",
    [
        [["a", "b"], ["c", "d"]],
        [['10 ft 6"', ""], ["", "two\nlines"]],
        [['"quoted"', "tab\there"]],
        [[""]],
        [["one"]],
    ],
)
def test_blocks_come_back_as_they_went(block: list[list[str]]) -> None:
    assert block_from_text(block_to_text(block)) == block


@pytest.mark.parametrize("text", ["", "\n", "\t", '"', '"unclosed\t', "\r\n\r\n", "\x00", "a\tb\n\nc"])
def test_odd_clipboards_are_no_fault(text: str) -> None:
    assert all(isinstance(cell, str) for row in block_from_text(text) for cell in row)


def test_a_fault_names_thing_field_and_text() -> None:
    document = Document(load(SAMPLES / "launch" / "launch.linewright").installation)
    rows = RowsModel(document, next(c for c in choices(document.snapshot()) if c.key == "runs"))
    row = rows.rows[0]
    spec = rows.facts.spec(row, rows.columns[rows.column_number("length_m")])
    assert spec is not None
    with pytest.raises(CellError, match=r"^W\w+, length, one way: expected a length .* found 'wide'$"):
        rows.facts.reading.edit(row.table, row.item, row.record, spec, "wide")
