"""The return of a DC pair passes a single-pole device uncut. Counted by hand."""

from __future__ import annotations

from typing import Any

from app.handover.parts.drums import drum_table
from app.handover.parts.ends import lug_table
from app.handover.parts.wanted import PartsWanted
from app.paper.table import as_rows
from engine.builder import Builder
from engine.edits import SetFields, apply
from engine.installation import Snapshot


def pairs(**second: Any) -> Snapshot:
    """Two pairs of 2/0 with a fuse between, M8 rings everywhere."""
    made = Builder()
    made.add("bus_bar", "WC1")
    made.add("bus_bar", "WC2")
    made.add("fuse", "F3", status="new", rating_a=200)
    alike = {"status": "new", "size": "2/0 AWG", "colour": "red / yellow", "length_m": 1.0}
    made.run("W10", "WC1.bar", "F3.in", **alike)
    made.run("W11", "F3.out", "WC2.bar", **{**alike, **second})
    for item, run in tuple(made.installation.runs.items()):
        for name in ("from_end", "to_end"):
            end = getattr(run, name)
            fields = {each: getattr(end, each) for each in ("equipment", "terminal")}
            apply(made.installation, SetFields("runs", item, ((name, type(end)(stud="M8", lug="M8 ring", **fields)),)))
    return made.installation.snapshot()


def counted(snapshot: Snapshot) -> int:
    return sum(row["quantity"] for row in as_rows(lug_table(snapshot)))


def cuts(snapshot: Snapshot) -> dict[str, str]:
    return {row["colour"]: row["cuts"] for row in as_rows(drum_table(snapshot, PartsWanted()))}


def test_the_return_passes_a_fuse_in_one_length_without_lugs() -> None:
    snapshot = pairs()
    assert counted(snapshot) == 4 + 2  # the positive is lugged at both sides of the fuse, the return only at its ends
    assert cuts(snapshot) == {"red": "W10 1.10, W11 1.10", "yellow": "W10+W11 2.20"}
    assert any("no lugs for it at F3" in note for note in lug_table(snapshot).notes)
    assert any(note.startswith("W10+W11 is one length") for note in drum_table(snapshot, PartsWanted()).notes)


def test_a_return_of_another_cable_is_not_joined_and_told() -> None:
    snapshot = pairs(size="1/0 AWG")
    assert counted(snapshot) == 8
    assert "W10+W11" not in "".join(cuts(snapshot).values())
    assert any(note.startswith("2 conductor ends are counted at devices") for note in lug_table(snapshot).notes)


def test_an_existing_run_beyond_is_another_cable() -> None:
    snapshot = pairs(status="existing")
    assert counted(snapshot) == 4


def test_a_sheathed_pair_is_two_cables() -> None:
    assert counted(pairs(sheath="sheathed")) == 8
