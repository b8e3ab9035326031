"""The next free designation."""

from __future__ import annotations

import pytest

from engine.builder import Builder
from engine.edits import EditError
from engine.edits.designations import for_kind, letters_of, next_designation


def test_the_lowest_number_that_nothing_bears() -> None:
    b = Builder()
    for name in ("F1", "F3", "WC1", "X1", "f4", "=A1-F5", "F6a"):
        b.add("fuse", name)
    b.run("W1", "F1.in", "F3.in")
    b.waive("no-protection", "F2")
    snapshot = b.installation.snapshot()
    assert next_designation(snapshot, "F") == "F7"
    assert next_designation(snapshot, "W") == "W2"
    assert next_designation(snapshot, "WC") == "WC2"
    assert next_designation(snapshot, "Q") == "Q1"


def test_a_kind_has_its_letter_and_runs_and_buses_share_one() -> None:
    b = Builder()
    b.add("fuse", "F1")
    b.run("W1", "F1.in", "F1.out")
    snapshot = b.installation.snapshot()
    assert for_kind(snapshot, "fuse") == "F2"
    assert for_kind(snapshot, "bus_bar") == "W2"
    with pytest.raises(EditError, match="There is no kind of equipment “warp core”"):
        for_kind(snapshot, "warp core")


@pytest.mark.parametrize(
    ("text", "letters"), [("F3", "F"), ("WC12", "WC"), ("=A1-F3", "F"), ("QBP", ""), ("", ""), ("12", "")]
)
def test_letters_of_a_designation(text: str, letters: str) -> None:
    assert letters_of(text) == letters
