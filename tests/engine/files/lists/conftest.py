"""Out and in again, and how two boats are compared whose ids differ."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from engine.files.lists import ListFile, ListResult, csv_bytes, csv_text_rows, read_lists, write_lists
from engine.installation import Installation
from engine.record import field_specs

LISTED = ("equipment", "runs", "places", "enclosures", "conditions", "interlocks")


@pytest.fixture(scope="session")
def imported() -> Callable[[Installation], ListResult]:
    """Writes an installation as CSV files and reads them again."""
    return _imported


def _imported(x: Installation) -> ListResult:
    files: dict[str, ListFile] = {}
    for name, rows in write_lists(x.snapshot()).items():
        files[name.removesuffix(".csv")] = csv_text_rows(csv_bytes(rows), name)
    return read_lists(**files)


@pytest.fixture(scope="session")
def without_ids() -> Callable[[Installation], dict[str, Any]]:
    """An installation as plain values, every id replaced by its table and its rank in it."""
    return _without_ids


def _without_ids(x: Installation) -> dict[str, Any]:
    ranks = {item: f"{table}-{n}" for table in LISTED for n, item in enumerate(x.ids(table))}
    snapshot = x.snapshot()
    out: dict[str, Any] = {name: _renamed(record, ranks) for name, record in snapshot.lone.items()}
    for table, records in snapshot.tables.items():
        out[table] = [_renamed(record, ranks) for record in records.values()]
    return out


def _renamed(value: Any, ranks: dict[str, str], refers: str = "") -> Any:
    if hasattr(value, "__struct_fields__"):
        renamed = {s.name: _renamed(getattr(value, s.name), ranks, s.fact.refers) for s in field_specs(type(value))}
        return {"kind": type(value).__name__, "origins": getattr(value, "origins", ()), **renamed}
    if isinstance(value, tuple):
        return [_renamed(v, ranks, refers) for v in value]
    return ranks.get(value, value) if refers else value
