"""The list of field and value: the vessel, the title block, the settings of the drawing."""

from __future__ import annotations

from typing import Any

from engine.files.lists.cells import CellError
from engine.files.lists.columns import Target, nearest, parse_heading, targets
from engine.files.lists.grid import Grid
from engine.files.lists.values import Names, read_value
from engine.installation.model import LONE
from engine.record import field_specs
from engine.words import _

__all__ = ["read_lone"]


def read_lone(grid: Grid, names: Names) -> tuple[dict[str, Any], int]:
    """The records that rows speak of, by the name of their table, and the number of good rows."""
    values: dict[str, dict[str, Any]] = {name: {} for name in LONE}
    origins: dict[str, dict[str, Any]] = {name: {} for name in LONE}
    seen: set[str] = set()
    good = 0
    for row in grid.rows:
        field, cell = grid.cell(row, "field").text, grid.cell(row, "value")
        column = "field"
        try:
            if not field:
                raise CellError(_("is missing"))
            table, target = _field(field)
            name = target.spec.name
            if name in seen:
                raise CellError(_("{field} is given twice").format(field=field))
            seen.add(name)
            column = "value"
            if cell.text or cell.literal:
                values[table][name] = read_value(target.spec, cell, names, target.unit)
            if cell.origin:
                origins[table][name] = cell.origin
        except CellError as fault:
            grid.fault(row.line, grid.column(column), str(fault))
            continue
        good += 1
    made = {
        table: cls(**values[table], origins=tuple(sorted(origins[table].items())))
        for table, cls in LONE.items()
        if values[table] or origins[table]
    }
    return made, good


def _field(field: str) -> tuple[str, Target]:
    heading = parse_heading(field, 1)
    found = [(table, t) for table, cls in LONE.items() for t in targets(cls, heading.name, heading.unit)]
    if len(found) == 1:
        return found[0]
    known = sorted({spec.file_name for cls in LONE.values() for spec in field_specs(cls)})
    raise CellError(
        _("neither vessel, title block nor settings have a field {field!r}{nearest}").format(
            field=field, nearest=nearest(heading.name, known)
        )
    )
