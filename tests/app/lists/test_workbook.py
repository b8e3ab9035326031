"""Workbooks as lists: the same rows that CSV gives, no formula evaluated, every fault with its cell."""

from __future__ import annotations

import datetime
import io
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter

from app import workbook_parts as module
from app.workbook import workbook_lists
from engine.files.errors import FileError
from engine.files.lists import ListFile, csv_bytes, csv_text_rows, read_lists, write_lists


def lists(path: Path) -> dict[str, ListFile]:
    """The sheets of a workbook by name."""
    return {f.name.removeprefix(f"{path} [").removesuffix("]").lower(): f for f in workbook_lists(path)}


def workbook(path: Path, **sheets: list[list[Any]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


EQUIPMENT = [
    ["designation", "kind", "rating", "covered"],
    ["F1", "fuse", 250, True],
    ["Q1", "battery switch", None, None],
]
RUNS = [["designation", "from", "to", "length"], ["W1", "F1.out", "Q1.in", 2.5]]


def test_two_sheets_make_a_boat(tmp_path: Path) -> None:
    result = read_lists(**lists(workbook(tmp_path / "boat.xlsx", Equipment=EQUIPMENT, runs=RUNS)))
    assert [str(f) for f in result.faults] == []
    x = result.installation()
    (fuse, _switch), (run,) = x.equipment.values(), x.runs.values()
    assert (fuse.rating_a, fuse.covered) == (250.0, True)  # type: ignore[attr-defined]
    assert run.length_m == 2.5


def test_cells_become_what_a_person_would_have_typed(tmp_path: Path) -> None:
    path = tmp_path / "boat.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("equipment")
        percent = book.add_format({"num_format": "0.0%"})
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        sheet.write_row(0, 0, ["a", "b", "c", "d", "e", "f"])
        sheet.write_number(1, 0, 0.925, percent)
        sheet.write_datetime(1, 1, datetime.datetime(2024, 5, 6), day)
        sheet.write_number(1, 2, 12.0)
        sheet.write_number(1, 3, -0.5)
        sheet.write_boolean(1, 4, False)
        sheet.write_string(1, 5, "=1+1")
    assert lists(path)["equipment"].rows[1] == (2, ("92.5 %", "2024-05-06", "12", "-0.5", "no", "=1+1"))


def test_a_fault_names_sheet_row_and_column(tmp_path: Path) -> None:
    path = workbook(tmp_path / "boat.xlsx", equipment=[*EQUIPMENT, [], ["F2", "fuse", "much"]])
    (fault,) = read_lists(**lists(path)).faults
    assert str(fault) == (
        f"{path} [equipment] line 5, rating (column C): expected a current such as 1.2 kA, found 'much'"
    )


def test_formulas_are_not_evaluated(tmp_path: Path) -> None:
    path = tmp_path / "boat.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("equipment")
        sheet.write_row(0, 0, ["designation", "kind", "rating"])
        sheet.write_row(1, 0, ["F1", "fuse"])
        sheet.write_formula(1, 2, "=100+150", value=250)  # calculated by whoever saved it
        sheet.write_row(2, 0, ["F2", "fuse"])
        sheet.write_formula(2, 2, "=1/0", value="#DIV/0!")
    found = lists(path)["equipment"]
    assert found.rows[1] == (2, ("F1", "fuse", "250"))
    assert [str(f) for f in found.faults] == [f"{path} [equipment] line 3, column C: holds the error #DIV/0!"]
    never = workbook(tmp_path / "never.xlsx", equipment=[["designation", "kind", "rating"], ["F1", "fuse", "=100+150"]])
    (fault,) = lists(never)["equipment"].faults
    assert "line 2, column C: holds a formula without a result" in str(fault)


def test_every_sheet_is_a_list_in_order_and_says_where_it_is_from(tmp_path: Path) -> None:
    path = workbook(tmp_path / "boat.xlsx", Remarks=[["x"]], equipment=EQUIPMENT, empty=[])
    assert [f.name for f in workbook_lists(path)] == [f"{path} [{n}]" for n in ("Remarks", "equipment", "empty")]


def test_what_is_no_workbook_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="there is no such file"):
        workbook_lists(tmp_path / "none.xlsx")
    (tmp_path / "text.xlsx").write_bytes(b"designation,kind\n")
    with pytest.raises(FileError, match="it is no XLSX workbook"):
        workbook_lists(tmp_path / "text.xlsx")
    with zipfile.ZipFile(tmp_path / "zip.xlsx", "w") as other:
        other.writestr("a.txt", "x")
    with pytest.raises(FileError, match="it is no XLSX workbook"):
        workbook_lists(tmp_path / "zip.xlsx")


def test_a_broken_sheet_is_a_fault_and_no_traceback(tmp_path: Path) -> None:
    whole = workbook(tmp_path / "whole.xlsx", equipment=EQUIPMENT).read_bytes()
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole)) as old, zipfile.ZipFile(out, "w") as new:
        for member in old.namelist():
            data = old.read(member)
            new.writestr(member, data[: len(data) // 2] if "sheet1" in member else data)
    (tmp_path / "broken.xlsx").write_bytes(out.getvalue())
    (fault,) = lists(tmp_path / "broken.xlsx")["equipment"].faults
    assert "the sheet cannot be read" in str(fault)


def test_what_unpacks_beyond_the_bound_is_refused_unopened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = workbook(tmp_path / "boat.xlsx", equipment=EQUIPMENT)
    monkeypatch.setattr(module, "LARGEST_UNPACKED", 100)
    with pytest.raises(FileError, match="it unpacks to more than"):
        workbook_lists(path)


def test_a_workbook_gives_the_rows_that_csv_gives(tmp_path: Path) -> None:
    x = read_lists(**lists(workbook(tmp_path / "a.xlsx", equipment=EQUIPMENT, runs=RUNS))).installation()
    written = write_lists(x.snapshot())
    again = lists(workbook(tmp_path / "b.xlsx", **{name.removesuffix(".csv"): rows for name, rows in written.items()}))
    for name, rows in written.items():
        ours = [[*cells] for _line, cells in again[name.removesuffix(".csv")].rows]
        theirs = [[*cells] for _line, cells in csv_text_rows(csv_bytes(rows), name).rows]
        width = len(theirs[0])
        assert [row + [""] * (width - len(row)) for row in ours] == theirs
