"""Frozen copies of issues: made with the edit that names them, found again, never written over; issued is issued."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from engine.builder import Builder
from engine.edits import EditError, History, Put, SetFields
from engine.edits.issuing import begin, in_order
from engine.files.drawing import dump, load
from engine.files.issues import as_issued, copy_of, history, home, is_copy, issue_with_copy, open_issue, state_of
from engine.installation import Installation, Revision


@pytest.fixture
def boat() -> Installation:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12)
    return b.installation


def issued(boat: Installation, past: History, path: Path, **values: str) -> Revision:
    past.do(issue_with_copy(boat, path, **({"by": "A. Dunnock", "day": "2026-11-28"} | values)))
    return in_order(boat.snapshot())[-1][1]


def test_the_drawing_itself_is_changed_by_the_edit_alone(boat: Installation, tmp_path: Path) -> None:
    before = dump(boat)
    edit = issue_with_copy(boat, tmp_path / "x.linewright", by="A", day="2026-11-28")
    assert dump(boat) == before
    past = History(boat)
    past.do(edit)
    record = in_order(boat.snapshot())[-1][1]
    copy = copy_of(tmp_path, record)
    assert copy is not None
    assert hashlib.sha256(copy.read_bytes()).hexdigest() == record.sha256
    past.undo()
    assert boat.tables["revisions"] == {}
    assert state_of(tmp_path, record) == "there", "what was handed out is kept"


def test_each_issue_opens_as_it_was(boat: Installation, tmp_path: Path) -> None:
    path, past = tmp_path / "x.linewright", History(boat)
    issued(boat, past, path)
    past.do(begin(boat.snapshot(), boat.last_id))
    past.do(SetFields("vessel", "vessel", (("name", "Whimbrel"),)))
    issued(boat, past, path)
    first, second = history(boat.snapshot(), tmp_path)
    assert [open_issue(tmp_path, each.record).installation.vessel.name for each in (first, second)] == [
        "Sandling", "Whimbrel",
    ]  # fmt: skip
    assert first.path is not None
    assert is_copy(first.path)
    assert home(first.path) == tmp_path
    assert as_issued(first.path, load(first.path)) == ("this is revision A as it was issued on 2026-11-28.", True)
    assert as_issued(path, load(first.path)) == ("", True)


def test_what_is_issued_stays_but_for_undo(boat: Installation, tmp_path: Path) -> None:
    past = History(boat)
    issued(boat, past, tmp_path / "x.linewright")
    [item] = boat.tables["revisions"]
    for edit in (
        SetFields("revisions", item, (("issued", False),)),
        SetFields("revisions", item, (("text", "otherwise"),)),
        Put("revisions", item, None),
    ):
        with pytest.raises(EditError, match="Revision A is issued"):
            past.do(edit)
    past.undo()
    past.redo()
    past.undo()
    assert boat.tables["revisions"] == {}


@pytest.mark.parametrize("index", ["../up", "a/b", "Ä 1", "   ", ".", "x" * 60])
def test_any_index_gives_a_file_in_the_folder(boat: Installation, tmp_path: Path, index: str) -> None:
    record = issued(boat, History(boat), tmp_path / "x.linewright", index=index)
    assert state_of(tmp_path, record) == "there"
    assert [path.parent.name for path in tmp_path.rglob("*.linewright")] == ["issued"]
