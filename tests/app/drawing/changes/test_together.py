"""Runs led together: off symbols, none along another, from terminal to terminal, nothing lost and nothing worse."""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import Any

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from app.drawing import changes
from app.drawing.changes.plain_ways import plain_way
from app.drawing.changes.scenes import scene_of
from app.drawing.placed import RunPart, Scene
from app.drawing.routes import junctions
from engine.builder import Builder
from engine.edits import Put, apply
from engine.geometry import struck
from engine.geometry.roads import Pin, Roads
from engine.installation import Installation, Placement, Sheet, Snapshot
from engine.picture import Box


def boat(places: list[tuple[int, int]], joins: list[tuple[int, int]]) -> tuple[Installation, str]:
    """Fuses in those cells of a board, and runs from the out of one to the in of another."""
    b = Builder()
    sheet = b._new("sheets", Sheet(number=1, size="A3"))
    for n, (column, row) in enumerate(places):
        item = b.add("fuse", f"F{n}")
        b._new("placements", Placement(equipment=item, sheet=sheet, x=12 + column * 12, y=14 + row * 14))
    for n, (one, other) in enumerate(joins):
        b.run(f"W{n}", f"F{one}.out", f"F{other}.in")
    return b.installation, sheet


def led(installation: Installation, sheet: str) -> Scene:
    runs = list(installation.snapshot().runs)
    apply(installation, changes.lead_anew(installation.snapshot(), runs, sheet, last_id=installation.last_id))
    return scene_of(installation.snapshot(), sheet)


def shares(one: RunPart, other: RunPart) -> list[tuple[int, int, int, int]]:
    """Stretches in which two lines lie on each other."""
    found = []
    for (ax, ay), (bx, by) in pairwise(one.points):
        for (cx, cy), (dx, dy) in pairwise(other.points):
            if ax == bx == cx == dx and min(max(ay, by), max(cy, dy)) > max(min(ay, by), min(cy, dy)):
                found.append((ax, ay, bx, by))
            if ay == by == cy == dy and min(max(ax, bx), max(cx, dx)) > max(min(ax, bx), min(cx, dx)):
                found.append((ax, ay, bx, by))
    return found


def at_one_terminal(snapshot: Snapshot, one: RunPart, other: RunPart) -> bool:
    a, b = (
        {(e.equipment, e.terminal) for e in (snapshot.runs[p.run].from_end, snapshot.runs[p.run].to_end)}
        for p in (one, other)
    )
    return bool(a & b)


CELLS = st.tuples(st.integers(0, 6), st.integers(0, 4))


