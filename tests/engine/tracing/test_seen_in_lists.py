"""Which end was seen, and where values come from, outlast the way through the lists."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from engine.builder import Builder
from engine.files.lists import csv_bytes, csv_text_rows, read_lists, write_lists


@pytest.mark.parametrize("seen", [(True, False), (None, True), (False, None), (None, None)])
def test_seen_and_origins_come_back(seen: tuple[bool | None, bool | None]) -> None:
    b = Builder(name="Tern")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("load", "E1", dc_v=12)
    run = b.run("W1", "G1.pos", "E1.in", function="dc positive", size="6 mm2", length_m=4)
    snapshot = b.installation.snapshot()
    record = snapshot.runs[run]
    snapshot.runs[run] = msgspec.structs.replace(
        record,
        from_end=msgspec.structs.replace(record.from_end, seen=seen[0]),
        to_end=msgspec.structs.replace(record.to_end, seen=seen[1]),
        origins=(("length_m", "assumed"), ("size", "measured")),
    )
    files: dict[str, Any] = {
        name.removesuffix(".csv"): csv_text_rows(csv_bytes(rows), name)
        for name, rows in write_lists(snapshot).items()
        if rows
    }
    result = read_lists(**files)
    assert not result.faults
    back = next(iter(result.installation().snapshot().runs.values()))
    assert (back.from_end.seen, back.to_end.seen) == seen
    assert back.origins == (("length_m", "assumed"), ("size", "measured"))
