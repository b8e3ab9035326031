"""A schedule as it is set on paper: parted by columns where it is wide; what is not recorded at all is left out."""

from __future__ import annotations

from collections.abc import Iterator

from app.paper.table import Table
from engine.words import _

__all__ = ["parts_of"]

_KEPT = 3  # columns of which nothing is known are worth a word each up to so many rows


def parts_of(table: Table, columns: tuple[str, ...] = ()) -> Iterator[Table]:
    """The table with these columns, all where none are named; without its title, which the heading is."""
    keep = [c for c, column in enumerate(table.columns) if not columns or column.name in columns]
    gone = []
    if len(table.rows) > _KEPT:
        for c in list(keep):
            column = table.columns[c]
            cells = [row[c] for row in table.rows]
            if column.blank or column.tick or any(cell not in (None, "") for cell in cells):
                continue
            keep.remove(c)
            if None in cells:
                gone.append(column.title)
    notes = table.notes
    if gone:
        notes = (*notes, _("Of none of them is recorded: {columns}.").format(columns=", ".join(gone)))
    yield table._replace(
        title="",
        columns=tuple(table.columns[c] for c in keep),
        rows=tuple(tuple(row[c] for c in keep) for row in table.rows),
        notes=notes,
    )
