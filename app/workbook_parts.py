"""The parts of a workbook file (.xlsx) looked over before its cells are read: are they too many, what do they lack?

A part is XML inside a zip file (ECMA-376). It is parsed by defusedxml, which refuses entities and fetches nothing; here
no tree is made. Macros, pictures, links to other files and the like are not even unpacked.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import ParseError, XMLParser

from engine.files.errors import FileError, quoted
from engine.files.lists.rows import LONGEST_CELL, MOST_COLUMNS, column_letters
from engine.files.packed import unpacked
from engine.files.reading import read_whole
from engine.words import _

__all__ = ["LARGEST_UNPACKED", "MOST_CELLS", "Look", "Parts", "read_parts"]

LARGEST = 32 * 2**20  # bytes of the file
LARGEST_UNPACKED = 96 * 2**20  # bytes of the parts that are read
MOST_CELLS = 1_000_000  # of all sheets
LAST_ROW = 1_048_576  # of a sheet (ECMA-376 18.3.1.73, from memory, not confirmed)
_MOST_SHEETS = 200
_FAR_TOO_MANY = ((b"<c ", MOST_CELLS + 1), (b"<si", MOST_CELLS + 1), (b"<", 12_000_000))  # in any one part
_MOST_MERGED = 20_000
_DEEPEST = 60  # elements in one another
_LONGEST_NUMBER = 400
_LOCKED = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # how the older form begins, and one with a password
_LEFT_OUT = ("docprops/", "xl/externallinks/", "xl/drawings/", "xl/charts/", "xl/media/", "xl/pivot", "customxml/")
_CELL = re.compile(r"([A-Z]{1,7})([0-9]{1,10})")
_BETWEEN = re.compile(rf"{_CELL.pattern}:{_CELL.pattern}")


class Look(NamedTuple):
    """What one sheet's part showed: its last column, cells (row, column) with a formula and no result, merged cells."""

    widest: int
    without_result: frozenset[tuple[int, int]]
    merged: tuple[tuple[int, int, int, int], ...]  # first row, first column, last row, last column, from 1


class Parts(NamedTuple):
    """A workbook that may be read: a zip file of the parts that are needed, and what their sheets showed, by title."""

    packed: bytes
    looks: Mapping[str, Look]


