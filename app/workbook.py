"""Lists out of the sheets of a workbook (.xlsx)."""

from __future__ import annotations

import datetime
import io
import warnings
import zipfile
from pathlib import Path
from typing import Any

from engine.files.errors import FileError
from engine.files.lists import ListFile, RowFault
from engine.files.reading import read_whole
from engine.words import _

__all__ = ["workbook_lists"]

LARGEST = 32 * 2**20  # bytes
MOST_ROWS = 100_000  # of one sheet: many times the largest vessel
MOST_UNPACKED = 512 * 2**20  # bytes


def workbook_lists(path: Path | str) -> list[ListFile]:
    """Every sheet as a list called `file [sheet]`, in order. Raises `FileError`."""
    import openpyxl

    data = read_whole(path, LARGEST)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(member.file_size for member in packed.infolist()) > MOST_UNPACKED:
                raise FileError(str(path), _("unpacks to more than 512 MB"))
        with warnings.catch_warnings():
            # what the workbook holds besides cells (charts, validations) does not matter here
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            try:
                return [_sheet(f"{path} [{sheet.title}]", sheet) for sheet in book.worksheets]
            finally:
                book.close()
    except FileError:
        raise
    except Exception as fault:
        # the library raises whatever its parsers raise on a damaged file
        raise FileError(
            str(path), _("is no workbook that can be read ({what}): save it as .xlsx").format(what=type(fault).__name__)
        ) from None


def _sheet(name: str, sheet: Any) -> ListFile:
    rows: list[tuple[int, tuple[str, ...]]] = []
    faults: list[RowFault] = []
    for line, cells in enumerate(sheet.iter_rows(values_only=True), start=1):
        if line > MOST_ROWS:
            faults.append(
                RowFault(name, line, "", _("more rows than {most}: the rest is not read").format(most=MOST_ROWS))
            )
            break
        texts = tuple(_text(cell) for cell in cells)
        if any(text.strip() for text in texts):
            rows.append((line, texts))
    return ListFile(name, tuple(rows), tuple(faults))


def _text(value: Any) -> str:
    """A cell as it would be typed into a CSV file."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime.datetime):
        return value.date().isoformat() if value.time() == datetime.time() else value.isoformat(" ")
    if isinstance(value, datetime.date):
        return value.isoformat()
    return str(value)
