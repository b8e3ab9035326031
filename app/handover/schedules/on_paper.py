"""A schedule as it is set on paper: parted by columns where it is wide; what is not recorded at all is left out."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeAlias

from app.paper.table import Table, Value
from engine.words import N_, _

__all__ = ["parts"]

_Fits: TypeAlias = Callable[[str], bool]


def _named(*columns: str) -> _Fits:
    return columns.__contains__


_OF_LOAD = _named("load", "label", "system", "essential")
_LOADS: tuple[tuple[str, _Fits], ...] = (
    (N_("Loads: ratings and hours a day"), lambda name: not name.startswith("energy_")),
    (N_("Loads: energy a day"), lambda name: name.startswith("energy_") or _OF_LOAD(name)),
)
_CARRIES = _named(
    "run",
    "label",
    "size",
    "current_a",
    "current_when",
    "ampacity_a",
    "drop_percent",
    "drop_when",
    "drop_from",
    "device",
)
_PLATE = _named("item", "label", "maker", "part_number", "year", "serial")
# of wide tables: title and columns of those into which they are parted on large paper, and on small
_LARGE: dict[str, tuple[tuple[str, _Fits], ...]] = {
    "runs": (
        (N_("Runs: as laid"), _named("run", "system", "from", "to", "function", "conductors", "size", "length", "type",
                                     "colour", "places", "status", "from_marker", "to_marker")),
        (N_("Runs: what they carry"), _CARRIES),
    ),
    "equipment": (
        (N_("Equipment: ratings and places"), _named("item", "label", "kind", "system", "ratings", "quantity", "panel",
                                                     "place", "marking", "status", "note")),
        (N_("Equipment: what its plate says"), _PLATE),
    ),
    "loads": _LOADS,
}  # fmt: skip
_SMALL: dict[str, tuple[tuple[str, _Fits], ...]] = {
    "devices": (
        (N_("Protective devices: ratings and faults"), _named("device", "system", "kind", "rating_a", "poles",
                                                              "breaks_a", "breaks_v", "fault_a", "fault_v", "where",
                                                              "status")),
        (N_("Protective devices: what they protect"), _named("device", "rating_a", "protects", "ampacity_a", "feeds")),
    ),
    "runs": (
        (N_("Runs: as laid"), _named("run", "system", "from", "to", "conductors", "size", "length", "places")),
        (N_("Runs: type and marks"), _named("run", "function", "type", "colour", "from_marker", "to_marker", "status")),
        (N_("Runs: what they carry"), _CARRIES),
    ),
    "equipment": (
        (N_("Equipment: ratings"), _named("item", "label", "kind", "system", "ratings", "quantity", "status")),
        (N_("Equipment: places and marks"), _named("item", "label", "panel", "place", "marking", "note")),
        (N_("Equipment: what its plate says"), _PLATE),
    ),
    "loads": _LOADS,
}  # fmt: skip
_KEPT = 3  # columns of which nothing is known are worth a word each up to so many rows


def parts(table: Table, size: str) -> Iterator[Table]:
    """What a table is set as on paper of a size: itself, or several that have fewer columns."""
    asked = (_SMALL if size in ("A4", "Letter") else _LARGE).get(table.name, ()) if table.rows else ()
    if not asked:
        yield _part_of(table, table.title)
    for n, (title, columns) in enumerate(asked, 1):
        yield _part_of(table, _(title), columns, is_last=n == len(asked))


def _part_of(table: Table, title: str, columns: Callable[[str], bool] | None = None, is_last: bool = True) -> Table:
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
