"""What an edit of the engine puts into a run is drawn there, with ids that were never used."""

from __future__ import annotations

from typing import Any

import pytest

from app.drawing.changes import drawn
from app.drawing.changes.scenes import scene_of
from app.drawing.layout import lay_out
from engine.books import load
from engine.edits import apply
from engine.findings import Finding
from engine.fixes import Fix, offered
from engine.installation import Installation
from engine.rules import rules
from engine.study import Study


def _offered(installation: Installation, slug: str, words: str) -> Fix:
    study = Study(installation.snapshot(), load("trade-na"))
    finding = next(r for r in rules()[slug].check(study) if isinstance(r, Finding))
    return next(fix for fix in offered(study, finding) if words in fix.text)


def _boat(slug: str, number: int = 0) -> Installation:
    installation = rules()[slug].bad[number].build()
    apply(installation, lay_out(installation.snapshot()))
    return installation


def _ends(record: Any) -> tuple[str, str]:
    return record.from_end.equipment, record.to_end.equipment


@pytest.mark.parametrize(("slug", "near"), [("no-protection", "G1"), ("far-end-unprotected", "G2")])
def test_a_fuse_put_in_has_its_symbol_and_both_runs_their_ways(slug: str, near: str) -> None:
    """At a run's `from` end, and at its `to` end."""
    installation = _boat(slug)
    fix = _offered(installation, slug, "fit a fuse")
    before = installation.snapshot()
    installation.last_id += 500  # what was made and taken away since
    last = installation.last_id
    edit = drawn(before, last, fix.edit)
    back = apply(installation, edit)
    after = installation.snapshot()
    (fuse,) = set(after.equipment) - set(before.equipment)
    assert int(fuse[1:]) > last
    (symbol,) = (p for p in after.placements.values() if p.equipment == fuse)
    assert symbol.sheet in after.sheets
    at = next(i for i, r in after.equipment.items() if r.designation == near)
    runs = {i: r for i, r in after.runs.items() if fuse in _ends(r)}
    short = next(r for r in runs.values() if at in _ends(r))
    assert short.length_m == pytest.approx(0.1)
    total = sum(r.length_m or 0.0 for r in after.runs.values())
    assert total == pytest.approx(sum(r.length_m or 0.0 for r in before.runs.values()))
    scene = scene_of(after, symbol.sheet)
    assert {part.run for part in scene.parts_on(symbol.sheet)} >= runs.keys(), "both are led already"
    assert not runs.keys() & set(scene.unrouted)
    study = Study(after, load("trade-na"))
    assert [r for r in rules()[slug].check(study) if isinstance(r, Finding)] == []
    apply(installation, back)
    assert installation.snapshot() == before


def test_without_a_sheet_it_is_done_all_the_same() -> None:
    installation = rules()["no-protection"].bad[0].build()
    fix = _offered(installation, "no-protection", "fit a fuse")
    installation.last_id += 500
    apply(installation, drawn(installation.snapshot(), installation.last_id, fix.edit))
    fuse = next(i for i, r in installation.equipment.items() if r.designation == "F1")
    assert int(fuse[1:]) > 500


def test_an_interlock_gets_an_id_that_was_never_used() -> None:
    installation = rules()["sources-meet"].bad[0].build()
    fix = _offered(installation, "sources-meet", "interlock")
    installation.last_id += 500
    apply(installation, drawn(installation.snapshot(), installation.last_id, fix.edit))
    (lock,) = installation.snapshot().interlocks
    assert int(lock[1:]) > 500
