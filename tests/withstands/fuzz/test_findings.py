"""What a search once found is read through its target ever after: refused in words or read, never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest
from targets import HERE, SEEDS, TARGETS

FINDINGS = sorted(p for p in (HERE / "findings").glob("*/*") if p.is_file())


@pytest.mark.parametrize("finding", FINDINGS, ids=lambda p: f"{p.parent.name}-{p.name}")
def test_what_was_found_stays_mended(finding: Path) -> None:
    TARGETS[finding.parent.name](finding.read_bytes())


@pytest.mark.parametrize("target", TARGETS)
def test_a_search_begins_with_what_is_right(target: str) -> None:
    assert SEEDS[target]
    for data in SEEDS[target]()[:3]:
        TARGETS[target](data)
