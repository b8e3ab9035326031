"""Tables to XLSX, one sheet each. Numbers stay numbers, text is never a formula, two runs give identical bytes."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import xlsxwriter

from app.paper.escape import visible
from app.paper.table import Column, Table, Value, shown
from engine.files.atomic import write_bytes

__all__ = ["write_xlsx", "xlsx_bytes"]

_CREATED = datetime(2000, 1, 1)  # fixed: a real date would change the bytes of every run
_LONGEST = 32_767  # characters of a cell; ECMA-376 leaves it open, spreadsheets agree on this
_FORBIDDEN = str.maketrans(dict.fromkeys("[]:*?/\\", " "))


def write_xlsx(tables: Sequence[Table], path: Path | str, *, title: str = "", author: str = "") -> None:
    """Write the workbook. Raises `OSError` from the disk."""
    write_bytes(path, xlsx_bytes(tables, title=title, author=author))


def xlsx_bytes(tables: Sequence[Table], *, title: str = "", author: str = "") -> bytes:
    """The workbook itself."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(
        out,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_numbers": False,
            "strings_to_urls": False,
        },
    )
    book.set_properties({"title": visible(title), "author": visible(author), "created": _CREATED})
    head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
    head_right = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top", "align": "right"})
    text = book.add_format({"text_wrap": True, "valign": "top", "num_format": "@"})
    text_right = book.add_format({"text_wrap": True, "valign": "top", "num_format": "@", "align": "right"})
    numbers: dict[int | None, Any] = {}
    used: set[str] = set()
    for table in tables:
        sheet = book.add_worksheet(_sheet_name(table.title, used))
        sheet.set_landscape()
        sheet.set_paper(9)  # A4
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(0)
        sheet.freeze_panes(1, 0)
        for c, column in enumerate(table.columns):
            sheet.set_column(c, c, _width(table, c))
            sheet.write_string(0, c, _text(column.heading()), head_right if column.align == "right" else head)
        for r, row in enumerate(table.rows, 1):
            for c, (value, column) in enumerate(zip(row, table.columns, strict=True)):
                if _is_number(value):
                    if column.decimals not in numbers:
                        numbers[column.decimals] = book.add_format(_number_format(column))
                    sheet.write_number(r, c, value, numbers[column.decimals])
                else:
                    style = text_right if column.align == "right" else text
                    sheet.write_string(r, c, _text(shown(value, column)), style)
        for n, note in enumerate(table.notes):
            sheet.write_string(len(table.rows) + 2 + n, 0, _text(note))
    book.close()
    return out.getvalue()


def _is_number(value: Value) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def _number_format(column: Column) -> dict[str, Any]:
    if column.decimals is None:
        return {"valign": "top"}
    return {"valign": "top", "num_format": "0" if not column.decimals else "0." + "0" * column.decimals}


def _text(text: str) -> str:
    text = visible(text.replace("\r\n", "\n").replace("\r", "\n"), keep="\n\t")
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


def _width(table: Table, c: int) -> float:
    """Column width in characters, from the longest line, within reason."""
    column = table.columns[c]
    texts = [column.heading(), *(shown(row[c], column) for row in table.rows)]
    longest = max(len(part) for text in texts for part in text.split("\n"))
    return min(max(longest + 2, 8), 60)


def _sheet_name(title: str, used: set[str]) -> str:
    """At most 31 characters, none of `[]:*?/\\`, no apostrophe at either end, each name once whatever its case."""
    base = visible(title).translate(_FORBIDDEN).strip(" '") or "Table"
    if base.casefold() == "history":  # kept by spreadsheets for themselves
        base += " 1"
    name, n = base[:31].rstrip(" '"), 1
    while name.casefold() in used:
        n += 1
        name = f"{base[: 31 - len(str(n)) - 1]} {n}"
    used.add(name.casefold())
    return name
