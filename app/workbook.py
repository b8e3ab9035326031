"""Lists out of the sheets of a workbook (.xlsx): the same rows that CSV files give.

Formulas are never evaluated: what the spreadsheet calculated last is taken, and a formula without a result is a fault.
"""

from __future__ import annotations

import datetime
import io
import re
import warnings
import zipfile
from pathlib import Path
from typing import Any

from engine.files.errors import FileError
from engine.files.lists import ListFile, RowFault
from engine.files.lists.rows import CONTROL
from engine.files.lists.values import plain_number
from engine.files.reading import read_whole
from engine.words import _

__all__ = ["workbook_lists"]

LARGEST = 32 * 2**20  # bytes of the file
LARGEST_UNPACKED = 256 * 2**20
MOST_ROWS = 100_000


def workbook_lists(path: Path | str) -> list[ListFile]:
    """Every sheet as a list called `file [sheet]`, in order. Raises `FileError` when it is no workbook."""
    name = str(path)
    data = read_whole(path, LARGEST)
    _check_unpacked(data, name)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of charts and validations that are left out: none holds a cell's value
        values, formulas = _open(data, name, True), _open(data, name, False)
        try:
            sheets = zip(values.worksheets, formulas.worksheets, strict=True)
            return [_rows(shown, written, f"{name} [{shown.title}]") for shown, written in sheets]
        finally:
            values.close()
            formulas.close()


def _check_unpacked(data: bytes, name: str) -> None:
    """A workbook is a zip file; one that unpacks to far more than any list is refused unopened."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(member.file_size for member in packed.infolist())
    except zipfile.BadZipFile:
        raise FileError(name, _("it is no XLSX workbook")) from None
    if size > LARGEST_UNPACKED:
        raise FileError(name, _("it unpacks to more than {limit} MB").format(limit=LARGEST_UNPACKED // 2**20))


def _open(data: bytes, name: str, data_only: bool) -> Any:
    import openpyxl

    try:
        return openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=data_only)
    except Exception as fault:  # openpyxl raises whatever its parsers do
        why = _("it is no XLSX workbook ({why})").format(why=type(fault).__name__)
        raise FileError(name, why) from None


def _rows(values: Any, formulas: Any, name: str) -> ListFile:
    rows: list[tuple[int, tuple[str, ...]]] = []
    faults: list[RowFault] = []
    try:
        for sheet in (values, formulas):
            sheet.reset_dimensions()  # what the file claims of its size is not to be trusted
        for line, (shown, written) in enumerate(zip(values.iter_rows(), formulas.iter_rows(), strict=False), 1):
            if line > MOST_ROWS:
                faults.append(RowFault(name, line, "", _("rows from here on were left out: there are too many")))
                break
            cells, before = [], len(faults)
            for number, (cell, formula) in enumerate(zip(shown, written, strict=False), 1):
                text, why = _text(cell, formula)
                cells.append(text)
                if why:
                    faults.append(RowFault(name, line, "", why, number))
            while cells and not cells[-1].strip():
                cells.pop()
            if cells and len(faults) == before:
                rows.append((line, tuple(cells)))
    except Exception as fault:  # the sheet's own XML is read only now
        why = _("the sheet cannot be read ({why})").format(why=type(fault).__name__)
        faults.append(RowFault(name, len(rows) + 1, "", why))
    return ListFile(name, tuple(rows), tuple(faults))


def _text(cell: Any, formula: Any) -> tuple[str, str]:
    """A cell as a person would have typed it, and what is wrong with it."""
    value = cell.value
    if formula.data_type == "f" and value is None:
        return "", _("holds a formula without a result: open the workbook in a spreadsheet and save it")
    if value is None:
        return "", ""
    if cell.data_type == "e":
        return "", _("holds the error {error}").format(error=value)
    if isinstance(value, bool):
        return ("yes" if value else "no"), ""
    if isinstance(value, (int, float)):
        # a cell that shows 92 % holds 0.92
        if "%" in re.sub(r'"[^"]*"', "", cell.number_format or ""):
            return f"{value * 100:.15g} %", ""
        return plain_number(value), ""
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        return value.date().isoformat(), ""
    if isinstance(value, (datetime.date, datetime.datetime, datetime.time)):
        return value.isoformat(), ""
    text = str(value)
    return (text, "") if not CONTROL.search(text) else ("", _("holds a control character"))