def read_parts(path: Path | str) -> Parts:
    """Unpack and look over. Raises `FileError` in one sentence, with the part where it is one."""
    name = str(path)
    data = read_whole(path, LARGEST)
    if data.startswith(_LOCKED):
        raise FileError(name, _("it is an older workbook or one with a password: save it as .xlsx without"))
    if not zipfile.is_zipfile(io.BytesIO(data)):
        raise FileError(name, _("it is no XLSX workbook"))
    parts = unpacked(data, name, _is_needed, LARGEST_UNPACKED)
    # what is far too much is seen without being parsed
    if max((part.count(mark) // most for part in parts.values() for mark, most in _FAR_TOO_MANY), default=0):
        raise FileError(name, _too_many())
    looked = {part: _Looking(name, part, data) for part, data in parts.items()}
    if sum(look.cells for look in looked.values()) > MOST_CELLS:
        raise FileError(name, _too_many())
    sheets = next((_sheets(part, look, looked) for part, look in looked.items() if look.root == "workbook"), None)
    if sheets is None:
        raise FileError(name, _("it is no XLSX workbook"))
    if len(sheets) > _MOST_SHEETS or len({part for _title, part in sheets}) < len(sheets):
        raise FileError(
            name, _("it has more than {most} sheets, or one of them several times").format(most=_MOST_SHEETS)
        )
    plain = io.BytesIO()
    with zipfile.ZipFile(plain, "w") as packed:
        for part, data in parts.items():
            packed.writestr(part, data)
    return Parts(plain.getvalue(), {title: looked[part].look() for title, part in sheets if part in looked})


def _is_needed(member: str) -> bool:
    low = member.lower()
    return low.endswith((".xml", ".rels")) and not low.startswith(_LEFT_OUT)


def _too_many() -> str:
    return _("it has more than {most} cells, the most that are read").format(most=MOST_CELLS)


def _sheets(part: str, workbook: _Looking, looked: Mapping[str, _Looking]) -> list[tuple[str, str]]:
    """Title and part of every sheet."""
    folder, file = posixpath.split(part)
    related = looked.get(posixpath.join(folder, "_rels", f"{file}.rels"))
    targets = related.targets if related else {}
    found = []
    for title, relation in workbook.sheets:
        target = targets.get(relation, "")
        joined = target if target.startswith("/") else posixpath.join("/", folder, target)
        found.append((title, posixpath.normpath(joined).lstrip("/")))
    return found


class _Looking:
    """What `XMLParser` tells of one part. Raises `FileError`."""

    def __init__(self, name: str, part: str, data: bytes) -> None:
        self.name, self.part = name, part
        self.root = ""
        self.cells = self.widest = 0
        self.without_result: set[tuple[int, int]] = set()
        self.merged: list[tuple[int, int, int, int]] = []
        self.sheets: list[tuple[str, str]] = []  # title, relation
        self.targets: dict[str, str] = {}  # of relations
        self._depth = self._row = self._column = self._long = 0
        self._in = ""  # the element with words that is open
        self._is_text = False
        self._has_formula = self._has_result = False
        parser = XMLParser(target=self)
        try:
            parser.feed(data)
            parser.close()
        except FileError:
            raise
        except DefusedXmlException:
            raise self._fault(_("it defines entities, or leads to another file")) from None
        except (ParseError, LookupError, ValueError):
            pass  # a part that is cut short is told when it is read, where it ends as it ended here

    def look(self) -> Look:
        """What it showed."""
        return Look(self.widest, frozenset(self.without_result), tuple(self.merged))

    def _fault(self, why: str, cell: str = "") -> FileError:
        return FileError(self.name, f"{quoted(f'{self.part} {cell}'.strip())}: {why}")

    # -- what the parser tells ------------------------------------------------------------------------------------
    def start(self, full: str, given: dict[str, str]) -> None:
        """An element opens."""
        name = full.rpartition("}")[2]
        self._depth += 1
        if self._depth > _DEEPEST:
            raise self._fault(_("elements stand in more than {most} others").format(most=_DEEPEST))
        if not self.root:
            self.root = name
        if self.root == "sst" and name == "si":
            self._in, self._long = name, 0
        elif self.root == "worksheet":
            self._of_sheet(name, given)
        elif self.root == "workbook" and name == "sheet":
            relation = next((value for key, value in given.items() if key.endswith("}id")), "")
            self.sheets.append((given.get("name", ""), relation))
        elif self.root == "Relationships" and name == "Relationship":
            self.targets[given.get("Id", "")] = given.get("Target", "")

    def _of_sheet(self, name: str, given: dict[str, str]) -> None:
        if name == "c":
            self._open_cell(given.get("r", "").upper())
            self._is_text = given.get("t", "n") not in ("n", "s", "b")
        elif name in ("v", "is", "f"):
            self._in, self._long = name, 0
            self._has_formula = self._has_formula or name == "f"
            self._has_result = self._has_result or (name == "v" and self._is_text)  # which may be no letter at all
        elif name == "row":
            number, before = given.get("r", str(self._row + 1)), self._row
            self._row = int(number) if number.isdecimal() and len(number) < 9 else LAST_ROW + 1
            self._column = 0
            if not before < self._row <= LAST_ROW:
                raise self._fault(_("row {row} stands twice, out of order or beyond the last").format(row=number[:20]))
        elif name == "mergeCell":
            self._merge(given.get("ref", ""))

    def _open_cell(self, where: str) -> None:
        self._has_formula = self._has_result = False
        self.cells += 1
        if self.cells > MOST_CELLS:
            raise FileError(self.name, _too_many())
        found, before = _CELL.fullmatch(where) if where else None, self._column
        self._column = _number_of(found[1]) if found else self._column + 1
        if self._column <= before:
            raise self._fault(_("it stands twice, or out of order"), where)
        if self._column > MOST_COLUMNS:
            raise self._fault(_("only {most} columns are read").format(most=MOST_COLUMNS), where)
        self.widest = max(self.widest, self._column)

    def _merge(self, between: str) -> None:
        found = _BETWEEN.fullmatch(between)
        if found and len(self.merged) < _MOST_MERGED:
            first, last = (int(found[2]), _number_of(found[1])), (int(found[4]), _number_of(found[3]))
            self.merged.append((*first, *last))
        elif found:
            raise self._fault(_("more than {most} merged cells").format(most=_MOST_MERGED))

    def end(self, full: str) -> None:
        """An element closes."""
        self._depth -= 1
        if self._in and full.endswith("}" + self._in):
            self._in = ""
        if full.endswith("}c") and self._has_formula and not self._has_result:
            self.without_result.add((self._row, self._column))

    def data(self, text: str) -> None:
        """Words."""
        if not self._in or self._in == "f":
            return
        self._has_result = True
        self._long += len(text)
        most = _LONGEST_NUMBER if self._in == "v" and not self._is_text else LONGEST_CELL
        if self._long > most:
            where = f"{column_letters(self._column)}{self._row}" if self.cells else ""
            raise self._fault(_("a cell is longer than {most} characters").format(most=most), where)


def _number_of(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number
