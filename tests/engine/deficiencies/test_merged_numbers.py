"""Two surveyors mark on copies of one drawing: after the merge no number stands in two squares."""

from __future__ import annotations

from engine.builder import Builder
from engine.deficiencies import mark
from engine.edits import apply, fill
from engine.installation import Deficiency, Installation, Snapshot
from engine.merging import merge


def _marked(snapshot: Snapshot, words: str, item: str) -> Snapshot:
    i = Installation()
    fill(i, ((t, k, r) for t, rows in snapshot.tables.items() for k, r in rows.items()))
    apply(i, mark(i.snapshot(), item, Deficiency(observation=words)))
    return i.snapshot()


def test_the_second_gets_the_next_and_it_is_told() -> None:
    b = Builder()
    b.add("fuse", "F1", rating_a=10)
    base = _marked(b.installation.snapshot(), "old", "d50")
    merged = merge(base, _marked(base, "by one", "d60"), _marked(base, "by the other", "d70"))
    assert not merged.open
    told = {d.observation: d.number for d in merged.snapshot.deficiencies.values()}
    assert told == {"old": 1, "by one": 2, "by the other": 3}
    assert any("number 3 now" in notice for notice in merged.notices)
