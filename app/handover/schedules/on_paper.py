"""A schedule as it is set on paper: parted by columns where it is wide; what is not recorded at all is left out."""

from __future__ import annotations

from collections.abc import Callable

from app.paper.table import Table, Value
from engine.words import _

__all__ = ["part_of"]

_KEPT = 3  # columns of which nothing is known are worth a word each up to so many rows


def part_of(table: Table, title: str, columns: Callable[[str], bool] | None = None, is_last: bool = True) -> Table:
    """The table under `title` with the columns whose name fits, and its notes on the last of its parts.

    Rows of which no figure applies (*n/a* in all but their names) are left out of a part.
    """
    keep = [c for c, column in enumerate(table.columns) if columns is None or columns(column.name)]
    rows = table.rows if columns is None else tuple(row for row in table.rows if not _is_idle(table, row, keep))
    gone = []
    for c in list(keep):
        column = table.columns[c]
        cells = [row[c] for row in rows]
        if column.blank or column.tick or not cells or any(cell not in (None, "") for cell in cells):
            continue
        if None not in cells:
            keep.remove(c)
        elif len(rows) > _KEPT:
            keep.remove(c)
            gone.append(column.title)
    notes = table.notes if is_last else ()
    if gone:
        notes = (*notes, _("Left out because recorded of none: {columns}.").format(columns=", ".join(gone)))
    return table._replace(
        title=title,
        columns=tuple(table.columns[c] for c in keep),
        rows=tuple(tuple(row[c] for c in keep) for row in rows),
        notes=notes,
    )


def _is_idle(table: Table, row: tuple[Value, ...], keep: list[int]) -> bool:
    figures = [row[c] for c in keep if table.columns[c].align == "right"]
    return bool(figures) and all(cell == _("n/a") for cell in figures)
