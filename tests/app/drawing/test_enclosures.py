"""Outlines of enclosures: round what stands together, no stranger inside, off the labels, off where not wanted."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from app.canvas.redraw import by_owner, redrawn, sight_of
from app.drawing.changes import move, scene_of
from app.drawing.enclosures import clusters, draw_enclosures
from app.drawing.placed import paper
from app.drawing.sheet import draw_sheet
from engine.builder import Builder
from engine.edits import Put, SetFields, apply
from engine.files.drawing import load
from engine.installation import Enclosure, Installation, Placement, Sheet
from engine.picture import Box, Text, path_box, text_box
from engine.picture import Path as Stroke

SAMPLES = Path(__file__).parents[3] / "samples"


def _panel(
    *at: tuple[int, int], strangers: tuple[tuple[int, int], ...] = (), name: str = "Panel"
) -> tuple[Installation, str]:
    b = Builder()
    sheet = b._new("sheets", Sheet(number=1))
    panel = b._new("enclosures", Enclosure(name=name))
    for n, (x, y) in enumerate((*at, *strangers), 1):
        item = b.add("fuse", f"F{n}", rating_a=10, **({"enclosure": panel} if n <= len(at) else {}))
        b._new("placements", Placement(equipment=item, sheet=sheet, x=x, y=y))
    return b.installation, sheet


def _groups(i: Installation, sheet: str) -> list[int]:
    made = clusters(scene_of(i.snapshot(), sheet), sheet)
    return sorted(len(group) for groups in made.values() for group in groups)


def _outline(i: Installation, sheet: str) -> list[Stroke | Text]:
    panel = next(iter(i.tables["enclosures"]))
    scene = scene_of(i.snapshot(), sheet)
    return [p for p in draw_enclosures(scene, sight_of(scene, sheet), [], []).primitives if p.owner == panel]


def test_one_outline_with_its_name_at_the_upper_left() -> None:
    i, sheet = _panel((20, 20), (30, 20), (40, 20))
    assert _groups(i, sheet) == [3]
    *strokes, name = _outline(i, sheet)
    assert isinstance(name, Text)
    assert name.text == "Panel"
    assert len(strokes) == 4
    assert {(s.dash, s.width) for s in strokes if isinstance(s, Stroke)} == {("chain", 0.25)}
    left = min(path_box(s).left for s in strokes if isinstance(s, Stroke))
    top = min(path_box(s).top for s in strokes if isinstance(s, Stroke))
    assert abs(name.x - left) < 0.2
    assert name.y < top


def test_a_stranger_between_parts_it_and_alone_there_is_none() -> None:
    i, sheet = _panel((20, 20), (30, 20), (50, 20), (60, 20), strangers=((40, 20),))
    assert _groups(i, sheet) == [2, 2]
    i, sheet = _panel((20, 20), (40, 20), strangers=((30, 20),))
    assert _groups(i, sheet) == []
    i, sheet = _panel((20, 20), (100, 20))
    assert _groups(i, sheet) == [], "too far apart to stand together"
    i, sheet = _panel((20, 20))
    assert _groups(i, sheet) == []


def test_it_is_switched_off_and_takes_any_name() -> None:
    i, sheet = _panel((20, 20), (30, 20))
    panel = next(iter(i.tables["enclosures"]))
    apply(i, SetFields("enclosures", panel, (("outline", False),)))
    assert _outline(i, sheet) == []
    for name in ("<b>&=1+1", "😀", "أنوار", "x" * 500, "   "):
        apply(i, Put("enclosures", panel, Enclosure(name=name)))
        texts = [p for p in _outline(i, sheet) if isinstance(p, Text)]
        assert len(texts) == (1 if name.strip() else 0)
        assert all(text_box(t).right < 420 for t in texts)


@pytest.mark.parametrize("name", ["launch", *(pytest.param(n, marks=pytest.mark.long) for n in ("ketch", "workboat"))])
def test_on_the_samples_no_label_is_crossed_and_no_stranger_is_inside(name: str) -> None:
    snapshot = load(str(SAMPLES / name / f"{name}.linewright")).installation.snapshot()
    some = 0
    for sheet in snapshot.sheets:
        scene = scene_of(snapshot, sheet)
        body = draw_sheet(scene, sheet, paper(snapshot.sheets[sheet].size))
        strokes = [p for p in body.primitives if p.owner in snapshot.enclosures and isinstance(p, Stroke)]
        some += len(strokes)
        for stroke in strokes:
            box = path_box(stroke).grown(0.05)
            assert not any(box.meets(label) for label, _owner in body.labelled.boxes), snapshot.sheets[sheet].title
        sight = sight_of(scene, sheet)
        for item, groups in clusters(scene, sheet).items():
            for group in groups:
                boxes = [scene.pieces[p].box for p in group]
                hull = Box(
                    min(b.left for b in boxes),
                    min(b.top for b in boxes),
                    max(b.right for b in boxes),
                    max(b.bottom for b in boxes),
                )
                for piece in scene.on(sheet):
                    inside = piece.record.enclosure == item or piece.record.ROLE == "junction"
                    assert inside or not sight.box(hull).meets(sight.box(piece.box)), piece.record.designation
    assert some


def test_an_edit_draws_the_outline_anew_at_once_and_only_where_it_differs() -> None:
    i, sheet = _panel((20, 20), (30, 20), strangers=((80, 40),))
    panel = next(iter(i.tables["enclosures"]))
    before = scene_of(i.snapshot(), sheet)
    of = by_owner(draw_sheet(before, sheet, paper("A3")).primitives)
    far = next(item for item, p in i.items("placements") if p.x == 80)
    apply(i, move(i.snapshot(), [far], 2, 0))
    now = scene_of(i.snapshot(), sheet)
    assert panel not in redrawn(of, before, now, sheet)
    near = next(item for item, p in i.items("placements") if p.x == 30)
    apply(i, move(i.snapshot(), [near], 4, 0))
    after = scene_of(i.snapshot(), sheet)
    anew = redrawn(of, now, after, sheet)[panel]
    assert anew
    assert anew != of[panel]
    record = i.tables["enclosures"][panel]
    apply(i, Put("enclosures", panel, msgspec.structs.replace(record, outline=False)))
    assert redrawn(of, after, scene_of(i.snapshot(), sheet), sheet)[panel] is None
