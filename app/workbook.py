"""Lists out of the sheets of a workbook (.xlsx): the same rows that CSV files give.

Formulas are never evaluated: what the spreadsheet calculated last is taken, and a formula without a result is a fault.
"""

from __future__ import annotations

import bisect
import datetime
import io
import os
import re
import warnings
from pathlib import Path
from typing import Any

from app.workbook_parts import Look, read_parts
from engine.files.errors import FileError
from engine.files.lists import ListFile, RowFault
from engine.files.lists.rows import CONTROL, MOST_COLUMNS, MOST_FAULTS, MOST_ROWS, too_long, too_wrong
from engine.files.lists.values import plain_number
from engine.words import _

__all__ = ["workbook_lists"]

NOTHING = Look(MOST_COLUMNS, frozenset(), ())
_MOST_MERGED = 1_000_000  # rows in merged cells, looked at


def workbook_lists(path: Path | str) -> list[ListFile]:
    """Every sheet as a list called `file [sheet]`, in order. Raises `FileError` when it is none, or too large."""
    name = str(path)
    parts = read_parts(path)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of charts and validations that are left out: none holds a cell's value
        book = _open(parts.packed, name)
        try:
            return [_rows(sheet, parts.looks.get(sheet.title, NOTHING), name) for sheet in book.worksheets]
        finally:
            book.close()


def _open(data: bytes, name: str) -> Any:
    os.environ.setdefault("OPENPYXL_LXML", "False")  # all XML by defusedxml, whatever else is installed
    import openpyxl

    try:
        return openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    except Exception as fault:  # openpyxl raises whatever its parsers do
        why = _("it is no XLSX workbook ({why})").format(why=type(fault).__name__)
        raise FileError(name, why) from None


def _rows(sheet: Any, look: Look, file: str) -> ListFile:
    name = f"{file} [{sheet.title}]"
    rows: list[tuple[int, tuple[str, ...]]] = []
    faults: list[RowFault] = []
    line = 0
    try:
        sheet.reset_dimensions()  # what the file claims of its size is not to be trusted
        for line, given in enumerate(sheet.iter_rows(max_col=max(look.widest, 1)), 1):
            cells, before = [], len(faults)
            for number, cell in enumerate(given, 1):
                text, why = _text(cell, (line, number) in look.without_result)
                cells.append(text)
                if why:
                    faults.append(RowFault(name, line, "", why, number))
            while cells and not cells[-1].strip():
                cells.pop()
            if cells and len(faults) == before:
                rows.append((line, tuple(cells)))
            if len(rows) > MOST_ROWS:
                return too_long(name, line)
            if len(faults) > MOST_FAULTS:
                return too_wrong(name, line, faults)
    except Exception as fault:  # the sheet's own XML is read only now
        why = _("the sheet cannot be read ({why})").format(why=type(fault).__name__)
        faults.append(RowFault(name, line + 1, "", why))
    return _taken_apart(ListFile(name, tuple(rows), tuple(faults)), look)


def _taken_apart(file: ListFile, look: Look) -> ListFile:
    """Without rows that have a part in a cell of several rows: what stands there may be meant for each, or may not."""
    lines = [line for line, _cells in file.rows]
    bad: dict[int, RowFault] = {}
    looked_at = 0
    for first, column, last, _last_column in look.merged:
        begin = bisect.bisect_left(lines, first)
        if (
            begin == len(lines)
            or lines[begin] != first
            or not "".join(file.rows[begin][1][column - 1 : column]).strip()
        ):
            continue  # nothing stands in it
        end = bisect.bisect_right(lines, last)
        looked_at += end - begin
        if looked_at > _MOST_MERGED:
            return too_wrong(file.name, first, file.faults)
        why = _("merged with the cells above it: what stands there is read of row {line} alone").format(line=first)
        bad |= {line: RowFault(file.name, line, "", why, column) for line in lines[begin + 1 : end]}
    rows = tuple(row for row in file.rows if row[0] not in bad)
    return file._replace(rows=rows, faults=(*file.faults, *bad.values()))


def _text(cell: Any, is_without_result: bool) -> tuple[str, str]:
    """A cell as a person would have typed it, and what is wrong with it."""
    value = cell.value
    if value is None and is_without_result:
        return "", _("holds a formula without a result: open the workbook in a spreadsheet and save it")
    if value is None:
        return "", ""
    if cell.data_type == "e":
        return "", _("holds the error {error}").format(error=value)
    if isinstance(value, bool):
        return ("yes" if value else "no"), ""
    if isinstance(value, (int, float)):
        if not abs(value) < 1e300:
            return "", _("holds no number that anything can have")
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
