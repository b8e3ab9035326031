"""The one table type. A schedule is data: PDF pages, XLSX, CSV and JSON are made from the same rows.

A value is a text, a number, yes/no, or `None` for what is not known.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal, NamedTuple, TypeAlias

from engine.cautions import CAUTIONS
from engine.units import plain_number, spelled
from engine.words import _

__all__ = ["Column", "Table", "Value", "as_rows", "plain_shown", "shown", "with_cautions"]

Value: TypeAlias = str | int | float | bool | None


class Column(NamedTuple):
    """A column: machine name (JSON), title and unit for people, side the values stand at.

    `decimals` fixes the places behind the point; `None` shows what the number needs. `width` is the widest it may
    become on paper, mm. `blank` leaves the cell of an unknown value empty, to be filled in by hand; `tick` puts a box
    to be ticked into it. `least` is the narrowest it may become on paper: room to write in.
    """

    name: str
    title: str
    unit: str = ""
    align: Literal["left", "right"] = "left"
    decimals: int | None = None
    width: float | None = None
    blank: bool = False
    tick: bool = False
    least: float = 0.0

    def heading(self) -> str:
        """Title and unit."""
        return f"{self.title}, {self.unit}" if self.unit else self.title


class Table(NamedTuple):
    """Rows under columns, and what is said below them. Every row has a value for every column.

    `links`: for every row the anchor it leads to on paper, "" for none; nothing where no row does.
    """

    name: str  # machine name
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]
    notes: tuple[str, ...] = ()
    links: tuple[str, ...] = ()


def shown(value: Value, column: Column) -> str:
    """A value as people read it."""
    if value is None:
        return "" if column.blank or column.tick else _("not known")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, str):
        return value
    return spelled(plain_shown(value, column))


def plain_shown(value: float, column: Column) -> str:
    """A number with a decimal point, for machines."""
    return plain_number(value, 6) if column.decimals is None else f"{value:.{column.decimals}f}"


def with_cautions(tables: Sequence[Table]) -> tuple[Table, ...]:
    """A page carries the cautions in its frame; other forms carry them under their last table."""
    last = tables[-1]
    return (*tables[:-1], last._replace(notes=(*last.notes, *map(_, CAUTIONS))))


def as_rows(table: Table) -> list[dict[str, Any]]:
    """The rows as JSON values by machine name."""
    return [dict(zip((c.name for c in table.columns), row, strict=True)) for row in table.rows]
