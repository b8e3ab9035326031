"""What a sheet says of the issue before."""

from __future__ import annotations

from app.drawing.revisions import Since, change_notes
from engine.builder import Builder
from engine.compare import compare
from engine.edits import Put, apply
from engine.installation import TitleBlock


def _told(was: str, now: str) -> list[str]:
    made = Builder()
    made.add("fuse", "F4", rating_a=200)
    apply(made.installation, Put("title_block", "title_block", TitleBlock(revision=was)))
    before = made.installation.snapshot()
    made.set("F4", rating_a=150.0)
    apply(made.installation, Put("title_block", "title_block", TitleBlock(revision=now)))
    after = made.installation.snapshot()
    since = Since(before, compare(before, after), now)
    notes = change_notes(since, after, list(after.equipment), True)
    return [line.text for note in notes for line in note.lines]


def test_a_change_names_the_value_before_and_the_value_now() -> None:
    assert _told("B", "C") == [
        "Revision C, since B",
        "Changed: F4 (rated current of the link: 200 A, now 150 A).",
    ]


def test_two_issues_of_one_revision_index_are_told_so() -> None:
    assert _told("C", "C")[-1] == "The issue before is revision C too: this one needs an index of its own."
    assert not any("index of its own" in text for text in _told("", ""))
