"""The calculation sheets leave out nothing that is drawn, and no open finding."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from app.handover.calculations.beside import beside_blocks
from app.handover.calculations.tables import summary
from app.handover.calculations.words import percent
from app.handover.job import Job
from engine.calculations.results import Calculation
from engine.calculations.sheets import calculations
from engine.check import CheckResult
from engine.files.drawing import load

KETCH = Path(__file__).parents[3] / "samples" / "ketch" / "ketch.linewright"


# -- nothing drawn is left out ---------------------------------------------------------------------------------------
@pytest.fixture(scope="module")
def ketch() -> tuple[CheckResult, tuple[Calculation, ...]]:
    job = Job.of(load(str(KETCH)).installation.snapshot())
    return job.result, calculations(job.study, job.result)


def block_of(made: tuple[Calculation, ...], section: str, name: str) -> Calculation:
    return next(one for one in made if (one.section, one.designation) == (section, name))


def test_what_is_to_be_removed_is_judged_as_long_as_it_is_drawn(ketch: Any) -> None:
    _result, made = ketch
    run = block_of(made, "cables", "W29")
    assert run.verdict == "fails"
    assert "to remove" in run.title
    fuse = block_of(made, "devices", "F19")
    assert fuse.verdict == "fails"
    assert "to remove" in fuse.title


def test_a_circuit_without_hours_is_judged_as_drawn(ketch: Any) -> None:
    """The windlass has hours in no condition: its fuse and its run are not in order at 0 A."""
    _result, made = ketch
    rating = next(check for check in block_of(made, "devices", "F5").checks if check.rule == "rating-below-load")
    assert rating.found is not None
    assert rating.found > 50
    assert any("as drawn" in note for note in rating.notes)
    ampacity = next(check for check in block_of(made, "cables", "W18").checks if check.rule == "overloaded")
    assert ampacity.found is not None
    assert ampacity.found > 50
    assert not [c for one in made for c in one.checks if c.rule == "rating-below-load" and c.found == 0.0]


def test_what_holds_a_stalled_motor_and_what_is_too_large_for_equipment_fail(ketch: Any) -> None:
    _result, made = ketch
    assert block_of(made, "devices", "F5").verdict == "fails"
    assert block_of(made, "devices", "Q43").verdict == "fails"
    assert block_of(made, "devices", "X43").verdict == "fails"


def test_every_open_finding_stands_in_a_block_or_by_name(ketch: Any) -> None:
    result, made = ketch
    beside = beside_blocks(result, made)
    assert "alternator-cut-off" in {finding.rule for finding in beside}
    failing = {one.designation for one in made if one.verdict == "fails"}
    assert not [f for f in result.findings if f not in beside and not failing.intersection(f.designations)]


def test_the_margin_of_what_fails_is_that_of_the_failing_check(ketch: Any) -> None:
    _result, made = ketch
    margins = [(one.designation, one.margin) for one in made if one.verdict == "fails"]
    assert not [name for name, margin in margins if margin is not None and margin >= 0]
    assert dict(margins)["E21"] is not None
    assert percent(dict(margins)["E21"]) not in ("0 %", "−0 %")
    assert block_of(made, "devices", "F1").margin is None  # selectivity fails: no figure against a limit


def test_rows_of_the_summary_lead_somewhere(ketch: Any) -> None:
    _result, made = ketch
    anchors = tuple(f"a{n}" for n in range(len(made)))
    assert summary(made, {}, anchors).links == anchors
