"""The set of sheets: order, titles, paper; things that go to another sheet keep their references and bends."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.drawing.changes import add_sheet, to_sheet
from app.drawing.changes.sheet_set import in_order, move_sheet, off_paper, resize_sheet, retitle_sheet
from app.drawing.placed import set_scene
from app.drawing.sheets import pictures
from engine.edits import EditError, apply
from engine.files.drawing import dump, load
from engine.installation.model import Installation
from engine.picture import Text

KETCH = Path(__file__).parents[4] / "samples" / "ketch" / "ketch.linewright"


@pytest.fixture
def ketch() -> Installation:
    return load(KETCH).installation


def test_a_sheet_moves_and_references_follow(ketch: Installation) -> None:
    before = in_order(ketch.snapshot())
    as_it_was = dump(ketch)
    inverse = apply(ketch, move_sheet(ketch.snapshot(), before[1], 1))
    after = in_order(ketch.snapshot())
    assert after == [before[1], before[0], *before[2:]]
    assert [ketch.snapshot().sheets[item].number for item in after] == list(range(1, len(after) + 1))
    told = {t.text for p in pictures(ketch.snapshot()) for t in p.primitives if isinstance(t, Text)}
    scene = set_scene(ketch.snapshot())
    assert scene.number[before[1]] == 1
    assert any("sheet 1 / " in text or "sheet 1" in text for text in told)
    apply(ketch, inverse)
    assert dump(ketch) == as_it_was


def test_past_either_end_it_says_so(ketch: Installation) -> None:
    order = in_order(ketch.snapshot())
    with pytest.raises(EditError, match="Sheet 1 is the first of the set"):
        move_sheet(ketch.snapshot(), order[0], 0)
    with pytest.raises(EditError, match="is the last of the set"):
        move_sheet(ketch.snapshot(), order[-1], 99)


@pytest.mark.parametrize("title", ["", "<b>&=1+1", "\U0001f6f3 مخطط", "x" * 300, "two\nlines "])
def test_any_title_will_do_on_one_line(ketch: Installation, title: str) -> None:
    first = in_order(ketch.snapshot())[0]
    apply(ketch, retitle_sheet(ketch.snapshot(), first, title))
    assert ketch.snapshot().sheets[first].title == " ".join(title.split())
    assert pictures(ketch.snapshot())


def test_what_does_not_fit_smaller_paper_is_named(ketch: Installation) -> None:
    first = in_order(ketch.snapshot())[0]
    assert off_paper(ketch.snapshot(), first) == []
    out = off_paper(ketch.snapshot(), first, "A4")
    assert "G1" in out or "G5" in out or "T4" in out
    apply(ketch, resize_sheet(ketch.snapshot(), first, "A4"))
    assert off_paper(ketch.snapshot(), first) == out
    with pytest.raises(EditError, match="There is no paper size “B5”"):
        resize_sheet(ketch.snapshot(), first, "B5")


def test_things_taken_to_another_sheet_keep_their_runs_references_and_bends(ketch: Installation) -> None:
    """Both ends of W62 (G5, Q8 and what they feed) go: its way by hand goes along; what stays is led by references."""
    snapshot = ketch.snapshot()
    made = add_sheet(snapshot, ketch.last_id)
    apply(ketch, made.edit)
    new = made.items[0]
    snapshot = ketch.snapshot()
    first = in_order(snapshot)[0]
    wanted = {snapshot.name(p.equipment): item for item, p in snapshot.placements.items() if p.sheet == first}
    scene = set_scene(snapshot)
    runs_before = {part.run for part in scene.parts_on(first)}
    going = [wanted[name] for name in ("G5", "Q8", "T4")]
    inside = {
        part.run for part in scene.parts_on(first) if part.kind == "whole" and part.near in going and part.far in going
    }
    bends = {r.run: len(r.bends) for r in snapshot.routes.values() if r.run in inside and r.sheet == first}
    assert inside
    apply(ketch, to_sheet(snapshot, going, new))
    after = set_scene(ketch.snapshot())
    assert {after.snapshot.name(p.equipment) for p in after.on(new)} == {"G5", "Q8", "T4"}
    for run in inside:
        (part,) = [p for p in after.parts_on(new) if p.run == run]
        assert part.kind == "whole"
        (route,) = [r for r in after.snapshot.routes.values() if r.run == run]
        assert len(route.bends) == bends[run]
    assert runs_before <= {part.run for part in after.parts} | set(after.unrouted), "none is lost"
    ends = [part for part in after.parts_on(new) if part.kind != "whole"]
    assert ends or after.unrouted, "what stays behind is referred to"
