"""Labels that a person put: the same on paper, beside what they belong to; others keep off, what they meet is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.drawing import changes
from app.drawing.changes.labelling import written
from app.drawing.hand.labels import sight_of
from app.drawing.placed import paper, set_scene
from app.drawing.sheet import draw_sheet
from app.drawing.sheets import pictures
from engine.edits import EditError, apply
from engine.files.drawing import load
from engine.geometry import overlaps
from engine.installation import Installation
from engine.picture import Text

SAMPLES = Path(__file__).parents[4] / "samples"


def sample(name: str) -> Installation:
    return load(SAMPLES / name / f"{name}.linewright").installation


def symbol_of(installation: Installation, designation: str) -> str:
    item = installation.find(designation)[0][1]
    return next(i for i, p in installation.snapshot().placements.items() if p.equipment == item)


def test_the_label_stands_on_paper_where_it_was_put_and_others_keep_off() -> None:
    boat = sample("launch")
    snapshot = boat.snapshot()
    item = symbol_of(boat, "F1")
    sheet = snapshot.placements[item].sheet
    label = written(set_scene(snapshot), sheet, item)
    assert label is not None
    corner = (label.sight.left + 20.0, label.sight.top + 12.0)
    apply(boat, changes.put_label(snapshot, sheet, item, corner))
    scene = set_scene(boat.snapshot())
    body = draw_sheet(scene, sheet, paper(boat.snapshot().sheets[sheet].size))
    equipment = snapshot.placements[item].equipment
    mine = [box for box, owner in body.labelled.boxes if owner == equipment]
    assert [(box.left, box.top) for box in mine] == [pytest.approx(corner, abs=0.26)]
    assert overlaps([box for box, _owner in body.labelled.boxes]) == []
    page = pictures(boat.snapshot())[scene.number[sheet] - 1]
    heads = [p for p in page.primitives if isinstance(p, Text) and p.text == "F1" and p.owner == equipment]
    assert len(heads) == 1
    assert mine[0].left - 0.1 <= heads[0].x <= mine[0].right


def test_what_it_lies_on_is_told_in_the_margin_and_it_is_drawn_all_the_same() -> None:
    boat = sample("launch")
    snapshot = boat.snapshot()
    item, other = symbol_of(boat, "F1"), symbol_of(boat, "G1")
    sheet = snapshot.placements[item].sheet
    scene = set_scene(snapshot)
    label = written(scene, sheet, item)
    assert label is not None
    box = label.sight.box(scene.pieces[other].box)
    apply(boat, changes.put_label(snapshot, sheet, item, (box.left, box.top)))
    body = draw_sheet(set_scene(boat.snapshot()), sheet, paper(snapshot.sheets[sheet].size))
    assert any("label of F1" in told and "G1" in told for told in body.labelled.met)
    assert snapshot.placements[item].equipment in {owner for _box, owner in body.labelled.boxes}
    texts = [p.text for page in pictures(boat.snapshot()) for p in page.primitives if isinstance(p, Text)]
    assert "Labels put by hand" in texts


def test_one_that_would_leave_the_sheet_is_refused() -> None:
    boat = sample("launch")
    item = symbol_of(boat, "F1")
    with pytest.raises(EditError, match=r"The label of F1 would leave the drawing area of sheet 1."):
        changes.put_label(boat.snapshot(), boat.snapshot().placements[item].sheet, item, (-20.0, 10.0))


def test_it_moves_with_its_symbol_and_goes_back() -> None:
    boat = sample("launch")
    item = symbol_of(boat, "F1")
    sheet = boat.snapshot().placements[item].sheet
    before = boat.snapshot().placements[item]
    label = written(set_scene(boat.snapshot()), sheet, item)
    assert label is not None
    x, y = label.sight.at((before.x, before.y))
    apply(boat, changes.put_label(boat.snapshot(), sheet, item, (x + 12.5, y - 7.0)))
    put = boat.snapshot().placements[item].label
    assert put is not None
    assert (put.x, put.y) == (25, -14)
    apply(boat, changes.move(boat.snapshot(), [item], 0, -1))
    assert boat.snapshot().placements[item].label == put
    apply(boat, changes.labels_back(boat.snapshot(), sheet, [item]))
    assert boat.snapshot().placements[item].label is None
    with pytest.raises(EditError, match=r"No label of what is chosen was put by hand."):
        changes.labels_back(boat.snapshot(), sheet, [item])


def test_labels_of_a_sample_overlap_neither_symbols_nor_each_other() -> None:
    snapshot = sample("launch").snapshot()
    scene = set_scene(snapshot)
    for item, record in scene.sheets:
        body = draw_sheet(scene, item, paper(record.size))
        boxes = [box for box, _owner in body.labelled.boxes]
        assert overlaps(boxes) == []
        sight = sight_of(item, paper(record.size))
        assert overlaps(boxes, [sight.box(piece.box) for piece in scene.on(item)]) == []