@settings(deadline=None, max_examples=15)
@given(data=st.data())
def test_ways_keep_off_symbols_and_each_other_and_end_at_their_terminals(data: st.DataObject) -> None:
    places = data.draw(st.lists(CELLS, min_size=3, max_size=10, unique=True))
    number = st.integers(0, len(places) - 1)
    pairs = data.draw(st.lists(st.tuples(number, number).filter(lambda p: p[0] != p[1]), max_size=8, unique=True))
    installation, sheet = boat(places, pairs)
    if not pairs:
        return
    scene = led(installation, sheet)
    parts = [part for part in scene.parts_on(sheet) if part.kind == "whole"]
    boxes = [piece.box.grown(-0.2) for piece in scene.on(sheet)]
    for n, m in struck(boxes, [part.points for part in parts]):
        assert _only_at_ends(scene, boxes[n], parts[m])
    for part in parts:
        run = scene.snapshot.runs[part.run]
        for item, terminal, point in (
            (part.near, run.from_end.terminal, part.points[0]),
            (part.far, run.to_end.terminal, part.points[-1]),
        ):
            port = scene.pieces[item].port(terminal)
            assert point == (port.x, port.y)
    for one, other in combinations(parts, 2):
        if not at_one_terminal(scene.snapshot, one, other):
            assert shares(one, other) == []
    for point in junctions(scene, sheet):
        ways = {
            ((end[0] > point[0]) - (end[0] < point[0]), (end[1] > point[1]) - (end[1] < point[1]))
            for part in parts
            for a, b in pairwise(part.points)
            if min(a[0], b[0]) <= point[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= point[1] <= max(a[1], b[1])
            for end in (a, b)
            if end != point
        }
        assert len(ways) <= 3, "a dot where four lines meet could be two that cross"


def _only_at_ends(scene: Scene, box: Box, part: RunPart) -> bool:
    """Whether a line is in a symbol's box only where it meets its own terminal."""
    own = [scene.pieces[item].box.grown(-0.2) for item in (part.near, part.far)]
    return box in own and not struck([box.grown(-0.3)], [part.points])


@settings(deadline=None, max_examples=10)
@given(data=st.data())
def test_what_is_led_again_is_never_worse(data: st.DataObject) -> None:
    places = data.draw(st.lists(CELLS, min_size=4, max_size=9, unique=True))
    pairs = [(n, (n + data.draw(st.integers(1, len(places) - 1))) % len(places)) for n in range(len(places))]
    installation, sheet = boat(places, pairs)
    first = [p for p in led(installation, sheet).parts_on(sheet) if p.kind == "whole"]
    again = [p for p in led(installation, sheet).parts_on(sheet) if p.kind == "whole"]
    assert {p.run for p in first} <= {p.run for p in again}


@pytest.mark.parametrize("aside", [24, -24])
def test_a_bundle_lies_evenly_spaced_and_uncrossed(aside: int) -> None:
    b = Builder()
    sheet = b._new("sheets", Sheet(number=1, size="A3"))
    for n in range(5):
        for name, x, y in ((f"F{n}", 40 + n * 8, 60), (f"E{n}", 40 + n * 8 + aside, 30)):
            item = b.add("fuse", name)
            b._new("placements", Placement(equipment=item, sheet=sheet, x=x, y=y))
        b.run(f"W{n}", f"F{n}.out", f"E{n}.in")
    scene = led(b.installation, sheet)
    parts = [part for part in scene.parts_on(sheet) if part.kind == "whole"]
    assert len(parts) == 5
    assert all(len(part.points) == 4 for part in parts)
    levels = sorted(part.points[1][1] for part in parts)
    assert {b - a for a, b in pairwise(levels)} == {2}


def test_a_fifth_at_a_terminal_is_found_again_too(bench: Any) -> None:
    d = bench()
    for n, x in enumerate((55, 70, 10)):
        d.b.add("fuse", f"F{n + 2}")
        d.put(f"F{n + 2}", x, 62)
        d.do(changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("G1", "pos"), d.grip(f"F{n + 2}", "in")))
    runs = list(d.snapshot.runs)
    before = {p.run for p in d.scene().parts_on(d.sheet) if p.kind == "whole"}
    d.do(changes.lead_anew(d.snapshot, runs, d.sheet, last_id=d.last_id))
    assert {p.run for p in d.scene().parts_on(d.sheet) if p.kind == "whole"} == before


def test_a_run_keeps_off_a_label_that_was_put_by_hand() -> None:
    installation, sheet = boat([(0, 3), (4, 1)], [(0, 1)])
    line = led(installation, sheet).parts_on(sheet)[0].points
    middle = (line[1][0] + line[2][0]) // 2, line[1][1]
    snapshot = installation.snapshot()
    placement = next(iter(snapshot.placements))
    from app.drawing.changes.labelling import written

    label = written(scene_of(snapshot, sheet), sheet, placement)
    assert label is not None
    x, y = label.sight.at(middle)
    apply(installation, changes.put_label(snapshot, sheet, placement, (x - 4, y - 2)))
    apply(installation, Put("routes", next(iter(snapshot.routes)), None))
    after = led(installation, sheet).parts_on(sheet)[0].points
    box = Box(x - 4, y - 2, x - 4 + label.words.width, y - 2 + label.words.height)
    assert struck([box], [[label.sight.at(p) for p in line]]) == [(0, 0)]
    assert struck([box], [[label.sight.at(p) for p in after]]) == []


def test_a_run_whose_bus_has_no_place_for_an_end_has_no_plain_way() -> None:
    """More ends at the other bus than are tried: the nearest to nothing was asked for."""
    many = [Pin(x, 10, 2) for x in range(40)]
    for starts, stops in ((many, []), ([], many)):
        assert plain_way(Roads(100, 80), Box(0, 0, 100, 80), starts, stops) is None
