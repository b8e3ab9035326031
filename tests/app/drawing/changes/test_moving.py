"""Moving, turning, mirroring, stretching: the runs follow."""

from __future__ import annotations

from typing import Any

import pytest

from app.drawing import changes
from engine.edits import EditError


def test_what_moves_together_keeps_its_way(bench: Any) -> None:
    d = bench()
    before = {w: d.part(w).points for w in ("W3", "W4")}
    edit = d.do(changes.move(d.snapshot, [d.symbol("Q1"), d.symbol("E1")], 6, -2))
    assert edit.words == "Move Q1 and 1 more"
    assert d.part("W4").points == tuple((x + 6, y - 2) for x, y in before["W4"])
    assert d.part("W3").points == ((46, 55), (46, 44)), "led anew from the bus, straight"
    assert d.part("W1").points == d.part("W1").points


def test_a_bus_keeps_its_runs_at_their_place_along_it(bench: Any) -> None:
    d = bench()
    before = {w: d.part(w).points for w in ("W2", "W3")}
    d.do(changes.move(d.snapshot, [d.symbol("WC1")], 3, 2))
    for name, tip in (("W2", -1), ("W3", 0)):
        x, y = before[name][tip]
        assert d.part(name).points[tip] == (x + 3, y + 2)
    assert not d.scene().unrouted


def test_what_is_set_by_hand_keeps_its_corners(bench: Any) -> None:
    d = bench()
    d.do(changes.lead(d.snapshot, d.at("W4"), d.sheet, [(50, 42), (50, 32)], last_id=d.last_id))
    d.do(changes.move(d.snapshot, [d.symbol("E1")], 0, -4))
    assert d.part("W4").points == ((40, 42), (50, 42), (50, 28), (40, 28)) or (50, 32) in d.part("W4").points


def test_outside_the_sheet_is_refused(bench: Any) -> None:
    d = bench()
    with pytest.raises(EditError, match=r"^G1 would stand outside the drawing area of sheet 1\.$"):
        changes.move(d.snapshot, [d.symbol("G1")], 0, 40)
    with pytest.raises(EditError, match="There is no symbol chosen"):
        changes.move(d.snapshot, [], 1, 1)


@pytest.mark.parametrize("names", [("F1",), ("WC1",), ("Q1", "E1"), ("Q1", "E1", "WC1"), ("F1", "WC1", "E1")])
def test_four_quarters_and_two_mirrors_give_the_same(bench: Any, names: tuple[str, ...]) -> None:
    d = bench()
    items = [d.symbol(n) for n in names]
    before = dict(d.x.tables["placements"])
    for _n in range(4):
        d.do(changes.turn(d.snapshot, items))
        if len(items) == 1:
            assert not d.scene().unrouted
    if names != ("WC1",):  # a bus lies or hangs: it has no end that is the first
        assert d.x.tables["placements"] == before
    d.do(changes.turn(d.snapshot, items, 4))
    d.do(changes.mirror(d.snapshot, items))
    d.do(changes.mirror(d.snapshot, items))
    assert {i: (p.x, p.y) for i, p in d.x.tables["placements"].items()} == {i: (p.x, p.y) for i, p in before.items()}


def test_a_group_turns_with_the_run_between(bench: Any) -> None:
    d = bench()
    d.do(changes.turn(d.snapshot, [d.symbol("Q1"), d.symbol("E1")]))
    points = d.part("W4").points
    assert len(points) == 2
    assert points[0][1] == points[1][1], "it lies level now"


def test_a_mirrored_load_has_its_terminals_on_the_other_side(bench: Any) -> None:
    d = bench()
    piece = d.scene().pieces[d.symbol("E1")]
    d.do(changes.mirror(d.snapshot, [d.symbol("E1")]))
    after = d.scene().pieces[d.symbol("E1")]
    assert after.port("neg").x - 40 == 40 - piece.port("neg").x
    assert d.part("W4").points[-1] == (40, 32)


def test_a_bus_is_stretched_and_its_runs_stay_where_they_can(bench: Any) -> None:
    d = bench()
    before = d.part("W3").points
    d.do(changes.stretch(d.snapshot, d.symbol("WC1"), 14, 29, 55))
    symbol = d.x.get("placements", d.symbol("WC1"))
    assert (symbol.x, symbol.length) == (29, 14)
    assert d.part("W3").points == before
    d.do(changes.stretch(d.snapshot, d.symbol("WC1"), 6, 20, 55))
    assert 20 < d.part("W3").points[0][0] < 26
    with pytest.raises(EditError, match="at least 2 grid steps"):
        changes.stretch(d.snapshot, d.symbol("WC1"), 1, 20, 55)
    with pytest.raises(EditError, match="F1 has one size only"):
        changes.stretch(d.snapshot, d.symbol("F1"), 8, 20, 55)


def test_arrows_go_along_with_their_symbol(bench: Any) -> None:
    d = bench()
    other = d.do(changes.add_sheet(d.snapshot, d.last_id)).items[0]
    d.do(changes.to_sheet(d.snapshot, [d.symbol("E1")], other))
    d.do(changes.lead(d.snapshot, d.at("W4"), d.sheet, [(40, 34)], last_id=d.last_id))
    d.do(changes.lead(d.snapshot, d.at("W4"), other, [(40, 60)], last_id=d.last_id))
    d.do(changes.move(d.snapshot, [d.symbol("Q1")], 4, 0))
    assert d.part("W4").points == ((44, 42), (44, 34))


def test_a_run_is_led_by_hand_and_found_again(bench: Any) -> None:
    d = bench()
    found = d.part("W4").points
    edit = d.do(changes.lead(d.snapshot, d.at("W4"), d.sheet, [(40, 38), (50, 36)]))
    assert edit.words == "Lead W4 by hand"
    assert d.part("W4").points == ((40, 42), (40, 36), (50, 36), (50, 32), (40, 32))
    d.do(changes.lead_anew(d.snapshot, [d.at("W4")], d.sheet))
    assert d.part("W4").points == found
    with pytest.raises(EditError, match="would leave the drawing area"):
        changes.lead(d.snapshot, d.at("W4"), d.sheet, [(0, 0)])
    with pytest.raises(EditError, match="There is no run to lead anew"):
        changes.lead_anew(d.snapshot, ["r99"], d.sheet)
