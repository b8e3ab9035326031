"""A list as rows of text, from CSV or from a sheet of a workbook, and the faults found in it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

from engine.files.errors import quoted
from engine.files.reading import read_whole
from engine.words import _

__all__ = [
    "CONTROL",
    "MOST_ROWS",
    "ListFile",
    "RowFault",
    "column_letters",
    "csv_bytes",
    "csv_rows",
    "csv_text_rows",
    "too_long",
    "too_wrong",
]

LARGEST = 32 * 2**20  # bytes
MOST_ROWS = 200_000  # with something in them; a boat of 20 000 pieces has some 40 000 runs, a price list may have more
_MOST_LINES = 2_000_000  # a spreadsheet may write all its empty rows
MOST_COLUMNS = 500  # a list has some 40
LONGEST_CELL = 32_767  # characters, as spreadsheets have it
_MOST_CELLS = 4_000_000
MOST_FAULTS = 1_000  # what has more of them is no list
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x9f]")


class RowFault(NamedTuple):
    """What is wrong in a list, and where: file, line, heading of the column (and its number from 1), in words."""

    file: str
    line: int
    column: str
    message: str
    number: int = 0

    def __str__(self) -> str:
        where = _("{file} line {line}").format(file=self.file, line=self.line)
        if self.number:
            letters = column_letters(self.number)
            named = _("{name} (column {letters})") if self.column else _("column {letters}")
            where = f"{where}, {named.format(name=quoted(self.column), letters=letters)}"
        return f"{where}: {self.message}"


class ListFile(NamedTuple):
    """A list: its name for messages, `(line, cells)` with the heading first, and what was wrong with it as a file."""

    name: str
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    faults: tuple[RowFault, ...] = ()
    notices: tuple[str, ...] = ()


def column_letters(number: int) -> str:
    """The letters a spreadsheet gives to column `number`, counted from 1."""
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def csv_rows(path: Path | str) -> ListFile:
    """The rows of a CSV file. Raises `FileError` when there is no such file; faults inside it come with the rows."""
    return csv_text_rows(read_whole(path, LARGEST), str(path))


def too_long(name: str, line: int, faults: Sequence[RowFault] = ()) -> ListFile:
    """What a list of more than `MOST_ROWS` rows, or of far too many cells, gives: nothing but why."""
    why = _("there are more rows than the {most} that are read").format(most=MOST_ROWS)
    return ListFile(name, (), (*faults, RowFault(name, line, "", why)))


def too_wrong(name: str, line: int, faults: Sequence[RowFault]) -> ListFile:
    """What is no list gives: no row, and what was found wrong in it so far."""
    return ListFile(name, (), (*faults, RowFault(name, line, "", _("so much is wrong that reading ends here"))))


def csv_text_rows(data: bytes, name: str) -> ListFile:
    """The rows of a CSV file's bytes: comma, semicolon or tab between cells, double quotes around them."""
    if max(data.count(b"\n"), data.count(b"\r")) > _MOST_LINES:
        return too_long(name, _MOST_LINES)
    text, faults, notices = _decode(data, name)
    if text is None:
        return ListFile(name, (), faults)
    text, separator = _separator(text)
    rows: list[tuple[int, tuple[str, ...]]] = []
    found = list(faults)
    count = 0
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    while True:
        line = reader.line_num + 1
        if len(rows) > MOST_ROWS or count > _MOST_CELLS:
            return too_long(name, line, found)
        if len(found) > MOST_FAULTS:
            return too_wrong(name, line, found)
        if not rows and len(found) > len(faults):
            break  # the headings themselves: without them nothing true can be said of the rest
        try:
            cells = next(reader)
        except StopIteration:
            break
        except csv.Error as fault:
            found.append(RowFault(name, line, "", _why(str(fault))))
            continue
        if not any(cells):
            continue
        if len(cells) > MOST_COLUMNS:
            if any(cell.strip() for cell in cells[MOST_COLUMNS:]):
                why = _("only {most} columns are read").format(most=MOST_COLUMNS)
                found.append(RowFault(name, line, "", why, MOST_COLUMNS + 1))
                continue
            del cells[MOST_COLUMNS:]
        if max(map(len, cells)) > LONGEST_CELL:
            number = next(i for i, cell in enumerate(cells, 1) if len(cell) > LONGEST_CELL)
            found.append(
                RowFault(name, line, "", _("a cell is longer than {most} characters").format(most=LONGEST_CELL), number)
            )
            continue
        bad = next((i for i, cell in enumerate(cells, 1) if CONTROL.search(cell)), 0)
        if bad:
            found.append(RowFault(name, line, "", _("holds a control character"), bad))
        elif any(cell.strip() for cell in cells):
            rows.append((line, tuple(cells)))
            count += len(cells)
    return ListFile(name, tuple(rows), tuple(found), notices)


def _decode(data: bytes, name: str) -> tuple[str | None, tuple[RowFault, ...], tuple[str, ...]]:
    """UTF-8, or UTF-16 where the file begins by saying so; else the old Windows code page, with a notice."""
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        return data.decode(encoding), (), ()
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
    if encoding == "utf-8-sig":
        try:
            text = data.decode("cp1252")
        except UnicodeDecodeError:
            text = ""
        if text:
            notice = _("{name} is not UTF-8 (line {line}); it was read as Windows-1252, so look at names with accents.")
            return text, (), (notice.format(name=name, line=line),)
    return None, (RowFault(name, line, "", _("is text in no encoding that is read: save the list as UTF-8")),), ()


def _separator(text: str) -> tuple[str, str]:
    """The text without a line that only names the separator, and the separator: what the heading has most of."""
    first, _break, rest = text.partition("\n")
    if re.fullmatch(r"sep=[,;\t]", first.strip("\r ")):
        # an empty line keeps the count of lines right
        return "\n" + rest, first.strip("\r ")[4:]
    heading = next((line for line in text.splitlines() if line.strip()), "")
    bare = re.sub(r'"[^"]*"', "", heading)
    return text, max(("\t", ";", ","), key=bare.count) if any(c in bare for c in "\t;,") else ","


def _why(said: str) -> str:
    if "unexpected end" in said:
        return _("a quotation mark is opened here and never closed")
    if "expected after" in said:
        return _("a quotation mark stands in the middle of a cell: write it twice inside quotes")
    if "field larger" in said:
        return _("a cell is longer than {most} characters").format(most=LONGEST_CELL)
    return said


def csv_bytes(rows: Iterable[Sequence[str]]) -> bytes:
    """Rows as a CSV file: UTF-8, commas, "\\n", cells quoted where they must be."""
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue().encode("utf-8")
