"""Tables to XLSX, one sheet each: header frozen and to be filtered by, ready to print.

Numbers stay numbers, text is never a formula, two runs give identical bytes.
"""

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
# what sheets of a size are printed on, by the numbers of ECMA-376 part 1, 18.3.1.63 (from memory, not confirmed)
_PAPERS = {"A4": 9, "A3": 8, "A2": 8, "A1": 8, "Letter": 1, "Tabloid": 17, "ANSI C": 17, "ANSI D": 17}
_LONGEST = 32_767  # characters of a cell; ECMA-376 leaves it open, spreadsheets agree on this
_FORBIDDEN = str.maketrans(dict.fromkeys("[]:*?/\\", " "))


def write_xlsx(tables: Sequence[Table], path: Path | str, *, title: str = "", author: str = "") -> None:
    """Write the workbook. Raises `OSError` from the disk."""
    write_bytes(path, xlsx_bytes(tables, title=title, author=author))


def xlsx_bytes(tables: Sequence[Table], *, title: str = "", author: str = "", paper: str = "A4") -> bytes:
    """The workbook itself; `paper`: what it is set up to be printed on."""
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
    looks = _Looks(book)
    used: set[str] = set()
    for table in tables:
        sheet = book.add_worksheet(_sheet_name(table.title, used))
        _print_setup(sheet, table, paper, title)
        _fill(sheet, table, looks)
    book.close()
    return out.getvalue()


class _Looks:
    """The formats of one workbook, each made once."""

    def __init__(self, book: Any) -> None:
        self._book = book
        self._made: dict[tuple[str, str, int | None], Any] = {}
        self.note = book.add_format({"text_wrap": True, "valign": "top", "num_format": "@"})

    def head(self, column: Column) -> Any:
        """Of a heading: bold on grey between lines, which a monochrome print keeps."""
        return self._of("head", column.align, None)

    def of(self, value: Value, column: Column) -> Any:
        """Of a cell: figures with their places, text as text, what is not known in italics."""
        if _is_number(value):
            return self._of("number", "right", column.decimals)
        return self._of("gap" if value is None else "text", column.align, None)

    def _of(self, what: str, align: str, decimals: int | None) -> Any:
        key = what, align, decimals
        if key not in self._made:
            form: dict[str, Any] = {"valign": "top", "bottom": 4, "bottom_color": "#808080", "align": align}
            if what == "number":
                if decimals is not None:
                    form["num_format"] = "0" if not decimals else "0." + "0" * decimals
            else:
                form |= {"text_wrap": True, "num_format": "@"}
            if what == "head":
                form |= {"bold": True, "top": 1, "bottom": 2, "bottom_color": "#000000", "bg_color": "#E0E0E0"}
            elif what == "gap":
                form["italic"] = True
            self._made[key] = self._book.add_format(form)
        return self._made[key]


def _print_setup(sheet: Any, table: Table, paper: str, title: str) -> None:
    """Across the sheet, all columns on one page wide, the header on every page, which page of how many at the foot."""
    sheet.set_landscape()
    sheet.set_paper(_PAPERS.get(paper, _PAPERS["A4"]))
    sheet.set_margins(left=0.4, right=0.4, top=0.6, bottom=0.7)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    sheet.set_header("&L" + _in_margin(title) + "&R" + _in_margin(table.title))
    sheet.set_footer("&R&P / &N")
    sheet.freeze_panes(1, 1)


def _in_margin(text: str) -> str:
    """Text of a header or footer: its own marks harmless, no longer than it may be."""
    return visible(text)[:50].replace("&", "&&")


def _fill(sheet: Any, table: Table, looks: _Looks) -> None:
    widths = [_width(table, c) for c in range(len(table.columns))]
    for c, column in enumerate(table.columns):
        sheet.set_column(c, c, widths[c])
        sheet.write_string(0, c, _text(column.heading()), looks.head(column))
    for r, row in enumerate(table.rows, 1):
        for c, (value, column) in enumerate(zip(row, table.columns, strict=True)):
            told = shown(value, column)
            if _is_number(value):
                sheet.write_number(r, c, value, looks.of(value, column))
            elif told:
                sheet.write_string(r, c, _text(told), looks.of(value, column))
            else:
                sheet.write_blank(r, c, None, looks.of(value, column))
    if table.rows and table.columns:
        sheet.autofilter(0, 0, len(table.rows), len(table.columns) - 1)
    across = int(sum(widths))
    for n, note in enumerate(table.notes):
        r, text = len(table.rows) + 2 + n, _text(note)
        if len(table.columns) > 1:
            sheet.merge_range(r, 0, r, len(table.columns) - 1, "", looks.note)
        sheet.write_string(r, 0, text, looks.note)
        high = sum(max(math.ceil(len(part) / max(across, 1)), 1) for part in text.split("\n"))
        if high > 1:  # a merged cell does not grow by itself
            sheet.set_row(r, min(15 * high, 400))


def _is_number(value: Value) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


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
    """At most 31 characters as UTF-16 counts them, none of `[]:*?/\\`, no apostrophe at either end, each name once.

    Upper and lower case are the same name.
    """
    base = visible(title).translate(_FORBIDDEN).strip(" '") or "Table"
    if base.casefold() == "history":  # kept by spreadsheets for themselves
        base += " 1"
    name, n = _cut(base, 31).rstrip(" '"), 1
    while name.casefold() in used:
        n += 1
        name = f"{_cut(base, 31 - len(str(n)) - 1)} {n}"
    used.add(name.casefold())
    return name


def _cut(text: str, most: int) -> str:
    """The beginning of a text that takes no more than so many units of UTF-16."""
    while len(text.encode("utf-16-le")) > 2 * most:
        text = text[:-1]
    return text
