"""Sheets, pasting, and taking away where terminals are known."""

from __future__ import annotations

from typing import Any

import pytest

from app.drawing import changes
from engine.edits import EditError
from engine.edits.copying import copy
from engine.installation import Condition


def numbers(d: Any) -> list[int]:
    return sorted(s.number for s in d.snapshot.sheets.values())


def test_sheets_stay_numbered(bench: Any) -> None:
    d = bench()
    for title in ("Two", "Three"):
        d.do(changes.add_sheet(d.snapshot, d.last_id, title, "A1"))
    two, three = (i for i, s in d.x.items("sheets") if s.title)
    edit = d.do(changes.remove_sheet(d.snapshot, two))
    assert edit.words == "Remove sheet 2"
    assert numbers(d) == [1, 2]
    assert (d.x.get("sheets", three).number, d.x.get("sheets", three).size) == (2, "A1")
    with pytest.raises(EditError, match="There is no paper size “A0”"):
        changes.add_sheet(d.snapshot, d.last_id, size="A0")


def test_what_stood_on_a_sheet_is_on_none_and_the_words_say_so(bench: Any) -> None:
    d = bench()
    with pytest.raises(EditError, match="Sheet 1 is the only one"):
        changes.remove_sheet(d.snapshot, d.sheet)
    d.do(changes.add_sheet(d.snapshot, d.last_id))
    edit = d.do(changes.remove_sheet(d.snapshot, d.sheet))
    assert edit.words == "Remove sheet 1; 5 pieces are on no sheet"
    assert (len(d.snapshot.equipment), len(d.snapshot.runs)) == (5, 4)
    assert not d.snapshot.placements
    assert not d.snapshot.routes


def test_to_another_sheet_what_is_between_goes_along(bench: Any) -> None:
    d = bench()
    points = d.part("W4").points
    other = d.do(changes.add_sheet(d.snapshot, d.last_id)).items[0]
    edit = d.do(changes.to_sheet(d.snapshot, [d.symbol("Q1"), d.symbol("E1")], other))
    assert edit.words == "Put Q1 and 1 more on sheet 2"
    there = {p.run: p for p in changes.scene_of(d.snapshot, other).parts_on(other)}
    assert there[d.at("W4")].points == points
    assert [p for p in d.scene().parts_on(d.sheet) if p.run == d.at("W3")] == [], "found with arrows by the study"
    d.do(changes.to_sheet(d.snapshot, [d.symbol("WC1")], other))
    there = {p.run: p for p in changes.scene_of(d.snapshot, other).parts_on(other)}
    assert there[d.at("W3")].kind == "whole"


def test_paste_is_placed_in_the_middle_and_shifts_off_its_like(bench: Any) -> None:
    d = bench()
    clip = copy(d.snapshot, [d.symbol("Q1"), d.symbol("E1")])
    made = d.do(changes.paste(d.snapshot, d.last_id, clip, d.sheet, 70, 50))
    assert made.edit.words == "Paste Q2 and 2 more"
    assert [d.snapshot.name(i) for i in made.items] == ["Q2", "E2", "W5"]
    q, e = (d.x.get("placements", d.symbol(n)) for n in ("Q2", "E2"))
    assert abs((q.x + e.x) / 2 - 70) <= 2
    assert q.y - e.y == 14
    dx, dy = q.x - 40, q.y - 44
    assert d.part("W5").points == tuple((x + dx, y + dy) for x, y in d.part("W4").points)
    again = d.do(changes.paste(d.snapshot, d.last_id, clip, d.sheet, 70, 50))
    other = d.x.get("placements", d.symbol(d.snapshot.name(again.items[0])))
    assert (other.x, other.y) == (q.x + 2, q.y + 2)
    edge = d.do(changes.paste(d.snapshot, d.last_id, clip, d.sheet, 0, 0))
    assert not [i for i in edge.items if i not in d.x.equipment and i not in d.x.runs]


def test_runs_end_loose_exactly_where_the_terminals_were(bench: Any) -> None:
    d = bench()
    before = {w: d.part(w).points for w in ("W2", "W3")}
    d.do(changes.remove_drawn(d.snapshot, d.last_id, [d.at("WC1")]))
    assert {w: d.part(w).points for w in before} == before
    ends = [d.x.get("placements", d.symbol(n)) for n in ("X1", "X2")]
    assert [(p.x, p.y) for p in ends] == [before["W2"][-1], before["W3"][0]]
    assert [p.rotation for p in ends] == [0, 180], "the caps look away from the lines"


def test_with_a_condition_and_its_runs(bench: Any) -> None:
    d = bench()
    d.b._new("conditions", Condition(name="Away", running=(d.at("G1"),)))
    d.do(changes.remove_drawn(d.snapshot, d.last_id, [d.at("G1")], with_runs=True))
    assert not d.x.find("W1")
    assert next(iter(d.x.tables["conditions"].values())).running == ()
