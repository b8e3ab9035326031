"""A judgement that takes long is told in two parts."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from app import worker as worker_module
from app.judging_soon import rules_told_first, with_remarks
from app.worker import Worker
from app.worker_messages import Answer, EditRequest, Judged, OpenRequest
from engine.check import check
from engine.edits import SetFields, done
from engine.edits.edit import apply
from engine.edits.removing import remove
from engine.files.drawing import load
from engine.files.edit_form import plain_edit, plain_snapshot
from engine.rules import rules
from engine.study import Study

WORKBOAT = Path(__file__).parents[2] / "samples" / "workboat" / "workboat.linewright"


def test_rules_are_told_apart_by_what_they_need() -> None:
    soon = set(rules_told_first())
    assert {"no-protection", "sources-meet", "outlet-unprotected"} <= soon
    assert not soon & {
        "unconnected",
        "overloaded",
        "drop-too-high",
        "cannot-break-fault",
        "slow-to-clear",
        "bank-too-small",
    }
    assert soon < set(rules())


@pytest.mark.parametrize("name", ["launch", "ketch", "workboat"])
def test_rules_told_at_once_solve_nothing(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def asked(*_of: Any) -> None:
        raise AssertionError("a rule that is told at once asks for what takes long")

    for what in ("flow", "faults", "starts", "energy"):
        monkeypatch.setattr(Study, what, property(asked) if what in ("faults", "starts") else asked)
    path = WORKBOAT.parents[1] / name / f"{name}.linewright"
    assert check(load(path).installation.snapshot(), only=rules_told_first()).stopped == ()


def test_both_parts_together_are_the_whole_where_nothing_changed() -> None:
    snapshot = load(WORKBOAT).installation.snapshot()
    whole = check(snapshot)
    soon = check(snapshot, only=rules_told_first())
    assert len(soon.findings) < len(whole.findings)
    assert with_remarks(soon, whole, snapshot) == whole


def test_what_is_gone_is_spoken_of_no_more() -> None:
    boat = load(WORKBOAT).installation
    whole = check(boat.snapshot())
    run = next(f.ids[0] for f in whole.findings if f.rule == "overloaded")
    apply(boat, remove(boat.snapshot(), boat.last_id, (run,)))
    after = boat.snapshot()
    told = with_remarks(check(after, only=rules_told_first()), whole, after)
    assert all(run not in finding.ids for finding in told.findings)


@pytest.mark.parametrize(("is_slow", "parts"), [(True, 2), (False, 1)])
def test_a_slow_judgement_comes_in_two_parts(is_slow: bool, parts: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worker_module, "SOON_S", 0.0 if is_slow else 1e9)
    heard: list[Answer] = []
    boat = load(WORKBOAT).installation
    worker = Worker(heard.append, lambda: False)
    worker.take(OpenRequest(1, plain_snapshot(boat.snapshot())))
    worker.study()
    assert len(_judged(heard)) == 1  # nothing was said before
    heard.clear()
    item = next(i for i, r in boat.items("equipment") if r.designation == "F5")
    worker.take(EditRequest(2, plain_edit(done(boat, SetFields("equipment", item, (("rating_a", 50.0),))).edit)))
    worker.study()
    told = _judged(heard)
    assert [answer.at for answer in told] == [2] * parts
    assert told[-1].result.findings == check(boat.snapshot()).findings
    if is_slow:
        first = {f.rule for f in told[0].result.findings}
        assert "overloaded" in first  # as it was before the edit
        assert not any(f.rule == "rating-above-ampacity" and "F5" in f.designations for f in told[0].result.findings)


def _judged(heard: list[Any]) -> list[Judged]:
    return [answer for answer in heard if isinstance(answer, Judged)]
