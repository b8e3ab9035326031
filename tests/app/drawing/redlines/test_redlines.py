"""Two drawings compared on the sheet: clouds, what is gone where it stood, tags, told apart without colour."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st

from app.drawing.hand.labels import sight_of
from app.drawing.placed import paper, set_scene
from app.drawing.redlines import Redlines, entries_of, entry_words, sign_text
from app.drawing.redlines.over import sheets_over
from app.drawing.whereabouts import Whereabouts
from app.paper.mono import in_mono
from engine.comparing import differences
from engine.edits import Edit, Put, SetFields, Several, apply
from engine.files.drawing import load
from engine.installation import Remark, Snapshot
from engine.installation.model import Installation
from engine.picture import Box, Picture, Primitive, Text, path_box
from engine.picture import Path as Stroke

SAMPLES = Path(__file__).parents[4] / "samples"


def _ketch() -> Installation:
    return load(SAMPLES / "ketch" / "ketch.linewright").installation


def _found(snapshot: Snapshot, name: str) -> str:
    return next(
        item for table in ("equipment", "runs") for item in snapshot.tables[table] if snapshot.name(item) == name
    )


def _without(snapshot: Snapshot, *gone: str) -> Edit:
    """Equipment taken out with its runs and all that draws them."""
    runs = {i for i, run in snapshot.runs.items() if {run.from_end.equipment, run.to_end.equipment} & set(gone)}
    puts = [Put("routes", i) for i, route in snapshot.routes.items() if route.run in runs]
    puts += [Put("runs", i) for i in sorted(runs)]
    puts += [Put("placements", i) for i, place in snapshot.placements.items() if place.equipment in gone]
    for item, lock in snapshot.interlocks.items():
        if any(held.equipment in gone for held in lock.held):
            puts.append(Put("interlocks", item))
    for item, condition in snapshot.conditions.items():
        changes: dict[str, Any] = {}
        for field in ("settings", "duties", "sources", "levels"):
            values = getattr(condition, field, ())
            kept = tuple(v for v in values if getattr(v, "equipment", "") not in gone)
            if kept != values:
                changes[field] = kept
        if changes:
            puts.append(Put("conditions", item, msgspec.structs.replace(condition, **changes)))
    return Several((*puts, *(Put("equipment", item) for item in gone)))


def _redlines(before: Snapshot, after: Snapshot) -> Redlines:
    made = differences(before, after)
    return Redlines(before, after, made, entries_of(before, after, made))


def _number(redlines: Redlines, name: str) -> int:
    return next(entry.number for entry in redlines.entries if entry.name.split(" ")[0] == name)


def _texts(some: tuple[Primitive, ...]) -> list[str]:
    return [p.text for p in some if isinstance(p, Text)]


def _sheet_of(snapshot: Snapshot, name: str) -> str:
    return Whereabouts(snapshot).spots(_found(snapshot, name))[0].sheet


def test_what_has_changed_has_a_dashed_cloud_and_what_is_new_a_whole_one() -> None:
    installation = _ketch()
    before = installation.snapshot()
    fuse = _found(before, "F1")
    spot = next(p for p in before.placements.values() if p.equipment == fuse)
    fresh = installation.new_id("equipment")
    light = msgspec.structs.replace(before.equipment[_found(before, "E22")], designation="E99", label="Riding light")
    apply(installation, SetFields("equipment", fuse, (("rating_a", 250.0),)))
    apply(installation, Put("equipment", fresh, light))
    apply(
        installation,
        Put("placements", installation.new_id("placements"), msgspec.structs.replace(spot, equipment=fresh, x=8, y=8)),
    )
    after = installation.snapshot()
    redlines = _redlines(before, after)
    assert redlines.marked_sheets("newer") == (spot.sheet,)
    made = redlines.redlined("newer", spot.sheet)
    clouds = [p for p in made.under if isinstance(p, Stroke)]
    assert sorted(cloud.dash for cloud in clouds) == ["dashed", "solid"]
    of = {cloud.dash: path_box(cloud) for cloud in clouds}
    sight = sight_of(spot.sheet, made.frame)
    for item, dash in ((fuse, "dashed"), (fresh, "solid")):
        (piece,) = [p for p in set_scene(after).on(spot.sheet) if p.equipment == item]
        box = sight.box(piece.box)
        around = of[dash]
        assert around.left < box.left < box.right < around.right
        assert around.top < box.top < box.bottom < around.bottom
    assert sorted(_texts(made.over)) == sorted(
        [sign_text("changed", _number(redlines, "F1")), sign_text("added", _number(redlines, "E99"))]
    )
    words = [entry_words(e) for e in redlines.entries if e.table == "equipment"]
    assert "changed: F1 House bank main fuse (rated current of the link: 300 A, now 250 A)" in words
    assert "added: E99 Riding light" in words


def test_what_is_gone_is_drawn_dashed_and_struck_where_it_stood() -> None:
    installation = _ketch()
    before = installation.snapshot()
    windlass, sheet = _found(before, "M3"), _sheet_of(before, "M3")
    apply(installation, _without(before, windlass))
    redlines = _redlines(before, installation.snapshot())
    made = redlines.redlined("newer", sheet)
    (piece,) = [p for p in set_scene(before).on(sheet) if p.equipment == windlass]
    box = sight_of(sheet, paper(before.sheets[sheet].size)).box(piece.box)
    there = [p for p in made.under if isinstance(p, Stroke) and _inside(path_box(p), box.grown(5))]
    dashed = [p for p in there if p.dash == "dashed"]
    lean = [p for p in there if p.dash == "solid"]
    assert len(dashed) >= len([p for p in piece.look.shape.primitives if isinstance(p, Stroke)])
    assert len(lean) >= 2
    for stroke in lean:  # one way all of them: crosses mean "to remove"
        (_m, x1, y1), (_l, x2, y2) = stroke.segments  # type: ignore[misc]
        assert (x2 - x1) * (y2 - y1) < 0  # type: ignore[operator]
    assert not any(p.fill for p in dashed)
    assert not any(p.owner == windlass for p in made.body.primitives)
    assert sign_text("removed", _number(redlines, "M3")) in _texts(made.over)
    older = redlines.redlined("older", sheet)
    assert any(p.owner == windlass for p in older.body.primitives), "on the older sheet it stands as it did"
    assert any(_inside(path_box(p), box.grown(3)) for p in older.over if isinstance(p, Stroke)), "and is struck there"


def test_labels_of_a_printed_sheet_keep_off_what_is_gone() -> None:
    installation = _ketch()
    before = installation.snapshot()
    windlass, sheet = _found(before, "M3"), _sheet_of(before, "M3")
    apply(installation, _without(before, windlass))
    made = _redlines(before, installation.snapshot()).redlined("newer", sheet)
    (piece,) = [p for p in set_scene(before).on(sheet) if p.equipment == windlass]
    box = sight_of(sheet, made.frame).box(piece.box)
    texts = [p for p in made.body.primitives if isinstance(p, Text)]
    assert texts
    from engine.picture import text_box

    assert not [t.text for t in texts if text_box(t).grown(-0.2).meets(box)]


def test_black_and_grey_loses_nothing() -> None:
    """Told by form: without colours no two of the three forms look alike."""
    from app.drawing.redlines import forms

    shapes = set()
    for strokes, _text in forms():
        (picture,) = [in_mono(Picture(100, 100, strokes))]
        shapes.add(
            tuple((p.dash, len(p.segments)) if isinstance(p, Stroke) else ("", p.text[0]) for p in picture.primitives)
        )
        assert not any(getattr(p, "ink", "") == "red" for p in picture.primitives)
    assert len(shapes) == 3


def test_a_drawing_laid_out_anew_has_its_older_sheets_by_themselves() -> None:
    installation = _ketch()
    before = installation.snapshot()
    apply(installation, _without(before, _found(before, "M3")))
    for item, place in list(installation.snapshot().placements.items()):
        apply(installation, Put("placements", item, msgspec.structs.replace(place, x=place.x + 3)))
    redlines = _redlines(before, installation.snapshot())
    assert redlines.over == {}, "nothing stands where it stood"
    assert _sheet_of(before, "M3") in redlines.alone()
    for sheet in redlines.marked_sheets("newer"):
        assert not any(isinstance(p, Stroke) and p.width == 0.25 for p in redlines.redlined("newer", sheet).under)


def test_a_sheet_lies_over_the_one_that_shows_the_same_in_the_same_places() -> None:
    before = _ketch().snapshot()
    assert sheets_over(before, before, {}, True) == {sheet: sheet for sheet in before.sheets}


def test_a_remark_that_was_written_and_one_that_is_gone_are_marked() -> None:
    installation = _ketch()
    sheet = next(iter(installation.tables["sheets"]))
    first = installation.new_id("remarks")
    apply(installation, Put("remarks", first, Remark(sheet=sheet, x=10, y=60, text="Old words")))
    before = installation.snapshot()
    apply(installation, Put("remarks", first))
    apply(
        installation, Put("remarks", installation.new_id("remarks"), Remark(sheet=sheet, x=60, y=8, text="New words"))
    )
    redlines = _redlines(before, installation.snapshot())
    made = redlines.redlined("newer", sheet)
    signs = {text[0] for text in _texts(made.over)}
    assert signs == {"+", "−"}


def test_a_lock_that_is_gone_is_tagged_at_what_it_held() -> None:
    installation = _ketch()
    before = installation.snapshot()
    item, lock = next(iter(before.interlocks.items()))
    apply(installation, Put("interlocks", item))
    redlines = _redlines(before, installation.snapshot())
    (entry,) = [e for e in redlines.entries if e.table == "interlocks"]
    assert set(entry.shown_new) == {held.equipment for held in lock.held}
    (sheet, *_more) = redlines.marked_sheets("newer")
    assert sign_text("removed", entry.number) in _texts(redlines.redlined("newer", sheet).over)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000))
def test_everything_drawn_that_is_gone_or_changed_has_its_tag(seed: int) -> None:
    """Nothing that is told is missing on the sheets that show it, whatever was taken out or changed."""
    drawn = random.Random(seed)
    installation = _launch()
    before = installation.snapshot()
    placed = {p.equipment for p in before.placements.values()}
    plain = sorted(i for i in placed if before.equipment[i].ROLE == "load" or before.equipment[i].KIND == "fuse")
    gone = drawn.sample(plain, k=min(len(plain), drawn.randint(0, 3)))
    others = [i for i in plain if i not in gone]
    changed = drawn.sample(others, k=min(len(others), drawn.randint(0, 3)))
    apply(installation, _without(before, *gone))
    for item in changed:
        apply(installation, SetFields("equipment", item, (("label", f"other {item}"),)))
    redlines = _redlines(before, installation.snapshot())
    texts: list[str] = []
    for sheet in redlines.marked_sheets("newer"):
        texts += _texts(redlines.redlined("newer", sheet).over)
    for entry in redlines.entries:
        if entry.table == "equipment":
            assert sign_text(entry.how, entry.number) in texts, entry
    assert {e.was for e in redlines.entries if e.table == "equipment" and e.how == "removed"} == set(gone)
    assert {e.item for e in redlines.entries if e.table == "equipment" and e.how == "changed"} >= set(changed)


def _launch() -> Installation:
    return load(SAMPLES / "launch" / "launch.linewright").installation


def _inside(box: Box, other: Box) -> bool:
    return other.left <= box.left and box.right <= other.right and other.top <= box.top and box.bottom <= other.bottom
