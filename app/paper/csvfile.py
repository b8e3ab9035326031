"""Tables to CSV (RFC 4180) and JSON.

CSV is UTF-8 with a byte order mark, because spreadsheets otherwise take "mm²" for another code page; `utf-8-sig` reads
it. One table is its header and its rows and nothing else. Several tables follow one another, each under a line with
its title and before its notes, an empty line between. Text that a spreadsheet would run as a formula gets an
apostrophe; numbers are left alone.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from pathlib import Path

from app.paper.escape import csv_cell
from app.paper.table import Column, Table, Value, as_rows, plain_shown, shown
from engine.files.atomic import write_bytes

__all__ = ["csv_bytes", "json_bytes", "write_csv", "write_json"]


def write_csv(tables: Sequence[Table], path: Path | str) -> None:
    """Write the tables as one CSV file. Raises `OSError` from the disk."""
    write_bytes(path, csv_bytes(tables))


def write_json(tables: Sequence[Table], path: Path | str) -> None:
    """Write the tables as one JSON file. Raises `OSError` from the disk."""
    write_bytes(path, json_bytes(tables))


def csv_bytes(tables: Sequence[Table]) -> bytes:
    """The CSV itself."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    several = len(tables) > 1
    for n, table in enumerate(tables):
        if n:
            writer.writerow([])
        if several:
            writer.writerow([csv_cell(table.title)])
        writer.writerow([csv_cell(column.heading()) for column in table.columns])
        for row in table.rows:
            writer.writerow([_cell(value, column) for value, column in zip(row, table.columns, strict=True)])
        if several:
            for note in table.notes:
                writer.writerow([csv_cell(note)])
    return out.getvalue().encode("utf-8-sig")


def _cell(value: Value, column: Column) -> str:
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return plain_shown(value, column)
    return csv_cell(shown(value, column))


def json_bytes(tables: Sequence[Table]) -> bytes:
    """`{"tables": [{"name", "title", "columns": [{"name", "title", "unit"}], "rows": [{...}], "notes"}]}`."""
    plain = {
        "tables": [
            {
                "name": table.name,
                "title": table.title,
                "columns": [{"name": c.name, "title": c.title, "unit": c.unit} for c in table.columns],
                "rows": as_rows(table),
                "notes": list(table.notes),
            }
            for table in tables
        ]
    }
    return (json.dumps(plain, indent=2, sort_keys=True) + "\n").encode()
