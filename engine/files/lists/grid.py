"""A list as columns and rows: headings understood once, each row's cells turned into the fields of a record."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.files.errors import quoted
from engine.files.lists.cells import Cell, CellError, split_cell
from engine.files.lists.columns import Heading, Target, nearest, parse_heading, targets
from engine.files.lists.rows import ListFile, RowFault
from engine.files.lists.values import Names, read_value
from engine.record import FieldSpec, field_specs
from engine.words import _

__all__ = ["Filled", "Grid", "Row"]

_LONGEST = 800  # characters of what is wrong with a cell: it may name all words of a choice, or quote a cell of 30 000


class Row(NamedTuple):
    """A row: its line and its cells that are not empty, by column number."""

    line: int
    cells: dict[int, Cell]


class Filled(NamedTuple):
    """What a row's cells say: fields by name, fields of records within by name, where values come from."""

    values: dict[str, Any]
    within: dict[str, dict[str, Any]]
    origins: tuple[tuple[str, Any], ...]


class Grid:
    """One list. Faults are collected in `faults`; a row with a fault gives nothing."""

    def __init__(self, source: ListFile) -> None:
        self.name = source.name
        self.faults: list[RowFault] = list(source.faults)
        first = source.rows[0] if source.rows else (1, ())
        self.heading_line = first[0]
        self.headings = {i: parse_heading(text, i) for i, text in enumerate(first[1], 1)}
        self.left_out: set[int] = set()  # numbers of columns that nobody understands
        self.rows: list[Row] = []
        for line, cells in source.rows[1:]:
            row = Row(line, {i: split_cell(text) for i, text in enumerate(cells, 1) if text.strip()})
            if self._fits(row):
                self.rows.append(row)
        if not source.rows and not self.faults:
            self.fault(1, None, _("the list is empty: its first row should name the columns"))

    def _fits(self, row: Row) -> bool:
        for number in row.cells:
            heading = self.headings.get(number)
            if heading is None:
                why = _("there are more cells than columns; a value that holds the separator needs quotes around it")
                self.faults.append(RowFault(self.name, row.line, "", why, number))
                return False
            if not heading.text:
                self.fault(row.line, heading, _("the column has no heading"))
                return False
        return True

    def fault(self, line: int, heading: Heading | None, message: str) -> None:
        """Note what is wrong in a row, at a column where it is one."""
        text, number = (heading.text, heading.number) if heading else ("", 0)
        if len(message) > _LONGEST or not message.isprintable():
            message = quoted(message)
        self.faults.append(RowFault(self.name, line, text, message, number))

    def column(self, *names: str) -> Heading | None:
        """The column with one of these plain names, `None` where there is none."""
        return next((heading for heading in self.headings.values() if heading.name in names), None)

    def needs(self, *names: str) -> bool:
        """Whether every column named is there; a fault where one is not."""
        missing = [name for name in names if self.column(name) is None]
        if missing and self.headings:
            self.fault(self.heading_line, None, _("there is no column {names}").format(names=", ".join(missing)))
        return not missing and bool(self.headings)

    def cell(self, row: Row, *names: str) -> Cell:
        """The cell of a row in the column with one of these plain names, empty where there is none."""
        heading = self.column(*names)
        return row.cells.get(heading.number, Cell("")) if heading else Cell("")

    def check_headings(self, classes: list[Any], *others: str) -> None:
        """A fault for every heading that is no field of any class and none of `others`; its column is left out."""
        seen: set[str] = set()
        for heading in list(self.headings.values()):
            if not heading.text:
                continue
            why = "" if heading.name in others else self._unknown(heading, classes, others)
            if heading.name in seen:
                why = _("two columns have this heading")
            seen.add(heading.name)
            if why:
                self.fault(self.heading_line, heading, why)
                self.left_out.add(heading.number)

    def _unknown(self, heading: Heading, classes: list[Any], others: tuple[str, ...]) -> str:
        why = ""
        for cls in classes:
            try:
                if targets(cls, heading.name, heading.unit):
                    return ""
            except CellError as fault:
                why = why or str(fault)
        if why:
            return why
        names = sorted({spec.file_name for cls in classes for spec in field_specs(cls)} | set(others))
        return _("nothing has a field of this name{nearest}").format(nearest=nearest(heading.name, names))

    def fill(self, row: Row, cls: Any, what: str, names: Names, *others: str) -> Filled | None:
        """What a row says of a record of `cls` (called `what`); columns in `others` are read elsewhere.

        `None`, with faults noted, when a cell cannot be understood.
        """
        values: dict[str, Any] = {}
        within: dict[str, dict[str, Any]] = {}
        origins: dict[str, Any] = {}
        before = len(self.faults)
        for heading, cell in self._filled(row, others):
            try:
                target = self._target(cls, what, heading)
                spec, value, given = self._value(target, cell, names)
            except CellError as fault:
                self.fault(row.line, heading, str(fault))
                continue
            into = within.setdefault(target.within, {}) if target.within else values
            if spec.name in into:
                self.fault(row.line, heading, _("{field} is given twice in this row").format(field=spec.file_name))
            if given:
                into[spec.name] = value
            if cell.origin and not target.within:
                origins[spec.name] = cell.origin
        if len(self.faults) > before:
            return None
        return Filled(values, within, tuple(sorted(origins.items())))

    def _filled(self, row: Row, others: tuple[str, ...]) -> Iterator[tuple[Heading, Cell]]:
        for number, cell in row.cells.items():
            heading = self.headings[number]
            if heading.name not in others and number not in self.left_out:
                yield heading, cell

    def _target(self, cls: Any, what: str, heading: Heading) -> Target:
        found = targets(cls, heading.name, heading.unit)
        if len(found) == 1:
            return found[0]
        if not found:
            raise CellError(_("{what} has no such field").format(what=what))
        several = _(" or ").join(t.spec.file_name for t in found)
        raise CellError(_("{what} can be {fields}: head the column so").format(what=heading.text, fields=several))

    def _value(self, target: Target, cell: Cell, names: Names) -> tuple[FieldSpec, Any, bool]:
        """The field, its value, and whether the cell says one."""
        if target.quantity is not None and not cell.literal and cell.text:
            try:
                return target.quantity, read_value(target.quantity, cell, names, target.unit), True
            except CellError:
                pass  # words after all
        given = bool(cell.text) or cell.literal
        return target.spec, read_value(target.spec, cell, names, target.unit) if given else None, given
