"""CSV as people and spreadsheets write it."""

from __future__ import annotations

import contextlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.files.errors import FileError
from engine.files.lists import csv_bytes, csv_rows, csv_text_rows, read_lists
from engine.files.lists.cells import Cell, CellError, join_cell, quoted, split_cell, split_items, unquoted
from engine.files.lists.rows import column_letters


def rows(data: bytes) -> list[tuple[int, tuple[str, ...]]]:
    found = csv_text_rows(data, "x.csv")
    assert [str(f) for f in found.faults] == []
    return list(found.rows)


@pytest.mark.parametrize(
    "data",
    [
        b"a,b\n1,2\n",
        b"a;b\r\n1;2\r\n",
        b"a\tb\n1\t2",
        b"\xef\xbb\xbfa,b\n1,2\n",
        "a,b\n1,2\n".encode("utf-16"),
        b'"a","b"\n"1","2"\n',
        b'"a;x","b"\n1,2\n'.replace(b"a;x", b"a"),
    ],
)
def test_separators_marks_and_encodings(data: bytes) -> None:
    assert rows(data) == [(1, ("a", "b")), (2, ("1", "2"))]


def test_a_line_that_only_names_the_separator_is_obeyed_and_counted() -> None:
    assert rows(b"sep=;\na,x;b\n1;2\n") == [(2, ("a,x", "b")), (3, ("1", "2"))]


def test_separators_inside_quotes_do_not_count() -> None:
    assert rows(b'"a,x,y";b\n1;2\n')[0] == (1, ("a,x,y", "b"))


def test_blank_rows_are_left_out_and_lines_stay_right() -> None:
    assert rows(b'a,b\n\n,\n"1\nx",2\n3,4\n') == [(1, ("a", "b")), (4, ("1\nx", "2")), (6, ("3", "4"))]


def test_an_old_code_page_is_read_with_a_notice() -> None:
    found = csv_text_rows("a,b\nKombüse,2\n".encode("cp1252"), "x.csv")
    assert found.rows[1][1][0] == "Kombüse"
    assert found.notices == (
        "x.csv is not UTF-8 (line 2); it was read as Windows-1252, so look at names with accents.",
    )


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        (b"a,b\n\x81,2\n", "x.csv line 2: is text in no encoding that is read: save the list as UTF-8"),
        (b'a,b\n1,"2\n3,4\n', "x.csv line 2: a quotation mark is opened here and never closed"),
        (b'a,b\n1,"2"x\n3,4\n', "x.csv line 2: a quotation mark stands in the middle of a cell: write it twice"),
        (b"a,b\n1,\x002\n", "x.csv line 2, column B: holds a control character"),
        (b"\xff\xfea\x00,\x00b\x00\n", "x.csv line 1: is text in no encoding that is read"),
        (b"a,b\n" + b"x" * 140_000 + b",2\n", "x.csv line 2: a cell is longer than 32767 characters"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line(data: bytes, fault: str) -> None:
    found = csv_text_rows(data, "x.csv")
    assert str(found.faults[0]).startswith(fault)


def test_rows_after_a_fault_are_still_read() -> None:
    found = csv_text_rows(b'a,b\n1,"2"x\n3,4\n', "x.csv")
    assert found.rows[-1] == (3, ("3", "4"))


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="there is no such file"):
        csv_rows(tmp_path / "none.csv")
    (tmp_path / "a.csv").write_bytes(b"a,b\n1,2\n")
    assert csv_rows(tmp_path / "a.csv").rows[1] == (2, ("1", "2"))


def test_an_empty_file_says_so() -> None:
    result = read_lists(csv_text_rows(b"", "equipment.csv"))
    assert [str(f) for f in result.faults] == [
        "equipment.csv line 1: the list is empty: its first row should name the columns"
    ]


@pytest.mark.parametrize(("number", "letters"), [(1, "A"), (26, "Z"), (27, "AA"), (52, "AZ"), (703, "AAA")])
def test_columns_have_the_letters_of_a_spreadsheet(number: int, letters: str) -> None:
    assert column_letters(number) == letters


TEXT = st.text(st.characters(exclude_categories=("Cs", "Cc"))) | st.sampled_from(["a\nb", 'a"b', "a;b,c\td"])


@given(st.lists(st.lists(TEXT, min_size=2, max_size=4), min_size=1, max_size=4))
def test_what_is_written_reads_back(table: list[list[str]]) -> None:
    width = len(table[0])
    table = [["head", *("x" for _c in range(width - 1))], *([*r, *([""] * width)][:width] for r in table)]
    found = csv_text_rows(csv_bytes(table), "x.csv")
    assert not found.faults
    assert [list(cells) for _line, cells in found.rows] == [r for r in table if any(c.strip() for c in r)]


@given(st.binary(max_size=300))
def test_no_bytes_raise(data: bytes) -> None:
    found = csv_text_rows(data, "x.csv")
    read_lists(found, found, found, found, found, found, found, found)


# -- cells -------------------------------------------------------------------------------------------------------
@given(TEXT, st.booleans(), st.sampled_from(["", "measured", "nameplate", "typed", "assumed"]))
def test_a_cell_taken_apart_and_put_together(text: str, literal: bool, origin: str) -> None:
    found = split_cell(join_cell(Cell(text, literal, origin)))
    assert (found.text, found.origin) == (text, origin)
    assert found.literal or not literal


@pytest.mark.parametrize(
    ("raw", "cell"),
    [
        ("250 A", Cell("250 A")),
        (" 250 A ~nameplate ", Cell("250 A", origin="nameplate")),
        ("250 A~assumed", Cell("250 A", origin="assumed")),
        ("230 V~", Cell("230 V~")),
        ("~measured", Cell("", origin="measured")),
        ("'=1+1", Cell("=1+1", literal=True)),
        ("'", Cell("", literal=True)),
        ("x ~measured ~unsaid", Cell("x ~measured")),
    ],
)
def test_marks_of_a_cell(raw: str, cell: Cell) -> None:
    assert split_cell(raw) == cell


@given(st.lists(TEXT.filter(str.strip), max_size=4))
def test_items_of_a_cell(items: list[str]) -> None:
    assert [unquoted(item) for item in split_items("; ".join(quoted(i) for i in items))] == items


@given(st.text(st.sampled_from('a";, '), max_size=12))
def test_no_item_raises_anything_but_a_fault(text: str) -> None:
    with contextlib.suppress(CellError):
        [unquoted(item) for item in split_items(text)]
