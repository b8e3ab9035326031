"""Readings that were taken already stand in the cells of the commissioning sheet; the other cells stay empty."""

from __future__ import annotations

import pytest
import surveyed
from alongside import wet_sockets

from app.handover.documents.commissioning import make
from app.handover.job import Job
from app.paper.table import Table
from engine.installation.model import Installation


def _tables(made: Installation) -> dict[str, Table]:
    return {table.name: table for table in make(Job.of(made.snapshot())).tables}


def _cells(table: Table, column: str) -> dict[str, object]:
    at = [each.name for each in table.columns].index(column)
    return {f"{row[0]} {row[1]}": row[at] for row in table.rows if row[at] is not None}


def test_torque_current_and_volts_stand_where_they_were_measured() -> None:
    tables = _tables(surveyed.measured_under_way())
    assert _cells(tables["torque"], "found") == {"F1 in W1": 15.5}  # the end that was found so, not the other one
    drop = tables["voltage-drop"]
    (lamp,) = (row for row in drop.rows if str(row[0]).startswith("E4"))
    found = dict(zip([column.name for column in drop.columns], lamp, strict=True))
    assert (found["found_source"], found["found_load"]) == (12.6, 12.4)
    assert found["found_a"] is None  # that was measured at the run, not at the load


def test_insulation_and_trip_time_stand_where_they_were_measured() -> None:
    tables = _tables(surveyed.measured_alongside())
    assert list(_cells(tables["insulation"], "line").values()) == [12.0]
    assert not _cells(tables["insulation"], "neutral")
    (trip,) = _cells(tables["residual-current"], "ms").values()
    assert trip == pytest.approx(60.0)  # at its rated current, not at five times that


def test_without_readings_every_cell_is_empty() -> None:
    tables = _tables(wet_sockets())
    for name, columns in (("insulation", ("line", "neutral", "between")), ("residual-current", ("ma", "ms"))):
        for column in columns:
            assert not _cells(tables[name], column)
