"""A terminal that a run leaves already: the next one goes along that line first and branches off it."""

from __future__ import annotations

from typing import Any

import pytest

from app.drawing import changes
from app.drawing.changes.branching import branches
from app.drawing.faults import scene_faults
from app.drawing.routes import junctions
from engine.edits import apply
from engine.files.drawing import dump
from engine.geometry import Pin, Roads
from engine.installation import End, Run


def connected(d: Any, start: tuple[str, str], stop: tuple[str, str]) -> str:
    made = d.do(changes.connect(d.snapshot, d.last_id, d.sheet, d.grip(*start), d.grip(*stop)))
    return str(d.snapshot.name(made.items[0]))


def add(d: Any, kind: str, name: str, x: int, y: int, **more: Any) -> None:
    d.b.add(kind, name)
    d.put(name, x, y, **more)


@pytest.mark.parametrize("turned", [False, True])
def test_a_second_run_at_a_terminal_branches_off_the_first(bench: Any, turned: bool) -> None:
    d = bench()
    add(d, "fuse", "F2", 60, 60)
    ends = (("G1", "pos"), ("F2", "in"))
    name = connected(d, *(reversed(ends) if turned else ends))
    part = d.part(name)
    assert part.kind == "whole"
    assert {part.points[0], part.points[-1]} == {
        (p.port(t).x, p.port(t).y) for n, t in ends for p in d.scene().of[d.at(n)]
    }
    assert len(junctions(d.scene(), d.sheet)) == 1
    assert scene_faults(d.snapshot) == []


def test_a_third_and_a_fourth_too(bench: Any) -> None:
    d = bench()
    for n, x in enumerate((55, 70, 10)):
        add(d, "fuse", f"F{n + 2}", x, 62)
        assert d.part(connected(d, ("G1", "pos"), (f"F{n + 2}", "in"))).kind == "whole"
    assert scene_faults(d.snapshot) == []


def test_both_ends_taken(bench: Any) -> None:
    d = bench()
    add(d, "fuse", "F2", 60, 60)
    connected(d, ("G1", "pos"), ("F2", "in"))
    add(d, "fuse", "F3", 95, 66)
    add(d, "battery_bank", "G2", 75, 80)
    connected(d, ("G2", "pos"), ("F3", "in"))
    name = connected(d, ("F2", "in"), ("G2", "pos"))
    assert d.part(name).kind == "whole"
    assert scene_faults(d.snapshot) == []


def test_found_again_they_still_are_whole(bench: Any) -> None:
    d = bench()
    add(d, "fuse", "F2", 60, 60)
    connected(d, ("G1", "pos"), ("F2", "in"))
    d.do(changes.lead_anew(d.snapshot, d.snapshot.runs, d.sheet, last_id=d.last_id))
    assert {p.kind for p in d.scene().parts_on(d.sheet)} == {"whole"}
    d.do(changes.move(d.snapshot, [d.symbol("G1")], -6, 0))
    assert {p.kind for p in d.scene().parts_on(d.sheet)} == {"whole"}
    assert scene_faults(d.snapshot) == []


def test_undone_the_drawing_is_as_before(bench: Any) -> None:
    d = bench()
    add(d, "fuse", "F2", 60, 60)
    before = d.snapshot
    edit = changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("G1", "pos"), d.grip("F2", "in")).edit
    back = apply(d.x, edit)
    after = dump(d.x)
    again = apply(d.x, back)
    assert d.snapshot == before
    apply(d.x, again)
    assert dump(d.x) == after


def test_none_branches_off_where_a_strange_line_crosses(bench: Any) -> None:
    d = bench()
    (piece,) = d.scene().of[d.at("G1")]
    roads = Roads(60, 60)
    line = ((10, 40), (10, 30), (20, 30))
    roads.run(line)
    roads.run(((0, 35), (20, 35)))
    found = branches(roads, piece, [line])
    rows = {pin.y for pin in found if pin.x == 10}
    assert rows == {30, 31, 32, 33, 34, 36, 37, 38, 39}
    assert found[Pin(10, 30, 0)] == ((10, 40), (10, 30)), "straight on where the line turns"
    assert found[Pin(15, 30, 2)] == ((10, 40), (10, 30), (15, 30))
    assert all(pin.out in (1, 3) for pin in found if pin.x == 10 and pin.y > 30)


def test_a_bus_needs_no_branches(bench: Any) -> None:
    d = bench()
    (bus,) = d.scene().of[d.at("WC1")]
    assert branches(Roads(60, 60), bus, [((30, 55), (30, 60))]) == {}


def test_two_runs_between_the_same_two_terminals(bench: Any) -> None:
    d = bench()
    run = d.run("W4")
    d.b._new("runs", Run(designation="W5", from_end=run.from_end, to_end=End(equipment=d.at("E1"), terminal="in")))
    d.do(changes.lead_anew(d.snapshot, [d.at("W5")], d.sheet, last_id=d.last_id))
    assert d.part("W5").points != d.part("W4").points
    assert scene_faults(d.snapshot) == []
