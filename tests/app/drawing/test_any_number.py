"""Numbers at the ends of what each field takes: whatever stands in a file that opens is judged, drawn and saved."""

from __future__ import annotations

import json
from typing import Any

import pytest

from app.drawing.sheets import pictures
from engine.check import check
from engine.equipment import kinds
from engine.files.drawing import FileError, dump, read_bytes
from engine.record import field_specs

NUMBERS = (1e299, -1e299, 5e-324, -(10**15), 0, 1, 10**9, 10**200)


def drawing(**members: Any) -> bytes:
    return json.dumps({"format": "linewright drawing", "version": 1, **members}).encode()


@pytest.mark.long
@pytest.mark.parametrize("kind", sorted(kinds()))
def test_whatever_number_a_field_takes_it_is_judged_drawn_and_saved(kind: str) -> None:
    """Nothing counts up to it, divides by it or draws as many: no rule stops, no sheet is wanting."""
    cls = kinds()[kind]
    terminals = [terminal.name for terminal in cls().terminals()]
    runs = {}
    if terminals:
        runs["r1"] = {
            "from": {"equipment": "e1", "terminal": terminals[0]},
            "to": {"equipment": "e2", "terminal": "pos"},
        }
    placements = {"a1": {"equipment": "e1", "sheet": "s1"}, "a2": {"equipment": "e2", "sheet": "s1", "x": 20}}
    rest = {"runs": runs, "sheets": {"s1": {"title": "Main diagram"}}, "placements": placements}
    taken = 0
    for spec in field_specs(cls):
        for value in {*NUMBERS, spec.fact.low, spec.fact.high} - {None} if spec.shape in ("number", "whole") else ():
            equipment = {"e1": {"kind": kind, spec.file_name: value}, "e2": {"kind": "battery_bank"}}
            try:
                opened = read_bytes(drawing(equipment=equipment, **rest))
            except FileError:
                continue
            taken += 1
            snapshot = opened.installation.snapshot()
            result = check(snapshot)
            assert not result.stopped
            assert len(pictures(snapshot, result)) >= 1
            assert read_bytes(dump(opened.installation)).installation.snapshot() == snapshot
    assert taken > 5
