"""Align, distribute, straighten: what stands where afterwards, what is refused, that the circuit stays."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.drawing import changes
from app.drawing.changes.arranging import align, distribute, straighten
from engine.circuit.expand import expand
from engine.edits import EditError, apply


def _row(bench: Any, *at: tuple[int, int]) -> tuple[Any, list[str]]:
    """Some fuses on the bench, free of it."""
    d = bench()
    names = [f"F{n}" for n in range(11, 11 + len(at))]
    for name, (x, y) in zip(names, at, strict=True):
        d.b.add("fuse", name)
        d.put(name, x, y)
    return d, names


def _where(d: Any, names: list[str]) -> list[tuple[int, int]]:
    return [(d.x.get("placements", d.symbol(n)).x, d.x.get("placements", d.symbol(n)).y) for n in names]


def test_aligned_with_the_outermost(bench: Any) -> None:
    for side, wanted in (("left", [(60, 8), (60, 20), (60, 32)]), ("right", [(66, 8), (66, 20), (66, 32)])):
        d, names = _row(bench, (60, 8), (66, 20), (63, 32))
        edit = d.do(align(d.snapshot, [d.symbol(n) for n in names], side))
        assert _where(d, names) == wanted
        assert edit.words == f"Align F11 and 2 more at the {side}"
    d, names = _row(bench, (60, 8), (70, 11), (80, 10))
    d.do(align(d.snapshot, [d.symbol(n) for n in names], "top"))
    assert _where(d, names) == [(60, 8), (70, 8), (80, 8)]


def test_what_would_stand_on_each_other_is_refused(bench: Any) -> None:
    d, names = _row(bench, (60, 20), (66, 21), (80, 20))
    with pytest.raises(EditError, match=r"^F1[12] and F1[12] would stand on each other\.$"):
        align(d.snapshot, [d.symbol(n) for n in names[:2]], "left")
    with pytest.raises(EditError, match="at least 2"):
        align(d.snapshot, [d.symbol("F11")], "left")
    with pytest.raises(EditError, match="at least 3"):
        distribute(d.snapshot, [d.symbol("F11")], True)


def test_distributed_at_equal_distances_the_outer_stay(bench: Any) -> None:
    d, names = _row(bench, (60, 20), (66, 21), (90, 20))
    d.do(distribute(d.snapshot, [d.symbol(n) for n in names], True))
    assert _where(d, names) == [(60, 20), (75, 21), (90, 20)]
    d, names = _row(bench, (60, 8), (61, 30), (60, 18), (60, 20 + 30))
    d.do(distribute(d.snapshot, [d.symbol(n) for n in names], False))
    (a, b, c, e) = (y for _x, y in _where(d, names))
    assert (a, e) == (8, 50)
    assert (c - a, b - c, e - b) == (14, 14, 14)
    d, names = _row(bench, (60, 20), (61, 30), (61, 40))
    with pytest.raises(EditError, match="need more room"):
        distribute(d.snapshot, [d.symbol(n) for n in names], True)


def test_straightened_by_little_only(bench: Any) -> None:
    d = bench()
    d.do(changes.move(d.snapshot, [d.symbol("E1")], 3, 0))
    assert len(d.part("W4").points) > 2
    edit = d.do(straighten(d.snapshot, [d.symbol("E1")]))
    assert len(d.part("W4").points) == 2
    assert edit.words == "Straighten E1"
    with pytest.raises(EditError, match="becomes straight"):
        straighten(d.snapshot, [d.symbol("E1")])
    d.do(changes.move(d.snapshot, [d.symbol("E1")], 9, 0))
    with pytest.raises(EditError, match="becomes straight"):
        straighten(d.snapshot, [d.symbol("E1")])


def test_straightening_several_leaves_what_is_straight(bench: Any) -> None:
    d = bench()
    d.do(changes.move(d.snapshot, [d.symbol("E1")], -2, 0))
    d.do(straighten(d.snapshot, [d.symbol(n) for n in ("E1", "Q1", "F1", "G1", "WC1")]))
    assert all(len(d.part(w).points) == 2 for w in ("W1", "W2", "W3", "W4"))


def test_corners_set_by_hand_stay_where_ends_move(bench: Any) -> None:
    d = bench()
    d.do(changes.lead(d.snapshot, d.at("W4"), d.sheet, [(50, 42), (50, 32)], last_id=d.last_id))
    d.b.add("load", "E2")
    d.put("E2", 45, 30)
    before = d.x.get("routes", next(i for i, r in d.x.items("routes") if r.run == d.at("W4")))
    d.do(align(d.snapshot, [d.symbol("E1"), d.symbol("E2")], "bottom"))
    after = d.x.get("routes", next(i for i, r in d.x.items("routes") if r.run == d.at("W4")))
    assert after == before
    assert after.by_hand


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.tuples(st.integers(55, 90), st.integers(8, 60)), min_size=2, max_size=6),
    st.sampled_from(["left", "right", "top", "bottom", "across", "down", "straight"]),
)
def test_the_circuit_stays_and_undo_restores(bench: Any, at: list[tuple[int, int]], how: str) -> None:
    d, names = _row(bench, *at)
    items = [d.symbol(n) for n in (*names, "E1", "Q1")]
    before = d.snapshot
    try:
        if how == "straight":
            edit = straighten(before, items)
        elif how in ("across", "down"):
            edit = distribute(before, items, how == "across")
        else:
            edit = align(before, items, how)  # type: ignore[arg-type]
    except EditError:
        return
    undo = apply(d.x, edit)
    assert expand(d.snapshot).joined == expand(before).joined
    assert d.snapshot.equipment == before.equipment
    apply(d.x, undo)
    assert d.snapshot == before
